"""Writes a part file and then renames it, so that the file is complete or does not exist.

A killed run leaves its part file behind. A run locks the part file that it writes, and the system releases the lock
when the run ends: so the next run can distinguish an abandoned part file from one that is being written.
"""

import errno
import itertools
import os
import re
import shutil
import stat
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from collection.storage.locks import CAN_LOCK

PRIVATE, USUAL = 0o600, 0o666
"""File modes: only the owner may read the file, or everybody whom the umask allows."""
_PRIVATE_FOLDER = 0o700

_PART = re.compile(r"\.counterpane-[0-9]+-[0-9]+\.part")
_FORMER_PART = re.compile(r"\..+\.part")
_numbers = itertools.count()


def write_whole(path: Path, content: bytes, *, mode: int = USUAL) -> None:
    """Write a file in one step: readers see either the former content or the new one.

    Raises OSError, naming `path`, if it can't be written; then no part file is left.
    """
    try:
        with _part(path.parent, mode) as (handle, beside):
            left = memoryview(content)
            while left:  # a full disk first writes a piece, then raises OSError
                left = left[os.write(handle, left) :]
            if not CAN_LOCK:  # Windows can't rename an open file
                os.close(handle)
            os.replace(beside, path)
    except OSError as error:
        error.filename, error.filename2 = str(path), None  # users know nothing of the part file
        raise


def make_private_folder(folder: Path) -> None:
    """Make a folder and its missing parents, accessible only to their owner. Raises OSError if that fails."""
    if not folder.is_dir():
        make_private_folder(folder.parent)
        folder.mkdir(mode=_PRIVATE_FOLDER, exist_ok=True)


def remove_folder_in_place_of(path: Path) -> None:
    """Remove a folder at the path of a cache file: a file can't be renamed to the path of a folder."""
    if path.is_dir() and not path.is_symlink():
        shutil.rmtree(path, ignore_errors=True)


def remove_left_parts(folder: str | os.PathLike[str], *, of_any_name: bool = False) -> None:
    """Remove abandoned part files from a folder.

    `of_any_name`: include part files with names from former versions, for a folder that only this program uses.
    """
    with suppress(OSError), os.scandir(os.fspath(folder)) as entries:
        for entry in entries:
            if is_part(entry.name, of_any_name=of_any_name) and entry.is_file(follow_symlinks=False):
                remove_if_left(entry.path)


def is_part(name: str, *, of_any_name: bool = False) -> bool:
    """Is this the name of a part file?"""
    return bool((_FORMER_PART if of_any_name else _PART).fullmatch(name))


def remove_if_left(path: str | os.PathLike[str]) -> None:
    """Remove a part file unless a run is writing it."""
    with suppress(OSError):
        if not CAN_LOCK:
            os.unlink(path)
            return
        handle = os.open(path, os.O_RDONLY | os.O_NOFOLLOW | os.O_NONBLOCK)
        try:
            if stat.S_ISREG(os.fstat(handle).st_mode) and _hold(handle, wait=False):
                os.unlink(path)
        finally:
            os.close(handle)


@contextmanager
def _part(folder: Path, mode: int) -> Iterator[tuple[int, Path]]:
    """A new part file, locked and open for writing; it is removed at the end unless it was renamed."""
    handle, path = _new_part(folder, mode)
    try:
        yield handle, path
    except BaseException:
        with suppress(OSError):
            os.unlink(path)
        raise
    finally:
        with suppress(OSError):
            os.close(handle)


def _new_part(folder: Path, mode: int) -> tuple[int, Path]:
    while True:
        path = folder / f".counterpane-{os.getpid()}-{next(_numbers)}.part"
        try:
            handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0), mode)
        except FileExistsError:  # left by a former run with our process ID, or in use by one on another machine
            continue
        if not CAN_LOCK:
            return handle, path
        _hold(handle, wait=True)
        # Before it was locked, another run may have removed it as abandoned.
        with suppress(FileNotFoundError):
            if os.stat(path).st_ino == os.fstat(handle).st_ino:
                return handle, path
        os.close(handle)


def _hold(handle: int, *, wait: bool) -> bool:
    """Lock a file; False if another process has the lock, or the disk can't lock."""
    import fcntl

    try:
        fcntl.flock(handle, fcntl.LOCK_EX | (0 if wait else fcntl.LOCK_NB))
    except OSError as error:
        if error.errno == errno.EINTR:
            raise
        return False
    return True
