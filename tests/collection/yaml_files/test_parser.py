"""YAML in the 1.2 sense: what a value is, on which line it stands, and what is told when it can't be read."""

import pytest
import yaml

from collection.yaml_files import parser
from tests.collection.yaml_files.readings import data, only_problem, read
from tests.support.patience import soon

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
