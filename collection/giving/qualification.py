"""Whether the recipient of a gift is recorded as a qualified organisation."""

from collections.abc import Mapping
from typing import Literal, get_args

from collection.records.destinations import Donated
from collection.records.partner import Partner

Qualification = Literal["qualified", "not known", "not qualified", "abroad", "nobody named"]
QUALIFICATIONS: tuple[Qualification, ...] = get_args(Qualification)


def qualification(donation: Donated, partners: Mapping[str, Partner]) -> Qualification:
    """Whether a gift went to an organisation that is recorded as qualified.

    An organisation abroad has a category of its own, whatever else is recorded. A programme or chapter counts by its
    own record: that of its parent organisation does not count for it.
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
    """The identity of a legal body: its registered number, else the ID of its parent organisation.

    A gift to two programmes of one body is a gift to that body.
    """
    seen = {partner.id}
    while partner.registration is None and (whole := partners.get(partner.part_of or "")) and whole.id not in seen:
        seen.add(whole.id)
        partner = whole
    return partner.registration or partner.id
