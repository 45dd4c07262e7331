"""Finds a quilt's corners closely, from rough ones.

Each side is drawn as if seen from straight in front, upright and with the ground to its left. The side is the outermost
edge that most of its parts have, and the four sides must fit together.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from PIL import Image

from site_builder.images.detection.background import StandingOut
from site_builder.images.detection.edges import ENDS, PARTS, WINDOW, Edge, Edges, change, find_edges
from site_builder.images.detection.perspective import Corners, Line, Perspective, crossing, fitted_line

# By our own judgement, tried on drawn photos. Pixels are those of the sides as drawn here.
LONG = 330  # pixels, of the quilt's longer side
SAMPLES = 4  # of a part
NEED, WAVY = 0.65, 3.5  # of the parts; pixels from a straight line
AROUND = 8  # pixels from a line that is known roughly
AGREEING = 6  # pixels that a line may be further in if all parts agree
REACHES = 2  # parts at each end; a side must show in one of them
LONGEST_GAP = 7  # parts in which a side is not seen
CONTINUES = 0.6  # of the usual step
MORE_FROM = 5  # pixels outside a side, from where on there may be something around it
LEAST_MORE, MORE_TIMES = 3, 3  # levels over two pixels; of the usual step
MORE_SHARP, MORE_BEFORE, MORE_AFTER = 0.55, 5, 4  # of the change from this many pixels before to after


@dataclass(frozen=True, slots=True)
class Look:
    """How far around the known sides to search, in pixels, and at which tilts, in pixels over a whole side."""

    outside: int
    inside: int
    tilts: tuple[int, ...]
    proves: bool = False

    @property
    def width(self) -> int:
        return self.outside + self.inside


LOOKS = (Look(16, 33, (0, -3, 3, -6, 6, -9, 9)), Look(40, 15, (0, -2, 2), proves=True))
"""The first is wide enough for a rough guess, the second is to be sure."""


@dataclass(frozen=True, slots=True)
class _Side:
    """A side: how clearly it shows in each part, with parts beyond its ends, and whether something is around it."""

    seen: Sequence[int]
    has_more_outside: bool


def closer_corners(standing: StandingOut, corners: Corners, look: Look, *, stands_out: float) -> Corners | None:
    """The exact corners near the known ones; None if a side is not found, or if the sides do not fit together.

    `stands_out` is how many half levels something surely not ground differs from it.
    """
    top, right, bottom, left = corners.sides
    scale = 2 * LONG / max(top + bottom, left + right)
    width, length = round((top + bottom) / 2 * scale), round((left + right) / 2 * scale)
    one, two, three, four = corners
    # With the corners mirrored or turned, each side becomes the left one.
    views = [
        Perspective.of(turned)
        for turned in (
            corners,
            Corners(one, four, three, two),
            Corners(two, one, four, three),
            Corners(four, one, two, three),
        )
    ]
    depths = (width, length, width, length)
    strips = _strips(standing, views, depths, look)
    edges = find_edges(strips, standing, width=look.width, start=look.outside, stands_out=stands_out)
    found = _found(edges, look.tilts)
    if found is None:
        return None
    if look.proves and not _fit_together(*(_side(edges, number, one) for number, one in enumerate(found))):
        return None
    left_side, top_side, right_side, bottom_side = (
        (view.seen(start / depth, 0), view.seen((slope * PARTS + start) / depth, 1))
        for (slope, start), view, depth in zip((one.line for one in found), views, depths, strict=True)
    )
    return Corners(
        crossing(left_side, top_side),
        crossing(right_side, top_side),
        crossing(right_side, bottom_side),
        crossing(left_side, bottom_side),
    )


def _strips(standing: StandingOut, views: Sequence[Perspective], depths: Sequence[int], look: Look) -> Image.Image:
    """The strips along all sides, next to each other, with a row for each part."""
    samples = Image.new("RGBa", (len(views) * look.width, SAMPLES * (PARTS + 2 * ENDS)))
    for number, (view, depth) in enumerate(zip(views, depths, strict=True)):
        strip = standing.bounded.transform(
            (look.width, samples.height),
            Image.Transform.PERSPECTIVE,
            view.to_flatten(depth, SAMPLES * PARTS, before=look.outside, above=SAMPLES * ENDS),
            Image.Resampling.BILINEAR,
        )
        samples.paste(strip, (number * look.width, 0))
    return samples.reduce((1, SAMPLES)).convert("RGBA")


# --- a side


@dataclass(frozen=True, slots=True)
class _Found:
    """The line along a side, and the edges around it."""

    line: Line
    around: Sequence[Edge]


def _found(edges: Edges, tilts: Sequence[int]) -> list[_Found] | None:
    """For each side the outermost line along which most parts have an edge; None if one has none."""
    slopes = [tilt / PARTS for tilt in tilts]
    agreeing = [edges.agreeing(slope) for slope in slopes]
    found = []
    for side in edges.sides:
        lines = (_outermost(sides[side], slope, edges.start) for slope, sides in zip(slopes, agreeing, strict=True))
        outermost = min(filter(None, lines), default=None)
        if outermost is None:
            return None
        around = edges.near(side, outermost[1:], AROUND)
        line = _line(around, outermost[1:])
        if line is None:
            return None
        found.append(_Found(line, around))
    return found


def _line(around: Sequence[Edge], near: Line) -> Line | None:
    """The line along the outermost edges, near a rough line."""
    within = [edge for edge in reversed(around) if 0 < edge.along < PARTS]
    slope, start = near
    for _ in range(3):
        least, most = start - WAVY, start + WAVY
        places = {along: across for along, across, _ in within if least <= across - slope * along <= most}
        if len(places) < NEED * PARTS:
            return None
        slope, start = fitted_line(list(places.items()))
    return slope, start


def _outermost(agreeing: bytes, slope: float, zero: int) -> tuple[float, float, float] | None:
    """How far in the first line of this slope is (less if more parts agree), with its slope and start."""
    first = next((at for at, share in enumerate(agreeing) if share >= NEED * 255), None)
    if first is None:
        return None
    best = max(range(first, min(first + WINDOW, len(agreeing))), key=agreeing.__getitem__)
    return best - AGREEING * agreeing[best] / 255, slope, best + WINDOW / 2 - zero - slope * PARTS / 2


def _side(edges: Edges, number: int, found: _Found) -> _Side:
    slope, start = found.line
    seen = [0] * (PARTS + 2 * ENDS)
    for along, across, step in found.around:
        if abs(across - slope * along - start) <= WAVY:
            part = int(along + ENDS)
            seen[part] = max(seen[part], step)
    return _Side(seen, _has_more_outside(edges, number, found.line))


# --- all sides


def _fit_together(left: _Side, top: _Side, right: _Side, bottom: _Side) -> bool:
    """Do all sides reach the corners, with none continuing beyond and nothing like a border around them?"""
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
            continuing = _continues(one.seen[::turn]) + _continues(other.seen[::turn])
            if continuing == 2 or (continuing and between.has_more_outside):
                return False
    return True


def _continues(seen: Sequence[int]) -> bool:
    """Does a side show beyond its first end as clearly as within?"""
    return seen[ENDS - 1] > CONTINUES * sorted(seen[ENDS : 2 * ENDS])[ENDS // 2]


def _has_more_outside(edges: Edges, number: int, line: Line) -> bool:
    """Do all parts together change along a line outside, as with a border that is much like the ground?"""
    slope, start = line
    outside = round(edges.start + start + slope * PARTS / 2) - MORE_FROM
    colours = [colour for colour in edges.profile(number, slope)[: max(0, outside)] if colour[3] == 255]
    steps = [change(before, after) for before, after in zip(colours, colours[2:], strict=False)]
    if not steps:
        return False
    least = max(LEAST_MORE, MORE_TIMES * sorted(steps)[len(steps) // 2])
    around = range(MORE_BEFORE, len(colours) - MORE_AFTER)
    return any(
        steps[at] >= max(least, MORE_SHARP * change(colours[at - MORE_BEFORE], colours[at + MORE_AFTER]))
        for at in around
    )
