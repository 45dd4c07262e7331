"""Quilts that run in strips from top to bottom.

Drafted in inches over the space within the borders, whose width and length are given. Patches may
reach over the edges: borders, or the quilt's edge, cut them off.
"""

from math import ceil, cos, sin
from random import Random

from .patches import Patch, goose, patch, rectangle


def coins(width: float, length: float, random: Random) -> list[Patch]:
    """Stacks of thin scraps, with ground between the stacks."""
    stacks = max(3, round(width / 11))
    unit = width / (stacks * 3 + 1)
    patches = [patch(rectangle(0, 0, width, length), "ground")]
    for stack in range(stacks):
        x, y = unit * (1 + 3 * stack), 0.0
        while y < length:
            height = min(random.choice([1.25, 1.5, 2, 2.5]), length - y)
            height = length - y if length - y - height < 1 else height
            patches.append(patch(rectangle(x, y, unit * 2, height), "main", random.randrange(60)))
            y += height
        patches.append(patch(rectangle(x + 2 * unit, 0, unit, length), "ground"))
    return patches


def strips(width: float, length: float, random: Random) -> list[Patch]:
    """Lengthwise strips of differing widths, in the colours' order."""
    count = max(7, round(width / 4.5))
    widths = [random.choice([0.6, 0.8, 1, 1.2, 1.5]) for _ in range(count)]
    scale, x, patches = width / sum(widths), 0.0, []
    for k, share in enumerate(widths):
        patches.append(patch(rectangle(x, 0, share * scale, length), "main", k))
        x += share * scale
    return patches


def bars(width: float, length: float, random: Random) -> list[Patch]:
    """Seven wide bars, turn and turn about."""
    return [
        patch(
            rectangle(width * k / 7, 0, width / 7, length),
            *(("main", 0) if k % 2 == 0 else ("main", 1)),
        )
        for k in range(7)
    ]


def bargello(width: float, length: float, random: Random) -> list[Patch]:
    """Columns of one strip set, each shifted: narrow where the wave is steep."""
    patches, x, phase = [], 0.0, 0.0
    height = max(1.5, length / 34)
    while x < width:
        slope = cos(phase)
        column = max(0.9, (1 - abs(slope) * 0.72) * 3.4)
        shift = sin(phase) * height * 6
        for row in range(-9, ceil(length / height) + 9):
            patches.append(patch(rectangle(x, row * height + shift, column, height), "main", row + 900))
        x += column
        phase += 0.30
    return patches


def geese_in_flight(width: float, length: float, random: Random) -> list[Patch]:
    """Columns of geese between strips of the sashing's cloth."""
    columns = max(2, round(width / 13))
    unit = width / (columns * 2 + columns + 1)
    rows = max(4, round(length / unit))
    height = length / rows
    patches = []
    for k in range(columns + 1):
        patches.append(patch(rectangle(3 * unit * k, 0, unit, length), "sashing"))
    for column in range(columns):
        for row in range(rows):
            for one in goose(unit * (1 + 3 * column), row * height, 2 * unit, height, "n", "m", "g"):
                shade = column + 3 * row if one.part == "main" else 0
                patches.append(patch(one.points, one.part, shade))
    return patches
