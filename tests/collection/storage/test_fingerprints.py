"""What files look like from outside, and when that is proof enough that they are the same."""

import os
import time
from pathlib import Path

import pytest

from collection.storage.fingerprints import TICK_NS, KnownFiles, fingerprints_of, is_stable

LATER = 10**11


def later() -> int:
    """A clock by which no file is new."""
    return time.time_ns() + LATER


@pytest.fixture
def folder(tmp_path, write_collection) -> Path:
    return write_collection(
        tmp_path / "quilts of mine",
        {
            "collection.yaml": "",
            "quilts/ebb.yaml": "title: Ebb\n",
            "photos/deep/a.jpg": b"a",
            "notes.txt": "mine",
            "site/index.html": "",
        },
    )


def test_all_that_is_read_has_a_stamp_and_of_the_rest_only_the_name_counts(folder):
    stamps = fingerprints_of(str(folder))
    assert {name for name, stamp in stamps.items() if stamp} == {
        "collection.yaml",
        "quilts/ebb.yaml",
        "photos/deep/a.jpg",
    }
    assert {name for name, stamp in stamps.items() if not stamp} == {
        "quilts",
        "photos",
        "photos/deep",
        "notes.txt",
        "site",
    }


@pytest.mark.parametrize("name", [".git/config", "quilts/.ebb.yaml.swp", "quilts/ebb.yaml~", "quilts/#ebb.yaml#"])
def test_what_an_editor_leaves_behind_is_passed_over(folder, name):
    before = fingerprints_of(str(folder))
    (folder / name).parent.mkdir(exist_ok=True)
    (folder / name).touch()
    assert fingerprints_of(str(folder)) == before


def test_a_content_of_the_same_length_and_time_still_has_another_stamp(folder):
    before, path = fingerprints_of(str(folder)), folder / "quilts/ebb.yaml"
    was = path.stat()
    time.sleep(0.02)
    path.write_text("title: Abb\n")
    os.utime(path, ns=(was.st_atime_ns, was.st_mtime_ns))
    assert fingerprints_of(str(folder)) != before


def test_of_a_link_both_ends_count(folder):
    target, link = folder / "photos/deep/a.jpg", folder / "photos/b.jpg"
    link.symlink_to(target)
    before = fingerprints_of(str(folder))["photos/b.jpg"]
    assert len(before) == 8
    target.write_bytes(b"other")
    assert fingerprints_of(str(folder))["photos/b.jpg"] != before
    target.unlink()
    assert len(fingerprints_of(str(folder))["photos/b.jpg"]) == 4


@pytest.mark.parametrize(
    ("ago", "settled"), [(0, False), (TICK_NS, False), (TICK_NS + 1, True), (-TICK_NS, False), (-TICK_NS - 1, True)]
)
@pytest.mark.parametrize("place", [1, 2])
def test_a_file_is_settled_once_a_tick_of_the_coarsest_clock_has_passed(ago, settled, place):
    now, stamp = 10**18, [5, 0, 0, 7]
    stamp[place] = now - ago
    assert is_stable(tuple(stamp), now) is settled


def test_the_content_of_an_unchanged_file_is_known_without_opening_it(folder):
    first = KnownFiles.look(folder, later)
    first.digests["quilts/ebb.yaml"] = "a digest"
    assert KnownFiles.look(folder, later, first).digests == {"quilts/ebb.yaml": "a digest"}
    (folder / "quilts/ebb.yaml").write_text("title: Another\n")
    assert KnownFiles.look(folder, later, first).digests == {}


def test_a_file_that_was_new_when_it_was_seen_is_opened_again(folder):
    first = KnownFiles.look(folder, time.time_ns)
    first.digests["quilts/ebb.yaml"] = "a digest"
    assert KnownFiles.look(folder, later, first).digests == {}
    assert KnownFiles.look(folder, later, first.seen_again(later())).digests == {"quilts/ebb.yaml": "a digest"}


def test_what_was_seen_can_be_written_down_and_read_back(folder):
    seen = KnownFiles.look(folder, later)
    seen.digests["quilts/ebb.yaml"] = "a digest"
    again = KnownFiles.from_data(seen.as_data())
    assert (again.fingerprints, again.settled, again.digests, again.state) == (
        seen.fingerprints,
        seen.settled,
        seen.digests,
        seen.state,
    )


def test_the_state_of_a_folder_is_another_after_any_change(folder):
    states = {KnownFiles.look(folder, later).state}
    assert KnownFiles.look(folder, time.time_ns).state in states
    for change in (
        (folder / "quilts/ebb.yaml").touch,
        (folder / "photos/new.jpg").touch,
        (folder / "notes.txt").unlink,
    ):
        change()
        states.add(KnownFiles.look(folder, later).state)
    assert len(states) == 4
