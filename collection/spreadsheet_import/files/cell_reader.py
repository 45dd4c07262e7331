"""Reads the cells of a zipped spreadsheet in a separate process with limited memory.

The reader is a native library: a file that it can't handle ends its process, with the library's own message. So that
process is not the maker's command.
"""

import json
import subprocess
import sys
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Any

from collection.spreadsheet_import.files.cells import Area, Value

MOST_MEMORY = 500_000_000
"""The largest address space of the reading process, in bytes, where the system can limit it."""

MOST_SECONDS = 120

SECONDS_OF_WORK, BYTES_FOR_A_SECOND_MORE = 2, 100_000
"""The limit of processor time for the reading process: a base, and one more second for each so many bytes of the file.
200,000 cells took a third of a second."""

_PROGRAM = (sys.executable, "-P", "-m", "collection.spreadsheet_import.files.cell_reader")
_PASSWORD = 3


@dataclass(frozen=True, slots=True)
class ReadSheet:
    """A sheet as the reader returns it; rows and columns count from 1."""

    name: str
    visible: bool
    cells: tuple[tuple[int, int, Value], ...]
    merged: tuple[Area, ...]
    last_row: int
    last_column: int


class Unreadable(Exception):
    """The reader can't read the file, or not within its limits of memory and time."""


class Locked(Unreadable):
    """The file is protected by a password."""


def read_sheets(raw: bytes) -> tuple[ReadSheet, ...]:
    """All sheets of an .xlsx or .ods. Raises Unreadable, Locked."""
    try:
        done = subprocess.run(_PROGRAM, input=raw, capture_output=True, timeout=MOST_SECONDS, check=False)
    except subprocess.TimeoutExpired as error:
        raise Unreadable from error
    if done.returncode == _PASSWORD:
        raise Locked
    if done.returncode:
        raise Unreadable(done.stderr.decode("utf-8", "replace"))
    return tuple(_sheet(sheet) for sheet in json.loads(done.stdout))


def _sheet(plain: dict[str, Any]) -> ReadSheet:
    return ReadSheet(
        plain["name"],
        plain["visible"],
        tuple((row, column, _READ[kind](value)) for row, column, kind, value in plain["cells"]),
        tuple(Area(*area) for area in plain["merged"]),
        *plain["reaches"],
    )


_READ: Mapping[str, Callable[[Any], Value]] = {
    "plain": lambda value: value,
    "datetime": datetime.fromisoformat,
    "date": date.fromisoformat,
    "time": time.fromisoformat,
    "duration": lambda seconds: timedelta(seconds=seconds),
}


# In the reading process --------------------------------------------------------------------------


def main() -> int:
    """Read a spreadsheet from standard input, write its cells as JSON to standard output."""
    _bound_memory()
    import io

    from python_calamine import CalamineWorkbook, PasswordError

    raw = sys.stdin.buffer.read()
    _bound_work(SECONDS_OF_WORK + len(raw) // BYTES_FOR_A_SECOND_MORE)
    try:
        book = CalamineWorkbook.from_filelike(io.BytesIO(raw))
    except PasswordError:
        return _PASSWORD
    sheets = [_plain(book.get_sheet_by_name(meta.name), str(meta.visible)) for meta in book.sheets_metadata]
    sys.stdout.buffer.write(json.dumps(sheets).encode())
    return 0


def _bound_memory() -> None:
    try:
        import resource
    except ImportError:  # Windows
        return
    _, hard = resource.getrlimit(resource.RLIMIT_AS)
    most = MOST_MEMORY if hard == resource.RLIM_INFINITY else min(MOST_MEMORY, hard)
    try:
        resource.setrlimit(resource.RLIMIT_AS, (most, hard))
    except (ValueError, OSError):  # macOS has the limit, but refuses to set it.
        return


def _bound_work(seconds: int) -> None:
    try:
        import resource
    except ImportError:  # Windows
        return
    _, hard = resource.getrlimit(resource.RLIMIT_CPU)
    if hard == resource.RLIM_INFINITY or seconds < hard:
        resource.setrlimit(resource.RLIMIT_CPU, (seconds, hard))


def _plain(sheet: Any, visible: str) -> dict[str, Any]:
    top, left = sheet.start or (0, 0)
    bottom, right = sheet.end or (-1, -1)
    return {
        "name": sheet.name,
        "visible": visible.endswith("Visible"),
        "cells": [
            [row, column, *_written(value)]
            for row, values in enumerate(sheet.to_python(), start=top + 1)
            for column, value in enumerate(values, start=left + 1)
            if value != "" and (not isinstance(value, str) or value.strip())
        ],
        "merged": [
            [top + 1, left + 1, bottom + 1, right + 1]
            for (top, left), (bottom, right) in sheet.merged_cell_ranges or ()
        ],
        "reaches": [bottom + 1, right + 1],
    }


def _written(value: Any) -> Iterator[Any]:
    match value:
        case datetime():
            yield from ("datetime", value.isoformat())
        case date():
            yield from ("date", value.isoformat())
        case time():
            yield from ("time", value.isoformat())
        case timedelta():
            yield from ("duration", value.total_seconds())
        case _:
            yield from ("plain", value)


if __name__ == "__main__":
    raise SystemExit(main())
