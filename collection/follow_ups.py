"""What waits for a word: from a go-between, a charity, a borrower, or from the maker herself."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Literal

from collection.dates import EdtfDate
from collection.giving import Gift, Giving
from collection.holdings import Collection
from collection.records.partner import Partner
from collection.records.quilt import Loan, Quilt

RULES_HOLD_FOR = timedelta(days=365)

Matter = Literal["with the go-between", "not acknowledged", "promise is past", "rules not confirmed", "loan overdue"]


@dataclass(frozen=True, slots=True)
class FollowUp:
    """One thing to ask about: what, about which quilt or partner, whom to ask, and since when."""

    matter: Matter
    quilt: Quilt | None
    partner: Partner | None
    ask: str
    since: EdtfDate | None


def find_follow_ups(collection: Collection, on: date) -> tuple[FollowUp, ...]:
    """All that waits on a day, by matter, the longest wait first. Approximate dates count once they are surely past."""
    giving = Giving.of(collection)
    found = [
        *_with_go_betweens(giving, on),
        *_not_acknowledged(giving, on),
        *_promises_past(collection, on),
        *_rules_not_confirmed(collection, on),
        *_loans_overdue(collection, on),
    ]
    matters: tuple[Matter, ...] = Matter.__args__
    return tuple(sorted(found, key=lambda each: (matters.index(each.matter), *_waiting(each))))


def is_past(day: EdtfDate | None, on: date, *, by: timedelta = timedelta(0)) -> bool:
    """Has a day surely passed, by more than so long?"""
    return day is not None and day.latest is not None and day.latest + by < on


def _waiting(follow_up: FollowUp) -> tuple:
    since = follow_up.since
    subject = follow_up.quilt or follow_up.partner
    return (since is not None, since.sort_key if since else (), subject.id)


def _ask(collection: Collection, partner_id: str | None) -> str:
    partner = collection.partners.get(partner_id or "")
    return partner.name if partner else "nobody named"


def _of(matter: Matter, gift: Gift, partner: Partner | None, since: EdtfDate | None, ask: str) -> FollowUp:
    return FollowUp(matter, gift.quilt, partner, ask, since)


def _with_go_betweens(giving: Giving, on: date) -> Iterator[FollowUp]:
    collection = giving.collection
    patience = timedelta(days=collection.settings.follow_up_after)
    for gift in giving.gifts:
        handed_over = gift.donation.handed_over
        if gift.state == "on its way" and is_past(handed_over, on, by=patience):
            go_between = collection.partners.get(gift.donation.through or "")
            ask = _ask(collection, gift.donation.through)
            yield _of("with the go-between", gift, go_between, handed_over, ask)


def _not_acknowledged(giving: Giving, on: date) -> Iterator[FollowUp]:
    collection = giving.collection
    patience = timedelta(days=collection.settings.follow_up_after)
    for gift in giving.gifts:
        if gift.state == "delivered" and is_past(gift.delivered, on, by=patience):
            charity = collection.partners.get(gift.donation.to or "")
            ask = _ask(collection, gift.donation.to)
            yield _of("not acknowledged", gift, charity, gift.delivered, ask)


def _promises_past(collection: Collection, on: date) -> Iterator[FollowUp]:
    for quilt in Giving.of(collection).promised:
        promise = quilt.destination
        request = collection.requests.get(promise.request or "")
        due = promise.by or (request.needed_by if request else None)
        if is_past(due, on):
            charity = collection.partners.get(promise.to or "")
            yield FollowUp("promise is past", quilt, charity, _ask(collection, promise.to), due)


def _rules_not_confirmed(collection: Collection, on: date) -> Iterator[FollowUp]:
    open_for = {request.partner for request in collection.requests.values() if request.closed is None}
    for partner in collection.partners.values():
        if partner.kind != "charity":
            continue
        never = partner.checked is None and partner.id in open_for
        if never or is_past(partner.checked, on, by=RULES_HOLD_FOR):
            yield FollowUp("rules not confirmed", None, partner, partner.name, partner.checked)


def _loans_overdue(collection: Collection, on: date) -> Iterator[FollowUp]:
    for quilt in collection.quilts.values():
        loan: Loan | None = quilt.current_loan
        if loan is not None and is_past(loan.due, on):
            yield FollowUp("loan overdue", quilt, None, loan.to, loan.due)
