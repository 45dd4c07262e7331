"""Where everything in a quilt's top lies, in inches from its top left corner, and of which fabric."""

from dataclasses import dataclass, field, replace
from math import sqrt

from .blocks import USUAL_ALTERNATE, draft
from .chance import chance
from .colouring import Shelf
from .patches import Patch, moved, patch, rectangle, turned
from .prints import Fabric
from .recipes import Recipe, Setting, inside_size, natural_size
from .whole_quilts import WHOLE_QUILTS

Box = tuple[float, float, float, float]

BINDING_WIDTH = 0.45
# Blocks that look their best with a certain arrangement, if the recipe names none.
USUAL_ARRANGEMENT = {
    "log cabin": "barn raising",
    "rail fence": "alternating",
    "hourglass": "alternating",
    "drunkard's path": "sunshine and shadow",
    "half-square triangles": "barn raising",
    "string": "sunshine and shadow",
    "new york beauty": "sunshine and shadow",
}


@dataclass(frozen=True, slots=True)
class Piece:
    """A patch in its place."""

    points: tuple[tuple[float, float], ...]
    fabric: Fabric
    grain: float
    laid_on: bool
    serial: int


@dataclass(frozen=True)
class BlockPlace:
    """A block in the quilt: its middle, its side, and its pieces."""

    middle: tuple[float, float]
    side: float
    pieces: tuple[Piece, ...]


@dataclass(frozen=True)
class Layout:
    """The whole top."""

    width: float
    length: float
    pieces: tuple[Piece, ...]
    blocks: tuple[BlockPlace, ...]
    inside: Box  # the part within the borders
    border_edges: tuple[Box, ...] = field(default=())


def lay_out(recipe: Recipe, shelf: Shelf) -> Layout:
    """The top of a recipe's quilt, of exactly its finished size."""
    return _Layer(recipe, shelf).layout()


class _Layer:
    def __init__(self, recipe: Recipe, shelf: Shelf):
        self.recipe, self.shelf = recipe, shelf
        self.pieces: list[Piece] = []
        self.blocks: list[BlockPlace] = []
        self.setting = _with_block_size(recipe)
        self.grid = (self.setting.columns, self.setting.rows)
        self.borders = self.setting.borders

    def layout(self) -> Layout:
        edge_x, edge_y = sum(self.borders), sum(self.borders)
        if self.recipe.is_whole_quilt:
            natural = (self.recipe.width, self.recipe.length)
            inside = (natural[0] - 2 * edge_x, natural[1] - 2 * edge_y)
            drafter = WHOLE_QUILTS[self.recipe.blocks[0]]
            patches = drafter(*inside, chance(self.recipe.quilt, "draft"))
            self._sew(moved(patches, edge_x, edge_y), (0, 0))
        else:
            natural = natural_size(self.setting)
            inside = inside_size(self.setting)
            if self.setting.on_point:
                self._set_on_point(edge_x, edge_y)
            else:
                self._set_straight(edge_x, edge_y)
        border_edges = self._add_borders(*natural)
        if self.recipe.finished:
            self._bind(*natural)
        return self._fitted(natural, (edge_x, edge_y, edge_x + inside[0], edge_y + inside[1]), border_edges)

    def _sew(self, patches: list[Patch], cell: tuple[int, int], fabric: Fabric | None = None) -> list[Piece]:
        start = len(self.pieces)
        for one in patches:
            serial = len(self.pieces)
            cloth = fabric or self.shelf.choose(one, cell, serial, self.grid)
            self.pieces.append(Piece(one.points, cloth, one.grain, one.laid_on, serial))
        return self.pieces[start:]

    def _draft(self, column: int, row: int, serial: int, alternate: bool) -> list[Patch]:
        """The block for a place, turned as the arrangement has it."""
        names = self.recipe.blocks
        usual = USUAL_ALTERNATE.get(names[0]) if len(names) == 1 else None
        name = (
            (self.recipe.alternate or usual or names[serial % len(names)]) if alternate else names[serial % len(names)]
        )
        arrangement = self.recipe.arrangement
        if arrangement == "all alike":
            arrangement = USUAL_ARRANGEMENT.get(name, arrangement)
        turns = quarter_turns(
            arrangement,
            column,
            row,
            self.grid,
            chance(self.recipe.quilt, "turn", column, row).randrange(4),
        )
        return turned(draft(name), 90 * turns)

    def _set_straight(self, left: float, top: float) -> None:
        s = self.setting
        outer = s.sashing if s.outer_sashing else 0
        pitch = s.block + s.sashing
        has_alternate = bool(self.recipe.alternate or USUAL_ALTERNATE.get(self.recipe.blocks[0]))
        serial = 0
        for row in range(s.rows):
            for column in range(s.columns):
                x, y = left + outer + column * pitch, top + outer + row * pitch
                alternate = has_alternate and (row + column) % 2 == 1
                block = self._draft(column, row, serial, alternate)
                serial += not alternate
                pieces = self._sew(moved(block, x, y, s.block), (column, row))
                self.blocks.append(BlockPlace((x + s.block / 2, y + s.block / 2), s.block, tuple(pieces)))
        if s.sashing:
            self._sash(left, top, pitch, outer)

    def _sash(self, left: float, top: float, pitch: float, outer: float) -> None:
        s = self.setting
        first = 0 if s.outer_sashing else 1
        strips, stones = [], []
        for row in range(s.rows):
            for k in range(first, s.columns + 1 - first):
                strips.append(
                    patch(
                        rectangle(
                            left + outer + k * pitch - s.sashing,
                            top + outer + row * pitch,
                            s.sashing,
                            s.block,
                        ),
                        "sashing",
                    )
                )
        for k in range(first, s.rows + 1 - first):
            y = top + outer + k * pitch - s.sashing
            if not s.cornerstones:
                strips.append(patch(rectangle(left, y, inside_size(s)[0], s.sashing), "sashing"))
                continue
            for column in range(s.columns):
                strips.append(patch(rectangle(left + outer + column * pitch, y, s.block, s.sashing), "sashing"))
            for j in range(first, s.columns + 1 - first):
                stones.append(
                    patch(
                        rectangle(left + outer + j * pitch - s.sashing, y, s.sashing, s.sashing),
                        "cornerstones",
                    )
                )
        self._sew(strips, (0, 0))
        self._sew(stones, (0, 0))

    def _set_on_point(self, left: float, top: float) -> None:
        """Blocks on the corners of a grid of diagonals, with triangles to fill the edge."""
        s = self.setting
        pitch = (s.block + s.sashing) * sqrt(2)
        across, down = inside_size(s)
        self._sew([patch(rectangle(left, top, across, down), "setting")], (0, 0))
        self._setting_triangles(left, top, pitch)
        middles = [
            ((column + 0.5) * pitch, (row + 0.5) * pitch, column, row, False)
            for row in range(s.rows)
            for column in range(s.columns)
        ]
        between = [
            ((column + 1) * pitch, (row + 1) * pitch, column, row, True)
            for row in range(s.rows - 1)
            for column in range(s.columns - 1)
        ]
        usual = self.recipe.alternate or USUAL_ALTERNATE.get(self.recipe.blocks[0])
        serial = 0
        for x, y, column, row, is_between in sorted(middles + between, key=lambda place: (place[1], place[0])):
            alternate = is_between and bool(usual)
            cell = (2 * column + is_between, 2 * row + is_between)
            block = moved(self._draft(column, row, serial, alternate), -0.5, -0.5)
            serial += not alternate
            place = moved(turned(block, 45, (0, 0)), left + x, top + y, s.block)
            if s.sashing:
                self._sew(self._diagonal_sashes(left + x, top + y), cell)
            pieces = self._sew(place, cell)
            self.blocks.append(BlockPlace((left + x, top + y), s.block, tuple(pieces)))

    def _diagonal_sashes(self, x: float, y: float) -> list[Patch]:
        s = self.setting
        half, wide = s.block / 2, s.sashing
        strips = [
            patch(rectangle(-half, -half - wide, s.block, wide), "sashing"),
            patch(rectangle(-half, half, s.block, wide), "sashing"),
            patch(rectangle(-half - wide, -half, wide, s.block), "sashing"),
            patch(rectangle(half, -half, wide, s.block), "sashing"),
        ]
        stones = [
            patch(rectangle(a, b, wide, wide), "cornerstones" if s.cornerstones else "sashing")
            for a in (-half - wide, half)
            for b in (-half - wide, half)
        ]
        return moved(turned(strips + stones, 45, (0, 0)), x, y)

    def _setting_triangles(self, left: float, top: float, pitch: float) -> None:
        s = self.setting
        across, down = inside_size(s)
        triangles = []
        for k in range(1, s.columns):
            x = left + k * pitch
            triangles += [
                ((x - pitch / 2, top), (x + pitch / 2, top), (x, top + pitch / 2)),
                (
                    (x - pitch / 2, top + down),
                    (x + pitch / 2, top + down),
                    (x, top + down - pitch / 2),
                ),
            ]
        for k in range(1, s.rows):
            y = top + k * pitch
            triangles += [
                ((left, y - pitch / 2), (left, y + pitch / 2), (left + pitch / 2, y)),
                (
                    (left + across, y - pitch / 2),
                    (left + across, y + pitch / 2),
                    (left + across - pitch / 2, y),
                ),
            ]
        h = pitch / 2
        for x, y, dx, dy in (
            (left, top, h, h),
            (left + across, top, -h, h),
            (left, top + down, h, -h),
            (left + across, top + down, -h, -h),
        ):
            triangles.append(((x, y), (x + dx, y), (x, y + dy)))
        self._sew([patch(points, "setting") for points in triangles], (0, 0))

    def _add_borders(self, width: float, length: float) -> tuple[Box, ...]:
        """Side strips, then top and bottom strips over the whole width. Gives each border's outer edge."""
        edges, depth = [], 0.0
        for number in range(len(self.borders) - 1, -1, -1):
            wide = self.borders[number]
            fabric = self.shelf.one("borders", number)
            w, l = width - 2 * depth, length - 2 * depth
            strips = [
                patch(rectangle(depth, depth + wide, wide, l - 2 * wide), "borders"),
                patch(rectangle(width - depth - wide, depth + wide, wide, l - 2 * wide), "borders"),
            ]
            self._sew(strips, (0, 0), fabric)
            across = [
                replace(patch(rectangle(depth, y, w, wide), "borders"), grain=90)
                for y in (depth, length - depth - wide)
            ]
            self._sew(across, (0, 0), fabric)
            edges.append((depth, depth, width - depth, length - depth))
            depth += wide
        return tuple(edges)

    def _bind(self, width: float, length: float) -> None:
        b = BINDING_WIDTH
        outer, inner = rectangle(0, 0, width, length), rectangle(b, b, width - 2 * b, length - 2 * b)
        fabric = self.shelf.one("binding")
        for k in range(4):
            points = (outer[k], outer[(k + 1) % 4], inner[(k + 1) % 4], inner[k])
            self._sew(
                [replace(patch(points, "binding", laid_on=True), grain=90 * (k % 2))],
                (0, 0),
                fabric,
            )

    def _fitted(self, natural: tuple[float, float], inside: Box, border_edges: tuple[Box, ...]) -> Layout:
        """Everything eased to the finished size, as washing and quilting ease it."""
        ex, ey = self.recipe.width / natural[0], self.recipe.length / natural[1]

        def eased(piece: Piece) -> Piece:
            return replace(piece, points=tuple((x * ex, y * ey) for x, y in piece.points))

        pieces = tuple(eased(piece) for piece in self.pieces)
        blocks = tuple(
            BlockPlace(
                (block.middle[0] * ex, block.middle[1] * ey),
                block.side * (ex + ey) / 2,
                tuple(eased(piece) for piece in block.pieces),
            )
            for block in self.blocks
        )
        scaled = tuple((a * ex, b * ey, c * ex, d * ey) for a, b, c, d in (inside, *border_edges))
        return Layout(self.recipe.width, self.recipe.length, pieces, blocks, scaled[0], scaled[1:])


def quarter_turns(arrangement: str, column: int, row: int, grid: tuple[int, int], by_chance: int) -> int:
    """How many quarter turns clockwise a block is given; drafts have their light half at the top left.

    >>> [quarter_turns("barn raising", column, 0, (4, 4), 0) for column in range(4)]
    [0, 0, 1, 1]
    """
    right, low = column >= grid[0] / 2, row >= grid[1] / 2
    match arrangement:
        case "barn raising":
            return {(False, False): 0, (True, False): 1, (True, True): 2, (False, True): 3}[right, low]
        case "sunshine and shadow":
            return {(0, 0): 0, (1, 0): 1, (1, 1): 2, (0, 1): 3}[column % 2, row % 2]
        case "zigzag":
            return column % 2
        case "streak of lightning":
            return (0, 1)[row % 2]
        case "alternating":
            return (column + row) % 2
        case "scattered":
            return by_chance
    return 0


def _with_block_size(recipe: Recipe) -> Setting:
    """The setting; grid and block size worked out from the quilt's size where they are not told."""
    setting = recipe.setting
    if recipe.is_whole_quilt or setting.block:
        return setting
    width, length = (side - 2 * sum(setting.borders) for side in (recipe.width, recipe.length))
    factor = sqrt(2) if setting.on_point else 1
    if not setting.columns:
        wanted = 9 if min(width, length) < 45 else 12
        columns = max(2, round(width / (wanted * factor + setting.sashing)))
        rows = max(2, round(length / (width / columns)))
        setting = replace(setting, columns=columns, rows=rows)
    around = 1 if setting.outer_sashing else -1
    if setting.on_point:
        sides = (
            width / setting.columns / factor - setting.sashing,
            length / setting.rows / factor - setting.sashing,
        )
    else:
        sides = (
            (width - (setting.columns + around) * setting.sashing) / setting.columns,
            (length - (setting.rows + around) * setting.sashing) / setting.rows,
        )
    return replace(setting, block=sum(sides) / 2)
