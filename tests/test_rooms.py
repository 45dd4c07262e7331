"""What each room may import, and how large rooms and modules may grow."""

import ast
import json
import re
import subprocess
import sys
import tomllib
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
GUIDE = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
MOST_LINES = 500
MOST_LINES_OF_TESTS = 420
MOST_MODULES = 18
PAGES_AND_PICTURES = {
    "site_builder", "jinja2", "cmarkgfm", "nh3", "PIL", "pi_heif", "click", "livereload", "tornado", "typst",
    "xlsxwriter",
}  # fmt: skip
FOR_THE_WORK_ONLY = {
    "jinja2", "cmarkgfm", "nh3", "PIL", "pi_heif", "pydantic", "yaml", "livereload", "tornado",
    "numpy", "scipy", "segno", "typst", "xlsxwriter",
}  # fmt: skip
NAMES_OF_WHAT_WAS_LOADED = """
import atexit, json, sys
atexit.register(lambda: print(json.dumps(sorted(sys.modules)), file=sys.stderr))
from site_builder.cli.main import main
main()
"""


def modules(*packages: str) -> list[Path]:
    return sorted(path for package in packages for path in (ROOT / package).rglob("*.py"))


def within_checkout(path: Path) -> str:
    return path.relative_to(ROOT).as_posix()


def imported_modules(module: Path) -> Iterator[str]:
    """The full name of what every import in the module names, wherever it is."""
    for node in ast.walk(ast.parse(module.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert not node.level, f"{within_checkout(module)}:{node.lineno}: imports are absolute"
            yield from (f"{node.module}.{alias.name}" for alias in node.names)


def imported_packages(module: Path) -> set[str]:
    return {name.partition(".")[0] for name in imported_modules(module)}


def floors() -> dict[str, list[list[str]]]:
    """The floors of each package from the top down, as the guide for developers draws them."""
    drawing = re.search(r"^## Floors$.*?^```$\n(.*?)^```$", GUIDE, re.MULTILINE | re.DOTALL)
    assert drawing, "DEVELOPERS.md draws the floors in a block of its own"
    found: dict[str, list[list[str]]] = {}
    for line in drawing[1].splitlines():
        if line and not line.startswith(" "):
            found[line.split("  ")[0]] = rooms = []
        elif line.strip():
            rooms.append(line.strip().split("  ")[0].split(" | "))
    return found


FLOORS = floors()


def room_of(name: str) -> tuple[str, str]:
    """The package and the room of a module's full name."""
    package, _, rest = name.partition(".")
    return package, rest.partition(".")[0]


def floor_of(room: tuple[str, str]) -> int:
    """How far below the top of its package a room is."""
    package, name = room
    return next(place for place, names in enumerate(FLOORS[package]) if name in names)


@pytest.mark.parametrize("package", FLOORS)
def test_the_guide_puts_every_room_on_one_floor(package):
    drawn = Counter(name for names in FLOORS[package] for name in names)
    code = {
        path.stem
        for path in (ROOT / package).iterdir()
        if (path.suffix == ".py" and path.stem != "__init__") or (path / "__init__.py").exists()
    }
    assert drawn == Counter(code)


@pytest.mark.parametrize("module", modules(*FLOORS), ids=within_checkout)
def test_a_room_imports_only_rooms_on_floors_below(module):
    own = room_of(".".join(module.relative_to(ROOT).with_suffix("").parts))
    upward = [
        name
        for name in imported_modules(module)
        if (room := room_of(name)) != own and room[0] == own[0] and floor_of(room) <= floor_of(own)
    ]
    assert not upward


@pytest.mark.parametrize("module", modules("collection"), ids=within_checkout)
def test_the_collection_knows_no_page_picture_or_command(module):
    assert not imported_packages(module) & PAGES_AND_PICTURES


@pytest.mark.parametrize("module", modules("collection", "site_builder"), ids=within_checkout)
def test_nothing_in_the_program_imports_the_tests_or_the_demo(module):
    assert not imported_packages(module) & {"tests", "demo_collection", "pytest", "hypothesis"}


@pytest.mark.parametrize("package", ["collection", "site_builder"])
def test_the_tests_of_a_module_are_in_a_room_of_the_same_name(package):
    rooms = {path.parent.relative_to(ROOT / "tests").as_posix() for path in modules(f"tests/{package}")}
    assert rooms
    assert [room for room in rooms if not (ROOT / room).is_dir()] == []


def test_no_room_has_more_modules_than_one_takes_in():
    sizes = Counter(path.parent for path in modules("collection", "site_builder") if path.name != "__init__.py")
    assert {within_checkout(room): size for room, size in sizes.items() if size > MOST_MODULES} == {}


@pytest.mark.parametrize(
    ("packages", "most"),
    [(("collection", "site_builder", "demo_collection"), MOST_LINES), (("tests",), MOST_LINES_OF_TESTS)],
    ids=["the program", "tests"],
)
def test_no_module_is_too_long_to_take_in(packages, most):
    lengths = {within_checkout(path): len(path.read_text(encoding="utf-8").splitlines()) for path in modules(*packages)}
    assert lengths
    assert {name: lines for name, lines in lengths.items() if lines > most} == {}


def test_a_package_shows_nothing_of_its_rooms():
    """An `__init__.py` that imports loads pydantic for `--help`."""
    faces = [path for path in modules("collection", "site_builder") if path.name == "__init__.py"]
    assert faces
    assert [within_checkout(face) for face in faces if list(imported_modules(face))] == []


@pytest.mark.parametrize(
    "asked", [["--help"], ["build", "--help"], ["preview", "--help"], ["report", "--help"]], ids=" ".join
)
def test_help_appears_without_loading_what_only_the_work_needs(asked):
    run = subprocess.run(
        [sys.executable, "-c", NAMES_OF_WHAT_WAS_LOADED, *asked],
        cwd=ROOT,
        capture_output=True,
        text=True,
        timeout=300,
        check=False,
    )
    assert run.returncode == 0, run.stderr
    assert "Usage:" in run.stdout
    loaded = {name.partition(".")[0] for name in json.loads(run.stderr)}
    assert "click" in loaded
    assert not loaded & FOR_THE_WORK_ONLY


def test_every_library_has_its_reason_in_the_guide_for_developers():
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    libraries = {
        re.match(r"[\w-]+", requirement)[0]
        for requirement in (*project["dependencies"], *project["optional-dependencies"]["test"])
    }
    _, reasons = GUIDE.split("## Why each library")
    assert libraries
    assert {name for name in libraries if not re.search(rf"\b{name}\b(?!-)", reasons)} == set()


def test_every_path_that_the_guide_names_exists():
    """A path in the guide is one from the top of the checkout, or from one of the two packages."""
    named = set(re.findall(r"`((?:[\w.-]+/)+[\w.-]*|[\w-]+\.py)`", GUIDE))
    assert len(named) > 30
    starts = [ROOT, ROOT / "collection", ROOT / "site_builder"]
    assert [name for name in sorted(named) if not any((start / name).exists() for start in starts)] == []
