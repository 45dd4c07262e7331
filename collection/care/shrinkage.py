"""How much a quilt may shrink in the wash, if it was measured before washing."""

from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from typing import Literal

from collection.records.quilt import Fibre, Quilt
from collection.values.lengths import Size, Unit
from collection.vocabulary.fibres import is_none, materials


@dataclass(frozen=True, slots=True)
class Shrinkage:
    """The shrinkage of a side in the first wash: the least and the most, as shares of its length."""

    name: str
    least: Fraction
    most: Fraction
    source: str

    @property
    def percent(self) -> str:
        """`2 to 8 %`, or `up to 2 %` if the least is 0."""
        least, most = (int(share * 100) for share in (self.least, self.most))
        return f"{least} to {most} %" if least else f"up to {most} %"

    @property
    def words(self) -> str:
        """`cotton batting: 2 to 8 %`."""
        return f"{self.name}: {self.percent}"


def _row(name: str, least: int, most: int, source: str) -> Shrinkage:
    return Shrinkage(name, Fraction(least, 100), Fraction(most, 100), source)


# By batting, which governs if quilting lines are up to 4 in apart. Published figures are 3 to 5 %; pieces measured
# before and after a hot dryer lost up to 8 %, the upper bound here.
COTTON = _row(
    "cotton batting", 2, 8,
    "seen: allpeoplequilt.com, thequiltorchard.blogspot.com 2013 (3 to 5 %), fairfieldworld.com (2 to 3 %); measured: "
    "piecedgoods.com 2011 (2.9 %), anythingbutboring.com 2020 (2.9 to 8.2 %), cuttingedgequilt.blogspot.com 2009 (3.8 "
    "and 6.7 %)",
)  # fmt: skip
NATURAL = _row(
    "batting of wool, silk or another natural fibre", 2, 8,
    "seen: quiltingboard.com 2012, hamelsthread.com, allbrands.com (3 to 5 %); the upper bound as for cotton",
)  # fmt: skip
BLEND = _row(
    "batting of natural fibre and polyester", 2, 6,
    "seen: melodycrust.blogspot.com 2020 (3 %); derived: kathleenmcmusing.com 2019 (8.1 % together with quilting)",
)  # fmt: skip
POLYESTER = _row(
    "polyester batting", 0, 2, "seen: quiltsocial.com, battylady.com (0 %); all-about-quilts.com (cloth about 2 %)"
)
CLOTH_ALONE = _row("cloth that no batting holds", 0, 6, "seen: all-about-quilts.com (good cotton 2 %, poor up to 6 %)")
FLANNEL = _row("flannel", 2, 10, "seen: quiltingboard.com (10 % and more, hot)")
NOT_KNOWN = _row("fibre of the batting not known", 0, 8, "derived: the widest of the rows by batting")
ROWS = (COTTON, NATURAL, BLEND, POLYESTER, CLOTH_ALONE, FLANNEL, NOT_KNOWN)

_BLENDS = frozenset({"blend", "mix", "mixed", "mixture"})
_SYNTHETIC = frozenset({"polyester", "acrylic", "nylon"})


Washing = Literal["washed", "unwashed", "either"]
"""Whether a partner takes quilts washed or unwashed."""


def shrinkage_of(quilt: Quilt, taken: Washing = "either") -> Shrinkage | None:
    """How much a recorded size may shrink before a partner that takes quilts `taken` measures it; None if not at all.

    A size measured before the first wash shrinks when the quilt is washed. A size without that fact counts as the
    current one: it shrinks only if a quilt that may be unwashed has to be washed first. Partners who take unwashed
    quilts measure them as they are.
    """
    if taken == "unwashed" or quilt.measured == "washed":
        return None
    if quilt.measured is None and (taken != "washed" or _was_washed(quilt)):
        return None
    return by_fibre(quilt.fibre, tied=bool(quilt.quilting and quilt.quilting.how == "tied"))


def has_to_be_washed(quilt: Quilt, taken: Washing) -> bool:
    """Whether a quilt is known to be unwashed, and a partner takes quilts only washed."""
    return taken == "washed" and _is_unwashed(quilt)


@lru_cache(maxsize=4096)
def by_fibre(fibre: Fibre | None, *, tied: bool = False) -> Shrinkage:
    """The shrinkage of a quilt with these layers: by batting, or that of flannel if any layer is flannel, as it has the
    widest range. In a tied quilt a polyester batting does not hold the cloth, so the cloth decides.

    >>> by_fibre(Fibre(batting="polyester")).percent, by_fibre(Fibre(batting="80/20 cotton/polyester")).percent
    ('up to 2 %', '2 to 6 %')
    """
    layers = (fibre.top, fibre.backing, fibre.batting) if fibre else ()
    if any("flannel" in each.words for text in layers if text for each in materials(text)):
        return FLANNEL
    batting = fibre.batting if fibre else None
    if batting is None:
        return NOT_KNOWN
    if is_none(batting):
        return _cloth(fibre)
    row = _by_batting(batting)
    return _cloth(fibre) if row is POLYESTER and tied and not _is_synthetic(fibre) else row


def _by_batting(batting: str) -> Shrinkage:
    """The shrinkage of a batting that holds the cloth."""
    made_of = materials(batting)
    fibres = frozenset().union(*(each.fibres for each in made_of))
    if any(each.words & _BLENDS or each.words >= {"80", "20"} for each in made_of):
        return BLEND
    if not all(each.fibres for each in made_of):
        return NOT_KNOWN
    if fibres <= _SYNTHETIC:
        return POLYESTER
    if fibres & _SYNTHETIC:
        return BLEND
    return COTTON if fibres == {"cotton"} else NATURAL


def after_washing(size: Size, shrinkage: Shrinkage) -> tuple[Size, Size]:
    """The smallest and the largest size after washing."""
    least, most = size.least, size.most
    smallest = Size(least.width * (1 - shrinkage.most), least.length * (1 - shrinkage.most))
    return smallest, Size(most.width * (1 - shrinkage.least), most.length * (1 - shrinkage.least))


def washed_words(quilt: Quilt, size: Size, shrinkage: Shrinkage, unit: Unit) -> str:
    """What washing may do to a quilt of a size.

    `it may shrink to about 50 5/8 × 59 3/4 in when it is washed (cotton batting: 2 to 8 %)`.
    """
    smallest, _ = after_washing(size, shrinkage)
    shrunk, by = f"about {smallest.say(unit)}", shrinkage.words
    if _was_washed(quilt):
        return f"it was measured before it was washed: it may have shrunk to {shrunk} ({by})"
    if quilt.measured is None and not _is_unwashed(quilt):
        return f"it may shrink to {shrunk}, if it has not been washed yet ({by})"
    return f"it may shrink to {shrunk} when it is washed ({by})"


def shrinks_into_words(quilt: Quilt, size: Size, shrinkage: Shrinkage, unit: Unit, *, surely: bool) -> str:
    """What washing may do to a quilt that is too large as measured.

    `it may shrink into their size, to 42 1/4 × 46 to 45 1/8 × 49 in, when it is washed (cotton batting: 2 to 8 %)`.
    """
    smallest, largest = after_washing(size, shrinkage)
    least, most = smallest.say(unit).removesuffix(f" {unit}"), largest.say(unit)
    to, by = f"to about {least} to {most}", shrinkage.words
    if _was_washed(quilt):
        return f"it was measured before it was washed: it {'has' if surely else 'may have'} shrunk into their size, {to} ({by})"
    verb = "it shrinks" if surely else "it may shrink"
    when = (
        "if it has not been washed yet" if quilt.measured is None and not _is_unwashed(quilt) else "when it is washed"
    )
    return f"{verb} into their size, {to}, {when} ({by})"


def _was_washed(quilt: Quilt) -> bool:
    return quilt.care is not None and quilt.care.washed is not None and quilt.care.washed is not False


def _is_unwashed(quilt: Quilt) -> bool:
    return quilt.care is not None and quilt.care.washed is False


def _cloth(fibre: Fibre | None) -> Shrinkage:
    return POLYESTER if _is_synthetic(fibre) else CLOTH_ALONE


def _is_synthetic(fibre: Fibre | None) -> bool:
    """Whether both top and backing are known to be purely synthetic."""
    layers = (fibre.top, fibre.backing) if fibre else (None,)
    return all(
        text and (made := materials(text)) and all(each.sure and each.fibres <= _SYNTHETIC for each in made)
        for text in layers
    )
