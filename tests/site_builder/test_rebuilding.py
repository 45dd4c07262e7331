"""What counts as a change of a collection."""
import os

import pytest
from site_builder.rebuilding import file_stamps


@pytest.fixture
def collection(write_collection, tmp_path):
    return write_collection(tmp_path / "collection", {
        "quilts/low-tide.yaml": "title: Low Tide\n",
        "photos/low-tide/front.jpg": b"photo",
    })


def stamps(collection):
    return file_stamps(collection, leave_out=collection / "output")


def test_an_untouched_collection_has_the_same_stamps(collection):
    assert len(stamps(collection)) == 2
    assert stamps(collection) == stamps(collection)


@pytest.mark.parametrize("change", [
    lambda folder: (folder / "quilts" / "low-tide.yaml").write_text("title: High Tide\n"),
    lambda folder: (folder / "quilts" / "low-tide.yaml").unlink(),
    lambda folder: (folder / "quilts" / "low-tide.yaml").rename(folder / "quilts" / "ebb.yaml"),
    lambda folder: (folder / "photos" / "low-tide").rename(folder / "photos" / "ebb"),
    lambda folder: (folder / "collection.yaml").write_text(""),
], ids=["written", "removed", "renamed", "folder renamed", "added"])
def test_a_change_changes_the_stamps(collection, change):
    before = stamps(collection)
    change(collection)
    assert stamps(collection) != before


def test_a_file_replaced_by_one_of_the_same_size_and_time_is_a_change(collection, tmp_path):
    record = collection / "quilts" / "low-tide.yaml"
    before, was = stamps(collection), record.stat()
    other = tmp_path / "other.yaml"
    other.write_text("title: Low Dune\n")
    os.utime(other, ns=(was.st_atime_ns, was.st_mtime_ns))
    other.replace(record)
    assert stamps(collection) != before


@pytest.mark.parametrize("name", [
    "quilts/.low-tide.yaml.swp", "quilts/low-tide.yaml~", "quilts/#low-tide.yaml#",
    ".git/index", "output/catalogue/index.html",
])
def test_what_editors_and_builds_leave_about_is_no_change(collection, write_collection, name):
    before = stamps(collection)
    write_collection(collection, {name: "anything"})
    assert stamps(collection) == before


def test_a_folder_that_leads_back_to_itself_is_walked_once(collection):
    before = stamps(collection)
    (collection / "photos" / "again").symlink_to(collection, target_is_directory=True)
    (collection / "photos" / "gone").symlink_to(collection / "nowhere")
    assert stamps(collection) == before


def test_a_collection_that_is_not_there_has_no_stamps(tmp_path):
    assert stamps(tmp_path / "none") == {}
