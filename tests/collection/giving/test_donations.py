"""How far each gift is, and what a year came to."""

from collections import Counter
from datetime import date, timedelta
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from collection.giving.arrival import ARRIVED, delivered_on, has_arrived, state_of
from collection.giving.donations import Giving, add_materials
from collection.giving.years import giving_year, year_bounds, year_label, year_of
from collection.records.destinations import Donated
from collection.values.dates import EdtfDate
from collection.values.money import Money
from tests.support.made_records import a_charity, a_collection, a_go_between, a_quilt, donated

PARTNERS = {
    partner.id: partner
    for partner in (
        a_charity(),
        a_charity("river-street-cots", part_of="river-street"),
        a_charity("hill-hospice"),
        a_go_between(),
        a_go_between("tuesday-van", acts_for=["river-street"]),
    )
}


def donation(**fields) -> Donated:
    return Donated.model_validate({"is": "donated"} | fields)


def state(**fields) -> str:
    return state_of(donation(**fields), PARTNERS)


def arrival(**fields) -> str | None:
    day = delivered_on(donation(**fields), PARTNERS)
    return str(day) if day else None


# How far a quilt is -----------------------------------------------------------------------------


def test_a_quilt_that_left_with_a_go_between_is_on_its_way_until_she_says_where_it_landed():
    on_its_way = {"to": "river-street", "through": "nell", "handed_over": "2026-05-12"}
    assert state(**on_its_way) == "on its way"
    assert state(**on_its_way, delivered="2026-05-30") == "delivered"
    assert state(**on_its_way, delivered="2026-05-30", acknowledged="2026-06-02") == "acknowledged"


def test_it_is_on_its_way_also_while_its_charity_is_not_known():
    assert state(through="nell", handed_over="2026-05-12") == "on its way"


def test_a_quilt_meant_for_a_go_between_has_not_left_before_a_day_says_so():
    assert state(to="river-street", through="nell") == "planned"


def test_a_quilt_given_straight_to_a_charity_has_arrived_even_if_nobody_wrote_down_when():
    assert state(to="river-street") == "delivered"
    assert arrival(to="river-street") is None


def test_a_quilt_given_straight_to_a_charity_that_is_forgotten_has_arrived_all_the_same():
    assert state(handed_over="199X") == "delivered"
    assert arrival(handed_over="199X") == "199X"


def test_a_donation_of_which_nothing_is_known_is_planned():
    assert state() == "planned"


def test_a_letter_says_that_it_arrived_even_where_no_day_does():
    assert state(to="river-street", through="nell", acknowledged="2026-06-02") == "acknowledged"


def test_the_day_that_counts_is_the_one_on_which_it_reached_the_charity():
    dates = {"to": "river-street", "handed_over": "2025-12-28", "delivered": "2026-01-03"}
    assert arrival(**dates) == "2026-01-03"
    assert arrival(**dates, through="nell") == "2026-01-03"


def test_without_a_go_between_handing_over_is_delivery():
    assert arrival(to="river-street", handed_over="2026-05-12") == "2026-05-12"


# Who acts for whom ------------------------------------------------------------------------------


def test_handing_over_to_one_who_acts_for_the_charity_is_delivery():
    handed_over = {"to": "river-street", "through": "tuesday-van", "handed_over": "2025-12-28"}
    assert state(**handed_over) == "delivered"
    assert arrival(**handed_over) == "2025-12-28"


def test_it_stays_the_day_that_counts_when_the_quilt_is_carried_on_later():
    carried_on = {"to": "river-street", "through": "tuesday-van", "delivered": "2026-01-03"}
    assert arrival(**carried_on, handed_over="2025-12-28") == "2025-12-28"
    assert arrival(**carried_on) == "2026-01-03"


@pytest.mark.parametrize(
    ("why", "fields"),
    [
        ("for another charity", {"to": "hill-hospice", "through": "tuesday-van"}),
        ("for the whole, not for its part", {"to": "river-street-cots", "through": "tuesday-van"}),
        ("for a charity not named yet", {"through": "tuesday-van"}),
        ("for none", {"to": "river-street", "through": "nell"}),
        ("and has no file", {"to": "river-street", "through": "nobody-known"}),
    ],
)
def test_handing_over_to_one_who_acts_otherwise_is_not_delivery(why, fields):
    assert state(**fields, handed_over="2026-05-12") == "on its way"
    assert arrival(**fields, handed_over="2026-05-12") is None


# Giving years -----------------------------------------------------------------------------------

STARTS = st.builds("{:02d}-{:02d}".format, st.integers(1, 12), st.integers(1, 28))
DAYS = st.dates(date(1900, 1, 1), date(2100, 12, 31))


@given(DAYS, STARTS)
def test_each_day_lies_in_exactly_one_giving_year(day, starts):
    year = year_of(day, starts)
    first, last = year_bounds(year, starts)
    assert first <= day <= last
    assert year_bounds(year + 1, starts)[0] == last + timedelta(days=1)


@pytest.mark.parametrize(
    ("starts", "day", "year", "label"),
    [
        ("01-01", "2026-12-31", 2026, "2026"),
        ("01-01", "2027-01-01", 2027, "2027"),
        ("04-06", "2027-04-05", 2026, "2026/27"),
        ("04-06", "2027-04-06", 2027, "2027/28"),
        ("07-01", "2026-06-30", 2025, "2025/26"),
        ("02-28", "2024-02-29", 2024, "2024/25"),
        ("04-01", "2100-01-01", 2099, "2099/00"),
    ],
)
def test_a_giving_year_may_start_on_any_day(starts, day, year, label):
    assert giving_year(EdtfDate.parse(day), starts) == year
    assert year_label(year, starts) == label


@pytest.mark.parametrize("surely", ["2016", "2016-05", "2016-05-12", "spring 2016", "2016-02/2016-11", "2016-XX-XX"])
def test_a_date_that_lies_in_one_year_whichever_day_it_was_counts_in_it(surely):
    assert giving_year(EdtfDate.parse(surely), "01-01") == 2016


@pytest.mark.parametrize(
    "maybe",
    ["about 2016", "2016-05~", "2016?", "2016-05-12%", "2015/2017", "201X", "2016/..", "before 2016", "/2016"],
)
def test_a_date_that_may_lie_in_another_year_counts_in_none(maybe):
    assert giving_year(EdtfDate.parse(maybe), "01-01") is None


def test_a_calendar_year_lies_in_no_giving_year_that_starts_in_april():
    assert giving_year(EdtfDate.parse("2016"), "04-06") is None
    assert giving_year(EdtfDate.parse("2016-04"), "04-06") is None
    assert giving_year(EdtfDate.parse("2016-05"), "04-06") == 2016


def test_no_date_counts_in_no_year():
    assert giving_year(None, "01-01") is None


@pytest.mark.parametrize("starts", ["01-01", "04-06", "12-28"])
def test_years_at_either_end_of_the_calendar_end_with_it(starts):
    for year in (-1, 0, 9999):
        first, last = year_bounds(year, starts)
        assert date.min <= first <= last <= date.max or first == last == date.min
    assert year_bounds(1, starts)[1] + timedelta(days=1) == year_bounds(2, starts)[0]


@pytest.mark.parametrize("mistyped", ["0001-01-01", "0206-05-12", "9999-12-31"])
@pytest.mark.parametrize("starts", ["01-01", "04-06"])
def test_a_mistyped_year_stops_nothing(mistyped, starts):
    day = EdtfDate.parse(mistyped)
    first, last = year_bounds(giving_year(day, starts), starts)
    assert first <= day.earliest <= last


# What a year came to ----------------------------------------------------------------------------

COSTS = [None, "0", "84.50", "0.01", "1234.99"]
SIZES = [None, "40 x 40", "60 1/2 x 72", "90 x 108", "7 1/8 x 9"]
DATES = [
    None, "2024-12-31", "2025-01-01", "2025-03", "2025", "about 2025", "2025-05~", "2024/2025", "199X",
    "2026-04-05", "2026-04-06", "2025/..",
]  # fmt: skip


@st.composite
def collections(draw):
    """Up to a dozen quilts in all kinds of states, and a giving year that starts on some day."""
    one_of = lambda *values: draw(st.sampled_from(values))
    quilts = []
    for number in range(draw(st.integers(0, 12))):
        fields = {"finished_size": one_of(*SIZES), "materials_cost": one_of(*COSTS)}
        fields["destination"] = one_of(
            "kept",
            {"is": "gifted", "to": "A cousin", "on": one_of(*DATES)},
            {
                "is": "donated",
                "to": one_of(None, "river-street", "hill-hospice", "river-street-cots"),
                "through": one_of(None, "nell", "tuesday-van"),
                **{name: one_of(*DATES) for name in ("handed_over", "delivered", "acknowledged")},
            },
        )
        quilts.append(a_quilt(f"quilt-{number}", **fields))
    return a_collection(*PARTNERS.values(), *quilts, giving_year_starts=one_of("01-01", "04-06", "07-01"))


def adding_up(counts) -> Counter:
    return sum((Counter(each) for each in counts), Counter())


@given(collections())
def test_each_quilt_that_arrived_counts_once_in_a_year_or_among_those_whose_year_is_not_known(collection):
    giving = Giving.of(collection)
    arrived = {
        quilt.id
        for quilt in collection.quilts.values()
        if isinstance(quilt.destination, Donated) and has_arrived(quilt.destination, collection.partners)
    }
    counted = [gift.quilt.id for year in giving.years for gift in giving.report(year).given]
    unknown = [gift.quilt.id for gift in giving.lifetime().given if gift.year is None]
    assert sorted(counted + unknown) == sorted(arrived)


@given(collections())
def test_a_lifetime_is_the_sum_of_its_years_and_of_what_lies_in_none(collection):
    giving = Giving.of(collection)
    lifetime = giving.lifetime().totals
    years = [giving.report(year).totals for year in giving.years]
    undated = [gift for gift in giving.lifetime().given if gift.year is None]
    currency = collection.settings.currency
    unknown = add_materials((gift.quilt for gift in undated), currency)
    assert lifetime.count == sum(year.count for year in years) + len(undated)
    assert lifetime.materials.known == sum((year.materials.known for year in years), unknown.known)
    assert lifetime.materials.lacking == sum(year.materials.lacking for year in years) + unknown.lacking
    assert lifetime.area == sum((year.area for year in years), Fraction(0)) + sum(
        (gift.quilt.finished_size.area for gift in undated if gift.quilt.finished_size), Fraction(0)
    )
    by_charity = adding_up(year.by_charity for year in years) + Counter(g.donation.to for g in undated)
    assert Counter(lifetime.by_charity) == by_charity


@given(collections())
def test_every_way_to_divide_a_total_adds_up_to_it(collection):
    giving = Giving.of(collection)
    for report in (giving.lifetime(), *map(giving.report, giving.years)):
        totals = report.totals
        assert totals.count == len(report.given)
        for divided in (totals.by_charity, totals.by_size, totals.by_month):
            assert sum(divided.values()) == totals.count
            assert all(count > 0 for count in divided.values())
        assert totals.materials.recorded + totals.materials.lacking == totals.count
        assert totals.by_size.get(None, 0) == totals.unmeasured
        assert 0 <= totals.unacknowledged <= totals.count


@given(collections())
def test_a_quilt_is_in_the_house_exactly_while_its_gift_is_planned(collection):
    for gift in Giving.of(collection).gifts:
        assert gift.quilt.in_the_house == (gift.state == "planned")
        assert gift.arrived == (gift.state in ARRIVED)


@given(collections())
def test_nothing_is_given_before_it_arrived_and_no_gift_is_left_out(collection):
    giving = Giving.of(collection)
    donations = [q for q in collection.quilts.values() if isinstance(q.destination, Donated)]
    assert sorted(gift.quilt.id for gift in giving.gifts) == sorted(quilt.id for quilt in donations)
    assert all(gift.year is None and gift.delivered is None for gift in giving.gifts if not gift.arrived)


@given(collections())
def test_every_month_of_a_report_touches_its_year(collection):
    giving = Giving.of(collection)
    for year in giving.years:
        first, last = year_bounds(year, collection.settings.giving_year_starts)
        for month in giving.report(year).totals.by_month:
            assert month is None or (first.year, first.month) <= month <= (last.year, last.month)


def test_about_a_month_is_no_month():
    quilts = [
        a_quilt("one", destination=donated(delivered="2026-05~")),
        a_quilt("two", destination=donated(delivered="2026-05")),
    ]
    assert Giving.of(a_collection(*quilts)).lifetime().totals.by_month == {None: 1, (2026, 5): 1}


def test_what_is_handed_over_and_not_arrived_is_told_in_its_year_and_counted_in_none():
    waiting = a_quilt(destination=donated(through="nell", handed_over="2027-01-05"))
    giving = Giving.of(a_collection(waiting))
    assert giving.years == (2027,)
    assert [gift.quilt.id for gift in giving.report(2027).on_its_way] == ["low-tide"]
    assert giving.report(2027).totals.count == 0


def test_gifts_to_people_are_told_apart_and_counted_in_no_total():
    cousin = {"is": "gifted", "to": "A cousin", "on": "2019~"}
    niece = {"is": "gifted", "to": "A niece", "on": "2019-06"}
    giving = Giving.of(a_collection(a_quilt("one", destination=cousin), a_quilt("two", destination=niece)))
    assert [gift.quilt.id for gift in giving.report(2019).to_people] == ["two"]
    assert [gift.quilt.id for gift in giving.lifetime().to_people] == ["one", "two"]
    assert giving.lifetime().totals.count == 0


def test_a_quilt_that_came_back_is_no_gift_any_more():
    returned = a_quilt(destination="free", history=[donated(delivered="2024-05-01", returned="2025-01-02")])
    assert Giving.of(a_collection(returned)).gifts == ()


def test_gifts_stand_in_the_order_of_their_days_and_those_without_one_last():
    quilts = [
        a_quilt("a-undated", destination=donated()),
        a_quilt("b-late", destination=donated(delivered="2026-06-01")),
        a_quilt("c-early", destination=donated(delivered="2026")),
        a_quilt("d-late-too", destination=donated(delivered="2026-06-01")),
    ]
    order = [gift.quilt.id for gift in Giving.of(a_collection(*quilts)).gifts]
    assert order == ["c-early", "b-late", "d-late-too", "a-undated"]


# Materials --------------------------------------------------------------------------------------


def test_materials_are_added_to_the_cent_and_what_is_not_recorded_is_counted():
    items = {"items": [{"what": "Cotton", "amount": "0.10"}, {"what": "Batting", "amount": "0.20"}]}
    quilts = [
        a_quilt("one", materials_cost=items),
        a_quilt("two", materials_cost="84.57"),
        a_quilt("three"),
        a_quilt("four", appraisal={"value": "900"}),
    ]
    materials = add_materials(quilts, "USD")
    assert materials.known == Money.parse("84.87", currency="USD")
    assert (materials.recorded, materials.lacking) == (2, 2)


def test_a_cost_of_nothing_is_a_recorded_cost():
    materials = add_materials([a_quilt(materials_cost="0")], "USD")
    assert (str(materials.known), materials.recorded, materials.lacking) == ("0.00 USD", 1, 0)


def test_no_quilts_cost_nothing():
    assert str(add_materials([], "GBP").known) == "0.00 GBP"


@given(st.lists(st.integers(0, 10**7)))
def test_the_sum_of_materials_is_exact(cents):
    quilts = [a_quilt(materials_cost=f"{each // 100}.{each % 100:02d}") for each in cents]
    assert add_materials(quilts, "USD").known.amount * 100 == sum(cents)


def test_a_years_materials_are_those_of_what_arrived_and_no_value_is_guessed():
    valued = {"appraisal": {"value": "900"}, "finished_size": "60 x 72"}
    arrived = a_quilt("one", destination=donated(delivered="2026-05-30"), materials_cost="40", **valued)
    unknown = a_quilt("two", destination=donated(delivered="2026-05-30"), **valued)
    waiting = a_quilt("three", destination=donated(through="nell", handed_over="2026-06-01"), materials_cost="999")
    materials = Giving.of(a_collection(arrived, unknown, waiting)).report(2026).totals.materials
    assert (str(materials.known), materials.recorded, materials.lacking) == ("40.00 USD", 1, 1)
