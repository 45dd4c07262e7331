"""Places the blocks, sashes and cornerstones of a setting, with one lattice for both straight and on point.

A block setting is a lattice of square cells, with a block in each and sashing between them. In a straight setting, its
rows run along the quilt; on point, they run at 45 degrees, and the lattice is the same, turned:

    straight            on point: B a block, A an alternate between, / \\ a setting triangle
    B B B               /B\\B\\
    B B B               \\ A /
                        /B\\B\\

So sashing on point needs no rules of its own. With blocks of side b and sashing s, blocks are u = b + s apart along the
lattice and u√2 apart along the quilt. The edge of the quilt runs through the outermost corners of the blocks, or of the
outer sashing if there is any; every block, sash and cornerstone is whole. Neighbouring corners on the edge are u√2
apart, and the space between them is half a square of side u, so a side setting triangle has short sides u. A corner
triangle's long side is along one block, b, or along its outer sashing, b + 2s.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property, lru_cache
from itertools import groupby
from math import lcm
from typing import Literal, NamedTuple, Protocol

from collection.construction.surds import Surd
from collection.values.lengths import Length

Cell = tuple[int, int]
PieceKind = Literal["block", "alternate", "sash", "cornerstone", "side triangle", "corner triangle", "border"]


class GridLike(Protocol):
    """The number of blocks across and down; on point, only those whose corners meet the edge inside the borders."""

    @property
    def columns(self) -> int: ...
    @property
    def rows(self) -> int: ...


class BlockSettingLike(Protocol):
    """A block setting as written in a quilt's file; all lengths are finished lengths."""

    @property
    def blocks(self) -> GridLike: ...
    @property
    def block(self) -> Length: ...
    @property
    def arrangement(self) -> str | None: ...
    @property
    def sashing(self) -> Length: ...
    @property
    def cornerstones(self) -> bool: ...
    @property
    def outer_sashing(self) -> bool: ...
    @property
    def borders(self) -> tuple[Length, ...]: ...


class LatticePiece(NamedTuple):
    """A rectangle in the lattice, in parts of an inch; the first block's upper corner is at 0, 0."""

    kind: PieceKind
    across: int
    down: int
    width: int
    length: int


@dataclass(frozen=True)
class BlockLattice:
    """The lattice of a setting without its borders.

    All lengths are whole numbers, `parts` to the inch, so that they are exact and fast to compute with.
    """

    columns: int
    rows: int
    parts: int
    block: int
    sash: int
    on_point: bool
    cornerstones: bool
    outer: bool

    @classmethod
    def of(cls, setting: BlockSettingLike, *, block: Length | None = None) -> "BlockLattice":
        """The lattice of a setting; with `block`, as if its blocks had that size."""
        on_point = setting.arrangement == "on point"
        sash, outer = setting.sashing.inches, setting.outer_sashing and bool(setting.sashing)
        if on_point and not outer and min(setting.blocks.columns, setting.blocks.rows) == 1:
            sash = Fraction(0)  # no two of its blocks are side by side
        side = (block or setting.block).inches
        parts = lcm(side.denominator, sash.denominator)
        return _the_same(
            cls(
                columns=setting.blocks.columns,
                rows=setting.blocks.rows,
                parts=parts,
                block=int(side * parts),
                sash=int(sash * parts),
                on_point=on_point,
                cornerstones=setting.cornerstones,
                outer=outer,
            )
        )

    def inches(self, parts: int) -> Fraction:
        """A length of the lattice in inches."""
        return Fraction(parts, self.parts)

    @cached_property
    def step(self) -> int:
        """The distance from one block to the next along the lattice."""
        return self.block + self.sash

    @cached_property
    def reach(self) -> int:
        """The side of a block with any outer sashing on both sides."""
        return self.block + (2 * self.sash if self.outer else 0)

    @property
    def sides(self) -> tuple[Surd, Surd]:
        """The width and length inside the borders."""
        width, length = (
            Surd(self.inches((blocks - 1) * self.step + self.reach)) for blocks in (self.columns, self.rows)
        )
        return (width.times_root2(), length.times_root2()) if self.on_point else (width, length)

    @cached_property
    def blocks(self) -> tuple[Cell, ...]:
        """The cells of the blocks, row by row of the quilt."""
        return self._cells(self.columns, self.rows, shift=0)

    @cached_property
    def alternates(self) -> tuple[Cell, ...]:
        """On point, the cells of the alternate blocks, each between four others."""
        return self._cells(self.columns - 1, self.rows - 1, shift=1) if self.on_point else ()

    @cached_property
    def pieces(self) -> tuple[LatticePiece, ...]:
        """Every block, sash and cornerstone with its place, always in the same order."""
        return tuple(self._laid_out())

    def _laid_out(self) -> Iterable[LatticePiece]:
        kinds: tuple[tuple[PieceKind, tuple[Cell, ...]], ...] = (("block", self.blocks), ("alternate", self.alternates))
        for kind, cells in kinds:
            for i, j in cells:
                yield LatticePiece(kind, i * self.step, j * self.step, self.block, self.block)
        if not self.sash:
            return
        for i, j in self._upright_sashes:
            yield LatticePiece("sash", i * self.step - self.sash, j * self.step, self.sash, self.block)
        if self.cornerstones:
            for i, j in self._level_sashes:
                yield LatticePiece("sash", i * self.step, j * self.step - self.sash, self.block, self.sash)
            for i, j in self._posts:
                across, down = i * self.step - self.sash, j * self.step - self.sash
                yield LatticePiece("cornerstone", across, down, self.sash, self.sash)
        else:
            yield from self._long_sashes()

    def _long_sashes(self) -> Iterable[LatticePiece]:
        """Without cornerstones, one strip fills the space between two rows of the lattice."""
        for j, sashes in groupby(self._level_sashes, key=lambda cell: cell[1]):
            columns = [i for i, _ in sashes]
            overhang = self.sash if self.outer else 0
            start = columns[0] * self.step - overhang
            end = columns[-1] * self.step + self.block + overhang
            yield LatticePiece("sash", start, j * self.step - self.sash, end - start, self.sash)

    def _cells(self, columns: int, rows: int, *, shift: int) -> tuple[Cell, ...]:
        places = ((column, row) for row in range(rows) for column in range(columns))
        if not self.on_point:
            return tuple(places)
        return tuple((column + row + shift, row - column) for column, row in places)

    @cached_property
    def _filled(self) -> frozenset[Cell]:
        return frozenset(self.blocks) | frozenset(self.alternates)

    # A sash or cornerstone has the cell to its right, below it, or both. It needs a block on every side, or with outer
    # sashing on at least one.

    @cached_property
    def _upright_sashes(self) -> list[Cell]:
        return self._beside([(0, 0), (-1, 0)])

    @cached_property
    def _level_sashes(self) -> list[Cell]:
        return self._beside([(0, 0), (0, -1)])

    @cached_property
    def _posts(self) -> list[Cell]:
        return self._beside([(0, 0), (-1, 0), (0, -1), (-1, -1)])

    def _beside(self, neighbours: list[Cell]) -> list[Cell]:
        places = {(i - di, j - dj) for i, j in self._filled for di, dj in neighbours}
        enough = any if self.outer else all
        kept = [(i, j) for i, j in places if enough((i + di, j + dj) in self._filled for di, dj in neighbours)]
        return sorted(kept, key=lambda cell: (cell[1], cell[0]))


# Drawing, cutting and measuring use the same pieces: they are laid out once.
@lru_cache(maxsize=64)
def _the_same(lattice: BlockLattice) -> BlockLattice:
    """An equal lattice from the cache, or this one."""
    return lattice
