"""Taking a sheet in again adds what is new, and changes and doubles nothing."""

import json
import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from collection.problems import CollectionProblems
from collection.spreadsheet_import.earlier_imports import FOLDER, free_name, read_taken, taken_text
from tests.collection.spreadsheet_import.sheets import a_sheet, a_workbook, remembered, taken_in

HEAD = ["No.", "Quilt", "Size", "Gave to"]
ROWS = [
    [1, "Low Tide", "60 x 72", "Ruth"],
    [2, "Bramble", "50 x 50", None],
    [3, "Fenceline", "40 x 60ish", "kept"],
    [None, "Owl", None, "Ann"],
    [None, None, "36 x 36", "Ann"],
]


def again(folder, rows, before, head=HEAD, name="my-quilts.xlsx", sheet="Quilts", **more):
    return taken_in(folder, a_workbook(a_sheet([head, *rows], sheet), name=name), taken=before, **more)


@pytest.fixture
def first(tmp_path):
    return remembered(again(tmp_path, ROWS, []))


def test_the_same_sheet_brings_nothing_new(tmp_path, first):
    intake = again(tmp_path, ROWS, first)
    assert (intake.drafts, intake.taken_before, intake.changed) == ((), 5, ())


def test_a_longer_sheet_brings_its_new_rows_only(tmp_path, first):
    intake = again(tmp_path, [*ROWS[:2], [9, "New One", "20 x 20", None], *ROWS[2:]], first)
    assert [draft.title for draft in intake.drafts] == ["New One"]
    assert intake.taken_before == 5


@given(
    st.permutations(range(len(ROWS))),
    st.permutations(range(len(HEAD))),
    st.sampled_from(("my-quilts.xlsx", "list.csv")),
)
@settings(max_examples=25)
def test_a_sheet_in_another_order_or_under_another_name_brings_nothing(tmp_path_factory, order, columns, name):
    folder = tmp_path_factory.mktemp("again")
    before = remembered(again(folder, ROWS, []))
    rows = [[ROWS[row][column] for column in columns] for row in order]
    intake = again(folder, rows, before, head=[HEAD[column] for column in columns], name=name, sheet=name)
    assert (intake.drafts, intake.taken_before) == ((), 5)


def test_headings_that_are_called_otherwise_bring_nothing(tmp_path, first):
    intake = again(tmp_path, ROWS, first, head=["#", "Name of quilt", "W x L", "Recipient"])
    assert (intake.drafts, intake.taken_before) == ((), 5)


def test_a_row_that_was_changed_is_told_with_what_it_would_be_and_not_applied(tmp_path, first):
    rows = [[1, "Low Tide", "61 x 72", "Ruth"], *ROWS[1:]]
    intake = again(tmp_path, rows, first)
    assert intake.drafts == ()
    (row,) = intake.changed
    (cell,) = row.differences
    assert row.quilts == ("low-tide",)
    assert (cell.heading, cell.before, cell.now, cell.proposed) == (
        "Size",
        "60 x 72",
        "61 x 72",
        {"finished_size": "61 x 72 in"},
    )


def test_a_change_that_the_maker_has_made_in_the_record_is_told_no_more(tmp_path, first):
    rows = [[1, "Low Tide", "61 x 72", "Ruth"], *ROWS[1:]]
    intake = again(
        tmp_path, rows, first, files={"quilts/low-tide.yaml": "title: Low Tide\nfinished_size: 61 x 72 in\n"}
    )
    assert (intake.drafts, intake.changed) == ((), ())


def test_a_row_without_number_and_title_is_known_by_most_of_its_cells(tmp_path):
    head = ["Quilt", "Size", "Gave to", "Colours"]
    before = remembered(again(tmp_path, [[None, "36 x 36", "Ann", "red"], ["Owl", "1 x 1", None, None]], [], head=head))
    intake = again(tmp_path, [["Named now", "36 x 36", "Ann", "red"], ["Owl", "1 x 1", None, None]], before, head=head)
    assert intake.drafts == ()
    assert [(cell.heading, cell.before, cell.now) for cell in intake.changed[0].differences] == [
        ("Quilt", "", "Named now")
    ]


def test_a_column_that_was_filled_since_changes_rows_and_makes_none(tmp_path, first):
    rows = [[*row, "cotton"] for row in ROWS]
    for name in ("my-quilts.xlsx", "renamed.xlsx"):
        intake = again(tmp_path, rows, first, head=[*HEAD, "Batting"], name=name)
        assert intake.drafts == ()
        assert {cell.heading for row in intake.changed for cell in row.differences} == {"Batting"}


def test_a_quilt_that_was_taken_away_is_not_made_again(tmp_path, first):
    assert not list((tmp_path / "quilts").iterdir())
    assert again(tmp_path, ROWS, first).drafts == ()


def test_another_sheet_with_a_quilt_of_the_same_title_is_another_quilt(tmp_path, first):
    intake = again(
        tmp_path,
        [[None, "Low Tide", "20 x 20", "Bea"], [None, "Other", "1 x 1", None]],
        first,
        name="aunt.xlsx",
        sheet="Aunt",
    )
    assert [draft.title for draft in intake.drafts] == ["Low Tide", "Other"]


def test_a_row_twice_is_one_quilt_unless_the_maker_says_each(tmp_path):
    from collection.spreadsheet_import.columns.columns_file import ColumnsFile

    rows = [[None, "Charity quilt", "40 x 60", None]] * 3
    assert len(again(tmp_path, rows, []).drafts) == 1
    each = ColumnsFile(same_rows="each")
    intake = again(tmp_path, rows, [], columns=each)
    assert len(intake.drafts) == 3
    assert again(tmp_path, rows, remembered(intake), columns=each).drafts == ()
    assert len(again(tmp_path, [*rows, rows[0]], remembered(intake), columns=each).drafts) == 1


CELLS = st.sampled_from((None, "a", "b", "60 x 72", "2016", "kept", "x y", 3))
MANY_ROWS = st.lists(st.lists(CELLS, min_size=4, max_size=4), max_size=12)


@given(MANY_ROWS, MANY_ROWS, st.randoms(use_true_random=False))
@settings(max_examples=60)
def test_whatever_is_added_and_moved_no_row_is_taken_twice(tmp_path_factory, rows, more, dice: random.Random):
    folder = tmp_path_factory.mktemp("rows")
    rows = [["1", "Low Tide", None, None], *rows]
    before = remembered(again(folder, rows, []))
    mixed = [*rows, *more]
    dice.shuffle(mixed)
    intake = again(folder, mixed, before)
    fresh = {tuple(sorted(map(str, filter(None, row)))) for row in mixed} - {
        tuple(sorted(each.cells.values())) for each in before
    }
    assert len(intake.rows_taken) <= len(fresh)


# The file ---------------------------------------------------------------------------------------


def test_what_was_taken_is_read_back_from_its_file(tmp_path):
    intake = again(tmp_path, ROWS, [])
    (tmp_path / FOLDER).mkdir()
    name = free_name(tmp_path, "2026-11-25", "my-quilts")
    (tmp_path / name).write_bytes(taken_text("my-quilts.xlsx", "2026-11-25", intake.rows_taken))
    assert list(read_taken(tmp_path)) == remembered(intake)
    assert free_name(tmp_path, "2026-11-25", "my-quilts") == f"{FOLDER}/2026-11-25-my-quilts-2.json"


@pytest.mark.parametrize(
    "content", ["", "{", "[]", json.dumps({"version": 99, "source": "x", "rows": []}), '{"version": 1}']
)
def test_a_file_of_what_was_taken_that_cannot_be_read_stops_the_taking(tmp_path, content):
    (tmp_path / FOLDER).mkdir()
    (tmp_path / FOLDER / "x.json").write_text(content)
    with pytest.raises(CollectionProblems) as told:
        read_taken(tmp_path)
    assert told.value.problems[0].file == f"{FOLDER}/x.json"
