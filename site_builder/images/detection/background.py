"""Finds what stands out in a picture from the ground: the wall or floor around it.

The ground is sampled along the picture's edge. Its light may fall off smoothly, and it may have a grain, as wood and
grass have: differences that are usual in the ground count little, all others fully.
"""

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from operator import mul

from PIL import Image, ImageChops

# By our own judgement, tried on drawn photos. Levels are of 255.
CELLS = 28  # along the longer edge, to fit the light by
MODEL = 12  # cells of the fitted light, each way
ROUNDS = 3
USUAL_MISFIT, LEAST_MISFIT = 3.0, 3.0  # times the median; levels: what is further off is not fitted
STILL_GROUND = 16.0  # levels
LEAST_OF_EDGE = 0.86  # how much of the picture's edge must show one ground
SAMPLES, SAMPLE_RING = 60, 2  # pixels, of the picture by which the grain is measured
GRAIN_SHARE, GRAIN_TIMES = 0.5, 3.0  # what is further off than this multiple of the quantile is not grain
LEAST_GRAIN = 6.0  # levels: on a plain wall, differences keep their size
SHADOW = 6.0  # levels: light and dark count a little less than colour
DARKEST_SHADE = 0.6  # of the light
SHADE_TINT, SHADE_TINT_SHARE = 4.0, 0.15  # levels, and of the shade, that a shadow's colour may be off

LIKE_GROUND = 128
_DOUBLED = [min(255, 2 * level) for level in range(256)]
Row = Sequence[float]


@dataclass(frozen=True, slots=True)
class StandingOut:
    """A picture of differences from the ground: 128 is no difference; on a plain wall one unit is one level.

    `bounded` is the same in mode RGBa, so that transforms of it show where the picture ends. `darkness` is the
    difference, for each channel, of ground without any light.
    """

    picture: Image.Image
    bounded: Image.Image
    darkness: tuple[float, float, float]

    def amount(self) -> Image.Image:
        """How much each pixel differs from the ground, in half levels (mode L)."""
        return amount_in(self.picture)

    def is_shaded(self, colour: Sequence[int]) -> bool:
        """May a colour of the picture be the ground in a shadow?"""
        seen = [level - LIKE_GROUND for level in colour[:3]]
        shade = _dot(seen, self.darkness) / _dot(self.darkness, self.darkness)
        return 0 < shade < DARKEST_SHADE and all(
            abs(level - shade * dark) <= SHADE_TINT + SHADE_TINT_SHARE * shade * abs(dark)
            for level, dark in zip(seen, self.darkness, strict=True)
        )


def amount_in(differences: Image.Image) -> Image.Image:
    """`StandingOut.amount` for a picture that was made from its `picture`."""
    levels = largest(ImageChops.difference(differences, Image.new("RGB", differences.size, (LIKE_GROUND,) * 3)))
    return levels.point(_DOUBLED)


def standing_out(picture: Image.Image) -> StandingOut | None:
    """What stands out in an upright sRGB picture; None if its edge shows no single ground."""
    light = _light(picture)
    if light is None:
        return None
    from_light = ImageChops.subtract(picture, light, 1, LIKE_GROUND)
    lights = [max(1, level) for level in light.reduce(light.size).tobytes()]
    evening = _grain_evened(from_light, lights)
    red, green, blue = (-_dot(row, lights) for row in evening)
    matrix = [value for row in evening for value in (*row, LIKE_GROUND * (1 - sum(row)))]
    differences = from_light.convert("RGB", tuple(matrix))
    return StandingOut(differences, differences.convert("RGBA").convert("RGBa"), (red, green, blue))


# --- the light


def _light(picture: Image.Image) -> Image.Image | None:
    """The ground without anything in front of it: for each channel a quadratic surface fitted to the edge."""
    cells = picture.copy()
    cells.thumbnail((CELLS, CELLS), Image.Resampling.BOX)
    levels = cells.tobytes()
    starts = ((3 * (y * cells.width + x), terms) for (x, y), terms in _edge_of(*cells.size))
    samples: list[tuple[Row, Row]] = [(terms, levels[start : start + 3]) for start, terms in starts]
    kept = samples
    for _ in range(ROUNDS):
        surface = _fitted(kept)
        misfits = [
            max(abs(r - red), abs(g - green), abs(b - blue))
            for (r, g, b), (_, (red, green, blue)) in zip(
                _at(surface, (terms for terms, _ in samples)), samples, strict=True
            )
        ]
        usual = sorted(misfits)[len(misfits) // 2]
        most = max(LEAST_MISFIT, USUAL_MISFIT * usual)
        kept = [sample for sample, misfit in zip(samples, misfits, strict=True) if misfit <= most]
    if sum(misfit <= max(most, STILL_GROUND) for misfit in misfits) < LEAST_OF_EDGE * len(samples):
        return None
    fitted = bytes(min(255, max(0, round(level))) for colour in _at(surface, _everywhere()) for level in colour)
    small = Image.frombytes("RGB", (MODEL, MODEL), fitted)
    return small.resize(picture.size, Image.Resampling.BICUBIC)


@lru_cache(maxsize=8)
def _edge_of(width: int, height: int) -> Sequence[tuple[tuple[int, int], Row]]:
    """The cells along the edge of a picture of this many cells, each with its terms."""
    edge = [(x, y) for x in range(width) for y in (0, height - 1)]
    edge += [(x, y) for y in range(1, height - 1) for x in (0, width - 1)]
    return [((x, y), _terms(2 * (x + 0.5) / width - 1, 2 * (y + 0.5) / height - 1)) for x, y in edge]


@lru_cache(maxsize=1)
def _everywhere() -> Sequence[Row]:
    """The terms of the cells of the fitted light."""
    middles = [2 * (at + 0.5) / MODEL - 1 for at in range(MODEL)]
    return [_terms(x, y) for y in middles for x in middles]


def _terms(x: float, y: float) -> Row:
    return 1.0, x, y, x * x, x * y, y * y


def _at(surface: Sequence[Row], places: Iterable[Row]) -> Iterator[tuple[float, float, float]]:
    """The red, green and blue of a surface at places given by their terms."""
    (r0, r1, r2, r3, r4, r5), (g0, g1, g2, g3, g4, g5), (b0, b1, b2, b3, b4, b5) = surface
    for _, x, y, xx, xy, yy in places:
        yield (
            r0 + r1 * x + r2 * y + r3 * xx + r4 * xy + r5 * yy,
            g0 + g1 * x + g2 * y + g3 * xx + g4 * xy + g5 * yy,
            b0 + b1 * x + b2 * y + b3 * xx + b4 * xy + b5 * yy,
        )


def _fitted(samples: Sequence[tuple[Row, Row]]) -> list[list[float]]:
    """Six factors for each channel, by least squares."""
    places = list(zip(*(place for place, _ in samples), strict=True))
    levels = list(zip(*(seen for _, seen in samples), strict=True))
    products = [[0.0] * 6 for _ in places]
    for i, one in enumerate(places):
        for j in range(i, 6):
            products[i][j] = products[j][i] = _dot(one, places[j])
        products[i][i] += 1e-6 * len(samples)
    wanted = [[_dot(one, channel) for channel in levels] for one in places]
    return [list(channel) for channel in zip(*_solved(products, wanted), strict=True)]


def _dot(one: Row, other: Row) -> float:
    total: float = sum(map(mul, one, other))
    return total


def _solved(matrix: list[list[float]], right: list[list[float]]) -> list[list[float]]:
    """The rows x with matrix x = right, for a positive definite matrix."""
    rows = [[*left, *wanted] for left, wanted in zip(matrix, right, strict=True)]
    for at, pivot in enumerate(rows):
        pivot[:] = [value / pivot[at] for value in pivot]
        for other in rows:
            if other is not pivot and (factor := other[at]):
                other[:] = [value - factor * by for value, by in zip(other, pivot, strict=True)]
    return [row[len(matrix) :] for row in rows]


# --- the grain


def _grain_evened(from_light: Image.Image, lights: Row) -> list[list[float]]:
    """The matrix for red, green and blue that makes the ground's own differences equally wide in all directions."""
    small = from_light.copy()
    small.thumbnail((SAMPLES, SAMPLES), Image.Resampling.NEAREST)
    ring = _ring(small)
    sizes = [max(abs(red), abs(green), abs(blue)) for red, green, blue in ring]
    most = max(LEAST_MISFIT, GRAIN_TIMES * sorted(sizes)[round(GRAIN_SHARE * len(sizes))])
    kept = [levels for levels, size in zip(ring, sizes, strict=True) if size <= most]
    channels = list(zip(*kept, strict=True))
    means = [sum(channel) / len(kept) for channel in channels]
    spread = [
        [_dot(one, other) / len(kept) - means[i] * means[j] for j, other in enumerate(channels)]
        for i, one in enumerate(channels)
    ]
    shade = [light / math.hypot(*lights) * SHADOW for light in lights]
    for i in range(3):
        for j in range(3):
            spread[i][j] += shade[i] * shade[j] + (i == j) * LEAST_GRAIN**2
    return [[LEAST_GRAIN * value for value in row] for row in _lower_inverse(spread)]


def _ring(from_light: Image.Image) -> list[tuple[int, int, int]]:
    """The differences along the edge of the picture."""
    width, height = from_light.size
    inner = height - SAMPLE_RING
    boxes = (
        (0, 0, width, SAMPLE_RING),
        (0, inner, width, height),
        (0, SAMPLE_RING, SAMPLE_RING, inner),
        (width - SAMPLE_RING, SAMPLE_RING, width, inner),
    )
    levels = [level - LIKE_GROUND for box in boxes for level in from_light.crop(box).tobytes()]
    return list(zip(levels[0::3], levels[1::3], levels[2::3], strict=True))


def _lower_inverse(spread: list[list[float]]) -> tuple[Row, Row, Row]:
    """The inverse of the Cholesky factor of a 3 x 3 covariance."""
    a = math.sqrt(spread[0][0])
    b, c = spread[1][0] / a, spread[2][0] / a
    d = math.sqrt(spread[1][1] - b * b)
    e = (spread[2][1] - b * c) / d
    f = math.sqrt(spread[2][2] - c * c - e * e)
    return (1 / a, 0.0, 0.0), (-b / (a * d), 1 / d, 0.0), ((b * e / d - c) / (a * f), -e / (d * f), 1 / f)


def largest(picture: Image.Image) -> Image.Image:
    """The largest of red, green and blue at each pixel."""
    red, green, blue = picture.split()
    return ImageChops.lighter(ImageChops.lighter(red, green), blue)
