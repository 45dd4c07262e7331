"""A collection while nothing in it is half written: what was interrupted is finished, and writers wait.

Whoever only reads needs no more of all that writing takes (see `safe_writing`).
"""

import contextlib
from collections.abc import Iterator
from pathlib import Path

from collection.batch_journal import UNFINISHED, finish_or_clear, journal_stands
from collection.folder_lock import locked


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
        with locked(folder, exclusively=False):
            if journal_stands(folder):
                continue
            yield healed
            return
