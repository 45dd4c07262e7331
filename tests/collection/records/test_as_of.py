"""What was known of a collection on a day: nothing of what came later."""

from collections import Counter
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from collection.giving.annual_report import giving_report
from collection.giving.arrival import state_of
from collection.giving.donations import Giving
from collection.giving.follow_ups import find_follow_ups
from collection.giving.gaps import find_gaps
from collection.records.as_of import as_of, last_change, quilt_as_of
from collection.records.destinations import UNDECIDED, Donated, Gifted
from collection.values.dates import EdtfDate
from tests.support.made_records import a_charity, a_collection, a_go_between, a_quilt, donated
from tests.support.years_of_giving import PARTNERS


def day(text: str) -> date:
    return date.fromisoformat(text)


def reported(collection, year: int, on: str) -> dict[str, list[str]]:
    """The IDs of the quilts of a year's report by how they are listed."""
    report = giving_report(collection, year, day(on))
    lists = {
        "given": [row.gift for row in report.rows],
        "on its way": report.of_year.on_its_way,
        "to a person": report.of_year.to_people,
        "planned": report.planned,
        "not placed": report.not_placed,
        "came back": report.former,
    }
    return {name: [each.quilt.id for each in listed] for name, listed in lists.items() if listed}


STEPS = donated(through="nell", handed_over="2026-05-12", delivered="2026-05-30", acknowledged="2026-06-02")


@pytest.mark.parametrize(
    ("on", "listed"),
    [("2026-05-11", "planned"), ("2026-05-12", "on its way"), ("2026-05-29", "on its way"), ("2026-05-30", "given")],
)
@pytest.mark.parametrize("through", ["nell", None])
def test_a_gift_is_as_far_as_it_was_on_the_day(on, listed, through):
    quilts = a_collection(a_quilt(destination=STEPS | {"through": through}))
    assert reported(quilts, 2026, on) == {listed: ["low-tide"]}
    assert quilt_as_of(quilts.quilts["low-tide"], day(on)).in_the_house == (listed == "planned")


def test_a_letter_counts_from_the_day_on_which_it_came():
    quilts = a_collection(a_quilt(destination=STEPS | {"acknowledgement": "letter.pdf"}))
    before, after = (
        giving_report(quilts, 2026, day(on)).sums.totals.unacknowledged for on in ("2026-06-01", "2026-06-02")
    )
    assert (before, after) == (1, 0)
    assert as_of(quilts, day("2026-06-01")).quilts["low-tide"].destination.acknowledgement is None


@pytest.mark.parametrize("when", ["2026-12-19", "2026-12", "2026-12~", "2027-01-05/2027-02-01"])
def test_a_day_that_has_not_come_is_planned_and_counts_in_no_total(when):
    quilts = a_collection(
        a_quilt("one", destination=donated(delivered=when)),
        a_quilt("two", destination={"is": "gifted", "to": "A niece", "on": when}),
    )
    year = 2026 if when.startswith("2026") else 2027
    assert reported(quilts, year, "2026-11-30") == {"planned": ["one", "two"]}
    assert giving_report(quilts, year, day("2026-11-30")).sums.totals.count == 0


def test_what_came_back_later_has_not_come_back():
    back = a_quilt(destination="free", history=[donated(delivered="2024-05-01", returned="2025-01-02")])
    assert reported(a_collection(back), 2024, "2024-12-31") == {"given": ["low-tide"]}
    assert reported(a_collection(back), 2024, "2025-01-02") == {"came back": ["low-tide"]}
    assert reported(a_collection(back), 2025, "2025-01-02") == {"came back": ["low-tide"]}
    assert reported(a_collection(back), 2026, "2026-01-02") == {}


def test_one_that_came_back_and_went_again_is_said_of_each_time_and_counted_once():
    again = a_quilt(
        history=[donated(delivered="2024-05-01", returned="2025-01-02")],
        destination=donated(to="hill-hospice", delivered="2025-06-01"),
    )
    quilts = a_collection(again)
    assert reported(quilts, 2025, "2026-01-01") == {"given": ["low-tide"], "came back": ["low-tide"]}
    assert reported(quilts, 2024, "2026-01-01") == {"came back": ["low-tide"]}
    assert giving_report(quilts, 2025, day("2026-01-01")).lifetime.totals.count == 1


def test_one_lost_with_a_go_between_is_said_in_the_year_it_left():
    lost = a_quilt(
        history=[donated(through="nell", handed_over="2025-05-12")],
        destination={"is": "lost", "through": "nell", "on": "2026-02-01"},
    )
    assert reported(a_collection(lost), 2025, "2025-12-31") == {"on its way": ["low-tide"]}
    assert reported(a_collection(lost), 2025, "2026-12-31") == {"came back": ["low-tide"]}
    (former,) = Giving.of(a_collection(lost)).former
    assert former.is_lost and str(former.ended) == "2026-02-01"


def test_where_it_landed_against_the_plan_nobody_knew_before():
    landed = a_quilt(destination=STEPS | {"to": "hill-hospice", "meant_for": "river-street"})
    before = quilt_as_of(landed, day("2026-05-20")).destination
    assert (before.to, before.meant_for) == ("river-street", None)


def test_loans_appraisals_washing_and_rules_have_their_days_too():
    quilt = a_quilt(
        loans=[{"to": "Hall Show", "from": "2026-03-01", "back": "2026-04-01"}, {"to": "Guild", "from": "2026-06-01"}],
        appraisal={"value": "900", "on": "2026-07-01"},
        care={"washed": "2026-08-01", "label": True},
    )
    quilts = a_collection(quilt, a_charity(checked="2026-09-01"))
    then = as_of(quilts, day("2026-03-15"))
    seen = then.quilts["low-tide"]
    assert seen.current_loan.to == "Hall Show"
    assert (seen.appraisal, seen.care.washed, seen.care.label) == (None, None, True)
    assert then.partners["river-street"].checked is None
    assert as_of(quilts, day("2026-10-01")) is quilts


def test_a_gift_without_a_day_was_not_given_before_the_quilt_was_made():
    new = a_collection(
        a_quilt("one", made="2025-06", destination=donated()),
        a_quilt("two", made="2025-06", destination={"is": "gifted", "to": "A niece"}),
    )
    assert reported(new, 2025, "2025-05-31") == {"planned": ["one", "two"]}
    assert reported(new, 2025, "2025-06-01") == {"not placed": ["one", "two"]}


def test_a_promise_and_a_loss_are_not_known_before_their_day():
    promised = a_quilt("one", destination={"is": "promised", "to": "river-street", "on": "2026-04-30"})
    lost = a_quilt("two", destination={"is": "lost", "on": "2026-04-30"})
    for quilt in (promised, lost):
        assert quilt_as_of(quilt, day("2026-04-29")).destination == UNDECIDED
        assert quilt_as_of(quilt, day("2026-04-30")) is quilt


def test_nobody_is_asked_about_what_has_not_happened():
    quilts = a_collection(
        a_quilt(destination=donated(through="nell", handed_over="2026-01-10", delivered="2026-06-01"))
    )
    assert [each.matter for each in find_follow_ups(quilts, day("2026-05-01"))] == ["with the go-between"]
    assert [each.matter for each in find_follow_ups(quilts, day("2026-06-15"))] == []


# Each gift once ---------------------------------------------------------------------------------

DATES = st.sampled_from(
    [
        None, "2024", "2024~", "2024-04", "2025-04-05", "2025-04-06", "2025-04", "2025-05", "2025?", "2024/2025", "2025/..",
        "../2025", "199X", "2025-21", "2026-11-30", "2026-12-19", "2027", "2025-XX-XX", "2025-04-05/2025-04-06",
    ]
)  # fmt: skip
STARTS = st.sampled_from(["01-01", "04-06", "07-01", "12-28"])
DAYS = st.sampled_from([date(2023, 1, 1), date(2025, 4, 5), date(2025, 4, 6), date(2026, 11, 30), date(2030, 1, 1)])


@st.composite
def ways(draw, *, over: bool = False) -> dict:
    one_of = lambda *values: draw(st.sampled_from(values))
    if one_of(False, False, True):
        way = {"is": "gifted", "to": "A niece", "on": draw(DATES)}
    else:
        way = {
            "is": "donated",
            "to": one_of(None, "river-street", "hill-hospice"),
            "through": one_of(None, "nell", "tuesday-van"),
        }
        way |= {name: draw(DATES) for name in ("handed_over", "delivered", "acknowledged")}
    return way | ({"returned": draw(DATES)} if over else {})


@st.composite
def collections(draw):
    quilts = []
    for number in range(draw(st.integers(1, 5))):
        history = draw(st.lists(ways(over=True), max_size=2))
        now = draw(st.one_of(ways(), st.sampled_from(["free", "kept", {"is": "lost", "on": "2026-02-01"}])))
        made = draw(st.sampled_from([None, "2020", "2024~", "2025-06"]))
        quilts.append(a_quilt(f"quilt-{number}", made=made, history=history, destination=now))
    return a_collection(*PARTNERS, a_go_between(), *quilts, giving_year_starts=draw(STARTS))


def donated_or_gifted(quilt) -> int:
    ways = (*quilt.history, quilt.destination)
    return sum(isinstance(way, Donated | Gifted) for way in ways) + hasattr(quilt.destination, "planned")


@given(collections(), DAYS)
def test_every_gift_is_given_not_placed_planned_on_its_way_or_over_and_just_one_of_them(collection, on):
    then = as_of(collection, on)
    giving = Giving.of(then)
    years = range(1985, 2032)
    in_a_year = Counter(
        g.quilt.id for year in years for g in (*giving.report(year).given, *giving.report(year).to_people)
    )
    kinds = [
        in_a_year,
        Counter(each.quilt.id for each in giving.not_placed),
        Counter(gift.quilt.id for gift in giving.planned),
        Counter(gift.quilt.id for gift in giving.gifts if gift.state == "on its way"),
    ]
    current = {
        q.id
        for q in then.quilts.values()
        if isinstance(q.destination, Donated | Gifted) or hasattr(q.destination, "planned")
    }
    assert sum(kinds, Counter()) == Counter(current)
    never_left = sum(
        isinstance(way, Donated) and state_of(way, then.partners) == "planned"
        for quilt in then.quilts.values()
        for way in quilt.history
    )
    former = sum(isinstance(way, Donated | Gifted) for quilt in then.quilts.values() for way in quilt.history)
    assert len(giving.former) == former - never_left
    assert giving.lifetime().totals.count == sum(giving.report(year).totals.count for year in years) + sum(
        not hasattr(each.gift, "gifted") for each in giving.not_placed
    )


@given(collections(), DAYS)
def test_what_is_in_no_years_total_is_named_by_the_report_of_a_year_in_which_it_may_lie(collection, on):
    giving = Giving.of(as_of(collection, on))
    reports = [giving_report(giving.collection, year, on, giving=giving) for year in range(1985, 2032)]
    named = {
        name: {each.quilt.id for report in reports for each in getattr(report, name)}
        for name in ("planned", "not_placed", "former")
    }
    assert {each.quilt.id for each in giving.not_placed} == named["not_placed"]
    assert {gift.quilt.id for gift in giving.planned if gift.planned_for} <= named["planned"]
    assert {each.quilt.id for each in giving.former} == named["former"]
    assert {gift.quilt.id for gift in giving.gifts if gift.state == "on its way"} == {
        gift.quilt.id for report in reports for gift in report.of_year.on_its_way
    }


@given(collections())
def test_every_gift_that_counts_in_no_year_is_a_gap_with_the_date_that_would_place_it(collection):
    gaps = {(gap.quilt, gap.field) for gap in find_gaps(collection)}
    for each in Giving.of(collection).not_placed:
        assert (each.quilt.id, f"destination.{each.field}") in gaps


@given(collections(), DAYS, DAYS)
def test_no_day_knows_of_a_later_one(collection, on, later):
    on, later = min(on, later), max(on, later)
    assert as_of(as_of(collection, on), on) == as_of(collection, on)
    assert as_of(as_of(collection, later), on).quilts.keys() == collection.quilts.keys()
    for gift in Giving.of(as_of(collection, on)).gifts:
        if gift.arrived and gift.delivered is not None and gift.arrived_on.earliest is not None:
            assert gift.arrived_on.earliest <= on
    if on >= last_change(collection):
        assert as_of(collection, on) is collection


def test_a_date_that_may_lie_before_the_day_counts_as_past():
    this_year = a_collection(a_quilt(destination=donated(delivered="2026")))
    assert reported(this_year, 2026, "2026-05-01") == {"given": ["low-tide"]}
    assert EdtfDate("2026").earliest == date(2026, 1, 1)
