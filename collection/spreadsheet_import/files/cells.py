"""A sheet as cells: their places, values and texts."""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from functools import cached_property

Value = str | int | float | bool | date | datetime | time | timedelta


@dataclass(frozen=True, slots=True)
class Cell:
    """One non-empty cell; row and column count from 1, as in a spreadsheet."""

    row: int
    column: int
    value: Value

    @property
    def text(self) -> str:
        return text_of(self.value)

    @property
    def place(self) -> str:
        return f"{letters(self.column)}{self.row}"


@dataclass(frozen=True, slots=True)
class Area:
    """A merged area; its value is that of its first cell."""

    top: int
    left: int
    bottom: int
    right: int


@dataclass(frozen=True)
class Sheet:
    """One sheet of a file, without cells that are empty or blank."""

    name: str
    cells: Mapping[tuple[int, int], Cell]
    merged: tuple[Area, ...] = ()
    hidden: bool = False
    hidden_rows: frozenset[int] = frozenset()

    @cached_property
    def rows(self) -> dict[int, dict[int, Cell]]:
        """The cells of each non-empty row, by column."""
        rows: dict[int, dict[int, Cell]] = {}
        for (row, column), cell in sorted(self.cells.items()):
            rows.setdefault(row, {})[column] = cell
        return rows

    def row(self, number: int) -> dict[int, Cell]:
        return self.rows.get(number, {})


@dataclass(frozen=True)
class Workbook:
    """A file with its sheets, and remarks on how it was read (`said`)."""

    name: str
    sheets: tuple[Sheet, ...]
    said: tuple[str, ...] = field(default=())

    def cells(self) -> Iterator[tuple[Sheet, Cell]]:
        for sheet in self.sheets:
            for _, cell in sorted(sheet.cells.items()):
                yield sheet, cell


def text_of(value: Value) -> str:
    """A value as text for a note: numbers without rounding noise, days as YYYY-MM-DD.

    >>> text_of(60.0), text_of(60.1 + 0.2), text_of(date(1998, 5, 6)), text_of(True)
    ('60', '60.3', '1998-05-06', 'TRUE')
    """
    match value:
        case bool():
            return "TRUE" if value else "FALSE"
        case float():
            return format(value, ".15g") if value != int_of(value) else str(int_of(value))
        case datetime():
            return value.date().isoformat() if value.time() == time() else value.isoformat(" ", "minutes")
        case date() | time():
            return value.isoformat()
        case _:
            return str(value).replace("\r\n", "\n").replace("\r", "\n").strip()


def number_in(value: Value) -> int | float | None:
    """The number in a cell; None for other values, yes and no included."""
    return value if isinstance(value, int | float) and not isinstance(value, bool) else None


def int_of(number: float) -> int | None:
    """The float as an integer, if it is whole; else None."""
    return int(number) if abs(number) < 10**15 and number == int(number) else None


def letters(column: int) -> str:
    """A column's letters.

    >>> letters(1), letters(28)
    ('A', 'AB')
    """
    word = ""
    while column:
        column, rest = divmod(column - 1, 26)
        word = chr(ord("A") + rest) + word
    return word


def column_of(word: str) -> int | None:
    """The number of the column with these letters; None if there is none."""
    if not re.fullmatch(r"[A-Za-z]{1,3}", word):
        return None
    number = 0
    for letter in word.upper():
        number = number * 26 + ord(letter) - ord("A") + 1
    return number


def one_line(text: str) -> str:
    return " ".join(text.split())
