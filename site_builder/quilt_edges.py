"""Where a side of a quilt may be: sharp edges, behind which something stands out from the ground.

They are looked for in a strip that runs along the side, with the ground to its left and the quilt to its
right, in short parts from one end to the other and a little beyond.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass

from PIL import Image, ImageChops

from site_builder.picture_ground import StandingOut, amount_in

# By our own judgement, tried on drawn photos.
PARTS = 44                 # of a side
ENDS = 4                   # parts beyond each end
LEAST_STEP = 3             # levels from one pixel to the next
NOISE_RING, NOISE_SHARE, NOISE_TIMES = 6, 0.95, 1.3
SHARP, BEFORE, AFTER = 0.6, 5, 2    # of the change from so many pixels before to so many after
DULLER, DULLER_WITHIN = 0.35, 4     # of the steps in the next pixels
IN_SHADE, SHADE_WITHIN = 0.6, 10    # likewise, for what may be the ground in a shadow
BEHIND, BEHIND_TIMES, LEAST_BEHIND = (2, 6), 1.3, 10    # pixels; of what surely is not ground; half levels
WINDOW = 6                 # pixels: cloth hangs and lies in waves

_MARK = re.compile(b"\xff")


@dataclass(frozen=True, slots=True)
class Part:
    """A short part of a side: where it is along it, and the edges across it with the size of each step.

    Along is in parts from the side's first end, across in pixels from where the side was thought to be.
    """

    along: float
    edges: Sequence[tuple[float, int]]


@dataclass(frozen=True, slots=True)
class Edges:
    """What was found along a side: `parts` with those beyond its ends, and the parts within them as pictures.

    In both pictures each part is a row, and column `start` is where the side was thought to be. `strip` is
    what the edges were looked for in. `marks` (mode L) is white where an edge lies within the window of pixels
    that begins there.
    """

    parts: Sequence[Part]
    marks: Image.Image
    strip: Image.Image
    start: int

    def agreeing(self, slope: float) -> bytes:
        """How many parts, of 255, have an edge in the window that begins at each column, on lines of this slope.

        The slope is in pixels a part, the columns are those at the middle of the side.
        """
        return _seen_from_end(self.marks, slope).tobytes()

    def profile(self, slope: float) -> list[tuple[int, int, int, int]]:
        """The colour of each column on lines of this slope, with alpha."""
        row = _seen_from_end(self.strip, slope).tobytes()
        return [tuple(row[at : at + 4]) for at in range(0, len(row), 4)]


def _seen_from_end(rows: Image.Image, slope: float) -> Image.Image:
    upright = rows.transform(rows.size, Image.Transform.AFFINE, (1, slope, -slope * PARTS / 2, 0, 1, 0))
    return upright.resize((rows.width, 1), Image.Resampling.BOX)


def find_edges(strip: Image.Image, seen: StandingOut, *, start: int, stands_out: float) -> Edges:
    """The edges in a strip of `seen.picture`, with an alpha channel that is 255 within the picture.

    It has a row for each part; `start` is the column where the side was thought to be, and `stands_out` how
    many half levels from the ground something is that surely is not ground.
    """
    width, height = strip.width - 1, strip.height
    steps, peaks = _steps_and_peaks(strip)
    amounts = amount_in(strip.convert("RGB")).tobytes()
    colour = strip.load()
    least_behind = max(LEAST_BEHIND, BEHIND_TIMES * stands_out) * (BEHIND[1] - BEHIND[0])
    found: list[list[tuple[float, int]]] = [[] for _ in range(height)]
    marks = bytearray(width * height)
    for mark in _MARK.finditer(peaks):
        number, at = divmod(mark.start(), width)
        if not WINDOW <= at <= width - BEHIND[1]:
            continue
        here = mark.start()
        step = steps[here]
        if change(colour[at - 1, number], colour[at + 2, number]) < SHARP * change(
            colour[at - BEFORE, number], colour[at + AFTER, number]
        ):
            continue
        behind = number * strip.width + at
        if sum(amounts[behind + BEHIND[0] : behind + BEHIND[1]]) < least_behind:
            continue
        if step < DULLER * max(steps[here + 1 : here + 1 + DULLER_WITHIN]):
            continue
        may_be_a_shadow = step < IN_SHADE * max(steps[here + 1 : here + 1 + SHADE_WITHIN])
        if may_be_a_shadow and seen.is_shaded(colour[at + 3, number]):
            continue
        marks[here - WINDOW + 1 : here + 1] = b"\xff" * WINDOW
        before, after = steps[here - 1], steps[here + 1]
        found[number].append((at + 1 + (before - after) / (2 * (before - 2 * step + after)) - start, step))
    parts = [Part(number - ENDS + 0.5, edges) for number, edges in enumerate(found)]
    marked = Image.frombytes("L", (width, height), bytes(marks))
    return Edges(parts, _within(marked), _within(strip), start)


def _within(rows: Image.Image) -> Image.Image:
    """Without the parts beyond the ends."""
    return rows.crop((0, ENDS, rows.width, rows.height - ENDS))


def _steps_and_peaks(strip: Image.Image) -> tuple[bytes, bytes]:
    """How large the step is from each pixel of a row to the next, and 255 where it is a peak."""
    width, height = strip.size
    one, next_ = strip.crop((0, 0, width - 1, height)), strip.crop((1, 0, width, height))
    red, green, blue, _ = ImageChops.difference(one, next_).split()
    known = ImageChops.darker(one.getchannel("A"), next_.getchannel("A")).point([0] * 255 + [255])
    steps = ImageChops.darker(ImageChops.lighter(ImageChops.lighter(red, green), blue), known)
    content = steps.tobytes()
    least = _noise(content, width - 1)
    large = steps.point([255 if step >= least else 0 for step in range(256)])
    not_after = ImageChops.subtract(ImageChops.offset(steps, 1, 0), steps).point([255] + [0] * 255)
    before = ImageChops.subtract(steps, ImageChops.offset(steps, -1, 0)).point([0] + [255] * 255)
    return content, ImageChops.darker(ImageChops.darker(large, not_after), before).tobytes()


def _noise(steps: bytes, width: int) -> float:
    """What a step must at least be to count, from those of the ground."""
    outside = sorted(b"".join(steps[at : at + NOISE_RING] for at in range(0, len(steps), width)))
    return max(LEAST_STEP, NOISE_TIMES * outside[round(NOISE_SHARE * (len(outside) - 1))])


def change(one: Sequence[int], other: Sequence[int]) -> int:
    """How many levels one colour is from another, in the channel where they differ most."""
    return max(abs(one[0] - other[0]), abs(one[1] - other[1]), abs(one[2] - other[2]))
