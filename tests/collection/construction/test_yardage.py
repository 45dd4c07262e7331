from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from collection.construction.yardage import (
    BATTING_PACKAGES,
    BattingPackage,
    backing,
    backing_plans,
    batting_for,
    binding,
    metres,
    say_cloth,
    yards,
)
from collection.values.lengths import Length, Size

lengths = st.fractions(min_value=4, max_value=140, max_denominator=8).map(Length)
sizes = st.builds(Size, lengths, lengths)


def a_size(text: str) -> Size:
    return Size.parse(text)


# Yards ----------------------------------------------------------------------------------------


@given(lengths, st.sampled_from([Fraction(1, 8), Fraction(1, 4)]))
def test_yards_are_rounded_up_to_what_a_shop_cuts(length, step):
    bought = yards(length, step=step)
    assert bought % step == 0
    assert (bought - step) * 36 < length.inches <= bought * 36


@given(lengths)
def test_metres_are_rounded_up_to_ten_centimetres(length):
    bought = metres(length)
    assert bought % Fraction(1, 10) == 0
    assert (bought - Fraction(1, 10)) * 100 < length.cm <= bought * 100


@pytest.mark.parametrize(
    ("inches", "said", "said_in_metres"),
    [
        ("108", "3 yd", "2.8 m"),
        ("110", "3 1/8 yd", "2.8 m"),
        ("9", "1/4 yd", "0.3 m"),
        ("0", "0 yd", "0.0 m"),
        ("36", "1 yd", "1.0 m"),
    ],
)
def test_cloth_in_words(inches, said, said_in_metres):
    assert say_cloth(Length.parse(inches)) == said
    assert say_cloth(Length.parse(inches), "cm") == said_in_metres


# Binding --------------------------------------------------------------------------------------


def test_binding_for_a_throw():
    plan = binding(a_size("50 x 60"))
    assert (plan.strips, plan.around, plan.fabric, plan.yards) == (
        6,
        Length(230),
        Length(15),
        Fraction(1, 2),
    )
    assert plan.say() == "6 strips of 2 1/2 in, 1/2 yd"
    assert plan.say("cm") == "6 strips of 6.4 cm, 0.4 m"


@given(sizes, st.sampled_from(["2 1/4", "2 1/2"]), st.integers(30, 60), st.integers(0, 24))
def test_the_strips_reach_round_and_one_less_would_not(size, strip, usable, allowance):
    plan = binding(size, strip=Length.parse(strip), usable_width=Length(usable), allowance=Length(allowance))
    needed = 2 * (size.width + size.length) + Length(allowance)
    assert plan.around == needed
    assert (plan.strips - 1) * Length(usable) < needed <= plan.strips * Length(usable)
    assert plan.fabric == plan.strips * Length.parse(strip)
    assert plan.yards * 36 >= plan.fabric.inches


@given(sizes)
def test_turning_a_quilt_does_not_change_its_binding(size):
    assert binding(size) == binding(Size(size.length, size.width))


# Backing --------------------------------------------------------------------------------------


def test_backing_is_planned_in_both_directions():
    up_and_down, across = backing_plans(a_size("60 x 80"))
    assert (up_and_down.panels, up_and_down.panel_length, up_and_down.yards) == (2, Length(88), 5)
    assert (across.panels, across.panel_length, across.fabric) == (3, Length(68), Length(204))
    assert backing(a_size("60 x 80")) == up_and_down


def test_a_backing_in_words_counts_its_seams():
    up_and_down, across = backing_plans(a_size("60 x 80"))
    assert across.say() == "3 panels of 68 in, 2 seams across, 5 3/4 yd"
    assert up_and_down.say("cm") == "2 panels of 223.5 cm, 1 seam up and down, 4.5 m"


def test_the_smaller_of_the_two_is_chosen():
    plan = backing(a_size("65 x 78"), extra=Length(0))
    assert (plan.seams, plan.panels, plan.fabric) == ("across", 2, Length(130))
    assert plan.say() == "2 panels of 65 in, 1 seam across, 3 5/8 yd"


def test_seams_run_up_and_down_where_both_need_the_same():
    assert backing(a_size("60 x 60")).seams == "up and down"


def test_cloth_wide_enough_needs_no_seam():
    plan = backing(a_size("100 x 102"), usable_width=Length(108))
    assert (plan.panels, plan.seams) == (1, "none")
    assert plan.say() == "1 panel of 110 in, no seam, 3 1/8 yd"


@given(sizes, st.integers(0, 12), st.integers(36, 110))
def test_the_panels_cover_the_top_with_the_spare_all_round(size, extra, usable):
    for plan in backing_plans(size, extra=Length(extra), usable_width=Length(usable)):
        assert plan.size == Size(size.width + Length(extra), size.length + Length(extra))
        across = plan.panels * Length(usable)
        one_less = (plan.panels - 1) * Length(usable)
        sides = {plan.size.width, plan.size.length}
        assert any(one_less < side <= across for side in sides)
        assert plan.panel_length in sides
        assert plan.fabric == plan.panels * plan.panel_length
        assert plan.fabric.inches * usable >= plan.size.area


@given(sizes)
def test_turning_a_quilt_does_not_change_the_yards_of_backing(size):
    assert backing(size).yards == backing(Size(size.length, size.width)).yards


# Batting --------------------------------------------------------------------------------------


def test_the_smallest_package_that_reaches_over_all_round_is_chosen():
    assert batting_for(a_size("39 x 54")).key == "crib"
    assert batting_for(a_size("40 x 54")).key == "throw"
    assert batting_for(a_size("60 x 80")).key == "twin"


def test_a_package_may_be_turned():
    assert batting_for(a_size("80 x 60")).key == "twin"


def test_a_quilt_larger_than_every_package_gets_none():
    assert batting_for(a_size("115 x 100")) is None


def test_no_packages_give_none():
    assert batting_for(a_size("40 x 40"), packages=()) is None


@given(sizes, st.integers(0, 12))
def test_a_package_holds_the_quilt_and_no_smaller_one_would(size, margin):
    chosen = batting_for(size, margin=Length(margin))

    def fits(package: BattingPackage) -> bool:
        return (
            size.shorter + Length(margin) <= package.size.shorter
            and size.longer + Length(margin) <= package.size.longer
        )

    fitting = [package for package in BATTING_PACKAGES if fits(package)]
    assert (chosen is None) == (not fitting)
    if chosen is not None:
        assert fits(chosen)
        assert chosen.size.area == min(package.size.area for package in fitting)
