"""A whole build: read all, compute all, write beside, and only then put in place."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from importlib.resources import files
from pathlib import Path

from collection.holdings import Collection
from collection.problems import CollectionProblems, Problem
from collection.reading import Reading, read_collection
from site_builder.cards import PICTURE_FOLDER
from site_builder.edition import EDITIONS, Edition, EditionName
from site_builder.flat_covers import flat_cover
from site_builder.page_heads import PageHeads
from site_builder.picture_store import PictureStore
from site_builder.pictures import Picture
from site_builder.publishing import StagedEdition, editions_replaced
from site_builder.rendering import Renderer
from site_builder.site_map import pages_of
from site_builder.wall_index import wall_index
from site_builder.wall_pages import wall_order
from site_builder.web_files import web_files

STORE = ".pictures"

Progress = Callable[[str, int, int], None]
"""Called with what is being done, how many are done, and how many there are."""


@dataclass(frozen=True, slots=True)
class BuildReport:
    """What a build has made, and what it wants looked at."""

    quilts: int
    pages: int
    pictures: int
    editions: tuple[Path, ...]
    warnings: tuple[Problem, ...]
    healed: tuple[str, ...] = ()


def build(
    folder: Path,
    output: Path,
    *,
    on: date,
    editions: Sequence[EditionName] = EDITIONS,
    strict: bool = False,
    jobs: int = 2,
    progress: Progress = lambda what, done, of: None,
) -> BuildReport:
    """Build the editions of a collection into `output`, each in a folder of its own name.

    `on` is the day from which the binder reckons what is past. Raises CollectionProblems when the
    records have errors (with `strict`, warnings too), OutputRefused when `output` can't be built into,
    OSError when it can't be written; the editions that were there then stay as they are.
    """
    reading = read_collection(folder)
    if reading.errors or (strict and reading.warnings):
        raise CollectionProblems(reading.problems)
    collection = reading.collection
    store, renderer = PictureStore(output / STORE), Renderer()
    pages = 0
    with editions_replaced(output, editions) as staged:
        pictures = _prepare(store, collection, jobs, progress)
        warnings = (*reading.warnings, *_picture_warnings(reading, pictures))
        if strict and warnings:
            raise CollectionProblems(warnings)
        for name, place in staged.items():
            edition = _edition(name, collection, pictures, on)
            pages += _write_edition(edition, place, store, renderer, progress)
    return BuildReport(
        quilts=len(collection.quilts),
        pages=pages,
        pictures=len(pictures),
        editions=tuple(output / name for name in editions),
        warnings=tuple(sorted(set(warnings))),
        healed=reading.healed,
    )


def _edition(
    name: EditionName, collection: Collection, pictures: dict[str, Picture], on: date
) -> Edition:
    if name == "catalogue":
        return Edition.catalogue(collection, pictures)
    return Edition.binder(collection, pictures, on)


def _prepare(
    store: PictureStore, collection: Collection, jobs: int, progress: Progress
) -> dict[str, Picture]:
    """What is known of each photo that a quilt names, also of those that are missing."""
    root = collection.folder / "photos"
    wanted = {
        root / photo.file: photo.file for quilt in collection.quilts.values() for photo in quilt.photos
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


def _write_edition(
    edition: Edition, staged: StagedEdition, store: PictureStore, renderer: Renderer, progress: Progress
) -> int:
    """Write all files of one edition; returns the number of pages."""
    quilts = wall_order(edition)
    specs = list(pages_of(edition))
    heads = PageHeads(edition, quilts)
    for done, spec in enumerate(specs, start=1):
        staged.write(spec.path, renderer.page(spec.template, heads.head(spec), spec.view))
        progress(f"Pages of the {edition.name}", done, len(specs))
    for path, content in {**web_files(edition, specs), **wall_index(edition, quilts), **_assets()}.items():
        staged.write(path, content)
    shown = [each for picture in edition.pictures.values() for each in picture.renditions]
    shown += [flat for quilt in quilts if (flat := flat_cover(edition, quilt))]
    for name, rendition in sorted({each.file_name: each for each in shown}.items()):
        staged.copy(store.file(rendition), f"{PICTURE_FOLDER}/{name}")
    return len(specs)


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
