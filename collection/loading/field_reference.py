"""Generates the reference of all files and fields from the models: `python -m collection.loading.field_reference`.

A test checks that the README contains exactly this text.
"""

from collections.abc import Iterator
from types import NoneType
from typing import Annotated, Any, Literal, get_args, get_origin

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from collection.records.destinations import TAGS
from collection.records.fields import Identified
from collection.records.partner import Partner, Rules
from collection.records.quilt import Quilt
from collection.records.request import Request, RequestLine
from collection.records.settings import Settings

FILES: tuple[tuple[str, type[BaseModel]], ...] = (
    ("quilts/ID.yaml", Quilt),
    ("partners/ID.yaml", Partner),
    ("requests/ID.yaml", Request),
    ("collection.yaml", Settings),
)
_STATES = tuple(TAGS.values())
_UNDER_OWN_HEADING = (*_STATES, Rules)


def field_reference() -> str:
    """The reference in Markdown: a table for each file, then the rules and the states of a destination."""
    parts = [part for file, kind in FILES for part in (f"#### `{file}`", _table(kind))]
    parts += ["#### Rules, of a partner and of a line of a request", _table(Rules)]
    parts += ["#### A destination, and each entry of a history"]
    parts += [f"`{{is: {_words(state)}, ...}}`\n\n{_table(state)}" for state in _STATES]
    return "\n\n".join(parts) + "\n"


def _words(state: type[BaseModel]) -> str:
    return " | ".join(get_args(state.model_fields["is_"].annotation))


def _table(kind: type[BaseModel]) -> str:
    rows = "\n".join(f"| `{name}` | {meaning} |" for name, meaning in _rows(kind, ""))
    return f"| field | meaning |\n| --- | --- |\n{rows}"


def _rows(kind: type[BaseModel], before: str) -> Iterator[tuple[str, str]]:
    inherited = Rules.model_fields if kind is RequestLine else {}
    for name, field in kind.model_fields.items():
        if name in inherited or (name == "id" and issubclass(kind, Identified)) or name == "is_":
            continue
        shown = before + (field.alias or name)
        yield shown, _meaning(field)
        for inner in _records_in(field.annotation):
            if inner not in _UNDER_OWN_HEADING and inner.__name__ != "Grid":
                yield from _rows(inner, f"{shown}.")


def _meaning(field: FieldInfo) -> str:
    words = [field.description or ""]
    choices = _choices(field.annotation)
    if not all(choice in words[0].lower() for choice in choices):
        words.append(f"One of: {', '.join(choices)}.")
    return " ".join(words).replace("|", "\\|")


def _choices(annotation: Any) -> list[str]:
    if get_origin(annotation) is Literal:
        return [str(choice) for choice in get_args(annotation)]
    return [choice for argument in _arguments(annotation) for choice in _choices(argument)]


def _records_in(annotation: Any) -> list[type[BaseModel]]:
    """The record types in an annotation, each once."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return [annotation]
    return list(dict.fromkeys(r for argument in _arguments(annotation) for r in _records_in(argument)))


def _arguments(annotation: Any) -> tuple[Any, ...]:
    arguments = get_args(annotation)
    if get_origin(annotation) is Annotated:
        arguments = arguments[:1]
    return tuple(each for each in arguments if each not in (NoneType, Ellipsis))


if __name__ == "__main__":
    print(field_reference(), end="")
