"""The result of an import as data for JSON. The schema is stable; tests check it."""

from collections.abc import Mapping

from collection.spreadsheet_import.account import by_where
from collection.spreadsheet_import.importer import Intake


def intake_data(intake: Intake, *, done: bool) -> dict[str, object]:
    """Quilts by ID, rows and cells numbered as in the sheet. `done`: the records are written."""
    return {
        "source": intake.workbook.name,
        "done": done,
        "said": list(intake.workbook.said),
        "sheets": [
            {
                "sheet": each.sheet.name,
                "take": each.take,
                "why_not": each.why_not,
                "headings": list(each.table.headings),
                "other_headings": list(each.table.others),
                "columns": [
                    {
                        "column": meant.column.letters,
                        "heading": meant.column.heading,
                        "means": meant.meaning,
                        "unit": meant.unit,
                        "why": meant.why,
                    }
                    for meant in each.meant
                ],
            }
            for each in intake.sheets
        ],
        "quilts": [
            {"quilt": draft.id, "title": draft.title, "sheet": draft.sheet, "row": draft.row} for draft in intake.drafts
        ],
        "taken_before": intake.taken_before,
        "changed": [
            {
                "sheet": row.sheet,
                "row": row.row,
                "quilts": list(row.quilts),
                "cells": [
                    {"heading": cell.heading, "before": cell.before, "now": cell.now, "proposed": dict(cell.proposed)}
                    for cell in row.differences
                ],
            }
            for row in intake.changed
        ],
        "same_as_another_row": [
            {"sheet": row.sheet, "row": row.row, "same_as": row.same_as} for row in intake.held if row.same_as
        ],
        "recorded_already": [
            {"sheet": row.sheet, "row": row.row, "quilt": row.quilt} for row in intake.held if row.quilt
        ],
        "to_look_at": [
            {
                "quilt": each.quilt,
                "sheet": each.sheet,
                "cell": each.doubt.cell.place,
                "heading": each.doubt.heading,
                "text": each.doubt.cell.text,
                "why": each.doubt.why,
            }
            for each in intake.doubts
        ],
        "unknown_charities": [{"written": name, "rows": rows} for name, rows in intake.unknown_charities.items()],
        "account": _account(intake),
    }


def _account(intake: Intake) -> Mapping[str, object]:
    names = ("sheet", "cell", "heading", "text", "where", "detail", "look")
    return {
        "cells": len(intake.account),
        "by_where": by_where(intake.account),
        "each": [{name: getattr(entry, name) for name in names} for entry in intake.account],
    }
