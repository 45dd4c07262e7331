"""Makes a draft record from a group of pictures, with only what the pictures show."""

import re
import unicodedata
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path, PurePath

from collection.quotes import listed, printable
from collection.records.collection import Collection
from collection.storage.folder_layout import free_id
from collection.values.dates import EdtfDate
from collection.yaml_files.parser import Plain
from collection.yaml_files.writer import Layout, write_fields
from site_builder.photo_import.find_files import ENDINGS
from site_builder.photo_import.inspect import SeenPicture
from site_builder.text.urls import slug

UNTITLED = "Untitled, photo "
"""The beginning of a draft's title if its pictures give no name."""

_LONGEST_NAME = 120
_LONGEST_STEM_IN_AN_ID = 40
_FOR_NO_SYSTEM = re.compile(r'[\x00-\x1f\x7f<>:"/\\|?*\ud800-\udfff]')


@dataclass(frozen=True, slots=True)
class DraftPhoto:
    """A photo of a draft: `file` is its path in photos/, `came_as` its name in the source; `source` is the file to
    copy, None if it is in photos/ already."""

    file: str
    came_as: str
    shows: str | None = None
    source: Path | None = None

    @property
    def entry(self) -> Plain:
        """The entry in the record. Most labels show names, so a label is private."""
        if self.shows is None:
            return self.file
        entry: dict[str, Plain] = {"file": self.file, "shows": self.shows}
        return {**entry, "public": False} if self.shows == "label" else entry


@dataclass(frozen=True, slots=True)
class Draft:
    """A new record. `because` says why its pictures are together."""

    id: str
    title: str
    photos: tuple[DraftPhoto, ...]
    notes: str = ""
    because: str = ""

    @property
    def is_named(self) -> bool:
        return not self.title.startswith(UNTITLED)

    @property
    def record(self) -> dict[str, Plain]:
        """The record as plain data."""
        record: dict[str, Plain] = {"title": self.title, "photos": [photo.entry for photo in self.photos]}
        return {**record, "notes": self.notes} if self.notes else record

    @property
    def text(self) -> str:
        """The record's file."""
        return "".join(f"{line}\n" for line in write_fields(self.record, column=0, layout=Layout()))


class Places:
    """Finds free IDs and names of photos in a collection, and keeps track of those that were given out."""

    def __init__(self, collection: Collection):
        self._ids = {quilt.casefold() for quilt in collection.quilts}
        self._photos: dict[str, str] = {}
        self._folders: dict[str, str] = {}
        for photo in sorted(collection.photos):
            self._photos[_small(photo)] = photo
            self._folders.setdefault(_small(photo.rpartition("/")[0]), photo.rpartition("/")[0])
        # A file that is not a valid record keeps its name too.
        self._ids |= {_small(path.stem) for path in (collection.folder / "quilts").glob("*")}

    def new_id(self, wanted: str) -> str:
        """A free ID made from the words, for a new record."""
        found = free_id(slug(wanted), self._ids)
        self._ids.add(found)
        return found

    def new_photo(self, quilt: str, name: str, kind: str) -> str:
        """A path in photos/ for a picture, in the folder of its quilt; no other differs from it only in capitals."""
        folder = self._folders.setdefault(_small(quilt), quilt)
        stem, ending = _name_for_all_systems(name, kind)
        names = (f"{folder}/{stem}{f'-{n}' if n > 1 else ''}{ending}" for n in range(1, 100_000))
        free = next(name for name in names if _small(name) not in self._photos)
        self._photos[_small(free)] = free
        return free


def draft_of(pictures: Sequence[SeenPicture], title: str, because: str, places: Places) -> Draft:
    """A new record with the pictures, the cover first. Without a title it is called untitled."""
    first = Path(pictures[0].file.name).stem
    title = " ".join(printable(" ".join(title.split())).split())
    if title:
        quilt = places.new_id(title)
    else:
        quilt = places.new_id(first if len(first) <= _LONGEST_STEM_IN_AN_ID else "quilt")
        title = f"{UNTITLED}{' '.join(first.split())}".rstrip()
    photos = photos_for(pictures, quilt, places)
    return Draft(quilt, title, photos, photographed(pictures), because)


def photos_for(pictures: Iterable[SeenPicture], quilt: str, places: Places) -> tuple[DraftPhoto, ...]:
    """The pictures with their paths in the folder of a quilt."""
    return tuple(
        DraftPhoto(
            picture.file.known_path or places.new_photo(quilt, picture.path.name, picture.file.kind),
            picture.file.name,
            picture.shows,
            None if picture.file.known_path else picture.path,
        )
        for picture in pictures
    )


def photographed(pictures: Iterable[SeenPicture]) -> str:
    """A note with the days on which the pictures were taken, which do not say when the quilt was made.

    Empty if no picture has a day.
    """
    days = sorted({picture.taken.date() for picture in pictures if picture.taken})
    if not days:
        return ""
    if len(days) > 3:
        return f"Photographed from {_said(days[0])} to {_said(days[-1])}."
    return f"Photographed {listed([_said(day) for day in days])}."


def _said(day: date) -> str:
    return EdtfDate.parse(day.isoformat()).say()


def _name_for_all_systems(name: str, kind: str) -> tuple[str, str]:
    """The stem and suffix of a file's name, without characters that some systems or the records can't have.

    >>> _name_for_all_systems("Low Tide: back?.JPG", "jpeg"), _name_for_all_systems("IMG_1.tmp", "heif")
    (('Low Tide- back-', '.JPG'), ('IMG_1.tmp', '.heic'))
    """
    name = unicodedata.normalize("NFC", _FOR_NO_SYSTEM.sub("-", name)).strip(" .")
    name = "".join(c if c.isprintable() else "-" for c in name)
    stem, ending = PurePath(name).stem, PurePath(name).suffix
    if ending.casefold() not in {each for endings in ENDINGS.values() for each in endings}:
        stem, ending = name, ENDINGS[kind or "jpeg"][0]
    while len(stem.encode()) > _LONGEST_NAME:
        stem = stem[:-1]
    stem = stem.strip(" .#~") or "photo"
    if stem.casefold() != free_id(stem.casefold(), ()):  # a name that some systems reserve for devices
        stem += "-photo"
    return stem, ending


def _small(name: str) -> str:
    return unicodedata.normalize("NFC", name).casefold()
