"""A whole build: read all, compute what may have changed, write that beside, and only then put it in place."""

import time
from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import date
from importlib.resources import files
from pathlib import Path
from typing import Self

from collection.file_stamps import SeenFiles, digest_of
from collection.problems import CollectionProblems, Problem
from collection.reading import Reading, read_collection
from collection.record_cache import RecordCache
from collection.records.quilt import Quilt
from site_builder import build_notes
from site_builder.build_notes import BuildReport, EditionNotes
from site_builder.built_already import built_already
from site_builder.cards import PICTURE_FOLDER
from site_builder.edition import Edition
from site_builder.edition_names import EDITIONS, EditionName
from site_builder.edition_writing import EditionWriter
from site_builder.flat_covers import flat_cover
from site_builder.kept_entries import KeptEntries
from site_builder.page_heads import PageHeads
from site_builder.picture_store import PictureStore
from site_builder.pictures import Picture
from site_builder.publishing import editions_replaced
from site_builder.rendering import Renderer
from site_builder.site_map import pages_of
from site_builder.wall_index import wall_index
from site_builder.wall_pages import wall_order
from site_builder.web_files import web_files

STORE = ".pictures"
NOWHERE = ".nowhere"
"""A folder of photos that is not there; what begins with a dot is never read."""

Progress = Callable[[str, int, int], None]
"""Called with what is being done, how many are done, and how many there are."""


def build(
    folder: Path,
    output: Path,
    *,
    on: date,
    editions: Sequence[EditionName] = EDITIONS,
    strict: bool = False,
    jobs: int = 2,
    progress: Progress = lambda what, done, of: None,
    clock: Callable[[], int] = time.time_ns,
) -> BuildReport:
    """Build the editions of a collection into `output`, each in a folder of its own name.

    `on` is the day from which the binder reckons what is past; `clock` only decides whether a file is so
    new that its time proves nothing. Raises CollectionProblems when the records have errors (with
    `strict`, warnings too), OutputRefused when `output` can't be built into, OSError when it can't be
    written; the editions that were there then stay as they are.
    """
    known = built_already(folder, output, on=on, editions=editions, strict=strict, clock=clock)
    if known is not None:
        return known
    program = build_notes.program_stamp()
    before = build_notes.read_seen(output, folder, program)
    cache = RecordCache(output / build_notes.FOLDER, program)
    reading = read_collection(folder, lambda: (SeenFiles.look(folder, clock, before), cache))
    if reading.errors or (strict and reading.warnings):
        raise CollectionProblems(reading.problems)
    store = PictureStore(output / STORE, now=clock)
    notes: dict[EditionName, EditionNotes] = {}
    writers: list[EditionWriter] = []
    with editions_replaced(output, editions) as staged:
        pictures = _prepare(store, reading, jobs, progress)
        placeholders = _picture_warnings(reading, pictures)
        warnings = tuple(sorted({*reading.warnings, *placeholders}))
        if strict and warnings:
            raise CollectionProblems(warnings)
        for name, place in staged.items():
            writer = EditionWriter(place, build_notes.read_edition(output, name, None))
            edition, standing = _edition(name, reading, pictures, on), _Standing.of(reading, pictures, program, name)
            if not edition.is_binder:  # which shows all
                shown = KeptEntries(output, f"{name}-shown", program, standing.shared, standing.quilts)
                standing = standing.of_what_is_shown(edition, shown)
                shown.save()
            entries = KeptEntries(output, name, program, standing.shared, standing.quilts)
            pages = _write_edition(edition, writer, store, standing, entries, progress)
            # They are true whatever becomes of this build, and take much room.
            entries.save()
            del edition, entries
            writers.append(writer)
            notes[name] = EditionNotes(
                state=reading.seen.state,
                on=on.isoformat() if name == "binder" else None,
                counts=(len(reading.collection.quilts), pages, len(pictures)),
                warnings=warnings,
                # A photo, or this machine, may be better then.
                to_look_at_again=bool(placeholders),
                files=writer.notes,
            )
    _take_notes(output, folder, program, reading.seen, cache, notes)
    return BuildReport(
        quilts=len(reading.collection.quilts),
        pages=sum(each.counts[1] for each in notes.values()),
        pictures=len(pictures),
        editions=tuple(output / name for name in editions),
        warnings=warnings,
        healed=reading.healed,
        changed=sum(writer.pages_changed for writer in writers) if all(writer.had_before for writer in writers) else None,
        left_alone=not any(writer.is_changed for writer in writers),
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


def _edition(name: EditionName, reading: Reading, pictures: dict[str, Picture], on: date) -> Edition:
    if name == "catalogue":
        return Edition.catalogue(reading.collection, pictures)
    return Edition.binder(reading.collection, pictures, on)


def _prepare(
    store: PictureStore, reading: Reading, jobs: int, progress: Progress
) -> dict[str, Picture]:
    """What is known of each photo that a quilt names, also of those that are missing."""
    collection = reading.collection
    root = collection.folder / "photos"
    # A name that the reading has not found may lead out of the collection, by a link: it is not looked for again.
    wanted = {
        (root if photo.file in collection.photos else root / NOWHERE) / photo.file: photo.file
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


@dataclass(frozen=True, slots=True)
class _Standing:
    """What stands for the things that pages are made from: the program and the shared records, and each quilt."""

    shared: str
    quilts: Mapping[str, str]

    @classmethod
    def of(cls, reading: Reading, pictures: Mapping[str, Picture], program: str, edition: str) -> Self:
        digests = reading.seen.digests
        shared = sorted((name, digest) for name, digest in digests.items() if not name.startswith("quilts/"))
        quilts = {
            quilt.id: digest_of(
                repr(
                    (
                        quilt.id,
                        digests[f"quilts/{quilt.id}.yaml"],
                        [_picture_in_short(pictures[photo.file]) for photo in quilt.photos],
                    )
                ).encode()
            )
            for quilt in reading.collection.quilts.values()
        }
        return cls(digest_of(repr((program, edition, shared)).encode()), quilts)

    def of_what_is_shown(self, edition: Edition, known: KeptEntries) -> Self:
        """For each quilt what stands for the part of it that the edition may show.

        A change of what the catalogue leaves out so changes none of its pages. `known` has this from before.
        """
        quilts = {
            quilt.id: known(quilt.id, lambda quilt=quilt: _in_short(edition, quilt))
            for quilt in edition.collection.quilts.values()
        }
        return replace(self, quilts=quilts)


def _in_short(edition: Edition, quilt: Quilt) -> str:
    pictures = [(photo.file, edition.pictures.get(photo.file)) for photo in quilt.photos]
    in_short = [(file, _picture_in_short(picture) if picture else None) for file, picture in pictures]
    return digest_of(repr((quilt, in_short)).encode())


def _picture_in_short(picture: Picture) -> tuple:
    """What a picture is follows from the photo's content and the program, unless something is wrong with it."""
    return picture.digest, picture.problem, [rendition.file_name for rendition in picture.files]


def _write_edition(
    edition: Edition,
    writer: EditionWriter,
    store: PictureStore,
    standing: _Standing,
    entries: KeptEntries,
    progress: Progress,
) -> int:
    """Write all files of one edition; returns the number of pages."""
    quilts = wall_order(edition)
    plans = list(pages_of(edition, quilts))
    heads, renderer = PageHeads(edition, quilts), Renderer()
    for done, plan in enumerate(plans, start=1):
        # A page of no quilts with colours has the strip of the whole edition.
        own = plan.rests_on(standing.shared, standing.quilts, edition.on)
        with_strip = digest_of(f"{own} {heads.colours}".encode())
        if not writer.kept(plan.path, (own, with_strip)):
            spec = plan.page(edition)
            content = renderer.page(spec.template, heads.head(spec), spec.view)
            writer.put(plan.path, content, own if spec.colours else with_strip)
        progress(f"Pages of the {edition.name}", done, len(plans))
    paths = [plan.path for plan in plans]
    for path, content in {**web_files(edition, paths), **wall_index(edition, quilts, entries), **_assets()}.items():
        writer.put(path, content)
    shown = [each for picture in edition.pictures.values() for each in picture.renditions]
    shown += [flat for quilt in quilts if (flat := flat_cover(edition, quilt))]
    for name, rendition in sorted({each.file_name: each for each in shown}.items()):
        writer.copy(store.file(rendition), f"{PICTURE_FOLDER}/{name}")
    return len(plans)


def _assets() -> dict[str, bytes]:
    """The style sheets and scripts of the package, by their paths in an edition."""
    found: dict[str, bytes] = {}

    def walk(entry, path: str) -> None:
        for child in entry.iterdir():
            if child.is_dir():
                walk(child, f"{path}/{child.name}")
            elif not child.name.startswith("."):
                found[f"{path}/{child.name}"] = child.read_bytes()

    walk(files("site_builder") / "assets", "assets")
    return dict(sorted(found.items()))
