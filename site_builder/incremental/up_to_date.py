"""Checks whether anything has changed since the last build, before loading anything that a build needs."""

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

# Its name in collection.storage.transaction, which is not loaded for this alone.
UNFINISHED = ".counterpane/unfinished"


def report_if_up_to_date(
    folder: Path,
    output: Path,
    *,
    on: date,
    editions: Sequence[EditionName],
    strict: bool = False,
    clock: Callable[[], int] = time.time_ns,
    cache: CacheFolder | None = None,
) -> BuildReport | None:
    """The report of a build that would change nothing; None if a build is needed.

    None is needed if the program, the collection's files, the options and every file of the output are the same.
    `cache` has the notes of the last build; by default the collection's own.
    """
    cache = cache or known_cache(folder)
    if cache is None or (folder / UNFINISHED).exists() or former_notes(output):
        return None
    kept = BuildNotes(cache, folder, output, manifest.program_fingerprint())
    seen = kept.read_seen_header()
    if seen is None or not _is_unchanged(folder, kept, seen, clock):
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


def _is_as_left(folder: Path, edition: EditionNotes, state: str, on: date) -> bool:
    if edition.to_look_at_again or edition.state != state or not edition.is_of(on.isoformat()):
        return False
    return output_fingerprint(folder) == edition.left != ""


def _is_unchanged(folder: Path, kept: BuildNotes, seen: SeenHeader, clock: Callable[[], int]) -> bool:
    """Are the collection's files the same, by fingerprint where that proves it, else by content?"""
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
