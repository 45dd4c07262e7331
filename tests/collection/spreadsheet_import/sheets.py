"""Small sheets and collections for the tests of taking in."""

from collections.abc import Mapping, Sequence
from datetime import date
from pathlib import Path

from collection.loading.loader import read_collection
from collection.spreadsheet_import.columns.columns_file import ColumnsFile
from collection.spreadsheet_import.earlier_imports import TakenRow
from collection.spreadsheet_import.files.cells import Cell, Sheet, Workbook
from collection.spreadsheet_import.importer import Intake, take_in

TODAY = date(2026, 11, 25)


def a_sheet(rows: Sequence[Sequence[object]], name: str = "Quilts", **more) -> Sheet:
    """A sheet of these rows; None and "" are empty cells."""
    cells = {
        (row, column): Cell(row, column, value)
        for row, values in enumerate(rows, start=1)
        for column, value in enumerate(values, start=1)
        if value is not None and value != ""
    }
    return Sheet(name, cells, **more)


def a_workbook(*sheets: Sheet, name: str = "my-quilts.xlsx") -> Workbook:
    return Workbook(name, sheets)


def taken_in(
    folder: Path,
    rows: Sequence[Sequence[object]] | Workbook,
    *,
    files: Mapping[str, str] | None = None,
    taken: Sequence[TakenRow] = (),
    columns: ColumnsFile | None = None,
) -> Intake:
    """What taking a sheet into a small collection comes to."""
    (folder / "quilts").mkdir(parents=True, exist_ok=True)
    for name, text in (files or {}).items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_text(text, encoding="utf-8")
    workbook = rows if isinstance(rows, Workbook) else a_workbook(a_sheet(rows))
    return take_in(workbook, read_collection(folder), taken, on=TODAY, columns=columns)


def remembered(intake: Intake) -> list[TakenRow]:
    """The rows of an intake as they are remembered once it is recorded."""
    name = intake.workbook.name
    return [TakenRow((name, row.sheet), row.row, row.cells, quilts) for row, quilts in intake.rows_taken]
