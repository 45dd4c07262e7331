"""Reads the file of a spreadsheet into cells: .xlsx and .ods in a separate process, .csv as text."""

import io
import zipfile
from collections.abc import Iterator, Mapping
from pathlib import Path

from collection.spreadsheet_import.files.archive_check import UNREADABLE, Look, broken, locked, look_into
from collection.spreadsheet_import.files.cell_reader import Locked, ReadSheet, Unreadable, read_sheets
from collection.spreadsheet_import.files.cells import Cell, Sheet, Workbook
from collection.spreadsheet_import.files.csv_file import read_csv
from collection.spreadsheet_import.files.limits import (
    LARGEST_FILE,
    LONGEST_CELL,
    LONGEST_ROW,
    MOST_COLUMNS,
    MOST_ROWS,
    SheetRefused,
    too_large,
    too_long_a_cell,
    too_long_a_row,
    too_many_rows,
)

TEXT_ENDINGS = (".csv", ".tsv", ".txt")
PACKED_ENDINGS = (".xlsx", ".xlsm", ".ods")
ENDINGS = (*PACKED_ENDINGS, *TEXT_ENDINGS)

_OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
_PASSWORD_MARKS = ("EncryptedPackage".encode("utf-16-le"), "EncryptionInfo".encode("utf-16-le"))


def read_workbook(path: Path) -> Workbook:
    """Reads all sheets of a file. Raises SheetRefused, with a message for the maker; OSError if it can't be opened."""
    if not path.is_file():  # Reading a pipe would block.
        raise SheetRefused(f"{path.name} is not an ordinary file. Name the spreadsheet itself.")
    with path.open("rb") as opened:
        raw = opened.read(LARGEST_FILE + 1)
    if len(raw) > LARGEST_FILE:
        raise too_large(path.name, LARGEST_FILE)
    return workbook_of(raw, path.name)


def workbook_of(raw: bytes, name: str) -> Workbook:
    """Reads the sheets in the bytes of a file; its first bytes show its kind, not its name alone."""
    workbook = _any_kind(raw, name)
    for sheet in workbook.sheets:
        if len(sheet.rows) > MOST_ROWS or len({column for _, column in sheet.cells}) > MOST_COLUMNS:
            raise too_many_rows(name, sheet.name)
        for number, row in sheet.rows.items():
            _expect_short_cells(name, sheet.name, number, row)
    return workbook


def _expect_short_cells(name: str, sheet: str, number: int, row: Mapping[int, Cell]) -> None:
    lengths = {cell: len(cell.value) for cell in row.values() if isinstance(cell.value, str)}
    for cell, length in lengths.items():
        if length > LONGEST_CELL:
            raise too_long_a_cell(name, sheet, cell.place, number, length)
    if (length := sum(lengths.values())) > LONGEST_ROW:
        raise too_long_a_row(name, sheet, number, length)


def _any_kind(raw: bytes, name: str) -> Workbook:
    if not raw.strip():
        raise SheetRefused(f"{name} is empty: there is nothing to take in.")
    if raw.startswith(_OLE):
        if any(mark in raw for mark in _PASSWORD_MARKS):
            raise locked(name)
        raise SheetRefused(
            f"{name} is in the old .xls form. Open it in your spreadsheet program and save it as .xlsx or .ods."
        )
    if raw.startswith(b"PK"):
        return _packed(raw, name)
    if name.lower().endswith(PACKED_ENDINGS):
        raise broken(name)
    if name.lower().endswith(TEXT_ENDINGS):
        return read_csv(raw, name)
    raise SheetRefused(f"{name} is no spreadsheet that can be read here. Save it as .xlsx, .ods or .csv.")


def _packed(raw: bytes, name: str) -> Workbook:
    try:
        with zipfile.ZipFile(io.BytesIO(raw)) as archive:
            looks = look_into(archive, name, len(raw))
    except UNREADABLE as error:
        raise broken(name) from error
    try:
        read = read_sheets(raw)
    except Locked as error:
        raise locked(name) from error
    except Unreadable as error:
        raise broken(name) from error
    sheets = tuple(_sheet(sheet, looks[sheet.name]) for sheet in read if sheet.name in looks)
    if not any(sheet.cells for sheet in sheets):
        raise SheetRefused(f"{name} is empty: there is nothing to take in.")
    return Workbook(name, sheets, tuple(_hidden_rows(sheets)))


def _sheet(read: ReadSheet, look: Look) -> Sheet:
    cells = {(row, column): Cell(row, column, value) for row, column, value in read.cells}
    for place, words in look.errors.items():
        cells[place] = Cell(*place, words)
    filled_rows = {row for row, _ in cells}
    return Sheet(
        read.name, dict(sorted(cells.items())), read.merged, not read.visible, frozenset(look.hidden_rows & filled_rows)
    )


def _hidden_rows(sheets: tuple[Sheet, ...]) -> Iterator[str]:
    for sheet in sheets:
        if sheet.hidden_rows and not sheet.hidden:
            count = len(sheet.hidden_rows)
            rows = f"{count} hidden rows are" if count > 1 else "one hidden row is"
            yield f"In the sheet {sheet.name}, {rows} read like the others."
