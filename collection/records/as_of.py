"""Computes the collection as of a day: with everything that had happened by then, and nothing later.

A gift that arrives later is on its way or planned, a later letter has not come, a quilt that comes back later is still
away, and one that is lent later is in the house. A date counts as past unless it is surely later; the steps recorded
before it narrow it (see `collection.records.narrowing`).
"""

from collections.abc import Iterator, Mapping
from dataclasses import replace
from datetime import date
from typing import TypeVar

from collection.records.collection import Collection
from collection.records.destinations import UNDECIDED, Destination, Donated, Gifted, Promised, Staying, steps_of
from collection.records.fields import Record
from collection.records.narrowing import step_of
from collection.records.quilt import Quilt
from collection.values.dates import EdtfDate

Dated = TypeVar("Dated", bound=Record)

# Computed destinations, never read from a file ---------------------------------------------------


class UnderWay(Donated):
    """It left the house for a charity, without a go-between, and arrives on a later day."""


class PlannedDonation(Promised):
    """It will go to a charity on a later day: until then it is promised. `planned` is the gift as it is recorded."""

    planned: Donated


class PlannedGift(Staying):
    """It will be given to a person on a later day: until then it is kept. `planned` is the gift as it is recorded."""

    planned: Gifted


# The day ----------------------------------------------------------------------------------------


def is_later(when: EdtfDate | None, on: date) -> bool:
    """Is it surely after the day?

    >>> day = date(2026, 11, 30)
    >>> [is_later(EdtfDate(when), day) for when in ("2026-12-19", "2026-12~", "2026", "2026/..")]
    [True, True, False, False]
    """
    return when is not None and when.earliest is not None and when.earliest > on


def as_of(collection: Collection, on: date) -> Collection:
    """The collection as it was on a day. Records without later dates are the same objects.

    Applying it twice with the same day is the same as once. Facts without a date, such as a cost, are as recorded now.
    A quilt that was made later is included, so that a mistyped date hides none.
    """
    quilts = {quilt_id: quilt_as_of(quilt, on) for quilt_id, quilt in collection.quilts.items()}
    partners = {
        partner_id: _without_later(partner, on, "checked") for partner_id, partner in collection.partners.items()
    }
    requests = {
        request_id: _without_later(request, on, "closed") for request_id, request in collection.requests.items()
    }
    same = _are_the_same(quilts, collection.quilts)
    if same and _are_the_same(partners, collection.partners) and _are_the_same(requests, collection.requests):
        return collection
    return replace(collection, quilts=quilts, partners=partners, requests=requests)


def last_change(collection: Collection) -> date:
    """The latest of the first days of all recorded dates: as of any later day, the collection is the same."""
    days = (when.earliest for when in _dates(collection) if when is not None and when.earliest is not None)
    return max(days, default=date.min)


def quilt_as_of(quilt: Quilt, on: date) -> Quilt:
    """One quilt as it was on a day; the same object if nothing about it is later."""
    changes: dict[str, object] = {}
    destination, history = _destinations_on(quilt, on)
    if destination is not quilt.destination:
        changes["destination"] = destination
    if len(history) != len(quilt.history):
        changes["history"] = history
    loans = tuple(_without_later(loan, on, "back") for loan in quilt.loans if not is_later(loan.start, on))
    if len(loans) != len(quilt.loans) or any(map(_is_another, loans, quilt.loans)):
        changes["loans"] = loans
    if quilt.appraisal is not None and is_later(quilt.appraisal.on, on):
        changes["appraisal"] = None
    if quilt.care is not None and isinstance(quilt.care.washed, EdtfDate) and is_later(quilt.care.washed, on):
        changes["care"] = quilt.care.model_copy(update={"washed": None})
    return quilt.model_copy(update=changes) if changes else quilt


# Destinations -----------------------------------------------------------------------------------


def _destinations_on(quilt: Quilt, on: date) -> tuple[Destination, tuple[Destination, ...]]:
    """The destination on the day, and the destinations that had ended by then."""
    for number, way in enumerate(quilt.history):
        ended = _not_before(quilt, number, _end(way))
        began = _beginning(quilt, number)
        if is_later(ended if ended is not None else _beginning(quilt, number + 1), on) or is_later(began, on):
            return _by_then(_not_ended(way), quilt, number, on), quilt.history[:number]
    return _by_then(quilt.destination, quilt, len(quilt.history), on), quilt.history


def _beginning(quilt: Quilt, number: int) -> EdtfDate | None:
    """The first recorded step. A letter is none: it may come long after."""
    way = (*quilt.history, quilt.destination)[number]
    first = next((each for each in steps_of(way)[:-1] if each.when and each.field != "acknowledged"), None)
    return _not_before(quilt, number, first.field) if first else None


def _end(way: Destination) -> str:
    """The field of the day on which it ended."""
    return steps_of(way)[-1].field


def _not_before(quilt: Quilt, number: int, field: str) -> EdtfDate | None:
    """A recorded date of a destination, narrowed by earlier steps. For `number` see `step_of`."""
    recorded: EdtfDate | None = getattr((*quilt.history, quilt.destination)[number], field)
    if recorded is None or recorded.exact_day is not None:
        return recorded
    return step_of(quilt, number, field).not_before


def _not_ended(way: Destination) -> Destination:
    return way.model_copy(update={_end(way): None})


def _by_then(way: Destination, quilt: Quilt, number: int, on: date) -> Destination:
    """A destination without its later steps; before its first step, the former state as far as it is known.

    A gift without a date counts as given when the quilt was made, not before.
    """
    recorded = _beginning(quilt, number)
    began = recorded or quilt.made
    match way:
        case Donated() if is_later(began, on):
            return _planned(way)
        case Donated():
            is_delivered_later = is_later(_not_before(quilt, number, "delivered"), on)
            is_acknowledged_later = is_later(_not_before(quilt, number, "acknowledged"), on)
            return _donation_by_then(way, is_delivered_later, is_acknowledged_later)
        case Gifted() if is_later(began, on):
            return PlannedGift.model_validate({"is": "kept", "planned": way})
        case _:
            return UNDECIDED if is_later(recorded, on) else way


def _planned(donation: Donated) -> Destination:
    # Before the handover, it was promised to the charity that it was meant for.
    fields = {
        "to": donation.meant_for or donation.to,
        "through": donation.through,
        "request": donation.request,
        "line": donation.line,
        "by": donation.handed_over or donation.delivered,
    }
    return PlannedDonation.model_validate({"planned": donation, **fields})


def _donation_by_then(donation: Donated, is_delivered_later: bool, is_acknowledged_later: bool) -> Destination:
    changes: dict[str, object] = {}
    if is_acknowledged_later:
        changes |= {"acknowledged": None, "acknowledgement": None}
    if not is_delivered_later:
        return donation.model_copy(update=changes) if changes else donation
    changes |= {"delivered": None, "acknowledged": None, "acknowledgement": None}
    if donation.through is None:
        known = {name: value for name, value in donation if name not in ("is_", *changes) and value is not None}
        return UnderWay.model_validate({"is": "donated", **known})
    if donation.meant_for is not None:
        changes |= {"to": donation.meant_for, "meant_for": None}
    return donation.model_copy(update=changes)


# Other records ----------------------------------------------------------------------------------


def _without_later(record: Dated, on: date, field: str) -> Dated:
    """The record without that date if it is later."""
    return record.model_copy(update={field: None}) if is_later(getattr(record, field), on) else record


def _is_another(one: object, other: object) -> bool:
    return one is not other


def _are_the_same(some: Mapping[str, object], others: Mapping[str, object]) -> bool:
    return not any(map(_is_another, some.values(), others.values()))


def _dates(collection: Collection) -> Iterator[EdtfDate | None]:
    for quilt in collection.quilts.values():
        yield quilt.made
        for way in (*quilt.history, quilt.destination):
            yield from (
                getattr(way, name, None)
                for name in ("handed_over", "delivered", "acknowledged", "on", "returned", "until")
            )
        for loan in quilt.loans:
            yield from (loan.start, loan.back)
        yield quilt.appraisal.on if quilt.appraisal else None
        washed = quilt.care.washed if quilt.care else None
        yield washed if isinstance(washed, EdtfDate) else None
    yield from (partner.checked for partner in collection.partners.values())
    yield from (request.closed for request in collection.requests.values())
