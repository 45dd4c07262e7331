"""Checks a zipped spreadsheet before it is read: the extent of its sheets, hidden rows, cells with errors.

The cell reader allocates the whole rectangle that a sheet spans, and omits cells with errors. Both have to be known
before.
"""

import lzma
import re
import zipfile
import zlib
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from xml.parsers import expat

from collection.spreadsheet_import.files.cells import column_of
from collection.spreadsheet_import.files.limits import (
    LARGEST_UNPACKED,
    LARGEST_UNPACKED_A_BYTE,
    MOST_CELLS,
    MOST_MARKS,
    MOST_MARKS_A_BYTE,
    MOST_PLACES,
    MOST_SHEETS,
    MOST_TEXT,
    SheetRefused,
    too_many_cells,
    too_many_parts,
    too_many_sheets,
    too_much_text,
    too_wide,
    unpacks_to_too_much,
)

_CHUNK = 1 << 16
_MARKS = (b"<", b"=", b"&", b"\n")
"""The characters at which the parser stops: each takes time."""

_ENCODINGS = ("utf-8", "utf-16", "us-ascii", "iso-8859-1")
"""The XML encodings in which these characters have the same bytes. All spreadsheet programs write UTF-8."""

UNREADABLE = (
    expat.ExpatError,
    LookupError,
    zipfile.BadZipFile,
    zlib.error,
    lzma.LZMAError,
    OSError,
    ValueError,
    NotImplementedError,  # a version or a method that zipfile doesn't know
    RuntimeError,
    EOFError,
)
"""The exceptions of opening, unpacking and parsing a damaged file."""

MOST_ROWS_OF_A_SHEET, MOST_COLUMNS_OF_A_SHEET = 1_048_576, 16_384
"""The limits of cell names in an .xlsx. Source: ECMA-376 part 1, 18.3.1.73 and 18.3.1.4; from memory."""


@dataclass
class Look:
    """The findings on one sheet."""

    errors: dict[tuple[int, int], str] = field(default_factory=dict)
    hidden_rows: set[int] = field(default_factory=set)
    last_row: int = 0
    last_column: int = 0


def look_into(archive: zipfile.ZipFile, name: str, file_size: int) -> dict[str, Look]:
    """The findings on each sheet, by name. Raises SheetRefused if the file can't be read, or takes too much work.

    `file_size` is the size of the zipped file in bytes; it determines how much the file may unpack to, and the work.
    """
    _Work(name, file_size).look_over(archive)
    work = _Work(name, file_size)
    try:
        looks = _look_into_ods(archive, work) if "content.xml" in archive.namelist() else _look_into_xlsx(archive, work)
    except UNREADABLE as error:
        raise broken(name) from error
    places = 0
    for sheet, look in looks.items():
        places += look.last_row * look.last_column
        if places > MOST_PLACES:
            raise too_wide(name, sheet)
    return looks


def broken(name: str) -> SheetRefused:
    return SheetRefused(
        f"{name} can't be read as a spreadsheet: it may be damaged, or copied only in part. "
        "Open it in your spreadsheet program and save it anew, as .xlsx, .ods or .csv."
    )


class _Work:
    """Counts the work that a file takes before it is done. Raises SheetRefused if it is too much."""

    def __init__(self, name: str, file_size: int) -> None:
        self.name = name
        self._bytes_left = LARGEST_UNPACKED + LARGEST_UNPACKED_A_BYTE * file_size
        self._marks_left = MOST_MARKS + MOST_MARKS_A_BYTE * file_size

    def look_over(self, archive: zipfile.ZipFile) -> None:
        """Count all parts once, as the cell reader may read any."""
        for member in archive.infolist():
            if member.flag_bits & 1:
                raise locked(self.name)
            try:
                self.unpacked(archive, member)
            except UNREADABLE as error:
                raise broken(self.name) from error

    def unpacked(self, archive: zipfile.ZipFile, member: zipfile.ZipInfo | str) -> bytes:
        """A whole part: fed in pieces, the parser would rescan an unfinished token with each piece."""
        parts = []
        with archive.open(member) as opened:
            while chunk := opened.read(_CHUNK):
                self._bytes_left -= len(chunk)
                self._marks_left -= sum(chunk.count(mark) for mark in _MARKS)
                if self._bytes_left < 0:
                    raise unpacks_to_too_much(self.name)
                if self._marks_left < 0:
                    raise too_many_parts(self.name)
                parts.append(chunk)
        return b"".join(parts)


def _parse(
    content: bytes,
    start: Callable[[str, dict[str, str]], None],
    end: Callable[[str], None] | None = None,
    text: Callable[[str], None] | None = None,
) -> None:
    parser = expat.ParserCreate()
    parser.buffer_text = True
    parser.buffer_size = 1 << 20
    parser.StartElementHandler = start
    parser.EndElementHandler = end
    parser.CharacterDataHandler = text
    parser.StartDoctypeDeclHandler = _refuse_doctype
    parser.XmlDeclHandler = _refuse_other_encodings
    parser.Parse(content, True)


def _refuse_doctype(*_: object) -> None:
    raise ValueError("no spreadsheet declares entities")


def _refuse_other_encodings(_: str, encoding: str | None, __: int) -> None:
    if encoding is not None and encoding.lower() not in _ENCODINGS:
        raise ValueError(f"no spreadsheet is in {encoding}")


def locked(name: str) -> SheetRefused:
    return SheetRefused(
        f"{name} is protected by a password. Open it in your spreadsheet program, take the password off, "
        "and save it under another name for this."
    )


# .xlsx ------------------------------------------------------------------------------------------


def _look_into_xlsx(archive: zipfile.ZipFile, work: _Work) -> dict[str, Look]:
    looks, cells, signs, name = {}, 0, 0, work.name
    lengths = _lengths_of_shared_texts(archive, work)
    for sheet, member in _xlsx_sheets(archive, work):
        looks[sheet], seen, shared = _look_at_xlsx_sheet(work.unpacked(archive, member), lengths)
        cells += seen
        signs += shared
        if cells > MOST_CELLS:
            raise too_many_cells(name)
        if signs > MOST_TEXT:
            raise too_much_text(name)
    return looks


def _lengths_of_shared_texts(archive: zipfile.ZipFile, work: _Work) -> list[int]:
    """The length in characters of each shared text."""
    lengths: list[int] = []
    member = next((name for name in archive.namelist() if name.lower() == "xl/sharedstrings.xml"), None)

    def start(tag: str, _: dict[str, str]) -> None:
        if tag.rpartition(":")[2] == "si":
            lengths.append(0)

    def text(data: str) -> None:
        if lengths:
            lengths[-1] += len(data)

    if member is not None:
        _parse(work.unpacked(archive, member), start, None, text)
    return lengths


def _xlsx_sheets(archive: zipfile.ZipFile, work: _Work) -> Iterator[tuple[str, str]]:
    """The name of each sheet, and the archive member that holds it."""
    targets: dict[str, str] = {}
    sheets: list[tuple[str, str]] = []

    def relation(tag: str, attributes: dict[str, str]) -> None:
        if tag.rpartition(":")[2] == "Relationship":
            targets[attributes.get("Id", "")] = attributes.get("Target", "")

    def sheet(tag: str, attributes: dict[str, str]) -> None:
        if tag.rpartition(":")[2] == "sheet":
            relation_id = next((value for key, value in attributes.items() if key.endswith(":id")), "")
            sheets.append((attributes.get("name", ""), relation_id))

    _parse(work.unpacked(archive, "xl/_rels/workbook.xml.rels"), relation)
    _parse(work.unpacked(archive, "xl/workbook.xml"), sheet)
    if len(sheets) > MOST_SHEETS:
        raise too_many_sheets(work.name)
    for title, relation_id in sheets:
        target = targets.get(relation_id, "").lstrip("/")
        member = target if target.startswith("xl/") else f"xl/{target}"
        if "worksheets/" in member and member in archive.namelist():
            yield title, member


def _look_at_xlsx_sheet(content: bytes, lengths: list[int]) -> tuple[Look, int, int]:
    """The findings on a sheet, the number of non-empty cells, and the characters in cells with shared texts."""
    look = Look()
    row = column = cells = signs = 0
    kind, in_value, words = "", False, ""

    def start(tag: str, attributes: dict[str, str]) -> None:
        nonlocal row, column, cells, kind, in_value, words
        tag = tag.rpartition(":")[2]
        if tag == "row":
            row, column = int(attributes.get("r") or row + 1), 0
            if not 0 < row <= MOST_ROWS_OF_A_SHEET:
                raise ValueError(f"{row} is no row of a sheet")
            if attributes.get("hidden") in ("1", "true"):
                look.hidden_rows.add(row)
        elif tag == "c":
            column = _column(attributes.get("r"), row, column)
            look.last_row, look.last_column = max(look.last_row, row), max(look.last_column, column)
            kind, words = attributes.get("t", ""), ""
        elif tag in ("v", "is"):
            cells += 1
            in_value = True

    def end(tag: str) -> None:
        nonlocal in_value, signs
        tag = tag.rpartition(":")[2]
        if tag in ("v", "is"):
            in_value = False
        elif tag == "c" and kind == "e" and words.strip():
            look.errors[row, column] = words.strip()
        elif tag == "c" and kind == "s" and words.strip():
            signs += lengths[int(words)]

    def text(data: str) -> None:
        nonlocal words
        if in_value and kind in ("e", "s"):
            words += data

    _parse(content, start, end, text)
    return look, cells, signs


def _column(name: str | None, row: int, last: int) -> int:
    """The column of a cell in this row: from its name, else the one after the last.

    Raises ValueError if the name is not that of a cell in this row: readers treat such names differently.
    """
    if name is None:
        column: int | None = last + 1
    else:
        found = re.fullmatch(r"([A-Za-z]{1,3})([0-9]{1,7})", name, re.ASCII)
        column = column_of(found[1]) if found and int(found[2]) == row else None
    if column is None or column > MOST_COLUMNS_OF_A_SHEET:
        raise ValueError(f"{name} is no cell of row {row}")
    return column


# .ods -------------------------------------------------------------------------------------------


def _look_into_ods(archive: zipfile.ZipFile, work: _Work) -> dict[str, Look]:
    looks: dict[str, Look] = {}
    look, name = Look(), work.name
    hidden: list[tuple[Look, int, int]] = []
    row = column = cells = blanks = signs = tables = 0
    row_repeat = repeat = 1
    filled, is_error, words, in_cell = False, False, "", False

    def start(tag: str, attributes: dict[str, str]) -> None:
        nonlocal look, row, column, row_repeat, repeat, filled, is_error, words, blanks, in_cell, tables
        tag = tag.rpartition(":")[2]
        if tag == "table":
            look = looks[attributes.get("table:name", "")] = Look()
            tables += 1  # some may have the same name
            if tables > MOST_SHEETS:
                raise too_many_sheets(name)
            row, row_repeat = 0, 1
        elif tag == "table-row":
            row, column = row + 1, 0
            row_repeat = _repeat(attributes.get("table:number-rows-repeated"))
            if attributes.get("table:visibility") in ("collapse", "filter"):
                hidden.append((look, row, row + row_repeat))
        elif tag in ("table-cell", "covered-table-cell"):
            column += 1
            repeat = _repeat(attributes.get("table:number-columns-repeated"))
            filled = "office:value-type" in attributes
            is_error = attributes.get("calcext:value-type") == "error"
            words, blanks, in_cell = "", 0, True
        elif tag == "s":
            blanks += max(0, int(attributes.get("text:c") or 1))

    def end(tag: str) -> None:
        nonlocal row, column, cells, signs, in_cell
        tag = tag.rpartition(":")[2]
        if tag in ("table-cell", "covered-table-cell"):
            if filled or words.strip() or blanks:
                cells += repeat * row_repeat
                signs += (len(words) + blanks) * repeat * row_repeat
                if cells > MOST_CELLS:
                    raise too_many_cells(name)
                if signs > MOST_TEXT:
                    raise too_much_text(name)
                look.last_row = max(look.last_row, row + row_repeat - 1)
                look.last_column = max(look.last_column, column + repeat - 1)
                if is_error:
                    look.errors[row, column] = words.strip() or "#ERROR"
            column += repeat - 1
            in_cell = False
        elif tag == "table-row":
            row += row_repeat - 1

    def text(data: str) -> None:
        nonlocal words
        if in_cell:
            words += data

    _parse(work.unpacked(archive, "content.xml"), start, end, text)
    for look, first, behind in hidden:  # the extent of a sheet is known only now: most hidden rows are beyond it
        look.hidden_rows.update(range(first, min(behind, look.last_row + 1, MOST_PLACES)))
    return looks


def _repeat(written: str | None) -> int:
    repeat = 1 if written is None else int(written)
    if repeat < 1:
        raise ValueError(f"nothing stands there {written} times")
    return repeat
