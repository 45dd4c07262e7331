"""Finds the table of quilts in a sheet: its headings, its rows, and the cells around them."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from collection.spreadsheet_import.columns.headings import HeadingMatch, match_heading
from collection.spreadsheet_import.files.cells import Cell, Sheet, letters, number_in, one_line

ROWS_LOOKED_AT = 40
"""The number of rows from the top in which headings are searched for."""

_TOTAL = re.compile(
    r"\W*(?:grand |sub)?-?\s*(?:total|totals|sum|count|average|avg|mean|subtotal|number of quilts|quilts in all"
    r"|in all|how many)\b[^a-z]*(?:[:=].*)?"
    r"|total (?:number of )?(?:quilts?|cost|value|given|made|spent|so far|to date)\b.*",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True)
class Column:
    """One column of a table: its heading, and the meaning matched to it."""

    number: int
    heading: str
    match: HeadingMatch

    @property
    def letters(self) -> str:
        return letters(self.number)

    @property
    def name(self) -> str:
        """Its name in notes and lists."""
        return self.heading or f"column {self.letters}"


@dataclass(frozen=True)
class Row:
    """One row of a table: its cells by column; `filled_down` are cells merged from above."""

    number: int
    cells: Mapping[int, Cell]
    filled_down: Mapping[int, Cell] = field(default_factory=dict)
    under: tuple[Cell, ...] = ()

    def text(self, column: int) -> str:
        cell = self.cell(column)
        return cell.text if cell else ""

    def cell(self, column: int) -> Cell | None:
        return self.cells.get(column) or self.filled_down.get(column)


Around = Literal["title line", "heading", "heading again", "total", "line between"]
"""The kinds of cells that belong to no quilt."""


@dataclass(frozen=True)
class Table:
    """An analysed sheet. Each of its cells is in a heading, a row, or `around`, exactly once.

    `around` is the kind of each cell that belongs to no quilt.
    `others`: the rows further down that look like the headings of another table.
    """

    sheet: Sheet
    headings: tuple[int, ...]
    columns: tuple[Column, ...]
    rows: tuple[Row, ...]
    around: Mapping[tuple[int, int], Around]
    others: tuple[int, ...] = ()


def find_headings(sheet: Sheet) -> tuple[int, ...]:
    """The one or two rows of headings; none if the sheet has no known headings.

    It is the row with the most known headings, the first of several; with the row below if that makes more of them
    known.
    """
    best: tuple[tuple[int, int, int], tuple[int, ...]] | None = None
    for row in [row for row in sheet.rows if row <= ROWS_LOOKED_AT + min(sheet.rows, default=0)]:
        single = _known(_heading_texts(sheet, (row,)))
        candidates: list[tuple[int, tuple[int, ...]]] = [(single, (row,))]
        if row + 1 in sheet.rows and _may_be_second(sheet, row):
            candidates.append((_known(_heading_texts(sheet, (row, row + 1))), (row, row + 1)))
        for known, rows in candidates:
            # One row is likelier than two, as a title may be right above it; an upper row is likelier than a lower one.
            rank = (known, -len(rows), -row)
            if known and (best is None or rank > best[0]):
                best = (rank, rows)
    if best is None or not _is_enough(sheet, best[1], best[0][0]):
        return ()
    return best[1]


def _is_enough(sheet: Sheet, rows: tuple[int, ...], known: int) -> bool:
    filled = sum(1 for text in _heading_texts(sheet, rows).values() if text)
    return known >= 2 or (known == 1 and filled <= 2 and len(sheet.rows) > len(rows))


def _known(texts: Mapping[int, str]) -> int:
    return len({match_heading(text).meaning for text in texts.values()} - {None}) if texts else 0


def _may_be_second(sheet: Sheet, row: int) -> bool:
    """Whether the cells below a row of headings look like headings too, not like a quilt."""
    upper, lower = sheet.row(row), sheet.row(row + 1)
    gaps = {column for column in lower if column not in upper}
    spans = any(area.top == row and area.right > area.left for area in sheet.merged)
    texts = [cell.text for cell in lower.values()]
    return (bool(gaps) or spans) and all(len(text) < 30 and not re.search(r"[0-9]{2}", text) for text in texts)


def _heading_texts(sheet: Sheet, rows: tuple[int, ...]) -> dict[int, str]:
    """The heading of each column; in two rows, a heading over several columns precedes each of theirs."""
    if not rows:
        return {}
    lower = {column: one_line(cell.text) for column, cell in sheet.row(rows[-1]).items()}
    if len(rows) == 1:
        return lower
    upper = {column: one_line(cell.text) for column, cell in sheet.row(rows[0]).items()}
    texts = {}
    for column in sorted(upper.keys() | lower.keys()):
        above = upper.get(column) or _spanning(sheet, rows[0], column, upper)
        below = lower.get(column, "")
        texts[column] = " ".join(dict.fromkeys(filter(None, (above, below))))
    return texts


def _spanning(sheet: Sheet, row: int, column: int, upper: Mapping[int, str]) -> str:
    for area in sheet.merged:
        if area.top == row and area.left <= column <= area.right:
            return upper.get(area.left, "")
    if any(area.top == row for area in sheet.merged):
        return ""
    # Without recorded merges, a heading extends over empty cells to its right.
    left = max((other for other in upper if other < column), default=None)
    return upper[left] if left is not None and column - left <= 2 else ""


def take_apart(sheet: Sheet, headings: tuple[int, ...]) -> Table:
    """The table below these rows of headings; without headings, from the first row."""
    around: dict[tuple[int, int], Around] = {}
    first = min(headings, default=min(sheet.rows, default=1))
    texts = _heading_texts(sheet, headings)
    columns = _columns(sheet, first, texts)
    rows: list[Row] = []
    others: list[int] = []
    under: tuple[Cell, ...] = ()
    body = [row for row in sheet.rows if row > max(headings, default=0)]
    for number in sheet.rows:
        cells = sheet.row(number)
        kind: Around
        if number in headings:
            kind = "heading"
        elif number < first:
            kind = "title line"
        elif _is_heading_again(sheet, cells, texts, headings):
            kind = "heading again"
        elif headings and _are_other_headings(cells):
            kind = "heading again"
            others.append(number)
        elif _is_total(number, cells, rows, body):
            kind = "total"
        elif _is_between(sheet, number, cells, columns):
            kind, under = "line between", tuple(cells.values())
        else:
            rows.append(Row(number, cells, _merged_from_above(sheet, number, cells), under))
            continue
        around |= {(number, column): kind for column in cells}
    return Table(sheet, headings, columns, tuple(rows), around, tuple(others))


def _columns(sheet: Sheet, first: int, texts: Mapping[int, str]) -> tuple[Column, ...]:
    """The columns that have a heading, or a cell from the row `first` on."""
    filled = {column for row in sheet.rows if row >= first for column in sheet.row(row)}
    headings = ((column, texts.get(column, "")) for column in sorted(filled | texts.keys()))
    return tuple(Column(column, heading, match_heading(heading)) for column, heading in headings)


def _is_heading_again(
    sheet: Sheet, cells: Mapping[int, Cell], texts: Mapping[int, str], headings: tuple[int, ...]
) -> bool:
    """Whether a row repeats the headings, as on a new page."""
    lines = [{column: one_line(cell.text) for column, cell in sheet.row(row).items()} for row in headings]
    here = {column: one_line(cell.text) for column, cell in cells.items()}
    return len(here) > 1 and (here in lines or here == texts)


def _are_other_headings(cells: Mapping[int, Cell]) -> bool:
    """Whether a row looks like the headings of another table in the same sheet."""
    texts = [cell.text for cell in cells.values() if isinstance(cell.value, str)]
    known = {match.meaning for text in texts if (match := match_heading(one_line(text))).sure >= 0.9}
    return len(texts) == len(cells) >= 3 and len(known) >= 3 and len(known) >= 0.7 * len(texts)


def _is_total(number: int, cells: Mapping[int, Cell], rows: list[Row], body: list[int]) -> bool:
    """Whether a line is a total: it says so and has numbers, or holds the sum, count or mean of those above."""
    texts = [cell.text for cell in cells.values()]
    words = [text for text in texts if re.search(r"[^\W\d_]", text)]
    figures = len(texts) - len(words)
    is_last = number == body[-1]
    if words:
        has_figures = figures > 0 or is_last or bool(re.search("[0-9]", words[0]))
        return has_figures and len(words) <= 1 + figures and bool(_TOTAL.fullmatch(words[0]))
    return bool(rows) and is_last and len(cells) <= 4 and all(_comes_to(cell, rows) for cell in cells.values())


def _comes_to(cell: Cell, rows: list[Row]) -> bool:
    total = number_in(cell.value)
    if total is None or len(rows) < 2:
        return False
    above = [row.cells[cell.column].value for row in rows if cell.column in row.cells]
    numbers = [number for value in above if (number := number_in(value)) is not None]
    sums = [sum(numbers), len(numbers), len(above), len(rows), *([sum(numbers) / len(numbers)] if numbers else [])]
    return any(abs(total - each) < 0.006 for each in sums)


def _is_between(sheet: Sheet, number: int, cells: Mapping[int, Cell], columns: tuple[Column, ...]) -> bool:
    """Whether a line heads the rows below: merged over several columns, or alone in the first (a year, capitals)."""
    if len(cells) != 1:
        return False
    (cell,) = cells.values()
    if any(area.top == number and area.left == cell.column and area.right > area.left + 1 for area in sheet.merged):
        return True
    if not columns or cell.column != columns[0].number or len(columns) < 3:
        return False
    return bool(
        re.fullmatch(
            r"(?:19|20)[0-9]{2}s?:?|(?:the )?[0-9]{2}'?s|[^a-z]*[A-Z]{2}[^a-z0-9]*:?|.{3,60}:", cell.text.strip()
        )
    )


def _merged_from_above(sheet: Sheet, number: int, cells: Mapping[int, Cell]) -> dict[int, Cell]:
    """The cells merged over several rows that reach into this one."""
    found = {}
    for area in sheet.merged:
        if area.top < number <= area.bottom and area.left not in cells and (area.top, area.left) in sheet.cells:
            found[area.left] = sheet.cells[area.top, area.left]
    return found
