"""Lengths as people write them, how they are written back and shown, and exact arithmetic."""

from fractions import Fraction

import pytest

from collection.values.lengths import MILLIMETRE, Length
from tests.collection.values.made_lengths import SIXTY_AND_A_HALF, inches, metric

# What people write ----------------------------------------------------------------------------


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


@pytest.mark.parametrize(
    ("length", "unit", "below", "above"),
    [
        ("37 in", "in", "37 in", "37 in"),
        ("94 cm", "in", "37 in", "37 1/8 in"),
        ("76 in", "cm", "193 cm", "193.5 cm"),
        ("50 in", "cm", "127 cm", "127 cm"),
    ],
)
def test_the_next_length_that_is_shown_exactly_is_found_on_either_side(length, unit, below, above):
    exact = Length.parse(length)
    assert (exact.next_shown(unit, up=False), exact.next_shown(unit, up=True)) == (
        Length.parse(below),
        Length.parse(above),
    )


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
