"""Where a quilt's four corners are in a photo that shows it whole and flat.

First roughly: on every line across the picture, the quilt begins where something first stands out from the
ground, and straight lines through most of these points are its sides. Then closely, twice: see
`site_builder.images.detection.corners`. An outline that is not certain is not returned.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from PIL import Image

from site_builder.images.detection.background import standing_out
from site_builder.images.detection.corners import LOOKS, closer_corners
from site_builder.images.detection.perspective import Corners, Line, Point, crossing, fitted_line, proportion, sine

# By our own judgement, tried on drawn photos.
ABOVE_FLOOR = 0.86  # of the picture's height, to use if its edge shows more than one ground
REDUCED = 3  # for the rough search
RING = 0.03  # of the shorter edge: surely ground
GROUND_SHARE = 0.97  # of the ring; the rest may be a rod's end or the like
SURELY = (1.25, 4)  # how much more must stand out than that share of the ring: times, and half levels
RUN = b"\xff" * 3  # pixels in a row that stand out where the quilt begins
STEEPEST = 0.35
NEAR, NEARLY = 1.3, 2.0  # pixels, when looking for a line and when counting what is along it
NEED = 0.7  # of a side's length
LEAST_AREA = 0.15  # of the picture
OUTSIDE, FREE = 0.05, 0.004  # of the picture's longer edge: how far outside corners may be at first,
#                                and how far inside they must be in the end
MOST_FORESHORTENED = 0.7  # of opposite sides, one to the other
LEAST_SINE = 0.85  # of the angle at a corner
LEAST_PROPORTION = 0.15


@dataclass(frozen=True, slots=True)
class Outline:
    """A quilt's corners, in pixels of the picture, and its estimated width divided by its length."""

    corners: Corners
    proportion: float


def find_outline(picture: Image.Image) -> Outline | None:
    """The quilt's outline in an upright sRGB picture of about 400 pixels; None unless it is certain."""
    whole = picture.size
    standing = standing_out(picture)
    if standing is None:
        picture = picture.crop((0, 0, whole[0], round(ABOVE_FLOOR * whole[1])))
        standing = standing_out(picture)
    if standing is None:
        return None
    amount = standing.amount().reduce(REDUCED)
    stands_out = _surely_not_ground(amount)
    corners = _rough_corners(amount, stands_out)
    for look in LOOKS:
        if corners is None or not _is_plausible(corners, picture.size, free=-OUTSIDE):
            return None
        corners = closer_corners(standing, corners, look, stands_out=stands_out)
    if corners is None or not _is_plausible(corners, picture.size, free=FREE):
        return None
    return Outline(corners, proportion(corners, whole))


def _is_plausible(corners: Corners, size: tuple[int, int], *, free: float) -> bool:
    width, height = size
    if corners.area < LEAST_AREA * width * height:
        return False
    top, right, bottom, left = corners.sides
    for one, other in ((top, bottom), (left, right)):
        if min(one, other) < MOST_FORESHORTENED * max(one, other):
            return False
    turns = zip(corners, (*corners[1:], corners[0]), (*corners[2:], *corners[:2]), strict=True)
    if any(sine(*turn) < LEAST_SINE for turn in turns):
        return False
    if not LEAST_PROPORTION < (top + bottom) / (left + right) < 1 / LEAST_PROPORTION:
        return False
    margin = free * max(size)
    return all(margin <= x <= width - margin and margin <= y <= height - margin for x, y in corners)


# --- the rough search


def _surely_not_ground(amount: Image.Image) -> float:
    """How many half levels something must differ from the ground to be surely something else."""
    width, height = amount.size
    edge = max(1, round(RING * min(amount.size)))
    ring = Image.new("L", amount.size, 255)
    ring.paste(0, (edge, edge, width - edge, height - edge))
    counts = amount.histogram(ring)
    left, level = GROUND_SHARE * sum(counts), 0
    while (left := left - counts[level]) > 0:
        level += 1
    times, more = SURELY
    return times * level + more


def _rough_corners(amount: Image.Image, stands_out: float) -> Corners | None:
    there = amount.point([255 if level > stands_out else 0 for level in range(256)])
    left, right = _first_and_last(there)
    top, bottom = _first_and_last(there.transpose(Image.Transpose.TRANSPOSE))
    places = (left, top, right, bottom)
    lines = [line for side in places if (line := _line_through_most(side)) is not None]
    if len(lines) < len(places):
        return None
    left_side, right_side = (((start, 0.0), (start + slope, 1.0)) for slope, start in (lines[0], lines[2]))
    top_side, bottom_side = (((0.0, start), (1.0, start + slope)) for slope, start in (lines[1], lines[3]))
    corners = Corners(
        crossing(left_side, top_side),
        crossing(right_side, top_side),
        crossing(right_side, bottom_side),
        crossing(left_side, bottom_side),
    )
    ends = (
        (corners.top_left[1], corners.bottom_left[1]),
        (corners.top_left[0], corners.top_right[0]),
        (corners.top_right[1], corners.bottom_right[1]),
        (corners.bottom_left[0], corners.bottom_right[0]),
    )
    for side, line, (first, last) in zip(places, lines, ends, strict=True):
        near = sum(first <= along <= last for along, _ in _near(side, line, NEARLY))
        if last <= first or near < NEED * (last - first):
            return None
    return corners.scaled(REDUCED)


def _first_and_last(there: Image.Image) -> tuple[list[Point], list[Point]]:
    """For each row with a run of white: the start of the first run, and the end of the last."""
    width, height = there.size
    points = there.tobytes()
    first, last = [], []
    for y in range(height):
        row = points[y * width : (y + 1) * width]
        at = row.find(RUN)
        if at >= 0:
            first.append((y + 0.5, float(at)))
            last.append((y + 0.5, float(row.rfind(RUN) + len(RUN))))
    return first, last


def _line_through_most(places: Sequence[Point]) -> Line | None:
    """Of the lines through two places far apart, the one that most places are near."""
    some = places[:: max(1, len(places) // 40)]
    best, most = None, 0
    for apart in (len(some) // 2, len(some) // 3, 2 * len(some) // 3):
        if not apart:
            continue
        for (along, across), (next_along, next_across) in list(zip(some, some[apart:], strict=False))[::2]:
            slope = (next_across - across) / (next_along - along)
            if abs(slope) > STEEPEST:
                continue
            start = across - slope * along
            count = sum([-NEAR <= v - slope * u - start <= NEAR for u, v in some])
            if count > most:
                best, most = (slope, start), count
    for _ in range(2):
        if best is None or len(near := _near(places, best, NEAR)) < 5:
            return None
        best = fitted_line(near)
    return best


def _near(places: Sequence[Point], line: Line, within: float) -> list[Point]:
    slope, start = line
    return [(along, across) for along, across in places if abs(across - slope * along - start) <= within]
