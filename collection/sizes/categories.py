"""Computes the name of a quilt's size, the beds it covers, and its area."""

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from math import lcm
from typing import NamedTuple

from collection.sizes.tables import MATTRESSES, Mattress, SizeBox
from collection.values.lengths import CM_PER_INCH, NO_LENGTH, Length, LengthRange, Size, Unit

PILLOW_TUCK = Length(10)
"""The part tucked under the pillows at the head. There is no standard: 10 to 15 in are published; this is the least.

Source: seen: sewnana.com (10), amishcountrylanes.com (not less than 10), quiltersresources.com (14), ciaspalette.com
(15); derived from the bedspreads of stitchingtimes.blogspot.com (11) and melgeecrafts.com (12).
"""

LEAST_DROP = Length(7)
"""The least drop at the sides and the foot: less leaves the side of the thinnest usual mattress bare.

Source: seen: quiltersresources.com, standard mattresses are 7 to 9 in deep.
"""


# Category -------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class SizeCategory:
    """The name of a quilt's size, and how far the quilt is from the usual size of that name.

    `shorter_off` and `longer_off` are 0 if the side is in its range, negative if it is too short, and positive if it is
    too long. `also` are the other sizes that contain the quilt.
    """

    box: SizeBox
    shorter_off: Length
    longer_off: Length
    also: tuple[SizeBox, ...]

    @property
    def inside(self) -> bool:
        return not self.off_by

    @property
    def off_by(self) -> Length:
        """How far the worse side is outside its range; 0 if neither is."""
        return max(abs(self.shorter_off), abs(self.longer_off))

    def say(self, unit: Unit = "in") -> str:
        """For people: `lap or throw, 2 in narrower than usual`."""
        sides = (self.shorter_off, "narrower", "wider"), (self.longer_off, "shorter", "longer")
        differences = [f"{off.amount(unit)} {less if off < NO_LENGTH else more}" for off, less, more in sides if off]
        if not differences:
            return self.box.name
        return f"{self.box.name}, {' and '.join(differences)} than usual"


class SizeTable:
    """The size categories with their bounds in whole numbers, for speed: a page of sizes makes a thousand look-ups."""

    def __init__(self, boxes: Iterable[SizeBox]):
        self.boxes = tuple(boxes)
        ranges = [(box.shorter, box.longer) for box in self.boxes]
        bounds = [bound.inches for pair in ranges for side in pair for bound in (side.least, side.most) if bound]
        self._parts = lcm(*(bound.denominator for bound in bounds))
        self._ranges = [(*self._whole(shorter), *self._whole(longer)) for shorter, longer in ranges]
        self._looseness = {wide: [_looseness(box, wide) for box in self.boxes] for wide in (True, False)}

    def _whole(self, side: LengthRange) -> tuple[int, int | None]:
        """The bounds of a side in parts of an inch; None if there is no upper bound."""
        most = int(side.most.inches * self._parts) if side.most is not None else None
        return int((side.least or NO_LENGTH).inches * self._parts), most

    def category(self, size: Size) -> SizeCategory | None:
        """The size of the table that a quilt belongs to; None only for an empty table.

        If several boxes contain the quilt, names of sizes come before names of uses (`by_use`); for a quilt that is
        wider than long, `never_wider` boxes come last, as a king turned round is as large as a queen; then the tightest
        box is first (by the product of its two ranges; a box without an upper bound is the loosest), then the order of
        the table decides. If none contains it, the nearest box is chosen: the one whose worse side is least outside,
        then the one with the smaller sum over both sides, then the first in the table.

        >>> from collection.sizes.tables import SIZE_BOXES
        >>> SizeTable(SIZE_BOXES).category(Size.parse("48 x 60 in")).say()
        'lap or throw, 2 in narrower than usual'
        """
        off = self._off_by(size.shorter.inches, size.longer.inches)
        if not off:
            return None
        containing = [number for number, sides in enumerate(off) if sides == (0, 0)]
        if containing:
            chosen = min(containing, key=self._looseness[size.width > size.length].__getitem__)
        else:
            chosen = min(range(len(off)), key=lambda number: (max(off[number]), sum(off[number])))
        box = self.boxes[chosen]
        also = tuple(self.boxes[number] for number in containing if number != chosen)
        return SizeCategory(box, box.shorter.distance(size.shorter), box.longer.distance(size.longer), also)

    def _off_by(self, shorter: Fraction, longer: Fraction) -> list[tuple[int, int]]:
        """How far each side is outside each box, in whole numbers of the same part of an inch."""
        parts = lcm(self._parts, shorter.denominator, longer.denominator)
        finer = parts // self._parts
        short, long = int(shorter * parts), int(longer * parts)
        return [
            (_outside(short, from_short * finer, to_short and to_short * finer),
             _outside(long, from_long * finer, to_long and to_long * finer))
            for from_short, to_short, from_long, to_long in self._ranges
        ]  # fmt: skip


def _outside(side: int, least: int, most: int | None) -> int:
    if side < least:
        return least - side
    return side - most if most is not None and side > most else 0


def _looseness(box: SizeBox, wide: bool) -> tuple[bool, bool, bool, Fraction]:
    """The sort key of a box that contains the quilt, best first; `wide` if the quilt is wider than long."""
    marks = box.by_use, box.never_wider and wide
    if box.shorter.most is None or box.longer.most is None:
        return *marks, True, Fraction(0)
    shorter, longer = (
        box.shorter.most - (box.shorter.least or NO_LENGTH),
        box.longer.most - (box.longer.least or NO_LENGTH),
    )
    return *marks, False, shorter.inches * longer.inches


# Beds -----------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Coverage:
    """How a quilt covers a bed: centred, with its upper edge at the head of the mattress.

    `foot_drop_with_tuck` is the drop at the foot if part of the quilt is under the pillows; None if it is too short for
    that. `turned`: length and width are swapped.
    """

    mattress: Mattress
    side_drop: Length
    foot_drop: Length
    foot_drop_with_tuck: Length | None
    turned: bool

    def say(self, unit: Unit = "in") -> str:
        """For people: `covers the twin (US), 12 in over each side and 12 in over the foot`."""
        sides, foot = self.side_drop.in_unit(unit), self.foot_drop.in_unit(unit)
        turned = " when turned" if self.turned else ""
        return f"covers the {self.mattress.name}{turned}, {sides} over each side and {foot} over the foot"


def covers(size: Size, mattress: Mattress, *, tuck: Length = PILLOW_TUCK) -> Coverage | None:
    """How the quilt covers the top of the mattress: as recorded, or turned if only that works.

    None if part of the mattress stays bare either way.
    """
    return _covers_with(_orientations(size, NO_LENGTH), mattress, tuck)


def beds_covered(
    size: Size,
    mattresses: Iterable[Mattress] = MATTRESSES,
    *,
    least_drop: Length = LEAST_DROP,
    tuck: Length = PILLOW_TUCK,
) -> tuple[Coverage, ...]:
    """The beds that the quilt covers with at least `least_drop` at both sides and the foot, largest first.

    Beds for infants are never included: a quilt is not bedding for a baby.
    """
    ways = _orientations(size, least_drop)
    found = [_covers_with(ways, mattress, tuck) for mattress in mattresses if not mattress.for_infants]
    covered = [coverage for coverage in found if coverage is not None]
    return tuple(sorted(covered, key=lambda coverage: coverage.mattress.size.area, reverse=True))


class _Orientation(NamedTuple):
    """A quilt as recorded, or turned, and the widest and longest mattress that it covers with the least drop."""

    width: Length
    length: Length
    turned: bool
    widest: Length
    longest: Length


def _orientations(size: Size, least_drop: Length) -> tuple[_Orientation, _Orientation]:
    drop = max(least_drop, NO_LENGTH)
    width, length = size.width, size.length
    return (
        _Orientation(width, length, False, width - 2 * drop, length - drop),
        _Orientation(length, width, True, length - 2 * drop, width - drop),
    )


def _covers_with(ways: Iterable[_Orientation], mattress: Mattress, tuck: Length) -> Coverage | None:
    for way in ways:
        if mattress.width <= way.widest and mattress.length <= way.longest:
            side_drop, foot_drop = (way.width - mattress.width) / 2, way.length - mattress.length
            with_tuck = foot_drop - tuck if foot_drop >= tuck else None
            return Coverage(mattress, side_drop, foot_drop, with_tuck, way.turned)
    return None


# Area -----------------------------------------------------------------------------------------


_SQUARE_YARD = 36**2  # in square inches
_SQUARE_INCH = (CM_PER_INCH / 100) ** 2  # in square metres


def area_in_square_yards(size: Size) -> Fraction:
    return size.area / _SQUARE_YARD


def area_in_square_metres(size: Size) -> Fraction:
    return size.area * _SQUARE_INCH
