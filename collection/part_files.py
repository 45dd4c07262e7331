"""Files that are written beside their places and then moved there, so that each is whole or not there at all.

A run that is killed in between leaves a part behind. Whoever writes a part holds it, and the system lets go of it
however the run ends: so the next run can tell what was left from what another run is writing.
"""

import errno
import itertools
import os
import re
import stat
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

try:
    import fcntl
except ImportError:  # Windows, where a file that is open can't be removed
    fcntl = None

PRIVATE, USUAL = 0o600, 0o666
"""Who may read a file: its owner, or whom the user's mask allows."""

_PART = re.compile(r"\.counterpane-[0-9]+-[0-9]+\.part")
_FORMER_PART = re.compile(r"\..+\.part")
_numbers = itertools.count()


def write_whole(path: Path, content: bytes, *, mode: int = USUAL) -> None:
    """A file with this content and nothing of what was there before; what was there stays until then.

    OSError, naming `path`, where it can't be written; then nothing is left beside it.
    """
    try:
        with _part(path.parent, mode) as (handle, beside):
            left = memoryview(content)
            while left:  # a full disk takes a piece first, and then refuses
                left = left[os.write(handle, left) :]
            if fcntl is None:
                os.close(handle)
            os.replace(beside, path)
    except OSError as error:
        error.filename, error.filename2 = str(path), None  # the other name means nothing to anyone
        raise


def remove_left_parts(folder: str | os.PathLike, *, of_any_name: bool = False) -> None:
    """Remove the parts in a folder that no run is writing any more.

    `of_any_name`: in a folder that is ours alone, what former versions called otherwise is a part too.
    """
    with suppress(OSError), os.scandir(folder) as entries:
        for entry in entries:
            if is_part(entry.name, of_any_name=of_any_name) and entry.is_file(follow_symlinks=False):
                remove_if_left(entry.path)


def is_part(name: str, *, of_any_name: bool = False) -> bool:
    """Is this what a part is called?"""
    return bool((_FORMER_PART if of_any_name else _PART).fullmatch(name))


def remove_if_left(path: str | os.PathLike) -> None:
    """Remove a part, unless a run is writing it."""
    with suppress(OSError):
        if fcntl is None:
            os.unlink(path)
            return
        handle = os.open(path, os.O_RDONLY | os.O_NOFOLLOW | os.O_NONBLOCK)
        try:
            if stat.S_ISREG(os.fstat(handle).st_mode) and _hold(handle, fcntl.LOCK_NB):
                os.unlink(path)
        finally:
            os.close(handle)


@contextmanager
def _part(folder: Path, mode: int) -> Iterator[tuple[int, Path]]:
    """A new file of ours beside others, open for writing and held; it is gone at the end unless it was moved."""
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
        except FileExistsError:  # left by a run that had our number, or written by one on another machine
            continue
        if fcntl is None:
            return handle, path
        _hold(handle, 0)
        # Before it was held, another run may have taken it for one that was left.
        with suppress(FileNotFoundError):
            if os.stat(path).st_ino == os.fstat(handle).st_ino:
                return handle, path
        os.close(handle)


def _hold(handle: int, how: int) -> bool:
    """Whether nobody else holds it. On a disk that knows no hold, what is there is as good as held by another."""
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | how)
    except OSError as error:
        if error.errno == errno.EINTR:
            raise
        return False
    return True
