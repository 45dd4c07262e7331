"""Cuts the quilt out of a photo and flattens it, as if it hung straight in front of the camera."""

from collections.abc import Sequence

from PIL import Image

from site_builder.images.detection.outline import find_outline
from site_builder.images.detection.perspective import Perspective

LONGEST = 480  # pixels
LEAST = (300, 120)  # pixels, of the longer and the shorter edge, to find the corners closely enough
SHARP_ENOUGH = 800  # pixels, of the longer edge of the picture to draw from


def flat_quilt(sizes: Sequence[Image.Image]) -> Image.Image | None:
    """The quilt in a photo, its longer side at most 480 pixels; None unless the photo surely shows all of it.

    `sizes` are the photo as an upright sRGB picture, smallest first; the quilt is found in the first, of about 400
    pixels. The proportion is the quilt's own, within a few per cent.
    """
    small = _softer(sizes)
    if max(small.size) < LEAST[0] or min(small.size) < LEAST[1]:
        return None
    outline = find_outline(small)
    if outline is None:
        return None
    source = next((size for size in sizes if max(size.size) >= SHARP_ENOUGH), sizes[-1])
    corners = outline.corners.scaled(max(source.size) / max(small.size))
    longer = min(LONGEST, round(max(corners.sides)))
    width, length = round(longer * min(1, outline.proportion)), round(longer / max(1, outline.proportion))
    return source.transform(
        (width, length),
        Image.Transform.PERSPECTIVE,
        Perspective.of(corners).to_flatten(width, length),
        Image.Resampling.BILINEAR,
    )


def _softer(sizes: Sequence[Image.Image]) -> Image.Image:
    """The smallest size without the bright and dark lines that a sharp filter leaves along edges.

    With such lines some quilts would be missed, as edges are found by their difference from what is around them.
    """
    if len(sizes) == 1:
        return sizes[0]
    return sizes[1].resize(sizes[0].size, Image.Resampling.BICUBIC)
