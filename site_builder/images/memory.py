"""How much memory pictures take, and a budget that limits how many are processed at once.

The memory of the whole program has a limit. What the program holds while no picture is processed is subtracted from
it, and pictures share the rest. Work on a picture first claims what an ordinary photo takes. If the picture needs more,
and that is not free, the work releases all it holds, waits until the larger claim can be met, and starts again. So no
work holds memory while it waits, and none waits forever.
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
LARGE = 80_000_000  # from this size on, memory is returned to the system, which takes a little time
BASE = 100_000_000  # what the program holds, if the system doesn't say

# Bytes of memory for each decoded pixel, all copies together except the resized one: measured with 12 to 130 million
# pixels of each kind, rounded up. The first row that matches the format and the mode (None matches any) is used.
# SEE_THROUGH is any mode with transparency.
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
# What the HEIC decoder holds: for grey, for colour, and for colour with transparency; each with eight bits and with more.
# Finer colour is chroma that is stored for more than every fourth pixel.
HEIF_GREY = (2.7, 5.0)
HEIF_COLOUR, HEIF_FINER_COLOUR = (4.8, 7.7), (9.0, 15.0)
HEIF_SEE_THROUGH, HEIF_FINER_SEE_THROUGH = (7.7, 12.6), (12.6, 20.0)
HEIF_UNREDUCED = 11.0  # at least that if the picture is not reduced while it is read from the decoder
BYTES_OF_A_COEFFICIENT = 2  # of a progressive JPEG, which is held whole while it is decoded, at any scale

Made = TypeVar("Made")


class _NeedsMore(BaseException):
    """The work on a picture needs a larger claim than it has."""

    def __init__(self, size: int) -> None:
        self.size = size


class MemoryBudget:
    """At most `most` bytes for the program; a claim for more than is left waits, first come, first served."""

    def __init__(self, most: int, held_already: Callable[[], int]) -> None:
        self._most = most
        self._held_already = held_already
        self._base = BASE
        self._claimed = 0
        self._waiting: deque[object] = deque()
        self._changed = threading.Condition()
        self._mine = threading.local()

    def bounded(self, work: Callable[[], Made]) -> Made:
        """The result of the work on one picture. The work may start several times, until its claim is large enough.

        Nested work shares the claim of the outer work.
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
        """Claim, before using them, all bytes that the work on a picture needs. Returns once they are claimed."""
        mine = self._claim_of_mine
        if mine and size > mine and not self._grown_to(size):
            raise _NeedsMore(size)

    @property
    def _claim_of_mine(self) -> int:
        claim: int = getattr(self._mine, "claim", 0)
        return claim

    @contextmanager
    def _taken(self, size: int) -> Iterator[None]:
        turn = object()
        with self._changed:
            self._waiting.append(turn)
            self._changed.wait_for(lambda: self._waiting[0] is turn and self._is_free(size))
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

    def _is_free(self, size: int) -> bool:
        if size >= LARGE:
            give_back()
        if not self._claimed:  # one alone may always start; the caller limits its size
            self._base = self._held_already()
            return True
        return self._base + self._claimed + size <= self._most

    def _grown_to(self, size: int) -> bool:
        """Can the larger claim be met at once?"""
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


budget = MemoryBudget(MOST_OF_ALL - SPARE, held_by_the_program)


def bytes_at_work(opened: Image.Image, points_in_file: int, *, longest: int, in_scans: bool = False) -> int:
    """The most memory that it takes to decode an opened picture, and to make it plain and small.

    `in_scans`: a JPEG has more than one scan.
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
    """How many coefficients there are for each pixel. Source: ITU-T T.81, A.1.1, on the sampling of components."""
    samples = [(across, down) for _, across, down, _ in opened.layer]
    finest = max(across for across, _ in samples) * max(down for _, down in samples)
    return sum(across * down for across, down in samples) / max(1, finest)


def bytes_for_heif(image: pi_heif.HeifImage, *, longest: int) -> int:
    """The same for a picture in a HEIC file."""
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
    """What the decoder holds besides the picture: one strip or tile. The file sets its size, so that it may be the whole
    picture, or more."""
    tags = opened.tag_v2
    bits = tags.get(TiffImagePlugin.BITSPERSAMPLE, (1,))
    a_point = int(max(sum(bits), max(bits) * int(tags.get(TiffImagePlugin.SAMPLESPERPIXEL, 1))))
    tile = int(tags.get(TiffImagePlugin.TILEWIDTH, 0)) * int(tags.get(TiffImagePlugin.TILELENGTH, 0))
    rows = int(tags.get(TiffImagePlugin.ROWSPERSTRIP, opened.height))
    return max(tile, opened.width * min(rows, opened.height)) * a_point // 8
