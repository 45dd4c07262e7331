"""What waits for a word on a given day."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from collection.giving.follow_ups import find_follow_ups, is_past
from collection.values.dates import EdtfDate
from tests.support.made_records import a_charity, a_collection, a_go_between, a_quilt, a_request, donated

TODAY = date(2026, 10, 20)


def waiting(*records, on: date = TODAY, **settings) -> list[tuple[str, str, str]]:
    """Each matter with the quilt or partner that it is about, and whom to ask."""
    found = find_follow_ups(a_collection(*records, **settings), on)
    return [(each.matter, (each.quilt or each.partner).id, each.ask) for each in found]


def with_nell(handed_over: str, **more):
    return a_quilt(destination=donated(through="nell", handed_over=handed_over, **more))


def test_a_go_between_is_asked_once_the_patience_is_over():
    assert waiting(with_nell("2026-08-21"), follow_up_after=60) == []
    assert waiting(with_nell("2026-08-20"), follow_up_after=60) == [("with the go-between", "low-tide", "Nell")]
    assert waiting(with_nell("2026-08-20"), follow_up_after=90) == []


def test_a_quilt_that_arrived_or_has_not_left_is_not_asked_for():
    assert waiting(with_nell("2026-01-10", delivered="2026-10-01")) == []
    assert waiting(a_quilt(destination=donated(through="nell"))) == []


@pytest.mark.parametrize(
    ("delivered", "asked"),
    [
        ("2026-08-20", True),
        ("2026-08-21", False),
        ("2025-01-01", True),
        ("2025", True),
        ("2024-12-31", False),
        ("2014", False),
        (None, False),
    ],
)
def test_a_letter_is_asked_for_in_the_year_of_the_gift_and_the_next(delivered, asked):
    gift = a_quilt(destination=donated(**({"delivered": delivered} if delivered else {})))
    assert waiting(gift) == ([("not acknowledged", "low-tide", "River Street")] if asked else [])


def test_the_year_before_is_the_giving_year_before():
    gift = a_quilt(destination=donated(delivered="2025-04-06"))
    assert waiting(gift, on=date(2027, 4, 5), giving_year_starts="04-06")
    assert not waiting(gift, on=date(2027, 4, 6), giving_year_starts="04-06")


def test_a_letter_that_came_is_not_asked_for():
    assert waiting(a_quilt(destination=donated(delivered="2026-01-10", acknowledged="2026-02-01"))) == []


def test_a_promise_is_past_when_its_own_day_is_or_that_of_its_request():
    promise = {"is": "promised", "to": "river-street", "request": "spring-cots"}
    request = a_request(needed_by="2026-05-15", closed="2026-06-01")
    expected = [("promise is past", "low-tide", "River Street")]
    assert waiting(a_quilt(destination=promise), request) == expected
    assert waiting(a_quilt(destination=promise | {"by": "2026-11-01"}), request) == []
    assert waiting(a_quilt(destination=promise | {"by": "2026-10-19"}), request) == expected
    assert waiting(a_quilt(destination={"is": "promised", "to": "river-street"})) == []


def test_rules_are_confirmed_once_a_year():
    rules = ("rules not confirmed", "river-street", "River Street")
    assert waiting(a_charity(checked="2025-10-20")) == []
    assert waiting(a_charity(checked="2025-10-19")) == [rules]
    assert waiting(a_go_between(checked="2019")) == []


def test_rules_never_confirmed_are_asked_for_while_the_charity_waits_for_quilts():
    rules = ("rules not confirmed", "river-street", "River Street")
    assert waiting(a_request()) == [rules]
    assert waiting(a_request(closed="2026-06-01")) == []
    assert waiting() == []


def test_a_loan_is_overdue_from_the_day_after():
    loan = {"to": "The library", "from": "2026-09-01"}
    assert waiting(a_quilt(loans=[loan | {"due": "2026-10-20"}])) == []
    assert waiting(a_quilt(loans=[loan | {"due": "2026-10-19"}])) == [("loan overdue", "low-tide", "The library")]
    assert waiting(a_quilt(loans=[loan | {"due": "2026-10-19", "back": "2026-10-20"}])) == []
    assert waiting(a_quilt(loans=[loan])) == []


def test_they_stand_by_matter_and_the_longest_wait_first():
    records = [
        a_quilt("on-loan", loans=[{"to": "A show", "due": "2026-01-01"}]),
        a_quilt("a-late", destination=donated(delivered="2026-05-01")),
        a_quilt("b-early", destination=donated(delivered="2026-01-01")),
        with_nell("2026-05-01"),
        a_charity("hill-hospice", checked="2024-01-01"),
        a_request(),
    ]
    assert [subject for _, subject, _ in waiting(*records)] == [
        "low-tide", "b-early", "a-late", "river-street", "hill-hospice", "on-loan",
    ]  # fmt: skip


def test_one_who_has_no_file_is_told_as_nobody():
    lost_track = a_quilt(destination=donated(through="someone", handed_over="2026-01-01"))
    assert waiting(lost_track) == [("with the go-between", "low-tide", "nobody named")]


@pytest.mark.parametrize(
    ("day", "past"),
    [("2026-10-19", True), ("2026-10-20", False), ("2026-09", True), ("2026-10", False), ("2026/..", False)],
)
def test_a_date_is_past_when_the_last_day_that_it_may_mean_is(day, past):
    assert is_past(EdtfDate.parse(day), TODAY) is past


@given(st.dates(date(1990, 1, 1), date(2040, 1, 1)), st.integers(0, 4000))
def test_what_is_past_stays_past(day, days):
    written = EdtfDate(day.isoformat())
    patience = timedelta(days=days)
    assert not is_past(written, day + patience, by=patience)
    assert is_past(written, day + patience + timedelta(days=1), by=patience)
    assert not is_past(None, day)


def test_a_day_at_the_end_of_the_calendar_stops_nothing():
    assert waiting(with_nell("9999-12-31"), follow_up_after=3650) == []


@pytest.mark.parametrize("today", [date.min, date.max])
def test_a_today_at_either_end_of_the_calendar_stops_nothing(today):
    assert len(waiting(with_nell("2026-05-12"), on=today)) == (today == date.max)
    assert is_past(EdtfDate.parse("2026-05-12"), today, by=timedelta(days=3650)) is (today == date.max)
