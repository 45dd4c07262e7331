"""A quilt's corners are found closely or not at all. All pictures are drawn."""

import math
import random

import pytest
from PIL import Image, ImageDraw, ImageFilter

from site_builder.images.detection.background import standing_out
from site_builder.images.detection.outline import find_outline
from tests.site_builder.images.detection.quilts_in_rooms import GROUNDS, patched, quilt_photo

SEEDS = range(5)


def off(outline, photo):
    """How far the worst corner is off, as a share of the quilt's diagonal."""
    return max(map(math.dist, outline.corners, photo.corners)) / photo.corners.diagonal


def lost(outline, photo):
    """How far the quilt reaches out of the outline at most, as a share of its diagonal."""
    most = 0.0
    for (x0, y0), (x1, y1) in zip(outline.corners, (*outline.corners[1:], outline.corners[0]), strict=True):
        for x, y in photo.corners:
            outside = ((y1 - y0) * (x - x0) - (x1 - x0) * (y - y0)) / math.dist((x0, y0), (x1, y1))
            most = max(most, outside)
    return most / photo.corners.diagonal


def found(photos):
    """How many outlines were found; each of them closely."""
    outlines = [(find_outline(photo.picture), photo) for photo in photos]
    for outline, photo in outlines:
        assert outline is None or (off(outline, photo) < 0.02 and lost(outline, photo) < 0.015)
    return sum(outline is not None for outline, _ in outlines)


@pytest.mark.parametrize(
    ("ground", "least"),
    [
        ("plain", 5),
        ("uneven light", 4),
        ("wood", 4),
        ("grass", 5),
        ("stripes", 4),
        ("carpet", 1),
        ("wall and floor", 1),
    ],
)
def test_the_corners_are_found_closely_on_many_grounds_or_not_at_all(ground, least):
    assert ground in GROUNDS
    assert found(quilt_photo(seed, ground) for seed in SEEDS) >= least


@pytest.mark.parametrize("turn", [-5, -2.5, 0, 2.5, 5])
def test_a_quilt_that_hangs_askew_is_found(turn):
    assert found(quilt_photo(seed, turn=turn) for seed in range(3)) >= 2


@pytest.mark.parametrize("keystone", [-0.3, -0.15, 0.15, 0.3])
def test_a_quilt_that_is_seen_from_the_side_or_from_below_is_found(keystone):
    assert found(quilt_photo(seed, keystone=keystone) for seed in range(3)) == 3


def test_neither_a_shadow_nor_the_ends_of_a_rod_belong_to_the_quilt():
    assert found(quilt_photo(seed, shadow=0.35, rod=True) for seed in SEEDS) >= 4


@pytest.mark.parametrize("contrast", [12, 16, 24])
def test_a_border_nearly_as_light_as_the_wall_is_not_cut_off(contrast):
    assert found(quilt_photo(seed, contrast=contrast) for seed in SEEDS) >= 3
    assert found(quilt_photo(seed, "uneven light", contrast=contrast, shadow=0.3) for seed in SEEDS) >= 3


def test_the_proportion_is_the_quilts_own():
    for seed in SEEDS:
        photo = quilt_photo(seed, turn=3, keystone=0)
        assert find_outline(photo.picture).proportion == pytest.approx(photo.proportion, rel=0.02)


@pytest.mark.parametrize("ground", ["plain", "wood", "grass"])
def test_a_quilt_that_is_not_in_the_picture_whole_is_not_found(ground):
    for seed in SEEDS:
        side = 80 if seed % 2 else -80
        assert find_outline(quilt_photo(seed, ground, fill=0.95, shift=(side, 0)).picture) is None
        assert find_outline(quilt_photo(seed, ground, fill=0.95, shift=(0, 1.4 * side)).picture) is None


def with_something_before(photo, shape):
    picture = photo.picture.copy()
    shape(ImageDraw.Draw(picture), *photo.corners.bottom_left)
    return picture


@pytest.mark.parametrize(
    "shape",
    [
        lambda draw, x, y: draw.ellipse((x - 30, y - 80, x + 60, y + 70), fill=(90, 70, 60)),
        lambda draw, x, y: draw.polygon(((x - 10, y + 10), (x + 70, y + 10), (x - 10, y - 70)), fill=(200, 200, 198)),
        lambda draw, x, y: draw.rectangle((x - 15, y - 400, x - 4, y + 100), fill=(80, 60, 40)),
    ],
)
def test_a_quilt_with_something_before_a_corner_or_at_its_side_is_not_found(shape):
    for seed in SEEDS:
        assert find_outline(with_something_before(quilt_photo(seed, turn=0, keystone=0), shape)) is None


def test_two_quilts_beside_each_other_are_not_taken_for_one():
    for seed in SEEDS:
        left = quilt_photo(seed, fill=0.45, shift=(-90, 0)).picture
        right = quilt_photo(seed + 100, fill=0.45, shift=(90, 0)).picture.resize(left.size)
        middle = left.width // 2
        left.paste(right.crop((middle, 0, *left.size)), (middle, 0))
        assert find_outline(left) is None


def test_a_scalloped_edge_is_not_cut_straight():
    for seed in SEEDS:
        photo = quilt_photo(seed)
        draw = ImageDraw.Draw(photo.picture)
        for (x0, y0), (x1, y1) in zip(photo.corners, (*photo.corners[1:], photo.corners[0]), strict=True):
            for step in range(10):
                x, y = x0 + (x1 - x0) * step / 9, y0 + (y1 - y0) * step / 9
                draw.ellipse((x - 11, y - 11, x + 11, y + 11), fill=photo.picture.getpixel((4, 4)))
        assert find_outline(photo.picture) is None


def test_nothing_is_found_where_no_quilt_lies_before_a_ground():
    chance = random.Random(3)
    close = patched(chance, (200, 200, 200)).crop((60, 60, 360, 400))
    noise = Image.frombytes("RGB", (400, 300), chance.randbytes(400 * 300 * 3))
    clouds = noise.filter(ImageFilter.GaussianBlur(30))
    for picture in (
        close,
        noise,
        clouds,
        *(Image.new("RGB", (400, 300), shade) for shade in ("black", "white", "navy")),
    ):
        assert find_outline(picture) is None


def test_the_ground_itself_does_not_stand_out_and_a_quilt_does():
    photo = quilt_photo(1, "uneven light", turn=0, keystone=0)
    amount = standing_out(photo.picture).amount()
    (left, top), (right, bottom) = photo.corners.top_left, photo.corners.bottom_right
    quilt = amount.crop((round(left) + 3, round(top) + 3, round(right) - 3, round(bottom) - 3))
    assert sum(quilt.histogram()[40:]) > 0.7 * quilt.width * quilt.height
    outside = amount.copy()
    outside.paste(0, (round(left) - 4, round(top) - 4, round(right) + 4, round(bottom) + 4))
    assert sum(outside.histogram()[30:]) < 0.01 * outside.width * outside.height
