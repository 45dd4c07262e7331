"""What is wrong in the files, each with the way to the form and the field where it is mended."""
import re
from collections.abc import Iterable
from dataclasses import dataclass

from collection.problems import Problem
from site_builder.desk.ways_in import edit_address

_RECORD = re.compile(r"(quilts|partners|requests)/([^/]+)\.yaml")


@dataclass(frozen=True, slots=True)
class Trouble:
    """One problem; `mend` is None where no form can help."""

    place: str
    field: str
    found: str
    remedy: str
    mend: str | None


def troubles(problems: Iterable[Problem]) -> tuple[Trouble, ...]:
    return tuple(_trouble(problem) for problem in problems)


def _trouble(problem: Problem) -> Trouble:
    place = f"{problem.file}, line {problem.line}" if problem.line > 1 else problem.file
    return Trouble(place, problem.field, problem.found, problem.remedy, _mend(problem))


def _mend(problem: Problem) -> str | None:
    record = record_in(problem.file)
    return edit_address(record, _name_in_form(problem.field)) if record else None


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
