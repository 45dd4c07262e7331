"""Reads a .csv of any common encoding and separator into cells, and states which it took.

A .csv does not declare its encoding. A byte order mark decides; else UTF-8 if all of the file decodes, which other text
hardly ever does; else the one of two 8-bit encodings of the last decades that puts letters among letters.
"""

import csv
import io
import re
from collections.abc import Iterator

from collection.spreadsheet_import.files.cells import Cell, Sheet, Workbook
from collection.spreadsheet_import.files.limits import (
    LARGEST_TEXT,
    MOST_CELLS,
    MOST_ROWS,
    SheetRefused,
    too_large,
    too_many_cells,
    too_many_rows,
)

_MARKS = ((b"\xef\xbb\xbf", "utf-8-sig", "UTF-8"), (b"\xff\xfe", "utf-16", "UTF-16"), (b"\xfe\xff", "utf-16", "UTF-16"))
_OLD = {"cp1252": "Windows-1252", "mac-roman": "Mac Roman"}
_SEPARATORS = {",": "commas", ";": "semicolons", "\t": "tabs", "|": "bars"}
_LINES_OF_A_ROW = 20
"""The most lines per row, on average over a file."""

_LINES_LOOKED_AT = 200
_BYTES_LOOKED_AT = 500_000
_LETTER = r"[^\W\d_]"
_ODD = (
    # Symbols within words, and opening quotes after a letter.
    rf"(?<={_LETTER})[^\w\s\x00-\x7f’‘“”–—…½¼¾×°²](?={_LETTER})",
    rf"(?<={_LETTER})[‘“]",
    # Capitals after small letters or between a capital and a small one, and very rare letters.
    "(?<=[a-zà-öø-ÿ])[À-ÖØ-ÞŒŠŸŽ]|(?<=[A-Z])[ŒŠŽ](?=[a-z])|Ÿ",
    "[ƒˆ‰†‡ªº¬∫∂∑∏Ωπ˝˛ˇıﬁﬂ◊]",
    # Symbols before a letter.
    rf"[¡¢£¤¦§¨©«®¯±³´µ¶·¸¹»¿Œœ∞≈≠√∆](?={_LETTER})",
    rf"(?<={_LETTER})[¡¢£¤¦§¨©¯±³µ¶·¸¹¿Œ∞≈≠√∆]",
    "[\x80-\x9f\ufffd]",
)


def read_csv(raw: bytes, name: str) -> Workbook:
    """The file as a workbook with one sheet. Raises SheetRefused, with a message for the maker."""
    if len(raw) > LARGEST_TEXT:
        raise too_large(name, LARGEST_TEXT)
    stem = name.rpartition(".")[0] or name
    if max(raw.count(b"\n"), raw.count(b"\r")) > _LINES_OF_A_ROW * MOST_ROWS:
        raise too_many_rows(name, stem)
    text, encoding = decoded(raw)
    if "\0" in text:
        raise SheetRefused(
            f"{name} is no text, though its name ends so. Open it in your spreadsheet program and save it as "
            ".csv or .xlsx."
        )
    separator = separator_of(text)
    cells: dict[tuple[int, int], Cell] = {}
    for row, values in enumerate(_rows(text, separator, name), start=1):
        for column, value in enumerate(values, start=1):
            if value.strip():
                cells[row, column] = Cell(row, column, value)
                if len(cells) > MOST_CELLS:
                    raise too_many_cells(name)
    if not cells:
        raise SheetRefused(f"{name} is empty: there is nothing to take in.")
    said = f"{name} was read as {encoding}, its columns parted by {_SEPARATORS[separator]}."
    return Workbook(name, (Sheet(stem, cells),), (said,))


def decoded(raw: bytes) -> tuple[str, str]:
    """The decoded text, and the name of its encoding.

    >>> decoded("Blåbær".encode("cp1252")), decoded("Blåbær".encode("mac-roman"))
    (('Blåbær', 'Windows-1252'), ('Blåbær', 'Mac Roman'))
    """
    for mark, codec, name in _MARKS:
        if raw.startswith(mark):
            return raw.decode(codec, errors="replace"), name
    if (utf_16 := _utf16_without_mark(raw)) is not None:
        return raw.decode(utf_16, errors="replace"), "UTF-16"
    try:
        return raw.decode("utf-8"), "UTF-8"
    except UnicodeDecodeError:
        pass
    lines = [(line, _is_utf_8(line)) for line in raw.split(b"\n")]
    old = b"\n".join(line for line, is_new in lines if not is_new)
    odd = {codec: _oddities(old[:_BYTES_LOOKED_AT].decode(codec, errors="replace")) for codec in _OLD}
    codec = min(_OLD, key=odd.__getitem__)
    # Lists merged from several files have lines in both encodings.
    text = "\n".join(line.decode("utf-8" if is_new else codec, errors="replace") for line, is_new in lines)
    mixed = any(is_new and not line.isascii() for line, is_new in lines)
    return text, f"{_OLD[codec]}, some lines as UTF-8" if mixed else _OLD[codec]


def _is_utf_8(line: bytes) -> bool:
    try:
        line.decode("utf-8")
    except UnicodeDecodeError:
        return False
    return True


def _utf16_without_mark(raw: bytes) -> str | None:
    """The UTF-16 encoding of text without a byte order mark, or None: Western text has a zero in every other byte."""
    start = raw[:2000]
    if len(start) >= 4 and start.count(0) >= len(start) // 3:
        return "utf-16-le" if start[1::2].count(0) > start[0::2].count(0) else "utf-16-be"
    return None


def _oddities(text: str) -> int:
    """The number of characters in unlikely places: symbols within words, capitals after small letters.

    A dash between letters does not count: if it is the only hint, the text is from Windows, as most are.
    """
    found = [len(re.findall(pattern, text)) for pattern in _ODD]
    return sum(found) + 2 * len(re.findall("[\x80-\x9f\ufffd]", text))


def separator_of(text: str) -> str:
    """The column separator: it splits most lines, outside quotes, into the same number of columns, above one."""
    stated = re.match(r"sep=(.)\r?\n", text)
    if stated and stated[1] in _SEPARATORS:
        return stated[1]
    start = "".join(text[:_BYTES_LOOKED_AT].splitlines(keepends=True)[:_LINES_LOOKED_AT])
    return max(_SEPARATORS, key=lambda separator: _evenness(start, separator))


def _evenness(text: str, separator: str) -> tuple[int, int]:
    try:
        widths = [len(row) for row in csv.reader(io.StringIO(text, newline=""), delimiter=separator) if any(row)]
    except csv.Error:
        return 0, 0
    several = [width for width in widths if width > 1]
    commonest = max((several.count(width) for width in set(several)), default=0)
    return commonest, len(several)


def _rows(text: str, separator: str, name: str) -> Iterator[list[str]]:
    lines = io.StringIO(re.sub(r"\Asep=.\r?\n", "\n", text), newline="")
    try:
        yield from csv.reader(lines, delimiter=separator)
    except csv.Error as error:
        remedy = "Most likely a quotation mark is not closed. Open it in your spreadsheet program and save it anew."
        raise SheetRefused(f"{name} can't be read to its end ({error}). {remedy}") from error
