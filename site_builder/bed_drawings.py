"""A quilt drawn to scale on a bed, seen from above."""

from collections.abc import Sequence
from dataclasses import dataclass

from collection.colour_palette import liveliest
from collection.lengths import Length, Size
from collection.size_tables import Mattress
from site_builder.patchwork import Rect, cloths

UNIT = 10
"""Drawing units to the inch: whole numbers are fine enough."""

TWO_PILLOWS_FROM = Length(54)
"""A bed as wide as a full or double, or wider, is drawn with two pillows. Common practice, no source."""

PILLOW_DEPTH = Length(14)
PILLOW_INSET = Length(2)
EDGE = Length(1)
"""Free space round the drawing, so that its outline is not cut."""

SIDE = 240
"""Of the drawing, in CSS pixels, where there is room."""


@dataclass(frozen=True, slots=True)
class BedDrawing:
    """Shapes to draw in this order: quilt, mattress (an outline), pillows. `side` is in CSS pixels.

    The drawing is a square on the quilt's longer side, so that all beds which a quilt covers come out
    at one scale and can be compared.
    """

    title: str
    view_box: str
    side: int
    quilt: Rect
    quilt_fill: str
    mattress: Rect
    pillows: tuple[Rect, ...]


def bed_drawing(
    size: Size, mattress: Mattress, *, turned: bool = False, colours: Sequence[str] = ()
) -> BedDrawing:
    """The quilt centred on the bed, its upper edge at the head of the mattress, both at the left.

    `turned` lays the quilt's length across the bed; `colours` are the quilt's own, as `#rrggbb`.
    """
    across, down = (size.length, size.width) if turned else (size.width, size.length)
    middle = max(across, mattress.width) / 2 + EDGE
    frame = _units(max(size.longer, mattress.width, mattress.length) + 2 * EDGE)
    return BedDrawing(
        title=f"The quilt on a bed for the mattress {mattress.name}, seen from above",
        view_box=f"0 0 {frame} {frame}",
        side=SIDE,
        quilt=_rect(middle - across / 2, EDGE, across, down),
        quilt_fill=cloths(liveliest(colours))[0],
        mattress=_rect(middle - mattress.width / 2, EDGE, mattress.width, mattress.length),
        pillows=_pillows(middle, mattress),
    )


def _pillows(middle: Length, mattress: Mattress) -> tuple[Rect, ...]:
    count = 2 if mattress.width >= TWO_PILLOWS_FROM else 1
    share = mattress.width / count
    left = middle - mattress.width / 2
    return tuple(
        _rect(left + share * n + PILLOW_INSET, EDGE + PILLOW_INSET, share - 2 * PILLOW_INSET, PILLOW_DEPTH)
        for n in range(count)
    )


def _rect(x: Length, y: Length, width: Length, height: Length) -> Rect:
    return Rect(_units(x), _units(y), _units(width), _units(height))


def _units(length: Length) -> int:
    return round(length.inches * UNIT)
