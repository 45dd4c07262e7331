"""A file is whole or not there, and what a killed run left beside it is removed, but nothing that another is writing."""

import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from collection.storage.part_files import remove_left_parts, write_whole
from collection.storage.sealed_files import read_sealed, write_sealed

ROOT = Path(__file__).parents[3]
needs_holds = pytest.mark.skipif(os.name == "nt", reason="there a file that is open can't be removed anyway")

WRITING = """
import os, sys
from pathlib import Path
from collection.storage import part_files

def wait(*_):
    print("writing", flush=True)
    sys.stdin.readline()
    os._exit(0)

os.replace = wait
part_files.write_whole(Path(sys.argv[1]), b"private")
"""


def start_writing(path: Path) -> subprocess.Popen:
    """A run that has written its part, and not moved it yet."""
    running = subprocess.Popen(
        [sys.executable, "-c", WRITING, path], cwd=ROOT, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    )
    assert running.stdout.readline() == "writing\n"
    return running


def end(running: subprocess.Popen) -> None:
    running.send_signal(signal.SIGKILL)
    running.wait()
    running.stdin.close(), running.stdout.close()


@needs_holds
def test_a_part_goes_once_its_writer_is_no_more_and_not_before(tmp_path):
    running = start_writing(tmp_path / "report.pdf")
    try:
        remove_left_parts(tmp_path)
        assert len(list(tmp_path.iterdir())) == 1
    finally:
        end(running)
    remove_left_parts(tmp_path)
    assert list(tmp_path.iterdir()) == []


@needs_holds
def test_files_that_others_call_so_stay(tmp_path):
    for name in (
        "film.mp4.part",
        ".film.part",
        ".counterpane.part",
        "counterpane-1-2.part",
        ".counterpane-1-2.part.pdf",
    ):
        (tmp_path / name).touch()
    (tmp_path / ".counterpane-1-3.part").mkdir()
    (tmp_path / ".counterpane-1-4.part").symlink_to(tmp_path / "film.mp4.part")
    before = sorted(tmp_path.iterdir())
    remove_left_parts(tmp_path)
    assert sorted(tmp_path.iterdir()) == before


def test_a_file_that_can_not_be_written_leaves_nothing_beside_it_and_is_named(tmp_path):
    (tmp_path / "report.pdf").mkdir()
    with pytest.raises(OSError) as told:
        write_whole(tmp_path / "report.pdf", b"content")
    assert told.value.filename == str(tmp_path / "report.pdf")
    assert [path.name for path in tmp_path.iterdir()] == ["report.pdf"]


def test_a_part_of_the_same_name_that_lies_there_is_no_hindrance(tmp_path, monkeypatch):
    monkeypatch.setattr("collection.storage.part_files._numbers", iter(range(7, 99)))
    (tmp_path / f".counterpane-{os.getpid()}-7.part").write_text("another's")
    write_whole(tmp_path / "a", b"content")
    assert (tmp_path / "a").read_bytes() == b"content"


@pytest.mark.parametrize(("name", "purpose"), [("a.json", "other"), ("b.json", "this")])
def test_what_was_sealed_for_something_else_is_as_good_as_nothing(tmp_path, name, purpose):
    write_sealed(tmp_path / name, purpose, b"content")
    assert read_sealed(tmp_path / name, purpose) == b"content"
    (tmp_path / name).rename(tmp_path / "a.json")
    assert read_sealed(tmp_path / "a.json", "this") is None
