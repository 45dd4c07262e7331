"""Each file of the report carries out no title, can be read aloud and by programs, and is set in any script."""

import csv
import io
import re
from collections import Counter
from datetime import date

import html5lib
import pytest
from PIL import Image
from pypdf import PdfReader
from python_calamine import CalamineWorkbook

from collection.giving.annual_report import AnnualReport
from site_builder.documents.giving_report.csv_table import csv_table
from site_builder.documents.giving_report.output import pdf_report
from site_builder.documents.giving_report.printed_page import html_report
from site_builder.documents.giving_report.rows import all_rows
from site_builder.documents.giving_report.workbook import xlsx_report
from tests.site_builder.documents.giving_report.reports import MARK, a_report
from tests.support.made_records import a_charity, a_quilt, donated
from tests.support.years_of_giving import PRICES

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
