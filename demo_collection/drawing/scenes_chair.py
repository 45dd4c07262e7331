"""The quilt folded over the back of a wooden chair."""

from math import cos, pi, sin
from random import Random

from PIL import Image, ImageDraw, ImageFilter

from .cloth import Quilt, paint_top
from .drape import Camera, Light, Surface, cast_shadow, drape, edge_of, fitted, pixels_per_inch
from .scenes_flat import TEXTURE_SHARPNESS
from .surroundings import WOODS, bar, boards, lit, soft_noise, wall, wood


def chair(quilt: Quilt, size: tuple[int, int], random: Random) -> Image.Image:
    """Folded lengthwise and laid over the back of a wooden chair, seen from behind."""
    width, length = quilt.layout.width, quilt.layout.length
    photo = _corner_of_a_room(size, quilt, random)
    across = width if width < 23 else width / 2 if width < 40 else min(width / 3, 20)
    top = length * 0.42
    phases = [random.uniform(0, 6) for _ in range(2)]

    def layer(inset: float, depth: float) -> Surface:
        def surface(u: float, v: float):
            past = v - top
            x = u + inset
            if abs(past) < 1.6:
                return (x, -1 * cos(past), -1 * sin(past) - depth)
            hang = (abs(past) - 1.6) * 0.92
            bulge = 0.35 * sin(u / 3.4 + phases[0]) * min(1, hang / 8) + 0.9 * sin(
                pi * min(1, max(0, (u - start) / across))
            )
            return (
                x + 0.2 * sin(hang / 6 + phases[1]),
                hang,
                (-1 - depth - bulge) if past > 0 else 1,
            )

        return surface

    start = min(across * random.choice([0, 1, 2]), width - across)
    low = min(length, top + 27)
    seen_box = (start, top, start + across, low)
    surface = layer(0, 0)
    camera = Camera((start + across / 2 + 20 * random.uniform(-1, 1), 2, -85), (start + across / 2, 18, 0))
    m = min(size) * 0.16
    camera = fitted(
        camera,
        [(start - 2, -6, 0), (start + across + 2, -6, 0), (start + across / 2, CHAIR_FOOT + 3, 0)],
        (m, m * 0.6, size[0] - m, size[1] - m * 0.12),
    )
    _chair_back(photo, camera, start, across, random)
    scale = pixels_per_inch(camera, surface, seen_box) * TEXTURE_SHARPNESS
    under = layer(0.7, -0.5)
    per_inch = scale / TEXTURE_SHARPNESS
    outline = [camera.seen(place)[:2] for place in edge_of(surface, seen_box)]
    cast_shadow(photo, outline, shift=(0.8 * per_inch, 0.9 * per_inch), blur=1.5 * per_inch, depth=0.4)
    folds = [
        (
            under,
            (
                max(0, width - start - across),
                top - 1,
                max(0, width - start - across) + across,
                low - 0.8,
            ),
        ),
        (surface, (start, top - 1.5, start + across, low)),
    ]
    for fold, window in folds:
        texture = paint_top(quilt, window, scale)
        if fold is under:
            shift = start - window[0]

            def moved(u, v, shift=shift):
                return under(u + shift, v)

            drape(photo, texture, moved, window, camera, light=Light(everywhere=0.35))
        else:
            drape(
                photo,
                texture,
                fold,
                window,
                camera,
                light=Light(towards=(-0.6, -0.5, -0.7), everywhere=0.42),
                fineness=24,
            )
    return photo


def _corner_of_a_room(size: tuple[int, int], quilt: Quilt, random: Random) -> Image.Image:
    """A wall, a skirting board and a floor."""
    photo = wall(
        size,
        quilt.recipe.wall or random.choice([(214, 206, 192), (200, 206, 204), (222, 218, 208)]),
        random,
    )
    level = round(size[1] * 0.84)
    planks = boards((size[0], size[1] - level), (size[1] - level) * 0.34, random.choice(WOODS), random)
    photo.paste(planks, (0, level))
    skirting = Image.new("RGB", (size[0], round(size[1] * 0.045)), (236, 234, 228))
    photo.paste(skirting, (0, level - skirting.height))
    ImageDraw.Draw(photo).line(
        (0, level - skirting.height, size[0], level - skirting.height),
        fill=(190, 186, 178),
        width=2,
    )
    ImageDraw.Draw(photo).line((0, level, size[0], level), fill=(90, 74, 60), width=3)
    blurred = photo.filter(ImageFilter.GaussianBlur(3))
    return lit(blurred, soft_noise(size, 300, "room", random), 0.93, 1)


CHAIR_FOOT = 35.0  # inches from the top of the back down to the floor
CHAIR_SEAT = 17.0


def _chair_back(photo: Image.Image, camera: Camera, start: float, across: float, random: Random) -> None:
    """Back posts, rungs, and behind them (further from the viewer) the seat and the front legs."""
    colour = random.choice([(120, 84, 56), (96, 66, 46), (156, 116, 78), (214, 206, 190)])
    texture_across = bar((500, 30), colour, random)
    texture_up = bar((700, 30), colour, random).transpose(Image.Transpose.ROTATE_90)
    left, right, deep = start - 1.6, start + across + 1.6, 15.0
    foot_shadow = [
        camera.seen(place)[:2]
        for place in (
            (left - 1, CHAIR_FOOT, -1),
            (right + 3, CHAIR_FOOT, -1),
            (right + 4, CHAIR_FOOT, deep),
            (left, CHAIR_FOOT, deep),
        )
    ]
    cast_shadow(photo, foot_shadow, shift=(0, 2), blur=14, depth=0.35)
    seat = wood((500, 300), colour, random)
    far = [
        (texture_up, (left - 0.3, CHAIR_SEAT, left + 1.1, CHAIR_FOOT), deep),
        (texture_up, (right - 1.1, CHAIR_SEAT, right + 0.3, CHAIR_FOOT), deep),
    ]
    near = [
        (texture_across, (left, CHAIR_SEAT + 0.2, right, CHAIR_SEAT + 2.2), 0),
        (texture_across, (left, 27, right, 28.2), 0),
        (texture_across, (left, -0.9, right, 0.9), 0),
        (texture_across, (left, 7, right, 9), 0),
        (texture_up, (left - 0.8, -4, left + 0.8, CHAIR_FOOT), 0),
        (texture_up, (right - 0.8, -4, right + 0.8, CHAIR_FOOT), 0),
    ]
    for texture, window, z in far:
        drape(photo, texture, lambda u, v, z=z: (u, v, z), window, camera, fineness=3)
    drape(
        photo,
        seat,
        lambda u, v: (u, CHAIR_SEAT, v),
        (left - 0.5, 0, right + 0.5, deep + 1),
        camera,
        fineness=4,
    )
    for texture, window, z in near:
        outline = [camera.seen(place)[:2] for place in edge_of(lambda u, v, z=z: (u, v, z), window, 3)]
        cast_shadow(photo, outline, shift=(16, 8), blur=16, depth=0.18)
    for texture, window, z in near:
        drape(photo, texture, lambda u, v, z=z: (u, v, z), window, camera, fineness=3)
