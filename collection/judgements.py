"""How a quilt stands to a line, as a value: what is missed and by how much, what to check first, how well it fits."""

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

Verdict = Literal["fits", "check first", "does not fit"]

# How far away a miss is that no ruler measures, in inches: what can be put right at home is near, what can't is
# far. It orders the nearest misses and decides nothing else. Common practice, no source.
EASILY_PUT_RIGHT = Fraction(2)
A_MATTER_OF_TASTE = Fraction(8)
NOT_TO_BE_PUT_RIGHT = Fraction(24)
DAYS_TO_AN_INCH = 7


@dataclass(frozen=True, slots=True)
class Miss:
    """A rule that does not hold: the rule's field, and what is so.

    `off` is how far away it is, in inches, to order misses by. The quilt would fit if they accepted the size
    `accept`, or once `put_right` is done; where there is neither, nothing helps.
    """

    rule: str
    what: str
    off: Fraction
    accept: str | None = None
    put_right: str | None = None


@dataclass(frozen=True, slots=True)
class Check:
    """A fact to look at before the quilt goes: the field that does not tell, and why it matters."""

    field: str
    why: str


Finding = Miss | Check | None


@dataclass(frozen=True, slots=True)
class Judgement:
    """How one quilt stands to one line. `misfit` is 0 for what could not be liked better; `fit` says it in words."""

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
    def because(self) -> str:
        """What stands in the way, and what would change it where that can be said in a few words.

        `2 1/2 in too short; would fit if they accept 58`.
        """
        sizes = [miss for miss in self.misses if miss.rule in SIZE_FIELDS]
        others = [miss for miss in self.misses if miss.rule not in SIZE_FIELDS]
        whats = [listed(dict.fromkeys(miss.what for miss in sizes))] if sizes else []
        whats += dict.fromkeys(miss.what for miss in others)
        if len(whats) > MOST_REMEDIES or not all(miss.accept or miss.put_right for miss in self.misses):
            return "; ".join(whats)
        accepted = listed(dict.fromkeys(miss.accept for miss in sizes if miss.accept))
        remedies = [f"they accept {accepted}"] if accepted else []
        remedies += dict.fromkeys(miss.put_right for miss in self.misses if miss.put_right)
        return "; ".join([*whats, f"would fit if {listed(remedies)}"]) if whats else ""


SIZE_FIELDS = ("size", "shorter_side", "longer_side", "width", "length", "ideal")

MOST_REMEDIES = 2
"""With more than so much in the way, nothing is gained by saying how all of it could be put right."""


def listed(words: Iterable[str]) -> str:
    """Words as a sentence lists them: `a`, `a and b`, `a, b and c`."""
    words = tuple(words)
    return " and ".join(filter(None, [", ".join(words[:-1]), words[-1]])) if words else ""
