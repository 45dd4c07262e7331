"""Compares the measured size of a quilt with the finished size of its setting."""

from dataclasses import dataclass
from fractions import Fraction
from functools import cache, cached_property
from typing import Literal

from collection.values.lengths import Length, Size, Unit

USUAL_TAKE_UP = Fraction(5, 100)
"""The most that quilting usually takes up: 3 to 5 %, depending on density. Source: seen: stitchingtimes.blogspot.com (2011)."""

FIRST_WASH = Fraction(8, 100)
"""The most that the first wash and the dryer usually shrink a quilt of natural fibre, more than the 3 to 5 % that cotton
batting is rated at.

Source: derived from quilts that makers measured: anythingbutboring.com (2020), kathleenmcmusing.com (2019),
piecedgoods.com (2011) and cuttingedgequilt.blogspot.com (2009), 2.9 to 8.2 %.
"""

SHOW_TOLERANCE = Length(1)
"""The difference that shows accept. Source: seen: harvestquiltshowny.com: within 1 in of the registered size."""

RULER_MARK = Length(Fraction(1, 8))

Verdict = Literal["agrees", "taken up", "a little larger", "smaller", "larger", "neither"]


@dataclass(frozen=True)
class Comparison:
    """The difference between measured and finished size; negative if the quilt is smaller.

    `turned`: width and length of the measured size are swapped to compare. The shares are fractions of the finished
    size. Sides that differ by less than 1/8 in agree. The verdict is `taken up` if the quilt is smaller by a usual
    amount, and `neither` if one side is too large and the other smaller than that.
    """

    finished: Size
    measured: Size
    turned: bool
    washed: bool

    @cached_property
    def width_off(self) -> Length:
        return (self.measured.length if self.turned else self.measured.width) - self.finished.width

    @cached_property
    def length_off(self) -> Length:
        return (self.measured.width if self.turned else self.measured.length) - self.finished.length

    @cached_property
    def width_share(self) -> Fraction:
        return self.width_off / self.finished.width

    @cached_property
    def length_share(self) -> Fraction:
        return self.length_off / self.finished.length

    @cached_property
    def verdict(self) -> Verdict:
        off = (self.width_off, self.length_off)
        if all(abs(side) < RULER_MARK for side in off):
            return "agrees"
        too_small = min(self.width_share, self.length_share) < -usual_loss(washed=self.washed)
        too_large = max(off) > SHOW_TOLERANCE
        if too_small and too_large:
            return "neither"
        if too_small:
            return "smaller"
        if too_large:
            return "larger"
        return "taken up" if min(off) < Length(0) else "a little larger"

    def say(self, unit: Unit = "in") -> str:
        """For people, one or two sentences."""
        if self.verdict == "agrees":
            sentence = "The measured size agrees with the setting."
        else:
            sentence = f"The quilt measures {self._differences(unit)} than the setting gives{self._judgement()}"
        if not self.turned:
            return sentence
        swapped = "Width and length of the measured size seem to have changed places."
        return f"{swapped} Turned, {sentence[0].lower()}{sentence[1:]}"

    def _differences(self, unit: Unit) -> str:
        said = []
        for off, share, less, more in (
            (self.width_off, self.width_share, "narrower", "wider"),
            (self.length_off, self.length_share, "shorter", "longer"),
        ):
            if abs(off) >= RULER_MARK:
                said.append(f"{abs(off).in_unit(unit)} {less if off < Length(0) else more} ({float(abs(share)):.1%})")
        return " and ".join(said).replace("%", " %")

    def _judgement(self) -> str:
        quilting = "Quilting usually takes up 3 to 5 %"
        washing = f"{quilting}, and the first wash up to 8 % more"
        more_than = "quilting and the first wash usually take" if self.washed else "quilting usually takes"
        match self.verdict:
            case "taken up":
                return f". {washing if self.washed else quilting}."
            case "a little larger":
                return ", within the inch that a show allows."
            case "smaller":
                share = "3 to 5 % and up to 8 %" if self.washed else "3 to 5 %"
                return (
                    f". That is more than {more_than} up, {share}: a look at the block size, "
                    "the count of blocks and the measured size may help."
                )
            case "larger":
                return ". Perhaps a border or the sashing is not written down yet."
            case _:
                return ". A look at the count of blocks, the borders and the measured size may help."


@cache
def usual_loss(*, washed: bool) -> Fraction:
    """The largest fraction of a side that quilting, and the first wash if there was one, usually takes up."""
    kept = 1 - USUAL_TAKE_UP
    return 1 - (kept * (1 - FIRST_WASH) if washed else kept)


def compare(finished: Size, measured: Size, *, washed: bool = False) -> Comparison:
    """Compare the measured size with the finished size of the setting.

    Width and length are swapped only if the difference is more than quilting (and washing) explain, and the swapped
    size fits better.
    """
    as_written = Comparison(finished, measured, turned=False, washed=washed)
    turned = Comparison(finished, measured, turned=True, washed=washed)
    unexplained = _worse_share(as_written) > usual_loss(washed=washed)
    return turned if unexplained and _worse_share(turned) < _worse_share(as_written) else as_written


def _worse_share(comparison: Comparison) -> Fraction:
    return max(abs(comparison.width_share), abs(comparison.length_share))
