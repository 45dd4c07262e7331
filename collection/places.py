"""The places that open requests still have, and the quilts that may go, the longest waiting first."""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property

from collection.holdings import Collection
from collection.records.destinations import Donated, Promised, Staying
from collection.records.quilt import Quilt
from collection.records.request import Request, RequestLine
from collection.rules import Requirements, effective_rules


@dataclass(frozen=True)
class OpenLine:
    """A line of an open request, with its rules made ready; `places` are those not promised or given yet."""

    request: Request
    line: RequestLine
    requirements: Requirements
    places: int


@dataclass(frozen=True)
class OpenRequest:
    """An open request: what it asked for in all, and how many of those are promised or given."""

    request: Request
    lines: tuple[OpenLine, ...]
    asked: int
    filled: int


@dataclass(frozen=True)
class Answers:
    """How many quilts answer each line, and each request without naming a line."""

    by_line: Counter[tuple[str, str | None]]

    @classmethod
    def of(cls, collection: Collection) -> "Answers":
        found = (line_answered(quilt) for quilt in collection.quilts.values())
        return cls(Counter(answered for answered in found if answered is not None))

    def to(self, request: Request, line: RequestLine) -> int:
        return self.by_line[request.id, line.id]

    def filled(self, request: Request) -> int:
        """Places taken, where more than a line asked for take no place of another line."""
        in_lines = sum(min(line.count, self.to(request, line)) for line in request.lines)
        asked = sum(line.count for line in request.lines)
        return min(asked, in_lines + self.by_line[request.id, None])


def line_answered(quilt: Quilt) -> tuple[str, str | None] | None:
    """The request, and its line if one is named, that a quilt is promised or given to.

    One that went elsewhere than it was meant to leaves its place open.
    """
    destination = quilt.destination
    if not isinstance(destination, Promised | Donated) or destination.request is None:
        return None
    if isinstance(destination, Donated) and destination.meant_for is not None:
        return None
    return destination.request, destination.line


def open_requests(collection: Collection) -> tuple[OpenRequest, ...]:
    """The requests that are not closed, and their lines, each in the order of their IDs."""
    answers = Answers.of(collection)
    found = sorted(collection.requests.values(), key=lambda request: request.id)
    return tuple(_open(collection, request, answers) for request in found if request.closed is None)


def requirements_of(collection: Collection, request: Request, line: RequestLine) -> Requirements:
    """The rules of a line, made ready; its words are in the units of the request."""
    partner = collection.partners.get(request.partner)
    rules = effective_rules(partner.rules, line) if partner else line
    return Requirements.of(
        rules,
        needed_by=request.needed_by,
        boxes=collection.size_boxes,
        household=collection.settings.household,
        unit=request.units or (partner.units if partner else None) or collection.settings.units,
    )


@dataclass(frozen=True)
class _Waiting:
    quilts: tuple[Quilt, ...]

    @cached_property
    def neutral(self) -> int:
        """What a quilt whose date is not known counts as: neither old nor new, the middle of those known."""
        known = sorted(
            quilt.made.earliest.toordinal() for quilt in self.quilts if quilt.made and quilt.made.earliest
        )
        return known[(len(known) - 1) // 2] if known else 0

    def since(self, quilt: Quilt) -> int:
        return quilt.made.earliest.toordinal() if quilt.made and quilt.made.earliest else self.neutral


def waiting_quilts(quilts: Iterable[Quilt]) -> tuple[Quilt, ...]:
    """The quilts that look for a home, from the one that was made first; of two alike, by ID.

    A date counts by its first possible day; one that has none stands in the middle.
    """
    free = tuple(q for q in quilts if isinstance(q.destination, Staying) and q.destination.is_ == "free")
    waiting = _Waiting(free)
    return tuple(sorted(free, key=lambda quilt: (waiting.since(quilt), quilt.id)))


def _open(collection: Collection, request: Request, answers: Answers) -> OpenRequest:
    lines = tuple(
        OpenLine(
            request,
            line,
            requirements_of(collection, request, line),
            max(0, line.count - answers.to(request, line)),
        )
        for line in sorted(request.lines, key=lambda line: line.id)
    )
    asked = sum(line.count for line in request.lines)
    return OpenRequest(request, lines, asked, answers.filled(request))
