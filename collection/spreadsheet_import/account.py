"""The account of an import: where each non-empty cell of the spreadsheet went."""

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

# Spreadsheet programs may execute a text that begins like this as a formula; a leading apostrophe prevents it.
# Common practice, no source.
_BEGINS_A_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")


@dataclass(frozen=True, slots=True)
class Accounted:
    """One cell and where it went: `detail` names quilts and fields; `look` is a reason to check it, or empty."""

    sheet: str
    cell: str
    row: int
    heading: str
    text: str
    where: Where
    detail: str = ""
    look: str = ""


def by_where(account: Iterable[Accounted]) -> dict[str, int]:
    """The number of cells for each target, the largest first."""
    return dict(Counter(entry.where for entry in account).most_common())


def account_csv(account: Iterable[Accounted]) -> bytes:
    """The account as CSV, one row per cell; UTF-8 with a byte order mark, so that spreadsheets recognise it."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(["Sheet", "Cell", "Heading", "What stands there", "Where it went", "Quilt and field", "To look at"])
    for entry in account:
        row = (entry.sheet, entry.cell, entry.heading, entry.text, entry.where, entry.detail, entry.look)
        writer.writerow([f"'{text}" if text.startswith(_BEGINS_A_FORMULA) else text for text in row])
    return out.getvalue().encode("utf-8-sig", "backslashreplace")
