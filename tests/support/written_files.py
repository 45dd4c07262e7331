"""Files as makers might write them, in every layout, and what an edit of one must leave alone."""

import json
from difflib import SequenceMatcher

from hypothesis import strategies as st

from collection.yaml_files.parser import read_yaml, split_lines


def reads(text: str) -> dict:
    read, problems = read_yaml(text.encode(), "quilts/low-tide.yaml")
    assert not problems, problems
    return read.data


WORDS = st.sampled_from(
    ["free", "2016~", "60 1/2 x 72 in", "mother's", "x:y", "a #b", "½ yard", "appliqué", "🧵 thread", "x\x85y", "שלום"]
)
ODD = st.text("abc :#'\"\\,[]{}-|>&*!%@`?~🧵½\u2028\ufeff", max_size=8)
# Capital letters stand in comments alone, so that these can be counted.
COMMENTS = st.sampled_from(["# C", "#  Ask: [Ann]", '# {É} 🧵 - "x', "# 'Destination: free'", "#"])
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
