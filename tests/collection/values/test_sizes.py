"""Sizes as people write them, exact or approximate, and how they are written back."""

from dataclasses import replace
from fractions import Fraction

import pytest

from collection.values.lengths import Size
from tests.collection.values.made_lengths import inches, metric

# Sizes ----------------------------------------------------------------------------------------

LAP = Size(inches("60.5"), inches(72))


@pytest.mark.parametrize(
    "text",
    ["60 1/2 x 72 in", "60 1/2 x 72", "60½×72", "60.5 X 72", "60-1/2 by 72", "60 1/2 in x 72 in",
    '60 1/2" x 72"',
     "60 1/2” × 72”", "60 1/2 in x 72", "60 1/2 * 72", "5 ft 1/2 in x 6 ft", "153.67 x 182.88 cm",
     "60 1/2 in by 2 yd", "60,5 x 72"],
)  # fmt: skip
def test_a_size_reads_in_every_usual_spelling(text):
    assert Size.parse(text) == LAP


def test_a_size_without_a_unit_is_in_the_units_of_the_collection():
    in_cm = Size(metric(153), metric(183))
    assert Size.parse("153 x 183", unit="cm") == Size.parse("153 x 183 cm") == in_cm
    assert Size.parse("60 x 72 in", unit="cm") == Size(inches(60), inches(72))
    assert Size.parse("1.5 x 2 m") == Size(metric(150), metric(200))


@pytest.mark.parametrize("text", ["36 square", "36 in square", '36" sq', "36 in sq.", "36 Square"])
def test_one_number_is_a_size_only_when_it_says_square(text):
    assert Size.parse(text) == Size(inches(36), inches(36))


@pytest.mark.parametrize(
    "text, told",
    [
        ("60", "width x length"), ("60 in", "width x length"), ("", "empty"), ("60 x", "width x length"),
        ("x 72", "width x length"),
        ("60 x 72 x 2", "width x length"), ("60 x tall", "“tall”"), ("60 x -72", "less than nothing"),
        ("0 x 72", "larger than nothing"),
        ("5 ft x 72", "after both"), ("5 x 6 ft", "after both"), ("60 x 5 ft 6 in", "after both"),
        ("36 sq in", "width x length"),
        ("lap", "width x length"), ("60 x 1200", "1000 in"), ("6" * 500, "too long"),
        ("square", "width x length"),
        ("60 by 72 square", "“square”"),
    ],
)  # fmt: skip
def test_what_is_no_size_is_refused_with_what_would_be_right(text, told):
    with pytest.raises(ValueError) as refused:
        Size.parse(text)
    assert told in str(refused.value) and str(refused.value).endswith(".")


def test_a_size_knows_its_sides_and_area_and_is_shown_in_both_units():
    assert (LAP.shorter, LAP.longer) == (inches("60.5"), inches(72))
    assert Size(inches(72), inches(60)).shorter == inches(60)
    assert LAP.area == Fraction(4356)
    assert str(LAP) == "60 1/2 x 72 in"
    assert LAP.in_inches() == "60 1/2 x 72" and LAP.in_cm() == "153.5 x 183"


@pytest.mark.parametrize(
    "size, text",
    [
        (Size(metric("153.5"), metric(183)), "153.5 x 183 cm"),
        (Size(inches(60), metric("153.5")), "152.4 x 153.5 cm"),
        (Size(inches("1/3"), metric("153.5")), "1/3 x 60 55/127 in"),
    ],
)
def test_a_size_is_written_in_one_unit_that_is_exact_for_both_sides(size, text):
    assert str(size) == text and Size.parse(text) == size


# About so large -------------------------------------------------------------------------------

ABOUT_SIXTY = replace(Size(inches(60), inches(80)), about=True)


@pytest.mark.parametrize(
    "text",
    ["About 60 x 80", "about 60 x 80", "60 x 80ish", "60x80-ish", "60ish x 80ish", "~60x80", "~60 x ~80", "60 x 80~",
     "60 x 80 approx", "60 x 80 approx.", "approx. 60 x 80 in", "60 x 80 (approx.)", "approximately 60 inches x 80 inches",
     "circa 60 by 80", "c. 60 x 80", "ca 60 x 80", "around 60 x 80", "roughly 60\" x 80\"", "60 x 80 or so", "60 x 80?",
     "about 5 ft x 80 in", "60 in-ish x 80 in", "≈ 60 × 80", "nearly 60 x 80", "about 60 x about 80"],
)  # fmt: skip
def test_an_approximate_size_reads_in_every_usual_way_and_stays_one(text):
    size = Size.parse(text)
    assert size == ABOUT_SIXTY and size.approximate and size != Size(inches(60), inches(80))
    assert (str(size), size.in_inches(), size.in_cm()) == ("about 60 x 80 in", "about 60 x 80", "about 152.5 x 203")
    assert Size.parse(str(size)) == size
    assert (size.least, size.most) == (Size(inches(57), inches(76)), Size(inches(63), inches(84)))


@pytest.mark.parametrize(
    ("text", "written", "least", "most"),
    [
        ("60-62 x 80", "60 to 62 x 80 in", "60 x 80", "62 x 80"),
        ("60–62 x 80–84 in", "60 to 62 x 80 to 84 in", "60 x 80", "62 x 84"),
        ("60 to 62 x 80", "60 to 62 x 80 in", "60 x 80", "62 x 80"),
        ("between 60 and 62 x 80", "60 to 62 x 80 in", "60 x 80", "62 x 80"),
        ("152-155 x 203 cm", "152 to 155 x 203 cm", "152 x 203 cm", "155 x 203 cm"),
        ("60-1/2 - 62 x 72", "60 1/2 to 62 x 72 in", "60 1/2 x 72", "62 x 72"),
        ("36-38 square", "36 to 38 x 36 to 38 in", "36 x 36", "38 x 38"),
        ("60 x 80 ± 1", "59 to 61 x 79 to 81 in", "59 x 79", "61 x 81"),
        ("60 x 80 +/- 1/2 in", "59 1/2 to 60 1/2 x 79 1/2 to 80 1/2 in", "59 1/2 x 79 1/2", "60 1/2 x 80 1/2"),
        ("60 x 80 give or take 2", "58 to 62 x 78 to 82 in", "58 x 78", "62 x 82"),
        ("about 60-62 x 80", "about 60 to 62 x 80 in", "57 x 76", "65.1 x 84"),
        ("60-60 x 80", "60 x 80 in", "60 x 80", "60 x 80"),
    ],
)
def test_a_side_that_lies_in_a_range_is_written_as_one(text, written, least, most):
    size = Size.parse(text)
    assert str(size) == written and Size.parse(written) == size
    assert (size.least, size.most) == (Size.parse(least), Size.parse(most))
    assert size.turned.turned == size and size.turned.width == size.length


@pytest.mark.parametrize(
    ("text", "told"),
    [("62-60 x 80", "Write 60 to 62"), ("60- x 80", "width x length"), ("about", "width x length"), ("~", "width x length"),
     ("1 x 2 ± 3", "larger than nothing"), ("60 x 80 ± much", "not a size"), ("60 to 62 to 64 x 80", "width x length"),
     ("999 x 1000 ± 1", "larger than any quilt"), ("60 x 5 ft - 6 in", "after all")],
)  # fmt: skip
def test_what_is_no_approximate_size_is_refused_with_what_would_be_right(text, told):
    with pytest.raises(ValueError) as refused:
        Size.parse(text)
    assert told in str(refused.value)
