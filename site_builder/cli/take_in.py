"""The command that imports what the maker already has: a spreadsheet, or photos."""

import sys
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from site_builder.cli.options import collection_folder, day_option
from site_builder.cli.prompts import ask, log_entry_now, sound_reading
from site_builder.terminal import WRONG_USE, print_json, say, tell, tell_all

if TYPE_CHECKING:
    from collection.loading.loader import Reading
    from collection.problems import Problem
    from collection.spreadsheet_import.columns.columns_file import ColumnsFile
    from collection.spreadsheet_import.columns.sheets import ReadSheet
    from collection.spreadsheet_import.files.cells import Workbook
    from collection.spreadsheet_import.importer import ChangedRow, Intake

SHEETS = (".xlsx", ".xlsm", ".ods", ".csv", ".tsv", ".txt", ".xls", ".xlsb", ".numbers")
"""Suffixes of spreadsheets, including those that are refused with an explanation."""

LISTED_AT_MOST = 12
"""The most rows that the terminal lists; the account has all."""


@click.command("take-in")
@click.argument("collection", default=".", type=click.Path(path_type=Path))
@click.argument("source", required=False, type=click.Path(path_type=Path))
@click.option("--columns", type=click.Path(path_type=Path),
              help="What the columns mean: written to this file if it is not there, else read from it.")  # fmt: skip
@click.option("--account", type=click.Path(path_type=Path), help="Write where each cell went to this .csv.")
@day_option("The day that counts as today. Default: today.")
@click.option("--dry-run", is_flag=True, help="Only show what would be made.")
@click.option("--yes", is_flag=True, help="Do not ask first on a terminal.")
@click.option("--json", "as_json", is_flag=True, help="The result for programs.")
def take_in(
    collection: Path, source: Path | None, columns: Path | None, account: Path | None,
    on: date | None, dry_run: bool, yes: bool, as_json: bool,
) -> None:  # fmt: skip
    """Make draft records of a spreadsheet, or of a folder of photos.

    SOURCE is an .xlsx, .ods or .csv, a folder of photos, or one photo.

    Example: counterpane take-in my-quilts quilt-list.xlsx --dry-run
    """
    if source is None:  # The collection may be left out, the source may not.
        collection, source = Path("."), collection
        if str(source) == ".":
            raise click.UsageError("Name the spreadsheet, or the folder of photos, that is to be taken in.")
    collection_folder(collection)
    if not source.exists():
        raise click.UsageError(
            f"There is no {source}. Name the spreadsheet, or the folder of photos, that is to be taken in."
        )
    day = on or date.today()
    if source.is_dir() or source.suffix.lower() not in SHEETS:
        if columns or account:
            raise click.UsageError("--columns and --account go with a spreadsheet.")
        from site_builder.cli.take_in_photos import take_in_photos

        take_in_photos(collection, source, on=day, dry_run=dry_run, yes=yes, as_json=as_json)
        return
    _take_in_sheet(collection, source, columns, account, on=day, dry_run=dry_run, yes=yes, as_json=as_json)


def _take_in_sheet(
    folder: Path,
    source: Path,
    columns: Path | None,
    account: Path | None,
    *,
    on: date,
    dry_run: bool,
    yes: bool,
    as_json: bool,
) -> None:
    from collection.spreadsheet_import.account import account_csv
    from collection.spreadsheet_import.as_json import intake_data
    from collection.spreadsheet_import.earlier_imports import read_taken
    from collection.spreadsheet_import.files.limits import SheetRefused
    from collection.spreadsheet_import.files.workbook import read_workbook
    from collection.spreadsheet_import.importer import take_in as taken_in
    from site_builder.cli.output_files import refuse_file, write_whole

    if account is not None:
        refuse_file(account, ("csv",))
    reading = sound_reading(folder)
    try:
        workbook = read_workbook(source)
        meant = _columns(columns, source, workbook, reading)
        intake = taken_in(workbook, reading, read_taken(folder), on=on, columns=meant)
    except SheetRefused as refused:
        say(str(refused))
        sys.exit(WRONG_USE)
    if columns is not None and not columns.exists():
        _write_columns(columns, intake, reading)
        return
    _refuse_unsound(intake, reading)
    for line in intake_lines(intake, folder=folder, source=source):
        tell(line, err=as_json)
    if account is not None:
        write_whole(account, account_csv(intake.account))
        say(f"Where each cell went is written in {account}.")
    done = _record(intake, reading, on=on, dry_run=dry_run, yes=yes)
    if as_json:
        print_json(intake_data(intake, done=done))


# What the columns mean --------------------------------------------------------------------------


def columns_beside(source: Path) -> Path:
    """The file of columns if none is named: next to the sheet."""
    return source.with_name(f"{source.stem}.columns.yaml")


def _columns(named: Path | None, source: Path, workbook: "Workbook", reading: "Reading") -> "ColumnsFile | None":
    """The maker's file of columns: the named one, or the one next to the sheet, if it exists."""
    from collection.problems import CollectionProblems
    from collection.spreadsheet_import.columns.columns_file import read_columns_file
    from collection.storage.files import bytes_of_named
    from collection.yaml_files.parser import LARGEST_FILE

    path = named or columns_beside(source)
    if not path.exists():
        return None
    partners = frozenset(reading.collection.partners)
    columns, problems = read_columns_file(bytes_of_named(path, LARGEST_FILE), str(path), workbook, partners)
    if columns is None:
        raise CollectionProblems(problems)
    say(f"What the columns mean is read from {path}.")
    return columns


def _write_columns(path: Path, intake: "Intake", reading: "Reading") -> None:
    """The proposal as a file to correct; nothing is taken in yet."""
    from collection.spreadsheet_import.columns.columns_file import columns_text
    from site_builder.cli.output_files import refuse_file, write_whole

    refuse_file(path, ("yaml", "yml"))
    units = reading.collection.settings.units
    text = columns_text(intake.workbook, intake.sheets, units=units, unsettled=intake.unknown_charities)
    write_whole(path, text.encode("utf-8", "backslashreplace"))
    say(f"What each column means is written in {path}; nothing was taken in yet. Look it over, then run this again.")


# Writing ----------------------------------------------------------------------------------------


def _refuse_unsound(intake: "Intake", reading: "Reading") -> None:
    """CollectionProblems unless all drafts are valid records."""
    from collection.problems import CollectionProblems
    from collection.spreadsheet_import.write import check_drafts

    problems: list[Problem] = check_drafts(intake, reading)
    errors = [problem for problem in problems if problem.severity == "error"]
    if errors:
        raise CollectionProblems(errors)
    tell_all(problems)


def _record(intake: "Intake", reading: "Reading", *, on: date, dry_run: bool, yes: bool) -> bool:
    """Ask if someone can answer, and write all files or none; True if they are written."""
    from collection.spreadsheet_import.write import file_changes, lines_of
    from site_builder.text.wording import count_of

    if not intake.drafts:
        say("There is nothing new to take in; nothing was changed.")
        return False
    quilts = count_of(len(intake.drafts), "quilt")
    if dry_run:
        say(f"Nothing was changed: {quilts} shown only.")
        return False
    ask(f"Take in {quilts}?", yes=yes)
    file_changes(intake, reading, on=on).commit(log_entry_now("\n".join(lines_of(intake))))
    say(
        f"Took in {quilts}; counterpane undo takes it back. "
        f"What is missing in them: counterpane check {reading.collection.folder}"
    )
    return True


# Saying -----------------------------------------------------------------------------------------


def intake_lines(intake: "Intake", *, folder: Path, source: Path) -> Iterator[str]:
    """The result of the import, as text for the terminal."""
    yield from intake.workbook.said
    for each in intake.sheets:
        if each.take:
            yield from _sheet_lines(each)
        elif each.sheet.cells:
            yield f"Sheet {each.sheet.name}: left out, as {each.why_not}."
    yield f"To correct what a column means: counterpane take-in {folder} {source} --columns {columns_beside(source)}"
    yield from _charities(intake)
    yield from _to_look_at(intake)
    yield from _held(intake)
    yield from _changed(intake)
    yield from _new(intake)
    yield _account_line(intake)


def _sheet_lines(each: "ReadSheet") -> Iterator[str]:
    from collection.spreadsheet_import.columns.meanings import BY_NAME
    from site_builder.text.wording import count_of

    headings = each.table.headings
    where = f"headings in row {' and '.join(map(str, headings))}" if headings else "no headings"
    yield f"Sheet {each.sheet.name}: {where}, {count_of(len(each.table.rows), 'row')} below."
    for row in each.table.others:
        yield (
            f"  Row {row} looks like the headings of another table. What stands below it is read under the first "
            "headings; put that table on a sheet of its own if it has other columns."
        )
    for meant in each.meant:
        unit = f", in {meant.unit}" if meant.unit else ""
        why = f" ({meant.why})" if meant.why else ""
        name = meant.column.heading or "(no heading)"
        lands_in = BY_NAME[meant.meaning].lands_in
        public = ", public" if BY_NAME[meant.meaning].public else ""
        yield f"  {meant.column.letters:<3}{name[:28]:<29}{meant.meaning}: {lands_in}{public}{unit}{why}"


def _listed(head: str, lines: list[str], *, tells: str = "--account FILE.csv tells") -> Iterator[str]:
    if lines:
        yield f"\n{head}"
        yield from (f"  {line}" for line in lines[:LISTED_AT_MOST])
        if len(lines) > LISTED_AT_MOST:
            yield f"  and {len(lines) - LISTED_AT_MOST:,} more; {tells} of each"


def _charities(intake: "Intake") -> Iterator[str]:
    from collection.storage.folder_layout import sound_id
    from site_builder.text.wording import count_of

    lines = [f"{name} ({count_of(rows, 'row')}): partners/{sound_id(name)}.yaml with name: {name}"
             for name, rows in intake.unknown_charities.items()]  # fmt: skip
    yield from _listed(
        "Charities, it seems, that the collection has no file of. Write it first, and these quilts are recorded "
        "as given to it; "
        "else the words stay with the quilts:", lines,
    )  # fmt: skip


def _to_look_at(intake: "Intake") -> Iterator[str]:
    """Doubts that the maker should check; equal cells share a line. Unknown charities are listed separately."""
    from collection.quotes import quoted
    from collection.spreadsheet_import.rows.destination import NO_SUCH_PARTNER

    alike: dict[tuple[str, str, str], list[str]] = {}
    for each in intake.doubts:
        if each.doubt.why != NO_SUCH_PARTNER:
            key = (each.doubt.heading, quoted(each.doubt.cell.text), each.doubt.why)
            alike.setdefault(key, []).append(f"{_in(intake, each.sheet)}{each.doubt.cell.place}")
    lines = []
    for (heading, text, why), places in alike.items():
        more = f" and {len(places) - 1:,} more like it" if len(places) > 1 else ""
        lines.append(f"{places[0]}{more}, {heading}: {text}: {why}")
    yield from _listed("To look at; what can't be read is kept in the quilt's notes as it was written:", lines)


def _held(intake: "Intake") -> Iterator[str]:
    same = [
        f"{_in(intake, row.sheet)}row {row.row} says what {row.same_as} says, word for word"
        for row in intake.held
        if row.same_as
    ]
    yield from _listed(
        "Taken once. Where each is a quilt of its own, write same_rows: each into the file of columns:", same
    )
    there = [f"{_in(intake, row.sheet)}row {row.row}: quilts/{row.quilt}.yaml" for row in intake.held if row.quilt]
    yield from _listed(
        "Recorded already, and left as they are. Where it is another quilt, give it another title in the sheet:", there
    )


def _changed(intake: "Intake") -> Iterator[str]:
    lines = [line for row in intake.changed for line in _changed_lines(intake, row)]
    yield from _listed(
        "Changed in the sheet since they were taken in. The records stay as they are; change them by hand where "
        "the sheet is right:",
        lines,
        tells="--json tells",
    )


def _changed_lines(intake: "Intake", row: "ChangedRow") -> Iterator[str]:
    from collection.quotes import quoted
    from collection.yaml_files.writer import write_flow

    quilts = ", ".join(f"quilts/{quilt}.yaml" for quilt in row.quilts)
    for cell in row.differences:
        before = quoted(cell.before) if cell.before else "nothing"
        now = quoted(cell.now) if cell.now else "nothing"
        proposed = "; ".join(f"{path}: {write_flow(value)}" for path, value in cell.proposed.items())
        place = f"{_in(intake, row.sheet)}row {row.row}, {cell.heading}"
        yield f"{place}: was {before}, is {now}. {quilts}{f': {proposed}' if proposed else ''}"


def _new(intake: "Intake") -> Iterator[str]:
    from site_builder.text.wording import count_of

    before = f"; {count_of(intake.taken_before, 'row')} taken in before" if intake.taken_before else ""
    yield f"\nNew: {count_of(len(intake.drafts), 'quilt')} out of {count_of(len(intake.rows_taken), 'row')}{before}."
    shown = [f"{draft.title}: {draft.file}" for draft in intake.drafts]
    yield from (f"  {line}" for line in shown[:LISTED_AT_MOST])
    if len(shown) > LISTED_AT_MOST:
        yield f"  and {len(shown) - LISTED_AT_MOST:,} more"


def _account_line(intake: "Intake") -> str:
    from collection.spreadsheet_import.account import by_where
    from site_builder.text.wording import count_of

    parts = ", ".join(f"{where} {count:,}" for where, count in by_where(intake.account).items())
    return f"{count_of(len(intake.account), 'cell')} accounted for: {parts}. --account FILE.csv tells of each."


def _in(intake: "Intake", sheet: str) -> str:
    """The sheet's name, if several sheets are taken in."""
    return f"{sheet}, " if sum(each.take for each in intake.sheets) > 1 else ""
