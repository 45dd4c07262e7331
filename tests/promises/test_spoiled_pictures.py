"""Pictures that are spoiled in any way, or made to burst, become a picture or a reason, soon and in little memory."""

import json
import struct
import subprocess
import sys
import zlib
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given
from PIL import Image

from site_builder.images.decode import UnusablePhoto, decode
from site_builder.images.memory import BYTES_A_POINT, BYTES_MADE_NARROWER, SEE_THROUGH
from tests.site_builder.images.drawn_photos import HEIC, XMP, encoded, exif, patchwork
from tests.support.mutations import MOST_MEMORY, assert_memory_is_bounded, inputs, spoiled
from tests.support.patience import soon

pytestmark = pytest.mark.filterwarnings("ignore:::PIL")  # as the program itself does

ROOT = Path(__file__).parents[2]
SMALL = patchwork(48, 36)
WHOLES = {
    "JPEG": [encoded(SMALL, exif=exif(6), xmp=XMP), encoded(SMALL, progressive=True), encoded(SMALL.convert("CMYK"))],
    "PNG": [
        encoded(SMALL, "PNG", exif=exif(3)),
        encoded(SMALL.convert("P"), "PNG"),
        encoded(SMALL.convert("LA"), "PNG"),
    ],
    "WebP": [encoded(SMALL, "WEBP", exif=exif(6), xmp=XMP), encoded(SMALL.convert("RGBA"), "WEBP", lossless=True)],
    "TIFF": [
        encoded(SMALL, "TIFF"),
        encoded(SMALL, "TIFF", compression="tiff_lzw"),
        encoded(SMALL, "TIFF", compression="jpeg"),
    ],
    "GIF": [encoded(SMALL, "GIF", save_all=True, append_images=[SMALL.rotate(180)])],
    "BMP": [encoded(SMALL, "BMP"), encoded(SMALL.convert("1"), "BMP")],
    "AVIF": [encoded(SMALL, "AVIF", speed=10)],
    "HEIC": [HEIC.read_bytes()],
}


@pytest.mark.parametrize("kind", WHOLES)
def test_a_spoiled_picture_is_a_picture_or_a_reason(kind):
    @inputs(0.5)
    @given(spoiled(WHOLES[kind]))
    def search(content):
        with soon():
            try:
                assert decode(content, longest=800).image.mode == "RGB"
            except UnusablePhoto as told:
                assert str(told)[0].isupper() and str(told).endswith(".")

    search()
    assert_memory_is_bounded()


# Made to burst ----------------------------------------------------------------------------------


def chunk(name: bytes, data: bytes) -> bytes:
    return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))


def png(width: int, height: int, *, kind: int = 2, depth: int = 8, unfolds_to: int = 100, before: bytes = b"") -> bytes:
    """A PNG of nothing that claims a size. Source: ISO/IEC 15948, 11.2."""
    head = struct.pack(">IIBBBBB", width, height, depth, kind, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + before + chunk(b"IDAT", folded(unfolds_to)) + chunk(b"IEND", b"")
    )


def folded(size: int) -> bytes:
    """So many zeros, deflated."""
    packer = zlib.compressobj(1)
    parts = [packer.compress(bytes(min(1 << 20, size - start))) for start in range(0, size, 1 << 20)]
    return b"".join(parts) + packer.flush()


def jpeg_claiming(width: int, height: int, **save) -> bytes:
    """Source: ITU-T T.81, B.2.2: the frame header, SOF0 or SOF2, holds height and width from its sixth byte."""
    content = bytearray(encoded(SMALL, **save))
    at = max(content.find(b"\xff\xc0"), content.find(b"\xff\xc2"))
    content[at + 5 : at + 9] = struct.pack(">HH", height, width)
    return bytes(content)


def jpeg_of_many_scans(side: int, scans: int) -> bytes:
    content = encoded(Image.new("RGB", (side, side)), progressive=True)
    last = content.rfind(b"\xff\xda")
    return content[:-2] + content[last:-2] * scans + b"\xff\xd9"


def webp_claiming(width: int, height: int) -> bytes:
    """Source: RFC 6386, 9.1: of a key frame the size stands behind 9d 01 2a."""
    content = bytearray(encoded(SMALL, "WEBP"))
    at = content.find(b"\x9d\x01\x2a") + 3
    content[at : at + 4] = struct.pack("<HH", width, height)
    return bytes(content)


def claiming(whole: bytes, width: int, height: int) -> bytes:
    """A HEIC or an AVIF that claims a size. Source: ISO/IEC 23008-12, the property `ispe`."""
    content = bytearray(whole)
    at = content.find(b"ispe") + 8
    content[at : at + 8] = struct.pack(">II", width, height)
    return bytes(content)


def bmp_claiming(width: int, height: int) -> bytes:
    return (
        b"BM"
        + struct.pack("<IHHI", 54, 0, 0, 54)
        + struct.pack("<IiiHHIIiiII", 40, width, height, 1, 24, 0, 0, 0, 0, 0, 0)
    )


BURSTING = {
    "a PNG that claims four thousand million points": lambda: png(65535, 65535),
    "a PNG of sixty million points": lambda: png(7700, 7700, unfolds_to=7700 * 23101),
    "a see-through PNG of sixty million points": lambda: png(7700, 7700, kind=6, depth=16, unfolds_to=1_000_000),
    "a PNG one point wide": lambda: png(1, 59_000_000, unfolds_to=1_000_000),
    "a PNG one point high": lambda: png(59_000_000, 1, unfolds_to=1_000_000),
    "a PNG that unfolds to more than it shows": lambda: png(100, 100, unfolds_to=100_000_000),
    "a PNG with notes that unfold": lambda: png(100, 100, unfolds_to=30_100, before=chunk(b"zTXt", b"Comment\0\0" + folded(100_000_000))),
    "a PNG with a profile that unfolds": lambda: png(100, 100, unfolds_to=30_100, before=chunk(b"iCCP", b"p\0\0" + folded(100_000_000))),
    "a JPEG that claims four thousand million points": lambda: jpeg_claiming(65535, 65535),
    "a JPEG that claims three hundred million points": lambda: jpeg_claiming(17000, 17000),
    "a JPEG in scans that claims four thousand million points": lambda: jpeg_claiming(65535, 65535, progressive=True),
    "a JPEG of two thousand scans": lambda: jpeg_of_many_scans(3000, 2000),
    "a WebP that claims two hundred million points": lambda: webp_claiming(16383, 16383),
    "a HEIC that claims four thousand million points": lambda: claiming(HEIC.read_bytes(), 65535, 65535),
    "a BMP that claims four thousand million points": lambda: bmp_claiming(65535, 65535),
    "a GIF of many pictures": lambda: encoded(Image.new("P", (500, 500)), "GIF", save_all=True, append_images=[Image.new("P", (500, 500), n % 3) for n in range(99)]),
    "an AVIF that claims sixty million points": lambda: claiming(encoded(SMALL, "AVIF", speed=10), 7800, 7700),
}  # fmt: skip

LITTLE = 100_000_000  # bytes in which the largest pictures are tried, to be quick
BESIDE = 30_000_000  # what the small picture, threads and libraries take


def blank(mode: str, kind: str, **save) -> Callable[[], bytes]:
    """A picture of one colour, nearly as large as one of its kind may be."""

    def make() -> bytes:
        colour = {"RGBA": (9, 9, 9, 200), "LA": (9, 200), "CMYK": (9, 9, 9, 9), "RGB": (9, 9, 9)}.get(mode, 9)
        through = SEE_THROUGH if mode in ("RGBA", "LA") else mode
        rate = next(
            size for of_kind, of_mode, size in BYTES_A_POINT if of_kind in (kind, None) and of_mode in (through, None)
        )
        # Beside that the file, the coefficients of scans, and what is made narrower, of which there is less in a larger one.
        rate += BYTES_MADE_NARROWER * 0.6 + {"WEBP": 0.2, "AVIF": 0.2, "PNG": 0.1}.get(kind, 0.4)
        if save.get("progressive"):
            rate += 2 * len(mode) if save.get("subsampling") == "4:4:4" or mode == "CMYK" else 3
        side = int((0.95 * LITTLE / rate) ** 0.5)
        return encoded(Image.new(mode, (side, side), colour), kind, **save)

    return make


LARGEST = {
    "an RGB PNG": blank("RGB", "PNG"),
    "a see-through PNG": blank("RGBA", "PNG"),
    "a grey see-through PNG": blank("LA", "PNG"),
    "a PNG of 16 bits": blank("I;16", "PNG"),
    "a TIFF of broken numbers": blank("F", "TIFF", compression="tiff_lzw"),
    "a TIFF of whole numbers": blank("I", "TIFF", compression="tiff_lzw"),
    "a TIFF for printers": blank("CMYK", "TIFF", compression="tiff_lzw"),
    "a lossless see-through WebP": blank("RGBA", "WEBP", lossless=True, method=0, quality=0),
    "a WebP": blank("RGB", "WEBP", method=0),
    "a see-through AVIF": blank("RGBA", "AVIF", speed=10),
    "an AVIF": blank("RGB", "AVIF", speed=10),
    "a JPEG in scans": blank("RGB", "JPEG", progressive=True),
    "a JPEG in scans of fine colour": blank("RGB", "JPEG", progressive=True, subsampling="4:4:4"),
    "a JPEG in scans for printers": blank("CMYK", "JPEG", progressive=True),
}


LOOK = """
import json, resource, sys
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from site_builder.images import decode as decode_module, memory
from site_builder.images.decode import UnusablePhoto, decode, read_content
from tests.support.patience import soon
asked = json.loads(sys.argv[1])
if asked["within"]:
    decode_module.MOST_OF_ONE = asked["within"]
    decode_module.budget = memory.MemoryBudget(asked["within"], lambda: 0)
def most():
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * (1 if sys.platform == "darwin" else 1024)
def look(name):
    try:
        decode(read_content(Path(name)), longest=1600)
    except UnusablePhoto:
        assert not asked["usable"]
before = most() if asked["within"] else 0
for name in sys.argv[2:]:
    with soon(name), ThreadPoolExecutor(asked["at_once"]) as pool:
        list(pool.map(look, [name] * asked["at_once"]))
    print(most() - before)
"""


def kilobytes_held(
    paths: list[Path], *, within: int | None = None, usable: bool = False, at_once: int = 1
) -> list[int]:
    """Look at each of the files, soon: the most memory that a process had taken until then.

    `within` sets the bytes for all pictures at once, and counts memory from before the first. The system counts what
    a process inherits, so one stands between this large one and the one that is measured.
    """
    through = "import subprocess, sys; sys.exit(subprocess.run([sys.executable, '-c', *sys.argv[1:]], check=False).returncode)"
    asked = json.dumps({"within": within, "usable": usable, "at_once": at_once})
    run = subprocess.run(
        [sys.executable, "-c", through, LOOK, asked, *paths],
        cwd=ROOT,
        capture_output=True,
        text=True,
        timeout=300,
        check=False,
    )
    assert run.returncode == 0 and not run.stderr, run.stderr
    return [int(line) for line in run.stdout.splitlines()]


def test_a_picture_made_to_burst_takes_little_time_and_memory(tmp_path):
    paths = []
    for number, make in enumerate(BURSTING.values()):
        paths.append(tmp_path / f"picture {number}")
        paths[-1].write_bytes(make())
    (tmp_path / "sparse.jpg").touch()
    with (tmp_path / "sparse.jpg").open("r+b") as sparse:
        sparse.truncate(1 << 30)
    for name, memory in zip(
        [*BURSTING, "a file of a gigabyte"], kilobytes_held([*paths, tmp_path / "sparse.jpg"]), strict=True
    ):
        assert memory < MOST_MEMORY, f"{name}: {memory // 1_000_000} MB"


@pytest.mark.parametrize("make", LARGEST.values(), ids=LARGEST)
def test_the_largest_picture_of_each_kind_is_used_within_the_memory(make, tmp_path):
    path = tmp_path / "largest"
    path.write_bytes(make())
    (memory,) = kilobytes_held([path], within=LITTLE, usable=True)
    assert LITTLE / 2 < memory < LITTLE + BESIDE


def test_large_pictures_wait_for_each_other(tmp_path):
    path = tmp_path / "largest"
    path.write_bytes(LARGEST["a see-through PNG"]())
    (memory,) = kilobytes_held([path], within=LITTLE, usable=True, at_once=3)
    assert memory < LITTLE + BESIDE


@pytest.mark.parametrize(
    "name", [name for name in BURSTING if "four thousand million" in name or "scans" in name or "wide" in name]
)
def test_of_a_picture_made_to_burst_the_size_is_told(name):
    with pytest.raises(UnusablePhoto, match=r"too large to use \([0-9]+ x [0-9]+ points\)"):
        decode(BURSTING[name](), longest=1600)


def test_the_usual_large_pictures_are_used():
    assert decode(jpeg_claiming(8000, 6000, progressive=True), longest=400).width == 8000
    assert decode(jpeg_of_many_scans(800, 100), longest=400).width == 800
    assert decode(png(4000, 3000, kind=6, unfolds_to=3000 * 16001), longest=400).width == 4000
