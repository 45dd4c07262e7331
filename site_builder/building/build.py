"""A whole build: read all, compute what may have changed, write that beside, and only then put it in place."""

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
"""A folder of photos that is not there; what begins with a dot is never read."""


@dataclass(frozen=True)
class _Asked:
    """What is asked of a build."""

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
    place: CacheFolder | None = None,
) -> BuildReport:
    """Build the editions of a collection into `output`, each in a folder of its own name.

    `on` is the day as of which they are built, and from which the binder counts what is past; `clock` only decides whether a file is so
    new that its time proves nothing. With `known_to_differ` somebody has asked `report_if_up_to_date` just now.
    `place` is where things are kept for the next build; left out, the collection's own among the user's caches.
    Raises CollectionProblems when the records have errors (with `strict`, warnings too), OutputRefused
    when `output` can't be built into, OSError when it can't be written; the editions that were there then
    stay as they are.
    """
    remove_left_folders()
    left = remove_former_notes(output)
    with nullcontext(place) if place else held_cache(folder) as kept:
        if not known_to_differ:
            known = report_if_up_to_date(
                folder, output, on=on, editions=editions, strict=strict, clock=clock, place=kept
            )
            if known is not None:
                return known
        asked = _Asked(folder, output, on, editions, strict, jobs, progress, clock)
        try:
            report = _build(asked, kept)
        except SpoiledPicture:
            PictureStore(kept.pictures).remove_spoiled()
            report = _build(asked, kept)
    return replace(report, left_lying=(*left, *left_lying(output)))


def _build(asked: _Asked, place: CacheFolder) -> BuildReport:
    program = manifest.program_fingerprint()
    notes = BuildNotes(place, asked.folder, asked.output, program)
    cache = RecordCache(place.records, f"{program} {os.path.realpath(asked.folder)}")

    def look() -> tuple[KnownFiles, RecordCache]:
        return KnownFiles.look(asked.folder, asked.clock, notes.read_seen()), cache

    notes.remove_left_parts()
    reading = read_collection(asked.folder, look, asked.jobs)
    seen = reading.seen
    assert seen is not None, "read with fingerprints"
    if reading.errors or (asked.strict and reading.warnings):
        raise CollectionProblems(reading.problems)
    collection, settled = as_of(reading.collection, asked.on), last_change(reading.collection)
    with (
        editions_replaced(asked.output, asked.editions, private=_is_within(asked.output, place.folder)) as staged,
        _prepared(reading, place, asked) as (store, pictures, why),
    ):
        placeholders = _picture_warnings(reading, pictures)
        photos = sum(picture.problem is None for picture in pictures.values())
        warnings = tuple(sorted({*reading.warnings, *placeholders}))
        if asked.strict and warnings:
            raise CollectionProblems(warnings)
        contents = Contents(reading, collection, pictures, store, asked.on, notes, program)
        built = build_editions(staged, contents, asked.jobs, asked.progress)
    counts = len(reading.collection.quilts), photos
    noted = {each.name: _edition_notes(each, asked.on, seen, settled, counts, warnings, placeholders) for each in built}
    # The editions are in place; without notes the next build has more to do, and that is all.
    why = _note(seen, notes, cache, noted) or why
    with held_alone(place.folder) as alone:
        if alone:
            store.remove_idle_files()
    return BuildReport(
        quilts=len(reading.collection.quilts),
        pages=sum(each.pages for each in built),
        pictures=photos,
        editions=tuple(asked.output / name for name in asked.editions),
        warnings=warnings,
        recovered=reading.recovered,
        changed=_pages_changed(built),
        left_alone=not any(each.written.is_changed for each in built),
        not_kept=place.why_temporary or why,
    )


def _pages_changed(editions: Sequence[BuiltEdition]) -> int | None:
    """How many pages are new, changed or gone; None where an edition had none to compare with."""
    changed = [each.written.pages_changed for each in editions if each.written.pages_changed is not None]
    return sum(changed) if len(changed) == len(editions) else None


def _edition_notes(
    edition: BuiltEdition,
    on: date,
    seen: KnownFiles,
    settled: date,
    counts: tuple[int, int],
    warnings: tuple[Problem, ...],
    placeholders: Sequence[Problem],
) -> EditionNotes:
    """What the next build is to know of an edition. `counts`: of quilts, and of pictures."""
    quilts, pictures = counts
    return EditionNotes(
        state=seen.state,
        on=on.isoformat(),
        same_from=settled.isoformat() if edition.name == "catalogue" else None,
        counts=(quilts, edition.pages, pictures),
        warnings=warnings,
        # A photo, or this machine, may be better then.
        to_look_at_again=bool(placeholders),
        input_digest=edition.input_digest,
        quilts=edition.quilts,
        left=edition.written.left,
        files=edition.written.notes,
    )


def _is_within(output: Path, place: Path) -> bool:
    """Are the pages kept among what only their owner may read, as a preview's are?"""
    return Path(os.path.realpath(output)).is_relative_to(os.path.realpath(place))


def _note(seen: KnownFiles, notes: BuildNotes, cache: RecordCache, editions: Mapping[EditionName, EditionNotes]) -> str:
    """Note all for the next build; why something of it can't be kept, if so."""
    try:
        cache.save()
    except OSError as error:
        notes.not_kept = error
    notes.write_seen(seen)
    for name, edition in editions.items():
        notes.write_edition(name, edition)
    return why_not_kept(notes.not_kept) if notes.not_kept else ""


@contextmanager
def _prepared(
    reading: Reading, place: CacheFolder, asked: _Asked
) -> Iterator[tuple[PictureStore, dict[str, Picture], str]]:
    """The pictures of all photos in a store, which no other build clears meanwhile; in a passing one where they can't be
    kept, and then why."""
    with ExitStack() as until_the_end:
        until_the_end.enter_context(locked(place.folder, exclusively=False))
        store, why = PictureStore(place.pictures, now=asked.clock), ""
        try:
            pictures = _prepare(store, reading, asked)
        except OSError as error:
            if place.why_temporary:
                raise
            why = why_not_kept(error)
            passing = until_the_end.enter_context(temporary_cache(why))
            store = PictureStore(passing.pictures, now=asked.clock)
            pictures = _prepare(store, reading, asked)
        yield store, pictures, why


def _prepare(store: PictureStore, reading: Reading, asked: _Asked) -> dict[str, Picture]:
    """What is known of each photo that a quilt names, also of those that are missing."""
    collection = reading.collection
    root = collection.folder / "photos"
    # A name that the reading has not found may lead out of the collection, by a link: it is not looked for again.
    wanted = {
        f"{root if photo.file in collection.photos else root / NOWHERE}/{photo.file}": photo.file
        for quilt in collection.quilts.values()
        for photo in quilt.photos
    }
    found = store.prepare(wanted, jobs=asked.jobs, progress=lambda done, of: asked.progress("Photos", done, of))
    store.keep_only(wanted)
    return {wanted[path]: picture for path, picture in found.items()}


def _picture_warnings(reading: Reading, pictures: dict[str, Picture]) -> list[Problem]:
    """A warning for each photo that a placeholder stands for; a missing one was told by the reading."""
    warnings = []
    for quilt in reading.collection.quilts.values():
        text = reading.texts[f"quilts/{quilt.id}.yaml"]
        for index, photo in enumerate(quilt.photos):
            picture = pictures[photo.file]
            if picture.problem and photo.file in reading.collection.photos:
                path = ("photos", index, "file")
                warnings.append(text.problem(path, photo.file, picture.problem, severity="warning"))
    return warnings
