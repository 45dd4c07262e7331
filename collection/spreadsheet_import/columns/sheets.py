"""Selects the sheets of a file to import, and the meanings of their columns: as proposed, or as the maker says."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

from collection.spreadsheet_import.columns.columns_file import ColumnEntry, ColumnsFile, SheetEntry
from collection.spreadsheet_import.columns.meanings import NOTE
from collection.spreadsheet_import.columns.propose import ColumnMeaning, propose
from collection.spreadsheet_import.columns.tables import Row, Table, find_headings, take_apart
from collection.spreadsheet_import.files.cells import Cell, Sheet, Workbook, column_of, one_line
from collection.spreadsheet_import.files.limits import SheetRefused

_OF_A_QUILT = {"title", "number", "size", "width", "pattern"}
"""A sheet lists quilts if one of its columns has one of these meanings."""


@dataclass(frozen=True)
class ReadSheet:
    """An analysed sheet; `why_not` is the reason if it is not imported."""

    table: Table
    meant: tuple[ColumnMeaning, ...]
    take: bool
    why_not: str = ""

    @property
    def sheet(self) -> Sheet:
        return self.table.sheet

    def column(self, meaning: str) -> ColumnMeaning | None:
        return next((each for each in self.meant if each.meaning == meaning), None)

    def cell_names(self) -> dict[int, str]:
        """The unique name of each column in the stored rows of an import."""
        names: dict[int, str] = {}
        for each in self.meant:
            name = each.column.name
            names[each.column.number] = f"{name} ({each.column.letters})" if name in names.values() else name
        return names

    def texts(self, column: int) -> list[str]:
        return [text for row in self.table.rows if (text := row.text(column))]


@dataclass(frozen=True)
class QuiltRow:
    """A row for one quilt, with the lines below that continue it."""

    row: Row
    below: tuple[Row, ...] = ()

    def cells(self) -> Iterator[Cell]:
        for row in (self.row, *self.below):
            yield from row.cells.values()


def read_sheets(workbook: Workbook, columns: ColumnsFile | None = None) -> tuple[ReadSheet, ...]:
    """All sheets. Raises SheetRefused if none of them can be imported."""
    only = len(workbook.sheets) == 1
    read = []
    for sheet in workbook.sheets:
        entry = columns.of_sheet(sheet.name) if columns else None
        if entry is None and only and columns and len(columns.sheets) == 1:
            entry = columns.sheets[0]
        read.append(_by_entry(sheet, entry) if entry else _proposed(sheet))
    if not any(each.take for each in read):
        reasons = "; ".join(f"sheet {each.sheet.name}: {each.why_not}" for each in read)
        raise SheetRefused(
            f"No quilts were found in {workbook.name} ({reasons}). Quilts are known by headings such as Title, Size, "
            "Year made or Given to in a row above them. If they are called otherwise, write what the columns mean "
            "into a file, and name it with --columns."
        )
    return tuple(read)


def _proposed(sheet: Sheet) -> ReadSheet:
    headings = find_headings(sheet)
    table = take_apart(sheet, headings)
    meant = propose(table)
    why_not = ""
    if not sheet.cells:
        why_not = "it is empty"
    elif sheet.hidden:
        why_not = "it is hidden"
    elif not headings:
        why_not = "no headings were found in it"
    elif not {each.meaning for each in meant} & _OF_A_QUILT:
        why_not = "its headings tell of no quilt"
    elif not table.rows:
        why_not = "nothing stands below its headings"
    return ReadSheet(table, meant, not why_not, why_not)


def _by_entry(sheet: Sheet, entry: SheetEntry) -> ReadSheet:
    table = take_apart(sheet, entry.headings)
    meant = propose(table)
    by_heading = {one_line(column.heading).casefold(): column for column in entry.columns if column.heading}
    by_letters = {column_of(column.column): column for column in entry.columns if column.column}
    standing = {one_line(each.column.heading).casefold() for each in meant}
    decided = tuple(_decided(each, by_heading, by_letters, standing, entry) for each in meant)
    return ReadSheet(table, decided, entry.take, "" if entry.take else "the file of columns says so")


def _decided(
    each: ColumnMeaning,
    by_heading: dict[str, ColumnEntry],
    by_letters: dict[int | None, ColumnEntry],
    standing: set[str],
    entry: SheetEntry,
) -> ColumnMeaning:
    """A column with the meaning in the maker's file: by its heading if it moved; else by its letter."""
    found = by_heading.get(one_line(each.column.heading).casefold()) if each.column.heading else None
    by_letter = by_letters.get(each.column.number)
    # Letters distinguish two columns with one heading; a column that moved is not at its letter.
    if by_letter is not None and (found is None or _same(by_letter.heading, found.heading)):
        moved = (
            by_letter.heading
            and one_line(by_letter.heading).casefold() in standing
            and not _same(by_letter.heading, each.column.heading)
        )
        found = found if moved else by_letter
    order = entry.dates or each.order
    if found is None:
        return replace(each, order=order)
    return replace(each, meaning=found.means, unit=found.unit or each.unit, order=order, why="")


def _same(heading: str | None, other: str | None) -> bool:
    return one_line(heading or "").casefold() == one_line(other or "").casefold()


def quilt_rows(read: ReadSheet) -> tuple[QuiltRow, ...]:
    """The rows of quilts. A line directly below one that has only remarks continues it."""
    telling = {each.column.number for each in read.meant if each.meaning != NOTE}
    keys = {each.column.number for each in read.meant if each.meaning in ("title", "number")}
    found: list[QuiltRow] = []
    for row in read.table.rows:
        last = found[-1] if found else None
        follows = last is not None and row.number == (last.below[-1] if last.below else last.row).number + 1
        only_remarks = bool(keys) and not (set(row.cells) & telling) and not row.filled_down
        if last is not None and follows and only_remarks and len(row.cells) <= 2:
            found[-1] = replace(last, below=(*last.below, row))
        else:
            found.append(QuiltRow(row))
    return tuple(found)
