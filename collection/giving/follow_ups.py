"""Finds what to follow up with a go-between, a charity, a borrower, or the maker herself."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Literal, get_args

from collection.giving.donations import Giving
from collection.giving.years import year_bounds, year_of
from collection.records.as_of import as_of
from collection.records.collection import Collection
from collection.records.destinations import Promised
from collection.records.partner import Partner
from collection.records.quilt import Quilt
from collection.values.dates import EdtfDate

RULES_HOLD_FOR = timedelta(days=365)
"""Rules of a charity are confirmed once a year. Common practice, no source."""

Matter = Literal["with the go-between", "not acknowledged", "promise is past", "rules not confirmed", "loan overdue"]


@dataclass(frozen=True, slots=True)
class FollowUp:
    """One matter to follow up: the quilt or partner concerned, whom to ask, and since when."""

    matter: Matter
    quilt: Quilt | None
    partner: Partner | None
    ask: str
    since: EdtfDate | None


def find_follow_ups(collection: Collection, on: date) -> tuple[FollowUp, ...]:
    """All follow-ups as of a day, by matter, the longest wait first.

    Later events are ignored. A vague date counts from the last day that it may mean.
    """
    collection = as_of(collection, on)
    giving = Giving.of(collection)
    found = [
        *_with_go_betweens(giving, on),
        *_not_acknowledged(giving, on),
        *_promises_past(collection, on),
        *_rules_not_confirmed(collection, on),
        *_loans_overdue(collection, on),
    ]
    matters: tuple[Matter, ...] = get_args(Matter)
    return tuple(sorted(found, key=lambda each: (matters.index(each.matter), _waiting(each))))


def is_past(day: EdtfDate | None, on: date, *, by: timedelta = timedelta(0)) -> bool:
    """Whether the last day that a date may mean is past by more than `by`."""
    return day is not None and day.latest is not None and on - day.latest > by


def _waiting(follow_up: FollowUp) -> tuple[bool, tuple[date, date, str] | None, str]:
    since, subject = follow_up.since, follow_up.quilt or follow_up.partner
    return since is not None, since.sort_key if since else None, subject.id if subject else ""


def _name(partner: Partner | None) -> str:
    return partner.name if partner else "nobody named"


def _with_go_betweens(giving: Giving, on: date) -> Iterator[FollowUp]:
    for gift in giving.gifts:
        handed_over = gift.donation.handed_over
        if gift.state == "on its way" and is_past(handed_over, on, by=_patience(giving.collection)):
            go_between = giving.collection.partners.get(gift.donation.through or "")
            yield FollowUp("with the go-between", gift.quilt, go_between, _name(go_between), handed_over)


def _not_acknowledged(giving: Giving, on: date) -> Iterator[FollowUp]:
    """Gifts of this giving year and the one before: a later letter is of no use.

    Source: Publication 526 (2022), seen: a letter has to be in hand when the return is filed, and by its due date at
    the latest; both fall into the year after the gift.
    """
    starts = giving.collection.settings.giving_year_starts
    first, _ = year_bounds(year_of(on, starts) - 1, starts)
    for gift in giving.gifts:
        arrived = gift.arrived_on if gift.state == "delivered" else None
        if arrived is None or arrived.latest is None or arrived.latest < first:
            continue
        if is_past(arrived, on, by=_patience(giving.collection)):
            charity = giving.collection.partners.get(gift.donation.to or "")
            yield FollowUp("not acknowledged", gift.quilt, charity, _name(charity), gift.delivered)


def _patience(collection: Collection) -> timedelta:
    return timedelta(days=collection.settings.follow_up_after)


def _promises_past(collection: Collection, on: date) -> Iterator[FollowUp]:
    for quilt in collection.quilts.values():
        match quilt.destination:
            case Promised(to=to, by=by) as promise:
                request = collection.requests.get(promise.request or "")
                due = by or (request.needed_by if request else None)
                if is_past(due, on):
                    charity = collection.partners.get(to or "")
                    yield FollowUp("promise is past", quilt, charity, _name(charity), due)


def _rules_not_confirmed(collection: Collection, on: date) -> Iterator[FollowUp]:
    """Charities whose rules were confirmed long ago, or never, if they have an open request."""
    asking = {request.partner for request in collection.requests.values() if request.closed is None}
    for partner in collection.partners.values():
        never = partner.checked is None and partner.id in asking
        if partner.kind == "charity" and (never or is_past(partner.checked, on, by=RULES_HOLD_FOR)):
            yield FollowUp("rules not confirmed", None, partner, partner.name, partner.checked)


def _loans_overdue(collection: Collection, on: date) -> Iterator[FollowUp]:
    for quilt in collection.quilts.values():
        loan = quilt.current_loan
        if loan is not None and is_past(loan.due, on):
            yield FollowUp("loan overdue", quilt, None, loan.to, loan.due)
