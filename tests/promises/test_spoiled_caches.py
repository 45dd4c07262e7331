"""What a build, a change or a taking-in remembers may be spoiled or gone: the next run does without it, or tells it."""

import json
import os
import shutil
import time
from datetime import date, datetime
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from collection.loading.loader import read_collection
from collection.problems import CollectionProblems
from collection.storage.transaction import FileChanges, LogEntry
from collection.storage.undo import change_log, prepare_undo
from site_builder.building.build import build
from site_builder.incremental.cache_folder import README, cache_of
from tests.support.mutations import changed_bytes, inputs, spoiled
from tests.support.own_folders import build_afresh, kept_files

DAY, NOON = date(2026, 5, 12), datetime(2026, 5, 12, 12)


def pages_of(output: Path) -> dict[str, bytes]:
    return {
        path.relative_to(output).as_posix(): path.read_bytes()
        for name in ("catalogue", "binder")
        for path in (output / name).rglob("*")
        if path.is_file()
    }


QUILT = "title: Quilt 1\nphotos: [front.png, {file: label.png, public: false}]\nkept_at: Attic\n"
STATES = {
    "as it was": QUILT,
    "with another title": QUILT.replace("Quilt 1", "Another"),
    "hidden": f"{QUILT}public: false\n",
}


@pytest.fixture(scope="module")
def built(tmp_path_factory):
    """A collection with two changes in its log, and what was built of it; and what is built afresh in each state."""
    place = tmp_path_factory.mktemp("remembered")
    records = place / "records"
    for name in ("quilts", "photos"):
        (records / name).mkdir(parents=True)
    (records / "partners").mkdir()
    (records / "partners/nell.yaml").write_text("name: Nell\n")
    (records / "quilts/quilt-0.yaml").write_text("title: Quilt 0\n")
    (records / "quilts/quilt-2.yaml").write_text("title: Quilt 2\npublic: false\nnotes: Nobody knows.\n")
    for number, name in enumerate(("front", "label")):
        Image.new("RGB", (30 + number, 40), (200, 80 * number, 90)).save(records / f"photos/{name}.png")
    for title in ("One", "Two"):
        changes, path = FileChanges(records), records / "quilts/quilt-0.yaml"
        changes.add("quilts/quilt-0.yaml", path.read_bytes(), f"title: {title}\n".encode())
        changes.commit(LogEntry(f"Now {title}", NOON, "desk"))
    afresh = {}
    for state, text in reversed(STATES.items()):
        (records / "quilts/quilt-1.yaml").write_text(text)
        build_afresh(records, place / "afresh", on=DAY)
        afresh[state] = pages_of(place / "afresh")
    build(records, place / "output", on=DAY, clock=LATER)
    shutil.copytree(records, place / "whole-records")
    return place, afresh


def LATER() -> int:
    """When the time of each file proves something."""
    return time.time_ns() + 10**11


def restore(place: Path) -> None:
    shutil.rmtree(place / "records", ignore_errors=True)
    shutil.copytree(place / "whole-records", place / "records")


@pytest.mark.parametrize("how", ["changed", "a folder", "a link to nothing", "unreadable to all but root"])
@pytest.mark.parametrize("ending", [".jpg", ".json"])
@pytest.mark.parametrize("pages", ["there", "gone"])
def test_a_build_from_caches_that_are_all_spoiled_gives_what_a_fresh_one_gives(built, how, ending, pages):
    place, afresh = built
    records, output = place / "records", place / "output"
    begin_afresh(records, output)
    for path in [path for path in kept_files(records) if path.suffix == ending]:
        whole = path.read_bytes()
        match how:
            case "changed":
                path.write_bytes(whole[:-3] + bytes([whole[-3] ^ 1]) + whole[-2:])
            case "unreadable to all but root":
                path.chmod(0)
            case "a folder":
                path.unlink()
                (path / "within").mkdir(parents=True)
            case "a link to nothing":
                path.unlink()
                path.symlink_to("nowhere")
    if pages == "gone":
        shutil.rmtree(output)
    build(records, output, on=DAY, clock=LATER)
    assert pages_of(output) == afresh["as it was"]
    begin_afresh(records, output)


@pytest.mark.parametrize("text", [QUILT, "title: Quilt 1\n"], ids=["still needed", "no longer needed"])
def test_folders_in_the_places_of_caches_hinder_no_build_and_are_gone_after_it(built, text):
    place, _ = built
    records, output = place / "records", place / "output"
    begin_afresh(records, output)
    for path in kept_files(records):
        path.unlink()
        (path / "within").mkdir(parents=True)
    (records / "quilts/quilt-1.yaml").write_text(text)
    try:
        report = build(records, output, on=DAY, clock=LATER)
        build_afresh(records, place / "afresh", on=DAY)
        assert pages_of(output) == pages_of(place / "afresh") and not report.not_kept
        assert [path for path in cache_of(records).folder.rglob("*") if path.is_dir() and path.suffix] == []
    finally:
        restore(place)
        begin_afresh(records, output)


def begin_afresh(records: Path, output: Path) -> None:
    for folder in (cache_of(records).folder, output):
        shutil.rmtree(folder, ignore_errors=True)
    build(records, output, on=DAY, clock=LATER)


def test_a_build_from_spoiled_caches_gives_what_a_fresh_one_gives(built):
    """Whatever has changed since, and whether or not the pages are still there."""
    place, afresh = built
    records, output, quilt = place / "records", place / "output", place / "records/quilts/quilt-1.yaml"
    names = [path.relative_to(cache_of(records).folder) for path in kept_files(records)]
    assert {"seen.json", "catalogue.json", "catalogue-looks.json", "index.json"} <= {path.name for path in names}
    assert {".jpg", ".json"} <= {path.suffix for path in names}

    @inputs(0.4)
    @given(st.data())
    def search(data):
        kept = cache_of(records).folder
        quilt.write_text(STATES["as it was"])
        shutil.rmtree(kept)
        build(records, output, on=DAY, clock=LATER)
        for path in data.draw(st.lists(st.sampled_from(names), min_size=1, max_size=3, unique=True)):
            whole = (kept / path).read_bytes()
            match data.draw(st.sampled_from(["changed", "another's", "gone", "more"])):
                case "changed":
                    (kept / path).write_bytes(data.draw(changed_bytes(whole)))
                case "more":
                    (kept / path).write_bytes(whole + whole[-40:])
                case "another's":
                    other = kept / data.draw(st.sampled_from(names))
                    (kept / path).write_bytes(other.read_bytes() if other.exists() else b"")
                    other.write_bytes(whole)
                case "gone":
                    (kept / path).unlink()
        state = data.draw(st.sampled_from(list(STATES)))
        if state != "as it was":
            quilt.write_text(STATES[state])
        if data.draw(st.booleans()):
            shutil.rmtree(output / data.draw(st.sampled_from(["catalogue", "binder"])))
        report = build(records, output, on=DAY, clock=LATER)
        assert pages_of(output) == afresh[state]
        assert not report.not_kept

    search()
    quilt.write_text(STATES["as it was"])


@pytest.mark.parametrize(
    "make", [os.mkdir, os.mkfifo, lambda path: os.symlink("/nowhere", path)], ids=["a folder", "a pipe", "a link"]
)
def test_what_is_no_file_in_the_place_of_a_cache_is_done_without_and_not_waited_for(built, make):
    place, afresh = built
    build(place / "records", place / "output", on=DAY, clock=LATER)
    for path in kept_files(place / "records"):
        if path.name == README or path.suffix == ".jpg":
            continue
        path.unlink()
        make(path)
        build(place / "records", place / "output", on=DAY, clock=LATER)
        assert pages_of(place / "output") == afresh["as it was"]
    shutil.rmtree(cache_of(place / "records").folder)


@pytest.mark.parametrize("of", ["another collection", "another output"])
def test_the_caches_of_another_are_as_good_as_none(built, tmp_path, of):
    place, afresh = built
    records, output = tmp_path / "records", tmp_path / "output"
    shutil.copytree(place / "whole-records", records)
    build(records, output, on=DAY, clock=LATER)
    other = cache_of(records)
    (records / "quilts/quilt-1.yaml").write_text(STATES["hidden"])
    if of == "another collection":
        build(place / "records", place / "output", on=DAY, clock=LATER)
        shutil.rmtree(other.folder)
        shutil.copytree(cache_of(place / "records").folder, other.folder)
        for folder in (other.folder / "outputs").iterdir():
            folder.rename(other.of_output(output))
    else:
        build(records, tmp_path / "more", on=DAY, clock=LATER)
        for name in ("catalogue", "binder"):
            shutil.copy(other.of_output(tmp_path / "more") / f"{name}.json", other.of_output(output))
    build(records, output, on=DAY, clock=LATER)
    assert pages_of(output) == afresh["hidden"]


def test_a_spoiled_log_of_changes_is_told_and_records_are_read_all_the_same(built):
    built, _ = built
    log = ".counterpane/changes.yaml"
    whole = (built / "whole-records" / log).read_bytes()

    @inputs(0.5)
    @given(spoiled([whole]))
    def search(content):
        (built / "records" / log).write_bytes(content)
        assert not read_collection(built / "records").errors
        try:
            change_log(built / "records")
            prepare_undo(built / "records")
        except CollectionProblems as told:
            assert all(str(problem).strip() for problem in told.problems)

    search()
    restore(built)


def test_a_spoiled_journal_of_an_interrupted_change_is_told_and_nothing_is_lost(built):
    built, _ = built
    folder = ".counterpane/unfinished"
    journal = {
        "version": 2,
        "files": [
            {
                "name": "quilts/quilt-0.yaml",
                "old": "a" * 64,
                "new": "b" * 64,
                "beside": f"{folder}/new/quilts/quilt-0.yaml",
            }
        ],
    }
    before = (built / "whole-records/quilts/quilt-0.yaml").read_bytes()

    @inputs(0.5)
    @given(spoiled([json.dumps(journal)]))
    def search(text):
        (built / "records" / folder).mkdir(parents=True, exist_ok=True)
        (built / "records" / folder / "journal.json").write_text(text, encoding="utf-8", errors="replace")
        try:
            read_collection(built / "records")
        except CollectionProblems as told:
            assert all(problem.file and problem.remedy for problem in told.problems)
        assert (built / "records/quilts/quilt-0.yaml").read_bytes() == before
        shutil.rmtree(built / "records" / folder, ignore_errors=True)

    search()
    restore(built)
