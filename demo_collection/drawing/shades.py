"""Colours of cloth: reading them, and the lighter, darker and greyer neighbours that prints need."""

import colorsys
import re

Rgb = tuple[int, int, int]


def read_colour(text: str) -> Rgb:
    """
    >>> read_colour("#2c5f7c")
    (44, 95, 124)
    """
    found = re.fullmatch(r"#([0-9a-fA-F]{2})([0-9a-fA-F]{2})([0-9a-fA-F]{2})", str(text))
    if not found:
        raise ValueError(f"{text!r} is not a colour; one looks like #2c5f7c")
    return tuple(int(part, 16) for part in found.groups())


def mixed(one: Rgb, other: Rgb, share: float) -> Rgb:
    """`one` with a share (0 to 1) of `other`."""
    return tuple(round(a + (b - a) * share) for a, b in zip(one, other))


def lightness(colour: Rgb) -> float:
    """How light the eye finds it, 0 to 1."""
    return (0.299 * colour[0] + 0.587 * colour[1] + 0.114 * colour[2]) / 255


def shifted(colour: Rgb, *, light: float = 0, colourful: float = 1, hue: float = 0) -> Rgb:
    """Lighter or darker by `light` (-1 to 1), more or less colourful, turned round the colour wheel."""
    h, l, s = colorsys.rgb_to_hls(*(channel / 255 for channel in colour))
    l = min(1, max(0, l + light))
    s = min(1, max(0, s * colourful))
    return tuple(round(channel * 255) for channel in colorsys.hls_to_rgb((h + hue) % 1, l, s))


def deeper(colour: Rgb, amount: float) -> Rgb:
    """A darker shade as dye gives it, a little more colourful."""
    return shifted(mixed(colour, (18, 14, 22), amount), colourful=1 + amount / 2)


def paler(colour: Rgb, amount: float) -> Rgb:
    return mixed(colour, (255, 253, 248), amount)


def companion(colour: Rgb, amount: float) -> Rgb:
    """The shade a tone-on-tone print is printed in: paler on dark cloth, deeper on light."""
    return paler(colour, amount) if lightness(colour) < 0.55 else deeper(colour, amount)
