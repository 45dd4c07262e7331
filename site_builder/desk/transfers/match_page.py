"""The best plan for the open requests, on which the maker ticks what she promises."""

import asyncio
from dataclasses import dataclass
from datetime import date
from urllib.parse import urlencode

from collection.matching.applicable_rules import rules_that_hold
from collection.matching.judgement import checks_in_short
from collection.matching.match import match
from collection.matching.plan import Assigned, LeftOver, OpenPlaces, Plan, reminders_of_plan
from collection.matching.readiness import passed_words
from collection.records.collection import Collection
from collection.transfers.wording import line_name, partner_name, request_name
from site_builder.desk.handlers import DeskPage
from site_builder.pages.cards import card
from site_builder.pages.edition import Edition
from site_builder.text.wording import count_of
from site_builder.views.parts import Card

SEEN_FROM = "desk/match"
UNDECIDED_SHOWN = 24
"""Enough to decide on at once; the next ones follow when these are decided."""


@dataclass(frozen=True, slots=True)
class Proposal:
    """A quilt for a place, with the reason, and what to check first. One with checks is not ticked beforehand."""

    card: Card
    value: str
    fit: str
    why: str
    checks: str


@dataclass(frozen=True, slots=True)
class NearQuilt:
    """A quilt that nearly fits, and the reason why it does not."""

    id: str
    title: str
    because: str


@dataclass(frozen=True, slots=True)
class LineOfPlan:
    """A line of a request with its rules, the quilts proposed for it, and the places that stay open."""

    heading: str
    note: str
    rules: str
    proposals: tuple[Proposal, ...]
    open: str
    nearest: tuple[NearQuilt, ...]


class MatchPage(DeskPage):
    """The plan of the day. Its form leads to the page that shows the promises, and records nothing itself."""

    async def get(self) -> None:
        reading = await self.reading()
        today = self.desk.today()
        plan = await asyncio.to_thread(match, reading.collection, on=today)
        edition = await self.desk.edition(reading.collection)
        could_go = [each for each in plan.undecided if each.would_fit][:UNDECIDED_SHOWN]
        await self.show(
            "match.html", "Match quilts to requests",
            lines=_lines(edition, plan, today),
            minds=reminders_of_plan(reading.collection, plan),
            left_over=[_left(reading.collection, each) for each in plan.left_over],
            count=count_of(len(plan.assigned), "quilt"), today=today.isoformat(),
            places=count_of(sum(each.places for each in plan.open), "place"),
            undecided=plan.say_undecided() if plan.undecided else "",
            would_fit=[
                NearQuilt(each.quilt, reading.collection.quilts[each.quilt].title, _heading(reading.collection, *each.would_fit))
                for each in could_go
                if each.would_fit
            ],
            free_them=f"/desk/move/set-free?{urlencode([('quilt', each.quilt) for each in could_go])}",
            passed=[f"What {partner_name(reading.collection.requests[each.request].partner, reading.collection.partners)} asked for {each.say()}." for each in plan.day_passed],
            has_open=bool(plan.open), has_requests=any(r.closed is None for r in reading.collection.requests.values()),
        )  # fmt: skip


def _lines(edition: Edition, plan: Plan, on: date) -> list[LineOfPlan]:
    proposed: dict[tuple[str, str], list[Assigned]] = {}
    still_open: dict[tuple[str, str], OpenPlaces] = {(each.request, each.line): each for each in plan.open}
    for each in plan.assigned:
        proposed.setdefault((each.request, each.line), []).append(each)
    return [
        _line(edition, place, proposed.get(place, []), still_open.get(place), on)
        for place in sorted({*proposed, *still_open})
    ]


def _line(
    edition: Edition,
    place: tuple[str, str],
    assigned: list[Assigned],
    opened: OpenPlaces | None,
    on: date,
) -> LineOfPlan:
    collection = edition.collection
    request = collection.requests[place[0]]
    needed = f", needed by {request.needed_by.say()}{passed_words(request.needed_by, on)}" if request.needed_by else ""
    line = request.line(place[1])
    return LineOfPlan(
        heading=_heading(collection, *place),
        note=f"Asked for {line.count if line else 0}{needed}.",
        rules=rules_that_hold(collection, request, line) if line else "",
        proposals=tuple(_proposal(edition, each) for each in assigned),
        open=f"{count_of(opened.places, 'place')} still open" if opened else "",
        nearest=tuple(
            NearQuilt(near.quilt, collection.quilts[near.quilt].title, near.because) for near in opened.nearest
        ) if opened else (),
    )  # fmt: skip


def _heading(collection: Collection, request_id: str, line_id: str) -> str:
    request = collection.requests[request_id]
    return f"{partner_name(request.partner, collection.partners)}: {line_name(line_id)}"


def _proposal(edition: Edition, each: Assigned) -> Proposal:
    return Proposal(
        card=card(edition, edition.collection.quilts[each.quilt], seen_from=SEEN_FROM),
        value=f"{each.quilt} {each.request} {each.line}",
        fit=each.fit,
        why=each.why,
        checks=checks_in_short(each.checks),
    )


def _left(collection: Collection, each: LeftOver) -> NearQuilt:
    near = each.nearest
    if near is None:
        because = "nothing is open"
    else:
        name = request_name(collection.requests[near.request], collection.partners)
        because = f"nearest to {line_name(near.line)} for {name}; {near.because}"
    return NearQuilt(each.quilt, collection.quilts[each.quilt].title, because)
