"""The open places of requests, and the available quilts, the longest waiting first."""

from collections.abc import Iterable
from dataclasses import dataclass

from collection.matching.rules import Requirements, effective_rules
from collection.records.collection import Collection, stays
from collection.records.places_taken import Answers, asked_in_all
from collection.records.quilt import Quilt
from collection.records.request import Request, RequestLine


@dataclass(frozen=True)
class OpenLine:
    """A line of an open request with its compiled rules; `places` are those not yet promised or given."""

    request: Request
    line: RequestLine
    requirements: Requirements
    places: int


@dataclass(frozen=True)
class OpenRequest:
    """An open request: how many quilts it asked for, and how many are promised or given."""

    request: Request
    lines: tuple[OpenLine, ...]
    asked: int
    filled: int


def open_requests(collection: Collection) -> tuple[OpenRequest, ...]:
    """The requests that are not closed, and their lines, both by ID."""
    answers = Answers.of(collection)
    found = sorted(collection.requests.values(), key=lambda request: request.id)
    return tuple(_open(collection, request, answers) for request in found if request.closed is None)


def requirements_of(collection: Collection, request: Request, line: RequestLine) -> Requirements:
    """The compiled rules of a line; its texts use the units of the request."""
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
    """The earliest day a quilt may have been made, else the latest, as an ordinal; None if neither is known."""
    day = quilt.made and (quilt.made.earliest or quilt.made.latest)
    return day.toordinal() if day else None


def waiting_quilts(quilts: Iterable[Quilt]) -> tuple[Quilt, ...]:
    """The available quilts, by the date they were made, then by ID.

    A date counts by its earliest possible day, else by its latest; quilts without a date take the median.
    """
    free = [(_known_since(quilt), quilt) for quilt in quilts if stays(quilt, "free")]
    known = sorted(since for since, _ in free if since is not None)
    neutral = known[(len(known) - 1) // 2] if known else 0
    in_order = sorted((neutral if since is None else since, quilt.id, quilt) for since, quilt in free)
    return tuple(quilt for _, _, quilt in in_order)


def undecided_quilts(quilts: Iterable[Quilt]) -> tuple[Quilt, ...]:
    """The undecided quilts, by ID."""
    return tuple(sorted((quilt for quilt in quilts if stays(quilt, "undecided")), key=lambda quilt: quilt.id))


def _open(collection: Collection, request: Request, answers: Answers) -> OpenRequest:
    lines = tuple(
        OpenLine(request, line, requirements_of(collection, request, line), answers.to(request.id, line.id).open(line))
        for line in sorted(request.lines, key=lambda line: line.id)
    )
    return OpenRequest(request, lines, asked_in_all(request), answers.filled(request))
