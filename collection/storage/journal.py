"""The journal of a batch: lists all moves of files before the first one, so that they can be finished after a crash.

Each step is one move: of new content, from where it is staged to its place; or of a removed file, from its place to
where it is kept. Overwritten files stay in `old/` until the end, so that a batch can also be rolled back.
"""

import contextlib
import json
import os
import shutil
from collections.abc import Iterable
from pathlib import Path
from typing import NamedTuple

from collection.problems import CollectionProblems, Problem
from collection.storage.files import holds, is_inside, link_on_the_way, not_written, settle, take_after, write_lasting
from collection.storage.folder_layout import FOLDERS

ROOM = ".counterpane"
UNFINISHED = f"{ROOM}/unfinished"
OLD, NEW = f"{UNFINISHED}/old", f"{UNFINISHED}/new"
JOURNAL = f"{UNFINISHED}/journal.json"
_VERSION = 2
_LONGEST_NAME = 255
"""In bytes: the longest file name that disks allow. Common practice, no source."""


class Step(NamedTuple):
    """One file, with its digests before and after (None: no file).

    `beside` is where its new content is staged, or where a removed file is moved to. Both names are relative to the
    collection.
    """

    name: str
    old: str | None
    new: str | None
    beside: str


def write_journal(folder: Path, steps: Iterable[Step]) -> None:
    """Write the journal: from now on the batch will be finished, even after a crash. Raises OSError."""
    files = [step._asdict() for step in steps]
    content = json.dumps({"version": _VERSION, "files": files}, indent=1, ensure_ascii=False)
    room = folder / UNFINISHED
    write_lasting(room / "journal.draft", content.encode())
    os.replace(room / "journal.draft", folder / JOURNAL)
    for place in (room, room.parent, folder):
        settle(place)


def has_journal(folder: Path) -> bool:
    """Is there a batch to finish? The journal must be an ordinary file, with no symbolic link in its path."""
    return (folder / JOURNAL).is_file() and not link_on_the_way(folder, JOURNAL)


def finish_or_clear(folder: Path) -> tuple[str, ...]:
    """Finish a batch that has a journal; without one it never began, and its staged files are removed."""
    if has_journal(folder):
        return finish(folder)
    clear(folder)
    return ()


def finish(folder: Path) -> tuple[str, ...]:
    """Do the remaining steps and remove the journal. Returns the names of the changed files of the collection.

    If staged content is missing, the batch is rolled back, and no names are returned. Raises CollectionProblems if the
    batch can't be finished.
    """
    steps = _read_journal(folder)
    waiting = _waiting(folder, steps)
    if waiting is None:
        _roll_back(folder, steps)
        return ()
    try:
        for step in waiting:
            way = (step.name, step.beside) if step.new is None else (step.beside, step.name)
            _move(folder, *way)
        _end(folder, steps)
    except OSError as error:
        _roll_back(folder, steps)
        raise CollectionProblems([in_words(error, folder, "Nothing was changed.")]) from error
    return tuple(step.name for step in steps if not step.name.startswith(f"{ROOM}/"))


def _waiting(folder: Path, steps: list[Step]) -> list[Step] | None:
    """The remaining steps; None if staged content is missing. CollectionProblems for a file that was changed since."""
    try:
        waiting = [step for step in steps if not holds(folder / step.name, step.new)]
        problems = [_conflict(step) for step in waiting if not _is_as_before(folder, step)]
        is_ready = all(step.new is None or holds(folder / step.beside, step.new) for step in waiting)
    except OSError as error:
        raise CollectionProblems([in_words(error, folder, _LATER)]) from error
    if problems:
        raise CollectionProblems(problems)
    return waiting if is_ready else None


def _is_as_before(folder: Path, step: Step) -> bool:
    return holds(folder / step.name, step.old) and not link_on_the_way(folder, step.name)


def _move(folder: Path, name: str, to: str) -> None:
    (folder / to).parent.mkdir(parents=True, exist_ok=True)
    os.replace(folder / name, folder / to)


def _roll_back(folder: Path, steps: list[Step]) -> None:
    """Restore the former files."""
    taken = [step for step in steps if not holds(folder / step.name, step.old)]
    if any(not holds(folder / _kept(step), step.old) for step in taken if step.old is not None):
        raise CollectionProblems([_unreadable()])
    try:
        for step in taken:
            if step.old is None:
                _move(folder, step.name, step.beside)
            else:
                if step.new is not None:
                    take_after(folder / _kept(step), folder / step.name)
                os.replace(folder / _kept(step), folder / step.name)
        _end(folder, steps)
    except OSError as error:
        raise CollectionProblems([in_words(error, folder, _LATER)]) from error


_LATER = f"What the files were and become lies in {UNFINISHED}; run this again to finish."


def _kept(step: Step) -> str:
    """Where the former content of a step's file is."""
    return step.beside if step.new is None else f"{OLD}/{step.name}"


def _end(folder: Path, steps: list[Step]) -> None:
    """End a batch whose files are all in place: remove the journal and the staged files."""
    places = {(folder / name).parent for step in steps for name in (step.name, step.beside)}
    above = {parent for place in places for parent in place.parents if parent.is_relative_to(folder)}
    for place in places | above:
        settle(place)
    (folder / JOURNAL).unlink()
    settle(folder / UNFINISHED)
    clear(folder)
    for place in places:
        _remove_if_empty(folder, place)


def clear(folder: Path) -> None:
    """Remove the staged files of a batch, but never through a symbolic link."""
    if link_on_the_way(folder, UNFINISHED):
        return
    shutil.rmtree(folder / UNFINISHED, ignore_errors=True)
    with contextlib.suppress(OSError):
        (folder / ROOM).rmdir()


def _remove_if_empty(folder: Path, place: Path) -> None:
    """Remove a folder and its parents if they are empty, but none of the collection's own folders."""
    parts = place.relative_to(folder).parts
    least = 1 if parts and parts[0] in FOLDERS else 0
    with contextlib.suppress(OSError):
        for end in range(len(parts), least, -1):
            folder.joinpath(*parts[:end]).rmdir()


def _read_journal(folder: Path) -> list[Step]:
    try:
        journal = json.loads((folder / JOURNAL).read_bytes())
        steps = [Step(**file) for file in journal["files"]]
        if journal["version"] == _VERSION and all(_may_be(n) for step in steps for n in (step.name, step.beside)):
            return steps
    except OSError as error:
        raise CollectionProblems([in_words(error, folder, "")]) from error
    except (ValueError, KeyError, TypeError, RecursionError):
        pass
    raise CollectionProblems([_unreadable()])


def _may_be(name: str) -> bool:
    """Can a batch have written a file of this name?"""
    return is_inside(name) and all(len(os.fsencode(part)) <= _LONGEST_NAME for part in name.split("/"))


def in_words(error: OSError, folder: Path, rest: str) -> Problem:
    return not_written(error, folder, rest, but_for=(OLD, NEW))


def _unreadable() -> Problem:
    remedy = (
        f"A run was interrupted, and its notes can't be read. Look into {UNFINISHED}, where old/ holds the files "
        "as they were and new/ as they were to be; put right what is not, then remove that folder."
    )
    return Problem(JOURNAL, 1, "", "", remedy)


def _conflict(step: Step) -> Problem:
    if step.old is None or step.new is None:
        remedy = "A run was interrupted, and this file was written since. Move it away and run this again."
    else:
        remedy = (
            "A run was interrupted, and this file was changed since, so the run can't be finished. "
            f"Put {OLD}/{step.name} in its place and run this again; then make your change anew."
        )
    return Problem(step.name, 1, "", "", remedy)
