"""What the materials cost, as far as it was written down."""

from collections.abc import Sequence

from collection.giving import add_materials
from collection.records.quilt import Quilt
from site_builder.binder.listings import Listing, columns, quilt_cell
from site_builder.binder.year_of_giving import prices_section
from site_builder.edition import Edition
from site_builder.views.parts import Cell, Section, Table
from site_builder.words import STANDINGS, count_of, listed, money_words, standing_of


def costs_listing(edition: Edition, quilts: Sequence[Quilt], path: str) -> Listing:
    """What materials cost, by where the quilts stand; what is not recorded is counted, never guessed."""
    currency = edition.collection.settings.currency
    groups: dict[str, list[Quilt]] = {}
    for quilt in quilts:
        groups.setdefault(standing_of(quilt, edition.collection), []).append(quilt)
    summary = []
    for standing in STANDINGS:
        members = groups.get(standing, [])
        if members:
            materials = add_materials(members, currency)
            summary.append(
                (
                    Cell(STANDINGS[standing][1]),
                    Cell(f"{len(members):,}"),
                    Cell(money_words(materials.known if materials.recorded else None)),
                    Cell(f"{materials.lacking:,}"),
                )
            )
    whole = add_materials(quilts, currency)
    total = (
        Cell("All"),
        Cell(f"{len(quilts):,}"),
        Cell(money_words(whole.known if whole.recorded else None)),
        Cell(f"{whole.lacking:,}"),
    )
    recorded = [quilt for quilt in quilts if quilt.materials_cost]
    rows = tuple(
        (
            quilt_cell(edition, quilt, path),
            Cell(listed([item.what for item in quilt.materials_cost.items])),
            Cell(money_words(quilt.materials_cost.total)),
        )
        for quilt in recorded
    )
    sections = []
    if summary:
        labels = columns("Where", "Quilts", "Materials", "Not recorded")
        sections.append(Section("summary", "Together", table=Table("Together", labels, tuple(summary), total)))
    if rows:
        table = Table("Quilt by quilt", columns("Quilt", "What", "Materials"), rows)
        sections.append(Section("each", "Quilt by quilt", table=table))
    prices = prices_section(edition.collection.settings)
    sections += [prices] if prices else []
    return f"Materials recorded for {whole.recorded} of {count_of(len(quilts), 'quilt')}.", sections, recorded
