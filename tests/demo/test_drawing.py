"""The demo's photos: drawn to the record's size, the same each time, and with clear words when asked for the unknown."""

import hashlib
from io import BytesIO
from math import hypot
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image, ImageOps

from demo_collection.drawing import draw_photos, photograph
from demo_collection.drawing.blocks import BLOCK_NAMES, draft
from demo_collection.drawing.chance import Field, chance
from demo_collection.drawing.cloth import Quilt, outline_mask, paint_top
from demo_collection.drawing.drape import Camera, fitted, homography
from demo_collection.drawing.prints import PRINTS, Fabric, tile
from demo_collection.drawing.quilting import QUILTINGS, Ground, stitches
from demo_collection.drawing.recipes import (
    SCENES,
    PhotoWanted,
    RecipeError,
    read_recipe,
    read_recipes,
)
from demo_collection.drawing.scenes import SCENE_PAINTERS, photo_size
from demo_collection.drawing.whole_quilts import WHOLE_QUILTS

PALETTE = {
    "ground": "#ece7db",
    "main": ["#2c5f7c", "#c8663f"],
    "accent": "#d9a648",
    "binding": "#1f3f58",
}


def a_quilt(record: dict | None = None, **recipe) -> Quilt:
    record = {"title": "Low Tide", "finished_size": "36 x 48 in", **(record or {})}
    return Quilt(read_recipe("low-tide", {"block": "ohio star", "palette": PALETTE, **recipe}, record))


def area(points) -> float:
    return abs(sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(points, [*points[1:], points[0]]))) / 2


# Blocks


@pytest.mark.parametrize("name", BLOCK_NAMES)
def test_every_block_lies_within_its_square(name):
    assert all(-1e-9 <= x <= 1 + 1e-9 and -1e-9 <= y <= 1 + 1e-9 for one in draft(name) for x, y in one.points)


PIECED = [name for name in BLOCK_NAMES if not any(one.laid_on for one in draft(name))]
DRAWN_UPON_A_GROUND = {
    "drunkard's path",
    "new york beauty",
    "mariner's compass",
    "pine tree",
    "schoolhouse",
    "basket",
    "maple leaf",
}


@pytest.mark.parametrize("name", [name for name in PIECED if name not in DRAWN_UPON_A_GROUND])
def test_the_patches_of_a_pieced_block_fill_it_without_overlapping(name):
    assert sum(area(one.points) for one in draft(name)) == pytest.approx(1)


def test_an_ohio_star_has_nine_squares_four_of_them_quartered():
    sizes = sorted(round(area(one.points) * 36) for one in draft("ohio star"))
    assert sizes == [1] * 16 + [4] * 5


def test_the_diamonds_of_an_eight_pointed_star_have_equal_sides():
    diamonds = [one for one in draft("eight-pointed star") if one.part == "main"]
    sides = {
        round(hypot(a[0] - b[0], a[1] - b[1]), 9)
        for one in diamonds
        for a, b in zip(one.points, [*one.points[1:], one.points[0]])
    }
    assert len(diamonds) == 8 and len(sides) == 1


@pytest.mark.parametrize("name", WHOLE_QUILTS)
def test_every_whole_quilt_covers_its_space(name):
    quilt = a_quilt(block=name, quilting="none")
    marked = paint_top(quilt, quilt.whole, 3)
    assert marked.size == (108, 144)
    assert len(quilt.layout.pieces) >= 5


# Layout


@pytest.mark.parametrize(
    ("setting", "size"),
    [
        ({"blocks": "4 x 5", "block": "12", "sashing": "2", "borders": ["1 1/2", "5"]}, (67, 81)),
        (
            {
                "blocks": "4 x 5",
                "block": "12",
                "sashing": "2",
                "cornerstones": "true",
                "outer_sashing": "true",
            },
            (58, 72),
        ),
        ({"blocks": "4 x 5", "block": "12", "arrangement": "on point"}, (67.88, 84.85)),
    ],
)
def test_a_top_without_a_measured_size_takes_what_its_setting_adds_up_to(setting, size):
    """4 x 5 on point: facts.md 1.7, derived."""
    quilt = Quilt(
        read_recipe(
            "low-tide",
            {"block": "nine patch", "palette": PALETTE},
            {"title": "Low Tide", "setting": setting},
        )
    )
    assert (quilt.layout.width, quilt.layout.length) == pytest.approx(size, abs=0.01)


def test_on_point_four_by_five_holds_thirty_two_blocks():
    """c r + (c-1)(r-1), facts.md 1.7, seen."""
    quilt = a_quilt({"setting": {"blocks": "4 x 5", "block": "6", "arrangement": "on point"}})
    assert len(quilt.layout.blocks) == 32


@settings(max_examples=25, deadline=None)
@given(st.integers(20, 110), st.integers(20, 110), st.sampled_from(["pinwheel", "bricks", "lone star"]))
def test_a_drawn_quilt_has_exactly_the_size_of_its_record(width, length, block):
    quilt = a_quilt({"finished_size": f"{width} x {length} in"}, block=block)
    xs = [x for piece in quilt.layout.pieces[-4:] for x, _ in piece.points]
    ys = [y for piece in quilt.layout.pieces[-4:] for _, y in piece.points]
    assert (min(xs), max(xs), min(ys), max(ys)) == pytest.approx((0, width, 0, length))


def test_the_painted_top_has_the_proportions_of_the_quilt():
    quilt = a_quilt({"finished_size": "60 1/2 x 72 in"})
    picture = paint_top(quilt, quilt.whole, 4)
    assert picture.width / picture.height == pytest.approx(60.5 / 72, abs=0.005)
    assert outline_mask(quilt, (-2, -2, 62.5, 74), 4).getbbox() == (8, 8, 250, 296)


def test_an_unfinished_quilt_has_no_binding():
    bound, unbound = a_quilt(), a_quilt({"stage": "quilting"})
    assert len(bound.layout.pieces) == len(unbound.layout.pieces) + 4


# Cloth and quilting


@pytest.mark.parametrize("name", PRINTS)
def test_a_print_shows_the_colour_of_its_cloth(name):
    colour = (60, 96, 128)
    shown = tile(Fabric(colour, name, ((200, 100, 60), (236, 230, 216))), 24).convert("RGB").getcolors(1_000_000)
    assert min(max(abs(a - b) for a, b in zip(pixel, colour)) for _, pixel in shown) < 45


@pytest.mark.parametrize("name", PRINTS)
def test_a_print_meets_itself_where_its_tile_is_laid_side_by_side(name):
    """Across the joint, neighbours differ no more than neighbours within the tile do."""
    one = tile(Fabric((60, 96, 128), name, ((200, 100, 60), (236, 230, 216))), 24).convert("L")
    w, h = one.size

    def unlikeness(left: int, right: int) -> float:
        return sum(abs(one.getpixel((left, y)) - one.getpixel((right, y))) for y in range(h)) / h

    within = max(unlikeness(x, x + 1) for x in range(w - 1))
    assert unlikeness(w - 1, 0) <= within * 1.5 + 4


@pytest.mark.parametrize("name", [name for name in QUILTINGS if name != "none"])
def test_every_quilting_leaves_lines(name):
    ground = Ground("low-tide", 36, 48, (0, 0, 36, 48), (((0, 0), (12, 0), (12, 12), (0, 12)),))
    assert stitches(ground, name, (0, 0, 36, 48), (180, 240), 1).getbbox()


def test_no_quilting_leaves_none():
    ground = Ground("low-tide", 36, 48, (0, 0, 36, 48), ())
    assert stitches(ground, "none", (0, 0, 36, 48), (180, 240), 1).getbbox() is None


def test_a_field_is_the_same_land_from_near_and_from_afar():
    field = Field(1.0, (30, 30), "land")
    near = field.seen((10, 10, 12, 12), (80, 80)).resize((1, 1), Image.Resampling.BOX).getpixel((0, 0))
    far = field.seen((10, 10, 12, 12), (10, 10)).resize((1, 1), Image.Resampling.BOX).getpixel((0, 0))
    assert abs(near - far) <= 3


# The camera

corner = st.tuples(st.floats(-40, 40), st.floats(-40, 40))


@given(corner, corner, corner, corner)
def test_a_homography_takes_corners_to_corners(a, b, c, d):
    shown = [
        (100 + a[0], 100 + a[1]),
        (300 + b[0], 100 + b[1]),
        (300 + c[0], 300 + c[1]),
        (100 + d[0], 300 + d[1]),
    ]
    source = ((0, 0), (50, 0), (50, 80), (0, 80))
    p = homography(shown, source)
    for (x, y), wanted in zip(shown, source):
        scale = p[6] * x + p[7] * y + 1
        assert (
            (p[0] * x + p[1] * y + p[2]) / scale,
            (p[3] * x + p[4] * y + p[5]) / scale,
        ) == pytest.approx(wanted, abs=1e-5)


def test_a_fitted_camera_fills_its_frame():
    places = [(0, 0, 0), (60, 0, 0), (60, 72, 0), (0, 72, 0)]
    camera = fitted(Camera((20, 50, -130), (30, 36, 0)), places, (50, 50, 950, 1150))
    seen = [camera.seen(place) for place in places]
    left, right = min(x for x, _, _ in seen), max(x for x, _, _ in seen)
    top, bottom = min(y for _, y, _ in seen), max(y for _, y, _ in seen)
    assert left >= 50 - 1e-6 and right <= 950 + 1e-6 and top >= 50 - 1e-6 and bottom <= 1150 + 1e-6
    assert right - left == pytest.approx(900) or bottom - top == pytest.approx(1100)


# Photos


def test_every_scene_that_a_recipe_may_name_can_be_painted():
    assert set(SCENES) == set(SCENE_PAINTERS)


@pytest.mark.parametrize("scene", SCENES)
def test_every_scene_gives_a_photo_of_the_asked_size(scene):
    quilt = a_quilt(label="Low Tide\nfor Ada")
    size = photo_size(scene, 36, 48, 160)
    photo = SCENE_PAINTERS[scene](quilt, size, chance("scene"))
    assert photo.size == size
    assert len(photo.getcolors(160 * 160)) > 200


def test_the_same_recipe_gives_the_same_bytes(monkeypatch):
    monkeypatch.setattr(draw_photos, "COVER_EDGE", 240)
    wanted = PhotoWanted("low-tide/front.jpg", "front")
    digests = {hashlib.sha256(draw_photos.draw_photo(a_quilt(), wanted, cover=True)).hexdigest() for _ in range(2)}
    assert len(digests) == 1


def test_a_phones_photo_is_stored_turned_and_says_so():
    photo = Image.linear_gradient("L").convert("RGB").resize((300, 400))
    stored = Image.open(BytesIO(photograph.encoded(photo, ".jpg", 60_000, phone="low-tide/IMG_1.jpg")))
    exif = stored.getexif()
    assert exif[0x0112] in (3, 6, 8)
    assert stored.size == ((300, 400) if exif[0x0112] == 3 else (400, 300))
    assert exif.get_ifd(0x8825)[2] == (0.0, 0.0, 30.0)
    upright = ImageOps.exif_transpose(stored)
    assert upright.getpixel((150, 5))[0] < 30 and upright.getpixel((150, 395))[0] > 225


@pytest.mark.parametrize("ending", [".jpg", ".webp"])
def test_a_photo_stays_within_its_bytes(ending):
    noisy = Image.frombytes("RGB", (300, 300), chance("noise").randbytes(270_000))
    data = photograph.encoded(noisy, ending, 30_000)
    assert len(data) <= 30_000
    assert Image.open(BytesIO(data)).format == {".jpg": "JPEG", ".webp": "WEBP"}[ending]


# Words


@pytest.mark.parametrize(
    ("wrong", "hint"),
    [
        ({"block": "ohio stra"}, "did you mean 'ohio star'?"),
        ({"prints": {"main": "smal floral"}}, "did you mean 'small floral'?"),
        ({"quilting": "stippled"}, "did you mean 'stipple'?"),
        ({"palete": {}}, "did you mean 'palette'?"),
        ({"palette": {"mian": "#ffffff"}}, "did you mean 'main'?"),
        ({"palette": {"main": "blue"}}, "one looks like #2c5f7c"),
        ({"photos": [{"file": "a/front.jpg", "scene": "frnt"}]}, "did you mean 'front'?"),
        ({"photos": [{"file": "a/front.gif", "scene": "front"}]}, ".webp"),
    ],
)
def test_what_the_engine_does_not_know_is_said_with_the_nearest_it_knows(wrong, hint):
    with pytest.raises(RecipeError) as told:
        a_quilt(**wrong)
    assert hint in str(told.value)


def test_recipes_and_records_of_the_demo_agree():
    folder = Path(draw_photos.__file__).parent.parent
    recipes = read_recipes(folder, folder / "drawing" / "recipes.yaml")
    files = [photo.file for recipe in recipes for photo in recipe.photos]
    assert len(files) == len(set(files)) > 100
