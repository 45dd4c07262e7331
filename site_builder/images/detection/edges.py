"""Finds possible sides of a quilt: sharp edges, behind which something stands out from the ground.

Edges are searched in a strip along each side, with the ground to its left and the quilt to its right, in short parts
from one end to the other and a little beyond. The strips of all sides are next to each other in one picture, with a row
for each part, as one pass over it costs little more than one over a single strip.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

from PIL import Image, ImageChops

from site_builder.images.detection.background import StandingOut, amount_in, largest
from site_builder.images.detection.perspective import Line

# By our own judgement, tried on drawn photos.
PARTS = 44  # of a side
ENDS = 4  # parts beyond each end
LEAST_STEP = 3  # levels from one pixel to the next
NOISE_RING, NOISE_SHARE, NOISE_TIMES = 6, 0.95, 1.3
SHARP, BEFORE, AFTER = 0.6, 5, 2  # of the change from this many pixels before to this many after
DULLER, DULLER_WITHIN = 0.35, 4  # of the steps in the next pixels
IN_SHADE, SHADE_WITHIN = 0.6, 10  # likewise, for what may be the ground in a shadow
BEHIND, BEHIND_TIMES, LEAST_BEHIND = 2, 1.3, 10  # pixels; times `stands_out`; half levels
ROOM = 6  # pixels that are needed behind an edge
WINDOW = 6  # pixels: cloth is wavy

_MARK = re.compile(b"\xff")
_IF_ANY, _IF_NONE = [0] + [255] * 255, [255] + [0] * 255
_OUT_OF_REACH = 255  # for a step: none is larger than 254
_MOST_STEP = [0] * 255 + [_OUT_OF_REACH - 1]
_TOO_DULL, _SHADE_LIKE, _TOO_SOFT = (
    [-int(-level * share // 1) for level in range(256)] for share in (DULLER, IN_SHADE, SHARP)
)
_QUARTERS = [min(63, (level + 2) // 4) for level in range(256)]


class Edge(NamedTuple):
    """The place of an edge along a side, in parts from its first end, and across, and the size of its step.

    `across` is in pixels from the rough side.
    """

    along: float
    across: float
    step: int


@dataclass(frozen=True, slots=True)
class Edges:
    """The edges along several sides: pictures with a row for each part, the strips next to each other.

    Each strip is `width` pixels wide, with the rough side at column `start`. `edges` is 255 at an edge, and `steps` is
    the size of the step; both have the parts beyond the ends. `strips` is the source, and `marks` (mode L) is white
    where the window that begins there has an edge; both are without those parts.
    """

    edges: bytes
    steps: bytes
    marks: Image.Image
    strips: Image.Image
    width: int
    start: int

    @property
    def sides(self) -> range:
        return range(self.strips.width // self.width)

    def near(self, side: int, line: Line, within: float) -> list[Edge]:
        """A side's edges `within` pixels of a line, also beyond its ends, from end to end and from outside in."""
        slope, start = line
        found = []
        for row in range(PARTS + 2 * ENDS):
            along = row - ENDS + 0.5
            left = row * self.strips.width + side * self.width
            middle = slope * along + start + self.start - 1
            first, last = max(0, int(middle - within)), min(self.width, int(middle + within) + 2)
            for mark in _MARK.finditer(self.edges, left + first, left + last):
                here = mark.start()
                before, step, after = self.steps[here - 1 : here + 2]
                across = here + 1 - left - self.start + (before - after) / (2 * (before - 2 * step + after))
                found.append(Edge(along, across, step))
        return found

    def agreeing(self, slope: float) -> list[bytes]:
        """For each side and column, the share of parts (of 255) with an edge in the window that begins there.

        Counted on lines of this slope, in pixels for each part; the columns are those at the middle of the side.
        """
        row = _seen_from_end(self.marks, slope).tobytes()
        return [row[at : at + self.width] for at in range(0, len(row), self.width)]

    def profile(self, side: int, slope: float) -> list[tuple[int, int, int, int]]:
        """The colour of each column of a side's strip on lines of this slope, with alpha."""
        strip = self.strips.crop((side * self.width, 0, (side + 1) * self.width, PARTS))
        row = _seen_from_end(strip, slope).tobytes()
        return list(zip(row[0::4], row[1::4], row[2::4], row[3::4], strict=True))


def _seen_from_end(rows: Image.Image, slope: float) -> Image.Image:
    upright = rows.transform(rows.size, Image.Transform.AFFINE, (1, slope, -slope * PARTS / 2, 0, 1, 0))
    return upright.resize((rows.width, 1), Image.Resampling.BOX)


def find_edges(strips: Image.Image, seen: StandingOut, *, width: int, start: int, stands_out: float) -> Edges:
    """The edges in strips of `seen.picture`, each `width` wide, with an alpha channel that is 255 within the picture.

    The strips have a row for each part. `start` is the column of the rough side, and `stands_out` is how many half
    levels something surely not ground differs from it.
    """
    colours = strips.convert("RGB")
    steps = _steps(strips, colours)
    edges = ImageChops.darker(_sharp_steps(colours, steps, width), _standing_out_behind(colours, stands_out))
    shades = _shades(colours, steps, edges, seen)
    edges = ImageChops.subtract(edges, shades)
    pairs = ImageChops.lighter(edges, ImageChops.offset(edges, -1, 0))
    fours = ImageChops.lighter(pairs, ImageChops.offset(pairs, -2, 0))
    marks = ImageChops.lighter(fours, ImageChops.offset(pairs, 2 - WINDOW, 0))
    return Edges(edges.tobytes(), steps.tobytes(), _within(marks), _within(strips), width, start)


def _within(rows: Image.Image) -> Image.Image:
    """The rows without the parts beyond the ends."""
    return rows.crop((0, ENDS, rows.width, rows.height - ENDS))


def _steps(strips: Image.Image, colours: Image.Image) -> Image.Image:
    """The step from each pixel of a row to the next; 0 at the end of the picture."""
    alpha = strips.getchannel("A")
    known = ImageChops.darker(alpha, ImageChops.offset(alpha, -1, 0)).point(_MOST_STEP)
    return ImageChops.darker(_change(colours, ImageChops.offset(colours, -1, 0)), known)


def _sharp_steps(colours: Image.Image, steps: Image.Image, width: int) -> Image.Image:
    """255 where a step is larger than the noise and than those next to it, and as sharp as an edge."""
    small = ImageChops.subtract(_least_steps(steps, width), steps)
    rising = ImageChops.subtract(ImageChops.offset(steps, 1, 0), steps)
    dull = ImageChops.subtract(_most_of_next(steps, DULLER_WITHIN).point(_TOO_DULL), steps)
    after = ImageChops.offset(colours, -AFTER, 0)
    here, around = (_change(ImageChops.offset(colours, before, 0), after) for before in (1, BEFORE))
    soft = ImageChops.subtract(around.point(_TOO_SOFT), here)
    wrong = ImageChops.lighter(ImageChops.lighter(small, rising), ImageChops.lighter(dull, soft)).point(_IF_NONE)
    falling = ImageChops.subtract(steps, ImageChops.offset(steps, -1, 0)).point(_IF_ANY)
    return ImageChops.darker(wrong, falling)


def _most_of_next(steps: Image.Image, count: int) -> Image.Image:
    """The largest of the next `count` steps."""
    reach, most = 1, ImageChops.offset(steps, -1, 0)
    while reach < count:
        further = min(reach, count - reach)
        most = ImageChops.lighter(most, ImageChops.offset(most, -further, 0))
        reach += further
    return most


def _standing_out_behind(colours: Image.Image, stands_out: float) -> Image.Image:
    """255 where the mean of four pixels behind is surely not ground."""
    quarters = amount_in(colours).point(_QUARTERS)
    halves = ImageChops.add_modulo(quarters, ImageChops.offset(quarters, -1, 0))
    means = ImageChops.offset(ImageChops.add_modulo(halves, ImageChops.offset(halves, -2, 0)), -BEHIND, 0)
    least = max(LEAST_BEHIND, BEHIND_TIMES * stands_out)
    return means.point([255 if level >= least else 0 for level in range(256)])


def _shades(colours: Image.Image, steps: Image.Image, edges: Image.Image, seen: StandingOut) -> Image.Image:
    """255 at edges behind which there may be ground in a shadow."""
    weak = ImageChops.subtract(_most_of_next(steps, SHADE_WITHIN).point(_SHADE_LIKE), steps).point(_IF_ANY)
    levels, shades = colours.tobytes(), Image.new("L", steps.size)
    for mark in _MARK.finditer(ImageChops.darker(weak, edges).tobytes()):
        behind = 3 * (mark.start() + 3)
        if seen.is_shaded(levels[behind : behind + 3]):
            row, at = divmod(mark.start(), steps.width)
            shades.putpixel((at, row), 255)
    return shades


def _least_steps(steps: Image.Image, width: int) -> Image.Image:
    """The least step that counts, from the steps of the ground; out of reach near the ends of rows."""
    least = Image.new("L", steps.size, _OUT_OF_REACH)
    for left in range(0, steps.width, width):
        outside = sorted(steps.crop((left, 0, left + NOISE_RING, steps.height)).tobytes())
        level = max(LEAST_STEP, NOISE_TIMES * outside[round(NOISE_SHARE * (len(outside) - 1))])
        column = (left + WINDOW, 0, left + width - ROOM, steps.height)
        least.paste(min(_OUT_OF_REACH, -int(-level // 1)), column)
    return least


def _change(one: Image.Image, other: Image.Image) -> Image.Image:
    return largest(ImageChops.difference(one, other))


def change(one: Sequence[int], other: Sequence[int]) -> int:
    """The difference of two colours in levels, in the channel where they differ most."""
    return max(abs(one[0] - other[0]), abs(one[1] - other[1]), abs(one[2] - other[2]))
