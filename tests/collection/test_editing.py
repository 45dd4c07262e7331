"""Editing one field of a file in place: nothing else differs, byte for byte."""

import json
from difflib import SequenceMatcher

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from collection.editing import EditProblem, append_to_list, remove_field, remove_value, set_field, set_value
from collection.yaml_text import read_yaml, split_lines

DONATED = {"is": "donated", "to": "river-street", "through": "nell", "handed_over": "2026-05-12"}
IN_BRACKETS = "{is: donated, to: river-street, through: nell, handed_over: 2026-05-12}"


def reads(text: str) -> dict:
    read, problems = read_yaml(text.encode(), "quilts/low-tide.yaml")
    assert not problems, problems
    return read.data


# What an edit looks like ------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("before", "value", "after"),
    [
        pytest.param("title: x\ndestination: free\n", "kept", "title: x\ndestination: kept\n", id="a word"),
        pytest.param(
            "destination:   free   # at last\n", "kept", "destination:   kept   # at last\n", id="spacing and a comment"
        ),
        pytest.param("destination: 'free'\n", "kept", "destination: kept\n", id="a word in quotes"),
        pytest.param("destination:\ntitle: x\n", "kept", "destination: kept\ntitle: x\n", id="an empty field"),
        pytest.param("destination:  # ?\n", "kept", "destination: kept  # ?\n", id="an empty field with a comment"),
        pytest.param("destination:\n  free  # c\n", "kept", "destination:\n  kept  # c\n", id="a word on its own line"),
        pytest.param(
            "destination: free  # c\nnotes: y\n", DONATED, f"destination: {IN_BRACKETS}  # c\nnotes: y\n", id="fields"
        ),
        pytest.param(
            "care:\n    label: true\ndestination: free # c\n",
            DONATED,
            "care:\n    label: true\ndestination:  # c\n    is: donated\n    to: river-street\n    through: nell\n"
            "    handed_over: 2026-05-12\n",
            id="fields one to a line where the file has them so",
        ),
        pytest.param(
            "destination: {is: promised,  'to': river-street , on: 2026}  # c\n",
            DONATED,
            "destination: {is: donated,  'to': river-street, through: nell, handed_over: 2026-05-12}  # c\n",
            id="fields in brackets",
        ),
        pytest.param(
            "destination:\n   is: promised  # c\n   to: river-street\n   # ask Ann\n\n\nnotes: y\n",
            DONATED,
            "destination:\n   is: donated  # c\n   to: river-street\n   through: nell\n   handed_over: 2026-05-12\n"
            "   # ask Ann\n\n\nnotes: y\n",
            id="fields one to a line",
        ),
        pytest.param(
            "destination:  # a\n  is: promised  # b\n  # c\n  on: 2026\n\nnotes: y\n",
            "free",
            "destination: free  # a\n  # b\n  # c\n\nnotes: y\n",
            id="comments within what is replaced",
        ),
        pytest.param(
            "destination: {is: lost, # a\n    on: 2016} # b\nnotes: y\n",
            "free",
            "destination: free  # a\n  # b\nnotes: y\n",
            id="comments within brackets",
        ),
        pytest.param(
            "destination: {is: donated, to: river-street, note: " + "x" * 50 + "}  # c\n",
            {**DONATED, "note": "x" * 50},
            "destination:  # c\n  is: donated\n  to: river-street\n  through: nell\n  handed_over: 2026-05-12\n"
            "  note: " + "x" * 50 + "\n",
            id="a line in brackets that gets too long",
        ),
        pytest.param("title: x", "free", "title: x\ndestination: free", id="absent, with no end of the last line"),
        pytest.param(
            "title: x\n\n# to do: measure\n", "free", "title: x\ndestination: free\n\n# to do: measure\n", id="absent"
        ),
        pytest.param(
            "care:\n  label: true\n\n  # sleeve: false\n\n# to do\n",
            "free",
            "care:\n  label: true\n\n  # sleeve: false\ndestination: free\n\n# to do\n",
            id="absent, behind a comment that belongs to the last field",
        ),
        pytest.param(
            "destination:\n\n    # Ask Ann\ntitle: x\n",
            "a\nb\n",
            'destination: "a\\nb\\n"\n\n    # Ask Ann\ntitle: x\n',
            id="text of several lines before a comment that it would swallow",
        ),
        pytest.param(
            "destination: free\n", "a\nb\n", "destination: |\n  a\n  b\n", id="text of several lines"
        ),
        pytest.param("title: x\r\n", "free", "title: x\r\ndestination: free\r\n", id="absent, other line ends"),
        pytest.param("\ufefftitle: x\n", "free", "\ufefftitle: x\ndestination: free\n", id="a byte order mark"),
        pytest.param("\ufeffdestination: free", "kept", "\ufeffdestination: kept", id="right behind the mark"),
        pytest.param(
            "story: |\n  It rained.", "free", "destination: free\nstory: |\n  It rained.", id="text to the very end"
        ),
        pytest.param(
            "story: |+\n  It rained.\n\n", "free", "story: |+\n  It rained.\n\ndestination: free\n", id="kept blanks"
        ),
        pytest.param(
            "---\n  title: x\n...\n", "free", "---\n  title: x\n  destination: free\n...\n", id="a document's ends"
        ),
        pytest.param(
            "{title: x}\n", DONATED, "{title: x, destination: " + IN_BRACKETS + "}\n", id="a record in brackets"
        ),
        pytest.param('{"title":"x","destination":"free"}', "kept", '{"title":"x","destination": kept}', id="JSON"),
        pytest.param("? destination\n: free\n", "kept", "? destination\n: kept\n", id="an explicit key"),
        pytest.param(
            "destination: |  # c\n  free\n\nnotes: y\n", "kept", "destination: kept  # c\n\nnotes: y\n", id="a bar"
        ),
        pytest.param("", "free", "destination: free\n", id="an empty file"),
        pytest.param("# nothing yet", "free", "# nothing yet\ndestination: free", id="a file of comments"),
    ],
)
def test_a_field_is_set_in_place(before, value, after):
    assert set_field(before, "destination", value) == after


def test_what_stands_there_already_gives_the_text_as_it_is():
    text = "title: x\ndestination:   { 'is' :  donated , to: nell }   # c"
    assert set_field(text, "destination", {"is": "donated", "to": "nell"}) == text


def test_a_new_field_comes_behind_the_one_that_it_belongs_to():
    text = "title: x\ndestination: free  # c\n\nnotes: y\n"
    edited = append_to_list(text, "history", {"is": "lost"}, after=("destination",))
    assert edited == "title: x\ndestination: free  # c\nhistory:\n  - {is: lost}\n\nnotes: y\n"


@pytest.mark.parametrize(
    ("before", "after"),
    [
        ("history:\n  - is: lost\n\nnotes: y\n", "history:\n  - is: lost\n  - is: kept\n\nnotes: y\n"),
        ("history:\n- {is: lost} # c\nnotes: y\n", "history:\n- {is: lost} # c\n- {is: kept}\nnotes: y\n"),
        ("history:\n-   is: lost\n    on: 2016", "history:\n-   is: lost\n    on: 2016\n-   is: kept"),
        ("history: [{is: lost}]  # c\n", "history: [{is: lost}, {is: kept}]  # c\n"),
        ("history: [\n  {is: lost},  # c\n]\n", "history: [\n  {is: lost}, {is: kept},  # c\n]\n"),
        ("history: []  # c\n", "history:  # c\n  - {is: kept}\n"),
        ("history:\nnotes: y\n", "history:\n  - {is: kept}\nnotes: y\n"),
        (
            "history:\n    - is: lost\n      note: |\n        x\n\n# e\n",
            "history:\n    - is: lost\n      note: |\n        x\n    - is: kept\n\n# e\n",
        ),
    ],
)
def test_a_list_grows_in_the_manner_of_what_it_holds(before, after):
    assert append_to_list(before, "history", {"is": "kept"}) == after


@pytest.mark.parametrize(
    ("before", "after"),
    [
        ("title: x\nnotes: y  # c\nmade: 2016\n", "title: x\n# c\nmade: 2016\n"),
        ("title: x\nnotes: |\n  a\n  b\n\nmade: 2016\n", "title: x\n\nmade: 2016\n"),
        ("{title: x, notes: y}", "{title: x}"),
        ("{notes: y, title: x}", "{title: x}"),
        ("title: x\n", "title: x\n"),
    ],
)
def test_a_field_is_taken_out(before, after):
    assert remove_field(before, "notes") == after


PHOTOS = """\
photos:  # the best first
  - front.jpg  # by Ann
  # the label
  - file: label.jpg
    caption: On the back  # blurred

  - {file: back.jpg, shows: back}
title: x
"""


@pytest.mark.parametrize(
    ("path", "value", "before", "after"),
    [
        (("photos", 1, "caption"), "Sewn on", "On the back", "Sewn on"),
        (("photos", 1, "shows"), "label", "back  # blurred\n", "back  # blurred\n    shows: label\n"),
        (("photos", 2, "caption"), "In the sun", "shows: back}", "shows: back, caption: In the sun}"),
        (("photos", 0), "face.jpg", "front.jpg", "face.jpg"),
        (("photos", 0), {"file": "front.jpg", "caption": "Ours"}, "front.jpg", "{file: front.jpg, caption: Ours}"),
        (
            ("photos", 2, "caption"),
            "long " * 15 + "text",
            "{file: back.jpg, shows: back}",
            "file: back.jpg\n    shows: back\n    caption: " + "long " * 15 + "text",
        ),
    ],
)
def test_one_value_within_a_list_is_set_and_its_neighbours_stay(path, value, before, after):
    assert PHOTOS.count(before) == 1
    assert set_value(PHOTOS, path, value) == PHOTOS.replace(before, after)


@pytest.mark.parametrize(
    ("path", "before", "after"),
    [
        (("photos", 0), "  - front.jpg  # by Ann\n", "  # by Ann\n"),
        (("photos", 1), "  - file: label.jpg\n    caption: On the back  # blurred\n", "  # blurred\n"),
        (("photos", 2), "  - {file: back.jpg, shows: back}\n", ""),
        (("photos", 1, "file"), "file: label.jpg\n    caption", "caption"),
        (("photos", 1, "caption"), "    caption: On the back  # blurred\n", "    # blurred\n"),
        (("photos", 2, "shows"), ", shows: back", ""),
        (("photos", 3), "x", "x"),
        (("photos", 0, "caption"), "x", "x"),
    ],
)
def test_one_value_within_a_list_is_taken_out(path, before, after):
    assert remove_value(PHOTOS, path) == PHOTOS.replace(before, after)


@pytest.mark.parametrize(
    ("before", "after"),
    [
        ("photos: [a.jpg, b.jpg, c.jpg]\n", "photos: [a.jpg, c.jpg]\n"),
        ("photos:\n- a.jpg\n-\n- b.jpg # c\n", "photos:\n- a.jpg\n-\n# c\n"),
        ("photos:\n  - a.jpg\n  - |\n    b.jpg\n  - c.jpg", "photos:\n  - a.jpg\n  - c.jpg"),
        ("photos:\r\n  - a.jpg\r\n  - b.jpg\r\n", "photos:\r\n  - a.jpg\r\n"),
    ],
)
def test_an_item_goes_in_the_manner_of_its_list(before, after):
    assert remove_value(before, ("photos", 1)) == after


def test_of_the_only_item_an_empty_list_is_left():
    assert remove_value("photos:  # c\n  - a.jpg\ntitle: x\n", ("photos", 0)) == "photos: []  # c\ntitle: x\n"


def test_a_list_one_item_to_a_line_stays_so():
    before = "title: x\nborders:\n  - 1\n  - 2  # wide\n  - 3\n"
    assert set_field(before, "borders", ["1", "5"]) == "title: x\nborders:\n  - 1\n  - 5\n# wide\n"


def test_one_line_behind_a_bar_stays_behind_it():
    assert set_field("notes: |\n  a\n  b\n", "notes", "c # d\n") == "notes: |\n  c # d\n"


def test_nothing_is_set_where_nothing_could_hold_it():
    with pytest.raises(EditProblem, match="nothing yet"):
        set_value("photos: [a.jpg]\n", ("photos", 1), "b.jpg")
    with pytest.raises(EditProblem, match="nothing yet"):
        set_value("pattern: Low Tide\n", ("pattern", "source"), "book")


# What is refused --------------------------------------------------------------------------------


def test_a_text_that_the_end_of_the_file_cuts_off_is_not_made_longer():
    with pytest.raises(EditProblem) as refused:
        append_to_list("history:\n  - is: lost\n    note: |\n      x", "history", {"is": "kept"})
    assert "by hand" in str(refused.value)
    assert str(refused.value.in_file("quilts/low-tide.yaml")).startswith("quilts/low-tide.yaml:1: history: ")


def test_what_is_no_list_does_not_grow():
    with pytest.raises(EditProblem, match="A list is needed here"):
        append_to_list("title: x\nhistory: free\n", "history", {"is": "kept"})


def test_a_file_that_is_not_sound_is_left_alone():
    with pytest.raises(EditProblem) as refused:
        set_field("title: x\ntitle: y\n", "destination", "free")
    assert refused.value.line == 2


def test_bytes_that_are_no_text_are_refused():
    with pytest.raises(EditProblem, match="no characters"):
        set_field("title: x\n", "notes", "caf\udce9")


# Any file ---------------------------------------------------------------------------------------

WORDS = st.sampled_from(
    ["free", "2016~", "60 1/2 x 72 in", "mother's", "x:y", "a #b", "½ yard", "appliqué", "🧵 thread", "x\x85y", "שלום"]
)
ODD = st.text('abc :#\'"\\,[]{}-|>&*!%@`?~🧵½\u2028\ufeff', max_size=8)
# Capital letters stand in comments alone, so that these can be counted.
COMMENTS = st.sampled_from(["# C", "#  Ask: [Ann]", "# {É} 🧵 - \"x", "# 'Destination: free'", "#"])
NAMES = ["title", "number", "made", "story", "pattern", "photos", "care", "kept_at", "loans", "notes"]
FORMER = ["is", "to", "through", "on", "note"]


@st.composite
def scalars(draw, *, column: int, in_brackets: bool):
    """One value as somebody might write it, for a field whose name begins in `column`."""
    pad = " " * (column + draw(st.integers(1, 4)))
    styles = ["plain", "double", "single", "broken"]
    style = draw(st.sampled_from(styles if in_brackets else [*styles, "plain lines", "bar", "bar"]))
    if style == "plain":
        word = draw(WORDS)
        return json.dumps(word, ensure_ascii=False) if in_brackets and ":" in word else word
    if style == "double":
        return json.dumps(draw(ODD), ensure_ascii=False)
    if style == "single":
        return "'" + draw(ODD).replace("'", "''") + "'"
    if style == "broken":
        return f'"a\n{pad}b: # c"'
    if style == "plain lines":
        return f"a b\n{pad}c"
    sign = draw(st.sampled_from(["|", ">"])) + draw(st.sampled_from(["", "-", "+"]))
    lines = draw(st.lists(st.sampled_from(["x", "y: z", "", "# no comment", "  - deeper"]), max_size=4))
    header = sign + draw(st.sampled_from(["", "", "  # Head"]))
    return "\n".join([header, f"{pad}first", *(pad + line if line else "" for line in lines)])


@st.composite
def in_brackets(draw, names):
    """Fields in brackets, perhaps over several lines with comments."""
    def gap():
        return draw(st.sampled_from(["", " ", "  "]) | COMMENTS.map(lambda comment: f" {comment}\n     "))

    fields = []
    for name in names:
        quoted = draw(st.sampled_from([name, f'"{name}"', f"'{name}'"]))
        fields.append(f"{gap()}{quoted}: {draw(scalars(column=6, in_brackets=True))}{gap()}")
    return "{" + ",".join(fields) + draw(st.sampled_from(["", ","] if fields else [""])) + gap() + "}"


@st.composite
def a_line_for_each(draw, names, column):
    """Fields one to a line below another, with comments and blank lines between."""
    lines = []
    for name in names:
        for _ in range(draw(st.integers(0, 1))):
            lines.append(draw(st.just("") | COMMENTS.map(lambda comment: " " * column + comment)))
        value = draw(st.just("") | scalars(column=column, in_brackets=False))
        colon = draw(st.sampled_from([": ", ":   ", " : "])) if value else ":"
        lines.append(" " * column + name + colon + value + _comment_behind(draw, value))
    return "\n".join(lines)


def _comment_behind(draw, value):
    """A comment behind a value, where one can stand there."""
    is_text_behind_a_bar = value[:1] in ("|", ">") and "\n" in value
    return "" if is_text_behind_a_bar else draw(st.just("") | COMMENTS.map("  {}".format))


@st.composite
def destinations(draw, column, *, name="destination"):
    """The lines of one destination."""
    head = " " * column + name
    names = draw(st.lists(st.sampled_from(FORMER), unique=True, min_size=1))
    match draw(st.sampled_from(["word", "empty", "brackets", "lines"])):
        case "word":
            value = draw(scalars(column=column, in_brackets=False))
            return f"{head}: {value}{_comment_behind(draw, value)}"
        case "empty":
            return f"{head}:{_comment_behind(draw, '')}"
        case "brackets":
            return f"{head}:  {draw(in_brackets(names))}{_comment_behind(draw, '')}"
        case _:
            inner = draw(a_line_for_each(names, column + draw(st.integers(1, 5))))
            return f"{head}:{_comment_behind(draw, '')}\n{inner}"


@st.composite
def histories(draw, column):
    head = " " * column + "history"
    match draw(st.sampled_from(["empty", "none", "brackets", "items"])):
        case "empty":
            return f"{head}:{_comment_behind(draw, '')}"
        case "none":
            return f"{head}: [ ]{_comment_behind(draw, '')}"
        case "brackets":
            items = draw(st.lists(in_brackets(["is", "on"]), min_size=1, max_size=2))
            return f"{head}: [{', '.join(items)}]{_comment_behind(draw, '')}"
    lines = [f"{head}:{_comment_behind(draw, '')}"]
    dash_column = column + draw(st.integers(0, 4))
    dash = " " * dash_column + "-" + " " * draw(st.integers(1, 3))
    for _ in range(draw(st.integers(1, 2))):
        if draw(st.booleans()):
            lines.append(dash + draw(in_brackets(["is"])) + _comment_behind(draw, ""))
        else:
            fields = draw(a_line_for_each(["is", "on"], len(dash)).filter(lambda text: text.lstrip().startswith("is")))
            lines.append(dash + fields.lstrip())
    return "\n".join(lines)


@st.composite
def files(draw):
    """A file as its parts: what comes before, the destination, what lies between, the history, the rest."""
    column = draw(st.sampled_from([0, 0, 0, 2]))
    names = draw(st.lists(st.sampled_from(NAMES), unique=True, min_size=1))
    parts = [draw(destinations(column, name=name)) for name in names]
    here = draw(st.integers(0, len(parts)))
    if draw(st.booleans()):
        parts.insert(here, draw(destinations(column)))
    if draw(st.booleans()):
        parts.insert(draw(st.integers(0, len(parts))), draw(histories(column)))
    between = st.sampled_from(["", "\n", "# Between\n", "\n  # between: x\n\n"])
    text = draw(between) + "".join(part + "\n" + draw(between) for part in parts)
    if draw(st.booleans()):
        text = text.rstrip("\n")
    text = text.replace("\n", draw(st.sampled_from(["\n", "\n", "\r\n", "\r"])))
    return draw(st.sampled_from(["", "\ufeff"])) + text


VALUES = st.one_of(
    WORDS,
    ODD,
    st.just("a\nb\n"),
    st.dictionaries(st.sampled_from([*FORMER, "delivered"]), WORDS | ODD, min_size=1, max_size=5),
    st.dictionaries(st.sampled_from(FORMER), st.just("long " * 9 + "text"), min_size=2, max_size=4),
)


def is_sound(text: str) -> bool:
    return not read_yaml(text.encode(), "")[1]


def lines_of(text: str, field: str) -> range:
    """The lines of a field: from its own to the one before the next field, comments and blanks above that left out."""
    read = read_yaml(text.encode(), "")[0]
    starts = sorted(line for path, line in read.lines.items() if len(path) == 1)
    first = read.lines[(field,)]
    following = [line for line in starts if line > first]
    return range(first - 1, following[0] - 1 if following else len(split_lines(text)))


def assert_only(field: str, before: str, after: str) -> None:
    """Every line that differs belongs to the field, before as after."""
    old, new = (split_lines(text.removeprefix("\ufeff")) for text in (before, after))
    may_change = lines_of(before, field) if (field,) in read_yaml(before.encode(), "")[0].lines else range(0)
    are_new = lines_of(after, field)
    for tag, first, last, new_first, new_last in SequenceMatcher(None, old, new, autojunk=False).get_opcodes():
        if tag != "equal":
            assert set(range(first, last)) <= set(may_change)
            assert set(range(new_first, new_last)) <= set(are_new)


def capitals(text: str) -> list[str]:
    return sorted(filter(str.isupper, text))


def assert_edited(text: str, edited: str, field: str) -> None:
    """Nothing but the field differs, and no comment was lost."""
    before, after = reads(text), reads(edited)
    assert [(key, item) for key, item in after.items() if key != field] == [
        (key, item) for key, item in before.items() if key != field
    ]
    assert_only(field, text, edited)
    assert capitals(edited) == capitals(text)
    assert edited.startswith("\ufeff") == text.startswith("\ufeff")
    assert edited.count("\r\n") == edited.count("\n") or "\r\n" not in text


@settings(max_examples=150)
@given(files().filter(is_sound), VALUES)
def test_whatever_the_file_only_the_destination_changes(text, value):
    edited = set_field(text, "destination", value)
    assert_edited(text, edited, "destination")
    assert reads(edited)["destination"] == value
    assert set_field(edited, "destination", value) == edited


@settings(max_examples=100)
@given(files().filter(is_sound), VALUES)
def test_whatever_the_file_only_the_history_grows(text, value):
    former = reads(text).get("history") or []
    assume(isinstance(former, list))
    try:
        edited = append_to_list(text, "history", value, after=("destination",))
    except EditProblem:
        # A text that stops with the file is the last thing in the list.
        assert former and not text.endswith(("\n", "\r"))
        return
    assert_edited(text, edited, "history")
    assert reads(edited)["history"] == [*former, value]


@settings(max_examples=75)
@given(files().filter(is_sound), st.sampled_from(["destination", "history", *NAMES]))
def test_whatever_the_file_only_the_field_is_taken_out(text, field):
    fields = reads(text)
    assume(len(fields) > 1 or field not in fields)
    edited = remove_field(text, field)
    assert reads(edited) == {key: item for key, item in fields.items() if key != field}
    assert capitals(edited) == capitals(text)
    assert remove_field(edited, field) == edited


@settings(max_examples=150)
@given(files().filter(is_sound), WORDS, st.integers(0, 1), st.sampled_from([None, "is", "on", "note"]))
def test_whatever_the_file_only_the_item_changes(text, word, index, name):
    history = reads(text).get("history")
    assume(isinstance(history, list) and index < len(history))
    item = history[index]
    assume(name is None or isinstance(item, dict))
    edited = set_value(text, ("history", index) + ((name,) if name else ()), word)
    assert_edited(text, edited, "history")
    history[index] = {**item, name: word} if name else word
    assert reads(edited)["history"] == history


@settings(max_examples=150)
@given(files().filter(is_sound), st.integers(0, 1), st.sampled_from([None, "is", "on"]))
def test_whatever_the_file_only_the_item_is_taken_out(text, index, name):
    history = reads(text).get("history")
    assume(isinstance(history, list) and index < len(history))
    item = history[index]
    assume(name is None or (isinstance(item, dict) and name in item and len(item) > 1))
    edited = remove_value(text, ("history", index) + ((name,) if name else ()))
    assert_edited(text, edited, "history")
    history[index : index + 1] = [{key: value for key, value in item.items() if key != name}] if name else []
    assert reads(edited)["history"] == history
