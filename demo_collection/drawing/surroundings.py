"""What quilts are photographed against: walls, floor boards, grass, gardens, wood."""

from math import pi, sin
from random import Random

from PIL import Image, ImageChops, ImageDraw, ImageFilter

from .chance import grain, speckle
from .shades import Rgb, deeper, lightness, mixed, shifted

WALLS: list[Rgb] = [
    (226, 223, 216),
    (214, 212, 207),
    (231, 224, 210),
    (205, 209, 208),
    (221, 216, 209),
    (196, 196, 192),
    (236, 233, 226),
]
WOODS: list[Rgb] = [(170, 122, 78), (140, 98, 64), (186, 146, 104), (120, 84, 58), (196, 168, 132)]


def soft_noise(size: tuple[int, int], across: float, word: str, random: Random, *, stretch: float = 1) -> Image.Image:
    """Clouds, `across` pixels large, `stretch` times longer than wide."""
    columns, rows = max(2, round(size[0] / across)), max(2, round(size[1] / across / stretch))
    return speckle(columns, rows, word, random.random()).resize(size, Image.Resampling.BICUBIC)


def lit(picture: Image.Image, shade: Image.Image, low: float, high: float) -> Image.Image:
    """The picture darkened by a shade: black stands for `low`, white for `high` (of full light)."""
    table = [min(255, round(255 * (low + (high - low) * value / 255))) for value in range(256)]
    layer = shade.point(table)
    return ImageChops.multiply(picture, Image.merge("RGB", (layer, layer, layer)))


def wall(size: tuple[int, int], colour: Rgb, random: Random) -> Image.Image:
    """Painted plaster."""
    picture = Image.new("RGB", size, colour)
    picture = lit(picture, soft_noise(size, 90, "plaster", random), 0.955, 1)
    picture = lit(picture, grain(*size, "plaster", random).filter(ImageFilter.GaussianBlur(1.4)), 0.95, 1.0)
    return picture


def wood(size: tuple[int, int], colour: Rgb, random: Random, *, upright: bool = False) -> Image.Image:
    """Planed wood, its grain running along the longer way unless told upright."""
    if upright:
        return wood((size[1], size[0]), colour, random).transpose(Image.Transpose.ROTATE_90)
    picture = Image.new("RGB", size, colour)
    broad = soft_noise(size, 26, "wood", random, stretch=0.22).resize(size)
    fine_small = speckle(max(2, size[0] // 60), max(2, size[1] // 2), "wood fine", random.random())
    fine = fine_small.resize(size, Image.Resampling.BICUBIC)
    rings_small = speckle(max(2, size[0] // 160), max(2, size[1] // 9), "wood rings", random.random())
    rings = rings_small.resize(size, Image.Resampling.BICUBIC)
    picture = lit(picture, rings, 0.78, 1.06)
    picture = lit(picture, fine, 0.86, 1.04)
    return lit(picture, broad, 0.92, 1.03)


def boards(size: tuple[int, int], board: float, colour: Rgb, random: Random) -> Image.Image:
    """A floor of boards `board` pixels wide, which run across the picture."""
    picture = Image.new("RGB", size, deeper(colour, 0.6))
    gap = max(1, round(board * 0.018))
    y, row = -random.uniform(0, board), 0
    while y < size[1]:
        x = -random.uniform(0, size[0] * 0.6)
        while x < size[0]:
            length = random.uniform(board * 9, board * 17)
            shade = shifted(colour, light=random.uniform(-0.06, 0.05), hue=random.uniform(-0.008, 0.008))
            plank = wood((max(2, round(length) - gap), max(2, round(board) - gap)), shade, random)
            picture.paste(plank, (round(x), round(y)))
            x += length
        y += board
        row += 1
    return picture.filter(ImageFilter.GaussianBlur(1.0))


def grass(size: tuple[int, int], blade: float, random: Random) -> Image.Image:
    """Mown grass from above; `blade` is the length of a blade in pixels."""
    ground = Image.new("RGB", size, (74, 96, 44))
    ground = lit(ground, soft_noise(size, blade * 6, "tufts", random), 0.72, 1.1)
    tile_side = round(blade * 16)
    tiles = []
    for _ in range(3):
        tile = Image.new("RGBA", (tile_side, tile_side), (0, 0, 0, 0))
        draw = ImageDraw.Draw(tile)
        for _ in range(2600):
            x, y = random.uniform(0, tile_side), random.uniform(0, tile_side)
            dx, dy = random.gauss(0, blade * 0.35), -abs(random.gauss(blade * 0.5, blade * 0.35))
            shade = random.choice(
                [
                    (118, 146, 70),
                    (92, 122, 52),
                    (136, 158, 84),
                    (74, 104, 44),
                    (152, 160, 96),
                    (60, 84, 36),
                ]
            )
            draw.line((x, y, x + dx, y + dy), fill=(*shade, 190), width=max(1, round(blade * 0.10)))
        tiles.append(tile)
    step = round(tile_side * 0.8)
    for top in range(-tile_side // 2, size[1], step):
        for left in range(-tile_side // 2, size[0], step):
            tile = random.choice(tiles)
            if random.random() < 0.5:
                tile = tile.transpose(Image.Transpose.FLIP_LEFT_RIGHT)
            place = (left + random.randrange(-6, 7), top + random.randrange(-6, 7))
            ground.paste(tile, place, tile)
    return ground.filter(ImageFilter.GaussianBlur(1.7))


def garden(size: tuple[int, int], random: Random, *, horizon: float = 0.62) -> Image.Image:
    """A garden out of focus: sky, trees, a hedge, a lawn."""
    small = (max(8, size[0] // 4), max(8, size[1] // 4))
    w, h = small
    picture = Image.new("RGB", small, (196, 214, 228))
    draw = ImageDraw.Draw(picture)
    for y in range(h):
        draw.line((0, y, w, y), fill=mixed((168, 198, 226), (228, 232, 228), min(1, y / (h * horizon))))
    for _ in range(130):
        x, y, r = (
            random.uniform(-20, w + 20),
            random.uniform(h * 0.12, h * horizon),
            random.uniform(w * 0.03, w * 0.11),
        )
        shade = shifted(
            random.choice([(86, 112, 62), (112, 136, 78), (66, 92, 58), (134, 150, 92), (98, 122, 84)]),
            light=random.uniform(-0.06, 0.08),
        )
        if y > h * horizon * (0.25 + 0.35 * abs(sin(x / w * pi * 1.3))):
            draw.ellipse((x - r, y - r * 0.8, x + r, y + r * 0.8), fill=shade)
    draw.rectangle((0, h * horizon, w, h), fill=(124, 148, 78))
    for _ in range(60):
        x, y = random.uniform(0, w), random.uniform(h * horizon, h)
        draw.ellipse(
            (x - w * 0.1, y - 2, x + w * 0.1, y + 2),
            fill=shifted((124, 148, 78), light=random.uniform(-0.07, 0.07)),
        )
    for _ in range(26):
        x, y, r = (
            random.uniform(0, w),
            random.uniform(h * (horizon - 0.12), h * (horizon + 0.02)),
            random.uniform(1.5, w * 0.014),
        )
        draw.ellipse(
            (x - r, y - r, x + r, y + r),
            fill=random.choice(
                [
                    (214, 170, 176),
                    (232, 214, 150),
                    (236, 232, 222),
                    (178, 158, 196),
                    (208, 120, 100),
                ]
            ),
        )
    picture = picture.filter(ImageFilter.GaussianBlur(w * 0.016))
    return picture.resize(size, Image.Resampling.BICUBIC)


def wall_colour_for(colours: list[Rgb], random: Random) -> Rgb:
    """A quiet wall on which a quilt of these edge colours stands out."""
    edge = sum(lightness(c) for c in colours) / max(1, len(colours))
    fitting = [w for w in WALLS if abs(lightness(w) - edge) > 0.12] or [
        (150, 150, 148),
        (122, 128, 130),
    ]
    if edge > 0.72:
        fitting = [(176, 180, 180), (164, 160, 154), (150, 160, 164), (168, 172, 160)]
    return random.choice(fitting)


def shelf_stack_colour(random: Random) -> Rgb:
    return random.choice([(206, 196, 180), (150, 166, 172), (186, 150, 136), (160, 170, 142), (222, 214, 200)])


def bar(size: tuple[int, int], colour: Rgb, random: Random) -> Image.Image:
    """A round wooden bar lying across, lit from above."""
    picture = wood(size, colour, random)
    _w, h = size
    column = bytes(round(255 * max(0.25, min(1, 1.05 - 1.1 * abs(y / max(1, h - 1) - 0.3) ** 1.2))) for y in range(h))
    shade = Image.frombytes("L", (1, h), column).resize(size)
    return lit(picture, shade, 0, 1)
