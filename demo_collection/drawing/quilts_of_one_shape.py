"""Quilts of one shape, or a few, over and over: squares, bricks, triangles, hexagons, rounds.

Drafted in inches over the space within the borders, whose width and length are given. Patches may
reach over the edges: borders, or the quilt's edge, cut them off.
"""

from math import ceil, cos, pi, sin, sqrt
from random import Random

from .patches import Patch, circle, patch, rectangle


def tumbling_blocks(width: float, length: float, random: Random) -> list[Patch]:
    """Hexagons of three diamonds: a light one on top, a middle one and a dark one beneath."""
    side = max(2.2, min(width, length) / 18)
    step_x, step_y = side * sqrt(3), side * 1.5
    patches = []
    for row in range(-1, ceil(length / step_y) + 2):
        for column in range(-1, ceil(width / step_x) + 2):
            x, y = (column + (0.5 if row % 2 else 0)) * step_x, row * step_y
            h = step_x / 2
            shade = random.randrange(60)
            patches += [
                patch(
                    ((x, y), (x + h, y - side / 2), (x, y - side), (x - h, y - side / 2)),
                    "ground",
                    shade,
                ),
                patch(
                    ((x, y), (x - h, y - side / 2), (x - h, y + side / 2), (x, y + side)),
                    "main",
                    shade,
                ),
                patch(
                    ((x, y), (x + h, y - side / 2), (x + h, y + side / 2), (x, y + side)),
                    "accent",
                    shade,
                ),
            ]
    return patches


def _hexagon(x: float, y: float, side: float) -> list[tuple[float, float]]:
    return [(x + side * sin(pi * k / 3), y - side * cos(pi * k / 3)) for k in range(6)]


def _hexagons(width: float, length: float, side: float):
    """Centres of hexagons standing on a point, with axial coordinates (q, r)."""
    step_x, step_y = side * sqrt(3), side * 1.5
    for row in range(-1, ceil(length / step_y) + 2):
        for column in range(-2, ceil(width / step_x) + 2):
            x, y = (column + (0.5 if row % 2 else 0)) * step_x, row * step_y
            yield column - (row - row % 2) // 2, row, x, y


def grandmothers_flower_garden(width: float, length: float, random: Random) -> list[Patch]:
    """Rosettes of a centre, a ring of six and a ring of twelve, with a path of ground between them.

    A path one hexagon wide lies between neighbours.
    """
    side = max(1.25, min(width, length) / 42)
    patches = []
    flowers: dict[tuple[int, int], int] = {}
    for q, r, x, y in _hexagons(width, length, side):
        m, n, distance = _nearest_rosette(q, r)
        if distance == 0:
            patches.append(patch(_hexagon(x, y, side), "accent", m + 2 * n))
        elif distance <= 2:
            key = (m, n)
            if key not in flowers:
                flowers[key] = random.randrange(100)
            patches.append(patch(_hexagon(x, y, side), "main", flowers[key] + (distance - 1)))
        else:
            patches.append(patch(_hexagon(x, y, side), "ground"))
    return patches


def _nearest_rosette(q: int, r: int) -> tuple[int, int, int]:
    """The rosette (m, n) whose middle is nearest, and how many hexagons away it is.

    Middles are m * (3, 3) + n * (-3, 6) in axial coordinates, six hexagons from middle to middle.
    """
    best = None
    m0, n0 = round((6 * q + 3 * r) / 27), round((3 * r - 3 * q) / 27)
    for m in range(m0 - 1, m0 + 2):
        for n in range(n0 - 1, n0 + 2):
            dq, dr = q - (3 * m - 3 * n), r - (3 * m + 6 * n)
            distance = max(abs(dq), abs(dr), abs(dq + dr))
            if best is None or distance < best[2]:
                best = (m, n, distance)
    return best


def hexagons(width: float, length: float, random: Random) -> list[Patch]:
    side = max(2, min(width, length) / 20)
    return [patch(_hexagon(x, y, side), "main", random.randrange(60)) for _, _, x, y in _hexagons(width, length, side)]


def trip_around_the_world(width: float, length: float, random: Random) -> list[Patch]:
    """Squares in rings about the middle one."""
    side = _fitting(width, length, 3)
    columns, rows = round(width / side), round(length / side)
    return [
        patch(
            rectangle(column * width / columns, row * length / rows, width / columns, length / rows),
            "main",
            round(abs(column - (columns - 1) / 2) + abs(row - (rows - 1) / 2)),
        )
        for row in range(rows)
        for column in range(columns)
    ]


def _fitting(width: float, length: float, wanted: float) -> float:
    """A side near the wanted one which divides the width into an odd number."""
    count = max(3, round(width / wanted))
    return width / (count + 1 - count % 2)


def bricks(width: float, length: float, random: Random) -> list[Patch]:
    rows = max(6, round(length / 3.5))
    height = length / rows
    brick = height * 2
    return [
        patch(
            rectangle((column - (0.5 if row % 2 else 0)) * brick, row * height, brick, height),
            "main",
            random.randrange(60),
        )
        for row in range(rows)
        for column in range(ceil(width / brick) + 1)
    ]


def postage_stamp(width: float, length: float, random: Random) -> list[Patch]:
    side = max(1.75, min(width, length) / 30)
    columns, rows = round(width / side), round(length / side)
    return [
        patch(
            rectangle(column * width / columns, row * length / rows, width / columns, length / rows),
            "main",
            random.randrange(60),
        )
        for row in range(rows)
        for column in range(columns)
    ]


def thousand_pyramids(width: float, length: float, random: Random) -> list[Patch]:
    side = max(3.5, width / 14)
    height = side * sqrt(3) / 2
    rows = max(1, round(length / height))
    height = length / rows
    patches = []
    for row in range(rows):
        for k in range(-1, ceil(width / side * 2) + 2):
            x, up = k * side / 2, (k + row) % 2 == 0
            top, foot = row * height, (row + 1) * height
            points = (
                ((x, foot), (x + side, foot), (x + side / 2, top))
                if up
                else ((x, top), (x + side, top), (x + side / 2, foot))
            )
            patches.append(patch(points, "main" if up else "ground", random.randrange(60)))
    return patches


def yo_yo(width: float, length: float, random: Random) -> list[Patch]:
    """Gathered rounds of scraps, tacked edge to edge over a ground."""
    side = _fitting(width, length, 3.2)
    columns, rows = round(width / side), max(1, round(length / side))
    patches = [patch(rectangle(0, 0, width, length), "ground")]
    for row in range(rows):
        for column in range(columns):
            x, y = (column + 0.5) * width / columns, (row + 0.5) * length / rows
            shade = random.randrange(60)
            patches.append(patch(circle((x, y), side * 0.5, 22), "main", shade, laid_on=True))
            pleats = [
                (
                    x + side * (0.11 if k % 2 else 0.17) * cos(pi * k / 9),
                    y + side * (0.11 if k % 2 else 0.17) * sin(pi * k / 9),
                )
                for k in range(18)
            ]
            patches.append(patch(pleats, "main", shade + 1, laid_on=True))
    return patches
