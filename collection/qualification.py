"""How the one who received a gift stands for tax purposes, as far as it is recorded."""

from collections.abc import Mapping
from typing import Literal, get_args

from collection.records.destinations import Donated
from collection.records.partner import Partner

Qualification = Literal["qualified", "not known", "not qualified", "abroad", "nobody named"]
QUALIFICATIONS: tuple[Qualification, ...] = get_args(Qualification)


def qualification(donation: Donated, partners: Mapping[str, Partner]) -> Qualification:
    """Whether a gift went to an organisation that is recorded as qualified.

    One abroad stands apart whatever else is recorded of it, and a programme or chapter stands for itself: that
    the whole is qualified does not say that its part is.
    """
    charity = partners.get(donation.to or "")
    if charity is None:
        return "nobody named"
    if charity.abroad:
        return "abroad"
    if charity.qualified is None:
        return "not known"
    return "qualified" if charity.qualified else "not qualified"


def organisation(partner: Partner, partners: Mapping[str, Partner]) -> str:
    """What tells one legal body from another: its registered number, else the ID of the whole it is a part of.

    A gift to two programmes of one body is a gift to that body.
    """
    seen = {partner.id}
    while partner.registration is None and (whole := partners.get(partner.part_of or "")) and whole.id not in seen:
        seen.add(whole.id)
        partner = whole
    return partner.registration or partner.id
