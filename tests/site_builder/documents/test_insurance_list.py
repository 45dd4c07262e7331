"""The insurance list: every category of Object ID, every appraisal with its kind and date, sums by kind."""

import io
import re
from datetime import date

from pypdf import PdfReader
from python_calamine import CalamineWorkbook

from site_builder.documents.insurance_list import insurance_list, sums_by_kind
from site_builder.documents.insurance_workbook import insurance_workbook
from site_builder.documents.object_id import LONGEST_DESCRIPTION, object_record
from site_builder.documents.output import set_on_paper
from site_builder.pages.binder.house import insurance_listing
from site_builder.pages.edition import Edition
from tests.support.made_records import a_collection, a_quilt

DAY = date(2026, 11, 1)
KEPT = {"destination": "kept"}
FULL = a_quilt(
    number=7, made="about 2016", finished_size="60 1/2 x 72", measured="washed", kept_at="Cedar chest", **KEPT,
    also_called=["The Harbour One"], pattern={"name": "Waves", "designer": "R. Oak"}, blocks=["nine patch"],
    techniques=["pieced"], quilting={"by": "Delphine", "how": "longarm"}, features=["buttons"],
    fibre={"top": "cotton", "batting": "wool"}, condition="good", condition_note="A small stain",
    care={"label": True, "sleeve": True}, story="Begun in **March**, for the harbour.\n\nMore of it.",
    photos=["front.jpg", {"file": "label.jpg", "shows": "label", "caption": "For Fern"}], materials_cost="84.50",
    appraisal={"value": "900", "kind": "insurance replacement", "by": "C. Amberly", "on": "2020-04-02"},
)  # fmt: skip
BARE = a_quilt("bare", **KEPT)
GONE = a_quilt("gone", destination="free", appraisal={"value": "5000", "kind": "donation"})

# Source: archives.icom.museum/object-id and the J. Paul Getty Trust's guide of 1999, seen.
OBJECT_ID = {
    "Photographs", "Type of object", "Materials and techniques", "Measurements", "Inscriptions and markings",
    "Distinguishing features", "Title", "Subject", "Date or period", "Maker", "Description",
}  # fmt: skip


def a_house(*quilts):
    return a_collection(*quilts, maker={"name": "Ardis", "place": "Teasel Bend"})


def told_of(quilt) -> dict[str, str | None]:
    return {entry.category: entry.words for entry in object_record(a_house(quilt), quilt)}


def test_every_category_of_object_id_is_there_also_where_nothing_is_recorded():
    assert OBJECT_ID <= told_of(FULL).keys() == told_of(BARE).keys()
    assert all(told_of(FULL).values())
    known = {"Type of object": "quilt", "Title": "Bare", "Maker": "Ardis, Teasel Bend"}
    assert told_of(BARE) == dict.fromkeys(told_of(BARE)) | known


def test_it_says_in_each_category_what_is_recorded():
    told = {category: words.replace("\u00a0", " ") for category, words in told_of(FULL).items()}
    assert told["Materials and techniques"] == "cotton top, wool batting; pieced; quilted on a longarm"
    assert told["Measurements"].startswith("width 60 1/2 in (153.5 cm), length 72 in (183 cm)")
    assert told["Measurements"].endswith("measured after washing")
    unsaid = told_of(a_quilt(finished_size="about 60 x 72"))["Measurements"].replace("\u00a0", " ")
    assert unsaid == "width x length about 60 × 72 in (about 152.5 × 183 cm), about 3.33 sq yd (about 2.79 m²)"
    assert told["Inscriptions and markings"] == "a label is sewn on; For Fern"
    assert told["Distinguishing features"] == "buttons; condition good; A small stain; hanging sleeve"
    assert told["Title"] == "Low Tide; also called The Harbour One"
    assert told["Subject"] == "pattern: Waves by R. Oak; block: nine patch"
    assert (told["Date or period"], told["Maker"]) == ("about 2016", "Ardis, Teasel Bend; quilted by Delphine")
    assert told["Description"] == "Begun in March, for the harbour."
    assert told["Photographs"] == "front, label; still to take: damage, scale"


def test_a_long_story_is_told_as_it_begins():
    told = told_of(a_quilt(story="word " * 200))["Description"]
    assert told.endswith("word …") and len(told) <= LONGEST_DESCRIPTION + 2


def test_a_quilt_on_loan_is_where_it_is_on_loan():
    loan = {"to": "Hall Show", "from": "2026-02-01"}
    assert told_of(a_quilt(kept_at="Cedar chest", loans=[loan]))["Place"] == "on loan: Hall Show"
    assert told_of(a_quilt(kept_at="Cedar chest", loans=[loan | {"back": "2026-03-01"}]))["Place"] == "Cedar chest"


def test_the_list_is_of_what_is_kept_by_number_with_kind_and_date_of_each_appraisal():
    view = insurance_list(a_house(BARE, FULL, GONE), on=date(2026, 11, 1))
    assert [quilt.id for quilt in view.quilts] == ["low-tide", "bare"]
    assert view.quilts[0].appraisal == "$900.00, insurance replacement, by C. Amberly, 2 April 2020"
    assert (view.quilts[1].appraisal, view.quilts[1].materials) == ("none", "not recorded")
    assert view.lead == "2 quilts kept. 1 of them has no appraisal."


def test_an_appraisal_without_kind_or_date_is_said_to_lack_them():
    (listed,) = insurance_list(a_house(a_quilt(**KEPT, appraisal={"value": "900"})), on=date(2026, 11, 1)).quilts
    assert listed.appraisal == "$900.00, kind not recorded, undated"


def test_appraisals_of_different_kinds_are_never_added_up():
    values = [("900", "donation"), ("0.10", "donation"), ("0.20", "donation"), ("7", "fair market"), ("5", None)]
    quilts = [a_quilt(f"q{n}", appraisal={"value": v, "kind": k}) for n, (v, k) in enumerate(values)]
    sums = [(each.kind, each.count, str(each.total)) for each in sums_by_kind([*quilts, BARE], "USD")]
    assert sums == [("donation", 3, "900.30 USD"), ("fair market", 1, "7.00 USD"), ("kind not recorded", 1, "5.00 USD")]


def test_the_pdf_holds_every_quilt_once_in_all_scripts():
    titles = ["春の海", "Blåbær", "A long title " * 10, *(f"Quilt {n:02d}." for n in range(57))]
    quilts = [a_quilt(f"q{n:02d}", title=title.strip(), number=n + 1, **KEPT) for n, title in enumerate(titles)]
    view = insurance_list(a_house(*quilts), on=date(2026, 11, 1))
    made = set_on_paper("insurance_list.typ", view, paper="a4", on=DAY)
    assert made.shortcoming is None
    reader = PdfReader(io.BytesIO(made.pdf))
    told = re.sub(r"\s+", " ", " ".join(page.extract_text() for page in reader.pages))
    # Each title stands over its record, and in it.
    assert [told.count(title) for title in titles[3:]] == [2] * 57
    assert told.count("春の海") == 2 and "60 quilts kept. 60 of them have no appraisal." in told
    assert reader.trailer["/Root"]["/MarkInfo"]["/Marked"]


def test_the_workbook_has_numbers_dates_and_the_same_sums():
    other = a_quilt("other", **KEPT, appraisal={"value": "100.50", "on": "2019~"})
    content = insurance_workbook(a_house(BARE, FULL, GONE, other), on=DAY)
    assert content == insurance_workbook(a_house(BARE, FULL, GONE, other), on=DAY)
    book = CalamineWorkbook.from_filelike(io.BytesIO(content))
    heads, *rows = book.get_sheet_by_name("Kept").to_python()
    listed = {row[0]: dict(zip(heads, row, strict=True)) for row in rows}
    assert listed.keys() == {"low-tide", "bare", "other"}
    full = listed["low-tide"]
    assert (full["Inventory number"], full["Cost of materials"], full["Appraised value"]) == (7, 84.5, 900)
    assert (full["Kind of appraisal"], full["Appraised on"]) == ("insurance replacement", date(2020, 4, 2))
    assert listed["other"]["Appraised on"] == "2019~"
    assert book.get_sheet_by_name("Appraisals").to_python()[1:] == [
        ["insurance replacement", 1, 900],
        ["kind not recorded", 1, 100.5],
    ]


def test_a_title_that_looks_like_a_formula_stays_a_title():
    content = insurance_workbook(a_house(a_quilt(title="=1+1", **KEPT)), on=DAY)
    _, row = CalamineWorkbook.from_filelike(io.BytesIO(content)).get_sheet_by_name("Kept").to_python()
    assert "=1+1" in row


def test_the_binder_shows_the_same_list():
    edition = Edition.binder(a_house(BARE, FULL, GONE), {}, DAY)
    intro, sections, shown = insurance_listing(edition, tuple(edition.collection.quilts.values()), "insurance.html")
    assert intro.startswith("2 quilts kept. Store a copy")
    assert [quilt.id for quilt in shown] == ["low-tide", "bare"]
    overview, *records = sections
    assert [row[-1].text for row in overview.table.rows] == [
        "$900.00, insurance replacement, by C. Amberly, 2 April 2020",
        "none",
    ]
    assert [section.heading for section in records] == ["Low Tide", "Bare"]
    assert OBJECT_ID <= {fact.term for fact in records[1].facts}
    assert {entry.label for fact in records[1].facts for entry in fact.entries} >= {"not recorded", "quilt"}
