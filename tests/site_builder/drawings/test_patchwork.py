import pytest
from hypothesis import given
from hypothesis import strategies as st

from site_builder.drawings.patchwork import BLOCK, UNDYED, UNITS, cloths, head_strip, pieces_of, stand_in, unit_of

hex_colours = st.from_regex(r"#[0-9a-f]{6}", fullmatch=True)
palettes = st.lists(hex_colours, max_size=6)


def corners(patch):
    return [tuple(map(int, pair.split(","))) for pair in patch.points.split()]


def pieces_in(cloth):
    assert cloth.path[0] == "M" and cloth.path[-1] == "z"
    return [[tuple(map(int, pair.split(","))) for pair in piece.split()] for piece in cloth.path[1:-1].split("zM")]


def polygon_area(points):
    around = zip(points, points[1:] + points[:1])
    return abs(sum(x1 * y2 - x2 * y1 for (x1, y1), (x2, y2) in around)) / 2


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


def test_a_stand_in_fills_its_shape():
    picture = stand_in("low-tide", ["#204060"], title="No photo yet", shape=(3, 4))
    assert (picture.width, picture.height) == (3 * BLOCK, 4 * BLOCK)
    drawn = [corners for cloth in picture.cloths for corners in pieces_in(cloth)]
    assert len(drawn) == 12 * len(UNITS[unit_of("low-tide")[0]])
    assert {max(axis) for axis in zip(*(corner for corners in drawn for corner in corners))} == {3 * BLOCK, 4 * BLOCK}


@given(st.text(min_size=1, max_size=20), palettes)
def test_a_stand_in_is_written_once_for_each_colour_with_every_piece(quilt_id, colours):
    picture = stand_in(quilt_id, colours, title="", shape=(2, 3))
    assert len({cloth.fill for cloth in picture.cloths}) == len(picture.cloths) <= 3
    assert {cloth.fill for cloth in picture.cloths} <= set(cloths(colours))
    pieces = [corners for cloth in picture.cloths for corners in pieces_in(cloth)]
    assert len(pieces) == 6 * len(UNITS[unit_of(quilt_id)[0]])


@given(st.text(min_size=1, max_size=20), palettes)
def test_a_stand_in_of_one_block_is_the_block_that_stands_for_the_quilt(quilt_id, colours):
    picture = stand_in(quilt_id, colours, title="", shape=(1, 1))
    block = pieces_of(quilt_id, colours, 0, 0)
    for cloth in picture.cloths:
        assert pieces_in(cloth) == [corners(patch) for patch in block if patch.fill == cloth.fill]


def test_the_blocks_of_a_stand_in_are_turned_one_against_the_next():
    (first,) = (cloth for cloth in stand_in("low-tide", [], title="", shape=(2, 1)).cloths if cloth.fill == UNDYED[0])
    pieces = pieces_in(first)
    left = {frozenset(corners) for corners in pieces if max(x for x, _ in corners) <= BLOCK}
    right = {frozenset((x - BLOCK, y) for x, y in corners) for corners in pieces if min(x for x, _ in corners) >= BLOCK}
    assert right == {frozenset((BLOCK - y, x) for x, y in corners) for corners in left}


@pytest.mark.parametrize("name", UNITS)
def test_a_unit_has_no_empty_pieces(name):
    assert all(polygon_area(list(points)) > 0 for points, _ in UNITS[name])
