"""Quilts that are one design from edge to edge, drafted in inches over the space within the borders.

Each function takes the space's width and length and a source of chance, and gives patches. They may
reach over the edges: borders, or the quilt's edge, cut them off.
"""

from collections.abc import Callable
from math import ceil, cos, hypot, pi, sin, sqrt
from random import Random

from .blocks import BLOCK_NAMES, draft
from .blocks_applique import heart_shape
from .blocks_curved import mariners_compass
from .patches import Patch, arc, circle, curve, goose, lettered, moved, patch, rectangle, turned, turned_point

Drafter = Callable[[float, float, Random], list[Patch]]


def lone_star(width: float, length: float, random: Random) -> list[Patch]:
    """Eight large diamonds of small ones, coloured in rings from the middle."""
    span, count = min(width, length) * .985, 8
    middle = (width / 2, length / 2)
    side = span / (2 + sqrt(2)) / count
    patches = [patch(rectangle(0, 0, width, length), "ground")]
    corner = span / (2 + sqrt(2))
    for k in range(4):
        patches += turned([patch(rectangle(middle[0] + span / 2 - corner, middle[1] - span / 2, corner, corner), "ground")], 90 * k, middle)
        patches += turned([patch(((middle[0] - span / 2 + corner, middle[1] - span / 2),
                                  (middle[0] + span / 2 - corner, middle[1] - span / 2),
                                  (middle[0], middle[1] - span / 2 + corner / sqrt(2) * 1)), "ground")], 90 * k, middle)
    for k in range(8):
        ax, ay = cos(pi * k / 4) * side, sin(pi * k / 4) * side
        bx, by = cos(pi * (k + 1) / 4) * side, sin(pi * (k + 1) / 4) * side
        for i in range(count):
            for j in range(count):
                x, y = middle[0] + ax * i + bx * j, middle[1] + ay * i + by * j
                patches.append(patch(((x, y), (x + ax, y + ay), (x + ax + bx, y + ay + by), (x + bx, y + by)), "main", i + j))
    return patches


def tumbling_blocks(width: float, length: float, random: Random) -> list[Patch]:
    """Hexagons of three diamonds: a light one on top, a middle one and a dark one beneath."""
    side = max(2.2, min(width, length) / 18)
    step_x, step_y = side * sqrt(3), side * 1.5
    patches = []
    for row in range(-1, ceil(length / step_y) + 2):
        for column in range(-1, ceil(width / step_x) + 2):
            x, y = (column + (.5 if row % 2 else 0)) * step_x, row * step_y
            h = step_x / 2
            shade = random.randrange(60)
            patches += [
                patch(((x, y), (x + h, y - side / 2), (x, y - side), (x - h, y - side / 2)), "ground", shade),
                patch(((x, y), (x - h, y - side / 2), (x - h, y + side / 2), (x, y + side)), "main", shade),
                patch(((x, y), (x + h, y - side / 2), (x + h, y + side / 2), (x, y + side)), "accent", shade),
            ]
    return patches


def _hexagon(x: float, y: float, side: float) -> list[tuple[float, float]]:
    return [(x + side * sin(pi * k / 3), y - side * cos(pi * k / 3)) for k in range(6)]


def _hexagons(width: float, length: float, side: float):
    """Centres of hexagons standing on a point, with axial coordinates (q, r)."""
    step_x, step_y = side * sqrt(3), side * 1.5
    for row in range(-1, ceil(length / step_y) + 2):
        for column in range(-2, ceil(width / step_x) + 2):
            x, y = (column + (.5 if row % 2 else 0)) * step_x, row * step_y
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
        patch(rectangle(column * width / columns, row * length / rows, width / columns, length / rows), "main",
              round(abs(column - (columns - 1) / 2) + abs(row - (rows - 1) / 2)))
        for row in range(rows) for column in range(columns)
    ]


def _fitting(width: float, length: float, wanted: float) -> float:
    """A side near the wanted one which divides the width into an odd number."""
    count = max(3, round(width / wanted))
    return width / (count + 1 - count % 2)


def double_wedding_ring(width: float, length: float, random: Random) -> list[Patch]:
    """Interlocked rings of pieced arcs; where four meet are pairs of squares."""
    columns = max(2, round(width / 15))
    pitch = width / (columns + .42)
    rows = max(2, round((length / pitch) - .42))
    outer = pitch / sqrt(2)
    inner = outer * .79
    patches = [patch(rectangle(0, 0, width, length), "ground")]
    offset_x, offset_y = (width - (columns - 1) * pitch) / 2, (length - (rows - 1) * pitch) / 2
    lenses = [(c, r, 0) for c in range(-1, columns) for r in range(rows)] + [(c, r, 90) for c in range(columns) for r in range(-1, rows)]
    for column, row, turn in lenses:
        first = (offset_x + column * pitch, offset_y + row * pitch)
        patches += _lens(first, turn, pitch, outer, inner, column * 3 + row * 5)
    return patches


def _lens(first, turn: float, pitch: float, outer: float, inner: float, start: int) -> list[Patch]:
    """What two neighbouring rings share: a melon between two arcs of six wedges, and the squares at the ends."""
    from math import acos, atan2, degrees
    second = turned_point((first[0] + pitch, first[1]), first, turn)
    end = degrees(acos((outer ** 2 + pitch ** 2 - inner ** 2) / (2 * outer * pitch)))
    end_in = degrees(atan2(sqrt(inner ** 2 - pitch ** 2 / 4), pitch / 2))
    patches = []
    melon = [*arc(first, inner, turn - end_in, turn + end_in, 12), *arc(second, inner, turn + 180 - end_in, turn + 180 + end_in, 12)[1:-1]]
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


def bricks(width: float, length: float, random: Random) -> list[Patch]:
    rows = max(6, round(length / 3.5))
    height = length / rows
    brick = height * 2
    return [
        patch(rectangle((column - (.5 if row % 2 else 0)) * brick, row * height, brick, height), "main", random.randrange(60))
        for row in range(rows) for column in range(ceil(width / brick) + 1)
    ]


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
    widths = [random.choice([.6, .8, 1, 1.2, 1.5]) for _ in range(count)]
    scale, x, patches = width / sum(widths), 0.0, []
    for k, share in enumerate(widths):
        patches.append(patch(rectangle(x, 0, share * scale, length), "main", k))
        x += share * scale
    return patches


def bars(width: float, length: float, random: Random) -> list[Patch]:
    """Seven wide bars, turn and turn about."""
    return [patch(rectangle(width * k / 7, 0, width / 7, length), *(("main", 0) if k % 2 == 0 else ("main", 1))) for k in range(7)]


def bargello(width: float, length: float, random: Random) -> list[Patch]:
    """Columns of one strip set, each shifted: narrow where the wave is steep."""
    patches, x, phase = [], 0.0, 0.0
    height = max(1.5, length / 34)
    while x < width:
        slope = cos(phase)
        column = max(.9, (1 - abs(slope) * .72) * 3.4)
        shift = sin(phase) * height * 6
        for row in range(-9, ceil(length / height) + 9):
            patches.append(patch(rectangle(x, row * height + shift, column, height), "main", row + 900))
        x += column
        phase += .30
    return patches


def postage_stamp(width: float, length: float, random: Random) -> list[Patch]:
    side = max(1.75, min(width, length) / 30)
    columns, rows = round(width / side), round(length / side)
    return [
        patch(rectangle(column * width / columns, row * length / rows, width / columns, length / rows), "main", random.randrange(60))
        for row in range(rows) for column in range(columns)
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
            points = ((x, foot), (x + side, foot), (x + side / 2, top)) if up else ((x, top), (x + side, top), (x + side / 2, foot))
            patches.append(patch(points, "main" if up else "ground", random.randrange(60)))
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


def centre_diamond(width: float, length: float, random: Random) -> list[Patch]:
    """A square on its point in a frame, with the plain cloths of an old farm quilt."""
    side = min(width, length)
    left, top = (width - side) / 2, (length - side) / 2
    band = side * .07
    patches = [
        patch(rectangle(0, 0, width, length), "main", 0),
        patch(((width / 2, top), (left + side, length / 2), (width / 2, top + side), (left, length / 2)), "main", 1),
    ]
    inner = side / 2 - band * sqrt(2)
    patches.append(patch(((width / 2, length / 2 - inner), (width / 2 + inner, length / 2), (width / 2, length / 2 + inner),
                          (width / 2 - inner, length / 2)), "accent", 0))
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
    rings = [("sawtooth", .055), ("plain", .05), ("squares", .07), ("plain", .06), ("geese", .085)]
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
        (inside_w - 2 * wide, "n", (depth + wide, depth)), (inside_w - 2 * wide, "s", (depth + wide, length - depth - wide)),
        (inside_l - 2 * wide, "w", (depth, depth + wide)), (inside_l - 2 * wide, "e", (width - depth - wide, depth + wide)),
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
                patches.append(patch(rectangle(x, y, box_w, box_h), *(("main", k + rank) if k % 2 else ("accent", 0))))
            elif kind == "geese":
                patches += [patch(one.points, one.part, k + rank) for one in goose(x, y, box_w, box_h, run, "m", "g")]
            else:
                a, b, c, d = rectangle(x, y, box_w, box_h)
                low, high = ((a, c, d), (a, b, c)) if run in "ns" else ((a, b, c), (a, c, d))
                patches += [patch(low, "accent" if run == "n" else "main", rank), patch(high, "ground")]
                if run != "n":
                    patches[-2] = patch(low, "accent", 0)
    for x, y in ((depth, depth), (width - depth - wide, depth), (depth, length - depth - wide), (width - depth - wide, length - depth - wide)):
        patches.append(patch(rectangle(x, y, wide, wide), "accent" if kind == "plain" else "main", rank + 1))
    return patches


def whole_cloth(width: float, length: float, random: Random) -> list[Patch]:
    return [patch(rectangle(0, 0, width, length), "ground")]


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
    cut_a, cut_b = random.uniform(.32, .68), random.uniform(.32, .68)

    def between(index, share):
        a, b = shape[index], shape[(index + 1) % len(shape)]
        return (a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share)
    p, q = between(first, cut_a), between(second, cut_b)
    one = [p, *shape[first + 1:second + 1], q]
    other = [q, *shape[second + 1:], *shape[:first + 1], p]
    times_one = times - 1 - (random.random() < .25 and times == 1)
    return _split(one, random, max(0, times_one)) + _split(other, random, times - 1)


def yo_yo(width: float, length: float, random: Random) -> list[Patch]:
    """Gathered rounds of scraps, tacked edge to edge over a ground."""
    side = _fitting(width, length, 3.2)
    columns, rows = round(width / side), max(1, round(length / side))
    patches = [patch(rectangle(0, 0, width, length), "ground")]
    for row in range(rows):
        for column in range(columns):
            x, y = (column + .5) * width / columns, (row + .5) * length / rows
            shade = random.randrange(60)
            patches.append(patch(circle((x, y), side * .5, 22), "main", shade, laid_on=True))
            pleats = [(x + side * (.11 if k % 2 else .17) * cos(pi * k / 9), y + side * (.11 if k % 2 else .17) * sin(pi * k / 9)) for k in range(18)]
            patches.append(patch(pleats, "main", shade + 1, laid_on=True))
    return patches


def hills(width: float, length: float, random: Random) -> list[Patch]:
    """An art quilt: layers of land from the sky to the foreground, the main colours in order."""
    layers = 9
    patches = [patch(rectangle(0, 0, width, length), "main", 0)]
    sun = (width * random.uniform(.6, .78), length * .2)
    patches.append(patch(circle(sun, width * .09, 40), "accent", 0, laid_on=True))
    for layer in range(1, layers):
        base = length * (.22 + .74 * (layer / layers) ** 1.05)
        height = length * (.075 - .004 * layer)
        waves = [(random.uniform(.6, 1.6), random.uniform(0, 6), random.uniform(.5, 1)) for _ in range(3)]
        top = []
        for k in range(41):
            x = width * k / 40
            y = base - height * sum(weight * sin(2 * pi * number * x / width + phase) for number, phase, weight in waves) / 1.5
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
            patches += moved(_emblem(emblems[serial % len(emblems)], serial), x + (block_w - side) / 2, y + (block_h - side) / 2, side)
    return patches


def _emblem(kind: str, serial: int) -> list[Patch]:
    """A print on a shirt, in ground or accent colour."""
    part, shade = ("ground", 0) if serial % 2 else ("accent", serial // 2)
    middle = (.5, .5)
    shapes = {
        "star": [[turned_point((.5, .5 - (.3 if k % 2 == 0 else .13)), middle, 36 * k) for k in range(10)]],
        "number": [rectangle(.28, .26, .10, .48), rectangle(.22, .26, .10, .09), rectangle(.52, .26, .26, .09), rectangle(.69, .26, .09, .25),
                   rectangle(.52, .46, .26, .08), rectangle(.52, .46, .09, .28), rectangle(.52, .66, .26, .09)],
        "stripes": [rectangle(0, .3 + .14 * k, 1, .07) for k in range(3)],
        "sun": [circle(middle, .13, 24)] + [[turned_point(p, middle, 30 * k) for p in ((.475, .32), (.525, .32), (.5, .2))] for k in range(12)],
        "ring": [[*arc(middle, .29, 0, 360, 40), *reversed(arc(middle, .22, 0, 360, 40))], rectangle(.32, .46, .36, .08)],
        "mountain": [((.16, .68), (.40, .28), (.52, .48), (.60, .38), (.84, .68)), rectangle(.16, .72, .68, .04)],
        "heart": [heart_shape(middle, .5)],
        "anchor": [rectangle(.475, .30, .05, .42), rectangle(.38, .36, .24, .045), [*arc(middle, .27, 20, 160, 20), *reversed(arc(middle, .21, 20, 160, 20))],
                   [*arc((.5, .25), .065, 0, 360, 20), *reversed(arc((.5, .25), .03, 0, 360, 20))]],
    }
    return [patch(shape, part, shade) for shape in shapes[kind]]


def orphans(width: float, length: float, random: Random) -> list[Patch]:
    """Spare blocks of three sizes, fitted together like a puzzle with plain squares in the gaps."""
    unit_count = max(8, round(width / 4))
    unit = width / unit_count
    rows = max(8, round(length / unit))
    unit_y = length / rows
    taken: set[tuple[int, int]] = set()
    names = [name for name in BLOCK_NAMES if name not in ("plain", "string", "rail fence", "hourglass", "half-square triangles", "drunkard's path")]
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
            name = names[serial % len(names)] if size > 1 else random.choice(["plain", "pinwheel", "hourglass", "four patch"])
            start = random.randrange(60)
            block = [patch(one.points, one.part, one.shade + start, laid_on=one.laid_on) for one in draft(name)]
            patches += moved(block, column * unit, row * unit_y, size * unit, size * unit_y)
            serial += 1
    return patches


WHOLE_QUILTS: dict[str, Drafter] = {
    "lone star": lone_star, "tumbling blocks": tumbling_blocks, "grandmother's flower garden": grandmothers_flower_garden,
    "hexagons": hexagons, "trip around the world": trip_around_the_world, "double wedding ring": double_wedding_ring,
    "bricks": bricks, "coins": coins, "strips": strips, "bars": bars, "bargello": bargello, "postage stamp": postage_stamp,
    "thousand pyramids": thousand_pyramids, "geese in flight": geese_in_flight, "centre diamond": centre_diamond,
    "medallion": medallion, "whole cloth": whole_cloth, "crazy": crazy, "yo-yo": yo_yo, "hills": hills, "t-shirt": t_shirt,
    "orphans": orphans,
}
