"""Headings are known by what they mean, wherever in a sheet they stand."""

import pytest

from collection.spreadsheet_import.columns.headings import match_heading
from collection.spreadsheet_import.columns.meanings import MEANINGS
from collection.spreadsheet_import.columns.propose import propose
from collection.spreadsheet_import.columns.tables import find_headings, take_apart
from collection.spreadsheet_import.files.cells import Area
from tests.collection.spreadsheet_import.sheets import a_sheet

QUILT = ["Low Tide", "60 x 72", 1998]


def meanings(rows, **more):
    sheet = a_sheet(rows, **more)
    return [each.meaning for each in propose(take_apart(sheet, find_headings(sheet)))]


# Common practice, no source.
@pytest.mark.parametrize(
    ("heading", "meaning"),
    [
        ("Size", "size"), ("W x L", "size"), ("Dimensions in inches", "size"), ("Finished size (cm)", "size"), ("Aprox size", "size"),
        ("Width", "width"), ("W", "width"), ("Length", "length"), ("Height", "length"),
        ("Finished", "made"), ("Year made", "made"), ("Date completed", "made"), ("When did I finish it", "made"), ("Yr", "made"),
        ("Gave to", "given to"), ("Who has it", "given to"), ("Recipient's name", "given to"), ("Given to / charity", "given to"),
        ("Date given away", "given on"), ("Donated to (charity)", "charity"), ("Via", "go-between"), ("Occasion", "occasion"),
        ("Pattern", "pattern"), ("Pattern name & designer", "pattern"), ("Designer", "designer"), ("Fabric", "fabric"),
        ("Fabric line", "fabric line"), ("Colors", "colours"), ("Main colour", "colours"), ("COLOURWAY", "colours"),
        ("Batting", "batting"), ("Wadding", "batting"), ("Backing", "backing"), ("Quilted by", "quilted by"), ("Longarmer", "quilted by"),
        ("Quilting (hand/machine)", "quilting"), ("Notes", "note"), ("Comments:", "note"), ("Story", "note"), ("Value", "note"),
        ("Where is it now?", "kept at"), ("Storage bin", "kept at"), ("Materials cost ($)", "cost"), ("Appraised value", "appraised value"),
        ("Photo", "photo"), ("Picture file", "photo"), ("No.", "number"), ("#", "number"), ("Inv. no.", "number"), ("Qty", "how many"),
        ("Quilt Name", "title"), ("NAME", "title"), ("Tilte", "title"), ("Status", "status"), ("Washed?", "washed"), ("Label?", "label"),
        ("Book / magazine", "published in"), ("Block", "blocks"), ("Method", "techniques"), ("Type", "note"), ("Age group", "note"), ("Cond.", "condition"),
    ],
)  # fmt: skip
def test_a_heading_is_known_by_its_meaning(heading, meaning):
    assert match_heading(heading).meaning == meaning


@pytest.mark.parametrize("text", ["Low Tide", "60 x 72", "2016", "Blue", "Ruth", "", "xyzzy", "y" * 500])
def test_what_is_no_heading_is_heard_as_none(text):
    assert match_heading(text).meaning is None


def test_no_two_meanings_claim_one_heading():
    phrases = [heading for meaning in MEANINGS for heading in meaning.headings]
    assert sorted(phrases) == sorted(set(phrases))
    for meaning in MEANINGS:
        for heading in meaning.headings:
            assert match_heading(heading).meaning == meaning.name, heading


def test_it_is_known_of_each_meaning_whether_it_goes_out():
    public = {meaning.name for meaning in MEANINGS if meaning.public}
    assert {"title", "size", "made", "story", "quilted by", "washed"} <= public
    assert not public & {
        "note",
        "given to",
        "charity",
        "status",
        "kept at",
        "cost",
        "appraised value",
        "condition",
        "how many",
        "skip",
    }


def test_a_heading_may_state_its_units():
    assert match_heading("Made in").unit is None
    assert [match_heading(text).unit for text in ("Size (cm)", "Size in inches", 'Size (")', "Length, cm", "Size")] == [
        "cm",
        "in",
        "in",
        "cm",
        None,
    ]


def test_a_title_above_the_headings_and_blank_lines_are_no_matter():
    rows = [["My quilts, since 1989"], [], [None, "Quilt", "Size", "Year made"], [None, *QUILT]]
    assert find_headings(a_sheet(rows)) == (3,)
    assert meanings(rows) == ["title", "size", "made"]


def test_a_title_right_above_the_headings_is_no_heading():
    rows = [["My quilts"], ["Quilt", "Size", "Year made"], QUILT]
    assert find_headings(a_sheet(rows)) == (2,)
    assert find_headings(a_sheet(rows, merged=(Area(1, 1, 1, 3),))) == (2,)


def test_headings_in_two_rows_are_read_together():
    rows = [["Quilt", "Size", None, "Year"], [None, "W", "L", "made"], ["Low Tide", 60, 72, 1998]]
    sheet = a_sheet(rows, merged=(Area(1, 2, 1, 3),))
    assert find_headings(sheet) == (1, 2)
    assert [column.heading for column in take_apart(sheet, (1, 2)).columns] == [
        "Quilt",
        "Size W",
        "Size L",
        "Year made",
    ]
    assert find_headings(a_sheet(rows)) == (1, 2), "also where merged cells are not told, as in an .ods"


def test_one_row_of_headings_is_not_taken_for_two():
    rows = [
        ["Quilt", "Size", "Made", "Notes"],
        ["Low Tide", "lap", None, "blue"],
        ["Bramble", "60 x 72", 1998, None],
    ]
    assert find_headings(a_sheet(rows)) == (1,)


def test_a_sheet_of_something_else_has_no_headings():
    assert find_headings(a_sheet([["Shop", "Metres", "Paid"], ["Anna's", 3, 40]])) == ()


def test_finished_is_a_size_a_year_or_how_far_by_what_stands_below_it():
    for below, meaning in (
        (["60 x 72", "50x50"], "size"),
        ([1998, "c. 2001"], "made"),
        (["yes", "no", "needs binding"], "stage"),
    ):
        rows = [
            ["Quilt", "Finished"],
            *([f"Quilt {letter}", value] for letter, value in zip("abc", below, strict=False)),
        ]
        assert meanings(rows) == ["title", meaning]


def test_a_number_that_comes_again_and_again_counts_quilts():
    assert meanings([["Quilt", "Number"], *([f"Q{row}", row % 2 + 1] for row in range(8))]) == [
        "title",
        "how many",
    ]
    assert meanings([["Quilt", "Number"], *([f"Q{row}", row + 1] for row in range(8))]) == ["title", "number"]


def test_materials_are_what_they_cost_where_amounts_stand_below():
    assert meanings([["Quilt", "Materials"], ["A", "$40"], ["B", 12.5]]) == ["title", "cost"]
    assert meanings([["Quilt", "Materials"], ["A", "cotton"], ["B", "flannel"]]) == ["title", "fabric"]


def test_a_name_beside_a_quilt_is_no_title_as_it_may_be_a_persons():
    assert meanings([["Name", "Quilt", "Size"], ["Ruth", "Low Tide", "60 x 72"]]) == ["note", "title", "size"]
    assert meanings([["Name", "Size"], ["Low Tide", "60 x 72"]]) == ["title", "size"]


def test_a_date_behind_a_recipient_is_when_it_was_given():
    rows = [["Quilt", "Year made", "Gave to", "Date"], ["Low Tide", 1998, "Ruth", 1999]]
    assert meanings(rows) == ["title", "made", "given to", "given on"]


def test_a_second_column_of_one_meaning_is_a_note():
    assert meanings([["Quilt", "Size", "Dimensions"], ["Low Tide", "60 x 72", "big"]]) == [
        "title",
        "size",
        "note",
    ]
    assert meanings([["Quilt", "Notes", "Comments"], ["Low Tide", "blue", "big"]]) == [
        "title",
        "note",
        "note",
    ]


def test_a_length_without_a_width_is_a_note():
    assert meanings([["Quilt", "Length"], ["Low Tide", 72]]) == ["title", "note"]


def around(rows, **more):
    sheet = a_sheet(rows, **more)
    table = take_apart(sheet, find_headings(sheet))
    return {f"{row},{column}": kind for (row, column), kind in table.around.items() if kind != "heading"}


def test_totals_are_no_quilts():
    head = ["Quilt", "Size", "Cost"]
    assert around([head, ["Low Tide", "60 x 72", 40], ["Total", None, 40]]) == {
        "3,1": "total",
        "3,3": "total",
    }
    assert around([head, ["A", None, 40], ["B", None, 2], [None, None, 42]]) == {"4,3": "total"}
    assert around([head, ["Total Eclipse", "60 x 72", 40], ["Sum of the Parts", None, None]]) == {}


def test_a_line_that_heads_a_part_of_the_list_is_told_apart():
    head = ["Quilt", "Size", "Cost"]
    assert around([head, ["2016"], ["Low Tide", "60 x 72", 40]]) == {"2,1": "line between"}
    assert around([head, ["BABY QUILTS"], ["Low Tide", "60 x 72", 40]]) == {"2,1": "line between"}
    assert around([head, ["Low Tide"], ["Bramble", "60 x 72", 40]]) == {}


def test_headings_on_a_new_page_are_told_apart():
    head = ["Quilt", "Size", "Cost"]
    assert set(around([head, ["Low Tide", "60 x 72", 40], head, ["B", None, 1]]).values()) == {"heading again"}


def test_headings_of_another_table_below_are_no_quilt_and_are_told():
    rows = [
        ["Quilt", "Size", "Cost"],
        ["Low Tide", "60 x 72", 40],
        [],
        ["Name", "Recipient", "Date given"],
        ["Fox", "Ruth", "2019"],
    ]
    sheet = a_sheet(rows)
    table = take_apart(sheet, find_headings(sheet))
    assert table.others == (4,)
    assert [row.text(1) for row in table.rows] == ["Low Tide", "Fox"]
    assert take_apart(a_sheet([rows[0], ["Star", "wool", "hand"]]), (1,)).others == ()


def test_a_cell_merged_over_several_rows_speaks_of_each():
    sheet = a_sheet([["Quilt", "Year made"], ["A", 2016], ["B"], ["C"]], merged=(Area(2, 2, 4, 2),))
    assert [row.text(2) for row in take_apart(sheet, (1,)).rows] == ["2016"] * 3
