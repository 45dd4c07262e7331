"""Builds the editions: keeps one that has not changed, and makes what has changed of the others."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import partial
from pathlib import Path

from collection.loading.loader import Reading
from collection.parallel import made_by_several
from collection.privacy import PublicForm
from collection.records.collection import Collection
from collection.records.quilt import Quilt
from site_builder.building.edition_pages import EditionPages, MadePage
from site_builder.building.edition_writer import EditionWriter, WrittenEdition
from site_builder.building.publish import StagedEdition
from site_builder.editions import EditionName
from site_builder.images.picture import Picture
from site_builder.images.store import PictureStore
from site_builder.incremental.cached_entries import cached_entries
from site_builder.incremental.dependency_store import DependencyStore
from site_builder.incremental.digests import RecordDigests
from site_builder.incremental.manifest import BuildNotes
from site_builder.pages.cards import PICTURE_FOLDER
from site_builder.pages.edition import Edition
from site_builder.pages.feeds import web_files
from site_builder.pages.flat_covers import flat_cover
from site_builder.pages.page_plan import PagePlan
from site_builder.pages.search_index import wall_entry, wall_index

Progress = Callable[[str, int, int], None]
"""Called with the kind of work, how many are done, and how many there are."""


@dataclass(frozen=True, slots=True)
class Contents:
    """What the editions of a build are made from: the records as read, `collection` as of the day, a picture for each
    photo, and the day itself; and the fingerprint of the program, with the notes of earlier builds."""

    reading: Reading
    collection: Collection
    pictures: Mapping[str, Picture]
    store: PictureStore
    on: date
    notes: BuildNotes
    program: str

    def edition(self, name: EditionName) -> Edition:
        if name == "catalogue":
            return Edition.catalogue(self.collection, self.pictures)
        return Edition.binder(self.collection, self.pictures, self.on)

    def quilts(self, name: EditionName) -> dict[str, Callable[[], Quilt]]:
        """For each quilt of an edition a function that makes it, reduced to what the edition has."""
        collection = self.collection
        if name == "catalogue":
            public = PublicForm(collection)
            return {quilt: partial(public.quilt, quilt) for quilt in public.quilts}
        return {quilt: partial(collection.quilts.__getitem__, quilt) for quilt in collection.quilts}


@dataclass(frozen=True, slots=True)
class BuiltEdition:
    """An edition whose files are written, with the digests of its inputs and of its quilts (as in RecordDigests), and
    the number of its pages."""

    name: EditionName
    input_digest: str
    quilts: Mapping[str, str]
    pages: int
    written: WrittenEdition


MANY = 5_000
"""With more quilts than this, two editions or two processes at once would take too much memory."""


def build_editions(
    staged: Mapping[EditionName, StagedEdition], contents: Contents, jobs: int, progress: Progress
) -> list[BuiltEdition]:
    """Write what has changed of each edition into its staged folder, and keep the rest.

    Editions are built together, since both pages of a quilt share much; with more than MANY quilts one after the
    other, in one process. OSError if something can't be written.
    """
    if len(contents.reading.collection.quilts) <= MANY:
        return _build_together(staged, contents, jobs, progress)
    return [built for name, place in staged.items() for built in _build_together({name: place}, contents, 1, progress)]


def _build_together(
    staged: Mapping[EditionName, StagedEdition], contents: Contents, jobs: int, progress: Progress
) -> list[BuiltEdition]:
    built, to_make = [], []
    for name, place in staged.items():
        before = contents.notes.read_edition(name, by_any_program=True)
        writer = EditionWriter(place, before)
        digests = RecordDigests.of(
            name,
            contents.quilts(name),
            contents.reading,
            contents.collection,
            contents.pictures,
            contents.notes,
            contents.program,
            jobs,
        )
        input_digest = digests.of_all(contents.on if name == "binder" else None)
        if before and before.input_digest == input_digest and writer.keep_all():
            built.append(BuiltEdition(name, input_digest, digests.quilts, before.counts[1], writer.finish()))
            continue
        dependencies = DependencyStore(contents.notes, name)
        to_make.append((EditionPages(contents.edition(name), writer, digests, dependencies, before), input_digest))
    _write_pages([pages for pages, _ in to_make], jobs, progress)
    for pages, _ in to_make:
        pages.edition.forget_what_pages_share()
    for pages, input_digest in to_make:
        # Saved at once: they hold even if this build fails.
        pages.dependencies.save()
        _write_the_rest(pages, contents, jobs)
        quilts = pages.digests.quilts
        built.append(BuiltEdition(pages.edition.name, input_digest, quilts, len(pages.plans), pages.writer.finish()))
    return built


def _write_pages(editions: Sequence[EditionPages], jobs: int, progress: Progress) -> None:
    by_path: dict[str, list[tuple[EditionPages, PagePlan]]] = {}
    for pages in editions:
        for plan in pages.keep_what_holds():
            by_path.setdefault(plan.path, []).append((pages, plan))
    # Both pages of a quilt one after the other. Pages that only the binder has come first, as some of them take long;
    # they are the last in its own order.
    to_make = [each for path in reversed(by_path) for each in by_path[path]]

    def make(number: int) -> MadePage:
        pages, plan = to_make[number]
        return pages.make(plan)

    for done, (number, page) in enumerate(made_by_several(make, len(to_make), jobs), start=1):
        pages, plan = to_make[number]
        pages.put(plan, page)
        progress("Pages", done, len(to_make))


def _write_the_rest(pages: EditionPages, contents: Contents, jobs: int) -> None:
    """Write all files of an edition that are not pages."""
    edition, quilts, writer = pages.edition, pages.quilts, pages.writer
    entries = cached_entries(
        contents.notes,
        edition.name,
        made_from=pages.digests.beside_quilts,
        quilts=pages.digests.by_quilt,
        make=lambda quilt: wall_entry(edition, edition.collection.quilts[quilt]),
        jobs=jobs,
    )
    index = wall_index(edition, quilts, entries)
    for path, content in {**web_files(edition, [plan.path for plan in pages.plans]), **index, **page_assets()}.items():
        writer.put(path, content)
    shown = [each for picture in edition.pictures.values() for each in picture.renditions]
    shown += [flat for quilt in quilts if (flat := flat_cover(edition, quilt))]
    for name, rendition in sorted({each.file_name: each for each in shown}.items()):
        writer.copy(contents.store.file(rendition), f"{PICTURE_FOLDER}/{name}", contents.store.read)


def page_assets() -> dict[str, bytes]:
    """The style sheets and scripts of the package, by their paths in an edition."""
    room = Path(__file__).parents[1]
    return {
        path.relative_to(room).as_posix(): path.read_bytes()
        for path in sorted((room / "assets").rglob("*"))
        if path.is_file() and not any(part.startswith(".") for part in path.relative_to(room).parts)
    }
