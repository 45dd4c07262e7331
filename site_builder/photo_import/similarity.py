"""Whether two files hold the same picture, though it was made smaller, saved anew or turned.

A picture is shrunk to 16 by 16 points; for each point and its neighbour to the right and below, one bit
says whether it is clearly lighter. Copies of one picture agree in nearly all bits, and in their mean
colour; a second quilt of the same pattern does not.

Measured over the demo's 220 photos, each saved anew, made much smaller, turned both ways and brightened: the
1,320 copies differ from theirs in at most 21 % of the bits that are set in either. Of the 24,090 pairs of
different photos those within `MEAN_COLOUR` of each other differ in at least 31 %, of 79,800 pairs of random
patchworks all in at least 51 %. `tests/site_builder/photo_import/test_similarity.py` holds both sides.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from PIL import Image

SIDE = 16
LOOKED_AT = 480
"""Long edge, in points, of the pictures that are compared: an eighth of what usual cameras make, quickest to decode."""

CLEARLY = 1
"""Levels of grey by which a point has to be lighter, and one more: noise in plain cloth and walls is less."""

MOST_DIFFERENT = 0.26
"""Share of the bits set in either that may differ."""

MEAN_COLOUR = 32
"""Levels, of 255, by which the mean red, green or blue may differ: a picture brightened a little still counts."""

ENOUGH_TO_SEE = 48
"""Bits that have to be set in either: plain cloth that fills a picture looks like other plain cloth."""

_TURNS = (None, Image.Transpose.ROTATE_90, Image.Transpose.ROTATE_180, Image.Transpose.ROTATE_270)


@dataclass(frozen=True, slots=True)
class Similarity:
    """What a picture looks like, in short: `digest` is that of the file's bytes, `bits` are as described
    above, for the picture as it is and turned by a quarter, a half and three quarters; `colour` is its mean
    red, green and blue."""

    digest: str
    bits: tuple[int, ...]
    colour: tuple[int, int, int]


def likeness_of(image: Image.Image, digest: str) -> Similarity:
    """The likeness of an upright sRGB picture, of `LOOKED_AT` points or as large as it is."""
    tiny = image.resize((SIDE, SIDE), Image.Resampling.BICUBIC)
    grey = tiny.convert("L")
    turned = (grey if turn is None else grey.transpose(turn) for turn in _TURNS)
    red, green, blue = tiny.resize((1, 1), Image.Resampling.BOX).tobytes()
    return Similarity(digest, tuple(map(_bits, turned)), (red, green, blue))


def same_picture(one: Similarity, other: Similarity) -> bool:
    """Are they the same bytes, or the same picture saved anew?"""
    if one.digest == other.digest:
        return True
    (red, green, blue), (other_red, other_green, other_blue) = one.colour, other.colour
    if max(abs(red - other_red), abs(green - other_green), abs(blue - other_blue)) > MEAN_COLOUR:
        return False
    return difference(one, other) <= MOST_DIFFERENT


def difference(one: Similarity, other: Similarity) -> float:
    """From 0, no bit differs, to 1, whichever way the other is turned; 1 where there is too little to see."""
    bits = one.bits[0]
    return min(
        (bits ^ turned).bit_count() / either if (either := (bits | turned).bit_count()) >= ENOUGH_TO_SEE else 1.0
        for turned in other.bits
    )


def first_same(one: Similarity, others: Iterable[tuple[str, Similarity]]) -> str | None:
    """The name of the first of the others that is the same picture; the same bytes before a likeness."""
    alike = None
    for name, other in others:
        if one.digest == other.digest:
            return name
        if alike is None and same_picture(one, other):
            alike = name
    return alike


def _bits(grey: Image.Image) -> int:
    light = grey.tobytes()
    bits = 0
    for start in range(0, SIDE * SIDE, SIDE):
        for at in range(start, start + SIDE - 1):
            bits = bits << 1 | (light[at] > light[at + 1] + CLEARLY)
    for at in range(SIDE * (SIDE - 1)):
        bits = bits << 1 | (light[at] > light[at + SIDE] + CLEARLY)
    return bits
