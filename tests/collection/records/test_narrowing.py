"""What a half known date means once the rest of the record is known; and in which year a gift counts then."""

from datetime import date

import pytest

from collection.giving.donations import Giving
from collection.giving.follow_ups import find_follow_ups
from collection.giving.tax_notes import tax_notes
from collection.privacy import publishable
from tests.support.made_records import a_charity, a_collection, a_quilt, donated
from tests.support.reports_naming import AGENT, listed

# Examples ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("starts", "fields", "year"),
    [
        ("04-06", {"handed_over": "2026-04-10", "delivered": "2026-04"}, 2026),
        ("04-06", {"handed_over": "2026-04-06", "delivered": "2026-04"}, 2026),
        ("04-06", {"delivered": "2026-04", "acknowledged": "2026-04-05"}, 2025),
        ("04-06", {"handed_over": "2026-03-30", "delivered": "2026-04", "acknowledged": "2026-04-03"}, 2025),
        ("07-01", {"handed_over": "2026-07-02", "delivered": "2026"}, 2026),
        ("07-01", {"delivered": "2026", "acknowledged": "2026-06"}, 2025),
        ("01-01", {"handed_over": "2019-11-30", "delivered": "201X"}, 2019),
        ("01-01", {"handed_over": "2025-06", "delivered": "2025/.."}, None),
        ("01-01", {"handed_over": "2025-06", "delivered": "2025/..", "acknowledged": "2025-12"}, 2025),
        ("01-01", {"handed_over": "2025-02-01", "delivered": "../2025"}, 2025),
        # Without a go-between the hand-over is the delivery.
        ("04-06", {"handed_over": "2026-04", "acknowledged": "2026-04-02", "delivered": "2026-04"}, 2025),
        # The go-between acts for the charity: its hand-over counts, and was not after the charity had the quilt.
        ("04-06", {"through": "tuesday-van", "handed_over": "2026-04", "delivered": "2026-04-03"}, 2025),
        (
            "04-06",
            {"through": "tuesday-van", "handed_over": "2026-04", "acknowledged": "2026-04-05", "delivered": "2026-04"},
            2025,
        ),
        # What is in doubt narrows nothing, and needs certain dates on both sides.
        ("04-06", {"handed_over": "2026-04-10~", "delivered": "2026-04"}, None),
        ("04-06", {"handed_over": "2026-04-10", "delivered": "2026-04?"}, None),
        ("04-06", {"handed_over": "2026-06-01", "delivered": "2026?", "acknowledged": "2026-08-01"}, 2026),
        ("04-06", {"handed_over": "2026-06-01", "delivered": "2026-04~", "acknowledged": "2026-08-01"}, 2026),
        ("04-06", {"handed_over": "2026-06-01?", "delivered": "2026?", "acknowledged": "2026-08-01"}, None),
        ("04-06", {"handed_over": "2026-06-01", "delivered": "2026?", "acknowledged": "2026-08-01~"}, None),
        ("04-06", {"handed_over": "2026-03-01", "delivered": "2026-05?", "acknowledged": "2026-08-01"}, None),
        ("04-06", {"handed_over": "2026-04-06", "delivered": "202X?", "acknowledged": "2027-04-05"}, 2026),
        # It leaves days on either side of 6 April.
        ("04-06", {"handed_over": "2026-04-05", "delivered": "2026-04"}, None),
    ],
)
def test_a_gift_counts_in_the_year_that_all_its_dates_leave(starts, fields, year):
    found = listed(a_quilt(destination=donated(**fields)), starts)
    assert [each for each, how in found.items() if how == "counts"] == ([year] if year else [])
    assert year or set(found.values()) == {"not placed"}
    assert year is None or len(found) == 1


@pytest.mark.parametrize(
    ("fields", "years"),
    [
        ({"delivered": "2026~"}, [2025, 2026]),
        ({"delivered": "2026~", "handed_over": "2026-05-01"}, [2026]),
        ({"delivered": "2026?", "acknowledged": "2026-04-05"}, [2025]),
        ({"delivered": "2026-05?", "handed_over": "2026-03-01", "acknowledged": "2026-08-01"}, [2026]),
        # Its own days are excluded: it was on a later one.
        ({"delivered": "2026-03~", "handed_over": "2030-05-01"}, [2030, 2031]),
    ],
)
def test_a_date_in_doubt_is_named_only_where_certain_dates_allow_it(fields, years):
    assert listed(a_quilt(destination=donated(**fields))) == dict.fromkeys(years, "not placed")


@pytest.mark.parametrize(("starts", "year"), [("04-06", 2025), ("01-01", 2026)])
def test_a_quilt_is_not_given_before_it_was_made_or_came_back(starts, year):
    new = a_quilt(made="2026-03", destination={"is": "gifted", "to": "A niece", "on": "2026"})
    back = a_quilt(
        history=[{"is": "gifted", "to": "A niece", "on": "2025-12", "returned": "2026-03-20"}],
        destination=donated(delivered="2026", acknowledged="2026-04-05"),
    )
    assert listed(new, starts) == ({2026: "counts"} if starts == "01-01" else {2025: "not placed", 2026: "not placed"})
    assert listed(back.model_copy(update={"history": ()}), starts)[year] == "counts"
    giving = Giving.of(a_collection(back, giving_year_starts=starts))
    assert [(gift.year, str(gift.arrived_on)) for gift in giving.gifts] == [(year, "2026-03-20/2026-04-05")]


def test_where_free_ended_the_gift_begins():
    quilt = a_quilt(history=[{"is": "free", "until": "2026-04-06"}], destination={"is": "gifted", "on": "2026-04"})
    assert listed(quilt) == {2026: "counts"}


def test_a_promise_says_nothing_of_where_the_quilt_was():
    """It may be promised while a niece still has it."""
    promised = {"is": "promised", "to": "river-street", "on": "2026-04-02", "returned": "2026-04-03"}
    quilt = a_quilt(history=[{"is": "gifted", "on": "2026-04"}, promised], destination="free")
    assert listed(quilt) == {2025: "came back", 2026: "came back"}


def test_a_letter_that_came_late_says_nothing_of_the_next_gift():
    thanked = donated(delivered="2025-05-01", acknowledged="2026-04-10")
    quilt = a_quilt(history=[thanked], destination={"is": "gifted", "on": "2026-04"})
    (gift,) = Giving.of(a_collection(quilt)).to_people
    assert str(gift.given_on) == "2026-04"


def test_one_that_was_missed_may_have_arrived_before():
    found = a_quilt(history=[{"is": "lost", "on": "2026-04-10"}], destination=donated(delivered="2026-04"))
    (gift,) = Giving.of(a_collection(found)).gifts
    assert str(gift.arrived_on) == "2026-04"


@pytest.mark.parametrize(
    ("returned", "years"), [("2026-04-05", [2025]), ("2026-04-06", [2025, 2026]), ("2027-05", [2025, 2026, 2027])]
)
def test_one_that_came_back_is_said_in_the_years_that_are_left(returned, years):
    """Given in April 2026, and not after it came back."""
    quilt = a_quilt(history=[donated(delivered="2026-04", returned=returned)], destination="free")
    assert listed(quilt) == dict.fromkeys(years, "came back")


def test_one_lost_on_the_way_left_before_it_was_missed():
    lost = {"is": "lost", "through": "nell", "on": "2026-04-05"}
    quilt = a_quilt(history=[donated(through="nell", handed_over="2026-04")], destination=lost)
    assert listed(quilt) == {2025: "came back"}


def test_on_an_earlier_day_nothing_is_known_of_later_ones():
    """The letter of 5 April places the gift; before it came, nothing did. That it was handed over, the day knew."""
    letter = a_quilt(destination=donated(delivered="2026-04", acknowledged="2026-04-05"))
    assert listed(letter) == {2025: "counts"}
    assert listed(letter, on="2026-04-04") == {2025: "counts"}
    assert listed(letter, starts="04-02", on="2026-04-04") == {2025: "not placed", 2026: "not placed"}
    assert listed(letter, on="2026-04-05") == {2025: "counts"}
    carried = a_quilt(destination=donated(handed_over="2026-04-10", delivered="2026-04"))
    assert listed(carried, on="2026-04-09") == {2026: "planned"}
    assert listed(carried, on="2026-04-10") == {2026: "counts"}
    unfinished = a_quilt(made="2026-04-10", destination=donated(delivered="2026-04"))
    assert set(listed(unfinished, on="2026-04-09").values()) == {"planned"}
    assert listed(unfinished, on="2026-04-10") == {2026: "counts"}


@pytest.mark.parametrize(
    ("destination", "on", "found"),
    [
        (donated(delivered="2025"), "2025-01-22", {2024: "counts"}),
        (donated(delivered="2025"), "2025-09-30", {2024: "counts"}),
        (donated(delivered="2025"), "2025-10-01", {2024: "not placed", 2025: "not placed"}),
        (donated(delivered="2025/.."), "2025-01-22", {2024: "counts"}),
        (donated(delivered="2025?"), "2025-01-22", {2024: "not placed"}),
        (donated(handed_over="2025-01-03", delivered="2025?"), "2025-01-22", {2024: "counts"}),
        (donated(handed_over="2025-01-03", delivered="2025?"), "2025-10-01", {2024: "not placed", 2025: "not placed"}),
        (donated(through="nell", handed_over="2025"), "2025-01-22", {2024: "on its way"}),
        ({"is": "gifted", "on": "2025"}, "2025-01-22", {2024: "counts"}),
        ({"is": "gifted"}, "2025-01-22", dict.fromkeys(range(2010, 2025), "not placed")),
    ],
)
def test_a_date_that_may_be_before_the_day_counts_as_past(destination, on, found):
    assert listed(a_quilt(destination=destination), "10-01", on) == found


def test_one_that_came_back_this_year_came_back_by_the_day():
    back = a_quilt(history=[donated(delivered="2024-11", returned="2025")], destination="free")
    assert listed(back, "10-01", "2025-01-22") == {2024: "came back"}
    assert listed(back, "10-01", "2025-10-01") == {2024: "came back", 2025: "came back"}


def test_one_that_came_back_some_time_in_the_year_was_not_back_before_it_left():
    quilt = a_quilt(history=[donated(delivered="2026-05-01", returned="2026")], destination="free")
    assert listed(quilt, on="2026-04-30") == {2026: "planned"}
    assert set(listed(quilt, on="2026-05-01").values()) == {"came back"}


def test_by_month_by_calendar_year_and_in_the_catalogue_it_is_the_same_day():
    # Source: derived: the tax year is the calendar year; 2025-12-30 to 2026-01-02 is cut to the last two days of 2025.
    quilt = a_quilt(
        destination=donated(handed_over="2025-12-30", delivered="2025-12-01/2026-01-31", acknowledged="2025-12-31")
    )
    charity = a_charity(qualified=True, public=True)
    collection = a_collection(charity, quilt, giving_year_starts="04-06", tax_notes="us")
    giving = Giving.of(collection)
    assert giving.report(2025).totals.by_month == {(2025, 12): 1}
    named = {note.key for note in tax_notes(giving, 2025)}
    assert "cost missing" in named and "year not certain" not in named
    assert "year not certain" not in {note.key for note in tax_notes(giving, 2026)}
    assert str(publishable(collection).quilts["low-tide"].destination.delivered) == "2025-04-06/2026-04-05"


def test_a_letter_is_missed_from_the_last_day_on_which_it_can_have_arrived():
    quilt = a_quilt(destination=donated(through="tuesday-van", handed_over="2026", delivered="2026-03-01"))
    collection = a_collection(AGENT, quilt, follow_up_after=30)
    matters = [[each.matter for each in find_follow_ups(collection, date(2026, 3, day))] for day in (30, 31)]
    assert [each.matter for each in find_follow_ups(collection, date(2026, 4, 1))] == ["not acknowledged"]
    assert matters == [[], []]


def test_two_gifts_are_in_the_order_in_which_they_can_have_arrived():
    vague = a_quilt("a", destination=donated(handed_over="2026-04-20", delivered="2026-04"))
    exact = a_quilt("b", destination=donated(delivered="2026-04-10"))
    assert [gift.quilt.id for gift in Giving.of(a_collection(vague, exact)).gifts] == ["b", "a"]


# Contradictions ---------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("quilt", "years", "words"),
    [
        (
            a_quilt(destination=donated(through="nell", handed_over="2026-05-10", acknowledged="2024-03")),
            {2023: "not placed", 2026: "not placed"},
            "it was acknowledged (March 2024) before it was handed over (10 May 2026)",
        ),
        (
            a_quilt(
                history=[donated(delivered="2025", returned="2026-05-01")],
                destination={"is": "gifted", "on": "2026-04"},
            ),
            None,
            "it was given (April 2026) before it was back (1 May 2026)",
        ),
        (
            a_quilt(
                made="2026-05", history=[donated(delivered="2025-07", returned="2025-08")], destination={"is": "gifted"}
            ),
            None,
            "it was delivered (July 2025) before it was made (May 2026)",
        ),
    ],
)
def test_dates_that_contradict_each_other_are_named_and_trusted_in_nothing(quilt, years, words):
    (each,) = Giving.of(a_collection(quilt, giving_year_starts="04-06")).not_placed
    assert each.contradiction.say() == words
    assert each.step.when is each.recorded
    assert years is None or listed(quilt) == years
