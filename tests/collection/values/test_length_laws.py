"""What holds for every length, size and range, and for any text that is read as one."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from collection.values.lengths import Length, LengthRange, Size
from tests.collection.values.made_lengths import SIXTY_AND_A_HALF, inches, metric
from tests.support.patience import soon

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
