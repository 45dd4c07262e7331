"""The quilting: where the lines of stitches run that hold the three layers together.

Every pattern is a function from a `Ground` and a source of chance to lines, each a list of points in
inches. Stippling alone is drawn as a picture, since its one endless line is the edge of a random
landscape.
"""

import itertools
from collections.abc import Callable
from dataclasses import dataclass
from math import atan2, ceil, cos, hypot, pi, sin, sqrt
from random import Random

from PIL import Image, ImageChops, ImageDraw, ImageFilter

from .chance import Field, chance

Line = list[tuple[float, float]]
Box = tuple[float, float, float, float]


@dataclass(frozen=True)
class Ground:
    """What is quilted: its size, the space within its borders, its patches' outlines; in inches."""

    quilt: str
    width: float
    length: float
    inside: Box
    outlines: tuple[tuple[tuple[float, float], ...], ...]


def crosshatch(ground: Ground, random: Random) -> list[Line]:
    step = 1.6 if min(ground.width, ground.length) < 50 else 2.1
    reach = ground.width + ground.length
    lines = []
    for k in range(-ceil(reach / step), ceil(reach / step)):
        x = k * step * sqrt(2)
        lines += [
            [(x, 0), (x + ground.length, ground.length)],
            [(x, 0), (x - ground.length, ground.length)],
        ]
    return lines


def in_the_ditch(ground: Ground, random: Random) -> list[Line]:
    return [[*outline, outline[0]] for outline in ground.outlines]


def echo(ground: Ground, random: Random) -> list[Line]:
    """Lines within each patch, parallel to its seams."""
    lines = []
    for outline in ground.outlines:
        for k in range(1, 5):
            inset = _inset(outline, 0.42 * k if k == 1 else 0.42 + 0.75 * (k - 1))
            if inset:
                lines.append([*inset, inset[0]])
    return lines


def _inset(outline, distance: float) -> Line | None:
    cx, cy = sum(x for x, _ in outline) / len(outline), sum(y for _, y in outline) / len(outline)
    xs, ys = [x for x, _ in outline], [y for _, y in outline]
    if len(outline) == 4 and len({round(x, 2) for x in xs}) == 2 and len({round(y, 2) for y in ys}) == 2:
        a, b, c, d = min(xs) + distance, min(ys) + distance, max(xs) - distance, max(ys) - distance
        return [(a, b), (c, b), (c, d), (a, d)] if c - a > 0.3 and d - b > 0.3 else None
    nearest = min(_distance((cx, cy), p, q) for p, q in zip(outline, outline[1:] + outline[:1]))
    if nearest - distance < 0.2:
        return None
    share = 1 - distance / nearest
    return [(cx + (x - cx) * share, cy + (y - cy) * share) for x, y in outline]


def _distance(point, a, b) -> float:
    along_x, along_y = b[0] - a[0], b[1] - a[1]
    length = hypot(along_x, along_y) or 1
    return abs((point[0] - a[0]) * along_y - (point[1] - a[1]) * along_x) / length


def straight_lines(ground: Ground, random: Random) -> list[Line]:
    """Upright lines near each other, the spaces not quite even."""
    lines, x = [], 0.6
    while x < ground.width:
        wobble = [random.uniform(-0.05, 0.05) for _ in range(9)]
        lines.append([(x + wobble[k], ground.length * k / 8) for k in range(9)])
        x += random.uniform(0.7, 1.2)
    return lines


def waves(ground: Ground, random: Random) -> list[Line]:
    lines, count = [], ceil(ground.length / 1.7) + 2
    for k in range(-1, count):
        drift, phase = random.uniform(-0.2, 0.2), random.uniform(-0.25, 0.25)
        lines.append(
            [
                (
                    x / 2,
                    k * 1.7 + drift + 0.75 * sin(x / 2 / ground.width * 2 * pi * max(2, ground.width / 15) + phase),
                )
                for x in range(ceil(ground.width * 2) + 2)
            ]
        )
    return lines


def spirals(ground: Ground, random: Random) -> list[Line]:
    """A looping line from edge to edge, row after row, as a longarm machine runs it."""
    lines, pitch = [], 3.1
    for row in range(ceil(ground.length / pitch) + 1):
        line, offset = [], 1.7 * (row % 2)
        for k in range(ceil(ground.width / 3.4) + 2):
            x0, y0 = k * 3.4 - offset, (row + 0.5) * pitch
            for step in range(34):
                t = step / 33
                radius = 1.25 * (1 - t) + 0.08
                line.append((x0 + radius * cos(5 * pi * t + pi) + 1.2, y0 + radius * sin(5 * pi * t + pi)))
            line += [(x0 + 1.9, y0 + 0.75), (x0 + 2.7, y0 + 0.9), (x0 + 3.3, y0 + 0.4)]
        lines.append(line)
    return lines


def fans(ground: Ground, random: Random) -> list[Line]:
    """Quarter circles within each other, row over row: Baptist fans."""
    lines, size = [], 6.0
    for row in range(ceil(ground.length / size) + 1):
        for column in range(-1, ceil(ground.width / size) + 1):
            x, y = (column + (0.5 if row % 2 else 0)) * size, (row + 1) * size
            for ring in range(1, 7):
                radius = ring * size / 6
                lines.append(
                    [(x + radius * cos(pi / 2 * t / 10), y - radius * sin(pi / 2 * t / 10)) for t in range(11)]
                )
            lines.append([(x, y), (x, y - size)])
    return lines


def clamshells(ground: Ground, random: Random) -> list[Line]:
    """Half circles within each other, each row peeping out over the one below: waves of the sea."""
    lines, size = [], 5.0
    for row in range(ceil(ground.length / (size / 2)) + 2):
        for column in range(-1, ceil(ground.width / size) + 1):
            x, y = (column + (0.5 if row % 2 else 0)) * size, (row + 1) * size / 2
            for ring in range(3):
                radius = size / 2 * (1 - ring / 3.4)
                # The shells of the next row cover what lies under them.
                visible = [
                    (x + radius * cos(angle), y - radius * sin(angle)) for angle in (pi * k / 24 for k in range(25))
                ]
                lines += _runs(
                    visible,
                    lambda px, py, x=x, y=y: all(
                        hypot(px - nx, py - y - size / 2) > size / 2 for nx in (x - size / 2, x + size / 2)
                    ),
                )
    return lines


def _runs(line: Line, kept) -> list[Line]:
    """The stretches of a line whose points are kept."""
    runs: list[Line] = [[]]
    for x, y in line:
        if kept(x, y):
            runs[-1].append((x, y))
        elif runs[-1]:
            runs.append([])
    return [run for run in runs if len(run) > 1]


def _plume(base, angle: float, length: float, width: float) -> Line:
    c, s = cos(angle), sin(angle)
    shape = [
        (0, 0),
        (0.25, 0.28),
        (0.55, 0.46),
        (0.82, 0.44),
        (1, 0.18),
        (0.98, -0.1),
        (0.8, -0.22),
        (0.5, -0.16),
        (0.25, -0.04),
        (0, 0),
    ]
    return [(base[0] + c * a * length - s * b * width, base[1] + s * a * length + c * b * width) for a, b in shape]


def _feathered(spine: Line, length: float) -> list[Line]:
    """A spine with plumes along both its sides."""
    lines, travelled = [spine], 0.0
    for (ax, ay), (bx, by) in itertools.pairwise(spine):
        step = hypot(bx - ax, by - ay)
        travelled += step
        if travelled < length * 0.42:
            continue
        travelled = 0
        heading = atan2(by - ay, bx - ax)
        lines.append(_plume((ax, ay), heading + 1.0, length, length * 0.8))
        mirrored = _plume((0, 0), 0, length, -length * 0.8)
        c, s = cos(heading - 1.0), sin(heading - 1.0)
        lines.append([(ax + x * c - y * s, ay + x * s + y * c) for x, y in mirrored])
    return lines


def feathers(ground: Ground, random: Random) -> list[Line]:
    """Feathered waves across the quilt, row after row."""
    lines, pitch = [], 6.4
    for row in range(ceil(ground.length / pitch) + 1):
        spine = [
            (x / 4, (row + 0.5) * pitch + 1.2 * sin(x / 4 / 9 * 2 * pi + row * pi))
            for x in range(ceil(ground.width * 4) + 1)
        ]
        lines += _feathered(spine, 2.4)
    return lines


def wreath(ground: Ground, random: Random) -> list[Line]:
    """A feathered wreath, smaller ones at the corners, a feathered border, fine crosshatching."""
    w, l = ground.width, ground.length
    radius = min(w, l) * 0.25

    def ring(cx, cy, r, plume):
        return _feathered([(cx + r * cos(pi * k / 90), cy + r * sin(pi * k / 90)) for k in range(181)], plume)

    lines = ring(w / 2, l / 2, radius, min(w, l) * 0.055)
    for k in range(12):
        lines.append(_plume((w / 2, l / 2), pi * k / 6, radius * 0.55, radius * 0.32))
    edge = min(w, l) * 0.13
    for x in (edge * 1.9, w - edge * 1.9):
        for y in (edge * 1.9, l - edge * 1.9):
            lines += ring(x, y, edge * 0.45, edge * 0.28)
    path = []
    corners = [
        (edge * 0.55, edge * 0.55),
        (w - edge * 0.55, edge * 0.55),
        (w - edge * 0.55, l - edge * 0.55),
        (edge * 0.55, l - edge * 0.55),
    ]
    for (ax, ay), (bx, by) in zip(corners, corners[1:] + corners[:1]):
        run = hypot(bx - ax, by - ay)
        waves_in = max(3, round(run / 9))
        for step in range(round(run * 3)):
            t = step / round(run * 3)
            side = edge * 0.16 * sin(2 * pi * waves_in * t)
            path.append(
                (
                    ax + (bx - ax) * t - (by - ay) / run * side,
                    ay + (by - ay) * t + (bx - ax) / run * side,
                )
            )
    lines += _feathered(path, edge * 0.38)
    inner = edge * 1.08
    lines.append(
        [
            (inner, inner),
            (w - inner, inner),
            (w - inner, l - inner),
            (inner, l - inner),
            (inner, inner),
        ]
    )
    for k in range(-round(l / 1.3), round((w + l) / 1.3)):
        x = k * 1.3
        for hatch in (
            [(x + t, t) for t in range(ceil(l) + 1)],
            [(x - t, t) for t in range(ceil(l) + 1)],
        ):
            lines += _outside_wreaths(hatch, w, l, radius, edge)
    return lines


def _outside_wreaths(line: Line, w: float, l: float, radius: float, edge: float) -> list[Line]:
    """The stretches of a hatching line that keep clear of wreaths and border."""

    def clear(x: float, y: float) -> bool:
        inside = edge * 1.08 < x < w - edge * 1.08 and edge * 1.08 < y < l - edge * 1.08
        return inside and hypot(x - w / 2, y - l / 2) > radius * 1.27

    return _runs(line, clear)


def tied(ground: Ground, random: Random) -> list[Line]:
    """No lines: a knot every four inches (see `knots`)."""
    return []


def knots(ground: Ground) -> Line:
    columns, rows = max(2, round(ground.width / 4)), max(2, round(ground.length / 4))
    return [
        ((c + 0.5) * ground.width / columns, (r + 0.5) * ground.length / rows)
        for r in range(rows)
        for c in range(columns)
    ]


PATTERNS: dict[str, Callable[[Ground, Random], list[Line]]] = {
    "crosshatch": crosshatch,
    "ditch": in_the_ditch,
    "echo": echo,
    "straight lines": straight_lines,
    "waves": waves,
    "spirals": spirals,
    "fans": fans,
    "clamshells": clamshells,
    "feathers": feathers,
    "wreath": wreath,
    "tied": tied,
}
QUILTINGS = ("stipple", *PATTERNS, "none")


def stitches(ground: Ground, name: str, window: Box, size: tuple[int, int], line_width: float) -> Image.Image:
    """The lines of stitches inside a window (inches), white on black, `line_width` pixels wide."""
    if name == "none":
        return Image.new("L", size, 0)
    if name == "stipple":
        return _stipple(ground, window, size, line_width)
    lines = PATTERNS[name](ground, chance(ground.quilt, "quilting"))
    picture = Image.new("L", size, 0)
    draw = ImageDraw.Draw(picture)
    sx, sy = size[0] / (window[2] - window[0]), size[1] / (window[3] - window[1])
    for line in lines:
        draw.line(
            [((x - window[0]) * sx, (y - window[1]) * sy) for x, y in line],
            fill=255,
            width=max(1, round(line_width)),
            joint="curve",
        )
    if name == "tied":
        for x, y in knots(ground):
            px, py, r = (x - window[0]) * sx, (y - window[1]) * sy, max(1, 0.10 * sx)
            draw.ellipse((px - r, py - r, px + r, py + r), fill=255)
    return picture


def _stipple(ground: Ground, window: Box, size: tuple[int, int], line_width: float) -> Image.Image:
    """A line that wanders and never crosses itself: the shore of a random landscape."""
    extent = (ground.width, ground.length)
    land = Image.blend(
        Field(0.47, extent, ground.quilt, "stipple").seen(window, size),
        Field(0.57, extent, ground.quilt, "stipple too").seen(window, size),
        0.5,
    )
    high = land.point([255 if value > 127 else 0 for value in range(256)])
    shore = ImageChops.lighter(
        ImageChops.difference(high, ImageChops.offset(high, 1, 0)),
        ImageChops.difference(high, ImageChops.offset(high, 0, 1)),
    )
    return shore.filter(ImageFilter.MaxFilter(max(1, round(line_width / 2)) * 2 + 1)) if line_width > 2.5 else shore
