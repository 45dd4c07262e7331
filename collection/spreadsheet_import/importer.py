"""Imports a spreadsheet: which rows are new, which were imported before, where each cell went. Writes nothing."""

import unicodedata
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path

from collection.loading.loader import Reading
from collection.records.quilt import Quilt
from collection.spreadsheet_import.account import Accounted, Where
from collection.spreadsheet_import.columns.columns_file import ColumnsFile
from collection.spreadsheet_import.columns.meanings import SKIP
from collection.spreadsheet_import.columns.sheets import QuiltRow, ReadSheet, quilt_rows, read_sheets
from collection.spreadsheet_import.drafts import Draft, DraftMaker
from collection.spreadsheet_import.earlier_imports import SheetRow, TakenRow, recognise
from collection.spreadsheet_import.files.cells import Workbook
from collection.spreadsheet_import.rows.assignment import Doubt, Place, ReadingContext, RowFacts
from collection.spreadsheet_import.rows.row import read_row
from collection.spreadsheet_import.values.recipients import Recipients
from collection.vocabulary.word_forms import words_of
from collection.yaml_files.parser import Plain


@dataclass(frozen=True)
class Difference:
    """A cell that changed since its row was imported, and the fields that it would now set."""

    heading: str
    before: str
    now: str
    proposed: Mapping[str, Plain] = field(default_factory=dict)


@dataclass(frozen=True)
class ChangedRow:
    sheet: str
    row: int
    quilts: tuple[str, ...]
    differences: tuple[Difference, ...]


@dataclass(frozen=True)
class HeldRow:
    """A row that made no quilt: it equals another row, or the collection has the quilt already."""

    sheet: str
    row: int
    same_as: str = ""
    quilt: str = ""


@dataclass(frozen=True)
class DoubtAbout:
    """Something to check: the quilt, the sheet, and the doubt."""

    quilt: str
    sheet: str
    doubt: Doubt


@dataclass(frozen=True)
class Intake:
    """The result of an import."""

    workbook: Workbook
    sheets: tuple[ReadSheet, ...]
    drafts: tuple[Draft, ...]
    rows_taken: tuple[tuple[SheetRow, tuple[str, ...]], ...]
    taken_before: int
    changed: tuple[ChangedRow, ...]
    held: tuple[HeldRow, ...]
    doubts: tuple[DoubtAbout, ...]
    unknown_charities: Mapping[str, int]
    """The names of charities that the collection does not have, with the number of rows."""
    account: tuple[Accounted, ...]
    columns: ColumnsFile | None = None


def take_in(
    workbook: Workbook, reading: Reading, taken: Iterable[TakenRow], *, on: date, columns: ColumnsFile | None = None
) -> Intake:
    """Drafts of all new rows of a spreadsheet. `taken` are the rows of earlier imports, `on` the day.

    Raises SheetRefused if none of its sheets can be imported.
    """
    return _Taking(workbook, reading, list(taken), on, columns).intake()


class _Taking:
    """One import, sheet by sheet."""

    def __init__(
        self, workbook: Workbook, reading: Reading, taken: list[TakenRow], on: date, columns: ColumnsFile | None
    ):
        self.workbook = workbook
        self.collection = reading.collection
        self.reading = reading
        self.taken = taken
        self.columns = columns
        self.sheets = read_sheets(workbook, columns)
        self.context = self._context(on)
        taken_sheets = sum(1 for each in self.sheets if each.take)
        self.maker = DraftMaker(
            workbook.name, taken_sheets > 1, _names_in_use(self.collection.folder, self.collection.quilts),
            {quilt.number: quilt.id for quilt in self.collection.quilts.values() if quilt.number is not None},
        )  # fmt: skip
        self.drafts: list[Draft] = []
        self.rows_taken: list[tuple[SheetRow, tuple[str, ...]]] = []
        self.before = 0
        self.changed: list[ChangedRow] = []
        self.held: list[HeldRow] = []
        self.doubts: list[DoubtAbout] = []
        self.unknown: dict[str, int] = {}
        self.seen: dict[tuple[str, ...], tuple[str, int]] = {}
        self.claimed = {quilt for each in taken for quilt in each.quilts}
        # Where each cell went, by its sheet and place.
        self.fates: dict[tuple[str, Place], list[tuple[Where, str]]] = {}

    def _context(self, on: date) -> ReadingContext:
        settings = self.collection.settings
        partners = self.collection.partners.values()
        go_betweens = frozenset(partner.id for partner in partners if partner.kind == "go-between")
        settled = self.columns.settled(go_betweens) if self.columns else None
        return ReadingContext(
            unit=(self.columns.units if self.columns else None) or settings.units,
            currency=settings.currency,
            maker=settings.maker.name,
            latest_year=on.year,
            # Common practice, no source: the month comes first where the currency is dollars.
            day_first=settings.currency not in (None, "USD"),
            photos=self.collection.photos,
            recipients=Recipients(partners, settled),
        )

    def intake(self) -> Intake:
        for read in self.sheets:
            if read.take:
                self._sheet(read)
        return Intake(
            self.workbook, self.sheets, tuple(self.drafts), tuple(self.rows_taken), self.before, tuple(self.changed),
            tuple(self.held), tuple(self.doubts), self.unknown, tuple(self._account()), self.columns,
        )  # fmt: skip

    def _sheet(self, read: ReadSheet) -> None:
        rows = quilt_rows(read)
        as_kept = {each.row.number: self._as_kept(read, each) for each in rows}
        fresh = [each for each in rows if not self._repeats(read, each, as_kept[each.row.number])]
        names = read.cell_names()
        number_name, title_name = (
            names[column.column.number] if (column := read.column(meaning)) else "" for meaning in ("number", "title")
        )
        rows_now = [as_kept[each.row.number] for each in fresh]
        known = recognise(rows_now, self.workbook.name, self.taken, number_name, title_name)
        for former in known.same.values():
            self.taken.remove(former)
        for each in fresh:
            number = each.row.number
            if number in known.same:
                self.before += 1
                self._row_went(read, each, "taken in before", ", ".join(known.same[number].quilts))
            elif number in known.changed:
                self._changed(read, each, as_kept[number], known.changed[number])
            else:
                self._new(read, each, as_kept[number])

    def _as_kept(self, read: ReadSheet, each: QuiltRow) -> SheetRow:
        """A row as it is stored for later imports."""
        names = read.cell_names()
        cells = {
            names[column]: cell.text for column, cell in sorted({**each.row.filled_down, **each.row.cells}.items())
        }
        for row in each.below:
            cells |= {
                f"{names[column]}, line {row.number - each.row.number + 1}": cell.text
                for column, cell in row.cells.items()
            }
        number, title = (
            each.row.text(column.column.number) if (column := read.column(meaning)) else ""
            for meaning in ("number", "title")
        )
        return SheetRow(read.sheet.name, each.row.number, cells, number, title)

    def _repeats(self, read: ReadSheet, each: QuiltRow, kept: SheetRow) -> bool:
        """Whether a row equals an earlier one: then it is the same quilt, unless the maker says otherwise."""
        here = (kept.sheet, kept.row)
        sheet, row = self.seen.setdefault(kept.fingerprint, here)
        if (sheet, row) == here or (self.columns is not None and self.columns.same_rows == "each"):
            return False
        first = f"row {row}" if sheet == kept.sheet else f"row {row} of {sheet}"
        self.held.append(HeldRow(kept.sheet, kept.row, same_as=first))
        self._row_went(read, each, "same as another row", first)
        return True

    # Rows ----------------------------------------------------------------------------------------

    def _facts(self, read: ReadSheet, each: QuiltRow) -> RowFacts:
        facts = read_row(each.row, read.meant, self.context)
        names = {meant.column.number: meant.column.name for meant in read.meant}
        for row in each.below:
            for column, cell in row.cells.items():
                facts.notes.append((names[column], cell.text))
                facts.landed[cell.row, cell.column] = ["notes"]
        return facts

    def _new(self, read: ReadSheet, each: QuiltRow, kept: SheetRow) -> None:
        facts = self._facts(read, each)
        if (there := self._recorded_already(facts)) is not None:
            self.held.append(HeldRow(kept.sheet, kept.row, quilt=there.id))
            self.claimed.add(there.id)
            self._row_went(read, each, "recorded already", there.id)
            return
        drafts = self.maker.make(each.row, kept.sheet, facts)
        self.drafts += drafts
        self.rows_taken.append((kept, tuple(draft.id for draft in drafts)))
        self.doubts += [DoubtAbout(drafts[0].id, kept.sheet, doubt) for doubt in facts.doubts]
        if facts.unknown_charity:
            self.unknown[facts.unknown_charity] = self.unknown.get(facts.unknown_charity, 0) + 1
        for place, fields in facts.landed.items():
            for draft in drafts:
                self._went((read.sheet.name, place), *_fate(fields, draft))

    def _recorded_already(self, facts: RowFacts) -> Quilt | None:
        """The quilt of the collection that a row describes, written by hand: by number and title, or by title alone if
        nothing contradicts it."""
        title, number = facts.fields.get("title"), facts.fields.get("number")
        free = [quilt for quilt in self.collection.quilts.values() if quilt.id not in self.claimed]
        for quilt in free:
            has_number = number is not None and quilt.number == int(str(number))
            if has_number and (title is None or words_of(str(title)) == words_of(quilt.title)):
                return quilt
        alike = [quilt for quilt in free if title is not None and _may_be(quilt, str(title), facts)]
        return alike[0] if len(alike) == 1 else None

    def _changed(self, read: ReadSheet, each: QuiltRow, kept: SheetRow, former: TakenRow) -> None:
        facts = self._facts(read, each)
        places = {name: (each.row.number, column) for column, name in read.cell_names().items()}
        differences = []
        for heading in dict.fromkeys((*former.cells, *kept.cells)):
            before, now = former.cells.get(heading, ""), kept.cells.get(heading, "")
            if before == now:
                continue
            landed = facts.landed.get(places.get(heading, (0, 0)), [])
            proposed = {path: facts.fields[path] for path in landed if path in facts.fields}
            if not self._stands_in_record(former.quilts, proposed):
                differences.append(Difference(heading, before, now, proposed))
        if differences:
            self.changed.append(ChangedRow(kept.sheet, kept.row, former.quilts, tuple(differences)))
        else:
            self.before += 1
        self._row_went(read, each, "changed since" if differences else "taken in before", ", ".join(former.quilts))

    def _stands_in_record(self, quilts: tuple[str, ...], proposed: Mapping[str, object]) -> bool:
        """Whether the records already hold the proposed values, added by hand."""
        texts = [self.reading.texts.get(f"quilts/{quilt}.yaml") for quilt in quilts]
        return bool(proposed) and all(
            text is not None and text.value(tuple(path.split("."))) == value
            for text in texts
            for path, value in proposed.items()
        )

    # The account ---------------------------------------------------------------------------------

    def _row_went(self, read: ReadSheet, each: QuiltRow, where: Where, detail: str) -> None:
        for cell in each.cells():
            self._went((read.sheet.name, (cell.row, cell.column)), where, detail)

    def _went(self, cell: tuple[str, Place], where: Where, detail: str) -> None:
        self.fates.setdefault(cell, []).append((where, detail))

    def _account(self) -> Iterable[Accounted]:
        read = {each.sheet.name: each for each in self.sheets}
        look = {(each.sheet, each.doubt.cell.row, each.doubt.cell.column): each.doubt.why for each in self.doubts}
        for sheet, cell in self.workbook.cells():
            each, place = read[sheet.name], (cell.row, cell.column)
            heading = next((meant.column.heading for meant in each.meant if meant.column.number == cell.column), "")
            where: Where
            if not each.take:
                where, detail = "sheet left out", each.why_not
            elif place in each.table.around:
                where, detail = each.table.around[place], ""
                heading = ""
            else:
                where, detail = _together(self.fates[sheet.name, place])
            why = look.get((sheet.name, *place), "")
            yield Accounted(sheet.name, cell.place, cell.row, heading, cell.text, where, detail, why)


def _fate(fields: list[str], draft: Draft) -> tuple[Where, str]:
    """The entry of the account for a cell, from the fields that it set."""
    if fields == [SKIP]:
        return "left out", ""
    # A number that another quilt has already is in the notes instead.
    landed = list(dict.fromkeys(path if path == "how many" or draft.holds(path) else "notes" for path in fields))
    inside = [path for path in landed if path != "notes"]
    where: Where = "notes" if not inside else "field and notes" if "notes" in landed else "field"
    return where, f"{draft.id}: {', '.join(landed)}"


_RANK: tuple[Where, ...] = ("field and notes", "field", "notes")


def _together(fates: list[tuple[Where, str]]) -> tuple[Where, str]:
    """One entry of the account for a cell that concerns several quilts."""
    kinds = {where for where, _ in fates}
    where = next((rank for rank in _RANK if rank in kinds), fates[0][0])
    return where, "; ".join(
        dict.fromkeys(detail for each, detail in fates if detail and (each == where or each in _RANK))
    )


def _may_be(quilt: Quilt, title: str, facts: RowFacts) -> bool:
    """Whether a quilt has this title, and no fact that contradicts the row."""
    return (
        quilt.title.casefold() == title.casefold()
        and (facts.fields.get("number") is None or quilt.number is None)
        and _agrees(facts.fields.get("made"), quilt.made)
        and _agrees(facts.fields.get("finished_size"), quilt.finished_size)
    )


def _agrees(read: object, recorded: object) -> bool:
    return read is None or recorded is None or str(read) == str(recorded)


def _names_in_use(folder: Path, quilts: Iterable[str]) -> set[str]:
    """The IDs in use, in lower case, including those of invalid files."""
    stems = {path.stem for path in (folder / "quilts").glob("*")} if (folder / "quilts").is_dir() else set()
    return {unicodedata.normalize("NFC", stem).lower() for stem in stems} | set(quilts)
