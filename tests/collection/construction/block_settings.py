"""Block settings for tests: a sound one with a few words changed, and a strategy for any."""

from fractions import Fraction

from hypothesis import strategies as st

from collection.records.quilt import BlockSetting, Grid
from collection.values.lengths import Length


def a_setting(blocks: str = "4 x 5", block: str = "12", **changed) -> BlockSetting:
    """`a_setting("3 x 4", "10", sashing="2", cornerstones=True)`; straight and plain unless told otherwise."""
    return BlockSetting(blocks=blocks, block=block, **changed)


def _eighths(least: int, most: int) -> st.SearchStrategy[Length]:
    return st.integers(least * 8, most * 8).map(lambda eighths: Length(Fraction(eighths, 8)))


EITHER = st.sampled_from(["straight", "on point"])
FROM_AN_INCH = _eighths(1, 20)


@st.composite
def settings_of_blocks(draw, *, arrangement=EITHER, block=FROM_AN_INCH) -> BlockSetting:
    sashing = draw(st.one_of(st.just(Length(0)), _eighths(1, 4)))
    return BlockSetting(
        blocks=Grid(columns=draw(st.integers(1, 6)), rows=draw(st.integers(1, 6))),
        block=draw(block),
        arrangement=draw(arrangement),
        sashing=sashing,
        cornerstones=bool(sashing) and draw(st.booleans()),
        outer_sashing=bool(sashing) and draw(st.booleans()),
        borders=tuple(draw(st.lists(_eighths(0, 9), max_size=3))),
    )
