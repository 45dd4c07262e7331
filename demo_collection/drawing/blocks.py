"""Every block by the name quilters give it."""

from collections.abc import Callable

from . import blocks_applique, blocks_curved, blocks_pieced
from .blocks_charts import CHARTS, read_chart
from .patches import Patch

_DRAWN: dict[str, Callable[[], list[Patch]]] = {
    "sawtooth star": blocks_pieced.sawtooth_star,
    "evening star": blocks_pieced.evening_star,
    "square in a square": blocks_pieced.square_in_a_square,
    "economy": blocks_pieced.economy,
    "eight-pointed star": blocks_pieced.eight_pointed_star,
    "log cabin": blocks_pieced.log_cabin,
    "courthouse steps": blocks_pieced.courthouse_steps,
    "flying geese": blocks_pieced.flying_geese,
    "dutchman's puzzle": blocks_pieced.dutchmans_puzzle,
    "bear's paw": blocks_pieced.bears_paw,
    "snowball": blocks_pieced.snowball,
    "jacob's ladder": blocks_pieced.jacobs_ladder,
    "single irish chain": blocks_pieced.single_irish_chain,
    "double nine patch": blocks_pieced.double_nine_patch,
    "disappearing nine patch": blocks_pieced.disappearing_nine_patch,
    "plus": blocks_pieced.plus,
    "spool": blocks_pieced.spool,
    "kaleidoscope": blocks_pieced.kaleidoscope,
    "windmill": blocks_pieced.windmill,
    "string": blocks_pieced.string,
    "pine tree": blocks_pieced.pine_tree,
    "schoolhouse": blocks_pieced.schoolhouse,
    "monkey wrench": blocks_pieced.monkey_wrench,
    "crossroads": blocks_pieced.crossroads,
    "basket": blocks_pieced.basket,
    "maple leaf": blocks_pieced.maple_leaf,
    "plain": blocks_pieced.plain,
    "drunkard's path": blocks_curved.drunkards_path,
    "orange peel": blocks_curved.orange_peel,
    "dresden plate": blocks_curved.dresden_plate,
    "new york beauty": blocks_curved.new_york_beauty,
    "mariner's compass": blocks_curved.mariners_compass,
    "heart": blocks_applique.heart,
    "tulip": blocks_applique.tulip,
    "leaf wreath": blocks_applique.leaf_wreath,
    "oak leaf": blocks_applique.oak_leaf,
    "rose": blocks_applique.rose,
    "flower pot": blocks_applique.flower_pot,
    "star": blocks_applique.star,
    "fish": blocks_applique.fish,
    "boat": blocks_applique.boat,
    "moon": blocks_applique.moon,
    "blossom": blocks_applique.blossom,
}

# Blocks that are never set alone: every second one is another.
USUAL_ALTERNATE = {
    "single irish chain": "plain",
    "double irish chain": "double irish chain, second block",
}

BLOCK_NAMES = sorted({*_DRAWN, *(name for name in CHARTS if "second block" not in name)})

SAMPLER = [
    "ohio star",
    "churn dash",
    "log cabin",
    "bear's paw",
    "sawtooth star",
    "card trick",
    "flying geese",
    "pinwheel",
    "dresden plate",
    "shoofly",
    "jacob's ladder",
    "friendship star",
    "eight-pointed star",
    "maple leaf",
    "courthouse steps",
    "greek cross",
    "economy",
    "orange peel",
    "broken dishes",
    "basket",
    "nine patch",
    "dutchman's puzzle",
    "heart",
    "schoolhouse",
    "monkey wrench",
    "mariner's compass",
    "kaleidoscope",
    "crossroads",
    "spool",
    "tulip",
]


def draft(name: str) -> list[Patch]:
    """The patches of a block in the unit square."""
    return _DRAWN[name]() if name in _DRAWN else read_chart(CHARTS[name])
