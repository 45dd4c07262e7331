"""Printed and woven cloth, as tiles that repeat without a seam.

A fabric is a colour, a print, and the companion colours that its print may use. Its tile is drawn
large and reduced, so that even a pin dot has a soft edge.
"""

from collections.abc import Callable
from functools import lru_cache
from math import cos, pi, sin
from random import Random

from PIL import Image, ImageChops, ImageDraw, ImageFilter

from .bolt import Bolt, Fabric
from .chance import speckle, stretched
from .shades import Rgb, companion, deeper, lightness, mixed, paler, shifted

DRAWN_AT = 96  # pixels to the inch at least, while a tile is drawn


def _pick(fabric: Fabric, random: Random, least_contrast: float = 0.12) -> Rgb:
    """A companion colour that shows on the cloth, softened towards it."""
    showing = [c for c in fabric.companions if abs(lightness(c) - lightness(fabric.colour)) > least_contrast]
    if not showing:
        return companion(fabric.colour, 0.45)
    return mixed(random.choice(showing), fabric.colour, 0.12)


def _contrast(fabric: Fabric, amount: float) -> Rgb:
    """White upon dark cloth; on light cloth a companion colour, as strong as `amount`."""
    if lightness(fabric.colour) < 0.62:
        return paler(fabric.colour, amount)
    showing = [c for c in fabric.companions if lightness(c) < lightness(fabric.colour) - 0.15]
    ink = showing[fabric.number % len(showing)] if showing else deeper(fabric.colour, 0.6)
    return mixed(fabric.colour, ink, amount * 0.8)


def _green(fabric: Fabric) -> Rgb:
    greens = [c for c in fabric.companions if c[1] > c[0] and c[1] > c[2]]
    base = greens[0] if greens else (104, 128, 84)
    return (
        mixed(base, fabric.colour, 0.3)
        if abs(lightness(base) - lightness(fabric.colour)) > 0.1
        else companion(base, 0.35)
    )


def solid(bolt: Bolt) -> None:
    pass


def tone_on_tone(bolt: Bolt) -> None:
    """Small sprigs in a shade of the ground."""
    shade = companion(bolt.fabric.colour, 0.17)
    kind = bolt.random.choice(["sprigs", "curls", "specks"])
    for x, y in bolt.scattered(0.42 if kind != "specks" else 0.22):
        angle = bolt.random.uniform(0, 2 * pi)
        if kind == "sprigs":
            for turn in (-0.7, 0, 0.7):
                _leaf(bolt, x, y, angle + turn, 0.2, 0.06, shade)
        elif kind == "curls":
            _curl(bolt, x, y, angle, 0.17, shade, 0.03)
        else:
            bolt.dot(x, y, bolt.random.uniform(0.025, 0.06), shade)


def dots(bolt: Bolt) -> None:
    colour = _pick(bolt.fabric, bolt.random) if bolt.random.random() < 0.4 else _contrast(bolt.fabric, 0.72)
    for x, y in bolt.scattered(bolt.random.choice([0.5, 0.6, 0.75]), 0):
        bolt.dot(x, y, bolt.inches / 60 + 0.04, colour)


def pin_dots(bolt: Bolt) -> None:
    for x, y in bolt.scattered(0.25, 0):
        bolt.dot(x, y, 0.042, _contrast(bolt.fabric, 0.7))


def small_floral(bolt: Bolt) -> None:
    colours = [_pick(bolt.fabric, bolt.random) for _ in range(2)] + [_contrast(bolt.fabric, 0.6)]
    green = _green(bolt.fabric)
    for x, y in bolt.scattered(bolt.random.choice([0.42, 0.5, 0.6])):
        angle, size = bolt.random.uniform(0, 2 * pi), bolt.random.uniform(0.09, 0.15)
        for turn in (0.6, 2.4):
            _leaf(bolt, x, y, angle + turn, size * 1.9, size * 0.5, green)
        _flower(bolt, x, y, size, bolt.random.choice(colours), angle)
    for x, y in bolt.scattered(0.5):
        bolt.dot(x, y, 0.026, bolt.random.choice(colours))


def large_floral(bolt: Bolt) -> None:
    green = _green(bolt.fabric)
    petals = [_pick(bolt.fabric, bolt.random, 0.05) for _ in range(3)]
    for x, y in bolt.scattered(1.5, 0.22):
        colour, angle, size = (
            bolt.random.choice(petals),
            bolt.random.uniform(0, 6),
            bolt.random.uniform(0.42, 0.62),
        )
        for turn in (0, 1.3, 2.6, 3.9, 5.2):
            _leaf(
                bolt,
                x,
                y,
                angle + turn,
                size * 1.65,
                size * 0.4,
                mixed(green, bolt.fabric.colour, bolt.random.uniform(0, 0.4)),
            )
        for ring, shade in ((1, -0.05), (0.72, 0.04), (0.45, 0.13), (0.2, -0.12)):
            _flower(bolt, x, y, size * ring, shifted(colour, light=shade), angle + ring * 2)
    for x, y in bolt.scattered(0.75):
        _flower(bolt, x, y, 0.09, _contrast(bolt.fabric, 0.5), 0)


def stripe(bolt: Bolt) -> None:
    wide, thin = _contrast(bolt.fabric, 0.55), _pick(bolt.fabric, bolt.random)
    step = 0.75
    for k in range(round(bolt.inches / step)):
        x = k * step
        bolt.draw.rectangle((x * bolt.scale, 0, (x + 0.3) * bolt.scale, bolt.side), fill=wide)
        bolt.draw.rectangle(((x + 0.46) * bolt.scale, 0, (x + 0.53) * bolt.scale, bolt.side), fill=thin)


def ticking(bolt: Bolt) -> None:
    shade = _contrast(bolt.fabric, 0.6)
    step = 0.25
    for k in range(round(bolt.inches / step)):
        for offset, width in ((0, 0.05), (0.08, 0.02)):
            x = (k * step + offset) * bolt.scale
            bolt.draw.rectangle((x, 0, x + width * bolt.scale, bolt.side), fill=shade)


def _woven(bolt: Bolt, bands: list[tuple[float, float, Rgb]], strength: int = 128) -> None:
    """Bands (start, width, colour), the same in warp and weft, half showing where they cross."""
    layer = Image.new("L", bolt.image.size, 0)
    for vertical in (True, False):
        for start, width, colour in bands:
            mask = layer.copy()
            low, high = start * bolt.scale, (start + width) * bolt.scale - 1
            ImageDraw.Draw(mask).rectangle(
                (low, 0, high, bolt.side) if vertical else (0, low, bolt.side, high), fill=strength
            )
            bolt.image.paste(colour, (0, 0), mask)


def gingham(bolt: Bolt) -> None:
    size = bolt.random.choice([0.25, 0.375, 0.5])
    white = paler(bolt.fabric.colour, 0.86)
    bolt.image.paste(white, (0, 0, bolt.side, bolt.side))
    step = bolt.inches / round(bolt.inches / (2 * size))
    _woven(
        bolt,
        [(k * step, step / 2, bolt.fabric.colour) for k in range(round(bolt.inches / step))],
        150,
    )


def plaid(bolt: Bolt) -> None:
    second, third = _contrast(bolt.fabric, 0.5), _pick(bolt.fabric, bolt.random)
    step = bolt.inches / 3
    bands = []
    for k in range(3):
        start = k * step
        bands += [
            (start, step * 0.36, second),
            (start + step * 0.10, step * 0.16, deeper(bolt.fabric.colour, 0.3)),
            (start + step * 0.58, step * 0.06, third),
            (start + step * 0.80, step * 0.05, paler(bolt.fabric.colour, 0.7)),
        ]
    _woven(bolt, bands)


def check(bolt: Bolt) -> None:
    step = bolt.inches / round(bolt.inches / 1.0)
    _woven(
        bolt,
        [(k * step, step / 2, companion(bolt.fabric.colour, 0.5)) for k in range(round(bolt.inches / step))],
        140,
    )


def flannel(bolt: Bolt) -> None:
    plaid(bolt)
    _soften(bolt, 0.05)


def _soften(bolt: Bolt, inches: float) -> None:
    """Blurs the tile as if its neighbours lay round it."""
    rim, side = bolt.side // 8, bolt.side
    wide = Image.new("RGB", (side + 2 * rim, side + 2 * rim))
    for x in (rim - side, rim, rim + side):
        for y in (rim - side, rim, rim + side):
            wide.paste(bolt.image, (x, y))
    bolt.image = wide.filter(ImageFilter.GaussianBlur(inches * bolt.scale)).crop((rim, rim, rim + side, rim + side))


def _clouds(bolt: Bolt, word: str, cells: tuple[tuple[int, float], ...]) -> Image.Image:
    """Soft noise that repeats: lattices of the given cells across, weighted."""
    total = None
    for across, weight in cells:
        small = speckle(across, across, word, bolt.fabric.colour, bolt.fabric.number, across)
        ringed = Image.new("L", (across + 4, across + 4))
        for dx in (-across, 0, across):
            for dy in (-across, 0, across):
                ringed.paste(small, (2 + dx, 2 + dy))
        layer = ringed.resize(bolt.image.size, Image.Resampling.BICUBIC, box=(2, 2, across + 2, across + 2))
        total = layer if total is None else Image.blend(total, layer, weight)
    return total


def batik(bolt: Bolt) -> None:
    base = bolt.fabric.colour
    light = shifted(paler(base, 0.38), hue=bolt.random.uniform(-0.05, 0.05), colourful=1.1)
    dark = shifted(deeper(base, 0.26), hue=bolt.random.uniform(-0.05, 0.05), colourful=1.15)
    n = max(3, round(bolt.inches))
    clouds = stretched(_clouds(bolt, "batik", ((n, 1), (n * 2, 0.45), (n * 5, 0.3))), 70, 186)
    bolt.image = Image.composite(
        Image.new("RGB", bolt.image.size, light), Image.new("RGB", bolt.image.size, dark), clouds
    )
    middle = stretched(_clouds(bolt, "batik middle", ((n, 1), (n * 3, 0.4))), 80, 176)
    bolt.image.paste(base, (0, 0), middle.point([round(v * 0.6) for v in range(256)]))
    bolt.draw = ImageDraw.Draw(bolt.image)
    if bolt.random.random() < 0.7:
        wax = paler(base, 0.55) if lightness(base) < 0.7 else deeper(base, 0.18)
        kind = bolt.random.choice(["leaf", "ring", "dots"])
        for x, y in bolt.scattered(0.95):
            angle = bolt.random.uniform(0, 2 * pi)
            shade = mixed(wax, base, bolt.random.uniform(0.25, 0.65))
            if kind == "leaf":
                _leaf(bolt, x, y, angle, 0.5, 0.13, shade)
            elif kind == "ring":
                bolt.line(
                    [(x + 0.16 * cos(t / 3), y + 0.16 * sin(t / 3)) for t in range(20)],
                    shade,
                    0.035,
                )
            else:
                for k in range(5):
                    bolt.dot(x + 0.13 * k * cos(angle), y + 0.13 * k * sin(angle), 0.035, shade)
    _soften(bolt, 0.02)


def crossweave(bolt: Bolt) -> None:
    """Warp and weft of two shades, as in chambray."""
    warp = speckle(bolt.side, 1, "warp", bolt.fabric.colour).resize(bolt.image.size)
    weft = speckle(1, bolt.side, "weft", bolt.fabric.colour).resize(bolt.image.size)
    threads = Image.blend(warp, weft, 0.5).filter(ImageFilter.GaussianBlur(0.012 * bolt.scale))
    bolt.image = Image.composite(
        Image.new("RGB", bolt.image.size, paler(bolt.fabric.colour, 0.3)),
        Image.new("RGB", bolt.image.size, deeper(bolt.fabric.colour, 0.12)),
        threads,
    )


def stars(bolt: Bolt) -> None:
    colours = [_contrast(bolt.fabric, 0.75), _pick(bolt.fabric, bolt.random)]
    for x, y in bolt.scattered(0.6, 0.2):
        size, angle = bolt.random.uniform(0.07, 0.15), bolt.random.uniform(0, 2)
        bolt.polygon(
            [
                (
                    x + size * (1 if k % 2 == 0 else 0.42) * cos(angle + pi * k / 5),
                    y + size * (1 if k % 2 == 0 else 0.42) * sin(angle + pi * k / 5),
                )
                for k in range(10)
            ],
            bolt.random.choice(colours),
        )


def leaves(bolt: Bolt) -> None:
    shades = [companion(bolt.fabric.colour, amount) for amount in (0.18, 0.32, 0.5)]
    for x, y in bolt.scattered(0.62):
        angle = bolt.random.uniform(0, 2 * pi)
        shade = bolt.random.choice(shades)
        bolt.line([(x, y), (x + 0.5 * cos(angle), y + 0.5 * sin(angle))], shade, 0.025)
        for along in (0.16, 0.3, 0.44):
            for side in (-0.8, 0.8):
                _leaf(
                    bolt,
                    x + along * cos(angle),
                    y + along * sin(angle),
                    angle + side,
                    0.2,
                    0.07,
                    shade,
                )


def text(bolt: Bolt) -> None:
    """Lines of print too small to read."""
    ink = _contrast(bolt.fabric, 0.5)
    rows = round(bolt.inches / 0.26)
    for row in range(rows):
        x, y = 0.0, (row + 0.5) * bolt.inches / rows
        while x < bolt.inches - 0.1:
            word = bolt.random.uniform(0.12, 0.42)
            letter = x
            while letter < min(x + word, bolt.inches - 0.02):
                top = bolt.random.choice([0.05, 0.05, 0.05, 0.09])
                bolt.draw.rectangle(
                    (
                        letter * bolt.scale,
                        (y - top) * bolt.scale,
                        (letter + 0.028) * bolt.scale,
                        (y + 0.03) * bolt.scale,
                    ),
                    fill=ink,
                )
                letter += 0.055
            x += word + 0.1


def swirls(bolt: Bolt) -> None:
    shade = companion(bolt.fabric.colour, 0.3)
    for x, y in bolt.scattered(0.8, 0.25):
        _curl(bolt, x, y, bolt.random.uniform(0, 6), 0.36, shade, 0.05)


def _leaf(bolt: Bolt, x: float, y: float, angle: float, length: float, width: float, colour: Rgb) -> None:
    c, s = cos(angle), sin(angle)
    outline = [(0, 0), (0.3, -0.45), (0.6, -0.45), (1, 0), (0.6, 0.45), (0.3, 0.45)]
    bolt.polygon(
        [(x + c * a * length - s * b * width, y + s * a * length + c * b * width) for a, b in outline],
        colour,
    )


def _curl(bolt: Bolt, x: float, y: float, angle: float, size: float, colour: Rgb, width: float) -> None:
    bolt.line(
        [
            (
                x + size * (1 - t / 16) * cos(angle + t * 0.55),
                y + size * (1 - t / 16) * sin(angle + t * 0.55),
            )
            for t in range(15)
        ],
        colour,
        width,
    )


def _flower(bolt: Bolt, x: float, y: float, size: float, colour: Rgb, angle: float) -> None:
    for k in range(5):
        turn = angle + 2 * pi * k / 5
        bolt.dot(x + size * 0.58 * cos(turn), y + size * 0.58 * sin(turn), size * 0.46, colour)
    bolt.dot(x, y, size * 0.3, shifted(colour, light=0.2 if lightness(colour) < 0.6 else -0.25, hue=0.06))


PRINTS: dict[str, Callable[[Bolt], None]] = {
    "solid": solid,
    "tone on tone": tone_on_tone,
    "dots": dots,
    "pin dots": pin_dots,
    "small floral": small_floral,
    "large floral": large_floral,
    "stripe": stripe,
    "ticking": ticking,
    "gingham": gingham,
    "plaid": plaid,
    "batik": batik,
    "crossweave": crossweave,
    "stars": stars,
    "leaves": leaves,
    "text": text,
    "swirls": swirls,
    "check": check,
    "flannel": flannel,
}
SCRAPPY = "scrappy mix"
SCRAPPY_PRINTS = [
    "small floral",
    "tone on tone",
    "dots",
    "pin dots",
    "leaves",
    "swirls",
    "stripe",
    "gingham",
    "solid",
    "small floral",
    "plaid",
    "stars",
    "crossweave",
]
PRINT_NAMES = [*PRINTS, SCRAPPY]
DIRECTIONAL = {"stripe", "ticking", "gingham", "plaid", "check", "flannel", "text"}
REPEAT = {"solid": 3.0, "large floral": 9.0, "batik": 8.0, "crossweave": 4.0}


@lru_cache(maxsize=600)
def tile(fabric: Fabric, pixels_per_inch: float) -> Image.Image:
    """One repeat of the cloth."""
    inches = REPEAT.get(fabric.print, 6.0)
    scale = pixels_per_inch * max(2 if pixels_per_inch < 130 else 1, round(DRAWN_AT / pixels_per_inch))
    bolt = Bolt(fabric, inches, scale)
    PRINTS[fabric.print](bolt)
    side = max(8, round(inches * pixels_per_inch))
    image = bolt.image if bolt.side == side else bolt.image.resize((side, side), Image.Resampling.BOX)
    return _with_threads(image, fabric, pixels_per_inch)


def _with_threads(image: Image.Image, fabric: Fabric, pixels_per_inch: float) -> Image.Image:
    """The weave: lighter and darker threads, seen close by; a faint unevenness from afar."""
    width, height = image.size
    strength = 0.07 if pixels_per_inch > 50 else 0.05
    cells = max(2, round(REPEAT.get(fabric.print, 6.0) * 40))
    warp = speckle(min(width, cells), max(1, height // 6), "warp", fabric.number).resize(
        image.size, Image.Resampling.BILINEAR
    )
    weft = speckle(max(1, width // 6), min(height, cells), "weft", fabric.number).resize(
        image.size, Image.Resampling.BILINEAR
    )
    threads = Image.blend(warp, weft, 0.5).point([round(255 - strength * (255 - v)) for v in range(256)])
    return ImageChops.multiply(image, Image.merge("RGB", (threads,) * 3))
