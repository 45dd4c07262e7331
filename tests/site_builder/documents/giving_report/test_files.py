"""Page, PDF, spreadsheet, table of values and `--json` say the same, and each quilt given is in each of them once."""

import csv
import io
import json
import re
from collections import Counter
from datetime import date
from decimal import Decimal
from fractions import Fraction

import html5lib
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image
from pypdf import PdfReader
from python_calamine import CalamineWorkbook

from collection.giving.annual_report import AnnualReport, giving_report
from collection.values.lengths import CM_PER_INCH
from collection.values.money import Money
from site_builder.documents.giving_report.csv_table import csv_table
from site_builder.documents.giving_report.document import lead_words, report_document
from site_builder.documents.giving_report.json_data import report_data
from site_builder.documents.giving_report.output import pdf_report
from site_builder.documents.giving_report.printed_page import html_report
from site_builder.documents.giving_report.rows import all_rows
from site_builder.documents.giving_report.workbook import xlsx_report
from site_builder.pages.edition import Edition
from site_builder.pages.giving import giving_pages
from tests.support.made_records import a_charity, a_collection, a_quilt, donated
from tests.support.years_of_giving import PRICES, YEAR, years_of_giving

ON = date(2026, 2, 1)
MARK = re.compile(r"q[0-9]+x")

UNCOUNTED = {"planned": "planned", "not_placed": "in no year yet", "came_back": "came back"}

a_year = years_of_giving().map(lambda collection: giving_report(collection, YEAR, ON))
a_year_without_notes = years_of_giving(tax_notes=st.just("none")).map(lambda held: giving_report(held, YEAR, ON))


def a_report(*records, year: int = 2026, **fields) -> AnnualReport:
    return giving_report(a_collection(a_charity(qualified=True), *records, **fields), year, date(2026, 12, 31))


def money(text: str) -> Money:
    return Money.parse(text, "USD")


def marks_of(report: AnnualReport) -> Counter:
    return Counter(mark for row in report.rows for mark in MARK.findall(row.gift.quilt.title))


# The same totals --------------------------------------------------------------------------------


@given(a_year)
def test_the_data_for_programs_agree_with_the_core(report):
    data = json.loads(json.dumps(report_data(report)))
    sums, totals = report.sums, data["totals"]
    assert list(data) == [
        "year", "currency", "given", "on_its_way", "to_people", "totals", "notes", "on", "planned", "not_placed", "came_back"
    ]  # fmt: skip
    assert data["on"] == ON.isoformat()
    assert Counter(row["quilt"] for name in UNCOUNTED for row in data[name]) == Counter(
        row.quilt.id for row in all_rows(report) if row.listed_as in UNCOUNTED.values()
    )
    assert list(totals) == ["count", "area", "by_charity", "by_size", "by_month", "materials"]
    assert sorted(row["quilt"] for row in data["given"]) == sorted(row.gift.quilt.id for row in report.rows)
    assert all(
        list(row) == ["quilt", "to", "handed_over", "delivered", "acknowledged", "materials"] for row in data["given"]
    )
    assert totals["count"] == len(data["given"]) == sums.totals.count
    assert Fraction(totals["area"]["square_in"]) == sums.totals.area
    assert totals["area"]["square_cm"] == pytest.approx(float(sums.totals.area * CM_PER_INCH**2), abs=0.01)
    for name in ("by_charity", "by_size", "by_month"):
        assert sum(each["count"] for each in totals[name]) == totals["count"]
    for kind, known in (("recorded", sums.totals.materials.known), ("estimated", sums.estimated.total)):
        rows = [money(row["materials"][kind]) for row in data["given"] if row["materials"][kind] is not None]
        assert sum(rows, money("0")) == money(totals["materials"][kind]) == known
        assert totals["materials"][f"{kind}_count"] == len(rows)
    assert [note["key"] for note in data["notes"]] == [note.key for note in report.notes]


@given(a_year)
def test_the_table_of_values_agrees_with_the_core(report):
    rows = list(csv.DictReader(io.StringIO(csv_table(report).decode("utf-8-sig"), newline="")))
    given_rows = [row for row in rows if row["Listed as"] == "given"]
    assert sorted(row["Quilt"] for row in given_rows) == sorted(row.gift.quilt.id for row in report.rows)
    assert Counter(row["Charity"] or None for row in given_rows) == Counter(report.sums.totals.by_charity)
    for kind, known in (("recorded", report.sums.totals.materials.known), ("estimated", report.sums.estimated.total)):
        amounts = [Decimal(row[f"Materials {kind}, USD"]) for row in given_rows if row[f"Materials {kind}, USD"]]
        assert sum(amounts, Decimal(0)) == known.amount
    assert Counter(row["Listed as"] for row in rows) == +Counter(
        {
            "given": len(report.rows),
            "on its way": len(report.of_year.on_its_way),
            "to a person": len(report.of_year.to_people),
            "planned": len(report.planned),
            "in no year yet": len(report.not_placed),
            "came back": len(report.former),
        }
    )


@given(a_year)
def test_the_spreadsheet_agrees_with_the_core(report):
    book = CalamineWorkbook.from_filelike(io.BytesIO(xlsx_report(report)))
    heads, *rows = book.get_sheet_by_name("Given").to_python()
    total = dict(zip(heads, rows[-1], strict=True))
    listed = [dict(zip(heads, row, strict=True)) for row in rows[: len(report.rows)]]
    sums = report.sums
    assert [row["Quilt"] for row in listed] == [row.gift.quilt.id for row in report.rows]
    assert (total["Quilt"], total["Title"]) == ("All", sums.totals.count)
    assert total["Square yards"] == pytest.approx(float(sums.totals.area / 36**2))
    for column, known in (
        ("Materials recorded", sums.totals.materials.known),
        ("Materials estimated", sums.estimated.total),
    ):
        assert total[column] == pytest.approx(float(known.amount))
        assert sum(row[column] or 0 for row in listed) == pytest.approx(float(known.amount))
    for name, listed in (
        ("Planned", report.planned),
        ("In no year yet", report.not_placed),
        ("Came back", report.former),
    ):
        shown = [row[0] for row in book.get_sheet_by_name(name).to_python()[1:]] if name in book.sheet_names else []
        assert shown == [each.quilt.id for each in listed]
    summary = book.get_sheet_by_name("Summary").to_python()
    assert sections(summary, "By charity", 2) == {
        part.name or "Charity not known yet": part.sums.totals.count for part in report.parts
    }
    assert sections(summary, "By month of delivery", 1) == {
        f"{month[0]}-{month[1]:02d}" if month else "not known": count for month, count in sums.totals.by_month.items()
    }
    assert sum(sections(summary, "By size", 1).values()) == sums.totals.count


def sections(summary: list[list], heading: str, column: int) -> dict[str, float]:
    """The rows below a heading, until its total."""
    start = next(index for index, row in enumerate(summary) if row[0] == heading) + 1
    found = {}
    for row in summary[start:]:
        if row[0] in ("", "All"):
            break
        found[row[0]] = row[column]
    return found


@given(a_year_without_notes)
@settings(max_examples=40)
def test_the_page_to_print_agrees_with_the_core(report):
    text = "".join(html5lib.parse(html_report(report, {}), namespaceHTMLElements=False).find("body").itertext())
    assert Counter(MARK.findall(text)) == marks_of(report) + marks_elsewhere(report)
    assert_totals_are_told(report, text)


@given(a_year_without_notes)
@settings(max_examples=20)
def test_the_pdf_agrees_with_the_core(report):
    pages = PdfReader(io.BytesIO(pdf_report(report, {}).pdf)).pages
    text = "\n".join(page.extract_text() for page in pages)
    assert Counter(MARK.findall(text)) == marks_of(report) + marks_elsewhere(report)
    assert_totals_are_told(report, text)
    for number, page in enumerate(pages, start=1):
        assert f"Page {number} of {len(pages)}" in page.extract_text()


def marks_elsewhere(report: AnnualReport) -> Counter:
    others = (
        *report.of_year.on_its_way,
        *report.of_year.to_people,
        *report.planned,
        *report.not_placed,
        *report.former,
    )
    return Counter(mark for gift in others for mark in MARK.findall(gift.quilt.title))


def assert_totals_are_told(report: AnnualReport, text: str) -> None:
    words = " ".join(text.split())
    sums = report.sums
    if not report.rows:
        assert f"No quilt reached a charity in {report.label}" in words
        return
    acknowledged = sums.totals.count - sums.totals.unacknowledged
    recorded = sums.totals.materials.known.say() if sums.totals.materials.recorded else "not recorded"
    total = f"All {sums.totals.count} {acknowledged} {recorded}"
    total += f" {sums.estimated.total.say()}" if sums.estimated.count else ""
    squeezed = words.replace(" ", "")
    assert total.replace(" ", "") in squeezed
    assert f"Quiltsgiven{sums.totals.count}{report.before.totals.count}{report.lifetime.totals.count}" in squeezed


@given(a_year)
@settings(max_examples=60)
def test_the_binders_page_agrees_with_the_core(report):
    edition = Edition.binder(report.collection, {}, ON)
    specs = [plan.page(edition) for plan in giving_pages(edition)]
    page = next((spec for spec in specs if spec.title == f"Given in {report.label}"), None)
    if page is None:
        assert not report.rows and not report.of_year.to_people
        assert all(gift.donation.handed_over.exact_day is None for gift in report.of_year.on_its_way)
        return
    tables = {section.anchor: section.table for section in page.view.sections if section.table}
    compared = {row[0].text: row[1].text for row in tables["compared"].rows}
    assert compared["Quilts given"] == str(report.sums.totals.count)
    assert compared["Materials recorded"] == report.sums.totals.materials.known.say()
    if report.rows:
        quilts = [MARK.search(row[0].text)[0] for row in tables["each"].rows]
        assert Counter(quilts) == marks_of(report)
        total = [cell.text for cell in tables["each"].total]
        assert total[1] == str(report.sums.totals.count)
        assert report.sums.totals.materials.known.say() in total
        assert (report.sums.estimated.total.say() in total) or not report.sums.estimated.count
    for anchor, listed in (
        ("planned", report.planned),
        ("not-placed", report.not_placed),
        ("came-back", report.former),
    ):
        shown = [MARK.search(row[0].text)[0] for row in tables[anchor].rows] if anchor in tables else []
        assert Counter(shown) == Counter(MARK.search(each.quilt.title)[0] for each in listed)
    if "qualified" in tables or "others" in tables:
        apart = [tables[name].total[1].text for name in ("qualified", "others") if name in tables]
        assert sum(map(int, apart)) == report.sums.totals.count


# Nothing is carried out -------------------------------------------------------------------------

FORMULAS = ["=1+1", "+1", "-1", "@SUM(A1)", '=HYPERLINK("http://quilts.example")', "\t=1", "＝1", "=cmd|' /C calc'!A0"]


@pytest.mark.parametrize("title", FORMULAS)
def test_no_title_is_taken_for_a_formula(title):
    report = a_report(a_quilt(title=title, destination=donated(delivered="2026-05-30")))
    kept = title.strip()
    row = next(csv.DictReader(io.StringIO(csv_table(report).decode("utf-8-sig"), newline="")))
    assert row["Title"] == f"'{kept}"
    given_sheet = CalamineWorkbook.from_filelike(io.BytesIO(xlsx_report(report))).get_sheet_by_name("Given")
    assert given_sheet.to_python()[1][2] == kept


@pytest.mark.parametrize(
    "title", ["#set page(fill: red)", "*bold* $x$ \\", "#panic()", "<script>alert(1)</script>", "{{ 1 }}", "@me"]
)
def test_no_title_is_taken_for_markup(title):
    report = a_report(a_quilt(title=title, destination=donated(delivered="2026-05-30")))
    made = pdf_report(report, {})
    assert made.shortcoming is None
    assert title.replace(" ", "") in text_of(made.pdf)
    page = html_report(report, {}).decode()
    assert title in "".join(html5lib.parse(page, namespaceHTMLElements=False).find("body").itertext())
    assert "<script" not in page


def test_a_size_that_is_only_about_right_is_no_exact_one_in_the_tables():
    given = donated(delivered="2026-05-30")
    quilts = (
        a_quilt(name, finished_size=size, destination=given)
        for name, size in (("a", "60 x 72"), ("b", "about 60 x 72"))
    )
    rows = {row.quilt.id: row.category for row in all_rows(a_report(*quilts, a_charity()))}
    assert rows["b"] == f"{rows['a']}, size approximate"


def text_of(pdf: bytes) -> str:
    """All its words, with no space between them: lines end where there is room."""
    return "".join("".join(page.extract_text().split()) for page in PdfReader(io.BytesIO(pdf)).pages)


# A file to hand on ------------------------------------------------------------------------------


def a_picture(colour: str = "seagreen") -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (60, 80), colour).save(out, "JPEG")
    return out.getvalue()


def the_year(**fields) -> AnnualReport:
    return a_report(
        a_quilt("low-tide", finished_size="60 1/2 x 72", materials_cost="84.50", destination=donated(delivered="2026-05-30")),
        a_quilt("high-tide", finished_size="40 x 40", destination=donated(delivered="2026-06")),
        a_quilt("slack-water", destination=donated(to=None, through="nell", handed_over="2026-07-01")),
        a_quilt("spring-tide", destination={"is": "gifted", "to": "A niece", "on": "2026"}),
        tax_notes="us", prices=PRICES, maker="Ardis", **fields,
    )  # fmt: skip


def test_the_pdf_can_be_read_aloud():
    """What PDF/UA-1 asks for that can be looked up: tags, language, title, words in place of pictures."""
    made = pdf_report(the_year(), {"low-tide": a_picture()})
    reader = PdfReader(io.BytesIO(made.pdf))
    catalogue = reader.trailer["/Root"]
    assert made.shortcoming is None
    assert catalogue["/MarkInfo"]["/Marked"]
    assert catalogue["/Lang"] == "en"
    assert catalogue["/ViewerPreferences"]["/DisplayDocTitle"]
    assert reader.metadata.title == "Quilts given in 2026"
    assert b"pdfuaid:part" in catalogue["/Metadata"].get_data()
    tags = Counter(tag for tag, _ in structure(catalogue["/StructTreeRoot"]))
    assert {"/Table", "/TH", "/TD", "/H1", "/Figure"} <= set(tags)
    assert [words for tag, words in structure(catalogue["/StructTreeRoot"]) if tag == "/Figure"] == [
        "Photo of Low Tide"
    ]


def structure(element) -> list[tuple[str, str | None]]:
    """Every tag of a document, with the words that stand in its place."""
    element = element.get_object()
    if not isinstance(element, dict):
        return []
    found = [(element["/S"], element.get("/Alt"))] if "/S" in element else []
    kids = element.get("/K", [])
    for kid in kids if isinstance(kids, list) else [kids]:
        found += structure(kid)
    return found


def test_dates_numbers_and_formulas_of_the_spreadsheet_are_real():
    book = CalamineWorkbook.from_filelike(io.BytesIO(xlsx_report(the_year())))
    heads, first, second, *_ = book.get_sheet_by_name("Given").to_python()
    rows = {row[0]: dict(zip(heads, row, strict=True)) for row in (first, second)}
    assert rows["low-tide"]["Delivered"] == date(2026, 5, 30)
    assert rows["low-tide"]["Width, in"] == 60.5
    assert rows["low-tide"]["Materials recorded"] == 84.5
    assert rows["high-tide"]["Delivered"] == "2026-06"
    assert rows["high-tide"]["Materials recorded"] == ""
    assert rows["high-tide"]["Materials estimated"] > 0
    assert set(book.sheet_names) == {"Summary", "Given", "On their way", "To people", "Notes on US tax"}


@pytest.mark.parametrize(
    "make",
    [xlsx_report, csv_table, lambda r: html_report(r, {}), lambda r: pdf_report(r, {}).pdf],
    ids=["xlsx", "csv", "html", "pdf"],
)
def test_the_same_report_gives_the_same_bytes(make):
    assert make(the_year()) == make(the_year())


def test_the_page_to_print_asks_for_nothing_beside_itself():
    page = html_report(the_year(), {"low-tide": a_picture()}).decode()
    addresses = re.findall(r"""(?:src|href|url)\s*[=(]\s*["']?([^"')\s>]+)""", page)
    assert addresses and all(address.startswith("data:image/jpeg;base64,") for address in addresses)


NAMES = {
    "accents": "Łódź, Ærøskøbing, ő and ½",
    "Greek and Cyrillic": "Πάπλωμα, Лоскутное одеяло",
    "Hebrew": "שמיכת טלאים",
    "Arabic": "لحاف مرقع",
    "Japanese": "夜の海のキルト",
    "Chinese": "拼布被子",
    "Korean": "조각보 이불",
    "Thai and Hindi": "ผ้านวม, रज़ाई",
    "emoji": "Quilt 🧵🙂",
    "long": "An extraordinarily long name that somebody once thought would do for a quilt, " * 12,
    "one long word": "Donaudampfschiff" * 30,
}


@pytest.mark.parametrize("name", NAMES.values(), ids=NAMES)
def test_names_in_any_script_are_set_from_the_fonts_that_came_along(name):
    report = a_report(
        a_charity("lodge", name=name), a_quilt(title=name, destination=donated(to="lodge", delivered="2026-05-30"))
    )
    made = pdf_report(report, {})
    assert made.shortcoming is None
    assert b"pdfuaid:part" in PdfReader(io.BytesIO(made.pdf)).trailer["/Root"]["/Metadata"].get_data()


def test_a_letter_that_no_font_has_is_told_and_stops_nothing():
    report = a_report(a_quilt(title="Old letters \U0001335a", destination=donated(delivered="2026-05-30")))
    made = pdf_report(report, {})
    assert "Some letters are in none of the fonts" in (made.shortcoming or "")
    assert made.pdf.startswith(b"%PDF-")


def test_four_hundred_quilts_are_a_document_of_many_pages_with_one_total():
    quilts = [
        a_quilt(
            f"quilt-{n}",
            title=f"q{n}x",
            finished_size="60 x 72",
            materials_cost="15",
            destination=donated(delivered="2026-05-30"),
        )
        for n in range(400)
    ]
    report = a_report(*quilts)
    reader = PdfReader(io.BytesIO(pdf_report(report, {}).pdf))
    text = " ".join(page.extract_text() for page in reader.pages)
    assert Counter(MARK.findall(text)) == Counter(f"q{n}x" for n in range(400))
    assert "All 400 quilts" in " ".join(text.split())
    assert "$6,000.00" in text
    assert len(reader.pages) > 10


@pytest.mark.parametrize(
    "make",
    [xlsx_report, csv_table, lambda r: html_report(r, {}), lambda r: pdf_report(r, {}).pdf],
    ids=["xlsx", "csv", "html", "pdf"],
)
def test_a_year_without_gifts_makes_every_kind_of_file(make):
    assert make(a_report(tax_notes="us", prices=PRICES))


def test_a_note_names_a_dozen_quilts_and_says_how_many_more():
    quilts = [
        a_quilt(f"quilt-{n:02d}", materials_cost="15", destination=donated(delivered="2026-05-30")) for n in range(40)
    ]
    notes = report_document(a_report(*quilts, tax_notes="us")).notes
    first, again = [note for note in notes if note.count.endswith("40 quilts")][:2]
    assert (first.count, len(first.names), first.more) == ("40 quilts", 12, " and 28 more")
    assert (again.count, again.names) == ("The same 40 quilts", ())


@pytest.mark.parametrize(
    ("history", "words"),
    [
        (donated(delivered="2025-05", returned="2025-06"), "1 more was given in it and is back or lost."),
        (donated(delivered="2024-05", returned="2025-06"), "1 from before came back or was lost in it."),
        (donated(delivered="2025", returned="2025-06"), "1 more was given in it and is back or lost."),
        (donated(delivered="2024/2025", returned="2025-06"), "1 more may have been given or come back in it."),
        (donated(delivered="2024-05", returned="2025/2026"), "1 more may have been given or come back in it."),
        (donated(through="nell", handed_over="2025-05", returned="2025-06"), "1 more left in it and never arrived."),
    ],
)
def test_what_is_over_is_told_by_what_surely_happened_in_the_year(history, words):
    collection = a_collection(a_quilt(destination="free", history=[history]))
    assert lead_words(giving_report(collection, 2025)) == f"No quilt reached a charity in 2025. {words}"
