"""The log of changes: a person can read it, it reads back as it was written, and damage to it loses nothing."""

import os
from datetime import UTC, datetime
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from collection.problems import CollectionProblems
from collection.storage.change_log import (
    FORMER,
    KEPT_BYTES,
    KEPT_CHANGES,
    LARGEST_LOG,
    LOG,
    LogEntry,
    LoggedChange,
    LoggedFile,
    last_number,
    read_log,
    with_entry,
)
from collection.storage.files import is_inside
from collection.storage.transaction import FileChanges
from collection.storage.undo import change_log, prepare_undo
from collection.yaml_files.parser import read_yaml

NOON = datetime(2026, 5, 12, 12, 0)
NAME = "quilts/low-tide.yaml"


def entry(number: int, *, takes_back: int | None = None, what: str = "Low Tide: kept") -> LoggedChange:
    return LoggedChange(
        number, LogEntry(what, NOON, "set-free", takes_back), (LoggedFile.of(NAME, "a" * 64, "b" * 64),)
    )


def log_of(*entries: LoggedChange) -> bytes:
    log = b""
    for each in entries:
        log = with_entry(log, each)
    return log


# Writing and reading ----------------------------------------------------------------------------


def test_an_entry_says_when_what_and_which_files():
    assert log_of(entry(1, what="Low Tide: kept\nHigh Tide: kept")).decode().split("\n\n", 1)[1] == (
        "- number: 1\n"
        "  at: 2026-05-12 12:00:00\n"
        "  command: set-free\n"
        "  what: |-\n"
        "    Low Tide: kept\n"
        "    High Tide: kept\n"
        "  files:\n"
        "    - {name: quilts/low-tide.yaml, was: aaaaaaaaaaaaaaaa, is: bbbbbbbbbbbbbbbb}\n"
    )


def test_its_head_says_what_is_kept_and_how_long():
    head = log_of(entry(1)).decode().split("\n\n")[0]
    assert all(line.startswith("#") for line in head.splitlines())
    for fact in ("counterpane undo", FORMER, f"{KEPT_CHANGES} changes", f"{KEPT_BYTES // 1_000_000:,} MB"):
        assert fact in head


def test_the_readme_says_the_same():
    readme = " ".join((Path(__file__).parents[3] / "README.md").read_text(encoding="utf-8").split())
    assert f"for the last {KEPT_CHANGES} changes, {KEPT_BYTES // 1_000_000:,} MB at most" in readme
    assert LOG in readme and FORMER in readme


DIGESTS = st.none() | st.text("0123456789abcdef", min_size=64, max_size=64)
WORDS = st.text(st.characters(exclude_categories=["Cs"]))
ENTRIES = st.lists(
    st.builds(
        lambda told, files: (told, tuple(LoggedFile.of(*file) for file in files)),
        st.builds(
            LogEntry,
            what=WORDS,
            at=st.datetimes().map(lambda at: at.replace(microsecond=0))
            | st.just(datetime(2026, 5, 12, 12, 0, tzinfo=UTC)),
            command=WORDS,
            takes_back=st.none() | st.integers(1, 99),
        ),
        st.lists(st.tuples(WORDS.filter(is_inside), DIGESTS, DIGESTS), max_size=3, unique_by=lambda file: file[0]),
    ),
    max_size=4,
)


@given(ENTRIES)
def test_whatever_is_told_reads_back_and_the_whole_is_yaml(parts):
    entries = [LoggedChange(number, *part) for number, part in enumerate(parts, 1)]
    log = log_of(*entries)
    read = read_log(log)
    assert (list(read.changes), read.damage) == (entries, ())
    assert last_number(log) == len(entries)
    text, problems = read_yaml(log, LOG)
    assert not problems and len(text.data or []) == len(entries)


def test_more_files_than_a_record_may_hold_read_back_and_damage_among_them_is_told_with_its_line():
    files = tuple(LoggedFile.of(f"photos/taken-in/{number}.jpg", None, "b" * 64) for number in range(7_000))
    taken_in = LoggedChange(1, LogEntry("All photos: taken in", NOON, "take-in"), files)
    log = log_of(taken_in, entry(2))
    assert read_log(log).changes == (taken_in, entry(2))
    damaged = log.replace(b"name: photos/taken-in/1234.jpg", b"name: [photos/taken-in/1234.jpg")
    (problem,) = read_log(damaged).damage
    (line,) = (number for number, line in enumerate(damaged.splitlines(), 1) if b"[photos" in line)
    assert problem.line == line


def test_an_entry_is_added_and_what_stands_there_stays():
    log = b"# a note by hand, and no end of line"
    assert with_entry(log, entry(3)).startswith(log + b"\n\n- number: 3\n")


@pytest.mark.parametrize(
    ("back", "done", "undone"),
    [
        ([None, None, None], [1, 2, 3], []),
        ([None, None, 2], [1], [3]),
        ([None, None, 2, 1], [], [3, 4]),
        ([None, None, 2, 1, 4], [5], [3]),
        ([None, None, 2, 1, 4, 5], [], [3, 6]),
        ([None, None, 2, None], [1, 4], []),
        # One that takes back what can't be the next changes neither.
        ([None, None, 1], [1, 2], []),
        ([None, 7], [1], []),
    ],
)
def test_the_log_alone_says_what_can_be_taken_back_and_done_again(back, done, undone):
    read = read_log(log_of(*(entry(number, takes_back=each) for number, each in enumerate(back, 1))))
    assert [each.number for each in read.done] == done
    assert [each.number for each in read.undone] == undone


# Damage by hand ---------------------------------------------------------------------------------


def changed_twice(folder):
    for old, new in [(b"title: A\n", b"title: B\n"), (b"title: B\n", b"title: C\n")]:
        changes = FileChanges(folder)
        changes.add(NAME, old, new)
        changes.commit(LogEntry("A title", NOON, "desk"))


@pytest.fixture
def folder(tmp_path, write_collection):
    folder = write_collection(tmp_path / "collection", {NAME: "title: A\n"})
    changed_twice(folder)
    return folder


DAMAGE = {
    "a key is misspelt": (b"  what: A title", b"  wat: A title"),
    "a key is twice": (b"  command: desk", b"  command: desk\n  command: desk"),
    "a key is unknown": (b"  command: desk", b"  command: desk\n  by: me"),
    "a bracket is gone": (b"}", b""),
    "a date is none": (b"at: 2026-05-12", b"at: yesterday"),
    "a digest is cut": (b"was: ", b"was: 0"),
    "a name is gone": (b"name: ", b"title: "),
    "a name leads elsewhere": (b"name: ", b"name: ../"),
    "a name leads into the room": (b"name: quilts/", b"name: .counterpane/former/"),
    "a name is written in a way of its own": (b"name: quilts/", b"name: quilts/./"),
    "a file is twice": (b"files:\n", b"files:\n    - {name: quilts/low-tide.yaml}\n"),
    "a byte is no character": (b"A title", b"A \xfftitle"),
    "a line is out of place": (b"  command", b"command"),
}


@pytest.mark.parametrize("damage", DAMAGE.values(), ids=DAMAGE)
def test_what_can_not_be_read_is_told_with_its_line_and_what_came_later_can_still_be_taken_back(folder, damage):
    path = folder / LOG
    path.write_bytes(path.read_bytes().replace(*damage, 1))
    damaged = path.read_bytes()
    (problem,) = change_log(folder).damage
    assert problem.file == LOG and "can't be read" in problem.remedy
    assert 5 < problem.line < 15
    prepare_undo(folder).commit(NOON, "undo")
    assert (folder / NAME).read_bytes() == b"title: B\n"
    with pytest.raises(CollectionProblems) as refused:
        prepare_undo(folder)
    assert refused.value.problems == (problem,)
    prepare_undo(folder, again=True).commit(NOON, "undo")
    assert (folder / NAME).read_bytes() == b"title: C\n"
    assert path.read_bytes().startswith(damaged)


def test_a_log_that_is_no_log_is_told_and_grows_all_the_same(folder):
    path = folder / LOG
    path.write_bytes(b"\x00\xff written over\n")
    with pytest.raises(CollectionProblems) as refused:
        prepare_undo(folder)
    assert [problem.line for problem in refused.value.problems] == [1]
    changes = FileChanges(folder)
    changes.add(NAME, b"title: C\n", b"title: D\n")
    changes.commit(LogEntry("A title", NOON, "desk"))
    assert prepare_undo(folder).change.number == 3
    assert path.read_bytes().startswith(b"\x00\xff written over\n")


@pytest.mark.parametrize("what", ["is longer than 20 MB", "is not an ordinary file"])
def test_a_log_that_no_run_has_written_is_neither_read_nor_waited_for_nor_added_to(folder, what):
    path = folder / LOG
    path.unlink()
    if "ordinary" in what:
        os.mkfifo(path)
    else:
        with path.open("wb") as file:
            file.truncate(LARGEST_LOG + 1)
    changes = FileChanges(folder)
    changes.add(NAME, b"title: C\n", b"title: D\n")
    for act in (lambda: prepare_undo(folder), lambda: changes.commit(LogEntry("A title", NOON, "desk"))):
        with pytest.raises(CollectionProblems) as refused:
            act()
        assert refused.value.problems[0].file == LOG and what in refused.value.problems[0].remedy
    assert (folder / NAME).read_bytes() == b"title: C\n"
    path.rename(folder.parent / "elsewhere")
    changes.commit(LogEntry("A title", NOON, "desk"))
    assert prepare_undo(folder).change.number == 3


def test_an_entry_taken_out_by_hand_is_passed_over(folder):
    path = folder / LOG
    before, _ = path.read_bytes().split(b"- number: 2")
    path.write_bytes(before)
    with pytest.raises(CollectionProblems) as refused:
        prepare_undo(folder)
    assert "changed by hand since" in refused.value.problems[0].remedy
    assert (folder / NAME).read_bytes() == b"title: C\n"


def test_an_entry_that_stands_twice_is_told(folder):
    path = folder / LOG
    path.write_bytes(path.read_bytes() + b"\n- number: 2\n")
    assert [problem.line for problem in change_log(folder).damage] == [20]


def test_a_log_that_is_a_link_is_not_written_through(folder, tmp_path):
    path = folder / LOG
    path.rename(tmp_path / "elsewhere.yaml")
    path.symlink_to(tmp_path / "elsewhere.yaml")
    before = path.read_bytes()
    with pytest.raises(CollectionProblems) as refused:
        prepare_undo(folder).commit(NOON, "undo")
    assert refused.value.problems[0].file == LOG and "is a link" in refused.value.problems[0].remedy
    assert path.read_bytes() == before and (folder / NAME).read_bytes() == b"title: C\n"
