"""A quilt's corners found closely, where they are known roughly.

Each side is drawn as if seen from right before the quilt, upright and with the ground to its left. The side is
the outermost edge that runs along most of it, and the four must fit together.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from PIL import Image

from site_builder.perspective import Corners, Line, Perspective, Point, crossing, fitted_line
from site_builder.picture_ground import StandingOut
from site_builder.quilt_edges import ENDS, PARTS, WINDOW, Edges, Part, change, find_edges

# By our own judgement, tried on drawn photos. Pixels are those of the sides as drawn here.
LONG = 330                 # pixels, of the quilt's longer side
SAMPLES = 4                # of a part
NEED, WAVY = 0.65, 3.5     # of the parts; pixels from a straight line
AGREEING = 6               # pixels that a line may be further in if all parts agree instead of none
REACHES = 2                # parts, in one of which a side must be seen at each end
LONGEST_GAP = 7            # parts in which a side is not seen
GOES_ON = 0.6              # of the usual step
MORE_FROM = 5              # pixels outside a side, from where on something may lie around it
LEAST_MORE, MORE_TIMES = 3, 3       # levels over two pixels; of the usual step
MORE_SHARP, MORE_BEFORE, MORE_AFTER = 0.55, 5, 4    # of the change from so many pixels before to after


@dataclass(frozen=True, slots=True)
class Look:
    """How far around the known sides to look, in pixels, and at which tilts, in pixels over a whole side."""

    outside: int
    inside: int
    tilts: tuple[int, ...]
    proves: bool = False


LOOKS = (Look(16, 33, (0, -3, 3, -6, 6, -9, 9)), Look(40, 15, (0, -2, 2), proves=True))
"""The first with room for a rough guess, the second to be sure."""


@dataclass(frozen=True, slots=True)
class _Side:
    """A side: its ends in the picture, how clearly it is seen in each part, and what may lie around it."""

    ends: tuple[Point, Point]
    seen: Sequence[int]
    has_more_outside: bool


def closer_corners(standing: StandingOut, corners: Corners, look: Look, *, stands_out: float) -> Corners | None:
    """The corners near those known; None if a side is not found, or if not all fits together.

    `stands_out` is how many half levels from the ground something is that surely is not ground.
    """
    known = standing.picture.copy()
    known.putalpha(255)
    top, right, bottom, left = corners.sides
    scale = 2 * LONG / max(top + bottom, left + right)
    width, length = round((top + bottom) / 2 * scale), round((left + right) / 2 * scale)
    one, two, three, four = corners
    # Seen turned over, or around, each side is the left one.
    as_left = (
        (corners, width), (Corners(one, four, three, two), length),
        (Corners(two, one, four, three), width), (Corners(four, one, two, three), length),
    )
    sides = []
    for turned, depth in as_left:
        view = Perspective.of(turned)
        strip = known.transform(
            (look.outside + look.inside, SAMPLES * (PARTS + 2 * ENDS)), Image.Transform.PERSPECTIVE,
            view.to_flatten(depth, SAMPLES * PARTS, before=look.outside, above=SAMPLES * ENDS),
            Image.Resampling.BILINEAR,
        )
        edges = find_edges(strip.reduce((1, SAMPLES)), standing, start=look.outside, stands_out=stands_out)
        side = _side(edges, view, depth, look)
        if side is None:
            return None
        sides.append(side)
    if look.proves and not _fit_together(*sides):
        return None
    left_side, top_side, right_side, bottom_side = (side.ends for side in sides)
    return Corners(
        crossing(left_side, top_side), crossing(right_side, top_side),
        crossing(right_side, bottom_side), crossing(left_side, bottom_side),
    )


# --- a side


def _side(edges: Edges, view: Perspective, depth: int, look: Look) -> _Side | None:
    line = _line(edges, look.tilts)
    if line is None:
        return None
    slope, start = line
    ends = view.seen(start / depth, 0), view.seen((slope * PARTS + start) / depth, 1)
    seen = [max((size for _, size in _near(part, line)), default=0) for part in edges.parts]
    return _Side(ends, seen, look.proves and _has_more_outside(edges, line))


def _line(edges: Edges, tilts: Iterable[int]) -> Line | None:
    """The outermost line along which most parts have an edge."""
    lines = [line for tilt in tilts if (line := _outermost(edges, tilt / PARTS))]
    if not lines:
        return None
    _, slope, start = min(lines)
    for _ in range(3):
        on_parts = [(part.along, _near(part, (slope, start))) for part in edges.parts[ENDS:-ENDS]]
        near = [(along, there[0][0]) for along, there in on_parts if there]
        if len(near) < NEED * PARTS:
            return None
        slope, start = fitted_line(near)
    return slope, start


def _outermost(edges: Edges, slope: float) -> tuple[float, float, float] | None:
    """How far in (less where more parts agree), slope and start of the first line of this slope."""
    agreeing = edges.agreeing(slope)
    first = next((at for at, share in enumerate(agreeing) if share >= NEED * 255), None)
    if first is None:
        return None
    best = max(range(first, min(first + WINDOW, len(agreeing))), key=agreeing.__getitem__)
    return best - AGREEING * agreeing[best] / 255, slope, best + WINDOW / 2 - edges.start - slope * PARTS / 2


def _near(part: Part, line: Line) -> list[tuple[float, int]]:
    expected = line[0] * part.along + line[1]
    return [(across, size) for across, size in part.edges if abs(across - expected) <= WAVY]


# --- all sides


def _fit_together(left: _Side, top: _Side, right: _Side, bottom: _Side) -> bool:
    """Whether all sides reach the corners, none goes on beyond, and nothing like a border lies around them."""
    for side in (left, top, right, bottom):
        within = side.seen[ENDS:-ENDS]
        if not any(within[:REACHES]) or not any(within[-REACHES:]):
            return False
        if any(not any(within[at : at + LONGEST_GAP + 1]) for at in range(PARTS - LONGEST_GAP)):
            return False
    for one, other, first, last in ((left, right, top, bottom), (top, bottom, left, right)):
        if one.has_more_outside and other.has_more_outside:
            return False
        for between, turn in ((first, 1), (last, -1)):
            going_on = _goes_on(one.seen[::turn]) + _goes_on(other.seen[::turn])
            if going_on == 2 or (going_on and between.has_more_outside):
                return False
    return True


def _goes_on(seen: Sequence[int]) -> bool:
    """Whether a side is seen beyond its first end as clearly as within it."""
    return seen[ENDS - 1] > GOES_ON * sorted(seen[ENDS : 2 * ENDS])[ENDS // 2]


def _has_more_outside(edges: Edges, line: Line) -> bool:
    """Whether all parts together change along a line outside, as where a border looks much like the ground."""
    slope, start = line
    outside = round(edges.start + start + slope * PARTS / 2) - MORE_FROM
    colours = [colour for colour in edges.profile(slope)[: max(0, outside)] if colour[3] == 255]
    steps = [change(before, after) for before, after in zip(colours, colours[2:], strict=False)]
    if not steps:
        return False
    least = max(LEAST_MORE, MORE_TIMES * sorted(steps)[len(steps) // 2])
    around = range(MORE_BEFORE, len(colours) - MORE_AFTER)
    return any(
        steps[at] >= max(least, MORE_SHARP * change(colours[at - MORE_BEFORE], colours[at + MORE_AFTER]))
        for at in around
    )
