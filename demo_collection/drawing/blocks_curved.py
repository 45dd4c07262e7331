"""Blocks with curved seams: paths, peels, plates, rings' relatives, compasses."""

from .patches import Patch, arc, circle, lettered, patch, rectangle, turned, turned_point

MIDDLE = (0.5, 0.5)


def drunkards_path() -> list[Patch]:
    """One unit: a quarter circle set into a corner."""
    return [
        lettered(rectangle(0, 0, 1, 1), "g"),
        lettered([(0, 0), *arc((0, 0), 0.68, 0, 90)], "m"),
    ]


def orange_peel() -> list[Patch]:
    """Four peels that meet in the middle."""
    peel = [*arc((0.5, 0), 0.5, 180, 90), *arc((0, 0.5), 0.5, 0, -90)[1:-1]]
    petals = [lettered(peel, "mnop"[k], laid_on=True) for k in range(4)]
    ground = lettered(rectangle(0, 0, 1, 1), "g")
    return [ground] + [turned([petal], 90 * k)[0] for k, petal in enumerate(petals)]


def dresden_plate(blades: int = 16) -> list[Patch]:
    """Blades with pointed ends round a plain middle, sewn onto the ground."""
    step = 360 / blades
    inner, outer, tip = 0.13, 0.38, 0.45
    plate = []
    for k in range(blades):
        a, b = k * step - step / 2 - 90, k * step + step / 2 - 90
        points = [
            *arc(MIDDLE, inner, a, b, 2),
            *arc(MIDDLE, outer, b, b, 1)[:1],
            arc(MIDDLE, tip, (a + b) / 2, (a + b) / 2, 1)[0],
            *arc(MIDDLE, outer, a, a, 1)[:1],
        ]
        plate.append(patch(points, "main", k, laid_on=True))
    return [
        lettered(rectangle(0, 0, 1, 1), "g"),
        *plate,
        lettered(circle(MIDDLE, 0.14), "a", laid_on=True),
    ]


def new_york_beauty(spikes: int = 7) -> list[Patch]:
    """A quarter sun in a corner with a ring of spikes."""
    inner, outer = 0.42, 0.80
    step = 90 / spikes
    patches = [
        lettered(rectangle(0, 0, 1, 1), "g"),
        lettered([(0, 0), *arc((0, 0), outer, 0, 90)], "h"),
    ]
    for k in range(spikes):
        base = arc((0, 0), inner, k * step, (k + 1) * step, 3)
        tip = arc((0, 0), outer, (k + 0.5) * step, (k + 0.5) * step, 1)[0]
        patches.append(patch([*base, tip], "main", k))
    return patches + [lettered([(0, 0), *arc((0, 0), inner, 0, 90)], "a")]


def mariners_compass() -> list[Patch]:
    """Sixteen points of three lengths, each split: one half lighter, as if it caught the sun."""
    patches = [lettered(rectangle(0, 0, 1, 1), "g"), lettered(circle(MIDDLE, 0.46, 48), "h")]
    ranks = [
        (range(1, 16, 2), 0.37, 0.06, "o", "p"),
        (range(2, 16, 4), 0.42, 0.085, "n", "m"),
        (range(0, 16, 4), 0.46, 0.10, "m", "a"),
    ]
    for positions, reach, waist, light, dark in ranks:
        for k in positions:
            angle = 360 / 16 * k
            spread = {"o": 11.25, "n": 22.5, "m": 45}[light]
            tip = turned_point((0.5, 0.5 - reach), MIDDLE, angle)
            left = turned_point((0.5, 0.5 - waist), MIDDLE, angle - spread)
            right = turned_point((0.5, 0.5 - waist), MIDDLE, angle + spread)
            patches.append(lettered((MIDDLE, left, tip), light))
            patches.append(lettered((MIDDLE, tip, right), dark))
    return patches
