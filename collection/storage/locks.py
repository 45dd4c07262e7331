"""Locks a folder for one writer at a time, or for readers while nobody writes."""

import contextlib
import os
import sys
import time
from collections.abc import Iterator
from pathlib import Path

from collection.problems import CollectionProblems, Problem

# Windows has no such locks: its users must run one program at a time.
CAN_LOCK = sys.platform != "win32"
# Seconds to wait for another run.
PATIENCE = 10.0


@contextlib.contextmanager
def locked(folder: Path, *, exclusively: bool) -> Iterator[None]:
    """Lock the folder itself: no lock file is left, and the system releases the lock if the process is killed.

    Raises CollectionProblems if another run keeps the lock for more than `PATIENCE` seconds.
    """
    with _opened(folder) as handle:
        until = time.monotonic() + PATIENCE
        while not _try_lock(handle, exclusively=exclusively):
            if time.monotonic() > until:
                remedy = "Another run is at work in this collection. Wait until it is done, and run this again."
                raise CollectionProblems([Problem(str(folder), 1, "", "", remedy)])
            time.sleep(0.02)
        yield


@contextlib.contextmanager
def held_alone(folder: Path) -> Iterator[bool]:
    """Lock the folder without waiting. Yields whether that worked; True also on a disk that can't lock."""
    with _opened(folder) as handle:
        yield _try_lock(handle, exclusively=True)


@contextlib.contextmanager
def _opened(folder: Path) -> Iterator[int | None]:
    handle = None
    if CAN_LOCK:
        with contextlib.suppress(OSError):
            handle = os.open(folder, os.O_RDONLY)
    try:
        yield handle
    finally:
        if handle is not None:
            os.close(handle)


def _try_lock(handle: int | None, *, exclusively: bool) -> bool:
    """Lock without waiting; False if another run has the lock. True on a disk that can't lock."""
    if handle is None:
        return True
    import fcntl

    try:
        fcntl.flock(handle, (fcntl.LOCK_EX if exclusively else fcntl.LOCK_SH) | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    except OSError:
        return True
    return True
