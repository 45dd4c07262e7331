"""Nothing has changed only if nothing has: neither records, nor program, nor what is asked, nor what was made."""

import json
import os
import time
from datetime import date
from pathlib import Path

import pytest

from collection.storage.sealed_files import write_sealed
from site_builder.building.build import build
from site_builder.incremental import manifest
from site_builder.incremental.cache_folder import cache_of
from site_builder.incremental.up_to_date import report_if_up_to_date
from tests.support.own_folders import notes_of

ON = date(2026, 10, 20)
BOTH = ("catalogue", "binder")


def later() -> int:
    return time.time_ns() + 10**11


@pytest.fixture
def collection(tmp_path, write_collection, a_photo) -> Path:
    folder = write_collection(
        tmp_path / "collection",
        {
            "quilts/ebb.yaml": "title: Ebb\nphotos: [ebb.jpg]\n",
            "partners/nell.yaml": "name: Nell\n",
            "pages/about.md": "Made by hand.\n",
        },
    )
    a_photo(folder / "photos/ebb.jpg", size=(40, 30))
    return folder


@pytest.fixture
def output(collection, tmp_path) -> Path:
    build(collection, tmp_path / "output", on=ON, clock=later)
    return tmp_path / "output"


def found(collection: Path, output: Path, **other):
    return report_if_up_to_date(collection, output, **({"on": ON, "editions": BOTH, "clock": later} | other))


def test_what_is_told_is_what_the_build_told(collection, output):
    again = found(collection, output)
    assert (again.quilts, again.pictures, again.editions) == (1, 1, (output / "catalogue", output / "binder"))
    assert again.pages == sum(1 for name in BOTH for _ in (output / name).rglob("*.html"))
    assert again.left_alone and again.changed == 0


@pytest.mark.parametrize("name", ["quilts/ebb.yaml", "partners/nell.yaml", "pages/about.md", "photos/ebb.jpg"])
@pytest.mark.parametrize(
    "change",
    [Path.touch, Path.unlink, lambda path: path.rename(path.with_name("x" + path.name))],
    ids=["touched", "gone", "renamed"],
)
def test_a_file_that_was_touched_is_gone_or_is_called_otherwise_is_a_change(collection, output, name, change):
    change(collection / name)
    assert found(collection, output) is None


@pytest.mark.parametrize(
    "name", ["collection.yaml", "quilts/flood.yaml", "photos/deep/new.jpg", "requests/cots.yaml", "quilt"]
)
def test_a_new_file_is_a_change(collection, output, name):
    (collection / name).parent.mkdir(exist_ok=True)
    (collection / name).touch()
    assert found(collection, output) is None


@pytest.mark.parametrize(
    "name", ["catalogue/index.html", "binder/quilts/ebb.html", "catalogue/assets/icon.svg", "binder/wall/words.js"]
)
@pytest.mark.parametrize(
    "change",
    [Path.touch, Path.unlink, lambda path: os.link(path, path.parents[2] / "link")],
    ids=["touched", "gone", "linked"],
)
def test_a_made_file_that_is_no_more_as_it_was_left_is_a_change(collection, output, name, change):
    change(output / name)
    assert found(collection, output) is None


def test_what_was_put_into_an_edition_is_a_change(collection, output):
    (output / "binder/more").mkdir()
    assert found(collection, output) is None


def test_another_day_counts_for_the_binder_alone(collection, output):
    assert found(collection, output, on=date(2026, 10, 21)) is None
    assert found(collection, output, on=date(2026, 10, 21), editions=("catalogue",))


def test_another_program_is_a_change(collection, output, monkeypatch):
    monkeypatch.setattr("site_builder.incremental.manifest.program_fingerprint", lambda: "another")
    assert found(collection, output) is None


def test_the_same_records_elsewhere_are_another_collection(collection, output):
    collection.rename(collection.with_name("elsewhere"))
    assert found(collection.with_name("elsewhere"), output) is None


def test_an_edition_from_an_earlier_state_is_not_as_it_would_be_built(collection, output):
    (collection / "quilts/ebb.yaml").write_text("title: Another\n")
    build(collection, output, on=ON, editions=("catalogue",), clock=later)
    assert found(collection, output, editions=("catalogue",))
    assert found(collection, output) is None


def test_of_a_file_that_was_just_written_the_content_decides(collection, output):
    (collection / "quilts/ebb.yaml").write_text("title: Ebb\n")
    (collection / "photos/ebb.jpg").unlink()
    build(collection, output, on=ON)  # by a clock that shows the file to be new
    assert found(collection, output, clock=time.time_ns)
    notes = manifest.BuildNotes(cache_of(collection), collection, output, manifest.program_fingerprint())
    assert not notes.read_seen().settled["quilts/ebb.yaml"]
    assert found(collection, output)
    assert notes.read_seen().settled["quilts/ebb.yaml"]


def test_a_photo_that_could_not_be_shown_is_looked_at_again(collection, output):
    (collection / "photos/ebb.jpg").write_bytes(b"no picture")
    assert build(collection, output, on=ON, clock=later).warnings
    assert found(collection, output) is None


def test_warnings_are_told_again_and_stop_a_strict_build(collection, output):
    (collection / "photos/ebb.jpg").unlink()
    warnings = build(collection, output, on=ON, clock=later).warnings
    assert warnings
    assert found(collection, output).warnings == warnings
    assert found(collection, output, strict=True) is None


def test_a_change_that_was_interrupted_is_finished_first(collection, output):
    (collection / ".counterpane/unfinished").mkdir(parents=True)
    assert found(collection, output) is None


@pytest.mark.parametrize("name", ["seen", "binder"])
@pytest.mark.parametrize("content", [b"", b"[]", b"[1, 2, 3]", b"\xff", b'[1, "x", {}]', None])
def test_notes_that_cannot_be_read_are_as_good_as_none(collection, output, name, content):
    notes = notes_of(collection, output, name)
    notes.unlink() if content is None else notes.write_bytes(content)
    assert found(collection, output) is None
    assert build(collection, output, on=ON, clock=later).pages
    assert found(collection, output)


@pytest.mark.parametrize("name", ["seen", "binder"])
@pytest.mark.parametrize("head", [{"left": 7}, [], 7, None])
@pytest.mark.parametrize("more", [None, 7, [[]], {"index.html": 7}])
def test_notes_of_another_shape_by_the_same_program_are_as_good_as_none(collection, output, name, head, more):
    """Under a seal that fits: as a mistake of ours would write them."""
    notes, page = notes_of(collection, output, name), output / "binder/quilts/ebb.html"
    lines = json.dumps([manifest.VERSION, manifest.program_fingerprint(), head]), json.dumps(more)
    of_output = f" {os.path.realpath(output)}" if name == "binder" else ""
    write_sealed(notes, os.path.realpath(collection) + of_output, "\n".join(lines).encode())
    page.write_text("another")
    assert found(collection, output) is None
    (collection / "quilts/ebb.yaml").write_text("title: Ebb\nphotos: [ebb.jpg]\nkept_at: Attic\n")
    build(collection, output, on=ON, clock=later)
    assert "Attic" in page.read_text()
    assert found(collection, output)


def test_what_stands_for_an_edition_is_told_from_its_stamps_as_from_its_folder(output):
    place = output / "binder"
    (place / "a name\nwith odd signs\u2003in it").touch()
    (place / "leads away").symlink_to(output)
    assert manifest.fingerprint_of_output(manifest.files_in(place)) == manifest.output_fingerprint(place)
    assert manifest.output_fingerprint(output / "nowhere") == ""


def test_a_day_on_which_something_recorded_has_happened_is_a_change_of_both_editions(collection, output):
    (collection / "quilts/ebb.yaml").write_text(
        "title: Ebb\nphotos: [ebb.jpg]\ndestination: {is: gifted, on: 2026-12-19}\n"
    )
    before, after, still = date(2026, 12, 18), date(2026, 12, 19), date(2027, 1, 5)
    build(collection, output, on=before, clock=later)
    page = output / "catalogue/quilts/ebb.html"
    assert "A gift" not in page.read_text()
    assert found(collection, output, on=before) is not None
    assert found(collection, output, on=after, editions=("catalogue",)) is None
    build(collection, output, on=after, clock=later)
    assert "A gift" in page.read_text()
    assert found(collection, output, on=still, editions=("catalogue",)) is not None
    assert found(collection, output, on=before, editions=("catalogue",)) is None
    assert found(collection, output, on=still, editions=("binder",)) is None
