"""Pictures as large as may be, and files that are heavy beside what they show: made here, in no time."""

import struct
from pathlib import Path

from PIL import Image

from tests.site_builder.images.drawn_photos import encoded, four_corners

TILE = (Path(__file__).parents[2] / "data" / "tile.heic").read_bytes()
SIDE = 512


def box(kind: bytes, *parts: bytes) -> bytes:
    body = b"".join(parts)
    return struct.pack(">I4s", len(body) + 8, kind) + body


def full_box(kind: bytes, version: int, *parts: bytes) -> bytes:
    return box(kind, struct.pack(">I", version << 24), *parts)


def heic_as_of_a_phone(width: int, height: int) -> bytes:
    """A HEIC put together of tiles, all of them the same one. Source: ISO/IEC 23008-12, 6.6.2.3, from memory."""
    at = TILE.index(b"hvcC") - 4
    decoder = TILE[at : at + struct.unpack_from(">I", TILE, at)[0]]
    at = TILE.index(b"mdat")
    tile = TILE[at + 4 : at - 4 + struct.unpack_from(">I", TILE, at - 4)[0]]
    across, down = -(-width // SIDE), -(-height // SIDE)
    count = across * down
    whole = count + 1
    grid = struct.pack(">BBBBHH", 0, 0, down - 1, across - 1, width, height)

    def head(offset: int) -> bytes:
        kinds = [b"hvc1"] * count + [b"grid"]
        infos = [
            full_box(b"infe", 2, struct.pack(">HH4sB", number, 0, kind, 0))
            for number, kind in enumerate(kinds, start=1)
        ]
        numbers = b"".join(struct.pack(">H", number) for number in range(1, whole))
        places = [struct.pack(">HHHHII", number, 0, 0, 1, offset, len(tile)) for number in range(1, whole)]
        places.append(struct.pack(">HHHHII", whole, 1, 0, 1, 0, len(grid)))
        sizes = [full_box(b"ispe", 0, struct.pack(">II", *size)) for size in ((SIDE, SIDE), (width, height))]
        of_tiles = b"".join(struct.pack(">HBBB", number, 2, 0x81, 2) for number in range(1, whole))
        properties = full_box(b"ipma", 0, struct.pack(">I", whole), of_tiles, struct.pack(">HBB", whole, 1, 3))
        return box(b"ftyp", b"heic", bytes(4), b"mif1heic") + full_box(
            b"meta", 0,
            full_box(b"hdlr", 0, bytes(4), b"pict", bytes(13)),
            full_box(b"pitm", 0, struct.pack(">H", whole)),
            full_box(b"iinf", 0, struct.pack(">H", whole), *infos),
            full_box(b"iref", 0, box(b"dimg", struct.pack(">HH", whole, count), numbers)),
            box(b"iprp", box(b"ipco", decoder, *sizes), properties),
            full_box(b"iloc", 1, struct.pack(">BBH", 0x44, 0, whole), *places),
            box(b"idat", grid),
        )  # fmt: skip

    return head(len(head(0)) + 8) + box(b"mdat", tile)


def plain_one(mode: str, side: int, kind: str, **save) -> bytes:
    colour = {"RGBA": (9, 9, 9, 200), "CMYK": (9, 99, 9, 9), "RGB": (9, 99, 9)}.get(mode, 9)
    return encoded(Image.new(mode, (side, side), colour), kind, **save)


# Each can be used, and most of them need nearly all that one picture may take.
LARGE = {
    "phone.heic": lambda: heic_as_of_a_phone(8064, 6048),
    "camera.jpg": lambda: encoded(four_corners(6000, 4000)),
    "camera-2.jpg": lambda: encoded(four_corners(6000, 4001)),
    "camera-3.jpg": lambda: encoded(four_corners(6000, 4002)),
    "largest-camera.jpg": lambda: encoded(four_corners(11552, 8672)),
    "scan.tif": lambda: plain_one("F", 5700, "TIFF", compression="tiff_lzw"),
    "printer.tif": lambda: plain_one("CMYK", 6800, "TIFF", compression="tiff_lzw"),
    "printer.jpg": lambda: plain_one("CMYK", 5600, "JPEG", progressive=True),
    "deep.png": lambda: plain_one("I;16", 6200, "PNG", compress_level=1),
    "clear.png": lambda: plain_one("RGBA", 5500, "PNG", compress_level=1),
    "clear.webp": lambda: plain_one("RGBA", 4100, "WEBP", lossless=True, method=0, quality=0),
    "clear.avif": lambda: plain_one("RGBA", 4000, "AVIF", speed=10),
    "palette.png": lambda: plain_one("P", 5500, "PNG", transparency=3, compress_level=1),
    "wide.png": lambda: encoded(Image.new("RGB", (65000, 770)), "PNG", compress_level=1),
    "tall.png": lambda: encoded(Image.new("RGB", (770, 65000)), "PNG", compress_level=1),
    "lines.png": lambda: plain_one("1", 10500, "PNG"),
}


def tiff_with_tag(tag: int, kind: int, values: int, size: int) -> bytes:
    """A small TIFF with a tag of so many values. Source: TIFF 6.0, section 2."""
    whole = encoded(Image.new("RGB", (30, 20)), "TIFF")
    (at,) = struct.unpack_from("<I", whole, 4)
    (count,) = struct.unpack_from("<H", whole, at)
    entries = [whole[at + 2 + 12 * number : at + 14 + 12 * number] for number in range(count)]
    mine = struct.pack("<HHII", tag, kind, values, len(whole))
    entries = sorted(
        [each for each in entries if each[:2] != mine[:2]] + [mine], key=lambda each: struct.unpack_from("<H", each)
    )
    tags = struct.pack("<H", len(entries)) + b"".join(entries) + bytes(4)
    return whole[:4] + struct.pack("<I", len(whole) + size) + whole[8:] + bytes(size) + tags


def jpeg_with_segments(marker: int, start: bytes, count: int) -> bytes:
    """Source: ITU-T T.81, B.1.1.4."""
    whole = encoded(four_corners())
    segment = bytes([0xFF, marker, 0xFF, 0xFF]) + start.ljust(0xFFFD, b"\1")
    return whole[:2] + segment * count + whole[2:]


def png_with_chunk(kind: bytes, size: int) -> bytes:
    from tests.promises.test_spoiled_pictures import chunk

    whole = encoded(four_corners(), "PNG")
    return whole[:33] + chunk(kind, bytes(size)) + whole[33:]


# Notes of which a reader makes many times as much.
HEAVY = {
    "a TIFF whose resolution is a list": lambda: tiff_with_tag(282, 5, 5_000_000, 40_000_000),
    "a TIFF whose orientation is a list": lambda: tiff_with_tag(274, 3, 20_000_000, 40_000_000),
    "a TIFF of endless bits": lambda: tiff_with_tag(258, 3, 20_000_000, 40_000_000),
    "a TIFF of endless strips": lambda: tiff_with_tag(273, 4, 10_000_000, 40_000_000),
    "a JPEG of many notes of the camera": lambda: jpeg_with_segments(0xE1, b"Exif\0\0MM\0*\0\0\0\x08", 300),
    "a JPEG of comments": lambda: jpeg_with_segments(0xFE, b"", 2500),
    "a PNG of notes of the camera": lambda: png_with_chunk(b"eXIf", 80_000_000),
    "a PNG of something private": lambda: png_with_chunk(b"prVt", 80_000_000),
    "a GIF that goes on": lambda: encoded(four_corners(), "GIF") + bytes(120_000_000),
    "an AVIF that goes on": lambda: encoded(four_corners(), "AVIF") + bytes(20_000_000),
}
