"""An edition of the collection: the data of its pages, and the pages themselves as values."""

from collections.abc import Callable, Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from functools import cached_property
from typing import Any, Self, TypeVar

from collection.privacy import publishable
from collection.records.collection import Collection
from collection.records.public_fields import FACTS
from collection.records.quilt import Photo, Quilt
from site_builder.editions import EditionName
from site_builder.images.picture import Picture
from site_builder.incremental.dependencies import (
    Dependencies,
    PageDependencies,
    TrackedRecords,
    are_the_same,
    as_it_is,
    tracked,
)

Made = TypeVar("Made")


@dataclass(frozen=True)
class Edition:
    """All data that the pages of one edition are made from.

    The catalogue's collection holds public facts only. `pictures` has the pictures of each photo by its file name;
    `on` is the day on which the binder decides what is overdue; `dependencies` records what a page reads from this
    edition.
    """

    name: EditionName
    collection: Collection
    pictures: Mapping[str, Picture] = field(default_factory=dict)
    on: date | None = None
    dependencies: Dependencies | None = None

    @classmethod
    def catalogue(cls, collection: Collection, pictures: Mapping[str, Picture]) -> "Edition":
        """The public edition, of a collection as of a day."""
        reduced = publishable(collection)
        shown = {photo.file for quilt in reduced.quilts.values() for photo in quilt.photos}
        sound = {file for file in shown & pictures.keys() if not pictures[file].problem}
        return cls("catalogue", reduced, {file: pictures[file] for file in sorted(sound)})

    @classmethod
    def binder(cls, collection: Collection, pictures: Mapping[str, Picture], on: date) -> "Edition":
        """The household's own edition, with everything, of a collection as of the day `on`."""
        settings = collection.settings.model_copy(update={"public": tuple(FACTS)})
        return cls("binder", replace(collection, settings=settings), pictures, on)

    @cached_property
    def made_before(self) -> dict[Hashable, Any]:
        """What was made from this edition alone and is asked for again and again, such as the groups of its quilts."""
        return {}

    @cached_property
    def _for_pages(self) -> dict[Hashable, Any]:
        return {}

    def forget_what_pages_share(self) -> None:
        """Free the values that pages share, once all pages are made."""
        self._for_pages.clear()

    def only(self, quilts: Iterable[Quilt], *, on: date | None = None) -> Self:
        """The edition reduced to these quilts, and to the given day or none, so that nothing else can be used."""
        return self._of(tuple(quilts), on, self.dependencies)

    def seen_from(self, quilts: Sequence[Quilt], dependencies: Dependencies, *, on: date | None = None) -> Self:
        """The edition reduced to these quilts, adding to `dependencies` what is read of them, partners and requests."""
        others = {
            kind: TrackedRecords(getattr(self.collection, kind), kind, dependencies)
            for kind in ("partners", "requests")
        }
        return self._of(tuple(tracked(quilt, dependencies) for quilt in quilts), on, dependencies, **others)

    def _of(self, quilts: tuple[Quilt, ...], on: date | None, dependencies: Dependencies | None, **others: Any) -> Self:
        files = [photo.file for quilt in quilts for photo in as_it_is(quilt).photos]
        pictures = {file: self.pictures[file] for file in files if file in self.pictures}
        fewer = type(self)(self.name, self.collection.with_quilts(quilts, **others), pictures, on, dependencies)
        fewer.__dict__.update(made_before=self.made_before, _for_pages=self._for_pages)
        return fewer

    def memoized(
        self, asked_for: Hashable, quilts: Sequence[Quilt], make: "Callable[[Edition, Sequence[Quilt]], Made]"
    ) -> Made:
        """What `make` makes from these quilts alone; made once for all pages that need it, and again for other quilts.

        It must be of plain values, as what is read of it later is not tracked. The page that uses it depends on all
        that it was made from.
        """
        known = self._for_pages.get(asked_for)
        if known is None or not are_the_same(known.quilts, quilts):
            dependencies = Dependencies()
            alone = self.seen_from(quilts, dependencies)
            value = make(alone, [alone.collection.quilts[quilt.id] for quilt in quilts])
            made_from = dependencies.of_page(quilts)
            # There are many such values, with few different dependencies.
            made_from = (
                self._for_pages.setdefault((made_from.usual, made_from.beside), made_from)
                if not made_from.others
                else made_from
            )
            known = self._for_pages[asked_for] = _Memoized(tuple(map(as_it_is, quilts)), value, made_from)
        if self.dependencies is not None:
            self.dependencies.include(known.dependencies, quilts)
        made: Made = known.value
        return made

    @property
    def is_binder(self) -> bool:
        return self.name == "binder"

    def shows(self, fact: str) -> bool:
        """May the pages of this edition show this fact?"""
        return fact in self.collection.settings.public

    def cover_photo(self, quilt: Quilt) -> Photo | None:
        """The cover of a quilt: the first of its photos that can be read."""
        return next((photo for photo in quilt.photos if self._is_sound(photo)), None)

    def photos(self, quilt: Quilt) -> tuple[Photo, ...]:
        """The photos to show: in the binder also those that have only a placeholder."""
        return tuple(
            photo for photo in quilt.photos if photo.file in self.pictures and (self.is_binder or self._is_sound(photo))
        )

    def _is_sound(self, photo: Photo) -> bool:
        return photo.file in self.pictures and not self.pictures[photo.file].problem

    def cover(self, quilt: Quilt) -> Picture | None:
        """The picture of the quilt's cover."""
        photo = self.cover_photo(quilt)
        return self.pictures[photo.file] if photo else None

    def palette(self, quilt: Quilt) -> tuple[str, ...]:
        """The quilt's own colours as #rrggbb, the largest share first; empty if they are not known."""
        cover = self.cover(quilt)
        if cover is None or not self.shows("colours"):
            return ()
        return tuple(colour for colour, _ in cover.colours.palette)


@dataclass(frozen=True, slots=True)
class _Memoized:
    """A value, with the quilts and the dependencies that it was made from."""

    quilts: tuple[Quilt, ...]
    value: Any
    dependencies: PageDependencies


@dataclass(frozen=True, slots=True)
class PageSpec:
    """A page before it is rendered: its path, its template and view, and the data of its head.

    `colours` are those of its quilts, for the strip along its head; `section` is its parent's path in the navigation,
    and `trail` the labels and paths that lead back there; `image` is the file name of a picture for previews; `quilt`
    is the only subject of the page, if it has one.
    """

    path: str
    template: str
    title: str
    description: str
    view: Any
    colours: tuple[str, ...] = ()
    section: str = ""
    trail: tuple[tuple[str, str], ...] = ()
    image: str | None = None
    quilt: Quilt | None = None
