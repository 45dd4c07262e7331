"""Makes the files that record an import: all of them valid, or none."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import date

from collection.loading.cross_checks import cross_check
from collection.loading.loader import Reading
from collection.loading.validation import validate
from collection.problems import Problem
from collection.records.quilt import Quilt
from collection.spreadsheet_import.drafts import Draft
from collection.spreadsheet_import.earlier_imports import free_name, taken_text
from collection.spreadsheet_import.importer import Intake
from collection.storage.folder_layout import free_id, sound_id
from collection.storage.transaction import FileChanges
from collection.yaml_files.parser import YamlText, read_yaml


def check_drafts(intake: Intake, reading: Reading) -> list[Problem]:
    """All problems of the drafts, by the same checks as for any record; reported at their rows in the sheet."""
    collection = reading.collection
    settings = collection.settings
    texts: dict[str, YamlText] = {}
    sound: dict[str, Quilt] = {}
    problems: list[Problem] = []
    drafts = {draft.file: draft for draft in intake.drafts}
    for draft in intake.drafts:
        text, found = read_yaml(draft.text.encode(), draft.file)
        quilt = None
        if not found:
            quilt, found = validate(Quilt, text, units=settings.units, currency=settings.currency, id=draft.id)
        problems += [_at_row(problem, draft, intake) for problem in found]
        texts[draft.file] = text
        if quilt is not None:
            sound[draft.id] = quilt
    together = replace(collection, quilts=dict(sorted((dict(collection.quilts) | sound).items())))
    for problem in cross_check(together, {**reading.texts, **texts}):
        if problem.file in drafts:
            problems.append(_at_row(problem, drafts[problem.file], intake))
    # Several quilts of one row have the same problems.
    return sorted(set(problems))


def _at_row(problem: Problem, draft: Draft, intake: Intake) -> Problem:
    where = f"{intake.workbook.name}, {draft.sheet}"
    return replace(problem, file=where, line=draft.row)


def file_changes(intake: Intake, reading: Reading, *, on: date) -> FileChanges:
    """The files that record an import: the drafts, and the imported rows. `commit` writes them."""
    folder = reading.collection.folder
    changes = FileChanges(folder)
    for draft in intake.drafts:
        changes.add(draft.file, None, draft.text.encode())
    if intake.rows_taken:
        stem = free_id(sound_id(intake.workbook.name.rpartition(".")[0]) or "sheet", ())
        name = free_name(folder, on.isoformat(), stem)
        changes.add(name, None, taken_text(intake.workbook.name, on.isoformat(), intake.rows_taken))
    return changes


def lines_of(intake: Intake) -> Iterator[str]:
    """A line of text for each draft, such as for the log."""
    for draft in intake.drafts:
        yield f"{draft.title} ({draft.id}): taken in from {intake.workbook.name}, {draft.sheet}, row {draft.row}."
