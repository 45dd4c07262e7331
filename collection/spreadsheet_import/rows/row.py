"""Reads one row of a sheet into the facts of a quilt, and records where each cell went."""

import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from functools import partial

from collection.spreadsheet_import.columns.meanings import NOTE, SKIP
from collection.spreadsheet_import.columns.propose import ColumnMeaning
from collection.spreadsheet_import.columns.tables import Row
from collection.spreadsheet_import.files.cells import number_in
from collection.spreadsheet_import.rows.assignment import ReadingContext, RowAssignment, RowFacts
from collection.spreadsheet_import.rows.destination_cells import DestinationCells
from collection.spreadsheet_import.values.reading import Read
from collection.spreadsheet_import.values.sizes import read_sides, read_size
from collection.spreadsheet_import.values.words import (
    how_many,
    how_many_of_these,
    read_condition,
    read_fabric,
    read_fabric_lines,
    read_money,
    read_money_cell,
    read_number,
    read_pattern,
    read_photos,
    read_quilted_by,
    read_source,
    read_stage,
    read_text,
    read_way,
    read_words,
    read_yes_or_no,
)

_ERROR = re.compile(r"#(?:DIV/0!|REF!|N/A|NAME\?|VALUE!|NUM!|NULL!|SPILL!|CALC!|ERROR|GETTING_DATA)|Err:[0-9]{3}")
_BEHIND_A_TITLE = re.compile(r"\s*(?:\(x ?[0-9]+\)|\bx ?[0-9]+)\s*$", re.IGNORECASE)
_SIDES = ("width", "length")
_OF_AN_APPRAISAL = ("appraised by", "appraised on")
_AMOUNTS = ("cost", "appraised value", *_OF_AN_APPRAISAL)


def read_row(row: Row, columns: Iterable[ColumnMeaning], context: ReadingContext) -> RowFacts:
    """All facts in a row. Each of its cells is in `landed`."""
    return _RowReader(row, columns, context).facts()


class _RowReader:
    def __init__(self, row: Row, columns: Iterable[ColumnMeaning], context: ReadingContext):
        self.assignment = RowAssignment(row, context)
        self.columns = [each for each in columns if row.cell(each.column.number)]

    def facts(self) -> RowFacts:
        errors = [each for each in self.columns if _ERROR.fullmatch(self.assignment.text(each))]
        for each in errors:
            self.assignment.to_notes(each, "the sheet shows an error here")
        rest = [each for each in self.columns if each not in errors]
        going = DestinationCells(self.assignment, rest)
        self._sides(_of(rest, _SIDES))
        for each in rest:
            if each.meaning not in _SIDES and each not in going.cells:
                self._read(each)
        going.read()
        self._appraisal_without_value(_of(rest, _OF_AN_APPRAISAL))
        self._more_than_one()
        if self.assignment.facts.how_many > 1:
            self._amounts_of_several(_of(rest, _AMOUNTS))
        return self.assignment.facts

    def _read(self, each: ColumnMeaning) -> None:
        if each.meaning == SKIP:
            self.assignment.land(each, SKIP)
        elif each.meaning == "how many":
            self._count(each)
        elif each.meaning in (NOTE, "started", "washed size"):
            self.assignment.to_notes(each)
        else:
            self.assignment.take(each, self._value(each))

    def _value(self, each: ColumnMeaning) -> Read:
        if (read_cell := _CELL_READERS.get(each.meaning)) is not None:
            return read_cell(self.assignment, each)
        return _TEXT_READERS[each.meaning](self.assignment.text(each))

    def _sides(self, sides: list[ColumnMeaning]) -> None:
        by_name = {each.meaning: each for each in sides}
        if len(by_name) == 2:
            wide, long = by_name["width"], by_name["length"]
            unit = wide.unit or long.unit or self.assignment.context.unit
            stated = bool(wide.unit or long.unit)
            read = read_sides(self.assignment.text(wide), self.assignment.text(long), unit, stated=stated)
            for each in (wide, long):
                self.assignment.take(each, read)
            return
        for each in sides:
            # One of the two columns may hold a whole size.
            self.assignment.take(each, read_size(self.assignment.text(each), each.unit or self.assignment.context.unit))

    def _appraisal_without_value(self, cells: list[ColumnMeaning]) -> None:
        """Keep appraiser and day in the notes if there is no appraised value."""
        if "appraisal.value" in self.assignment.facts.fields:
            return
        for each in cells:
            self.assignment.move_to_notes(each)

    def _amounts_of_several(self, cells: list[ColumnMeaning]) -> None:
        """Keep amounts in a row of several quilts in the notes: each may be for one quilt or for all."""
        for each in cells:
            cell = self.assignment.cell(each)
            if self.assignment.facts.landed.get((cell.row, cell.column)) != ["notes"]:
                self.assignment.move_to_notes(each, "is it for each of them, or for all?")

    def _count(self, each: ColumnMeaning) -> None:
        count = how_many(self.assignment.text(each))
        if count is None:
            self.assignment.to_notes(each, "it is no number of quilts")
            return
        self.assignment.facts.how_many = max(count, self.assignment.facts.how_many)
        self.assignment.land(each, "how many")

    def _more_than_one(self) -> None:
        """Read a number of quilts such as `2 of these` from any text of the row, and keep the text."""
        for each in self.columns:
            if each.meaning not in ("title", NOTE, "size", "given to"):
                continue
            if count := how_many_of_these(self.assignment.text(each), is_title=each.meaning == "title"):
                self.assignment.facts.how_many = max(count, self.assignment.facts.how_many)
                if each.meaning == "title":
                    title = _BEHIND_A_TITLE.sub("", self.assignment.text(each))
                    self.assignment.facts.fields["title"] = title or self.assignment.text(each)
                    self.assignment.to_notes(each)
                self.assignment.doubt(each, f"taken as {count} quilts")


def _of(columns: Iterable[ColumnMeaning], meanings: Sequence[str]) -> list[ColumnMeaning]:
    return [each for each in columns if each.meaning in meanings]


def _size(row: RowAssignment, each: ColumnMeaning) -> Read:
    unit = each.unit or row.context.unit
    return read_size(row.text(each), unit, stated=bool(each.unit), length_first=each.length_first)


def _washed(row: RowAssignment, each: ColumnMeaning) -> Read:
    yes_or_no = read_yes_or_no(row.text(each), "care.washed")
    return yes_or_no if yes_or_no.fields else row.date(each, "care.washed")


def _amount(field: str) -> Callable[[RowAssignment, ColumnMeaning], Read]:
    def read(row: RowAssignment, each: ColumnMeaning) -> Read:
        number = number_in(row.cell(each).value)
        if number is None:
            return read_money(row.text(each), field, row.context.currency)
        return read_money_cell(number, field, row.context.currency)

    return read


_CELL_READERS: Mapping[str, Callable[[RowAssignment, ColumnMeaning], Read]] = {
    "made": lambda row, each: row.date(each, "made"),
    "appraised on": lambda row, each: row.date(each, "appraisal.on"),
    "size": _size,
    "quilted by": lambda row, each: read_quilted_by(row.text(each), row.context.maker),
    "washed": _washed,
    "cost": _amount("materials_cost.amount"),
    "appraised value": _amount("appraisal.value"),
    "photo": lambda row, each: read_photos(row.text(each), row.context.photos),
}
"""How to read a cell whose value depends on more than its text, by the meaning of its column."""

_TEXT_READERS: Mapping[str, Callable[[str], Read]] = {
    "number": read_number,
    "stage": read_stage,
    "pattern": read_pattern,
    "pattern source": read_source,
    "fabric": read_fabric,
    "fabric line": read_fabric_lines,
    "quilting": read_way,
    "condition": read_condition,
    "also called": lambda text: Read({"also_called": [text]}),
    "label": partial(read_yes_or_no, field="care.label"),
    "sleeve": partial(read_yes_or_no, field="care.sleeve"),
    **{field: partial(read_words, field=field) for field in ("blocks", "techniques", "features", "colours", "suits")},
    "title": partial(read_text, field="title"),
    "designer": partial(read_text, field="pattern.designer"),
    "published in": partial(read_text, field="pattern.published_in"),
    "backing": partial(read_text, field="fibre.backing"),
    "batting": partial(read_text, field="fibre.batting"),
    "appraised by": partial(read_text, field="appraisal.by"),
    "kept at": partial(read_text, field="kept_at"),
    "story": partial(read_text, field="story"),
}
"""How to read the text of a cell, by the meaning of its column."""
