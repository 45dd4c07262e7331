"""Errors and warnings, each with a link to the form and field where it can be fixed."""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from collection.forms.field_labels import field_label, in_form_words
from collection.loading.loader import Reading
from collection.problems import Problem
from collection.quotes import quoted
from collection.transfers.wording import names_by_id
from site_builder.desk.links import edit_address
from site_builder.desk.records.files import KIND_OF

_RECORD = re.compile(r"(quilts|partners|requests)/([^/]+)\.yaml")
THE_COLLECTION = "The collection itself"


@dataclass(frozen=True, slots=True)
class ProblemLink:
    """One problem, with the displayed names of its record and field. `mend` is None if no form can fix it."""

    place: str
    field: str
    found: str
    remedy: str
    mend: str | None


def problem_links(problems: Iterable[Problem], reading: Reading | None = None) -> tuple[ProblemLink, ...]:
    """Problems as pages show them. Those without a field to link to show their file and line."""
    names = RecordNames(reading)
    return tuple(_link(problem, names) for problem in problems)


class RecordNames:
    """The displayed names of the records of a collection, as far as it can be read."""

    def __init__(self, reading: Reading | None):
        self._reading = reading
        self.by_id: Mapping[str, str] = {}
        if reading is not None:
            self.by_id = names_by_id(reading.collection.partners, reading.collection.requests)

    def of_record(self, record: str) -> str | None:
        """The name of a record given as in the desk's addresses, such as quilts/low-tide."""
        return self.of_file(f"{record}.yaml")

    def of_file(self, file: str) -> str | None:
        if file == "collection.yaml":
            return THE_COLLECTION
        found = _RECORD.fullmatch(file)
        if found is None or self._reading is None:
            return None
        if found[1] == "requests":
            return self.by_id.get(found[2])
        text = self._reading.texts.get(file)
        data = text.data if text is not None else None
        name = data.get("title" if found[1] == "quilts" else "name") if isinstance(data, dict) else None
        return name.strip() or None if isinstance(name, str) else None


def _link(problem: Problem, names: RecordNames) -> ProblemLink:
    record = record_in(problem.file)
    name = names.of_file(problem.file)
    if record is None or name is None or not problem.field:
        place = f"{problem.file}, line {problem.line}" if problem.line > 1 else problem.file
        name = f"{name}: {place}" if name else place
    if record is None:
        return ProblemLink(name, problem.field, problem.found, problem.remedy, None)
    kind = KIND_OF.get(record.partition("/")[0], "collection")
    remedy = in_form_words(kind, problem.field, problem.remedy, names.by_id)
    label = field_label(kind, problem.field)
    # The remedy may quote what was found already.
    found = "" if quoted(problem.found) in remedy else names.by_id.get(problem.found, problem.found)
    return ProblemLink(name, label, found, remedy, edit_address(record, _name_in_form(problem.field)))


def _name_in_form(field: str) -> str:
    """A field's name in forms, which count the items of a list from 0, as problems count them from 1.

    >>> _name_in_form("photos.2.file")
    'photos.1.file'
    """
    return ".".join(str(int(part) - 1) if part.isdecimal() else part for part in field.split("."))


def record_in(file: str) -> str | None:
    """The record in a file, named as in the desk's addresses; None if it has no form.

    >>> record_in("quilts/low-tide.yaml"), record_in("collection.yaml"), record_in("pages/about.md")
    ('quilts/low-tide', 'collection', None)
    """
    if file == "collection.yaml":
        return "collection"
    found = _RECORD.fullmatch(file)
    return f"{found[1]}/{found[2]}" if found else None
