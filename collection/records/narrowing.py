"""Narrows dates that are known only in part by other dates of the same quilt.

A quilt can't be delivered before it was handed over, nor after the charity's letter came: with `handed_over: 2026-04-10`,
`delivered: 2026-04` means 10 to 30 April.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, timedelta

from collection.records.destinations import AtHome, Destination, Lost, Promised, Step, steps_of
from collection.records.quilt import Quilt
from collection.values.dates import EdtfDate

A_YEAR = timedelta(days=366)


def narrowed(
    when: EdtfDate | None, *, after: Iterable[EdtfDate | None] = (), before: Iterable[EdtfDate | None] = ()
) -> EdtfDate | None:
    """The date without the days before the dates in `after`, and without those after the dates in `before`.

    A date with a qualifier narrows no other. If the others leave a year or less, or exclude all of its days, they alone
    bound the result; else it loses the excluded days, and keeps its qualifier if it keeps an end. If no day is left, the
    dates contradict each other, and `when` is returned unchanged. If `when` is None (not recorded), the others alone
    bound the result.

    >>> narrowed(EdtfDate("2026-04"), after=[EdtfDate("2026-04-10"), EdtfDate("2025")]).edtf
    '2026-04-10/2026-04-30'
    >>> narrowed(EdtfDate("2026-04"), after=[EdtfDate("2026-04-10~"), EdtfDate("2026-05")]).edtf
    '2026-04'
    >>> narrowed(EdtfDate("2026?"), after=[EdtfDate("2026-06-01")]).edtf
    '2026-06-01/2026-12-31?'
    >>> narrowed(EdtfDate("2026?"), after=[EdtfDate("2026-06-01")], before=[EdtfDate("2026-08-01")]).edtf
    '2026-06-01/2026-08-01'
    """
    first, last = _bounds(after, before)
    if _is_empty(first, last):
        return when
    if when is None:
        return EdtfDate(_edtf(first, last)) if first or last else None
    if _is_in_doubt(when) and first and last and last - first < A_YEAR:
        return EdtfDate(_edtf(first, last))
    return _cut(when, first, last)


def narrowed_in_doubt(
    when: EdtfDate | None, *, after: Iterable[EdtfDate | None] = (), before: Iterable[EdtfDate | None] = ()
) -> EdtfDate | None:
    """As `narrowed`, but a date with a qualifier keeps its own days as far as the others leave any: those on which it
    most likely was.

    >>> narrowed_in_doubt(EdtfDate("2026-05?"), after=[EdtfDate("2026-03")], before=[EdtfDate("2026-12")]).edtf
    '2026-05?'
    """
    if when is None or not _is_in_doubt(when):
        return narrowed(when, after=after, before=before)
    first, last = _bounds(after, before)
    return when if _is_empty(first, last) else _cut(when, first, last)


def _bounds(after: Iterable[EdtfDate | None], before: Iterable[EdtfDate | None]) -> tuple[date | None, date | None]:
    """The first and last day that the dates without a qualifier allow; None if there is no bound."""
    first = max((each.earliest for each in _certain(after) if each.earliest is not None), default=None)
    last = min((each.latest for each in _certain(before) if each.latest is not None), default=None)
    return first, last


def _cut(when: EdtfDate, first: date | None, last: date | None) -> EdtfDate:
    """The date without the days outside these bounds. If that excludes all days of a date in doubt, the bounds alone."""
    start = max((day for day in (when.earliest, first) if day is not None), default=None)
    end = min((day for day in (when.latest, last) if day is not None), default=None)
    if (start, end) == (when.earliest, when.latest):
        return when
    if _is_empty(start, end):
        return EdtfDate(_edtf(first, last)) if _is_in_doubt(when) else when
    keeps_an_end = start is not None and start != first or end is not None and end != last
    return EdtfDate(_edtf(start, end, _qualifier(when) if keeps_an_end else ""))


def _certain(dates: Iterable[EdtfDate | None]) -> Iterator[EdtfDate]:
    return (each for each in dates if each is not None and not _is_in_doubt(each))


def _is_in_doubt(when: EdtfDate) -> bool:
    return when.approximate or when.uncertain


def _qualifier(when: EdtfDate) -> str:
    if when.approximate and when.uncertain:
        return "%"
    return "~" if when.approximate else "?" if when.uncertain else ""


def _is_empty(first: date | None, last: date | None) -> bool:
    return first is not None and last is not None and first > last


def _edtf(first: date | None, last: date | None, qualifier: str = "") -> str:
    """The EDTF text of these bounds; a qualifier is written after the last of them."""
    if first == last and first is not None:
        return f"{first.isoformat()}{qualifier}"
    if last is None:
        return f"{first.isoformat() if first else '..'}{qualifier if first else ''}/.."
    return f"{first.isoformat() if first else '..'}/{last.isoformat()}{qualifier}"


# The dates of a quilt ---------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Contradiction:
    """Two steps in the wrong order: `second` must follow `first`, but its recorded date is earlier."""

    first: Step
    second: Step

    def say(self) -> str:
        """The two in words: `it was delivered (April 2026) before it was handed over (May 2026)`."""
        return " before ".join(
            f"{each.happened} ({each.when.say()})" for each in (self.second, self.first) if each.when is not None
        )


@dataclass(frozen=True, slots=True)
class StepInItsPlace:
    """A step, with the steps that must be earlier and those that must be later, all in order.

    `on` is the day as of which all is known, if any: a recorded date that may be before it counts as past.
    """

    step: Step
    earlier: tuple[Step, ...]
    later: tuple[Step, ...]
    on: date | None = None

    @property
    def when(self) -> EdtfDate | None:
        """The date of the step, narrowed by the other steps; as recorded if any of them contradict each other."""
        if self.contradiction is not None:
            return self.step.when
        return narrowed(self.step.when, after=[each.when for each in self.earlier], before=self._before())

    @property
    def most_likely(self) -> EdtfDate | None:
        """As `when`, but a date with a qualifier keeps its own days as far as the other steps leave any."""
        if self.contradiction is not None:
            return self.step.when
        return narrowed_in_doubt(self.step.when, after=[each.when for each in self.earlier], before=self._before())

    @property
    def not_before(self) -> EdtfDate | None:
        """The date of the step, narrowed by earlier steps only."""
        return StepInItsPlace(self.step, self.earlier, ()).when

    def _before(self) -> list[EdtfDate | None]:
        before = [each.when for each in self.later]
        if self.on is None or self.step.when is None:
            return before
        start = self.not_before
        is_later = start is not None and start.earliest is not None and start.earliest > self.on
        return before if is_later else [*before, EdtfDate(f"../{self.on}")]

    @property
    def contradiction(self) -> Contradiction | None:
        """Two of all these steps that are in the wrong order, or None. A date with a qualifier contradicts no other."""
        begun: tuple[date, Step] | None = None
        for step in (*self.earlier, self.step, *self.later):
            if step.when is None or _is_in_doubt(step.when):
                continue
            if begun is not None and step.when.latest is not None and step.when.latest < begun[0]:
                return Contradiction(begun[1], step)
            if step.when.earliest is not None and (begun is None or step.when.earliest > begun[0]):
                begun = step.when.earliest, step
        return None


def step_of(
    quilt: Quilt, number: int, field: str, *, planned: Destination | None = None, on: date | None = None
) -> StepInItsPlace:
    """The step that a field of a destination records. `number` is the destination's index in the quilt's history; the
    next number is its present destination, or `planned` in its place. `on` is the day as of which the quilt is, if any.
    """
    ways = (*quilt.history, planned or quilt.destination)
    own = steps_of(ways[number])
    place = next(place for place, step in enumerate(own) if step.field == field)
    before = () if isinstance(ways[number], Promised) else steps_before(quilt, number)
    made = [] if isinstance(ways[number], AtHome) else [Step("made", "it was made", quilt.made)]
    afterwards = [step for way in ways[number + 1 :] for step in _steps_that_place(way)]
    return StepInItsPlace(own[place], (*made, *before, *own[:place]), (*own[place + 1 :], *afterwards), on)


def steps_before(quilt: Quilt, number: int) -> tuple[Step, ...]:
    """The steps of earlier destinations, which must all be before the steps of destination `number`."""
    return tuple(
        step
        for way in quilt.history[:number]
        for step in _steps_that_place(way)
        if not (isinstance(way, Lost) and step.field == "on")
    )


def _steps_that_place(way: Destination) -> Iterator[Step]:
    """The steps that show when the quilt was at this destination.

    Not letters, which may come late, nor promises, which may be made while the quilt is away or not finished. A quilt
    that is missed may have arrived elsewhere before: that date bounds only earlier steps.
    """
    return (step for step in steps_of(way) if step.field != "acknowledged" and not isinstance(way, Promised))
