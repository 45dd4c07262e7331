"""One row of a sheet read into what it says of a quilt, with where each of its cells landed."""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace

from collection.lengths import Unit
from collection.sheet_intake.cells import Cell
from collection.sheet_intake.columns import Meant
from collection.sheet_intake.date_reading import read_date
from collection.sheet_intake.going import Going, Gone, where_it_went
from collection.sheet_intake.headings import words_of_heading
from collection.sheet_intake.meanings import NOTE, SKIP
from collection.sheet_intake.readings import Read
from collection.sheet_intake.recipients import Kind, Recipient, Recipients
from collection.sheet_intake.size_reading import read_sides, read_size
from collection.sheet_intake.tables import Row
from collection.sheet_intake.word_reading import (
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
from collection.yaml_writing import Plain

_ERROR = re.compile(
    r"#(?:DIV/0!|REF!|N/A|NAME\?|VALUE!|NUM!|NULL!|SPILL!|CALC!|ERROR|GETTING_DATA)|Err:[0-9]{3}"
)
_WENT = re.compile(r"^(?:gave|given|gifted|donated|sold|lost|went to|promised|sent to)\b", re.IGNORECASE)
_GOING = ("status", "given to", "charity", "go-between", "given on", "occasion")
_PLAIN_NOTES = re.compile(
    r"(?:(?:my|other|general|additional) )?(?:notes?|comments?|remarks?|memo|misc\.?)\W*", re.IGNORECASE
)

_ASKED: Mapping[Kind, frozenset[str]] = {
    "kept": frozenset({"kept", "keep", "have", "mine"}),
    "donated": frozenset({"donated", "donation", "charity"}),
    "free": frozenset({"available", "free"}),
    "gifted": frozenset({"given", "gift", "gifted", "gone", "gave", "away"}),
}
"""What yes means below a heading that asks, such as `Given?`; of several the first."""

Place = tuple[int, int]


@dataclass(frozen=True)
class Ways:
    """What reading a row depends on beside the row itself."""

    unit: Unit
    currency: str
    maker: str | None
    latest_year: int
    day_first: bool
    photos: frozenset[str]
    recipients: Recipients


@dataclass(frozen=True, slots=True)
class Doubt:
    """Something that the maker should look at."""

    cell: Cell
    heading: str
    why: str


@dataclass
class RowFacts:
    """What a row says. `landed`: of each cell, by its place, the fields that it went to, `notes` among them."""

    fields: dict[str, Plain] = field(default_factory=dict)
    notes: list[tuple[str, str]] = field(default_factory=list)
    landed: dict[Place, list[str]] = field(default_factory=dict)
    doubts: list[Doubt] = field(default_factory=list)
    how_many: int = 1
    unknown_charity: str = ""


def read_row(row: Row, columns: Iterable[Meant], ways: Ways) -> RowFacts:
    """All that a row says. Each of its cells is in `landed`."""
    return _RowReader(row, list(columns), ways).facts()


class _RowReader:
    def __init__(self, row: Row, columns: list[Meant], ways: Ways):
        self.row = row
        self.ways = ways
        self.columns = [each for each in columns if row.cell(each.column.number)]
        self._facts = RowFacts()

    def facts(self) -> RowFacts:
        errors = [each for each in self.columns if _ERROR.fullmatch(self._text(each))]
        for each in errors:
            self._to_notes(each, "the sheet shows an error here")
        rest = [each for each in self.columns if each not in errors]
        self._sides([each for each in rest if each.meaning in ("width", "length")])
        for each in rest:
            if each.meaning not in ("width", "length", *_GOING):
                self._read(each)
        self._where_it_went(
            [each for each in rest if each.meaning in _GOING or self._tells_of_going(each, rest)]
        )
        self._appraisal_without_value(
            [each for each in rest if each.meaning in ("appraised by", "appraised on")]
        )
        self._more_than_one()
        if self._facts.how_many > 1:
            self._amounts_of_several(
                [
                    each
                    for each in rest
                    if each.meaning in ("cost", "appraised value", "appraised by", "appraised on")
                ]
            )
        return self._facts

    # One cell ------------------------------------------------------------------------------------

    def _cell(self, each: Meant) -> Cell:
        cell = self.row.cell(each.column.number)
        assert cell is not None
        return cell

    def _text(self, each: Meant) -> str:
        return self._cell(each).text

    def _read(self, each: Meant) -> None:
        if self._tells_of_going(each, self.columns):
            return
        if each.meaning == SKIP:
            self._land(each, SKIP)
        elif each.meaning == "how many":
            self._count(each)
        elif each.meaning in (NOTE, "started", "washed size"):
            self._to_notes(each)
        else:
            self._take(each, self._value(each))

    def _value(self, each: Meant) -> Read:
        text, ways, cell = self._text(each), self.ways, self._cell(each)
        match each.meaning:
            case "number":
                return read_number(text)
            case "made" | "appraised on":
                target = "made" if each.meaning == "made" else "appraisal.on"
                return self._date(each, target)
            case "size":
                return read_size(
                    text, each.unit or ways.unit, stated=bool(each.unit), length_first=each.length_first
                )
            case "stage":
                return read_stage(text)
            case "pattern":
                return read_pattern(text)
            case "pattern source":
                return read_source(text)
            case "fabric":
                return read_fabric(text)
            case "fabric line":
                return read_fabric_lines(text)
            case "blocks" | "techniques" | "features" | "colours" | "suits":
                return read_words(text, each.meaning)
            case "also called":
                return Read({"also_called": [text]})
            case "quilted by":
                return read_quilted_by(text, ways.maker)
            case "quilting":
                return read_way(text)
            case "condition":
                return read_condition(text)
            case "washed":
                yes_or_no = read_yes_or_no(text, "care.washed")
                return yes_or_no if yes_or_no.fields else self._date(each, "care.washed")
            case "label" | "sleeve":
                return read_yes_or_no(text, f"care.{each.meaning}")
            case "cost" | "appraised value":
                target = "materials_cost.amount" if each.meaning == "cost" else "appraisal.value"
                if isinstance(cell.value, int | float) and not isinstance(cell.value, bool):
                    return read_money_cell(cell.value, target, ways.currency)
                return read_money(text, target, ways.currency)
            case "photo":
                return read_photos(text, ways.photos)
            case meaning:
                return read_text(text, _AS_WRITTEN[meaning])

    def _date(self, each: Meant, target: str) -> Read:
        order = each.order or ("day first" if self.ways.day_first else "month first")
        return read_date(
            self._text(each),
            target,
            latest_year=self.ways.latest_year,
            order=order,
            settled=each.order is not None,
        )

    # Landing -------------------------------------------------------------------------------------

    def _take(self, each: Meant, read: Read) -> None:
        """Put what was read of a cell into the facts; what would overwrite what another cell said is a note."""
        exact = read.exact
        for path, value in read.fields.items():
            held = self._facts.fields.get(path)
            if held is None or held == value:
                self._facts.fields[path] = value
            elif isinstance(held, list) and isinstance(value, list):
                self._facts.fields[path] = held + [item for item in value if item not in held]
            else:
                exact = False
                continue
            self._land(each, path)
        if not exact:
            self._to_notes(each, read.doubt or ("" if read.fields else self._unread(each)))

    def _unread(self, each: Meant) -> str:
        return {
            "size": "no size can be read of it", "made": "no date can be read of it", "number": "it is no whole number",
            "cost": "no exact amount can be read of it", "appraised value": "no exact amount can be read of it",
            "washed": "is that yes or no?", "label": "is that yes or no?", "sleeve": "is that yes or no?",
        }.get(each.meaning, "")  # fmt: skip

    def _land(self, each: Meant, where: str) -> None:
        cell = self._cell(each)
        landed = self._facts.landed.setdefault((cell.row, cell.column), [])
        if where not in landed:
            landed.append(where)

    def _to_notes(self, each: Meant, doubt: str = "") -> None:
        heading = (
            "" if each.meaning == NOTE and _PLAIN_NOTES.fullmatch(each.column.heading) else each.column.name
        )
        note = (heading, self._text(each))
        if note not in self._facts.notes:
            self._facts.notes.append(note)
        self._land(each, "notes")
        if doubt:
            self._facts.doubts.append(Doubt(self._cell(each), each.column.name, doubt))

    # Several cells -------------------------------------------------------------------------------

    def _sides(self, sides: list[Meant]) -> None:
        by_name = {each.meaning: each for each in sides}
        if len(by_name) == 2:
            wide, long = by_name["width"], by_name["length"]
            unit = wide.unit or long.unit or self.ways.unit
            stated = bool(wide.unit or long.unit)
            read = read_sides(self._text(wide), self._text(long), unit, stated=stated)
            for each in (wide, long):
                self._take(each, read)
            return
        for each in sides:
            # A whole size may stand in one of the two.
            self._take(each, read_size(self._text(each), each.unit or self.ways.unit))

    def _tells_of_going(self, each: Meant, columns: list[Meant]) -> bool:
        """Does the place where it is kept say that it is gone, or with whom it is?"""
        if each.meaning != "kept at" or any(other.meaning in ("given to", "charity") for other in columns):
            return False
        return (
            bool(_WENT.match(self._text(each)))
            or self._named(self._text(each)).kind == "partner"
            or self._is_given(columns)
        )

    def _is_given(self, columns: list[Meant]) -> bool:
        """Does a status say that somebody has it?"""
        return any(
            each.meaning == "status"
            and (status := self._status(each)) is not None
            and status.kind in ("gifted", "donated")
            for each in columns
        )

    def _status(self, each: Meant) -> Recipient | None:
        """What a status says; of yes and no, what the heading asks."""
        text = self._text(each)
        answer = read_yes_or_no(text, "status").fields.get("status")
        if answer is not None:
            asked = set(words_of_heading(each.column.heading))
            kind = next((kind for kind, words in _ASKED.items() if asked & words), None)
            return Recipient(kind) if kind and answer else None
        recipient = self._named(text)
        if read_stage(text).fields and recipient.kind not in (
            "kept",
            "free",
            "donated",
            "promised",
            "gifted",
        ):
            return None
        if recipient.kind in ("unknown", "sold") or (recipient.kind == "person" and recipient.state is None):
            return None
        return recipient

    def _where_it_went(self, cells: list[Meant]) -> None:
        parts: dict[str, object] = {}
        by_part: dict[str, Meant] = {}
        for each in cells:
            part = {"given to": "to", "kept at": "to", "given on": "on", "go-between": "through"}.get(
                each.meaning, each.meaning
            )
            value = self._part(each, part)
            if value is None or part in parts:
                self._not_a_part(each, part)
            else:
                parts[part], by_part[part] = value, each
        if not parts:
            return
        gone: Gone = where_it_went(Going(**parts))  # type: ignore[arg-type]
        if gone.destination is not None:
            self._facts.fields["destination"] = gone.destination
        self._facts.unknown_charity = gone.unknown_charity
        for part, each in by_part.items():
            if gone.destination is not None and (part in gone.used or part == gone.first):
                self._land(each, "destination")
            if part not in gone.used:
                self._to_notes(each)
        if gone.doubt:
            first = by_part.get(gone.first) or next(iter(by_part.values()))
            self._facts.doubts.append(Doubt(self._cell(first), first.column.name, gone.doubt))
            self._to_notes(first)

    def _not_a_part(self, each: Meant, part: str) -> None:
        """A cell that says nothing of where it went: how far the work is, or words to keep."""
        read = read_stage(self._text(each))
        yes_or_no = bool(read_yes_or_no(self._text(each), part).fields)
        if part == "status" and read.fields and not yes_or_no and "stage" not in self._facts.fields:
            self._take(each, read)
        elif part in ("status", "to", "charity") and self._named(self._text(each)).kind == "sold":
            self._to_notes(each, "that it was sold is kept in words only: a record has no field for it")
        else:
            self._to_notes(each, "no date can be read of it" if part == "on" else "")

    def _part(self, each: Meant, part: str) -> object:
        text = self._text(each)
        if part == "on":
            read = self._date(each, "on")
            if read.fields and not read.exact:
                self._to_notes(each, read.doubt)
            return read.fields.get("on")
        if part == "occasion":
            return text
        if part == "status":
            return self._status(each)
        recipient = self._named(text)
        if each.meaning == "kept at" and not _WENT.match(text):
            # It is only likely that who has it is to whom it was given.
            recipient = replace(recipient, exact=False)
        if part == "through":
            return recipient.through if recipient.exact and not recipient.partner else None
        return recipient if recipient.kind not in ("unknown", "sold") else None

    def _named(self, text: str) -> Recipient:
        return self.ways.recipients.read(text)

    def _appraisal_without_value(self, cells: list[Meant]) -> None:
        """An appraisal is one of a value: without it, who and when are kept in words."""
        if "appraisal.value" in self._facts.fields:
            return
        for each in cells:
            self._take_back(each)

    def _amounts_of_several(self, cells: list[Meant]) -> None:
        """An amount beside several quilts may be that of one or of all: it is not guessed which."""
        for each in cells:
            if self._facts.landed.get((self._cell(each).row, self._cell(each).column)) != ["notes"]:
                self._take_back(each, "is it for each of them, or for all?")

    def _take_back(self, each: Meant, doubt: str = "") -> None:
        """Out of the fields, and into the notes instead."""
        cell = self._cell(each)
        for path in self._facts.landed.pop((cell.row, cell.column), []):
            self._facts.fields.pop(path, None)
        self._to_notes(each, doubt)

    def _count(self, each: Meant) -> None:
        count = how_many(self._text(each))
        if count is None:
            self._to_notes(each, "it is no number of quilts")
            return
        self._facts.how_many = max(count, self._facts.how_many)
        self._land(each, "how many")

    def _more_than_one(self) -> None:
        """`2 of these` beside a quilt: the words are kept, and there are as many quilts."""
        for each in self.columns:
            if each.meaning not in ("title", NOTE, "size", "given to"):
                continue
            if count := how_many_of_these(self._text(each), is_title=each.meaning == "title"):
                self._facts.how_many = max(count, self._facts.how_many)
                if each.meaning == "title":
                    title = re.sub(
                        r"\s*(?:\(x ?[0-9]+\)|\bx ?[0-9]+)\s*$", "", self._text(each), flags=re.IGNORECASE
                    )
                    self._facts.fields["title"] = title or self._text(each)
                    self._to_notes(each)
                self._facts.doubts.append(
                    Doubt(self._cell(each), each.column.name, f"taken as {count} quilts")
                )


_AS_WRITTEN: Mapping[str, str] = {
    "title": "title",
    "designer": "pattern.designer",
    "published in": "pattern.published_in",
    "backing": "fibre.backing",
    "batting": "fibre.batting",
    "appraised by": "appraisal.by",
    "kept at": "kept_at",
    "story": "story",
}
