"""What a plan says beside who goes where: who waited longer, days that have passed, undecided quilts, open places."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from collection.matching.match import match
from collection.records.places_taken import Answers
from tests.support.made_records import a_collection, a_quilt, donated
from tests.support.plans import ON, asks, free, placed, plan_of


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("2020", "2020"),
        ("2020-03", "2020"),
        ("2019~", "2020-02"),
        ("1990s", "1999"),
        ("before 2010", "2005"),
        ("2001", None),
        (None, None),
        ("2011/..", "2012"),
    ],
)
def test_longer_waiting_is_said_only_where_it_is_known(one, other):
    """Two dates that may mean the same day, or either before the other, prove nothing."""
    dates = [{"made": made} if made else {} for made in (one, other)]
    quilts = [free("one", **dates[0]), free("other", **dates[1])]
    (assigned,) = plan_of(*quilts, asks("cots", {"id": "a"})).assigned
    assert assigned.why.endswith("; which of the two was made first is not known")


@given(
    st.lists(
        st.sampled_from(["2001", "2001-05", "2001-05-12", "1990s", "2001~", "before 2002", "2000/..", None]),
        min_size=2,
        max_size=5,
    )
)
def test_where_one_surely_waited_longer_it_goes_and_that_is_said(dates):
    quilts = [free(f"quilt-{n}", **({"made": made} if made else {})) for n, made in enumerate(dates)]
    (assigned,) = plan_of(*quilts, asks("cots", {"id": "a"})).assigned
    made = {quilt.id: quilt.made for quilt in quilts}
    mine = made.pop(assigned.quilt)
    assert not any(each and mine and each.surely_before(mine) for each in made.values())
    if "waited longer" in assigned.why:
        (rival,) = (quilt for quilt in quilts if assigned.why.endswith(f"than {quilt.title}"))
        assert mine.surely_before(rival.made)


# A day that has passed --------------------------------------------------------------------------


def test_a_request_whose_day_has_passed_is_told_and_its_quilts_are_to_be_asked_about():
    late = asks("late", {"id": "a"}, needed_by="2026-03-15")
    plan = plan_of(free("mine"), late)
    (assigned,), (passed,) = plan.assigned, plan.day_passed
    assert assigned.check_first == ("needed_by",)
    assert assigned.checks[0].why == "they needed it by 15 March 2026, which has passed"
    assert (passed.request, passed.certain) == ("late", True)
    assert plan.as_data()["day_passed"] == [{"request": "late", "needed_by": "2026-03-15", "certain": True}]


@pytest.mark.parametrize(
    ("needed_by", "told"),
    [
        ("2026-03-31", [True]),
        ("2026-04-01", []),
        ("2026-04", []),
        ("2026-03", [True]),
        ("2026-03~", [False]),
        ("about 2026-01", [True]),
        ("2026-04-02", []),
        ("2026", []),
        (None, []),
    ],
)
def test_a_day_has_passed_once_the_last_day_that_it_may_mean_has(needed_by, told):
    request = asks("cots", {"id": "a"}, **({"needed_by": needed_by} if needed_by else {}))
    assert [each.certain for each in plan_of(request).day_passed] == told


def test_a_request_that_is_filled_is_not_told_as_past():
    given = a_quilt("one", destination=donated(request="cots", line="a", delivered="2026-03-01"))
    assert plan_of(given, asks("cots", {"id": "a"}, needed_by="2026-03-15")).day_passed == ()


def test_what_is_still_needed_comes_before_what_was_needed_even_if_it_must():
    late = asks("late", {"id": "a", "priority": "must"}, needed_by="2026-03-15")
    soon = asks("soon", {"id": "a", "priority": "wish"}, needed_by="2026-05-15")
    assert placed(plan_of(free("mine"), late, soon)) == {"mine": ("soon", "a")}


# Undecided --------------------------------------------------------------------------------------


def test_undecided_quilts_are_counted_with_what_they_would_fit_of_what_stays_open():
    quilts = [
        a_quilt("small", finished_size="40 x 44"),
        a_quilt("vast", finished_size="100 x 100", destination="undecided"),
        free("mine", "60 x 70"),
        a_quilt("ours", finished_size="60 x 70", destination="kept"),
    ]
    plan = plan_of(*quilts, asks("cots", {"id": "a", "size": "baby"}, {"id": "b", "size": "lap"}))
    assert [(each.quilt, each.would_fit) for each in plan.undecided] == [("small", ("cots", "a")), ("vast", None)]
    assert plan.say_undecided() == (
        "2 quilts are undecided, and so not in this plan; 1 of them would fit a place that stays open."
    )
    assert plan_of(quilts[0]).say_undecided() == "1 quilt is undecided, and so not in this plan."


# Places -----------------------------------------------------------------------------------------


def test_a_quilt_that_answers_without_a_line_leaves_no_place_open_that_it_has():
    loose = a_quilt("loose", destination=donated(request="cots", delivered="2026-03-01"))
    plan = plan_of(loose, free("mine"), asks("cots", {"id": "a"}, {"id": "b", "priority": "must"}))
    assert placed(plan) == {"mine": ("cots", "b")} and plan.open == () and plan.make_next == ()
    (opened,) = plan_of(loose, asks("cots", {"id": "a"}, {"id": "b", "priority": "must"})).open
    assert (opened.line, opened.places) == ("b", 1)


@given(st.lists(st.sampled_from(["promised", "given", "elsewhere", "planned", "no line", "free"]), max_size=8))
def test_places_are_counted_the_same_wherever_they_are_counted(standings):
    """What is promised, given and open of a line always makes up what was asked for, or more was given than that."""
    request = asks("cots", {"id": "a", "count": 3}, {"id": "b", "count": 2})
    ways = {
        "promised": {"is": "promised", "to": "river-street", "request": "cots", "line": "a"},
        "given": donated(request="cots", line="a", delivered="2026-03-01"),
        "elsewhere": donated(
            request="cots", line="a", to="hill-hospice", meant_for="river-street", delivered="2026-03-01"
        ),
        "planned": {"is": "donated", "through": "nell", "request": "cots", "line": "a"},
        "no line": donated(request="cots", delivered="2026-03-01"),
        "free": "free",
    }
    quilts = [a_quilt(f"q-{n}", destination=ways[each]) for n, each in enumerate(standings)]
    collection = a_collection(*quilts, request)
    taken = Answers.of(collection).to("cots", "a")
    assert len(taken.given) == standings.count("given")
    assert len(taken.promised) == standings.count("promised") + standings.count("planned")
    assert taken.open(request.lines[0]) == max(0, 3 - len(taken))
    plan = match(collection, on=ON)
    filled = min(5, min(3, len(taken)) + standings.count("no line"))
    assert len(plan.assigned) + sum(each.places for each in plan.open) == 5 - filled
