from collections import Counter
from math import sqrt

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from collection.construction.cutting import finished_sides, pieces
from collection.construction.layout import layout
from tests.collection.construction.block_settings import a_setting, settings_of_blocks
from tests.support.patience import soon


def area_of(corners) -> float:
    return abs(sum(x1 * y2 - x2 * y1 for (x1, y1), (x2, y2) in zip(corners, corners[1:] + corners[:1]))) / 2


def sides_of(corners) -> list[float]:
    return [sqrt((x2 - x1) ** 2 + (y2 - y1) ** 2) for (x1, y1), (x2, y2) in zip(corners, corners[1:] + corners[:1])]


def contains(corners, x: float, y: float) -> bool:
    turns = [
        (x2 - x1) * (y - y1) - (y2 - y1) * (x - x1) for (x1, y1), (x2, y2) in zip(corners, corners[1:] + corners[:1])
    ]
    return all(turn > 0 for turn in turns) or all(turn < 0 for turn in turns)


@given(settings_of_blocks())
def test_the_pieces_fill_the_finished_size(setting):
    width, length = map(float, finished_sides(setting))
    drawn = layout(setting)
    assert sum(area_of(piece.corners) for piece in drawn) == pytest.approx(width * length)
    xs = [x for piece in drawn for x, _ in piece.corners]
    ys = [y for piece in drawn for _, y in piece.corners]
    assert (min(xs), min(ys)) == pytest.approx((0, 0), abs=1e-9)
    assert (max(xs), max(ys)) == pytest.approx((width, length))


# Points at odd places of the quilt, so that none is on a seam.
odd_places = st.integers(0, 10**6).map(lambda n: (n * 0.6180339887498949 + 0.0123) % 1)


@settings(max_examples=200)
@given(settings_of_blocks(), odd_places, odd_places)
def test_no_two_pieces_lie_over_each_other(setting, across, down):
    width, length = map(float, finished_sides(setting))
    over = [piece for piece in layout(setting) if contains(piece.corners, across * width, down * length)]
    assert len(over) <= 1


@given(settings_of_blocks())
def test_as_many_pieces_are_drawn_as_are_counted_and_each_in_its_size(setting):
    drawn = Counter(
        (piece.kind, *(round(side, 6) for side in sorted(sides_of(piece.corners))[:2])) for piece in layout(setting)
    )
    counted: Counter = Counter()
    for group in pieces(setting):
        width, length = sorted((float(group.width), float(group.length)))
        if "triangle" in group.kind or width == length:
            sides = (width, length)
        else:
            sides = (width, width)
        counted[group.kind, *(round(side, 6) for side in sides)] += group.count
    assert drawn == counted


def test_the_layout_begins_at_the_upper_left_and_reads_like_the_quilt():
    first, second, *_ = layout(a_setting("2 x 2", "10", sashing="2"))
    assert first.kind == second.kind == "block"
    assert first.corners == ((0, 0), (10, 0), (10, 10), (0, 10))
    assert second.corners[0] == (12, 0)


def test_the_same_setting_gives_the_same_layout():
    setting = a_setting("3 x 4", "9", arrangement="on point", sashing="2", cornerstones=True, borders=("2", "4"))
    assert layout(setting) == layout(setting)


def test_thousands_of_borders_are_laid_out_as_soon_as_others():
    with soon():
        assert len(layout(a_setting("2 x 2", "10", borders=("1",) * 4000))) == 4 + 4 * 4000
