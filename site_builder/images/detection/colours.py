"""A quilt's own colours from a photo of it, without those of the wall and the floor around it.

A heuristic that works for most photos: shades along the picture's edge that are rare in its middle are the ground, the
wall or floor. A box around the rest is the quilt, and the colours in it count. Colours that the maker records take
precedence.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from PIL import Image, ImageChops

from collection.colours.names import colour_shares
from collection.colours.palette import palette
from collection.colours.spaces import RGB, OKLab, in_more_light, linear_light, oklab_from_srgb
from site_builder.images.picture import QuiltColours

Box = tuple[int, int, int, int]

# By our own judgement, tried on drawn photos. Shares are of a part's area, distances are in OKLab.
LONGEST = 200  # pixels: enough to see patches, and few enough to be quick
SHADES = 64
PLAIN_CHROMA, PLAIN_SHARE = 0.045, 0.01
NOT_WHITE, SURELY_WHITE, WHITE = 0.28, 0.42, 0.86  # luminance, from 0 to 1
MOST_GAIN, TINT_TAKEN = 1.9, 0.5
LEAST_SHADE = 0.001
MIXED = 8  # of 255: a pixel between its neighbours that differs so much from both is on a seam
UNMIXED_ENOUGH = 0.25  # of a part; with less, its seams count too
RING = 0.03  # how wide the edge of the picture is
MIDDLES = (0.5, 0.2)  # of each side: the size of the middle; the second is for long and narrow quilts
GROUND_IN_RING = 0.01  # of the edge, to count as ground at all
GROUND_RATIO = 2.5  # how much more often at the edge than in the middle
SAME_GROUND = 0.05  # shades this close belong together
LEAST_QUILT = 0.12  # of the picture; less is a motif on a quilt of the ground's colours
CORE = 0.7  # of each side of the quilt: surely without ground
STRONG_CHROMA = 0.065  # walls and floors are seldom this colourful, but for wood and grass
WOOD_HUES, WOOD_CHROMA = (40, 90), 0.11
GRASS_HUES, GRASS_CHROMA = (105, 142), 0.16
DARK = 0.32  # and seldom this dark
EVEN_SIDE, EVEN_SHADE = 0.6, 0.06


@dataclass(frozen=True, slots=True)
class _Shades:
    """A small picture in a few shades, given by number."""

    numbers: Image.Image  # mode L: the number of the shade of each pixel
    unmixed: Image.Image  # mode L: 255 within a cloth, 0 along seams, where two colours mix into a third
    colours: tuple[RGB, ...]
    places: tuple[OKLab, ...]

    def shares_in(self, mask: Image.Image) -> list[float]:
        """The share of each shade in the masked part, without seams if that leaves enough pixels."""
        everywhere = self._counts(mask)
        unmixed = self._counts(ImageChops.darker(mask, self.unmixed))
        counts = unmixed if sum(unmixed) >= UNMIXED_ENOUGH * sum(everywhere) else everywhere
        total = sum(counts)
        return [count / total if total else 0.0 for count in counts]

    def _counts(self, mask: Image.Image) -> list[int]:
        return self.numbers.histogram(mask)[: len(self.colours)]


def find_quilt_colours(image: Image.Image) -> QuiltColours:
    """The colours of the quilt in an upright sRGB picture of any size."""
    shades = _shades(image)
    light = _light_to_add(shades)
    samples = [(in_more_light(colour, light), weight) for colour, weight in _quilt_samples(shades)]
    return QuiltColours(palette=palette(samples), terms=colour_shares(samples))


def _shades(image: Image.Image) -> _Shades:
    small = image.reduce(max(1, max(image.size) // LONGEST))
    small.thumbnail((LONGEST, LONGEST), Image.Resampling.BOX)
    indexed = small.quantize(SHADES, method=Image.Quantize.FASTOCTREE, dither=Image.Dither.NONE)
    flat = indexed.getpalette() or []
    colours = tuple((flat[at], flat[at + 1], flat[at + 2]) for at in range(0, len(flat), 3))[:SHADES]
    numbers = Image.frombytes("L", indexed.size, indexed.tobytes())
    return _Shades(numbers, _unmixed(small), colours, tuple(oklab_from_srgb(colour) for colour in colours))


def _unmixed(picture: Image.Image) -> Image.Image:
    """255 where a pixel shows one cloth, 0 where it is between two and shows a mixture of both."""
    mixed = Image.new("RGB", picture.size)
    for x, y in ((1, 0), (0, 1)):
        before, after = ImageChops.offset(picture, x, y), ImageChops.offset(picture, -x, -y)
        steps = ImageChops.difference(picture, before), ImageChops.difference(picture, after)
        smaller, larger = ImageChops.darker(*steps), ImageChops.lighter(*steps)
        beyond = ImageChops.subtract(ImageChops.difference(before, after), larger)
        mixed = ImageChops.lighter(mixed, ImageChops.darker(smaller, beyond))
    red, green, blue = mixed.split()
    largest = ImageChops.lighter(ImageChops.lighter(red, green), blue)
    return largest.point(lambda step: 0 if step > MIXED else 255)


def _quilt_samples(shades: _Shades) -> list[tuple[RGB, float]]:
    size = shades.numbers.size
    everything = _mask(size, (0, 0, *size))
    ground = _ground(shades)
    if not ground or _is_own_border(shades, ground):
        return _samples(shades, shades.shares_in(everything))
    box = _place_of_the_rest(shades, ground)
    if _area(box) < LEAST_QUILT * size[0] * size[1]:
        return _samples(shades, shades.shares_in(_mask(size, _shrunk((0, 0, *size), CORE))))
    found = shades.shares_in(_mask(size, box))
    in_core = shades.shares_in(_mask(size, _shrunk(box, CORE)))
    # The box of a quilt that hangs askew includes some ground: its shades get their shares in the core.
    return _samples(shades, [in_core[n] if n in ground else share for n, share in enumerate(found)])


def _samples(shades: _Shades, weights: Sequence[float]) -> list[tuple[RGB, float]]:
    pairs = zip(shades.colours, weights, strict=True)
    return [(colour, weight) for colour, weight in pairs if weight > LEAST_SHADE]


# --- light

Light = tuple[float, float, float]


def _light_to_add(shades: _Shades) -> Light:
    """The factors of red, green and blue light that would make the lightest plain cloth or wall look white.

    Most indoor photos show white as a light grey, often a little yellow. If nothing in the picture is light enough to
    be white, the factors are 1.
    """
    size = shades.numbers.size
    shares = shades.shares_in(_mask(size, (0, 0, *size)))
    plain = [
        linear_light(colour)
        for colour, place, share in zip(shades.colours, shades.places, shares, strict=True)
        if place.chroma < PLAIN_CHROMA and share >= PLAIN_SHARE
    ]
    lightest = max(plain, key=_luminance, default=(0.0, 0.0, 0.0))
    luminance = _luminance(lightest)
    if luminance <= NOT_WHITE:
        return 1.0, 1.0, 1.0
    trust = min(1.0, (luminance - NOT_WHITE) / (SURELY_WHITE - NOT_WHITE))
    gain = 1 + trust * (min(MOST_GAIN, max(1.0, WHITE / luminance)) - 1)
    red, green, blue = (gain * (luminance / light) ** (trust * TINT_TAKEN) for light in lightest)
    return red, green, blue


def _luminance(light: Light) -> float:
    red, green, blue = light
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


# --- the ground


def _ground(shades: _Shades) -> set[int]:
    """The shades of wall and floor: frequent at the edge, rare in the middle; and shades close to them."""
    size = shades.numbers.size
    in_ring = shades.shares_in(_ring(size))
    windows = [shades.shares_in(_mask(size, _shrunk((0, 0, *size), part))) for part in MIDDLES]
    in_middle = [min(shares) for shares in zip(*windows, strict=True)]
    ground = {n for n, share in enumerate(in_ring) if share >= GROUND_IN_RING and share > GROUND_RATIO * in_middle[n]}
    alike = {
        n
        for n, place in enumerate(shades.places)
        if in_ring[n] > in_middle[n] and any(math.dist(place, shades.places[g]) < SAME_GROUND for g in ground)
    }
    return ground | alike


def _is_own_border(shades: _Shades, ground: set[int]) -> bool:
    """Is the ground the quilt's border, cut by the picture's edge? It is all around, even, and strong or dark."""
    for side in _sides(shades.numbers.size):
        shares = shades.shares_in(side)
        if sum(shares[n] for n in ground) < EVEN_SIDE:
            return False
    shares = shades.shares_in(_ring(shades.numbers.size))
    total = sum(shares[n] for n in ground)
    middle = OKLab(*(sum(shares[n] * shades.places[n][axis] for n in ground) / total for axis in range(3)))
    spread = sum(shares[n] * math.dist(shades.places[n], middle) for n in ground) / total
    return spread < EVEN_SHADE and (middle.lightness < DARK or _is_strong(middle))


def _is_strong(colour: OKLab) -> bool:
    hue = math.degrees(math.atan2(colour.b, colour.a)) % 360
    is_wood = WOOD_HUES[0] <= hue <= WOOD_HUES[1] and colour.chroma < WOOD_CHROMA
    is_grass = GRASS_HUES[0] <= hue <= GRASS_HUES[1] and colour.chroma < GRASS_CHROMA
    return colour.chroma > STRONG_CHROMA and not is_wood and not is_grass


# --- places in the picture


def _place_of_the_rest(shades: _Shades, ground: set[int]) -> Box:
    """The box around what is not ground, without stray pixels."""
    rest = shades.numbers.point([0 if n in ground else 255 for n in range(256)])
    width, height = rest.size
    left, right = _extent(rest.resize((width, 1), Image.Resampling.BOX).tobytes())
    top, bottom = _extent(rest.resize((1, height), Image.Resampling.BOX).tobytes())
    return left, top, right, bottom


def _extent(amounts: bytes) -> tuple[int, int]:
    enough = max(amounts) / 4
    filled = [at for at, amount in enumerate(amounts) if amount > enough]
    return (filled[0], filled[-1] + 1) if filled else (0, 0)


def _ring(size: tuple[int, int]) -> Image.Image:
    ring = _mask(size, (0, 0, *size))
    width = _ring_width(size)
    inner = (width, width, size[0] - width, size[1] - width)
    if inner[0] < inner[2] and inner[1] < inner[3]:
        ring.paste(0, inner)
    return ring


def _sides(size: tuple[int, int]) -> list[Image.Image]:
    (width, height), ring = size, _ring_width(size)
    top, bottom = (0, 0, width, ring), (0, height - ring, width, height)
    left, right = (0, 0, ring, height), (width - ring, 0, width, height)
    return [_mask(size, box) for box in (top, bottom, left, right)]


def _ring_width(size: tuple[int, int]) -> int:
    return max(1, round(RING * min(size)))


def _mask(size: tuple[int, int], box: Box) -> Image.Image:
    mask = Image.new("L", size, 0)
    mask.paste(255, box)
    return mask


def _shrunk(box: Box, part: float) -> Box:
    """The middle of a box, with this part of each side, and at least one pixel."""
    left, top, right, bottom = box
    width, height = max(1, round((right - left) * part)), max(1, round((bottom - top) * part))
    x, y = left + (right - left - width) // 2, top + (bottom - top - height) // 2
    return x, y, x + width, y + height


def _area(box: Box) -> int:
    return (box[2] - box[0]) * (box[3] - box[1])
