"""Photos from the browser: checked by their content, and held while the person is asked about them."""

import secrets
from collections import OrderedDict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path, PurePosixPath

from tornado.httputil import HTTPFile

from site_builder.images.decode import UnusablePhoto
from site_builder.photo_import.find_files import PictureFile, kind_of
from site_builder.photo_import.inspect import SeenPicture, look_at

MOST_PHOTO_BYTES = 40_000_000
MOST_PHOTOS_BYTES = 120_000_000
"""Of one photo, and of all that are sent at once."""

HELD_BYTES = 240_000_000


@dataclass(frozen=True, slots=True)
class TakenPhoto:
    """A photo as it was sent: what was found in it, and its unchanged bytes."""

    seen: SeenPicture
    content: bytes


def taken_photos(sent: Sequence[HTTPFile], *, on: date) -> tuple[list[TakenPhoto], list[str]]:
    """The photos that can be used, and a sentence for each that can't. An empty field is no photo."""
    photos, faults = [], []
    for file in sent:
        if not file.filename and not file.body:
            continue
        name = bare_name(file.filename)
        try:
            photos.append(_taken(name, file.body, on))
        except UnusablePhoto as unusable:
            faults.append(f"{name}: {unusable}")
    return photos, faults


def bare_name(sent_name: str) -> str:
    r"""The name of a file without its folders, from any system.

    >>> bare_name(r"C:\photos\Low Tide.jpg"), bare_name("../..")
    ('Low Tide.jpg', 'photo')
    """
    name = PurePosixPath(sent_name.replace("\\", "/")).name
    return name if name.strip(" .") else "photo"


def _taken(name: str, content: bytes, on: date) -> TakenPhoto:
    if len(content) > MOST_PHOTO_BYTES:
        raise UnusablePhoto(
            f"This photo is {len(content) // 1_000_000} MB large, and {MOST_PHOTO_BYTES // 1_000_000} MB is the most "
            "that the desk takes. Save a smaller copy as JPEG, or put this one into the photos folder yourself."
        )
    if not content:
        raise UnusablePhoto("This file is empty. Copying it again from the camera or phone usually helps.")
    return TakenPhoto(look_at(content, PictureFile(Path(name), name, (), kind_of(content[:16])), on=on), content)


class HeldPhotos:
    """Photos that wait for an answer, such as whether they show an existing quilt."""

    def __init__(self) -> None:
        self._held: OrderedDict[str, list[TakenPhoto]] = OrderedDict()

    def hold(self, photos: list[TakenPhoto]) -> str:
        """Hold photos, and return their key. If they take too much memory, the oldest are dropped."""
        key = secrets.token_urlsafe(16)
        self._held[key] = photos
        while len(self._held) > 1 and self._bytes() > HELD_BYTES:
            self._held.popitem(last=False)
        return key

    def _bytes(self) -> int:
        return sum(len(photo.content) for photos in self._held.values() for photo in photos)

    def look(self, key: str) -> list[TakenPhoto]:
        return self._held.get(key, [])

    def let_go(self, key: str) -> None:
        self._held.pop(key, None)
