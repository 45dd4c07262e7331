"""Writing several files of a collection so that all of them are written, or none.

A batch is first written beside the files, into `.counterpane/unfinished/` (what each file was, and
what it becomes) with a journal that names them all; once the journal stands, the new files are moved
into their places one by one, and the journal is taken away. Stopped before the journal stands, nothing
has happened; stopped after it, `heal` finishes the batch at the next run. Whoever reads a collection
does so within `one_state`, which heals it and keeps writers waiting.

    collecting ─ staged ─ journal stands ─ moved, one by one ─ journal taken away
    └───── killed here: none ─────┘      └──── killed here: all, once healed ───┘
"""

import contextlib
import errno
import hashlib
import json
import os
import shutil
import stat
import time
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path, PurePosixPath

from collection.problems import CollectionProblems, Problem

try:
    import fcntl
except ImportError:  # Not every system has it; there one program at a time has to do.
    fcntl = None

UNFINISHED = ".counterpane/unfinished"
_JOURNAL = f"{UNFINISHED}/journal.json"
_VERSION = 1

# So many seconds another run may keep us waiting.
PATIENCE = 10.0


@dataclass(frozen=True, slots=True)
class FileChange:
    """One file, relative to the collection with forward slashes: what it was when it was read (None:
    there was none), and what it is to be."""

    name: str
    old: bytes | None
    new: bytes


class FileChanges:
    """The files that one batch changes. Nothing is written before `commit`."""

    def __init__(self, folder: Path, changes: Iterable[FileChange] = ()):
        self.folder = folder
        self._changes: dict[str, FileChange] = {}
        for change in changes:
            self.add(change.name, change.old, change.new)

    def add(self, name: str, old: bytes | None, new: bytes) -> None:
        """One more file. Each may stand in a batch once."""
        if name in self._changes or not _lies_within(name):
            raise ValueError(f"{name} would be written twice, or outside the collection")
        self._changes[name] = FileChange(name, old, new)

    @property
    def changes(self) -> tuple[FileChange, ...]:
        """What is to be written, in the order of the files' names; what stays the same is left out."""
        return tuple(change for _, change in sorted(self._changes.items()) if change.new != change.old)

    def commit(self) -> tuple[str, ...]:
        """Write all files, and return their names.

        Raises CollectionProblems, with every file as it was, when one of them was changed since it was
        read, is a link, or can't be written.
        """
        with _locked(self.folder, exclusively=True):
            _finish_or_clear(self.folder)
            if self.changes:
                _Batch(self.folder, self.changes).write()
        return tuple(change.name for change in self.changes)


def heal(folder: Path) -> tuple[str, ...]:
    """Finish a batch that was interrupted; the names of its files, none when there was nothing to do.

    Raises CollectionProblems when it can't be finished, because a file was changed by hand since.
    """
    if not (folder / UNFINISHED).exists():
        return ()
    with _locked(folder, exclusively=True):
        return _finish_or_clear(folder)


@contextlib.contextmanager
def one_state(folder: Path) -> Iterator[tuple[str, ...]]:
    """While this holds, no batch is half written: heals first, and gives the names of healed files.

    Where the system can lock a folder, writers wait until it ends.
    """
    while True:
        healed = heal(folder)
        with _locked(folder, exclusively=False):
            if (folder / _JOURNAL).exists():
                continue
            yield healed
            return


# One batch --------------------------------------------------------------------------------------


class _Batch:
    """The stages of one batch."""

    def __init__(self, folder: Path, changes: tuple[FileChange, ...]):
        self.folder = folder
        self.changes = changes
        self.room = folder / UNFINISHED

    def write(self) -> None:
        problems = [problem for change in self.changes if (problem := self._obstacle(change))]
        if problems:
            raise CollectionProblems(problems)
        try:
            self._stage()
            self._write_journal()
        except OSError as error:
            _clear(self.folder)
            raise CollectionProblems([_told(error, self.folder, "Nothing was changed.")]) from error
        _finish(self.folder)

    def _obstacle(self, change: FileChange) -> Problem | None:
        """What keeps a file from being written."""
        path = self.folder / change.name
        link = _link_on_the_way(self.folder, change.name)
        if link is not None:
            remedy = f"{link} is a link to another place, which is not written through. Put the file itself there."
            return Problem(change.name, 1, "", "", remedy)
        try:
            now = path.read_bytes() if path.exists() else None
        except OSError as error:
            return _told(error, self.folder, "Nothing was changed.")
        if now != change.old:
            remedy = "This file was changed while this ran, so nothing was written. Run it again."
            return Problem(change.name, 1, "", "", remedy)
        if now is not None and not path.stat().st_mode & stat.S_IWUSR:
            remedy = "This file may only be read, so nothing was written. Allow writing to it first."
            return Problem(change.name, 1, "", "", remedy)
        return None

    def _stage(self) -> None:
        """Write what the files were and become, where a move into their places is one step."""
        for change in self.changes:
            target = self.folder / change.name
            target.parent.mkdir(parents=True, exist_ok=True)
            if change.old is not None:
                _write(self.room / "old" / change.name, change.old)
            new = self.room / "new" / change.name
            _write(new, change.new)
            if change.old is not None:
                _take_after(new, target)
            _refuse_where_it_cant_move(new, target)
        for place in {(self.room / "new" / change.name).parent for change in self.changes}:
            _settle(place)

    def _write_journal(self) -> None:
        files = [
            {"name": change.name, "old": _digest(change.old), "new": _digest(change.new)} for change in self.changes
        ]
        content = json.dumps({"version": _VERSION, "files": files}, indent=1, ensure_ascii=False)
        draft = self.room / "journal.draft"
        _write(draft, content.encode())
        os.replace(draft, self.folder / _JOURNAL)
        _settle(self.room)
        _settle(self.room.parent)
        _settle(self.folder)


# Finishing --------------------------------------------------------------------------------------


def _finish_or_clear(folder: Path) -> tuple[str, ...]:
    """Finish the batch whose journal stands; without one, what lies there was never begun."""
    if (folder / _JOURNAL).exists():
        return _finish(folder)
    _clear(folder)
    return ()


def _finish(folder: Path) -> tuple[str, ...]:
    """Move each new file into its place that is not there yet, and take the journal away.

    Where a new file is no more, the others go back instead, and no names are given.
    """
    files = _read_journal(folder)
    waiting = [file for file in files if _digest_of(folder / file[0]) != file[2]]
    problems = [
        _conflict(name, old)
        for name, old, _ in waiting
        if _digest_of(folder / name) != old or _link_on_the_way(folder, name)
    ]
    if problems:
        raise CollectionProblems(problems)
    new = folder / UNFINISHED / "new"
    if any(_digest_of(new / name) != digest for name, _, digest in waiting):
        _go_back(folder, files)
        return ()
    try:
        for name, _, _ in waiting:
            os.replace(new / name, folder / name)
        _end(folder, files)
    except OSError as error:
        _go_back(folder, files)
        raise CollectionProblems([_told(error, folder, "Nothing was changed.")]) from error
    return tuple(name for name, _, _ in files)


def _go_back(folder: Path, files: list["_Entry"]) -> None:
    """Put the files back as they were."""
    kept = folder / UNFINISHED / "old"
    moved = [(name, old) for name, old, _ in files if _digest_of(folder / name) != old]
    if any(_digest_of(kept / name) != old for name, old in moved):
        raise CollectionProblems([_unreadable()])
    try:
        for name, old in moved:
            if old is None:
                (folder / name).unlink()
            else:
                _take_after(kept / name, folder / name)
                os.replace(kept / name, folder / name)
        _end(folder, files)
    except OSError as error:
        rest = f"What the files were and become lies in {UNFINISHED}; run this again to finish."
        raise CollectionProblems([_told(error, folder, rest)]) from error


def _end(folder: Path, files: list["_Entry"]) -> None:
    """All files are in their places: take the journal away, and all that lies with it."""
    for place in {(folder / name).parent for name, _, _ in files}:
        _settle(place)
    (folder / _JOURNAL).unlink()
    _settle(folder / UNFINISHED)
    _clear(folder)


# A file's name, and the digests of what it was and becomes.
_Entry = tuple[str, str | None, str]


def _read_journal(folder: Path) -> list[_Entry]:
    try:
        journal = json.loads((folder / _JOURNAL).read_bytes())
        files = [(file["name"], file["old"], file["new"]) for file in journal["files"]]
        if journal["version"] == _VERSION and all(_lies_within(name) for name, _, _ in files):
            return files
    except OSError as error:
        raise CollectionProblems([_told(error, folder, "")]) from error
    except (ValueError, KeyError, TypeError):
        pass
    raise CollectionProblems([_unreadable()])


def _unreadable() -> Problem:
    remedy = (
        f"A run was interrupted, and its notes can't be read. Look into {UNFINISHED}, where old/ holds the files "
        "as they were and new/ as they were to be; put right what is not, then remove that folder."
    )
    return Problem(_JOURNAL, 1, "", "", remedy)


def _conflict(name: str, old: str | None) -> Problem:
    if old is None:
        remedy = "A run was interrupted, and this file was written since. Move it away and run this again."
    else:
        remedy = (
            "A run was interrupted, and this file was changed since, so the run can't be finished. "
            f"Put {UNFINISHED}/old/{name} in its place and run this again; then make your change anew."
        )
    return Problem(name, 1, "", "", remedy)


def _clear(folder: Path) -> None:
    """Take away what a batch left beside the files."""
    shutil.rmtree(folder / UNFINISHED, ignore_errors=True)
    with contextlib.suppress(OSError):
        (folder / UNFINISHED).parent.rmdir()


# Files ------------------------------------------------------------------------------------------


def _lies_within(name: str) -> bool:
    """Is this the name of a file inside the collection?"""
    path = PurePosixPath(name)
    return not path.is_absolute() and ".." not in path.parts and "\\" not in name and ":" not in name


def _link_on_the_way(folder: Path, name: str) -> str | None:
    """The first part of a file's path that is a link."""
    parts = PurePosixPath(name).parts
    places = ("/".join(parts[: end + 1]) for end in range(len(parts)))
    return next((place for place in places if (folder / place).is_symlink()), None)


def _write(path: Path, content: bytes) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    try:
        with path.open("wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
    except OSError as error:
        error.filename = error.filename or str(path)
        raise


def _take_after(path: Path, model: Path) -> None:
    """Give a file the permissions and the owner of another, but a time of its own."""
    before = path.stat()
    shutil.copystat(model, path)
    os.utime(path, ns=(before.st_atime_ns, before.st_mtime_ns))
    if hasattr(os, "chown"):
        with contextlib.suppress(PermissionError):
            os.chown(path, model.stat().st_uid, model.stat().st_gid)


def _refuse_where_it_cant_move(new: Path, target: Path) -> None:
    """Raise OSError where moving a file to its place would fail or not be one step."""
    place = target.parent
    if new.stat().st_dev != place.stat().st_dev:
        raise OSError(errno.EXDEV, "it lies on another disk than the rest of the collection", str(place))
    if not os.access(place, os.W_OK | os.X_OK):
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES), str(place))


def _settle(folder: Path) -> None:
    """Have the names in a folder written to the disk, where the system can."""
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def _digest(content: bytes | None) -> str | None:
    return None if content is None else hashlib.sha256(content).hexdigest()


def _digest_of(path: Path) -> str | None:
    return _digest(path.read_bytes()) if path.is_file() else None


def _told(error: OSError, folder: Path, rest: str) -> Problem:
    """An error of the system in words, at the file that it concerns."""
    path = Path(error.filename) if isinstance(error.filename, str) else folder
    within = path.is_relative_to(folder) and path != folder
    name = path.relative_to(folder).as_posix() if within else str(path)
    for side in ("old", "new"):
        name = name.removeprefix(f"{UNFINISHED}/{side}/")
    match error.errno:
        case errno.ENOSPC | errno.EDQUOT:
            why = "the disk is full"
        case errno.EACCES | errno.EPERM | errno.EROFS:
            why = "this folder may only be read, or belongs to somebody else"
        case _:
            why = error.strerror or str(error)
    return Problem(name, 1, "", "", f"It can't be written: {why}. {rest}".strip())


@contextlib.contextmanager
def _locked(folder: Path, *, exclusively: bool) -> Iterator[None]:
    """Hold the folder itself, which leaves no file behind; the system lets go of it if we are killed."""
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
