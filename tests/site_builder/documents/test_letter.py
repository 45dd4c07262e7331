"""The letter that asks for an acknowledgement: everything received, no value, and what the answer should hold."""

import io
import re

import pytest
from pypdf import PdfReader

from collection.values.dates import EdtfDate
from site_builder.documents.letter import acknowledgement_letter, gifts_to
from site_builder.documents.output import set_on_paper
from tests.support.made_records import a_charity, a_collection, a_quilt, donated

DAY = EdtfDate.parse("2026-12-01")
THERE = {"through": "nell", "handed_over": "2026-05-12", "delivered": "2026-05-30"}


def letter(*records, everything=False, address=False, **settings):
    collection = a_collection(*records, **{"maker": {"name": "Ardis", "address": "14 Weir Lane"}} | settings)
    charity = collection.partners["river-street"]
    gifts = gifts_to(collection, charity, 2026, acknowledged_too=everything)
    return acknowledgement_letter(collection, charity, gifts, year=2026, on=DAY, with_address=address)


def text_of(view) -> str:
    made = set_on_paper("letter.typ", view, paper="a4")
    assert made.shortcoming is None
    pages = PdfReader(io.BytesIO(made.pdf)).pages
    return re.sub(r"\s+", " ", " ".join(page.extract_text() for page in pages))


RECORDS = (
    a_quilt("waits", number=3, finished_size="40 x 45", materials_cost="431.77", destination=donated(**THERE)),
    a_quilt("answered", destination=donated(**THERE, acknowledged="2026-06-02")),
    a_quilt("on-its-way", destination=donated(through="nell", handed_over="2026-05-12")),
    a_quilt("elsewhere", destination=donated(to="hill-hospice", meant_for="river-street", **THERE)),
    a_quilt("last-year", destination=donated(delivered="2025-05-30")),
)


def test_it_lists_what_the_charity_received_and_has_not_acknowledged():
    assert [line.id for line in letter(*RECORDS).lines] == ["waits"]
    assert [line.id for line in letter(*RECORDS, everything=True).lines] == ["answered", "waits"]


def test_it_says_of_each_quilt_what_it_is_when_it_came_and_who_brought_it():
    (line,) = letter(*RECORDS).lines
    assert (line.number, line.title, line.received, line.through) == ("No. 3", "Waits", "30 May 2026", "Nell")
    assert line.size.replace("\u00a0", " ") == "40 × 45 in (101.5 × 114.5 cm)"


def test_it_states_no_value_and_no_address_unless_asked():
    told = text_of(letter(*RECORDS, everything=True, tax_notes="us"))
    assert "431" not in told and "$" not in told and "Weir Lane" not in told
    assert "14 Weir Lane" in text_of(letter(*RECORDS, address=True))


def test_in_the_united_states_it_says_what_an_acknowledgement_should_hold():
    """Source: irs.gov, Charitable contributions: written acknowledgments, seen: the organisation's name, a
    description but not the value, and a statement on goods or services in one of three forms."""
    view = letter(*RECORDS, tax_notes="us")
    asked = " ".join(view.wanted)
    for part in (
        "name of your organisation",
        "state no value",
        "goods or services",
        "in good faith",
        "intangible religious",
    ):
        assert part in asked
    assert len(view.returns) == 3
    told = text_of(view)
    assert all(words in told for words in view.returns)


@pytest.mark.parametrize(("charity", "notes"), [({}, "none"), ({"qualified": False}, "us"), ({"abroad": True}, "us")])
def test_elsewhere_it_is_plain_thanks(charity, notes):
    view = letter(*RECORDS, a_charity(**charity), tax_notes=notes)
    assert view.wanted == view.returns == ()
    told = text_of(view)
    assert "Thank you" in told and "has reached you" in told
    assert "goods or services" not in told


def test_it_is_addressed_to_whom_to_ask_for():
    contact = {"person": "Imogen", "address": "210 River Street", "phone": "555-0134"}
    view = letter(*RECORDS, a_charity(contact=contact))
    assert (view.greeting, view.recipient) == ("Dear Imogen,", ("River Street", "210 River Street"))
    assert letter(*RECORDS).greeting == "Dear friends,"
    assert "0134" not in text_of(view)


def test_one_letter_covers_sixty_quilts_each_once_in_all_scripts():
    titles = [f"Quilt {n:02d}." for n in range(58)] + ["春の海", "بحر هادئ"]
    quilts = [a_quilt(f"q{n:02d}", title=title, destination=donated(**THERE)) for n, title in enumerate(titles)]
    view = letter(*quilts, tax_notes="us")
    told = text_of(view)
    assert [told.count(title) for title in titles[:59]] == [1] * 59
    assert "received the 60 quilts" in told
    assert text_of(view) == told
    first, again = (set_on_paper("letter.typ", view, paper="us-letter", on=DAY.exact_day).pdf for _ in range(2))
    assert first == again
