"""Patchwork drawn from the quilts' own colours: units, head strips, and stand-ins for missing photos.

Pure functions make shapes from IDs and colours; `svg_shapes` and a template make inline SVG of the shapes. Fills are
plain ``#rrggbb``, so no style attribute is needed. Sashing and stitching belong to the page, and get their colour from
the style sheet: one that suits a light page, a dark page and paper.

One block is BLOCK units square; all coordinates are whole units, y runs downwards.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from hashlib import blake2b
from typing import NamedTuple

BLOCK = 12
"""Side of a block: divisible into halves, thirds, quarters and sixths, as traditional blocks are."""

LARGE, SMALL = 8, 3
"""CSS pixels to the unit, for a picture on a page of its own and for one among others."""

STRIP_HEIGHT = 12
"""Height of a head strip, in CSS pixels."""

UNDYED = ("#8b9299", "#d3d7da", "#b1b7bd")
"""Greys for a quilt whose colours nobody has recorded; they show on white and on black."""

Point = tuple[int, int]
Shape = tuple[tuple[Point, ...], int]
"""Corners within one block, and which of the quilt's three cloths the piece is cut from."""


class Patch(NamedTuple):
    """One piece of cloth."""

    points: str
    """Corners as SVG writes them: "0,0 12,0 0,12"."""
    fill: str


@dataclass(frozen=True, slots=True)
class Block:
    """The patches of one quilt."""

    title: str
    """The tooltip of the block."""
    patches: tuple[Patch, ...]


@dataclass(frozen=True, slots=True)
class Strip:
    """A pieced strip that repeats along the head of a page: many have the strip of the whole collection."""

    width: int
    height: int
    patches: tuple[Patch, ...]


class Rect(NamedTuple):
    """A plain square of the page's own cloth."""

    x: int
    y: int
    width: int
    height: int


@dataclass(frozen=True, slots=True)
class Stitching:
    """A line of running stitch."""

    x1: int
    y1: int
    x2: int
    y2: int


@dataclass(frozen=True, slots=True)
class PanelNumber:
    """The number on the plain square before a charity's quilts, the same as in the table."""

    x: int
    y: int
    text: str


class _Drawing:
    """A drawing with a size in units."""

    __slots__ = ()
    width: int
    height: int

    @property
    def view_box(self) -> str:
        return f"0 0 {self.width} {self.height}"

    @property
    def large(self) -> Rect:
        """Its size on a page, in CSS pixels; the style sheet may make it smaller."""
        return Rect(0, 0, self.width * LARGE, self.height * LARGE)


@dataclass(frozen=True, slots=True)
class Patchwork(_Drawing):
    """A whole picture. An empty one (no blocks) has width and height 0."""

    width: int
    height: int
    title: str
    """What the picture shows, for those who can't see it."""
    blocks: tuple[Block, ...]
    stitching: tuple[Stitching, ...] = ()
    numbers: tuple[PanelNumber, ...] = ()
    binding: tuple[Patch, ...] = ()

    @property
    def small(self) -> Rect:
        """Its size beside others, all to one scale, in CSS pixels."""
        return Rect(0, 0, self.width * SMALL, self.height * SMALL)


@dataclass(frozen=True, slots=True)
class Cloth:
    """All pieces of one colour: SVG's path data, which is shorter than a polygon for each."""

    path: str
    fill: str


@dataclass(frozen=True, slots=True)
class StandIn(_Drawing):
    """A drawing in place of a photo: a quilt's own unit, repeated."""

    width: int
    height: int
    title: str
    cloths: tuple[Cloth, ...]


# Traditional units. Each piece: its corners on the 12-unit block, and its cloth
# (0 = the quilt's main colour, 1 = what stands out most from it, 2 = the accent).


def _rect(x: int, y: int, width: int, height: int, cloth: int) -> Shape:
    return ((x, y), (x + width, y), (x + width, y + height), (x, y + height)), cloth


def _half_square_triangle(x: int, y: int, side: int, above: int, below: int) -> tuple[Shape, Shape]:
    return (
        (((x, y), (x + side, y), (x, y + side)), above),
        (((x + side, y), (x + side, y + side), (x, y + side)), below),
    )


UNITS: dict[str, tuple[Shape, ...]] = {
    "half-square triangle": _half_square_triangle(0, 0, 12, 0, 1),
    "hourglass": (
        (((0, 0), (12, 0), (6, 6)), 0),
        (((12, 0), (12, 12), (6, 6)), 1),
        (((12, 12), (0, 12), (6, 6)), 2),
        (((0, 12), (0, 0), (6, 6)), 1),
    ),
    "four patch": (
        _rect(0, 0, 6, 6, 0), _rect(6, 0, 6, 6, 1), _rect(0, 6, 6, 6, 2), _rect(6, 6, 6, 6, 0),
    ),
    "nine patch": tuple(
        _rect(4 * column, 4 * row, 4, 4, 2 if row == column == 1 else (row + column) % 2)
        for row in range(3)
        for column in range(3)
    ),
    "rail fence": (
        _rect(0, 0, 12, 4, 0), _rect(0, 4, 12, 4, 1), _rect(0, 8, 12, 4, 2),
    ),
    "flying geese": (
        _rect(0, 0, 12, 12, 1),
        (((0, 6), (6, 0), (12, 6)), 0),
        (((0, 12), (6, 6), (12, 12)), 2),
    ),
    "square in a square": (
        _rect(0, 0, 12, 12, 1),
        (((6, 0), (12, 6), (6, 12), (0, 6)), 0),
        _rect(4, 4, 4, 4, 2),
    ),
    "pinwheel": (
        _rect(0, 0, 12, 12, 1),
        (((0, 0), (6, 0), (6, 6)), 0),
        (((12, 0), (12, 6), (6, 6)), 2),
        (((12, 12), (6, 12), (6, 6)), 0),
        (((0, 12), (0, 6), (6, 6)), 2),
    ),
    "log cabin": (
        _rect(0, 0, 12, 3, 0), _rect(0, 3, 3, 9, 0),
        _rect(3, 9, 9, 3, 1), _rect(9, 3, 3, 6, 1),
        _rect(3, 3, 6, 2, 2), _rect(3, 5, 2, 4, 2),
        _rect(5, 7, 4, 2, 1), _rect(7, 5, 2, 2, 1),
        _rect(5, 5, 2, 2, 0),
    ),
}  # fmt: skip
_UNIT_NAMES = tuple(UNITS)


def unit_of(quilt_id: str) -> tuple[str, int]:
    """The traditional unit of a quilt, and its number of quarter turns.

    It depends on the ID alone, so that a quilt has the same patch wherever it is drawn.

    >>> unit_of("low-tide") == unit_of("low-tide")
    True
    """
    number = int.from_bytes(blake2b(quilt_id.encode(), digest_size=8).digest(), "big")
    turns, kind = divmod(number, len(_UNIT_NAMES))
    return _UNIT_NAMES[kind], turns % 4


def cloths(colours: Sequence[str]) -> tuple[str, str, str]:
    """Main colour, the one that stands out most from it, and an accent, from a quilt's colours.

    >>> cloths(["#204060", "#305070", "#f0f0e0"])
    ('#204060', '#f0f0e0', '#305070')

    A quilt of one colour is pieced from it and a paler or deeper shade, so that its unit can be seen.
    """
    if not colours:
        return UNDYED
    main, *others = dict.fromkeys(colours)
    if not others:
        return main, _shade(main, 0.45), _shade(main, 0.2)
    contrast = max(others, key=lambda colour: abs(_lightness(colour) - _lightness(main)))
    rest = [colour for colour in others if colour != contrast]
    return main, contrast, rest[0] if rest else _shade(main, 0.3)


def head_strip(colours: Sequence[str]) -> Strip:
    """The strip of patches along the head of a page, from the colours of what the page holds.

    Colours come with the largest share first; the widths of the patches vary in a fixed rhythm, and
    every fifth patch is a half-square triangle, so that it reads as pieced rather than as stripes.
    """
    palette = tuple(dict.fromkeys(colours)) or UNDYED
    if len(palette) == 1:
        palette = (*palette, _shade(palette[0], 0.45), _shade(palette[0], 0.2))
    rhythm = (36, 24, 48, 24, STRIP_HEIGHT)
    # Few colours are repeated until each has had every width; many colours are used once.
    few = len(palette) < 2 * len(rhythm) and len(palette) % len(rhythm)
    count = len(palette) * len(rhythm) if few else len(palette)
    patches: list[Patch] = []
    x = 0
    for index in range(count):
        fill = palette[index % len(palette)]
        width = rhythm[index % len(rhythm)]
        patches.append(Patch(_points(_rect(x, 0, width, STRIP_HEIGHT, 0)[0]), fill))
        if width == STRIP_HEIGHT:
            following = palette[(index + 1) % len(palette)]
            corner = ((x + width, 0), (x + width, STRIP_HEIGHT), (x, STRIP_HEIGHT))
            patches.append(Patch(_points(corner), following))
        x += width
    return Strip(width=x, height=STRIP_HEIGHT, patches=tuple(patches))


def stand_in(quilt_id: str, colours: Sequence[str], *, title: str, shape: tuple[int, int]) -> StandIn:
    """A drawing in place of a photo: the quilt's own unit, repeated over `shape` (columns, rows).

    A piece on top of another has another colour, and comes later in each block.
    """
    columns, rows = shape
    dyed = cloths(colours)
    paths: dict[str, str] = {}
    for cloth, path in _repeated(*unit_of(quilt_id), columns, rows):
        paths[dyed[cloth]] = paths.get(dyed[cloth], "") + path
    made_of = tuple(Cloth(path, fill) for fill, path in paths.items())
    return StandIn(columns * BLOCK, rows * BLOCK, title, made_of)


# There are few units and few shapes.
@lru_cache(maxsize=512)
def _repeated(unit: str, turns: int, columns: int, rows: int) -> tuple[tuple[int, str], ...]:
    """The pieces of blocks of a unit, as one path for each of the quilt's cloths."""
    pieces: dict[int, list[str]] = {}
    for row in range(rows):
        for column in range(columns):
            for points, cloth in _laid(unit, (turns + row + column) % 4, column * BLOCK, row * BLOCK):
                pieces.setdefault(cloth, []).append(f"M{points}z")
    return tuple((cloth, "".join(paths)) for cloth, paths in pieces.items())


def pieces_of(quilt_id: str, colours: Sequence[str], x: int, y: int) -> tuple[Patch, ...]:
    """The one block of a quilt, with its upper left corner at x and y."""
    dyed = cloths(colours)
    return tuple(Patch(points, dyed[cloth]) for points, cloth in _laid(*unit_of(quilt_id), x, y))


# The same few units lie in the same places all over a site.
@lru_cache(maxsize=4096)
def _laid(unit: str, quarters: int, x: int, y: int) -> tuple[tuple[str, int], ...]:
    """The pieces of a unit as they are drawn: their points, and which cloth each is of."""
    return tuple(
        (_points(tuple((x + px, y + py) for px, py in (_turn(point, quarters) for point in corners))), cloth)
        for corners, cloth in UNITS[unit]
    )


def _turn(point: Point, quarters: int) -> Point:
    x, y = point
    for _ in range(quarters % 4):
        x, y = BLOCK - y, x
    return x, y


def _points(corners: Sequence[Point]) -> str:
    return " ".join(f"{x},{y}" for x, y in corners)


def _channels(colour: str) -> tuple[int, int, int]:
    return int(colour[1:3], 16), int(colour[3:5], 16), int(colour[5:7], 16)


def _lightness(colour: str) -> float:
    """The luma of a colour, 0 to 1, which is good enough to distinguish dark cloth from light.

    Source: ITU-R BT.709 weights.
    """
    red, green, blue = _channels(colour)
    return (0.2126 * red + 0.7152 * green + 0.0722 * blue) / 255


def _shade(colour: str, by: float) -> str:
    """A paler shade of a dark colour, a deeper shade of a light one."""
    towards = 255 if _lightness(colour) < 0.55 else 0
    mixed = (round(channel + (towards - channel) * by) for channel in _channels(colour))
    return "#{:02x}{:02x}{:02x}".format(*mixed)
