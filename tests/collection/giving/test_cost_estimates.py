"""Estimates from a quilt's size and the maker's price list: exact, and never taken for a record."""

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from collection.construction.yardage import backing, binding, yards
from collection.giving.cost_estimates import add_estimates, estimate_materials, top_cloth
from collection.records.settings import Settings
from collection.values.lengths import Length, Size
from collection.values.money import Money
from tests.support.made_records import a_quilt

PRICES = {"top": "12", "backing": "11.50", "binding": "12", "batting_packages": [{"size": "twin", "price": "24.99"}]}


def settings(prices: dict | None = PRICES, **fields) -> Settings:
    return Settings.model_validate(
        {"currency": "USD"} | fields | ({"prices": prices} if prices is not None else {}), context={"currency": "USD"}
    )


def estimate(size: str | None = "60 x 80", prices: dict | None = PRICES, quilt: dict | None = None, **fields):
    return estimate_materials(a_quilt(finished_size=size, **(quilt or {})), settings(prices, **fields))


def costs(found) -> dict[str, str]:
    return {part.part: f"{part.amount} {part.cost.say()}" for part in found.parts}


def test_each_part_is_bought_as_a_shop_cuts_it():
    assert costs(estimate()) == {
        "top": "4 1/2 yd $54.00",
        "backing": "5 yd $57.50",
        "batting": "1 twin package $24.99",
        "binding": "5/8 yd $7.50",
    }
    assert str(estimate().total) == "143.99 USD"


def test_where_units_are_cm_prices_are_for_a_metre():
    found = estimate("150 x 200 cm", {"backing": "10"}, units="cm")
    assert costs(found) == {"backing": "4.5 m $45.00"}


def test_a_recorded_cost_is_never_estimated_over():
    assert estimate(quilt={"materials_cost": "0"}) is None


@pytest.mark.parametrize(
    ("size", "prices"), [(None, PRICES), ("60 x 80", None), ("60 x 80", {}), ("60 x 80", {"noted": "2026"})]
)
def test_nothing_is_estimated_without_a_size_and_a_price(size, prices):
    assert estimate(size, prices) is None


def test_what_is_not_priced_is_named():
    found = estimate(prices={"top": "12"})
    assert found.unpriced == ("backing", "batting", "binding")
    assert str(found.total) == "54.00 USD"


def test_a_quilt_without_batting_is_not_charged_for_it():
    found = estimate(quilt={"fibre": {"batting": "none"}})
    assert "batting" not in costs(found)
    assert found.unpriced == ()


def test_the_smallest_package_that_is_priced_and_large_enough_counts():
    packages = [{"size": "king", "price": "60"}, {"size": "queen", "price": "40"}, {"size": "crib", "price": "9"}]
    assert costs(estimate(prices={"batting_packages": packages})) == {"batting": "1 queen package $40.00"}


def test_batting_comes_off_the_roll_where_no_priced_package_is_large_enough():
    packages = [{"size": "crib", "price": "9"}]
    found = estimate(prices={"batting": "10", "batting_packages": packages})
    assert costs(found) == {"batting": "1 7/8 yd $18.75"}
    assert costs(estimate(prices={"batting": "10", "batting_width": "45"})) == {"batting": "3 3/4 yd $37.50"}
    assert estimate(prices={"batting_packages": packages}) is None


def test_wide_backing_needs_no_seam():
    assert costs(estimate(prices={"backing": "20", "backing_width": "108"})) == {"backing": "2 yd $40.00"}


def test_a_width_of_nothing_and_a_package_that_stands_twice_are_refused():
    with pytest.raises(ValueError, match="wider than 0"):
        settings({"top": "1", "cloth_width": "0"})
    with pytest.raises(ValueError, match="stands there twice"):
        settings({"batting_packages": [{"size": "twin", "price": "1"}, {"size": "twin", "price": "2"}]})


@given(
    st.integers(1, 1200), st.integers(1, 1200), st.decimals(0, 1000, places=2, allow_nan=False, allow_infinity=False)
)
def test_it_is_the_published_lengths_times_the_price_to_the_nearest_cent(width, length, price):
    size = Size(Length(Fraction(width, 8)), Length(Fraction(length, 8)))
    prices = {part: str(price) for part in ("top", "backing", "binding")}
    found = estimate(str(size), prices)
    bought = {"top": top_cloth(size), "backing": backing(size).fabric, "binding": binding(size).fabric}
    for part in found.parts:
        exact = Fraction(price) * yards(bought[part.part])
        assert abs(Fraction(part.cost.amount) - exact) <= Fraction(1, 200)
    assert found.total == sum(part.cost for part in found.parts)


def test_half_a_cent_goes_up():
    assert costs(estimate("60 x 80", {"binding": "0.04"})) == {"binding": "5/8 yd $0.03"}  # 0.025


def test_estimates_together_leave_out_what_is_recorded_and_what_can_not_be_estimated():
    quilts = [
        a_quilt("one", finished_size="60 x 80"),
        a_quilt("two", finished_size="60 x 80", materials_cost="5"),
        a_quilt("three"),
    ]
    found = add_estimates(quilts, settings())
    assert (found.total, found.count) == (Money(Decimal("143.99"), "USD"), 1)
    assert add_estimates([], settings(None)).total == Money.nothing("USD")
