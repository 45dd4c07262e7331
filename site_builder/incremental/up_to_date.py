"""Finding out that nothing has changed since the last build, before anything is loaded that a build needs."""

import time
from collections.abc import Callable, Sequence
from datetime import date
from pathlib import Path

from collection.storage.fingerprints import digest_of, fingerprints_of, state_of
from site_builder.editions import EditionName
from site_builder.incremental import manifest
from site_builder.incremental.cache_folder import CacheFolder, known_cache
from site_builder.incremental.former_caches import former_notes
from site_builder.incremental.manifest import (
    BuildNotes,
    BuildReport,
    EditionNotes,
    SeenHeader,
    output_fingerprint,
)

# As collection.storage.transaction calls it, which is not loaded for this alone.
UNFINISHED = ".counterpane/unfinished"


def report_if_up_to_date(
    folder: Path,
    output: Path,
    *,
    on: date,
    editions: Sequence[EditionName],
    strict: bool = False,
    clock: Callable[[], int] = time.time_ns,
    place: CacheFolder | None = None,
) -> BuildReport | None:
    """What a build would report, if it would find everything as the last one left it; else None.

    That is so if the program, the collection's files, what is asked for and every file that was made are
    the same. `place` is where it was noted; left out, the collection's own.
    """
    place = place or known_cache(folder)
    if place is None or (folder / UNFINISHED).exists() or former_notes(output):
        return None
    kept = BuildNotes(place, folder, output, manifest.program_fingerprint())
    seen = kept.read_seen_header()
    if seen is None or not _is_as_seen(folder, kept, seen, clock):
        return None
    kept.remove_left_parts()
    notes = [kept.read_edition(name, header_only=True) for name in editions]
    whole = [
        edition
        for name, edition in zip(editions, notes, strict=True)
        if edition is not None and _is_as_left(output / name, edition, seen.state, on)
    ]
    if len(whole) < len(editions):
        return None
    report = _report_of(whole, tuple(output / name for name in editions))
    return None if strict and report.warnings else report


def _report_of(editions: Sequence[EditionNotes], folders: tuple[Path, ...]) -> BuildReport:
    """The report of a build that changed nothing."""
    quilts, _, pictures = editions[0].counts
    return BuildReport(
        quilts=quilts,
        pages=sum(edition.counts[1] for edition in editions),
        pictures=pictures,
        editions=folders,
        warnings=tuple(sorted({warning for edition in editions for warning in edition.warnings})),
        changed=0,
        left_alone=True,
    )


def _is_as_left(place: Path, edition: EditionNotes, state: str, on: date) -> bool:
    if edition.to_look_at_again or edition.state != state or not edition.is_of(on.isoformat()):
        return False
    return output_fingerprint(place) == edition.left != ""


def _is_as_seen(folder: Path, kept: BuildNotes, seen: SeenHeader, clock: Callable[[], int]) -> bool:
    """By their stamps where those are proof enough, else by their contents."""
    now = clock()
    if state_of(fingerprints_of(str(folder))) != seen.state:
        return False
    if not all(content is not None and _digest(folder / name) == content for name, content in seen.fresh.items()):
        return False
    if seen.fresh and (files := kept.read_seen()) is not None:
        kept.write_seen(files.seen_again(now))
    return True


def _digest(path: Path) -> str | None:
    try:
        return digest_of(path.read_bytes())
    except OSError:
        return None
