from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from collection.construction.take_up import compare
from collection.values.lengths import Length, Size

sizes = st.builds(
    Size,
    st.fractions(min_value=10, max_value=120, max_denominator=8).map(Length),
    st.fractions(min_value=10, max_value=120, max_denominator=8).map(Length),
)


def compared(finished: str, measured: str, **how):
    return compare(Size.parse(finished), Size.parse(measured), **how)


@given(sizes)
def test_a_quilt_of_the_size_of_its_setting_agrees(size):
    comparison = compare(size, size)
    assert comparison.verdict == "agrees"
    assert (comparison.width_off, comparison.length_off) == (Length(0), Length(0))
    assert not comparison.turned


@given(sizes, sizes)
def test_what_is_off_adds_up_to_what_was_measured(finished, measured):
    comparison = compare(finished, measured)
    width, length = measured.width, measured.length
    if comparison.turned:
        width, length = length, width
    assert finished.width + comparison.width_off == width
    assert finished.length + comparison.length_off == length
    assert comparison.width_share == comparison.width_off / finished.width


@given(sizes, sizes)
def test_it_does_not_matter_whether_both_sizes_are_turned(finished, measured):
    turned = compare(Size(finished.length, finished.width), Size(measured.length, measured.width))
    assert turned.verdict == compare(finished, measured).verdict


@pytest.mark.parametrize(
    ("finished", "measured", "verdict"),
    [
        ("60 x 80", "60 x 80", "agrees"),
        ("60 x 80", "60 1/16 x 79 31/32", "agrees"),
        ("60 x 80", "58 x 77", "taken up"),
        ("60 x 80", "57 x 76", "taken up"),
        ("60 x 80", "60 1/2 x 79", "taken up"),
        ("60 x 80", "61 x 81", "a little larger"),
        ("60 x 80", "56 x 80", "smaller"),
        ("60 x 80", "64 x 80", "larger"),
        ("60 x 80", "64 x 70", "neither"),
    ],
)
def test_verdicts(finished, measured, verdict):
    assert compared(finished, measured).verdict == verdict


def test_the_first_wash_takes_its_share_too():
    assert compared("60 x 80", "55 x 73").verdict == "smaller"
    assert compared("60 x 80", "55 x 73", washed=True).verdict == "taken up"


def test_width_and_length_that_changed_places_are_noticed():
    comparison = compared("60 x 80", "78 x 58 1/2")
    assert comparison.turned
    assert comparison.width_off == Length(Fraction(-3, 2))
    assert comparison.length_off == Length(-2)


def test_a_nearly_square_quilt_that_fits_as_it_is_written_is_not_turned():
    assert not compared("60 x 62", "61 x 59").turned


@pytest.mark.parametrize(
    ("finished", "measured", "said"),
    [
        ("60 x 80", "60 x 80", "The measured size agrees with the setting."),
        (
            "60 x 80",
            "58 1/2 x 78",
            (
                "The quilt measures 1 1/2 in narrower (2.5 %) and 2 in shorter (2.5 %) than the setting gives. "
                "Quilting usually takes up 3 to 5 %."
            ),
        ),
        (
            "60 x 80",
            "60 x 78",
            "The quilt measures 2 in shorter (2.5 %) than the setting gives. Quilting usually takes up 3 to 5 %.",
        ),
        (
            "60 x 80",
            "60 1/2 x 80",
            "The quilt measures 1/2 in wider (0.8 %) than the setting gives, within the inch that a show allows.",
        ),
        (
            "60 x 80",
            "50 x 80",
            (
                "The quilt measures 10 in narrower (16.7 %) than the setting gives. That is more than quilting "
                "usually takes up, 3 to 5 %: a look at the block size, the count of blocks and the measured size may help."
            ),
        ),
        (
            "60 x 80",
            "70 x 80",
            (
                "The quilt measures 10 in wider (16.7 %) than the setting gives. Perhaps a border or the sashing "
                "is not written down yet."
            ),
        ),
        (
            "60 x 80",
            "70 x 70",
            (
                "The quilt measures 10 in wider (16.7 %) and 10 in shorter (12.5 %) than the setting gives. "
                "A look at the count of blocks, the borders and the measured size may help."
            ),
        ),
        (
            "60 x 80",
            "80 x 60",
            (
                "Width and length of the measured size seem to have changed places. "
                "Turned, the measured size agrees with the setting."
            ),
        ),
        (
            "60 x 80",
            "78 x 60",
            (
                "Width and length of the measured size seem to have changed places. Turned, the quilt measures "
                "2 in shorter (2.5 %) than the setting gives. Quilting usually takes up 3 to 5 %."
            ),
        ),
    ],
)
def test_the_comparison_in_words(finished, measured, said):
    assert compared(finished, measured).say() == said


def test_a_washed_quilt_is_spoken_of_as_washed():
    assert compared("60 x 80", "57 x 76", washed=True).say("cm") == (
        "The quilt measures 7.5 cm narrower (5.0 %) and 10 cm shorter (5.0 %) than the setting gives. "
        "Quilting usually takes up 3 to 5 %, and the first wash up to 8 % more."
    )


def test_a_washed_quilt_that_is_smaller_still_is_told_what_both_usually_take():
    assert compared("60 x 80", "50 x 70", washed=True).say() == (
        "The quilt measures 10 in narrower (16.7 %) and 10 in shorter (12.5 %) than the setting gives. That is more "
        "than quilting and the first wash usually take up, 3 to 5 % and up to 8 %: a look at the block size, the count "
        "of blocks and the measured size may help."
    )
