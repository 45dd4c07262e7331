"""What a fabric's colour is called. Where no source is named: our own judgement, common speech of quilters."""

import coloraide
import pytest
from hypothesis import given
from hypothesis import strategies as st

from collection.colours import names
from collection.colours.names import NAMED_COLOURS, TERMS, colour_shares, nearest_named, terms_of_word
from collection.colours.spaces import ciede2000, lab_from_srgb, parse_hex

channels = st.integers(0, 255)
colours = st.tuples(channels, channels, channels)
samples = st.lists(st.tuples(colours, st.floats(0.01, 1000)), min_size=1, max_size=30)


def test_the_terms_are_the_eleven_of_berlin_and_kay():
    assert len(set(TERMS)) == 11
    assert {term for named in NAMED_COLOURS for term in named.terms} == set(TERMS)


def test_the_colours_of_the_survey_are_called_what_people_called_them():
    """Source: the XKCD colour survey of 2010, as in the facts at hand (seen)."""
    survey = {
        "black": "#000000",
        "white": "#ffffff",
        "red": "#e50000",
        "green": "#15b01a",
        "yellow": "#ffff14",
        "blue": "#0343df",
        "brown": "#653700",
        "purple": "#7e1e9c",
        "pink": "#ff81c0",
        "orange": "#f97306",
        "grey": "#929591",
    }
    assert {term: nearest_named(colour).terms[0] for term, colour in survey.items()} == {term: term for term in survey}


@pytest.mark.parametrize(
    "named", [named for named in NAMED_COLOURS if named.source.startswith("CSS")], ids=lambda n: n.name
)
def test_a_screen_colour_is_the_one_of_the_standard(named):
    theirs = parse_hex(coloraide.Color(named.name).to_string(hex=True))
    # Two of them were spelt with d8 for db in drafts of the standard, and the program at hand keeps that.
    assert all(abs(a - b) <= 3 for a, b in zip(parse_hex(named.hex), theirs, strict=True))


@pytest.mark.parametrize("named", NAMED_COLOURS, ids=lambda n: f"{n.name} {n.hex}")
def test_every_colour_in_the_table_is_called_by_its_own_name(named):
    assert nearest_named(named.hex).terms == named.terms
    assert 1 <= len(named.terms) <= 2 and len(set(named.terms)) == len(named.terms)


@pytest.mark.parametrize(
    ("colour", "fabric", "term"),
    [
        ("#1b2440", "navy", "blue"),
        ("#26304f", "navy in sun", "blue"),
        ("#f2e8d0", "cream", "white"),
        ("#ece0c6", "muslin", "white"),
        ("#d0b38c", "tan", "brown"),
        ("#c8ad85", "camel", "brown"),
        ("#2a7d80", "teal", "blue"),
        ("#9bae86", "sage", "green"),
        ("#d2a12a", "mustard", "yellow"),
        ("#a3202b", "turkey red", "red"),
        ("#651a28", "burgundy", "red"),
        ("#a74a22", "rust", "orange"),
        ("#e2992f", "cheddar", "orange"),
        ("#c08f92", "dusty rose", "pink"),
        ("#b9aee0", "pale violet", "purple"),
        ("#3f2a20", "chocolate", "brown"),
        ("#202022", "black", "black"),
        ("#8a8c8b", "grey", "grey"),
        ("#484a4c", "charcoal", "grey"),
        ("#dfe7ea", "white in shade", "white"),
        ("#f0a6bd", "bubble gum", "pink"),
        ("#7f1f78", "magenta plum", "purple"),
        ("#f5ec9a", "primrose", "yellow"),
        ("#c4dff0", "baby blue", "blue"),
        ("#5f7356", "moss", "green"),
        ("#2d4a33", "hunter green", "green"),
        ("#f3b58a", "peach", "orange"),
    ],
)
def test_a_fabric_is_called_what_a_quilter_would_call_it(colour, fabric, term):
    assert nearest_named(colour).terms[0] == term, fabric


def test_teal_is_found_under_blue_and_under_green():
    assert [term for term, _ in colour_shares([(parse_hex("#008080"), 1)])] == ["blue", "green"]


def test_greys_run_from_black_to_white_without_a_colour_between():
    ramp = [nearest_named((light, light, light)).terms[0] for light in range(256)]
    assert [term for at, term in enumerate(ramp) if at == 0 or term != ramp[at - 1]] == ["black", "grey", "white"]


def test_between_camel_and_mustard_the_distance_decides():
    """Mustard is nearer by a hair, though sixteen colours and more are nearer in plain Lab."""
    assert nearest_named("#c8a053").name == "mustard"


near_a_name = st.builds(
    lambda named, steps: tuple(
        min(255, max(0, channel + step)) for channel, step in zip(parse_hex(named.hex), steps, strict=True)
    ),
    st.sampled_from(NAMED_COLOURS),
    st.tuples(*3 * [st.integers(-30, 30)]),
)


@given(colours | near_a_name)
def test_the_name_is_the_nearest_of_the_whole_table(colour):
    place = lab_from_srgb(colour)
    differences = [ciede2000(lab_from_srgb(parse_hex(named.hex)), place) for named in NAMED_COLOURS]
    assert nearest_named(colour) is NAMED_COLOURS[differences.index(min(differences))]


@given(samples)
def test_shares_are_ordered_and_add_up(weighted):
    shares = colour_shares(weighted, least=0)
    assert sum(share for _, share in shares) == pytest.approx(1, abs=0.001)
    assert [share for _, share in shares] == sorted((share for _, share in shares), reverse=True)
    assert {term for term, _ in shares} <= set(TERMS)


@given(samples, st.randoms(use_true_random=False))
def test_the_order_of_samples_does_not_matter(weighted, chance):
    mixed = list(weighted)
    chance.shuffle(mixed)
    assert colour_shares(mixed) == colour_shares(weighted)


@given(samples)
def test_the_unit_of_the_weights_does_not_matter(weighted):
    scaled = [(colour, weight * 8) for colour, weight in weighted]
    assert colour_shares(scaled) == colour_shares(weighted)


def test_a_trace_is_left_out():
    shares = colour_shares([((0, 0, 128), 99), ((229, 0, 0), 1)])
    assert shares == (("blue", 0.99),)


def test_no_samples_have_no_shares():
    assert colour_shares([]) == ()
    assert colour_shares([((0, 0, 128), 0)]) == ()


def test_a_weight_below_nothing_is_an_error():
    with pytest.raises(ValueError, match="less than nothing"):
        colour_shares([((0, 0, 128), -1)])


@given(
    st.lists(
        st.sampled_from(
            ["dark", "olive", "green", "light", "goldenrod", "golden", "rod", "yellow", "of", "x", "navy-", "gray"]
        ),
        max_size=12,
    ).map(" ".join)
)
def test_of_a_makers_words_the_longest_ending_that_is_known_counts(word):
    words = word.replace("-", " ").replace("gray", "grey").split()
    named = {each.name: each.terms for each in reversed(NAMED_COLOURS)} | {term: (term,) for term in TERMS}
    endings = [join.join(words[start:]) for start in range(len(words)) for join in ("", " ")]
    assert terms_of_word(word) == next((named[each] for each in endings if each in named), ())


def test_a_word_of_very_many_words_is_looked_up_no_more_often_than_a_name_is_long(monkeypatch):
    asked = []

    class Names(dict):
        def __contains__(self, name):
            asked.append(name)
            return super().__contains__(name)

    monkeypatch.setattr(names, "_TERMS_BY_NAME", Names(names._TERMS_BY_NAME))
    assert terms_of_word("dark " * 4000 + "olive green") == ("green",)
    assert terms_of_word("x " * 9990) == ()
    longest = max(len(each.name) for each in NAMED_COLOURS)
    assert len(asked) <= 4 * longest and sum(map(len, asked)) <= 20_000
