r"""Blocks that can be drafted on squared paper, as charts.

A cell of a chart is one square of the paper:

    m        a square
    g/m      two triangles, the seam rising to the right, the first above it
    g\m      two triangles, the seam falling to the right, the first below it
    =gm      bars, the first at the top
    |gm      bars, the first on the left
    xgmgm    four triangles: top, right, bottom, left; neighbours of one letter are one triangle

Letters are those of `patches.LETTERS`: g ground, m n o p main, a b accent, l leaf. A first line of
figures gives the columns' (and rows') relative widths, where they are not all alike.
"""

from .patches import Patch, lettered, rectangle

CHARTS = {
    "four patch": r"""
        m g
        g m""",
    "nine patch": r"""
        m g m
        g a g
        m g m""",
    "sixteen patch": r"""
        m g n g
        g o g m
        n g m g
        g m g o""",
    "double irish chain": r"""
        a m g m a
        m a m a m
        g m a m g
        m a m a m
        a m g m a""",
    "double irish chain, second block": r"""
        1 3 1
        m g m
        g g g
        m g m""",
    "ohio star": r"""
        g     xgmam g
        xmamg m     xmgma
        g     xamgm g""",
    "friendship star": r"""
        g   g/m g
        g\m m   m\g
        g   m/g g""",
    "churn dash": r"""
        g/m =gm m\g
        |gm g   |mg
        g\m =mg m/g""",
    "greek cross": r"""
        g/m =ma m\g
        |ma a   |am
        g\m =am m/g""",
    "pinwheel": r"""
        m\g m/g
        g/m g\m""",
    "broken dishes": r"""
        g\m m/g n\g g/n
        g/m m\g n/g g\n
        n\g g/n g\m m/g
        n/g g\n g/m m\g""",
    "hourglass": "xmgmg",
    "half-square triangles": "g/m",
    "card trick": r"""
        g/m   xgnnm n\g
        xmmpg xnopm xngoo
        g\p   xpogp o/g""",
    "shoofly": r"""
        g/m g m\g
        g   a g
        g\m g m/g""",
    "granny square": r"""
        g g g o g g g
        g g o n o g g
        g o n m n o g
        o n m a m n o
        g o n m n o g
        g g o n o g g
        g g g o g g g""",
    "rail fence": "=mnop",
    "album": r"""
        1 1 1 1 1
        g/m m   n   m   m\g
        m   m   g   m   m
        n   g   g   g   n
        m   m   g   m   m
        g\m m   n   m   m/g""",
}


def read_chart(text: str) -> list[Patch]:
    """The patches of a chart.

    >>> [patch.part for patch in read_chart("m g")]
    ['main', 'ground']
    """
    rows = [line.split() for line in text.strip().splitlines()]
    columns = max(len(row) for row in rows)
    widths = [float(figure) for figure in rows.pop(0)] if rows[0][0].isdigit() else [1.0] * columns
    heights = widths if len(widths) == len(rows) else [1.0] * len(rows)
    xs, ys = _edges(widths), _edges(heights)
    patches = []
    for row, cells in enumerate(rows):
        for column, cell in enumerate(cells):
            box = (xs[column], ys[row], xs[column + 1] - xs[column], ys[row + 1] - ys[row])
            patches.extend(_read_cell(cell, box))
    return patches


def _edges(widths: list[float]) -> list[float]:
    edges, whole = [0.0], sum(widths)
    for width in widths:
        edges.append(edges[-1] + width / whole)
    return edges


def _read_cell(cell: str, box: tuple[float, float, float, float]) -> list[Patch]:
    x, y, width, height = box
    nw, ne, se, sw = rectangle(*box)
    if len(cell) == 1:
        return [lettered((nw, ne, se, sw), cell)]
    if cell[1] == "/":
        return [lettered((nw, ne, sw), cell[0]), lettered((ne, se, sw), cell[2])]
    if cell[1] == "\\":
        return [lettered((nw, se, sw), cell[0]), lettered((nw, ne, se), cell[2])]
    if cell[0] == "=":
        return [
            lettered(rectangle(x, y + height * i / len(cell[1:]), width, height / len(cell[1:])), letter)
            for i, letter in enumerate(cell[1:])
        ]
    if cell[0] == "|":
        return [
            lettered(rectangle(x + width * i / len(cell[1:]), y, width / len(cell[1:]), height), letter)
            for i, letter in enumerate(cell[1:])
        ]
    if cell[0] == "x":
        return _quarters(cell[1:], (nw, ne, se, sw), (x + width / 2, y + height / 2))
    raise ValueError(f"no such cell in a chart: {cell}")


def _quarters(letters: str, corners, middle) -> list[Patch]:
    """Four triangles round the middle, two neighbours of one letter joined into one."""
    for start in range(4):
        if letters[start] == letters[(start + 1) % 4]:
            a, b, c = (corners[(start + k) % 4] for k in range(3))
            rest = [(start + 2) % 4, (start + 3) % 4]
            return [lettered((a, b, c), letters[start])] + [
                lettered((corners[k], corners[(k + 1) % 4], middle), letters[k]) for k in rest
            ]
    return [lettered((corners[k], corners[(k + 1) % 4], middle), letters[k]) for k in range(4)]
