"""Every command that reads a collection finishes a change that was interrupted first, and says so."""

import json
import os
import shutil
from datetime import datetime
from pathlib import Path

import pytest
from click.testing import CliRunner

from collection.loading.loader import read_collection
from collection.problems import CollectionProblems
from collection.storage.transaction import UNFINISHED, FileChanges, LogEntry
from collection.storage.undo import prepare_undo
from site_builder.cli.main import cli
from tests.support.interrupted_writing import interrupt

NAMES = [f"quilts/quilt-{number}.yaml" for number in range(3)]
FREE, KEPT = b"title: Low Tide\ndestination: free\n", b"title: Low Tide\ndestination: kept\n"


@pytest.fixture
def folder(tmp_path, write_collection):
    """A collection in which a change was interrupted when one of its files had been moved."""
    folder = write_collection(tmp_path / "collection", dict.fromkeys(NAMES, FREE))
    changes = FileChanges(folder)
    for name in NAMES:
        changes.add(name, FREE, KEPT)
    entry = LogEntry("Low Tide: kept", datetime(2026, 5, 12), "set-free")
    # What is kept of them and one of the records are in their places.
    interrupt(lambda: changes.commit(entry), after=len(NAMES) + 1)
    assert len({(folder / name).read_bytes() for name in NAMES}) == 2
    return folder


def test_a_reading_is_of_the_finished_change(folder):
    reading = read_collection(folder)
    assert reading.recovered == tuple(NAMES)
    assert {quilt.destination.is_ for quilt in reading.collection.quilts.values()} == {"kept"}
    assert read_collection(folder).recovered == ()
    prepare_undo(folder).commit(datetime(2026, 5, 13), "undo")
    assert {(folder / name).read_bytes() for name in NAMES} == {FREE}


@pytest.mark.parametrize(
    "command",
    [
        "check {folder}",
        "check {folder} --json",
        "build {folder} --output {tmp}/site --edition catalogue",
        "match {folder}",
        "report {folder} 2026 --json",
        "insurance-list {folder} --to {tmp}/list.xlsx",
        "undo {folder} --list",
        "undo {folder} --dry-run",
    ],
)
def test_each_command_that_reads_finishes_it_and_says_so(folder, tmp_path, command):
    words = [word.format(folder=folder, tmp=tmp_path) for word in command.split()]
    result = CliRunner().invoke(cli, words)
    assert result.exit_code == 0, result.stderr
    assert f"A change that had been interrupted was finished: {', '.join(NAMES)}." in result.stderr
    assert {(folder / name).read_bytes() for name in NAMES} == {KEPT}
    assert not (folder / UNFINISHED).exists()


LEFT = (
    ".counterpane-1-2.part",
    ".counterpane/.counterpane-1-2.part",
    ".counterpane/.likenesses.json.1.part",
    f"{UNFINISHED}/new/quilts/quilt-0.yaml",
)


@pytest.mark.parametrize(
    "command",
    ["check {folder}", "build {folder} --output {tmp}/site", "set-free {folder} quilt-0 --yes", "undo {folder} --list"],
)
def test_each_command_takes_away_what_a_run_that_was_killed_had_begun_to_write(tmp_path, write_collection, command):
    folder = write_collection(
        tmp_path / "collection", {NAMES[0]: KEPT, **dict.fromkeys(LEFT, "Ann Example, 1 Shore Road")}
    )
    result = CliRunner().invoke(cli, [word.format(folder=folder, tmp=tmp_path) for word in command.split()])
    assert result.exit_code == 0, result.stderr
    assert [name for name in LEFT if (folder / name).exists()] == []


def test_where_it_can_not_be_finished_nothing_is_built_of_half_of_it(folder, tmp_path):
    (folder / NAMES[-1]).write_bytes(b"title: By hand\n")
    result = CliRunner().invoke(cli, ["build", str(folder), "--output", str(tmp_path / "site")])
    assert "A run was interrupted, and this file was changed since" in str(result.exception.problems[0])
    assert not (tmp_path / "site" / "catalogue").exists()


def journal_of(name: str) -> str:
    return json.dumps({"version": 2, "files": [{"name": name, "old": None, "new": "0" * 64, "beside": "quilts/a"}]})


@pytest.mark.parametrize(
    "journal", ["[" * 100_000, journal_of("quilts/" + "a" * 300), journal_of("quilts/a\0b"), journal_of("quilts/./a")]
)
def test_notes_of_a_change_that_none_can_have_written_are_told_and_nothing_is_touched(
    tmp_path, write_collection, journal
):
    folder = write_collection(tmp_path, {NAMES[0]: FREE, f"{UNFINISHED}/journal.json": journal})
    with pytest.raises(CollectionProblems) as refused:
        read_collection(folder)
    assert "its notes can't be read" in refused.value.problems[0].remedy
    assert (folder / NAMES[0]).read_bytes() == FREE


@pytest.mark.parametrize("make", [os.mkfifo, os.mkdir])
def test_what_is_no_file_in_the_place_of_notes_is_no_change_and_not_waited_for(tmp_path, write_collection, make):
    folder = write_collection(tmp_path, {NAMES[0]: FREE})
    (folder / UNFINISHED).mkdir(parents=True)
    make(folder / UNFINISHED / "journal.json")
    assert read_collection(folder).recovered == ()
    FileChanges(folder).commit()
    assert not (folder / UNFINISHED).exists()


def test_notes_behind_a_link_are_not_followed_and_stay(folder, tmp_path):
    (folder / ".counterpane").rename(tmp_path / "elsewhere")
    (folder / ".counterpane").symlink_to(tmp_path / "elsewhere")
    assert read_collection(folder).recovered == ()
    FileChanges(folder).commit()
    assert (tmp_path / "elsewhere/unfinished/journal.json").exists()
    (folder / ".counterpane").unlink()
    (tmp_path / "elsewhere").rename(folder / ".counterpane")
    assert read_collection(folder).recovered == tuple(NAMES)


def test_a_copy_of_a_collection_in_the_midst_of_a_change_is_finished_too(folder, tmp_path):
    shutil.copytree(folder, tmp_path / "copy")
    copy = Path(tmp_path / "copy")
    assert read_collection(copy).recovered == tuple(NAMES)
