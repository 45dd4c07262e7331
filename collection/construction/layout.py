"""Converts a block setting to shapes to draw: each piece with its corners."""

from collections.abc import Callable
from fractions import Fraction
from math import sqrt
from typing import NamedTuple

from collection.construction.lattice import BlockLattice, BlockSettingLike, LatticePiece, PieceKind
from collection.values.lengths import Length

Point = tuple[float, float]
Corners = Callable[[LatticePiece], tuple[Point, ...]]


class DrawnPiece(NamedTuple):
    """One piece of a quilt: its corners in order round it, in inches from the quilt's upper left corner.

    A corner is the distance to the right, then down. These are floats, for drawing only; for counting and cutting use
    `cutting`.
    """

    kind: PieceKind
    corners: tuple[Point, ...]


def layout(setting: BlockSettingLike) -> tuple[DrawnPiece, ...]:
    """Every piece of the setting in place: blocks and sashing, setting triangles, then borders.

    Together they fill the finished size without overlap.
    """
    lattice = BlockLattice.of(setting)
    margin = float(_width_of(setting.borders))
    corners = _on_point(lattice, margin) if lattice.on_point else _straight(lattice, margin)
    return (
        *(DrawnPiece(piece.kind, corners(piece)) for piece in lattice.pieces),
        *(_setting_triangles(lattice, margin) if lattice.on_point else ()),
        *_borders(setting, lattice),
    )


def _straight(lattice: BlockLattice, margin: float) -> Corners:
    parts = lattice.parts
    edge = margin + (lattice.sash / parts if lattice.outer else 0.0)

    def corners(piece: LatticePiece) -> tuple[Point, ...]:
        left, right = edge + piece.across / parts, edge + (piece.across + piece.width) / parts
        top, bottom = edge + piece.down / parts, edge + (piece.down + piece.length) / parts
        return (left, top), (right, top), (right, bottom), (left, bottom)

    return corners


def _on_point(lattice: BlockLattice, margin: float) -> Corners:
    """The lattice turned by 45 degrees about the middle of its first block."""
    parts, block, root2 = lattice.parts, lattice.block, sqrt(2)
    middle = margin + lattice.reach / parts / root2

    def place(across: int, down: int) -> Point:
        return middle + (across - down) / parts / root2, middle + (across + down - block) / parts / root2

    def corners(piece: LatticePiece) -> tuple[Point, ...]:
        left, top = piece.across, piece.down
        right, bottom = left + piece.width, top + piece.length
        return place(left, top), place(right, top), place(right, bottom), place(left, bottom)

    return corners


def _setting_triangles(lattice: BlockLattice, margin: float) -> list[DrawnPiece]:
    first, step = lattice.reach / lattice.parts / sqrt(2), lattice.step / lattice.parts * sqrt(2)
    width, length = map(float, lattice.sides)
    drawn: list[tuple[PieceKind, tuple[Point, ...]]] = []
    for start in (first + step * n for n in range(lattice.columns - 1)):
        end, tip = start + step, start + step / 2
        drawn.append(("side triangle", ((start, 0.0), (end, 0.0), (tip, step / 2))))
        drawn.append(("side triangle", ((end, length), (start, length), (tip, length - step / 2))))
    for start in (first + step * n for n in range(lattice.rows - 1)):
        end, tip = start + step, start + step / 2
        drawn.append(("side triangle", ((0.0, end), (0.0, start), (step / 2, tip))))
        drawn.append(("side triangle", ((width, start), (width, end), (width - step / 2, tip))))
    for x, towards_x in ((0.0, first), (width, width - first)):
        for y, towards_y in ((0.0, first), (length, length - first)):
            drawn.append(("corner triangle", ((x, y), (towards_x, y), (x, towards_y))))
    return [DrawnPiece(kind, tuple((margin + x, margin + y) for x, y in corners)) for kind, corners in drawn]


def _borders(setting: BlockSettingLike, lattice: BlockLattice) -> list[DrawnPiece]:
    """Innermost first; the strips at the sides end where those at the top and bottom begin."""
    width, length = map(float, lattice.sides)
    drawn, left = [], _width_of(setting.borders)
    for border in setting.borders:
        left -= border.inches
        outside, strip = float(left), float(border.inches)
        inside = outside + strip
        right, bottom = inside + width, inside + length
        width, length = width + 2 * strip, length + 2 * strip
        if strip:
            drawn += [
                _strip(outside, inside, inside, bottom),
                _strip(right, inside, right + strip, bottom),
                _strip(outside, outside, right + strip, inside),
                _strip(outside, bottom, right + strip, bottom + strip),
            ]
    return drawn


def _strip(left: float, top: float, right: float, bottom: float) -> DrawnPiece:
    return DrawnPiece("border", ((left, top), (right, top), (right, bottom), (left, bottom)))


def _width_of(borders: tuple[Length, ...]) -> Fraction:
    return sum((border.inches for border in borders), Fraction(0))
