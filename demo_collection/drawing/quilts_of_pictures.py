"""Quilts that are pictures, or made of them: a landscape, shirts; and the one of plain cloth.

Drafted in inches over the space within the borders, whose width and length are given. Patches may
reach over the edges: borders, or the quilt's edge, cut them off.
"""

from math import pi, sin
from random import Random

from .blocks_applique import heart_shape
from .patches import Patch, arc, circle, moved, patch, rectangle, turned_point


def whole_cloth(width: float, length: float, random: Random) -> list[Patch]:
    return [patch(rectangle(0, 0, width, length), "ground")]


def hills(width: float, length: float, random: Random) -> list[Patch]:
    """An art quilt: layers of land from the sky to the foreground, the main colours in order."""
    layers = 9
    patches = [patch(rectangle(0, 0, width, length), "main", 0)]
    sun = (width * random.uniform(0.6, 0.78), length * 0.2)
    patches.append(patch(circle(sun, width * 0.09, 40), "accent", 0, laid_on=True))
    for layer in range(1, layers):
        base = length * (0.22 + 0.74 * (layer / layers) ** 1.05)
        height = length * (0.075 - 0.004 * layer)
        waves = [(random.uniform(0.6, 1.6), random.uniform(0, 6), random.uniform(0.5, 1)) for _ in range(3)]
        top = []
        for k in range(41):
            x = width * k / 40
            y = (
                base
                - height
                * sum(weight * sin(2 * pi * number * x / width + phase) for number, phase, weight in waves)
                / 1.5
            )
            top.append((x, y))
        patches.append(patch([*top, (width, length), (0, length)], "main", layer))
    return patches


def t_shirt(width: float, length: float, random: Random) -> list[Patch]:
    """Shirt fronts cut to one size, each with its print, sashed."""
    columns, rows = max(2, round(width / 17)), max(2, round(length / 17))
    sash = 2.0
    block_w, block_h = (width - (columns + 1) * sash) / columns, (length - (rows + 1) * sash) / rows
    patches = [patch(rectangle(0, 0, width, length), "sashing")]
    emblems = ["anchor", "star", "number", "stripes", "sun", "ring", "mountain", "heart"]
    random.shuffle(emblems)
    for row in range(rows):
        for column in range(columns):
            x, y = sash + column * (block_w + sash), sash + row * (block_h + sash)
            serial = row * columns + column
            patches.append(patch(rectangle(x, y, block_w, block_h), "main", serial))
            side = min(block_w, block_h)
            patches += moved(
                _emblem(emblems[serial % len(emblems)], serial),
                x + (block_w - side) / 2,
                y + (block_h - side) / 2,
                side,
            )
    return patches


def _emblem(kind: str, serial: int) -> list[Patch]:
    """A print on a shirt, in ground or accent colour."""
    part, shade = ("ground", 0) if serial % 2 else ("accent", serial // 2)
    middle = (0.5, 0.5)
    shapes = {
        "star": [[turned_point((0.5, 0.5 - (0.3 if k % 2 == 0 else 0.13)), middle, 36 * k) for k in range(10)]],
        "number": [
            rectangle(0.28, 0.26, 0.10, 0.48),
            rectangle(0.22, 0.26, 0.10, 0.09),
            rectangle(0.52, 0.26, 0.26, 0.09),
            rectangle(0.69, 0.26, 0.09, 0.25),
            rectangle(0.52, 0.46, 0.26, 0.08),
            rectangle(0.52, 0.46, 0.09, 0.28),
            rectangle(0.52, 0.66, 0.26, 0.09),
        ],
        "stripes": [rectangle(0, 0.3 + 0.14 * k, 1, 0.07) for k in range(3)],
        "sun": [circle(middle, 0.13, 24)]
        + [[turned_point(p, middle, 30 * k) for p in ((0.475, 0.32), (0.525, 0.32), (0.5, 0.2))] for k in range(12)],
        "ring": [
            [*arc(middle, 0.29, 0, 360, 40), *reversed(arc(middle, 0.22, 0, 360, 40))],
            rectangle(0.32, 0.46, 0.36, 0.08),
        ],
        "mountain": [
            ((0.16, 0.68), (0.40, 0.28), (0.52, 0.48), (0.60, 0.38), (0.84, 0.68)),
            rectangle(0.16, 0.72, 0.68, 0.04),
        ],
        "heart": [heart_shape(middle, 0.5)],
        "anchor": [
            rectangle(0.475, 0.30, 0.05, 0.42),
            rectangle(0.38, 0.36, 0.24, 0.045),
            [*arc(middle, 0.27, 20, 160, 20), *reversed(arc(middle, 0.21, 20, 160, 20))],
            [*arc((0.5, 0.25), 0.065, 0, 360, 20), *reversed(arc((0.5, 0.25), 0.03, 0, 360, 20))],
        ],
    }
    return [patch(shape, part, shade) for shape in shapes[kind]]
