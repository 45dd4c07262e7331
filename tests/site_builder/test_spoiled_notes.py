"""What a build, a change or a taking-in remembers may be spoiled or gone: the next run does without it, or tells it."""
import json
import shutil
from datetime import date, datetime
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from collection.problems import CollectionProblems
from collection.reading import read_collection
from collection.safe_writing import FileChanges, Told
from collection.taking_back import change_log, take_back
from site_builder.build import build
from tests.collection.mutations import inputs, spoiled

DAY, NOON = date(2026, 5, 12), datetime(2026, 5, 12, 12)


def pages_of(output: Path) -> set[str]:
    return {path.relative_to(output).as_posix() for name in ("catalogue", "binder") for path in (output / name).rglob("*") if path.is_file()}


@pytest.fixture(scope="module")
def built(tmp_path_factory):
    """A collection with two changes in its log, and what was built of it."""
    place = tmp_path_factory.mktemp("remembered")
    records = place / "records"
    (records / "quilts").mkdir(parents=True)
    for number in range(2):
        (records / f"quilts/quilt-{number}.yaml").write_text(f"title: Quilt {number}\n")
    for title in ("One", "Two"):
        changes, path = FileChanges(records), records / "quilts/quilt-0.yaml"
        changes.add("quilts/quilt-0.yaml", path.read_bytes(), f"title: {title}\n".encode())
        changes.commit(Told(f"Now {title}", NOON, "desk"))
    build(records, place / "output", on=DAY)
    shutil.copytree(place / "output", place / "whole")
    shutil.copytree(records, place / "whole-records")
    return place


def remembered_by_builds(place: Path) -> list[str]:
    kept = [path for folder in (".built", ".pictures") for path in (place / "whole" / folder).rglob("*") if path.suffix in (".json", ".pickle")]
    return sorted(path.relative_to(place / "whole").as_posix() for path in kept)


def restore(place: Path, name: str) -> None:
    shutil.rmtree(place / name, ignore_errors=True)
    shutil.copytree(place / {"output": "whole", "records": "whole-records"}[name], place / name)


def test_a_build_does_without_what_is_spoiled(built):
    names = remembered_by_builds(built)
    assert {".built/seen.json", ".built/catalogue.json", ".pictures/index.json"} <= set(names)
    wholes = {name: (built / "whole" / name).read_bytes() for name in names}

    @inputs(0.05)
    @given(st.data())
    def search(data):
        name = data.draw(st.sampled_from(names))
        content = data.draw(spoiled([wholes[name]]))
        restore(built, "output")
        (built / "output" / name).write_bytes(content)
        (built / "records/quilts/quilt-1.yaml").write_text("title: Another\n")
        try:
            build(built / "records", built / "output", on=DAY)
            assert pages_of(built / "output") == pages_of(built / "whole")
            assert b"Another" in (built / "output/binder/quilts/quilt-1.html").read_bytes()
        finally:
            restore(built, "records")

    search()


@pytest.mark.parametrize("kind", ["a folder", "a list", "a number", "text", "nothing", "deep"])
def test_what_is_remembered_in_another_shape_is_done_without(built, kind):
    for name in remembered_by_builds(built):
        restore(built, "output")
        path = built / "output" / name
        path.unlink()
        if kind == "a folder":
            if name.endswith(".pickle"):
                continue
            path.mkdir()
        else:
            shapes = {"a list": [[], [], []], "a number": 7, "text": "x", "nothing": None, "deep": json.loads("[" * 500 + "]" * 500)}
            path.write_text(json.dumps(shapes[kind]))
        try:
            build(built / "records", built / "output", on=DAY)
        except OSError as told:
            assert kind == "a folder" and told.filename
        assert pages_of(built / "output") == pages_of(built / "whole")


def test_a_spoiled_log_of_changes_is_told_and_records_are_read_all_the_same(built):
    log = ".counterpane/changes.yaml"
    whole = (built / "whole-records" / log).read_bytes()

    @inputs(0.5)
    @given(spoiled([whole]))
    def search(content):
        (built / "records" / log).write_bytes(content)
        assert not read_collection(built / "records").errors
        try:
            change_log(built / "records")
            take_back(built / "records")
        except CollectionProblems as told:
            assert all(str(problem).strip() for problem in told.problems)

    search()
    restore(built, "records")


def test_a_spoiled_journal_of_an_interrupted_change_is_told_and_nothing_is_lost(built):
    folder = ".counterpane/unfinished"
    journal = {"version": 2, "files": [{"name": "quilts/quilt-0.yaml", "old": "a" * 64, "new": "b" * 64, "beside": f"{folder}/new/quilts/quilt-0.yaml"}]}
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
    restore(built, "records")
