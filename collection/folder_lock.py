"""One writer at a time in a folder, and none while somebody reads it."""

import contextlib
import os
import time
from collections.abc import Iterator
from pathlib import Path

from collection.problems import CollectionProblems, Problem

try:
    import fcntl
except ImportError:  # Not every system has it; there one program at a time has to do.
    fcntl = None

# So many seconds another run may keep us waiting.
PATIENCE = 10.0


@contextlib.contextmanager
def locked(folder: Path, *, exclusively: bool) -> Iterator[None]:
    """Hold the folder itself, which leaves no file behind; the system lets go of it if we are killed.

    Raises CollectionProblems when another run holds it too long.
    """
    handle = None
    if fcntl is not None:
        with contextlib.suppress(OSError):
            handle = os.open(folder, os.O_RDONLY)
    try:
        if handle is not None:
            _wait_for(handle, fcntl.LOCK_EX if exclusively else fcntl.LOCK_SH, folder)
        yield
    finally:
        if handle is not None:
            os.close(handle)


@contextlib.contextmanager
def held_alone(folder: Path) -> Iterator[bool]:
    """Hold the folder if nobody has it, without waiting; whether it is held. On a disk that knows no locks it is."""
    handle = None
    if fcntl is not None:
        with contextlib.suppress(OSError):
            handle = os.open(folder, os.O_RDONLY)
    try:
        yield handle is None or _is_free(handle)
    finally:
        if handle is not None:
            os.close(handle)


def _is_free(handle: int) -> bool:
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    except OSError:
        return True
    return True


def _wait_for(handle: int, kind: int, folder: Path) -> None:
    """Wait for a lock. A disk that knows none is used without."""
    until = time.monotonic() + PATIENCE
    while True:
        try:
            return fcntl.flock(handle, kind | fcntl.LOCK_NB)
        except BlockingIOError:
            if time.monotonic() > until:
                remedy = "Another run is at work in this collection. Wait until it is done, and run this again."
                raise CollectionProblems([Problem(str(folder), 1, "", "", remedy)]) from None
            time.sleep(0.02)
        except OSError:
            return None
