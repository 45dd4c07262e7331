"""The quilt in use and put away: on a bed, folded on a shelf."""

from math import atan2, cos, hypot, pi, sin
from random import Random

from PIL import Image, ImageDraw, ImageFilter

from .cloth import Quilt, outline_mask, paint_top
from .drape import Camera, Light, cast_shadow, drape, edge_of, fitted, pixels_per_inch
from .scenes_flat import TEXTURE_SHARPNESS
from .shades import deeper, mixed, paler
from .surroundings import WOODS, bar, boards, lit, shelf_stack_colour, soft_noise, wall, wood

BED_HEIGHT = 23.0


def bed(quilt: Quilt, size: tuple[int, int], random: Random) -> Image.Image:
    """On a bed, falling over the sides and the foot; seen from the foot."""
    width, length = quilt.layout.width, quilt.layout.length
    bed_width = min(max(34.0, width - 24), 62.0) if width > 50 else width * .72
    bed_length = max(40.0, length - 16)
    photo = _bedroom(size, quilt, random)
    phases = [random.uniform(0, 6) for _ in range(3)]

    def surface(u: float, v: float):
        """World: x across, y down from the mattress's top, z towards the head of the bed (away)."""
        x, along = u - width / 2, v
        over_side, over_foot = max(0.0, abs(x) - bed_width / 2), max(0.0, along - bed_length)
        way = 1 if x > 0 else -1
        edge_x, edge_z = max(-bed_width / 2, min(bed_width / 2, x)), bed_length - min(along, bed_length)
        drop = max(over_side, over_foot)
        if drop == 0:
            return (x, .25 * sin(u / 8 + phases[0]) * sin(v / 10 + phases[1]), edge_z)
        turn = atan2(over_foot, over_side) if over_side and over_foot else (0 if over_side else pi / 2)
        fold = .9 * sin((along if over_side >= over_foot else u) / 4.2 + phases[2]) * min(1, drop / 6)
        out = min(1.0, drop * .5) + drop * .10 + fold
        corner = min(over_side, over_foot) * .45
        return (edge_x + way * cos(turn) * (out + corner) * (1 if over_side else 0),
                min(drop * .985, BED_HEIGHT - .3), edge_z - sin(turn) * (out + corner) * (1 if over_foot else 0))
    camera = Camera((bed_width * random.uniform(.5, .95) * random.choice([-1, 1]), -bed_length * .78, -bed_length * .82), (0, 3, bed_length * .42))
    outer = edge_of(surface, quilt.whole)
    m = min(size) * .06
    camera = fitted(camera, [*outer, (-bed_width / 2, -20, bed_length + 6), (bed_width / 2, -20, bed_length + 6)], (m, m, size[0] - m, size[1] - m))
    _floor_and_wall(photo, camera, bed_width, bed_length, random)
    _headboard(photo, camera, bed_width, bed_length, random)
    _mattress(photo, camera, bed_width, bed_length)
    scale = pixels_per_inch(camera, surface, quilt.whole) * .95
    outline = [camera.seen((x, BED_HEIGHT, z))[:2] for x, z in (
        (-bed_width / 2 - 4, bed_length), (bed_width / 2 + 4, bed_length), (bed_width / 2 + 4, -4), (-bed_width / 2 - 4, -4))]
    cast_shadow(photo, outline, shift=(8, 10), blur=22, depth=.42)
    window = (-.3, -.3, width + .3, length + .3)
    drape(photo, paint_top(quilt, window, scale), surface, window, camera, mask=outline_mask(quilt, window, scale),
          light=Light(towards=(-.55, -.8, -.35), everywhere=.42), fineness=40)
    _pillows(photo, camera, bed_width, bed_length, random)
    return photo


def _bedroom(size, quilt: Quilt, random: Random) -> Image.Image:
    return wall(size, quilt.recipe.wall or random.choice([(218, 214, 204), (204, 210, 212), (226, 220, 208)]), random)


def _floor_and_wall(photo: Image.Image, camera: Camera, bed_width: float, bed_length: float, random: Random) -> None:
    planks = boards((900, 900), 60, random.choice(WOODS), random)
    reach = bed_width * 2.2
    window = (-reach, -reach * .4, reach, bed_length + 9)
    drape(photo, planks.transpose(Image.Transpose.FLIP_TOP_BOTTOM), lambda u, v: (u, BED_HEIGHT, bed_length + 9 - (v + reach * .4)), window, camera, fineness=14)
    board = Image.new("RGB", (200, 20), (232, 230, 224))
    drape(photo, board, lambda u, v: (u, BED_HEIGHT - 5 + v, bed_length + 9), (-reach, 0, reach, 5), camera, fineness=4)


def _headboard(photo: Image.Image, camera: Camera, bed_width: float, bed_length: float, random: Random) -> None:
    texture = wood((700, 330), random.choice(WOODS), random)
    window = (-bed_width / 2 - 2, -24, bed_width / 2 + 2, 12)

    def surface(u, v):
        return (u, v, bed_length + 5)
    outline = [camera.seen(place)[:2] for place in edge_of(surface, window, 4)]
    cast_shadow(photo, outline, shift=(14, 8), blur=26, depth=.35)
    drape(photo, texture, surface, window, camera, fineness=4)
    rim = bar((700, 24), (150, 108, 72), random)
    drape(photo, rim, surface, (window[0] - .6, -25.5, window[2] + .6, -23.2), camera, fineness=4)


def _mattress(photo: Image.Image, camera: Camera, bed_width: float, bed_length: float) -> None:
    """Sheets beyond the quilt, and the side beneath it."""
    draw = ImageDraw.Draw(photo)
    top = [camera.seen((x, .6, z))[:2] for x, z in ((-bed_width / 2, 0), (bed_width / 2, 0), (bed_width / 2, bed_length + 5), (-bed_width / 2, bed_length + 5))]
    for x in (-bed_width / 2, bed_width / 2):
        side = [camera.seen(place)[:2] for place in ((x, .6, 0), (x, .6, bed_length + 5), (x, BED_HEIGHT - 5, bed_length + 5), (x, BED_HEIGHT - 5, 0))]
        draw.polygon(side, fill=(186, 182, 174))
    foot = [camera.seen(place)[:2] for place in ((-bed_width / 2, .6, 0), (bed_width / 2, .6, 0), (bed_width / 2, BED_HEIGHT - 5, 0), (-bed_width / 2, BED_HEIGHT - 5, 0))]
    draw.polygon(foot, fill=(196, 192, 184))
    draw.polygon(top, fill=(236, 234, 228))


def _pillows(photo: Image.Image, camera: Camera, bed_width: float, bed_length: float, random: Random) -> None:
    """Plump pillows against the headboard."""
    count = 2 if bed_width > 45 else 1
    each = bed_width / count * .9
    for k in range(count):
        middle = -bed_width / 2 + bed_width * (k + .5) / count
        colour = (236, 233, 226)

        def surface(u, v, middle=middle):
            a, b = (u / each - .5) * 2, (v / 15 - .5) * 2
            puff = max(0.0, (1 - abs(a) ** 3.2)) ** .5 * max(0.0, (1 - abs(b) ** 3)) ** .5
            return (middle + (u - each / 2) * (1 - .06 * b * b), -14.5 + v * .93 - 1.0, bed_length + 3.5 - v * .34 - 5.5 * puff)
        cloth = Image.new("RGB", (260, 200), colour)
        cloth = lit(cloth, soft_noise(cloth.size, 42, "pillow", random), .93, 1)
        window = (0, 0, each, 15)
        outline = [camera.seen(place)[:2] for place in edge_of(surface, window, 8)]
        cast_shadow(photo, outline, shift=(6, 8), blur=14, depth=.30)
        drape(photo, cloth, surface, window, camera, light=Light(towards=(-.5, -.75, -.45), everywhere=.5), fineness=16)


def folded(quilt: Quilt, size: tuple[int, int], random: Random) -> Image.Image:
    """Folded on a shelf, on top of two others."""
    photo = wall(size, random.choice([(206, 200, 188), (196, 202, 202), (214, 208, 196)]), random)
    across, deep = 19.0, 13.0
    camera = Camera((across * random.uniform(.1, .9), -11, -46), (across / 2, 2, 3))
    camera = fitted(camera, [(-2.4, -6.5, 0), (across + 2.4, -6.5, 0), (-2.4, 11.5, 0), (across + 2.4, 11.5, 0)], (0, size[1] * .04, size[0], size[1] * .98))
    shelf = wood((900, 420), random.choice(WOODS), random)
    drape(photo, shelf, lambda u, v: (u, 9.6, 16 - v), (-30, 0, 50, 20), camera, fineness=6)
    drape(photo, bar((900, 40), random.choice(WOODS), random), lambda u, v: (u, 9.6 + v, -4), (-30, 0, 50, 1.5), camera, fineness=3)
    level = 9.6
    for neighbour in range(2):
        colour, other = shelf_stack_colour(random), shelf_stack_colour(random)
        level = _stack(photo, camera, random, across - random.uniform(0, 1.2), deep, level, 2, lambda w, s, c=colour, o=other: _plain_cloth(w, s, c, o, random))
    width, length = quilt.layout.width, quilt.layout.length
    starts = [random.uniform(0, max(.1, length - deep)) for _ in range(4)]
    offset = random.uniform(0, max(.1, width - across))

    def cloth(window, scale):
        fold = min(3, int(window[1]))
        v0 = starts[fold]
        return paint_top(quilt, (offset, v0, offset + window[2] - window[0], v0 + (window[3] - window[1])), scale)
    _stack(photo, camera, random, across, deep, level, 4, cloth)
    return photo


def _plain_cloth(window, scale: float, colour, other, random: Random) -> Image.Image:
    size = (max(2, round((window[2] - window[0]) * scale)), max(2, round((window[3] - window[1]) * scale)))
    cloth = Image.new("RGB", size, colour)
    draw = ImageDraw.Draw(cloth)
    step = random.uniform(1.6, 3.2) * scale
    for k in range(int(size[0] / step) + 1):
        if k % 2:
            draw.rectangle((k * step, 0, (k + 1) * step, size[1]), fill=mixed(colour, other, .55))
    return lit(cloth, soft_noise(size, .4 * scale, "stack", random), .88, 1)


def _stack(photo: Image.Image, camera: Camera, random: Random, across: float, deep: float, level: float, folds: int, cloth) -> float:
    """Rounded folds, one upon the other, from `level` upwards; gives the level of the top."""
    thick = 1.55
    scale = 34.0
    for fold in range(folds):
        y, inset = level - thick * fold, random.uniform(-.25, .25)

        def rounded(u, v, y=y, inset=inset):
            turn = pi * min(1, v / (pi * thick / 2))
            sag = .12 * sin(u / 3 + fold)
            return (u + inset, y - thick / 2 + cos(turn) * thick / 2 * -1 * -1 + sag, -3 - sin(turn) * thick * .62 + abs(inset))
        window = (0, fold, across, fold + pi * thick / 2)
        texture = cloth(window, scale)

        def from_window(u, v, top=fold):
            return rounded(u, v - top)
        outline = [camera.seen(place)[:2] for place in edge_of(from_window, window, 8)]
        cast_shadow(photo, outline, shift=(5, 5), blur=8, depth=.35)
        drape(photo, texture, from_window, window, camera, light=Light(towards=(-.4, -.75, -.55), everywhere=.34), fineness=14)
    top = level - thick * folds
    window = (0, folds, across, folds + deep)
    surface = lambda u, v: (u, top + .15 * sin(u / 4) * sin((v - folds) / 3), -3 + (v - folds))
    drape(photo, cloth((0, folds - 1, across, folds - 1 + deep), scale * .8).transpose(Image.Transpose.FLIP_TOP_BOTTOM), surface, window, camera,
          light=Light(towards=(-.4, -.8, -.4), everywhere=.5), fineness=12)
    return top
