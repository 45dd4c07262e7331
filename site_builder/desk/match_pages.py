"""The best plan for the open requests, from which the maker ticks what she promises."""
import asyncio
from dataclasses import dataclass

from collection.cautions import minds_of_plan
from collection.holdings import Collection
from collection.matching import match
from collection.move_words import request_name
from collection.plans import Assigned, LeftOver, OpenPlaces, Plan
from site_builder.cards import card
from site_builder.desk.pages import DeskPage
from site_builder.edition import Edition
from site_builder.views.parts import Card
from site_builder.words import count_of

SEEN_FROM = "desk/match"


@dataclass(frozen=True, slots=True)
class Proposal:
    """A quilt for a place: why it, and what to look at first. What needs a look is not ticked beforehand."""

    card: Card
    value: str
    fit: str
    why: str
    checks: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class NearQuilt:
    """A quilt that nearly fits, and what stands in the way."""

    id: str
    title: str
    because: str


@dataclass(frozen=True, slots=True)
class LineOfPlan:
    """A line of a request: what is proposed for it, and what stays open."""

    heading: str
    note: str
    proposals: tuple[Proposal, ...]
    open: str
    nearest: tuple[NearQuilt, ...]


class MatchPage(DeskPage):
    """The plan of the day. Its form leads to the page that shows the promises, and records nothing itself."""

    async def get(self) -> None:
        reading = await self.collection()
        today = self.desk.today()
        plan = await asyncio.to_thread(match, reading.collection, on=today)
        edition = await self.desk.edition(reading.collection)
        await self.show(
            "match.html", "Match quilts to requests",
            lines=_lines(edition, plan),
            minds=minds_of_plan(reading.collection, plan),
            left_over=[_left(reading.collection, each) for each in plan.left_over],
            count=count_of(len(plan.assigned), "quilt"), today=today.isoformat(),
            places=count_of(sum(each.places for each in plan.open), "place"),
            has_open=bool(plan.open), has_requests=any(r.closed is None for r in reading.collection.requests.values()),
        )  # fmt: skip


def _lines(edition: Edition, plan: Plan) -> list[LineOfPlan]:
    proposed: dict[tuple[str, str], list[Assigned]] = {}
    still_open: dict[tuple[str, str], OpenPlaces] = {(each.request, each.line): each for each in plan.open}
    for each in plan.assigned:
        proposed.setdefault((each.request, each.line), []).append(each)
    return [
        _line(edition, place, proposed.get(place, []), still_open.get(place))
        for place in sorted({*proposed, *still_open})
    ]


def _line(
    edition: Edition, place: tuple[str, str], assigned: list[Assigned], opened: OpenPlaces | None
) -> LineOfPlan:
    collection = edition.collection
    request = collection.requests[place[0]]
    partner = collection.partners.get(request.partner)
    needed = f", needed by {request.needed_by.say()}" if request.needed_by else ""
    line = request.line(place[1])
    return LineOfPlan(
        heading=f"{partner.name if partner else request.partner}: {place[1]}",
        note=f"Asked for {line.count if line else 0}{needed}.",
        proposals=tuple(_proposal(edition, each) for each in assigned),
        open=f"{count_of(opened.places, 'place')} still open" if opened else "",
        nearest=tuple(
            NearQuilt(near.quilt, collection.quilts[near.quilt].title, near.because) for near in opened.nearest
        ) if opened else (),
    )  # fmt: skip


def _proposal(edition: Edition, each: Assigned) -> Proposal:
    return Proposal(
        card=card(edition, edition.collection.quilts[each.quilt], seen_from=SEEN_FROM),
        value=f"{each.quilt} {each.request} {each.line}",
        fit=each.fit,
        why=each.why,
        checks=tuple(dict.fromkeys(check.why for check in each.checks)),
    )


def _left(collection: Collection, each: LeftOver) -> NearQuilt:
    near = each.nearest
    if near is None:
        because = "nothing is open"
    else:
        name = request_name(collection.requests[near.request], collection.partners)
        because = f"nearest is {near.line} for {name}: {near.because}"
    return NearQuilt(each.quilt, collection.quilts[each.quilt].title, because)
