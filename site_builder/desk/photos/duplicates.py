"""Finds out, in the background, whether an added photo is similar to one in the collection."""

import asyncio
from pathlib import Path

from collection.records.collection import Collection
from site_builder.desk.photos.uploads import TakenPhoto
from site_builder.photo_import.known_photos import known_photos
from site_builder.photo_import.similarity import Similarity, first_same

PATIENCE = 4.0
"""Seconds to wait until the photos of a large collection are read; after that a photo is added without asking."""


class Duplicates:
    """The similarities of a collection's photos."""

    def __init__(self, folder: Path):
        self._folder = folder
        self._look: asyncio.Task[dict[str, Similarity]] | None = None
        self._dependencies: frozenset[str] = frozenset()

    def look_through(self, collection: Collection) -> "asyncio.Task[dict[str, Similarity]]":
        """Start to read the collection's photos, unless that is done or running."""
        if self._look is None or (self._look.done() and self._dependencies != collection.photos):
            self._dependencies = collection.photos
            self._look = asyncio.create_task(asyncio.to_thread(_known, self._folder, collection.photos))
        return self._look

    async def quilts_alike(self, photos: list[TakenPhoto], collection: Collection) -> list[str]:
        """The IDs of the quilts that already have a photo similar to one of these; few, if any."""
        try:
            known = await asyncio.wait_for(asyncio.shield(self.look_through(collection)), PATIENCE)
        except TimeoutError:
            return []
        return await asyncio.to_thread(_quilts_alike, photos, known, collection)


def _known(folder: Path, names: frozenset[str]) -> dict[str, Similarity]:
    try:
        return known_photos(folder, names)
    except OSError:  # a folder that can only be read
        return {}


def _quilts_alike(photos: list[TakenPhoto], known: dict[str, Similarity], collection: Collection) -> list[str]:
    of_file = {photo.file: quilt.id for quilt in collection.quilts.values() for photo in quilt.photos}
    found = []
    for photo in photos:
        same = first_same(photo.seen.likeness, sorted(known.items()))
        if same in of_file:
            found.append(of_file[same])
    return list(dict.fromkeys(found))
