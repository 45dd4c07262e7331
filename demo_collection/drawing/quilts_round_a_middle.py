"""Quilts that grow from their middle: a star, a diamond, a compass in its frames.

Drafted in inches over the space within the borders, whose width and length are given. Patches may
reach over the edges: borders, or the quilt's edge, cut them off.
"""

from math import cos, pi, sin, sqrt
from random import Random

from .blocks_curved import mariners_compass
from .patches import Patch, goose, moved, patch, rectangle, turned, turned_point


def lone_star(width: float, length: float, random: Random) -> list[Patch]:
    """Eight large diamonds of small ones, coloured in rings from the middle."""
    span, count = min(width, length) * 0.985, 8
    middle = (width / 2, length / 2)
    side = span / (2 + sqrt(2)) / count
    patches = [patch(rectangle(0, 0, width, length), "ground")]
    corner = span / (2 + sqrt(2))
    for k in range(4):
        patches += turned(
            [
                patch(
                    rectangle(middle[0] + span / 2 - corner, middle[1] - span / 2, corner, corner),
                    "ground",
                )
            ],
            90 * k,
            middle,
        )
        patches += turned(
            [
                patch(
                    (
                        (middle[0] - span / 2 + corner, middle[1] - span / 2),
                        (middle[0] + span / 2 - corner, middle[1] - span / 2),
                        (middle[0], middle[1] - span / 2 + corner / sqrt(2) * 1),
                    ),
                    "ground",
                )
            ],
            90 * k,
            middle,
        )
    for k in range(8):
        ax, ay = cos(pi * k / 4) * side, sin(pi * k / 4) * side
        bx, by = cos(pi * (k + 1) / 4) * side, sin(pi * (k + 1) / 4) * side
        for i in range(count):
            for j in range(count):
                x, y = middle[0] + ax * i + bx * j, middle[1] + ay * i + by * j
                patches.append(
                    patch(
                        ((x, y), (x + ax, y + ay), (x + ax + bx, y + ay + by), (x + bx, y + by)),
                        "main",
                        i + j,
                    )
                )
    return patches


def centre_diamond(width: float, length: float, random: Random) -> list[Patch]:
    """A square on its point in a frame, with the plain cloths of an old farm quilt."""
    side = min(width, length)
    left, top = (width - side) / 2, (length - side) / 2
    band = side * 0.07
    patches = [
        patch(rectangle(0, 0, width, length), "main", 0),
        patch(
            (
                (width / 2, top),
                (left + side, length / 2),
                (width / 2, top + side),
                (left, length / 2),
            ),
            "main",
            1,
        ),
    ]
    inner = side / 2 - band * sqrt(2)
    patches.append(
        patch(
            (
                (width / 2, length / 2 - inner),
                (width / 2 + inner, length / 2),
                (width / 2, length / 2 + inner),
                (width / 2 - inner, length / 2),
            ),
            "accent",
            0,
        )
    )
    for k in range(4):
        x, y = turned_point((width / 2, length / 2 - side / 2 + band * sqrt(2) / 2), (width / 2, length / 2), 90 * k)
        r = band * sqrt(2) / 2
        patches.append(patch(((x, y - r), (x + r, y), (x, y + r), (x - r, y)), "accent", 1))
    return patches


def medallion(width: float, length: float, random: Random) -> list[Patch]:
    """A compass in the middle, rings of pieced borders round it."""
    side = min(width, length)
    patches = [patch(rectangle(0, 0, width, length), "ground")]
    half_x, half_y = width / 2, length / 2
    rings = [
        ("sawtooth", 0.055),
        ("plain", 0.05),
        ("squares", 0.07),
        ("plain", 0.06),
        ("geese", 0.085),
    ]
    depth = 0.0
    for k, (kind, share) in enumerate(reversed(rings)):
        wide = side * share
        patches += _ring(depth, wide, width, length, kind, len(rings) - k)
        depth += wide
    middle = min(width, length) - 2 * depth
    patches.append(patch(rectangle(depth, depth, width - 2 * depth, length - 2 * depth), "ground"))
    patches += moved(mariners_compass()[1:], half_x - middle / 2, half_y - middle / 2, middle)
    return patches


def _ring(depth: float, wide: float, width: float, length: float, kind: str, rank: int) -> list[Patch]:
    patches = []
    inside_w, inside_l = width - 2 * depth, length - 2 * depth
    for along, run, place in (
        (inside_w - 2 * wide, "n", (depth + wide, depth)),
        (inside_w - 2 * wide, "s", (depth + wide, length - depth - wide)),
        (inside_l - 2 * wide, "w", (depth, depth + wide)),
        (inside_l - 2 * wide, "e", (width - depth - wide, depth + wide)),
    ):
        upright = run in "we"
        if kind == "plain":
            box = rectangle(*place, wide, along) if upright else rectangle(*place, along, wide)
            patches.append(patch(box, "main", rank))
            continue
        count = max(1, round(along / wide / (2 if kind == "geese" else 1)))
        step = along / count
        for k in range(count):
            x, y = (place[0], place[1] + k * step) if upright else (place[0] + k * step, place[1])
            box_w, box_h = (wide, step) if upright else (step, wide)
            if kind == "squares":
                patches.append(
                    patch(
                        rectangle(x, y, box_w, box_h),
                        *(("main", k + rank) if k % 2 else ("accent", 0)),
                    )
                )
            elif kind == "geese":
                patches += [patch(one.points, one.part, k + rank) for one in goose(x, y, box_w, box_h, run, "m", "g")]
            else:
                a, b, c, d = rectangle(x, y, box_w, box_h)
                low, high = ((a, c, d), (a, b, c)) if run in "ns" else ((a, b, c), (a, c, d))
                patches += [
                    patch(low, "accent" if run == "n" else "main", rank),
                    patch(high, "ground"),
                ]
                if run != "n":
                    patches[-2] = patch(low, "accent", 0)
    for x, y in (
        (depth, depth),
        (width - depth - wide, depth),
        (depth, length - depth - wide),
        (width - depth - wide, length - depth - wide),
    ):
        patches.append(patch(rectangle(x, y, wide, wide), "accent" if kind == "plain" else "main", rank + 1))
    return patches
