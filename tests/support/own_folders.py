"""Builds with a cache of their own, so that none depends on another."""

from pathlib import Path
from tempfile import TemporaryDirectory

from site_builder.building.build import build
from site_builder.incremental.cache_folder import CacheFolder, cache_of
from site_builder.incremental.manifest import BuildReport


def build_afresh(collection: Path, output: Path, **more) -> BuildReport:
    """A build with an empty cache, which is removed afterwards."""
    with TemporaryDirectory() as folder:
        return build(collection, output, cache=CacheFolder(Path(folder)), **more)


def kept_files(collection: Path) -> list[Path]:
    """All files in the cache of a collection."""
    return sorted(path for path in cache_of(collection).folder.rglob("*") if path.is_file())


def notes_of(collection: Path, output: Path, name: str) -> Path:
    """The file of a note: of the collection, or of an edition in an output."""
    cache = cache_of(collection)
    of_edition = cache.of_output(output) / f"{name}.json"
    return of_edition if name in ("catalogue", "binder") else cache.records / f"{name}.json"
