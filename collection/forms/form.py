"""A form for a record, as a value: what is asked, how, and what the file says so far. It knows no HTML.

Names are dotted paths as the file has them, items of a list counted from 0: `finished_size`,
`photos.0.caption`, `destination.is`.
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
several or written: any of them, or words of one's own, all in one row with commas between. tick: yes or no, and never
unknown."""

TICKED = "true"
"""The value of a tick that is set, and of the choice "yes"."""


class Choice(NamedTuple):
    """One of the values to choose from, what it is called, and what it means."""

    value: str
    label: str
    explanation: str = ""


@dataclass(frozen=True, slots=True)
class Field:
    """One thing that is asked.

    `value` is what the file says, as it is written there; of a tick "true" or "", of several the chosen
    values, one to a line (see `chosen`). What stands in the file is always one of the choices, even where
    it is wrong; `problem` then says so, and `warning` what may be right but deserves a look. The choices of a
    line or a text only make suggestions.
    `states`: the states of a destination that have this field; empty where it always may be filled in.
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
        """The values that are chosen, of several."""
        if self.kind == "several or written":
            given = {word.casefold() for word in self._words}
            return tuple(choice.value for choice in self.choices if choice.value.casefold() in given)
        return tuple(self.value.split("\n")) if self.value else ()

    @property
    def written(self) -> str:
        """Of words that are chosen or written: those that are none of the choices."""
        offered = {choice.value.casefold() for choice in self.choices}
        return ", ".join(word for word in self._words if word.casefold() not in offered)

    @property
    def _words(self) -> list[str]:
        return [word for word in (word.strip() for word in self.value.split(",")) if word]


@dataclass(frozen=True, slots=True)
class Group:
    """Fields that belong together: a section of the form, a part of the record, a list, or one row of it.

    `name` is the dotted path; a section that is no part of the record has a plain word. Of a list
    (`is_list`) the parts are groups, a row each, the last one empty: it adds a row when it is filled in,
    and a row that is emptied whole is taken out. `problem` and `warning` are what no field of the group can be
    blamed for.
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
        """Each field in it, however deep."""
        for part in self.parts:
            if isinstance(part, Field):
                yield part
            else:
                yield from part.fields()


@dataclass(frozen=True, slots=True)
class Form:
    """All that is asked of a record. `digest` is of the file as read; `problems` belong to no field of it.

    A file that can't be read at all gives a form without groups.
    """

    kind: Kind
    record_id: str
    title: str
    digest: str
    groups: tuple[Group, ...]
    problems: tuple[Problem, ...] = ()

    def fields(self) -> Iterator[Field]:
        """Each field of the form, in its order."""
        for group in self.groups:
            yield from group.fields()


@dataclass(frozen=True, slots=True)
class FilledIn:
    """The file's text with the answers in it, the form that shows it, and all that is wrong with it.

    With an error among the problems the text is not to be written; the form shows the answers all the same,
    and its digest is still that of the file as it was read.
    """

    text: str
    form: Form
    problems: tuple[Problem, ...]

    @property
    def errors(self) -> tuple[Problem, ...]:
        return tuple(problem for problem in self.problems if problem.severity == "error")


def text_digest(text: str) -> str:
    """The digest of one state of a file: of its bytes, so read it with its line ends and mark as they are."""
    return hashlib.sha256(text.encode("utf-8", "surrogateescape")).hexdigest()


def file_of(kind: Kind, record_id: str) -> str:
    """Where the record stands in a collection.

    >>> file_of("quilt", "low-tide"), file_of("collection", "")
    ('quilts/low-tide.yaml', 'collection.yaml')
    """
    return "collection.yaml" if kind == "collection" else f"{kind}s/{record_id}.yaml"
