"""The pictures made from a photo: their sizes and looks, no notes of the camera, and placeholders for what can't be used."""

import pytest
from PIL import Image

from site_builder.images import store as picture_store
from site_builder.images.store import PictureStore
from tests.site_builder.images.drawn_photos import (
    BLUE,
    CREAM,
    DISPLAY_P3,
    HEIC,
    OWNER,
    SERIAL,
    XMP,
    encoded,
    exif,
    patchwork,
    psnr,
)
from tests.site_builder.images.stored_pictures import contents, sizes


def test_a_photo_becomes_three_sizes_by_its_longer_edge(store, photo):
    wide, tall = photo("wide.jpg", patchwork(2400, 1800)), photo("tall.jpg", patchwork(1800, 2401))
    pictures = store.prepare([wide, tall])
    assert sizes(pictures[wide]) == [(400, 300), (800, 600), (1600, 1200)]
    assert sizes(pictures[tall]) == [(300, 400), (600, 800), (1200, 1600)]
    assert (pictures[tall].width, pictures[tall].height) == (1800, 2401)
    for rendition in pictures[wide].renditions:
        content = store.file(rendition).read_bytes()
        assert Image.open(store.file(rendition)).size == (rendition.width, rendition.height)
        assert Image.open(store.file(rendition)).format == "JPEG"
        assert len(content) == rendition.bytes


def test_a_small_photo_gives_fewer_sizes_and_is_never_enlarged(store, photo):
    paths = [photo(f"{edge}.png", Image.new("RGB", (edge, edge // 2 or 1)), kind="PNG") for edge in (1, 300, 500, 1000)]
    pictures = store.prepare(paths)
    assert [[max(size) for size in sizes(pictures[path])] for path in paths] == [
        [1],
        [300],
        [400, 500],
        [400, 800, 1000],
    ]


def test_every_size_looks_like_a_careful_reduction(store, photo, monkeypatch):
    path = photo("front.jpg", patchwork(2401, 1800), quality=92)
    whole = Image.open(path)
    whole.load()
    save, made = Image.Image.save, {}

    def remember(image, out, kind=None, **options):
        made[image.size] = image.copy()
        save(image, out, kind, **options)

    monkeypatch.setattr(Image.Image, "save", remember)
    picture = store.prepare([path])[path]
    made.pop((picture.flat.width, picture.flat.height))
    assert sorted(made) == sizes(picture)
    for size, reduced in made.items():
        assert psnr(reduced, whole.resize(size, Image.Resampling.LANCZOS)) >= 36


@pytest.mark.parametrize(
    ("kind", "options"),
    [
        ("JPEG", {"exif": exif(6), "xmp": XMP, "comment": OWNER, "icc_profile": DISPLAY_P3, "dpi": (300, 300)}),
        ("PNG", {"exif": exif(6), "icc_profile": DISPLAY_P3}),
        ("WEBP", {"exif": exif(6), "xmp": XMP, "icc_profile": DISPLAY_P3}),
        ("TIFF", {"exif": exif(1), "description": OWNER}),
        ("GIF", {"comment": OWNER}),
    ],
)
def test_no_note_of_the_camera_reaches_a_page(store, photo, kind, options):
    assert_no_notes(store, photo(f"front.{kind.lower()}", patchwork(900, 600), kind=kind, **options))


def test_no_note_of_a_phone_photo_reaches_a_page(store, photo):
    assert_no_notes(store, photo("front.heic", HEIC.read_bytes()))


def assert_no_notes(store, path):
    original = path.read_bytes()
    assert any(note in original for note in (OWNER.encode(), SERIAL.encode())), "the test's own photo must hold notes"
    picture = store.prepare([path])[path]
    assert picture.problem is None
    for rendition in picture.renditions:
        content = store.file(rendition).read_bytes()
        for note in (
            b"Exif",
            b"http",
            b"adobe",
            b"Adobe",
            b"SECRET",
            b"ICC_PROFILE",
            b"Photoshop",
            b"2016:05",
            b"GPS",
            OWNER.encode(),
            SERIAL.encode(),
            b"Invented Optics",
            b"Model Nine",
        ):
            assert note not in content
        segments = jpeg_segments(content)
        assert segments[0] == 0xE0 and not set(segments[1:]) & {*range(0xE1, 0xF0), 0xFE}
        image = Image.open(store.file(rendition))
        assert not dict(image.getexif()) and not image.getexif().get_ifd(0x8825)
        assert set(image.info) <= {"jfif", "jfif_version", "jfif_unit", "jfif_density"}


def jpeg_segments(content):
    """The marks of the segments before the picture itself. Source: ITU-T T.81, annex B."""
    marks, at = [], 2
    while content[at + 1] != 0xDA:
        marks.append(content[at + 1])
        at += 2 + int.from_bytes(content[at + 2 : at + 4])
    return marks


def test_nothing_about_the_original_is_in_a_file_name(store, photo):
    path = photo("aunt-ada-12-mill-lane.jpg")
    for rendition in store.prepare([path])[path].renditions:
        assert "ada" not in rendition.file_name
        assert picture_store.RENDITION_NAME.fullmatch(rendition.file_name)


def test_a_picture_knows_its_quilts_colours_and_keeps_them(photo, tmp_path):
    quilt = Image.new("RGB", (900, 900), (150, 150, 148))
    for n, colour in enumerate([BLUE, CREAM] * 18):
        quilt.paste(colour, (150 + n % 6 * 100, 150 + n // 6 * 100, 250 + n % 6 * 100, 250 + n // 6 * 100))
    path = photo("front.jpg", quilt)
    picture = PictureStore(tmp_path / "store").prepare([path])[path]
    assert {term for term, _ in picture.colours.terms} == {"blue", "white"}
    assert all(colour.startswith("#") for colour, _ in picture.colours.palette)
    assert picture.average_colour.startswith("#") and len(picture.average_colour) == 7
    assert PictureStore(tmp_path / "store").prepare([path])[path] == picture


# --- what is wrong ----------------------------------------------------------------------------------------------


def test_an_unusable_photo_gets_a_placeholder_and_a_reason(store, photo, tmp_path):
    whole = encoded(patchwork(640, 480))
    paths = {
        "cut short": photo("cut.jpg", whole[:5000]),
        "empty": photo("empty.jpg", b""),
        "no file": tmp_path / "none.jpg",
        "folder": tmp_path / "photos",
        "not a picture": photo("text.jpg", b"Dear diary"),
    }
    good = photo("good.jpg", whole)
    pictures = store.prepare([*paths.values(), good])
    for words, path in paths.items():
        picture = pictures[path]
        assert words in picture.problem
        assert sizes(picture) == [(400, 300), (800, 600)] and (picture.width, picture.height) == (800, 600)
        assert picture.colours.palette == () and picture.colours.terms == ()
        assert all(store.file(rendition).stat().st_size == rendition.bytes for rendition in picture.renditions)
    assert pictures[good].problem is None
    assert pictures[paths["no file"]].digest == "" and pictures[paths["cut short"]].digest != ""


def test_a_photo_that_was_mended_is_shown(store, photo):
    whole = encoded(patchwork(640, 480))
    path = photo("front.jpg", whole[:5000])
    assert store.prepare([path])[path].problem
    photo("front.jpg", whole)
    assert store.prepare([path])[path].problem is None


def test_placeholders_are_the_same_everywhere(tmp_path):
    missing = tmp_path / "missing.jpg"
    assert PictureStore(tmp_path / "a").prepare([missing]) == PictureStore(tmp_path / "b").prepare([missing])
    a, b = contents(tmp_path / "a"), contents(tmp_path / "b")
    a.pop("index.json", None), b.pop("index.json", None)
    assert a == b and len(a) == 2
