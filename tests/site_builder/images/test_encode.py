"""Every size of a photo is sharp, and made in few steps. All pictures are drawn."""

import random

import pytest
from PIL import Image, ImageDraw, ImageFilter

from site_builder.images.decode import decode
from site_builder.images.encode import encoded as rendition
from site_builder.images.encode import reduced
from tests.site_builder.images.detection.quilts_in_rooms import quilt_photo
from tests.site_builder.images.drawn_photos import DISPLAY_P3, decoded, encoded, patchwork, psnr

SHARP = 36  # dB: the sizes' own coding as JPEG leaves some 39


def small_prints(width, height):
    """Cloth printed with dots and sprigs a few points wide, as far as a camera can tell them apart."""
    chance = random.Random(8)
    picture = Image.new("RGB", (width, height), (214, 205, 190))
    draw = ImageDraw.Draw(picture)
    for x in range(0, width, 32):
        for y in range(0, height, 32):
            colour = chance.choice([(158, 60, 70), (60, 84, 140), (90, 120, 70)])
            left, top = x + chance.randrange(12), y + chance.randrange(12)
            draw.ellipse((left, top, left + 11, top + 11), fill=colour)
            draw.line((left, top + 14, left + 14, top + 22), fill=colour, width=3)
    return picture.filter(ImageFilter.GaussianBlur(1.5))


def on_wood(width, height):
    """A quilt on a wooden floor, in a photo with a little grain."""
    return quilt_photo(3, "wood", long=max(width, height)).picture.resize((width, height))


@pytest.mark.parametrize(
    ("draw", "size"),
    [
        (patchwork, (3024, 4032)),
        (patchwork, (1900, 1267)),
        (on_wood, (4000, 2667)),
        (small_prints, (4032, 3024)),
    ],
)
def test_every_size_of_many_kinds_of_photo_is_as_sharp_as_a_careful_reduction(draw, size):
    content = encoded(draw(*size), quality=92)
    careful = decoded(content)
    for quick in reduced(decode(content, longest=1600).image):
        assert psnr(quick, careful.resize(quick.size, Image.Resampling.LANCZOS)) >= SHARP, quick.size


def test_what_a_wide_gamut_display_shows_is_converted_before_it_is_made_smaller():
    content = encoded(Image.new("RGB", (4032, 3024), (200, 40, 40)), icc_profile=DISPLAY_P3)
    sizes = reduced(decode(content, longest=1600).image)
    assert len({size.getpixel((9, 9)) for size in sizes}) == 1
    assert sizes[0].getpixel((9, 9)) != decoded(content).getpixel((9, 9))


def test_the_same_photo_gives_the_same_bytes():
    content = encoded(patchwork(2000, 1500), quality=92, icc_profile=DISPLAY_P3)
    first, second = ([rendition(size) for size in reduced(decode(content, longest=1600).image)] for _ in range(2))
    assert first == second


def test_a_picture_of_exactly_twice_the_size_is_halved_and_others_are_resampled(monkeypatch):
    halved, reduce = [], Image.Image.reduce
    monkeypatch.setattr(Image.Image, "reduce", lambda image, by: (halved.append(image.size), reduce(image, by))[1])
    assert [size.size for size in reduced(patchwork(1600, 1200))] == [(400, 300), (800, 600), (1600, 1200)]
    assert halved == [(1600, 1200)]
    assert [size.size for size in reduced(patchwork(1600, 1067))] == [(400, 267), (800, 534), (1600, 1067)]
    assert halved == [(1600, 1200)]
