"""Whatever stops a build or a change, or happens beside it: what is there is whole, and the next run needs no help.

KILLS=200 python -m pytest tests -k killed_at_random tries many more moments.
"""

import errno
import os
import resource
import subprocess
import sys
import threading
from contextlib import contextmanager
from datetime import date
from pathlib import Path

import pytest

from collection.loading.loader import read_collection
from site_builder.building.build import build
from site_builder.building.swap import exchange
from tests.support.folders import files_below
from tests.support.own_folders import build_afresh

ROOT = Path(__file__).parents[2]
COUNTERPANE = Path(sys.executable).with_name("counterpane")
KILLS = int(os.environ.get("KILLS", "6"))
DAY = date(2026, 5, 12)
EDITIONS = ("catalogue", "binder")

on_unix = pytest.mark.skipif(not hasattr(os, "fork"), reason="this system starts processes in another way")


def editions_of(output: Path) -> dict[str, dict[str, bytes]]:
    return {name: files_below(output / name) for name in EDITIONS}


@pytest.fixture
def records(tmp_path, write_collection, a_photo) -> Path:
    folder = write_collection(
        tmp_path / "records",
        {
            f"quilts/quilt-{number}.yaml": f"title: Quilt {number}\nphotos: {number}.jpg\nmade: 2016\n"
            for number in range(3)
        },
    )
    for number in range(3):
        a_photo(folder / f"photos/{number}.jpg", size=(60, 80))
    return folder


def retitle(records: Path, words: str) -> None:
    (records / "quilts/quilt-0.yaml").write_text(f"title: {words}\nphotos: 0.jpg\nmade: 2016\n")


def run(*arguments: object, **more) -> subprocess.CompletedProcess:
    return subprocess.run(
        [COUNTERPANE, *arguments], cwd=ROOT, capture_output=True, text=True, timeout=300, **more, check=False
    )


def assert_told(done: subprocess.CompletedProcess, code: int, words: str) -> None:
    assert done.returncode == code, done.stderr
    assert words in done.stderr and "Traceback" not in done.stderr, done.stderr


# Killed -----------------------------------------------------------------------------------------


@on_unix
def test_killed_at_random_moments_editions_and_records_are_whole(tmp_path):
    done = subprocess.run(
        [sys.executable, "-m", "tests.site_builder.building.killed_builds", tmp_path, str(KILLS)],
        cwd=ROOT, capture_output=True, text=True, timeout=300 + 60 * KILLS, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    assert done.stdout.startswith(f"{KILLS} kills")


# A full disk, and one that may only be read -----------------------------------------------------


@contextmanager
def small_disk(place: Path, size: str):
    """A disk of its own in a folder, so large, and a way to have it read only. Needs root."""
    place.mkdir()
    if subprocess.run(
        ["mount", "-t", "tmpfs", "-o", f"size={size}", "none", place], capture_output=True, check=False
    ).returncode:
        pytest.skip("only who may mount a disk can have a small one")
    try:
        yield lambda how: subprocess.run(["mount", "-o", f"remount,{how}", place], check=True)
    finally:
        subprocess.run(["umount", place], check=True)


@pytest.fixture
def disk(tmp_path):
    if not hasattr(os, "geteuid") or os.geteuid() != 0 or sys.platform != "linux":
        pytest.skip("only who may mount a disk can have a small one")
    with small_disk(tmp_path / "disk", "4m") as remount:
        yield tmp_path / "disk", remount


def fill(place: Path, leave: int) -> Path:
    """A file that takes all of a disk but so many bytes."""
    free = os.statvfs(place)
    filler = place / "filler"
    filler.write_bytes(b"\0" * (free.f_bavail * free.f_frsize - leave))
    return filler


@pytest.mark.parametrize("leave", [0, 20_000, 60_000])
def test_a_build_on_a_full_disk_leaves_the_former_pages(disk, records, leave):
    output = disk[0] / "output"
    build(records, output, on=DAY)
    before = editions_of(output)
    (records / "collection.yaml").write_text("title: Another Name\n")
    filler = fill(disk[0], leave)
    with pytest.raises(OSError) as told:
        build(records, output, on=DAY)
    assert told.value.errno == errno.ENOSPC and told.value.__notes__ == ["What was built before is as it was."]
    assert editions_of(output) == before
    filler.unlink()
    build(records, output, on=DAY)
    assert b"Another Name" in editions_of(output)["catalogue"]["index.html"]


def test_a_full_disk_is_told_in_words(disk, records):
    fill(disk[0], 20_000)
    assert_told(run("build", records, "--output", disk[0] / "output"), 2, "There is no room left on the disk.")


@pytest.mark.parametrize("leave", [8_000])
def test_a_change_on_a_full_disk_changes_nothing(disk, write_collection, leave):
    folder = write_collection(disk[0] / "records", {f"quilts/{n}.yaml": f"title: Quilt {n}\n" for n in "abcd"})
    before = files_below(folder)
    filler = fill(disk[0], leave)
    assert_told(run("set-free", folder, *"abcd", "--on", "2026-05-12", "--yes"), 1, "the disk is full")
    assert files_below(folder) == before
    filler.unlink()
    assert run("set-free", folder, *"abcd", "--on", "2026-05-12", "--yes").returncode == 0


@pytest.mark.parametrize(("command", "told"), [
    ("schema {disk}/schemas", "schemas/quilt.schema.json: There is no room left"),
    ("match {records} --save {disk}/plan.yaml", "plan.yaml: There is no room left"),
    ("report {records} 2026 --to {disk}/report.csv", "report.csv: There is no room left"),
    ("begin {disk}/mine --title Mine --maker Me", "mine/collection.yaml: It can't be written: the disk is full"),
])  # fmt: skip
def test_what_is_written_on_a_full_disk_is_whole_or_not_there_and_the_file_is_named(disk, records, command, told):
    filler = fill(disk[0], 0)
    words = command.format(disk=disk[0], records=records).split()
    assert_told(run(*words), 2, told)
    assert set(files_below(disk[0])) == {"filler"}
    filler.unlink()
    assert run(*words).returncode == 0


def test_on_a_disk_that_may_only_be_read_nothing_is_changed_and_that_is_told(disk, records, write_collection):
    place, remount = disk
    folder = write_collection(place / "records", {"quilts/a.yaml": "title: A\n"})
    build(records, place / "output", on=DAY)
    before = files_below(place)
    retitle(records, "Changed")
    remount("ro")
    assert_told(run("build", records, "--output", place / "output"), 2, "can only be read")
    assert_told(run("set-free", folder, "a", "--yes"), 1, "may only be read")
    assert files_below(place) == before
    remount("rw")


@on_unix
@pytest.mark.parametrize("most", [3_000])
def test_where_files_may_not_become_large_the_former_pages_stay(tmp_path, records, most):
    """What a disk quota does to one file. Whatever could be written, nothing is half there."""
    output = tmp_path / "output"
    build(records, output, on=DAY)
    before = editions_of(output)
    retitle(records, "Changed")
    limited = run(
        "build", records, "--output", output, "--on", "2026-05-12",
        preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_FSIZE, (most, most)),
    )  # fmt: skip
    assert limited.returncode == 2 and "Traceback" not in limited.stderr, limited.stderr
    assert "File too large" in limited.stderr
    assert editions_of(output) == before


# Photos that vanish -----------------------------------------------------------------------------


def test_photos_that_vanish_while_they_are_read_are_told_of_and_the_build_is_whole(tmp_path, records):
    def vanish(what: str, done: int, of: int) -> None:
        for photo in (records / "photos").iterdir():
            photo.unlink()

    report = build(records, tmp_path / "output", on=DAY, jobs=1, progress=vanish)
    told = {warning.file for warning in report.warnings}
    assert told and told <= {f"quilts/quilt-{number}.yaml" for number in range(3)}
    again = build(records, tmp_path / "output", on=DAY)
    assert {warning.file for warning in again.warnings} == {f"quilts/quilt-{number}.yaml" for number in range(3)}
    build_afresh(records, tmp_path / "afresh", on=DAY)
    assert editions_of(tmp_path / "output") == editions_of(tmp_path / "afresh")


# All at once ------------------------------------------------------------------------------------


def test_builds_and_changes_at_once_end_in_whole_pages_of_whole_records(tmp_path, records):
    output = tmp_path / "output"
    started = [
        subprocess.Popen(
            [COUNTERPANE, *map(str, arguments)], stderr=subprocess.PIPE, stdout=subprocess.DEVNULL, text=True
        )
        for arguments in (
            ("build", records, "--output", output, "--on", "2026-05-12"),
            ("set-free", records, "quilt-0", "quilt-1", "--on", "2026-05-12", "--yes"),
            ("build", records, "--output", output, "--on", "2026-05-12"),
            ("lost", records, "quilt-2", "--on", "2026-05-12", "--yes"),
        )
    ]
    said = [each.communicate(timeout=300)[1] for each in started]
    codes = [each.returncode for each in started]
    assert codes[1] == codes[3] == 0, said
    assert 0 in (codes[0], codes[2]), said
    assert all(code == 0 or "Another build" in words for code, words in zip(codes, said, strict=True)), said
    assert not read_collection(records).errors
    build(records, output, on=DAY)
    build_afresh(records, tmp_path / "afresh", on=DAY)
    assert editions_of(output) == editions_of(tmp_path / "afresh")


# Read while it is built -------------------------------------------------------------------------


@pytest.mark.skipif(sys.platform != "linux", reason="elsewhere two folders may not change places in one step")
def test_whoever_reads_pages_while_they_are_replaced_always_finds_whole_ones(tmp_path, records):
    (tmp_path / "one").mkdir(), (tmp_path / "other").mkdir()
    if not exchange(tmp_path / "one", tmp_path / "other"):
        pytest.skip("this disk knows no exchange")
    output = tmp_path / "output"
    build(records, output, on=DAY)
    pages = [path for name in EDITIONS for path in (output / name).rglob("*.html")]
    over, seen, faults = threading.Event(), [], []

    def read_on() -> None:
        while not over.is_set():
            for page in pages:
                try:
                    if not page.read_bytes().rstrip().endswith(b"</html>"):
                        faults.append(f"{page} is cut short")
                except OSError as error:
                    faults.append(str(error))
                seen.append(page)

    reader = threading.Thread(target=read_on)
    reader.start()
    try:
        for number in range(4):
            retitle(records, f"Changed for the {number}th time")
            build(records, output, on=DAY)
    finally:
        over.set()
        reader.join()
    assert not faults
    assert len(seen) > len(pages)
