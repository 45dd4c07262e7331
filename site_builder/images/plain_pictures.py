"""Converts a picture of any mode to a plain one, without transparency and with eight bits a channel, in little memory.

A large picture is converted band by band, and reduced at once if it is far larger than needed, so that intermediate
pictures never exist as a whole.
"""

from collections.abc import Callable

import pi_heif
from PIL import Image

POINTS_OF_A_BAND = 2_000_000
READY = ("L", "RGB", "CMYK", "LAB")  # what resampling and colour profiles can work on
STILL_LARGER = 1.5  # times the requested size that a picture keeps, to stay sharp

Box = tuple[int, int, int, int]


def plain(image: Image.Image) -> Image.Image:
    """The same picture in one of the modes that resampling and colour profiles can use."""
    if image.mode in READY and not image.has_transparency_data:
        return image
    if image.mode in ("I", "F"):
        scale, darkest = _light_measured(image)
        return _in_bands(
            image.size,
            lambda box: image.crop(box).convert("F").point(lambda light: light * scale - darkest).convert("L"),
        )
    return _in_bands(image.size, lambda box: _made_plain(image.crop(box)))


def plain_heif(image: pi_heif.HeifImage, longest: int) -> Image.Image:
    """A picture of a HEIC file, plain, and reduced by `times_smaller`.

    It is read from the decoder band by band, as Pillow would hold another copy.
    """
    data = memoryview(image.data)
    width, height = image.size  # read after decoding, which may change it
    stride, mode = image.stride, image.mode

    def band(box: Box) -> Image.Image:
        _, top, _, bottom = box
        rows = data[top * stride : bottom * stride]
        return _made_plain(Image.frombytes(mode, (width, bottom - top), rows, "raw", mode, stride))

    factor = times_smaller((width, height), longest)
    if factor == 1 and mode in READY:
        return band((0, 0, width, height))
    return _in_bands((width, height), band, factor)


def times_smaller(size: tuple[int, int], longest: int) -> int:
    """How many pixels of a row become one while a picture is read from its decoder.

    >>> times_smaller((4032, 3024), 1600), times_smaller((4284, 5712), 1600), times_smaller((8064, 6048), 1600)
    (1, 2, 3)
    """
    return max(1, int(max(size) / (STILL_LARGER * longest)))


def _in_bands(size: tuple[int, int], make: Callable[[Box], Image.Image], factor: int = 1) -> Image.Image:
    """The bands that `make` makes of a picture of this size, put together and reduced by `factor`."""
    width, height = size
    rows = factor * max(1, POINTS_OF_A_BAND // (width * factor))
    first = _reduced(make((0, 0, width, min(rows, height))), factor)
    if rows >= height:
        return first
    whole = Image.new(first.mode, (-(-width // factor), -(-height // factor)))
    whole.paste(first, (0, 0))
    for top in range(rows, height, rows):
        whole.paste(_reduced(make((0, top, width, min(top + rows, height))), factor), (0, top // factor))
    return whole


def _reduced(image: Image.Image, factor: int) -> Image.Image:
    return image.reduce(factor) if factor > 1 else image


def _made_plain(image: Image.Image) -> Image.Image:
    if image.has_transparency_data:
        layers = image.convert("RGBA")
        ground = Image.new("RGB", image.size, "white")
        ground.paste(layers, mask=layers.getchannel("A"))
        return ground
    if image.mode in READY:
        return image
    if image.mode.startswith("I;16"):
        return image.convert("I").point(lambda light: light / 256).convert("L")
    return image.convert("L" if image.mode == "1" else "RGB")


def _light_measured(image: Image.Image) -> tuple[float, float]:
    """The factor and offset that turn the numbers of a picture into grey: those of 8 and 16 bits, else its own range."""
    least, most = image.getextrema()
    assert not isinstance(least, tuple) and not isinstance(most, tuple)  # the picture has one channel
    if image.mode == "I" and 0 <= least and most <= 65535:
        least, most = 0, 255 if most <= 255 else 65535
    scale = 255 / (most - least) if most > least else 0
    return scale, least * scale
