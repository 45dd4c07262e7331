"""The schemas for editors: they take what the program takes, explain every field, and are the same in every run."""

import json
import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import ClassVar

import pytest
import yaml
from jsonschema import Draft7Validator

from collection.loading.json_schemas import schema_texts
from collection.records.settings import Fact

DEMO = Path(__file__).parents[3] / "demo_collection"
SCHEMAS = {name: json.loads(text) for name, text in schema_texts().items()}
RECORDS = {
    DEMO / "collection.yaml": "collection",
    **{path: kind for kind in ("quilt", "partner", "request") for path in sorted((DEMO / f"{kind}s").glob("*.yaml"))},
}


class EditorsLoader(yaml.SafeLoader):
    """YAML as an editor's server reads it: the core schema of 1.2."""

    yaml_implicit_resolvers: ClassVar[dict] = {}


for tag, pattern, first in (
    ("bool", r"true|True|TRUE|false|False|FALSE", "tTfF"),
    ("null", r"~|null|Null|NULL|", ["~", "n", "N", ""]),
    ("int", r"[-+]?[0-9]+", "-+0123456789"),
    ("float", r"[-+]?(\.[0-9]+|[0-9]+(\.[0-9]*)?)([eE][-+]?[0-9]+)?", "-+.0123456789"),
):
    EditorsLoader.add_implicit_resolver(f"tag:yaml.org,2002:{tag}", re.compile(f"(?:{pattern})$"), list(first))


def complaints(kind: str, text: str) -> list[str]:
    value = yaml.load(text, EditorsLoader)
    return [error.message for error in Draft7Validator(SCHEMAS[f"{kind}.schema.json"]).iter_errors(value)]


def records_in(schema: dict) -> Iterator[tuple[str, dict]]:
    yield "", schema
    yield from schema["definitions"].items()


@pytest.mark.parametrize("name", SCHEMAS)
def test_each_is_a_schema_of_draft_7(name):
    assert SCHEMAS[name]["$schema"] == "http://json-schema.org/draft-07/schema#"
    Draft7Validator.check_schema(SCHEMAS[name])


def test_there_is_one_for_each_kind_of_file():
    assert set(SCHEMAS) == {f"{kind}.schema.json" for kind in ("quilt", "partner", "request", "collection")}


@pytest.mark.parametrize(
    ("path", "kind"), RECORDS.items(), ids=lambda value: value.stem if isinstance(value, Path) else ""
)
def test_every_record_of_the_demonstration_fits_its_schema(path, kind):
    assert complaints(kind, path.read_text(encoding="utf-8")) == []


@pytest.mark.parametrize(
    ("kind", "text"),
    [
        ("quilt", "title: 1996"),
        ("quilt", "title: x\nmade:\nphotos:\nstage:\npublic:\ndestination:\nsetting:\ncare: {washed: }"),
        ("quilt", "title: x\nphotos: a.jpg\npattern: Low Tide\nquilting: tied\nfabric_lines: Hay\ncolours: green"),
        ("quilt", "title: x\nphotos: {file: a.jpg}\nloans: {to: Hall}\nmaterials_cost: 84.50\nappraisal: 900"),
        ("quilt", "title: x\nsetting: {blocks: 4 x 5, block: 12, sashing: 1 1/2, borders: 5}"),
        ("quilt", "title: x\ncare: {washed: true, label: false}\nmade: 2016-05-01"),
        ("quilt", "title: x\ncare: {washed: 2026-03}\nnumber: 143"),
        ("quilt", "title: x\ndestination: free"),
        (
            "quilt",
            "title: x\ndestination: {is: donated, to: hill, delivered: 2026}\nhistory: [kept, {is: gifted, on: 2019~}]",
        ),
        ("partner", "name: Hill\nrules: {shorter_side: 36, size: lap, fibre: {top: cotton}}\nacts_for: river-street"),
        ("request", "partner: hill\nlines: {id: laps, count: 6, ideal: 38 x 44, tolerance: 1}"),
        ("collection", "{}"),
        ("collection", "maker: Ardis\npublic: [made, photos]\nsizes: {beds: UK}\nfollow_up_after: 30"),
    ],
)
def test_short_forms_numbers_and_empty_fields_fit(kind, text):
    assert complaints(kind, text) == []


@pytest.mark.parametrize(
    ("kind", "text"),
    [
        ("quilt", "made: 2016"),
        ("quilt", "title:"),
        ("quilt", "title: x\nid: low-tide"),
        ("quilt", "title: x\nfinshed_size: 60 x 72"),
        ("quilt", "title: x\nstage: finnished"),
        ("quilt", "title: x\nnumber: 0"),
        ("quilt", "title: x\nphotos: [{file: a.jpg, shows: rear}]"),
        ("quilt", "title: x\nphotos: [{shows: back}]"),
        ("quilt", "title: x\nquilting: tyed"),
        ("quilt", "title: x\ndestination: donatd"),
        ("quilt", "title: x\ndestination: {to: hill}"),
        ("quilt", "title: x\ndestination: {is: kept, to: hill}"),
        ("quilt", "title: x\nfinished_size: 60"),
        ("quilt", "title: x\ncare: {label: perhaps}"),
        ("quilt", "title: x\nsetting: {blocks: 4 x 5}"),
        ("partner", "kind: charity"),
        ("partner", "name: Hill\nkind: friend"),
        ("partner", "name: Hill\nrules: {colour: red}"),
        ("request", "partner: hill"),
        ("request", "partner: hill\nlines: []"),
        ("request", "partner: hill\nlines: [{id: laps}]"),
        ("collection", "units: inches"),
        ("collection", "public: [storry]"),
        ("collection", "taxes: us"),
    ],
)
def test_what_the_program_refuses_is_marked(kind, text):
    assert complaints(kind, text)


@pytest.mark.parametrize("name", SCHEMAS)
def test_every_field_has_a_title_and_an_explanation_of_its_own(name):
    for record, schema in records_in(SCHEMAS[name]):
        assert schema["title"] and schema["description"], record
        assert schema["additionalProperties"] is False, record
        for field, inner in schema["properties"].items():
            assert inner["title"] == field.replace("_", " ").capitalize(), (record, field)
            assert len(inner["description"]) > 8, (record, field)
            assert inner["description"].endswith((".", "?")), (record, field)


def test_an_editor_can_complete_every_choice():
    quilt = SCHEMAS["quilt.schema.json"]
    stages = quilt["properties"]["stage"]["anyOf"][0]["enum"]
    assert stages == ["piecing", "quilting", "binding", "finished"]
    facts = SCHEMAS["collection.schema.json"]["properties"]["public"]["anyOf"][1]["items"]["enum"]
    assert facts == Fact.__metadata__[-1].json_schema["enum"]
    states = [quilt["definitions"][name]["properties"]["is"] for name in ("Promised", "Gifted", "Donated", "Lost")]
    assert [state["const"] for state in states] == ["promised", "gifted", "donated", "lost"]


def test_no_type_is_named_twice():
    def types(node: object) -> Iterator[list]:
        if isinstance(node, dict):
            if isinstance(node.get("type"), list):
                yield node["type"]
            for inner in node.values():
                yield from types(inner)
        elif isinstance(node, list):
            for inner in node:
                yield from types(inner)

    found = [row for schema in SCHEMAS.values() for row in types(schema)]
    assert found
    assert all(len(row) == len(set(row)) for row in found)


def test_they_are_the_same_in_every_run():
    program = (
        "from collection.loading.json_schemas import schema_texts; print(*schema_texts().values(), sep='', end='')"
    )
    done = [
        subprocess.run(
            [sys.executable, "-c", program], capture_output=True, check=True, timeout=300, env={"PYTHONHASHSEED": seed}
        ).stdout
        for seed in ("1", "2")
    ]
    assert done[0] == done[1] == "".join(schema_texts().values()).encode()


@pytest.mark.parametrize("name", SCHEMAS)
def test_the_ones_beside_the_demonstration_are_current(name):
    there = (DEMO / "schemas" / name).read_text(encoding="utf-8")
    assert there == schema_texts()[name], "Run: counterpane schema demo_collection/schemas"
