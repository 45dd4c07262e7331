"""A rectangle as a camera sees it, and back."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from site_builder.images.detection.perspective import FOCAL_LENGTH, Corners, Perspective, proportion

SIZE = (400, 300)


def photographed(width, length, *, lean=0.0, turn=0.0, roll=0.0, away=3.0, size=SIZE, focal=FOCAL_LENGTH):
    """The corners of a rectangle that leans back and is turned aside (degrees) before a camera with no other fault."""
    lean, turn, roll = map(math.radians, (lean, turn, roll))
    places = []
    for u, v in ((-1, -1), (1, -1), (1, 1), (-1, 1)):
        x, y = u * width / 2, v * length / 2
        x, y = x * math.cos(roll) - y * math.sin(roll), x * math.sin(roll) + y * math.cos(roll)
        y, z = y * math.cos(lean), -y * math.sin(lean)
        x, z = x * math.cos(turn) - z * math.sin(turn), x * math.sin(turn) + z * math.cos(turn) + away
        places.append((size[0] / 2 + focal * max(size) * x / z, size[1] / 2 + focal * max(size) * y / z))
    return Corners(*places)


@given(
    width=st.floats(0.3, 2),
    length=st.floats(0.3, 2),
    lean=st.floats(-45, 45),
    turn=st.floats(-30, 30),
    roll=st.floats(-10, 10),
)
def test_the_proportion_is_told_however_the_rectangle_leans(width, length, lean, turn, roll):
    corners = photographed(width, length, lean=lean, turn=turn, roll=roll)
    assert proportion(corners, SIZE) == pytest.approx(width / length, rel=1e-6)


@pytest.mark.parametrize("focal", [0.7, 0.85, 1.3, 2.0])
def test_another_lens_than_the_usual_changes_the_proportion_by_some_per_cent(focal):
    corners = photographed(1.5, 1.8, lean=25, away=3 * focal, focal=focal)
    assert proportion(corners, SIZE) == pytest.approx(1.5 / 1.8, rel=0.1)


@given(lean=st.floats(-40, 40), turn=st.floats(-30, 30), roll=st.floats(-10, 10))
def test_a_flattened_picture_has_the_corners_in_its_corners(lean, turn, roll):
    corners = photographed(1.2, 1.5, lean=lean, turn=turn, roll=roll)
    a, b, c, d, e, f, g, h = Perspective.of(corners).to_flatten(60, 80, before=10, above=5)
    for (x, y), corner in zip(((10, 5), (70, 5), (70, 85), (10, 85)), corners, strict=True):
        depth = g * x + h * y + 1
        assert ((a * x + b * y + c) / depth, (d * x + e * y + f) / depth) == pytest.approx(corner, abs=1e-6)


def test_the_middle_of_a_leaning_rectangle_is_seen_nearer_to_its_far_side():
    corners = photographed(1, 1, lean=40)
    middle = Perspective.of(corners).seen(0.5, 0.5)
    assert middle == pytest.approx((SIZE[0] / 2, SIZE[1] / 2))
    assert corners.sides[0] != pytest.approx(corners.sides[2], rel=0.05)
