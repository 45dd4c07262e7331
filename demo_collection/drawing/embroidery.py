"""Fancy stitches along the seams of a crazy quilt: feather stitch, herringbone, blanket stitch."""

from math import hypot
from random import Random

from .shades import Rgb

Stroke = tuple[tuple[float, float], ...]
THREADS: tuple[Rgb, ...] = (
    (214, 176, 84),
    (226, 216, 196),
    (186, 96, 104),
    (124, 158, 148),
    (206, 140, 92),
)


def along(a: tuple[float, float], b: tuple[float, float], random: Random) -> tuple[Rgb, list[Stroke]]:
    """A thread and its stitches along a seam from a to b, in inches."""
    length = hypot(b[0] - a[0], b[1] - a[1])
    if length < 1:
        return THREADS[0], []
    ax, ay = (b[0] - a[0]) / length, (b[1] - a[1]) / length

    def place(t: float, side: float) -> tuple[float, float]:
        return (a[0] + ax * t - ay * side, a[1] + ay * t + ax * side)

    step, strokes = 0.38, []
    kind = random.choice(["feather", "herringbone", "blanket"])
    for k in range(int(length / step)):
        t, side = k * step, (0.20 if k % 2 else -0.20)
        if kind == "feather":
            strokes += [
                (place(t, side), place(t + step * 0.7, 0)),
                (place(t + step * 0.7, 0), place(t + step, -side * 0.2)),
            ]
        elif kind == "herringbone":
            strokes.append((place(t, side * 0.8), place(t + step * 1.3, -side * 0.8)))
        else:
            strokes += [(place(t, 0), place(t + step, 0)), (place(t, 0), place(t, 0.22))]
    return random.choice(THREADS), strokes
