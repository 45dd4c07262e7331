"""A quilt drawn to scale on a bed, seen from above."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import lcm
from typing import Self

from collection.colours.palette import liveliest
from collection.sizes.tables import Mattress
from collection.values.lengths import Length, Size
from site_builder.drawings.patchwork import Rect, cloths

UNIT = 10
"""Drawing units per inch, fine enough as whole numbers."""

TWO_PILLOWS_FROM = Length(Fraction(54))
"""A bed as wide as a full or double, or wider, is drawn with two pillows. Common practice, no source."""

PILLOW_DEPTH = Length(Fraction(14))
PILLOW_INSET = Length(Fraction(2))
EDGE = Length(Fraction(1))
"""Free space around the drawing, so that its outline is not cut off."""

SIDE = 240
"""The side of the drawing in CSS pixels, where there is room."""


@dataclass(frozen=True, slots=True)
class BedDrawing:
    """Shapes to draw in this order: quilt, mattress (an outline), pillows. `side` is in CSS pixels.

    The drawing is a square on the quilt's longer side, so that all beds that a quilt covers have one scale.
    """

    title: str
    view_box: str
    side: int
    quilt: Rect
    quilt_fill: str
    mattress: Rect
    pillows: tuple[Rect, ...]


def bed_drawing(size: Size, mattress: Mattress, *, turned: bool = False, colours: Sequence[str] = ()) -> BedDrawing:
    """The quilt centred on the bed, its upper edge at the head of the mattress, both at the left.

    `turned` lays the quilt's length across the bed; `colours` are the quilt's own, as `#rrggbb`.
    """
    scale = _Scale.of(size.width, size.length, mattress.width, mattress.length)
    across, down, edge = scale.whole(size.width), scale.whole(size.length), scale.whole(EDGE)
    if turned:
        across, down = down, across
    bed_width, bed_length = scale.whole(mattress.width), scale.whole(mattress.length)
    middle = max(across, bed_width) // 2 + edge
    frame = scale.units(max(across, down, bed_width, bed_length) + 2 * edge)
    return BedDrawing(
        title=f"The quilt on a bed for the mattress {mattress.name}, seen from above",
        view_box=f"0 0 {frame} {frame}",
        side=SIDE,
        quilt=scale.rect(middle - across // 2, edge, across, down),
        quilt_fill=cloths(liveliest(colours))[0],
        mattress=scale.rect(middle - bed_width // 2, edge, bed_width, bed_length),
        pillows=_pillows(scale, middle, bed_width, count=2 if mattress.width >= TWO_PILLOWS_FROM else 1),
    )


def _pillows(scale: "_Scale", middle: int, bed_width: int, *, count: int) -> tuple[Rect, ...]:
    inset, depth, edge = scale.whole(PILLOW_INSET), scale.whole(PILLOW_DEPTH), scale.whole(EDGE)
    share = bed_width // count
    left = middle - bed_width // 2
    return tuple(scale.rect(left + share * n + inset, edge + inset, share - 2 * inset, depth) for n in range(count))


@dataclass(frozen=True, slots=True)
class _Scale:
    """Lengths as whole numbers of `parts` per inch. The sides come out even, so they can be halved."""

    parts: int

    @classmethod
    def of(cls, *sides: Length) -> Self:
        return cls(2 * lcm(*(side.inches.denominator for side in sides)))

    def whole(self, length: Length) -> int:
        inches = length.inches
        return inches.numerator * (self.parts // inches.denominator)

    def units(self, parts: int) -> int:
        """The nearest drawing unit, halves to even."""
        units, beyond = divmod(parts * UNIT, self.parts)
        return units + (2 * beyond + units % 2 > self.parts)

    def rect(self, x: int, y: int, width: int, height: int) -> Rect:
        return Rect(self.units(x), self.units(y), self.units(width), self.units(height))
