"""The report as a `.csv`: one row for each quilt, with values only."""

import csv
import io
from collections.abc import Callable, Iterator
from decimal import Decimal

from collection.giving.annual_report import AnnualReport
from collection.values.lengths import Length
from site_builder.documents.giving_report.rows import ReportRow, all_rows

# A spreadsheet may run a text that begins with one of these as a formula.
# Common practice, no source: an apostrophe before it keeps it a text.
_BEGINS_A_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")


def csv_table(report: AnnualReport) -> bytes:
    """UTF-8 with a byte order mark for spreadsheets, and the line ends of RFC 4180."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    columns = dict(_columns(report))
    writer.writerow(columns)
    for row in all_rows(report):
        writer.writerow([_cell(value(row)) for value in columns.values()])
    return out.getvalue().encode("utf-8-sig", "backslashreplace")


def _columns(report: AnnualReport) -> Iterator[tuple[str, Callable[[ReportRow], object]]]:
    units, currency = report.collection.settings.units, report.collection.settings.currency or "currency not set"

    def side(length: Length) -> Decimal:
        exact = length.inches if units == "in" else length.cm
        return round(Decimal(exact.numerator) / Decimal(exact.denominator), 4).normalize()

    yield "Listed as", lambda row: row.listed_as
    yield "Quilt", lambda row: row.quilt.id
    yield "Number", lambda row: row.quilt.number
    yield "Title", lambda row: row.quilt.title
    yield "Charity", lambda row: row.to
    yield "To", lambda row: row.recipient
    yield "For tax purposes", lambda row: row.qualification
    yield "Through", lambda row: row.through
    yield f"Width, {units}", lambda row: row.quilt.finished_size and side(row.quilt.finished_size.width)
    yield f"Length, {units}", lambda row: row.quilt.finished_size and side(row.quilt.finished_size.length)
    yield "Size", lambda row: row.category
    yield "Handed over", lambda row: row.handed_over and row.handed_over.edtf
    yield "Delivered", lambda row: row.delivered and row.delivered.edtf
    yield "Acknowledged", lambda row: row.acknowledged and row.acknowledged.edtf
    yield f"Materials recorded, {currency}", lambda row: row.recorded.amount if row.recorded is not None else None
    yield f"Materials estimated, {currency}", lambda row: row.estimated.amount if row.estimated is not None else None
    yield "Planned for", lambda row: row.planned_for and row.planned_for.edtf
    yield "Came back", lambda row: row.ended and row.ended.edtf
    yield "What would place it", lambda row: row.wanted


def _cell(value: object) -> str:
    if isinstance(value, Decimal):
        return f"{value:f}"
    if isinstance(value, str) and value.startswith(_BEGINS_A_FORMULA):
        return f"'{value}"
    return "" if value is None else str(value)
