"""Appliqué blocks: shapes sewn upon a ground square."""

from math import cos, pi, sin

from .patches import Patch, arc, circle, curve, lettered, rectangle, turned, turned_point

MIDDLE = (0.5, 0.5)
GROUND = lettered(rectangle(0, 0, 1, 1), "g")


def laid(points, letter: str) -> Patch:
    return lettered(points, letter, laid_on=True)


def stem(points: list[tuple[float, float]], width: float = 0.028) -> Patch:
    """A bias stem along the points."""
    left, right = [], []
    for i, (x, y) in enumerate(points):
        (ax, ay), (bx, by) = points[max(0, i - 1)], points[min(len(points) - 1, i + 1)]
        length = ((bx - ax) ** 2 + (by - ay) ** 2) ** 0.5
        nx, ny = (ay - by) / length * width / 2, (bx - ax) / length * width / 2
        left.append((x + nx, y + ny))
        right.append((x - nx, y - ny))
    return laid([*left, *reversed(right)], "l")


def leaf(base: tuple[float, float], angle: float, length: float, letter: str = "l", fatness: float = 0.3) -> Patch:
    """A pointed leaf from its base, `angle` degrees clockwise from straight up."""
    half = [(t, fatness * sin(pi * t**0.8)) for t in (0, 0.15, 0.3, 0.45, 0.6, 0.75, 0.88, 1)]
    outline = [(x * length, -y * length / 2 * 2 * 0.5) for x, y in half] + [
        (x * length, y * length * 0.5) for x, y in half[-2:0:-1]
    ]
    return laid((turned_point((base[0] + x, base[1] + y), base, angle - 90) for x, y in outline), letter)


def scalloped(centre: tuple[float, float], radius: float, petals: int, depth: float, letter: str) -> Patch:
    points = []
    for step in range(petals * 8):
        angle = 2 * pi * step / (petals * 8)
        reach = radius * (1 - depth * (1 - abs(sin(angle * petals / 2)) ** 0.7))
        points.append((centre[0] + reach * cos(angle), centre[1] + reach * sin(angle)))
    return laid(points, letter)


def heart_shape(centre: tuple[float, float], size: float) -> list[tuple[float, float]]:
    points = []
    for step in range(40):
        t = 2 * pi * step / 40
        x = 16 * sin(t) ** 3
        y = 13 * cos(t) - 5 * cos(2 * t) - 2 * cos(3 * t) - cos(4 * t)
        points.append((centre[0] + x / 34 * size, centre[1] - y / 34 * size - size * 0.06))
    return points


def heart() -> list[Patch]:
    return [GROUND, laid(heart_shape(MIDDLE, 0.78), "m")]


def tulip() -> list[Patch]:
    petals = curve(
        [
            (0.5, 0.5),
            (0.37, 0.44),
            (0.34, 0.22),
            (0.43, 0.30),
            (0.5, 0.16),
            (0.57, 0.30),
            (0.66, 0.22),
            (0.63, 0.44),
        ],
        5,
    )
    heart_of_it = curve([(0.5, 0.48), (0.45, 0.38), (0.5, 0.22), (0.55, 0.38)], 5)
    return [
        GROUND,
        stem([(0.5, 0.46), (0.5, 0.62), (0.5, 0.78), (0.5, 0.94)]),
        leaf((0.5, 0.92), -32, 0.40),
        leaf((0.5, 0.92), 32, 0.40),
        laid(petals, "m"),
        laid(heart_of_it, "a"),
    ]


def leaf_wreath() -> list[Patch]:
    ring = [laid([*arc(MIDDLE, 0.315, 0, 360, 48), *reversed(arc(MIDDLE, 0.29, 0, 360, 48))], "l")]
    leaves = []
    for k in range(16):
        angle = 360 / 16 * k
        base = turned_point((0.5, 0.5 - 0.31), MIDDLE, angle)
        leaves.append(leaf(base, angle + (38 if k % 2 else 142), 0.17, "l" if k % 2 else "m", 0.36))
    berries = [laid(circle(turned_point((0.5, 0.2), MIDDLE, 45 * k + 11), 0.03, 16), "a") for k in range(8)]
    return [GROUND, *ring, *leaves, *berries]


def oak_leaf() -> list[Patch]:
    """Four lobed leaves crossed: oak leaf and reel."""
    half = [
        (0, 0),
        (0.035, 0.06),
        (0.09, 0.10),
        (0.06, 0.15),
        (0.12, 0.20),
        (0.075, 0.26),
        (0.11, 0.33),
        (0.05, 0.38),
        (0.0, 0.45),
    ]
    outline = curve([(0.5 + x, 0.5 - y) for x, y in half] + [(0.5 - x, 0.5 - y) for x, y in half[-2:0:-1]], 4)
    leaves = [turned([laid(outline, "m")], 45 + 90 * k)[0] for k in range(4)]
    reel = curve(
        [turned_point(p, MIDDLE, 90 * k) for k in range(4) for p in ((0.44, 0.17), (0.56, 0.17), (0.57, 0.43))],
        5,
    )
    return [GROUND, *leaves, laid(reel, "n"), laid(circle(MIDDLE, 0.055, 20), "a")]


def rose() -> list[Patch]:
    """A full rose with buds: rose of the old red and green quilts."""
    stems = [
        one
        for k in range(4)
        for one in turned(
            [
                stem([(0.5, 0.5), (0.53, 0.3), (0.5, 0.16)]),
                leaf((0.52, 0.27), 62, 0.15, "l", 0.42),
                leaf((0.515, 0.31), -58, 0.15, "l", 0.42),
                laid(
                    curve(
                        [
                            (0.5, 0.19),
                            (0.45, 0.13),
                            (0.47, 0.07),
                            (0.5, 0.1),
                            (0.53, 0.07),
                            (0.55, 0.13),
                        ],
                        4,
                    ),
                    "m",
                ),
            ],
            90 * k,
        )
    ]
    corners = [one for k in range(4) for one in turned([leaf((0.55, 0.45), 45, 0.27, "l", 0.34)], 90 * k)]
    return [
        GROUND,
        *stems,
        *corners,
        scalloped(MIDDLE, 0.20, 8, 0.22, "m"),
        scalloped(MIDDLE, 0.135, 8, 0.22, "n"),
        laid(circle(MIDDLE, 0.055, 20), "a"),
    ]


def flower_pot() -> list[Patch]:
    pot = [
        laid([(0.33, 0.70), (0.67, 0.70), (0.61, 0.95), (0.39, 0.95)], "a"),
        laid(rectangle(0.30, 0.65, 0.40, 0.065), "b"),
    ]
    stems = [
        stem([(0.5, 0.66), (0.5, 0.5), (0.5, 0.3)]),
        stem([(0.46, 0.66), (0.36, 0.52), (0.27, 0.42)]),
        stem([(0.54, 0.66), (0.64, 0.52), (0.73, 0.42)]),
    ]
    leaves = [
        leaf((0.5, 0.55), -48, 0.17),
        leaf((0.5, 0.50), 48, 0.17),
        leaf((0.37, 0.54), -100, 0.14),
        leaf((0.63, 0.54), 100, 0.14),
    ]
    flowers = []
    for (x, y), letter, size in (
        ((0.5, 0.22), "m", 0.14),
        ((0.25, 0.36), "n", 0.115),
        ((0.75, 0.36), "n", 0.115),
    ):
        flowers += [
            scalloped((x, y), size, 6, 0.3, letter),
            laid(circle((x, y), size * 0.34, 16), "o"),
        ]
    return [GROUND, *stems, *leaves, *pot, *flowers]


def star() -> list[Patch]:
    points = [turned_point((0.5, 0.5 - (0.42 if k % 2 == 0 else 0.19)), MIDDLE, 36 * k) for k in range(10)]
    return [GROUND, laid(points, "m")]


def fish() -> list[Patch]:
    body = curve(
        [
            (0.16, 0.5),
            (0.30, 0.33),
            (0.55, 0.30),
            (0.74, 0.45),
            (0.76, 0.5),
            (0.74, 0.55),
            (0.55, 0.70),
            (0.30, 0.67),
        ],
        5,
    )
    tail = curve([(0.70, 0.5), (0.90, 0.30), (0.86, 0.5), (0.90, 0.70)], 4)
    gill = laid([*arc((0.26, 0.5), 0.16, -50, 50), *reversed(arc((0.24, 0.5), 0.15, -50, 50))], "a")
    fin = leaf((0.46, 0.54), 105, 0.2, "a", 0.5)
    return [
        GROUND,
        laid(tail, "n"),
        laid(body, "m"),
        gill,
        fin,
        laid(circle((0.27, 0.45), 0.026, 14), "g"),
    ]


def boat() -> list[Patch]:
    sea = lettered(((0, 0.78), (0.25, 0.75), (0.5, 0.79), (0.75, 0.75), (1, 0.78), (1, 1), (0, 1)), "n")
    hull = laid([(0.14, 0.64), (0.86, 0.64), (0.72, 0.82), (0.28, 0.82)], "a")
    return [
        GROUND,
        sea,
        hull,
        laid(rectangle(0.485, 0.13, 0.022, 0.51), "b"),
        laid([(0.52, 0.15), (0.52, 0.60), (0.82, 0.60)], "m"),
        laid([(0.47, 0.24), (0.47, 0.60), (0.22, 0.60)], "o"),
    ]


def moon() -> list[Patch]:
    crescent = [
        *arc((0.52, 0.5), 0.34, 50, 310, 30),
        *reversed(arc((0.63, 0.5), 0.275, 62, 298, 30)),
    ]
    stars = []
    for x, y, size in ((0.72, 0.30, 0.09), (0.80, 0.62, 0.07), (0.62, 0.54, 0.06)):
        stars.append(
            laid(
                [turned_point((x, y - (size if k % 2 == 0 else size * 0.45)), (x, y), 36 * k) for k in range(10)],
                "a",
            )
        )
    return [GROUND, laid(crescent, "m"), *stars]


def blossom(size: float = 0.40) -> list[Patch]:
    petals = [
        turned(
            [
                laid(
                    curve(
                        [
                            (0.5, 0.5),
                            (0.40, 0.36),
                            (0.42, 0.5 - size),
                            (0.5, 0.5 - size - 0.02),
                            (0.58, 0.5 - size),
                            (0.60, 0.36),
                        ],
                        5,
                    ),
                    "m",
                )
            ],
            72 * k,
        )[0]
        for k in range(5)
    ]
    return [GROUND, *petals, laid(circle(MIDDLE, 0.08, 20), "a")]
