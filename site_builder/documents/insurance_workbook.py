"""The insurance list as an `.xlsx`: a row for each quilt, with real numbers and dates, and sums by kind of appraisal."""

import io
from datetime import date, datetime
from typing import Any

import xlsxwriter

from collection.records.collection import Collection
from collection.records.quilt import Quilt
from collection.values.dates import EdtfDate
from site_builder.documents.insurance_list import kept_quilts, sums_by_kind
from site_builder.documents.object_id import object_record

_PLAIN = {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False, "strings_to_numbers": False}
_WIDTHS = {"Materials and techniques": 40, "Measurements": 44, "Description": 50, "Photographs": 28}
VALUES = ("Cost of materials", "Appraised value", "Kind of appraisal", "Appraised by", "Appraised on")


def insurance_workbook(collection: Collection, *, on: date) -> bytes:
    """The list as a workbook, with the same bytes for the same list and day. A date that is not one day is EDTF text."""
    out = io.BytesIO()
    book = xlsxwriter.Workbook(out, _PLAIN)
    author = collection.settings.maker.name or ""
    book.set_properties({"title": "Insurance list", "author": author, "created": datetime(on.year, on.month, on.day)})
    _write(book, collection, on)
    book.close()
    return out.getvalue()


def _write(book: xlsxwriter.Workbook, collection: Collection, on: date) -> None:
    currency = collection.settings.currency
    head = book.add_format({"bold": True, "bottom": 1, "text_wrap": True})
    looks = {
        "money": book.add_format({"num_format": f'#,##0.00 "{currency}"' if currency else "#,##0.00", "valign": "top"}),
        "day": book.add_format({"num_format": "d mmm yyyy", "align": "left", "valign": "top"}),
        "text": book.add_format({"text_wrap": True, "valign": "top"}),
    }
    quilts = kept_quilts(collection, on=on)
    sheet = book.add_worksheet("Kept")
    sheet.set_landscape()
    sheet.fit_to_pages(1, 0)
    sheet.freeze_panes(1, 1)
    heads = ["Quilt", *(entry.category for entry in object_record(collection, Quilt(id="none", title="none"))), *VALUES]
    for column, words in enumerate(heads):
        sheet.set_column(column, column, _WIDTHS.get(words, 20))
        sheet.write_string(0, column, words, head)
    for row, quilt in enumerate(quilts, start=1):
        for column, value in enumerate(_values(collection, quilt)):
            _write_cell(sheet, row, column, value, looks)
    _write_sums(book.add_worksheet("Appraisals"), quilts, collection, head, looks, heads.index("Kind of appraisal"))


def _values(collection: Collection, quilt: Quilt) -> list[Any]:
    appraisal, cost = quilt.appraisal, quilt.materials_cost
    values: list[Any] = [quilt.id, quilt.number, *(entry.words for entry in object_record(collection, quilt)[1:])]
    values.append(cost.total.amount if cost else None)
    values += [appraisal.value.amount, appraisal.kind, appraisal.by, appraisal.on] if appraisal else [None] * 4
    return values


def _write_cell(sheet: Any, row: int, column: int, value: Any, looks: dict[str, Any]) -> None:
    match value:
        case None:
            return
        case EdtfDate() if value.exact_day is not None and value.exact_day.year >= 1900:
            sheet.write_datetime(row, column, datetime.combine(value.exact_day, datetime.min.time()), looks["day"])
        case EdtfDate():
            sheet.write_string(row, column, value.edtf, looks["text"])
        case str():
            sheet.write_string(row, column, value, looks["text"])
        case int():
            sheet.write_number(row, column, value, looks["text"])
        case _:
            sheet.write_number(row, column, float(value), looks["money"])


def _write_sums(
    sheet: Any, quilts: tuple[Quilt, ...], collection: Collection, head: Any, looks: dict[str, Any], kinds: int
) -> None:
    """A formula for each kind over the list, with the value that the printed list has for it."""
    from xlsxwriter.utility import xl_col_to_name

    sheet.set_column(0, 0, 26)
    sheet.set_column(1, 2, 16)
    for column, words in enumerate(("Kind of appraisal", "Quilts", "Comes to")):
        sheet.write_string(0, column, words, head)
    kind_cells, value_cells = (
        f"Kept!${letter}$2:${letter}${max(2, len(quilts) + 1)}" for letter in map(xl_col_to_name, (kinds, kinds - 1))
    )
    for row, each in enumerate(sums_by_kind(quilts, collection.settings.currency), start=1):
        sheet.write_string(row, 0, each.kind, looks["text"])
        is_kind = f'{kind_cells}="{each.kind if each.kind != "kind not recorded" else ""}"'
        sheet.write_formula(row, 1, f'=SUMPRODUCT(({is_kind})*({value_cells}<>""))', looks["text"], each.count)
        sheet.write_formula(
            row, 2, f"=SUMPRODUCT(({is_kind})*1,{value_cells})", looks["money"], float(each.total.amount)
        )
