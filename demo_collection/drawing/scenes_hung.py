"""The quilt out of the frame of a wall: pegged on a line, over a rail, over a fence."""

from math import cos, pi, sin
from random import Random

from PIL import Image, ImageDraw

from .cloth import Quilt, outline_mask, paint_back, paint_top
from .drape import Camera, Light, Surface, cast_shadow, drape, edge_of, fitted, pixels_per_inch
from .scenes_flat import TEXTURE_SHARPNESS
from .shades import deeper, paler
from .surroundings import WOODS, bar, garden, wall, wood


def line(quilt: Quilt, size: tuple[int, int], random: Random) -> Image.Image:
    """Pegged to a washing line in a garden."""
    width, length = quilt.layout.width, quilt.layout.length
    photo = garden(size, random, horizon=random.uniform(0.58, 0.7))
    pegs = max(3, round(width / 17) + 1)
    phase, sway = random.uniform(0, 6), random.uniform(-0.06, 0.06)

    def rope(u: float) -> float:
        return -3.2 * (1 - ((u - width / 2) / (width * 0.8)) ** 2)

    def surface(u: float, v: float):
        between = (u / width * (pegs - 1)) % 1
        scallop = 1.1 * sin(pi * between) * max(0, 1 - v / (length * 0.5)) if 0 <= u <= width else 0
        fold = (
            1.5 * (cos(2 * pi * u / width * (pegs - 1)) * (0.7 - 0.3 * v / length))
            + 1.4 * sin(u / 8 + phase + v / 40) * v / length
        )
        return (
            u + sway * v * 0.5,
            v + rope(u) + 3.2 + scallop + 0.3 * sin(u / 9 + phase) * v / length,
            -fold + 4 * sin(v / length * 1.6) * sway * 10,
        )

    camera = Camera(
        (width * random.uniform(0.3, 0.7), length * 0.5, -max(width, length) * 1.9),
        (width / 2, length / 2, 0),
    )
    m = min(size) * 0.09
    camera = fitted(camera, edge_of(surface, quilt.whole), (m, m * 1.15, size[0] - m, size[1] - m))
    per_inch = pixels_per_inch(camera, surface, quilt.whole)
    draw = ImageDraw.Draw(photo)
    path = [camera.seen((u, rope(u) + 3.2 - 0.2, 0))[:2] for u in range(-round(width), round(width * 2), 3)]
    draw.line(path, fill=(92, 90, 84), width=max(2, round(0.30 * per_inch)), joint="curve")
    draw.line(
        [(x, y - 1) for x, y in path],
        fill=(196, 194, 186),
        width=max(1, round(0.12 * per_inch)),
        joint="curve",
    )
    margin = 0.4
    window = (-margin, -margin, width + margin, length + margin)
    scale = per_inch * TEXTURE_SHARPNESS
    drape(
        photo,
        paint_top(quilt, window, scale),
        surface,
        window,
        camera,
        mask=outline_mask(quilt, window, scale),
        light=Light(towards=(-0.75, -0.5, -0.55), everywhere=0.48),
        fineness=26,
    )
    for k in range(pegs):
        u = min(width - 0.8, max(0.8, width * k / (pegs - 1)))
        x, y = camera.seen(surface(u, 0))[:2]
        _peg(photo, x, y - 0.2 * per_inch, per_inch, random)
    return photo


def _peg(photo: Image.Image, x: float, y: float, per_inch: float, random: Random) -> None:
    draw = ImageDraw.Draw(photo)
    w, h = max(2, 0.28 * per_inch), max(6, 1.5 * per_inch)
    tilt = random.uniform(-0.15, 0.15) * h
    colour = random.choice([(206, 172, 124), (196, 160, 112), (214, 184, 140)])
    draw.polygon([(x - w + tilt, y - h), (x + w + tilt, y - h), (x + w, y + h), (x - w, y + h)], fill=colour)
    draw.line(
        (x + w * 0.7 + tilt, y - h, x + w * 0.7, y + h),
        fill=deeper(colour, 0.35),
        width=max(1, round(w * 0.5)),
    )
    draw.line((x - w, y, x + w, y), fill=(140, 140, 140), width=max(1, round(w * 0.6)))


def _over_a_bar(
    quilt: Quilt, random: Random, *, radius: float, top: float, folds: float, spread: float = 1.0
) -> Surface:
    """Cloth over a bar at height 0: `top` inches of it, measured along the cloth, hang behind."""
    width = quilt.layout.width
    phases = [random.uniform(0, 6) for _ in range(3)]
    wave = random.uniform(7.5, 10)

    def surface(u: float, v: float):
        past = v - top  # along the cloth, from the bar's crown
        x = width / 2 + (u - width / 2) * spread
        turn = past / radius
        if abs(turn) <= pi / 2:
            return (x, -radius * cos(turn), -radius * sin(turn))
        hang = abs(past) - radius * pi / 2
        deepening = min(1, hang / 14)
        fold = (
            folds
            * deepening
            * (sin(2 * pi * u / wave + phases[0]) + 0.6 * sin(2 * pi * u / wave / 1.7 + phases[1] + hang / 60))
        )
        near = -1 if past > 0 else 1
        flare = (u / width - 0.5) * hang * 0.035
        return (
            x + flare,
            hang + 0.3 * sin(u / 8 + phases[2]),
            near * (radius + 0.25 * deepening) - fold if past > 0 else near * radius + fold * 0.4,
        )

    return surface


def _hang_over(
    photo: Image.Image,
    quilt: Quilt,
    surface: Surface,
    camera: Camera,
    top: float,
    light: Light,
    *,
    shadow: bool,
) -> None:
    """The part behind shows its backing, the part before shows the top."""
    width, length = quilt.layout.width, quilt.layout.length
    scale = pixels_per_inch(camera, surface, (0, top, width, length)) * TEXTURE_SHARPNESS
    margin = 0.3
    # The backing is seen from behind, so its picture is mirrored to lie upon the same places.
    behind = (-margin, -margin, width + margin, top)
    backing = paint_back(quilt, behind, scale * 0.6).transpose(Image.Transpose.FLIP_LEFT_RIGHT)
    drape(
        photo,
        backing,
        surface,
        behind,
        camera,
        mask=outline_mask(quilt, behind, scale * 0.6),
        light=light,
    )
    window = (-margin, top - 2, width + margin, length + margin)
    if shadow:
        outline = [camera.seen(place)[:2] for place in edge_of(surface, (0, top, width, length))]
        per_inch = scale / TEXTURE_SHARPNESS
        cast_shadow(photo, outline, shift=(0.8 * per_inch, 1.2 * per_inch), blur=1.8 * per_inch, depth=0.34)
    drape(
        photo,
        paint_top(quilt, window, scale),
        surface,
        window,
        camera,
        mask=outline_mask(quilt, window, scale),
        light=light,
        fineness=30,
    )


def rail(quilt: Quilt, size: tuple[int, int], random: Random) -> Image.Image:
    """Over a wooden rail in a room: the lower part of the quilt is seen."""
    width, length = quilt.layout.width, quilt.layout.length
    top = length * random.uniform(0.36, 0.44)
    photo = wall(
        size,
        quilt.recipe.wall or random.choice([(222, 216, 204), (208, 212, 210), (228, 224, 216)]),
        random,
    )
    surface = _over_a_bar(quilt, random, radius=1.1, top=top, folds=0.55, spread=0.93)
    seen = (0, top, width, length)
    camera = Camera(
        (width * random.uniform(0.25, 0.75), (length - top) * 0.3, -max(width, length) * 1.5),
        (width / 2, (length - top) / 2, 0),
    )
    m = min(size) * 0.1
    camera = fitted(camera, edge_of(surface, seen), (m, m * 1.5, size[0] - m, size[1] - m * 0.9))
    colour = random.choice(WOODS)
    _post(photo, camera, -width * 0.06, colour, random)
    _post(photo, camera, width * 1.06, colour, random)
    rod = bar((900, 40), colour, random)
    drape(photo, rod, lambda u, v: (u, v, 0), (-width, -1.0, width * 2, 1.0), camera, fineness=4)
    _hang_over(
        photo,
        quilt,
        surface,
        camera,
        top,
        Light(towards=(-0.6, -0.55, -0.7), everywhere=0.45),
        shadow=True,
    )
    return photo


def _post(photo: Image.Image, camera: Camera, x: float, colour, random: Random) -> None:
    texture = bar((700, 36), colour, random).transpose(Image.Transpose.ROTATE_90)
    window = (x - 1.2, -7.5, x + 1.2, 130)
    outline = [camera.seen(place)[:2] for place in edge_of(lambda u, v: (u, v, 0.4), window)]
    cast_shadow(photo, outline, shift=(9, 6), blur=14, depth=0.28)
    drape(photo, texture, lambda u, v: (u, v, 0.4), window, camera, fineness=3)


def fence(quilt: Quilt, size: tuple[int, int], random: Random) -> Image.Image:
    """Over a garden fence of weathered boards."""
    width, length = quilt.layout.width, quilt.layout.length
    top = length * random.uniform(0.34, 0.42)
    photo = garden(size, random, horizon=0.4)
    surface = _over_a_bar(quilt, random, radius=0.9, top=top, folds=0.28)
    camera = Camera(
        (width * random.uniform(0.2, 0.8), (length - top) * 0.25, -max(width, length) * 1.5),
        (width / 2, (length - top) / 2, 0),
    )
    m = min(size) * 0.11
    camera = fitted(
        camera,
        edge_of(surface, (0, top, width, length)),
        (m, m * 2.0, size[0] - m, size[1] - m * 0.8),
    )
    _boards_of_a_fence(photo, width, camera, random)
    _hang_over(
        photo,
        quilt,
        surface,
        camera,
        top,
        Light(towards=(-0.7, -0.6, -0.5), everywhere=0.5),
        shadow=True,
    )
    return photo


def _boards_of_a_fence(photo: Image.Image, width: float, camera: Camera, random: Random) -> None:
    colour = random.choice([(150, 142, 130), (132, 120, 104), (164, 156, 142), (206, 204, 196)])
    x, pitch = -width * 0.7, 5.6
    while x < width * 1.7:
        board = wood((70, 700), paler(colour, random.uniform(0, 0.12)), random, upright=True)
        high = random.uniform(0.2, 0.9)
        window = (x, high, x + pitch * 0.95, 130)
        outline = [camera.seen(place)[:2] for place in edge_of(lambda u, v: (u, v, 1.0), window, 4)]
        cast_shadow(photo, outline, shift=(2, 1), blur=3, depth=0.35)
        drape(photo, board, lambda u, v: (u, v, 1.0), window, camera, fineness=2)
        x += pitch
