"""Counts the places of requests that are taken: which quilts answer which line."""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass

from collection.records.collection import Collection
from collection.records.destinations import Donated, Promised
from collection.records.quilt import Quilt
from collection.records.request import Request, RequestLine


@dataclass(frozen=True, slots=True)
class Taken:
    """The quilts that take places of a line, in the order of their IDs: still in the house, or given."""

    promised: tuple[Quilt, ...] = ()
    given: tuple[Quilt, ...] = ()

    def __len__(self) -> int:
        return len(self.promised) + len(self.given)

    def open(self, line: RequestLine) -> int:
        """The number of places of the line that are not taken."""
        return max(0, line.count - len(self))


@dataclass(frozen=True)
class Answers:
    """Which quilts answer each line, and which answer a request without naming a line. Only this counts places."""

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
        """The quilts that answer a line; with None, those that answer the request without naming a line."""
        return self.by_line.get((request_id, line_id), Taken())

    def filled(self, request: Request) -> int:
        """The number of places taken. Quilts beyond the number that a line asks for take no place of another line."""
        in_lines = sum(min(line.count, len(self.to(request.id, line.id))) for line in request.lines)
        return min(asked_in_all(request), in_lines + len(self.to(request.id, None)))


def asked_in_all(request: Request) -> int:
    return sum(line.count for line in request.lines)


def line_answered(quilt: Quilt, requests: Mapping[str, Request]) -> tuple[str, str | None] | None:
    """The request, and its line if one is named, that a quilt is promised or given to; None if there is none.

    A quilt that arrived at another charity than the one that asked takes no place.
    """
    destination = quilt.destination
    if not isinstance(destination, Promised | Donated) or destination.request is None:
        return None
    if isinstance(destination, Donated) and destination.meant_for is not None:
        request = requests.get(destination.request)
        if request is None or request.partner != destination.to:
            return None
    return destination.request, destination.line
