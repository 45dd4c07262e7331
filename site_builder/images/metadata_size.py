"""How much memory a picture's file and its metadata take, computed before the file is opened.

Each decoder copies metadata in its own way, and makes a Python object of every number in Exif data. All figures are
measured and rounded up.
"""

import struct
from collections.abc import Iterator

A_NUMBER = 40  # bytes for each byte of a list of numbers
COPIES = 4  # of other metadata
# How often the file is held in memory, if its metadata is not counted separately.
TIMES_OF_A_JPEG, TIMES_OF_A_PNG, TIMES_OF_A_TIFF, TIMES_OF_A_BMP = 1.2, 2.0, 2.0, 2.0
TIMES_OF_A_HEIC, TIMES_OF_AN_AVIF, TIMES_OF_OTHERS = 1.2, 30.0, 3.5  # an AVIF may be one list of numbers
MOST_PARTS = 200_000

PNG = b"\x89PNG\r\n\x1a\n"
JPEG = b"\xff\xd8"
BMP = b"BM"
TIFF = {b"II*\0": "<", b"MM\0*": ">"}
BIG_TIFF = {b"II+\0": "<", b"MM\0+": ">"}
# Source: TIFF 6.0, section 2, for the first twelve; BigTIFF for the last three.
SIZE_OF_A_VALUE = {
    1: 1,
    2: 1,
    3: 2,
    4: 4,
    5: 8,
    6: 1,
    7: 1,
    8: 2,
    9: 4,
    10: 8,
    11: 4,
    12: 8,
    13: 4,
    16: 8,
    17: 8,
    18: 8,
}
TEXTS_OF_A_TIFF = (1, 2, 7)
_SCAN, _TIMES = 0xDA, range(0xD0, 0xD9)


class TooManyParts(ValueError):
    """The picture has more parts than any camera or program writes."""


def bytes_for_file(content: bytes) -> int:
    """The most memory that a picture's file and its metadata take, all copies included, in bytes.

    Raises `TooManyParts`.
    """
    size, start = len(content), content[:4]
    if start.startswith(JPEG):
        return int(TIMES_OF_A_JPEG * size) + sum(_for_segments(content))
    if content.startswith(PNG):
        return int(TIMES_OF_A_PNG * size) + COPIES * sum(_chunks_of_notes(content))
    if start in TIFF or start in BIG_TIFF:
        return int(TIMES_OF_A_TIFF * size) + sum(_for_tags(content))
    if content[4:8] == b"ftyp":
        return int((TIMES_OF_AN_AVIF if content[8:12] in (b"avif", b"avis") else TIMES_OF_A_HEIC) * size)
    return int((TIMES_OF_A_BMP if content.startswith(BMP) else TIMES_OF_OTHERS) * size)


def _for_segments(jpeg: bytes) -> Iterator[int]:
    """The memory for each segment before the picture. Source: ITU-T T.81, B.1.1.4."""
    at = len(JPEG)
    for _ in range(MOST_PARTS):
        marker, length = jpeg[at + 1 : at + 2], jpeg[at + 2 : at + 4]
        if len(length) < 2 or marker[0] == _SCAN:
            return
        if jpeg[at] != 0xFF or marker[0] in (0x00, 0x01, 0xFF, *_TIMES):
            at += 1
            continue
        size = int.from_bytes(length)
        yield size * (A_NUMBER if jpeg.startswith(b"Exif", at + 4) else 2)
        at += 2 + size
    raise TooManyParts


def _chunks_of_notes(png: bytes) -> Iterator[int]:
    """The lengths of all chunks except those of the picture itself. Source: ISO/IEC 15948, 5.3."""
    at = len(PNG)
    for _ in range(MOST_PARTS):
        if at + 8 > len(png):
            return
        size = int.from_bytes(png[at : at + 4])
        if png[at + 4 : at + 8] != b"IDAT":
            yield min(size, len(png) - at)
        at += 12 + size
    raise TooManyParts


def _for_tags(tiff: bytes) -> Iterator[int]:
    """The memory for each tag of the first picture. Source: TIFF 6.0, section 2."""
    big = tiff[:4] in BIG_TIFF
    order = (BIG_TIFF if big else TIFF)[tiff[:4]]
    entry = struct.Struct(order + ("HHQ8x" if big else "HHL4x"))
    try:
        (at,) = struct.unpack_from(order + ("Q" if big else "L"), tiff, 8 if big else 4)
        (count,) = struct.unpack_from(order + ("Q" if big else "H"), tiff, at)
        if count > MOST_PARTS:
            raise TooManyParts
        for tag in range(count):
            _, kind, values = entry.unpack_from(tiff, at + (8 if big else 2) + tag * entry.size)
            size = min(values * SIZE_OF_A_VALUE.get(kind, 1), len(tiff))
            yield size * (COPIES if kind in TEXTS_OF_A_TIFF else A_NUMBER)
    except struct.error:  # cut short: the decoder says so
        return
