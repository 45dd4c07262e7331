"""A whole build: reads the records, makes what may have changed beside the old output, then swaps the two."""

import os
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import ExitStack, contextmanager, nullcontext
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

from collection.loading.loader import Reading, read_collection
from collection.loading.record_cache import RecordCache
from collection.problems import CollectionProblems, Problem
from collection.records.as_of import as_of, last_change
from collection.storage.fingerprints import KnownFiles
from collection.storage.locks import held_alone, locked
from site_builder.building.editions import BuiltEdition, Contents, Progress, build_editions
from site_builder.building.publish import editions_replaced, left_lying
from site_builder.editions import EDITIONS, EditionName
from site_builder.images.picture import Picture
from site_builder.images.store import PictureStore, SpoiledPicture
from site_builder.incremental import manifest
from site_builder.incremental.cache_folder import CacheFolder, held_cache, temporary_cache, why_not_kept
from site_builder.incremental.former_caches import remove_former_notes
from site_builder.incremental.manifest import BuildNotes, BuildReport, EditionNotes
from site_builder.incremental.up_to_date import report_if_up_to_date
from site_builder.temporary_folders import remove_left_folders

NOWHERE = ".nowhere"
"""A folder of photos that does not exist: names that begin with a dot are never read."""


@dataclass(frozen=True)
class _Options:
    """The arguments of `build`."""

    folder: Path
    output: Path
    on: date
    editions: Sequence[EditionName]
    strict: bool
    jobs: int
    progress: Progress
    clock: Callable[[], int]


def build(
    folder: Path,
    output: Path,
    *,
    on: date,
    editions: Sequence[EditionName] = EDITIONS,
    strict: bool = False,
    jobs: int = 2,
    known_to_differ: bool = False,
    progress: Progress = lambda what, done, of: None,
    clock: Callable[[], int] = time.time_ns,
    cache: CacheFolder | None = None,
) -> BuildReport:
    """Build the editions of a collection into `output`, each in a folder of its own name.

    `on` is the day as of which they are built, and by which the binder decides what is past. `clock` (ns) only decides
    whether a file is too new for its time to prove anything. `known_to_differ` skips `report_if_up_to_date`, which the
    caller has just called. `cache` keeps data for the next build; by default it is the collection's own.
    Raises CollectionProblems if the records have errors (with `strict`, also for warnings), OutputRefused
    if `output` can't be built into, OSError if it can't be written. The former editions then stay as they are.
    """
    remove_left_folders()
    left = remove_former_notes(output)
    with nullcontext(cache) if cache else held_cache(folder) as held:
        if not known_to_differ:
            known = report_if_up_to_date(
                folder, output, on=on, editions=editions, strict=strict, clock=clock, cache=held
            )
            if known is not None:
                return known
        options = _Options(folder, output, on, editions, strict, jobs, progress, clock)
        try:
            report = _build(options, held)
        except SpoiledPicture:
            PictureStore(held.pictures).remove_spoiled()
            report = _build(options, held)
    return replace(report, left_lying=(*left, *left_lying(output)))


def _build(options: _Options, cache: CacheFolder) -> BuildReport:
    program = manifest.program_fingerprint()
    notes = BuildNotes(cache, options.folder, options.output, program)
    record_cache = RecordCache(cache.records, f"{program} {os.path.realpath(options.folder)}")

    def look() -> tuple[KnownFiles, RecordCache]:
        return KnownFiles.look(options.folder, options.clock, notes.read_seen()), record_cache

    notes.remove_left_parts()
    reading = read_collection(options.folder, look, options.jobs)
    seen = reading.seen
    assert seen is not None, "read with fingerprints"
    if reading.errors or (options.strict and reading.warnings):
        raise CollectionProblems(reading.problems)
    collection, last_change_day = as_of(reading.collection, options.on), last_change(reading.collection)
    with (
        editions_replaced(options.output, options.editions, private=_is_within(options.output, cache.folder)) as staged,
        _prepared(reading, cache, options) as (store, pictures, why),
    ):
        placeholders = _picture_warnings(reading, pictures)
        photos = sum(picture.problem is None for picture in pictures.values())
        warnings = tuple(sorted({*reading.warnings, *placeholders}))
        if options.strict and warnings:
            raise CollectionProblems(warnings)
        contents = Contents(reading, collection, pictures, store, options.on, notes, program)
        built = build_editions(staged, contents, options.jobs, options.progress)
    counts = len(reading.collection.quilts), photos
    noted = {
        each.name: _edition_notes(each, options.on, seen, last_change_day, counts, warnings, placeholders)
        for each in built
    }
    # The editions are in place; without notes the next build has more to do, and that is all.
    why = _note(seen, notes, record_cache, noted) or why
    with held_alone(cache.folder) as alone:
        if alone:
            store.remove_idle_files()
    return BuildReport(
        quilts=len(reading.collection.quilts),
        pages=sum(each.pages for each in built),
        pictures=photos,
        editions=tuple(options.output / name for name in options.editions),
        warnings=warnings,
        recovered=reading.recovered,
        changed=_pages_changed(built),
        left_alone=not any(each.written.is_changed for each in built),
        not_kept=cache.why_temporary or why,
    )


def _pages_changed(editions: Sequence[BuiltEdition]) -> int | None:
    """How many pages are new, changed or removed; None if an edition had none to compare with."""
    changed = [each.written.pages_changed for each in editions if each.written.pages_changed is not None]
    return sum(changed) if len(changed) == len(editions) else None


def _edition_notes(
    edition: BuiltEdition,
    on: date,
    seen: KnownFiles,
    last_change_day: date,
    counts: tuple[int, int],
    warnings: tuple[Problem, ...],
    placeholders: Sequence[Problem],
) -> EditionNotes:
    """The notes on an edition for the next build. `counts`: of quilts, and of pictures."""
    quilts, pictures = counts
    return EditionNotes(
        state=seen.state,
        on=on.isoformat(),
        same_from=last_change_day.isoformat() if edition.name == "catalogue" else None,
        counts=(quilts, edition.pages, pictures),
        warnings=warnings,
        # The next build may be able to read the photo.
        to_look_at_again=bool(placeholders),
        input_digest=edition.input_digest,
        quilts=edition.quilts,
        left=edition.written.left,
        files=edition.written.notes,
    )


def _is_within(output: Path, folder: Path) -> bool:
    """Is the output in the private cache folder, as a preview's is?"""
    return Path(os.path.realpath(output)).is_relative_to(os.path.realpath(folder))


def _note(
    seen: KnownFiles, notes: BuildNotes, record_cache: RecordCache, editions: Mapping[EditionName, EditionNotes]
) -> str:
    """Save all notes for the next build; the reason if some can't be kept, else nothing."""
    try:
        record_cache.save()
    except OSError as error:
        notes.not_kept = error
    notes.write_seen(seen)
    for name, edition in editions.items():
        notes.write_edition(name, edition)
    return why_not_kept(notes.not_kept) if notes.not_kept else ""


@contextmanager
def _prepared(
    reading: Reading, cache: CacheFolder, options: _Options
) -> Iterator[tuple[PictureStore, dict[str, Picture], str]]:
    """The picture store, locked so that no other build clears it, and the pictures of all photos in it. If they can't be
    kept, the store is temporary, and the third value says why."""
    with ExitStack() as until_the_end:
        until_the_end.enter_context(locked(cache.folder, exclusively=False))
        store, why = PictureStore(cache.pictures, now=options.clock), ""
        try:
            pictures = _prepare(store, reading, options)
        except OSError as error:
            if cache.why_temporary:
                raise
            why = why_not_kept(error)
            temporary = until_the_end.enter_context(temporary_cache(why))
            store = PictureStore(temporary.pictures, now=options.clock)
            pictures = _prepare(store, reading, options)
        yield store, pictures, why


def _prepare(store: PictureStore, reading: Reading, options: _Options) -> dict[str, Picture]:
    """A picture for each photo that a quilt names, missing ones included."""
    collection = reading.collection
    root = collection.folder / "photos"
    # A name that the reading has not found may be a link out of the collection: it is not followed here either.
    wanted = {
        f"{root if photo.file in collection.photos else root / NOWHERE}/{photo.file}": photo.file
        for quilt in collection.quilts.values()
        for photo in quilt.photos
    }
    found = store.prepare(wanted, jobs=options.jobs, progress=lambda done, of: options.progress("Photos", done, of))
    store.keep_only(wanted)
    return {wanted[path]: picture for path, picture in found.items()}


def _picture_warnings(reading: Reading, pictures: dict[str, Picture]) -> list[Problem]:
    """A warning for each photo that a placeholder replaces; the reading has reported missing ones already."""
    warnings = []
    for quilt in reading.collection.quilts.values():
        text = reading.texts[f"quilts/{quilt.id}.yaml"]
        for index, photo in enumerate(quilt.photos):
            picture = pictures[photo.file]
            if picture.problem and photo.file in reading.collection.photos:
                path = ("photos", index, "file")
                warnings.append(text.problem(path, photo.file, picture.problem, severity="warning"))
    return warnings
