"""What columns mean is written as a file that reads back as it is, and whose mistakes are told where they stand."""

import pytest

from collection.spreadsheet_import.columns.columns_file import columns_text, read_columns_file
from collection.spreadsheet_import.columns.sheets import read_sheets
from tests.collection.spreadsheet_import.sheets import a_sheet, a_workbook, taken_in

ROWS = [
    ["Quilt", "Size", "Gave to", "xyzzy: #1"],
    ["Low Tide", "60 x 72", "Harbour Refuge", "blue"],
    ["- Fox", "150 x 180", "Ruth", "=1+1"],
]
PARTNERS = frozenset({"harbour", "nell"})


def written(workbook, unsettled=None):
    return columns_text(workbook, read_sheets(workbook), units="in", unsettled=unsettled or {})


def read(text, workbook=None, partners=PARTNERS):
    return read_columns_file(text.encode(), "my-quilts.columns.yaml", workbook or a_workbook(a_sheet(ROWS)), partners)


def test_a_proposal_reads_back_as_it_was_proposed(tmp_path):
    workbook = a_workbook(a_sheet(ROWS), a_sheet([["Shop", "Metres"], ["Anna's", 3]], "Stash: old"))
    columns, problems = read(written(workbook, {"Harbour Refuge": 1}), workbook)
    assert problems == []
    by_file = taken_in(tmp_path, workbook, columns=columns)
    proposed = taken_in(tmp_path, workbook)
    assert [draft.text for draft in by_file.drafts] == [draft.text for draft in proposed.drafts]
    assert [each.take for each in by_file.sheets] == [True, False]


def test_what_stands_in_a_column_is_shown_beside_it_and_can_end_no_comment():
    text = written(a_workbook(a_sheet([["Quilt", "Notes"], ["Low\nTide", "# x\r\ny: [z"]])))
    assert "      # Low Tide\n" in text
    assert read(text)[1] == []


def test_a_corrected_meaning_is_what_counts(tmp_path):
    columns, _ = read(
        "sheets: {sheet: Quilts, headings: [1], columns: [{column: D, means: colours}, {heading: size, means: note}]}"
    )
    draft = taken_in(tmp_path, ROWS, columns=columns).drafts[0]
    assert draft.data["colours"] == ["blue"]
    assert "finished_size" not in draft.data
    assert "- Size: 60 x 72" in draft.data["notes"]


def test_a_column_that_has_moved_is_found_by_its_heading(tmp_path):
    columns, _ = read(
        "sheets: {sheet: Quilts, headings: [1], columns: [{column: D, heading: 'xyzzy: #1', means: colours}]}"
    )
    moved = [[row[3], *row[:3]] for row in ROWS]
    assert taken_in(tmp_path, moved, columns=columns).drafts[0].data["colours"] == ["blue"]


def test_a_name_is_settled_also_where_it_stands_among_other_words(tmp_path):
    files = {"partners/harbour.yaml": "name: H. R.\n"}
    columns, _ = read("recipients: [{written: Harbour Refuge, is: partner, partner: harbour}]")
    rows = [["Quilt", "Gave to"], ["Low Tide", "donated to Harbour Refuge 2019"]]
    destination = taken_in(tmp_path, rows, files=files, columns=columns).drafts[0].data["destination"]
    assert destination == {"is": "donated", "to": "harbour", "delivered": "2019"}


def test_a_column_may_be_skipped_and_the_account_says_so(tmp_path):
    columns, _ = read("sheets: {sheet: Quilts, headings: [1], columns: [{column: D, means: skip}]}")
    intake = taken_in(tmp_path, ROWS, columns=columns)
    assert "blue" not in intake.drafts[0].text
    assert [entry.where for entry in intake.account if entry.text == "blue"] == ["left out"]


def test_units_days_and_sheets_are_settled_by_the_file(tmp_path):
    rows = [["Quilt", "Size", "Year made"], ["Low Tide", "150 x 180", "5/12/2016"]]
    columns, _ = read("units: cm\nsheets: {sheet: Quilts, headings: 1, dates: day first}", a_workbook(a_sheet(rows)))
    draft = taken_in(tmp_path, rows, columns=columns).drafts[0]
    assert (draft.data["finished_size"], draft.data["made"], "notes" in draft.data) == (
        "150 x 180 cm",
        "2016-12-05",
        False,
    )


def test_a_sheet_without_headings_is_taken_by_the_letters_of_its_columns(tmp_path):
    rows = [["Low Tide", "60 x 72"], ["Bramble", "50 x 50"]]
    columns, _ = read(
        "sheets: {sheet: Quilts, headings: [], columns: [{column: A, means: title}, {column: b, means: size}]}",
        a_workbook(a_sheet(rows)),
    )
    drafts = taken_in(tmp_path, rows, columns=columns).drafts
    assert [(draft.title, draft.data["finished_size"]) for draft in drafts] == [
        ("Low Tide", "60 x 72 in"),
        ("Bramble", "50 x 50 in"),
    ]


@pytest.mark.parametrize(
    ("decided", "destination"),
    [
        ("is: partner, partner: harbour", {"is": "donated", "to": "harbour"}),
        ("is: partner, partner: nell", {"is": "donated", "through": "nell"}),
        ("is: person", {"is": "gifted", "to": "Harbour Refuge"}),
        ("is: charity", {"is": "donated", "note": "For Harbour Refuge"}),
        ("is: free", "free"),
        ("is: note", None),
    ],
)
def test_whom_words_mean_is_settled_by_the_file(tmp_path, decided, destination):
    files = {"partners/harbour.yaml": "name: H. R.\n", "partners/nell.yaml": "name: Nell\nkind: go-between\n"}
    columns, _ = read("recipients: [{written: harbour refuge, " + decided + "}]")
    draft = taken_in(tmp_path, ROWS, files=files, columns=columns).drafts[0]
    assert draft.data.get("destination") == destination


@pytest.mark.parametrize(
    ("text", "line", "field", "remedy"),
    [
        ("sheets:\n  - sheet: Quilts\n    columns:\n      - {column: A, means: titel}\n", 4, "sheets.1.columns.1.means", "Did you mean title?"),
        ("sheets:\n  - sheet: Quitls\n", 2, "sheets.1.sheet", "Did you mean Quilts?"),
        ("sheets: {sheet: Quilts, columns: [{column: Z, means: title}]}", 1, "sheets.1.columns.1", "its last is D"),
        ("sheets: {sheet: Quilts, columns: [{column: 4, means: title}]}", 1, "sheets.1.columns.1", "letters"),
        ("sheets: {sheet: Quilts, columns: [{means: title}]}", 1, "sheets.1.columns.1", "Say which column"),
        ("sheets: {sheet: Quilts, headings: [1, 3]}", 1, "sheets.1.headings", "follow each other"),
        ("sheets: {sheet: Quilts, headings: [one]}", 1, "sheets.1.headings.1", "whole number"),
        ("unit: cm\n", 1, "unit", "Did you mean units?"),
        ("same_rows: twice\n", 1, "same_rows", "once, each"),
        ("recipients: [{written: x, is: partner, partner: harbor}]", 1, "recipients.1.partner", "Did you mean harbour?"),
        ("recipients: [{written: x, is: partner}]", 1, "recipients.1", "the ID"),
    ],
)  # fmt: skip
def test_a_mistake_in_the_file_is_told_where_it_stands_with_what_would_be_right(text, line, field, remedy):
    workbook = a_workbook(a_sheet(ROWS), a_sheet(ROWS, "Stash"))
    columns, problems = read(text, workbook)
    assert columns is None
    (found,) = problems
    assert (found.file, found.line, found.field) == ("my-quilts.columns.yaml", line, field)
    assert remedy in str(found)


def test_all_mistakes_of_the_file_are_told_at_once():
    _, problems = read(
        "sheets: {sheet: Quilts, columns: [{column: Z, means: title}]}\nrecipients: [{written: x, is: partner, partner: y}]"
    )
    assert len(problems) == 2
