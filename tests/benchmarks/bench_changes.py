"""How long a change, its log and its taking back take: with a long log, and with large photos.

Run it by hand, on a quiet machine: `.venv/bin/python tests/benchmarks/bench_changes.py [ENTRIES] [PHOTOS]`.
Photos are of 3 MB, of chance. The yardstick is a plain copy of the same photos. Time of the clock, as most of it
is the disk's.
"""

import os
import shutil
import sys
import tempfile
import time
from collections.abc import Callable
from datetime import datetime
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

from collection.storage.change_log import LOG, LoggedChange, LoggedFile, with_entry
from collection.storage.transaction import FileChanges, LogEntry
from collection.storage.undo import change_log, prepare_undo

NOON = datetime(2026, 5, 12, 12, 0)
OLD, NEW = b"a" * 1500, b"b" * 1500
LINE = "Low Tide: looking for a home -> handed over to Nell on 12 May 2026"


def timed(what: str, act: Callable[[], object]) -> None:
    begun = time.perf_counter()
    act()
    print(f"{what:48} {time.perf_counter() - begun:7.3f} s")


def long_log(entries: int) -> bytes:
    log = b""
    for number in range(1, entries + 1):
        told = LogEntry(f"{LINE}\n{LINE}\n{LINE}", NOON, "hand-over")
        files = tuple(LoggedFile(f"quilts/{quilt}.yaml", "a" * 16, "b" * 16) for quilt in range(4))
        log = with_entry(log, LoggedChange(number, told, files))
    return log


def change_twelve(folder: Path) -> None:
    changes = FileChanges(folder)
    for quilt in range(12):
        changes.add(f"quilts/{quilt}.yaml", OLD, NEW)
    changes.commit(LogEntry("\n".join([LINE] * 12), NOON, "hand-over"))


def take_in(folder: Path, photos: Path) -> None:
    changes = FileChanges(folder)
    for photo in photos.iterdir():
        changes.add_copy(f"photos/taken-in/{photo.name}", photo)
    changes.commit(LogEntry("All: taken in", NOON, "take-in"))


def main(entries: int = 3000, photos: int = 100) -> None:
    with tempfile.TemporaryDirectory() as temporary:
        folder, source = Path(temporary) / "collection", Path(temporary) / "source"
        for place in (folder / "quilts", folder / ".counterpane", source):
            place.mkdir(parents=True)
        for quilt in range(12):
            (folder / f"quilts/{quilt}.yaml").write_bytes(OLD)
        (folder / LOG).write_bytes(long_log(entries))
        timed(f"12 files changed, {entries:,} changes in the log", lambda: change_twelve(folder))
        timed("the log read", lambda: change_log(folder))
        timed("taken back", lambda: prepare_undo(folder).commit(NOON, "undo"))
        for number in range(photos):
            (source / f"{number}.jpg").write_bytes(os.urandom(3_000_000))
        timed(f"{photos:,} photos copied plainly", lambda: shutil.copytree(source, Path(temporary) / "copy"))
        timed(f"{photos:,} photos taken in", lambda: take_in(folder, source))
        timed("taken back", lambda: prepare_undo(folder).commit(NOON, "undo"))
        timed("done again", lambda: prepare_undo(folder, again=True).commit(NOON, "undo"))


if __name__ == "__main__":
    main(*map(int, sys.argv[1:]))
