"""The report as an `.xlsx`: real numbers, real dates, and formulas for the totals that hold their values as well."""

import io
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from fractions import Fraction
from typing import Any, Literal

import xlsxwriter
from xlsxwriter.utility import xl_col_to_name

from collection.giving.annual_report import AnnualReport, Sums
from collection.values.dates import EdtfDate
from collection.values.lengths import CM_PER_INCH, Length
from collection.values.money import Money
from site_builder.documents.giving_report.document import period_words
from site_builder.documents.giving_report.rows import (
    ReportRow,
    former_rows,
    given_rows,
    not_placed_rows,
    on_its_way_rows,
    planned_rows,
    to_people_rows,
)
from site_builder.documents.typesetting import paper_size
from site_builder.text.wording import NOT_MEASURED

GIVEN = "Given"
_PAPERS = {"us-letter": 1, "a4": 9}
"""Source: seen in the documentation of XlsxWriter, `set_paper`."""


@dataclass(frozen=True, slots=True)
class _Column:
    """A column: its head, its value in a row, the name of its format, its width in characters."""

    head: str
    value: Callable[[ReportRow], Any]
    look: str | None = None
    width: int = 12


def xlsx_report(report: AnnualReport) -> bytes:
    """A workbook: the totals, each quilt given, what is on its way, what went to people, the notes.

    Totals are formulas over the sheet of gifts, each with the value that the report has for it. A date that is not
    one day is EDTF text. The same report gives the same bytes.
    """
    out = io.BytesIO()
    plain = {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False, "strings_to_numbers": False}
    book = xlsxwriter.Workbook(out, plain)
    _Writer(report, book).write()
    book.close()
    return out.getvalue()


class _Writer:
    """Writes the sheets of one workbook."""

    def __init__(self, report: AnnualReport, book: xlsxwriter.Workbook):
        self.report = report
        self.book = book
        self.settings = report.collection.settings
        currency = self.settings.currency
        _, _, places = f"{Money.nothing(currency).amount}".partition(".")
        number = "#,##0" + ("." + "0" * len(places) if places else "")
        looks: dict[str, dict[str, object]] = {
            "text": {},
            "wrapped": {"text_wrap": True, "valign": "top"},
            "head": {"bold": True, "bottom": 1, "text_wrap": True, "valign": "bottom"},
            "number head": {"bold": True, "bottom": 1, "text_wrap": True, "valign": "bottom", "align": "right"},
            "title": {"bold": True, "font_size": 16},
            "day": {"num_format": "d mmm yyyy", "align": "left"},
            "count": {"num_format": "#,##0"},
            "length": {"num_format": "0.###"},
            "area": {"num_format": "#,##0.00"},
            "money": {"num_format": f'{number} "{currency}"' if currency else number},
        }
        self.looks = {name: book.add_format(look) for name, look in looks.items()}
        self.totals = {name: book.add_format({**look, "bold": True, "top": 1}) for name, look in looks.items()}
        self.given = given_rows(report)
        self.first, self.last = 2, max(2, len(self.given) + 1)

    def write(self) -> None:
        title = f"Quilts given in {self.report.label}"
        made = self.report.on or self.report.last
        created = datetime(made.year, made.month, made.day)
        self.book.set_properties({"title": title, "author": self.settings.maker.name or "", "created": created})
        summary = self._sheet("Summary", widths=(34, 16, 16, 20, 20))
        self._given_sheet()
        on_their_way, to_people = on_its_way_rows(self.report), to_people_rows(self.report)
        self._list_sheet("On their way", _columns_on_their_way(self.report), on_their_way, "Nothing is on its way.")
        self._list_sheet("To people", _columns_to_people(self.report), to_people, "No quilt was given to a person.")
        for name, columns, rows in (
            ("Planned", _columns_planned, planned_rows(self.report)),
            ("In no year yet", _columns_not_placed, not_placed_rows(self.report)),
            ("Came back", _columns_former, former_rows(self.report)),
        ):
            if rows:
                self._list_sheet(name, columns(self.report), rows, "")
        self._notes_sheet()
        self._summary(summary, title)

    # Lists --------------------------------------------------------------------------------------

    def _given_sheet(self) -> None:
        columns = _columns_given(self.report)
        sheet = self._list_sheet(GIVEN, columns, self.given, f"No quilt reached a charity in {self.report.label}.")
        row, sums = self.last, self.report.sums
        sheet.write_string(row, 0, "All", self.totals["text"])
        for index, column in enumerate(columns[1:], start=1):
            self._blank(sheet, row, index)
            found = {
                "Title": ("COUNTA", "Quilt", len(self.given), "count"),
                _area_head(self.report): ("SUM", column.head, _area(self.report, sums.totals.area), "area"),
                "Materials recorded": ("SUM", column.head, sums.totals.materials.known, "money"),
                "Materials estimated": ("SUM", column.head, sums.estimated.total, "money"),
            }.get(column.head)
            if found:
                function, head, value, look = found
                self._formula(sheet, row, index, f"={function}({self._range(head, here=True)})", value, look)

    def _list_sheet(self, name: str, columns: Sequence[_Column], rows: Sequence[ReportRow], nothing: str) -> Any:
        sheet = self._sheet(name, widths=tuple(column.width for column in columns))
        for index, column in enumerate(columns):
            sheet.write_string(0, index, column.head, self.looks["number head" if column.look else "head"])
        for row_index, row in enumerate(rows, start=1):
            for index, column in enumerate(columns):
                self._write(sheet, row_index, index, column.value(row), column.look)
        if not rows:
            sheet.write_string(1, 2, nothing)
        else:
            sheet.autofilter(0, 0, len(rows), len(columns) - 1)
        sheet.freeze_panes(1, 3)
        sheet.repeat_rows(0)
        return sheet

    def _notes_sheet(self) -> None:
        if not self.report.notes:
            return
        name = "Notes on US tax" if self.settings.tax_notes == "us" else "A note on Gift Aid"
        sheet = self._sheet(name, widths=(90, 28, 34, 60))
        for index, head in enumerate(("Note", "Quilt", "Title", "Law or publication")):
            sheet.write_string(0, index, head, self.looks["head"])
        row = 1
        for note in self.report.notes:
            sheet.write_string(row, 0, note.sentence, self.looks["wrapped"])
            sheet.write_string(row, 3, note.authority, self.looks["wrapped"])
            for offset, quilt in enumerate(note.quilts):
                sheet.write_string(row + offset, 1, quilt)
                sheet.write_string(row + offset, 2, self.report.collection.quilts[quilt].title)
            row += max(1, len(note.quilts))
        sheet.repeat_rows(0)

    # Summary ------------------------------------------------------------------------------------

    def _summary(self, sheet: Any, title: str) -> None:
        sheet.write_string(0, 0, title, self.looks["title"])
        sheet.write_string(1, 0, self.settings.title)
        sheet.write_string(2, 0, period_words(self.report))
        row = self._compared(sheet, 4)
        row = self._by_charity(sheet, row + 1)
        row = self._counted(sheet, row + 1, "By size", "Size", self._sizes())
        self._counted(sheet, row + 1, "By month of delivery", "Month of delivery", self._months())

    def _compared(self, sheet: Any, top: int) -> int:
        """The year compared with the one before and all years. The year's own column has formulas over the gifts."""
        self._heads(sheet, top, ("Compared", self.report.label, self.report.label_before, "All years"))
        area, recorded, estimated = (
            self._range(head) for head in (_area_head(self.report), "Materials recorded", "Materials estimated")
        )
        lines: tuple[tuple[str, str, str, Callable[[Sums], Any]], ...] = (
            ("Quilts given", f"=COUNTA({self._range('Quilt')})", "count", lambda sums: sums.totals.count),
            ("Charities", "", "count", lambda sums: sums.totals.charities),
            ("Quilts whose charity is not known", "", "count", lambda sums: sums.totals.without_charity),
            (_area_head(self.report), f"=SUM({area})", "area", lambda sums: _area(self.report, sums.totals.area)),
            ("Materials recorded", f"=SUM({recorded})", "money", lambda sums: sums.totals.materials.known),
            (
                "Quilts with recorded materials",
                f"=COUNT({recorded})",
                "count",
                lambda sums: sums.totals.materials.recorded,
            ),
            ("Materials estimated", f"=SUM({estimated})", "money", lambda sums: sums.estimated.total),
            ("Quilts with an estimate", f"=COUNT({estimated})", "count", lambda sums: sums.estimated.count),
            ("Quilts with neither", "", "count", lambda sums: sums.lacking),
            (
                "Quilts acknowledged",
                f"=COUNTA({self._range('Acknowledged')})",
                "count",
                lambda sums: sums.totals.count - sums.totals.unacknowledged,
            ),
        )
        columns = (self.report.sums, self.report.before, self.report.lifetime)
        for row, (label, formula, look, value) in enumerate(lines, start=top + 1):
            sheet.write_string(row, 0, label)
            for index, sums in enumerate(columns, start=1):
                if index == 1 and formula:
                    self._formula(sheet, row, index, formula, value(sums), look, total=False)
                else:
                    self._write(sheet, row, index, value(sums), look)
        return top + len(lines) + 1

    def _by_charity(self, sheet: Any, top: int) -> int:
        labels = ("By charity", "Charity", "Quilts", "Materials recorded", "Materials estimated")
        self._heads(sheet, top, labels, words=2)

        def values(sums: Sums) -> tuple[tuple[int, Any, str], ...]:
            materials, estimated = sums.totals.materials.known, sums.estimated.total
            return (2, sums.totals.count, "count"), (3, materials, "money"), (4, estimated, "money")

        for row, part in enumerate(self.report.parts, start=top + 1):
            sheet.write_string(row, 0, part.name or "Charity not known yet")
            sheet.write_string(row, 1, part.charity or "")
            matches = f"--({self._range('Charity')}=$B{row + 1})"
            for index, value, look in values(part.sums):
                added = f",{self._range(labels[index])}" if look == "money" else ""
                self._formula(sheet, row, index, f"=SUMPRODUCT({matches}{added})", value, look, total=False)
        if not self.report.parts:
            return top + 1
        last = top + len(self.report.parts) + 1
        sheet.write_string(last, 0, "All", self.totals["text"])
        self._blank(sheet, last, 1)
        for index, value, look in values(self.report.sums):
            letter = xl_col_to_name(index)
            self._formula(sheet, last, index, f"=SUM({letter}{top + 2}:{letter}{last})", value, look)
        return last + 1

    def _counted(self, sheet: Any, top: int, heading: str, head: str, counts: Sequence[tuple[str, int]]) -> int:
        self._heads(sheet, top, (heading, "Quilts"))
        for row, (name, count) in enumerate(counts, start=top + 1):
            sheet.write_string(row, 0, name)
            formula = f"=SUMPRODUCT(--({self._range(head)}=$A{row + 1}))"
            self._formula(sheet, row, 1, formula, count, "count", total=False)
        if not counts:
            return top + 1
        last = top + len(counts) + 1
        sheet.write_string(last, 0, "All", self.totals["text"])
        self._formula(sheet, last, 1, f"=SUM(B{top + 2}:B{last})", self.report.sums.totals.count, "count")
        return last + 1

    def _sizes(self) -> list[tuple[str, int]]:
        counts = self.report.sums.totals.by_size
        named = [(box.name, counts[box.key]) for box in self.report.collection.size_boxes if counts.get(box.key)]
        return named + ([(NOT_MEASURED, counts[None])] if counts.get(None) else [])

    def _months(self) -> list[tuple[str, int]]:
        counts = self.report.sums.totals.by_month
        named = [(_month_words(month), counts[month]) for month in sorted(month for month in counts if month)]
        return named + ([(_month_words(None), counts[None])] if counts.get(None) else [])

    # Cells --------------------------------------------------------------------------------------

    def _sheet(self, name: str, widths: Sequence[int]) -> Any:
        sheet = self.book.add_worksheet(name)
        for index, width in enumerate(widths):
            sheet.set_column(index, index, width)
        sheet.set_landscape()
        sheet.set_paper(_PAPERS[paper_size(self.settings.currency)])
        sheet.fit_to_pages(1, 0)
        sheet.set_footer("&L&A&RPage &P of &N")
        return sheet

    def _heads(self, sheet: Any, row: int, heads: Sequence[str], *, words: int = 1) -> None:
        """The heads of a part: the first `words` of them above words, the others above numbers."""
        for index, head in enumerate(heads):
            sheet.write_string(row, index, head, self.looks["head" if index < words else "number head"])

    def _range(self, head: str, *, here: bool = False) -> str:
        """The reference to all cells of a column of the sheet of gifts, for a formula."""
        index = next(i for i, column in enumerate(_columns_given(self.report)) if column.head == head)
        letter = xl_col_to_name(index)
        return f"{'' if here else GIVEN + '!'}${letter}${self.first}:${letter}${self.last}"

    def _write(self, sheet: Any, row: int, column: int, value: Any, look: str | None) -> None:
        if isinstance(value, EdtfDate):
            if value.exact_day is not None and value.exact_day.year >= 1900:
                sheet.write_datetime(
                    row, column, datetime.combine(value.exact_day, datetime.min.time()), self.looks["day"]
                )
            else:
                sheet.write_string(row, column, value.edtf)
        elif isinstance(value, str):
            sheet.write_string(row, column, value, self.looks[look or "text"])
        elif value is not None:
            sheet.write_number(row, column, _number(value), self.looks[look or "count"])

    def _formula(
        self, sheet: Any, row: int, column: int, formula: str, value: Any, look: str, *, total: bool = True
    ) -> None:
        style = (self.totals if total else self.looks)[look]
        sheet.write_formula(row, column, formula, style, _number(value))

    def _blank(self, sheet: Any, row: int, column: int) -> None:
        sheet.write_blank(row, column, None, self.totals["text"])


def _columns_given(report: AnnualReport) -> list[_Column]:
    return [
        *_columns_of_charity_gift(report),
        _HANDED_OVER,
        _DELIVERED,
        _Column("Month of delivery", lambda row: _month_words(row.month), width=16),
        _Column("Acknowledged", lambda row: row.acknowledged, width=13),
        _Column("Materials recorded", lambda row: row.recorded, "money", 14),
        _Column("Materials estimated", lambda row: row.estimated, "money", 14),
    ]


def _columns_on_their_way(report: AnnualReport) -> list[_Column]:
    return [*_columns_of_charity_gift(report), _HANDED_OVER]


def _columns_planned(report: AnnualReport) -> list[_Column]:
    return [*_columns_of_charity_gift(report), _Column("Planned for", lambda row: row.planned_for, width=13)]


def _columns_not_placed(report: AnnualReport) -> list[_Column]:
    wanted = _Column("What would place it", lambda row: row.wanted, width=50)
    return [*_columns_of_charity_gift(report), _HANDED_OVER, _DELIVERED, wanted]


def _columns_former(report: AnnualReport) -> list[_Column]:
    return [
        *_columns_of_charity_gift(report),
        _HANDED_OVER,
        _DELIVERED,
        _Column("Came back or missed", lambda row: row.ended, width=13),
        _Column("How", lambda row: row.listed_as, width=12),
    ]


def _columns_to_people(report: AnnualReport) -> list[_Column]:
    given = _Column("Given", lambda row: row.delivered, width=13)
    return [*_COLUMNS_OF_QUILT, _TO, *_columns_of_size(report), given]


_COLUMNS_OF_QUILT = (
    _Column("Quilt", lambda row: row.quilt.id, width=22),
    _Column("Number", lambda row: row.quilt.number, "count", 9),
    _Column("Title", lambda row: row.quilt.title, width=34),
)
_TO = _Column("To", lambda row: row.recipient, width=30)
_HANDED_OVER = _Column("Handed over", lambda row: row.handed_over, width=13)
_DELIVERED = _Column("Delivered", lambda row: row.delivered, width=13)


def _columns_of_charity_gift(report: AnnualReport) -> list[_Column]:
    return [
        *_COLUMNS_OF_QUILT,
        _Column("Charity", lambda row: row.to, width=20),
        _TO,
        _Column("For tax purposes", lambda row: row.qualification, width=14),
        _Column("Through", lambda row: row.through, width=20),
        *_columns_of_size(report),
    ]


def _columns_of_size(report: AnnualReport) -> list[_Column]:
    units = report.collection.settings.units

    def side(name: Literal["width", "length"]) -> Callable[[ReportRow], Fraction | None]:
        def value(row: ReportRow) -> Fraction | None:
            size = row.quilt.finished_size
            length: Length | None = getattr(size, name, None)
            return None if length is None else length.inches if units == "in" else length.cm

        return value

    return [
        _Column(f"Width, {units}", side("width"), "length", 9),
        _Column(f"Length, {units}", side("length"), "length", 9),
        _Column("Size", lambda row: row.category or NOT_MEASURED, width=16),
        _Column(_area_head(report), lambda row: None if row.area is None else _area(report, row.area), "area", 10),
    ]


def _month_words(month: tuple[int, int] | None) -> str:
    return f"{month[0]:04d}-{month[1]:02d}" if month else "not known"


def _area_head(report: AnnualReport) -> str:
    return "Square yards" if report.collection.settings.units == "in" else "Square metres"


def _area(report: AnnualReport, area: Fraction) -> Fraction:
    """Square inches in square yards or square metres."""
    return area / 36**2 if report.collection.settings.units == "in" else area * (CM_PER_INCH / 100) ** 2


def _number(value: int | Fraction | Decimal | Money) -> int | float:
    exact = value.amount if isinstance(value, Money) else value
    return exact if isinstance(exact, int) else float(exact)
