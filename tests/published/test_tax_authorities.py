"""What the tax notes cite: where each text was read, and that all outputs say of the others that they are from memory.

The tables here are kept apart from the program's own record: who changes one has to read the text, and change the other.
"""

import io
import json
import re
from datetime import date

import html5lib
import pytest
from pypdf import PdfReader
from python_calamine import CalamineWorkbook

from collection.giving.annual_report import AnnualReport, giving_report
from collection.giving.tax_authorities import AUTHORITIES
from collection.giving.tax_notes import RULES
from site_builder.documents.giving_report.json_data import report_data
from site_builder.documents.giving_report.output import pdf_report
from site_builder.documents.giving_report.printed_page import html_report
from site_builder.documents.giving_report.workbook import xlsx_report
from site_builder.pages.edition import Edition
from site_builder.pages.giving import giving_pages
from tests.support.made_records import a_charity, a_collection, a_go_between, a_quilt, donated

MARK = " (from memory)"

READ = {
    # Citation: where its own text was read, and what it says there that the notes need.
    "26 U.S.C. 170(c)": ("customsmobile.com", "a gift to or for the use of a State, or a corporation, trust, fund or foundation"),
    "26 U.S.C. 170(c)(2)(A)": ("customsmobile.com", "created or organized in the United States or in any possession thereof"),
    "26 U.S.C. 170(f)(8)": (
        "law.cornell.edu",
        ("no deduction for any contribution of $250 or more unless by a contemporaneous written acknowledgment; a description "
        "(but not value) of any property; whether goods or services were provided; on or before the earlier of the date of "
        "filing and the due date, including extensions"),
    ),
    "26 U.S.C. 170(f)(11)": (
        "slideshare.net/pecva",
        "(A)(i): no deduction for any contribution of property of more than $500 unless (B), (C) and (D) are met",
    ),
    "26 U.S.C. 170(f)(16)": (
        "law.cornell.edu",
        ("household items, linens among them, in good used condition or better; not a single item of more than $500 with a "
        "qualified appraisal"),
    ),
    "26 U.S.C. 1012": ("uscode.house.gov", "the basis of property shall be the cost of such property"),
    "instructions for Form 8283": (
        "2006",
        ("noncash contributions of more than $500; the date when what was made by the giver was substantially completed; one "
        "appraisal for a group of similar items contributed in the same tax year"),
    ),
    "IRS Publication 526, contributions you can't deduct": (
        "taxmap.ntis.gov",
        "to a specific individual; to a nonqualified organization, foreign ones but for some among them; the value of your time",
    ),
    "IRS Publication 526, clothing and household items": (
        "taxmap.ntis.gov", "good used condition or better, unless more than $500 is deducted for the item, with an appraisal",
    ),
    "IRS Publication 526, deductions over $5,000": (
        "scribd.com/document/630302902",
        "Section B of Form 8283 for each item or group of similar items for which a deduction of over $5,000 is claimed",
    ),
    "Income Tax Act 2007, sections 413, 414 and 416": (
        "legislation.gov.uk", "416(2): the gift takes the form of a payment of a sum of money",
    ),
    "HMRC guidance on Gift Aid, chapter 3": ("gov.uk", "3.2.1: a gift to a charity that is a payment of a sum of money"),
}  # fmt: skip

NOT_READ = {
    # Citation: who says what of it.
    "26 U.S.C. 170(e)(1)(A)": "a Tax Court opinion of 2007 quotes it",
    "26 U.S.C. 111": "Tax Court opinions of 1997 and 1999 describe it, for refunds of state tax",
    "26 U.S.C. 1016": "section 1011 names it",
    "Treas. Reg. 1.170A-1(b)": "a Tax Court opinion of 1997 quotes it, for shares",
    "Public Law 119-21, sections 70424 and 70425": "advisers' pages; the Senate's bill, which is not the printed law",
    "the same instructions as they are now, on items of $500 or less": "the edition of 2003 says so; those in use were not read",
    "IRS Publication 526, contributions you can deduct": "taxact.com (2023) quotes it",
    "IRS Publication 526, property that has increased in value": "advisers' pages on works of art by the donor",
    "IRS Publication 526, records to keep": "a forum quotes it; of the publication itself only the part on gifts of money was read",
}

MADE_OF = {"qualified": True, "contact": {"address": "1 River Street"}}
PARTNERS = (
    a_charity("river-street", **MADE_OF),
    a_charity("hill-hospice", qualified=True),
    a_charity("lyktholmen", abroad=True),
    a_charity("sewing-circle", qualified=False),
    a_charity("wren-ward"),
    a_go_between(),
)


def a_report(*quilts, **settings) -> AnnualReport:
    return giving_report(a_collection(*PARTNERS, *quilts, **({"tax_notes": "us"} | settings)), 2026, date(2026, 12, 31))


def gift(name: str, cost: str | None = None, **fields):
    destination = donated(delivered="2026-05-30") | fields.pop("destination", {})
    return a_quilt(name, materials_cost=cost, destination=destination, **fields)


def reports_with_every_note() -> list[AnnualReport]:
    apart = [
        gift("costly", "5200", condition="worn"),
        gift("no-cost", destination={"to": "hill-hospice"}),
        gift("some-day", "10", destination={"delivered": "2026-05"}),
        gift("some-year", "10", destination={"delivered": "2025-12/2026-01"}),
        gift("not-known", destination={"to": "wren-ward"}),
        gift("not-qualified", destination={"to": "sewing-circle"}),
        gift("abroad", destination={"to": "lyktholmen"}),
        gift("nobody", destination={"to": None}),
        gift("set-aside", destination={"set_aside_for": "A neighbour"}),
        a_quilt("on-its-way", destination=donated(through="nell", handed_over="2026-12-28")),
        a_quilt("to-a-cousin", destination={"is": "gifted", "to": "A cousin", "on": "2026-05"}),
        a_quilt("back", destination="free", history=[donated(delivered="2026-05-30", returned="2026-07-01")]),
    ]
    return [
        a_report(*apart),
        a_report(gift("cheap", "15")),
        a_report(gift("no-cost-alone")),
        a_report(gift("in-pounds"), currency="GBP"),
        a_report(a_quilt("in-nothing", destination=donated(delivered="2026-05-30")), currency=None),
    ]


REPORTS = reports_with_every_note()


def test_each_note_is_in_one_of_the_reports_here():
    assert {note.key for report in REPORTS for note in report.notes} >= set(RULES)


def test_the_record_says_read_of_what_was_read_and_of_nothing_else():
    assert {each.citation for each in AUTHORITIES.values() if each.read_at} == set(READ)
    assert {each.citation for each in AUTHORITIES.values() if not each.read_at} == set(NOT_READ)
    for each in AUTHORITIES.values():
        assert bool(each.read_at) != bool(each.known_by), each
        assert not each.read_at or READ[each.citation][0] in each.read_at, each


def test_each_authority_is_cited_by_a_note():
    assert {key for rule in RULES.values() for key in rule.authorities} == set(AUTHORITIES)


@pytest.mark.parametrize("key", [key for key, rule in RULES.items() if "$" in rule.sentence])
def test_each_threshold_stands_in_a_text_that_was_read(key):
    """Of what the note cites, something that was read has the figure."""
    read = [READ[AUTHORITIES[each].citation][1] for each in RULES[key].authorities if AUTHORITIES[each].read_at]
    for figure in re.findall(r"\$[0-9,]*[0-9]", RULES[key].sentence):
        assert any(re.search(re.escape(figure) + r"(?![0-9,]*[0-9])", text) for text in read), (key, figure)


# In every output --------------------------------------------------------------------------------


def assert_marked(citations: str) -> None:
    """Each citation is one of the tables above, and marked just where its text was not read."""
    for shown in citations.split("; "):
        citation = shown.removesuffix(MARK)
        assert citation in (NOT_READ if shown.endswith(MARK) else READ), shown


def in_the_data(report: AnnualReport) -> list[str]:
    return [note["authority"] for note in json.loads(json.dumps(report_data(report)))["notes"]]


def in_the_spreadsheet(report: AnnualReport) -> list[str]:
    book = CalamineWorkbook.from_filelike(io.BytesIO(xlsx_report(report)))
    (name,) = [name for name in book.sheet_names if "note" in name.lower()]
    return [str(row[3]) for row in book.get_sheet_by_name(name).to_python()[1:] if row[0]]


def lines_to_look_up(page: str) -> list[str]:
    small = html5lib.parse(page, namespaceHTMLElements=False).iter("small")
    return [text.removeprefix("See ") for each in small if (text := "".join(each.itertext())).startswith("See ")]


def on_the_page_to_print(report: AnnualReport) -> list[str]:
    return lines_to_look_up(html_report(report, {}))


def in_the_binder(report: AnnualReport) -> list[str]:
    edition = Edition.binder(report.collection, {}, date(2026, 12, 31))
    pages = [plan.page(edition).view for plan in giving_pages(edition)]
    return [
        line
        for page in pages
        for section in getattr(page, "sections", ())
        for line in lines_to_look_up(section.text or "")
    ]


@pytest.mark.parametrize("output", [in_the_data, in_the_spreadsheet, on_the_page_to_print, in_the_binder])
@pytest.mark.parametrize("report", REPORTS, ids=lambda report: next(iter(report.collection.quilts)))
def test_each_citation_shown_is_marked_where_its_text_was_not_read(report, output):
    shown = [line for line in output(report) if line]
    assert sorted(set(shown)) == sorted({note.authority for note in report.notes if note.authority})
    for line in shown:
        assert_marked(line)


@pytest.mark.parametrize("report", REPORTS, ids=lambda report: next(iter(report.collection.quilts)))
def test_each_citation_in_the_pdf_is_marked_where_its_text_was_not_read(report):
    pages = PdfReader(io.BytesIO(pdf_report(report, {}).pdf)).pages
    text = re.sub(r"Page\d+of\d+", "", "".join("".join(page.extract_text().split()) for page in pages))
    for note in report.notes:
        assert not note.authority or "See" + "".join(note.authority.split()) in text
    for citation in NOT_READ:
        squeezed = "".join(citation.split())
        assert text.count(squeezed) == text.count(squeezed + "".join(MARK.split())), citation


@pytest.mark.parametrize("report", REPORTS, ids=lambda report: next(iter(report.collection.quilts)))
def test_the_notes_send_the_reader_to_the_tax_authority_or_a_licensed_adviser(report):
    first = report.notes[0].sentence
    assert "the IRS or a licensed tax professional" in first
    of_gift_aid = [note.sentence for note in report.notes if note.key == "gift aid"]
    assert all("HMRC or a licensed tax professional" in sentence for sentence in of_gift_aid)
