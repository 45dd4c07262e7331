"""Makes draft records from rows: titles, IDs, numbers, notes, and the fields in the order of a quilt's file."""

from collections.abc import Iterable
from dataclasses import dataclass, field

from collection.records.fields import fields_of
from collection.records.quilt import Appraisal, Care, Fibre, MaterialsCost, Pattern, Quilt, Quilting
from collection.spreadsheet_import.columns.tables import Row
from collection.spreadsheet_import.files.cells import one_line
from collection.spreadsheet_import.rows.assignment import RowFacts
from collection.storage.folder_layout import free_id, sound_id
from collection.yaml_files.parser import Plain
from collection.yaml_files.writer import Layout, write_fields

_PARTS = {
    "pattern": Pattern, "quilting": Quilting, "fibre": Fibre, "care": Care, "materials_cost": MaterialsCost,
    "appraisal": Appraisal,
}  # fmt: skip
_UNTITLED = "Untitled, row "
_LONGEST_TITLE = 200
LAYOUT = Layout()


@dataclass(frozen=True)
class Draft:
    """A draft record: its ID, its data, and the row that it comes from."""

    id: str
    data: dict[str, Plain]
    sheet: str
    row: int
    facts: RowFacts

    @property
    def file(self) -> str:
        return f"quilts/{self.id}.yaml"

    @property
    def title(self) -> str:
        return str(self.data["title"])

    def holds(self, path: str) -> bool:
        """Whether the record has a field, given as a dotted path."""
        here: object = self.data
        for step in path.split("."):
            if not isinstance(here, dict):
                return True  # the short form of the field that it is a part of
            if step not in here:
                return False
            here = here[step]
        return True

    @property
    def text(self) -> str:
        """The text of the record's file."""
        return "\n".join(write_fields(self.data, column=0, layout=LAYOUT)) + "\n"


@dataclass
class DraftMaker:
    """Makes drafts one by one, so that no two share an ID or number."""

    source: str
    several_sheets: bool
    taken_ids: set[str]
    numbers: dict[int, str] = field(default_factory=dict)
    """The inventory numbers in use, with the ID of their quilt."""

    def make(self, row: Row, sheet: str, facts: RowFacts) -> list[Draft]:
        """The drafts of a row: one, or as many as it states."""
        title = _title_of(row, sheet, facts, self.source, self.several_sheets)
        drafts = []
        for copy in range(1, facts.how_many + 1):
            own = f"{title} ({copy} of {facts.how_many})" if facts.how_many > 1 else title
            record_id = free_id(sound_id(own) or "quilt", self.taken_ids)
            self.taken_ids.add(record_id)
            notes = [*facts.notes]
            fields = {**facts.fields, "title": own}
            if (number := facts.fields.get("number")) is not None:
                holder = self.numbers.setdefault(int(str(number)), record_id)
                if holder != record_id:
                    del fields["number"]
                    notes.append(("Number", f"{number} (also that of {holder})"))
            data = _in_order(fields, _notes_text(notes, row, sheet, self.source, self.several_sheets))
            drafts.append(Draft(record_id, data, sheet, row.number, facts))
        return drafts


def _title_of(row: Row, sheet: str, facts: RowFacts, source: str, several_sheets: bool) -> str:
    """The title in the sheet; else the number; else the row."""
    title = one_line(str(facts.fields.get("title") or ""))
    if title and len(title) <= _LONGEST_TITLE:
        return title
    if title:
        facts.notes.insert(0, ("Title", title))
        return title[:_LONGEST_TITLE].rsplit(" ", 1)[0] + " …"
    if (number := facts.fields.get("number")) is not None:
        return f"Quilt {number}"
    return f"{_UNTITLED}{row.number} of {_where(sheet, source, several_sheets)}"


def _where(sheet: str, source: str, several_sheets: bool) -> str:
    return f"{source}, sheet {sheet}" if several_sheets else source


def _notes_text(
    notes: Iterable[tuple[str, str]], row: Row, sheet: str, source: str, several_sheets: bool
) -> str | None:
    """The maker's own notes, then one line for each cell with a heading, then the line above a group of rows."""
    own = [text for heading, text in notes if not heading]
    headed = [f"- {heading}: {_indented(text)}" for heading, text in notes if heading]
    headed += [f"- Stood under: {_indented(cell.text)}" for cell in row.under]
    if headed:
        own.append("\n".join([f"From {_where(sheet, source, several_sheets)}, row {row.number}:", "", *headed]))
    return "\n\n".join(own) or None


def _indented(text: str) -> str:
    """A text of several lines, indented as one list item."""
    first, *more = text.split("\n")
    return "\n".join([first, *(f"  {line}" if line else "" for line in more)])


def _in_order(fields: dict[str, Plain], notes: str | None) -> dict[str, Plain]:
    """Nests fields given by dotted path, in the order of a quilt's file."""
    parts: dict[str, dict[str, Plain]] = {}
    for path, value in fields.items():
        name, _, part = path.partition(".")
        if part:
            parts.setdefault(name, {})[part] = value
    nested: dict[str, Plain] = {**{path: value for path, value in fields.items() if "." not in path}, **parts}
    if notes is not None:
        nested["notes"] = notes
    order = list(fields_of(Quilt))
    return {name: _part_in_order(name, nested[name]) for name in sorted(nested, key=order.index)}


def _part_in_order(name: str, value: Plain) -> Plain:
    if not isinstance(value, dict) or name not in _PARTS:
        return value
    order = list(fields_of(_PARTS[name]))
    ordered = {part: value[part] for part in sorted(value, key=order.index)}
    # The short form, if it says the same: `materials_cost: 84.50`.
    return ordered["amount"] if name == "materials_cost" and set(ordered) == {"amount"} else ordered
