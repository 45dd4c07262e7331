"""An edition is put in its place whole, or not at all."""

import errno
import os
import sys
from pathlib import Path

import pytest

from site_builder.building import publish as publishing
from site_builder.building.publish import MARK, InUse, NotOurs, editions_replaced
from tests.support.small_editions import BOTH, everything, front, publish


@pytest.fixture
def by_two_renamings(monkeypatch):
    """A system that can't let two folders change places in one step."""
    monkeypatch.setattr(publishing, "exchange", lambda one, other: False)


# Whole ------------------------------------------------------------------------------------------


def test_a_build_makes_the_folders_that_it_needs(tmp_path):
    publish(tmp_path / "far" / "away", "first")
    assert set(everything(tmp_path / "far" / "away")) == {
        f"{name}{path}" for name in BOTH for path in ("", "/index.html", "/quilts", "/quilts/first.html")
    }


def test_a_build_leaves_nothing_of_the_former_one_and_nothing_beside_it(output):
    publish(output, "after")
    assert set(everything(output)) == {
        f"{name}{path}" for name in BOTH for path in ("", "/index.html", "/quilts", "/quilts/after.html")
    }


def test_an_edition_alone_leaves_the_other_as_it_was(output):
    publish(output, "after", names=("catalogue",))
    assert (output / "catalogue/quilts/after.html").exists()
    assert (output / "binder/quilts/before.html").exists()


def test_other_files_in_the_output_folder_are_nobodys_business(output):
    (output / "notes.txt").write_text("mine")
    (output / ".hidden.old").mkdir()
    publish(output, "after")
    assert (output / "notes.txt").read_text() == "mine"
    assert (output / ".hidden.old").is_dir()


def test_a_file_that_is_written_twice_is_told(tmp_path):
    with pytest.raises(RuntimeError, match="twice"), editions_replaced(tmp_path, BOTH) as staged:
        staged["catalogue"].write("index.html", b"one")
        staged["catalogue"].write("index.html", b"two")


# Or not at all ----------------------------------------------------------------------------------


@pytest.mark.parametrize("stop", [ValueError, OSError, KeyboardInterrupt, SystemExit, MemoryError])
def test_a_build_that_fails_half_way_leaves_the_former_one_byte_for_byte(output, stop):
    before = everything(output)
    with pytest.raises(stop), editions_replaced(output, BOTH) as staged:
        staged["catalogue"].write("index.html", front("half"))
        raise stop
    assert everything(output) == before


def test_a_full_disk_leaves_the_former_build_and_says_so(output, monkeypatch):
    before = everything(output)
    room = iter([True, True, True])
    really_open = os.open

    def open_while_there_is_room(path, flags, *args, **more):
        if flags & os.O_CREAT and next(room, None) is None:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC), str(path))
        return really_open(path, flags, *args, **more)

    monkeypatch.setattr(os, "open", open_while_there_is_room)
    with pytest.raises(OSError) as full:
        publish(output, "after")
    monkeypatch.undo()
    assert full.value.__notes__ == ["What was built before is as it was."]
    assert everything(output) == before


@pytest.mark.parametrize("failing", range(1, 5))
@pytest.mark.parametrize("stop", [PermissionError, KeyboardInterrupt])
def test_both_editions_take_their_places_or_neither_does(output, by_two_renamings, monkeypatch, failing, stop):
    """Each edition takes two renamings: the former one aside, the new one in."""
    before = everything(output)
    calls = iter(range(1, 100))
    really_rename = Path.rename

    def rename_or_fail(path, target):
        if next(calls) == failing:
            raise stop
        return really_rename(path, target)

    monkeypatch.setattr(Path, "rename", rename_or_fail)
    with pytest.raises(stop):
        publish(output, "after")
    monkeypatch.undo()
    assert everything(output) == before


@pytest.mark.parametrize("done", [False, True], ids=["before the step", "after it"])
@pytest.mark.parametrize("failing", [1, 2])
@pytest.mark.parametrize("stop", [PermissionError, KeyboardInterrupt])
def test_both_editions_change_places_or_neither_does(output, monkeypatch, failing, stop, done):
    before = everything(output)
    calls = iter(range(1, 100))
    really_exchange = publishing.exchange

    def exchange_or_fail(one, other):
        if next(calls) == failing:
            if done:
                really_exchange(one, other)
            raise stop
        return really_exchange(one, other)

    monkeypatch.setattr(publishing, "exchange", exchange_or_fail)
    with pytest.raises(stop):
        publish(output, "after")
    monkeypatch.undo()
    assert everything(output) == before


@pytest.mark.skipif(sys.platform != "linux", reason="other systems may have no such step")
def test_two_folders_change_places_in_one_step(tmp_path):
    for name in ("one", "other"):
        (tmp_path / name).mkdir()
        (tmp_path / name / f"from-{name}").touch()
    assert publishing.exchange(tmp_path / "one", tmp_path / "other")
    assert set(everything(tmp_path)) == {"one", "one/from-other", "other", "other/from-one"}
    with pytest.raises(FileNotFoundError):
        publishing.exchange(tmp_path / "one", tmp_path / "nowhere")
    assert set(everything(tmp_path)) == {"one", "one/from-other", "other", "other/from-one"}


def test_a_first_build_that_cannot_take_its_place_leaves_nothing(tmp_path, monkeypatch):
    def refuse(path, target):
        raise PermissionError

    monkeypatch.setattr(Path, "rename", refuse)
    with pytest.raises(PermissionError):
        publish(tmp_path, "after")
    assert everything(tmp_path) == {}


def test_an_output_folder_that_may_not_be_written_is_told_and_left(output, monkeypatch):
    before = everything(output)

    def refuse(path, *args, **more):
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES), str(path))

    monkeypatch.setattr(Path, "mkdir", refuse)
    with pytest.raises(PermissionError):
        publish(output, "after")
    monkeypatch.undo()
    assert everything(output) == before


@pytest.mark.skipif(os.geteuid() == 0, reason="root may write everywhere")
def test_a_read_only_folder_is_left_as_it_was(output):
    before = everything(output)
    output.chmod(0o555)
    with pytest.raises(PermissionError):
        publish(output, "after")
    output.chmod(0o755)
    assert everything(output) == before


# Not ours ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "files",
    [
        {"thesis.txt": b"ten years of work"},
        {"index.html": b"<!doctype html><html><head></head><body>another site</body></html>"},
        {"index.html": b"x" * 5000 + MARK},
        {"index.html/index.html": MARK},
        {".git/config": b"[core]"},
        {"index.html": front("ours"), ".git/config": b"[core]"},
    ],
)
def test_a_folder_that_no_build_made_is_refused_before_anything_is_written(tmp_path, files):
    for name, content in files.items():
        path = tmp_path / "catalogue" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content)
    before = everything(tmp_path)
    with pytest.raises(NotOurs, match="no build has made"):
        publish(tmp_path, "after")
    assert everything(tmp_path) == before


def test_a_link_or_a_file_in_the_place_of_an_edition_is_refused(tmp_path):
    (tmp_path / "elsewhere").mkdir()
    (tmp_path / "binder").symlink_to(tmp_path / "elsewhere", target_is_directory=True)
    with pytest.raises(NotOurs, match="not an ordinary folder"):
        publish(tmp_path, "after")
    (tmp_path / "binder").unlink()
    (tmp_path / "binder").write_text("a file")
    with pytest.raises(NotOurs, match="not an ordinary folder"):
        publish(tmp_path, "after")


def test_an_empty_folder_is_free_to_take(tmp_path):
    (tmp_path / "catalogue").mkdir()
    publish(tmp_path, "after")
    assert (tmp_path / "catalogue/quilts/after.html").exists()


def test_what_a_file_manager_left_is_no_reason_to_refuse(output):
    (output / "catalogue/.DS_Store").write_bytes(b"\0\0\0\1Bud1")
    publish(output, "after")
    assert not (output / "catalogue/.DS_Store").exists()


def test_the_mark_of_a_build_is_in_every_page_that_is_built():
    base = Path(publishing.__file__).parents[1] / "templates" / "_base.html"
    assert MARK in base.read_bytes()[:1000]


# Two builds at once -----------------------------------------------------------------------------


def test_a_second_build_into_the_same_folder_is_refused_while_the_first_one_runs(output):
    pytest.importorskip("fcntl")
    with editions_replaced(output, BOTH) as staged:
        for edition in staged.values():
            edition.write("index.html", front("first"))
        with pytest.raises(InUse, match="Another build"):
            publish(output, "second")
        assert (staged["catalogue"].folder / "index.html").exists()
    assert (output / "catalogue/index.html").read_bytes() == front("first")
    publish(output, "third")
