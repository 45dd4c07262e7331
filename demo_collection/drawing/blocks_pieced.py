"""Pieced blocks with straight seams that squared paper does not hold: stars, cabins, paws, houses."""

from math import sqrt

from .blocks_charts import read_chart
from .patches import Patch, goose, lettered, moved, patch, rectangle, turned, turned_point

MIDDLE = (0.5, 0.5)


def quarters(unit: list[Patch]) -> list[Patch]:
    """One unit in each quarter of the block, a quarter turn more each, clockwise."""
    small = moved(unit, 0, 0, 0.5)
    return [one for k in range(4) for one in turned(small, 90 * k)]


def round_about(patches: list[Patch], times: int = 4) -> list[Patch]:
    return [one for k in range(times) for one in turned(patches, 360 / times * k)]


def sawtooth_star() -> list[Patch]:
    side = [lettered(rectangle(0, 0, 0.25, 0.25), "g"), *goose(0.25, 0, 0.5, 0.25, "s", "g", "m")]
    return [lettered(rectangle(0.25, 0.25, 0.5, 0.5), "a"), *round_about(side)]


def evening_star() -> list[Patch]:
    """A sawtooth star with a square turned on its point in the middle."""
    side = [lettered(rectangle(0, 0, 0.25, 0.25), "g"), *goose(0.25, 0, 0.5, 0.25, "s", "g", "m")]
    return [*moved(square_in_a_square(), 0.25, 0.25, 0.5), *round_about(side)]


def square_in_a_square() -> list[Patch]:
    corner = [lettered(((0, 0), (0.5, 0), (0, 0.5)), "n")]
    return [lettered(((0.5, 0), (1, 0.5), (0.5, 1), (0, 0.5)), "a"), *round_about(corner)]


def economy() -> list[Patch]:
    inner = [lettered(((0.25, 0.25), (0.5, 0), (0.75, 0.25)), "g")]
    corner = [lettered(((0, 0), (0.5, 0), (0, 0.5)), "m")]
    return [
        lettered(rectangle(0.25, 0.25, 0.5, 0.5), "a"),
        *round_about(inner),
        *round_about(corner),
    ]


def eight_pointed_star() -> list[Patch]:
    """Eight diamonds; the corner squares have the diamonds' side."""
    side = 1 / (2 + sqrt(2))
    edge = [turned_point((0.5, 0.5 - side), MIDDLE, 45 * k) for k in range(2)]
    tip = (1 - side, 0)
    diamonds = []
    for k in range(8):
        letter = "mn"[k % 2]
        points = (MIDDLE, edge[0], tip, edge[1])
        diamonds.append(lettered((turned_point(p, MIDDLE, 45 * k) for p in points), letter))
    triangle = [lettered(((side, 0), (1 - side, 0), (0.5, 0.5 - side)), "g")]
    corner = [lettered(((0, 0), (side, 0), turned_point((0.5, 0.5 - side), MIDDLE, -45), (0, side)), "g")]
    return [*round_about(triangle), *round_about(corner), *diamonds]


def log_cabin() -> list[Patch]:
    """Four rounds of logs about a centre; the light logs lie at the top and the left."""
    rounds, width = 4, 1 / 9
    low, high = 4 * width, 5 * width
    patches = [patch(rectangle(low, low, width, width), "accent")]
    for turn in range(rounds):
        patches += [
            patch(rectangle(low - width, low, width, high - low), "ground", turn),
            patch(rectangle(low - width, low - width, high - low + width, width), "ground", turn + 1),
            patch(rectangle(high, low - width, width, high - low + width), "main", turn),
            patch(rectangle(low - width, high, high - low + 2 * width, width), "main", turn + 1),
        ]
        low, high = low - width, high + width
    return patches


def courthouse_steps() -> list[Patch]:
    """Logs added on two opposite sides at a time: light above and below, dark on the sides."""
    rounds, width = 4, 1 / 9
    low, high = 4 * width, 5 * width
    patches = [patch(rectangle(low, low, width, width), "accent")]
    for turn in range(rounds):
        patches += [
            patch(rectangle(low, low - width, high - low, width), "ground", turn),
            patch(rectangle(low, high, high - low, width), "ground", turn),
            patch(rectangle(low - width, low - width, width, high - low + 2 * width), "main", turn),
            patch(rectangle(high, low - width, width, high - low + 2 * width), "main", turn),
        ]
        low, high = low - width, high + width
    return patches


def flying_geese() -> list[Patch]:
    up = [one for k in range(4) for one in goose(0, k / 4, 0.5, 0.25, "n", "mnop"[k], "g")]
    return up + turned(up, 180)


def dutchmans_puzzle() -> list[Patch]:
    pair = [*goose(0, 0, 0.5, 1, "e", "m", "g"), *goose(0.5, 0, 0.5, 1, "e", "n", "g")]
    return quarters(pair)


def bears_paw() -> list[Patch]:
    """Four paws of four claws each, bars between them: a block of seven by seven."""
    paw = read_chart(
        r"""
        g   m\g m\g
        g\m .   .
        g\m .   .""".replace(".", "m")
    )
    claws = [one for one in paw if not (len(one.points) == 4 and one.part == "main")]
    pad = lettered(rectangle(1 / 3, 1 / 3, 2 / 3, 2 / 3), "m")
    one_paw = moved([*claws, pad], 0, 0, 3 / 7)
    bar = [lettered(rectangle(3 / 7, 0, 1 / 7, 3 / 7), "g")]
    return [
        lettered(rectangle(3 / 7, 3 / 7, 1 / 7, 1 / 7), "a"),
        *round_about(one_paw),
        *round_about(bar),
    ]


def snowball() -> list[Patch]:
    third = 1 / 3
    octagon = [
        p
        for k in range(4)
        for p in (
            turned_point((third, 0), MIDDLE, 90 * k),
            turned_point((1 - third, 0), MIDDLE, 90 * k),
        )
    ]
    corner = [lettered(((0, 0), (third, 0), (0, third)), "m")]
    return [lettered(octagon, "g"), *round_about(corner)]


def jacobs_ladder() -> list[Patch]:
    ladder = read_chart("m g\ng m")
    upper, lower = read_chart(r"g\n"), read_chart(r"n\g")
    order = [ladder, upper, ladder, lower, ladder, upper, ladder, lower, ladder]
    return [one for k, unit in enumerate(order) for one in moved(unit, k % 3 / 3, k // 3 / 3, 1 / 3)]


def single_irish_chain() -> list[Patch]:
    return read_chart("m g m\ng m g\nm g m")


def double_nine_patch() -> list[Patch]:
    small = read_chart("m g m\ng m g\nm g m")
    plain = [lettered(rectangle(0, 0, 1, 1), "g")]
    return [one for k in range(9) for one in moved(small if k % 2 == 0 else plain, k % 3 / 3, k // 3 / 3, 1 / 3)]


def disappearing_nine_patch() -> list[Patch]:
    unit = [
        lettered(rectangle(0, 0, 2 / 3, 2 / 3), "m"),
        lettered(rectangle(2 / 3, 0, 1 / 3, 2 / 3), "n"),
        lettered(rectangle(0, 2 / 3, 2 / 3, 1 / 3), "o"),
        lettered(rectangle(2 / 3, 2 / 3, 1 / 3, 1 / 3), "a"),
    ]
    small = moved(unit, 0, 0, 0.5)
    return [
        *small,
        *moved(turned(unit, 90), 0.5, 0, 0.5),
        *moved(turned(unit, 180), 0.5, 0.5, 0.5),
        *moved(turned(unit, 270), 0, 0.5, 0.5),
    ]


def plus() -> list[Patch]:
    arm = 1 / 3
    cross = [turned_point(p, MIDDLE, 90 * k) for k in range(4) for p in ((arm, arm), (arm, 0), (2 * arm, 0))]
    return [lettered(cross, "m"), *round_about([lettered(rectangle(0, 0, arm, arm), "g")])]


def spool() -> list[Patch]:
    in_, out = 1 / 4, 3 / 4
    wood = [
        lettered(((0, 0), (1, 0), (out, in_), (in_, in_)), "a"),
        lettered(((0, 1), (1, 1), (out, out), (in_, out)), "a"),
    ]
    beside = [
        lettered(((0, 0), (in_, in_), (in_, out), (0, 1)), "g"),
        lettered(((1, 0), (out, in_), (out, out), (1, 1)), "g"),
    ]
    return [lettered(rectangle(in_, in_, 0.5, 0.5), "m"), *wood, *beside]


def kaleidoscope() -> list[Patch]:
    out = 1 - 1 / sqrt(2)
    side = [
        lettered((MIDDLE, (out, 0), (1 - out, 0)), "m"),
        lettered((MIDDLE, (1 - out, 0), (1, out)), "g"),
        lettered(((1 - out, 0), (1, 0), (1, out)), "a"),
    ]
    return round_about(side)


def windmill() -> list[Patch]:
    sail = [
        lettered(((0, 0), (1, 0), (1, 0.5), (0.5, 0.5)), "m"),
        lettered(((0, 0), (0.5, 0.5), (1, 0.5), (1, 1), (0, 1)), "g"),
    ]
    return quarters(sail)


def string() -> list[Patch]:
    """Strips of odd widths sewn across the diagonal of a square, trimmed."""
    cuts = [0, 0.26, 0.44, 0.56, 0.74, 1]
    order = [("main", 0), ("main", 1), ("accent", 0), ("main", 2), ("main", 3)]
    return [patch(_diagonal_band(2 * a, 2 * b), part, shade) for a, b, (part, shade) in zip(cuts, cuts[1:], order)]


def _diagonal_band(low: float, high: float) -> list[tuple[float, float]]:
    """The part of the unit square where low <= x + y <= high."""

    def crossing(total: float):
        return ((total, 0), (0, total)) if total <= 1 else ((1, total - 1), (total - 1, 1))

    (a, b), (c, d) = crossing(low), crossing(high)
    points = [b, a] + ([(1, 0)] if low < 1 < high else []) + [c, d] + ([(0, 1)] if low < 1 < high else [])
    return points


def pine_tree() -> list[Patch]:
    tiers = [(0.06, 0.34, 0.17), (0.24, 0.56, 0.27), (0.44, 0.80, 0.38)]
    ground = [
        lettered(rectangle(0, 0, 1, 1), "g"),
        lettered(rectangle(0.44, 0.80, 0.12, 0.14), "a"),
    ]
    return (
        ground
        + [
            lettered(((0.5, top), (0.5 + half, foot), (0.5 - half, foot)), "mno"[k])
            for k, (top, foot, half) in enumerate(tiers)
        ][::-1]
    )


def schoolhouse() -> list[Patch]:
    wall, dark = "m", "a"
    return [
        lettered(rectangle(0, 0, 1, 1), "g"),
        lettered(rectangle(0.20, 0.05, 0.08, 0.15), wall),
        lettered(rectangle(0.72, 0.05, 0.08, 0.15), wall),
        lettered(((0.24, 0.20), (0.40, 0.44), (0.06, 0.44)), wall),
        lettered(((0.28, 0.20), (0.82, 0.20), (0.95, 0.44), (0.44, 0.44)), dark),
        lettered(rectangle(0.09, 0.47, 0.31, 0.47), wall),
        lettered(rectangle(0.19, 0.58, 0.11, 0.36), "g"),
        lettered(rectangle(0.44, 0.47, 0.48, 0.47), wall),
        lettered(rectangle(0.51, 0.58, 0.12, 0.20), "g"),
        lettered(rectangle(0.73, 0.58, 0.12, 0.20), "g"),
    ]


def monkey_wrench() -> list[Patch]:
    """Triangles added round a four patch, round after round, in two colours that chase each other."""
    patches = moved(read_chart("m g\ng m"), 0.375, 0.375, 0.25)
    ring = [(0.375, 0.375), (0.625, 0.375), (0.625, 0.625), (0.375, 0.625)]
    for step in range(4):
        outer = []
        for a, b in zip(ring, ring[1:] + ring[:1]):
            mid = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
            normal = (mid[0] - 0.5, mid[1] - 0.5)
            outer.append((mid[0] + normal[0], mid[1] + normal[1]))
        for k in range(4):
            patches.append(lettered((ring[k], ring[(k + 1) % 4], outer[k]), "mg"[(k + (step + 1) // 2) % 2]))
        ring = outer
        if step % 2 == 0:
            ring = ring[-1:] + ring[:-1]
    return patches


def crossroads() -> list[Patch]:
    corner = [lettered(rectangle(0, 0, 0.375, 0.375), "g")]
    arm = [
        *goose(0.375, 0, 0.25, 0.1875, "n", "m", "g"),
        *goose(0.375, 0.1875, 0.25, 0.1875, "n", "n", "g"),
    ]
    return [
        lettered(rectangle(0.375, 0.375, 0.25, 0.25), "a"),
        *round_about(corner),
        *round_about(arm),
    ]


def basket() -> list[Patch]:
    """A basket standing on its corner: cake stand, of five by five."""
    u = 1 / 5
    top = [one for k in range(1, 4) for one in moved(read_chart(r"m\g"), k * u, 0, u)]
    left = [one for k in range(1, 4) for one in moved(read_chart(r"g\m"), 0, k * u, u)]
    return [
        lettered(rectangle(0, 0, 1, 1), "g"),
        *top,
        *left,
        lettered(((u, u), (4 * u, u), (u, 4 * u)), "a"),
        lettered(((4 * u, u), (4 * u, 4 * u), (u, 4 * u)), "m"),
        lettered(((4 * u, 3 * u), (1, 3 * u), (4 * u, 4 * u)), "m"),
        lettered(((3 * u, 4 * u), (4 * u, 4 * u), (3 * u, 1)), "m"),
    ]


def maple_leaf() -> list[Patch]:
    leaf = read_chart(
        r"""
        m\g m\g g
        m   m   g/m
        g   m   g/m""".replace("g/m", r"m\g")
    )
    stem = lettered(((0, 0.94), (0.06, 1), (0.333, 0.727), (0.333, 0.667), (0.273, 0.667)), "m")
    return [*leaf, stem]


def plain() -> list[Patch]:
    return [lettered(rectangle(0, 0, 1, 1), "s")]
