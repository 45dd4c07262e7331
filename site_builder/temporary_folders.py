"""Private folders that exist only while a command runs.

A folder is locked while it is in use. The next run removes folders that a killed run left behind.
"""

import os
import shutil
import stat
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from collection.storage.locks import CAN_LOCK

if CAN_LOCK:
    import fcntl

_PREFIX, _ENDING = "counterpane-", ".passing"


@contextmanager
def temporary_folder() -> Iterator[Path]:
    """A new folder that only its owner can read, removed at the end."""
    remove_left_folders()
    handle, folder = _new_folder()
    try:
        yield folder
    finally:
        shutil.rmtree(folder, ignore_errors=True)
        if handle is not None:
            os.close(handle)


def remove_left_folders() -> None:
    """Remove folders that no run uses any more."""
    if not CAN_LOCK:  # Windows: folders of killed runs stay
        return
    with suppress(OSError), os.scandir(tempfile.gettempdir()) as entries:
        for entry in entries:
            if entry.name.startswith(_PREFIX) and entry.name.endswith(_ENDING):
                _remove_if_left(entry.path)


def _remove_if_left(folder: str) -> None:
    with suppress(OSError):
        handle = os.open(folder, os.O_RDONLY | os.O_NOFOLLOW | os.O_DIRECTORY)
        try:
            found = os.fstat(handle)
            if stat.S_ISDIR(found.st_mode) and found.st_uid == os.geteuid():
                fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
                shutil.rmtree(folder, ignore_errors=True)
        finally:
            os.close(handle)


def _new_folder() -> tuple[int | None, Path]:
    while True:
        folder = Path(tempfile.mkdtemp(prefix=_PREFIX, suffix=_ENDING))
        if not CAN_LOCK:
            return None, folder
        try:
            handle = os.open(folder, os.O_RDONLY)
        except FileNotFoundError:  # another run has taken it for one that was left
            continue
        if _is_held(handle, folder):
            return handle, folder
        os.close(handle)


def _is_held(handle: int, folder: Path) -> bool:
    """Lock the folder; False if another run has just taken it for a leftover, and removes it."""
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    except OSError:  # a disk without locks, where no run removes another's folder
        return True
    with suppress(OSError):
        return os.stat(folder).st_ino == os.fstat(handle).st_ino
    return False
