"""Pictures are taken over from the former edition where they are the same, and shared with nothing else."""

import errno
import os
from pathlib import Path

import pytest

from site_builder.building.publish import editions_replaced
from tests.support.small_editions import BOTH, everything, front


@pytest.fixture
def store(tmp_path) -> Path:
    (tmp_path / "store").mkdir()
    path = tmp_path / "store" / "picture.jpg"
    path.write_bytes(b"a picture")
    os.utime(path, ns=(1_700_000_000_123_456_789, 1_700_000_000_123_456_789))
    return path


def publish_picture(output: Path, store: Path) -> list[os.stat_result]:
    with editions_replaced(output, BOTH) as staged:
        for edition in staged.values():
            edition.write("index.html", front("pictures"))
            edition.copy(store, "pictures/picture.jpg")
    return [(output / name / "pictures/picture.jpg").stat() for name in BOTH]


def test_no_picture_is_shared_between_editions_or_with_the_store(tmp_path, store):
    for _ in range(3):
        files = [*publish_picture(tmp_path / "output", store), store.stat()]
        assert len({file.st_ino for file in files}) == 3
        assert {file.st_nlink for file in files} == {1}


def test_a_picture_that_is_there_already_is_taken_over_without_copying(tmp_path, store):
    first = publish_picture(tmp_path / "output", store)
    again = publish_picture(tmp_path / "output", store)
    assert [file.st_ino for file in first] == [file.st_ino for file in again]


def test_a_picture_that_somebody_changed_is_copied_anew(tmp_path, store):
    publish_picture(tmp_path / "output", store)
    changed = tmp_path / "output" / "catalogue" / "pictures" / "picture.jpg"
    changed.write_bytes(b"A PICTURE")
    publish_picture(tmp_path / "output", store)
    assert changed.read_bytes() == b"a picture"


def test_a_picture_that_has_another_name_elsewhere_is_copied_anew(tmp_path, store):
    publish_picture(tmp_path / "output", store)
    os.link(tmp_path / "output/binder/pictures/picture.jpg", tmp_path / "kept.jpg")
    publish_picture(tmp_path / "output", store)
    (tmp_path / "kept.jpg").write_bytes(b"changed in place")
    assert (tmp_path / "output/binder/pictures/picture.jpg").read_bytes() == b"a picture"


def test_a_disk_without_links_gets_copies(tmp_path, store, monkeypatch):
    publish_picture(tmp_path / "output", store)

    def refuse(source, target):
        raise OSError(errno.EPERM, "no links here")

    monkeypatch.setattr(os, "link", refuse)
    files = publish_picture(tmp_path / "output", store)
    assert {file.st_nlink for file in files} == {1}
    assert (tmp_path / "output/catalogue/pictures/picture.jpg").read_bytes() == b"a picture"


def test_a_failed_build_takes_no_picture_from_the_former_one(tmp_path, store):
    publish_picture(tmp_path / "output", store)
    before = everything(tmp_path / "output")
    with pytest.raises(ZeroDivisionError), editions_replaced(tmp_path / "output", BOTH) as staged:
        staged["catalogue"].copy(store, "pictures/picture.jpg")
        raise ZeroDivisionError
    assert everything(tmp_path / "output") == before
    assert (tmp_path / "output/catalogue/pictures/picture.jpg").stat().st_nlink == 1
