"""Chance that is the same each time: every random choice is seeded by words."""

import hashlib
import random
from functools import lru_cache

from PIL import Image


def chance(*words: object) -> random.Random:
    """A source of random choices that depends on the words alone.

    >>> chance("low-tide", "wall").random() == chance("low-tide", "wall").random()
    True
    """
    digest = hashlib.sha256("\x1f".join(str(word) for word in words).encode()).digest()
    return random.Random(int.from_bytes(digest[:8], "big"))


def speckle(width: int, height: int, *words: object) -> Image.Image:
    """White noise, 8 bits deep."""
    return Image.frombytes("L", (width, height), chance("speckle", *words).randbytes(width * height))


class Field:
    """A soft random landscape over a plane, the same from near and from afar.

    `cell` is the distance between independent heights, in the plane's unit (inches of quilt). The
    plane reaches from (0, 0) to `extent`, with a little beyond each edge.
    """

    BEYOND = 3

    def __init__(self, cell: float, extent: tuple[float, float], *words: object):
        self.cell = cell
        columns = int(extent[0] / cell) + 2 * self.BEYOND + 2
        rows = int(extent[1] / cell) + 2 * self.BEYOND + 2
        self.lattice = speckle(columns, rows, "field", cell, *words)

    def seen(self, window: tuple[float, float, float, float], size: tuple[int, int]) -> Image.Image:
        """The part inside the window (left, top, right, bottom), `size` pixels large."""
        left, top, right, bottom = (edge / self.cell + self.BEYOND for edge in window)
        most_right, most_bottom = self.lattice.size
        box = (max(0, left), max(0, top), min(most_right, right), min(most_bottom, bottom))
        return self.lattice.resize(size, Image.Resampling.BICUBIC, box=box)


@lru_cache(maxsize=8)
def _grain_sheet(side: int, word: str) -> Image.Image:
    return speckle(side, side, "grain", word)


def grain(width: int, height: int, word: str, random_source: random.Random) -> Image.Image:
    """White noise of any size, cut quickly from one sheet at a random place and laid in tiles."""
    side = 1021
    sheet = _grain_sheet(side, word)
    dx, dy = random_source.randrange(side), random_source.randrange(side)
    image = Image.new("L", (width, height))
    for top in range(-dy, height, side):
        for left in range(-dx, width, side):
            image.paste(sheet, (left, top))
    return image


def stretched(image: Image.Image, low: int, high: int) -> Image.Image:
    """The greys of an image, spread so that `low` becomes black and `high` white."""
    span = max(1, high - low)
    return image.point([min(255, max(0, round((value - low) * 255 / span))) for value in range(256)])
