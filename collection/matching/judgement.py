"""The judgement of a quilt for a line: misses and their distance, what to check first, how well it fits."""

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from collection.quotes import listed

Verdict = Literal["fits", "check first", "does not fit"]

# The distance of misses that have no length, in inches: near if the maker can put it right at home, else far.
# It only orders the nearest misses. Common practice, no source.
EASILY_PUT_RIGHT = Fraction(2)
A_MATTER_OF_TASTE = Fraction(8)
NOT_TO_BE_PUT_RIGHT = Fraction(24)
DAYS_TO_AN_INCH = 7

WASHED_FIRST = "it is washed first"
"""The remedy where a charity asks for washed quilts."""


@dataclass(frozen=True, slots=True)
class SideMiss:
    """One side outside a size rule: in which way (`too`: "wide"), by how many inches, in words, and the length that
    the charity would have to accept."""

    too: str
    off: Fraction
    what: str
    accept: str


@dataclass(frozen=True, slots=True)
class Miss:
    """A rule that the quilt does not meet: the rule's field, and what is wrong; for a size rule, each side.

    `off` is the distance in inches, for sorting. The quilt would fit if the charity accepted the lengths in `sides`, or
    once `put_right` is done; without either, it can't fit.
    """

    rule: str
    what: str
    off: Fraction
    put_right: str | None = None
    sides: tuple[SideMiss, ...] = ()


@dataclass(frozen=True, slots=True)
class Check:
    """A fact to check before the quilt is given: the empty field, and why it matters."""

    field: str
    why: str


Finding = Miss | Check | None


def checks_in_short(checks: Iterable[Check]) -> str:
    """What to check first, in one sentence; a beginning that several share appears once.

    `they refuse beads or buttons; they ask that it has a label and has been washed`.
    """
    gathered: dict[str, list[str]] = {}
    for why in dict.fromkeys(check.why for check in checks):
        alike = next((opening for opening in _SAID_TOGETHER if why.startswith(opening)), why)
        gathered.setdefault(alike, []).append(why.removeprefix(alike))
    return "; ".join(f"{opening}{listed(rest, _SAID_TOGETHER.get(opening, ''))}" for opening, rest in gathered.items())


_SAID_TOGETHER = {"they refuse ": "or", "they ask that it ": "and"}
"""Beginnings of checks that are joined into one, with the conjunction before the last."""


@dataclass(frozen=True, slots=True)
class Judgement:
    """The judgement of one quilt for one line. `misfit` is 0 for the best possible fit; `fit` describes the fit in
    words."""

    misses: tuple[Miss, ...]
    checks: tuple[Check, ...]
    misfit: int
    fit: str

    @property
    def verdict(self) -> Verdict:
        return "does not fit" if self.misses else "check first" if self.checks else "fits"

    @property
    def off(self) -> Fraction:
        """The distance from a fit, in inches; misses without a length count as set at the top of this module."""
        return sum((miss.off for miss in self.misses), Fraction(0))

    @property
    def reasons(self) -> tuple[str, ...]:
        """What prevents a fit: one sentence on the size, then each other miss."""
        size = [_in_one_sentence(self._sides)] if self._sides else []
        return (*size, *dict.fromkeys(miss.what for miss in self.misses if not miss.sides))

    @property
    def because(self) -> str:
        """The reasons, and what would remove them if that is short.

        `2 1/2 in too short; would fit if they accept 58`.
        """
        if len(self.reasons) > MOST_REMEDIES or not all(miss.sides or miss.put_right for miss in self.misses):
            return "; ".join(self.reasons)
        remedies = dict.fromkeys(miss.put_right for miss in self.misses if miss.put_right)
        if any(miss.sides and not miss.put_right for miss in self.misses):
            remedies = {f"they accept {listed(dict.fromkeys(side.accept for side in self._sides))}": None} | remedies
        when = "once it is washed" if list(remedies) == [WASHED_FIRST] else f"if {listed(remedies)}"
        return "; ".join([*self.reasons, f"would fit {when}"]) if self.misses else ""

    @property
    def _sides(self) -> list[SideMiss]:
        """Each side that misses a rule, once, by the rule that it misses most; width before length."""
        strictest: dict[str, SideMiss] = {}
        for side in (side for miss in self.misses for side in miss.sides):
            if side.too not in strictest or side.off > strictest[side.too].off:
                strictest[side.too] = side
        return sorted(strictest.values(), key=lambda side: TOO.index(side.too))


def _in_one_sentence(sides: list[SideMiss]) -> str:
    """The misses of both sides. Rules that contradict each other can find a side both too long and too short."""
    said = {side.too: side.what for side in sides}
    for less, more in (TOO[:2], TOO[2:]):
        if less in said and more in said:
            said[less] = f"{said[less]} by one of their rules and {said.pop(more)} by another"
    return listed(said.values())


TOO = ("narrow", "wide", "short", "long")
"""How a side can miss: the first two for the width or the shorter side, the others for the length or the longer."""

MOST_REMEDIES = 2
"""With more misses than this, remedies are left out: a list of them would not help."""
