"""The quilt's own colours are found, and not those of the wall and the floor around it. All pictures are drawn."""

import random

import pytest
from PIL import Image, ImageDraw, ImageFilter

from site_builder.images.detection.colours import find_quilt_colours
from site_builder.images.picture import QuiltColours

NAVY, BLUE, CREAM, RED, GREEN, YELLOW, PINK, BLACK = (
    (31, 42, 68),
    (47, 79, 143),
    (240, 231, 210),
    (158, 27, 30),
    (42, 97, 53),
    (232, 194, 28),
    (231, 149, 173),
    (26, 26, 26),
)
GREY, WHITE, WALL, WOOD, PALE = (140, 140, 138), (244, 243, 240), (176, 174, 170), (150, 110, 75), (226, 218, 204)


def checks(colours, across=6, down=8, side=20):
    """A quilt of square patches, its colours in turn."""
    quilt = Image.new("RGB", (across * side, down * side))
    draw = ImageDraw.Draw(quilt)
    for x in range(across):
        for y in range(down):
            colour = colours[(x + y) % len(colours)]
            draw.rectangle((x * side, y * side, (x + 1) * side - 1, (y + 1) * side - 1), fill=colour)
    return quilt


def with_border(quilt, colour, width):
    framed = Image.new("RGB", (quilt.width + 2 * width, quilt.height + 2 * width), colour)
    framed.paste(quilt, (width, width))
    return framed


def hung(quilt, wall, *, margin=0.2, floor=None, lean=0, uneven=0.0):
    """The quilt on a wall, with this part of the picture's width free at each side; softly lit and a little grainy."""
    width, height = round(quilt.width * (1 + 2 * margin)), round(quilt.height * (1 + 2 * margin))
    picture = Image.new("RGB", (width, height), wall)
    if floor:
        picture.paste(floor, (0, round(height * 0.93), width, height))
    turned = quilt.convert("RGBA").rotate(lean, expand=True, resample=Image.Resampling.BICUBIC)
    at = ((width - turned.width) // 2 + round(uneven * width), (height - turned.height) // 2)
    picture.paste(turned, at, turned)
    return grainy(picture)


def grainy(picture, seed=7, amount=8):
    chance = random.Random(seed)
    grain = Image.frombytes("L", picture.size, chance.randbytes(picture.width * picture.height))
    light = Image.merge(
        "RGB", (grain.filter(ImageFilter.GaussianBlur(0.7)).point(lambda v: 128 - amount + v * amount // 128),) * 3
    )
    return Image.blend(picture, light, 0.04).filter(ImageFilter.GaussianBlur(0.5))


def terms(picture):
    return dict(find_quilt_colours(picture).terms)


NINE_PATCH = checks([BLUE, CREAM], across=9, down=9, side=18)


@pytest.mark.parametrize("margin", [0.06, 0.2, 0.4])
@pytest.mark.parametrize("wall", [WALL, GREY, (120, 122, 125), (205, 203, 198)])
def test_a_blue_and_cream_nine_patch_on_a_grey_wall_is_blue_and_white(wall, margin):
    found = terms(hung(NINE_PATCH, wall, margin=margin))
    assert set(found) == {"blue", "white"}
    assert found["blue"] == pytest.approx(41 / 81, abs=0.12)


def test_a_white_quilt_on_a_white_wall_is_still_white():
    spots = checks([WHITE, PALE, WHITE, RED, WHITE], across=10, down=12, side=12)
    found = terms(hung(spots, WHITE))
    assert next(iter(found)) == "white" and "red" in found
    whole_cloth = Image.new("RGB", (160, 200), (236, 233, 226))
    assert set(terms(hung(whole_cloth, WHITE))) == {"white"}
    assert set(terms(hung(whole_cloth, (236, 233, 226)))) == {"white"}


def test_a_quilt_that_fills_the_picture_keeps_all_its_colours():
    found = terms(grainy(checks([RED, CREAM, GREEN])))
    assert set(found) == {"red", "white", "green"}
    assert all(share == pytest.approx(1 / 3, abs=0.1) for share in found.values())


@pytest.mark.parametrize(
    ("border", "term"), [(NAVY, "blue"), (RED, "red"), (GREEN, "green"), (BLACK, "black"), (PINK, "pink")]
)
def test_a_strong_border_that_fills_the_picture_is_the_quilts_own(border, term):
    found = terms(grainy(with_border(checks([CREAM, YELLOW]), border, 24)))
    assert set(found) == {"white", "yellow", term}


@pytest.mark.parametrize("wall", [WALL, PALE, WHITE])
def test_a_border_on_a_wall_belongs_to_the_quilt(wall):
    found = terms(hung(with_border(checks([CREAM, YELLOW]), NAVY, 16), wall))
    assert {"blue", "yellow", "white"} == set(found)


def test_a_wooden_floor_below_the_wall_is_left_out():
    found = terms(hung(checks([RED, CREAM]), WALL, floor=WOOD))
    assert set(found) == {"red", "white"}


def test_a_quilt_laid_on_a_wooden_floor():
    assert set(terms(hung(checks([BLUE, CREAM]), WOOD))) == {"blue", "white"}


def test_a_quilt_laid_on_grass():
    chance = random.Random(3)
    quilt = checks([RED, CREAM], side=16)
    blades = [
        (chance.randrange(50, 110), chance.randrange(95, 165), chance.randrange(25, 70)) for _ in range(200 * 240)
    ]
    lawn = Image.frombytes("RGB", (200, 240), bytes(channel for blade in blades for channel in blade))
    lawn = lawn.filter(ImageFilter.GaussianBlur(1.2))
    lawn.paste(quilt, (52, 56))
    assert set(terms(lawn)) == {"red", "white"}


@pytest.mark.parametrize("lean", [-7, 4, 12])
def test_a_quilt_that_hangs_askew(lean):
    assert set(terms(hung(NINE_PATCH, GREY, lean=lean, margin=0.25))) == {"blue", "white"}


def test_a_quilt_at_one_side_of_the_picture():
    assert set(terms(hung(NINE_PATCH, GREY, margin=0.3, uneven=0.14))) == {"blue", "white"}


def test_grey_patches_count_although_the_wall_is_grey_too():
    found = terms(hung(checks([GREY, YELLOW, CREAM]), GREY))
    assert set(found) == {"grey", "yellow", "white"}
    assert found["grey"] == pytest.approx(1 / 3, abs=0.12)


def test_a_wall_that_darkens_to_one_side_is_left_out():
    width, height = 220, 260
    wall = Image.linear_gradient("L").rotate(90).resize((width, height)).point(lambda light: 120 + light // 3)
    picture = Image.merge("RGB", (wall, wall, wall.point(lambda light: max(0, light - 4))))
    picture.paste(checks([RED, GREEN]), (50, 50))
    assert set(terms(picture)) == {"red", "green"}


def in_light(picture, *parts):
    """The picture with this part of each channel's values."""
    bands = (band.point(lambda value, part=part: round(value * part)) for band, part in zip(picture.split(), parts))
    return Image.merge("RGB", tuple(bands))


@pytest.mark.parametrize("light", [(0.75, 0.75, 0.75), (0.82, 0.78, 0.7), (0.76, 0.78, 0.82)])
def test_white_in_a_dim_or_tinted_photo_is_white(light):
    found = terms(in_light(hung(checks([WHITE, RED, BLUE]), (225, 223, 218)), *light))
    assert set(found) == {"white", "red", "blue"}


def test_a_dark_quilt_in_a_dark_room_stays_dark():
    found = terms(hung(checks([GREY, NAVY, BLACK]), (105, 103, 100)))
    assert set(found) == {"grey", "blue", "black"}


def test_grey_beside_white_stays_grey():
    assert set(terms(hung(checks([GREY, WHITE]), (215, 213, 208)))) == {"grey", "white"}


def test_a_long_runner_on_a_wooden_floor():
    runner = checks([RED, CREAM], across=3, down=20, side=10)
    floor = Image.new("RGB", (140, 220), WOOD)
    floor.paste(runner, (55, 10))
    assert set(terms(grainy(floor))) == {"red", "white"}


def test_small_bright_pieces_on_white_are_seen():
    picture = Image.new("RGB", (200, 240), WALL)
    picture.paste(WHITE, (20, 20, 180, 220))
    for n, colour in enumerate([RED, BLUE, GREEN, YELLOW] * 20):
        x, y = 28 + n % 10 * 15, 30 + n // 10 * 23
        picture.paste(colour, (x, y, x + 8, y + 8))
    assert set(terms(picture)) == {"white", "red", "blue", "green", "yellow"}


def test_scraps_of_every_colour_are_all_there():
    found = terms(hung(checks([RED, YELLOW, GREEN, BLUE, PINK, BLACK, CREAM]), WALL))
    assert set(found) == {"red", "yellow", "green", "blue", "pink", "black", "white"}


def test_the_palette_holds_the_cloths_themselves():
    palette = find_quilt_colours(hung(checks([RED, CREAM, GREEN]), WALL)).palette
    assert 3 <= len(palette) <= 6
    assert sum(share for _, share in palette) == pytest.approx(1, abs=0.001)
    for cloth in (RED, CREAM, GREEN):
        assert any(
            all(abs(a - b) < 30 for a, b in zip(bytes.fromhex(colour[1:]), cloth, strict=True)) for colour, _ in palette
        )


@pytest.mark.parametrize("size", [(1, 1), (2, 2), (3, 90), (400, 2), (1600, 1200)])
def test_any_size_of_picture_has_colours(size):
    found = find_quilt_colours(Image.new("RGB", size, NAVY))
    assert found.terms == (("blue", 1.0),) and found.palette == (("#1f2a44", 1.0),)


def test_the_same_picture_has_the_same_colours():
    picture = hung(checks([RED, YELLOW, GREEN, BLUE]), WALL)
    assert find_quilt_colours(picture) == find_quilt_colours(picture.copy())
    assert isinstance(find_quilt_colours(picture), QuiltColours)
