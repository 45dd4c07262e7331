"""Computes how much cloth the binding and backing of a quilt take, and which package of batting it needs."""

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from math import ceil
from typing import Literal

from collection.values.lengths import MILLIMETRE, Length, Size, Unit

INCHES_PER_YARD = 36
EIGHTH_YARD = Fraction(1, 8)
TENTH_METRE = Fraction(1, 10)

USABLE_WIDTH = Length(40)
"""Cloth is 42 to 44 in wide including selvages; 40 in can be relied on. Common practice, no single source."""

BINDING_STRIP = Length(Fraction(5, 2))
"""The usual width for a double-fold binding; 2 1/4 in is also used. Source: seen: cherryblossomlove.com."""

BINDING_ALLOWANCE = Length(10)
"""For joins and corners; 0 to 24 in are published. Any from 1 to 20 in gives the published counts of strips.

Source: seen: royalcityquiltersguild.ca, 130 in for 30 x 30; derived: the counts of castillejacotton.blogspot.com
(2013), quiltsbyjen.ca and quiltingboard.com (t189575).
"""

BACKING_EXTRA = Length(8)
"""What a longarm needs in addition to the top, in width and in length. Source: seen: qovf.org; others 4, 6, 10 and 12."""

BATTING_MARGIN = Length(6)
"""What batting needs in addition to the top, in width and in length.

Source: seen: loghousequilting.com, honeybegood.com and firehousequilts.org; quiltsandtreasures.com has 4 to 12, mostly
6 to 8.
"""


# Cloth ----------------------------------------------------------------------------------------


def yards(length: Length, *, step: Fraction = EIGHTH_YARD) -> Fraction:
    """The yards to buy for a length, rounded up to what a shop cuts, 1/8 yd by default."""
    return ceil(length.inches / INCHES_PER_YARD / step) * step


def metres(length: Length, *, step: Fraction = TENTH_METRE) -> Fraction:
    """The metres to buy for a length, rounded up to what a shop cuts, 10 cm by default."""
    return ceil(length.cm / 100 / step) * step


def say_cloth(length: Length, unit: Unit = "in") -> str:
    """The cloth to buy for a length, in words.

    >>> say_cloth(Length(130)), say_cloth(Length(130), "cm")
    ('3 5/8 yd', '3.4 m')
    """
    if unit == "cm":
        return f"{float(metres(length)):.1f} m"
    whole, part = divmod(yards(length), 1)
    return f"{whole} {part} yd" if whole and part else f"{part or whole} yd"


# Binding --------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class BindingPlan:
    """The number and width of binding strips; `around` is the length they must reach, `fabric` the cloth they take."""

    strips: int
    strip: Length
    around: Length

    @property
    def fabric(self) -> Length:
        return self.strips * self.strip

    @property
    def yards(self) -> Fraction:
        return yards(self.fabric)

    def say(self, unit: Unit = "in") -> str:
        """For people: `6 strips of 2 1/2 in, 1/2 yd`."""
        return (
            f"{_count(self.strips, 'strip')} of {self.strip.in_unit(unit, MILLIMETRE)}, {say_cloth(self.fabric, unit)}"
        )


def binding(
    size: Size,
    *,
    strip: Length = BINDING_STRIP,
    usable_width: Length = USABLE_WIDTH,
    allowance: Length = BINDING_ALLOWANCE,
) -> BindingPlan:
    """Strips cut across the cloth that reach round the quilt, with an allowance for joins and corners.

    Raises ValueError for cloth without width.
    """
    around = 2 * (size.width + size.length) + allowance
    return BindingPlan(_widths(around, usable_width), strip, around)


# Backing --------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class BackingPlan:
    """Panels side by side: `size` is the whole backing, and each panel is as wide as the cloth.

    The seams between the panels run up and down the quilt or across it.
    """

    size: Size
    panels: int
    panel_length: Length
    seams: Literal["up and down", "across", "none"]

    @property
    def fabric(self) -> Length:
        return self.panels * self.panel_length

    @property
    def yards(self) -> Fraction:
        return yards(self.fabric)

    def say(self, unit: Unit = "in") -> str:
        """For people: `2 panels of 65 in, 1 seam across, 3 5/8 yd`."""
        seams = f"{_count(self.panels - 1, 'seam')} {self.seams}" if self.panels > 1 else "no seam"
        panels = f"{_count(self.panels, 'panel')} of {self.panel_length.in_unit(unit)}"
        return f"{panels}, {seams}, {say_cloth(self.fabric, unit)}"


def backing_plans(
    size: Size, *, extra: Length = BACKING_EXTRA, usable_width: Length = USABLE_WIDTH
) -> tuple[BackingPlan, BackingPlan]:
    """Two plans: panels that run up and down the quilt, then panels that run across it.

    `extra` is added to the quilt's width and length; 0 if `size` is the backing's own. The seams between panels use the
    cloth beyond its usable width. Raises ValueError for cloth without width.
    """
    whole = Size(size.width + extra, size.length + extra)
    along = _widths(whole.width, usable_width)
    across = _widths(whole.length, usable_width)
    return (
        BackingPlan(whole, along, whole.length, "up and down" if along > 1 else "none"),
        BackingPlan(whole, across, whole.width, "across" if across > 1 else "none"),
    )


def backing(size: Size, *, extra: Length = BACKING_EXTRA, usable_width: Length = USABLE_WIDTH) -> BackingPlan:
    """The plan that takes less cloth; panels up and down if both take the same."""
    return min(backing_plans(size, extra=extra, usable_width=usable_width), key=lambda plan: plan.fabric)


# Batting --------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class BattingPackage:
    """A size in which batting is sold."""

    key: str
    name: str
    size: Size
    source: str


def _package(name: str, size: str, source: str) -> BattingPackage:
    return BattingPackage(name, name, Size.parse(size, unit="in"), source)


_USUAL = "seen: honeybegood.com, Common Quilt and Batting Sizes; stitchingtimes.blogspot.com (2011)"
_RESIZING_PAGE = "seen: tourmalinethymequilts.com, Resizing your quilt"

# Brands differ by some inches: twin 72 x 96, full 84 x 96, queen 96 x 108 and king 124 x 120 are also sold.
BATTING_PACKAGES = (
    _package("craft", "34 x 45", "seen: project12quilts.blogspot.com; 36 x 45 from memory"),
    _package("crib", "45 x 60", _USUAL),
    _package("throw", "60 x 60", _RESIZING_PAGE),
    _package("twin", "72 x 90", _USUAL),
    _package("full", "81 x 96", _USUAL),
    _package("queen", "90 x 108", _USUAL),
    _package("king", "120 x 120", _USUAL),
)


def batting_for(
    size: Size,
    *,
    margin: Length = BATTING_MARGIN,
    packages: Iterable[BattingPackage] = BATTING_PACKAGES,
) -> BattingPackage | None:
    """The smallest package, turned if necessary, that exceeds the quilt by `margin` in width and in length.

    None if no package is large enough.
    """
    fitting = [
        package
        for package in packages
        if size.shorter + margin <= package.size.shorter and size.longer + margin <= package.size.longer
    ]
    return min(fitting, key=lambda package: package.size.area, default=None)


def _widths(length: Length, usable_width: Length) -> int:
    """The number of widths of cloth that reach a length."""
    if usable_width <= Length(0):
        raise ValueError("The cloth must be wider than 0.")
    return ceil(length / usable_width)


def _count(number: int, noun: str) -> str:
    return f"{number} {noun}" if number == 1 else f"{number} {noun}s"
