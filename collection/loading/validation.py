"""Validates the text of a file: returns a record, or problems that say what would be right."""

import re
from collections.abc import Iterator
from types import UnionType
from typing import Annotated, Any, TypeVar, Union, get_args, get_origin

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from collection.problems import Problem, choices, nearest_word
from collection.quotes import listed, quoted
from collection.records.destinations import TAGS, explain_state
from collection.records.fields import fields_of
from collection.yaml_files.parser import Path, YamlText

Kind = type[BaseModel]
Sound = TypeVar("Sound", bound=BaseModel)


def validate(
    kind: type[Sound], text: YamlText, *, units: str, currency: str | None, **identity: str
) -> tuple[Sound | None, list[Problem]]:
    """A record of the given kind from one file; None and all its problems if it is invalid.

    `identity` comes from the file's name (`id="low-tide"`), and the file may not repeat it. Values that can't be read
    are already reported, and not again here. `currency` is None if the collection names none.
    """
    if () in text.lost:
        return None, []
    if not isinstance(text.data, dict):
        remedy = "Write fields, one to a line: a name, a colon, a space and the value, such as title: Low Tide."
        return None, [text.problem((), text.data, remedy)]
    problems = [
        text.problem((key,), key, f"There is no field {quoted(key)}: the file's name is it. Take this line out.")
        for key in identity
        if key in text.data
    ]
    context = {"units": units, "currency": currency}
    try:
        record = kind.model_validate({**text.data, **identity}, context=context)
    except ValidationError as error:
        return None, problems + _explain(kind, error, text)
    return (None if problems else record), problems


def validate_the_rest(
    kind: type[Sound], text: YamlText, *, units: str, currency: str | None, **identity: str
) -> Sound | None:
    """A record of the valid fields alone, so that the names in it can still be checked.

    None if the valid fields make no record. For checks only, because it is incomplete.
    """
    if not isinstance(text.data, dict) or () in text.lost:
        return None
    data: dict[str, Any] = {**text.data, **identity}
    context = {"units": units, "currency": currency}
    # A part may need the removed field: the next round removes the whole part.
    for _ in range(_DEEPEST_RECORD):
        try:
            return kind.model_validate(data, context=context)
        except ValidationError as error:
            for detail in error.errors(include_url=False):
                path = _path(detail["loc"])
                data = _without(data, path[:-1] if detail["type"] == "missing" else path)
    return None


_DEEPEST_RECORD = 6


def _without(data: Any, path: Path) -> Any:
    """The data without a field; of a list, all is removed, so that no item changes its index."""
    if not isinstance(data, dict) or not path or path[0] not in data:
        return data
    key, *rest = path
    if isinstance(data[key], dict) and rest:
        inner = _without(data[key], tuple(rest))
        if inner is not data[key]:
            return {**data, key: inner}
    return {name: value for name, value in data.items() if name != key}


# Explaining -------------------------------------------------------------------------------------


def _explain(kind: Kind, error: ValidationError, text: YamlText) -> list[Problem]:
    problems = []
    for detail in error.errors(include_url=False):
        path = _path(detail["loc"])
        if detail["type"] == "missing":
            if path not in text.lost:
                problems.append(text.problem(path, None, _missing(kind, detail["loc"])))
            continue
        found = text.value(path)
        if detail["type"] == "too_short" and found:
            # Its items are reported themselves.
            continue
        if detail["type"].startswith("union_tag") and isinstance(found, dict) and "is" in found:
            path, found = (*path, "is"), found["is"]
        shown = found if _is_worth_showing(detail["type"], found) else None
        problems.append(text.problem(path, shown, _remedy(kind, detail, found)))
    # A value that matches none of several types is one problem, not one for each type.
    return list(dict.fromkeys(problems))


def _path(loc: Path) -> Path:
    """The path for a location of pydantic's, without the tags of unions."""
    return (*(step for step in loc[:-1] if step not in TAGS), *loc[-1:])


def _is_worth_showing(error: str, found: object) -> bool:
    """Should the message quote the value? Not if fields contradict each other, nor if the field is unknown."""
    return not (error == "extra_forbidden" or (error == "value_error" and isinstance(found, dict)))


def _missing(kind: Kind, loc: Path) -> str:
    what = _description(kind, loc)
    return f"The field {loc[-1]} is missing here: {what[:1].lower()}{what[1:]}"


_A_BOOLEAN = "Write true or false, or leave it out while it is not known."
_A_WHOLE_NUMBER = "Write a whole number, such as 12."
_A_LIST = "Write a list: one item to a line, each after a dash and a space."

# By pydantic's types of errors: those with a fixed remedy.
_REMEDIES = {
    "bool_type": _A_BOOLEAN,
    "bool_parsing": _A_BOOLEAN,
    "int_type": _A_WHOLE_NUMBER,
    "int_parsing": _A_WHOLE_NUMBER,
    "int_from_float": _A_WHOLE_NUMBER,
    "int_parsing_size": _A_WHOLE_NUMBER,
    "greater_than_equal": "Write a whole number of at least {ge:,}.",
    "less_than_equal": "Write a whole number of at most {le:,}.",
    "string_too_short": "Nothing stands between the quotes. Write it there, or leave the field out.",
    "string_too_long": "This is longer than {max_length:,} characters. Shorten it.",
    "tuple_type": _A_LIST,
    "list_type": _A_LIST,
    "too_short": "The list is empty. Write at least one item.",
}


def _remedy(kind: Kind, detail: ErrorDetails, found: object) -> str:
    context = detail.get("ctx") or {}
    match detail["type"]:
        case "extra_forbidden":
            return _unknown_field(kind, detail["loc"])
        case "value_error":
            return str(context["error"])
        case "literal_error":
            return choices(str(found), re.findall("'([^']*)'", context["expected"]))
        case "union_tag_not_found" | "union_tag_invalid" | "model_attributes_type":
            return explain_state(found)
        case "string_type":
            return _text_needed(found)
        case "model_type" | "dict_type":
            return f"Write fields beneath it, one to a line: {', '.join(_names(_models_at(kind, detail['loc'])))}."
        case other:
            return _REMEDIES[other].format(**context) if other in _REMEDIES else f"{detail['msg']}."


def _text_needed(found: object) -> str:
    match found:
        case bool():
            return f'Text is needed here. If it is the word, put quotes around it: "{str(found).lower()}".'
        case list():
            return "One piece of text is needed here, not a list. If it begins with [, put quotes around it."
        case _:
            return "One piece of text is needed here. If it has a colon in it, put quotes around it."


def _unknown_field(kind: Kind, loc: Path) -> str:
    """The remedy for an unknown field: what was probably meant."""
    name, known = str(loc[-1]), _names(_models_at(kind, loc[:-1]))
    usual = next((field for field in _OFTEN_MEANT.get(name.lower(), ()) if field in known), None)
    hint = _of_another_state(name, loc) or (None if usual else _in_another_place(kind, name, loc, known))
    if not hint:
        near = usual or nearest_word(name.replace(" ", "_"), known) or _only_part(name, known)
        hint = f"Did you mean {near}?" if near else f"Known fields: {', '.join(known)}."
    return f"There is no field {quoted(name)} here. {hint}"


def _of_another_state(name: str, loc: Path) -> str | None:
    if len(loc) < 2 or loc[-2] not in TAGS:
        return None
    states = [tag.strip("()") for tag, model in TAGS.items() if name in fields_of(model)]
    return f"It belongs to a quilt that is {listed(states, 'or')}." if states else None


def _in_another_place(kind: Kind, name: str, loc: Path, known: list[str]) -> str | None:
    if len(loc) > 1:
        is_above = name in fields_of(kind)
        return "It is a field of its own: begin it at the left margin." if is_above else None
    above = [field for field in known if name in _names(_models_at(kind, (field,)))]
    return f"It belongs beneath {above[0]}, further in than that word." if len(above) == 1 else None


# Words that makers often use for fields with another name.
_OFTEN_MEANT: dict[str, tuple[str, ...]] = {
    "charity": ("partner", "to"),
    "cost": ("materials_cost", "amount"),
    "date": ("made", "on", "asked"),
    "deadline": ("needed_by", "due"),
    "description": ("story", "about", "what"),
    "fabric": ("fabric_lines",),
    "fabrics": ("fabric_lines",),
    "length": ("finished_size", "longer_side"),
    "location": ("kept_at",),
    "name": ("title", "file"),
    "number_of_quilts": ("count",),
    "place": ("kept_at",),
    "quantity": ("count",),
    "recipient": ("to",),
    "state": ("destination", "is"),
    "status": ("destination", "is"),
    "title": ("name", "caption"),
    "type": ("kind", "is"),
    "website": ("url",),
    "width": ("finished_size", "shorter_side"),
    "year": ("made", "published", "on"),
}


def _only_part(name: str, known: list[str]) -> str | None:
    """The only field whose name contains this word: `finished_size` for `size`; None if there are several or none."""
    whole = [field for field in known if name.lower() in field.split("_")]
    return whole[0] if len(whole) == 1 else None


# The fields of records ---------------------------------------------------------------------------


def _names(kinds: list[Kind]) -> list[str]:
    return list(dict.fromkeys(name for kind in kinds for name in fields_of(kind)))


def _description(kind: Kind, loc: Path) -> str:
    fields = [fields_of(model).get(str(loc[-1])) for model in _models_at(kind, loc[:-1])]
    return next((field.description or "" for field in fields if field is not None), "")


def _models_at(kind: Kind, loc: Path) -> list[Kind]:
    """The record types that are possible at a location of pydantic's."""
    models = [kind]
    for step in loc:
        if not isinstance(step, str):
            continue
        if step in TAGS:
            models = [TAGS[step]]
        else:
            fields = [fields_of(model).get(step) for model in models]
            models = [found for field in fields if field is not None for found in _models_in(field.annotation)]
    return models


def _models_in(annotation: Any) -> Iterator[Kind]:
    """Each record type in an annotation, including lists and unions."""
    if get_origin(annotation) is Annotated:
        yield from _models_in(get_args(annotation)[0])
    elif get_origin(annotation) in (tuple, list, Union, UnionType):
        for argument in get_args(annotation):
            yield from _models_in(argument)
    elif isinstance(annotation, type) and issubclass(annotation, BaseModel):
        yield annotation
