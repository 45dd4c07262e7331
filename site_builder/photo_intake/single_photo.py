"""One photo that comes without a file, as from a form: its draft, and what it is like in a collection."""

from collections.abc import Mapping
from datetime import date
from pathlib import Path, PurePosixPath

from collection.holdings import Collection
from site_builder.photo_intake.drafts import Draft, Places, draft_of
from site_builder.photo_intake.known_photos import known_photos
from site_builder.photo_intake.likeness import Likeness, same_picture
from site_builder.photo_intake.looking import SeenPicture, look_at
from site_builder.photo_intake.meetings import KnownPictures, Meeting
from site_builder.photo_intake.grouping import Group
from site_builder.photo_intake.picture_files import PictureFile, kind_of


def draft_from_photo(content: bytes, file_name: str, collection: Collection, *, on: date) -> Draft:
    """A new record with this one photo, as `take-in` would make it; nothing is written.

    `photos[0].file` is a free place for the content below photos/, and `text` the record's file. `on` is
    today. Raises `site_builder.photo_reading.UnusablePhoto`, in words, for what is no picture.
    """
    seen = _seen(content, file_name, on)
    return draft_of([seen], seen.name.title, "", Places(collection))


def likenesses(content: bytes, collection: Collection, *, known: Mapping[str, Likeness] | None = None) -> tuple[str, ...]:
    """The collection's photos that show the same picture, by their names below photos/; the same bytes first.

    `known` saves looking at the collection's photos again (see `known_photos`). Raises `UnusablePhoto`.
    """
    one = _seen(content, "photo", date.max.replace(year=9000)).likeness
    others = _known(collection) if known is None else known
    alike = [name for name, other in others.items() if same_picture(one, other)]
    return tuple(sorted(alike, key=lambda name: (others[name].digest != one.digest, name)))


def meeting_of_photo(
    content: bytes, file_name: str, collection: Collection, *, on: date, known: Mapping[str, Likeness] | None = None
) -> Meeting | None:
    """Whether the photo, or a quilt called like it, is in the collection already, with a sentence that says so."""
    seen = _seen(content, file_name, on)
    others = _known(collection) if known is None else known
    return KnownPictures(collection, others).meeting(Group((seen,), seen.name.title, ""))


def _known(collection: Collection) -> dict[str, Likeness]:
    return known_photos(collection.folder, collection.photos)


def _seen(content: bytes, file_name: str, on: date) -> SeenPicture:
    # A browser may give a whole path, with the separators of any system.
    name = PurePosixPath(file_name.replace("\\", "/")).name or "photo"
    return look_at(content, PictureFile(Path(name), name, (), kind_of(content[:16])), on=on)
