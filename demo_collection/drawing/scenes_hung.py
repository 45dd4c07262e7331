"""The quilt out of the frame of a wall: pegged on a line, over a rail, a fence, the back of a chair."""

from math import cos, pi, sin
from random import Random

from PIL import Image, ImageDraw, ImageFilter

from .cloth import Quilt, outline_mask, paint_back, paint_top
from .drape import Camera, Light, Surface, cast_shadow, drape, edge_of, fitted, pixels_per_inch
from .scenes_flat import TEXTURE_SHARPNESS
from .shades import deeper, paler
from .surroundings import WOODS, bar, garden, wall, wood


def line(quilt: Quilt, size: tuple[int, int], random: Random) -> Image.Image:
    """Pegged to a washing line in a garden."""
    width, length = quilt.layout.width, quilt.layout.length
    photo = garden(size, random, horizon=random.uniform(.58, .7))
    pegs = max(3, round(width / 17) + 1)
    phase, sway = random.uniform(0, 6), random.uniform(-.06, .06)

    def rope(u: float) -> float:
        return -3.2 * (1 - ((u - width / 2) / (width * .8)) ** 2)

    def surface(u: float, v: float):
        between = (u / width * (pegs - 1)) % 1
        scallop = 1.1 * sin(pi * between) * max(0, 1 - v / (length * .5)) if 0 <= u <= width else 0
        fold = 1.5 * (cos(2 * pi * u / width * (pegs - 1)) * (.7 - .3 * v / length)) + 1.4 * sin(u / 8 + phase + v / 40) * v / length
        return (u + sway * v * .5, v + rope(u) + 3.2 + scallop + .3 * sin(u / 9 + phase) * v / length, -fold + 4 * sin(v / length * 1.6) * sway * 10)
    camera = Camera((width * random.uniform(.3, .7), length * .5, -max(width, length) * 1.9), (width / 2, length / 2, 0))
    m = min(size) * .09
    camera = fitted(camera, edge_of(surface, quilt.whole), (m, m * 1.15, size[0] - m, size[1] - m))
    per_inch = pixels_per_inch(camera, surface, quilt.whole)
    draw = ImageDraw.Draw(photo)
    path = [camera.seen((u, rope(u) + 3.2 - .2, 0))[:2] for u in range(-round(width), round(width * 2), 3)]
    draw.line(path, fill=(92, 90, 84), width=max(2, round(.30 * per_inch)), joint="curve")
    draw.line([(x, y - 1) for x, y in path], fill=(196, 194, 186), width=max(1, round(.12 * per_inch)), joint="curve")
    margin = .4
    window = (-margin, -margin, width + margin, length + margin)
    scale = per_inch * TEXTURE_SHARPNESS
    drape(photo, paint_top(quilt, window, scale), surface, window, camera, mask=outline_mask(quilt, window, scale),
          light=Light(towards=(-.75, -.5, -.55), everywhere=.48), fineness=26)
    for k in range(pegs):
        u = min(width - .8, max(.8, width * k / (pegs - 1)))
        x, y = camera.seen(surface(u, 0))[:2]
        _peg(photo, x, y - .2 * per_inch, per_inch, random)
    return photo


def _peg(photo: Image.Image, x: float, y: float, per_inch: float, random: Random) -> None:
    draw = ImageDraw.Draw(photo)
    w, h = max(2, .28 * per_inch), max(6, 1.5 * per_inch)
    tilt = random.uniform(-.15, .15) * h
    colour = random.choice([(206, 172, 124), (196, 160, 112), (214, 184, 140)])
    draw.polygon([(x - w + tilt, y - h), (x + w + tilt, y - h), (x + w, y + h), (x - w, y + h)], fill=colour)
    draw.line((x + w * .7 + tilt, y - h, x + w * .7, y + h), fill=deeper(colour, .35), width=max(1, round(w * .5)))
    draw.line((x - w, y, x + w, y), fill=(140, 140, 140), width=max(1, round(w * .6)))


def _over_a_bar(quilt: Quilt, random: Random, *, radius: float, top: float, folds: float, spread: float = 1.0) -> Surface:
    """Cloth over a bar at height 0: `top` inches of it, measured along the cloth, hang behind."""
    width = quilt.layout.width
    phases = [random.uniform(0, 6) for _ in range(3)]
    wave = random.uniform(7.5, 10)

    def surface(u: float, v: float):
        past = v - top                           # along the cloth, from the bar's crown
        x = width / 2 + (u - width / 2) * spread
        turn = past / radius
        if abs(turn) <= pi / 2:
            return (x, -radius * cos(turn), -radius * sin(turn))
        hang = abs(past) - radius * pi / 2
        deepening = min(1, hang / 14)
        fold = folds * deepening * (sin(2 * pi * u / wave + phases[0]) + .6 * sin(2 * pi * u / wave / 1.7 + phases[1] + hang / 60))
        near = -1 if past > 0 else 1
        flare = (u / width - .5) * hang * .035
        return (x + flare, hang + .3 * sin(u / 8 + phases[2]), near * (radius + .25 * deepening) - fold if past > 0 else near * radius + fold * .4)
    return surface


def _hang_over(photo: Image.Image, quilt: Quilt, surface: Surface, camera: Camera, top: float, light: Light, *, shadow: bool) -> None:
    """The part behind shows its backing, the part before shows the top."""
    width, length = quilt.layout.width, quilt.layout.length
    scale = pixels_per_inch(camera, surface, (0, top, width, length)) * TEXTURE_SHARPNESS
    margin = .3
    # The backing is seen from behind, so its picture is mirrored to lie upon the same places.
    behind = (-margin, -margin, width + margin, top)
    backing = paint_back(quilt, behind, scale * .6).transpose(Image.Transpose.FLIP_LEFT_RIGHT)
    drape(photo, backing, surface, behind, camera, mask=outline_mask(quilt, behind, scale * .6), light=light)
    window = (-margin, top - 2, width + margin, length + margin)
    if shadow:
        outline = [camera.seen(place)[:2] for place in edge_of(surface, (0, top, width, length))]
        per_inch = scale / TEXTURE_SHARPNESS
        cast_shadow(photo, outline, shift=(.8 * per_inch, 1.2 * per_inch), blur=1.8 * per_inch, depth=.34)
    drape(photo, paint_top(quilt, window, scale), surface, window, camera, mask=outline_mask(quilt, window, scale), light=light, fineness=30)


def rail(quilt: Quilt, size: tuple[int, int], random: Random) -> Image.Image:
    """Over a wooden rail in a room: the lower part of the quilt is seen."""
    width, length = quilt.layout.width, quilt.layout.length
    top = length * random.uniform(.36, .44)
    photo = wall(size, quilt.recipe.wall or random.choice([(222, 216, 204), (208, 212, 210), (228, 224, 216)]), random)
    surface = _over_a_bar(quilt, random, radius=1.1, top=top, folds=.55, spread=.93)
    seen = (0, top, width, length)
    camera = Camera((width * random.uniform(.25, .75), (length - top) * .3, -max(width, length) * 1.5), (width / 2, (length - top) / 2, 0))
    m = min(size) * .1
    camera = fitted(camera, edge_of(surface, seen), (m, m * 1.5, size[0] - m, size[1] - m * .9))
    colour = random.choice(WOODS)
    _post(photo, camera, -width * .06, colour, random)
    _post(photo, camera, width * 1.06, colour, random)
    rod = bar((900, 40), colour, random)
    drape(photo, rod, lambda u, v: (u, v, 0), (-width, -1.0, width * 2, 1.0), camera, fineness=4)
    _hang_over(photo, quilt, surface, camera, top, Light(towards=(-.6, -.55, -.7), everywhere=.45), shadow=True)
    return photo


def _post(photo: Image.Image, camera: Camera, x: float, colour, random: Random) -> None:
    texture = bar((700, 36), colour, random).transpose(Image.Transpose.ROTATE_90)
    window = (x - 1.2, -7.5, x + 1.2, 130)
    outline = [camera.seen(place)[:2] for place in edge_of(lambda u, v: (u, v, .4), window)]
    cast_shadow(photo, outline, shift=(9, 6), blur=14, depth=.28)
    drape(photo, texture, lambda u, v: (u, v, .4), window, camera, fineness=3)


def fence(quilt: Quilt, size: tuple[int, int], random: Random) -> Image.Image:
    """Over a garden fence of weathered boards."""
    width, length = quilt.layout.width, quilt.layout.length
    top = length * random.uniform(.34, .42)
    photo = garden(size, random, horizon=.4)
    surface = _over_a_bar(quilt, random, radius=.9, top=top, folds=.28)
    camera = Camera((width * random.uniform(.2, .8), (length - top) * .25, -max(width, length) * 1.5), (width / 2, (length - top) / 2, 0))
    m = min(size) * .11
    camera = fitted(camera, edge_of(surface, (0, top, width, length)), (m, m * 2.0, size[0] - m, size[1] - m * .8))
    _boards_of_a_fence(photo, width, camera, random)
    _hang_over(photo, quilt, surface, camera, top, Light(towards=(-.7, -.6, -.5), everywhere=.5), shadow=True)
    return photo


def _boards_of_a_fence(photo: Image.Image, width: float, camera: Camera, random: Random) -> None:
    colour = random.choice([(150, 142, 130), (132, 120, 104), (164, 156, 142), (206, 204, 196)])
    x, pitch = -width * .7, 5.6
    while x < width * 1.7:
        board = wood((70, 700), paler(colour, random.uniform(0, .12)), random, upright=True)
        high = random.uniform(.2, .9)
        window = (x, high, x + pitch * .95, 130)
        outline = [camera.seen(place)[:2] for place in edge_of(lambda u, v: (u, v, 1.0), window, 4)]
        cast_shadow(photo, outline, shift=(2, 1), blur=3, depth=.35)
        drape(photo, board, lambda u, v: (u, v, 1.0), window, camera, fineness=2)
        x += pitch


def chair(quilt: Quilt, size: tuple[int, int], random: Random) -> Image.Image:
    """Folded lengthwise and laid over the back of a wooden chair, seen from behind."""
    width, length = quilt.layout.width, quilt.layout.length
    photo = _corner_of_a_room(size, quilt, random)
    across = width if width < 23 else width / 2 if width < 40 else min(width / 3, 20)
    top = length * .42
    phases = [random.uniform(0, 6) for _ in range(2)]

    def layer(inset: float, depth: float) -> Surface:
        def surface(u: float, v: float):
            past = v - top
            x = u + inset
            if abs(past) < 1.6:
                return (x, -1 * cos(past), -1 * sin(past) - depth)
            hang = (abs(past) - 1.6) * .92
            bulge = .35 * sin(u / 3.4 + phases[0]) * min(1, hang / 8) + .9 * sin(pi * min(1, max(0, (u - start) / across)))
            return (x + .2 * sin(hang / 6 + phases[1]), hang, (-1 - depth - bulge) if past > 0 else 1)
        return surface
    start = min(across * random.choice([0, 1, 2]), width - across)
    low = min(length, top + 27)
    seen_box = (start, top, start + across, low)
    surface = layer(0, 0)
    camera = Camera((start + across / 2 + 20 * random.uniform(-1, 1), 2, -85), (start + across / 2, 18, 0))
    m = min(size) * .16
    camera = fitted(camera, [(start - 2, -6, 0), (start + across + 2, -6, 0), (start + across / 2, CHAIR_FOOT + 3, 0)], (m, m * .6, size[0] - m, size[1] - m * .12))
    _chair_back(photo, camera, start, across, random)
    scale = pixels_per_inch(camera, surface, seen_box) * TEXTURE_SHARPNESS
    under = layer(.7, -.5)
    per_inch = scale / TEXTURE_SHARPNESS
    outline = [camera.seen(place)[:2] for place in edge_of(surface, seen_box)]
    cast_shadow(photo, outline, shift=(.8 * per_inch, .9 * per_inch), blur=1.5 * per_inch, depth=.4)
    folds = [(under, (max(0, width - start - across), top - 1, max(0, width - start - across) + across, low - .8)), (surface, (start, top - 1.5, start + across, low))]
    for fold, window in folds:
        texture = paint_top(quilt, window, scale)
        if fold is under:
            shift = start - window[0]

            def moved(u, v, shift=shift):
                return under(u + shift, v)
            drape(photo, texture, moved, window, camera, light=Light(everywhere=.35))
        else:
            drape(photo, texture, fold, window, camera, light=Light(towards=(-.6, -.5, -.7), everywhere=.42), fineness=24)
    return photo


def _corner_of_a_room(size: tuple[int, int], quilt: Quilt, random: Random) -> Image.Image:
    """A wall, a skirting board and a floor."""
    from .surroundings import boards, lit, soft_noise
    photo = wall(size, quilt.recipe.wall or random.choice([(214, 206, 192), (200, 206, 204), (222, 218, 208)]), random)
    level = round(size[1] * .84)
    planks = boards((size[0], size[1] - level), (size[1] - level) * .34, random.choice(WOODS), random)
    photo.paste(planks, (0, level))
    skirting = Image.new("RGB", (size[0], round(size[1] * .045)), (236, 234, 228))
    photo.paste(skirting, (0, level - skirting.height))
    ImageDraw.Draw(photo).line((0, level - skirting.height, size[0], level - skirting.height), fill=(190, 186, 178), width=2)
    ImageDraw.Draw(photo).line((0, level, size[0], level), fill=(90, 74, 60), width=3)
    blurred = photo.filter(ImageFilter.GaussianBlur(3))
    return lit(blurred, soft_noise(size, 300, "room", random), .93, 1)


CHAIR_FOOT = 35.0                  # inches from the top of the back down to the floor
CHAIR_SEAT = 17.0


def _chair_back(photo: Image.Image, camera: Camera, start: float, across: float, random: Random) -> None:
    """Back posts, rungs, and behind them (further from the viewer) the seat and the front legs."""
    colour = random.choice([(120, 84, 56), (96, 66, 46), (156, 116, 78), (214, 206, 190)])
    texture_across = bar((500, 30), colour, random)
    texture_up = bar((700, 30), colour, random).transpose(Image.Transpose.ROTATE_90)
    left, right, deep = start - 1.6, start + across + 1.6, 15.0
    foot_shadow = [camera.seen(place)[:2] for place in ((left - 1, CHAIR_FOOT, -1), (right + 3, CHAIR_FOOT, -1), (right + 4, CHAIR_FOOT, deep), (left, CHAIR_FOOT, deep))]
    cast_shadow(photo, foot_shadow, shift=(0, 2), blur=14, depth=.35)
    seat = wood((500, 300), colour, random)
    far = [(texture_up, (left - .3, CHAIR_SEAT, left + 1.1, CHAIR_FOOT), deep), (texture_up, (right - 1.1, CHAIR_SEAT, right + .3, CHAIR_FOOT), deep)]
    near = [(texture_across, (left, CHAIR_SEAT + .2, right, CHAIR_SEAT + 2.2), 0), (texture_across, (left, 27, right, 28.2), 0),
            (texture_across, (left, -.9, right, .9), 0), (texture_across, (left, 7, right, 9), 0),
            (texture_up, (left - .8, -4, left + .8, CHAIR_FOOT), 0), (texture_up, (right - .8, -4, right + .8, CHAIR_FOOT), 0)]
    for texture, window, z in far:
        drape(photo, texture, lambda u, v, z=z: (u, v, z), window, camera, fineness=3)
    drape(photo, seat, lambda u, v: (u, CHAIR_SEAT, v), (left - .5, 0, right + .5, deep + 1), camera, fineness=4)
    for texture, window, z in near:
        outline = [camera.seen(place)[:2] for place in edge_of(lambda u, v, z=z: (u, v, z), window, 3)]
        cast_shadow(photo, outline, shift=(16, 8), blur=16, depth=.18)
    for texture, window, z in near:
        drape(photo, texture, lambda u, v, z=z: (u, v, z), window, camera, fineness=3)
