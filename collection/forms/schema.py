"""The questions of a record's form, from its model: each field with the kind of answer that it takes."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cache
from types import NoneType, UnionType
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from pydantic import BaseModel, WithJsonSchema
from pydantic.fields import FieldInfo
from pydantic_core import PydanticUndefined

from collection.forms.form import Kind
from collection.forms.labels import EXAMPLES, EXPLANATIONS, LABELS, LONG_TEXTS, OF_A_TABLE
from collection.privacy import PUBLIC
from collection.records.destinations import STATES, TAGS, WORDS
from collection.records.fields import WORDS_IN_A_ROW, Record, ShortForm, fields_of
from collection.records.partner import Partner
from collection.records.quilt import Quilt
from collection.records.request import Request
from collection.records.settings import Settings
from collection.yaml_files.parser import Plain

MODELS: Mapping[Kind, type[Record]] = {"quilt": Quilt, "partner": Partner, "request": Request, "collection": Settings}

FIRST: Mapping[str, tuple[str, ...]] = {"lines": ("id", "count", "priority")}
"""The fields that come first in a part of a record, if the model has another order."""
LAST = ("note", "until", "returned")
FORMER = ("history",)
ENDS = ("until", "returned")
"""The fields for the end of a destination: only former ones have them."""

Takes = Literal[
    "text", "long text", "words", "words of a table", "lines", "one word", "several words", "tick", "yes or no",
    "yes or a date",
]  # fmt: skip
"""words: several in a row, with commas. words of a table: the same, mostly from a table of the collection. lines:
several texts, one per line. one word, several words: from `options`."""


@dataclass(frozen=True, slots=True)
class Question:
    """A field that holds a value. `path` is its path in the model, without row numbers: `photos.caption`.

    `usual` is the default; `states` are the states of a destination that have the field.
    """

    key: str
    path: str
    label: str
    explanation: str
    takes: Takes
    options: tuple[str, ...] = ()
    usual: Plain = None
    example: str = ""
    required: bool = False
    private: bool = False
    states: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Part:
    """A field that holds fields, or a list of such parts (`is_list`). `short` is the field that a single text sets."""

    key: str
    path: str
    label: str
    explanation: str
    parts: "tuple[Question | Part, ...]"
    short: str | None = None
    is_list: bool = False

    @property
    def needs_words(self) -> bool:
        """Whether it has a required field that has to be typed."""
        return any(isinstance(part, Question) and part.required and not part.options for part in self.parts)


@cache
def questions(kind: Kind) -> Mapping[str, Question | Part]:
    """All questions of a record, by field name, in the order of the model."""
    return {part.key: part for part in _parts_of(MODELS[kind], _Place(kind, "", private=False))}


@dataclass(frozen=True, slots=True)
class _Place:
    """The position of a field in a record, and whether all of it is private."""

    kind: Kind
    path: str
    private: bool

    def beneath(self, key: str, *, private: bool) -> "_Place":
        return _Place(self.kind, f"{self.path}.{key}" if self.path else key, self.private or private)

    def wording(self, table: Mapping[str, str], otherwise: str) -> str:
        """The entry in a table for the kind and path, else for the path; `history.to` uses that of `destination.to`."""
        path = self.path.replace("history.", "destination.", 1)
        return table.get(f"{self.kind}:{path}", table.get(path, otherwise))


def _parts_of(model: type[Record], above: _Place) -> Iterator[Question | Part]:
    fields = fields_of(model)
    first = FIRST.get(above.path, ())
    for key in (*first, *(key for key in fields if key not in first)):
        yield _part(model, key, fields[key], above.beneath(key, private=_is_private(model, key)))


def _part(model: type[Record], key: str, field: FieldInfo, place: _Place) -> Question | Part:
    base, marks = _unwrapped(field.annotation, field.metadata)
    path, private = place.path, place.private
    label = place.wording(LABELS, key.replace("_", " ").capitalize())
    explanation = place.wording(EXPLANATIONS, _without_private(field.description or ""))
    is_list = get_origin(base) is tuple
    item, item_marks = _unwrapped(get_args(base)[0], []) if is_list else (base, marks)
    records = [each for each in get_args(item) or (item,) if _is_record(_unwrapped(each, [])[0])]
    if records and not any(isinstance(mark, WithJsonSchema) for mark in item_marks):
        models = [_unwrapped(each, [])[0] for each in records]
        inner = tuple(_parts_of(models[0], place) if len(models) == 1 else _of_states(place))
        return Part(key, path, label, explanation, inner, _short(item_marks), is_list)
    takes, options = _takes(base, item, marks, item_marks, path, optional=_is_optional(field.annotation))
    return Question(
        key,
        path,
        label,
        explanation,
        takes,
        options,
        usual=_usual(field),
        example="" if "such as" in explanation.casefold() else place.wording(EXAMPLES, _example([*marks, *item_marks])),
        required=field.is_required(),
        private=private,
    )


def _of_states(place: _Place) -> Iterator[Question]:
    """The fields of a destination: its state, and the fields of all states."""
    found: dict[str, Question] = {}
    states: dict[str, list[str]] = {}
    for tag, model in TAGS.items():
        for part in _parts_of(model, place):
            assert isinstance(part, Question)  # a destination holds values only
            found.setdefault(part.key, part)
            states.setdefault(part.key, []).extend(WORDS if tag == "(staying)" else [tag.strip("()")])
    state = replace(found.pop("is"), takes="one word", options=tuple(STATES), usual="undecided", required=True)
    yield replace(state, explanation=place.beneath("is", private=False).wording(EXPLANATIONS, ""))
    for key, question in sorted(found.items(), key=lambda each: each[0] in LAST):
        if place.path in FORMER or key not in ENDS:
            yield replace(question, states=tuple(states[key]))


# Annotations ------------------------------------------------------------------------------------


def _unwrapped(annotation: Any, marks: list[Any]) -> tuple[Any, list[Any]]:
    """The type inside `Annotated` and `| None`, and its metadata."""
    while True:
        if get_origin(annotation) is Annotated:
            marks = [*marks, *annotation.__metadata__]
            annotation = get_args(annotation)[0]
        elif _is_optional(annotation) and len(get_args(annotation)) == 2:
            annotation = next(each for each in get_args(annotation) if each is not NoneType)
        else:
            return annotation, marks


def _is_optional(annotation: Any) -> bool:
    return get_origin(annotation) in (Union, UnionType) and NoneType in get_args(annotation)


def _is_record(annotation: Any) -> bool:
    return isinstance(annotation, type) and issubclass(annotation, BaseModel)


def _short(marks: list[Any]) -> str | None:
    """The field that a single text sets, if the type has a short form."""
    for mark in marks:
        if isinstance(mark, ShortForm) and mark.of is str and isinstance(expanded := mark.expand(""), dict):
            return str(next(iter(expanded)))
    return None


def _takes(
    base: Any, item: Any, marks: list[Any], item_marks: list[Any], path: str, *, optional: bool
) -> tuple[Takes, tuple[str, ...]]:
    options = get_args(item) if get_origin(item) is Literal else _enumerated(item_marks)
    if get_origin(base) is tuple:
        if options:
            return "several words", options
        if path in OF_A_TABLE:
            return "words of a table", ()
        return ("words" if WORDS_IN_A_ROW in marks else "lines"), ()
    if options:
        return "one word", options
    if base is bool:
        return ("yes or no" if optional else "tick"), ()
    if bool in get_args(base):
        return "yes or a date", ()
    return ("long text" if path in LONG_TEXTS else "text"), ()


def _schemas(marks: list[Any]) -> Iterator[dict[str, Any]]:
    return (mark.json_schema or {} for mark in marks if isinstance(mark, WithJsonSchema))


def _enumerated(marks: list[Any]) -> tuple[str, ...]:
    return next((tuple(schema["enum"]) for schema in _schemas(marks) if "enum" in schema), ())


def _example(marks: list[Any]) -> str:
    return next((schema["examples"][0] for schema in _schemas(marks) if "examples" in schema), "")


def _usual(field: FieldInfo) -> Plain:
    """The default that a form shows if the file has no value, or None."""
    value = field.default
    if value is PydanticUndefined or value is None:
        return None
    if isinstance(value, tuple):
        return [str(each) for each in value] or None
    return value if isinstance(value, bool | str) else str(value) if isinstance(value, int) else None


def _is_private(model: type[Record], key: str) -> bool:
    """Whether a field can't be published. Fields that control publication are not private."""
    if key in ("public", "measured") or (model in TAGS.values() and key == "is"):
        return False
    if model in TAGS.values():
        return True
    name = next(name for name, field in model.model_fields.items() if (field.alias or name) == key)
    return name not in PUBLIC.get(model, ())


def _without_private(description: str) -> str:
    """The description without the note "Private", which the form shows separately."""
    return description.removesuffix(" Private.").removesuffix(" Private, all of it.")
