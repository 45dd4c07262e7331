"""Merges a form with a file that was changed while the form was open.

A field that only one side changed takes that side's value. If both changed it, the form keeps what the person wrote,
and shows the file's value beside it. A list counts as one field.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from collection.forms.form import Field, Form, Group

Answers = Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Difference:
    """A field whose value in the form differs from the one in the file."""

    name: str
    label: str
    written: str
    in_file: str
    both_changed: bool


def merged(answers: Answers, before: Form | None, now: Form) -> dict[str, str]:
    """The answers, with the file's value where only the file changed; without `before`, the answers alone."""
    answers = _in_rows(answers, now)
    if before is None:
        return answers
    old, new, out = _units(before), _units(now), dict(answers)
    for unit in old.keys() | new.keys():
        written = {name: value for name, value in answers.items() if _in_unit(name, unit)}
        was, is_now = old.get(unit, {}), new.get(unit, {})
        if _same(written, was) and not _same(is_now, was):
            for name in written:
                out.pop(name)
            out |= is_now
    return out


def differences(answers: Answers, before: Form | None, now: Form) -> list[Difference]:
    """The fields in which the form differs from the file after `merged`: the person decides about these."""
    found = []
    was = {field.name: field.value for field in before.fields()} if before else {}
    for field in now.fields():
        if field.read_only or field.name not in answers:
            continue
        written = answers[field.name]
        if not _alike(written, field.value):
            both = before is not None and not _alike(field.value, was.get(field.name, ""))
            found.append(Difference(field.name, field.label, written, field.value, both))
    return found


def _in_rows(answers: Answers, form: Form) -> dict[str, str]:
    """The answers as the form shows them: several ticked or written words of one field are joined by commas."""
    rows = {field.name for field in form.fields() if field.kind == "several or written"}
    return {
        name: ", ".join(filter(None, (word.strip() for word in value.replace("\n", ",").split(","))))
        if name in rows
        else value
        for name, value in answers.items()
    }


def _units(form: Form) -> dict[str, dict[str, str]]:
    """The values, grouped into what is compared as one: a single field, or a whole list."""
    units: dict[str, dict[str, str]] = {}
    for unit, field in _fields_in_units(form.groups, None):
        if not field.read_only:
            units.setdefault(unit, {})[field.name] = field.value
    return units


def _fields_in_units(parts: Iterable[Field | Group], unit: str | None) -> Iterator[tuple[str, Field]]:
    for part in parts:
        if isinstance(part, Group):
            yield from _fields_in_units(part.parts, unit or (part.name if part.is_list else None))
        else:
            yield unit or part.name, part


def _in_unit(name: str, unit: str) -> bool:
    return name == unit or name.startswith(f"{unit}.")


def _same(one: Answers, other: Answers) -> bool:
    return all(_alike(one.get(name, ""), other.get(name, "")) for name in one.keys() | other.keys())


def _alike(one: str, other: str) -> bool:
    """Are they equal but for line endings and blanks at the end, which browsers change?"""
    return one.replace("\r\n", "\n").strip() == other.replace("\r\n", "\n").strip()
