"""Quilts of what was left over: crazy patches, spare blocks.

Drafted in inches over the space within the borders, whose width and length are given. Patches may
reach over the edges: borders, or the quilt's edge, cut them off.
"""

from math import hypot
from random import Random

from .blocks import BLOCK_NAMES, draft
from .patches import Patch, moved, patch, rectangle


def crazy(width: float, length: float, random: Random) -> list[Patch]:
    """Foundation squares, each of odd-shaped scraps."""
    columns, rows = max(2, round(width / 12)), max(2, round(length / 12))
    patches = []
    for row in range(rows):
        for column in range(columns):
            square = list(rectangle(column * width / columns, row * length / rows, width / columns, length / rows))
            for shape in _split(square, random, 3):
                patches.append(patch(shape, "main", random.randrange(60)))
    return patches


def _split(shape: list, random: Random, times: int) -> list[list]:
    """The convex shape, cut again and again across its longer way."""
    if times == 0:
        return [shape]
    lengths = [hypot(a[0] - b[0], a[1] - b[1]) for a, b in zip(shape, shape[1:] + shape[:1])]
    first = lengths.index(max(lengths))
    second = (first + len(shape) // 2) % len(shape)
    if second == first:
        second = (first + 1) % len(shape)
    first, second = sorted((first, second))
    cut_a, cut_b = random.uniform(0.32, 0.68), random.uniform(0.32, 0.68)

    def between(index, share):
        a, b = shape[index], shape[(index + 1) % len(shape)]
        return (a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share)

    p, q = between(first, cut_a), between(second, cut_b)
    one = [p, *shape[first + 1 : second + 1], q]
    other = [q, *shape[second + 1 :], *shape[: first + 1], p]
    times_one = times - 1 - (random.random() < 0.25 and times == 1)
    return _split(one, random, max(0, times_one)) + _split(other, random, times - 1)


def orphans(width: float, length: float, random: Random) -> list[Patch]:
    """Spare blocks of three sizes, fitted together like a puzzle with plain squares in the gaps."""
    unit_count = max(8, round(width / 4))
    unit = width / unit_count
    rows = max(8, round(length / unit))
    unit_y = length / rows
    taken: set[tuple[int, int]] = set()
    names = [
        name
        for name in BLOCK_NAMES
        if name
        not in (
            "plain",
            "string",
            "rail fence",
            "hourglass",
            "half-square triangles",
            "drunkard's path",
        )
    ]
    random.shuffle(names)
    patches, serial = [], 0
    for row in range(rows):
        for column in range(unit_count):
            if (column, row) in taken:
                continue
            for size in random.choice([[3, 2, 1], [2, 3, 1], [3, 2, 1], [2, 1]]):
                cells = {(column + i, row + j) for i in range(size) for j in range(size)}
                if all(i < unit_count and j < rows for i, j in cells) and not cells & taken:
                    break
            taken |= cells
            name = (
                names[serial % len(names)]
                if size > 1
                else random.choice(["plain", "pinwheel", "hourglass", "four patch"])
            )
            start = random.randrange(60)
            block = [patch(one.points, one.part, one.shade + start, laid_on=one.laid_on) for one in draft(name)]
            patches += moved(block, column * unit, row * unit_y, size * unit, size * unit_y)
            serial += 1
    return patches
