"""Builds with a place of their own for what is kept between them, so that none knows what another has found out."""

from pathlib import Path
from tempfile import TemporaryDirectory

from site_builder.building.build import build
from site_builder.incremental.cache_folder import CacheFolder, place_of
from site_builder.incremental.manifest import BuildReport


def build_afresh(collection: Path, output: Path, **more) -> BuildReport:
    """A build for which nothing was kept, and that keeps nothing."""
    with TemporaryDirectory() as folder:
        return build(collection, output, place=CacheFolder(Path(folder)), **more)


def kept_files(collection: Path) -> list[Path]:
    """All that is kept of a collection between builds."""
    return sorted(path for path in place_of(collection).folder.rglob("*") if path.is_file())


def notes_of(collection: Path, output: Path, name: str) -> Path:
    """The file of a note: of the collection, or of an edition in an output."""
    place = place_of(collection)
    of_edition = place.of_output(output) / f"{name}.json"
    return of_edition if name in ("catalogue", "binder") else place.records / f"{name}.json"
