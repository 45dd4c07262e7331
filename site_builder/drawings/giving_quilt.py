"""A quilt of the quilts given: a patch for each, in its own colours, charity by charity.

The patches follow each other row by row as words do on a page. Each charity begins with a plain square that holds its
number, as alternate plain squares rest the eye in a sampler; the binding has the quilts' liveliest colours. Units and
colours are those of `site_builder.drawings.patchwork`.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import ceil, log

from collection.colours.palette import liveliest
from site_builder.drawings.patchwork import (
    BLOCK,
    Block,
    PanelNumber,
    Patch,
    Patchwork,
    Point,
    Stitching,
    cloths,
    pieces_of,
)

GAP = 1
"""Sashing between two squares."""

BINDING = 2
BORDER = 7
"""From the edge to the squares: binding, then plain cloth with a line of quilting in it."""

QUILTED_AT = 4
"""How far inside the edge the border is quilted."""

MOTIF_INSET = 3
"""How far the quilting of an empty plain square is inside it."""

BOUND_WITH = 16
"""About how long each piece of the binding is."""

SHAPE = 0.95
"""The aimed width to height: about as wide as high, as many lap quilts are."""

MOST_COLUMNS = 30


@dataclass(frozen=True, slots=True)
class GivenQuilt:
    """The part of a quilt that a giving picture needs."""

    id: str
    title: str
    colours: tuple[str, ...]
    """As ``#rrggbb``, the largest share first; empty if unknown."""


@dataclass(frozen=True, slots=True)
class GivenTo:
    """The quilts that one charity received, in the order of the picture."""

    charity: str
    quilts: tuple[GivenQuilt, ...]


def giving_picture(given: Sequence[GivenTo], *, title: str, numbered: bool = True) -> Patchwork:
    """A block for each quilt, charity by charity; charities keep their order and are numbered from 1.

    Charities without quilts are left out. A single charity has no number, and nor has a picture without a table next
    to it (not `numbered`). The empty squares at the end are plain and quilted.
    """
    panels = [panel for panel in given if panel.quilts]
    numbered = numbered and len(panels) > 1
    if not panels:
        return Patchwork(width=0, height=0, title=title, blocks=())
    counts = [len(panel.quilts) for panel in panels]
    columns = _columns(counts, numbered)
    places = _places(counts, columns, numbered)
    blocks = [
        Block(f"{quilt.title}, to {panel.charity}", pieces_of(quilt.id, quilt.colours, *_corner(square)))
        for panel, squares in zip(panels, places, strict=True)
        for quilt, square in zip(panel.quilts, squares[-len(panel.quilts) :], strict=True)
    ]
    last_column, last_row = places[-1][-1]
    empty = [(column, last_row) for column in range(last_column + 1, columns)]
    width, height = _across(columns), _across(last_row + 1)
    return Patchwork(
        width,
        height,
        title,
        tuple(blocks),
        stitching=(
            *_frame(width, height, inset=QUILTED_AT),
            *(line for square in empty for line in _motif(*_corner(square))),
        ),
        numbers=tuple(_number(n, squares[0]) for n, squares in enumerate(places, start=1)) if numbered else (),
        binding=_binding(width, height, [_liveliest(quilt) for panel in panels for quilt in panel.quilts]),
    )


def _number(number: int, square: tuple[int, int]) -> PanelNumber:
    x, y = _corner(square)
    return PanelNumber(x + BLOCK // 2, y + BLOCK // 2, str(number))


def _places(counts: Sequence[int], columns: int, numbered: bool) -> list[list[tuple[int, int]]]:
    """The squares (column, row) of each charity: that of its number, then those of its quilts."""
    places: list[list[tuple[int, int]]] = []
    at = 0
    for count in counts:
        places.append([(n % columns, n // columns) for n in range(at, at + count + numbered)])
        at += count + numbered
    return places


def _columns(counts: Sequence[int], numbered: bool) -> int:
    """The width of a giving picture in squares: near the shape of a quilt, with few empty squares and few numbers at
    the end of a row, away from their quilts."""
    squares = sum(counts) + (len(counts) if numbered else 0)

    def awkwardness(columns: int) -> float:
        rows = ceil(squares / columns)
        empty = rows * columns - squares
        starts = (panel[0] for panel in _places(counts, columns, numbered))
        at_the_end = sum(column == columns - 1 for column, _ in starts) if numbered else 0
        shape = abs(log(_across(columns) / _across(rows) / SHAPE))
        return shape + 2 * empty / squares + at_the_end / 10

    least = 2 if numbered else 1
    most = min(squares, MOST_COLUMNS)
    # Skip what is far narrower or wider than a square of the same area.
    near = range(max(least, ceil(squares**0.5 / 2)), max(least, min(most, ceil(squares**0.5 * 2))) + 1)
    return min(near, key=awkwardness)


def _across(squares: int) -> int:
    return 2 * BORDER + squares * (BLOCK + GAP) - GAP


def _corner(square: tuple[int, int]) -> Point:
    column, row = square
    return BORDER + column * (BLOCK + GAP), BORDER + row * (BLOCK + GAP)


def _frame(width: int, height: int, *, inset: int) -> tuple[Stitching, ...]:
    right, bottom = width - inset, height - inset
    return _closed([(inset, inset), (right, inset), (right, bottom), (inset, bottom)])


def _closed(points: Sequence[Point]) -> tuple[Stitching, ...]:
    """Lines from each point to the next, and from the last to the first."""
    return tuple(Stitching(*start, *end) for start, end in pairwise([*points, points[0]]))


def _motif(x: int, y: int) -> tuple[Stitching, ...]:
    """A square on point."""
    middle, near, far = BLOCK // 2, MOTIF_INSET, BLOCK - MOTIF_INSET
    points = ((middle, near), (far, middle), (middle, far), (near, middle))
    return _closed([(x + px, y + py) for px, py in points])


def _liveliest(quilt: GivenQuilt) -> str:
    """The quilt's colour in the binding: never its white ground, which would not show on a page."""
    return (liveliest(quilt.colours) or cloths(()))[0]


def _binding(width: int, height: int, colours: Sequence[str]) -> tuple[Patch, ...]:
    """Strips along the four edges, pieced from the quilts' colours in turn, clockwise."""
    strips: list[tuple[int, int, int, int]] = []
    strips += [(start, 0, end, BINDING) for start, end in _pieced(0, width)]
    strips += [(width - BINDING, start, width, end) for start, end in _pieced(BINDING, height)]
    strips += [(start, height - BINDING, end, height) for start, end in _pieced(0, width - BINDING)[::-1]]
    strips += [(0, start, BINDING, end) for start, end in _pieced(BINDING, height - BINDING)[::-1]]
    return tuple(
        Patch(f"{left},{top} {right},{top} {right},{bottom} {left},{bottom}", colours[n % len(colours)])
        for n, (left, top, right, bottom) in enumerate(strips)
    )


def _pieced(start: int, end: int) -> list[tuple[int, int]]:
    pieces = max(1, round((end - start) / BOUND_WITH))
    marks = [start + (end - start) * n // pieces for n in range(pieces + 1)]
    return list(pairwise(marks))
