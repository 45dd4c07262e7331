"""Assigns the cells of a row to fields of the record, to its notes, or to both; and collects doubts."""

import re
from dataclasses import dataclass, field

from collection.spreadsheet_import.columns.meanings import NOTE
from collection.spreadsheet_import.columns.propose import ColumnMeaning
from collection.spreadsheet_import.columns.tables import Row
from collection.spreadsheet_import.files.cells import Cell
from collection.spreadsheet_import.values.dates import read_date
from collection.spreadsheet_import.values.reading import Read
from collection.spreadsheet_import.values.recipients import Recipients
from collection.values.lengths import Unit
from collection.yaml_files.parser import Plain

_PLAIN_NOTES = re.compile(
    r"(?:(?:my|other|general|additional) )?(?:notes?|comments?|remarks?|memo|misc\.?)\W*", re.IGNORECASE
)

Place = tuple[int, int]
"""A cell's row and column."""


@dataclass(frozen=True)
class ReadingContext:
    """The settings that reading a row depends on."""

    unit: Unit
    currency: str | None
    maker: str | None
    latest_year: int
    day_first: bool
    photos: frozenset[str]
    recipients: Recipients


@dataclass(frozen=True, slots=True)
class Doubt:
    """Something that the maker should check."""

    cell: Cell
    heading: str
    why: str


@dataclass
class RowFacts:
    """The contents of a row. `landed`: the fields that each cell went to, by its place; `notes` is one of them."""

    fields: dict[str, Plain] = field(default_factory=dict)
    notes: list[tuple[str, str]] = field(default_factory=list)
    landed: dict[Place, list[str]] = field(default_factory=dict)
    doubts: list[Doubt] = field(default_factory=list)
    how_many: int = 1
    unknown_charity: str = ""


class RowAssignment:
    """Assigns the cells of one row by the meanings of their columns, and collects the facts."""

    def __init__(self, row: Row, context: ReadingContext):
        self.row = row
        self.context = context
        self.facts = RowFacts()

    def cell(self, each: ColumnMeaning) -> Cell:
        cell = self.row.cell(each.column.number)
        assert cell is not None
        return cell

    def text(self, each: ColumnMeaning) -> str:
        return self.cell(each).text

    def take(self, each: ColumnMeaning, read: Read) -> None:
        """Add what was read from a cell to the facts; a value that conflicts with another cell's becomes a note."""
        exact = read.exact
        for path, value in read.fields.items():
            held = self.facts.fields.get(path)
            if held is None or held == value:
                self.facts.fields[path] = value
            elif isinstance(held, list) and isinstance(value, list):
                self.facts.fields[path] = held + [item for item in value if item not in held]
            else:
                exact = False
                continue
            self.land(each, path)
        if not exact:
            self.to_notes(each, read.doubt or ("" if read.fields else _unread(each)))

    def land(self, each: ColumnMeaning, where: str) -> None:
        """Record where a cell went."""
        cell = self.cell(each)
        landed = self.facts.landed.setdefault((cell.row, cell.column), [])
        if where not in landed:
            landed.append(where)

    def to_notes(self, each: ColumnMeaning, doubt: str = "") -> None:
        """Keep a cell's text in the notes, with its heading; `doubt` is the reason, if the maker should know it."""
        heading = "" if each.meaning == NOTE and _PLAIN_NOTES.fullmatch(each.column.heading) else each.column.name
        note = (heading, self.text(each))
        if note not in self.facts.notes:
            self.facts.notes.append(note)
        self.land(each, "notes")
        if doubt:
            self.doubt(each, doubt)

    def doubt(self, each: ColumnMeaning, why: str) -> None:
        """Record a doubt about a cell, for the maker to check."""
        self.facts.doubts.append(Doubt(self.cell(each), each.column.name, why))

    def move_to_notes(self, each: ColumnMeaning, doubt: str = "") -> None:
        """Remove a cell's values from the fields, and keep its text in the notes instead."""
        cell = self.cell(each)
        for path in self.facts.landed.pop((cell.row, cell.column), []):
            self.facts.fields.pop(path, None)
        self.to_notes(each, doubt)

    def date(self, each: ColumnMeaning, target: str) -> Read:
        """Read the date in a cell, for one field."""
        order = each.order or ("day first" if self.context.day_first else "month first")
        return read_date(
            self.text(each), target, latest_year=self.context.latest_year, order=order, settled=each.order is not None
        )


def _unread(each: ColumnMeaning) -> str:
    """The doubt about a cell that could not be read."""
    return _UNREAD.get(each.meaning, "")


_UNREAD = {
    "size": "no size can be read of it",
    "made": "no date can be read of it",
    "number": "it is no whole number",
    "cost": "no exact amount can be read of it",
    "appraised value": "no exact amount can be read of it",
    "washed": "is that yes or no?",
    "label": "is that yes or no?",
    "sleeve": "is that yes or no?",
}
