"""A matching plan: the place of each quilt with its reason, open places, left-over quilts, what to make next."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Any

from collection.care.cautions import Reminder, minds
from collection.matching.judgement import Check
from collection.matching.wanted_words import wanted_words
from collection.quotes import listed
from collection.records.collection import Collection
from collection.records.request import Request
from collection.values.dates import EdtfDate
from collection.values.lengths import Size, Unit


@dataclass(frozen=True, slots=True)
class Assigned:
    """A quilt in a place: how it fits, why this quilt, and what to check before it leaves."""

    quilt: str
    request: str
    line: str
    fit: str
    why: str
    checks: tuple[Check, ...]

    @property
    def check_first(self) -> tuple[str, ...]:
        """The fields to check, each once."""
        return tuple(dict.fromkeys(check.field for check in self.checks))


@dataclass(frozen=True, slots=True)
class NearMiss:
    """A quilt that nearly fits a line, and what prevents a fit."""

    quilt: str
    because: str


@dataclass(frozen=True, slots=True)
class OpenPlaces:
    """The places of a line that no quilt fills, and the quilts that come nearest."""

    request: str
    line: str
    places: int
    nearest: tuple[NearMiss, ...]


@dataclass(frozen=True, slots=True)
class NearestLine:
    """The line that a quilt is nearest to fitting, and what prevents a fit."""

    request: str
    line: str
    because: str


@dataclass(frozen=True, slots=True)
class LeftOver:
    """An available quilt that gets no place; `nearest` is None if no request has open places."""

    quilt: str
    nearest: NearestLine | None


@dataclass(frozen=True, slots=True)
class MakeNext:
    """A kind of quilt to make, which fits the open places of all `lines`.

    `size` is the key of its category, None for any; `target` is the size to make, None if no rule asks for one, shown
    in `unit`; `in_inches` and `in_cm` are the same, rounded to sizes that all lines accept. `count` is the number of
    places, `must` how many of them are urgent, `by` the first day one is needed that has not passed. The rest comes
    from the rules: fibre by layer, what the quilt must be or have (`needs`), must not be or have (`without`), and for
    whom it is (`suits`).
    """

    size: str | None
    target: Size | None
    in_inches: Size | None
    in_cm: Size | None
    unit: Unit
    count: int
    must: int
    by: EdtfDate | None
    lines: tuple[tuple[str, str], ...]
    fibre: tuple[tuple[str, str], ...]
    needs: tuple[str, ...]
    without: tuple[str, ...]
    suits: tuple[str, ...]

    def say_size(self) -> str | None:
        """The size to make, exactly."""
        if self.target is None:
            return None
        shown = self.target.in_unit(self.unit)
        shown = shown if Size.parse(shown) == self.target else str(self.target)
        is_washed = "washed" in self.needs or "unwashed" in self.without
        return f"{shown}, measured after washing" if is_washed else shown

    def say_rules(self) -> str:
        """The rules in words: `top of cotton; must have a label; no buttons; for children`; empty if there are none."""
        layers = [f"{layer} of {made}" if made != "none" else f"no {layer}" for layer, made in self.fibre]
        words = [listed(layers), *wanted_words(self.needs, self.without)]
        words += [f"for {listed(self.suits)}" if self.suits else ""]
        return "; ".join(filter(None, words))


@dataclass(frozen=True, slots=True)
class CannotBeMade:
    """A line that no new quilt can fit, and why: its rules contradict each other, or the household."""

    request: str
    line: str
    because: str


@dataclass(frozen=True, slots=True)
class Undecided:
    """An undecided quilt. `would_fit` is the line with an open place that it fits best, as (request ID, line ID); None
    if there is none."""

    quilt: str
    would_fit: tuple[str, str] | None


@dataclass(frozen=True, slots=True)
class DayPassed:
    """An open request whose day has passed, for certain or perhaps: ask the charity before you promise quilts."""

    request: str
    needed_by: EdtfDate
    certain: bool

    def say(self) -> str:
        """`was needed by 15 May 2026, which has passed: ask whether they still want them before you promise any`."""
        passed = "which has passed" if self.certain else "which may have passed"
        return (
            f"was needed by {self.needed_by.say()}, {passed}: ask whether they still want them before you promise any"
        )


def days_passed(requests: Iterable[Request], on: date) -> tuple[DayPassed, ...]:
    """The requests whose day has passed, or may have passed, as of a day."""
    needed = ((each.id, each.needed_by) for each in requests if each.needed_by is not None)
    return tuple(DayPassed(each, day, how == "surely") for each, day in needed if (how := day.passed(on)) != "no")


@dataclass(frozen=True, slots=True)
class Plan:
    """The best plan for all open requests as of a day. Undecided quilts get no place; they are only counted."""

    assigned: tuple[Assigned, ...]
    open: tuple[OpenPlaces, ...]
    left_over: tuple[LeftOver, ...]
    make_next: tuple[MakeNext, ...]
    cannot_be_made: tuple[CannotBeMade, ...]
    undecided: tuple[Undecided, ...]
    day_passed: tuple[DayPassed, ...]

    def say_undecided(self) -> str:
        """How many quilts are left out because they are undecided."""
        count, fitting = len(self.undecided), sum(each.would_fit is not None for each in self.undecided)
        words = f"{count:,} {'quilt is' if count == 1 else 'quilts are'} undecided, and so not in this plan"
        if not self.open:
            return f"{words}."
        if count == 1:
            return f"{words}; it would fit {'a' if fitting else 'no'} place that stays open."
        return f"{words}; {f'{fitting:,}' if fitting else 'none'} of them would fit a place that stays open."

    def as_data(self) -> dict[str, Any]:
        """The plan as plain data for JSON: keys in snake case, dates as EDTF, lengths in inches and centimetres."""
        return {
            "assigned": [
                {
                    "quilt": each.quilt,
                    "request": each.request,
                    "line": each.line,
                    "fit": f"{each.fit}; {each.why}",
                    "check_first": list(each.check_first),
                }
                for each in self.assigned
            ],
            "open": [
                {
                    "request": each.request,
                    "line": each.line,
                    "places": each.places,
                    "nearest": [{"quilt": near.quilt, "because": near.because} for near in each.nearest],
                }
                for each in self.open
            ],
            "left_over": [{"quilt": each.quilt, "nearest": _nearest(each.nearest)} for each in self.left_over],
            "make_next": [
                {
                    "size": each.size,
                    "target": _target(each),
                    "count": each.count,
                    "must": each.must,
                    "by": str(each.by) if each.by else None,
                    "for": [_place(place) for place in each.lines],
                    "fibre": dict(each.fibre),
                    "needs": list(each.needs),
                    "no": list(each.without),
                    "suits": list(each.suits),
                }
                for each in self.make_next
            ],
            "cannot_be_made": [
                {"request": each.request, "line": each.line, "because": each.because} for each in self.cannot_be_made
            ],
            "undecided": [
                {"quilt": each.quilt, "would_fit": _place(each.would_fit) if each.would_fit else None}
                for each in self.undecided
            ],
            "day_passed": [
                {"request": each.request, "needed_by": str(each.needed_by), "certain": each.certain}
                for each in self.day_passed
            ],
        }


def _place(place: tuple[str, str]) -> dict[str, Any]:
    return {"request": place[0], "line": place[1]}


def _nearest(nearest: NearestLine | None) -> dict[str, Any] | None:
    if nearest is None:
        return None
    return {"request": nearest.request, "line": nearest.line, "because": nearest.because}


def _target(each: MakeNext) -> dict[str, Any] | None:
    if each.target is None or each.in_inches is None or each.in_cm is None:
        return None
    sides = {
        side: {"in": getattr(each.in_inches, side).exactly_in_inches(), "cm": float(getattr(each.in_cm, side).cm)}
        for side in ("width", "length")
    }
    return sides | {"exact": str(each.target)}


def reminders_of_plan(collection: Collection, plan: Plan) -> tuple[Reminder, ...]:
    """The reminders for the quilts and places of a plan."""
    return minds(collection, [(collection.quilts[each.quilt], (each.request, each.line)) for each in plan.assigned])
