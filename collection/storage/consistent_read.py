"""Reads a collection while nothing in it is half written: finishes what was interrupted, and lets writers wait."""

import contextlib
from collections.abc import Iterator
from pathlib import Path

from collection.storage.journal import ROOM, UNFINISHED, finish_or_clear, journal_stands
from collection.storage.locks import held_alone, locked
from collection.storage.part_files import remove_left_parts


def recover(folder: Path) -> tuple[str, ...]:
    """Finish an interrupted batch; the names of its files, none when there was nothing to do.

    Raises CollectionProblems when it can't be finished because a file was changed by hand since.
    """
    if not (folder / UNFINISHED).exists():
        return ()
    with locked(folder, exclusively=True):
        return finish_or_clear(folder)


@contextlib.contextmanager
def consistent_read(folder: Path) -> Iterator[tuple[str, ...]]:
    """Hold off writers while no batch is half written; gives the names of the files of an interrupted batch.

    On a system that can't lock a folder, writers do not wait.
    """
    while True:
        recovered = recover(folder) if journal_stands(folder) else ()
        _clear_what_was_left(folder)
        with locked(folder, exclusively=False):
            if journal_stands(folder):
                continue
            yield recovered
            return


def _clear_what_was_left(folder: Path) -> None:
    """Remove unfinished files of a killed run, and nothing that another run is writing."""
    remove_left_parts(folder)
    if not (folder / ROOM).is_symlink():
        remove_left_parts(folder / ROOM, of_any_name=True)
    if (folder / UNFINISHED).exists() and not journal_stands(folder):
        with held_alone(folder) as alone:
            if alone:
                finish_or_clear(folder)
