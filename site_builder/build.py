"""A whole build: read all, compute what may have changed, write that beside, and only then put it in place."""

import time
from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from datetime import date
from functools import partial
from importlib.resources import files
from pathlib import Path
from typing import Self

from collection.file_stamps import SeenFiles
from collection.holdings import Collection
from collection.problems import CollectionProblems, Problem
from collection.public_facts import PublicForm
from collection.reading import Reading, read_collection
from collection.record_cache import RecordCache
from collection.records.quilt import Quilt
from site_builder import build_notes
from site_builder.build_notes import BuildReport, EditionNotes
from site_builder.built_already import built_already
from site_builder.cards import PICTURE_FOLDER
from site_builder.edition import Edition
from site_builder.edition_names import EDITIONS, EditionName
from site_builder.edition_pages import EditionPages, MadePage
from site_builder.edition_writing import EditionWriter
from site_builder.flat_covers import flat_cover
from site_builder.kept_entries import kept_entries
from site_builder.page_plans import PagePlan
from site_builder.pages_looked_at import PagesLookedAt
from site_builder.picture_store import PictureStore
from site_builder.pictures import Picture
from site_builder.publishing import StagedEdition, editions_replaced
from site_builder.record_digests import RecordDigests
from collection.several_processes import made_by_several
from site_builder.wall_index import wall_entry, wall_index
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
    reading = read_collection(folder, lambda: (SeenFiles.look(folder, clock, before), cache), jobs)
    if reading.errors or (strict and reading.warnings):
        raise CollectionProblems(reading.problems)
    store = PictureStore(output / STORE, now=clock)
    with editions_replaced(output, editions) as staged:
        pictures = _prepare(store, reading, jobs, progress)
        placeholders = _picture_warnings(reading, pictures)
        warnings = tuple(sorted({*reading.warnings, *placeholders}))
        if strict and warnings:
            raise CollectionProblems(warnings)
        in_hand = [_EditionInHand.of(name, staged[name], reading, pictures, on, output, program, jobs) for name in editions]
        to_make = [each.pages for each in in_hand if each.pages]
        _write_pages(to_make, jobs, progress)
        for pages in to_make:
            _write_the_rest(pages, store, output, program, jobs)
    writers = [each.writer for each in in_hand]
    _take_notes(
        output,
        folder,
        program,
        reading.seen,
        cache,
        {
            each.name: EditionNotes(
                state=reading.seen.state,
                on=on.isoformat() if each.name == "binder" else None,
                counts=(len(reading.collection.quilts), each.count, len(pictures)),
                warnings=warnings,
                # A photo, or this machine, may be better then.
                to_look_at_again=bool(placeholders),
                rests_on=each.rests_on,
                files=each.writer.notes,
            )
            for each in in_hand
        },
    )
    return BuildReport(
        quilts=len(reading.collection.quilts),
        pages=sum(each.count for each in in_hand),
        pictures=len(pictures),
        editions=tuple(output / name for name in editions),
        warnings=warnings,
        healed=reading.healed,
        changed=sum(writer.pages_changed for writer in writers) if all(writer.had_before for writer in writers) else None,
        left_alone=not any(writer.is_changed for writer in writers),
    )


@dataclass(frozen=True, slots=True)
class _EditionInHand:
    """One edition while it is built: what all of it rests on, how many pages it has, and what writes it.

    `pages` is None where none of what it rests on has changed, and it is kept as it is.
    """

    name: EditionName
    rests_on: str
    count: int
    writer: EditionWriter
    pages: EditionPages | None

    @classmethod
    def of(
        cls,
        name: EditionName,
        place: StagedEdition,
        reading: Reading,
        pictures: Mapping[str, Picture],
        on: date,
        output: Path,
        program: str,
        jobs: int,
    ) -> Self:
        before = build_notes.read_edition(output, name, None)
        writer = EditionWriter(place, before)
        digests = RecordDigests.of(name, _quilts(name, reading.collection), reading, pictures, output, program, jobs)
        rests_on = digests.of_all(on if name == "binder" else None)
        if before and before.rests_on == rests_on and writer.keep_all():
            return cls(name, rests_on, before.counts[1], writer, None)
        edition = _edition(name, reading.collection, pictures, on)
        pages = EditionPages(edition, writer, digests, PagesLookedAt(output, name, program))
        return cls(name, rests_on, len(pages.plans), writer, pages)


def _quilts(name: EditionName, collection: Collection) -> dict[str, Callable[[], Quilt]]:
    """For each quilt of an edition what gives it as the edition has it."""
    if name == "catalogue":
        public = PublicForm(collection)
        return {quilt: partial(public.quilt, quilt) for quilt in public.quilts}
    return {quilt: partial(collection.quilts.__getitem__, quilt) for quilt in collection.quilts}


def _edition(name: EditionName, collection: Collection, pictures: Mapping[str, Picture], on: date) -> Edition:
    if name == "catalogue":
        return Edition.catalogue(collection, pictures)
    return Edition.binder(collection, pictures, on)


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


def _write_pages(editions: Sequence[EditionPages], jobs: int, progress: Progress) -> None:
    """Make what pages may have changed, and write those that have."""
    to_make: dict[str, list[tuple[EditionPages, PagePlan]]] = {}
    for pages in editions:
        for plan in pages.keep_what_holds():
            to_make.setdefault(plan.path, []).append((pages, plan))
    # A quilt's page in one edition after that in the other, which has much in common with it; and the binder's
    # own pages first, some of which take long.
    in_turn = [each for path in reversed(to_make) for each in to_make[path]]

    def make(number: int) -> MadePage:
        pages, plan = in_turn[number]
        return pages.make(plan)

    for done, (number, page) in enumerate(made_by_several(make, len(in_turn), jobs), start=1):
        pages, plan = in_turn[number]
        pages.put(plan, page)
        progress("Pages", done, len(in_turn))
    # They are true whatever becomes of this build.
    for pages in editions:
        pages.looks.save()


def _write_the_rest(pages: EditionPages, store: PictureStore, output: Path, program: str, jobs: int) -> None:
    """All files of an edition that are no pages."""
    edition, quilts, writer = pages.edition, pages.quilts, pages.writer
    entries = kept_entries(
        output,
        edition.name,
        program,
        made_from=pages.digests.beside_quilts,
        quilts=pages.digests.by_quilt,
        make=lambda quilt: wall_entry(edition, edition.collection.quilts[quilt]),
        jobs=jobs,
    )
    index = wall_index(edition, quilts, entries)
    for path, content in {**web_files(edition, [plan.path for plan in pages.plans]), **index, **_assets()}.items():
        writer.put(path, content)
    shown = [each for picture in edition.pictures.values() for each in picture.renditions]
    shown += [flat for quilt in quilts if (flat := flat_cover(edition, quilt))]
    for name, rendition in sorted({each.file_name: each for each in shown}.items()):
        writer.copy(store.file(rendition), f"{PICTURE_FOLDER}/{name}")


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
