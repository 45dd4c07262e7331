"""The size that a line asks for: a quilt's distance from its range, and from its preferred size.

All rules use plain arithmetic that works on single numbers and on columns: one quilt in fractions of an inch, or all
quilts at once in integers of a unit in which every length is whole.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import reduce
from itertools import pairwise
from math import lcm
from typing import Any, Literal

from collection.records.partner import Rules
from collection.sizes.tables import SizeBox, find_box
from collection.values.lengths import NO_LENGTH, Length, LengthRange, Size

Side = Literal["shorter", "longer", "width", "length"]
Sides = Mapping[Side, Any]
"""The four sides of one quilt as numbers, or of many quilts as columns."""

MISFIT_UNIT = Fraction(1, 4)
"""The unit of a misfit: a quarter inch, as finer differences do not matter to charities."""


@dataclass(frozen=True, slots=True)
class SideRange:
    """The range for one side."""

    side: Side
    range: LengthRange


@dataclass(frozen=True, slots=True)
class SizeRule:
    """One size rule: a size has to fit one of the alternatives, each a range for one or more sides.

    `rule` is its field in the file. A size may be outside its range by the tolerance.
    """

    rule: str
    alternatives: tuple[tuple[SideRange, ...], ...]
    tolerance: Length = NO_LENGTH

    def beyond(self, least: Sides, most: Sides, scale: int) -> Any:
        """The distance of the nearest possible sides from the nearest alternative, in inches times `scale`; 0 if one
        fits. For an exact size `least` and `most` are the same."""
        return self._of_the_best(
            lambda each: _beyond(least[each.side], most[each.side], each.range, self.tolerance, scale)
        )

    def lacks_room(self, least: Sides, most: Sides, scale: int) -> Any:
        """0 if one alternative takes all of the possible sides; else a number above 0."""
        return self._of_the_best(
            lambda each: (
                _beyond(least[each.side], least[each.side], each.range, self.tolerance, scale)
                + _beyond(most[each.side], most[each.side], each.range, self.tolerance, scale)
            )
        )

    def takes_all(self, least: Sides, most: Sides) -> bool:
        """Whether each of the possible sizes fits some alternative."""
        if not self.lacks_room(least, most, 1):
            return True
        if len(self.alternatives) == 1:
            return False
        cuts = {side: self._cuts(side, least[side], most[side]) for side in ("shorter", "longer")}
        return all(
            shorter > longer or not self.beyond(at := {**least, "shorter": shorter, "longer": longer}, at, 1)
            for shorter in cuts["shorter"]
            for longer in cuts["longer"]
        )

    def _cuts(self, side: Side, least: Fraction, most: Fraction) -> list[Fraction]:
        """A sample length from each interval between the bounds of the alternatives, and both ends."""
        ranges = [each.range for alternative in self.alternatives for each in alternative if each.side == side]
        bounds = {(each.least - self.tolerance).inches for each in ranges if each.least is not None}
        bounds |= {(each.most + self.tolerance).inches for each in ranges if each.most is not None}
        ends = [least, *sorted(bound for bound in bounds if least < bound < most), most]
        return [least, most, *((low + high) / 2 for low, high in pairwise(ends))]

    def _of_the_best(self, outside: Callable[[SideRange], Any]) -> Any:
        """The least sum of `outside` over the sides of an alternative."""
        by_alternative = [sum(map(outside, alternative)) for alternative in self.alternatives]
        return reduce(_lesser, by_alternative)

    def nearest(self, size: Size) -> tuple[SideRange, ...]:
        """The alternative nearest to a size; the first of equals."""
        sides = sides_of(size)
        return min(
            self.alternatives,
            key=lambda alternative: sum(
                _beyond(sides[each.side], sides[each.side], each.range, self.tolerance, 1) for each in alternative
            ),
        )

    def lengths(self) -> Iterable[Length]:
        """All lengths that the rule computes with."""
        yield self.tolerance
        for each in (each for alternative in self.alternatives for each in alternative):
            yield from filter(None, (each.range.least, each.range.most))


@dataclass(frozen=True, slots=True)
class Liked:
    """The preferred size: the ideal, else the middle of the range. None for a side: any length is as good."""

    shorter: Length | None
    longer: Length | None
    width: Length | None = None
    length: Length | None = None

    def misfit(self, sides: Sides, scale: int) -> Any:
        """The sum of the sides' distances from it, in whole `MISFIT_UNIT`s, rounded down."""
        off = sum(
            abs(sides[side] - _number(liked, scale)) for side, liked in self._sides().items() if liked is not None
        )
        return off * MISFIT_UNIT.denominator // scale

    def lengths(self) -> Iterable[Length]:
        return filter(None, self._sides().values())

    def _sides(self) -> dict[Side, Length | None]:
        return {"shorter": self.shorter, "longer": self.longer, "width": self.width, "length": self.length}


def size_rules(rules: Rules, boxes: Sequence[SizeBox]) -> tuple[SizeRule, ...]:
    """The size rules among rules. An ideal with a tolerance, and no range, is a rule as well."""
    tolerance = rules.tolerance or NO_LENGTH
    found = []
    if known := known_boxes(rules, boxes):
        alternatives = tuple((SideRange("shorter", box.shorter), SideRange("longer", box.longer)) for box in known)
        found.append(SizeRule("size", alternatives, tolerance))
    for field, side in _FIELDS.items():
        asked = getattr(rules, field)
        if asked is not None:
            found.append(SizeRule(field, ((SideRange(side, asked),),), tolerance))
    if not found and not rules.size and rules.ideal is not None and rules.tolerance is not None:
        exactly = (
            SideRange("shorter", LengthRange(rules.ideal.shorter, rules.ideal.shorter)),
            SideRange("longer", LengthRange(rules.ideal.longer, rules.ideal.longer)),
        )
        found.append(SizeRule("ideal", (exactly,), tolerance))
    return tuple(found)


def known_boxes(rules: Rules, boxes: Sequence[SizeBox]) -> tuple[SizeBox, ...]:
    """The sizes that a line names, in its order; words that the table does not have are left out."""
    found = (find_box(word, boxes) for word in rules.size)
    return tuple(dict.fromkeys(box for box in found if box is not None))


def liked(rules: Rules, boxes: Sequence[SizeBox]) -> Liked:
    """The preferred size of rules. Without a rule on width or length, an ideal counts as shorter by longer side."""
    if rules.ideal is not None:
        if rules.width or rules.length:
            return Liked(None, None, rules.ideal.width, rules.ideal.length)
        return Liked(rules.ideal.shorter, rules.ideal.longer)
    box = next(iter(known_boxes(rules, boxes)), None)
    shorter = _middle(rules.shorter_side or (box.shorter if box else None))
    longer = _middle(rules.longer_side or (box.longer if box else None))
    if rules.width or rules.length:
        return Liked(None, None, _middle(rules.width), _middle(rules.length))
    return Liked(shorter, longer)


def sides_of(size: Size, scale: int = 1) -> dict[Side, Fraction]:
    """The four sides in inches times `scale`."""
    width, length = size.width.inches * scale, size.length.inches * scale
    return {"shorter": min(width, length), "longer": max(width, length), "width": width, "length": length}


def possible_sides(size: Size, scale: int = 1) -> tuple[Sides, Sides]:
    """The sides at the smallest and at the largest that a size may be, in inches times `scale`."""
    if not size.approximate:
        sides = sides_of(size, scale)
        return sides, sides
    return sides_of(size.least, scale), sides_of(size.most, scale)


def whole_unit(lengths: Iterable[Length]) -> int:
    """The least number of parts of an inch in which all lengths are whole.

    >>> whole_unit([Length.parse("60 1/2"), Length.parse("12 1/8")])
    8
    """
    return lcm(1, *{length.inches.denominator for length in lengths})


_FIELDS: dict[str, Side] = {"shorter_side": "shorter", "longer_side": "longer", "width": "width", "length": "length"}


def _beyond(least: Any, most: Any, asked: LengthRange, tolerance: Length, scale: int) -> Any:
    """The distance of a side's nearest possible length from a range plus tolerance; or of each in a column."""
    beyond: Any = 0
    if asked.least is not None:
        lowest = _number(asked.least - tolerance, scale)
        beyond = beyond + (lowest - most) * (most < lowest)
    if asked.most is not None:
        highest = _number(asked.most + tolerance, scale)
        beyond = beyond + (least - highest) * (least > highest)
    return beyond


def _lesser(one: Any, other: Any) -> Any:
    return one + (other - one) * (other < one)


def _number(length: Length, scale: int) -> Fraction | int:
    number = length.inches * scale
    return number.numerator if number.denominator == 1 else number


def _middle(asked: LengthRange | None) -> Length | None:
    if asked is None or asked.least is None or asked.most is None:
        return None
    return (asked.least + asked.most) / 2
