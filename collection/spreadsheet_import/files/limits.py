"""How large a spreadsheet may be, and the one way to refuse one."""

LARGEST_FILE = 40_000_000
"""The size of the file on disk, in bytes."""

LARGEST_TEXT = 5_000_000
"""The size of a .csv, which has no pictures, in bytes: ten thousand rows of five hundred."""

LARGEST_UNPACKED, LARGEST_UNPACKED_A_BYTE = 40_000_000, 4
"""The unpacked size of a zipped spreadsheet, in bytes: a base, and so many more per byte of the file. 50,000 cells with
words take 3 MB in an .xlsx and 9 MB in an .ods."""

MOST_MARKS, MOST_MARKS_A_BYTE = 1_500_000, 2
"""Tags, attributes, entities and lines of all parts together. 50,000 cells have about 500,000."""

LONGEST_CELL = 32_767
"""Characters in one cell: the limit of .xlsx. Common practice, no source."""

LONGEST_ROW = 90_000
"""Characters in a row, which becomes one record: it can be written even if each takes ten bytes."""

MOST_CELLS = 200_000
"""Non-empty cells in all sheets together: a collection of quilts has about a hundredth of that."""

MOST_ROWS = 10_000
MOST_COLUMNS = 1_000
"""Non-empty rows and columns of one sheet."""

MOST_TEXT = 20_000_000
"""Characters in all cells together. Shared texts and repeated blanks can make them many more than the file's bytes."""

MOST_PLACES = 2_000_000
"""Cells of the rectangle that a sheet spans, empty ones included: all of it is in memory."""


MOST_SHEETS = 100
"""Sheets in one file."""


class SheetRefused(Exception):
    """A spreadsheet can't be imported; the message is for the maker. Nothing was changed."""


def too_large(name: str, most: int) -> SheetRefused:
    return SheetRefused(
        f"{name} is larger than {most // 1_000_000} MB, which no list of quilts is. Pictures in it may "
        "be why: copy the table alone into a new spreadsheet."
    )


def too_many_cells(name: str) -> SheetRefused:
    return SheetRefused(
        f"{name} has more than {MOST_CELLS:,} cells with something in them, and no more are read. "
        "Copy the table of quilts into a spreadsheet of its own."
    )


def too_much_text(name: str) -> SheetRefused:
    return SheetRefused(
        f"The cells of {name} hold more than {MOST_TEXT // 1_000_000} million characters, which no list of quilts "
        "does. Copy the table of quilts into a spreadsheet of its own."
    )


def too_many_rows(name: str, sheet: str) -> SheetRefused:
    return SheetRefused(
        f"The sheet {sheet} of {name} has more than {MOST_ROWS:,} rows, or {MOST_COLUMNS:,} columns, with something in "
        "them, and no more are read at once. Copy the table of quilts into a spreadsheet of its own, or part it in two."
    )


def too_wide(name: str, sheet: str) -> SheetRefused:
    return SheetRefused(
        f"The sheet {sheet} of {name} reaches so far down and to the right that it holds more than "
        f"{MOST_PLACES:,} places, nearly all of them empty. Something stands far off the table: copy the table "
        "alone into a new spreadsheet."
    )


def too_many_sheets(name: str) -> SheetRefused:
    return SheetRefused(
        f"{name} has more than {MOST_SHEETS} sheets, which no list of quilts has. "
        "Copy the table of quilts into a spreadsheet of its own."
    )


def unpacks_to_too_much(name: str) -> SheetRefused:
    return SheetRefused(
        f"{name} unpacks to far more than a list of quilts of its size does, and is not read. Copy the table of quilts "
        "alone into a new spreadsheet."
    )


def too_many_parts(name: str) -> SheetRefused:
    return SheetRefused(
        f"{name} is made of far more small parts than a list of quilts of its size has, and is not read. Copy the table "
        "of quilts alone into a new spreadsheet."
    )


def too_long_a_cell(name: str, sheet: str, place: str, row: int, length: int) -> SheetRefused:
    return SheetRefused(
        f"In {name}, sheet {sheet}, row {row}: the cell {place} holds {length:,} characters, and a cell may hold at most "
        f"{LONGEST_CELL:,}. Shorten it there, and take the sheet in again."
    )


def too_long_a_row(name: str, sheet: str, row: int, length: int) -> SheetRefused:
    return SheetRefused(
        f"In {name}, sheet {sheet}, row {row}: the cells hold {length:,} characters together, and those of a row may hold "
        f"at most {LONGEST_ROW:,}. Shorten the longest there, and take the sheet in again."
    )
