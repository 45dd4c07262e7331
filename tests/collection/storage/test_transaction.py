"""Several files written as one: all or none, whatever happens in between."""

import errno
import json
import os
import shutil
import stat
import subprocess
import sys
import threading
from pathlib import Path

import pytest

from collection.problems import CollectionProblems
from collection.storage import locks
from collection.storage.consistent_read import consistent_read, recover
from collection.storage.transaction import UNFINISHED, FileChange, FileChanges
from tests.support.folders import files_below
from tests.support.interrupted_writing import Killed, interrupt, steps

OLD, NEW = b"destination: free\n", b"destination: kept\r\n# as it was\n"
NAMES = [f"quilts/quilt-{number}.yaml" for number in range(5)]


@pytest.fixture
def folder(tmp_path, write_collection):
    return write_collection(tmp_path / "collection", dict.fromkeys(NAMES, OLD))


def the_batch(folder: Path) -> FileChanges:
    return FileChanges(folder, (FileChange(name, OLD, NEW) for name in NAMES))


def contents(folder: Path) -> set[bytes]:
    return {(folder / name).read_bytes() for name in NAMES}


def refusal(changes: FileChanges) -> str:
    with pytest.raises(CollectionProblems) as refused:
        changes.commit()
    return "\n".join(map(str, refused.value.problems))


# What is written --------------------------------------------------------------------------------


def test_a_batch_is_written_and_leaves_nothing_beside_it(folder):
    assert the_batch(folder).commit() == tuple(NAMES)
    assert contents(folder) == {NEW}
    assert list(files_below(folder)) == NAMES
    assert not (folder / ".counterpane").exists()


def test_a_new_file_is_written_with_the_folder_that_it_lies_in(folder):
    FileChanges(folder, [FileChange("requests/new.yaml", None, NEW)]).commit()
    assert (folder / "requests/new.yaml").read_bytes() == NEW


def test_what_stays_the_same_is_not_written(folder):
    before = (folder / NAMES[0]).stat()
    changes = FileChanges(folder, [FileChange(NAMES[0], OLD, OLD)])
    assert changes.commit() == ()
    assert (folder / NAMES[0]).stat() == before


def test_a_file_stands_in_a_batch_once_and_in_the_collection(folder):
    changes = the_batch(folder)
    with pytest.raises(ValueError):
        changes.add(NAMES[0], OLD, NEW)
    with pytest.raises(ValueError):
        changes.add("../elsewhere.yaml", None, NEW)


@pytest.mark.parametrize("mode", [0o600, 0o644, 0o664, 0o755])
def test_permissions_stay_and_the_time_is_new(folder, mode):
    path = folder / NAMES[0]
    path.chmod(mode)
    os.utime(path, (1_000_000_000, 1_000_000_000))
    the_batch(folder).commit()
    assert stat.S_IMODE(path.stat().st_mode) == mode
    assert path.stat().st_mtime > 1_700_000_000


# What is refused, with every file as it was -----------------------------------------------------


def test_a_file_that_changed_since_it_was_read_stops_the_batch(folder):
    (folder / NAMES[3]).write_bytes(b"destination: undecided\n")
    told = refusal(the_batch(folder))
    assert told.startswith(f"{NAMES[3]}:1: ") and "changed while this ran" in told
    assert contents(folder) == {OLD, b"destination: undecided\n"}


def test_a_file_that_is_gone_or_new_stops_the_batch(folder):
    (folder / NAMES[0]).unlink()
    changes = FileChanges(folder, [FileChange(NAMES[0], OLD, NEW), FileChange(NAMES[1], None, NEW)])
    assert refusal(changes).count("changed while this ran") == 2


@pytest.mark.parametrize("link", ["quilts/quilt-1.yaml", "quilts"])
def test_nothing_is_written_through_a_link(folder, tmp_path, link):
    shutil.move(folder / link, tmp_path / "elsewhere")
    (folder / link).symlink_to(tmp_path / "elsewhere")
    assert f"{link} is a link" in refusal(the_batch(folder))
    assert contents(folder) == {OLD}
    assert (folder / link).is_symlink()


def test_a_file_that_may_only_be_read_is_left_alone(folder):
    (folder / NAMES[2]).chmod(0o444)
    assert "may only be read" in refusal(the_batch(folder))
    assert contents(folder) == {OLD}


def test_a_folder_that_may_only_be_read_stops_the_batch_before_it_begins(folder, monkeypatch):
    # Nobody may keep the superuser, who may run these tests, from writing.
    monkeypatch.setattr(os, "access", lambda path, mode: Path(path) != folder / "quilts")
    told = refusal(the_batch(folder))
    assert told.startswith("quilts:1: It can't be written: this folder may only be read")
    assert told.endswith("Nothing was changed.")
    assert contents(folder) == {OLD}
    assert list(files_below(folder)) == NAMES


def how_many_steps(folder) -> int:
    taken = []
    with pytest.MonkeyPatch.context() as patch:
        steps(patch, lambda number, name: taken.append(number))
        the_batch(folder).commit()
    for name in NAMES:
        (folder / name).write_bytes(OLD)
    return len(taken)


@pytest.mark.parametrize("number", [errno.ENOSPC, errno.EACCES, errno.EIO])
def test_a_disk_that_fails_at_any_one_step_leaves_all_files_as_they_were(folder, number):
    refused = 0
    for failing in range(how_many_steps(folder)):

        def fail(step, name, failing=failing):
            if step == failing and name not in ("rmtree", "rmdir"):
                raise OSError(number, os.strerror(number))

        with pytest.MonkeyPatch.context() as patch:
            steps(patch, fail)
            try:
                the_batch(folder).commit()
                told = None
            except CollectionProblems as error:
                (told,) = error.problems
        recover(folder)
        if told is not None:
            refused += 1
            assert "It can't be written: " in told.remedy
            assert contents(folder) == {OLD}, failing
        else:
            assert contents(folder) == {NEW}, failing
        assert list(files_below(folder)) == NAMES
        for name in NAMES:
            (folder / name).write_bytes(OLD)
    assert refused > 20


FULL = """
import sys, pathlib
from collection.problems import CollectionProblems
from collection.storage.transaction import FileChange, FileChanges
folder = pathlib.Path(sys.argv[1])
(folder / "quilts").mkdir()
names = [f"quilts/{number}.yaml" for number in range(8)]
for name in names:
    (folder / name).write_bytes(b"x" * 4096)
try:
    FileChanges(folder, [FileChange(name, b"x" * 4096, b"y" * 8192) for name in names]).commit()
except CollectionProblems as error:
    print(*error.problems)
assert all((folder / name).read_bytes() == b"x" * 4096 for name in names)
assert sorted(path.name for path in folder.rglob("*") if path.is_file()) == [f"{number}.yaml" for number in range(8)]
"""


def test_a_disk_that_is_really_full_leaves_all_files_as_they_were(tmp_path):
    mount = f"mount -t tmpfs -o size=96k tmpfs {tmp_path} && exec {sys.executable} -c '{FULL}' {tmp_path}"
    run = subprocess.run(
        ["unshare", "--mount", "sh", "-c", mount], capture_output=True, text=True, timeout=300, check=False
    )
    if "mount" in run.stderr or "unshare" in run.stderr:
        pytest.skip("a small disk can't be mounted here")
    assert run.returncode == 0, run.stderr
    assert "the disk is full. Nothing was changed." in run.stdout


# What is interrupted ----------------------------------------------------------------------------


def test_killed_before_any_one_step_a_batch_is_all_or_none_once_healed(folder):
    outcomes = set()
    for fatal in range(how_many_steps(folder)):

        def die(step, name, fatal=fatal):
            if step >= fatal:
                raise Killed

        with pytest.MonkeyPatch.context() as patch:
            steps(patch, die)
            with pytest.raises(Killed):
                the_batch(folder).commit()
        assert contents(folder) <= {OLD, NEW}
        recover(folder)
        assert len(contents(folder)) == 1, fatal
        assert list(files_below(folder)) == NAMES
        outcomes |= contents(folder)
        for name in NAMES:
            (folder / name).write_bytes(OLD)
    assert outcomes == {OLD, NEW}


NURSERY = """
import os, pathlib, random, signal, sys, time
from collection.storage.consistent_read import recover
from collection.storage.transaction import FileChange, FileChanges
os.fsync = lambda handle: None
folder, kills = pathlib.Path(sys.argv[1]), int(sys.argv[2])
names = [f"quilts/{number}.yaml" for number in range(20)]
a, b = b"a" * 3000, b"b" * 5000
chance = random.Random(2026)
(folder / "quilts").mkdir()
for name in names:
    (folder / name).write_bytes(a)
mixed = finished = 0
for _ in range(kills):
    begun, ready = os.pipe()
    child = os.fork()
    if child == 0:
        old, new = (a, b) if (folder / names[0]).read_bytes() == a else (b, a)
        os.write(ready, b"x")
        while True:
            FileChanges(folder, [FileChange(name, old, new) for name in names]).commit()
            old, new = new, old
    os.read(begun, 1)
    time.sleep(chance.random() * 0.02)
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
    os.close(begun), os.close(ready)
    now = {(folder / name).read_bytes() for name in names}
    assert now <= {a, b}, "a file was half written"
    mixed += len(now) == 2
    finished += bool(recover(folder))
    now = {(folder / name).read_bytes() for name in names}
    assert len(now) == 1, "a batch was half recorded"
    assert sum(path.is_file() for path in folder.rglob("*")) == 20, "something was left behind"
print(mixed, finished)
"""


@pytest.mark.skipif(not hasattr(os, "fork"), reason="this system starts processes in another way")
def test_killed_at_a_hundred_random_moments_no_file_is_half_written_and_no_batch_half_recorded(tmp_path):
    run = subprocess.run(
        [sys.executable, "-c", NURSERY, str(tmp_path), "100"], capture_output=True, text=True, timeout=300, check=False
    )
    assert run.returncode == 0, run.stderr
    mixed, finished = map(int, run.stdout.split())
    assert finished > mixed > 0, "none of the moments lay amid the moves"


def test_whoever_reads_sees_an_interrupted_batch_finished(folder):
    interrupt(the_batch(folder).commit, after=2)
    assert contents(folder) == {OLD, NEW}
    with consistent_read(folder) as recovered:
        assert recovered == tuple(NAMES)
        assert contents(folder) == {NEW}
    with consistent_read(folder) as recovered:
        assert recovered == ()


def test_the_next_batch_finishes_the_interrupted_one_first(folder):
    interrupt(the_batch(folder).commit, after=2)
    FileChanges(folder, [FileChange(NAMES[0], NEW, OLD)]).commit()
    assert [(folder / name).read_bytes() for name in NAMES] == [OLD, NEW, NEW, NEW, NEW]


def test_a_file_changed_by_hand_after_an_interruption_is_never_overwritten(folder):
    interrupt(the_batch(folder).commit, after=2)
    (folder / NAMES[0]).write_bytes(b"by hand\n")
    (folder / NAMES[4]).write_bytes(b"by hand\n")
    for _ in range(2):
        with pytest.raises(CollectionProblems) as refused:
            recover(folder)
        assert [problem.file for problem in refused.value.problems] == [NAMES[0], NAMES[4]]
    assert (folder / NAMES[0]).read_bytes() == b"by hand\n"


@pytest.mark.parametrize(("changed", "outcome"), [(0, OLD), (4, NEW)])
def test_what_the_refusal_advises_ends_in_all_or_none(folder, changed, outcome):
    interrupt(the_batch(folder).commit, after=2)
    (folder / NAMES[changed]).write_bytes(b"by hand\n")
    with pytest.raises(CollectionProblems) as refused:
        recover(folder)
    kept = f"{UNFINISHED}/old/{NAMES[changed]}"
    assert kept in refused.value.problems[0].remedy
    shutil.copy(folder / kept, folder / NAMES[changed])
    recover(folder)
    assert contents(folder) == {outcome}
    assert list(files_below(folder)) == NAMES


@pytest.mark.parametrize(
    "journal",
    [
        "not json",
        "{}",
        json.dumps({"version": 99, "files": []}),
        json.dumps({"version": 2, "files": [{"name": "../../elsewhere", "old": None, "new": "0", "beside": "a"}]}),
        json.dumps(
            {"version": 2, "files": [{"name": "quilts/a", "old": None, "new": "0", "beside": "/etc/elsewhere"}]}
        ),
    ],
)
def test_notes_that_make_no_sense_are_told_and_not_followed(folder, journal):
    room = folder / UNFINISHED
    room.mkdir(parents=True)
    (room / "journal.json").write_text(journal)
    with pytest.raises(CollectionProblems) as refused:
        recover(folder)
    assert "interrupted" in refused.value.problems[0].remedy
    assert contents(folder) == {OLD}


# Two at once ------------------------------------------------------------------------------------


@pytest.mark.skipif(not locks.CAN_LOCK, reason="folders can't be locked here")
def test_a_writer_waits_for_a_reader(folder):
    writer = threading.Thread(target=the_batch(folder).commit)
    with consistent_read(folder):
        writer.start()
        writer.join(0.1)
        assert writer.is_alive()
        assert contents(folder) == {OLD}
    writer.join()
    assert contents(folder) == {NEW}


@pytest.mark.skipif(not locks.CAN_LOCK, reason="folders can't be locked here")
def test_a_writer_does_not_wait_for_ever(folder, monkeypatch):
    monkeypatch.setattr(locks, "PATIENCE", 0.05)
    with consistent_read(folder):
        assert "Another run is at work" in refusal(the_batch(folder))
    assert contents(folder) == {OLD}
