"""A form for a record, as a value without HTML: its fields, their kinds, and the current values.

Names are dotted paths as in the file; list items count from 0: `finished_size`, `photos.0.caption`, `destination.is`.
"""

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal, NamedTuple

from collection.problems import Problem

Kind = Literal["quilt", "partner", "request", "collection"]
KINDS: tuple[Kind, ...] = ("quilt", "partner", "request", "collection")

FieldKind = Literal["line", "text", "choice", "several", "several or written", "tick"]
"""line: one line of text. text: several lines. choice: one of `choices`. several: any of them.
several or written: any of them, or other words, all in one row with commas. tick: yes or no, never unknown."""

TICKED = "true"
"""The value of a tick that is set, and of the choice "yes"."""


class Choice(NamedTuple):
    """A value to choose from, its label, and its meaning."""

    value: str
    label: str
    explanation: str = ""


@dataclass(frozen=True, slots=True)
class Field:
    """One field of a form.

    `value` is the value as written in the file; for a tick "true" or "", for several the chosen values, one per line
    (see `chosen`). The value in the file is always among the choices, even if it is wrong; `problem` then says so.
    `warning` is about a value that may be right. The choices of a line or a text are only suggestions.
    `states`: the states of a destination that have this field; empty if it can always be filled in.
    """

    name: str
    label: str
    explanation: str
    kind: FieldKind
    value: str
    choices: tuple[Choice, ...] = ()
    example: str = ""
    required: bool = False
    problem: str = ""
    warning: str = ""
    private: bool = False
    states: tuple[str, ...] = ()
    read_only: bool = False

    @property
    def chosen(self) -> tuple[str, ...]:
        """The chosen values of a field of several."""
        if self.kind == "several or written":
            given = {word.casefold() for word in self._words}
            return tuple(choice.value for choice in self.choices if choice.value.casefold() in given)
        return tuple(self.value.split("\n")) if self.value else ()

    @property
    def written(self) -> str:
        """The words of "several or written" that are not among the choices."""
        offered = {choice.value.casefold() for choice in self.choices}
        return ", ".join(word for word in self._words if word.casefold() not in offered)

    @property
    def _words(self) -> list[str]:
        return [word for word in (word.strip() for word in self.value.split(",")) if word]


@dataclass(frozen=True, slots=True)
class Group:
    """Fields that belong together: a section of the form, a part of the record, a list, or one row of it.

    `name` is the dotted path; a section that is not part of the record has a plain word. In a list (`is_list`) each
    part is a group for one row. The last row is empty: filling it in adds a row, and emptying a row removes it.
    `problem` and `warning` belong to the group, not to one of its fields.
    """

    name: str
    label: str
    explanation: str
    parts: "tuple[Field | Group, ...]"
    is_list: bool = False
    problem: str = ""
    warning: str = ""
    private: bool = False

    def fields(self) -> Iterator[Field]:
        """Each field in it, at any depth."""
        for part in self.parts:
            if isinstance(part, Field):
                yield part
            else:
                yield from part.fields()


@dataclass(frozen=True, slots=True)
class Form:
    """The form of a record. `digest` is that of the file as read; `problems` belong to no single field.

    The form of an unreadable file has no groups.
    """

    kind: Kind
    record_id: str
    title: str
    digest: str
    groups: tuple[Group, ...]
    problems: tuple[Problem, ...] = ()

    def fields(self) -> Iterator[Field]:
        """Each field of the form, in order."""
        for group in self.groups:
            yield from group.fields()


@dataclass(frozen=True, slots=True)
class FilledIn:
    """The file's text with the answers in it, the form that shows it, and all its problems.

    If there is an error among the problems, do not write the text; the form shows the answers nevertheless, and keeps
    the digest of the file as read.
    """

    text: str
    form: Form
    problems: tuple[Problem, ...]

    @property
    def errors(self) -> tuple[Problem, ...]:
        return tuple(problem for problem in self.problems if problem.severity == "error")


def text_digest(text: str) -> str:
    """The digest of a file's text, for detecting changes: read it with its line ends and byte order mark unchanged."""
    return hashlib.sha256(text.encode("utf-8", "surrogateescape")).hexdigest()


def file_of(kind: Kind, record_id: str) -> str:
    """The path of a record's file within a collection.

    >>> file_of("quilt", "low-tide"), file_of("collection", "")
    ('quilts/low-tide.yaml', 'collection.yaml')
    """
    return "collection.yaml" if kind == "collection" else f"{kind}s/{record_id}.yaml"
