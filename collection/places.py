"""The places that open requests still have, and the quilts that may go, the longest waiting first."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from collection.holdings import Collection, stays
from collection.records.destinations import Donated, Promised
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


@dataclass(frozen=True, slots=True)
class Taken:
    """The quilts that have places of a line, in the order of their IDs: still in the house, or given."""

    promised: tuple[Quilt, ...] = ()
    given: tuple[Quilt, ...] = ()

    def __len__(self) -> int:
        return len(self.promised) + len(self.given)

    def open(self, line: RequestLine) -> int:
        """The places of the line that nobody has."""
        return max(0, line.count - len(self))


@dataclass(frozen=True)
class Answers:
    """Which quilts answer each line, and each request without naming a line: whatever counts places asks here."""

    by_line: Mapping[tuple[str, str | None], Taken]

    @classmethod
    def of(cls, collection: Collection) -> "Answers":
        promised: dict[tuple[str, str | None], list[Quilt]] = defaultdict(list)
        given: dict[tuple[str, str | None], list[Quilt]] = defaultdict(list)
        for quilt in collection.quilts.values():
            if (answered := line_answered(quilt, collection.requests)) is not None:
                (promised if quilt.in_the_house else given)[answered].append(quilt)
        return cls(
            {
                answered: Taken(tuple(promised[answered]), tuple(given[answered]))
                for answered in sorted({*promised, *given}, key=lambda each: (each[0], each[1] or ""))
            }
        )

    def to(self, request_id: str, line_id: str | None) -> Taken:
        """What answers a line; with None, what answers the request without naming one."""
        return self.by_line.get((request_id, line_id), Taken())

    def filled(self, request: Request) -> int:
        """Places taken, where more than a line asked for take no place of another line."""
        in_lines = sum(min(line.count, len(self.to(request.id, line.id))) for line in request.lines)
        return min(asked_in_all(request), in_lines + len(self.to(request.id, None)))


def asked_in_all(request: Request) -> int:
    return sum(line.count for line in request.lines)


def line_answered(quilt: Quilt, requests: Mapping[str, Request]) -> tuple[str, str | None] | None:
    """The request, and its line if one is named, that a quilt is promised or given to.

    One that went to another charity than the one that asked leaves its place open.
    """
    destination = quilt.destination
    if not isinstance(destination, Promised | Donated) or destination.request is None:
        return None
    if isinstance(destination, Donated) and destination.meant_for is not None:
        request = requests.get(destination.request)
        if request is None or request.partner != destination.to:
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


def _known_since(quilt: Quilt) -> int | None:
    """The first day on which it may have been made, else the last, as a number of days; None where neither is known."""
    day = quilt.made and (quilt.made.earliest or quilt.made.latest)
    return day.toordinal() if day else None


def waiting_quilts(quilts: Iterable[Quilt]) -> tuple[Quilt, ...]:
    """The quilts that look for a home, from the one that was made first; of two alike, by ID.

    A date counts by its first possible day, one that has none by its last; what has no date is in the middle.
    """
    free = [(_known_since(quilt), quilt) for quilt in quilts if stays(quilt, "free")]
    known = sorted(since for since, _ in free if since is not None)
    neutral = known[(len(known) - 1) // 2] if known else 0
    in_order = sorted((neutral if since is None else since, quilt.id, quilt) for since, quilt in free)
    return tuple(quilt for _, _, quilt in in_order)


def undecided_quilts(quilts: Iterable[Quilt]) -> tuple[Quilt, ...]:
    """The quilts that are undecided, by ID."""
    return tuple(sorted((quilt for quilt in quilts if stays(quilt, "undecided")), key=lambda quilt: quilt.id))


def _open(collection: Collection, request: Request, answers: Answers) -> OpenRequest:
    lines = tuple(
        OpenLine(request, line, requirements_of(collection, request, line), answers.to(request.id, line.id).open(line))
        for line in sorted(request.lines, key=lambda line: line.id)
    )
    return OpenRequest(request, lines, asked_in_all(request), answers.filled(request))
