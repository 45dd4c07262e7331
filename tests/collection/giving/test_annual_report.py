"""The report of a year: every quilt once, recorded and estimated apart, as useful without notes on tax."""

import re
from dataclasses import replace
from datetime import date
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from collection.giving.annual_report import AnnualReport, giving_report
from collection.giving.donations import Giving
from collection.records.collection import Collection
from collection.records.destinations import Donated
from collection.values.money import Money
from tests.support.made_records import a_charity, a_collection, a_quilt, donated
from tests.support.years_of_giving import PRICES, YEAR, years_of_giving


def report(*records, year: int = 2026, on: date | None = None, **settings) -> AnnualReport:
    return giving_report(a_collection(*records, **settings), year, on)


def settled(collection: Collection, **settings) -> Collection:
    """The same collection with other settings."""
    return replace(collection, settings=collection.settings.model_copy(update=settings))


def ids(rows) -> list[str]:
    return [row.gift.quilt.id for row in rows]


# Whole and parts --------------------------------------------------------------------------------


@given(years_of_giving())
def test_each_quilt_given_in_the_year_is_in_just_one_part(collection):
    found = giving_report(collection, YEAR)
    expected = [gift.quilt.id for gift in Giving.of(collection).report(YEAR).given]
    assert sorted(ids(found.rows)) == sorted(expected)
    apart = [*ids(row for part in found.qualified_parts for row in part.rows)]
    apart += ids(row for part in found.other_parts for row in part.rows)
    assert sorted(apart) == sorted(expected)


@given(years_of_giving())
def test_the_parts_add_up_to_the_year(collection):
    found = giving_report(collection, YEAR)
    nothing = Money.nothing(collection.settings.currency)
    assert found.sums.totals == Giving.of(collection).report(YEAR).totals
    assert sum(part.sums.totals.count for part in found.parts) == found.sums.totals.count
    assert sum((part.sums.totals.area for part in found.parts), Fraction(0)) == found.sums.totals.area
    assert sum((part.sums.totals.materials.known for part in found.parts), nothing) == found.sums.totals.materials.known
    assert sum((part.sums.estimated.total for part in found.parts), nothing) == found.sums.estimated.total
    assert sum(part.sums.lacking for part in found.parts) == found.sums.lacking
    both = found.sums_of(found.qualified_parts), found.sums_of(found.other_parts)
    assert sum(sums.totals.count for sums in both) == found.sums.totals.count


@given(years_of_giving())
def test_recorded_estimated_and_neither_are_all_there_is_and_never_mixed(collection):
    found = giving_report(collection, YEAR)
    for row in found.rows:
        assert row.gift.materials is None or row.estimated is None
    for sums in (found.sums, found.before, found.lifetime):
        assert sums.totals.materials.recorded + sums.estimated.count + sums.lacking == sums.totals.count
    without_prices = giving_report(settled(collection, prices=None), YEAR)
    assert without_prices.sums.totals == found.sums.totals
    assert without_prices.sums.estimated.count == 0


@given(years_of_giving())
def test_a_lifetime_holds_the_year_and_the_year_before(collection):
    found = giving_report(collection, YEAR)
    assert found.lifetime.totals.count >= found.sums.totals.count + found.before.totals.count
    assert found.before.totals == giving_report(collection, YEAR - 1).sums.totals


# Notes ------------------------------------------------------------------------------------------


@given(years_of_giving(tax_notes=st.just("us")))
def test_notes_name_quilts_that_exist_and_no_amount_that_was_not_recorded(collection):
    found = giving_report(collection, YEAR)
    recorded = sum(
        (quilt.materials_cost.total for quilt in collection.quilts.values() if quilt.materials_cost),
        Money.nothing("USD"),
    )
    assert found.notes[0].key == "advice"
    for note in found.notes:
        assert set(note.quilts) <= set(collection.quilts)
        assert len(set(note.quilts)) == len(note.quilts)
        assert note.sentence and (note.authority or note.key in ("advice", "calendar year", "other currency"))
        assert note.amount is None or note.amount <= recorded
        told = {Money.parse(each, "USD") for each in re.findall(r"\$[0-9,]+\.[0-9]{2}", note.sentence)}
        assert all(amount <= recorded for amount in told)


@given(years_of_giving(tax_notes=st.just("us")))
def test_what_counts_and_what_counts_for_nothing_are_all_that_was_delivered_in_the_calendar_year(collection):
    notes = {note.key: set(note.quilts) for note in giving_report(collection, YEAR).notes}
    counts = notes.get("counted", set())
    nothing = ("cost missing", "qualification not known", "not qualified", "abroad", "nobody named", "set aside")
    told = [counts, *(notes.get(key, set()) for key in nothing)]
    delivered = {
        gift.quilt.id
        for gift in Giving.of(a_collection(*collection.quilts.values(), *collection.partners.values()))
        .report(YEAR)
        .given
    }
    assert set().union(*told) == delivered
    assert sum(map(len, told)) == len(delivered)


@given(years_of_giving(tax_notes=st.just("us")))
def test_without_notes_the_report_is_the_same_but_for_them(collection):
    with_notes = giving_report(collection, YEAR)
    without = giving_report(settled(collection, tax_notes="none"), YEAR)
    assert without.notes == ()
    assert sorted(ids(without.rows)) == sorted(ids(with_notes.rows))
    assert without.sums == with_notes.sums


def test_another_currency_is_compared_with_no_threshold():
    quilt = a_quilt(destination=donated(delivered="2026-05-01"))
    found = report(a_charity(qualified=True), quilt, tax_notes="us", currency="GBP")
    assert "other currency" in {note.key for note in found.notes}
    assert not any("over" in note.key for note in found.notes)


def test_a_gift_that_may_lie_in_the_year_is_told_and_counted_in_none():
    found = report(a_charity(qualified=True), a_quilt(destination=donated(delivered="about 2026")), tax_notes="us")
    assert {note.key: note.quilts for note in found.notes}["year not certain"] == ("low-tide",)
    assert found.rows == ()


def test_what_a_record_lacks_is_told_with_its_quilt():
    given_in_may = a_quilt("one", destination=donated(delivered="2026-05"), materials_cost="5")
    found = {note.key: note.quilts for note in report(a_charity(qualified=True), given_in_may, tax_notes="us").notes}
    for key in ("day missing", "address missing", "size missing", "receipt missing"):
        assert found[key] == ("one",), key


# Order and words --------------------------------------------------------------------------------


def test_qualified_charities_come_first_then_the_one_with_the_most_quilts():
    quilts = [
        *(a_quilt(f"lodge-{n}", destination=donated(to="the-lodge", delivered="2026")) for n in range(3)),
        *(a_quilt(f"hill-{n}", destination=donated(to="hill-hospice", delivered="2026")) for n in range(2)),
        a_quilt("river", destination=donated(delivered="2026")),
    ]
    partners = (
        a_charity("the-lodge", abroad=True),
        a_charity("hill-hospice", qualified=True),
        a_charity(qualified=True),
    )
    found = report(*partners, *quilts)
    assert found.tells_qualified_apart
    assert [part.charity for part in found.parts] == ["hill-hospice", "river-street", "the-lodge"]
    assert [part.charity for part in found.other_parts] == ["the-lodge"]


def test_where_nothing_is_recorded_on_it_charities_are_not_told_apart():
    quilt = a_quilt(destination=donated(delivered="2026"))
    assert not report(quilt).tells_qualified_apart
    assert report(quilt, tax_notes="us").tells_qualified_apart


@pytest.mark.parametrize(("starts", "label", "before"), [("01-01", "2026", "2025"), ("04-06", "2026/27", "2025/26")])
def test_a_year_is_called_as_its_page_is(starts, label, before):
    found = report(giving_year_starts=starts)
    assert (found.label, found.label_before) == (label, before)


@pytest.mark.parametrize(("on", "ended"), [(None, True), ("2026-12-31", False), ("2027-01-01", True)])
def test_a_year_has_ended_once_its_last_day_has(on, ended):
    assert report(on=date.fromisoformat(on) if on else None).has_ended is ended


def test_a_year_without_gifts_is_a_report_too():
    found = report(prices=PRICES, tax_notes="us")
    assert (found.parts, found.rows, found.sums.totals.count) == ((), (), 0)
    assert [note.key for note in found.notes] == ["advice", "basis", "costs", "from 2026", "nothing recorded"]


def test_a_quilt_that_came_back_is_in_no_report():
    returned = a_quilt(destination="free", history=[donated(delivered="2026-05-01", returned="2026-06")])
    assert report(returned).rows == ()
    assert not isinstance(returned.destination, Donated)
