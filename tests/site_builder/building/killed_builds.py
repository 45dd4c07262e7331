"""Builds and changes of records that are killed at random moments, over and over, in one place.

    python -m tests.site_builder.building.killed_builds FOLDER KILLS [SEED]

After every kill each edition is byte for byte what one whole build made of one state of the records; nothing
is repaired in between but by the next build itself. Prints how many of the killed builds had just put new
pages in place. Needs a system that forks.
"""

import hashlib
import os
import random
import shutil
import signal
import sys
import time
import traceback
from datetime import date, datetime
from functools import partial
from pathlib import Path

from PIL import Image

from collection import parallel
from collection.loading.loader import read_collection
from collection.storage.transaction import FileChanges, LogEntry
from site_builder.building.build import build
from site_builder.incremental.cache_folder import cache_of
from tests.support.own_folders import build_afresh

DAY, NOON = date(2026, 5, 12), datetime(2026, 5, 12, 12)
QUILTS = 4
EDITIONS = ("catalogue", "binder")


def text_of(number: int, state: int) -> bytes:
    where = ("free", "kept")[state]
    return f"title: Quilt {number} of state {state}\nphotos: quilt-{number}.png\nmade: 20{10 + state}\ndestination: {where}\n".encode()


def write_state(folder: Path, state: int) -> None:
    """All records of that state, as one batch."""
    changes = FileChanges(folder)
    for number in range(QUILTS):
        name = f"quilts/quilt-{number}.yaml"
        path = folder / name
        changes.add(name, path.read_bytes() if path.exists() else None, text_of(number, state))
    changes.commit(LogEntry(f"All quilts to state {state}", NOON, "desk"))


def state_of(folder: Path) -> int:
    """Which state all records are of. Raises AssertionError where they are of two."""
    read = read_collection(folder)
    assert not read.errors, read.errors
    texts = {(folder / f"quilts/quilt-{number}.yaml").read_bytes() == text_of(number, 1) for number in range(QUILTS)}
    assert len(texts) == 1, "some records are of one state, some of another"
    return int(texts.pop())


def prints(edition: Path) -> str:
    """What tells one whole edition from every other: names and bytes of all its files."""
    seen = hashlib.sha256()
    for path in sorted(edition.rglob("*")):
        if path.is_file():
            seen.update(path.relative_to(edition).as_posix().encode() + b"\0" + path.read_bytes() + b"\0")
    return seen.hexdigest()


def begun(act) -> int:
    """Do that in a process of its own; its number."""
    child = os.fork()
    if child == 0:
        code = 1
        try:
            act()
            code = 0
        except BaseException:  # noqa: BLE001  a forked child never goes on as the test
            traceback.print_exc()
        finally:
            os._exit(code)
    return child


def killed_after(seconds: float, act) -> bool:
    """Do that, and kill it; whether it had ended. Raises AssertionError where it failed before that."""
    child = begun(act)
    time.sleep(seconds)
    os.kill(child, signal.SIGKILL)
    status = os.waitpid(child, 0)[1]
    assert status in (0, signal.SIGKILL), "what was to be killed failed by itself"
    return status == 0


def seconds_of(act) -> float:
    """How long that takes in a process of its own."""
    since = time.monotonic()
    assert os.waitpid(begun(act), 0)[1] == 0, "it failed"
    return time.monotonic() - since


def whole_builds(place: Path) -> dict[str, dict[str, int]]:
    """The prints of whole editions of both states, and which state that is."""
    known: dict[str, dict[str, int]] = {name: {} for name in EDITIONS}
    for state in (0, 1):
        write_state(place / "records", state)
        build_afresh(place / "records", place / f"whole-{state}", on=DAY)
        for name in EDITIONS:
            known[name][prints(place / f"whole-{state}" / name)] = state
    return known


def main(place: Path, kills: int, seed: int) -> None:
    os.fsync = lambda handle: None  # that the disk has it is not what is tried here
    parallel.WORTH_IT = 8  # so that even these few pages are made by several
    chance = random.Random(seed)
    records, output = place / "records", place / "output"
    for folder in ("photos", "quilts"):
        (records / folder).mkdir(parents=True)
    for number in range(QUILTS):
        Image.new("RGB", (90, 120), (60 * number, 90, 200 - 30 * number)).save(records / f"photos/quilt-{number}.png")
    known = whole_builds(place)
    build(records, output, on=DAY)
    write_state(records, 0)
    seconds = seconds_of(lambda: build(records, output, on=DAY))
    assert all(len(of) == 2 for of in known.values()), "the states make the same pages"
    shown = {name: prints(output / name) for name in EDITIONS}
    replaced = changed = 0
    for kill in range(kills):
        if kill % 3 == 2:
            before = state_of(records)
            killed_after(chance.random() * 0.05, partial(write_state, records, 1 - before))
            changed += state_of(records) != before
            continue
        if kill % 9 == 0:
            shutil.rmtree(cache_of(records).pictures, ignore_errors=True)
        # So that most builds have something to do.
        to_show = 1 - known["binder"][shown["binder"]]
        if chance.random() < 0.8 and state_of(records) != to_show:
            write_state(records, to_show)
        ended = killed_after(chance.random() * seconds, lambda: build(records, output, on=DAY))
        # So that a third of the builds just come to their end, however busy the machine is.
        seconds *= 0.9 if ended else 1.05
        for name in EDITIONS:
            now = prints(output / name)
            assert now in known[name], f"after kill {kill} the {name} is no whole one"
            replaced += now != shown[name]
            shown[name] = now
    build(records, output, on=DAY)
    build_afresh(records, place / "afresh", on=DAY)
    for name in EDITIONS:
        assert prints(output / name) == prints(place / "afresh" / name), f"the {name} is not as if it were built afresh"
    assert {path.name for path in output.iterdir()} == set(EDITIONS)
    for folder in (records, cache_of(records).folder):
        left = [path for path in folder.rglob("*") if path.suffix == ".part" or path.name == "unfinished"]
        assert not left, left
    print(f"{kills} kills: {replaced} editions had been replaced, {changed} changes had been made")


if __name__ == "__main__":
    main(Path(sys.argv[1]), int(sys.argv[2]), int(sys.argv[3]) if len(sys.argv) > 3 else 2026)
