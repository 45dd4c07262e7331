"""A spreadsheet's file read into cells: .xlsx and .ods through calamine, .csv as text."""

import io
import zipfile
from pathlib import Path

from collection.sheet_intake.cells import Area, Cell, Sheet, Workbook
from collection.sheet_intake.csv_reading import read_csv
from collection.sheet_intake.limits import (
    LARGEST_FILE,
    MOST_COLUMNS,
    MOST_ROWS,
    SheetRefused,
    too_large,
    too_many_rows,
)
from collection.sheet_intake.packed_xml import Look, broken, locked, look_into

TEXT_ENDINGS = (".csv", ".tsv", ".txt")
PACKED_ENDINGS = (".xlsx", ".xlsm", ".ods")
ENDINGS = (*PACKED_ENDINGS, *TEXT_ENDINGS)

_OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
_PASSWORD_MARKS = ("EncryptedPackage".encode("utf-16-le"), "EncryptionInfo".encode("utf-16-le"))


def read_workbook(path: Path) -> Workbook:
    """All sheets of a file. Raises SheetRefused, in words for the maker; OSError when the file can't be opened."""
    if not path.is_file():  # A pipe would be waited for.
        raise SheetRefused(f"{path.name} is not an ordinary file. Name the spreadsheet itself.")
    with path.open("rb") as opened:
        raw = opened.read(LARGEST_FILE + 1)
    if len(raw) > LARGEST_FILE:
        raise too_large(path.name, LARGEST_FILE)
    return workbook_of(raw, path.name)


def workbook_of(raw: bytes, name: str) -> Workbook:
    """The sheets in the bytes of a file; what kind it is is seen by how it begins, not by its name alone."""
    workbook = _any_kind(raw, name)
    for sheet in workbook.sheets:
        if len(sheet.rows) > MOST_ROWS or len({column for _, column in sheet.cells}) > MOST_COLUMNS:
            raise too_many_rows(name, sheet.name)
    return workbook


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
    from python_calamine import CalamineError, CalamineWorkbook, PasswordError

    try:
        with zipfile.ZipFile(io.BytesIO(raw)) as archive:
            looks = look_into(archive, name)
    except zipfile.BadZipFile as error:
        raise broken(name) from error
    try:
        book = CalamineWorkbook.from_filelike(io.BytesIO(raw))
        sheets = tuple(
            _sheet(
                book.get_sheet_by_name(meta.name),
                looks[meta.name],
                hidden=not str(meta.visible).endswith("Visible"),
            )
            for meta in book.sheets_metadata
            if meta.name in looks
        )
    except PasswordError as error:
        raise locked(name) from error
    except CalamineError as error:
        raise broken(name) from error
    except BaseException as error:  # A panic in the library is no Exception.
        if type(error).__name__ == "PanicException":
            raise broken(name) from error
        raise
    if not any(sheet.cells for sheet in sheets):
        raise SheetRefused(f"{name} is empty: there is nothing to take in.")
    return Workbook(name, sheets, tuple(_hidden_rows(sheets)))


def _sheet(read, look: Look, *, hidden: bool) -> Sheet:
    cells: dict[tuple[int, int], Cell] = {}
    top, left = read.start or (0, 0)
    for row, values in enumerate(read.to_python(), start=top + 1):
        for column, value in enumerate(values, start=left + 1):
            if value != "" and (not isinstance(value, str) or value.strip()):
                cells[row, column] = Cell(row, column, value)
    for place, words in look.errors.items():
        cells[place] = Cell(*place, words)
    merged = tuple(
        Area(start[0] + 1, start[1] + 1, end[0] + 1, end[1] + 1)
        for start, end in read.merged_cell_ranges or ()
    )
    filled_rows = {row for row, _ in cells}
    return Sheet(
        read.name, dict(sorted(cells.items())), merged, hidden, frozenset(look.hidden_rows & filled_rows)
    )


def _hidden_rows(sheets: tuple[Sheet, ...]):
    for sheet in sheets:
        if sheet.hidden_rows and not sheet.hidden:
            count = len(sheet.hidden_rows)
            rows = f"{count} hidden rows are" if count > 1 else "one hidden row is"
            yield f"In the sheet {sheet.name}, {rows} read like the others."
