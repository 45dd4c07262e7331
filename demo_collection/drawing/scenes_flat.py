"""The quilt seen whole and spread out: on a wall, from behind, on floor, lawn or design wall."""

from dataclasses import replace
from math import pi, sin
from random import Random

from PIL import Image, ImageDraw, ImageFilter

from .cloth import Quilt, outline_mask, paint_back, paint_top
from .drape import Box, Camera, Light, Surface, cast_shadow, drape, edge_of, fitted, pixels_per_inch
from .surroundings import WOODS, bar, boards, grass, lit, soft_noise, wall, wall_colour_for

TEXTURE_SHARPNESS = 1.12  # pixels of texture for a pixel of photo


def rippled(quilt: Quilt, random: Random, *, folds: float, edge: float) -> Surface:
    """Hanging cloth: `folds` inches deep, deepest at the bottom; edges that wander by `edge` inches."""
    width, length = quilt.layout.width, quilt.layout.length
    waves = [
        (random.uniform(9, 15), random.uniform(0, 6), 1.0),
        (random.uniform(20, 34), random.uniform(0, 6), 1.4),
    ]
    side = [random.uniform(0, 6) for _ in range(4)]

    def surface(u: float, v: float):
        hang = max(0.0, v / length) ** 0.8
        depth = sum(weight * sin(2 * pi * u / wave + phase + 0.015 * v) for wave, phase, weight in waves) / 2.4
        x = (
            u
            + edge * sin(v / 17 + side[0]) * (u / width - 0.5) * 2
            + edge * 0.5 * sin(v / 7 + side[1]) * (u / width - 0.5)
        )
        y = v + edge * (sin(u / 14 + side[2]) * (v / length) + 0.35 * sin(u / 6 + side[3]) * (v / length - 0.3))
        return (x, y, -folds * (0.25 + hang) * depth)

    return surface


def _edge_colours(quilt: Quilt):
    outer = quilt.layout.pieces[-1].fabric.colour
    borders = (
        [quilt.shelf.one("borders", 9).colour]
        if quilt.layout.border_edges
        else [quilt.shelf.one("ground").colour, quilt.shelf.one("main").colour]
    )
    return [outer, *borders]


def _photograph(
    photo: Image.Image,
    quilt: Quilt,
    surface: Surface,
    camera: Camera,
    light: Light | None,
    *,
    paint=paint_top,
    shadow: tuple[float, float, float, float],
) -> None:
    """Shadow, then quilt. `shadow`: shift to the right and down, blur (inches), depth."""
    whole = quilt.whole
    scale = pixels_per_inch(camera, surface, whole) * TEXTURE_SHARPNESS
    margin = 0.4
    window = (-margin, -margin, whole[2] + margin, whole[3] + margin)
    outline = [camera.seen(place)[:2] for place in edge_of(surface, whole)]
    dx, dy, blur, depth = shadow
    per_inch = scale / TEXTURE_SHARPNESS
    cast_shadow(photo, outline, shift=(dx * per_inch, dy * per_inch), blur=blur * per_inch, depth=depth)
    cast_shadow(
        photo,
        outline,
        shift=(dx * per_inch * 0.25, dy * per_inch * 0.25),
        blur=max(1.5, 0.25 * per_inch),
        depth=depth * 0.7,
    )
    drape(
        photo,
        paint(quilt, window, scale),
        surface,
        window,
        camera,
        mask=outline_mask(quilt, window, scale),
        light=light,
    )


def _frame(size: tuple[int, int], margin: float) -> Box:
    m = margin * min(size)
    return (m, m, size[0] - m, size[1] - m)


def front(quilt: Quilt, size: tuple[int, int], random: Random, *, paint=paint_top) -> Image.Image:
    """On a wall, the camera a little to one side."""
    width, length = quilt.layout.width, quilt.layout.length
    big = max(width, length)
    colour = quilt.recipe.wall or wall_colour_for(_edge_colours(quilt), random)
    photo = wall(size, colour, random)
    surface = rippled(quilt, random, folds=random.uniform(0.18, 0.42), edge=random.uniform(0.12, 0.3))
    stands = (
        width / 2 + big * random.uniform(-0.16, 0.16),
        length / 2 + big * random.uniform(-0.06, 0.14),
        -big * random.uniform(1.7, 2.3),
    )
    camera = Camera(stands, (width / 2, length / 2, 0), roll=random.uniform(-0.006, 0.006))
    camera = fitted(camera, edge_of(surface, quilt.whole), _frame(size, random.uniform(0.055, 0.095)))
    _hanging_rod(photo, quilt, camera, random)
    _photograph(
        photo,
        quilt,
        surface,
        camera,
        Light(everywhere=0.5),
        paint=paint,
        shadow=(0.5, 0.9, 1.3, 0.34),
    )
    return photo


def _hanging_rod(photo: Image.Image, quilt: Quilt, camera: Camera, random: Random) -> None:
    """Ends of a wooden rod that peep out at both sides, on some walls."""
    if not quilt.recipe.finished or random.random() < 0.45:
        return
    width = quilt.layout.width
    over, thick, y = 1.6, 1.0, 0.7
    texture = bar((600, 24), random.choice(WOODS), random)
    window = (-over, y, width + over, y + thick)

    def rod(u: float, v: float):
        return (u, v, 0.2)

    outline = [camera.seen(place)[:2] for place in edge_of(rod, window)]
    cast_shadow(photo, outline, shift=(4, 7), blur=7, depth=0.35)
    drape(photo, texture, rod, window, camera)


def back(quilt: Quilt, size: tuple[int, int], random: Random) -> Image.Image:
    return front(quilt, size, random, paint=paint_back)


def _from_above(
    quilt: Quilt, size: tuple[int, int], random: Random, ground: Image.Image, ground_scale: float
) -> Image.Image:
    width, length = quilt.layout.width, quilt.layout.length
    big = max(width, length)
    photo = Image.new("RGB", size, (120, 120, 110))
    surface = rippled(quilt, random, folds=0.12, edge=random.uniform(0.2, 0.45))
    stands = (
        width / 2 + big * random.uniform(-0.2, 0.2),
        length / 2 + big * random.uniform(0.35, 0.65),
        -big * random.uniform(1.4, 1.8),
    )
    camera = Camera(stands, (width / 2, length / 2, 0), roll=random.uniform(-0.03, 0.03))
    camera = fitted(camera, edge_of(surface, quilt.whole), _frame(size, random.uniform(0.05, 0.08)))
    x0, y0 = (
        width / 2 - ground.width / ground_scale / 2,
        length / 2 - ground.height / ground_scale / 2,
    )
    window = (x0, y0, x0 + ground.width / ground_scale, y0 + ground.height / ground_scale)
    drape(photo, ground, lambda u, v: (u, v, 0.25), window, camera, fineness=10)
    _photograph(
        photo,
        quilt,
        surface,
        camera,
        Light(towards=(-0.6, -0.5, -0.8), everywhere=0.55),
        shadow=(0.35, 0.35, 0.5, 0.42),
    )
    return photo


def floor(quilt: Quilt, size: tuple[int, int], random: Random) -> Image.Image:
    """On floor boards, seen from above."""
    big = max(quilt.layout.width, quilt.layout.length)
    scale = max(size) / big * 0.85
    side = round(big * 2.4 * scale)
    planks = boards((side, side), 5.2 * scale, random.choice(WOODS), random)
    if random.random() < 0.5:
        planks = planks.transpose(Image.Transpose.ROTATE_90)
    return _from_above(quilt, size, random, planks, scale)


def lawn(quilt: Quilt, size: tuple[int, int], random: Random) -> Image.Image:
    big = max(quilt.layout.width, quilt.layout.length)
    scale = max(size) / big * 0.85
    side = round(big * 2.4 * scale)
    return _from_above(quilt, size, random, grass((side, side), 1.9 * scale, random), scale)


def piecing(quilt: Quilt, size: tuple[int, int], random: Random) -> Image.Image:
    """Blocks on a flannel design wall, some still missing; a top without blocks is pinned up whole."""
    width, length = quilt.layout.width, quilt.layout.length
    blocks = quilt.layout.blocks
    photo = wall(size, (228, 226, 220), random)
    if not blocks:
        return front(quilt, size, random)
    spread = 1.13
    span_w, span_h = width * spread, length * spread
    window = (-2, -2, span_w + 2, span_h + 2)
    scale = min(size[0] / (window[2] - window[0]), size[1] / (window[3] - window[1])) * 1.02
    texture_size = (round((window[2] - window[0]) * scale), round((window[3] - window[1]) * scale))
    sheet = wall(texture_size, (226, 224, 217), random)
    sheet = lit(sheet, soft_noise(texture_size, 5, "flannel", random), 0.955, 1)
    draw = ImageDraw.Draw(sheet)
    for k in range(0, round(window[2] - window[0]), 4):
        draw.line((k * scale, 0, k * scale, texture_size[1]), fill=(210, 208, 204))
    for k in range(0, round(window[3] - window[1]), 4):
        draw.line((0, k * scale, texture_size[0], k * scale), fill=(210, 208, 204))
    missing = set(random.sample(range(len(blocks)), max(1, len(blocks) // 7))) if len(blocks) > 3 else set()
    for number, block in enumerate(blocks):
        if number in missing:
            continue
        turn, dx, dy = (
            random.uniform(-1.6, 1.6),
            random.uniform(-0.3, 0.3),
            random.uniform(-0.3, 0.3),
        )
        x, y = block.middle[0] * spread - window[0] + dx, block.middle[1] * spread - window[1] + dy
        _pin_up(sheet, quilt, block, (x * scale, y * scale), turn, scale)
    camera = Camera(
        (span_w / 2 + span_w * random.uniform(-0.15, 0.15), span_h / 2, -span_h * 1.9),
        (span_w / 2, span_h / 2, 0),
    )
    camera = fitted(
        camera,
        edge_of(lambda u, v: (u, v, 0), window),
        (-size[0] * 0.02, -size[1] * 0.02, size[0] * 1.02, size[1] * 1.02),
    )
    drape(photo, sheet, lambda u, v: (u, v, 0), window, camera, fineness=8)
    return photo


def _pin_up(sheet: Image.Image, quilt: Quilt, block, middle: tuple[float, float], turn: float, scale: float) -> None:
    xs = [x for piece in block.pieces for x, _ in piece.points]
    ys = [y for piece in block.pieces for _, y in piece.points]
    seam = 0.25
    window = (min(xs) - seam, min(ys) - seam, max(xs) + seam, max(ys) + seam)
    picture = paint_top(Quilt(replace(quilt.recipe, quilting="none")), window, scale * 1.5, block.pieces)
    mask = Image.new("L", picture.size, 0)
    draw = ImageDraw.Draw(mask)
    for piece in block.pieces:
        draw.polygon(
            [((x - window[0]) * scale * 1.5, (y - window[1]) * scale * 1.5) for x, y in piece.points],
            fill=255,
        )
    size = (round(picture.width / 1.5), round(picture.height / 1.5))
    picture = picture.rotate(turn, Image.Resampling.BICUBIC).resize(size, Image.Resampling.LANCZOS)
    mask = mask.rotate(turn, Image.Resampling.BICUBIC).resize(size, Image.Resampling.LANCZOS)
    place = (round(middle[0] - size[0] / 2), round(middle[1] - size[1] / 2))
    shade = mask.filter(ImageFilter.GaussianBlur(2)).point([round(v * 0.4) for v in range(256)])
    sheet.paste((90, 86, 80), (place[0] + 2, place[1] + 3), shade)
    sheet.paste(picture, place, mask)
