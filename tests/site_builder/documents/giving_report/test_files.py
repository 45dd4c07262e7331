"""Page, PDF, spreadsheet, table of values and `--json` say the same, and each quilt given is in each of them once."""

import csv
import io
import json
from collections import Counter
from datetime import date
from decimal import Decimal
from fractions import Fraction

import html5lib
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
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
from tests.site_builder.documents.giving_report.reports import MARK, a_report
from tests.support.made_records import a_collection, a_quilt, donated
from tests.support.years_of_giving import YEAR, years_of_giving

ON = date(2026, 2, 1)

UNCOUNTED = {"planned": "planned", "not_placed": "in no year yet", "came_back": "came back"}

a_year = years_of_giving().map(lambda collection: giving_report(collection, YEAR, ON))
a_year_without_notes = years_of_giving(tax_notes=st.just("none")).map(lambda held: giving_report(held, YEAR, ON))


def money(text: str) -> Money:
    return Money.parse(text, "USD")


def marks_of(report: AnnualReport) -> Counter:
    return Counter(mark for row in report.rows for mark in MARK.findall(row.gift.quilt.title))


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
