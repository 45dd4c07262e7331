"""Requests as they stand: what was asked for, what is promised and given, what is open."""

from collections.abc import Sequence

from collection.dates import EdtfDate
from collection.follow_ups import is_past
from collection.forms.addresses import desk_mark
from collection.records.destinations import Donated, Promised
from collection.records.partner import Rules
from collection.records.quilt import Quilt
from collection.records.request import Request, RequestLine
from site_builder.binder.listings import Listing, columns, in_order
from site_builder.cards import cards
from site_builder.edition import Edition
from site_builder.markdown_text import to_html
from site_builder.views.parts import Cell, Section, Table
from site_builder.words import count_of, listed


def requests_listing(edition: Edition, quilts: Sequence[Quilt], path: str) -> Listing:
    """Each request as it stands, the open ones first."""
    requests = sorted(
        edition.collection.requests.values(),
        key=lambda request: (request.closed is not None, in_order(request.needed_by), request.id),
    )
    open_ones = sum(request.closed is None for request in requests)
    sections = [_request_section(edition, request, quilts, path) for request in requests]
    shown = [quilt for quilt in quilts if getattr(quilt.destination, "request", None)]
    return f"{count_of(open_ones, 'open request')} of {len(requests)}.", sections, shown


def _request_section(edition: Edition, request: Request, quilts: Sequence[Quilt], path: str) -> Section:
    partner = edition.collection.partners.get(request.partner)
    answering = [q for q in quilts if getattr(q.destination, "request", None) == request.id]
    rows = [_line_row(line, answering) for line in request.lines]
    loose = [q for q in answering if getattr(q.destination, "line", None) is None]
    name = partner.name if partner else request.partner
    return Section(
        anchor=request.id,
        heading=name,
        note=_request_words(edition, request, unplaced=len(loose)),
        table=Table(
            caption=f"What {name} asked for",
            columns=columns("Line", "What", "Priority", "Asked", "Promised", "Given", "Open"),
            rows=tuple(rows),
        ),
        text=to_html(request.notes, headings_below=3) if request.notes else None,
        cards=cards(edition, answering, seen_from=path),
        edit=desk_mark("request", request.id),
    )


def _request_words(edition: Edition, request: Request, *, unplaced: int) -> str:
    """When it was asked, when it is needed or was closed, and what answers it without a line."""
    words = [f"Asked {request.asked.say()}." if request.asked else None]
    if request.closed:
        words.append(f"Closed {request.closed.say()}.")
    elif request.needed_by:
        words.append(f"Needed by {request.needed_by.say()}{_late(edition, request.needed_by)}.")
    else:
        words.append("No day set.")
    if unplaced:
        words.append(f"{count_of(unplaced, 'quilt')} answering it without a line.")
    return " ".join(filter(None, words))


def _late(edition: Edition, day: EdtfDate | None) -> str:
    return ", which has passed" if edition.on and is_past(day, edition.on) else ""


def _line_row(line: RequestLine, answering: Sequence[Quilt]) -> tuple[Cell, ...]:
    mine = [quilt for quilt in answering if getattr(quilt.destination, "line", None) == line.id]
    promised = sum(isinstance(quilt.destination, Promised) for quilt in mine)
    given = sum(isinstance(quilt.destination, Donated) for quilt in mine)
    left = max(0, line.count - promised - given)
    numbers = (line.count, promised, given, left)
    return (
        Cell(line.id),
        Cell("; ".join(filter(None, [rule_words(line), line.note]))),
        Cell(line.priority),
        *(Cell(str(number)) for number in numbers),
    )


def rule_words(rules: Rules) -> str:
    """Rules in one line, as a charity would say them."""
    fibre = rules.fibre
    layers = [f"{layer} of {made}" for layer, made in (fibre.model_dump().items() if fibre else ()) if made]
    words = [
        listed(rules.size),
        f"shorter side {rules.shorter_side}" if rules.shorter_side else None,
        f"longer side {rules.longer_side}" if rules.longer_side else None,
        f"width {rules.width}" if rules.width else None,
        f"length {rules.length}" if rules.length else None,
        f"best {rules.ideal}" if rules.ideal else None,
        f"give or take {rules.tolerance}" if rules.tolerance else None,
        listed(layers) or None,
        f"needs {listed(rules.needs)}" if rules.needs else None,
        f"no {listed(rules.no)}" if rules.no else None,
        f"{rules.condition} or better" if rules.condition else None,
        f"for {listed(rules.suits)}" if rules.suits else None,
    ]
    return "; ".join(filter(None, words)) or "no rules"
