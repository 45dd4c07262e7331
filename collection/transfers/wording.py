"""Formats destinations, days, requests and partners in plain words."""

from collections.abc import Mapping
from typing import assert_never

from collection.records.destinations import Destination, Donated, Gifted, Lost, Promised, Staying
from collection.records.partner import Partner
from collection.records.request import Request
from collection.values.dates import EdtfDate


def format_state(destination: Destination, partners: Mapping[str, Partner]) -> str:
    """A quilt's destination, as the end of a sentence that begins with "It is" or "It was"."""
    match destination:
        case Staying():
            return "looking for a home" if destination.is_ == "free" else destination.is_
        case Promised():
            return f"promised to {partner_name(destination.to, partners)}"
        case Gifted():
            return f"given to {destination.to or 'a person'}{format_day(destination.on)}"
        case Lost():
            last = f", last with {partner_name(destination.through, partners)}" if destination.through else ""
            return f"missed{format_day(destination.on)}{last}"
        case Donated():
            return _say_donation(destination, partners)
        case _:
            assert_never(destination)


def _say_donation(donation: Donated, partners: Mapping[str, Partner]) -> str:
    charity = partner_name(donation.to, partners)
    meant_for = f", meant for {partner_name(donation.meant_for, partners)}" if donation.meant_for else ""
    if donation.acknowledged is not None:
        return f"acknowledged by {charity}{format_day(donation.acknowledged)}{meant_for}"
    if donation.delivered is not None:
        return f"delivered to {charity}{format_day(donation.delivered)}{meant_for}"
    if donation.through is None:
        return f"given to {charity}{format_day(donation.handed_over)}{meant_for}"
    go_between = partner_name(donation.through, partners)
    bound_for = f", for {charity}" if donation.to else ""
    if donation.handed_over is None:
        return f"planned to go through {go_between}{bound_for}{meant_for}"
    return f"handed over to {go_between}{format_day(donation.handed_over)}{bound_for}{meant_for}"


def format_day(day: EdtfDate | None) -> str:
    """A date as the end of a phrase; empty if it is not known.

    >>> format_day(EdtfDate.parse("2026-05-12")), format_day(EdtfDate.parse("2019~"))
    (' on 12 May 2026', ' (about 2019)')
    """
    if day is None:
        return ""
    return f" on {day.say()}" if day.exact_day else f" ({day.say()})"


def request_name(request: Request, partners: Mapping[str, Partner]) -> str:
    """A name for a request: who asks, and when; if the day is not known, by when or for what."""
    name = partner_name(request.partner, partners)
    if request.asked is not None:
        return f"{name}, asked {request.asked.say()}"
    if request.needed_by is not None:
        return f"{name}, needed by {request.needed_by.say()}"
    return f"{name}, for {', '.join(line_name(line.id) for line in request.lines)}"


def line_name(line_id: str) -> str:
    """The ID of a line of a request as words: `family room` of `family-room`."""
    return line_id.replace("-", " ")


def names_by_id(partners: Mapping[str, Partner], requests: Mapping[str, Request]) -> dict[str, str]:
    """The names of the partners and the requests, by their IDs."""
    named = {each.id: request_name(each, partners) for each in requests.values()}
    return named | {each.id: each.name for each in partners.values()}


def partner_name(partner_id: str | None, partners: Mapping[str, Partner]) -> str:
    """A partner's name; its ID if its file can't be read."""
    if partner_id is None:
        return "a charity that nobody has named yet"
    return partners[partner_id].name if partner_id in partners else partner_id
