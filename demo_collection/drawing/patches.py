"""What a block is made of: patches, drafted in a unit square with y downwards, and the common units.

A patch names its part in the block, not its colour. The parts are those of a recipe's palette:
ground, main, accent, leaf, sashing, cornerstones, setting, borders. `shade` picks among the colours
of a part: the second main colour is ("main", 1).
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from math import cos, pi, sin

Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Patch:
    points: tuple[Point, ...]
    part: str
    shade: int = 0
    laid_on: bool = False  # appliqué: sewn upon what is below, so that it stands up
    grain: float = 0  # degrees by which the cloth is turned


def patch(points: Iterable[Point], part: str, shade: int = 0, *, laid_on: bool = False) -> Patch:
    return Patch(tuple(points), part, shade, laid_on)


# The letters of the block charts.
LETTERS = {
    "g": ("ground", 0),
    "h": ("ground", 1),
    "m": ("main", 0),
    "n": ("main", 1),
    "o": ("main", 2),
    "p": ("main", 3),
    "a": ("accent", 0),
    "b": ("accent", 1),
    "l": ("leaf", 0),
    "s": ("setting", 0),
}


def lettered(points: Iterable[Point], letter: str, *, laid_on: bool = False) -> Patch:
    part, shade = LETTERS[letter]
    return patch(points, part, shade, laid_on=laid_on)


def rectangle(x: float, y: float, width: float, height: float) -> tuple[Point, ...]:
    return ((x, y), (x + width, y), (x + width, y + height), (x, y + height))


def goose(x: float, y: float, width: float, height: float, way: str, goose_letter: str, sky: str) -> list[Patch]:
    """A flying goose and its two triangles of sky; `way` is where its point looks (n, e, s, w)."""
    a, b, c, d = rectangle(x, y, width, height)
    base_start, base_end, tip = {
        "n": (d, c, (x + width / 2, y)),
        "s": (a, b, (x + width / 2, y + height)),
        "e": (a, d, (x + width, y + height / 2)),
        "w": (b, c, (x, y + height / 2)),
    }[way]
    beside_start, beside_end = {"n": (a, b), "s": (d, c), "e": (b, c), "w": (a, d)}[way]
    return [
        lettered((base_start, base_end, tip), goose_letter),
        lettered((base_start, tip, beside_start), sky),
        lettered((base_end, tip, beside_end), sky),
    ]


def arc(centre: Point, radius: float, start: float, end: float, steps: int = 14) -> list[Point]:
    """Points on a circle, angles in degrees, 0 to the right and 90 down."""
    return [
        (centre[0] + radius * cos(pi * angle / 180), centre[1] + radius * sin(pi * angle / 180))
        for angle in (start + (end - start) * step / steps for step in range(steps + 1))
    ]


def circle(centre: Point, radius: float, steps: int = 36) -> list[Point]:
    return arc(centre, radius, 0, 360, steps)[:-1]


def turned_point(point: Point, centre: Point, degrees: float) -> Point:
    x, y = point[0] - centre[0], point[1] - centre[1]
    c, s = cos(pi * degrees / 180), sin(pi * degrees / 180)
    return (centre[0] + x * c - y * s, centre[1] + x * s + y * c)


def turned(patches: Iterable[Patch], degrees: float, centre: Point = (0.5, 0.5)) -> list[Patch]:
    """The patches turned clockwise, their cloth with them."""
    return [
        replace(
            one,
            points=tuple(turned_point(p, centre, degrees) for p in one.points),
            grain=one.grain + degrees,
        )
        for one in patches
    ]


def moved(
    patches: Iterable[Patch], dx: float, dy: float, scale: float = 1, scale_y: float | None = None
) -> list[Patch]:
    """The patches scaled from the origin, then moved."""
    scale_y = scale if scale_y is None else scale_y
    return [replace(one, points=tuple((dx + x * scale, dy + y * scale_y) for x, y in one.points)) for one in patches]


def curve(points: list[Point], steps: int = 6) -> list[Point]:
    """A closed smooth line through the points (Catmull-Rom)."""
    smooth = []
    count = len(points)
    for i in range(count):
        p0, p1, p2, p3 = (points[(i + k - 1) % count] for k in range(4))
        for step in range(steps):
            t = step / steps
            smooth.append(
                tuple(
                    0.5 * (2 * b + (c - a) * t + (2 * a - 5 * b + 4 * c - d) * t * t + (3 * b - a - 3 * c + d) * t**3)
                    for a, b, c, d in zip(p0, p1, p2, p3)
                )
            )
    return smooth
