"""The binder's page of costs: what the materials cost, as far as that is recorded."""

from collections.abc import Sequence

from collection.giving.donations import add_materials
from collection.quotes import listed
from collection.records.quilt import Quilt
from site_builder.pages.binder.listings import Listing, columns, quilt_cell
from site_builder.pages.binder.year_of_giving import prices_section
from site_builder.pages.edition import Edition
from site_builder.text.wording import (
    STANDINGS,
    count_of,
    money_words,
    standing_of,
)
from site_builder.views.parts import Cell, Section, Table


def costs_listing(edition: Edition, quilts: Sequence[Quilt], path: str) -> Listing:
    """What materials cost, by the state of the quilts. Quilts without a recorded cost are only counted."""
    sections = []
    if quilts:
        sections.append(Section("summary", "Together", table=_summary(edition, quilts)))
    recorded = [quilt for quilt in quilts if quilt.materials_cost]
    rows = tuple(
        (
            quilt_cell(edition, quilt, path),
            Cell(listed([item.what for item in quilt.materials_cost.items])),
            Cell(money_words(quilt.materials_cost.total)),
        )
        for quilt in recorded
        if quilt.materials_cost
    )
    if rows:
        table = Table("Quilt by quilt", columns("Quilt", "What", "Materials"), rows)
        sections.append(Section("each", "Quilt by quilt", table=table))
    prices = prices_section(edition.collection.settings)
    sections += [prices] if prices else []
    unset = "" if edition.collection.settings.currency else "; currency not set"
    return f"Materials recorded for {len(recorded)} of {count_of(len(quilts), 'quilt')}{unset}.", sections, recorded


def _summary(edition: Edition, quilts: Sequence[Quilt]) -> Table:
    groups: dict[str, list[Quilt]] = {standing: [] for standing in STANDINGS}
    for quilt in quilts:
        groups[standing_of(quilt, edition.collection)].append(quilt)

    def row(label: str, members: Sequence[Quilt]) -> tuple[Cell, ...]:
        materials = add_materials(members, edition.collection.settings.currency)
        known = money_words(materials.known if materials.recorded else None)
        return Cell(label), Cell(f"{len(members):,}"), Cell(known), Cell(f"{materials.lacking:,}")

    rows = tuple(row(STANDINGS[standing][1], members) for standing, members in groups.items() if members)
    return Table("Together", columns("Where", "Quilts", "Materials", "Not recorded"), rows, row("All", quilts))
