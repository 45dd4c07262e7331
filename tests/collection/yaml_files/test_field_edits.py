"""Editing one field of a file in place: nothing else differs, byte for byte."""

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from collection.yaml_files.field_edits import EditProblem, append_to_list, remove_field, set_field
from tests.support.written_files import NAMES, VALUES, assert_edited, capitals, files, is_sound, reads

DONATED = {"is": "donated", "to": "river-street", "through": "nell", "handed_over": "2026-05-12"}
IN_BRACKETS = "{is: donated, to: river-street, through: nell, handed_over: 2026-05-12}"


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
        pytest.param("destination: free\n", "a\nb\n", "destination: |\n  a\n  b\n", id="text of several lines"),
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


def test_a_list_one_item_to_a_line_stays_so():
    before = "title: x\nborders:\n  - 1\n  - 2  # wide\n  - 3\n"
    assert set_field(before, "borders", ["1", "5"]) == "title: x\nborders:\n  - 1\n  - 5\n# wide\n"


def test_one_line_behind_a_bar_stays_behind_it():
    assert set_field("notes: |\n  a\n  b\n", "notes", "c # d\n") == "notes: |\n  c # d\n"


# What is refused --------------------------------------------------------------------------------


def test_a_text_that_the_end_of_the_file_cuts_off_is_not_made_longer():
    with pytest.raises(EditProblem) as refused:
        append_to_list("history:\n  - is: lost\n    note: |\n      x", "history", {"is": "kept"})
    assert "by hand" in str(refused.value)
    assert str(refused.value.in_file("quilts/low-tide.yaml")).startswith("quilts/low-tide.yaml:1: history: ")


def test_a_text_too_long_for_a_record_is_refused_in_short():
    with pytest.raises(EditProblem) as refused:
        set_field("title: x\n", "notes", "long " * 250_000)
    assert str(refused.value).endswith("write it by hand.")


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
