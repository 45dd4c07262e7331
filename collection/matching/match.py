"""Matching: the best plan for the available quilts and the places of open requests, with its reasons.

Each quilt gets at most one place. Hard rules decide what fits (`rules`), and ordered aims decide which plan is best
(`solver`). Quilts that lack a fact are matched last, as "check first". The plan does not depend on the order of input.
"""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cached_property

from collection.matching.judgement_table import DOES_NOT_FIT, FITS, JudgementTable
from collection.matching.make_next import make_next
from collection.matching.open_places import OpenLine, OpenRequest, open_requests, undecided_quilts, waiting_quilts
from collection.matching.plan import Assigned, LeftOver, NearestLine, NearMiss, OpenPlaces, Plan, Undecided, days_passed
from collection.matching.solver import Line, Pairs, Request, best_places
from collection.records.collection import Collection
from collection.records.quilt import Quilt

NEAREST_SHOWN = 3


def match(collection: Collection, *, on: date) -> Plan:
    """The best plan as of a day, for all open requests and all available quilts."""
    requests = open_requests(collection)
    quilts = waiting_quilts(collection.quilts.values())
    lines = tuple(line for request in requests for line in request.lines)
    table = JudgementTable.of(lines, quilts, on)
    places = best_places(*case_of(requests, lines, table, on))
    return _Reasons(collection, on, requests, lines, quilts, table, places).plan()


def case_of(
    requests: Sequence[OpenRequest], lines: Sequence[OpenLine], table: JudgementTable, on: date
) -> tuple[list[Line], list[Request], Pairs]:
    """The input of the solver: lines by ID, quilts by waiting time, both as indexes.

    A line whose day has passed no longer counts as `must`, so that current needs come first.
    """
    numbers = {request.request.id: number for number, request in enumerate(requests)}
    passed = {each.request for each in days_passed((request.request for request in requests), on)}
    in_numbers = [
        Line(line.places, line.line.priority == "must" and line.request.id not in passed, numbers[line.request.id])
        for line in lines
    ]
    line, quilt = (table.verdict < DOES_NOT_FIT).nonzero()
    pairs = Pairs(quilt, line, table.verdict[line, quilt] != FITS, table.misfit[line, quilt])
    return in_numbers, [Request(request.asked, request.filled) for request in requests], pairs


@dataclass(frozen=True)
class _Reasons:
    """Explains a plan: why each quilt has its place, and what prevents the others."""

    collection: Collection
    on: date
    requests: tuple[OpenRequest, ...]
    lines: tuple[OpenLine, ...]
    quilts: tuple[Quilt, ...]
    table: JudgementTable
    places: dict[int, int]

    def plan(self) -> Plan:
        short = [(self.lines[number], places) for number, places in self._short.items()]
        to_make, cannot_be_made = make_next(short, self.collection.size_names, self.on)
        return Plan(
            assigned=tuple(self._assigned(*pair) for pair in sorted(self.places.items(), key=lambda pair: pair[::-1])),
            open=tuple(self._open(number, places) for number, places in self._short.items()),
            left_over=tuple(sorted((self._left_over(quilt) for quilt in self._unplaced), key=lambda each: each.quilt)),
            make_next=to_make,
            cannot_be_made=cannot_be_made,
            undecided=tuple(self._undecided()),
            day_passed=days_passed((each.request for each in self.requests if each.filled < each.asked), self.on),
        )

    @cached_property
    def _short(self) -> dict[int, int]:
        """The lines that keep open places, and how many.

        Quilts promised to a request without a line fill places in it as well; they count against its last lines that
        are not `must`.
        """
        short = {number: places for number, line in enumerate(self.lines) if (places := self._places_left(number))}
        room = {each.request.id: each.asked - each.filled - self._to_request[each.request.id] for each in self.requests}
        must_first = sorted(short, key=lambda number: (self.lines[number].line.priority != "must", number))
        kept = {}
        for number in must_first:
            request = self.lines[number].request.id
            kept[number] = min(short[number], room[request])
            room[request] -= kept[number]
        return {number: kept[number] for number in short if kept[number]}

    @cached_property
    def _to_request(self) -> Counter[str]:
        return Counter(self.lines[line].request.id for line in self.places.values())

    def _undecided(self) -> Iterator[Undecided]:
        """Each undecided quilt, with the line with open places that it would fit best."""
        quilts = undecided_quilts(self.collection.quilts.values())
        lines = [self.lines[number] for number in self._short]
        if not lines:
            yield from (Undecided(quilt.id, None) for quilt in quilts)
            return
        table = JudgementTable.of(lines, quilts, self.on)
        for number, quilt in enumerate(quilts):
            verdict, misfit = (column[:, number].tolist() for column in (table.verdict, table.misfit))
            fitting = [line for line in range(len(lines)) if verdict[line] != DOES_NOT_FIT]
            best = min(fitting, key=lambda line: (verdict[line], misfit[line], line), default=None)
            place = None if best is None else (lines[best].request.id, lines[best].line.id)
            yield Undecided(quilt.id, place)

    @cached_property
    def _unplaced(self) -> list[int]:
        return [number for number in range(len(self.quilts)) if number not in self.places]

    @cached_property
    def _taken(self) -> dict[int, list[int]]:
        """The quilts assigned to each line, by waiting time."""
        taken: dict[int, list[int]] = {}
        for quilt, line in sorted(self.places.items()):
            taken.setdefault(line, []).append(quilt)
        return taken

    def _places_left(self, line: int) -> int:
        return self.lines[line].places - len(self._taken.get(line, ()))

    def _assigned(self, quilt: int, line: int) -> Assigned:
        place = self.lines[line]
        judgement = place.requirements.judge(self.quilts[quilt], self.on)
        return Assigned(
            quilt=self.quilts[quilt].id,
            request=place.request.id,
            line=place.line.id,
            fit=judgement.fit,
            why=self._why(quilt, line),
            checks=judgement.checks,
        )

    def _why(self, quilt: int, line: int) -> str:
        """Why this quilt, and not another that fits the line."""
        fitting = (self.table.verdict[line] < DOES_NOT_FIT).nonzero()[0].tolist()
        rivals = [other for other in fitting if other not in self.places]
        if not rivals:
            return "the only one that fits" if len(fitting) == 1 else "the only one left that fits"
        rival = min(rivals, key=lambda other: self._preference(other, line))
        mine, its = self._preference(quilt, line), self._preference(rival, line)
        name = self.quilts[rival].title
        if mine[0] < its[0]:
            return f"nothing to check first, unlike {name}"
        if mine[1] < its[1]:
            return f"fits better than {name}"
        return self._waited(self.quilts[quilt], self.quilts[rival])

    def _waited(self, quilt: Quilt, rival: Quilt) -> str:
        """Why this one of two quilts that fit equally well: the earlier one, where that is known."""
        if quilt.made is not None and rival.made is not None:
            if quilt.made.surely_before(rival.made):
                return f"has waited longer than {rival.title}"
            if quilt.made.exact_day is not None and quilt.made.exact_day == rival.made.exact_day:
                return f"fits as well as {rival.title}, which was made on the same day"
        return f"fits as well as {rival.title}; which of the two was made first is not known"

    def _preference(self, quilt: int, line: int) -> tuple[int, int, int]:
        return int(self.table.verdict[line, quilt]), int(self.table.misfit[line, quilt]), quilt

    def _open(self, line: int, places: int) -> OpenPlaces:
        place = self.lines[line]
        off, verdict = self.table.off[line].tolist(), self.table.verdict[line].tolist()
        missing = [quilt for quilt in self._unplaced if verdict[quilt] == DOES_NOT_FIT]
        nearest = sorted(missing, key=lambda quilt: (off[quilt], quilt))[:NEAREST_SHOWN]
        return OpenPlaces(
            request=place.request.id,
            line=place.line.id,
            places=places,
            nearest=tuple(
                NearMiss(self.quilts[quilt].id, place.requirements.judge(self.quilts[quilt], self.on).because)
                for quilt in nearest
            ),
        )

    def _left_over(self, quilt: int) -> LeftOver:
        wanting = [number for number, line in enumerate(self.lines) if line.places]
        if not wanting:
            return LeftOver(self.quilts[quilt].id, None)
        verdict, misfit, off = (
            column[:, quilt].tolist() for column in (self.table.verdict, self.table.misfit, self.table.off)
        )
        line = min(
            wanting,
            key=lambda number: (verdict[number] == DOES_NOT_FIT, off[number], verdict[number], misfit[number], number),
        )
        place = self.lines[line]
        judgement = place.requirements.judge(self.quilts[quilt], self.on)
        because = judgement.because or self._filled(line)
        return LeftOver(self.quilts[quilt].id, NearestLine(place.request.id, place.line.id, because))

    def _filled(self, line: int) -> str:
        """Which quilts fill the line that a left-over quilt fits."""
        names = [self.quilts[quilt].title for quilt in self._taken.get(line, ())]
        shown = names[:NEAREST_SHOWN]
        more = f" and {len(names) - len(shown)} more" if len(names) > len(shown) else ""
        here = f", here by {', '.join(shown)}{more}" if shown else ""
        return f"it fits, but every place that it fits is filled{here}"
