"""A wheel carries everything that the program needs when it runs away from its checkout."""

import shutil
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
ROOMS = ("collection", "site_builder")
NOT_SHIPPED = shutil.ignore_patterns("__pycache__", "*.pyc", ".*")


@pytest.fixture(scope="module")
def unpacked_wheel(tmp_path_factory) -> Path:
    """The wheel's content, built offline from a copy: nothing is written into the checkout."""
    folder = tmp_path_factory.mktemp("wheel")
    source = folder / "source"
    for room in ROOMS:
        shutil.copytree(ROOT / room, source / room, ignore=NOT_SHIPPED)
    for name in ("pyproject.toml", "README.md", "LICENSE"):
        shutil.copy(ROOT / name, source / name)
    offline = ["--no-deps", "--no-build-isolation", "--no-index"]
    run = subprocess.run(
        [sys.executable, "-m", "pip", "wheel", "--quiet", *offline, "--wheel-dir", folder, source],
        capture_output=True,
        text=True,
        timeout=300,
        check=False,
    )
    assert run.returncode == 0, run.stderr
    (wheel,) = folder.glob("counterpane-*.whl")
    zipfile.ZipFile(wheel).extractall(folder / "unpacked")
    return folder / "unpacked"


def files_of_the_program(folder: Path) -> set[Path]:
    everything = (path for room in ROOMS for path in (folder / room).rglob("*"))
    return {path.relative_to(folder) for path in everything if path.is_file()}


def test_every_file_of_the_program_is_in_the_wheel(unpacked_wheel):
    expected = files_of_the_program(unpacked_wheel.parent / "source")
    assert expected
    assert files_of_the_program(unpacked_wheel) == expected


def test_nothing_but_the_program_is_in_the_wheel(unpacked_wheel):
    names = {path.name for path in unpacked_wheel.iterdir()}
    assert {name for name in names if not name.endswith(".dist-info")} == set(ROOMS)


def test_the_licence_travels_with_the_wheel(unpacked_wheel):
    assert list(unpacked_wheel.glob("*.dist-info/licenses/LICENSE"))
