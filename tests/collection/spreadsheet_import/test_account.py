"""Every cell that holds something is accounted for, on a messy sheet of four hundred rows and on any other."""

import csv
import io
from collections import Counter

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from collection.loading.loader import read_collection
from collection.spreadsheet_import.account import account_csv, by_where
from collection.spreadsheet_import.columns.meanings import BY_NAME, MEANINGS
from collection.spreadsheet_import.drafts import Draft
from collection.spreadsheet_import.files.limits import SheetRefused
from collection.spreadsheet_import.files.workbook import read_workbook
from collection.spreadsheet_import.importer import Intake, take_in
from collection.spreadsheet_import.write import check_drafts
from collection.yaml_files.parser import read_yaml
from tests.collection.spreadsheet_import.messy_sheet import FIRST_ROW, PARTNERS, TODAY, write_messy_sheet
from tests.collection.spreadsheet_import.sheets import a_sheet, a_workbook, taken_in


def texts_in(value: object) -> str:
    """All that a record says, as one text."""
    match value:
        case dict():
            return " ".join(texts_in(item) for item in value.values())
        case list():
            return " ".join(map(texts_in, value))
        case _:
            return str(value)


def assert_every_cell_is_where_the_account_says(intake: Intake) -> None:
    drafts: dict[str, Draft] = {draft.id: draft for draft in intake.drafts}
    cells = [(sheet.name, cell.place) for sheet, cell in intake.workbook.cells()]
    assert [(entry.sheet, entry.cell) for entry in intake.account] == cells
    for entry in intake.account:
        if entry.where not in ("field", "field and notes", "notes"):
            continue
        assert entry.detail
        for told in entry.detail.split("; "):
            quilt, _, fields = told.partition(": ")
            for field in fields.split(", "):
                if field == "notes":
                    said = str(drafts[quilt].data["notes"]).replace("\n  ", "\n")
                    assert entry.text in said or " ".join(entry.text.split()) in " ".join(said.split()), entry
                elif field != "how many":
                    assert drafts[quilt].holds(field), entry


@pytest.fixture(scope="module")
def messy(tmp_path_factory):
    folder = tmp_path_factory.mktemp("messy")
    (folder / "quilts").mkdir()
    (folder / "partners").mkdir()
    for name, text in PARTNERS.items():
        (folder / name).write_text(text)
    made = write_messy_sheet(folder / "messy.xlsx")
    reading = read_collection(folder)
    return made, take_in(read_workbook(made.path), reading, (), on=TODAY), reading


def test_all_cells_of_a_messy_sheet_are_counted(messy):
    made, intake, _ = messy
    assert len(intake.account) == made.cells
    assert sum(by_where(intake.account).values()) == made.cells
    assert_every_cell_is_where_the_account_says(intake)


def test_what_is_around_a_messy_table_is_named_as_what_it_is(messy):
    _, intake, _ = messy
    counts = Counter(entry.where for entry in intake.account)
    assert counts["title line"] == 2
    assert counts["heading"] == 16
    assert counts["heading again"] == 3 * 14
    assert counts["line between"] == 4
    assert counts["total"] == 4
    assert counts["sheet left out"] == 3


def test_all_drafts_of_a_messy_sheet_are_sound_records(messy):
    _, intake, reading = messy
    assert len(intake.drafts) > 400
    assert [problem for problem in check_drafts(intake, reading) if problem.severity == "error"] == []
    assert len({draft.id for draft in intake.drafts}) == len(intake.drafts)


def test_errors_and_formulas_of_a_messy_sheet_are_kept(messy):
    made, intake, _ = messy
    errors = [entry for entry in intake.account if entry.text == "#DIV/0!"]
    assert len(errors) == made.errors > 3
    assert {entry.where for entry in errors} <= {"notes", "same as another row"}
    assert any(entry.text == "42.5" and entry.where == "field" for entry in intake.account)


def test_rows_that_are_twice_are_taken_once_and_those_of_three_three_times(messy):
    _, intake, _ = messy
    assert len(intake.held) == 7
    for row in intake.held:
        assert row.same_as == f"row {row.row - 1}"
    thrice = [draft for draft in intake.drafts if draft.title.startswith("One of three of that year")]
    assert [draft.data["made"] for draft in thrice] == ["2003"] * 3


def test_hidden_rows_are_read_like_the_others_and_that_is_said(messy):
    _, intake, _ = messy
    assert "hidden rows are read like the others" in intake.workbook.said[0]


def test_cells_that_could_be_obeyed_stay_plain_text(messy):
    _, intake, _ = messy
    for wanted in ('=HYPERLINK("http://x.example","x")', "<b>bold</b> & <script>"):
        draft = next(draft for draft in intake.drafts if str(draft.data.get("notes", "")).startswith(wanted))
        text, problems = read_yaml(draft.text.encode(), draft.file)
        assert problems == []
        assert text.data == draft.data


def test_a_messy_sheet_is_taken_in_the_same_way_every_time(messy):
    made, intake, reading = messy
    again = take_in(read_workbook(made.path), reading, (), on=TODAY)
    assert [draft.text for draft in again.drafts] == [draft.text for draft in intake.drafts]
    assert again.account == intake.account


def test_the_rows_of_a_messy_sheet_are_numbered_as_the_sheet_shows_them(messy):
    _, intake, _ = messy
    assert min(draft.row for draft in intake.drafts) == FIRST_ROW


def test_the_account_as_a_table_has_a_row_for_each_cell_and_no_formula(messy):
    _, intake, _ = messy
    rows = list(csv.reader(io.StringIO(account_csv(intake.account).decode("utf-8-sig"), newline="")))
    assert len(rows) == len(intake.account) + 1
    assert not [text for row in rows for text in row if text.startswith(("=", "+", "-", "@"))]


# Any sheet --------------------------------------------------------------------------------------

HEADINGS = [heading for meaning in MEANINGS for heading in meaning.headings[:4]]
ANYTHING = st.one_of(
    st.text(max_size=25),
    st.integers(-5, 3000),
    st.floats(allow_nan=False, allow_infinity=False, min_value=-1e6, max_value=1e6),
    st.booleans(),
    st.dates(),
    st.sampled_from(
        ("60x72ish", "kept", "gave to cousin?", "2 of these", "Total", "c. 1998", "River Street Shelter", "via Nell", "yes", "sold",
         "Harbour Refuge", "#REF!", "143", "blue & green", "finished", "$45", "promised to Ruth", "donated", "lost", "2", "2019")
    ),
    st.none(),
)  # fmt: skip


@st.composite
def sheets(draw):
    width = draw(st.integers(2, 8))
    headings = draw(st.lists(st.sampled_from([*HEADINGS, "xyzzy"]), min_size=width, max_size=width))
    title = draw(st.sampled_from(("Quilt", "Title", "Size", "No.")))
    above = draw(st.lists(st.lists(ANYTHING, max_size=2), max_size=2))
    rows = draw(st.lists(st.lists(ANYTHING, min_size=2, max_size=width + 2), min_size=1, max_size=8))
    return [*above, [title, *headings], *rows]


@given(sheets())
@settings(max_examples=150)
def test_every_cell_of_any_sheet_is_accounted_for_and_all_drafts_are_sound(tmp_path_factory, rows):
    folder = tmp_path_factory.mktemp("any")
    sheet = a_sheet(
        [[None if isinstance(value, str) and not value.strip() else value for value in row] for row in rows]
    )
    try:
        intake = taken_in(folder, a_workbook(sheet), files=PARTNERS)
    except SheetRefused:
        return
    assert_every_cell_is_where_the_account_says(intake)
    reading = read_collection(folder)
    assert [problem for problem in check_drafts(intake, reading) if problem.severity == "error"] == []


@pytest.mark.parametrize("meaning", [name for name in BY_NAME if name not in ("title", "skip")])
def test_no_meaning_loses_a_cell_whatever_stands_in_it(tmp_path, meaning):
    heading = next(iter(BY_NAME[meaning].headings), "story")
    for text in (
        "60x72ish",
        "2016",
        "maybe",
        "yes",
        "River Street Shelter",
        "gave to cousin?",
        "12",
        "blue & green",
        "№ ½ <b>",
        "about 80",
    ):
        intake = taken_in(tmp_path, [["Title", heading], ["Low Tide", text]])
        assert_every_cell_is_where_the_account_says(intake)
        entry = intake.account[-1]
        assert entry.where in ("field", "field and notes", "notes"), entry
        if entry.where == "field" and meaning in ("note", "kept at", "backing", "batting", "designer"):
            assert text in texts_in(intake.drafts[0].data)
