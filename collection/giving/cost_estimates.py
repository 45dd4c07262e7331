"""Estimates the cost of a quilt's materials from the maker's own prices, if no cost is recorded.

An estimate is always labelled as one, and never added to recorded costs.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache
from math import floor
from typing import Literal

from collection.construction.yardage import (
    BATTING_MARGIN,
    BATTING_PACKAGES,
    USABLE_WIDTH,
    backing,
    batting_for,
    binding,
    metres,
    say_cloth,
    yards,
)
from collection.records.quilt import Quilt
from collection.records.settings import Prices, Settings
from collection.values.currencies import DECIMALS, DECIMALS_OF_NONE
from collection.values.dates import EdtfDate
from collection.values.lengths import Length, Size, Unit
from collection.values.money import Money
from collection.vocabulary.fibres import is_none

TOP_CLOTH_WIDTH = Length(42)
"""Inches. The estimate of a top is its area over the width of the cloth: area / (36 x 42) is yards.

Source: derived from quiltingboard.com (t189575), which checks a binding so: 432 x 2 1/2 / (36 x 42) = 0.714 yd.
"""

TOP_WASTE = Fraction(2, 5)
"""The share of a top's area that seams and offcuts add.

Source: derived from what pages ask for, 31 to 43 % more than the area over cloth 42 in wide: hqstitch.com (three tops
of 101 x 101), cherryblossomlove.com (88 x 96), cortezquiltcompany.com and judysquiltsandthings.blogspot.com (2011).
"""

BATTING_ROLL_WIDTH = Length(90)
"""Source: seen: quiltworksonline.com, a roll of 90 in; wider ones are sold too (homesteadquilt.company.site, 120 in)."""

Part = Literal["top", "backing", "batting", "binding"]


@dataclass(frozen=True, slots=True)
class EstimatedPart:
    """One part of a quilt: the amount of cloth or batting in words, and its cost."""

    part: Part
    amount: str
    cost: Money


@dataclass(frozen=True, slots=True)
class MaterialEstimate:
    """The estimated cost of each part; `unpriced` parts are not in the price list.

    `noted` is the date of the prices.
    """

    parts: tuple[EstimatedPart, ...]
    unpriced: tuple[Part, ...]
    noted: EdtfDate | None

    @property
    def total(self) -> Money:
        first, *others = (part.cost for part in self.parts)
        return sum(others, first)


@dataclass(frozen=True, slots=True)
class Estimated:
    """The total of some estimates, and their number."""

    total: Money
    count: int


def estimate_materials(quilt: Quilt, settings: Settings) -> MaterialEstimate | None:
    """Estimates from a quilt's size and the price list; None if the cost is recorded, or size or prices are missing."""
    if quilt.materials_cost is not None or quilt.finished_size is None or settings.prices is None:
        return None
    has_batting = quilt.fibre is None or quilt.fibre.batting is None or not is_none(quilt.fibre.batting)
    return _estimate(quilt.finished_size, settings.prices, settings.units, has_batting)


def add_estimates(quilts: Iterable[Quilt], settings: Settings) -> Estimated:
    """The total of the estimates of quilts whose cost is not recorded, as far as they can be estimated."""
    found = [estimate.total for quilt in quilts if (estimate := estimate_materials(quilt, settings))]
    return Estimated(sum(found, Money.nothing(settings.currency)), len(found))


@lru_cache(maxsize=10_000)
def _estimate(size: Size, prices: Prices, units: Unit, has_batting: bool) -> MaterialEstimate | None:
    costs: dict[Part, EstimatedPart | None] = {
        "top": _cloth("top", top_cloth(size, prices), prices.top, units),
        "backing": _cloth("backing", _backing_cloth(size, prices), prices.backing, units),
        "batting": _batting(size, prices, units) if has_batting else None,
        "binding": _cloth("binding", _binding_cloth(size, prices), prices.binding, units),
    }
    parts = tuple(part for part in costs.values() if part)
    unpriced = tuple(name for name, part in costs.items() if part is None and (has_batting or name != "batting"))
    return MaterialEstimate(parts, unpriced, prices.noted) if parts else None


# How much ---------------------------------------------------------------------------------------


NO_PRICES = Prices()


def top_cloth(size: Size, prices: Prices = NO_PRICES) -> Length:
    """The length of cloth for a pieced top: its area plus waste, over the width of the cloth."""
    width = prices.cloth_width or TOP_CLOTH_WIDTH
    return Length(size.area * (1 + TOP_WASTE) / width.inches)


def _backing_cloth(size: Size, prices: Prices) -> Length:
    return backing(size, usable_width=prices.backing_width or prices.cloth_width or USABLE_WIDTH).fabric


def _binding_cloth(size: Size, prices: Prices) -> Length:
    return binding(size, usable_width=prices.cloth_width or USABLE_WIDTH).fabric


# What it costs ----------------------------------------------------------------------------------


def _cloth(part: Part, cloth: Length, price: Money | None, units: Unit) -> EstimatedPart | None:
    """A part of cloth, rounded up to what a shop cuts, at a price per yard or metre."""
    if price is None:
        return None
    bought = yards(cloth) if units == "in" else metres(cloth)
    return EstimatedPart(part, say_cloth(cloth, units), _times(price, bought))


def _batting(size: Size, prices: Prices, units: Unit) -> EstimatedPart | None:
    """The smallest priced package that is large enough, else batting off the roll."""
    priced: dict[str, Money] = {each.size: each.price for each in prices.batting_packages}
    package = batting_for(size, packages=(each for each in BATTING_PACKAGES if each.key in priced))
    if package:
        return EstimatedPart("batting", f"1 {package.name} package", priced[package.key])
    roll = backing(size, extra=BATTING_MARGIN, usable_width=prices.batting_width or BATTING_ROLL_WIDTH)
    return _cloth("batting", roll.fabric, prices.batting, units)


def _times(price: Money, amount: Fraction) -> Money:
    """A price times an amount, rounded half up to the smallest coin."""
    coins = Decimal(1).scaleb(-(DECIMALS[price.currency] if price.currency else DECIMALS_OF_NONE))
    exact = Fraction(price.amount) * amount / Fraction(coins)
    return Money(floor(exact + Fraction(1, 2)) * coins, price.currency)
