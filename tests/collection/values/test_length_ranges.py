"""Ranges of lengths as people write them, what they include, and how they are written back."""

import pytest

from collection.values.lengths import LengthRange
from tests.collection.values.made_lengths import inches, metric

CRIB = LengthRange(inches(36), inches(45))
AT_LEAST = LengthRange(inches(36), None)
AT_MOST = LengthRange(None, inches(45))
CRIB_WORDS = [
    "36 to 45", "36-45", "36–45", "36 - 45", "36 to 45 in", "36\" to 45\"", "36 in-45 in",
    "between 36 and 45", "3 ft to 45 in", "91.44 to 114.3 cm", "from 36 to 45"
]  # fmt: skip
AT_LEAST_WORDS = [
    "at least 36", "36 or more", "At least 36 in", "min 36", "minimum 36", "36+", "≥ 36", ">=36", "from 36",
    "36 and up", "no less than 36"
]  # fmt: skip
AT_MOST_WORDS = [
    "at most 45", "up to 45", "max 45", "maximum 45 in", "45 or less", "<= 45", "≤45", "no more than 45"
]  # fmt: skip


@pytest.mark.parametrize(
    "text, expected",
    [
        *((words, CRIB) for words in CRIB_WORDS),
        *((words, AT_LEAST) for words in AT_LEAST_WORDS),
        *((words, AT_MOST) for words in AT_MOST_WORDS),
        ("36", LengthRange(inches(36), inches(36))),
        ("exactly 36", LengthRange(inches(36), inches(36))),
        ("36 in", LengthRange(inches(36), inches(36))),
        ("36 to 36", LengthRange(inches(36), inches(36))),
        ("60-1/2", LengthRange(inches("60.5"), inches("60.5"))),
        ("36-40 1/2", LengthRange(inches(36), inches("40.5"))),
        ("36-40-1/2", LengthRange(inches(36), inches("40.5"))),
        ("36-1/2-40", LengthRange(inches("36.5"), inches(40))),
        ("1/2-3/4", LengthRange(inches("1/2"), inches("3/4"))),
        ("any", LengthRange(None, None)),
    ],
)  # fmt: skip
def test_a_range_reads_in_every_usual_spelling(text, expected):
    assert LengthRange.parse(text) == expected


def test_a_range_without_a_unit_is_in_the_units_of_the_collection():
    assert (
        LengthRange.parse("90-120", unit="cm")
        == LengthRange.parse("90 to 120 cm")
        == LengthRange(metric(90), metric(120))
    )
    assert LengthRange.parse("at least 90", unit="cm").least == metric(90)


@pytest.mark.parametrize(
    "text, told",
    [
        ("45 to 36", "36 to 45"), ("45-36 in", "backwards"), ("", "empty"), ("small", "“small”"),
        ("36 to", "36 to 45"),
        ("at least", "at least 36"), ("36 to 40 to 45", "36 to 45"), ("36-40-45", "36 to 45"),
        ("at least -36", "less than nothing"),
        ("under 36", "at most 45"), (">=", "at least 36"), ("3 ft to 45", "after both"),
        ("36 to 1200", "1000 in"), ("9-" * 200, "too long"),
    ],
)  # fmt: skip
def test_what_is_no_range_is_refused_with_what_would_be_right(text, told):
    with pytest.raises(ValueError) as refused:
        LengthRange.parse(text)
    assert told in str(refused.value) and str(refused.value).endswith(".")


def test_a_range_cannot_be_made_backwards():
    with pytest.raises(ValueError):
        LengthRange(inches(45), inches(36))


def test_a_range_includes_its_bounds_and_says_how_far_outside_a_length_is():
    assert inches(36) in CRIB and inches(45) in CRIB and inches(40) in CRIB
    assert inches("35.5") not in CRIB and CRIB.distance(inches("35.5")) == -inches("0.5")
    assert inches(47) not in CRIB and CRIB.distance(inches(47)) == inches(2)
    assert CRIB.distance(inches(40)) == inches(0)
    assert AT_LEAST.distance(inches(900)) == inches(0) and AT_MOST.distance(inches(1)) == inches(0)
    assert inches(1) in LengthRange(None, None)


@pytest.mark.parametrize(
    "span, text, shown_in, shown_cm",
    [
        (CRIB, "36 to 45 in", "36 to 45", "91.5 to 114.5"),
        (AT_LEAST, "at least 36 in", "at least 36", "at least 91.5"),
        (AT_MOST, "at most 45 in", "at most 45", "at most 114.5"), (LengthRange(inches(36), inches(36)),
        "36 in", "36", "91.5"),
        (LengthRange(None, None), "any", "any", "any"),
        (LengthRange(metric(90), metric(120)), "90 to 120 cm", "35 3/8 to 47 1/4",
        "90 to 120"),
    ],
)  # fmt: skip
def test_a_range_is_written_as_people_say_it(span, text, shown_in, shown_cm):
    assert (str(span), span.in_inches(), span.in_cm()) == (text, shown_in, shown_cm)
