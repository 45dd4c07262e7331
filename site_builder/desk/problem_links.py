"""What is wrong in the files, or deserves a look, each with the way to the form and the field where it is mended."""

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
class Trouble:
    """One problem: which record, which field, as people call them. `mend` is None where no form can help."""

    place: str
    field: str
    found: str
    remedy: str
    mend: str | None


def troubles(problems: Iterable[Problem], reading: Reading | None = None) -> tuple[Trouble, ...]:
    """Problems as pages tell them. What has no field to lead to is told by its file and line."""
    names = RecordNames(reading)
    return tuple(_trouble(problem, names) for problem in problems)


class RecordNames:
    """What people call the records of a collection, as far as it can be read."""

    def __init__(self, reading: Reading | None):
        self._reading = reading
        self.by_id: Mapping[str, str] = {}
        if reading is not None:
            self.by_id = names_by_id(reading.collection.partners, reading.collection.requests)

    def of_record(self, record: str) -> str | None:
        """By what the desk's addresses call it, such as quilts/low-tide."""
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


def _trouble(problem: Problem, names: RecordNames) -> Trouble:
    record = record_in(problem.file)
    name = names.of_file(problem.file)
    if record is None or name is None or not problem.field:
        place = f"{problem.file}, line {problem.line}" if problem.line > 1 else problem.file
        name = f"{name}: {place}" if name else place
    if record is None:
        return Trouble(name, problem.field, problem.found, problem.remedy, None)
    kind = KIND_OF.get(record.partition("/")[0], "collection")
    remedy = in_form_words(kind, problem.field, problem.remedy, names.by_id)
    label = field_label(kind, problem.field)
    # What a remedy quotes is not said a second time.
    found = "" if quoted(problem.found) in remedy else names.by_id.get(problem.found, problem.found)
    return Trouble(name, label, found, remedy, edit_address(record, _name_in_form(problem.field)))


def _name_in_form(field: str) -> str:
    """A field as forms name it: they count the items of a list from 0, problems count them from 1.

    >>> _name_in_form("photos.2.file")
    'photos.1.file'
    """
    return ".".join(str(int(part) - 1) if part.isdecimal() else part for part in field.split("."))


def record_in(file: str) -> str | None:
    """How the desk's addresses call the record in a file; None where it has no form.

    >>> record_in("quilts/low-tide.yaml"), record_in("collection.yaml"), record_in("pages/about.md")
    ('quilts/low-tide', 'collection', None)
    """
    if file == "collection.yaml":
        return "collection"
    found = _RECORD.fullmatch(file)
    return f"{found[1]}/{found[2]}" if found else None
