"""A whole build: read all, compute what may have changed, write that beside, and only then put it in place."""

import time
from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from datetime import date
from pathlib import Path

from collection.as_of import as_of, last_change
from collection.file_stamps import SeenFiles
from collection.problems import CollectionProblems, Problem
from collection.reading import Reading, read_collection
from collection.record_cache import RecordCache
from site_builder import build_notes
from site_builder.build_notes import BuildReport, EditionNotes
from site_builder.built_already import built_already
from site_builder.edition_building import Contents, Progress, build_editions
from site_builder.edition_names import EDITIONS, EditionName
from site_builder.picture_store import PictureStore
from site_builder.pictures import Picture
from site_builder.publishing import editions_replaced

STORE = ".pictures"
NOWHERE = ".nowhere"
"""A folder of photos that is not there; what begins with a dot is never read."""


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
) -> BuildReport:
    """Build the editions of a collection into `output`, each in a folder of its own name.

    `on` is the day as of which they are built, and from which the binder counts what is past; `clock` only decides whether a file is so
    new that its time proves nothing. With `known_to_differ` somebody has asked `built_already` just now.
    Raises CollectionProblems when the records have errors (with `strict`, warnings too), OutputRefused
    when `output` can't be built into, OSError when it can't be written; the editions that were there then
    stay as they are.
    """
    if not known_to_differ:
        known = built_already(folder, output, on=on, editions=editions, strict=strict, clock=clock)
        if known is not None:
            return known
    program = build_notes.program_stamp()
    cache = RecordCache(output / build_notes.FOLDER, program)

    def look() -> tuple[SeenFiles, RecordCache]:
        return SeenFiles.look(folder, clock, build_notes.read_seen(output, folder, program)), cache

    reading = read_collection(folder, look, jobs)
    if reading.errors or (strict and reading.warnings):
        raise CollectionProblems(reading.problems)
    collection, settled = as_of(reading.collection, on), last_change(reading.collection)
    store = PictureStore(output / STORE, now=clock)
    with editions_replaced(output, editions) as staged:
        pictures = _prepare(store, reading, jobs, progress)
        placeholders = _picture_warnings(reading, pictures)
        warnings = tuple(sorted({*reading.warnings, *placeholders}))
        if strict and warnings:
            raise CollectionProblems(warnings)
        contents = Contents(reading, collection, pictures, store, on, output, program)
        built = build_editions(staged, contents, jobs, progress)
    _take_notes(
        output,
        folder,
        program,
        reading.seen,
        cache,
        {
            each.name: EditionNotes(
                state=reading.seen.state,
                on=on.isoformat(),
                same_from=settled.isoformat() if each.name == "catalogue" else None,
                counts=(len(reading.collection.quilts), each.pages, len(pictures)),
                warnings=warnings,
                # A photo, or this machine, may be better then.
                to_look_at_again=bool(placeholders),
                rests_on=each.rests_on,
                quilts=each.quilts,
                left=each.written.left,
                files=each.written.notes,
            )
            for each in built
        },
    )
    changed = [each.written.pages_changed for each in built]
    return BuildReport(
        quilts=len(reading.collection.quilts),
        pages=sum(each.pages for each in built),
        pictures=len(pictures),
        editions=tuple(output / name for name in editions),
        warnings=warnings,
        healed=reading.healed,
        changed=None if None in changed else sum(changed),
        left_alone=not any(each.written.is_changed for each in built),
    )


def _take_notes(
    output: Path,
    folder: Path,
    program: str,
    seen: SeenFiles,
    cache: RecordCache,
    notes: Mapping[EditionName, EditionNotes],
) -> None:
    # The editions are in place; without notes the next build has more to do, and that is all.
    with suppress(OSError):
        cache.save()
        build_notes.write_seen(output, folder, program, seen)
        for name, edition in notes.items():
            build_notes.write_edition(output, name, program, edition)


def _prepare(
    store: PictureStore, reading: Reading, jobs: int, progress: Progress
) -> dict[str, Picture]:
    """What is known of each photo that a quilt names, also of those that are missing."""
    collection = reading.collection
    root = collection.folder / "photos"
    # A name that the reading has not found may lead out of the collection, by a link: it is not looked for again.
    wanted = {
        f"{root if photo.file in collection.photos else root / NOWHERE}/{photo.file}": photo.file
        for quilt in collection.quilts.values()
        for photo in quilt.photos
    }
    found = store.prepare(wanted, jobs=jobs, progress=lambda done, of: progress("Photos", done, of))
    store.prune(wanted)
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
