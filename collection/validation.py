"""From the text of a file to a record, or to problems that say what would be right."""

from collections.abc import Iterator
from types import UnionType
from typing import Annotated, Any, TypeVar, Union, get_args, get_origin

from pydantic import BaseModel, ValidationError

from collection.problems import Problem, nearest_word
from collection.records.destinations import explain_state
from collection.records.fields import Identified
from collection.yaml_text import Path, YamlText

Kind = type[BaseModel]
Sound = TypeVar("Sound", bound=BaseModel)


def validate(
    kind: type[Sound], text: YamlText, *, units: str, currency: str, **identity: str
) -> tuple[Sound | None, list[Problem]]:
    """A record of the given kind from one file; None and all its problems when it is not sound.

    `identity` is what the file's name says (`id="low-tide"`) and the file may not repeat.
    """
    if not isinstance(text.data, dict):
        remedy = "Write fields, one to a line, such as title: Low Tide."
        return None, [text.problem((), text.data, remedy)]
    # An empty field is one that is not known yet.
    given = _without_nothing(text.data)
    problems = [
        text.problem((key,), key, "The file's name is the ID. Leave this field out.")
        for key in identity
        if key in given
    ]
    try:
        context = {"units": units, "currency": currency}
        record = kind.model_validate({**given, **identity}, context=context)
    except ValidationError as error:
        return None, problems + _explain(kind, error, text)
    return (None if problems else record), problems


def _without_nothing(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _without_nothing(item) for key, item in value.items() if item is not None}
    if isinstance(value, list):
        return [_without_nothing(item) for item in value if item is not None]
    return value


def _explain(kind: Kind, error: ValidationError, text: YamlText) -> list[Problem]:
    problems = []
    for detail in error.errors(include_url=False):
        path = _path_in_file(detail["loc"], text)
        problems.append(text.problem(path, _found(detail, path), _remedy(kind, detail, path)))
    # A value that could be one of several types is told once, not once for each type.
    return list(dict.fromkeys(problems))


def _path_in_file(loc: Path, text: YamlText) -> Path:
    """pydantic's location less its own pseudo-steps (tags of a union), as far as the file goes."""
    path: Path = ()
    for step in loc:
        if (*path, step) in text.lines:
            path = (*path, step)
        elif step == loc[-1] and isinstance(step, str) and not step.startswith("function-"):
            return (*path, step) if "[" not in step else path
    return path


def _found(detail: dict[str, Any], path: Path) -> object:
    if detail["type"] == "missing":
        return None
    if detail["type"] == "extra_forbidden":
        return path[-1] if path else None
    if detail["type"] == "value_error" and isinstance(detail["input"], dict):
        return None
    return detail["input"]


def _remedy(kind: Kind, detail: dict[str, Any], path: Path) -> str:
    context = detail.get("ctx") or {}
    found = detail["input"]
    match detail["type"]:
        case "missing":
            return f"{path[-1]} is missing here. {_description(kind, detail['loc'])}".strip()
        case "extra_forbidden":
            return _unknown_key(str(path[-1]), _known_keys(kind, detail["loc"][:-1]))
        case "value_error":
            return str(context["error"])
        case "literal_error":
            return _choose(found, context["expected"])
        case "union_tag_not_found" | "union_tag_invalid":
            return explain_state(found)
        case "bool_type" | "bool_parsing":
            return "Write true or false."
        case "int_type" | "int_parsing" | "int_from_float" | "int_parsing_size":
            return "Write a whole number."
        case "greater_than_equal" | "less_than_equal":
            word = "least" if "ge" in context else "most"
            return f"Write a whole number of at {word} {context.get('ge', context.get('le'))}."
        case "string_type":
            return 'Write text. If it is the word true or false, put quotes around it: "true".'
        case "string_too_short":
            return "Nothing is written here. Write it, or leave the field out."
        case "string_too_long":
            return f"This is longer than {context['max_length']:,} characters. Shorten it."
        case "string_pattern_mismatch":
            return f"This is not of the form needed. {_description(kind, detail['loc'])}"
        case "tuple_type" | "list_type":
            return "Write a list: one item to a line, each after a dash."
        case "too_short":
            return "The list is empty. Write at least one item."
        case "model_type" | "model_attributes_type" | "dict_type":
            keys = _known_keys(kind, detail["loc"])
            return f"Write fields beneath it: {', '.join(keys)}." if keys else "Write fields beneath it."
        case _:
            return detail["msg"] + "."


def _choose(found: object, expected: str) -> str:
    choices = expected.replace("'", "").replace(" or ", ", ").split(", ")
    near = nearest_word(found, choices) if isinstance(found, str) else None
    hint = f"Did you mean {near}? " if near else ""
    return f"{hint}Write one of: {', '.join(choices)}."


def _unknown_key(key: str, known: list[str]) -> str:
    near = nearest_word(key.replace(" ", "_"), known)
    if near:
        return f"There is no field {key}. Did you mean {near}?"
    return f"There is no field {key} here. Known fields: {', '.join(known)}."


def _known_keys(kind: Kind, loc: Path) -> list[str]:
    """The fields of the record that stands at a location, as the file writes them."""
    return [name for model in _models_at(kind, loc) for name in _fields(model)]


def _fields(model: Kind) -> dict[str, Any]:
    """A record's fields by the names that a file uses; an ID that is the file's name is not one."""
    hidden = {"id"} if issubclass(model, Identified) else set()
    return {
        field.alias or name: field
        for name, field in model.model_fields.items()
        if name not in hidden
    }


def _description(kind: Kind, loc: Path) -> str:
    for model in _models_at(kind, loc[:-1]):
        field = _fields(model).get(str(loc[-1]))
        if field is not None:
            return field.description or ""
    return ""


def _models_at(kind: Kind, loc: Path) -> list[Kind]:
    """The record types that may stand at one of pydantic's locations."""
    models = [kind]
    for step in loc:
        if isinstance(step, int):
            continue
        inner = [
            found
            for model in models
            if (field := _fields(model).get(step)) is not None
            for found in _models_in(field.annotation)
        ]
        # A step that is no field is the tag of a union: the name of one of its types.
        models = inner or [model for model in models if model.__name__.lower() == step] or models
    return models


def _models_in(annotation: Any) -> Iterator[Kind]:
    """Each record type that an annotation may hold, however deep it lies in lists and unions."""
    if get_origin(annotation) is Annotated:
        yield from _models_in(get_args(annotation)[0])
    elif get_origin(annotation) in (tuple, list, Union, UnionType):
        for argument in get_args(annotation):
            yield from _models_in(argument)
    elif isinstance(annotation, type) and issubclass(annotation, BaseModel):
        yield annotation
