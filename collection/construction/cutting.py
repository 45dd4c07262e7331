"""Computes the finished size of a block setting, its pieces, and the sizes to cut.

The module `lattice` lays out the sashing.
"""

from collections import Counter
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from collection.construction.lattice import BlockLattice, BlockSettingLike, PieceKind
from collection.construction.surds import EIGHTH, MILLIMETRE_IN_INCHES, Surd
from collection.values.lengths import MILLIMETRE, Length, Size, Unit

SEAM = Length(Fraction(1, 4))
"""The seam allowance on each side. Source: seen: tqanews.blogspot.com (2012), shady-wood.com: cut = finished + 1/2."""

SIDE_TRIANGLE_ALLOWANCE = Surd(Fraction(5, 4))
CORNER_TRIANGLE_ALLOWANCE = Surd(Fraction(7, 8))
"""What a square has beyond the finished side of the triangles cut from it, with seams of 1/4 in.

Source: seen: phoebemoon.com, pinemeadowsdesigns.com, quiltmath.net: long side + 1 1/4 for a square cut twice, short
side + 7/8 for one cut once.
"""


# Finished size --------------------------------------------------------------------------------


def finished_sides(setting: BlockSettingLike, *, block: Length | None = None) -> tuple[Surd, Surd]:
    """The exact width and length of the finished quilt; with `block`, as if its blocks had that size.

    Straight: columns x block + sashes between (and outside) + borders; rows likewise. On point, blocks count by their
    diagonal. Source: seen: apqs.com, Reference chart for squares on point; straight: derived.
    """
    width, length = BlockLattice.of(setting, block=block).sides
    around = Surd.of(2 * sum(setting.borders, Length(0)))
    return width + around, length + around


def finished_size(setting: BlockSettingLike, *, block: Length | None = None) -> Size:
    """The finished size: exact if possible, to the nearest 1/8 in if blocks are on point.

    For `block` see `finished_sides`.
    """
    width, length = finished_sides(setting, block=block)
    return Size(width.exact or width.nearest(), length.exact or length.nearest())


# Pieces ---------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Pieces:
    """A number of pieces with the same finished size.

    For a rectangle, `width` is the shorter side. For a triangle, both are the short sides, which meet at the right
    angle. `which` distinguishes several borders: `inner`, `outer`.
    """

    kind: PieceKind
    count: int
    width: Surd
    length: Surd
    which: str = ""


def pieces(setting: BlockSettingLike) -> tuple[Pieces, ...]:
    """All pieces of the setting: blocks, sashing with the longest first, triangles, then borders.

    Without cornerstones, the sashing between rows is strips as long as the rows. Each border has two strips at the sides,
    sewn first, then two across the top and the bottom.
    """
    lattice = BlockLattice.of(setting)
    return (*_lattice_pieces(lattice), *_triangles(lattice), *_border_strips(setting))


def _lattice_pieces(lattice: BlockLattice) -> list[Pieces]:
    counted = Counter(
        (piece.kind, min(piece.width, piece.length), max(piece.width, piece.length)) for piece in lattice.pieces
    )
    order = ("block", "alternate", "sash", "cornerstone")
    groups = sorted(counted.items(), key=lambda group: (order.index(group[0][0]), -group[0][2]))
    return [
        Pieces(kind, count, Surd(lattice.inches(width)), Surd(lattice.inches(length)))
        for (kind, width, length), count in groups
    ]


def _triangles(lattice: BlockLattice) -> list[Pieces]:
    if not lattice.on_point:
        return []
    side, corner = Surd(lattice.inches(lattice.step)), Surd(lattice.inches(lattice.reach)).over_root2()
    along_the_sides = 2 * (lattice.columns + lattice.rows - 2)
    groups = [Pieces("side triangle", along_the_sides, side, side)] if along_the_sides else []
    return [*groups, Pieces("corner triangle", 4, corner, corner)]


def _border_strips(setting: BlockSettingLike) -> list[Pieces]:
    width, length = BlockLattice.of(setting).sides
    borders = [border for border in map(Surd.of, setting.borders) if border != Surd()]
    strips = []
    for border, which in zip(borders, _border_names(len(borders)), strict=True):
        strips.append(Pieces("border", 2, border, length, which))
        strips.append(Pieces("border", 2, border, width + border * 2, which))
        width, length = width + border * 2, length + border * 2
    return strips


def _border_names(count: int) -> list[str]:
    """The names of this number of borders, innermost first."""
    if count < 2:
        return [""] * count
    between = ["middle"] if count == 3 else [f"middle {number}" for number in range(1, count - 1)]
    return ["inner", *between, "outer"]


# Cutting --------------------------------------------------------------------------------------


def cut_from_finished(finished: Length, *, seam: Length = SEAM) -> Length:
    """The length to cut for a finished side: plus a seam at both ends. Also the side of a top before binding."""
    return finished + seam + seam


@dataclass(frozen=True, slots=True)
class Cut:
    """How to cut the pieces of one kind and size: the number of `shapes` of width x length, including seams.

    Both are exact, except that a diagonal is rounded up to the finest mark of a ruler in `unit`. `cut` says how often a
    square is cut corner to corner: `once` into two triangles, `twice` into four; None if the shape is the piece.
    """

    kind: PieceKind
    count: int
    shapes: int
    width: Length
    length: Length
    cut: Literal["once", "twice"] | None
    which: str = ""
    unit: Unit = "in"

    @property
    def name(self) -> str:
        """The name of the pieces, singular or plural."""
        one, several = _PIECE_NAMES[self.kind]
        return " ".join(filter(None, (self.which, one if self.count == 1 else several)))

    @property
    def instruction(self) -> str:
        """How to cut the triangles from their squares; empty if the shape is the piece."""
        if self.cut is None:
            return ""
        if self.shapes == 1:
            return f"1 square, cut {self.cut} corner to corner"
        return f"{self.shapes} squares, each cut {self.cut} corner to corner"

    def say(self) -> str:
        """For people: `4 corner triangles, 9 3/8 x 9 3/8 in: 2 squares, each cut once corner to corner`."""
        shown = Size(self.width, self.length).in_unit(self.unit, MILLIMETRE)
        return ": ".join(filter(None, (f"{self.count} {self.name}, {shown}", self.instruction)))


_PIECE_NAMES: dict[PieceKind, tuple[str, str]] = {
    "block": ("block", "blocks"),
    "alternate": ("alternate block", "alternate blocks"),
    "sash": ("sash", "sashes"),
    "cornerstone": ("cornerstone", "cornerstones"),
    "side triangle": ("side triangle", "side triangles"),
    "corner triangle": ("corner triangle", "corner triangles"),
    "border": ("border strip", "border strips"),
}


_FINEST_MARK: dict[Unit, Fraction] = {"in": EIGHTH, "cm": MILLIMETRE_IN_INCHES}


def cut_sizes(setting: BlockSettingLike, unit: Unit = "in") -> tuple[Cut, ...]:
    """The sizes to cut with a ruler in `unit`, in the order of `pieces`: finished + 1/2 in.

    Diagonals, which no ruler shows, are rounded up to the next 1/8 in or the next 1 mm, always from the exact length,
    never from a length that is rounded in the other unit.

    A square gives four side triangles or two corner triangles, so that the straight grain of the cloth is along the edge
    of the quilt.
    """
    return tuple(_cut(group, unit) for group in pieces(setting))


def _cut(group: Pieces, unit: Unit) -> Cut:
    mark = _FINEST_MARK[unit]
    if group.kind == "side triangle":
        square = (group.width.times_root2() + SIDE_TRIANGLE_ALLOWANCE).rounded_up(mark)
        return Cut(group.kind, group.count, -(-group.count // 4), square, square, "twice", unit=unit)
    if group.kind == "corner triangle":
        square = (group.width + CORNER_TRIANGLE_ALLOWANCE).rounded_up(mark)
        return Cut(group.kind, group.count, -(-group.count // 2), square, square, "once", unit=unit)
    width, length = (
        cut_from_finished(side.exact) if side.exact else (side + Surd.of(2 * SEAM)).rounded_up(mark)
        for side in (group.width, group.length)
    )
    return Cut(group.kind, group.count, group.count, width, length, None, group.which, unit)
