"""YAML in the 1.2 sense: what a value is, on which line it stands, and what is told when it can't be read."""

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from collection.yaml_files import parser
from collection.yaml_files.parser import LARGEST_FILE, MOST_VALUES, YamlText, read_yaml, split_lines
from tests.support.patience import soon


def read(text: str | bytes) -> tuple[YamlText, list]:
    return read_yaml(text.encode() if isinstance(text, str) else text, "quilts/low-tide.yaml")


def data(text: str) -> object:
    read_text, problems = read(text)
    assert problems == []
    return read_text.data


def only_problem(text: str | bytes):
    _, (problem,) = read(text)
    return problem


# Values -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("written", "value"),
    [
        ("no", "no"),
        ("Yes", "Yes"),
        ("off", "off"),
        ("y", "y"),
        ("12:30", "12:30"),
        ("2016-05-01", "2016-05-01"),
        ("2016-13-45", "2016-13-45"),
        ("0143", "0143"),
        ("0x1F", "0x1F"),
        ("1_000", "1_000"),
        ("1e3", "1e3"),
        (".5", ".5"),
        (".inf", ".inf"),
        ("=", "="),
        ("60 1/2", "60 1/2"),
        ('60" x 72"', '60" x 72"'),
        ("5'6\"", "5'6\""),
        ("84.50", "84.50"),
        ("'true'", "true"),
        ('"true"', "true"),
        ('"null"', "null"),
        ("'~'", "~"),
        ('""', ""),
        ('"0143"', "0143"),
        ("true", True),
        ("True", True),
        ("FALSE", False),
        ("", None),
        ("~", None),
        ("null", None),
        ("Grandmother's Flower Garden", "Grandmother's Flower Garden"),
        ("Blåbär & Co", "Blåbär & Co"),
        ("mothers#day", "mothers#day"),
        ('"#2f4f4f"', "#2f4f4f"),
    ],
)
def test_only_true_false_and_nothing_are_more_than_text(written, value):
    assert data(f"field: {written}\n") == {"field": value}


def test_the_parser_in_plain_python_reads_the_same(monkeypatch):
    text = "a: no\nb: 'true'\nc: true\nd:\ne: [1, {f: 012}]\ng: |\n  one\n  two\nh: {i: , j: ~}\n"
    with_c = read(text)
    monkeypatch.setattr(parser, "Loader", yaml.SafeLoader)
    assert read(text) == with_c
    assert with_c[0].data["e"] == ["1", {"f": "012"}]


def test_lists_and_fields_keep_their_order():
    assert list(data("b: 1\na: [z, y]\n")) == ["b", "a"]


def test_text_over_several_lines_is_kept():
    assert data("story: |\n  One.\n\n  Two #2.\n") == {"story": "One.\n\nTwo #2.\n"}


def test_a_list_item_with_nothing_in_it_is_left_out_and_the_lines_of_the_others_hold():
    text, problems = read("photos:\n  -\n  - a.jpg\n  - ~\n  - b.jpg\n")
    assert problems == []
    assert text.data == {"photos": ["a.jpg", "b.jpg"]}
    assert [text.line(("photos", index)) for index in (0, 1)] == [3, 5]
    assert ("photos", 2) not in text.lines


@pytest.mark.parametrize("text", ["", "\n\n", "   ", "# only a comment\n", "---\n", "~\n", "\ufeff"])
def test_a_file_that_says_nothing_yet_has_no_fields(text):
    assert data(text) == {}


@pytest.mark.parametrize("line_end", ["\n", "\r\n", "\r"])
def test_line_ends_of_every_system_read_alike(line_end):
    text, problems = read(line_end.join(["title: Low Tide", "photos:", "  - a.jpg", "  - b.jpg", ""]))
    assert problems == []
    assert text.data == {"title": "Low Tide", "photos": ["a.jpg", "b.jpg"]}
    assert text.line(("photos", 1)) == 4


def test_a_mark_at_the_head_of_the_file_is_no_part_of_its_first_field():
    text, problems = read(b"\xef\xbb\xbftitle: Low Tide\n")
    assert (text.data, problems) == ({"title": "Low Tide"}, [])


def test_line_separators_that_editors_do_not_count_end_no_line():
    text, problems = read("story: one\u2028two\u0085three # a comment\u2028title: lost\nmade: 2016\n")
    assert problems == []
    assert text.data == {"story": "one two three", "made": "2016"}
    assert text.line(("made",)) == 2


# Lines ------------------------------------------------------------------------------------------


def test_every_value_has_the_line_on_which_it_stands():
    text, _ = read(
        "title: Low Tide\n\n# a remark\nphotos:\n  - a.jpg\n  - file: b.jpg\n    shows: back\ncare: {washed: true}\n"
    )
    assert text.lines == {
        ("title",): 1,
        ("photos",): 4,
        ("photos", 0): 5,
        ("photos", 1): 6,
        ("photos", 1, "file"): 6,
        ("photos", 1, "shows"): 7,
        ("care",): 8,
        ("care", "washed"): 8,
    }


def test_what_is_not_there_has_the_line_of_its_nearest_parent():
    text, _ = read("title: Low Tide\nsetting:\n  blocks: 4 x 5\n")
    assert text.line(("setting", "block")) == 2
    assert text.line(("photos", 3, "file")) == 1


# What is told -----------------------------------------------------------------------------------


def test_a_field_that_stands_twice_is_told_with_both_lines_and_the_first_is_kept():
    text, (problem,) = read("title: Low Tide\nmade: 2016\ntitle: High Tide\n")
    assert (problem.line, problem.field, problem.found) == (3, "title", "title")
    assert "first on line 1" in problem.remedy
    assert text.data["title"] == "Low Tide"


def test_a_field_twice_within_brackets_or_deep_down_is_told_too():
    text, problems = read("care: {label: true, label: false}\nsetting:\n  block: 12\n  block: [1, {2: 3}]\n")
    assert [(problem.line, problem.field) for problem in problems] == [(1, "care.label"), (4, "setting.block")]
    assert text.data == {"care": {"label": True}, "setting": {"block": "12"}}


@pytest.mark.parametrize(
    ("written", "example"),
    [
        ("colours: #2f4f4f", 'colours: "#2f4f4f"'),
        ("title: Log Cabin #2", 'title: "Log Cabin #2"'),
        ("title: Log Cabin\n  again  #2", 'title: "Log Cabin again #2"'),
        ("photos:\n  - #1.jpg", '"#1.jpg"'),
        ("care: {washed: true #not yet\n  }", 'washed: "true #not yet"'),
    ],
)
def test_what_is_lost_behind_a_hash_is_told_with_the_quotes_that_keep_it(written, example):
    problem = only_problem(f"{written}\n")
    assert example in problem.remedy
    assert problem.line == 1 + written.count("\n", 0, written.index("#")) or "again" in written


@pytest.mark.parametrize(
    "written",
    ["title: Low Tide # a remark", "made: # not known", "made: ## ?", "title: Low Tide #", "#title: x\na: 1\n#b: 2"],
)
def test_a_comment_with_a_space_behind_its_hash_is_a_comment(written):
    assert read(f"{written}\n")[1] == []


def test_a_line_of_the_story_that_begins_with_a_hash_is_no_lost_value():
    assert read("story: |\n  #2 of three\n#made: 2016\nnotes: >\n  x\n#y\n")[1] == []


def test_a_comma_within_brackets_that_cuts_a_value_is_told():
    problem = only_problem("materials_cost:\n  items: [{what: Cotton, 7 yards, amount: 61.25}]\n")
    assert (problem.line, problem.field, problem.found) == (2, "materials_cost.items.1.7 yards", "7 yards")
    assert 'what: "Cotton, 7 yards"' in problem.remedy


def test_all_commas_of_one_value_are_put_back_together():
    _, problems = read("x: {caption: Red, white, and blue, public: false}\n")
    assert 'caption: "Red, white, and blue"' in problems[-1].remedy
    assert len(problems) == 2


def test_a_space_missing_behind_a_colon_within_brackets_is_told():
    assert "Write washed: 2026." in only_problem("care: {washed:2026}\n").remedy


@pytest.mark.parametrize("field", ["care: {washed: , label: true}", "care: {washed: ~}", "care:\n  washed:"])
def test_an_empty_value_behind_a_colon_is_sound(field):
    assert read(f"{field}\n")[1] == []


@pytest.mark.parametrize(
    ("text", "field", "found"),
    [
        ("title: *tide\n", "title", "*tide"),
        ("title: &tide Low\n", "title", "&tide"),
        ("title: !important Low\n", "title", "!important"),
        ("number: !!int 143\n", "number", "!!int"),
        ("photos: [*all]\n", "photos.1", "*all"),
    ],
)
def test_signs_with_a_meaning_that_records_do_not_use_ask_for_quotes(text, field, found):
    problem = only_problem(text)
    assert (problem.line, problem.field, problem.found) == (1, field, found)
    assert "needs quotes around it" in problem.remedy


def test_a_file_that_unfolds_without_end_is_refused_at_once():
    levels = "".join(f"a{n}: &a{n} [{', '.join([f'*a{n - 1}'] * 9)}]\n" for n in range(1, 12))
    with soon():
        _, problems = read(f"a0: &a0 lol\n{levels}")
    assert len(problems) == 12 + 11 * 9


def test_what_lies_too_deep_is_told_and_the_rest_is_read():
    text, (problem,) = read(f"title: Low Tide\nx: {'[' * 500}{']' * 500}\nmade: 2016\n")
    assert "too deep" in problem.remedy
    assert (problem.line, text.data["made"]) == (2, "2016")


def test_a_second_record_in_one_file_is_told_and_the_first_is_read():
    text, (problem,) = read("---\ntitle: Low Tide\n---\ntitle: High Tide\n")
    assert (problem.line, problem.found) == (3, "---")
    assert text.data == {"title": "Low Tide"}


@pytest.mark.parametrize(
    "text", ["? [a, b]\n: c\nmade: 2016\n", "? {a: [b]}\n: {c: d}\nmade: 2016\n", "*a : b\nmade: 2016\n"]
)
def test_a_field_whose_name_is_no_word_is_told_and_the_rest_is_read(text):
    read_text, (problem,) = read(text)
    assert "name is a plain word" in problem.remedy
    assert read_text.data == {"made": "2016"}


# What can't be read -----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "line", "remedy"),
    [
        ("title: Low: Tide\n", 1, 'title: "Low: Tide"'),
        ('title: The "Big": One\n', 1, "title: 'The \"Big\": One'"),
        ("title: 'Mother's quilt'\n", 1, 'title: "Mother\'s quilt"'),
        ('title: "Low" Tide\n', 1, "title: '\"Low\" Tide'"),
        ('finished_size: "60" x 72"\n', 1, "behind its closing quote"),
        ('made: 2016\ntitle: "Low Tide\nnumber: 1\n', 2, "never closed"),
        ("made: 2016\nphotos: [a, b\nnumber: 1\n", 2, "] at the end"),
        ("made: 2016\ncare: {washed: true\nnumber: 1\n", 2, "} at the end"),
        ("also_called: [Sampler #3]\nmade: 2016\n", 1, '"Sampler #3"'),
        ("also_called: [a, b]]\n", 1, "bracket too many"),
        ("x: [a: b: c]\n", 1, "colon in it needs quotes"),
        ("x: [1, , 2]\n", 1, "Nothing stands before this comma"),
        ("title: Low Tide\n\tnumber: 1\n", 2, "A tab stands"),
        ("setting:\n\tblocks: 4 x 5\n", 2, "A tab stands"),
        ("title: Low Tide\n number: 143\n", 2, "further in than the one above"),
        ("photos:\n - a.jpg\n  made: 2\n", 3, "further in than the one above"),
        ("title Low Tide\nmade: 2016\n", 1, "A colon is missing"),
        ("title: Low Tide\nmade 2016\nnumber: 1\n", 2, "A colon is missing"),
        ("title:Low Tide\nmade: 2016\n", 1, "Write title: Low Tide."),
        ("title: Low Tide\nmade:2016\nnumber: 1\n", 2, "Write made: 2016."),
        ("photos:\n  - a.jpg\n - b.jpg\n", 3, "exactly below the other dashes"),
        ("title: Low Tide\n- a.jpg\n", 2, "exactly below the other dashes"),
        ("- a.jpg\ntitle: Low Tide\n", 2, "side by side"),
        ("photos: - a.jpg\n", 1, "on the line below"),
        ("story: |\n  One\n Two\nmade: 1\n", 3, "fits none above it"),
        (": Low Tide\n", 1, "name is missing"),
        ("title: @home\n", 1, 'title: "@home"'),
        ("title: `quoted`\n", 1, 'title: "`quoted`"'),
        ("title: %50\n", 1, 'title: "%50"'),
        ("title: *star*\n", 1, 'title: "*star*"'),
        ("title: & more\n", 1, 'title: "& more"'),
        ("title: >50\n", 1, 'title: ">50"'),
        ("title: ? what\n", 1, 'title: "? what"'),
        ("title: , then\n", 1, 'title: ", then"'),
        ("title: [draft] Low\n", 1, 'title: "[draft] Low"'),
        ("title: {draft} Low\n", 1, 'title: "{draft} Low"'),
        ('kept_at: "C:\\quilts"\n', 1, "backslash"),
        ("title: Low Tide\n...\nmade: 2016\n", 3, "three dots"),
        ("%YAML 3.0\n---\ntitle: x\n", 1, "begins with %"),
        (
            'title: Low\nstory: "\\ud835\\udd38 is"\n',
            2,
            "\\ud835\\udd38 is how JSON writes a character in two halves. Write the character itself: \U0001d538.",
        ),
        ('story: "so \\uD83E\\uDDF5"\n', 1, "Write the character itself: \U0001f9f5."),
        ('story: "\\udd38\\ud835"\n', 1, "names no character"),
        ('story: "half \\ud835"\n', 1, "names no character"),
        ('story: "\\U00110000"\n', 1, "names no character"),
        ("title: Low\x00Tide\n", 1, "U+0000"),
        ("title: Low Tide\nstory: a\x07b\n", 2, "U+0007"),
    ],
)
def test_a_slip_that_stops_the_reading_is_told_with_what_to_write(text, line, remedy):
    read_text, (problem,) = read(text)
    assert remedy in problem.remedy
    assert (problem.line, problem.field) == (line, "")
    assert (read_text.data, read_text.lost) == ({}, {()})
    assert not {"scalar", "mapping", "parsing", "token"} & set(problem.remedy.split())


def test_what_was_told_before_such_a_slip_is_still_told():
    _, problems = read("title: a\ntitle: b\nmade: 'x\n")
    assert [problem.line for problem in problems] == [2, 3]


def test_a_letter_that_is_not_utf_8_is_told_with_its_line():
    problem = only_problem("title: Low Tide\ntechniques: appliqué\n".encode("latin-1"))
    assert (problem.line, problem.found) == (2, "techniques: appliqu�")
    assert "UTF-8 as its encoding" in problem.remedy


@pytest.mark.parametrize("encoding", ["utf-16", "utf-16-le"])
def test_a_file_saved_as_utf_16_is_told_so_or_has_characters_that_are_no_text(encoding):
    problem = only_problem("title: Low Tide\n".encode(encoding))
    assert "UTF-16" in problem.remedy or "U+0000" in problem.remedy


def test_a_file_too_large_to_be_a_record_is_not_read():
    text, (problem,) = read(b"a: b\n" * (LARGEST_FILE // 5 + 1))
    assert "1,000,000 bytes" in problem.remedy
    assert text.lost == {()}


@pytest.mark.parametrize(
    "text", ["x" * 999_000, "[" * 999_000, "- " * 400_000, "a: " * 300_000, '"' * 999_000, "a,[{ " * 190_000]
)
def test_a_large_file_of_nonsense_is_told_quickly(text):
    with soon():
        read(text)


# Any text ---------------------------------------------------------------------------------------

PIECES = [
    "title", "photos", ":", ": ", "- ", "\n", "\n  ", "\t", "{", "}", "[", "]", ",", "#", " #", "'", '"', "|", ">",
    "&a", "*a", "!t", "---\n", "...\n", "? ", "%", "@", "\\", "é", "\r", "\r\n", "\u2028", "\x85", "\ufeff", "\x00",
    "~", "true", "60 1/2", "<<", "=",
]  # fmt: skip

yaml_like = st.lists(st.sampled_from(PIECES), max_size=25).map("".join)


@given(st.one_of(yaml_like, st.text(max_size=60)).map(str.encode) | st.binary(max_size=40))
def test_any_bytes_give_values_or_problems_each_with_a_line_of_the_file(raw):
    text, problems = read(raw)
    count = len(split_lines(raw.decode("utf-8-sig", "replace")))
    assert all(1 <= line <= count for line in text.lines.values())
    assert all(1 <= problem.line <= count for problem in problems)
    assert all(problem.remedy and str(problem).isprintable() for problem in problems)
    assert set(text.lines) == set(paths(text.data))
    assert problems or () not in text.lost


def paths(value: object, path: tuple = ()):
    items = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for key, item in items:
        yield (*path, key)
        yield from paths(item, (*path, key))


# Files that are no records ----------------------------------------------------------------------


def twice(text: str) -> bytes:
    """More of it than a record holds."""
    return (text * MOST_VALUES * 2).encode()


@pytest.mark.parametrize(
    "raw",
    [
        twice("title: Low\n"),
        twice("- a\n"),
        twice("- &a x\n"),
        twice("title: x #y\n"),
        b"photos: [" + twice("a, ") + b"a]",
        b"care: {" + twice("a, ") + b"a}",
        b"care: {" + twice("[a]: b, ") + b"a: b}",
    ],
    ids=["fields", "items", "anchors", "comments", "a list in brackets", "bare words", "lists as names"],
)
def test_a_file_of_more_values_than_a_record_holds_is_told_at_once_and_once(raw):
    text, problems = read_yaml(raw, "quilts/low-tide.yaml")
    assert text.lost == {()}
    (problem,) = problems
    assert problem.file == "quilts/low-tide.yaml"
    assert problem.remedy.startswith("This file holds more than 20,000 values")
