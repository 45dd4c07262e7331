"""Changing several files of a collection so that all of them are changed, or none.

A batch is first written beside the files, into `.counterpane/unfinished/` (what each file was, and
what it becomes) with a journal that names them all; once the journal stands, the files are moved into
their places one by one, and the journal is taken away. Stopped before the journal stands, nothing
has happened; stopped after it, the next run finishes the batch. Whoever reads a collection does so within
`one_state`, which heals it and keeps writers waiting.

    collecting ─ staged ─ journal stands ─ moved, one by one ─ journal taken away
    └───── killed here: none ─────┘      └──── killed here: all, once healed ───┘

What is told of a batch is written into the log of changes, and what its files were is kept, so that it
can be taken back (see `taking_back`): both are files of the same batch.
"""

import contextlib
import shutil
import stat
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import reduce
from operator import and_
from pathlib import Path

from collection.batch_journal import (
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
from collection.change_log import (
    FORMER,
    KEPT_BYTES,
    KEPT_CHANGES,
    LOG,
    LoggedChange,
    LoggedFile,
    Told,
    last_number,
    log_bytes,
    read_log,
    with_entry,
)
from collection.disk import (
    copy_lasting,
    digest,
    holds,
    lies_within,
    link_on_the_way,
    refuse_where_it_cant_move,
    settle,
    take_after,
    write_lasting,
)
from collection.folder_lock import locked
from collection.part_files import PRIVATE, USUAL
from collection.problems import CollectionProblems, Problem

__all__ = ["UNFINISHED", "FileChange", "FileChanges", "Told"]


@dataclass(frozen=True, slots=True)
class CopyOf:
    """Content that is to be the same as that of a file elsewhere, which stays there."""

    source: Path


@dataclass(frozen=True, slots=True)
class Kept:
    """Content that lies in a file of the collection's own room, by its name, and is moved from there."""

    name: str
    digest: str


@dataclass(frozen=True, slots=True)
class KnownBy:
    """Content that is known by its whole digest, and not held in memory."""

    digest: str


@dataclass(frozen=True, slots=True)
class FileChange:
    """One file, relative to the collection with forward slashes: what it was when it was read (None:
    there was none), and what it is to be (None: it is taken away)."""

    name: str
    old: bytes | KnownBy | None
    new: bytes | CopyOf | Kept | None

    @property
    def old_digest(self) -> str | None:
        return digest(self.old) if isinstance(self.old, bytes) else self.old and self.old.digest


class FileChanges:
    """The files that one batch changes. Nothing is written before `commit`. Each may stand in a batch once."""

    def __init__(self, folder: Path, changes: Iterable[FileChange] = ()):
        self.folder = folder
        self._changes: dict[str, FileChange] = {}
        for change in changes:
            self._add(change)

    def add(self, name: str, old: bytes | None, new: bytes | None) -> None:
        """A file that is written: what it was (None: there is none), and what it is to be (None: taken away)."""
        self._add(FileChange(name, old, new))

    def add_copy(self, name: str, source: Path) -> None:
        """A new file that holds what `source` does, which may be large: it is never held in memory."""
        self._add(FileChange(name, None, CopyOf(source)))

    def remove(self, name: str, old: bytes) -> None:
        """A file that is taken away."""
        self._add(FileChange(name, old, None))

    def put_away(self, name: str, whole_digest: str) -> None:
        """A file that is taken away and may be large: it is known by the SHA-256 of what it holds."""
        self._add(FileChange(name, KnownBy(whole_digest), None))

    def bring_back(self, name: str, kept: str, whole_digest: str) -> None:
        """A file that was taken away, from where it is kept in the collection's room."""
        self._add(FileChange(name, None, Kept(kept, whole_digest)))

    def _add(self, change: FileChange) -> None:
        name = change.name
        if name in self._changes or not lies_within(name) or name.startswith(f"{ROOM}/"):
            raise ValueError(f"{name} would be written twice, or outside the collection")
        self._changes[name] = change

    @property
    def changes(self) -> tuple[FileChange, ...]:
        """What is to be written, in the order of the files' names; what stays the same is left out."""
        return tuple(change for _, change in sorted(self._changes.items()) if change.new != change.old)

    def commit(self, told: Told | None = None) -> tuple[str, ...]:
        """Change all files, and return their names.

        What is `told` of the batch joins the log of changes, by which it can be taken back; nothing does
        where nothing changes. Raises CollectionProblems, with every file as it was, when one of them was
        changed since it was read, is a link, or can't be written.
        """
        with locked(self.folder, exclusively=True):
            finish_or_clear(self.folder)
            if self.changes or (told and told.takes_back is not None):
                _Batch(self.folder, self.changes, told).write()
                _forget_the_oldest(self.folder)
        return tuple(change.name for change in self.changes)


# One batch --------------------------------------------------------------------------------------


class _Batch:
    """The stages of one batch, under the folder's lock."""

    def __init__(self, folder: Path, changes: tuple[FileChange, ...], told: Told | None):
        self.folder = folder
        self.changes = changes
        self.told = told
        self.steps: list[Step] = []

    def write(self) -> None:
        log = log_bytes(self.folder) if self.told is not None else b""
        problems = [problem for change in self.changes if (problem := self._obstacle(change))]
        problems += _obstacles_of_log(self.folder, log, self.told)
        if problems:
            raise CollectionProblems(problems)
        try:
            if self.told is None:
                self._stage_all(OLD)
            else:
                # A number that neither the log nor what is kept has used.
                number = max([last_number(log), *_kept_numbers(self.folder)], default=0) + 1
                self._stage_all(f"{FORMER}/{number}")
                self._stage_log(log, number, self.told)
            for place in {(self.folder / step.beside).parent for step in self.steps}:
                settle(place)
            write_journal(self.folder, self.steps)
        except OSError as error:
            clear(self.folder)
            raise CollectionProblems([in_words(error, self.folder, "Nothing was changed.")]) from error
        if len(finish(self.folder)) != len(self.changes):
            remedy = "What was laid ready here was altered before it was in its place, so nothing was changed. Run it again."
            raise CollectionProblems([Problem(UNFINISHED, 1, "", "", remedy)])

    def _obstacle(self, change: FileChange) -> Problem | None:
        """What keeps a file from being changed."""
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
        """Lay ready what files were and become; `kept` is where what they were stays."""
        (self.folder / UNFINISHED).mkdir(parents=True, exist_ok=True)
        for change in self.changes:
            self._stage(change, kept)

    def _stage(self, change: FileChange, kept: str) -> None:
        target = self.folder / change.name
        if change.new is None:
            refuse_where_it_cant_move(target, self.folder / UNFINISHED)
            self.steps.append(Step(change.name, change.old_digest, None, f"{kept}/{change.name}"))
            return
        # What is known of a file may be read by nobody who may not read the file.
        mode = USUAL if change.old is None else PRIVATE
        self._stage_new(change.name, change.old_digest, change.new, mode)
        if isinstance(change.old, bytes):
            write_lasting(self.folder / OLD / change.name, change.old, mode=mode)
            if self.told is not None:
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

    def _stage_log(self, log: bytes, number: int, told: Told) -> None:
        """The log with what is told of the steps so far."""
        files = tuple(
            LoggedFile.of(step.name, step.old, step.new)
            for step in self.steps
            if not step.name.startswith(f"{ROOM}/")
        )
        # The log tells of what is in the files: it may be read by nobody who may not read them.
        mode = reduce(and_, [(self.folder / change.name).stat().st_mode for change in self.changes if change.old is not None], USUAL)
        if log:
            write_lasting(self.folder / OLD / LOG, log, mode=PRIVATE)
        new = with_entry(log, LoggedChange(number, told, files))
        self._stage_new(LOG, digest(log) if log else None, new, PRIVATE if log else mode)
        if log:
            beside = self.folder / NEW / LOG
            beside.chmod(beside.stat().st_mode & mode)


def _obstacles_of_log(folder: Path, log: bytes, told: Told | None) -> Iterator[Problem]:
    """What keeps a batch from being told of in the log."""
    if told is None:
        return
    if link_on_the_way(folder, LOG):
        yield Problem(LOG, 1, "", "", "This is a link to another place, which is not written through. Remove the link.")
    if told.takes_back is not None:
        read = read_log(log)
        if told.takes_back not in {change.number for change in (*read.done[-1:], *read.undone[-1:])}:
            remedy = "Something else was changed while this ran, so nothing was taken back. Run it again."
            yield Problem(LOG, 1, "", "", remedy)


def _kept_numbers(folder: Path) -> list[int]:
    """The numbers of the changes of which something is kept."""
    with contextlib.suppress(OSError):
        return sorted(int(place.name) for place in (folder / FORMER).iterdir() if place.name.isdecimal())
    return []


def _forget_the_oldest(folder: Path) -> None:
    """Keep what files were of so many changes, and no more than so much of it; of the newest in any case."""
    numbers = _kept_numbers(folder)
    last, room = max(numbers, default=0), KEPT_BYTES
    for number in reversed(numbers):
        place = folder / FORMER / str(number)
        with contextlib.suppress(OSError):
            room -= sum(path.stat().st_size for path in place.rglob("*") if path.is_file())
        if number != last and (room < 0 or number <= last - KEPT_CHANGES):
            shutil.rmtree(place, ignore_errors=True)
