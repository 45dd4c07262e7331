"""The quilt in use and put away: on a bed, folded on a shelf."""

from dataclasses import dataclass
from math import atan2, cos, pi, sin
from random import Random

from PIL import Image, ImageDraw, ImageFilter

from .cloth import Quilt, outline_mask, paint_top
from .drape import Camera, Light, Surface, cast_shadow, drape, edge_of, fitted, pixels_per_inch
from .shades import deeper, mixed
from .surroundings import WOODS, bar, boards, lit, shelf_stack_colour, soft_noise, wall, wood

BED_HEIGHT = 24.0  # inches from the floor to the top of the mattress
BEDS = (
    (84, 60.0, 80.0),
    (66, 54.0, 75.0),
    (0, 39.0, 75.0),
)  # least width of the quilt, the bed's width and length
MATTRESS = 10.0
PILLOW_DEEP = 14.0


@dataclass(frozen=True)
class Bed:
    width: float
    length: float

    def covered(self, cloth_width: float, cloth_length: float, over_foot: float, random: Random) -> Surface:
        """A cloth upon the bed, centred, with `over_foot` inches hanging over the foot.

        World: x across from the middle, y down from the mattress, z from the foot to the head.
        """
        phases = [random.uniform(0, 6) for _ in range(3)]

        def surface(u: float, v: float):
            x, beyond = u - cloth_width / 2, v - cloth_length + over_foot
            over_side, over_end = max(0.0, abs(x) - self.width / 2), max(0.0, beyond)
            edge_x, z = max(-self.width / 2, min(self.width / 2, x)), max(0.0, -beyond)
            drop = max(over_side, over_end)
            if drop == 0:
                return (x, -0.15 + 0.2 * sin(u / 8 + phases[0]) * sin(v / 10 + phases[1]), z)
            turn = atan2(over_end, over_side) if over_side and over_end else (0.0 if over_side else pi / 2)
            fold = 0.8 * sin((v if over_side >= over_end else u) / 4.4 + phases[2]) * min(1.0, drop / 7)
            out = min(1.0, drop * 0.5) + drop * 0.07 + fold + min(over_side, over_end) * 0.42
            return (
                edge_x + (1 if x > 0 else -1) * cos(turn) * out * bool(over_side),
                min(drop * 0.985, BED_HEIGHT - 0.4),
                z - sin(turn) * out * bool(over_end),
            )

        return surface


def bed(quilt: Quilt, size: tuple[int, int], random: Random) -> Image.Image:
    """On a bed over a plain coverlet; seen from the foot. A small quilt lies at the foot as a throw."""
    width, length = quilt.layout.width, quilt.layout.length
    made = next(Bed(w, l) for least, w, l in BEDS if width >= least)
    room_on_top = made.length - PILLOW_DEEP
    over_foot = min(length - room_on_top, 15.0) if length > room_on_top else min(9.0, length * 0.2)
    over_foot = -5.0 if length < 34 else over_foot
    camera = Camera(
        (
            made.width * random.uniform(0.55, 0.9) * random.choice([-1, 1]),
            -made.length * 0.72,
            -made.length * 1.15,
        ),
        (0, 4, made.length * 0.45),
    )
    corners = [
        (x, y, z)
        for x in (-made.width / 2 - 5, made.width / 2 + 5)
        for y, z in ((BED_HEIGHT, -3), (-22, made.length + 5))
    ]
    m = min(size) * 0.035
    camera = fitted(camera, corners, (m, m, size[0] - m, size[1] - m))
    photo = wall(
        size,
        quilt.recipe.wall or random.choice([(218, 214, 204), (204, 210, 212), (226, 220, 208)]),
        random,
    )
    _floor_and_wall(photo, camera, made, random)
    _headboard(photo, camera, made, random)
    _frame(photo, camera, made, random)
    photo = photo.filter(ImageFilter.GaussianBlur(1.0))
    light = Light(towards=(-0.55, -0.8, -0.35), everywhere=0.42)
    _coverlet(photo, camera, made, light, random)
    surface = made.covered(width, length, over_foot, random)
    scale = pixels_per_inch(camera, surface, quilt.whole) * 0.95
    outline = [camera.seen(place)[:2] for place in edge_of(surface, quilt.whole)]
    per_inch = scale
    cast_shadow(photo, outline, shift=(0.25 * per_inch, 0.35 * per_inch), blur=0.8 * per_inch, depth=0.38)
    window = (-0.3, -0.3, width + 0.3, length + 0.3)
    drape(
        photo,
        paint_top(quilt, window, scale),
        surface,
        window,
        camera,
        mask=outline_mask(quilt, window, scale),
        light=light,
        fineness=40,
    )
    _pillows(photo, camera, made, random)
    return photo


def _floor_and_wall(photo: Image.Image, camera: Camera, made: Bed, random: Random) -> None:
    planks = boards((1000, 1000), 44, random.choice(WOODS), random)
    reach, near, far = 150.0, -130.0, made.length + 9
    drape(
        photo,
        planks,
        lambda u, v: (u, BED_HEIGHT, far - v),
        (-reach, 0, reach, far - near),
        camera,
        fineness=16,
    )
    board = Image.new("RGB", (200, 20), (232, 230, 224))
    drape(
        photo,
        board,
        lambda u, v: (u, BED_HEIGHT - 5 + v, far),
        (-reach, 0, reach, 5),
        camera,
        fineness=4,
    )
    under = [
        camera.seen((x, BED_HEIGHT, z))[:2]
        for x, z in (
            (-made.width / 2 - 3, made.length + 5),
            (made.width / 2 + 3, made.length + 5),
            (made.width / 2 + 3, -3),
            (-made.width / 2 - 3, -3),
        )
    ]
    cast_shadow(photo, under, shift=(8, 6), blur=26, depth=0.62)


def _headboard(photo: Image.Image, camera: Camera, made: Bed, random: Random) -> None:
    colour = random.choice(WOODS)
    texture = wood((700, 330), colour, random)
    window = (-made.width / 2 - 2, -20, made.width / 2 + 2, BED_HEIGHT)

    def surface(u, v):
        return (u, v, made.length + 5)

    outline = [camera.seen(place)[:2] for place in edge_of(surface, window, 4)]
    cast_shadow(photo, outline, shift=(14, 8), blur=26, depth=0.35)
    drape(photo, texture, surface, window, camera, fineness=4)
    rim = bar((700, 24), colour, random)
    drape(photo, rim, surface, (window[0] - 0.8, -21.8, window[2] + 0.8, -19.2), camera, fineness=4)


def _frame(photo: Image.Image, camera: Camera, made: Bed, random: Random) -> None:
    """Side rails, foot rail and legs of wood, and the mattress upon them."""
    draw = ImageDraw.Draw(photo)
    wood_colour = random.choice(WOODS)
    half = made.width / 2

    def face(places, colour):
        draw.polygon([camera.seen(place)[:2] for place in places], fill=colour)

    sides = [
        ((-half, 0), (-half, made.length)),
        ((half, 0), (half, made.length)),
        ((-half, 0), (half, 0)),
    ]
    sides.sort(key=lambda side: -sum(camera.seen((x, 0, z))[2] for x, z in side))
    for (ax, az), (bx, bz) in sides:
        shade = 0.30 if ax == bx else 0.18
        for x, z in ((ax, az), (bx, bz)):
            face(
                [(x - 1, 16, z), (x + 1, 16, z), (x + 1, BED_HEIGHT, z), (x - 1, BED_HEIGHT, z)],
                deeper(wood_colour, 0.35),
            )
        face(
            [(ax, MATTRESS, az), (bx, MATTRESS, bz), (bx, 18, bz), (ax, 18, az)],
            deeper(wood_colour, shade),
        )
        face([(ax, 0, az), (bx, 0, bz), (bx, MATTRESS, bz), (ax, MATTRESS, az)], (206, 202, 194))
    face(
        [(-half, 0, 0), (half, 0, 0), (half, 0, made.length + 4), (-half, 0, made.length + 4)],
        (236, 234, 228),
    )


def _coverlet(photo: Image.Image, camera: Camera, made: Bed, light: Light, random: Random) -> None:
    width, length, over = made.width + 26, made.length + 13, 13.0
    colour = random.choice([(233, 229, 219), (226, 228, 228), (232, 224, 212)])
    texture = Image.new("RGB", (round(width * 8), round(length * 8)), colour)
    texture = lit(texture, soft_noise(texture.size, 5, "coverlet", random), 0.95, 1)
    surface = made.covered(width, length, over, random)
    drape(photo, texture, surface, (0, 0, width, length), camera, light=light, fineness=32)


def _pillows(photo: Image.Image, camera: Camera, made: Bed, random: Random) -> None:
    """Plump pillows against the headboard."""
    count = 2 if made.width > 45 else 1
    each = made.width / count * 0.88
    for k in range(count):
        middle = -made.width / 2 + made.width * (k + 0.5) / count

        def surface(u, v, middle=middle):
            a, b = (u / each - 0.5) * 2, (v / 15 - 0.5) * 2
            puff = max(0.0, (1 - abs(a) ** 3.2)) ** 0.5 * max(0.0, (1 - abs(b) ** 3)) ** 0.5
            return (
                middle + (u - each / 2) * (1 - 0.06 * b * b),
                -14.0 + v * 0.93 - 1.0,
                made.length + 3.5 - v * 0.34 - 5.5 * puff,
            )

        cloth = Image.new("RGB", (260, 200), (238, 236, 230))
        cloth = lit(cloth, soft_noise(cloth.size, 42, "pillow", random), 0.93, 1)
        window = (0, 0, each, 15)
        outline = [camera.seen(place)[:2] for place in edge_of(surface, window, 8)]
        cast_shadow(photo, outline, shift=(5, 6), blur=14, depth=0.30)
        drape(
            photo,
            cloth,
            surface,
            window,
            camera,
            light=Light(towards=(-0.5, -0.75, -0.45), everywhere=0.5),
            fineness=16,
        )


def folded(quilt: Quilt, size: tuple[int, int], random: Random) -> Image.Image:
    """Folded on a shelf, on top of two others."""
    photo = wall(size, random.choice([(206, 200, 188), (196, 202, 202), (214, 208, 196)]), random)
    across, deep = 19.0, 13.0
    camera = Camera((across * random.uniform(0.1, 0.9), -11, -46), (across / 2, 2, 3))
    camera = fitted(
        camera,
        [(-2.4, -6.5, 0), (across + 2.4, -6.5, 0), (-2.4, 11.5, 0), (across + 2.4, 11.5, 0)],
        (0, size[1] * 0.04, size[0], size[1] * 0.98),
    )
    shelf = wood((900, 420), random.choice(WOODS), random)
    drape(photo, shelf, lambda u, v: (u, 9.6, 16 - v), (-30, 0, 50, 20), camera, fineness=6)
    drape(
        photo,
        bar((900, 40), random.choice(WOODS), random),
        lambda u, v: (u, 9.6 + v, -4),
        (-30, 0, 50, 1.5),
        camera,
        fineness=3,
    )
    level = 9.6
    for neighbour in range(2):
        colour, other = shelf_stack_colour(random), shelf_stack_colour(random)
        level = _stack(
            photo,
            camera,
            random,
            across - random.uniform(0, 1.2),
            deep,
            level,
            2,
            lambda w, s, c=colour, o=other: _plain_cloth(w, s, c, o, random),
        )
    width, length = quilt.layout.width, quilt.layout.length
    starts = [random.uniform(0, max(0.1, length - deep)) for _ in range(4)]
    offset = random.uniform(0, max(0.1, width - across))

    def cloth(window, scale):
        fold = min(3, int(window[1]))
        v0 = starts[fold]
        return paint_top(quilt, (offset, v0, offset + window[2] - window[0], v0 + (window[3] - window[1])), scale)

    _stack(photo, camera, random, across, deep, level, 4, cloth)
    return photo


def _plain_cloth(window, scale: float, colour, other, random: Random) -> Image.Image:
    size = (
        max(2, round((window[2] - window[0]) * scale)),
        max(2, round((window[3] - window[1]) * scale)),
    )
    cloth = Image.new("RGB", size, colour)
    draw = ImageDraw.Draw(cloth)
    step = random.uniform(1.6, 3.2) * scale
    for k in range(int(size[0] / step) + 1):
        if k % 2:
            draw.rectangle((k * step, 0, (k + 1) * step, size[1]), fill=mixed(colour, other, 0.55))
    return lit(cloth, soft_noise(size, 0.4 * scale, "stack", random), 0.88, 1)


def _stack(
    photo: Image.Image,
    camera: Camera,
    random: Random,
    across: float,
    deep: float,
    level: float,
    folds: int,
    cloth,
) -> float:
    """Rounded folds, one upon the other, from `level` upwards; gives the level of the top."""
    thick = 1.55
    scale = 34.0
    for fold in range(folds):
        y, inset = level - thick * fold, random.uniform(-0.25, 0.25)

        def rounded(u, v, y=y, inset=inset, fold=fold):
            turn = pi * min(1, v / (pi * thick / 2))
            sag = 0.12 * sin(u / 3 + fold)
            return (
                u + inset,
                y - thick / 2 + cos(turn) * thick / 2 * -1 * -1 + sag,
                -3 - sin(turn) * thick * 0.62 + abs(inset),
            )

        window = (0, fold, across, fold + pi * thick / 2)
        texture = cloth(window, scale)

        def from_window(u, v, top=fold):
            return rounded(u, v - top)

        outline = [camera.seen(place)[:2] for place in edge_of(from_window, window, 8)]
        cast_shadow(photo, outline, shift=(5, 5), blur=8, depth=0.35)
        drape(
            photo,
            texture,
            from_window,
            window,
            camera,
            light=Light(towards=(-0.4, -0.75, -0.55), everywhere=0.34),
            fineness=14,
        )
    top = level - thick * folds
    window = (0, folds, across, folds + deep)
    surface = lambda u, v: (u, top + 0.15 * sin(u / 4) * sin((v - folds) / 3), -3 + (v - folds))
    drape(
        photo,
        cloth((0, folds - 1, across, folds - 1 + deep), scale * 0.8).transpose(Image.Transpose.FLIP_TOP_BOTTOM),
        surface,
        window,
        camera,
        light=Light(towards=(-0.4, -0.8, -0.4), everywhere=0.5),
        fineness=12,
    )
    return top
