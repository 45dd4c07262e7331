"""The judgement of a quilt for a line: what it misses and by how much, what to check first, how well it fits."""

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from collection.quotes import listed

Verdict = Literal["fits", "check first", "does not fit"]

# How far away a miss is that no ruler measures, in inches: what can be put right at home is near, what can't is
# far. It orders the nearest misses and decides nothing else. Common practice, no source.
EASILY_PUT_RIGHT = Fraction(2)
A_MATTER_OF_TASTE = Fraction(8)
NOT_TO_BE_PUT_RIGHT = Fraction(24)
DAYS_TO_AN_INCH = 7

WASHED_FIRST = "it is washed first"
"""What puts right that they ask for washed quilts."""


@dataclass(frozen=True, slots=True)
class SideMiss:
    """One side that a rule on size does not take: how it is too much or too little (`wide`), by how many inches, in
    words, and the length that they would have to accept."""

    too: str
    off: Fraction
    what: str
    accept: str


@dataclass(frozen=True, slots=True)
class Miss:
    """A rule that does not hold: the rule's field, and what is so; of a rule on size, side by side.

    `off` is how far away it is, in inches, to order misses by. The quilt would fit if they accepted the lengths of its
    `sides`, or once `put_right` is done; where there is neither, nothing helps.
    """

    rule: str
    what: str
    off: Fraction
    put_right: str | None = None
    sides: tuple[SideMiss, ...] = ()


@dataclass(frozen=True, slots=True)
class Check:
    """A fact to check before the quilt is given: the field without an answer, and why it matters."""

    field: str
    why: str


Finding = Miss | Check | None


def checks_in_short(checks: Iterable[Check]) -> str:
    """What to check first, in one sentence; what begins alike is said once.

    `they refuse beads or buttons; they ask that it has a label and has been washed`.
    """
    gathered: dict[str, list[str]] = {}
    for why in dict.fromkeys(check.why for check in checks):
        alike = next((opening for opening in _SAID_TOGETHER if why.startswith(opening)), why)
        gathered.setdefault(alike, []).append(why.removeprefix(alike))
    return "; ".join(f"{opening}{listed(rest, _SAID_TOGETHER.get(opening, ''))}" for opening, rest in gathered.items())


_SAID_TOGETHER = {"they refuse ": "or", "they ask that it ": "and"}
"""How checks begin that are said together, with the word before the last of them."""


@dataclass(frozen=True, slots=True)
class Judgement:
    """The judgement of one quilt for one line. `misfit` is 0 for what could not be liked better; `fit` says it in
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
        """How far it is from fitting, in inches; what can't be measured counts as set out above."""
        return sum((miss.off for miss in self.misses), Fraction(0))

    @property
    def reasons(self) -> tuple[str, ...]:
        """What prevents a fit: the size in one sentence, however many rules it misses, then each other thing."""
        size = [_in_one_sentence(self._sides)] if self._sides else []
        return (*size, *dict.fromkeys(miss.what for miss in self.misses if not miss.sides))

    @property
    def because(self) -> str:
        """The reasons, and what would change them where that can be said in a few words.

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
        """Each side that is missed once, by the strictest of the rules that it misses; width comes before length."""
        strictest: dict[str, SideMiss] = {}
        for side in (side for miss in self.misses for side in miss.sides):
            if side.too not in strictest or side.off > strictest[side.too].off:
                strictest[side.too] = side
        return sorted(strictest.values(), key=lambda side: TOO.index(side.too))


def _in_one_sentence(sides: list[SideMiss]) -> str:
    """What is missed of both sides. Rules that contradict each other may find one side too much and too little."""
    said = {side.too: side.what for side in sides}
    for less, more in (TOO[:2], TOO[2:]):
        if less in said and more in said:
            said[less] = f"{said[less]} by one of their rules and {said.pop(more)} by another"
    return listed(said.values())


TOO = ("narrow", "wide", "short", "long")
"""How a side can miss: the first two of width or of the shorter side, the others of length or of the longer."""

MOST_REMEDIES = 2
"""With more than so much in the way, nothing is gained by saying how all of it could be put right."""
