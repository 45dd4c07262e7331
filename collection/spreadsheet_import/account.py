"""The account of a spreadsheet: of every cell that held something, where it went."""

import csv
import io
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

Where = Literal[
    "field", "field and notes", "notes", "title line", "heading", "heading again", "total", "line between",
    "taken in before", "changed since", "same as another row", "recorded already", "left out", "sheet left out",
]  # fmt: skip

# A program that shows tables may take a text that begins so for a formula, and carry it out.
# Common practice, no source: an apostrophe before it keeps it a text.
_BEGINS_A_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")


@dataclass(frozen=True, slots=True)
class Accounted:
    """One cell, and where it went: `detail` says to which quilts, and into which fields; `look` why to look at it."""

    sheet: str
    cell: str
    row: int
    heading: str
    text: str
    where: Where
    detail: str = ""
    look: str = ""


def by_where(account: Iterable[Accounted]) -> dict[str, int]:
    """How many cells went where, the most first."""
    return dict(Counter(entry.where for entry in account).most_common())


def account_csv(account: Iterable[Accounted]) -> bytes:
    """The account as a table: a row for each cell. UTF-8 with a mark that spreadsheets know it by."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(["Sheet", "Cell", "Heading", "What stands there", "Where it went", "Quilt and field", "To look at"])
    for entry in account:
        row = (entry.sheet, entry.cell, entry.heading, entry.text, entry.where, entry.detail, entry.look)
        writer.writerow([f"'{text}" if text.startswith(_BEGINS_A_FORMULA) else text for text in row])
    return out.getvalue().encode("utf-8-sig", "backslashreplace")
