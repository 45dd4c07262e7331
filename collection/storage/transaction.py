"""Changes several files of a collection in one transaction: all of them, or none.

A batch is first staged in `.counterpane/unfinished/`: the former and the new content of each file, then a journal
that lists them all. Next the files are moved into place one by one, and the journal is removed. A run that is killed
before the journal is written has changed nothing; if it is killed later, the next run finishes the batch. Readers use
`consistent_read`, which finishes the batch and makes writers wait.

    collecting ─ staged ─ journal written ─ moved, one by one ─ journal removed
    └───── killed here: none ──────┘      └─ killed here: all, by the next run ─┘

The log of changes gets an entry, and the former files are kept, so that the batch can be undone (see `undo`). Both are
files of the same batch.
"""

import contextlib
import shutil
import stat
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import reduce
from operator import and_
from pathlib import Path

from collection.problems import CollectionProblems, Problem
from collection.storage.change_log import (
    FORMER,
    KEPT_BYTES,
    KEPT_CHANGES,
    LOG,
    LogEntry,
    LoggedChange,
    LoggedFile,
    last_number,
    log_bytes,
    read_log,
    with_entry,
)
from collection.storage.files import (
    copy_lasting,
    digest,
    holds,
    is_inside,
    link_on_the_way,
    refuse_where_it_cant_move,
    settle,
    take_after,
    write_lasting,
)
from collection.storage.journal import (
    NEW,
    OLD,
    ROOM,
    UNFINISHED,
    Step,
    clear,
    finish,
    finish_or_clear,
    in_words,
    write_journal,
)
from collection.storage.locks import locked
from collection.storage.part_files import PRIVATE, USUAL

__all__ = ["UNFINISHED", "FileChange", "FileChanges", "LogEntry"]


@dataclass(frozen=True, slots=True)
class CopyOf:
    """The content of a file elsewhere, which is copied."""

    source: Path


@dataclass(frozen=True, slots=True)
class Kept:
    """The content of a file kept in `.counterpane`, which is moved back."""

    name: str
    digest: str


@dataclass(frozen=True, slots=True)
class KnownBy:
    """Content that is not in memory, known by its digest."""

    digest: str


@dataclass(frozen=True, slots=True)
class FileChange:
    """The change of one file: its name relative to the collection, with forward slashes; its content when it was read
    (None: no file); and its new content (None: it is removed)."""

    name: str
    old: bytes | KnownBy | None
    new: bytes | CopyOf | Kept | None

    @property
    def old_digest(self) -> str | None:
        if self.old is None:
            return None
        return digest(self.old) if isinstance(self.old, bytes) else self.old.digest


class FileChanges:
    """The changes of one batch, at most one for each file. Nothing is written before `commit`."""

    def __init__(self, folder: Path, changes: Iterable[FileChange] = ()):
        self.folder = folder
        self._changes: dict[str, FileChange] = {}
        for change in changes:
            self._add(change)

    def add(self, name: str, old: bytes | None, new: bytes | None) -> None:
        """Add a file with its former content (None: no file) and its new one (None: it is removed)."""
        self._add(FileChange(name, old, new))

    def add_copy(self, name: str, source: Path) -> None:
        """Add a new file with the content of `source`, which may be too large for memory."""
        self._add(FileChange(name, None, CopyOf(source)))

    def remove(self, name: str, old: bytes) -> None:
        """Remove a file."""
        self._add(FileChange(name, old, None))

    def put_away(self, name: str, whole_digest: str) -> None:
        """Remove a file that may be too large for memory; its SHA-256 shows that it is unchanged."""
        self._add(FileChange(name, KnownBy(whole_digest), None))

    def bring_back(self, name: str, kept: str, whole_digest: str) -> None:
        """Restore a removed file from `kept`, its name in `.counterpane`."""
        self._add(FileChange(name, None, Kept(kept, whole_digest)))

    def _add(self, change: FileChange) -> None:
        name = change.name
        if name in self._changes or not is_inside(name) or name.startswith(f"{ROOM}/"):
            raise ValueError(f"{name} would be written twice, or outside the collection")
        self._changes[name] = change

    @property
    def changes(self) -> tuple[FileChange, ...]:
        """The changes, sorted by file name, without those that change nothing."""
        return tuple(change for _, change in sorted(self._changes.items()) if change.new != change.old)

    def commit(self, entry: LogEntry | None = None) -> tuple[str, ...]:
        """Change all files, and return their names.

        Adds `entry` to the log of changes, so that the batch can be undone, unless nothing changes. Raises
        CollectionProblems, and changes no file, if one of them was changed since it was read, is a link, or can't be
        written.
        """
        with locked(self.folder, exclusively=True):
            finish_or_clear(self.folder)
            if self.changes or (entry and entry.takes_back is not None):
                _Batch(self.folder, self.changes, entry).write()
                _forget_the_oldest(self.folder)
        return tuple(change.name for change in self.changes)


# One batch --------------------------------------------------------------------------------------


class _Batch:
    """Writes one batch while the folder is locked."""

    def __init__(self, folder: Path, changes: tuple[FileChange, ...], entry: LogEntry | None):
        self.folder = folder
        self.changes = changes
        self.entry = entry
        self.steps: list[Step] = []

    def write(self) -> None:
        log = log_bytes(self.folder) if self.entry is not None else b""
        problems = [problem for change in self.changes if (problem := self._obstacle(change))]
        problems += _obstacles_of_log(self.folder, log, self.entry)
        if problems:
            raise CollectionProblems(problems)
        try:
            if self.entry is None:
                self._stage_all(OLD)
            else:
                # The next number, unused in both the log and the kept files.
                number = max([last_number(log), *_kept_numbers(self.folder)], default=0) + 1
                self._stage_all(f"{FORMER}/{number}")
                self._stage_log(log, number, self.entry)
            for place in {(self.folder / step.beside).parent for step in self.steps}:
                settle(place)
            write_journal(self.folder, self.steps)
        except OSError as error:
            clear(self.folder)
            raise CollectionProblems([in_words(error, self.folder, "Nothing was changed.")]) from error
        if len(finish(self.folder)) != len(self.changes):
            remedy = (
                "What was laid ready here was altered before it was in its place, so nothing was changed. Run it again."
            )
            raise CollectionProblems([Problem(UNFINISHED, 1, "", "", remedy)])

    def _obstacle(self, change: FileChange) -> Problem | None:
        """The problem that prevents the change of a file; None if there is none."""
        path = self.folder / change.name
        link = link_on_the_way(self.folder, change.name)
        if link is not None:
            remedy = f"{link} is a link to another place, which is not written through. Put the file itself there."
            return Problem(change.name, 1, "", "", remedy)
        if isinstance(change.new, CopyOf) and not change.new.source.is_file():
            remedy = "There is no such file any more, so nothing was written. Run it again."
            return Problem(str(change.new.source), 1, "", "", remedy)
        try:
            is_as_read = holds(path, change.old_digest) and (change.old is not None or not path.exists())
        except OSError as error:
            return in_words(error, self.folder, "Nothing was changed.")
        if not is_as_read:
            remedy = "This file was changed while this ran, so nothing was written. Run it again."
            return Problem(change.name, 1, "", "", remedy)
        if change.old is not None and not path.stat().st_mode & stat.S_IWUSR:
            remedy = "This file may only be read, so nothing was written. Allow writing to it first."
            return Problem(change.name, 1, "", "", remedy)
        return None

    def _stage_all(self, kept: str) -> None:
        """Stage the former and the new content of all files, the former in the folder `kept`."""
        (self.folder / UNFINISHED).mkdir(parents=True, exist_ok=True)
        for change in self.changes:
            self._stage(change, kept)

    def _stage(self, change: FileChange, kept: str) -> None:
        target = self.folder / change.name
        if change.new is None:
            refuse_where_it_cant_move(target, self.folder / UNFINISHED)
            self.steps.append(Step(change.name, change.old_digest, None, f"{kept}/{change.name}"))
            return
        # Only those who can read the file can read the copy.
        mode = USUAL if change.old is None else PRIVATE
        self._stage_new(change.name, change.old_digest, change.new, mode)
        if isinstance(change.old, bytes):
            write_lasting(self.folder / OLD / change.name, change.old, mode=mode)
            if self.entry is not None:
                self._stage_new(f"{kept}/{change.name}", None, change.old, mode)
                take_after(self.folder / NEW / kept / change.name, target)

    def _stage_new(self, name: str, old: str | None, content: bytes | CopyOf | Kept, mode: int) -> None:
        target, beside = self.folder / name, f"{NEW}/{name}"
        if isinstance(content, CopyOf):
            new = copy_lasting(content.source, self.folder / beside)
        elif isinstance(content, Kept):
            beside, new = content.name, content.digest
        else:
            write_lasting(self.folder / beside, content, mode=mode)
            new = digest(content)
        if not name.startswith(f"{ROOM}/"):
            target.parent.mkdir(parents=True, exist_ok=True)
            refuse_where_it_cant_move(self.folder / beside, target.parent)
        if old is not None:
            take_after(self.folder / beside, target)
        self.steps.append(Step(name, old, new, beside))

    # The log --------------------------------------------------------------------------------------

    def _stage_log(self, log: bytes, number: int, entry: LogEntry) -> None:
        """Stage the log, with a new entry for the steps so far."""
        own = (step for step in self.steps if not step.name.startswith(f"{ROOM}/"))
        files = tuple(LoggedFile.of(step.name, step.old, step.new) for step in own)
        # The log quotes the files, so only those who can read all of them can read it.
        changed = (self.folder / change.name for change in self.changes if change.old is not None)
        mode = reduce(and_, [path.stat().st_mode for path in changed], USUAL)
        if log:
            write_lasting(self.folder / OLD / LOG, log, mode=PRIVATE)
        new = with_entry(log, LoggedChange(number, entry, files))
        self._stage_new(LOG, digest(log) if log else None, new, PRIVATE if log else mode)
        if log:
            beside = self.folder / NEW / LOG
            beside.chmod(beside.stat().st_mode & mode)


def _obstacles_of_log(folder: Path, log: bytes, entry: LogEntry | None) -> Iterator[Problem]:
    """The problems that prevent a new entry in the log."""
    if entry is None:
        return
    if link_on_the_way(folder, LOG):
        yield Problem(LOG, 1, "", "", "This is a link to another place, which is not written through. Remove the link.")
    if entry.takes_back is not None:
        read = read_log(log)
        if entry.takes_back not in {change.number for change in (*read.done[-1:], *read.undone[-1:])}:
            remedy = "Something else was changed while this ran, so nothing was taken back. Run it again."
            yield Problem(LOG, 1, "", "", remedy)


def _kept_numbers(folder: Path) -> list[int]:
    """The numbers of the changes whose former files are still kept."""
    with contextlib.suppress(OSError):
        return sorted(int(place.name) for place in (folder / FORMER).iterdir() if place.name.isdecimal())
    return []


def _forget_the_oldest(folder: Path) -> None:
    """Remove the kept files of the oldest changes beyond the limits, but never those of the newest change."""
    numbers = _kept_numbers(folder)
    last, room = max(numbers, default=0), KEPT_BYTES
    for number in reversed(numbers):
        place = folder / FORMER / str(number)
        with contextlib.suppress(OSError):
            room -= sum(path.stat().st_size for path in place.rglob("*") if path.is_file())
        if number != last and (room < 0 or number <= last - KEPT_CHANGES):
            shutil.rmtree(place, ignore_errors=True)
