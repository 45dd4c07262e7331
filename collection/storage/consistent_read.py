"""Gives readers a consistent collection: finishes an interrupted batch first, and lets writers wait."""

import contextlib
from collections.abc import Iterator
from pathlib import Path

from collection.storage.journal import ROOM, UNFINISHED, finish_or_clear, has_journal
from collection.storage.locks import held_alone, locked
from collection.storage.part_files import remove_left_parts


def recover(folder: Path) -> tuple[str, ...]:
    """Finish an interrupted batch. Returns the names of its files; empty if there was none.

    Raises CollectionProblems if a file was changed by hand since, so that it can't be finished.
    """
    if not (folder / UNFINISHED).exists():
        return ()
    with locked(folder, exclusively=True):
        return finish_or_clear(folder)


@contextlib.contextmanager
def consistent_read(folder: Path) -> Iterator[tuple[str, ...]]:
    """Make writers wait while the caller reads; yields the names of the files of an interrupted batch, now finished.

    On a system that can't lock a folder, writers don't wait.
    """
    while True:
        recovered = recover(folder) if has_journal(folder) else ()
        _clear_what_was_left(folder)
        with locked(folder, exclusively=False):
            if has_journal(folder):
                continue
            yield recovered
            return


def _clear_what_was_left(folder: Path) -> None:
    """Remove the unfinished files of a killed run, but not those that another run is writing."""
    remove_left_parts(folder)
    if not (folder / ROOM).is_symlink():
        remove_left_parts(folder / ROOM, of_any_name=True)
    if (folder / UNFINISHED).exists() and not has_journal(folder):
        with held_alone(folder) as alone:
            if alone:
                finish_or_clear(folder)
