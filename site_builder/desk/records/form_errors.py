"""The errors and warnings of a form, for the lists at its head that link to each field."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from collection.forms.anchors import field_anchor
from collection.forms.form import Field, Form, Group
from collection.problems import Problem


@dataclass(frozen=True, slots=True)
class FormError:
    """An error or warning: the field's label, what would be right, and the anchor of the field."""

    label: str
    remedy: str
    anchor: str


def form_errors(form: Form, errors: Iterable[Problem] = ()) -> list[FormError]:
    """Each error once, in the order of the form; those that belong to no field come first and link to its head."""
    loose = [FormError("The whole record", problem.remedy, "form") for problem in errors if problem in form.problems]
    return [
        *loose,
        *(FormError(part.label, part.problem, field_anchor(part.name)) for part in _all_parts(form) if part.problem),
    ]


def warnings_of(form: Form) -> list[FormError]:
    """The warnings, in the same order."""
    return [FormError(part.label, part.warning, field_anchor(part.name)) for part in _all_parts(form) if part.warning]


def _all_parts(form: Form) -> list[Field | Group]:
    """Groups before fields, as an error in a group keeps its fields from being read."""
    return [*_groups(form.groups), *form.fields()]


def _groups(parts: Iterable[Field | Group]) -> Iterator[Group]:
    for part in parts:
        if isinstance(part, Group):
            yield part
            yield from _groups(part.parts)
