"""Decodes an original photo from a camera, phone or scanner into an upright sRGB picture in memory.

The file is not trusted: it may be truncated, enormous, of another format than its name says, or not a picture at all.
Any such problem raises `UnusablePhoto`, with a message for the person whose photo it is.
"""

import errno
import io
import os
import stat
import warnings
from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path

import pi_heif
from PIL import (
    AvifImagePlugin,
    Image,
    ImageCms,
    JpegImagePlugin,
    MpoImagePlugin,
    TiffImagePlugin,
    UnidentifiedImageError,
    WebPImagePlugin,
)

from site_builder.images.heif import names_its_parts_in_text
from site_builder.images.memory import MOST_OF_ONE, USUAL, budget, bytes_at_work, bytes_for_heif
from site_builder.images.metadata_size import TIMES_OF_A_HEIC, TooManyParts, bytes_for_file
from site_builder.images.plain_pictures import plain, plain_heif

MOST_BYTES = 200_000_000
MOST_PIXELS = 300_000_000  # in the file: the largest phone cameras make 200 million
LONGEST_SIDE = 65_535  # as in a JPEG; each row of a taller picture takes memory of its own
MOST_SCANNED_PIXELS = 1_500_000_000  # of a progressive JPEG: each scan covers the whole picture
MOST_EXIF = 1_000_000  # bytes of a camera's notes; in a JPEG they are 65,000
MUCH_SMALLER = 1.2  # times; by measurement, see `resampling`

# Only formats that people keep photos in; Pillow reads many more, and some of those start other programs.
FORMATS = ("JPEG", "PNG", "HEIF", "TIFF", "WEBP", "AVIF", "GIF", "BMP")

START_OF_SCAN = b"\xff\xda"  # Source: ITU-T T.81, table B.1

HEIF_BRANDS = (b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"hevm", b"hevs", b"mif1", b"msf1")

ORIENTATION = 0x0112
# Source: Exif 2.3, tag 0x0112, the turn that makes each of the eight stored orientations upright.
UPRIGHT = {
    2: Image.Transpose.FLIP_LEFT_RIGHT,
    3: Image.Transpose.ROTATE_180,
    4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE,
    6: Image.Transpose.ROTATE_270,
    7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_90,
}

# Pillow warns programmers of odd notes in a photo; the person at the screen has no use for that.
warnings.filterwarnings("ignore", module=r"PIL\b")

# Without these the first unusual file would make Pillow load all its plugins.
Image.preinit()
assert AvifImagePlugin and MpoImagePlugin and TiffImagePlugin and WebPImagePlugin
pi_heif.register_heif_opener()
# Blocks this large are returned to the system when a picture is done; smaller ones stay with the thread that made them.
# With twelve large photos, eight at a time, the peak was 1.0 GB without this and 0.54 GB with it. It is the same setting
# as PILLOW_BLOCK_SIZE in Pillow's documentation.
Image.core.set_block_size(64 << 20)  # type: ignore[attr-defined]  # the module of Pillow in C has no types
# The limits above replace Pillow's, which would write a warning for programmers on the screen.
Image.MAX_IMAGE_PIXELS = None


class UnusablePhoto(Exception):
    """A file that can't be shown. The message says what was found and what would help."""


@dataclass(frozen=True, slots=True)
class Photo:
    """An upright sRGB picture, with the width and height of the upright original in pixels."""

    image: Image.Image
    width: int
    height: int


def read_content(path: Path) -> bytes:
    """The whole file.

    Never waits for a pipe or a device, and reads no more than the size found first. Raises `UnusablePhoto`.
    """
    try:
        handle = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0))
        try:
            size = _expect_an_ordinary_file(os.fstat(handle))
        except BaseException:
            os.close(handle)
            raise
        with os.fdopen(handle, "rb") as file:
            budget.need(size + USUAL)
            content = file.read(size)
    except (FileNotFoundError, NotADirectoryError):
        raise UnusablePhoto(MISSING) from None
    except PermissionError:
        raise UnusablePhoto(FORBIDDEN) from None
    except (OSError, ValueError) as problem:
        if getattr(problem, "errno", None) == errno.ENXIO:
            raise UnusablePhoto(NOT_ORDINARY) from None
        raise UnusablePhoto(UNREADABLE) from None
    if not content:
        raise UnusablePhoto("This file is empty. Copying it again from the camera or phone usually helps.")
    return content


MISSING = "There is no file of this name. Check the spelling, or whether it was moved."
FORBIDDEN = "This file may not be read. Allow your account to read it, then build again."
UNREADABLE = (
    "This file could not be read from the disk. Try to open it in another program; "
    "if that fails too, take it from a backup or the camera again."
)
FOLDER = "This is a folder. Name one of the pictures in it."
NOT_ORDINARY = "This is not an ordinary file. Put a picture in its place."


def _expect_an_ordinary_file(found: os.stat_result) -> int:
    """The size of the file in bytes. UnusablePhoto if it is not an ordinary file, or too large."""
    if stat.S_ISDIR(found.st_mode):
        raise UnusablePhoto(FOLDER)
    if not stat.S_ISREG(found.st_mode):
        raise UnusablePhoto(NOT_ORDINARY)
    if found.st_size > MOST_BYTES:
        raise UnusablePhoto(_too_heavy(found.st_size))
    return found.st_size


def _too_heavy(size: int) -> str:
    return (
        f"This file is very large ({size // 1_000_000:,} MB; at most {MOST_BYTES // 1_000_000} MB can be "
        "used). Save a smaller copy as JPEG and name that one."
    )


def decode(content: bytes, *, longest: int) -> Photo:
    """Decode a file's content into a picture that is upright, in sRGB, and without transparency.

    Its longer edge is at most `longest` pixels; it is never enlarged. Only the first frame or page is read.
    Raises `UnusablePhoto`.
    """
    if _has_brand(content, HEIF_BRANDS) and not names_its_parts_in_text(content):
        raise UnusablePhoto(DAMAGED)
    try:
        return budget.bounded(lambda: _decoded(content, longest))
    except UnusablePhoto:
        raise
    except UnidentifiedImageError:
        raise UnusablePhoto(_what_it_is_instead(content)) from None
    except MemoryError:
        raise UnusablePhoto(NO_ROOM) from None
    except Exception as problem:  # noqa: BLE001 - the decoders' errors have no common base class
        if "truncated" in str(problem).lower():
            raise UnusablePhoto(
                "This picture is cut short: its file ends too early. "
                "Copying it again from the camera or phone usually helps."
            ) from None
        raise UnusablePhoto(DAMAGED) from None


NO_ROOM = "This picture needs more memory than there is. Save a smaller copy as JPEG, and name that one."
MANY_NOTES = (
    "This file holds too much beside the picture to be used. "
    "Save the picture anew as JPEG, without notes or layers, and name that copy."
)
DAMAGED = "This picture is damaged and cannot be shown. Copying it again from the camera or phone usually helps."


def _decoded(content: bytes, longest: int) -> Photo:
    heif = _opened_heif(content) if _has_brand(content, HEIF_BRANDS) else None
    if heif is not None:
        return _from_heif(heif, len(content), longest)
    try:
        size_of_file = bytes_for_file(content)
    except TooManyParts:
        raise UnusablePhoto(DAMAGED) from None
    if size_of_file > MOST_OF_ONE:
        raise UnusablePhoto(MANY_NOTES)
    budget.need(size_of_file)
    with Image.open(io.BytesIO(content), formats=FORMATS) as opened:
        opened.decodermaxblock = len(content)  # at once; it is in memory already
        return _reduced_and_upright(opened, content, longest, size_of_file)


def _has_brand(content: bytes, brands: tuple[bytes, ...]) -> bool:
    return content[4:8] == b"ftyp" and content[8:12] in brands


def _opened_heif(content: bytes) -> pi_heif.HeifImage | None:
    """The first picture of a file; None if it is not HEIC, as AVIF has some of the same brands.

    Pillow is not used, as it would read all metadata and hold another copy of the picture.
    """
    budget.need(int(TIMES_OF_A_HEIC * len(content)))
    try:
        heif = pi_heif.open_heif(content, remove_stride=False)
        return heif[heif.primary_index]
    except Exception:  # noqa: BLE001 - the decoder fails in many ways
        return None


def _from_heif(heif: pi_heif.HeifImage, size_in_file: int, longest: int) -> Photo:
    """The finished photo; the decoder has turned it upright."""
    needed = int(TIMES_OF_A_HEIC * size_in_file) + bytes_for_heif(heif, longest=longest)
    width, height = heif.size
    _take_room(width, height, needed)
    picture = plain_heif(heif, longest)
    return _finished(picture, heif.size, longest, heif.info.get("icc_profile"))


def _take_room(width: int, height: int, needed: int, longest_decoded: int = 0) -> None:
    """Claim the memory that a picture of this size needs. UnusablePhoto if it has no pixels, or too many."""
    if width < 1 or height < 1:
        raise UnusablePhoto(DAMAGED)
    long_edge = longest_decoded or max(width, height)
    if width * height > MOST_PIXELS or needed > MOST_OF_ONE or long_edge > LONGEST_SIDE:
        raise _too_large(width, height)
    budget.need(needed)


def _reduced_and_upright(opened: Image.Image, content: bytes, longest: int, size_of_file: int) -> Photo:
    size = opened.size
    in_scans = False
    if isinstance(opened, JpegImagePlugin.JpegImageFile):
        _expect_few_scans(opened, content)
        in_scans = _comes_in_scans(opened, content)
    box = _decode_at_a_fraction(opened, longest)
    needed = size_of_file + bytes_at_work(opened, size[0] * size[1], longest=longest, in_scans=in_scans)
    _take_room(size[0], size[1], needed, max(opened.size))
    decoded_as = opened.size
    opened.load()
    if opened.size != decoded_as:  # the format's decoder turned it upright while loading
        size = opened.size
    picture = plain(opened)
    photo = _finished(picture, size, longest, opened.info.get("icc_profile"), box, UPRIGHT.get(_orientation(opened)))
    if photo.image is opened:  # keep no reference to the file and its metadata
        return replace(photo, image=opened.copy())
    return photo


def _finished(
    picture: Image.Image,
    size: tuple[int, int],
    longest: int,
    icc_profile: bytes | None,
    box: tuple[float, float, float, float] | None = None,
    turn: Image.Transpose | None = None,
) -> Photo:
    """A plain picture reduced to `longest`, in sRGB, upright and without metadata; `size` is the original's."""
    width, height = size
    target = fitted(width, height, longest)
    if picture.size != target:
        picture = picture.resize(target, resampling(picture.size, target), box=box, reducing_gap=3.0)
    picture = _in_srgb(picture, icc_profile)
    if turn is not None:
        picture = picture.transpose(turn)
        if turn in (UPRIGHT[5], UPRIGHT[6], UPRIGHT[7], UPRIGHT[8]):
            width, height = height, width
    picture.info = {}  # metadata left here would be written into every copy
    return Photo(picture, width, height)


def _comes_in_scans(opened: JpegImagePlugin.JpegImageFile, content: bytes) -> bool:
    """Has the first scan of a picture that was just opened only a part of it?

    Source: ITU-T T.81, B.2.3: the number of components of a scan follows the length of its header.
    """
    first = content.rfind(START_OF_SCAN, 0, opened.fp.tell() if opened.fp else 0)
    return bool(opened.info.get("progressive")) or first < 0 or content[first + 4] < opened.layers


def _expect_few_scans(opened: Image.Image, content: bytes) -> None:
    """UnusablePhoto if there are too many scans: a progressive JPEG has about ten; thousands would take minutes."""
    if opened.width * opened.height * content.count(START_OF_SCAN) > MOST_SCANNED_PIXELS:
        raise _too_large(*opened.size)


def _too_large(width: int, height: int) -> UnusablePhoto:
    return UnusablePhoto(
        f"This picture is too large to use ({width} x {height} points). Save a smaller copy as JPEG, "
        "for instance 4000 points wide, and name that one."
    )


def fitted(width: int, height: int, longest: int) -> tuple[int, int]:
    """The size with the same proportions whose longer edge is at most `longest`.

    >>> fitted(4032, 3024, 1600), fitted(3, 5000, 1600), fitted(640, 480, 1600)
    ((1600, 1200), (1, 1600), (640, 480))
    """
    long_edge = max(width, height)
    if long_edge <= longest:
        return width, height
    return max(1, round(width * longest / long_edge)), max(1, round(height * longest / long_edge))


def resampling(size: tuple[int, int], target: tuple[int, int]) -> Image.Resampling:
    """The fastest filter that reduces a picture and still leaves it sharp.

    For a small reduction the faster filter would blur.

    >>> resampling((2016, 1512), (1600, 1200)).name, resampling((1632, 1224), (1600, 1200)).name
    ('HAMMING', 'BICUBIC')
    """
    is_much_smaller = max(target) * MUCH_SMALLER <= max(size)
    return Image.Resampling.HAMMING if is_much_smaller else Image.Resampling.BICUBIC


def _decode_at_a_fraction(opened: Image.Image, longest: int) -> tuple[float, float, float, float] | None:
    """Decode a JPEG at 1/2, 1/4 or 1/8 of its size, and return the box in it that contains the picture.

    Pillow derives the fraction from the smaller ratio of the two sides. So the requested size has the picture's own
    proportions, rounded down: with a square, or one row more, it would decode at full size.
    """
    width, height = opened.size
    long_edge = max(width, height)
    if not isinstance(opened, JpegImagePlugin.JpegImageFile) or long_edge <= longest:
        return None
    wanted = max(1, width * longest // long_edge), max(1, height * longest // long_edge)
    drafted = opened.draft(opened.mode, wanted)
    return drafted[1] if drafted else None


def _orientation(image: Image.Image) -> int:
    if len(image.info.get("exif") or b"") > MOST_EXIF:
        return 1
    try:
        orientation: int = image.getexif().get(ORIENTATION, 1)
        return orientation
    except Exception:  # noqa: BLE001 - a picture with broken metadata can still be used
        return 1


def _in_srgb(image: Image.Image, icc_profile: bytes | None) -> Image.Image:
    transform = _transform_to_srgb(icc_profile, image.mode) if icc_profile or image.mode == "LAB" else None
    if transform is not None:
        return transform.apply_in_place(image) if image.mode == "RGB" else transform.apply(image)
    return image if image.mode == "RGB" else image.convert("RGB")


@lru_cache(maxsize=16)
def _transform_to_srgb(icc_profile: bytes | None, mode: str) -> ImageCms.ImageCmsTransform | None:
    """The transform from a profile to sRGB; None if there is none, or if it would change nothing.

    Many photos have a profile of sRGB itself, which differs a little with every camera; a row of colours shows it.
    """
    try:
        srgb = ImageCms.createProfile("sRGB")
        lab = ImageCms.createProfile("LAB")
        own = ImageCms.ImageCmsProfile(io.BytesIO(icc_profile)) if icc_profile else lab
        transform = ImageCms.buildTransform(own, srgb, mode, "RGB")
        if mode == "RGB":
            seen = transform.apply(_many_colours())
            changes = (abs(a - b) for a, b in zip(seen.tobytes(), _many_colours().tobytes(), strict=True))
            if max(changes) <= 1:
                return None
        return transform
    except Exception:  # noqa: BLE001 - a profile that is broken, or for other inks, is ignored
        return None


def _many_colours() -> Image.Image:
    steps = range(0, 256, 51)
    colours = bytes(value for r in steps for g in steps for b in steps for value in (r, g, b))
    return Image.frombytes("RGB", (len(colours) // 3, 1), colours)


def _what_it_is_instead(content: bytes) -> str:
    start = content[:400].lstrip().lower()
    if any(start.startswith(mark) for mark in (b"\xff\xd8", b"\x89png", b"gif8", b"ii*\0", b"mm\0*")):
        return DAMAGED
    if _has_brand(content, (*HEIF_BRANDS, b"avif")):
        return DAMAGED
    kinds = (
        ("a PDF document", start.startswith(b"%pdf")),
        ("an archive", start.startswith((b"pk\x03\x04", b"rar!", b"7z\xbc\xaf"))),
        ("a film", start[4:8] in (b"ftyp", b"moov", b"mdat")),
        ("a film", start.startswith((b"riff", b"\x1a\x45\xdf\xa3"))),
        ("a drawing in SVG", b"<svg" in start),
        ("a web page", b"<html" in start or b"<!doctype html" in start),
    )
    found = next((f": it looks like {kind}" for kind, fits in kinds if fits), "")
    return f"This file is not a picture that can be used{found}. Save the photo as JPEG, PNG or HEIC."
