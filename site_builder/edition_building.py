"""One edition of a build: kept where nothing of it has changed, else made, all but what is the same."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from functools import partial
from importlib.resources import files
from pathlib import Path

from collection.public_facts import PublicForm
from collection.reading import Reading
from collection.records.quilt import Quilt
from collection.several_processes import made_by_several
from site_builder import build_notes
from site_builder.cards import PICTURE_FOLDER
from site_builder.edition import Edition
from site_builder.edition_names import EditionName
from site_builder.edition_pages import EditionPages, MadePage
from site_builder.edition_writing import EditionWriter
from site_builder.flat_covers import flat_cover
from site_builder.kept_entries import kept_entries
from site_builder.pages_looked_at import PagesLookedAt
from site_builder.picture_store import PictureStore
from site_builder.pictures import Picture
from site_builder.publishing import StagedEdition
from site_builder.record_digests import RecordDigests
from site_builder.wall_index import wall_entry, wall_index
from site_builder.web_files import web_files

Progress = Callable[[str, int, int], None]
"""Called with what is being done, how many are done, and how many there are."""


@dataclass(frozen=True, slots=True)
class Contents:
    """What the editions of a build are made from: the records as they were read, what is known of each photo, and
    the day from which the binder reckons; and by which program, with its notes in `output`."""

    reading: Reading
    pictures: Mapping[str, Picture]
    store: PictureStore
    on: date
    output: Path
    program: str

    def edition(self, name: EditionName) -> Edition:
        if name == "catalogue":
            return Edition.catalogue(self.reading.collection, self.pictures)
        return Edition.binder(self.reading.collection, self.pictures, self.on)

    def quilts(self, name: EditionName) -> dict[str, Callable[[], Quilt]]:
        """For each quilt of an edition what gives it as the edition has it."""
        collection = self.reading.collection
        if name == "catalogue":
            public = PublicForm(collection)
            return {quilt: partial(public.quilt, quilt) for quilt in public.quilts}
        return {quilt: partial(collection.quilts.__getitem__, quilt) for quilt in collection.quilts}


@dataclass(frozen=True, slots=True)
class BuiltEdition:
    """An edition whose files are written: what all of it rests on, and how many pages it has."""

    name: EditionName
    rests_on: str
    pages: int
    writer: EditionWriter


def build_edition(
    name: EditionName, place: StagedEdition, contents: Contents, jobs: int, progress: Progress
) -> BuiltEdition:
    """Write what has changed of an edition into its staged folder, and have it keep all else.

    OSError when something can't be written.
    """
    before = build_notes.read_edition(contents.output, name, None)
    writer = EditionWriter(place, before)
    digests = RecordDigests.of(
        name, contents.quilts(name), contents.reading, contents.pictures, contents.output, contents.program, jobs
    )
    rests_on = digests.of_all(contents.on if name == "binder" else None)
    if before and before.rests_on == rests_on and writer.keep_all():
        return BuiltEdition(name, rests_on, before.counts[1], writer)
    looks = PagesLookedAt(contents.output, name, contents.program)
    pages = EditionPages(contents.edition(name), writer, digests, looks)
    _write_pages(pages, jobs, progress)
    # It is true whatever becomes of this build.
    looks.save()
    _write_the_rest(pages, contents, jobs)
    return BuiltEdition(name, rests_on, len(pages.plans), writer)


def _write_pages(pages: EditionPages, jobs: int, progress: Progress) -> None:
    to_make = list(pages.keep_what_holds())
    # Those of the binder alone first: they are the last in its order, and some of them take long.
    to_make.reverse()

    def make(number: int) -> MadePage:
        return pages.make(to_make[number])

    for done, (number, page) in enumerate(made_by_several(make, len(to_make), jobs), start=1):
        pages.put(to_make[number], page)
        progress(f"Pages of the {pages.edition.name}", done, len(to_make))


def _write_the_rest(pages: EditionPages, contents: Contents, jobs: int) -> None:
    """All files of an edition that are no pages."""
    edition, quilts, writer = pages.edition, pages.quilts, pages.writer
    entries = kept_entries(
        contents.output,
        edition.name,
        contents.program,
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
        writer.copy(contents.store.file(rendition), f"{PICTURE_FOLDER}/{name}")


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
