"""The loan sheet: what is out to one borrower, until when, and in what condition it went."""

import io
import re

import pytest
from pypdf import PdfReader

from collection.values.dates import EdtfDate
from site_builder.documents.loan_sheet import borrowers, lent_to, loan_sheet
from site_builder.documents.output import set_on_paper
from tests.support.made_records import a_collection, a_quilt

DAY = EdtfDate.parse("2026-05-01")
OUT = {"to": "Hall Show", "for": "exhibition", "from": "2026-02-01", "due": "2026-06-01"}


def a_house(*quilts):
    return a_collection(*quilts, maker={"name": "Ardis", "place": "Teasel Bend", "address": "14 Weir Lane"})


def sheet(*quilts, on=DAY, **asked):
    collection = a_house(*quilts)
    return loan_sheet(collection, lent_to(collection, "Hall Show"), on=on, **asked)


def text_of(view, paper="us-letter") -> str:
    made = set_on_paper("loan_sheet.typ", view, paper=paper, on=DAY.exact_day)
    assert made.shortcoming is None
    pages = PdfReader(io.BytesIO(made.pdf)).pages
    return re.sub(r"\s+", " ", " ".join(page.extract_text() for page in pages))


def test_it_holds_what_is_out_to_that_borrower_now():
    back = OUT | {"back": "2026-04-01"}
    quilts = [
        a_quilt("b", number=2, loans=[OUT]),
        a_quilt("a", number=9, loans=[back, OUT | {"to": " hall  show"}]),
        a_quilt("c", loans=[back]),
        a_quilt("d", loans=[OUT | {"to": "Library"}]),
        a_quilt("e"),
    ]
    assert [quilt.id for quilt in lent_to(a_house(*quilts), "HALL SHOW")] == ["b", "a"]
    assert "Library" in borrowers(a_house(*quilts))


def test_it_says_of_each_what_it_is_how_it_is_and_until_when():
    quilt = a_quilt(
        number=7, finished_size="40 x 45", condition="good", care={"label": True, "sleeve": True}, loans=[OUT]
    )
    view = sheet(quilt)
    (line,) = view.lines
    assert (line.number, line.title, line.condition, line.fitted) == (
        "No. 7",
        "Low Tide",
        "good",
        "labelled, with a hanging sleeve",
    )
    assert (line.since, line.due, line.value) == ("1 February 2026", "1 June 2026", None)
    assert (view.lender, view.borrower, view.purpose) == ("Ardis, Teasel Bend", "Hall Show", "exhibition")
    told = text_of(view)
    assert "Condition out" in told and "Condition in" in told and "1 quilt in all." in told
    assert "Appraised at" not in told


@pytest.mark.parametrize(
    ("loan", "due"), [(OUT | {"due": "2026-04-30"}, "30 April 2026, overdue"), ({"to": "Hall Show"}, "no day set")]
)
def test_a_day_that_is_past_is_said_to_be_overdue(loan, due):
    assert sheet(a_quilt(loans=[loan])).lines[0].due == due


def test_values_notes_and_address_stay_at_home_unless_asked():
    quilt = a_quilt(
        loans=[OUT | {"note": "Hush"}], kept_at="Cedar chest", notes="Never said", condition_note="A stain",
        materials_cost="431.77", appraisal={"value": "871.33", "kind": "insurance replacement", "on": "2020-04-02"},
    )  # fmt: skip
    other = a_quilt("other", loans=[OUT])
    told = text_of(sheet(quilt, other))
    private = ("431", "871", "$", "Cedar", "Never", "stain", "Hush", "Weir Lane")
    assert not [word for word in private if word in told]
    told = text_of(sheet(quilt, other, with_values=True, with_address=True))
    assert "Appraised at" in told
    assert "$871.33, insurance replacement, 2 April 2020" in told
    assert "none recorded" in told and "14 Weir Lane" in told
    assert not [word for word in ("431", "Cedar", "Never", "stain", "Hush") if word in told]


@pytest.mark.parametrize("paper", ["us-letter", "a4"])
@pytest.mark.parametrize("values", [False, True])
def test_sixty_quilts_are_each_there_once_in_all_scripts(paper, values):
    titles = ["春の海", "بحر هادئ", "A long title " * 8, *(f"Quilt {n:02d}." for n in range(57))]
    quilts = [a_quilt(f"q{n:02d}", title=title.strip(), loans=[OUT]) for n, title in enumerate(titles)]
    view = sheet(*quilts, with_values=values)
    told = text_of(view, paper)
    assert [told.count(title) for title in (titles[0], *titles[3:])] == [1] * 58
    assert "60 quilts in all." in told
    first, again = (set_on_paper("loan_sheet.typ", view, paper=paper, on=DAY.exact_day).pdf for _ in range(2))
    assert first == again
