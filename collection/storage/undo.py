"""Undoes the newest change in the log, or redoes the last one that was undone.

Only the newest change can be undone, because later changes build on earlier ones: a delivery on a handover. A file
that was changed by hand since is never overwritten. An undo is itself a change: it is logged, and its former files are
kept.
"""

from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Literal

from collection.problems import CollectionProblems, Problem
from collection.storage.change_log import (
    FORMER,
    ChangeLog,
    LogEntry,
    LoggedChange,
    LoggedFile,
    is_known_by,
    log_bytes,
    read_log,
)
from collection.storage.files import file_digest
from collection.storage.transaction import FileChanges

Becomes = Literal["as it was", "put away", "there again", "already so"]

_TAKEN_BACK, _DONE_AGAIN = "Taken back: ", "Done again: "


@dataclass(frozen=True, slots=True)
class Undo:
    """The change to undo, whether that is a redo (`again`), and what happens to each file."""

    change: LoggedChange
    again: bool
    becomes: dict[str, Becomes]
    changes: FileChanges

    @property
    def what(self) -> str:
        return bare(self.change.entry.what)

    def commit(self, at: datetime, command: str) -> tuple[str, ...]:
        """Undo the change. Returns the names of the changed files. Raises CollectionProblems like `FileChanges.commit`."""
        what = (_DONE_AGAIN if self.again else _TAKEN_BACK) + self.what
        return self.changes.commit(LogEntry(what, at, command, takes_back=self.change.number))


def bare(what: str) -> str:
    """The words for a change, without the prefix for an undo or a redo."""
    return what.removeprefix(_TAKEN_BACK).removeprefix(_DONE_AGAIN)


def change_log(folder: Path) -> ChangeLog:
    """The log of a collection; empty if nothing was changed yet. A log that can't be read has `damage`."""
    try:
        return read_log(log_bytes(folder))
    except CollectionProblems as refused:
        return ChangeLog((), (), (), tuple(refused.problems))


def prepare_undo(folder: Path, *, again: bool = False) -> Undo | None:
    """The undo of the last change or, with `again`, of the last undo; None if there is nothing to undo.

    Nothing is written before `commit`. Raises CollectionProblems, one for each file that was changed by hand since or
    whose former content is no longer kept, or if the log can't be read.
    """
    log = change_log(folder)
    waiting = log.undone if again else log.done
    if not waiting:
        if log.damage:
            raise CollectionProblems(log.damage)
        return None
    change = waiting[-1]
    changes, becomes, problems = FileChanges(folder), dict[str, Becomes](), list[Problem]()
    for file in change.files:
        try:
            becomes[file.name] = _reverse(changes, file, change.number)
        except CollectionProblems as refused:
            problems += refused.problems
    if problems:
        raise CollectionProblems(problems)
    return Undo(change, again, becomes, changes)


def _reverse(changes: FileChanges, file: LoggedFile, number: int) -> Becomes:
    """Add the change that restores a file's former content."""
    path, kept = changes.folder / file.name, f"{FORMER}/{number}/{file.name}"
    try:
        now, former = file_digest(path), file_digest(changes.folder / kept)
    except OSError as error:
        raise CollectionProblems([Problem(file.name, 1, "", "", f"It can't be read: {error.strerror}.")]) from error
    if is_known_by(now, file.was):
        return "already so"
    was_kept = former is not None and is_known_by(former, file.was)
    if not is_known_by(now, file.now) or (now is None and path.exists()):
        raise CollectionProblems([_changed_since(file, now, kept if was_kept else None)])
    if file.was is None and now is not None:
        changes.put_away(file.name, now)
        return "put away"
    if former is None or not was_kept:
        raise CollectionProblems([_no_longer_kept(file)])
    if file.now is None:
        changes.bring_back(file.name, kept, former)
        return "there again"
    changes.add(file.name, path.read_bytes(), (changes.folder / kept).read_bytes())
    return "as it was"


def _changed_since(file: LoggedFile, now: str | None, kept: str | None) -> Problem:
    """The problem of a file that was changed by hand, with what to do."""
    if file.was is None:
        what = "It was new then, and was changed by hand since, so it is left as it is. To take it back, move it away"
    elif now is None:
        other = f", or {kept} in its place" if kept else ""
        what = f"It was moved or removed by hand since. To take this back, put it back where it was{other}"
    elif file.now is None:
        what = "It was taken away then, and another has its name since. To take this back, move that one away"
    elif kept is None:
        what = "It was changed by hand since, so it is left as it is, and what it was before is no longer kept. Make"
        return Problem(file.name, 1, "", "", f"{what} the correction by hand.")
    else:
        what = (
            "It was changed by hand since, so it is left as it is. Make the correction by hand; or, to take it back "
            f"with what was written since, put {kept} in its place"
        )
    return Problem(file.name, 1, "", "", f"{what}, and run this again.")


def _no_longer_kept(file: LoggedFile) -> Problem:
    remedy = "What it was before is no longer kept, so this can't be taken back. Make the correction by hand."
    return Problem(file.name, 1, "", "", remedy)


def undone_by(log: ChangeLog) -> dict[int, int]:
    """For each undone change, the number of the last change that undid it."""
    return {change.entry.takes_back: change.number for change in log.changes if change.entry.takes_back is not None}
