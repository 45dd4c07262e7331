"""Writes answers into the text of a record's own file, and changes only what differs from the form as shown."""

from collections.abc import Container, Iterator, Mapping
from dataclasses import dataclass, field, replace

from collection.forms.answers import Answer, cleaned, held, odd_character, shown
from collection.forms.check import problems_of
from collection.forms.form import Field, FilledIn, Form, Group, Kind, file_of, text_digest
from collection.forms.load import data_of, fields_in, rows_of, show_data, show_form
from collection.forms.schema import Part, Question, questions
from collection.forms.sections import SHEETS
from collection.problems import Problem
from collection.records.collection import Collection
from collection.yaml_files.field_edits import EditProblem, remove_field, remove_value, set_field
from collection.yaml_files.parser import Path, Plain, format_path

Answers = Mapping[str, Answer]


def fill_in(
    kind: Kind, record_id: str, text: str, answers: Answers, collection: Collection, *, files: Container[str] = ()
) -> FilledIn:
    """The text of a file with answers, by field name, written into it; all else stays byte for byte.

    A field without an answer, or with the answer that the form showed, stays as it is; an empty answer removes the
    field. Answers for rows beyond the last one shown add rows, in the order of their numbers. An answer that can't be
    written is left out of the text. If there is an error, the form shows the answers, row by row as sent, so that it
    can be sent again for the same file. Unknown names are ignored.
    """
    data = data_of(kind, record_id, text)
    if data is None:
        problems = problems_of(kind, record_id, text, collection, files)
        return FilledIn(text, show_form(kind, record_id, text, collection, problems), problems)
    writing = _Writing(text=text)
    given = _nested(answers)
    asked = questions(kind)
    order = [key for section in SHEETS[kind] for key in section.fields]
    for key in order:
        if key in given:
            writing.answer(asked[key], data.get(key), given[key], after=_before(key, asked))
    refused = tuple(problem.in_file(file_of(kind, record_id)) for problem in writing.refused.values())
    found = problems_of(kind, record_id, writing.text, collection, files)
    problems = tuple(dict.fromkeys((*refused, *found)))
    if all(problem.severity == "warning" for problem in problems):
        form = show_form(kind, record_id, writing.text, collection, problems)
        return FilledIn(writing.text, replace(form, digest=text_digest(text)), problems)
    sent = _Sent()
    answered = {key: sent.result(asked[key], data.get(key), given[key], key) for key in order if key in given}
    rows = {name: rows for name, rows in sent.rows.items() if name.split(".")[0] not in writing.refused}
    placed = dict.fromkeys((*refused, *(_as_sent(problem, rows) for problem in found)))
    form = show_data(kind, record_id, data | answered, collection, placed, digest=text_digest(text))
    return FilledIn(writing.text, _with_unwritten(form, sent.unwritten), problems)


def _as_sent(problem: Problem, rows: Mapping[str, list[int]]) -> Problem:
    """The problem at the number of its row in the answers, which may differ from that in the file."""
    steps = problem.field.split(".")
    for at, step in enumerate(steps):
        kept = rows.get(".".join(steps[:at]))
        if kept is not None and step.isdecimal() and int(step) <= len(kept):
            steps[at] = str(kept[int(step) - 1] + 1)
    return replace(problem, field=".".join(steps))


def _nested(answers: Answers) -> dict[str, object]:
    """Answers as a tree, by the steps of their names: {"photos": {"0": {"caption": ...}}}."""
    tree: dict[str, object] = {}
    for name, answer in answers.items():
        *above, last = name.split(".")
        inner: object = tree
        for step in above:
            inner = inner.setdefault(step, {}) if isinstance(inner, dict) else None
        if isinstance(inner, dict):
            inner[last] = answer
    return tree


def _before(key: str, asked: Mapping[str, object]) -> tuple[str, ...]:
    """The fields that precede a field in the model, the nearest first: a new one is written after them."""
    fields = list(asked)
    return tuple(reversed(fields[: fields.index(key)]))


@dataclass
class _Results:
    """The new data of fields, and the answers that can't be stored."""

    refused: dict[str, EditProblem] = field(default_factory=dict)
    unwritten: dict[str, str] = field(default_factory=dict)

    def result(self, part: Question | Part, data: Plain, given: object, name: str) -> Plain:
        """The new data of a field, in the same form as the old; None removes it."""
        if isinstance(part, Question):
            return self._value(part, data, given, name)
        if not isinstance(given, dict):
            return data
        if part.is_list:
            return self._rows(part, data, given, name)
        return self._fields(part, data, given, name)

    def _value(self, question: Question, data: Plain, given: object, name: str) -> Plain:
        if not isinstance(given, str | list | tuple):
            return data
        answer = cleaned(question, given, data)
        if answer == shown(question, data):
            return data
        remedy = odd_character(answer)
        if remedy is not None:
            steps = (int(step) if step.isdecimal() else step for step in name.split("."))
            self.refused[name] = EditProblem(format_path(tuple(steps)), remedy)
            self.unwritten[name] = answer
            return data
        return held(question, answer, data)

    def _fields(self, part: Part, data: Plain, given: Mapping[str, object], name: str) -> Plain:
        before = fields_in(part, data)
        changed = {
            inner.key: self.result(inner, before.get(inner.key), given[inner.key], f"{name}.{inner.key}")
            for inner in part.parts
            if inner.key in given
        }
        if all(before.get(key) == value for key, value in changed.items()):
            return data
        after = _after(part, before, changed)
        if not _typed(part, after) and (not _filled(after) or (part.needs_words and _typed(part, before))):
            # Ticks and choices alone are removed with the words that they belong to.
            return None
        short = part.short
        if short and not isinstance(data, dict) and list(after) == [short] and not isinstance(after[short], list):
            return after[short]
        return after

    def _rows(self, part: Part, data: Plain, given: Mapping[str, object], name: str) -> Plain:
        kept: list[Plain] = [row for row in self._each_row(part, data, given, name) if row is not None]
        if kept == rows_of(data):
            return data
        if len(kept) == 1 and data is not None and not isinstance(data, list):
            return kept[0]
        return kept or None

    def _each_row(self, part: Part, data: Plain, given: Mapping[str, object], name: str) -> Iterator[Plain]:
        """The existing rows, None for one that was emptied; then the new rows."""
        before = rows_of(data)
        numbered = {int(step): step for step in given if step.isdecimal() and step.isascii() and len(step) <= 6}
        for at in (*range(len(before)), *sorted(at for at in numbered if at >= len(before))):
            row = before[at] if at < len(before) else None
            answers = given.get(numbered.get(at, ""))
            yield self._fields(part, row, answers, f"{name}.{at}") if isinstance(answers, dict) else row


@dataclass
class _Sent(_Results):
    """The results with emptied rows kept in place; `rows` are the numbers of the other rows, by list."""

    rows: dict[str, list[int]] = field(default_factory=dict)

    def _each_row(self, part: Part, data: Plain, given: Mapping[str, object], name: str) -> Iterator[Plain]:
        there = len(rows_of(data))
        rows = list(super()._each_row(part, data, given, name))
        rows = [row for at, row in enumerate(rows) if at < there or row is not None]
        self.rows[name] = [at for at, row in enumerate(rows) if row is not None]
        yield from ({} if row is None else row for row in rows)


@dataclass
class _Writing(_Results):
    """Writes answers into the text of a file."""

    text: str = ""

    def answer(self, part: Question | Part, data: Plain, given: object, *, after: tuple[str, ...]) -> None:
        """Write the answer to one of the record's top-level fields."""
        result = self.result(part, data, given, part.key)
        if result == data:
            return
        try:
            text = self._without_rows(part, data, given, (part.key,), self.text)
            if result is None:
                self.text = remove_field(text, part.key)
            else:
                self.text = set_field(text, part.key, result, after=after)
        except EditProblem as problem:
            self.refused[part.key] = problem

    def _without_rows(self, part: Question | Part, data: Plain, given: object, path: Path, text: str) -> str:
        """The text without the emptied rows, so that the remaining rows keep their comments and layout."""
        if isinstance(part, Question) or not isinstance(given, dict):
            return text
        if not part.is_list:
            if not isinstance(data, dict):
                return text
            for inner in part.parts:
                here = (*path, inner.key)
                text = self._without_rows(inner, data.get(inner.key), given.get(inner.key), here, text)
            return text
        if not isinstance(data, list):
            return text
        rows = list(_Results()._each_row(part, data, given, ""))
        gone = [at for at in range(len(data)) if rows[at] is None]
        if len(gone) == len(data):
            return text
        for at in reversed(gone):
            text = remove_value(text, (*path, at))
        return text


def _after(part: Part, before: Mapping[str, Plain], changed: Mapping[str, Plain]) -> dict[str, Plain]:
    """The fields after a change, in their order; a new one follows the nearest field that precedes it in the form."""
    order = [inner.key for inner in part.parts]
    keys = list(before)
    for key in changed:
        if key not in keys:
            earlier = [keys.index(each) for each in order[: order.index(key)] if each in keys]
            keys.insert(max(earlier) + 1 if earlier else len(keys), key)
    after = {key: changed.get(key, before.get(key)) for key in keys}
    return {key: value for key, value in after.items() if value is not None or key not in changed}


def _filled(fields: Mapping[str, Plain]) -> set[str]:
    return {key for key, value in fields.items() if value is not None}


def _typed(part: Part, fields: Mapping[str, Plain]) -> set[str]:
    """The fields with typed text, not just a tick or a choice."""
    return _filled(fields) - {inner.key for inner in part.parts if isinstance(inner, Question) and _is_chosen(inner)}


def _is_chosen(question: Question) -> bool:
    return question.takes in ("one word", "tick", "yes or no")


def _with_unwritten(form: Form, unwritten: Mapping[str, str]) -> Form:
    """The form with the answers that can't be written."""

    def answered(part: Field | Group) -> Field | Group:
        if isinstance(part, Group):
            return replace(part, parts=tuple(map(answered, part.parts)))
        return replace(part, value=unwritten[part.name]) if part.name in unwritten else part

    groups = (replace(group, parts=tuple(map(answered, group.parts))) for group in form.groups)
    return replace(form, groups=tuple(groups)) if unwritten else form
