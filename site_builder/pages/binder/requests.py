"""The binder's page of requests: what each one asks for, what is promised, given and open."""

from collections.abc import Sequence

from collection.forms.anchors import desk_mark
from collection.matching.applicable_rules import rules_that_hold
from collection.matching.readiness import passed_words
from collection.records.places_taken import Answers, asked_in_all, line_answered
from collection.records.quilt import Quilt
from collection.records.request import Request, RequestLine
from collection.transfers.wording import line_name
from site_builder.pages.binder.listings import Listing, columns, in_order
from site_builder.pages.cards import cards
from site_builder.pages.edition import Edition
from site_builder.text.markdown import to_html
from site_builder.text.wording import count_of
from site_builder.views.parts import Cell, Section, Table


def requests_listing(edition: Edition, quilts: Sequence[Quilt], path: str) -> Listing:
    """Each request with its lines, the open ones first."""
    answers = Answers.of(edition.collection)
    requests = sorted(
        edition.collection.requests.values(),
        key=lambda request: (request.closed is not None, in_order(request.needed_by), request.id),
    )
    open_ones = sum(request.closed is None for request in requests)
    sections = [
        _request_section(edition, request, quilts, answers, path, caption=f"Request {place} of {len(requests)}")
        for place, request in enumerate(requests, start=1)
    ]
    shown = [quilt for quilt in quilts if getattr(quilt.destination, "request", None)]
    return f"{count_of(open_ones, 'open request')} of {len(requests)}.", sections, shown


def _request_section(
    edition: Edition, request: Request, quilts: Sequence[Quilt], answers: Answers, path: str, *, caption: str
) -> Section:
    partner = edition.collection.partners.get(request.partner)
    named = [quilt for quilt in quilts if getattr(quilt.destination, "request", None) == request.id]
    answering = [quilt for quilt in named if line_answered(quilt, edition.collection.requests)]
    name = partner.name if partner else request.partner
    return Section(
        anchor=request.id,
        heading=name,
        note=_request_words(
            edition, request, unplaced=len(answers.to(request.id, None)), elsewhere=len(named) - len(answering)
        ),
        table=Table(
            caption=caption,
            columns=columns("Line", "What", "Priority", "Asked", "Promised", "Given", "Open"),
            rows=tuple(_line_row(edition, request, line, answers) for line in request.lines),
            total=_total(request, answers),
        ),
        text=to_html(request.notes, headings_below=3) if request.notes else None,
        cards=cards(edition, answering, seen_from=path),
        edit=desk_mark("request", request.id),
    )


def _total(request: Request, answers: Answers) -> tuple[Cell, ...] | None:
    """The sums of the whole request; None where they say no more than its only line."""
    unplaced = answers.to(request.id, None)
    if len(request.lines) == 1 and not unplaced:
        return None
    taken = [answers.to(request.id, line.id) for line in request.lines] + [unplaced]
    asked = asked_in_all(request)
    numbers = (
        asked,
        sum(len(each.promised) for each in taken),
        sum(len(each.given) for each in taken),
        asked - answers.filled(request),
    )
    return (Cell("All"), Cell(""), Cell(""), *(Cell(f"{number:,}") for number in numbers))


def _request_words(edition: Edition, request: Request, *, unplaced: int, elsewhere: int) -> str:
    """When it was asked, when it is needed or was closed, and how many quilts answer no line of it."""
    words = [f"Asked {request.asked.say()}." if request.asked else None]
    if request.closed:
        words.append(f"Closed {request.closed.say()}.")
    elif request.needed_by:
        words.append(f"Needed by {request.needed_by.say()}{passed_words(request.needed_by, edition.on)}.")
    else:
        words.append("No day set.")
    if unplaced:
        words.append(f"{count_of(unplaced, 'quilt')} answering it without a line.")
    if elsewhere:
        words.append(f"{count_of(elsewhere, 'quilt')} meant for it went elsewhere.")
    return " ".join(filter(None, words))


def _line_row(edition: Edition, request: Request, line: RequestLine, answers: Answers) -> tuple[Cell, ...]:
    taken = answers.to(request.id, line.id)
    numbers = (line.count, len(taken.promised), len(taken.given), taken.open(line))
    what = rules_that_hold(edition.collection, request, line)
    return (
        Cell(line_name(line.id)),
        Cell(". ".join(filter(None, [what, line.note]))),
        Cell(line.priority if "priority" in line.model_fields_set else ""),
        *(Cell(f"{number:,}") for number in numbers),
    )
