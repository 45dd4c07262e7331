"""Colours as numbers: sRGB for screens, and colour spaces in which distance is visible difference.

sRGB values are whole numbers from 0 to 255. Lab and OKLab are relative to daylight D65, the white of sRGB itself.
"""

import math
from typing import NamedTuple

RGB = tuple[int, int, int]


class Lab(NamedTuple):
    """CIE 1976 L*a*b*: lightness from 0 to 100, green to red, blue to yellow."""

    lightness: float
    a: float
    b: float


class OKLab(NamedTuple):
    """OKLab: lightness from 0 to 1, green to red, blue to yellow (both within about 0.4)."""

    lightness: float
    a: float
    b: float

    @property
    def chroma(self) -> float:
        """The distance from grey."""
        return math.hypot(self.a, self.b)


def parse_hex(text: str) -> RGB:
    """Parse a colour written as `#rrggbb` or `#rgb`, with or without the `#`.

    >>> parse_hex("#2e7d3c"), parse_hex("fff")
    ((46, 125, 60), (255, 255, 255))
    """
    digits = text.removeprefix("#")
    if len(digits) == 3:
        digits = "".join(2 * digit for digit in digits)
    if len(digits) != 6 or not set(digits) <= set("0123456789abcdefABCDEF"):
        raise ValueError(f"{text!r} is not a colour in this form; write it like #2e7d3c")
    red, green, blue = bytes.fromhex(digits)
    return red, green, blue


def write_hex(colour: RGB) -> str:
    """The inverse of `parse_hex`.

    >>> write_hex((46, 125, 60))
    '#2e7d3c'
    """
    return "#" + bytes(colour).hex()


# --- sRGB and linear light. Source: IEC 61966-2-1, as in CSS Color Module Level 4, section 17 (from memory;
# --- a test compares it with coloraide).


def _linear(channel: int) -> float:
    value = channel / 255
    return value / 12.92 if value <= 0.04045 else ((value + 0.055) / 1.055) ** 2.4


_LINEAR = tuple(_linear(channel) for channel in range(256))


def _encoded(light: float) -> int:
    value = 12.92 * light if light <= 0.0031308 else 1.055 * light ** (1 / 2.4) - 0.055
    return round(255 * min(1.0, max(0.0, value)))


def linear_light(colour: RGB) -> tuple[float, float, float]:
    """The linear amounts of red, green and blue light, from 0 to 1."""
    return _LINEAR[colour[0]], _LINEAR[colour[1]], _LINEAR[colour[2]]


def in_more_light(colour: RGB, times: tuple[float, float, float]) -> RGB:
    """The colour with its red, green and blue light multiplied by `times`, clipped to what sRGB can show.

    >>> in_more_light((100, 50, 0), (2, 2, 2)), in_more_light((200, 100, 7), (1, 1, 1))
    ((138, 71, 0), (200, 100, 7))
    """
    red, green, blue = (_encoded(more * light) for more, light in zip(times, linear_light(colour), strict=True))
    return red, green, blue


Matrix = tuple[tuple[float, float, float], tuple[float, float, float], tuple[float, float, float]]


def _times(matrix: Matrix, vector: tuple[float, float, float]) -> tuple[float, float, float]:
    x, y, z = vector
    first, second, third = ((a * x + b * y + c * z) for a, b, c in matrix)
    return first, second, third


# --- CIE Lab. Source: CIE 15, with the matrices of CSS Color Module Level 4 for the primaries and white of sRGB.

_XYZ_FROM_LIGHT: Matrix = (
    (506752 / 1228815, 87881 / 245763, 12673 / 70218),
    (87098 / 409605, 175762 / 245763, 12673 / 175545),
    (7918 / 409605, 87881 / 737289, 1001167 / 1053270),
)
_WHITE = (0.3127 / 0.3290, 1.0, (1 - 0.3127 - 0.3290) / 0.3290)
_BEND = 216 / 24389
_SLOPE = 24389 / 27


def lab_from_srgb(colour: RGB) -> Lab:
    """
    >>> [round(value, 1) for value in lab_from_srgb((229, 0, 0))]
    [47.8, 73.8, 62.0]
    """
    x, y, z = (
        math.cbrt(part / white) if part / white > _BEND else (_SLOPE * part / white + 16) / 116
        for part, white in zip(_times(_XYZ_FROM_LIGHT, linear_light(colour)), _WHITE, strict=True)
    )
    return Lab(116 * y - 16, 500 * (x - y), 200 * (y - z))


# --- OKLab. Source: B. Ottosson, "A perceptual color space for image processing", 2020, with the matrices for
# --- linear sRGB (from memory; a test compares it with coloraide).

_CONES_FROM_LIGHT: Matrix = (
    (0.4122214708, 0.5363325363, 0.0514459929),
    (0.2119034982, 0.6806995451, 0.1073969566),
    (0.0883024619, 0.2817188376, 0.6299787005),
)
_OKLAB_FROM_ROOTS: Matrix = (
    (0.2104542553, 0.7936177850, -0.0040720468),
    (1.9779984951, -2.4285922050, 0.4505937099),
    (0.0259040371, 0.7827717662, -0.8086757660),
)


def oklab_from_srgb(colour: RGB) -> OKLab:
    """
    >>> [round(value, 3) for value in oklab_from_srgb((255, 255, 255))]
    [1.0, 0.0, 0.0]
    """
    long, middle, short = _times(_CONES_FROM_LIGHT, linear_light(colour))
    return OKLab(*_times(_OKLAB_FROM_ROOTS, (math.cbrt(long), math.cbrt(middle), math.cbrt(short))))


# --- difference


def ciede2000(one: Lab, other: Lab) -> float:
    """The visible difference of two colours: about 1 is just noticeable, 100 is black against white.

    All three weights are 1. Source: Sharma, Wu, Dalal, Color Research and Application 30(1):21-30, 2005.
    """
    mean_chroma = (math.hypot(one.a, one.b) + math.hypot(other.a, other.b)) / 2
    stretch = 1.5 - 0.5 * _seventh_root_share(mean_chroma)
    chroma_1, hue_1 = _polar(stretch * one.a, one.b)
    chroma_2, hue_2 = _polar(stretch * other.a, other.b)

    turn = hue_2 - hue_1 if chroma_1 * chroma_2 else 0.0
    if turn > 180:
        turn -= 360
    elif turn < -180:
        turn += 360
    lightness_step = other.lightness - one.lightness
    chroma_step = chroma_2 - chroma_1
    hue_step = 2 * math.sqrt(chroma_1 * chroma_2) * math.sin(math.radians(turn / 2))

    lightness = (one.lightness + other.lightness) / 2
    chroma = (chroma_1 + chroma_2) / 2
    hue = _mean_hue(hue_1, hue_2) if chroma_1 * chroma_2 else hue_1 + hue_2
    hue_weight = (
        1
        - 0.17 * _cosine(hue - 30)
        + 0.24 * _cosine(2 * hue)
        + 0.32 * _cosine(3 * hue + 6)
        - 0.20 * _cosine(4 * hue - 63)
    )
    from_middle = (lightness - 50) ** 2
    lightness_part = lightness_step / (1 + 0.015 * from_middle / math.sqrt(20 + from_middle))
    chroma_part = chroma_step / (1 + 0.045 * chroma)
    hue_part = hue_step / (1 + 0.015 * chroma * hue_weight)
    blue_angle = 60 * math.exp(-(((hue - 275) / 25) ** 2))
    rotation = -math.sin(math.radians(blue_angle)) * 2 * _seventh_root_share(chroma)
    squared = lightness_part**2 + chroma_part**2 + hue_part**2 + rotation * chroma_part * hue_part
    return math.sqrt(max(0.0, squared))


MOST_LIGHTNESS_WEIGHT = 1.75
"""If the lightness of two colours differs by this many times a difference, they are further apart than that.

Source: derived: 1 + 0.015 x 50^2 / sqrt(20 + 50^2) = 1.747, at black and at white.
"""


def least_ciede2000(one: Lab, other: Lab) -> float:
    """A lower bound of `ciede2000` for two colours, for a third of the work.

    The term for lightness is exact. Chroma and hue together are at least the distance in the a-b plane, which the
    formula only stretches, divided by the larger of their two weights. The rotation term reduces that in the blues, but
    not if both colours are on the yellow side. Source: derived from the formula.
    """
    lightness_step, step_a, step_b = one.lightness - other.lightness, one.a - other.a, one.b - other.b
    from_middle = ((one.lightness + other.lightness) / 2 - 50) ** 2
    lightness_part = lightness_step / (1 + 0.015 * from_middle / math.sqrt(20 + from_middle))
    most_chroma = 1.5 * (math.hypot(one.a, one.b) + math.hypot(other.a, other.b)) / 2
    weight = 1 + 0.045 * most_chroma
    kept = _NO_ROTATION if one.b >= 0 and other.b >= 0 else _MOST_ROTATION
    return math.sqrt(lightness_part**2 + kept * (step_a * step_a + step_b * step_b) / (weight * weight))


# The fractions left by the rotation: at most 60 degrees at a hue of 275, and almost none from 0 to 180.
_NO_ROTATION, _MOST_ROTATION = 0.9999, 1 - math.sin(math.radians(60))


def _seventh_root_share(chroma: float) -> float:
    return math.sqrt(chroma**7 / (chroma**7 + 25.0**7))


def _polar(a: float, b: float) -> tuple[float, float]:
    return math.hypot(a, b), math.degrees(math.atan2(b, a)) % 360


def _mean_hue(one: float, other: float) -> float:
    if abs(one - other) <= 180:
        return (one + other) / 2
    return (one + other + (360 if one + other < 360 else -360)) / 2


def _cosine(degrees: float) -> float:
    return math.cos(math.radians(degrees))
