"""The README says what the program does: each command, each file, each field, each first step."""

import re
from pathlib import Path

import click
import pytest

from collection.loading.field_reference import FILES, field_reference
from collection.loading.loader import read_collection
from site_builder.cli.main import cli

README = (Path(__file__).parents[1] / "README.md").read_text(encoding="utf-8")


def test_it_holds_the_reference_of_all_fields_word_for_word():
    assert field_reference() in README, "Run: python -m collection.loading.field_reference, and put it into README.md"


@pytest.mark.parametrize("name", sorted(cli.commands))
def test_it_has_a_row_for_each_command_with_each_of_its_options(name):
    row = next((line for line in README.splitlines() if line.startswith(f"| `counterpane {name}")), None)
    assert row, f"no row for counterpane {name}"
    for parameter in cli.commands[name].params:
        if isinstance(parameter, click.Option):
            assert f"`{parameter.opts[0]}" in row, f"{name} {parameter.opts[0]} is not told"


def test_it_tells_of_no_command_that_does_not_exist():
    told = set(re.findall(r"^\| `counterpane ([a-z-]+)", README, re.MULTILINE))
    assert told == set(cli.commands)


def test_its_first_quilt_is_one_that_reads_without_a_problem(tmp_path):
    text = re.search(r"```yaml\n\s+title: Low Tide\n.*?```", README, re.DOTALL).group()
    record = "\n".join(line[3:] for line in text.splitlines()[1:-1])
    (tmp_path / "quilts").mkdir()
    (tmp_path / "photos").mkdir()
    (tmp_path / "photos" / "low-tide.jpg").write_bytes(b"")
    (tmp_path / "quilts" / "low-tide.yaml").write_text(record, encoding="utf-8")
    reading = read_collection(tmp_path)
    assert reading.problems == ()
    assert reading.collection.quilts["low-tide"].made.approximate


def test_it_names_each_kind_of_file():
    for file, kind in FILES:
        assert file in README
