"""A row becomes the record that the maker meant, and what it does not say stays in her words."""

import pytest

from collection.giving.gaps import is_stand_in
from collection.loading.loader import read_collection
from collection.spreadsheet_import.write import check_drafts
from tests.collection.spreadsheet_import.sheets import a_sheet, a_workbook, taken_in

PARTNERS = {
    "partners/river-street.yaml": "name: River Street Shelter\n",
    "partners/nell.yaml": "name: Nell Marsh\nkind: go-between\n",
}


def the_draft(tmp_path, headings, row, **more):
    intake = taken_in(tmp_path, [headings, row], **more)
    reading = read_collection(tmp_path)
    assert [problem for problem in check_drafts(intake, reading) if problem.severity == "error"] == []
    (draft,) = intake.drafts
    return draft


def destination(tmp_path, headings, row):
    return the_draft(tmp_path, ["Quilt", *headings], ["Low Tide", *row], files=PARTNERS).data.get("destination")


def test_a_row_becomes_a_file_with_its_fields_in_the_order_of_the_reference(tmp_path):
    draft = the_draft(
        tmp_path,
        ["Notes", "Colours", "Size", "Quilt", "No.", "Year made", "Cost", "Batting", "Backing"],
        [
            "hung in the hall",
            "blue & green",
            "60 by 72",
            "Low Tide",
            143.0,
            "c. 1998",
            84.5,
            "Cotton",
            "flannel",
        ],
    )
    assert draft.text == (
        "title: Low Tide\nnumber: 143\nmade: 1998~\nfinished_size: 60 x 72 in\nfibre: {backing: flannel, batting: Cotton}\n"
        "colours: [blue, green]\nmaterials_cost: 84.50\nnotes: hung in the hall\n"
    )
    assert draft.file == "quilts/low-tide.yaml"


def test_what_is_nearly_said_stands_in_the_record_and_in_the_notes_with_its_heading(tmp_path):
    draft = the_draft(tmp_path, ["Quilt", "Size", "Gave to"], ["Low Tide", "60x72 bound", "gave to cousin?"])
    assert draft.data["finished_size"] == "60 x 72 in"
    assert draft.data["destination"] == {"is": "gifted", "to": "cousin"}
    assert draft.data["notes"] == "From my-quilts.xlsx, row 2:\n\n- Size: 60x72 bound\n- Gave to: gave to cousin?"


def test_a_row_without_a_title_has_an_honest_one(tmp_path):
    numbered = the_draft(tmp_path, ["Quilt", "No.", "Size"], [None, 143, "60 x 72"])
    assert (numbered.title, is_stand_in(numbered.title, 143)) == ("Quilt 143", True)
    nameless = the_draft(tmp_path, ["Quilt", "Size", "Colours"], [None, "60 x 72", "blue"])
    assert nameless.title == "Untitled, row 2 of my-quilts.xlsx"
    assert is_stand_in(nameless.title)


def test_titles_that_are_alike_or_no_words_have_ids_of_their_own(tmp_path):
    intake = taken_in(
        tmp_path,
        [
            ["Quilt", "Size"],
            ["Low Tide", "60 x 72"],
            ["Low tide!", "50 x 50"],
            ["???", "40 x 40"],
            ["Aux", "1 x 1"],
        ],
    )
    assert [draft.id for draft in intake.drafts] == ["low-tide", "low-tide-2", "quilt", "aux-quilt"]


def test_an_id_that_a_file_has_already_is_not_taken_though_it_be_no_sound_record(tmp_path):
    (tmp_path / "quilts").mkdir()
    (tmp_path / "quilts" / "Low-Tide.yml").write_text("")
    assert taken_in(tmp_path, [["Quilt", "Size"], ["Low Tide", "60 x 72"]]).drafts[0].id == "low-tide-2"


def test_two_of_these_are_two_quilts_and_what_they_cost_is_not_guessed_for_each(tmp_path):
    intake = taken_in(tmp_path, [["Quilt", "No.", "Cost", "Notes"], ["Low Tide", 7, 40, "2 of these, for twins"]])
    first, second = intake.drafts
    assert (first.title, second.title) == ("Low Tide (1 of 2)", "Low Tide (2 of 2)")
    assert (first.data.get("number"), second.data.get("number")) == ("7", None)
    for draft in (first, second):
        assert "materials_cost" not in draft.data
        assert "- Cost: 40" in draft.data["notes"]
    assert {"taken as 2 quilts", "is it for each of them, or for all?"} <= {each.doubt.why for each in intake.doubts}


def test_a_column_says_how_many_and_one_is_one(tmp_path):
    assert (
        len(taken_in(tmp_path, [["Quilt", "Qty"], ["Low Tide", 3], ["Bramble", 1], ["Fenceline", "lots"]]).drafts) == 5
    )


def test_a_number_that_a_quilt_has_already_is_kept_in_words(tmp_path):
    intake = taken_in(
        tmp_path,
        [["Quilt", "No."], ["Bramble", 143]],
        files={"quilts/low-tide.yaml": "title: Low Tide\nnumber: 143\n"},
    )
    assert "number" not in intake.drafts[0].data
    assert "143" in intake.drafts[0].data["notes"]
    assert next(entry for entry in intake.account if entry.text == "143").where == "notes"


def test_a_quilt_that_is_recorded_already_is_left_as_it_is(tmp_path):
    files = {
        "quilts/low-tide.yaml": "title: Low Tide\nnumber: 143\n",
        "quilts/bramble.yaml": "title: Bramble\nmade: 1998\n",
    }
    rows = [
        ["Quilt", "No.", "Year made"],
        ["LOW TIDE", 143, 1998],
        ["Bramble", None, 1998],
        ["Bramble", None, 2004],
    ]
    intake = taken_in(tmp_path, rows, files=files)
    assert [(row.row, row.quilt) for row in intake.held] == [(2, "low-tide"), (3, "bramble")]
    assert [(draft.row, draft.id) for draft in intake.drafts] == [(4, "bramble-2")]


def test_a_remark_on_a_line_of_its_own_belongs_to_the_quilt_above(tmp_path):
    intake = taken_in(
        tmp_path,
        [
            ["Quilt", "Size", "Notes"],
            ["Low Tide", "60 x 72", "blue"],
            [None, None, "and green"],
            ["B", None, None],
        ],
    )
    assert [draft.title for draft in intake.drafts] == ["Low Tide", "B"]
    assert "and green" in intake.drafts[0].data["notes"]


def test_a_story_is_a_private_note_unless_the_maker_says_otherwise(tmp_path):
    draft = the_draft(tmp_path, ["Quilt", "Story"], ["Low Tide", "Made for Ruth when she left"])
    assert "story" not in draft.data
    assert "Made for Ruth" in draft.data["notes"]


def test_a_value_is_no_appraisal_and_an_appraisal_needs_one(tmp_path):
    draft = the_draft(tmp_path, ["Quilt", "Value", "Appraised by"], ["Low Tide", 500, "A. Name"])
    assert "appraisal" not in draft.data
    assert "- Value: 500" in draft.data["notes"]
    appraised = the_draft(tmp_path, ["Quilt", "Appraised value", "Appraised by"], ["Low Tide", 500, "A. Name"])
    assert appraised.data["appraisal"] == {"value": "500.00", "by": "A. Name"}


def test_an_error_in_a_cell_is_no_value(tmp_path):
    draft = the_draft(tmp_path, ["Quilt", "Backing", "Size"], ["Low Tide", "#REF!", "#N/A"])
    assert "fibre" not in draft.data
    assert "- Backing: #REF!" in draft.data["notes"]


def test_units_of_a_heading_count_for_bare_numbers(tmp_path):
    assert (
        the_draft(tmp_path, ["Quilt", "Size (cm)"], ["Low Tide", "150 x 180"]).data["finished_size"] == "150 x 180 cm"
    )
    metric = the_draft(
        tmp_path / "cm",
        ["Quilt", "Size"],
        ["Low Tide", "150 x 180"],
        files={"collection.yaml": "units: cm\n"},
    )
    assert metric.data["finished_size"] == "150 x 180 cm"


def test_days_are_read_as_the_other_cells_of_their_column_show(tmp_path):
    intake = taken_in(tmp_path, [["Quilt", "Date made"], ["A", "5/12/2016"], ["B", "28/5/2016"]])
    assert [(draft.data["made"], "notes" in draft.data) for draft in intake.drafts] == [
        ("2016-12-05", False),
        ("2016-05-28", False),
    ]
    open_to_both = the_draft(tmp_path / "usd", ["Quilt", "Date made"], ["A", "5/12/2016"])
    assert (open_to_both.data["made"], "5/12/2016" in open_to_both.data["notes"]) == ("2016-05-12", True)
    pounds = the_draft(
        tmp_path / "gbp",
        ["Quilt", "Date made"],
        ["A", "5/12/2016"],
        files={"collection.yaml": "currency: GBP\n"},
    )
    assert pounds.data["made"] == "2016-12-05"


def test_an_amount_in_another_currency_leads_to_naming_it_once(tmp_path):
    sheet = ["Quilt", "Cost"], ["A", "£45.00"]
    unsaid = taken_in(tmp_path / "unsaid", list(sheet))
    assert [each.doubt.why for each in unsaid.doubts] == [
        "“£45.00” is in GBP, and the collection does not say what it counts in. Write currency: GBP in collection.yaml."
    ]
    said = the_draft(tmp_path / "said", *sheet, files={"collection.yaml": "currency: GBP\n"})
    assert "materials_cost: 45.00\n" in said.text


@pytest.mark.parametrize(
    ("headings", "row", "expected"),
    [
        (["Gave to"], ["Ruth"], {"is": "gifted", "to": "Ruth"}),
        (["Gave to", "Date given"], ["Ruth", "May 2019"], {"is": "gifted", "to": "Ruth", "on": "2019-05"}),
        (["Gave to"], ["Ruth, wedding 2004"], {"is": "gifted", "to": "Ruth", "on": "2004", "occasion": "wedding"}),
        (["Gave to", "Date given"], ["River Street shelter", 2019], {"is": "donated", "to": "river-street", "delivered": "2019"}),
        (["Gave to", "Date given"], ["via Nell", 2019], {"is": "donated", "through": "nell", "handed_over": "2019"}),
        (["Charity", "Via"], ["River Street Shelter", "Nell"], {"is": "donated", "to": "river-street", "through": "nell"}),
        (["Gave to"], ["Harbour Refuge"], {"is": "donated", "note": "For Harbour Refuge"}),
        (["Gave to"], ["kept"], "kept"),
        (["Status"], ["available"], "free"),
        (["Status", "Gave to"], ["Gifted", "Ruth"], {"is": "gifted", "to": "Ruth"}),
        (["Status", "Gave to"], ["Promised", "River Street Shelter"], {"is": "promised", "to": "river-street"}),
        (["Status", "Gave to"], ["Kept", "Ruth"], None),
        (["Status"], ["Donated"], {"is": "donated"}),
        (["Status"], ["lost"], {"is": "lost"}),
        (["Status"], ["sold"], None),
        (["Where is it"], ["gave to Ruth"], {"is": "gifted", "to": "Ruth"}),
        (["Where is it"], ["cedar chest"], None),
        (["Where is it"], ["River Street Shelter"], {"is": "donated", "to": "river-street"}),
        (["Where is it", "Given?"], ["Ruth", "Y"], {"is": "gifted", "to": "Ruth"}),
        (["Given?"], ["Y"], {"is": "gifted"}),
        (["Given?"], ["N"], None),
        (["Donated?"], ["yes"], {"is": "donated"}),
        (["Still have?"], ["yes"], "kept"),
        (["Status"], ["yes"], None),
        (["Date given"], [2019], {"is": "gifted", "on": "2019"}),
    ],
)  # fmt: skip
def test_where_a_quilt_went_is_told_from_its_cells(tmp_path, headings, row, expected):
    assert destination(tmp_path, headings, row) == expected


def test_a_charity_that_the_collection_has_not_is_proposed_and_not_made_up(tmp_path):
    intake = taken_in(
        tmp_path,
        [["Quilt", "Gave to"], ["A", "Harbour Refuge"], ["B", "harbour refuge"], ["C", "Ruth"]],
        files=PARTNERS,
    )
    assert sum(intake.unknown_charities.values()) == 2
    assert not any("to" in draft.data["destination"] for draft in intake.drafts[:2])


def test_a_status_may_say_how_far_the_quilt_is(tmp_path):
    draft = the_draft(tmp_path, ["Quilt", "Status"], ["Low Tide", "needs binding"])
    assert draft.data["stage"] == "binding"
    assert "destination" not in draft.data


def test_no_under_a_heading_that_asks_says_nothing_of_how_far_the_quilt_is(tmp_path):
    draft = the_draft(tmp_path, ["Quilt", "Given?"], ["Low Tide", "N"])
    assert "stage" not in draft.data
    assert "- Given?: N" in draft.data["notes"]


def test_several_sheets_are_taken_and_one_of_something_else_is_not(tmp_path):
    workbook = a_workbook(
        a_sheet([["Quilt", "Size"], ["Low Tide", "60 x 72"]], "Nineties"),
        a_sheet([["Quilt", "Size"], [None, "50 x 50"]], "Since"),
        a_sheet([["Shop", "Metres"], ["Anna's", 3]], "Stash"),
        a_sheet([["Quilt", "Size"], ["Old", "1 x 1"]], "Old", hidden=True),
    )
    intake = taken_in(tmp_path, workbook)
    assert [(draft.title, draft.sheet) for draft in intake.drafts] == [
        ("Low Tide", "Nineties"), ("Untitled, row 2 of my-quilts.xlsx, sheet Since", "Since"),
    ]  # fmt: skip
    assert [(each.sheet.name, each.why_not) for each in intake.sheets if not each.take] == [
        ("Stash", "no headings were found in it"), ("Old", "it is hidden"),
    ]  # fmt: skip


def test_a_draft_that_is_no_sound_record_is_told_at_its_row(tmp_path):
    intake = taken_in(tmp_path, [["Quilt", "Notes"], ["Low Tide", "blue"], ["Bramble", "x" * 20_001]])
    (problem,) = check_drafts(intake, read_collection(tmp_path))
    assert (problem.file, problem.line, problem.field) == ("my-quilts.xlsx, Quilts", 3, "notes")
