"""Matching: the best plan for the quilts that look for a home and the places of open requests, with its reasons.

Each quilt goes to at most one place. Hard rules say who may (`rules`), the order of aims says which is best
(`optimum`); a quilt of which something is not recorded is matched last and told as "check first". The same
records give the same plan, in whatever order they are read.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from functools import cached_property

from collection.holdings import Collection
from collection.judgement_table import DOES_NOT_FIT, FITS, JudgementTable
from collection.making_next import make_next
from collection.optimum import Line, Pairs, Request, best_places
from collection.places import OpenLine, OpenRequest, open_requests, waiting_quilts
from collection.plans import Assigned, LeftOver, NearestLine, NearMiss, OpenPlaces, Plan
from collection.records.quilt import Quilt

NEAREST_SHOWN = 3


def match(collection: Collection, *, on: date) -> Plan:
    """The best plan on a day, for all open requests and all quilts that look for a home."""
    requests = open_requests(collection)
    quilts = waiting_quilts(collection.quilts.values())
    lines = tuple(line for request in requests for line in request.lines)
    table = JudgementTable.of(lines, quilts, on)
    places = best_places(*case_of(requests, lines, table))
    return _Reasons(collection, on, lines, quilts, table, places).plan()


def case_of(
    requests: Sequence[OpenRequest], lines: Sequence[OpenLine], table: JudgementTable
) -> tuple[list[Line], list[Request], Pairs]:
    """The case in numbers: lines in the order of their IDs, quilts in the order in which they wait."""
    numbers = {request.request.id: number for number, request in enumerate(requests)}
    in_numbers = [Line(line.places, line.line.priority == "must", numbers[line.request.id]) for line in lines]
    line, quilt = (table.verdict < DOES_NOT_FIT).nonzero()
    pairs = Pairs(quilt, line, table.verdict[line, quilt] != FITS, table.misfit[line, quilt])
    return in_numbers, [Request(request.asked, request.filled) for request in requests], pairs


@dataclass(frozen=True)
class _Reasons:
    """What can be said of a plan: why each quilt, and what stood in the way of the others."""

    collection: Collection
    on: date
    lines: tuple[OpenLine, ...]
    quilts: tuple[Quilt, ...]
    table: JudgementTable
    places: dict[int, int]

    def plan(self) -> Plan:
        short = [
            (line, places) for number, line in enumerate(self.lines) if (places := self._places_left(number))
        ]
        return Plan(
            assigned=tuple(
                self._assigned(*pair) for pair in sorted(self.places.items(), key=lambda pair: pair[::-1])
            ),
            open=tuple(
                self._open(number, places)
                for number in range(len(self.lines))
                if (places := self._places_left(number))
            ),
            left_over=tuple(
                sorted((self._left_over(quilt) for quilt in self._unplaced), key=lambda each: each.quilt)
            ),
            make_next=make_next(short, self.collection.size_names),
        )

    @cached_property
    def _unplaced(self) -> list[int]:
        return [number for number in range(len(self.quilts)) if number not in self.places]

    @cached_property
    def _taken(self) -> dict[int, list[int]]:
        """The quilts that go to each line, in the order in which they wait."""
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
        """Why this quilt and no other that would fit the line."""
        fitting = (self.table.verdict[line] < DOES_NOT_FIT).nonzero()[0].tolist()
        rivals = [other for other in fitting if other not in self.places]
        if not rivals:
            return "the only one that fits" if len(fitting) == 1 else "no other that fits is left"
        rival = min(rivals, key=lambda other: self._liking(other, line))
        mine, its = self._liking(quilt, line), self._liking(rival, line)
        name = self.quilts[rival].title
        if mine[0] < its[0]:
            return f"nothing to check first, unlike {name}"
        return f"fits better than {name}" if mine[1] < its[1] else f"has waited longer than {name}"

    def _liking(self, quilt: int, line: int) -> tuple[int, int, int]:
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
            key=lambda number: (
                verdict[number] == DOES_NOT_FIT,
                off[number],
                verdict[number],
                misfit[number],
                number,
            ),
        )
        place = self.lines[line]
        judgement = place.requirements.judge(self.quilts[quilt], self.on)
        because = judgement.because or self._filled(line)
        return LeftOver(self.quilts[quilt].id, NearestLine(place.request.id, place.line.id, because))

    def _filled(self, line: int) -> str:
        """Who has the places of a line that a left-over quilt fits."""
        names = [self.quilts[quilt].title for quilt in self._taken.get(line, ())]
        shown = names[:NEAREST_SHOWN]
        more = f" and {len(names) - len(shown)} more" if len(names) > len(shown) else ""
        return f"it fits, but every place that it fits is filled, here by {', '.join(shown)}{more}"
