"""The binder's page of the current match plan: what could answer the open requests now, and why not more."""

from collections.abc import Iterable, Iterator, Mapping, Sequence

from collection.forms.anchors import desk_mark
from collection.matching.judgement import checks_in_short
from collection.matching.match import match
from collection.matching.plan import Plan, reminders_of_plan
from collection.matching.readiness import passed_words
from collection.quotes import listed
from collection.records.partner import Partner
from collection.records.quilt import Quilt
from collection.records.request import Request
from collection.transfers.wording import line_name, partner_name, request_name
from site_builder.pages.binder.listings import Listing, columns, quilt_cell, size_cell
from site_builder.pages.edition import Edition
from site_builder.text.wording import count_of
from site_builder.views.parts import Cell, Column, Section, Table

UNDECIDED_SHOWN = 24
"""The most undecided quilts that are shown at once."""


def plan_listing(edition: Edition, quilts: Sequence[Quilt], path: str) -> Listing:
    """The best plan on the binder's day. It promises nothing."""
    if edition.on is None:
        return "No day to match on.", [], ()
    plan = match(edition.collection, on=edition.on)
    left = sum(each.places for each in plan.open)
    intro = (
        f"{count_of(len(plan.assigned), 'place')} could be filled now, {left:,} would stay open. "
        "Nothing here is promised yet: the desk promises what you tick of it."
    )
    if plan.undecided:
        intro += f" {plan.say_undecided()}"
    shown = [edition.collection.quilts[each.quilt] for each in plan.assigned]
    return intro, [section for section in _sections(edition, plan, path) if section], shown


def _sections(edition: Edition, plan: Plan, path: str) -> Iterator[Section | None]:
    requests = sorted({each.request for each in plan.assigned} | {each.request for each in plan.open})
    for place, request in enumerate(requests, start=1):
        yield _request_section(edition, plan, request, path, caption=f"Request {place} of {len(requests)}")
    yield _minds_section(edition, plan)
    yield _left_over_section(edition, plan, path)
    yield _undecided_section(edition, plan, path)
    yield _make_next_section(edition, plan)
    yield _cannot_be_made_section(edition, plan)


def _request_section(edition: Edition, plan: Plan, request_id: str, path: str, *, caption: str) -> Section:
    """The quilts that could answer a request, and the places that would stay open."""
    collection = edition.collection
    request = collection.requests[request_id]
    partner = collection.partners.get(request.partner)
    rows = [
        (
            quilt_cell(edition, collection.quilts[each.quilt], path),
            Cell(line_name(each.line)),
            Cell(f"{each.fit}; {each.why}"),
            Cell(checks_in_short(each.checks)),
        )
        for each in plan.assigned
        if each.request == request_id
    ]
    for opened in plan.open:
        if opened.request == request_id:
            nearest = tuple(f"{collection.quilts[near.quilt].title}: {near.because}" for near in opened.nearest)
            open_words = f"{count_of(opened.places, 'place')} open"
            nearest_cell = Cell("Nearest:" if nearest else "", items=nearest)
            rows.append((Cell(open_words), Cell(line_name(opened.line)), nearest_cell, Cell("")))
    return Section(
        anchor=request_id,
        heading=partner.name if partner else request.partner,
        note=_request_note(edition, request),
        table=Table(
            caption,
            columns("Quilt", "Line", "How it fits", "Check first"),
            tuple(rows),
        ),
    )


def _request_note(edition: Edition, request: Request) -> str:
    """When it was asked, and by when it is needed."""
    asked = f"Asked {request.asked.say()}. " if request.asked else ""
    if request.needed_by is None:
        return f"{asked}No day set."
    passed = passed_words(request.needed_by, edition.on)
    ask = " Ask whether they still want them." if passed else ""
    return f"{asked}Needed by {request.needed_by.say()}{passed}.{ask}"


def _minds_section(edition: Edition, plan: Plan) -> Section | None:
    """The cautions to pass on with the quilts of the plan."""
    rows = tuple(
        (Cell("; ".join(mind.quilts)), Cell(mind.sentence)) for mind in reminders_of_plan(edition.collection, plan)
    )
    if not rows:
        return None
    return Section("take-care", "Take care", table=Table("To pass on with them", columns("For", "What to mind"), rows))


def _place_name(edition: Edition, request_id: str, line: str) -> str:
    """`laps for Hill House`, with the day that they asked where the charity has another open request."""
    collection = edition.collection
    request = collection.requests[request_id]
    of_partner = [each for each in collection.requests.values() if each.partner == request.partner and not each.closed]
    name = request_name if len(of_partner) > 1 else _charity_of
    return f"{line_name(line)} for {name(request, collection.partners)}"


def _charity_of(request: Request, partners: Mapping[str, Partner]) -> str:
    return partner_name(request.partner, partners)


def _places_by_charity(edition: Edition, places: Iterable[tuple[str, str]]) -> str:
    """`cots and play for River Street; laps for Hill House`: each charity is named once."""
    lines: dict[str, list[str]] = {}
    for request_id, line in places:
        lines.setdefault(_charity_of(edition.collection.requests[request_id], edition.collection.partners), []).append(
            line_name(line)
        )
    return "; ".join(f"{listed(dict.fromkeys(names))} for {charity}" for charity, names in lines.items())


def _left_over_section(edition: Edition, plan: Plan, path: str) -> Section | None:
    if not plan.left_over:
        return None
    rows = []
    for each in plan.left_over:
        quilt = edition.collection.quilts[each.quilt]
        near = each.nearest
        where = _place_name(edition, near.request, near.line) if near else "nothing is open"
        rows.append(
            (
                quilt_cell(edition, quilt, path),
                size_cell(edition, quilt),
                Cell(where),
                Cell(near.because if near else ""),
            )
        )
    table = Table("Left over", columns("Quilt", "Size", "Nearest line", "What stands in the way"), tuple(rows))
    return Section("left-over", "Left over", note="Free, and without a place in this plan.", table=table)


def _undecided_section(edition: Edition, plan: Plan, path: str) -> Section | None:
    """The undecided quilts, those that would fit first, each with a link to its destination field."""
    if not plan.undecided:
        return None
    rows = []
    for each in sorted(plan.undecided, key=lambda each: (each.would_fit is None, each.quilt))[:UNDECIDED_SHOWN]:
        quilt = edition.collection.quilts[each.quilt]
        where = _place_name(edition, *each.would_fit) if each.would_fit else "no place that is open"
        mark = desk_mark("quilt", quilt.id, "destination")
        rows.append((quilt_cell(edition, quilt, path), size_cell(edition, quilt), Cell(where, edit=mark)))
    table = Table("Undecided", columns("Quilt", "Size", "Would fit"), tuple(rows))
    note = "Nobody has said whether they may go. Once one looks for a home, it is in this plan."
    if len(plan.undecided) > UNDECIDED_SHOWN:
        note += f" {UNDECIDED_SHOWN} of {len(plan.undecided):,}; the next follow when these are decided."
    return Section("undecided", "Undecided", note=note, table=table)


def _make_next_section(edition: Edition, plan: Plan) -> Section | None:
    if not plan.make_next:
        return None
    names = {box.key: box.name for box in edition.collection.size_boxes}
    rows = tuple(
        (
            Cell(names.get(each.size or "", each.size or ("" if each.target else "any size"))),
            Cell((each.say_size() or "").replace(" x ", " × ")),
            Cell(f"{each.count:,}"),
            Cell(f"{each.by.say()}{passed_words(each.by, edition.on)}" if each.by else ""),
            Cell(each.say_rules()),
            Cell(_places_by_charity(edition, each.lines)),
        )
        for each in plan.make_next
    )
    labels = (
        Column("Size"),
        Column("Make", numeric=True),
        Column("How many", numeric=True),
        Column("The first by"),
        Column("What to mind"),
        Column("For"),
    )
    note = "Short over all open requests. Each fits all the lines that it is for."
    return Section("make-next", "What to make next", note=note, table=Table("What to make next", labels, rows))


def _cannot_be_made_section(edition: Edition, plan: Plan) -> Section | None:
    if not plan.cannot_be_made:
        return None
    rows = tuple(
        (Cell(_place_name(edition, each.request, each.line)), Cell(each.because)) for each in plan.cannot_be_made
    )
    note = "Ask them which of their rules holds, or correct it."
    table = Table("No quilt can be made", columns("Line", "Why"), rows)
    return Section("cannot-be-made", "No quilt can be made for", note=note, table=table)
