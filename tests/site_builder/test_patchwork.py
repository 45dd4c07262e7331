import re

import pytest
from hypothesis import given, strategies as st

from site_builder.patchwork import (
    BLOCK,
    BORDER,
    SASH,
    UNDYED,
    UNITS,
    GivenQuilt,
    GivenTo,
    cloths,
    giving_picture,
    head_strip,
    stand_in,
    unit_of,
)

hex_colours = st.from_regex(r"#[0-9a-f]{6}", fullmatch=True)
palettes = st.lists(hex_colours, max_size=6)
ids = st.text(min_size=1, max_size=20)


def corners(patch):
    return [tuple(map(int, pair.split(","))) for pair in patch.points.split()]


def polygon_area(points):
    around = zip(points, points[1:] + points[:1])
    return abs(sum(x1 * y2 - x2 * y1 for (x1, y1), (x2, y2) in around)) / 2


def quilts(*names):
    return tuple(GivenQuilt(name, name.title(), ("#204060", "#f0f0e0")) for name in names)


def a_year():
    return [
        GivenTo("River Street Shelter", quilts(*(f"river-{n}" for n in range(7)))),
        GivenTo("Hill Hospice", quilts("hill-1", "hill-2")),
    ]


@pytest.mark.parametrize("name", UNITS)
def test_a_unit_covers_its_whole_block(name):
    def covers(x, y):
        return any(inside(points, x, y) for points, _ in UNITS[name])

    def inside(points, x, y):
        crossings = 0
        for (x1, y1), (x2, y2) in zip(points, points[1:] + points[:1]):
            if (y1 > y) != (y2 > y) and x < x1 + (y - y1) * (x2 - x1) / (y2 - y1):
                crossings += 1
        return crossings % 2 == 1

    steps = [n + 0.31 for n in range(BLOCK)]
    assert all(covers(x, y + 0.17) for x in steps for y in steps)


@given(ids)
def test_a_quilt_has_the_same_patch_wherever_it_is_drawn(quilt_id):
    alone = stand_in(quilt_id, ["#204060", "#f0f0e0"], title="", shape=(1, 1)).blocks[0]
    quilt = GivenQuilt(quilt_id, "A quilt", ("#204060", "#f0f0e0"))
    in_a_picture = giving_picture([GivenTo("A charity", (quilt,))], title="").blocks[0]
    moved = [[(x + BORDER, y + BORDER) for x, y in corners(patch)] for patch in alone.patches]
    assert [corners(patch) for patch in in_a_picture.patches] == moved
    assert [p.fill for p in in_a_picture.patches] == [p.fill for p in alone.patches]


def test_every_traditional_unit_and_every_turn_comes_up():
    seen = {unit_of(f"quilt-{n}") for n in range(1000)}
    assert seen == {(name, turns) for name in UNITS for turns in range(4)}


def test_the_second_cloth_is_the_one_that_stands_out_most():
    assert cloths(["#204060", "#305070", "#f0f0e0"]) == ("#204060", "#f0f0e0", "#305070")


def test_a_quilt_of_one_colour_still_shows_its_unit():
    assert len(set(cloths(["#204060"]))) == 3
    assert len(set(cloths(["#ffffff"]))) == 3


def test_a_quilt_without_known_colours_is_drawn_undyed():
    assert cloths([]) == UNDYED
    assert {patch.fill for patch in head_strip([]).patches} == set(UNDYED)


@given(palettes)
def test_a_strip_is_pieced_without_gaps_and_holds_every_colour(colours):
    strip = head_strip(colours)
    assert set(colours) <= {patch.fill for patch in strip.patches}
    squares = [corners(patch) for patch in strip.patches if len(corners(patch)) == 4]
    assert squares[0][0][0] == 0
    assert [square[1][0] for square in squares[:-1]] == [square[0][0] for square in squares[1:]]
    assert squares[-1][1][0] == strip.width


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


def test_no_two_blocks_overlap():
    picture = giving_picture(a_year(), title="Given")
    places = [
        (min(x for p in b.patches for x, _ in corners(p)), min(y for p in b.patches for _, y in corners(p)))
        for b in picture.blocks
    ]
    places += [(rect.x, rect.y) for rect in picture.plain]
    for one in range(len(places)):
        for other in range(one):
            apart = [abs(a - b) for a, b in zip(places[one], places[other])]
            assert max(apart) >= BLOCK


def test_charities_are_numbered_in_the_order_given_and_empty_ones_left_out():
    picture = giving_picture([*a_year(), GivenTo("No quilts yet", ())], title="Given")
    assert [number.text for number in picture.numbers] == ["1", "2"]


def test_charities_that_fit_lie_side_by_side_so_that_plain_squares_are_fewer_than_quilts():
    counts = (3, 3, 2, 2, 1, 1)
    picture = giving_picture(
        [GivenTo(f"Charity {n}", quilts(*(f"c{n}-{k}" for k in range(count)))) for n, count in enumerate(counts)],
        title="Given",
    )
    assert len({number.y for number in picture.numbers}) < len(counts)
    assert len(picture.plain) <= len(picture.blocks) / 2


@given(st.lists(st.integers(1, 30), min_size=1, max_size=12))
def test_sashing_divides_the_charities_and_keeps_their_order(counts):
    panels = [GivenTo(f"Charity {n}", quilts(*(f"c{n}-{k}" for k in range(c)))) for n, c in enumerate(counts)]
    picture = giving_picture(panels, title="Given")
    assert [number.text for number in picture.numbers] == [str(n + 1) for n in range(len(counts))]
    reading_order = [(number.y, number.x) for number in picture.numbers]
    assert reading_order == sorted(reading_order)
    corners_by_charity = {}
    for block in picture.blocks:
        charity = block.title.split(", to ")[1]
        points = [point for patch in block.patches for point in corners(patch)]
        corners_by_charity.setdefault(charity, []).append((min(x for x, _ in points), min(y for _, y in points)))
    for one in corners_by_charity:
        for other in corners_by_charity:
            if one < other:
                nearest = min(
                    max(abs(x1 - x2), abs(y1 - y2))
                    for x1, y1 in corners_by_charity[one]
                    for x2, y2 in corners_by_charity[other]
                )
                assert nearest >= BLOCK + SASH


def test_a_block_says_which_quilt_it_is_and_where_it_went():
    picture = giving_picture(a_year(), title="Given")
    assert picture.blocks[0].title == "River-0, to River Street Shelter"


def test_nothing_given_makes_an_empty_picture():
    picture = giving_picture([], title="Given in 2020")
    assert (picture.width, picture.height, picture.blocks) == (0, 0, ())


def test_a_picture_is_neither_a_tower_nor_a_ribbon():
    for count in (9, 20, 40, 90, 200):
        picture = giving_picture(
            [GivenTo("One", quilts(*(f"q{n}" for n in range(count))))], title="Given"
        )
        assert 0.6 < picture.width / picture.height < 1.3


def test_a_stand_in_fills_its_shape():
    picture = stand_in("low-tide", ["#204060"], title="No photo yet", shape=(3, 4))
    assert (picture.width, picture.height) == (3 * BLOCK, 4 * BLOCK)
    assert len(picture.blocks) == 12


@pytest.mark.parametrize("name", UNITS)
def test_a_unit_has_no_empty_pieces(name):
    assert all(polygon_area(list(points)) > 0 for points, _ in UNITS[name])
