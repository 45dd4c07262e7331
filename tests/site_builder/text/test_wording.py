"""How facts are said on pages."""

from fractions import Fraction

import pytest

from collection.privacy import publishable
from collection.quotes import listed
from collection.values.lengths import Length, Size
from site_builder.text.wording import (
    STANDINGS,
    area_words,
    count_of,
    length_in,
    made_words,
    money_words,
    size_area_words,
    size_both,
    size_in,
    stage_words,
    standing_of,
    standing_words,
)
from tests.support.made_records import a_charity, a_collection, a_quilt, donated

SIZE = Size.parse("60 1/2 x 72 in")


@pytest.mark.parametrize(("count", "words"), [(0, "0 quilts"), (1, "1 quilt"), (2, "2 quilts"), (1200, "1,200 quilts")])
def test_a_count_has_its_noun(count, words):
    assert count_of(count, "quilt") == words


def test_a_noun_may_have_its_own_plural():
    assert count_of(2, "charity", "charities") == "2 charities"


@pytest.mark.parametrize(
    ("words", "sentence"), [([], ""), (["a"], "a"), (["a", "b"], "a and b"), (["a", "b", "c"], "a, b and c")]
)
def test_words_are_listed_as_in_a_sentence(words, sentence):
    assert listed(words) == sentence


INCHES, CENTIMETRES = (size.replace(" ", "\u00a0") for size in ("60 1/2 × 72 in", "153.5 × 183 cm"))


def test_sizes_are_said_in_both_units_the_collections_own_first():
    assert size_both(SIZE, "in") == f"{INCHES} ({CENTIMETRES})"
    assert size_both(SIZE, "cm") == f"{CENTIMETRES} ({INCHES})"


def test_no_line_ends_within_a_size():
    assert size_in(SIZE, "in") == INCHES
    assert size_in(SIZE, "cm") == CENTIMETRES


def test_lengths_are_said_in_the_unit_that_is_asked_for():
    assert length_in(Length.parse("2 1/4 in"), "in") == "2 1/4 in"
    assert length_in(Length.parse("2 1/4 in"), "cm") == "5.5 cm"


def test_areas_are_said_in_yards_or_metres():
    assert area_words(Fraction(36 * 36 * 1500), "in") == "1,500.0 square yards"
    assert area_words(Fraction(100 * 100 * 100 * 100, 254 * 254), "cm") == "1.0 square metres"
    assert size_area_words(SIZE) == "3.36 sq yd (2.81 m²)"


def test_what_is_not_recorded_is_said_so():
    assert money_words(None) == "not recorded"
    assert made_words(a_quilt()) == "date not known"
    assert made_words(a_quilt(made="2016~")) == "about 2016"


def test_a_quilt_that_is_not_finished_says_how_far_it_is():
    assert stage_words(a_quilt(stage="binding")) == "still at the binding"
    assert stage_words(a_quilt()) is None


# Where a quilt stands ---------------------------------------------------------------------------

STANDS = [
    ("undecided", "undecided", None),
    ("kept", "kept", "Stays with its maker"),
    ("free", "free", "Looking for a home"),
    ({"is": "lost"}, "lost", "Not to be found"),
    ({"is": "gifted", "to": "A cousin"}, "gift", "A gift"),
    ({"is": "promised"}, "promised", "Promised"),
    ({"is": "promised", "to": "river-street"}, "promised", "Promised to River Street"),
    (donated(through="nell"), "promised", "Promised to River Street"),
    (donated(through="nell", handed_over="2026-05-12"), "on-its-way", "On its way to River Street"),
    ({"is": "donated", "through": "nell", "handed_over": "2026-05-12"}, "on-its-way", "On its way"),
    (donated(), "given", "Given to River Street"),
    (donated(delivered="2026-05-30", acknowledged="2026-06-02"), "given", "Given to River Street"),
]


@pytest.mark.parametrize(("destination", "standing", "words"), STANDS)
def test_where_a_quilt_stands_is_said_with_its_charity(destination, standing, words):
    collection = a_collection(a_quilt(destination=destination))
    quilt = collection.quilts["low-tide"]
    assert standing_of(quilt, collection) == standing
    assert standing_words(quilt, collection) == words


def test_every_standing_has_its_words():
    assert {standing for _, standing, _ in STANDS} == set(STANDINGS)


def test_a_charity_that_may_not_be_named_is_a_charity():
    out = publishable(a_collection(a_quilt(destination=donated(delivered="2026-05-30"))))
    assert standing_words(out.quilts["low-tide"], out) == "Given to a charity"


def test_a_charity_that_is_called_a_charity_keeps_its_name():
    collection = a_collection(a_quilt(destination=donated()), a_charity(name="A charity"))
    assert standing_words(collection.quilts["low-tide"], collection) == "Given to A charity"
