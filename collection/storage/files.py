"""Durable writes of files, digests, and messages for errors of the operating system."""

import contextlib
import errno
import hashlib
import os
import shutil
from pathlib import Path, PurePosixPath
from typing import BinaryIO

from collection.problems import Problem
from collection.storage.part_files import PRIVATE, USUAL

_AT_A_TIME = 1 << 20


def real_path(path: Path) -> Path:
    """The path with all links resolved; a link to itself stays unchanged."""
    return Path(os.path.realpath(path))


def digest(content: bytes) -> str:
    """The SHA-256 of some bytes, in hexadecimal digits."""
    return hashlib.sha256(content).hexdigest()


def file_digest(path: Path) -> str | None:
    """The digest of a file, which is not loaded into memory as a whole; None if there is no file."""
    if not path.is_file():
        return None
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def bytes_of_named(path: Path, most: int) -> bytes:
    """The content of a file that a user names; at most its first `most` + 1 bytes.

    Raises OSError, also for anything but an ordinary file: a pipe would block, and a device never ends.
    """
    if not path.is_file():
        raise OSError(errno.EINVAL, "This is not an ordinary file. Name the file itself", str(path))
    with path.open("rb") as file:
        return file.read(most + 1)


def holds(path: Path, content: str | None) -> bool:
    """Does the content of a file have this digest? For None: is there no file?"""
    return not path.is_file() if content is None else file_digest(path) == content


def write_lasting(path: Path, content: bytes, *, mode: int = USUAL) -> None:
    """Write a file, making its folder, and wait until it is on the disk. `mode` (less the umask) is for a new file."""
    path.parent.mkdir(parents=True, exist_ok=True)
    try:
        with _created(path, mode) as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
    except OSError as error:
        error.filename = error.filename or str(path)
        raise


def copy_lasting(source: Path, path: Path) -> str:
    """Copy a file piece by piece and wait until the copy is on the disk. Returns its digest.

    Only those who can read the file can read the copy.
    """
    path.parent.mkdir(parents=True, exist_ok=True)
    seen = hashlib.sha256()
    try:
        with source.open("rb") as old, _created(path, PRIVATE | (os.fstat(old.fileno()).st_mode & USUAL)) as new:
            while piece := old.read(_AT_A_TIME):
                seen.update(piece)
                new.write(piece)
            new.flush()
            os.fsync(new.fileno())
    except OSError as error:
        error.filename = error.filename or str(path)
        raise
    return seen.hexdigest()


def _created(path: Path, mode: int) -> BinaryIO:
    return open(path, "wb", opener=lambda name, flags: os.open(name, flags, mode))


def settle(folder: Path) -> None:
    """Wait until the names in a folder are on the disk, if the system supports it."""
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def take_after(path: Path, model: Path) -> None:
    """Give a file the permissions and the owner of another, but keep its own times."""
    before = path.stat()
    shutil.copystat(model, path)
    os.utime(path, ns=(before.st_atime_ns, before.st_mtime_ns))
    if hasattr(os, "chown"):
        with contextlib.suppress(PermissionError):
            os.chown(path, model.stat().st_uid, model.stat().st_gid)


def refuse_where_it_cant_move(path: Path, folder: Path) -> None:
    """Raise OSError if a file can't be moved into a folder in one step."""
    if path.stat().st_dev != folder.stat().st_dev:
        raise OSError(errno.EXDEV, "it lies on another disk than the rest of the collection", str(folder))
    for place in (path.parent, folder):
        if not os.access(place, os.W_OK | os.X_OK):
            raise PermissionError(errno.EACCES, os.strerror(errno.EACCES), str(place))


def is_inside(name: str) -> bool:
    """Is this the normal form of a relative path inside a folder, with forward slashes?

    >>> is_inside("quilts/low-tide.yaml"), is_inside("quilts/../x"), is_inside("quilts//low-tide.yaml")
    (True, False, False)
    """
    path = PurePosixPath(name)
    is_text = not any(character == "\0" or "\ud800" <= character <= "\udfff" for character in name)
    return (
        bool(path.parts)
        and is_text
        and path.as_posix() == name
        and not (path.is_absolute() or ".." in path.parts or "\\" in name or ":" in name)
    )


def link_on_the_way(folder: Path, name: str) -> str | None:
    """The first part of a file's path that is a symbolic link; None if there is none."""
    parts = PurePosixPath(name).parts
    places = ("/".join(parts[: end + 1]) for end in range(len(parts)))
    return next((place for place in places if (folder / place).is_symlink()), None)


def not_written(error: OSError, folder: Path, rest: str, *, but_for: tuple[str, ...] = ()) -> Problem:
    """A problem for an error of the operating system, at the file that it concerns.

    The folder names in `but_for` are removed from the start of the file's name.
    """
    path = Path(error.filename) if isinstance(error.filename, str) else folder
    within = path.is_relative_to(folder) and path != folder
    name = path.relative_to(folder).as_posix() if within else str(path)
    for place in but_for:
        name = name.removeprefix(f"{place}/")
    match error.errno:
        case errno.ENOSPC | errno.EDQUOT:
            why = "the disk is full"
        case errno.EACCES | errno.EPERM | errno.EROFS:
            why = "this folder may only be read, or belongs to somebody else"
        case errno.ENOTDIR | errno.EEXIST:
            why = "a file stands where a folder is needed"
        case _:
            why = error.strerror or str(error)
    return Problem(name, 1, "", "", f"It can't be written: {why}. {rest}".strip())
