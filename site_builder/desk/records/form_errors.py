"""What is wrong in a form, and what deserves a look, as the lists at its head that lead to each field."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from collection.forms.anchors import field_anchor
from collection.forms.form import Field, Form, Group
from collection.problems import Problem


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing to put right, or to look at: what it is about, what would be right, and where to go."""

    label: str
    remedy: str
    anchor: str


def faults_of(form: Form, errors: Iterable[Problem] = ()) -> list[Fault]:
    """Each once, in the order of the form; what belongs to no field comes first and leads to the form's head."""
    loose = [Fault("The whole record", problem.remedy, "form") for problem in errors if problem in form.problems]
    return [
        *loose,
        *(Fault(part.label, part.problem, field_anchor(part.name)) for part in _all_parts(form) if part.problem),
    ]


def warnings_of(form: Form) -> list[Fault]:
    """What may be right but deserves a look, in the same order."""
    return [Fault(part.label, part.warning, field_anchor(part.name)) for part in _all_parts(form) if part.warning]


def _all_parts(form: Form) -> list[Field | Group]:
    """Groups before fields, as what is wrong with a group keeps its fields from being read."""
    return [*_groups(form.groups), *form.fields()]


def _groups(parts: Iterable[Field | Group]) -> Iterator[Group]:
    for part in parts:
        if isinstance(part, Group):
            yield part
            yield from _groups(part.parts)
