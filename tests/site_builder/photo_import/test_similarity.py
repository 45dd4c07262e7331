"""Copies of a picture are known again, and no two different photos are taken for one."""

import itertools
from pathlib import Path

import pytest
from PIL import Image, ImageEnhance

from site_builder.images.decode import decode
from site_builder.photo_import.similarity import (
    ENOUGH_TO_SEE,
    LOOKED_AT,
    MOST_DIFFERENT,
    difference,
    first_same,
    likeness_of,
    same_picture,
)
from tests.site_builder.images.drawn_photos import CREAM, encoded, patchwork

PHOTOS = Path(__file__).parents[3] / "demo_collection" / "photos"
RANDOM_PATCHWORKS = 250


def look(content, name=""):
    return likeness_of(decode(content, longest=LOOKED_AT).image, name or str(hash(content)))


@pytest.fixture(scope="module")
def demo():
    """Every photo of the demo, by its name."""
    paths = sorted(path for path in PHOTOS.rglob("*") if path.is_file())
    return {path.relative_to(PHOTOS).as_posix(): look(path.read_bytes()) for path in paths}


def copies(content):
    """The same picture as people and programs hand it on."""
    picture = decode(content, longest=1200).image
    small = picture.resize((max(1, picture.width * 320 // 1200), max(1, picture.height * 320 // 1200)))
    yield "saved anew", encoded(picture, quality=40)
    yield "much smaller", encoded(small, quality=60)
    yield "turned left", encoded(picture.transpose(Image.Transpose.ROTATE_90), quality=85)
    yield "upside down", encoded(picture.transpose(Image.Transpose.ROTATE_180), quality=85)
    yield "as PNG", encoded(small, "PNG")
    yield "brightened", encoded(ImageEnhance.Brightness(picture).enhance(1.15), quality=85)


def test_copies_of_the_demos_photos_are_known_again(demo):
    missed = [
        (name, what)
        for name in list(demo)[::4]
        for what, copy in copies((PHOTOS / name).read_bytes())
        if not same_picture(look(copy), demo[name])
    ]
    assert missed == []


def test_no_two_of_the_demos_photos_are_taken_for_one(demo):
    pairs = list(itertools.combinations(demo, 2))
    assert len(pairs) > 20_000
    assert [pair for pair in pairs if same_picture(demo[pair[0]], demo[pair[1]])] == []


def test_no_two_random_patchworks_are_taken_for_one():
    quilts = [likeness_of(patchwork(240, 180, seed), str(seed)) for seed in range(RANDOM_PATCHWORKS)]
    assert min(difference(one, other) for one, other in itertools.combinations(quilts, 2)) > 1.7 * MOST_DIFFERENT


def test_one_pattern_in_two_colourways_is_two_pictures():
    blue = patchwork(128, 96, 1)
    red = Image.merge("RGB", (blue.getchannel("R").point(lambda v: min(255, v + 60)), *blue.split()[1:]))
    assert not same_picture(likeness_of(blue, "blue"), likeness_of(red, "red"))


def test_plain_cloth_is_only_known_by_its_bytes():
    plain = likeness_of(Image.new("RGB", (120, 90), CREAM), "one")
    other = likeness_of(Image.new("RGB", (90, 120), CREAM), "other")
    assert plain.bits[0].bit_count() < ENOUGH_TO_SEE
    assert not same_picture(plain, other) and same_picture(plain, plain)


def test_the_same_bytes_count_before_a_likeness():
    one = likeness_of(patchwork(64, 48, 1), "x")
    alike = likeness_of(patchwork(64, 48, 1), "y")
    assert first_same(one, [("alike", alike), ("exact", one)]) == "exact"
    assert first_same(one, [("alike", alike)]) == "alike"
    assert first_same(one, []) is None
