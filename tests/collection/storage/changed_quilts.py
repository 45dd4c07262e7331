"""A quilt that is changed, another that is taken in, and both taken back."""

from datetime import datetime
from pathlib import Path

import pytest

from collection.problems import CollectionProblems
from collection.storage.transaction import FileChanges, LogEntry
from collection.storage.undo import prepare_undo
from tests.support.folders import files_below

NOON = datetime(2026, 5, 12, 12, 0)
LOW, HIGH, PHOTO = "quilts/low-tide.yaml", "quilts/high-tide.yaml", "photos/taken-in/low-tide.jpg"
FREE, KEPT = b"title: Low Tide\ndestination: free\n", b"title: Low Tide\ndestination: kept\n"


def state(folder: Path) -> dict[str, bytes]:
    """The collection's own files, without what is kept to take changes back."""
    return {name: content for name, content in files_below(folder).items() if not name.startswith(".counterpane/")}


def told(what: str = "Low Tide: looking for a home -> kept", command: str = "set-free") -> LogEntry:
    return LogEntry(what, NOON, command)


def keep_low_tide(folder: Path) -> None:
    FileChanges(folder, []).commit()
    changes = FileChanges(folder)
    changes.add(LOW, FREE, KEPT)
    changes.commit(told())


def take_in(folder: Path, source: Path) -> None:
    changes = FileChanges(folder)
    changes.add(HIGH, None, b"title: High Tide\n")
    changes.add_copy(PHOTO, source)
    changes.commit(told("High Tide: taken in", "take-in"))


def undo(folder: Path, *, again: bool = False) -> bool:
    found = prepare_undo(folder, again=again)
    if found is not None:
        found.commit(NOON, "undo")
    return found is not None


def refusal(folder: Path, **how) -> list[str]:
    with pytest.raises(CollectionProblems) as refused:
        prepare_undo(folder, **how)
    return [str(problem) for problem in refused.value.problems]
