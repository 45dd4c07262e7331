"""A diagram of how a quilt's blocks are set, in the quilt's own colours."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from collection.colours.palette import liveliest
from collection.construction.lattice import BlockSettingLike
from collection.construction.layout import layout
from site_builder.drawings.patchwork import Patch, cloths

UNIT = 10
"""Drawing units to the inch."""

LONGER_SIDE = 340
"""Of the drawing, in CSS pixels."""

CLOTH_OF = {
    "block": 0,
    "alternate": 1,
    "sash": 1,
    "cornerstone": 2,
    "side triangle": 1,
    "corner triangle": 1,
    "border": 2,
}
"""Which of the quilt's three cloths a piece is drawn in: a diagram, not a portrait."""


@dataclass(frozen=True, slots=True)
class SettingDrawing:
    """Pieces to draw, each with a seam round it. Width and height are CSS pixels."""

    title: str
    view_box: str
    width: int
    height: int
    pieces: tuple[Patch, ...]


def setting_drawing(setting: BlockSettingLike, *, colours: Sequence[str] = ()) -> SettingDrawing:
    """Every block, sash, cornerstone, setting triangle and border in its place, to scale.

    `colours` are the quilt's own as `#rrggbb`, the largest share first.
    """
    dyed = cloths(liveliest(colours))
    drawn = layout(setting)
    pieces = tuple(
        Patch(" ".join([f"{_units(x)},{_units(y)}" for x, y in piece.corners]), dyed[CLOTH_OF[piece.kind]])
        for piece in drawn
    )
    across, down = zip(*[corner for piece in drawn for corner in piece.corners], strict=True)
    width, height = max(across), max(down)
    scale = LONGER_SIDE / max(width, height)
    return SettingDrawing(
        title=f"Diagram of the setting: {setting.blocks.columns} blocks across, {setting.blocks.rows} down",
        view_box=f"0 0 {round(width * UNIT)} {round(height * UNIT)}",
        width=round(width * scale),
        height=round(height * scale),
        pieces=pieces,
    )


# Blocks lie in rows and columns, and are of much the same sizes in many quilts.
@lru_cache(maxsize=4096)
def _units(inches: float) -> str:
    return str(round(inches * UNIT))
