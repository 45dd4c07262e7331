"""The double wedding ring.

Drafted in inches over the space within the borders, whose width and length are given. Patches may
reach over the edges: borders, or the quilt's edge, cut them off.
"""

from math import acos, atan2, degrees, sqrt
from random import Random

from .patches import Patch, arc, patch, rectangle, turned_point


def double_wedding_ring(width: float, length: float, random: Random) -> list[Patch]:
    """Interlocked rings of pieced arcs; where four meet are pairs of squares."""
    columns = max(2, round(width / 15))
    pitch = width / (columns + 0.42)
    rows = max(2, round((length / pitch) - 0.42))
    outer = pitch / sqrt(2)
    inner = outer * 0.79
    patches = [patch(rectangle(0, 0, width, length), "ground")]
    offset_x, offset_y = (width - (columns - 1) * pitch) / 2, (length - (rows - 1) * pitch) / 2
    lenses = [(c, r, 0) for c in range(-1, columns) for r in range(rows)] + [
        (c, r, 90) for c in range(columns) for r in range(-1, rows)
    ]
    for column, row, turn in lenses:
        first = (offset_x + column * pitch, offset_y + row * pitch)
        patches += _lens(first, turn, pitch, outer, inner, column * 3 + row * 5)
    return patches


def _lens(first, turn: float, pitch: float, outer: float, inner: float, start: int) -> list[Patch]:
    """What two rings share: a melon between two arcs of six wedges, squares at the ends."""
    second = turned_point((first[0] + pitch, first[1]), first, turn)
    end = degrees(acos((outer**2 + pitch**2 - inner**2) / (2 * outer * pitch)))
    end_in = degrees(atan2(sqrt(inner**2 - pitch**2 / 4), pitch / 2))
    patches = []
    melon = [
        *arc(first, inner, turn - end_in, turn + end_in, 12),
        *arc(second, inner, turn + 180 - end_in, turn + 180 + end_in, 12)[1:-1],
    ]
    patches.append(patch(melon, "ground"))
    for side, (centre, facing) in enumerate(((first, turn), (second, turn + 180))):
        for k in range(6):
            a, b = (facing - end + 2 * end * j / 6 for j in (k, k + 1))
            a_in, b_in = (facing - end_in + 2 * end_in * j / 6 for j in (k, k + 1))
            wedge = [*arc(centre, outer, a, b, 3), *arc(centre, inner, b_in, a_in, 3)]
            patches.append(patch(wedge, "main", start + k * 2 + side * 3))
    for sign in (1, -1):
        vertex = turned_point((first[0] + outer, first[1]), first, turn + 45 * sign)
        near = turned_point((first[0] + inner, first[1]), first, turn + end_in * sign)
        a = turned_point((first[0] + outer, first[1]), first, turn + end * sign)
        b = turned_point((second[0] + outer, second[1]), second, turn + 180 - end * sign)
        patches.append(patch((vertex, a, near, b), "accent", 0 if sign == 1 else 1))
    return patches
