"""The parts of the binder's pages: a sentence, sections, and the quilts that they show."""

from collections.abc import Sequence

from collection.records.quilt import Quilt
from collection.values.dates import EdtfDate
from site_builder.pages.cards import cover_view
from site_builder.pages.edition import Edition
from site_builder.text.urls import quilt_path, relative
from site_builder.text.wording import NOT_RECORDED, size_in
from site_builder.views.parts import Cell, Column, Section

Listing = tuple[str, list[Section], Sequence[Quilt]]
"""The page's sentence, its sections, and the quilts whose colours make its head strip."""

_NUMERIC = {"Number", "Asked", "Promised", "Given", "Open", "Quilts", "Materials", "Not recorded", "Then done"}


def columns(*labels: str) -> tuple[Column, ...]:
    """Columns by their labels; the known labels of numbers make numeric columns."""
    return tuple(Column(label, numeric=label in _NUMERIC) for label in labels)


def quilt_cell(edition: Edition, quilt: Quilt, path: str) -> Cell:
    """A quilt in a table: its title with a link to its page, and its picture."""
    href = relative(quilt_path(quilt.id), seen_from=path)
    return Cell(quilt.title, href, cover_view(edition, quilt, seen_from=path))


def size_cell(edition: Edition, quilt: Quilt) -> Cell:
    units = edition.collection.settings.units
    return Cell(size_in(quilt.finished_size, units) if quilt.finished_size else NOT_RECORDED)


def day_cell(day: EdtfDate | None) -> Cell:
    return Cell(day.say() if day else "")


def in_order(day: EdtfDate | None) -> tuple[object, ...]:
    """A key that sorts by date; records without one come first."""
    return (day is not None, day.sort_key if day else ())
