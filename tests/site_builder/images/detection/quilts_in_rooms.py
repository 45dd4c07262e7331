"""Photos of quilts with known corners: hung or laid on grounds of several kinds, and seen a little from the side.

All drawn here, from a seed, so that the same seed gives the same photo.
"""

import math
import random
from dataclasses import dataclass

from PIL import Image, ImageChops, ImageDraw, ImageFilter

from site_builder.images.detection.perspective import Corners, Perspective

RELIEF = 0.96
GROUNDS = ("plain", "uneven light", "wood", "grass", "stripes", "carpet", "wall and floor")


@dataclass(frozen=True)
class QuiltPhoto:
    """A photo, where the quilt's corners are in it, and the quilt's true width by its length."""

    picture: Image.Image
    corners: Corners
    proportion: float


def quilt_photo(
    seed,
    ground="plain",
    *,
    turn=None,
    keystone=None,
    contrast=None,
    shadow=0.0,
    rod=False,
    fill=None,
    long=400,
    shift=(0, 0),
    cloth=None,
):
    """A quilt before a ground, in a picture whose longer edge has `long` pixels.

    `turn` in degrees, `keystone` the part by which one side is shorter than the opposite one, `contrast` how
    many levels the border is from the wall (a random cloth if left out), `shadow` how dark it falls to the
    right below, `fill` the part of the picture's height or width that the quilt takes, `shift` of the quilt in pixels.
    """
    chance = random.Random(f"{seed} {ground}")
    turn = chance.uniform(-5, 5) if turn is None else turn
    keystone = chance.uniform(-0.18, 0.18) if keystone is None else keystone
    fill = chance.uniform(0.6, 0.84) if fill is None else fill
    width = long * chance.choice([0.75, 0.8, 1])
    size = (round(width), long)
    coloured = chance.random() < 0.3
    wall = tuple(chance.randrange(120, 232) for _ in range(3)) if coloured else (chance.randrange(150, 236),) * 3
    cloth = cloth or patched(chance, wall, contrast)
    corners = _corners(size, cloth, math.radians(turn), keystone, fill, chance.random() < 0.5, shift)
    picture = GROUND_PAINTERS[ground](size, wall, chance)
    mask, draped = _laid(cloth, corners, size)
    if rod:
        _rod(picture, corners, chance)
    if shadow:
        at = (round(long / 130), round(long / 90))
        dark = mask.filter(ImageFilter.GaussianBlur(long / 110)).point([round(level * shadow) for level in range(256)])
        picture.paste((0, 0, 0), None, ImageChops.offset(dark, *at))
    picture.paste(draped, None, mask)
    return QuiltPhoto(_seen_by_camera(picture, chance), corners, cloth.width / cloth.height)


def patched(chance, wall, contrast=None):
    """A quilt of patches, often with a border and a binding."""
    across, down = chance.randrange(4, 9), chance.randrange(5, 10)
    side = 560 // max(across, down)
    cloths = [tuple(chance.randrange(20, 245) for _ in range(3)) for _ in range(chance.randrange(2, 6))]
    quilt = Image.new("RGB", (across * side, down * side), cloths[0])
    draw = ImageDraw.Draw(quilt)
    for x in range(across):
        for y in range(down):
            left, top, right, bottom = x * side, y * side, (x + 1) * side - 1, (y + 1) * side - 1
            draw.rectangle((left, top, right, bottom), fill=chance.choice(cloths))
            if chance.random() < 0.5:
                draw.polygon(((left, top), (right, top), (left, bottom)), fill=chance.choice(cloths))
    if contrast is not None:
        # The relief of stitches and weave takes a little light away.
        near = tuple(min(255, round((level + chance.choice([-1, 1]) * contrast) / RELIEF)) for level in wall)
        quilt = _framed(_framed(quilt, near, chance.randrange(20, 70)), near, 5)
    else:
        if chance.random() < 0.7:
            quilt = _framed(quilt, chance.choice(cloths), chance.randrange(10, 70))
        quilt = _framed(quilt, chance.choice(cloths), chance.randrange(3, 7))
    return _quilted(quilt, chance)


def _framed(quilt, colour, width):
    framed = Image.new("RGB", (quilt.width + 2 * width, quilt.height + 2 * width), colour)
    framed.paste(quilt, (width, width))
    return framed


def _quilted(quilt, chance):
    """Lines of stitches and a weave."""
    lines = Image.new("L", quilt.size, 128)
    draw = ImageDraw.Draw(lines)
    for at in range(-quilt.height, quilt.width, 22):
        draw.line((at, 0, at + quilt.height, quilt.height), fill=108, width=2)
    half = (quilt.width // 2, quilt.height // 2)
    weave = Image.frombytes("L", half, chance.randbytes(half[0] * half[1]))
    weave = weave.point(lambda level: 116 + level // 10).resize(quilt.size, Image.Resampling.BICUBIC)
    relief = ImageChops.multiply(
        *(part.point(lambda level: min(255, level * 2)) for part in (lines.filter(ImageFilter.GaussianBlur(1)), weave))
    )
    return ImageChops.multiply(quilt, Image.merge("RGB", (relief,) * 3))


def _corners(size, cloth, turn, keystone, fill, upright, shift):
    scale = fill * min(size[0] / cloth.width, size[1] / cloth.height)
    half_width, half_height = cloth.width * scale / 2, cloth.height * scale / 2
    places = []
    for x, y in ((-1, -1), (1, -1), (1, 1), (-1, 1)):
        nearer = 1 + keystone / 2 * (y if upright else x)
        px, py = x * half_width * nearer, y * half_height * nearer
        places.append(
            (
                size[0] / 2 + shift[0] + px * math.cos(turn) - py * math.sin(turn),
                size[1] / 2 + shift[1] + px * math.sin(turn) + py * math.cos(turn),
            )
        )
    return Corners(*places)


def _laid(cloth, corners, size):
    """Where the quilt is, with smooth edges, and the quilt as seen there and a little beyond."""
    spare = 4
    wider = cloth.resize((cloth.width + 2 * spare, cloth.height + 2 * spare))
    wider.paste(cloth, (spare, spare))
    a, b, c, d, e, f, g, h = _from_picture(Perspective.of(corners), cloth.size)
    shifted = (a + spare * g, b + spare * h, c + spare, d + spare * g, e + spare * h, f + spare, g, h)
    draped = wider.transform(size, Image.Transform.PERSPECTIVE, shifted, Image.Resampling.BICUBIC)
    outline = Image.new("L", (size[0] * 4, size[1] * 4), 0)
    ImageDraw.Draw(outline).polygon([(4 * x, 4 * y) for x, y in corners], fill=255)
    return outline.reduce(4), draped


def _from_picture(view, size):
    """From the picture to the cloth, as Pillow takes it: by the adjugate of the view's matrix."""
    width, height = size
    a, b, c, d, e, f, g, h = view.a, view.b, view.c, view.d, view.e, view.f, view.g, view.h
    across, down = (e - f * h, c * h - b, b * f - c * e), (f * g - d, a - c * g, c * d - a * f)
    depth = (d * h - e * g, b * g - a * h, a * e - b * d)
    return (
        *(value * width / depth[2] for value in across),
        *(value * height / depth[2] for value in down),
        depth[0] / depth[2],
        depth[1] / depth[2],
    )


def _rod(picture, corners, chance):
    (x0, y0), (x1, y1) = corners.top_left, corners.top_right
    along = (x1 - x0) * 0.06, (y1 - y0) * 0.06
    down = picture.height / 90
    colour = chance.choice([(90, 62, 40), (40, 40, 40), (180, 140, 95)])
    ImageDraw.Draw(picture).line(
        (x0 - along[0], y0 - along[1] + down, x1 + along[0], y1 + along[1] + down),
        fill=colour,
        width=round(picture.height / 70),
    )


# --- grounds


def _plain(size, wall, chance):
    return Image.new("RGB", size, wall)


def _uneven_light(size, wall, chance):
    light = Image.frombytes("L", (2, 2), bytes(chance.randrange(180, 256) for _ in range(4)))
    light = light.resize(size, Image.Resampling.BICUBIC)
    return ImageChops.multiply(Image.new("RGB", size, wall), Image.merge("RGB", (light,) * 3))


def _wood(size, wall, chance):
    picture = Image.new("RGB", size)
    colour = chance.choice([(150, 105, 66), (190, 150, 104), (110, 74, 48), (168, 140, 112)])
    x, draw = 0, ImageDraw.Draw(picture)
    while x < size[0]:
        wide = size[0] // 11
        tone = chance.uniform(0.85, 1.1)
        draw.rectangle((x, 0, x + wide, size[1]), fill=tuple(round(level * tone) for level in colour))
        for _ in range(wide // 2):
            at, darker = x + chance.randrange(wide), chance.uniform(0.85, 1.08) * tone
            draw.line(
                (at, 0, at + chance.randrange(-4, 5), size[1]), fill=tuple(round(level * darker) for level in colour)
            )
        draw.line((x, 0, x, size[1]), fill=tuple(round(level * 0.55) for level in colour), width=2)
        x += wide
    return picture if chance.random() < 0.5 else picture.transpose(Image.Transpose.ROTATE_90).resize(size)


def _grass(size, wall, chance):
    small = (size[0] // 3, size[1] // 3)
    blades = Image.frombytes("L", small, chance.randbytes(small[0] * small[1])).filter(ImageFilter.GaussianBlur(0.8))
    blades = blades.resize(size, Image.Resampling.BICUBIC)
    greens = (88, 122, 52)
    return Image.merge(
        "RGB", [blades.point([min(255, round(level * (0.3 + v / 256))) for v in range(256)]) for level in greens]
    )


def _stripes(size, wall, chance):
    picture, wide = Image.new("RGB", size, wall), chance.randrange(14, 40)
    draw, other = ImageDraw.Draw(picture), tuple(max(0, level - chance.randrange(8, 30)) for level in wall)
    for x in range(0, size[0], 2 * wide):
        draw.rectangle((x, 0, x + wide, size[1]), fill=other)
    return picture


def _carpet(size, wall, chance):
    picture = Image.new("RGB", size, wall)
    draw = ImageDraw.Draw(picture)
    colours = [tuple(chance.randrange(60, 200) for _ in range(3)) for _ in range(3)]
    for y in range(0, size[1], 40):
        for x in range(0, size[0], 40):
            draw.ellipse((x + 6, y + 6, x + 34, y + 34), fill=chance.choice(colours))
    return picture


def _wall_and_floor(size, wall, chance):
    picture = Image.new("RGB", size, wall)
    line = round(size[1] * chance.uniform(0.9, 0.96))
    picture.paste(_wood(size, wall, chance).crop((0, 0, size[0], size[1] - line)), (0, line))
    ImageDraw.Draw(picture).rectangle((0, line - 14, size[0], line), fill=(240, 240, 238))
    return picture


GROUND_PAINTERS = {
    "plain": _plain,
    "uneven light": _uneven_light,
    "wood": _wood,
    "grass": _grass,
    "stripes": _stripes,
    "carpet": _carpet,
    "wall and floor": _wall_and_floor,
}


def _seen_by_camera(picture, chance):
    """A little soft, grainy and darker in the corners."""
    light = Image.radial_gradient("L").point([255 - level * level // 2400 for level in range(256)]).resize(picture.size)
    picture = ImageChops.multiply(picture.filter(ImageFilter.GaussianBlur(0.6)), Image.merge("RGB", (light,) * 3))
    half = (picture.width // 2, picture.height // 2)
    grain = Image.frombytes("L", half, chance.randbytes(half[0] * half[1])).resize(
        picture.size, Image.Resampling.BICUBIC
    )
    return ImageChops.add(picture, Image.merge("RGB", (grain.point(lambda level: level // 40),) * 3), 1, -3)
