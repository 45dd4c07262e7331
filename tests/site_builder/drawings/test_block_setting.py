import pytest

from site_builder.drawings.block_setting import LONGER_SIDE, UNIT, setting_drawing
from tests.collection.construction.block_settings import a_setting


def corners(patch):
    return [tuple(map(int, pair.split(","))) for pair in patch.points.split()]


def area(points):
    around = zip(points, points[1:] + points[:1])
    return abs(sum(x1 * y2 - x2 * y1 for (x1, y1), (x2, y2) in around)) / 2


@pytest.mark.parametrize(
    "changes",
    [
        {},
        {"sashing": "2", "cornerstones": True, "borders": ("1 1/2", "5")},
        {"arrangement": "on point", "borders": ("4",)},
    ],
)
def test_the_pieces_fill_the_whole_drawing(changes):
    drawing = setting_drawing(a_setting(**changes))
    width, height = map(int, drawing.view_box.split()[2:])
    pieces = sum(area(corners(piece)) for piece in drawing.pieces)
    assert pieces == pytest.approx(width * height, rel=0.005)
    assert all(0 <= x <= width and 0 <= y <= height for p in drawing.pieces for x, y in corners(p))


def test_it_is_drawn_to_scale():
    drawing = setting_drawing(a_setting())
    assert drawing.view_box == f"0 0 {48 * UNIT} {60 * UNIT}"
    assert (drawing.width, drawing.height) == (LONGER_SIDE * 48 // 60, LONGER_SIDE)


def test_blocks_and_sashing_differ_in_colour():
    drawing = setting_drawing(a_setting(sashing="2"), colours=["#204060", "#f0f0e0"])
    assert {piece.fill for piece in drawing.pieces} == {"#204060", "#f0f0e0"}
