"""Makes the form of a record from its file, with each problem next to its field."""

from collections.abc import Container, Iterable, Iterator, Mapping
from dataclasses import replace
from typing import assert_never

from collection.forms.answers import is_long, shown
from collection.forms.check import problems_of
from collection.forms.field_labels import in_form_words
from collection.forms.form import TICKED, Choice, Field, FieldKind, Form, Group, Kind, file_of, text_digest
from collection.forms.labels import NEW, ROWS
from collection.forms.schema import FORMER, Part, Question, questions
from collection.forms.sections import SHEETS
from collection.forms.suggestions import Suggestions
from collection.problems import Problem, Severity
from collection.records.collection import Collection
from collection.transfers.wording import names_by_id, request_name
from collection.yaml_files.parser import Plain, read_yaml


def form_for(kind: Kind, record_id: str, text: str, collection: Collection, *, files: Container[str] = ()) -> Form:
    """The form of a record whose file has this text; empty for a new record.

    The text keeps the line ends and byte order mark of the file. `files` are the names of all existing record files,
    valid or not (see `problems_of`). An invalid file has a form too.
    """
    problems = problems_of(kind, record_id, text, collection, files) if text.strip() else ()
    return show_form(kind, record_id, text, collection, problems)


def show_form(kind: Kind, record_id: str, text: str, collection: Collection, problems: Iterable[Problem] = ()) -> Form:
    """The form of a record, with problems found before."""
    return show_data(kind, record_id, data_of(kind, record_id, text), collection, problems, digest=text_digest(text))


def show_data(
    kind: Kind,
    record_id: str,
    data: Mapping[str, Plain] | None,
    collection: Collection,
    problems: Iterable[Problem],
    *,
    digest: str,
) -> Form:
    """The form of a record with these fields; a row without data is shown empty."""
    title = _title(kind, record_id, data, collection)
    groups: tuple[Group, ...] = ()
    if data is not None:
        showing = _Showing(kind, Suggestions(collection, record_id))
        asked = questions(kind)
        groups = tuple(
            Group(
                section.name,
                section.label,
                section.explanation,
                tuple(showing.part(asked[key], key, data.get(key)) for key in section.fields),
            )
            for section in SHEETS[kind]
        )
    form = Form(kind, record_id, title, digest, tuple(map(_with_privacy, groups)))
    names = names_by_id(collection.partners, collection.requests)
    return place_problems(form, data, problems, names)


def data_of(kind: Kind, record_id: str, text: str) -> dict[str, Plain] | None:
    """The fields of a file, as far as they can be read; None if nothing can."""
    read, _ = read_yaml(text.encode("utf-8", "surrogatepass"), file_of(kind, record_id))
    return read.data if isinstance(read.data, dict) and () not in read.lost else None


def _title(kind: Kind, record_id: str, data: Mapping[str, Plain] | None, collection: Collection) -> str:
    if kind == "request":
        return _request_title(record_id, (data or {}).get("partner"), collection)
    named = (data or {}).get("name" if kind == "partner" else "title")
    if isinstance(named, str) and named.strip():
        return named.strip()
    return record_id or NEW[kind]


def _request_title(record_id: str, asking: Plain, collection: Collection) -> str:
    if record_id in collection.requests:
        return request_name(collection.requests[record_id], collection.partners)
    if isinstance(asking, str) and asking in collection.partners:
        return f"A request of {collection.partners[asking].name}"
    return record_id or NEW["request"]


class _Showing:
    """Makes the fields and groups of one record's form."""

    def __init__(self, kind: Kind, suggestions: Suggestions):
        self.kind = kind
        self.suggestions = suggestions

    def part(self, part: Question | Part, name: str, data: Plain) -> Field | Group:
        if isinstance(part, Question):
            return self._field(part, name, data)
        if not part.is_list:
            return self._group(part, name, part.label, data)
        rows = rows_of(data)
        is_former = part.path in FORMER
        shown_rows = rows if is_former else [*rows, None]
        groups = (
            self._group(part, f"{name}.{at}", _row_label(part, at, row), row) for at, row in enumerate(shown_rows)
        )
        return Group(name, part.label, part.explanation, tuple(groups), is_list=True)

    def _group(self, part: Part, name: str, label: str, data: Plain) -> Group:
        fields = fields_in(part, data)
        parts = tuple(self.part(inner, f"{name}.{inner.key}", fields.get(inner.key)) for inner in part.parts)
        return Group(name, label, "" if part.is_list else part.explanation, parts)

    def _field(self, question: Question, name: str, data: Plain) -> Field:
        value = shown(question, data)
        kind = self._kind(question, data, value)
        choices = self.suggestions.for_question(self.kind, question)
        if kind == "choice" and question.takes == "tick":
            choices = (Choice(TICKED, "yes"), Choice("", "no"))
        if kind in ("choice", "several"):
            values = value.split("\n") if kind == "several" and value else [value] if kind == "choice" else []
            known = {choice.value for choice in choices}
            choices += tuple(
                Choice(each, self.suggestions.names.get(each, each), "As the file has it.")
                for each in values
                if each not in known
            )
        return Field(
            name,
            question.label,
            question.explanation,
            kind,
            value,
            choices,
            question.example,
            question.required,
            private=question.private,
            states=question.states,
            read_only=question.path.split(".")[0] in FORMER,
        )

    def _kind(self, question: Question, data: Plain, value: str) -> FieldKind:
        match question.takes:
            case "tick":
                return "tick" if value in ("", TICKED) else "choice"
            case "several words":
                return "several"
            case "words of a table":
                return "several or written"
            case "lines":
                return "several" if self.suggestions.only_these(question) else "text"
            case "text" | "long text" | "words" | "one word" | "yes or no" | "yes or a date":
                if self.suggestions.only_these(question):
                    return "choice"
                return "text" if is_long(question, data) else "line"
            case _:
                assert_never(question.takes)


def rows_of(data: Plain) -> list[Plain]:
    """The items of a list; a list with one item may be written as that item."""
    return data if isinstance(data, list) else [] if data is None else [data]


def fields_in(part: Part, data: Plain) -> dict[str, Plain]:
    """The fields of a part; its short form is a single text for one of them."""
    if isinstance(data, dict):
        return data
    first = part.short or next(inner.key for inner in part.parts if isinstance(inner, Question))
    return {} if data is None else {first: data}


def _row_label(part: Part, at: int, row: Plain) -> str:
    one = ROWS.get(part.path, part.label)
    return f"One more {one.lower()}" if row is None else f"{one} {at + 1}"


def _with_privacy(group: Group) -> Group:
    parts = tuple(_with_privacy(part) if isinstance(part, Group) else part for part in group.parts)
    return replace(group, parts=parts, private=bool(parts) and all(part.private for part in parts))


# Problems next to their fields ------------------------------------------------------------------


def place_problems(
    form: Form, data: Mapping[str, Plain] | None, problems: Iterable[Problem], names: Mapping[str, str]
) -> Form:
    """The form with each problem at its field, else at its group, else at the whole form.

    `names` are the names of records by ID, for the IDs in a remedy.
    """
    fields, group_names = set(_names(form.groups, Field)), set(_names(form.groups, Group))
    by_name: dict[Severity, dict[str, list[str]]] = {"error": {}, "warning": {}}
    rest = []
    for problem in problems:
        name = None
        if problem.file == file_of(form.kind, form.record_id):
            name = _place(problem, fields, group_names, form.kind, data or {})
        if name is None:
            rest.append(problem)
        else:
            remedy = in_form_words(form.kind, problem.field, problem.remedy, names)
            by_name[problem.severity].setdefault(name, []).append(remedy)
    remedies: dict[Severity, dict[str, str]] = {
        severity: {name: " ".join(dict.fromkeys(words)) for name, words in at.items()}
        for severity, at in by_name.items()
    }
    groups = tuple(_with_problems(group, remedies["error"], remedies["warning"]) for group in form.groups)
    return replace(form, groups=groups, problems=tuple(rest))


def _names(parts: Iterable[Field | Group], kind: type) -> Iterator[str]:
    for part in parts:
        if isinstance(part, kind):
            yield part.name
        if isinstance(part, Group):
            yield from _names(part.parts, kind)


def _place(problem: Problem, fields: set[str], groups: set[str], kind: Kind, data: Mapping[str, Plain]) -> str | None:
    """The name of the field or group of a problem, which counts list items from 1; names count from 0."""
    steps = [str(int(step) - 1) if step.isdecimal() else step for step in problem.field.split(".")]
    for end in range(len(steps), 0, -1):
        name = ".".join(steps[:end])
        if name in fields:
            return name
        if name in groups:
            top = questions(kind).get(name)
            if isinstance(top, Part) and top.short and isinstance(data.get(name), str):
                inner = f"{name}.{top.short}"
                return inner if inner in fields else name
            return name
    return None


def _with_problems(group: Group, errors: Mapping[str, str], warnings: Mapping[str, str]) -> Group:
    parts = tuple(
        _with_problems(part, errors, warnings)
        if isinstance(part, Group)
        else replace(part, problem=errors.get(part.name, ""), warning=warnings.get(part.name, ""))
        for part in group.parts
    )
    return replace(group, parts=parts, problem=errors.get(group.name, ""), warning=warnings.get(group.name, ""))
