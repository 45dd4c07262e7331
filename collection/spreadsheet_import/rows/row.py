"""One row of a sheet read into what it says of a quilt, with where each of its cells landed."""

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


def read_row(row: Row, columns: Iterable[ColumnMeaning], ways: ReadingContext) -> RowFacts:
    """All that a row says. Each of its cells is in `landed`."""
    return _RowReader(row, columns, ways).facts()


class _RowReader:
    def __init__(self, row: Row, columns: Iterable[ColumnMeaning], ways: ReadingContext):
        self.landing = RowAssignment(row, ways)
        self.columns = [each for each in columns if row.cell(each.column.number)]

    def facts(self) -> RowFacts:
        errors = [each for each in self.columns if _ERROR.fullmatch(self.landing.text(each))]
        for each in errors:
            self.landing.to_notes(each, "the sheet shows an error here")
        rest = [each for each in self.columns if each not in errors]
        going = DestinationCells(self.landing, rest)
        self._sides(_of(rest, _SIDES))
        for each in rest:
            if each.meaning not in _SIDES and each not in going.cells:
                self._read(each)
        going.read()
        self._appraisal_without_value(_of(rest, _OF_AN_APPRAISAL))
        self._more_than_one()
        if self.landing.facts.how_many > 1:
            self._amounts_of_several(_of(rest, _AMOUNTS))
        return self.landing.facts

    def _read(self, each: ColumnMeaning) -> None:
        if each.meaning == SKIP:
            self.landing.land(each, SKIP)
        elif each.meaning == "how many":
            self._count(each)
        elif each.meaning in (NOTE, "started", "washed size"):
            self.landing.to_notes(each)
        else:
            self.landing.take(each, self._value(each))

    def _value(self, each: ColumnMeaning) -> Read:
        if (read_cell := _CELL_READERS.get(each.meaning)) is not None:
            return read_cell(self.landing, each)
        return _TEXT_READERS[each.meaning](self.landing.text(each))

    def _sides(self, sides: list[ColumnMeaning]) -> None:
        by_name = {each.meaning: each for each in sides}
        if len(by_name) == 2:
            wide, long = by_name["width"], by_name["length"]
            unit = wide.unit or long.unit or self.landing.ways.unit
            stated = bool(wide.unit or long.unit)
            read = read_sides(self.landing.text(wide), self.landing.text(long), unit, stated=stated)
            for each in (wide, long):
                self.landing.take(each, read)
            return
        for each in sides:
            # A whole size may stand in one of the two.
            self.landing.take(each, read_size(self.landing.text(each), each.unit or self.landing.ways.unit))

    def _appraisal_without_value(self, cells: list[ColumnMeaning]) -> None:
        """An appraisal is one of a value: without it, who and when are kept in words."""
        if "appraisal.value" in self.landing.facts.fields:
            return
        for each in cells:
            self.landing.prepare_undo(each)

    def _amounts_of_several(self, cells: list[ColumnMeaning]) -> None:
        """An amount in a row of several quilts may be that of one or of all: it is not guessed which."""
        for each in cells:
            cell = self.landing.cell(each)
            if self.landing.facts.landed.get((cell.row, cell.column)) != ["notes"]:
                self.landing.prepare_undo(each, "is it for each of them, or for all?")

    def _count(self, each: ColumnMeaning) -> None:
        count = how_many(self.landing.text(each))
        if count is None:
            self.landing.to_notes(each, "it is no number of quilts")
            return
        self.landing.facts.how_many = max(count, self.landing.facts.how_many)
        self.landing.land(each, "how many")

    def _more_than_one(self) -> None:
        """`2 of these` in the row of a quilt: the words are kept, and there are as many quilts."""
        for each in self.columns:
            if each.meaning not in ("title", NOTE, "size", "given to"):
                continue
            if count := how_many_of_these(self.landing.text(each), is_title=each.meaning == "title"):
                self.landing.facts.how_many = max(count, self.landing.facts.how_many)
                if each.meaning == "title":
                    title = _BEHIND_A_TITLE.sub("", self.landing.text(each))
                    self.landing.facts.fields["title"] = title or self.landing.text(each)
                    self.landing.to_notes(each)
                self.landing.doubt(each, f"taken as {count} quilts")


def _of(columns: Iterable[ColumnMeaning], meanings: Sequence[str]) -> list[ColumnMeaning]:
    return [each for each in columns if each.meaning in meanings]


def _size(row: RowAssignment, each: ColumnMeaning) -> Read:
    unit = each.unit or row.ways.unit
    return read_size(row.text(each), unit, stated=bool(each.unit), length_first=each.length_first)


def _washed(row: RowAssignment, each: ColumnMeaning) -> Read:
    yes_or_no = read_yes_or_no(row.text(each), "care.washed")
    return yes_or_no if yes_or_no.fields else row.date(each, "care.washed")


def _amount(field: str) -> Callable[[RowAssignment, ColumnMeaning], Read]:
    def read(row: RowAssignment, each: ColumnMeaning) -> Read:
        number = number_in(row.cell(each).value)
        if number is None:
            return read_money(row.text(each), field, row.ways.currency)
        return read_money_cell(number, field, row.ways.currency)

    return read


_CELL_READERS: Mapping[str, Callable[[RowAssignment, ColumnMeaning], Read]] = {
    "made": lambda row, each: row.date(each, "made"),
    "appraised on": lambda row, each: row.date(each, "appraisal.on"),
    "size": _size,
    "quilted by": lambda row, each: read_quilted_by(row.text(each), row.ways.maker),
    "washed": _washed,
    "cost": _amount("materials_cost.amount"),
    "appraised value": _amount("appraisal.value"),
    "photo": lambda row, each: read_photos(row.text(each), row.ways.photos),
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
