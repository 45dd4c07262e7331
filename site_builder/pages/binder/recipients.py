"""The binder's page of recipients: each partner with its rules and its quilts, then the people."""

from collections import Counter
from collections.abc import Iterator, Sequence

from collection.forms.anchors import desk_mark
from collection.giving.donations import Gift, Giving
from collection.matching.applicable_rules import rule_words
from collection.quotes import listed
from collection.records.partner import Partner
from collection.records.quilt import Quilt
from site_builder.pages.binder.listings import Listing, columns, day_cell, quilt_cell, size_cell
from site_builder.pages.edition import Edition
from site_builder.text.wording import (
    NOT_RECORDED,
    count_of,
)
from site_builder.views.parts import Cell, Fact, Link, Section, Table, plain_facts


def recipients_listing(edition: Edition, quilts: Sequence[Quilt], path: str) -> Listing:
    """Each partner with its rules and the quilts that it received, then the gifts to people."""
    giving = Giving.of(edition.collection)
    sections = []
    for partner in edition.collection.partners.values():
        gifts = [gift for gift in giving.gifts if partner.id in (gift.donation.to, gift.donation.through)]
        sections.append(
            Section(
                anchor=partner.id,
                heading=partner.name,
                note=f"{partner.kind.capitalize()}. {partner.about or ''}".strip(),
                facts=tuple(_partner_facts(edition, partner, gifts)),
                table=_gifts_table(edition, gifts, path) if gifts else None,
                edit=desk_mark("partner", partner.id),
            )
        )
    if giving.to_people:
        sections.append(
            Section("people", "People", note="Counted in no total.", table=_people_table(edition, giving, path))
        )
    shown = [gift.quilt for gift in giving.gifts]
    charities = sum(partner.kind == "charity" for partner in edition.collection.partners.values())
    go_betweens = len(edition.collection.partners) - charities
    intro = (
        f"{count_of(charities, 'charity', 'charities')}, {count_of(go_betweens, 'go-between')}, "
        f"{count_of(len(giving.to_people), 'gift')} to people."
    )
    return intro, sections, shown


def _partner_facts(edition: Edition, partner: Partner, gifts: Sequence[Gift]) -> Iterator[Fact]:
    def name(partner_id: str | None) -> str | None:
        found = edition.collection.partners.get(partner_id or "")
        return found.name if found else None

    is_charity, contact = partner.kind == "charity", partner.contact
    yield from plain_facts(
        {
            "Part of": name(partner.part_of),
            "Acts for": listed([*filter(None, map(name, partner.acts_for))]),
            "Qualified": {True: "yes", False: "no", None: "not known"}[partner.qualified] if is_charity else None,
            "Registration": partner.registration,
            "Abroad": "in another country" if partner.abroad else None,
            "Named on the web site": "yes" if partner.public else "no",
            "Contact": ", ".join(filter(None, [contact.person, contact.email, contact.phone])) if contact else None,
            "Address": contact.address if contact else None,
            "Rules": rule_words(partner.rules) if is_charity else None,
            "Rules confirmed": (partner.checked.say() if partner.checked else "never") if is_charity else None,
            "Quilts": _gift_counts(gifts),
        }
    )
    if partner.url:
        yield Fact("Web site", (Link(partner.url, partner.url),))
    yield from plain_facts({"Notes": partner.notes})


def _gift_counts(gifts: Sequence[Gift]) -> str | None:
    states = Counter("arrived" if gift.arrived else gift.state for gift in gifts)
    counts = [f"{states['arrived']} arrived", f"{states['on its way']} on their way"]
    counts += [f"{states['planned']} planned"] if states["planned"] else []
    return ", ".join(counts) if gifts else None


def _gifts_table(edition: Edition, gifts: Sequence[Gift], path: str) -> Table:
    rows = tuple(
        (
            quilt_cell(edition, gift.quilt, path),
            size_cell(edition, gift.quilt),
            Cell(gift.state),
            day_cell(gift.donation.handed_over),
            day_cell(gift.delivered),
            day_cell(gift.donation.acknowledged),
        )
        for gift in gifts
    )
    return Table("Quilts", columns("Quilt", "Size", "How far", "Handed over", "Delivered", "Acknowledged"), rows)


def _people_table(edition: Edition, giving: Giving, path: str) -> Table:
    rows = tuple(
        (
            quilt_cell(edition, gift.quilt, path),
            Cell(gift.gifted.to or NOT_RECORDED),
            Cell(gift.gifted.occasion or ""),
            Cell(gift.gifted.on.say() + (", planned" if gift.is_planned else "") if gift.gifted.on else ""),
        )
        for gift in giving.to_people
    )
    return Table("Gifts to people", columns("Quilt", "To", "Occasion", "When"), rows)
