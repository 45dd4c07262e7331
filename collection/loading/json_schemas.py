"""JSON Schemas of the four kinds of file, so that editors complete, explain and check fields.

They use draft 7, which every language server for YAML supports.
"""

import json
import re
from typing import Any

from collection.records.fields import Identified, Record
from collection.records.partner import Partner
from collection.records.quilt import Quilt
from collection.records.request import Request
from collection.records.settings import Settings

Schema = dict[str, Any]

_NOTHING = {"type": "null"}
_DRAFT = "http://json-schema.org/draft-07/schema#"
_FILES: dict[str, tuple[type[Record], str]] = {
    "quilt.schema.json": (Quilt, "A quilt"),
    "partner.schema.json": (Partner, "A charity or a go-between"),
    "request.schema.json": (Request, "A request"),
    "collection.schema.json": (Settings, "Settings of the collection"),
}


def schema_texts() -> dict[str, str]:
    """The text of each schema by its file name.

    An empty field is valid wherever it may be left out, and a number wherever text is: a title may be 1996.
    """
    return {
        name: json.dumps(_schema(kind, title), ensure_ascii=False, indent=2) + "\n"
        for name, (kind, title) in _FILES.items()
    }


def _schema(kind: type[Record], title: str) -> Schema:
    made = kind.model_json_schema(by_alias=True)
    parts = made.get("$defs", {})
    whole = _record(made, parts)
    if issubclass(kind, Identified):
        del whole["properties"]["id"]
        whole["required"].remove("id")
    definitions = {name: _record(part, parts) for name, part in sorted(parts.items())}
    return {"$schema": _DRAFT, **whole, "title": title, "definitions": definitions}


def _record(made: Schema, parts: dict[str, Schema]) -> Schema:
    required = list(made.get("required", []))
    if "is" in made["properties"] and "is" not in required:
        # This field shows an editor which state it is, even if it has only one possible value.
        required.append("is")
    return {
        "title": " ".join(re.findall("[A-Z][a-z]*", made["title"])).capitalize(),
        "description": made["description"],
        "type": "object",
        "properties": {
            name: _field(name, field, parts, may_be_empty=name not in required)
            for name, field in made["properties"].items()
        },
        "required": required,
        "additionalProperties": False,
    }


def _field(name: str, made: Schema, parts: dict[str, Schema], *, may_be_empty: bool) -> Schema:
    # A field without a description gets the description of its record.
    part = parts.get(made.get("$ref", "").rpartition("/")[2], {})
    explanation = made.get("description", part.get("description", ""))
    head = {"title": name.replace("_", " ").capitalize(), "description": explanation}
    value = _value(made)
    value.pop("description", None)
    if may_be_empty:
        value = _any_of([value, _NOTHING])
    # An editor can't use a default that is a record or a list.
    default = {"default": made["default"]} if isinstance(made.get("default"), str | bool | int) else {}
    return head | value | default


def _value(made: Schema) -> Schema:
    """The schema of a field's value, with references as in draft 7 and choices as one flat list."""
    if (reference := made.get("$ref")) is not None:
        return {"$ref": reference.replace("#/$defs/", "#/definitions/")}
    value = {key: inner for key, inner in made.items() if key not in ("title", "default", "discriminator")}
    if "items" in value:
        value["items"] = _value(value["items"])
    choices = value.pop("anyOf", None) or value.pop("oneOf", None)
    return value | _any_of([_value(choice) for choice in choices]) if choices else value


def _any_of(choices: list[Schema]) -> Schema:
    """Combine schemas into one without repetitions; null is merged into a plain type, or comes last."""
    flat: list[Schema] = [each for choice in choices for each in choice.get("anyOf", [choice])]
    row = [choice for at, choice in enumerate(flat) if choice != _NOTHING and choice not in flat[:at]]
    if _NOTHING not in flat:
        return {"anyOf": row} if len(row) > 1 else row[0]
    if len(row) == 1 and "type" in row[0] and not {"enum", "items"} & set(row[0]):
        types = row[0]["type"]
        types = [types] if isinstance(types, str) else types
        return row[0] | {"type": list(dict.fromkeys([*types, "null"]))}
    return {"anyOf": [*row, _NOTHING]}
