"""The third dimension of a quilt: puffs, dips and wrinkles, as light and shade."""

from dataclasses import dataclass

from PIL import Image, ImageChops, ImageFilter

from .chance import Field
from .quilting import Box, Ground

NEAR = 40  # pixels to the inch from which single threads show
STITCH_WIDTH = 0.018  # inches
EXPOSURE = 232  # cloth in full light; leaves room for the lit side of a puff
CRINKLED = {"new": 0.8, "washed": 1.5, "faded": 1.4}
LEVEL = 150  # the height of cloth that nothing pulls down or lifts


@dataclass(frozen=True)
class Surface:
    """What shapes a piece of quilt, as pictures of one size that show the same window (inches)."""

    lines: Image.Image  # stitches
    seams: Image.Image
    raised: Image.Image  # what is sewn on top
    window: Box
    scale: float  # pixels to the inch


def shaded(picture: Image.Image, surface: Surface, ground: Ground, *, quilting: str, age: str) -> Image.Image:
    """The picture in light from the upper left over the quilt's relief."""
    heights, dips = _relief(surface, ground, quilting, CRINKLED[age])
    # A slope shows the same at every scale: heights are differenced over a fixed part of an inch.
    reach = max(1, round(0.05 * surface.scale))
    slope = ImageChops.subtract(
        ImageChops.offset(heights, -reach, -reach),
        ImageChops.offset(heights, reach, reach),
        offset=128,
    )
    strength = 1.15 if surface.scale >= NEAR else 0.85
    away, towards = 1.25 * strength, 0.85 * strength
    light = slope.point(
        [min(255, max(70, round(EXPOSURE - (v - 128) * (away if v > 128 else towards)))) for v in range(256)]
    )
    light = ImageChops.multiply(light, _scaled(dips, -0.30, 255))
    return ImageChops.multiply(picture, Image.merge("RGB", (light, light, light)))


def _relief(surface: Surface, ground: Ground, quilting: str, crinkled: float) -> tuple[Image.Image, Image.Image]:
    """Heights, and how deep in a dip each place lies.

    Stitches pull the cloth down in a narrow dip within a wide one; the cloth gathered by them lies
    in small wrinkles, most of all beside the stitches.
    """
    size, scale = surface.lines.size, surface.scale

    def landscape(cell: float) -> Image.Image:
        field = Field(cell, (ground.width, ground.length), ground.quilt, "cloth")
        return field.seen(surface.window, size)

    seam_dip = _blurred(surface.seams, 0.045, scale)
    heights = ImageChops.subtract(Image.new("L", size, LEVEL), _scaled(seam_dip, 0.13))
    heights = ImageChops.add(heights, _scaled(_blurred(surface.raised, 0.05, scale), 0.10))
    if quilting == "none":
        return ImageChops.add(heights, _scaled(landscape(2.4), 0.22)), seam_dip
    near, wide = _pulled_down(surface.lines, scale, quilting)
    uneven = _scaled(landscape(0.55), 0.41, 150)
    heights = ImageChops.subtract(heights, _scaled(ImageChops.multiply(near, uneven), 0.20))
    heights = ImageChops.subtract(heights, _scaled(ImageChops.multiply(wide, uneven), 0.40))
    beside = _scaled(ImageChops.lighter(wide, _blurred(surface.seams, 0.15, scale)), 1.3, 70)
    wrinkles = ImageChops.multiply(Image.blend(landscape(0.17), landscape(0.31), 0.5), beside)
    heights = ImageChops.add(heights, _scaled(wrinkles, 0.20 * crinkled))
    heights = ImageChops.add(heights, _scaled(landscape(0.85), 0.14 * crinkled))
    return heights, Image.blend(seam_dip, near, 0.4)


def _pulled_down(lines: Image.Image, scale: float, quilting: str) -> tuple[Image.Image, Image.Image]:
    """The narrow and the wide dip along the stitches, 0 to about 160 and 120 deep.

    Thin lines blur away to little, so the blurred picture is multiplied by what the blur has spread.
    """
    narrow_width, wide_width = 0.05, 0.26
    ink = 255 * max(STITCH_WIDTH, 1 / scale)
    narrow = _scaled(_blurred(lines, narrow_width, scale), 160 * narrow_width * 2.6 / ink)
    if quilting == "tied":
        return narrow, _scaled(_blurred(lines, 0.8, scale), 14)
    return narrow, _scaled(_blurred(lines, wide_width, scale), 120 * wide_width * 2.2 / ink)


def _blurred(image: Image.Image, inches: float, scale: float) -> Image.Image:
    return image.filter(ImageFilter.GaussianBlur(max(0.5, inches * scale)))


def _scaled(image: Image.Image, factor: float, base: float = 0) -> Image.Image:
    """Every grey times the factor, plus the base."""
    return image.point([min(255, max(0, round(base + v * factor))) for v in range(256)])
