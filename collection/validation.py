"""From the text of a file to a record, or to problems that say what would be right."""

import re
from collections.abc import Iterator
from types import UnionType
from typing import Annotated, Any, TypeVar, Union, get_args, get_origin

from pydantic import BaseModel, ValidationError

from collection.as_written import as_written
from collection.problems import Problem, choices, nearest_word
from collection.records.destinations import TAGS, explain_state
from collection.records.fields import fields_of
from collection.yaml_text import Path, YamlText

Kind = type[BaseModel]
Sound = TypeVar("Sound", bound=BaseModel)


def validate(
    kind: type[Sound], text: YamlText, *, units: str, currency: str | None, **identity: str
) -> tuple[Sound | None, list[Problem]]:
    """A record of the given kind from one file; None and all its problems when it is not sound.

    `identity` is what the file's name says (`id="low-tide"`) and the file may not repeat. Of what could not
    be read, which was told, nothing more is said. `currency` is None where the collection does not name one.
    """
    if () in text.lost:
        return None, []
    if not isinstance(text.data, dict):
        remedy = "Write fields, one to a line: a name, a colon, a space and the value, such as title: Low Tide."
        return None, [text.problem((), text.data, remedy)]
    problems = [
        text.problem((key,), key, f"There is no field {as_written(key)}: the file's name is it. Take this line out.")
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
    """The record without the fields that are not sound, so that what it names can be looked up all the same.

    None when nothing whole is left. It stands in for no record: it lacks what the file says.
    """
    if not isinstance(text.data, dict) or () in text.lost:
        return None
    data: dict[str, Any] = {**text.data, **identity}
    context = {"units": units, "currency": currency}
    # Taking a field out may leave a part without what it needs, which is then taken out as a whole.
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
    """The data less a field; of a list, all of it, as its other items may not change their places."""
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
            # Its items are told; none of them was counted.
            continue
        if detail["type"].startswith("union_tag") and isinstance(found, dict) and "is" in found:
            path, found = (*path, "is"), found["is"]
        shown = found if _is_worth_showing(detail["type"], found) else None
        problems.append(text.problem(path, shown, _remedy(kind, detail, path, found)))
    # A value that could be one of several types is told once, not once for each type.
    return list(dict.fromkeys(problems))


def _path(loc: Path) -> Path:
    """pydantic's location less the tags of its unions."""
    return (*(step for step in loc[:-1] if step not in TAGS), *loc[-1:])


def _is_worth_showing(error: str, found: object) -> bool:
    """Fields are not repeated where they are at odds with each other, nor what stands under an unknown name."""
    return not (error == "extra_forbidden" or (error == "value_error" and isinstance(found, dict)))


def _missing(kind: Kind, loc: Path) -> str:
    what = _description(kind, loc)
    return f"The field {loc[-1]} is missing here: {what[:1].lower()}{what[1:]}"


def _remedy(kind: Kind, detail: dict[str, Any], path: Path, found: object) -> str:
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
        case "bool_type" | "bool_parsing":
            return "Write true or false, or leave it out while it is not known."
        case "int_type" | "int_parsing" | "int_from_float" | "int_parsing_size":
            return "Write a whole number, such as 12."
        case "greater_than_equal" | "less_than_equal":
            bound, number = next(iter(context.items()))
            return f"Write a whole number of at {'least' if bound == 'ge' else 'most'} {number:,}."
        case "string_type":
            return _text_needed(found)
        case "string_too_short":
            return "Nothing stands between the quotes. Write it there, or leave the field out."
        case "string_too_long":
            return f"This is longer than {context['max_length']:,} characters. Shorten it."
        case "tuple_type" | "list_type":
            return "Write a list: one item to a line, each after a dash and a space."
        case "too_short":
            return "The list is empty. Write at least one item."
        case "model_type" | "dict_type":
            return f"Write fields beneath it, one to a line: {', '.join(_names(_models_at(kind, detail['loc'])))}."
        case _:
            return f"{detail['msg']}."


def _text_needed(found: object) -> str:
    match found:
        case bool():
            return f'Text is needed here. If it is the word, put quotes around it: "{str(found).lower()}".'
        case list():
            return "One piece of text is needed here, not a list. If it begins with [, put quotes around it."
        case _:
            return "One piece of text is needed here. If it has a colon in it, put quotes around it."


def _unknown_field(kind: Kind, loc: Path) -> str:
    """What a field was meant to be: misspelt, in the wrong place, or nothing known."""
    name, here = str(loc[-1]), _models_at(kind, loc[:-1])
    known = _names(here)
    said = f"There is no field {as_written(name)} here."
    if loc[-2:-1] and loc[-2] in TAGS:
        states = [str(tag).strip("()") for tag, model in TAGS.items() if name in fields_of(model)]
        if states:
            return f"{said} It belongs to a quilt that is {_or(states)}."
    near = next((field for field in _OFTEN_MEANT.get(name.lower(), ()) if field in known), None)
    if not near and len(loc) > 1 and name in fields_of(kind):
        return f"{said} It is a field of its own: begin it at the left margin."
    if not near and len(loc) == 1:
        above = [field for field in known if name in _names(_models_at(kind, (field,)))]
        if len(above) == 1:
            return f"{said} It belongs beneath {above[0]}, further in than that word."
    near = near or nearest_word(name.replace(" ", "_"), known) or _only_part(name, known)
    if near:
        return f"{said} Did you mean {near}?"
    return f"{said} Known fields: {', '.join(known)}."


# Words that makers have for what a field is called here.
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


def _or(words: list[str]) -> str:
    return " or ".join([", ".join(words[:-1])] * (len(words) > 1) + words[-1:])


def _only_part(name: str, known: list[str]) -> str | None:
    """The one field whose name has this one in it: `size` for `finished_size`."""
    whole = [field for field in known if name.lower() in field.split("_")]
    return whole[0] if len(whole) == 1 else None


# What may stand where ---------------------------------------------------------------------------


def _names(kinds: list[Kind]) -> list[str]:
    return list(dict.fromkeys(name for kind in kinds for name in fields_of(kind)))


def _description(kind: Kind, loc: Path) -> str:
    fields = [fields_of(model).get(str(loc[-1])) for model in _models_at(kind, loc[:-1])]
    return next((field.description or "" for field in fields if field is not None), "")


def _models_at(kind: Kind, loc: Path) -> list[Kind]:
    """The record types that may stand at one of pydantic's locations."""
    models = [kind]
    for step in loc:
        if step in TAGS:
            models = [TAGS[step]]
        elif isinstance(step, str):
            fields = [fields_of(model).get(step) for model in models]
            models = [found for field in fields if field is not None for found in _models_in(field.annotation)]
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
