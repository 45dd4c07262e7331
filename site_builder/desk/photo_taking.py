"""Photos as they come from the browser: looked at by what they hold, and kept for a while until it is said what becomes of them."""
import secrets
from collections import OrderedDict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import PurePosixPath

from tornado.httputil import HTTPFile

from site_builder.addresses import slug
from site_builder.photo_reading import UnusablePhoto, decode

MOST_PHOTO_BYTES = 40_000_000
MOST_PHOTOS_BYTES = 120_000_000
"""Of one photo, and of all that are sent at once."""

HELD_BYTES = 240_000_000

_GLANCE = 64
_ENDINGS = {
    b"\xff\xd8\xff": ".jpg",
    b"\x89PNG": ".png",
    b"GIF8": ".gif",
    b"BM": ".bmp",
    b"II*\x00": ".tif",
    b"MM\x00*": ".tif",
}


@dataclass(frozen=True, slots=True)
class TakenPhoto:
    """A photo as it was sent: the name that it had, and its bytes, which are never changed."""

    name: str
    content: bytes

    def file_name(self, taken: Iterable[str]) -> str:
        """Its name in the collection: small letters and hyphens, with the ending that what it holds should have."""
        taken = set(taken)
        stem = slug(PurePosixPath(self.name.replace("\\", "/")).stem)
        stem = "photo" if stem == "unnamed" else stem
        ending = ending_of(self.content)
        numbered = (f"{stem}-{number}{ending}" for number in range(2, 100_000))
        first = f"{stem}{ending}"
        return first if first not in taken else next(name for name in numbered if name not in taken)


def taken_photos(sent: Sequence[HTTPFile]) -> tuple[list[TakenPhoto], list[str]]:
    """The photos that can be used, and a sentence for each that can't. A field that was left empty sends nothing."""
    photos, faults = [], []
    for file in sent:
        if not file.filename and not file.body:
            continue
        photo = TakenPhoto(file.filename or "photo", file.body)
        fault = _fault(photo)
        if fault:
            faults.append(f"{photo.name}: {fault}")
        else:
            photos.append(photo)
    return photos, faults


def _fault(photo: TakenPhoto) -> str | None:
    if len(photo.content) > MOST_PHOTO_BYTES:
        return (
            f"This photo is {len(photo.content) // 1_000_000} MB large, and {MOST_PHOTO_BYTES // 1_000_000} MB is the most "
            "that the desk takes. Save a smaller copy as JPEG, or put this one into the photos folder yourself."
        )
    if not photo.content:
        return "This file is empty. Copying it again from the camera or phone usually helps."
    try:
        decode(photo.content, longest=_GLANCE)
    except UnusablePhoto as unusable:
        return str(unusable)
    return None


def ending_of(content: bytes) -> str:
    """The ending that belongs to what a picture file holds.

    >>> ending_of(b"\\xff\\xd8\\xff\\xe0"), ending_of(b"\\x00\\x00\\x00\\x18ftypheic")
    ('.jpg', '.heic')
    """
    for begins, ending in _ENDINGS.items():
        if content.startswith(begins):
            return ending
    if content[:4] == b"RIFF":
        return ".webp"
    return ".avif" if content[8:12] in (b"avif", b"avis") else ".heic"


class HeldPhotos:
    """Photos that wait for an answer, such as whether they show a quilt that is there already."""

    def __init__(self) -> None:
        self._held: OrderedDict[str, list[TakenPhoto]] = OrderedDict()

    def hold(self, photos: list[TakenPhoto]) -> str:
        """Keep them; the key by which they are asked for. The oldest go when it is too much."""
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
