"""How to wash a quilt, in a line of words: for sheets and labels. Never the signs of a care label.

The signs of ISO 3758 are protected marks that need a licence in most countries, and a gift needs no care
label. Source: seen, ginetex.net, Care labelling; from memory, 16 CFR 423, which covers goods that are sold.
"""

from dataclasses import dataclass

from collection.materials import holds
from collection.records.quilt import Quilt


@dataclass(frozen=True, slots=True)
class CareLine:
    """The words in the order of a care label: washing, bleaching, drying, ironing, professional care.

    `full` is for a sheet, `short`, in two lines, for a label that is the size of a hand. Source of the order: seen, ASTM
    D5489-18, section 4.6.
    """

    full: str
    short: tuple[str, str]
    source: str


MACHINE = CareLine(
    "Machine wash cold, gentle, with a mild unscented detergent. No bleach. Tumble dry low, or line dry in the shade. "
    "Warm iron if needed. Do not dry clean.",
    ("Machine wash cold, gentle. No bleach.", "Tumble dry low or line dry."),
    "seen: label advice of qovf.org for cold, mild and low; the rest common practice, no source",
)
NOT_HOT = CareLine(
    "Machine wash cold, gentle, with a mild unscented detergent. No bleach. Line dry in the shade, or tumble dry "
    "without heat. Do not iron. Do not dry clean.",
    ("Machine wash cold, gentle. No bleach.", "Dry without heat. Do not iron."),
    "common practice, no source: plush and fleece of polyester melt or mat in heat",
)
BY_HAND = CareLine(
    "Hand wash cold with a mild unscented detergent, without wringing. No bleach. Dry flat in the shade. Do not iron.",
    ("Hand wash cold. No bleach.", "Dry flat in the shade."),
    "common practice, no source: wool felts and silk tears when it is washed and dried hot",
)
FIRST_WASH = "Not washed yet: a colour catcher in the first wash, and dark colours by themselves."
"""Seen: label advice of qovf.org for the colour catcher; the rest common practice, no source."""

_BY_HAND = ("wool", "silk", "alpaca")
_NOT_HOT = ("minky", "fleece")


def care_line(quilt: Quilt) -> CareLine:
    """How this quilt is washed, by the most delicate thing in it; a fibre that is not recorded is taken for cotton.

    Colours are kept by cold water whatever the cloth is, so cold is never wrong.
    """
    fibre = quilt.fibre
    layers = [layer for layer in (fibre.top, fibre.backing, fibre.batting) if layer] if fibre else []
    told = [*layers, *quilt.features]
    if any(holds(words, each) for words in told for each in _BY_HAND):
        return BY_HAND
    return NOT_HOT if any(holds(words, each) for words in told for each in _NOT_HOT) else MACHINE


def is_known_unwashed(quilt: Quilt) -> bool:
    return quilt.care is not None and quilt.care.washed is False
