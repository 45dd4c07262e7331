"""Every scene by its name."""

from collections.abc import Callable
from random import Random

from PIL import Image

from . import scenes_chair, scenes_flat, scenes_hung, scenes_indoors, scenes_near
from .cloth import Quilt

Scene = Callable[[Quilt, tuple[int, int], Random], Image.Image]

SCENE_PAINTERS: dict[str, Scene] = {
    "front": scenes_flat.front,
    "back": scenes_flat.back,
    "floor": scenes_flat.floor,
    "lawn": scenes_flat.lawn,
    "piecing": scenes_flat.piecing,
    "line": scenes_hung.line,
    "rail": scenes_hung.rail,
    "fence": scenes_hung.fence,
    "chair": scenes_chair.chair,
    "detail": scenes_near.detail,
    "corner": scenes_near.corner,
    "label": scenes_near.label,
    "machine": scenes_near.machine,
    "bed": scenes_indoors.bed,
    "folded": scenes_indoors.folded,
}
LANDSCAPE_SCENES = {"detail", "corner", "label", "machine", "folded", "bed"}


def photo_size(scene: str, width: float, length: float, long_edge: int) -> tuple[int, int]:
    """Upright, lying or square, as one would hold the camera."""
    if scene in LANDSCAPE_SCENES:
        return long_edge, long_edge * 3 // 4
    tall = length / width
    if scene in ("rail", "fence"):
        tall *= 0.62
    if scene != "chair" and 1.09 < tall < 1.27:
        return round(long_edge * 0.82), long_edge
    if scene == "chair" or tall > 1.09:
        return long_edge * 3 // 4, long_edge
    if tall < 0.92:
        return long_edge, long_edge * 3 // 4
    return long_edge * 9 // 10, long_edge * 9 // 10
