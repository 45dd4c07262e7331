"""Finding out that nothing has changed since the last build, before anything is loaded that a build needs."""

import time
from collections.abc import Callable, Sequence
from datetime import date
from pathlib import Path

from collection.file_stamps import SeenFiles, digest_of, stamps_of
from site_builder.build_notes import (
    BuildReport,
    EditionNotes,
    files_in,
    program_stamp,
    read_edition,
    read_seen,
    write_seen,
)

# As collection.safe_writing calls it, which is not loaded for this alone.
UNFINISHED = ".counterpane/unfinished"


def built_already(
    folder: Path,
    output: Path,
    *,
    on: date,
    editions: Sequence[str],
    strict: bool = False,
    clock: Callable[[], int] = time.time_ns,
) -> BuildReport | None:
    """What a build would report, if it would find everything as the last one left it; else None.

    That is so if the program, the collection's files, what is asked for and every file that was made are
    the same.
    """
    program = program_stamp()
    seen = read_seen(output, folder, program)
    if seen is None or (folder / UNFINISHED).exists() or not _is_as_seen(folder, output, seen, program, clock):
        return None
    state = seen.state
    notes = {name: read_edition(output, name, program) for name in editions}
    for name, edition in notes.items():
        if edition is None or not _is_as_left(output / name, edition, state, on):
            return None
    first = notes[editions[0]]
    warnings = tuple(sorted({warning for edition in notes.values() for warning in edition.warnings}))
    if strict and warnings:
        return None
    quilts, _, pictures = first.counts
    return BuildReport(
        quilts=quilts,
        pages=sum(edition.counts[1] for edition in notes.values()),
        pictures=pictures,
        editions=tuple(output / name for name in editions),
        warnings=warnings,
        changed=0,
        left_alone=True,
    )


def _is_as_left(place: Path, edition: EditionNotes, state: str, on: date) -> bool:
    if edition.to_look_at_again or edition.state != state or edition.on not in (None, on.isoformat()):
        return False
    return files_in(place) == {path: note.stamp for path, note in edition.files.items()}


def _is_as_seen(folder: Path, output: Path, seen: SeenFiles, program: str, clock: Callable[[], int]) -> bool:
    """By their stamps where those are proof enough, else by their contents."""
    now = clock()
    if stamps_of(str(folder)) != seen.stamps:
        return False
    fresh = [name for name, settled in seen.settled.items() if not settled]
    if not all(name in seen.digests and _digest(folder / name) == seen.digests[name] for name in fresh):
        return False
    if fresh:
        write_seen(output, folder, program, seen.seen_again(now))
    return True


def _digest(path: Path) -> str | None:
    try:
        return digest_of(path.read_bytes())
    except OSError:
        return None
