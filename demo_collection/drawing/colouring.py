"""Which cloth each patch is cut from."""

from dataclasses import replace

from .chance import chance
from .patches import Patch
from .prints import SCRAPPY, SCRAPPY_PRINTS, Fabric
from .recipes import Recipe
from .shades import Rgb, mixed, shifted

FALLBACK = {  # a part without colours of its own borrows another's
    "main": None,
    "ground": None,
    "accent": "main",
    "sashing": "ground",
    "cornerstones": "accent",
    "setting": "ground",
    "borders": "main",
    "binding": "borders",
    "backing": "ground",
    "leaf": None,
}
PLAIN_COLOURS: dict[str, Rgb] = {
    "main": (70, 98, 130),
    "ground": (238, 232, 218),
    "leaf": (92, 122, 80),
}
AGEING = {"new": (0.0, 1.0), "washed": (0.03, 0.96), "faded": (0.16, 0.80)}
OLD_CLOTH: Rgb = (216, 200, 170)

Cell = tuple[int, int]


class Shelf:
    """The fabrics of one quilt, by the part that they play."""

    def __init__(self, recipe: Recipe):
        self.recipe = recipe
        everything = tuple(
            dict.fromkeys(c for part in ("main", "accent", "ground", "leaf") for c in recipe.colours.get(part, ()))
        )
        self.companions = tuple(self._aged(colour) for colour in everything)
        self.fabrics = {part: self._fabrics(part) for part in FALLBACK}
        self._starts: dict[tuple[Cell, int], int] = {}

    def _fabrics(self, part: str) -> list[Fabric]:
        source = part
        while source not in self.recipe.colours and FALLBACK.get(source):
            source = FALLBACK[source]
        colours = self.recipe.colours.get(source) or (PLAIN_COLOURS.get(source) or PLAIN_COLOURS["main"],)
        prints = self.recipe.prints.get(part) or self.recipe.prints.get(source) or ("solid",)
        if part == "binding" and part not in self.recipe.colours:
            colours = colours[-1:]
        return [
            Fabric(self._aged(colour), prints[i % len(prints)], self.companions, i) for i, colour in enumerate(colours)
        ]

    def _aged(self, colour: Rgb) -> Rgb:
        towards_old, colourful = AGEING[self.recipe.age]
        return shifted(mixed(colour, OLD_CLOTH, towards_old), colourful=colourful)

    def one(self, part: str, number: int = 0) -> Fabric:
        """A fabric by its number; the last one repeats for borders, the others go round."""
        options = self.fabrics[part]
        fabric = options[min(number, len(options) - 1)] if part == "borders" else options[number % len(options)]
        return self._scrap(fabric, number) if fabric.print == SCRAPPY else fabric

    def choose(self, patch: Patch, cell: Cell, serial: int, grid: Cell) -> Fabric:
        """The fabric of a patch: `cell` is its block's place, `serial` its own number in the quilt."""
        options = self.fabrics[patch.part]
        way = self.recipe.colours_by
        random = chance(self.recipe.quilt, "cloth", serial)
        if way == "fixed":
            index = patch.shade
        elif patch.part == "ground" or way == "patch":
            index = random.randrange(len(options))
        else:
            index = self._start(way, cell, grid, len(options)) + patch.shade
        fabric = options[index % len(options)]
        return self._scrap(fabric, random.randrange(6)) if fabric.print == SCRAPPY else fabric

    def _start(self, way: str, cell: Cell, grid: Cell, count: int) -> int:
        column, row = cell
        match way:
            case "row":
                return row
            case "column":
                return column
            case "diagonal":
                return column + row
            case "ring":
                return min(column, row, grid[0] - 1 - column, grid[1] - 1 - row)
        key = (cell, count)
        if key not in self._starts:
            beside = {
                self._starts.get(((column + dx, row + dy), count)) for dx, dy in ((-1, 0), (0, -1), (-1, -1), (1, -1))
            }
            random = chance(self.recipe.quilt, "block", cell)
            free = [k for k in range(count) if k not in beside] or list(range(count))
            used = [start for (_, among), start in self._starts.items() if among == count]
            fewest = min(used.count(k) for k in free)
            self._starts[key] = random.choice([k for k in free if used.count(k) <= fewest + 1])
        return self._starts[key]

    def _scrap(self, fabric: Fabric, number: int) -> Fabric:
        """One of the scraps that share about this colour."""
        random = chance(self.recipe.quilt, "scrap", fabric.colour, number)
        colour = shifted(
            fabric.colour,
            light=random.uniform(-0.06, 0.06),
            hue=random.uniform(-0.018, 0.018),
            colourful=random.uniform(0.85, 1.1),
        )
        return replace(fabric, colour=colour, print=random.choice(SCRAPPY_PRINTS), number=number)
