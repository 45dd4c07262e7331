"""What a run of the program loads: nothing that what is asked for has no use for."""

import json
import subprocess
import sys
from importlib.util import find_spec
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
RUN = """
import atexit, json, sys
atexit.register(lambda: print("loaded", json.dumps(sorted(sys.modules)), file=sys.stderr))
from site_builder.cli.main import main
main()
"""
# Libraries, and what of Python itself takes long to load, that no build has use for where no photo is new, no plan
# is to be made and nothing is misspelt.
NOT_WITHOUT_NEED = {
    "PIL.Image", "asyncio", "concurrent.futures", "difflib", "http", "livereload", "multiprocessing", "numpy", "pi_heif",
    "python_calamine", "scipy", "segno", "sqlite3", "ssl", "tornado", "typst", "xlsxwriter",
}  # fmt: skip
# The same of our own rooms: what writes records, explains syntax errors, or serves other commands.
ROOMS_NOT_WITHOUT_NEED = {
    "collection.forms", "collection.loading.field_reference", "collection.loading.json_schemas", "collection.matching.match",
    "collection.matching.solver", "collection.spreadsheet_import", "collection.storage.change_log",
    "collection.storage.transaction", "collection.storage.undo", "collection.transfers.transfers", "collection.yaml_files.parse_errors",
    "collection.yaml_files.writer", "site_builder.desk", "site_builder.documents.typesetting", "site_builder.images.decode",
    "site_builder.images.detection.colours", "site_builder.images.encode", "site_builder.photo_import", "site_builder.preview",
}  # fmt: skip
# Nor does a run that only finds that nothing has changed need what reads, makes and writes.
NOT_WHERE_NOTHING_CHANGED = {
    "PIL", "collection.loading", "collection.records", "fractions", "jinja2", "cmarkgfm", "nh3", "pickle", "pydantic",
    "site_builder.building.build", "site_builder.pages", "site_builder.rendering", "yaml",
}  # fmt: skip


@pytest.fixture
def run(tmp_path, write_collection):
    """Builds a small collection without photos, and returns what was said and the names of all that was loaded."""
    folder = write_collection(
        tmp_path / "collection",
        {
            "collection.yaml": "title: Tides\nprices: {top: 12}\n",
            "quilts/ebb.yaml": "title: Ebb\nmade: 2016\nfinished_size: 60 x 70\nstory: At *low* water.\n",
            "quilts/flood.yaml": "title: Flood\ndestination: {is: donated, to: nell, delivered: 2020}\n",
            "partners/nell.yaml": "name: Nell\n",
            "pages/about.md": "Made by hand.\n",
        },
    )

    def build() -> tuple[str, set[str]]:
        words = ["build", str(folder), "--output", str(tmp_path / "output"), "--on", "2026-10-20"]
        done = subprocess.run(
            [sys.executable, "-c", RUN, *words], cwd=ROOT, capture_output=True, text=True, timeout=300, check=False
        )
        assert done.returncode == 0, done.stderr
        said, _, loaded = done.stderr.rpartition("loaded ")
        return said, set(json.loads(loaded))

    build.folder = folder
    return build


def within(loaded: set[str], names: set[str]) -> list[str]:
    """What of these was loaded, or lies below one of them."""
    return sorted(name for name in loaded if any(name == each or name.startswith(f"{each}.") for each in names))


def test_every_module_that_is_watched_exists():
    names = NOT_WITHOUT_NEED | ROOMS_NOT_WITHOUT_NEED | NOT_WHERE_NOTHING_CHANGED
    assert [name for name in names if find_spec(name) is None] == []


def test_a_build_without_photos_and_plans_loads_what_it_needs_and_no_more(run):
    run()
    quilt = run.folder / "quilts/ebb.yaml"
    quilt.write_text(quilt.read_text() + "kept_at: Attic\n")
    said, loaded = run()
    assert "pages changed" in said
    assert {"pydantic", "yaml", "jinja2"} <= loaded
    assert not within(loaded, NOT_WITHOUT_NEED | ROOMS_NOT_WITHOUT_NEED)


def test_that_nothing_changed_is_found_before_anything_is_loaded_that_a_build_needs(run):
    run()
    said, loaded = run()
    assert said.startswith("Nothing changed")
    assert not within(loaded, NOT_WITHOUT_NEED | ROOMS_NOT_WITHOUT_NEED | NOT_WHERE_NOTHING_CHANGED)
