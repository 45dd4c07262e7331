"""Many samples of colour reduced to the few that stand for them."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from collection.colours.palette import palette
from collection.colours.spaces import oklab_from_srgb, parse_hex, write_hex

channels = st.integers(0, 255)
colours = st.tuples(channels, channels, channels)
samples = st.lists(st.tuples(colours, st.floats(0.01, 1000)), min_size=1, max_size=40)

NAVY, CREAM, RED, GREEN, GOLD, BLACK, PINK = (
    (31, 42, 68),
    (243, 234, 211),
    (158, 27, 30),
    (42, 77, 53),
    (212, 160, 23),
    (26, 26, 26),
    (231, 179, 183),
)


def around(colour, steps=(-6, -3, 0, 3, 6)):
    return [(tuple(min(255, max(0, channel + step)) for channel in colour), 1.0) for step in steps]


def test_the_cloths_of_a_quilt_are_found_with_their_shares():
    found = palette([*around(NAVY), *around(NAVY, (-5, -1, 1)), *around(CREAM)])
    assert [near_which(colour) for colour, _ in found] == [NAVY, CREAM]
    assert [share for _, share in found] == pytest.approx([8 / 13, 5 / 13], abs=1e-4)


def near_which(colour):
    return min(
        (NAVY, CREAM, RED, GREEN, GOLD, BLACK, PINK),
        key=lambda cloth: math.dist(oklab_from_srgb(cloth), oklab_from_srgb(parse_hex(colour))),
    )


def test_six_cloths_at_most_and_the_rest_go_to_the_nearest():
    cloths = (NAVY, CREAM, RED, GREEN, GOLD, BLACK, PINK)
    found = palette([(cloth, 10 - at) for at, cloth in enumerate(cloths)])
    assert len(found) == 6
    assert sum(share for _, share in found) == pytest.approx(1, abs=0.001)


def test_one_cloth_is_one_colour_however_it_is_shaded():
    assert len(palette(around(NAVY, range(-9, 10)))) == 1
    assert palette([(NAVY, 2.5)]) == ((write_hex(NAVY), 1.0),)


def test_a_small_bright_piece_is_not_lost_beside_much_plain_cloth():
    found = palette([*((colour, 100.0) for colour, _ in around(CREAM)), (RED, 25.0)])
    assert write_hex(RED) in [colour for colour, _ in found]


def test_no_samples_have_no_palette():
    assert palette([]) == ()
    assert palette([(NAVY, 0)]) == ()


def test_a_weight_below_nothing_is_an_error():
    with pytest.raises(ValueError, match="less than nothing"):
        palette([(NAVY, -1)])


@given(samples)
def test_every_colour_of_the_palette_was_among_the_samples(weighted):
    found = palette(weighted)
    assert 1 <= len(found) <= 6
    assert {colour for colour, _ in found} <= {write_hex(colour) for colour, _ in weighted}
    assert len({colour for colour, _ in found}) == len(found)
    assert sum(share for _, share in found) == pytest.approx(1, abs=0.001)
    assert [share for _, share in found] == sorted((share for _, share in found), reverse=True)


@given(samples, st.randoms(use_true_random=False))
def test_the_order_of_samples_does_not_matter(weighted, chance):
    mixed = list(weighted)
    chance.shuffle(mixed)
    assert palette(mixed) == palette(weighted)


@given(samples, st.integers(1, 6))
def test_fewer_colours_may_be_asked_for(weighted, most):
    assert 1 <= len(palette(weighted, most=most)) <= most
