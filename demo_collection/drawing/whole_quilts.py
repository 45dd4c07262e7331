"""Quilts that are one design from edge to edge, by the names quilters give them.

A drafter takes the width and length of the space within the borders, in inches, and a source of
chance, and gives patches.
"""

from collections.abc import Callable
from random import Random

from . import (
    quilts_in_strips,
    quilts_of_odds_and_ends,
    quilts_of_one_shape,
    quilts_of_pictures,
    quilts_of_rings,
    quilts_round_a_middle,
)
from .patches import Patch

Drafter = Callable[[float, float, Random], list[Patch]]

WHOLE_QUILTS: dict[str, Drafter] = {
    "lone star": quilts_round_a_middle.lone_star,
    "centre diamond": quilts_round_a_middle.centre_diamond,
    "medallion": quilts_round_a_middle.medallion,
    "tumbling blocks": quilts_of_one_shape.tumbling_blocks,
    "grandmother's flower garden": quilts_of_one_shape.grandmothers_flower_garden,
    "hexagons": quilts_of_one_shape.hexagons,
    "trip around the world": quilts_of_one_shape.trip_around_the_world,
    "bricks": quilts_of_one_shape.bricks,
    "postage stamp": quilts_of_one_shape.postage_stamp,
    "thousand pyramids": quilts_of_one_shape.thousand_pyramids,
    "yo-yo": quilts_of_one_shape.yo_yo,
    "double wedding ring": quilts_of_rings.double_wedding_ring,
    "coins": quilts_in_strips.coins,
    "strips": quilts_in_strips.strips,
    "bars": quilts_in_strips.bars,
    "bargello": quilts_in_strips.bargello,
    "geese in flight": quilts_in_strips.geese_in_flight,
    "whole cloth": quilts_of_pictures.whole_cloth,
    "hills": quilts_of_pictures.hills,
    "t-shirt": quilts_of_pictures.t_shirt,
    "crazy": quilts_of_odds_and_ends.crazy,
    "orphans": quilts_of_odds_and_ends.orphans,
}
