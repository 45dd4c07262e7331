"""Appliqué blocks: shapes sewn upon a ground square."""

from math import cos, pi, sin

from .patches import Patch, arc, circle, curve, lettered, moved, patch, rectangle, turned, turned_point

MIDDLE = (0.5, 0.5)
GROUND = lettered(rectangle(0, 0, 1, 1), "g")


def laid(points, letter: str) -> Patch:
    return lettered(points, letter, laid_on=True)


def stem(points: list[tuple[float, float]], width: float = .028) -> Patch:
    """A bias stem along the points."""
    left, right = [], []
    for i, (x, y) in enumerate(points):
        (ax, ay), (bx, by) = points[max(0, i - 1)], points[min(len(points) - 1, i + 1)]
        length = ((bx - ax) ** 2 + (by - ay) ** 2) ** .5
        nx, ny = (ay - by) / length * width / 2, (bx - ax) / length * width / 2
        left.append((x + nx, y + ny))
        right.append((x - nx, y - ny))
    return laid([*left, *reversed(right)], "l")


def leaf(base: tuple[float, float], angle: float, length: float, letter: str = "l", fatness: float = .3) -> Patch:
    """A pointed leaf from its base, `angle` degrees clockwise from straight up."""
    half = [(t, fatness * sin(pi * t ** .8)) for t in (0, .15, .3, .45, .6, .75, .88, 1)]
    outline = [(x * length, -y * length / 2 * 2 * .5) for x, y in half] + [(x * length, y * length * .5) for x, y in half[-2:0:-1]]
    return laid((turned_point((base[0] + x, base[1] + y), base, angle - 90) for x, y in outline), letter)


def scalloped(centre: tuple[float, float], radius: float, petals: int, depth: float, letter: str) -> Patch:
    points = []
    for step in range(petals * 8):
        angle = 2 * pi * step / (petals * 8)
        reach = radius * (1 - depth * (1 - abs(sin(angle * petals / 2)) ** .7))
        points.append((centre[0] + reach * cos(angle), centre[1] + reach * sin(angle)))
    return laid(points, letter)


def heart_shape(centre: tuple[float, float], size: float) -> list[tuple[float, float]]:
    points = []
    for step in range(40):
        t = 2 * pi * step / 40
        x = 16 * sin(t) ** 3
        y = 13 * cos(t) - 5 * cos(2 * t) - 2 * cos(3 * t) - cos(4 * t)
        points.append((centre[0] + x / 34 * size, centre[1] - y / 34 * size - size * .06))
    return points


def heart() -> list[Patch]:
    return [GROUND, laid(heart_shape(MIDDLE, .78), "m")]


def tulip() -> list[Patch]:
    petals = curve([(.5, .5), (.37, .44), (.34, .22), (.43, .30), (.5, .16), (.57, .30), (.66, .22), (.63, .44)], 5)
    heart_of_it = curve([(.5, .48), (.45, .38), (.5, .22), (.55, .38)], 5)
    return [GROUND, stem([(.5, .46), (.5, .62), (.5, .78), (.5, .94)]),
            leaf((.5, .92), -32, .40), leaf((.5, .92), 32, .40), laid(petals, "m"), laid(heart_of_it, "a")]


def leaf_wreath() -> list[Patch]:
    ring = [laid([*arc(MIDDLE, .315, 0, 360, 48), *reversed(arc(MIDDLE, .29, 0, 360, 48))], "l")]
    leaves = []
    for k in range(16):
        angle = 360 / 16 * k
        base = turned_point((.5, .5 - .31), MIDDLE, angle)
        leaves.append(leaf(base, angle + (38 if k % 2 else 142), .17, "l" if k % 2 else "m", .36))
    berries = [laid(circle(turned_point((.5, .2), MIDDLE, 45 * k + 11), .03, 16), "a") for k in range(8)]
    return [GROUND, *ring, *leaves, *berries]


def oak_leaf() -> list[Patch]:
    """Four lobed leaves crossed: oak leaf and reel."""
    half = [(0, 0), (.035, .06), (.09, .10), (.06, .15), (.12, .20), (.075, .26), (.11, .33), (.05, .38), (.0, .45)]
    outline = curve([(.5 + x, .5 - y) for x, y in half] + [(.5 - x, .5 - y) for x, y in half[-2:0:-1]], 4)
    leaves = [turned([laid(outline, "m")], 45 + 90 * k)[0] for k in range(4)]
    reel = curve([turned_point(p, MIDDLE, 90 * k) for k in range(4) for p in ((.44, .17), (.56, .17), (.57, .43))], 5)
    return [GROUND, *leaves, laid(reel, "n"), laid(circle(MIDDLE, .055, 20), "a")]


def rose() -> list[Patch]:
    """A full rose with buds: rose of the old red and green quilts."""
    stems = [one for k in range(4) for one in turned(
        [stem([(.5, .5), (.53, .3), (.5, .16)]), leaf((.52, .27), 62, .15, "l", .42), leaf((.515, .31), -58, .15, "l", .42),
         laid(curve([(.5, .19), (.45, .13), (.47, .07), (.5, .1), (.53, .07), (.55, .13)], 4), "m")], 90 * k)]
    corners = [one for k in range(4) for one in turned([leaf((.55, .45), 45, .27, "l", .34)], 90 * k)]
    return [GROUND, *stems, *corners, scalloped(MIDDLE, .20, 8, .22, "m"), scalloped(MIDDLE, .135, 8, .22, "n"),
            laid(circle(MIDDLE, .055, 20), "a")]


def flower_pot() -> list[Patch]:
    pot = [laid([(.33, .70), (.67, .70), (.61, .95), (.39, .95)], "a"), laid(rectangle(.30, .65, .40, .065), "b")]
    stems = [stem([(.5, .66), (.5, .5), (.5, .3)]), stem([(.46, .66), (.36, .52), (.27, .42)]),
             stem([(.54, .66), (.64, .52), (.73, .42)])]
    leaves = [leaf((.5, .55), -48, .17), leaf((.5, .50), 48, .17), leaf((.37, .54), -100, .14), leaf((.63, .54), 100, .14)]
    flowers = []
    for (x, y), letter, size in (((.5, .22), "m", .14), ((.25, .36), "n", .115), ((.75, .36), "n", .115)):
        flowers += [scalloped((x, y), size, 6, .3, letter), laid(circle((x, y), size * .34, 16), "o")]
    return [GROUND, *stems, *leaves, *pot, *flowers]


def star() -> list[Patch]:
    points = [turned_point((.5, .5 - (.42 if k % 2 == 0 else .19)), MIDDLE, 36 * k) for k in range(10)]
    return [GROUND, laid(points, "m")]


def fish() -> list[Patch]:
    body = curve([(.16, .5), (.30, .33), (.55, .30), (.74, .45), (.76, .5), (.74, .55), (.55, .70), (.30, .67)], 5)
    tail = curve([(.70, .5), (.90, .30), (.86, .5), (.90, .70)], 4)
    gill = laid([*arc((.26, .5), .16, -50, 50), *reversed(arc((.24, .5), .15, -50, 50))], "a")
    fin = leaf((.46, .54), 105, .2, "a", .5)
    return [GROUND, laid(tail, "n"), laid(body, "m"), gill, fin, laid(circle((.27, .45), .026, 14), "g")]


def boat() -> list[Patch]:
    sea = lettered(((0, .78), (.25, .75), (.5, .79), (.75, .75), (1, .78), (1, 1), (0, 1)), "n")
    hull = laid([(.14, .64), (.86, .64), (.72, .82), (.28, .82)], "a")
    return [GROUND, sea, hull, laid(rectangle(.485, .13, .022, .51), "b"),
            laid([(.52, .15), (.52, .60), (.82, .60)], "m"), laid([(.47, .24), (.47, .60), (.22, .60)], "o")]


def moon() -> list[Patch]:
    crescent = [*arc((.52, .5), .34, 50, 310, 30), *reversed(arc((.63, .5), .275, 62, 298, 30))]
    stars = []
    for x, y, size in ((.72, .30, .09), (.80, .62, .07), (.62, .54, .06)):
        stars.append(laid([turned_point((x, y - (size if k % 2 == 0 else size * .45)), (x, y), 36 * k) for k in range(10)], "a"))
    return [GROUND, laid(crescent, "m"), *stars]


def blossom(size: float = .40) -> list[Patch]:
    petals = [turned([laid(curve([(.5, .5), (.40, .36), (.42, .5 - size), (.5, .5 - size - .02), (.58, .5 - size), (.60, .36)], 5), "m")],
                     72 * k)[0] for k in range(5)]
    return [GROUND, *petals, laid(circle(MIDDLE, .08, 20), "a")]


def wreathed(patches: list[Patch], scale: float) -> list[Patch]:
    """Only the laid-on shapes, smaller, about the middle."""
    return moved([one for one in patches if one.laid_on], .5 - scale / 2, .5 - scale / 2, scale)
