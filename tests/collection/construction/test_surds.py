from decimal import Decimal, localcontext
from fractions import Fraction
from math import isclose, sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from collection.construction.surds import Surd
from collection.values.lengths import Length

fractions = st.fractions(min_value=-300, max_value=300, max_denominator=64)
surds = st.builds(Surd, fractions, fractions)
steps = st.sampled_from([Fraction(1), Fraction(1, 4), Fraction(1, 8), Fraction(1, 10)])


def by_decimals(surd: Surd) -> Decimal:
    """A second opinion, to 60 places."""
    with localcontext() as context:
        context.prec = 60
        straight = Decimal(surd.rational.numerator) / surd.rational.denominator
        slanted = Decimal(surd.root2.numerator) / surd.root2.denominator
        return straight + slanted * Decimal(2).sqrt()


@given(surds, surds)
def test_order_agrees_with_sixty_decimal_places(one, other):
    assert (one < other) == (by_decimals(one) < by_decimals(other))
    assert (one >= other) == (by_decimals(one) >= by_decimals(other))


def test_order_is_exact_where_floats_can_no_longer_tell():
    # p / q from the continued fraction of the square root of two: they agree to some 30 digits.
    p, q = 1, 1
    for _ in range(40):
        p, q = p + 2 * q, p + q
    assert p / q == sqrt(2)
    assert (Surd(Fraction(p, q)) < Surd(root2=Fraction(1))) == (p * p < 2 * q * q)
    assert Surd(Fraction(p, q)) != Surd(root2=Fraction(1))


@given(surds, surds, surds)
def test_arithmetic_keeps_the_laws(a, b, c):
    assert a + b == b + a
    assert (a + b) + c == a + (b + c)
    assert a - a == Surd()
    assert (a - b) + b == a
    assert a * 2 == a + a


@given(surds)
def test_times_root_two_and_back(surd):
    assert surd.times_root2().over_root2() == surd
    assert surd.times_root2().times_root2() == surd * 2
    assert isclose(float(surd.times_root2()), float(surd) * sqrt(2), abs_tol=1e-9)


@given(surds, steps)
def test_rounding_up_gives_the_first_step_that_is_not_below(surd, step):
    rounded = surd.rounded_up(step).inches
    assert rounded % step == 0
    assert Surd(rounded - step) < surd <= Surd(rounded)


@given(surds, steps)
def test_rounding_to_the_nearest_is_off_by_at_most_half_a_step(surd, step):
    rounded = surd.nearest(step).inches
    assert rounded % step == 0
    assert Surd(rounded - step / 2) <= surd <= Surd(rounded + step / 2)


@given(fractions)
def test_a_length_without_a_diagonal_part_stays_a_length(inches):
    assert Surd.of(Length(inches)).exact == Length(inches)


def test_a_diagonal_is_no_exact_fraction_of_an_inch():
    assert Surd(root2=Fraction(12)).exact is None


def test_rounding_needs_a_step_above_nothing():
    with pytest.raises(ValueError, match="above 0"):
        Surd(Fraction(1)).rounded_up(Fraction(0))
