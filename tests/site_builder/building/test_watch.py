"""What counts as a change of a collection."""

import asyncio
import os
import threading
from concurrent.futures import ThreadPoolExecutor

import pytest

from site_builder.building.watch import Builds, file_fingerprints


@pytest.fixture
def collection(write_collection, tmp_path):
    return write_collection(
        tmp_path / "collection",
        {
            "quilts/low-tide.yaml": "title: Low Tide\n",
            "photos/low-tide/front.jpg": b"photo",
        },
    )


def fingerprints(collection):
    return file_fingerprints(collection, leave_out=collection / "output")


def test_an_untouched_collection_has_the_same_stamps(collection):
    assert len(fingerprints(collection)) == 2
    assert fingerprints(collection) == fingerprints(collection)


@pytest.mark.parametrize(
    "change",
    [
        lambda folder: (folder / "quilts" / "low-tide.yaml").write_text("title: High Tide\n"),
        lambda folder: (folder / "quilts" / "low-tide.yaml").unlink(),
        lambda folder: (folder / "quilts" / "low-tide.yaml").rename(folder / "quilts" / "ebb.yaml"),
        lambda folder: (folder / "photos" / "low-tide").rename(folder / "photos" / "ebb"),
        lambda folder: (folder / "collection.yaml").write_text(""),
    ],
    ids=["written", "removed", "renamed", "folder renamed", "added"],
)
def test_a_change_changes_the_stamps(collection, change):
    before = fingerprints(collection)
    change(collection)
    assert fingerprints(collection) != before


def test_a_file_replaced_by_one_of_the_same_size_and_time_is_a_change(collection, tmp_path):
    record = collection / "quilts" / "low-tide.yaml"
    before, was = fingerprints(collection), record.stat()
    other = tmp_path / "other.yaml"
    other.write_text("title: Low Dune\n")
    os.utime(other, ns=(was.st_atime_ns, was.st_mtime_ns))
    other.replace(record)
    assert fingerprints(collection) != before


def test_a_file_written_in_place_with_the_same_size_and_time_is_a_change(collection):
    record = collection / "quilts" / "low-tide.yaml"
    before, was = fingerprints(collection), record.stat()
    while record.stat().st_ctime_ns == was.st_ctime_ns:  # a coarse clock may show the same for a while
        with record.open("r+b") as file:
            file.write(b"title: Low Dune\n")
        os.utime(record, ns=(was.st_atime_ns, was.st_mtime_ns))
    now = record.stat()
    assert (now.st_size, now.st_mtime_ns, now.st_ino) == (was.st_size, was.st_mtime_ns, was.st_ino)
    assert fingerprints(collection) != before


@pytest.mark.parametrize(
    "name",
    [
        "quilts/.low-tide.yaml.swp",
        "quilts/low-tide.yaml~",
        "quilts/#low-tide.yaml#",
        ".git/index",
        "output/catalogue/index.html",
    ],
)
def test_what_editors_and_builds_leave_about_is_no_change(collection, write_collection, name):
    before = fingerprints(collection)
    write_collection(collection, {name: "anything"})
    assert fingerprints(collection) == before


def test_a_folder_that_leads_back_to_itself_is_walked_once(collection):
    before = fingerprints(collection)
    (collection / "photos" / "again").symlink_to(collection, target_is_directory=True)
    (collection / "photos" / "gone").symlink_to(collection / "nowhere")
    assert fingerprints(collection) == before


def test_a_collection_that_is_not_there_has_no_stamps(tmp_path):
    assert fingerprints(tmp_path / "none") == {}


# Builds that are asked for ----------------------------------------------------------------------


def with_builds(folder, steps, *, rebuild=lambda: True):
    """What `steps(builds)` comes to while builds are kept current; in a thread, as browser tests have a loop in ours."""

    async def run():
        builds = Builds(folder, folder / "output", rebuild, report=lambda line: None)
        keeping = asyncio.create_task(builds.keep_current(then=lambda: None))
        try:
            return await asyncio.wait_for(steps(builds), 10)
        finally:
            keeping.cancel()

    with ThreadPoolExecutor(1) as thread:
        return thread.submit(lambda: asyncio.run(run())).result()


def test_a_build_that_is_asked_for_begins_after_the_asking(collection):
    seen = []

    async def steps(builds):
        await builds.at_rest()
        (collection / "quilts" / "ebb.yaml").write_text("title: Ebb\n")
        await builds.done(builds.ask())
        return seen[-1]

    last = with_builds(
        collection, steps, rebuild=lambda: seen.append(sorted((collection / "quilts").iterdir())) or True
    )
    assert [path.name for path in last] == ["ebb.yaml", "low-tide.yaml"]


def test_asking_during_a_build_waits_for_the_next_one(collection):
    begun, go_on = threading.Event(), threading.Event()
    count = []

    def rebuild():
        count.append(1)
        begun.set()
        return go_on.wait(300)

    async def steps(builds):
        await asyncio.to_thread(begun.wait, 300)
        asked = builds.ask()
        assert not builds.is_done(asked)
        go_on.set()
        await builds.done(asked)
        return len(count)

    assert with_builds(collection, steps, rebuild=rebuild) == 2


def test_there_is_no_rest_between_asking_and_the_end_of_the_build(collection):
    seen = []

    async def steps(builds):
        await builds.at_rest()
        before = len(seen)
        builds.ask()
        await builds.at_rest()
        return len(seen) - before

    assert with_builds(collection, steps, rebuild=lambda: seen.append(1) or True) >= 1


def test_a_build_that_failed_is_done_and_told(collection):
    async def steps(builds):
        await builds.done(builds.ask())
        return builds.failed

    assert with_builds(collection, steps, rebuild=lambda: False)


def test_a_build_of_another_run_counts_as_done(collection):
    async def steps(builds):
        await builds.at_rest()
        return builds.is_done(999)

    assert with_builds(collection, steps)


@pytest.mark.parametrize("steps", range(6))
def test_an_end_that_comes_with_a_change_is_not_passed_over(collection, steps):
    """Ctrl-C in the very moment in which the desk has written: at each step of the loop from asking to building."""

    async def run():
        builds = Builds(collection, collection / "output", lambda: True, report=lambda line: None)
        waits = asyncio.Event()
        keeping = asyncio.create_task(builds.keep_current(then=waits.set))
        await waits.wait()
        builds.ask()
        for _ in range(steps):
            await asyncio.sleep(0)
        keeping.cancel()
        ended, _ = await asyncio.wait({keeping}, timeout=300)
        keeping.cancel()
        return bool(ended)

    with ThreadPoolExecutor(1) as thread:
        assert thread.submit(lambda: asyncio.run(run())).result()
