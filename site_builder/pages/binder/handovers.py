"""The binder's page of handovers: a section for each sheet, with what is known of each arrival."""

from collections.abc import Sequence

from collection.records.quilt import Quilt
from collection.transfers.handovers import Batch, find_batches
from site_builder.documents.handover_sheet import HandoverSheet, handover_sheet
from site_builder.pages.binder.listings import Listing, columns, quilt_cell
from site_builder.pages.edition import Edition
from site_builder.text.wording import count_of
from site_builder.views.parts import Cell, Section, Table


def handovers_listing(edition: Edition, quilts: Sequence[Quilt], path: str) -> Listing:
    """All batches, the latest first. A quilt that is still on its way has words on what to check."""
    batches = tuple(reversed(find_batches(edition.collection)))
    sections = [_section(edition, batch, path) for batch in batches]
    shown = list({handed.quilt.id: handed.quilt for batch in batches for handed in batch.handed}.values())
    handed = sum(len(batch.handed) for batch in batches)
    if not batches:
        return "Nothing has been handed over yet.", [], []
    intro = f"{count_of(handed, 'quilt')} handed over in {count_of(len(batches), 'batch', 'batches')}."
    return intro, sections, shown


def _section(edition: Edition, batch: Batch, path: str) -> Section:
    sheet = handover_sheet(edition.collection, batch)
    heading = f"{sheet.taker}, {sheet.date}"
    return Section(
        anchor=batch.number,
        heading=heading,
        note=f"{sheet.count}.",
        table=_table(edition, batch, sheet, path, caption=heading),
    )


def _table(edition: Edition, batch: Batch, sheet: HandoverSheet, path: str, *, caption: str) -> Table:
    rows = tuple(
        (
            quilt_cell(edition, handed.quilt, path),
            Cell(line.meant_for),
            Cell("" if line.landed else line.check or ""),
            Cell(line.landed or ""),
            Cell(line.landed_on or ""),
            Cell("yes" if line.acknowledged else ""),
        )
        for handed, line in zip(batch.handed, sheet.lines, strict=True)
    )
    labels = ("Quilt", "For", "Check first", "Landed", "On", "Acknowledged")
    return Table(caption, columns(*labels), rows)
