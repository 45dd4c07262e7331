"""What is wrong in a form, as the list at its head that leads to each field."""
from collections.abc import Iterable
from dataclasses import dataclass

from collection.forms.addresses import field_anchor
from collection.forms.form import Form, Group
from collection.problems import Problem


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing to put right: what it is about, what would be right, and where to go."""

    label: str
    remedy: str
    anchor: str


def faults_of(form: Form, errors: Iterable[Problem] = ()) -> list[Fault]:
    """Each once, in the order of the form; what belongs to no field comes first and leads to the form's head."""
    found = [Fault(field.label, field.problem, field_anchor(field.name)) for field in form.fields() if field.problem]
    found = [*_of_groups(form.groups), *found]
    told = {fault.remedy for fault in found}
    loose = [Fault(problem.field or problem.file, problem.remedy, "form") for problem in errors if problem.remedy not in told]
    return [*loose, *found]


def _of_groups(parts) -> list[Fault]:
    found: list[Fault] = []
    for part in parts:
        if isinstance(part, Group):
            if part.problem:
                found.append(Fault(part.label, part.problem, field_anchor(part.name)))
            found += _of_groups(part.parts)
    return found
