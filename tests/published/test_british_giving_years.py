"""The British tax year, which a giving year may follow, and what Gift Aid says of goods.

Honesty of each source: seen = read there; derived = counted from what was read.
"""

import pytest

from collection.giving.donations import Giving
from collection.giving.tax_notes import tax_notes
from collection.giving.years import giving_year, read_year, year_bounds, year_label
from collection.values.dates import EdtfDate
from tests.support.made_records import a_collection, a_quilt, donated

STARTS = "04-06"


@pytest.mark.parametrize(
    ("year", "label", "first", "last"),
    [
        # Source: seen: metaglossary.com, tax year: 1999/2000 is the year that ends on 5 April 2000.
        (1999, "1999/00", "1999-04-06", "2000-04-05"),
        # Source: seen: deadsimpleaccounting.co.uk: 2024/25 is 6 April 2024 to 5 April 2025.
        (2024, "2024/25", "2024-04-06", "2025-04-05"),
        # Source: seen: taxpreparationcourses.org: 2025-26 begins on 6 April 2025 and ends on 5 April 2026.
        (2025, "2025/26", "2025-04-06", "2026-04-05"),
    ],
)
def test_a_british_tax_year_runs_from_6_april_to_5_april(year, label, first, last):
    assert tuple(map(str, year_bounds(year, STARTS))) == (first, last)
    assert year_label(year, STARTS) == label
    assert read_year(label, STARTS) == year


@pytest.mark.parametrize(
    ("given", "year"),
    [
        ("2025-04-05", 2024),
        ("2025-04-06", 2025),
        ("2026-04-05", 2025),
        ("2025-05", 2025),
        ("2025-03", 2024),
        ("2025-04", None),
        ("2025", None),
    ],
)
def test_a_gift_lies_in_the_year_of_its_day_and_april_alone_does_not_tell(given, year):
    """Source: the years above, seen; derived: April has days of two of them."""
    assert giving_year(EdtfDate(given), STARTS) == year


def test_a_gift_in_april_counts_in_neither_year_and_says_what_would_place_it():
    """Source: derived: see above."""
    giving = Giving.of(a_collection(a_quilt(destination=donated(delivered="2026-04")), giving_year_starts=STARTS))
    assert giving.report(2025).given == giving.report(2026).given == ()
    (open_one,) = giving.not_placed
    assert open_one.field == "delivered"
    assert all(open_one.may_count_in(*year_bounds(year, STARTS)) for year in (2025, 2026))
    assert not any(open_one.may_count_in(*year_bounds(year, STARTS)) for year in (2024, 2027))


@pytest.mark.parametrize("notes", [{}, {"tax_notes": "us"}])
def test_goods_given_are_not_gift_aid_unless_the_charity_sells_them_for_the_giver(notes):
    """Source: seen: gov.uk, detailed guidance notes, chapter 3 (2024), 3.2.1: a payment of a sum of money; hmrc.gov.uk,
    Selling goods on behalf of individuals: not donated goods, but what they are sold for by the charity as an agent."""
    collection = a_collection(a_quilt(destination=donated(delivered="2026-05-30")), currency="GBP", **notes)
    found = {note.key: note.sentence for note in tax_notes(Giving.of(collection), 2026)}
    assert "does not qualify" in found["gift aid"] and "as your agent" in found["gift aid"]
    assert "tax professional" in found["gift aid"]


def test_a_maker_who_wants_no_tax_notes_reads_none_of_gift_aid_either():
    collection = a_collection(a_quilt(destination=donated(delivered="2026-05-30")), currency="GBP", tax_notes="none")
    assert tax_notes(Giving.of(collection), 2026) == ()


def test_a_maker_who_counts_in_another_currency_reads_nothing_of_gift_aid():
    """Source: common practice, no source."""
    assert tax_notes(Giving.of(a_collection(a_quilt())), 2026) == ()
