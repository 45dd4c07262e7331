"""Finds out whether two files are the same picture, even if one was reduced, saved again or turned.

A picture is reduced to 16 by 16 pixels; for each pixel and its neighbours to the right and below, one bit says whether
it is clearly lighter. Copies of a picture agree in nearly all bits, and in their mean colour; pictures of another quilt
of the same pattern do not.

Measured with the demo's 220 photos, each saved again, reduced a lot, turned both ways and brightened: the 1,320 copies
differ from the original in at most 21 % of the bits that are set in either. Of the 24,090 pairs of different photos,
those within `MEAN_COLOUR` of each other differ in at least 31 %; of 79,800 pairs of random patchworks, all differ in at
least 51 %. `tests/site_builder/photo_import/test_similarity.py` checks both.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from PIL import Image

SIDE = 16
LOOKED_AT = 480
"""Long edge, in pixels, of the pictures that are compared: an eighth of usual photos, which is quickest to decode."""

CLEARLY = 1
"""A pixel is lighter if it is so by more than this many levels of grey: noise in plain cloth and walls is less."""

MOST_DIFFERENT = 0.26
"""The largest share of the bits set in either that may differ."""

MEAN_COLOUR = 32
"""Levels, of 255, by which the mean red, green or blue may differ: a picture may have been brightened a little."""

ENOUGH_TO_SEE = 48
"""The least number of bits set in either: pictures full of plain cloth can't be distinguished."""

_TURNS = (None, Image.Transpose.ROTATE_90, Image.Transpose.ROTATE_180, Image.Transpose.ROTATE_270)


@dataclass(frozen=True, slots=True)
class Similarity:
    """What decides whether pictures are the same: `digest` is that of the file's bytes; `bits` are those described above,
    for the picture and for it turned by a quarter, a half and three quarters; `colour` is its mean red, green and
    blue."""

    digest: str
    bits: tuple[int, ...]
    colour: tuple[int, int, int]


def likeness_of(image: Image.Image, digest: str) -> Similarity:
    """The similarity values of an upright sRGB picture, whose long edge is at most `LOOKED_AT` pixels."""
    tiny = image.resize((SIDE, SIDE), Image.Resampling.BICUBIC)
    grey = tiny.convert("L")
    turned = (grey if turn is None else grey.transpose(turn) for turn in _TURNS)
    red, green, blue = tiny.resize((1, 1), Image.Resampling.BOX).tobytes()
    return Similarity(digest, tuple(map(_bits, turned)), (red, green, blue))


def same_picture(one: Similarity, other: Similarity) -> bool:
    """Are they the same bytes, or versions of the same picture?"""
    if one.digest == other.digest:
        return True
    (red, green, blue), (other_red, other_green, other_blue) = one.colour, other.colour
    if max(abs(red - other_red), abs(green - other_green), abs(blue - other_blue)) > MEAN_COLOUR:
        return False
    return difference(one, other) <= MOST_DIFFERENT


def difference(one: Similarity, other: Similarity) -> float:
    """The share of bits that differ, 0 to 1, for the turn that fits best; 1 if there are too few bits to compare."""
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
