"""Who received quilts: each partner with its rules and its quilts, and the people, apart."""

from collections import Counter
from collections.abc import Iterator, Sequence

from collection.forms.addresses import desk_mark
from collection.giving import Gift, Giving
from collection.records.partner import Partner
from collection.records.quilt import Quilt
from collection.rules_that_hold import rule_words
from site_builder.binder.listings import Listing, columns, day_cell, quilt_cell, size_cell
from site_builder.edition import Edition
from site_builder.views.parts import Cell, Fact, Link, Section, Table
from site_builder.words import NOT_RECORDED, count_of, listed


def recipients_listing(edition: Edition, quilts: Sequence[Quilt], path: str) -> Listing:
    """Each partner with its rules and what it received, then the people who were given quilts."""
    giving = Giving.of(edition.collection)
    sections = []
    for partner in edition.collection.partners.values():
        gifts = [
            gift for gift in giving.gifts if partner.id in (gift.donation.to, gift.donation.through)
        ]
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
    def plain(term: str, words: str | None) -> Iterator[Fact]:
        if words:
            yield Fact(term, (Link(words, ""),))

    partners = edition.collection.partners
    qualified = {True: "yes", False: "no", None: "not known"}[partner.qualified]
    yield from plain("Part of", partners[partner.part_of].name if partner.part_of in partners else None)
    yield from plain("Acts for", listed([partners[p].name for p in partner.acts_for if p in partners]))
    if partner.kind == "charity":
        yield from plain("Qualified", qualified)
    yield from plain("Registration", partner.registration)
    yield from plain("Abroad", "in another country" if partner.abroad else None)
    yield from plain("Named on the web site", "yes" if partner.public else "no")
    contact = partner.contact
    if contact:
        yield from plain("Contact", ", ".join(filter(None, [contact.person, contact.email, contact.phone])))
        yield from plain("Address", contact.address)
    if partner.kind == "charity":
        yield from plain("Rules", rule_words(partner.rules))
        yield from plain("Rules confirmed", partner.checked.say() if partner.checked else "never")
    if gifts:
        states = Counter("arrived" if gift.arrived else gift.state for gift in gifts)
        counts = [f"{states['arrived']} arrived", f"{states['on its way']} on their way"]
        counts += [f"{states['planned']} planned"] if states["planned"] else []
        yield from plain("Quilts", ", ".join(counts))
    if partner.url:
        yield Fact("Web site", (Link(partner.url, partner.url),))
    if partner.notes:
        yield from plain("Notes", partner.notes)


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
    return Table(
        "Quilts", columns("Quilt", "Size", "How far", "Handed over", "Delivered", "Acknowledged"), rows
    )


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
