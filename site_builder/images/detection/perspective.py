"""A rectangle as a camera sees it, and back."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

Point = tuple[float, float]
Line = tuple[float, float]
"""Slope and start of a line that runs along one axis: across = slope x along + start."""

# Of the picture's longer edge. Common practice, no source: a phone's usual lens has some 0.7 (26 mm to a frame of
# 36 mm), and photos are zoomed and trimmed.
FOCAL_LENGTH = 1.0


class Corners(NamedTuple):
    """The corners of a rectangle in a picture, in pixels from the picture's own top left corner."""

    top_left: Point
    top_right: Point
    bottom_right: Point
    bottom_left: Point

    def scaled(self, by: float) -> "Corners":
        """The same corners in a picture scaled by a factor."""
        return Corners(*((x * by, y * by) for x, y in self))

    @property
    def sides(self) -> tuple[float, float, float, float]:
        """The lengths of the top, right, bottom and left side."""
        top, right, bottom, left = map(math.dist, self, (*self[1:], self[0]))
        return top, right, bottom, left

    @property
    def area(self) -> float:
        turned = zip(self, (*self[1:], self[0]), strict=True)
        return sum(x * next_y - next_x * y for (x, y), (next_x, next_y) in turned) / 2

    @property
    def diagonal(self) -> float:
        return max(math.dist(self[0], self[2]), math.dist(self[1], self[3]))


@dataclass(frozen=True, slots=True)
class Perspective:
    """Maps the unit square into the picture: x = (a u + b v + c) / (g u + h v + 1), y likewise.

    Source: P. Heckbert, "Fundamentals of Texture Mapping and Image Warping", 1989, section 2.2.3.
    """

    a: float
    b: float
    c: float
    d: float
    e: float
    f: float
    g: float
    h: float

    @classmethod
    def of(cls, corners: Corners) -> "Perspective":
        """The perspective that maps the corners of the square to these; no three may be in a line."""
        (x0, y0), (x1, y1), (x2, y2), (x3, y3) = corners
        x_turn, y_turn = x0 - x1 + x2 - x3, y0 - y1 + y2 - y3
        whole = (x1 - x2) * (y3 - y2) - (x3 - x2) * (y1 - y2)
        g = (x_turn * (y3 - y2) - (x3 - x2) * y_turn) / whole
        h = ((x1 - x2) * y_turn - x_turn * (y1 - y2)) / whole
        return cls(x1 - x0 + g * x1, x3 - x0 + h * x3, x0, y1 - y0 + g * y1, y3 - y0 + h * y3, y0, g, h)

    def seen(self, u: float, v: float) -> Point:
        """The place in the picture of a place in the square.

        >>> Perspective.of(Corners((10, 10), (50, 10), (50, 70), (10, 70))).seen(0.5, 0.5)
        (30.0, 40.0)
        """
        depth = self.g * u + self.h * v + 1
        return (self.a * u + self.b * v + self.c) / depth, (self.d * u + self.e * v + self.f) / depth

    def to_flatten(self, width: int, length: int, *, before: int = 0, above: int = 0) -> tuple[float, ...]:
        """Pillow's coefficients to draw the square in this size, with margins to its left and above, in pixels."""
        a, d, g = self.a / width, self.d / width, self.g / width
        b, e, h = self.b / length, self.e / length, self.h / length
        depth = 1 - before * g - above * h
        c, f = self.c - before * a - above * b, self.f - before * d - above * e
        return tuple(value / depth for value in (a, b, c, d, e, f, g, h))


def sine(one: Point, corner: Point, other: Point) -> float:
    """The sine of the turn at a corner between two places: above 0 if it is clockwise.

    >>> sine((0, 0), (5, 0), (5, 3)), sine((0, 0), (5, 0), (9, 0))
    (1.0, 0.0)
    """
    (x0, y0), (x1, y1), (x2, y2) = one, corner, other
    cross = (x1 - x0) * (y2 - y1) - (y1 - y0) * (x2 - x1)
    return cross / (math.dist(one, corner) * math.dist(corner, other) or 1)


def crossing(one: tuple[Point, Point], other: tuple[Point, Point]) -> Point:
    """The point where two lines, each given by two places, meet; they must not be parallel.

    >>> crossing(((0, 0), (0, 4)), ((-1, 3), (1, 3)))
    (0.0, 3.0)
    """
    (x0, y0), (x1, y1) = one
    (x2, y2), (x3, y3) = other
    dx, dy, other_dx, other_dy = x1 - x0, y1 - y0, x3 - x2, y3 - y2
    along = ((x2 - x0) * other_dy - (y2 - y0) * other_dx) / (dx * other_dy - dy * other_dx)
    return x0 + along * dx, y0 + along * dy


def fitted_line(places: Sequence[Point]) -> Line:
    """The least-squares line through places (along, across) that do not all have the same `along`.

    >>> fitted_line([(0, 1), (1, 3), (2, 5)])
    (2.0, 1.0)
    """
    count = len(places)
    middle, level = sum(along for along, _ in places) / count, sum(across for _, across in places) / count
    spread = sum((along - middle) ** 2 for along, _ in places)
    slope = sum((along - middle) * (across - level) for along, across in places) / spread
    return slope, level - slope * middle


def proportion(corners: Corners, size: tuple[int, int]) -> float:
    """The rectangle's true width divided by its true length, estimated from a picture of this size.

    It assumes the usual focal length, and a camera axis through the picture's middle. Seen from straight in front,
    neither matters.

    >>> round(proportion(Corners((20, 10), (80, 10), (80, 90), (20, 90)), (100, 100)), 6)
    0.75
    """
    middle_x, middle_y, focal = size[0] / 2, size[1] / 2, FOCAL_LENGTH * max(size)
    view = Perspective.of(Corners(*((x - middle_x, y - middle_y) for x, y in corners)))
    across = math.hypot(view.a / focal, view.d / focal, view.g)
    down = math.hypot(view.b / focal, view.e / focal, view.h)
    return across / down
