"""An original photo of any sort becomes an upright sRGB picture, or a friendly reason why not."""

import struct
import zlib

import coloraide
import pytest
from PIL import Image, ImageCms

from site_builder.images import decode as decode_module
from site_builder.images.decode import decode, read_content
from tests.site_builder.images.drawn_photos import (
    BLUE,
    CREAM,
    DISPLAY_P3,
    GREEN,
    HEIC,
    RED,
    SRGB,
    corners_of,
    decoded,
    encoded,
    exif,
    four_corners,
    near,
    patchwork,
    psnr,
)

pytestmark = pytest.mark.filterwarnings("ignore:::PIL")  # as the program itself does

UPRIGHT = [RED, GREEN, BLUE, CREAM]

# What the camera stores for each EXIF orientation, so that the photo is upright when turned as told.
# Source: Exif 2.3, tag 0x0112: 6 means that row 0 is the right-hand side and column 0 the top.
T = Image.Transpose
AS_STORED = {
    1: None,
    2: T.FLIP_LEFT_RIGHT,
    3: T.ROTATE_180,
    4: T.FLIP_TOP_BOTTOM,
    5: T.TRANSPOSE,
    6: T.ROTATE_90,
    7: T.TRANSVERSE,
    8: T.ROTATE_270,
}


def stored(picture, orientation):
    turn = AS_STORED[orientation]
    return picture if turn is None else picture.transpose(turn)


def looks_upright(image):
    return all(near(seen, meant, within=12) for seen, meant in zip(corners_of(image), UPRIGHT, strict=True))


@pytest.mark.parametrize("orientation", AS_STORED)
@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP", "TIFF"])
def test_a_photo_is_turned_upright_as_the_camera_noted(orientation, kind):
    content = encoded(stored(four_corners(), orientation), kind, exif=exif(orientation))
    photo = decode(content, longest=1600)
    assert (photo.width, photo.height) == photo.image.size == (240, 160)
    assert looks_upright(photo.image)


@pytest.mark.parametrize("orientation", [0, 9, 255])
def test_an_orientation_that_does_not_exist_leaves_the_photo_alone(orientation):
    assert looks_upright(decode(encoded(four_corners(), exif=exif(orientation)), longest=1600).image)


def test_a_large_turned_photo_is_measured_upright():
    content = encoded(stored(four_corners(2400, 1600), 6), exif=exif(6))
    photo = decode(content, longest=1600)
    assert (photo.width, photo.height) == (2400, 1600)
    assert photo.image.size == (1600, 1067)


def test_a_phone_photo_in_heic_is_upright_without_turning_it_twice():
    photo = decode(HEIC.read_bytes(), longest=1600)
    assert (photo.width, photo.height) == photo.image.size
    assert photo.width > photo.height
    assert looks_upright(photo.image)


@pytest.mark.parametrize("colour", ["#b22228", "#2e7d3c", "#26468c", "#f0e6cd", "#e04080"])
def test_a_wide_gamut_photo_is_converted_to_srgb(colour):
    wide = coloraide.Color(colour).convert("display-p3")
    stored_colour = tuple(round(c * 255) for c in wide.coords())
    content = encoded(Image.new("RGB", (64, 64), stored_colour), quality=95, icc_profile=DISPLAY_P3)
    seen = decode(content, longest=1600).image.getpixel((30, 30))
    assert near(seen, tuple(bytes.fromhex(colour[1:])), within=4)


def test_an_everyday_profile_leaves_the_colours_alone():
    content = encoded(patchwork(200, 160), quality=95, icc_profile=SRGB)
    assert decode(content, longest=1600).image.tobytes() == decoded(content).tobytes()


def test_a_broken_profile_is_ignored():
    picture = four_corners()
    for broken in (b"not a profile", DISPLAY_P3[:200], DISPLAY_P3.replace(b"RGB ", b"CMYK"), b"\0" * 128):
        assert looks_upright(decode(encoded(picture, icc_profile=broken), longest=1600).image)
        assert looks_upright(decode(encoded(picture, "PNG", icc_profile=broken), longest=1600).image)


def test_a_print_shops_four_inks_become_srgb():
    assert looks_upright(decode(encoded(four_corners().convert("CMYK"), quality=95), longest=1600).image)
    assert looks_upright(decode(encoded(four_corners().convert("CMYK"), "TIFF"), longest=1600).image)


def test_a_grey_scan_becomes_grey_srgb():
    for mode in ("L", "LA", "1"):
        picture = Image.new("L", (60, 40), 255).convert(mode)
        photo = decode(encoded(picture, "PNG"), longest=1600)
        assert photo.image.mode == "RGB"
        assert photo.image.getpixel((20, 20)) == (255, 255, 255)


def test_sixteen_bits_a_channel_keep_their_lightness():
    grey = Image.frombytes("I;16", (40, 30), struct.pack("<H", 0x8000) * 1200)
    assert near(decode(encoded(grey, "PNG"), longest=1600).image.getpixel((9, 9)), (128, 128, 128), within=1)
    assert near(decode(encoded(grey, "TIFF"), longest=1600).image.getpixel((9, 9)), (128, 128, 128), within=1)
    colour = decode(png_of_sixteen_bits(40, 30, (0xB222, 0x2222, 0x2828)), longest=1600).image
    assert near(colour.getpixel((9, 9)), (0xB2, 0x22, 0x28), within=1)


def png_of_sixteen_bits(width, height, colour):
    """Pillow cannot write RGB with 16 bits a channel. Source: PNG specification, ISO/IEC 15948, 11.2."""

    def chunk(name, data):
        return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))

    head = struct.pack(">IIBBBBB", width, height, 16, 2, 0, 0, 0)
    rows = (b"\0" + struct.pack(">3H", *colour) * width) * height
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(rows)) + chunk(b"IEND", b"")


def test_thirty_two_bit_scans_are_shown():
    for mode, light in (("I", 30000), ("F", 0.5), ("I", 200)):
        picture = Image.new(mode, (40, 30), light)
        picture.putpixel((0, 0), 0)
        picture.putpixel((1, 0), 65535 if mode == "I" and light > 255 else 1)
        image = decode(encoded(picture, "TIFF"), longest=1600).image
        assert image.mode == "RGB"
        assert 100 < image.getpixel((20, 20))[0] <= 200


def test_lab_scans_are_shown():
    lab = ImageCms.profileToProfile(
        four_corners(), ImageCms.createProfile("sRGB"), ImageCms.createProfile("LAB"), outputMode="LAB"
    )
    assert looks_upright(decode(encoded(lab, "TIFF"), longest=1600).image)


def test_what_is_see_through_becomes_white():
    clear = Image.new("RGBA", (60, 40), (0, 0, 255, 0))
    palette = Image.new("P", (60, 40), 3)
    palette.putpalette([0, 0, 255] * 256)
    half = Image.new("RGBA", (60, 40), (0, 0, 255, 128))
    grey = Image.new("LA", (60, 40), (0, 0))
    keyed = Image.new("RGB", (60, 40), (1, 2, 3))
    for content in (
        encoded(clear, "PNG"),
        encoded(clear, "WEBP", lossless=True),
        encoded(grey, "PNG"),
        encoded(palette, "PNG", transparency=3),
        encoded(palette, "GIF", transparency=3),
        encoded(keyed, "PNG", transparency=(1, 2, 3)),
    ):
        assert decode(content, longest=1600).image.getpixel((30, 20)) == (255, 255, 255)
    assert near(decode(encoded(half, "PNG"), longest=1600).image.getpixel((30, 20)), (127, 127, 255), within=2)


@pytest.mark.parametrize("kind", ["GIF", "PNG", "WEBP", "TIFF"])
def test_a_moving_picture_shows_its_first_frame(kind):
    later = [Image.new("RGB", (240, 160), colour) for colour in ("black", "white")]
    content = encoded(four_corners(), kind, save_all=True, append_images=later)
    assert looks_upright(decode(content, longest=1600).image)


def test_a_phones_multi_picture_file_shows_its_first_picture():
    content = encoded(four_corners(2400, 1600), "MPO", save_all=True, append_images=[Image.new("RGB", (90, 90))])
    photo = decode(content, longest=1600)
    assert photo.image.size == (1600, 1067)
    assert looks_upright(photo.image)


def test_a_picture_is_known_by_its_content_and_not_by_its_name(tmp_path):
    path = tmp_path / "front.jpg"
    path.write_bytes(encoded(four_corners(), "PNG"))
    assert looks_upright(decode(read_content(path), longest=1600).image)


@pytest.mark.parametrize(
    ("width", "height", "longest", "size"),
    [
        (4000, 3000, 1600, (1600, 1200)),
        (3000, 4001, 1600, (1200, 1600)),
        (1601, 3, 1600, (1600, 3)),
        (5000, 1, 1600, (1600, 1)),
        (1, 1, 1600, (1, 1)),
        (900, 700, 1600, (900, 700)),
        (3200, 2401, 1600, (1600, 1200)),
    ],
)
def test_a_picture_is_never_enlarged_and_keeps_its_proportions(width, height, longest, size):
    photo = decode(encoded(Image.new("RGB", (width, height), BLUE)), longest=longest)
    assert (photo.width, photo.height) == (width, height)
    assert photo.image.size == size


@pytest.mark.parametrize(("width", "height"), [(2016, 1512), (1512, 2016), (1703, 1277), (2401, 1600), (3301, 2203)])
def test_a_quick_decode_looks_like_a_careful_one(width, height):
    content = encoded(patchwork(width, height), quality=90)
    longest = 800
    quick = decode(content, longest=longest).image
    careful = decoded(content).resize(quick.size, Image.Resampling.LANCZOS)
    assert psnr(quick, careful) >= 36


def test_a_large_photo_is_decoded_at_a_fraction_of_its_size(monkeypatch):
    loaded = []
    load = decode_module.JpegImagePlugin.JpegImageFile.load
    monkeypatch.setattr(
        decode_module.JpegImagePlugin.JpegImageFile, "load", lambda image: (loaded.append(image.size), load(image))[1]
    )
    decode(encoded(four_corners(4032, 3024)), longest=1600)
    decode(encoded(four_corners(3200, 2401)), longest=1600)
    assert (2016, 1512) in loaded
    assert max(loaded) == (2016, 1512)


def test_broken_notes_of_the_camera_do_not_spoil_the_picture():
    content = encoded(four_corners(), exif=b"Exif\0\0MM\0*\0\0\0\x08\xff\xff" + b"\xff" * 60)
    assert looks_upright(decode(content, longest=1600).image)
