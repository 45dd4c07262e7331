"""Opens a source of photos that a person names, and refuses what is not one."""

from dataclasses import dataclass, replace
from pathlib import Path

import click

from collection.quotes import printable
from collection.records.collection import Collection
from collection.storage.files import real_path
from site_builder.photo_import.find_files import Found, LeftOut, PictureFile, find_pictures


@dataclass(frozen=True, slots=True)
class Source:
    """The pictures to inspect, with the name of their folder; `named` are those that records name already."""

    pictures: tuple[PictureFile, ...]
    left_out: tuple[LeftOut, ...]
    named: tuple[tuple[PictureFile, str], ...]
    folder: str


def open_source(source: Path, collection: Collection) -> Source:
    """The content of a folder, or a single picture. Photos that are in the collection's own photos/ stay there.

    Raises click.UsageError if nothing has that name, or if it is the collection itself.
    """
    if not source.exists():
        raise click.UsageError(f"There is nothing called {source}. Name a folder with pictures, or a picture.")
    photos = real_path(collection.folder / "photos")
    where = real_path(source)
    if where == real_path(collection.folder):
        raise click.UsageError(
            f"{source} is the collection itself. Name the folder with the new pictures; "
            f"for those that lie in the collection already, name {source / 'photos'}."
        )
    found = find_pictures(source, but=collection.folder)
    folder = real_path(source if source.is_dir() else source.parent).name
    if where != photos and not where.is_relative_to(photos):
        return Source(found.pictures, found.left_out, (), folder)
    return _in_place(found, photos, collection, folder)


UNNAMEABLE = "A record can't hold this file's name. Rename the file first, such as to low-tide.jpg."


def _in_place(found: Found, photos: Path, collection: Collection, folder: str) -> Source:
    titles = {photo.file: quilt.title for quilt in collection.quilts.values() for photo in quilt.photos}
    standing = [
        replace(file, known_path=real_path(file.path).relative_to(photos).as_posix()) for file in found.pictures
    ]
    named = tuple((file, titles[file.known_path]) for file in standing if file.known_path in titles)
    rest = [file for file in standing if file.known_path not in titles]
    left_out = tuple(LeftOut(file.name, UNNAMEABLE) for file in rest if not _can_be_named(file.known_path, collection))
    rest = [file for file in rest if _can_be_named(file.known_path, collection)]
    return Source(tuple(rest), (*found.left_out, *left_out), named, folder if photos.name != folder else "")


def _can_be_named(photo: str, collection: Collection) -> bool:
    """Can a record name the photo, on every system?"""
    odd = "\\" in photo or ":" in photo.partition("/")[0] or photo != photo.strip() or photo != printable(photo)
    return photo in collection.photos and not odd
