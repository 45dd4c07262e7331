"""The sheet that travels with a batch, with a slip for the go-between to note the arrival of each quilt.

It leaves the house: it holds no value, no note and no place, and the maker's address only on request.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from collection.care.cautions import Reminder, minds
from collection.care.washing import care_line
from collection.giving.arrival import delivered_on
from collection.matching.judgement import Judgement
from collection.matching.open_places import requirements_of
from collection.matching.rules import Requirements
from collection.quotes import listed
from collection.records.collection import Collection
from collection.records.quilt import Quilt
from collection.transfers.handovers import Batch, Handed
from collection.transfers.wording import line_name, request_name
from site_builder.text.wording import count_of, measured_size, number_words

NOBODY_NAMED = "No charity named yet"
REFUSES = "they refuse "


@dataclass(frozen=True, slots=True)
class SheetLine:
    """One quilt of the sheet. `check` is what to check before it is passed on; `landed` and `landed_on` are what is
    known of its arrival on the day of printing, for the slip."""

    id: str
    number: str | None
    title: str
    size: str
    state: str
    care: str
    meant_for: str
    request: str | None
    check: str | None
    landed: str | None
    landed_on: str | None
    acknowledged: bool


@dataclass(frozen=True, slots=True)
class HandoverSheet:
    """The sheet in words. `language` is that of the maker's own words; `address` is the maker's, on request."""

    title: str
    number: str
    date: str
    giver: str
    address: str | None
    taker: str
    lines: tuple[SheetLine, ...]
    minds: tuple[Reminder, ...]
    count: str
    language: str
    foot: str


def handover_sheet(collection: Collection, batch: Batch, *, with_address: bool = False) -> HandoverSheet:
    """The sheet of a batch. Only what is known of the arrivals depends on the day of printing."""
    settings = collection.settings
    maker = settings.maker
    day = batch.on.say()
    taker = _name(collection, batch.taker)
    return HandoverSheet(
        title="Handover sheet",
        number=_number(collection, batch),
        date=day,
        giver=", ".join(filter(None, [maker.name or settings.title, maker.place])),
        address=maker.address if with_address else None,
        taker=taker,
        lines=tuple(_line(collection, batch, handed) for handed in batch.handed),
        minds=minds(collection, [(handed.quilt, None) for handed in batch.handed]),
        count=count_of(len(batch.handed), "quilt"),
        language=settings.site.language,
        foot=f"Handover sheet {_number(collection, batch)}: {maker.name or settings.title} to {taker}, {day}",
    )


def _line(collection: Collection, batch: Batch, handed: Handed) -> SheetLine:
    quilt, donation = handed.quilt, handed.donation
    arrived = delivered_on(donation, collection.partners) if donation.through else donation.delivered
    return SheetLine(
        id=quilt.id,
        number=number_words(quilt),
        title=quilt.title,
        size=measured_size(quilt, collection.settings.units),
        state=f"{'; '.join(_state(quilt))}.",
        care=care_line(quilt).full,
        meant_for=_name(collection, handed.meant_for) if handed.meant_for else NOBODY_NAMED,
        request=_request(collection, handed),
        check=check_words(collection, handed, batch.on.exact_day or batch.on.latest or date.max),
        landed=_landed(collection, handed, arrived is not None),
        landed_on=arrived.say() if arrived else None,
        acknowledged=donation.acknowledged is not None,
    )


def _number(collection: Collection, batch: Batch) -> str:
    """What the sheet is called: by whom it went to, and the day."""
    return f"{_name(collection, batch.taker)}, {batch.on.say()}"


def _landed(collection: Collection, handed: Handed, arrived: bool) -> str | None:
    if handed.donation.returned is not None:
        return f"came back {handed.donation.returned.say()}"
    return _name(collection, handed.donation.to) if arrived and handed.donation.to else None


def _name(collection: Collection, partner_id: str) -> str:
    partner = collection.partners.get(partner_id)
    return partner.name if partner else partner_id


def _request(collection: Collection, handed: Handed) -> str | None:
    """The request that it answers: the short name of the line, who asks if it is for somebody else, and when it is
    needed."""
    donation = handed.donation
    if donation.request is None:
        return None
    request = collection.requests.get(donation.request)
    if request is None:
        return None
    name = request_name(request, collection.partners)
    needed = f", needed by {request.needed_by.say()}" if request.needed_by and request.asked else ""
    if donation.line is None:
        return name + needed
    if request.partner == handed.meant_for and (request.asked or request.needed_by):
        return f"{line_name(donation.line)}{name.removeprefix(_name(collection, request.partner))}{needed}"
    return f"{line_name(donation.line)} for {name}{needed}"


def _state(quilt: Quilt) -> Iterator[str]:
    """Condition, washing and label; each says so where it is not recorded."""
    yield f"Condition {quilt.condition}" if quilt.condition else "Condition not recorded"
    washed = quilt.care.washed if quilt.care else None
    if washed is None:
        yield "washing not recorded"
    elif washed is False:
        yield "not washed"
    else:
        yield "washed" if washed is True else f"washed {washed.say()}"
    label = quilt.care.label if quilt.care else None
    yield {True: "labelled", False: "no label yet", None: "label not recorded"}[label]


# What to check ----------------------------------------------------------------------------------


def check_words(collection: Collection, handed: Handed, on: date) -> str | None:
    """A sentence on what does not fit, or is not recorded; None where all is well.

    The rules are those of the request's line, else the charity's own.
    """
    requirements = _requirements(collection, handed)
    if requirements is None:
        return None
    judgement = requirements.judge(handed.quilt, on)
    words = [*judgement.reasons, *_checks(judgement)]
    return f"{'; '.join(words)}." if words else None


def _requirements(collection: Collection, handed: Handed) -> Requirements | None:
    request = collection.requests.get(handed.donation.request or "")
    line = request.line(handed.donation.line) if request and handed.donation.line else None
    if request is not None and line is not None:
        return requirements_of(collection, request, line)
    charity = collection.partners.get(handed.meant_for or "")
    if charity is None:
        return None
    unit = charity.units or collection.settings.units
    household = collection.settings.household
    return Requirements.of(charity.rules, needed_by=None, boxes=collection.size_boxes, unit=unit, household=household)


def _checks(judgement: Judgement) -> Iterator[str]:
    """Facts that the record lacks: things to look for on the quilt, and fields with the rule that needs them."""
    # The request on the sheet says already by when it is needed.
    checks = {check.why: check.field for check in judgement.checks if check.field != "needed_by"}
    refused = [why.removeprefix(REFUSES) for why in checks if why.startswith(REFUSES)]
    if refused:
        yield f"they refuse {listed(refused, 'or')}, and the record does not say"
    for why, field in checks.items():
        if not why.startswith(REFUSES):
            yield _check_words(field, why)


def _check_words(field: str, why: str) -> str:
    """What is asked for, and that the record does not say it."""
    layer = field.removeprefix("fibre.")
    if layer != field and why.startswith("they ask"):
        return f"{why}, and that is not certain"
    if why.startswith("this is for "):
        return f"{why}, and nobody has said whom the quilt suits"
    return f"{why}, and it is not recorded" if why.startswith("they ask") else why
