"""Colours as numbers: sRGB, light, Lab and OKLab, and hexadecimal writing."""

import coloraide
import pytest
from hypothesis import given
from hypothesis import strategies as st

from collection.colours.spaces import (
    MOST_LIGHTNESS_WEIGHT,
    Lab,
    ciede2000,
    lab_from_srgb,
    least_ciede2000,
    oklab_from_srgb,
    parse_hex,
    write_hex,
)

channels = st.integers(0, 255)
colours = st.tuples(channels, channels, channels)
labs = st.builds(Lab, st.floats(0, 100), st.floats(-100, 100), st.floats(-100, 100))


def theirs(colour, space):
    return coloraide.Color("srgb", [channel / 255 for channel in colour]).convert(space).coords()


@given(colours)
def test_lab_agrees_with_an_independent_program(colour):
    assert tuple(lab_from_srgb(colour)) == pytest.approx(theirs(colour, "lab-d65"), abs=1e-4)


@given(colours)
def test_oklab_agrees_with_an_independent_program(colour):
    assert tuple(oklab_from_srgb(colour)) == pytest.approx(theirs(colour, "oklab"), abs=5e-4)


@given(colours)
def test_a_written_colour_is_read_as_the_same_colour(colour):
    assert parse_hex(write_hex(colour)) == colour


def test_white_and_grey_have_no_hue():
    for light in (0, 128, 255):
        assert tuple(lab_from_srgb((light,) * 3))[1:] == pytest.approx((0, 0), abs=1e-3)
        assert tuple(oklab_from_srgb((light,) * 3))[1:] == pytest.approx((0, 0), abs=1e-6)
    assert lab_from_srgb((255, 255, 255)).lightness == pytest.approx(100, abs=1e-6)


@pytest.mark.parametrize(
    ("text", "colour"), [("#2e7d3c", (46, 125, 60)), ("2E7D3C", (46, 125, 60)), ("#f0c", (255, 0, 204))]
)
def test_hexadecimal_colours_are_read(text, colour):
    assert parse_hex(text) == colour


@pytest.mark.parametrize("text", ["", "#12", "#12345", "#1234567", "green", "#gg0000", "#-10000", "# 12345"])
def test_what_is_no_hexadecimal_colour_is_told_with_the_right_form(text):
    with pytest.raises(ValueError, match="#2e7d3c"):
        parse_hex(text)


@given(labs, labs)
def test_a_difference_is_the_same_both_ways_and_never_negative(one, other):
    assert ciede2000(one, other) == pytest.approx(ciede2000(other, one), abs=1e-9)
    assert ciede2000(one, other) >= 0


@given(labs)
def test_a_colour_does_not_differ_from_itself(colour):
    assert ciede2000(colour, colour) == 0


@given(labs, labs)
def test_the_least_difference_is_never_more_than_the_difference(one, other):
    difference = ciede2000(one, other) + 1e-9
    assert least_ciede2000(one, other) <= difference
    assert abs(one.lightness - other.lightness) <= MOST_LIGHTNESS_WEIGHT * difference


@given(labs.filter(lambda colour: 40 < abs(colour.b)), st.floats(-2, 2), st.floats(-2, 2))
def test_nor_in_the_blues_where_the_formula_turns(one, a, b):
    other = Lab(one.lightness, one.a + a, one.b + b)
    assert least_ciede2000(one, other) <= ciede2000(one, other) + 1e-9
