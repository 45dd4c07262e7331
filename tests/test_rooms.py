"""What each room may know, and how large a module may grow."""
import ast
import json
import re
import subprocess
import sys
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
MOST_LINES = 500
PAGES_AND_PICTURES = {
    "site_builder", "jinja2", "cmarkgfm", "nh3", "PIL", "pi_heif", "click", "livereload", "tornado", "typst",
    "xlsxwriter",
}
FOR_THE_WORK_ONLY = {
    "jinja2", "cmarkgfm", "nh3", "PIL", "pi_heif", "pydantic", "yaml", "livereload", "tornado",
    "numpy", "scipy", "segno", "typst", "xlsxwriter",
}
NAMES_OF_WHAT_WAS_LOADED = """
import atexit, json, sys
atexit.register(lambda: print(json.dumps(sorted(sys.modules)), file=sys.stderr))
from site_builder.cli.main import main
main()
"""


def modules(*rooms: str) -> list[Path]:
    return sorted(path for room in rooms for path in (ROOT / room).rglob("*.py"))


def within_checkout(path: Path) -> str:
    return path.relative_to(ROOT).as_posix()


def imported_names(module: Path) -> Iterator[str]:
    """The top-level package of every import in the module, wherever it stands."""
    for node in ast.walk(ast.parse(module.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (alias.name.partition(".")[0] for alias in node.names)
        elif isinstance(node, ast.ImportFrom) and not node.level:
            yield node.module.partition(".")[0]


@pytest.mark.parametrize("module", modules("collection"), ids=within_checkout)
def test_the_collection_knows_no_page_picture_or_command(module):
    assert not set(imported_names(module)) & PAGES_AND_PICTURES


@pytest.mark.parametrize("module", modules("collection", "site_builder"), ids=within_checkout)
def test_nothing_in_the_program_imports_the_tests_or_the_demo(module):
    assert not set(imported_names(module)) & {"tests", "demo_collection", "pytest", "hypothesis"}


def test_no_module_is_too_long_to_take_in():
    lengths = {
        within_checkout(path): len(path.read_text(encoding="utf-8").splitlines())
        for path in modules("collection", "site_builder", "demo_collection", "tests")
    }
    assert lengths
    assert not {name: lines for name, lines in lengths.items() if lines > MOST_LINES}


@pytest.mark.parametrize("asked", [["--help"], ["build", "--help"], ["preview", "--help"], ["report", "--help"]], ids=" ".join)
def test_help_appears_without_loading_what_only_the_work_needs(asked):
    run = subprocess.run(
        [sys.executable, "-c", NAMES_OF_WHAT_WAS_LOADED, *asked],
        cwd=ROOT, capture_output=True, text=True, timeout=300,
    )
    assert run.returncode == 0, run.stderr
    assert "Usage:" in run.stdout
    loaded = {name.partition(".")[0] for name in json.loads(run.stderr)}
    assert "click" in loaded
    assert not loaded & FOR_THE_WORK_ONLY


def test_every_library_has_its_reason_in_the_page_for_developers():
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    libraries = {
        re.match(r"[\w-]+", requirement)[0]
        for requirement in (*project["dependencies"], *project["optional-dependencies"]["test"])
    }
    _, reasons = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8").split("## Why each library")
    assert libraries
    assert {name for name in libraries if not re.search(rf"\b{name}\b(?!-)", reasons)} == set()
