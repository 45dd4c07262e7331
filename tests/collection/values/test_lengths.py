from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from collection.values.lengths import CM_PER_INCH, MILLIMETRE, Length, LengthRange, Size
from tests.support.patience import soon


def inches(value: int | str | Fraction) -> Length:
    return Length(Fraction(value))


def metric(value: int | str | Fraction | Decimal) -> Length:
    return Length(Fraction(value) / CM_PER_INCH)


# What people write ----------------------------------------------------------------------------

SIXTY_AND_A_HALF = [
    "60 1/2", "60-1/2", "60 - 1/2", "60½", "60 ½", "60-½", "60–1/2", "60 1⁄2", "60 1∕2", "60.5", "60,5",
    "60.5 in", "60.5in", '60 1/2"', "60 1/2″", "60 1/2”", "60 1/2''", "60 1/2 inches", "60 1/2 in.",
    "60½ Inch",
    "5 ft 1/2 in", "5' 1/2\"", "5’ ½”", "5′ 0.5″", "5 feet 1/2 inch", "1 yd 2 ft 1/2 in", "1 yd 24 1/2 in",
    "121/2", "  60  1/2\t", "60\u00a01/2", "153.67 cm", "1536.7 mm", "1.5367 m", "1 m 53.67 cm",
]  # fmt: skip


@pytest.mark.parametrize("text", SIXTY_AND_A_HALF)
def test_sixty_and_a_half_inches_reads_in_every_usual_spelling(text):
    assert Length.parse(text) == inches("60.5")


@pytest.mark.parametrize(
    "written",
    ["¼ 1/4", "½ 1/2", "¾ 3/4", "⅐ 1/7", "⅑ 1/9", "⅒ 1/10", "⅓ 1/3", "⅔ 2/3", "⅕ 1/5", "⅖ 2/5", "⅗ 3/5",
     "⅘ 4/5", "⅙ 1/6", "⅚ 5/6", "⅛ 1/8", "⅜ 3/8", "⅝ 5/8", "⅞ 7/8"],
)  # fmt: skip
def test_every_fraction_character_reads(written):
    character, value = written.split()
    assert Length.parse(character) == inches(value)
    assert Length.parse(f"12{character} in") == inches(12) + inches(value)
    assert Length.parse(f"12 {character}") == inches(12) + inches(value)


def test_a_fraction_begun_with_the_one_over_character_reads():
    assert Length.parse("60⅟8") == inches("60.125")


@pytest.mark.parametrize(
    "text, value",
    [
        ("7 ft", "84"), ("5' 6\"", "66"), ("2 yd", "72"), ("1/2 yard", "18"), ("2 1/2 yards", "90"),
        (".5 in", "1/2"),
        ("0", "0"), ("0 in", "0"), ("3/8", "3/8"), ("0,125", "1/8"), ("1,5 yd", "54"),
    ],
)  # fmt: skip
def test_feet_yards_fractions_and_nothing_at_all_read(text, value):
    assert Length.parse(text) == inches(value)


@pytest.mark.parametrize(
    "text, cm",
    [("153.5 cm", "153.5"), ("153,5 cm", "153.5"), ("1.5 m", 150), ("1,5 metres", 150), ("900 mm", 90),
    ("90 centimeters", 90)],
)  # fmt: skip
def test_metric_lengths_read_exactly(text, cm):
    assert Length.parse(text) == metric(cm)
    assert Length.parse(text).cm == Fraction(cm)


def test_a_bare_number_is_in_the_units_of_the_collection():
    assert Length.parse("153,5", unit="cm") == metric("153.5")
    assert Length.parse("60 1/2", unit="in") == inches("60.5")
    assert Length.parse("60 1/2 in", unit="cm") == inches("60.5")


# What is refused ------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "text, told",
    [
        ("", "empty"), ("   ", "empty"),
        ("-5", "less than nothing"), ("−5 in", "less than nothing"), ("- 1/2", "less than nothing"),
        ("60 1/0", "under the line"), ("1/0", "under the line"), ("0/0", "under the line"),
        ("sixty", "not a length"), ("60 or so", "“or”"), ("60 hands", "“hands”"), ("nan", "“nan”"),
        ("inf", "“inf”"),
        ("1e3", "“e”"), ("60 in 153 cm", "one unit"), ("5 ft 20 cm", "one unit"), ("60 in (153 cm)",
        "not a length"),
        ("5 in 6 in", "one unit"), ("6 in 5 ft", "one unit"), ("5 ft 60 in", "1 ft"), ("5 ft 12 in", "1 ft"),
        ("5 ft 6", "its unit"), ("60 72", "its unit"),
        ("1001", "1000 in"), ("90 m", "1000 in"), ("3000 cm", "1000 in"), ("9" * 99, "1000 in"),
        ("60 3/2", "3/2"), ("60 2/2", "2/2"), ("1,200 mm", "1200"), ("1,234", "1234"), ("12.5 1/2", "its unit"),
        ("٦٠", "0 to 9"), ("６０", "0 to 9"), ("60²", "0 to 9"),
        ("1" * 101, "too long"), ("60.", "not a length"), ("60/", "not a length"), ("+60", "not a length"),
        ("60 x 72", "x"), ("60 1 /2 1/2", "its unit"), ("1/" + "7" * 98, "ruler"),
    ],
)  # fmt: skip
def test_what_is_no_length_is_refused_with_what_would_be_right(text, told):
    with pytest.raises(ValueError) as refused:
        Length.parse(text)
    message = str(refused.value)
    assert told in message
    assert message.endswith(".") and "\n" not in message and len(message) < 200


def test_a_message_quotes_nothing_that_a_terminal_would_obey():
    with pytest.raises(ValueError) as refused:
        Length.parse("\x1b[2Jsixty")
    assert "\x1b" not in str(refused.value)


def test_a_binary_fraction_is_not_taken_for_an_exact_length():
    with pytest.raises(TypeError):
        Length(0.1)


# Writing --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "length, text",
    [
        (inches("60.5"), "60 1/2 in"), (inches(60), "60 in"), (inches("3/8"), "3/8 in"), (inches(0), "0 in"),
        (inches("1/64"), "1/64 in"), (metric("153.5"), "153.5 cm"), (metric(90), "90 cm"),
        (inches(60) + inches("1/3"), "60 1/3 in"), (inches("1/128"), "0.01984375 cm"),
        (-inches("60.5"), "-60 1/2 in"), (-inches("0.5"), "-1/2 in"), (-metric("0.25"), "-0.25 cm"),
    ],
)  # fmt: skip
def test_the_exact_text_is_ruler_inches_else_centimetres_else_odd_inches(length, text):
    assert str(length) == text


@pytest.mark.parametrize(
    "value, shown",
    [
        ("60.5", "60 1/2"), ("60", "60"), ("0", "0"), ("1/8", "1/8"), ("1/16", "1/8"), ("3/16", "1/4"),
        ("1/32", "0"),
        ("59.99", "60"), ("60.06", "60"), ("60.0625", "60 1/8"), ("-1/2", "-1/2"), ("-1/32", "0"),
        ("-60.3", "-60 1/4"),
    ],
)  # fmt: skip
def test_inches_are_shown_to_the_nearest_eighth_and_a_tie_goes_up(value, shown):
    assert inches(value).in_inches() == shown


@pytest.mark.parametrize(
    "cm, shown",
    [("153.5", "153.5"), ("153.25", "153.5"), ("153.2", "153"), ("183", "183"), ("0.2", "0"), ("-2.5", "-2.5")],
)
def test_centimetres_are_shown_to_the_nearest_half_and_a_tie_goes_up(cm, shown):
    assert metric(cm).in_cm() == shown


@pytest.mark.parametrize(
    ("cm", "shown"),
    [("44.27", "44.3"), ("44.25", "44.3"), ("44.249", "44.2"), ("31.75", "31.8"), ("30", "30"), ("0.04", "0")],
)
def test_what_is_cut_is_shown_to_the_nearest_millimetre(cm, shown):
    assert metric(cm).in_cm(MILLIMETRE) == shown


# Arithmetic -----------------------------------------------------------------------------------


def test_lengths_add_scale_and_divide_exactly():
    third = inches(1) / 3
    assert third + third + third == inches(1)
    assert third * 3 == 3 * third == inches(1)
    assert inches(60) - inches(72) == -inches(12) and abs(inches(60) - inches(72)) == inches(12)
    assert inches(60) / inches(24) == Fraction(5, 2)
    assert inches(60) * Fraction(1, 8) == inches("7.5")
    assert sum([inches(1), inches(2)], inches(0)) == inches(3)


def test_lengths_are_ordered_and_only_nothing_is_false():
    assert sorted([inches(72), metric(90), inches(60)]) == [metric(90), inches(60), inches(72)]
    assert not inches(0) and inches("1/64")
    assert len({inches("60.5"), Length.parse("153.67 cm")}) == 1


def test_a_length_is_not_multiplied_by_a_binary_fraction_or_a_length():
    one = inches(1)
    for nonsense in (lambda: one * 0.5, lambda: one * one, lambda: one + 1, lambda: one - 1, lambda: one / 0.5):
        with pytest.raises(TypeError):
            nonsense()


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


# Ranges ---------------------------------------------------------------------------------------

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


# Laws -----------------------------------------------------------------------------------------

ruler_lengths = st.integers(0, 64_000).map(lambda n: inches(Fraction(n, 64)))
metric_lengths = st.decimals(0, 2540, places=3).map(metric)
odd_lengths = st.fractions(0, 1000, max_denominator=10**6).map(Length)
lengths = ruler_lengths | metric_lengths | odd_lengths
sides = lengths.filter(bool)
ranges = st.one_of(
    st.tuples(lengths, lengths).map(lambda pair: LengthRange(min(pair), max(pair))),
    lengths.map(lambda least: LengthRange(least, None)),
    lengths.map(lambda most: LengthRange(None, most)),
    st.just(LengthRange(None, None)),
)


@given(lengths, st.sampled_from(["in", "cm"]))
def test_the_text_of_a_length_reads_back_as_that_length(length, unit):
    assert Length.parse(str(length), unit=unit) == length


shares = st.sampled_from([Fraction(0), Fraction(1, 8), Fraction(1, 20)])


def size_within(width, length, about, share, other):
    """A size whose sides may be off by a share of them; halves, so that none is longer than any quilt."""
    width, length = width / 2, length / 2
    return Size(width, length, about, width * share, length * other)


@given(st.builds(size_within, sides, sides, st.booleans(), shares, shares), st.sampled_from(["in", "cm"]))
def test_the_text_of_a_size_reads_back_as_that_size(size, unit):
    assert Size.parse(str(size), unit=unit) == size


@given(ranges, st.sampled_from(["in", "cm"]))
def test_the_text_of_a_range_reads_back_as_that_range(span, unit):
    assert LengthRange.parse(str(span), unit=unit) == span


@given(ranges, lengths)
def test_a_length_is_in_a_range_just_when_it_is_at_no_distance_from_it(span, length):
    assert (length in span) == (not span.distance(length))
    assert length - span.distance(length) in span


@given(lengths)
def test_what_is_shown_is_never_further_off_than_half_a_step(length):
    assert abs(Length.parse(length.in_inches()) - length) <= inches("1/16")
    assert abs(Length.parse(length.in_cm(), unit="cm") - length) <= metric("0.25")


@given(odd_lengths, odd_lengths)
def test_adding_and_taking_away_come_back_to_the_start(a, b):
    assert (a + b) - b == a and (a < b) == (a.inches < b.inches)


def mutated(sound: list[str]) -> st.SearchStrategy[str]:
    """Sound text with a stretch of it replaced by something else."""
    piece = st.sampled_from(
        ["", " ", "-", "/", "1/0", "½", "in", "cm", '"', "x", "to", ",", ".", "9" * 30, "\x00", "٣", "or more"]
    )
    return st.builds(
        lambda text, at, span, new: text[:at] + new + text[at + span :],
        st.sampled_from(sound), st.integers(0, 20), st.integers(0, 5), piece | st.text(max_size=5),
    )  # fmt: skip


WRITTEN = [
    *SIXTY_AND_A_HALF,
    "60 1/2 x 72 in",
    "153 x 183 cm",
    "36 to 45",
    "36-45",
    "at least 36",
    "36 in sq",
    "45 or less",
    "any",
]
anything = st.text(max_size=150) | mutated(WRITTEN) | st.text(alphabet="0123456789 -/.,x½'\"incmftydto", max_size=60)


@given(anything, st.sampled_from([Length, Size, LengthRange]), st.sampled_from(["in", "cm"]))
def test_any_text_either_reads_or_is_refused_in_words_and_what_reads_writes_back(text, kind, unit):
    try:
        value = kind.parse(text, unit=unit)
    except ValueError as refused:
        assert str(refused).strip().endswith(".") and "\n" not in str(refused)
    else:
        assert kind.parse(str(value), unit=unit) == value


@pytest.mark.parametrize("piece", ["9", " ", "-", "1/", "1 ", "½", "in ", "x", "36-", "at least ", "' ", "1 to "])
@pytest.mark.parametrize("kind", [Length, Size, LengthRange])
def test_a_very_long_text_is_refused_at_once(kind, piece):
    for text in (piece * 100_000, piece * (99 // len(piece)), piece * (209 // len(piece))):
        with soon(), pytest.raises(ValueError):
            kind.parse(text)
