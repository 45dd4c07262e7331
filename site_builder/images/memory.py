"""How much memory pictures take, and how many of them may be worked on at once.

Promised is the most that the whole program holds. From that goes what it holds already while no picture is worked
on; the rest is shared out. Each piece of work on a picture claims what an ordinary photo takes. Once it is seen that
a picture needs more, and more is not free, the work lets go of all it holds, waits until the larger claim can be
met, and begins anew: so nobody who waits holds anything, and none waits for another for ever.
"""

import os
import threading
from collections import deque
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import TypeVar

import pi_heif
from PIL import Image, JpegImagePlugin, TiffImagePlugin

from site_builder.images.glibc_memory import give_back
from site_builder.images.plain_pictures import times_smaller

MOST_OF_ALL = 500_000_000  # bytes: promised of the program
SPARE = 25_000_000  # of it, for fragments, stacks of threads and what else the figures leave out
MOST_OF_ONE = 330_000_000  # for one picture, with its file and all that is done with it
USUAL = 38_000_000  # for one of 12 million points from a camera or phone
LARGE = 80_000_000  # of which memory is given back to the system, that takes a little time
BASE = 100_000_000  # held already, where the system doesn't say how much it is

# Bytes of memory for each point that is decoded, all copies together but for the one that is made narrower: measured
# with 12 to 130 million points of each kind, rounded up. The first that names the format, or any, and the mode, or any,
# counts. SEE_THROUGH is every mode of which some points may be transparent.
SEE_THROUGH = "see-through"
BYTES_A_POINT: tuple[tuple[str | None, str | None, float], ...] = (
    ("WEBP", SEE_THROUGH, 17.5),
    ("WEBP", None, 15.5),
    ("AVIF", SEE_THROUGH, 18.5),
    ("AVIF", None, 12.5),
    ("JPEG", None, 5.5),
    (None, SEE_THROUGH, 9.2),
    (None, "1", 2.2),
    (None, "L", 2.2),
    (None, "I", 5.6),
    (None, "F", 5.6),
    (None, "I;16", 3.6),
    (None, "I;16B", 3.6),
    (None, "I;16L", 3.6),
    (None, "RGB", 5),
    (None, "CMYK", 5),
    (None, "P", 6),
    (None, None, 9.2),
)
BYTES_MADE_NARROWER = 4
# What the decoder of HEIC holds: for a picture of grey, for one of colour, and for one that is also see-through; each of
# eight bits and of more. A colour is finer where it is noted for more than every fourth point.
HEIF_GREY = (2.7, 5.0)
HEIF_COLOUR, HEIF_FINER_COLOUR = (4.8, 7.7), (9.0, 15.0)
HEIF_SEE_THROUGH, HEIF_FINER_SEE_THROUGH = (7.7, 12.6), (12.6, 20.0)
HEIF_UNREDUCED = 11.0  # and at least that where it is not made smaller while it is taken from the decoder
BYTES_OF_A_COEFFICIENT = (
    2  # of a JPEG in scans, which is held whole while it is decoded, whatever fraction is asked for
)

Made = TypeVar("Made")


class _NeedsMore(BaseException):
    """The work on a picture needs a larger claim than it has."""

    def __init__(self, size: int) -> None:
        self.size = size


class MemoryBudget:
    """So many bytes for a program; who claims more than is left waits, first come, first served."""

    def __init__(self, most: int, held_already: Callable[[], int]) -> None:
        self._most = most
        self._held_already = held_already
        self._base = BASE
        self._claimed = 0
        self._waiting: deque[object] = deque()
        self._changed = threading.Condition()
        self._mine = threading.local()

    def bounded(self, work: Callable[[], Made]) -> Made:
        """What the work on one picture comes to. It may begin more than once, until its claim is large enough.

        Work within work has the claim of the outer one.
        """
        if self._claim_of_mine:
            return work()
        size = USUAL
        while True:
            with self._taken(size):
                try:
                    return work()
                except _NeedsMore as more:
                    size = more.size

    def need(self, size: int) -> None:
        """Say, before it is taken, how many bytes the work on a picture needs in all. Returns if they are claimed."""
        mine = self._claim_of_mine
        if mine and size > mine and not self._grown_to(size):
            raise _NeedsMore(size)

    @property
    def _claim_of_mine(self) -> int:
        claim: int = getattr(self._mine, "claim", 0)
        return claim

    @contextmanager
    def _taken(self, size: int) -> Iterator[None]:
        place = object()
        with self._changed:
            self._waiting.append(place)
            self._changed.wait_for(lambda: self._waiting[0] is place and self._has_room_for(size))
            self._waiting.popleft()
            self._claimed += size
            self._mine.claim = size
            self._changed.notify_all()
        try:
            yield
        finally:
            if self._mine.claim >= LARGE:
                give_back()
            with self._changed:
                self._claimed -= self._mine.claim
                self._mine.claim = 0
                self._changed.notify_all()

    def _has_room_for(self, size: int) -> bool:
        if size >= LARGE:
            give_back()
        if not self._claimed:  # one alone is always let in: whether it may be so large is not asked here
            self._base = self._held_already()
            return True
        return self._base + self._claimed + size <= self._most

    def _grown_to(self, size: int) -> bool:
        """Is the larger claim met at once?"""
        with self._changed:
            more = size - self._mine.claim
            if self._waiting or self._base + self._claimed + more > self._most:
                return False
            if size >= LARGE:
                give_back()
            self._claimed += more
            self._mine.claim = size
            return True


def held_by_the_program() -> int:
    """Bytes of memory that the program holds now, or a guess."""
    try:
        with open("/proc/self/statm", encoding="ascii") as counts:
            return int(counts.read().split()[1]) * os.sysconf("SC_PAGE_SIZE")
    except (OSError, ValueError, IndexError):
        return BASE


room = MemoryBudget(MOST_OF_ALL - SPARE, held_by_the_program)


def bytes_at_work(opened: Image.Image, points_in_file: int, *, longest: int, in_scans: bool = False) -> int:
    """The most memory that it takes to decode a picture that is opened, and to make it plain and small.

    `in_scans` says that a JPEG comes in more than one scan.
    """
    mode = SEE_THROUGH if opened.has_transparency_data else opened.mode
    a_point = next(
        size
        for of_format, of_mode, size in BYTES_A_POINT
        if of_format in (opened.format, None) and of_mode in (mode, None)
    )
    a_point += BYTES_MADE_NARROWER * min(1, longest / max(opened.size))
    whole = int(opened.width * opened.height * a_point)
    if isinstance(opened, JpegImagePlugin.JpegImageFile) and in_scans:
        return whole + int(points_in_file * BYTES_OF_A_COEFFICIENT * _coefficients_a_point(opened))
    if isinstance(opened, TiffImagePlugin.TiffImageFile) and opened.info.get("compression") != "raw":
        return whole + _bytes_of_a_strip(opened)
    return whole


def _coefficients_a_point(opened: JpegImagePlugin.JpegImageFile) -> float:
    """Source: ITU-T T.81, A.1.1: each component has so many samples across and down where the finest has the most."""
    samples = [(across, down) for _, across, down, _ in opened.layer]
    finest = max(across for across, _ in samples) * max(down for _, down in samples)
    return sum(across * down for across, down in samples) / max(1, finest)


def bytes_for_heif(image: pi_heif.HeifImage, *, longest: int) -> int:
    """The same of a picture in a HEIC file."""
    points = image.size[0] * image.size[1]
    is_deep = image.info.get("bit_depth", 8) > 8
    is_finer = image.info.get("chroma") in (422, 444)
    if image.mode in ("L", "I;16"):
        return int(points * HEIF_GREY[is_deep])
    if image.has_alpha:
        held = (HEIF_FINER_SEE_THROUGH if is_finer else HEIF_SEE_THROUGH)[is_deep]
    else:
        held = (HEIF_FINER_COLOUR if is_finer else HEIF_COLOUR)[is_deep]
    return int(points * (held if times_smaller(image.size, longest) > 1 else max(held, HEIF_UNREDUCED)))


def _bytes_of_a_strip(opened: TiffImagePlugin.TiffImageFile) -> int:
    """What the decoder holds beside the picture: one strip or tile of it. The file says how large it is, so it may be
    the whole picture, or more."""
    tags = opened.tag_v2
    bits = tags.get(TiffImagePlugin.BITSPERSAMPLE, (1,))
    a_point = int(max(sum(bits), max(bits) * int(tags.get(TiffImagePlugin.SAMPLESPERPIXEL, 1))))
    tile = int(tags.get(TiffImagePlugin.TILEWIDTH, 0)) * int(tags.get(TiffImagePlugin.TILELENGTH, 0))
    rows = int(tags.get(TiffImagePlugin.ROWSPERSTRIP, opened.height))
    return max(tile, opened.width * min(rows, opened.height)) * a_point // 8
