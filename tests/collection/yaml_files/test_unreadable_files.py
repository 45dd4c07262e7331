"""A file that can't be read as YAML, or is no record, is refused with what to write; any text gives values or problems."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from collection.yaml_files.parser import LARGEST_FILE, MOST_VALUES, read_yaml, split_lines
from tests.collection.yaml_files.readings import only_problem, read
from tests.support.patience import soon

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
