"""Block settings for tests: a sound one with a few words changed, and a strategy for any."""

from dataclasses import dataclass
from fractions import Fraction

from hypothesis import strategies as st

from collection.lengths import Length


@dataclass(frozen=True)
class ABlockGrid:
    columns: int
    rows: int


@dataclass(frozen=True)
class ABlockSetting:
    blocks: ABlockGrid
    block: Length
    arrangement: str
    sashing: Length
    cornerstones: bool
    outer_sashing: bool
    borders: tuple[Length, ...]


def a_setting(
    blocks: str = "4 x 5",
    block: str = "12",
    *,
    arrangement: str = "straight",
    sashing: str = "0",
    cornerstones: bool = False,
    outer_sashing: bool = False,
    borders: tuple[str, ...] = (),
) -> ABlockSetting:
    columns, rows = blocks.split(" x ")
    return ABlockSetting(
        blocks=ABlockGrid(int(columns), int(rows)),
        block=Length.parse(block),
        arrangement=arrangement,
        sashing=Length.parse(sashing),
        cornerstones=cornerstones,
        outer_sashing=outer_sashing,
        borders=tuple(Length.parse(border) for border in borders),
    )


def _eighths(least: int, most: int) -> st.SearchStrategy[Length]:
    return st.integers(least * 8, most * 8).map(lambda eighths: Length(Fraction(eighths, 8)))


@st.composite
def settings_of_blocks(draw, *, arrangement=st.sampled_from(["straight", "on point"])) -> ABlockSetting:
    sashing = draw(st.one_of(st.just(Length(0)), _eighths(1, 4)))
    return ABlockSetting(
        blocks=ABlockGrid(draw(st.integers(1, 6)), draw(st.integers(1, 6))),
        block=draw(_eighths(1, 20)),
        arrangement=draw(arrangement),
        sashing=sashing,
        cornerstones=bool(sashing) and draw(st.booleans()),
        outer_sashing=bool(sashing) and draw(st.booleans()),
        borders=tuple(draw(st.lists(_eighths(0, 9), max_size=3))),
    )
