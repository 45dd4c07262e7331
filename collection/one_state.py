"""A collection while nothing in it is half written: what was interrupted is finished, and writers wait.

Whoever only reads needs no more of all that writing takes (see `safe_writing`).
"""

import contextlib
from collections.abc import Iterator
from pathlib import Path

from collection.batch_journal import ROOM, UNFINISHED, finish_or_clear, journal_stands
from collection.folder_lock import held_alone, locked
from collection.part_files import remove_left_parts


def heal(folder: Path) -> tuple[str, ...]:
    """Finish a batch that was interrupted; the names of its files, none when there was nothing to do.

    Raises CollectionProblems when it can't be finished, because a file was changed by hand since.
    """
    if not (folder / UNFINISHED).exists():
        return ()
    with locked(folder, exclusively=True):
        return finish_or_clear(folder)


@contextlib.contextmanager
def one_state(folder: Path) -> Iterator[tuple[str, ...]]:
    """While this holds, no batch is half written: heals first, and gives the names of healed files.

    Where the system can lock a folder, writers wait until it ends.
    """
    while True:
        healed = heal(folder) if journal_stands(folder) else ()
        _clear_what_was_left(folder)
        with locked(folder, exclusively=False):
            if journal_stands(folder):
                continue
            yield healed
            return


def _clear_what_was_left(folder: Path) -> None:
    """Take away what a run that was killed had begun to lay ready, and nothing that another run is writing."""
    remove_left_parts(folder)
    if not (folder / ROOM).is_symlink():
        remove_left_parts(folder / ROOM, of_any_name=True)
    if (folder / UNFINISHED).exists() and not journal_stands(folder):
        with held_alone(folder) as alone:
            if alone:
                finish_or_clear(folder)
