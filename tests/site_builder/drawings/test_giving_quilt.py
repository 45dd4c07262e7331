"""A quilt of the quilts given: one patch for each, charity by charity."""

import itertools
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from site_builder.drawings.giving_quilt import BINDING, BORDER, GAP, GivenQuilt, GivenTo, giving_picture
from site_builder.drawings.patchwork import BLOCK, pieces_of

STEP = BLOCK + GAP
hex_colours = st.from_regex(r"#[0-9a-f]{6}", fullmatch=True)
palettes = st.lists(hex_colours, max_size=6)
some_counts = st.lists(st.integers(1, 30), min_size=1, max_size=12)


def corners(patch):
    return [tuple(map(int, pair.split(","))) for pair in patch.points.split()]


def place(block):
    points = [point for patch in block.patches for point in corners(patch)]
    return min(x for x, _ in points), min(y for _, y in points)


def quilts(*names):
    return tuple(GivenQuilt(name, name.title(), ("#204060", "#f0f0e0")) for name in names)


def a_picture(*counts):
    panels = [GivenTo(f"Charity {n}", quilts(*(f"c{n}-{k}" for k in range(c)))) for n, c in enumerate(counts)]
    return giving_picture(panels, title="Given")


def squares(picture):
    """Where each square lies, in reading order: a block's charity, or a number."""
    found = [(place(block), block.title.split(", to ")[1]) for block in picture.blocks]
    found += [((n.x - BLOCK // 2, n.y - BLOCK // 2), n.text) for n in picture.numbers]
    return sorted(found, key=lambda square: (square[0][1], square[0][0]))


@given(st.text(min_size=1, max_size=20))
def test_a_quilt_has_the_same_patch_wherever_it_is_drawn(quilt_id):
    alone = pieces_of(quilt_id, ["#204060", "#f0f0e0"], 0, 0)
    quilt = GivenQuilt(quilt_id, "A quilt", ("#204060", "#f0f0e0"))
    in_a_picture = giving_picture([GivenTo("A charity", (quilt,))], title="").blocks[0]
    moved = [[(x + BORDER, y + BORDER) for x, y in corners(patch)] for patch in alone]
    assert [corners(patch) for patch in in_a_picture.patches] == moved
    assert [p.fill for p in in_a_picture.patches] == [p.fill for p in alone]


@given(st.lists(st.lists(palettes, max_size=9), max_size=6))
def test_a_picture_has_one_block_for_each_quilt_within_its_border(years_colours):
    given_to = [
        GivenTo(
            f"Charity {c}",
            tuple(GivenQuilt(f"q{c}-{n}", f"Quilt {n}", tuple(p)) for n, p in enumerate(colours)),
        )
        for c, colours in enumerate(years_colours)
    ]
    picture = giving_picture(given_to, title="Given")
    assert len(picture.blocks) == sum(len(colours) for colours in years_colours)
    for block in picture.blocks:
        for patch in block.patches:
            assert re.fullmatch(r"#[0-9a-f]{6}", patch.fill)
            for x, y in corners(patch):
                assert BORDER <= x <= picture.width - BORDER
                assert BORDER <= y <= picture.height - BORDER


@given(some_counts)
def test_squares_lie_apart_and_in_the_order_of_the_charities_each_after_its_number(counts):
    found = squares(a_picture(*counts))
    assert len({at for at, _ in found}) == len(found)
    assert all((x - BORDER) % STEP == (y - BORDER) % STEP == 0 for (x, y), _ in found)
    expected = []
    for n, count in enumerate(counts):
        expected += ([str(n + 1)] if len(counts) > 1 else []) + [f"Charity {n}"] * count
    assert [said for _, said in found] == expected


def test_numbers_lie_beside_their_quilts_where_the_shape_allows_it():
    found = squares(a_picture(4, 3, 2, 1, 1))
    for (at, said), (following, _) in itertools.pairwise(found):
        if said.isdigit():
            assert following == (at[0] + STEP, at[1])


@given(some_counts)
def test_the_binding_goes_all_round_once_in_the_quilts_own_colours(counts):
    picture = a_picture(*counts)
    strips = [corners(patch) for patch in picture.binding]
    area = sum((x2 - x1) * (y2 - y1) for (x1, y1), _, (x2, y2), _ in strips)
    inner = (picture.width - 2 * BINDING) * (picture.height - 2 * BINDING)
    assert area == picture.width * picture.height - inner
    assert {patch.fill for patch in picture.binding} == {"#204060"}


def test_empty_charities_are_left_out_and_one_alone_has_no_number():
    picture = giving_picture([GivenTo("Hill Hospice", quilts("hill")), GivenTo("No quilts yet", ())], title="Given")
    assert picture.numbers == ()
    assert picture.blocks[0].title == "Hill, to Hill Hospice"


def test_a_picture_without_a_table_beside_it_has_no_numbers_and_no_squares_for_them():
    panels = [GivenTo("One", quilts("a", "b")), GivenTo("Other", quilts("c", "d"))]
    picture = giving_picture(panels, title="Given", numbered=False)
    assert picture.numbers == ()
    assert picture.width == picture.height == 2 * BORDER + 2 * BLOCK + GAP


def test_nothing_given_makes_an_empty_picture():
    picture = giving_picture([], title="Given in 2020")
    assert (picture.width, picture.height, picture.blocks) == (0, 0, ())


@pytest.mark.parametrize(
    "counts",
    [(9,), (40,), (200,), (300,), (3, 3, 2, 2, 1, 1), (5, 3, 2, 1), (13, 10, 8, 5, 3, 3), (90, 80, 60, 40, 20, 9, 1)],
)
def test_a_picture_is_neither_a_tower_nor_a_ribbon_and_has_few_empty_squares(counts):
    picture = a_picture(*counts)
    assert 0.6 < picture.width / picture.height < 1.4
    columns = (picture.width - 2 * BORDER + GAP) // STEP
    rows = (picture.height - 2 * BORDER + GAP) // STEP
    empty = columns * rows - len(squares(picture))
    assert empty <= max(2, 0.2 * sum(counts))
