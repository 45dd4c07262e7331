"""What stands for the contents that pages are made from: for each field of each quilt, and for each other record."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date
from functools import cached_property
from typing import Any, Self

from collection.loading.loader import Reading
from collection.records.collection import Collection
from collection.records.quilt import Quilt
from collection.storage.fingerprints import digest_of
from site_builder.editions import EditionName
from site_builder.images.picture import Picture
from site_builder.incremental.cached_entries import cached_entries
from site_builder.incremental.dependencies import WHICH, WRITTEN
from site_builder.incremental.manifest import BuildNotes


@dataclass(frozen=True)
class RecordDigests:
    """Digests of an edition's contents, by the names under which a page notes what it looked at.

    `shared` stands for what every page is made from, `quilts` has the digests of each quilt's fields by its ID,
    one behind the other as `_PLACES` says, `others` those of partners and requests; `beside_quilts` stands for
    all that is no quilt.
    """

    shared: str
    beside_quilts: str
    quilts: Mapping[str, str]
    others: Mapping[str, str]
    _of_some: dict[frozenset[str], "_SomeFields"] = field(default_factory=dict, repr=False, compare=False)

    @classmethod
    def of(
        cls,
        edition: EditionName,
        quilts: Mapping[str, Callable[[], Quilt]],
        reading: Reading,
        collection: Collection,
        pictures: Mapping[str, Picture],
        notes: BuildNotes,
        program: str,
        jobs: int,
    ) -> Self:
        """`quilts` gives each quilt that the edition has, as it has it, from `collection`, which is what was read as
        of a day; `pictures` are those of all photos.

        What was found out by a build before is known from its `notes`.
        """
        read, files = reading.collection.quilts, reading.digests
        own = repr((program, edition, collection.settings, sorted(collection.pages.items())))
        others = _others(collection)
        beside_quilts = digest_of(repr((own, sorted(others.items()))).encode())
        as_written = {
            quilt.id: digest_of(
                repr(
                    (
                        files[f"quilts/{quilt.id}.yaml"],
                        [_picture_in_short(pictures[photo.file]) for photo in quilt.photos],
                        # The same file says another thing on another day.
                        *([] if quilt is read[quilt.id] else [quilt]),
                    )
                ).encode()
            )
            for quilt in collection.quilts.values()
        }
        fields = cached_entries(
            notes,
            f"{edition}-fields",
            made_from=beside_quilts,
            quilts={quilt: as_written[quilt] for quilt in quilts},
            make=lambda quilt: _fields(quilts[quilt](), pictures),
            jobs=jobs,
        )
        return cls(digest_of(own.encode()), beside_quilts, fields, others)

    def of_all(self, on: date | None) -> str:
        """Stands for all that the edition is made from on this day."""
        return digest_of(repr((self.shared, self.beside_quilts, sorted(self.by_quilt.items()), on)).encode())

    def of_quilt(self, quilt_id: str, names: frozenset[str]) -> str:
        """Stands for these fields of a quilt, and for which they are."""
        if names not in self._of_some:
            self._of_some[names] = _SomeFields.called(names)
        some = self._of_some[names]
        if quilt_id not in some.known:
            fields = self.quilts[quilt_id]
            some.known[quilt_id] = _short("".join([some.names, *[fields[place] for place in some.places]]).encode())
        return some.known[quilt_id]

    @cached_property
    def by_quilt(self) -> dict[str, str]:
        """For each quilt what stands for all of it that the edition has."""
        return {quilt: digest_of(fields.encode()) for quilt, fields in self.quilts.items()}


@dataclass(frozen=True, slots=True)
class _SomeFields:
    """Some of a quilt's fields: their names, where their digests are, and what is known of all of them by quilt."""

    names: str
    places: tuple[slice, ...]
    known: dict[str, str] = field(default_factory=dict)

    @classmethod
    def called(cls, names: frozenset[str]) -> Self:
        ordered = sorted(names)
        return cls(" ".join(ordered), tuple(_PLACES[name] for name in ordered))


def _others(collection: Collection) -> dict[str, str]:
    found: dict[str, str] = {}
    for kind in ("partners", "requests"):
        records = getattr(collection, kind)
        found |= {f"{kind}/{record_id}": _said(record) for record_id, record in records.items()}
        found[f"{kind}/{WHICH}"] = _said(sorted(records))
    return found


def _fields(quilt: Quilt, pictures: Mapping[str, Picture]) -> str:
    said = {name: _said(value) for name, value in quilt if name != "id" and _is_something(value)}
    if quilt.photos:
        # Whoever looks at the photos may look at their pictures.
        said["photos"] = _said([(photo, _picture_in_short(pictures[photo.file])) for photo in quilt.photos])
    said[WRITTEN] = _said(sorted(quilt.model_fields_set))
    return "".join([said.get(name, _NOTHING) for name in _PLACES])


def _is_something(value: Any) -> bool:
    return value is not None and (type(value) is not tuple or bool(value))


# There are many, and each is kept: 48 bits tell one content of a field from another.
_LENGTH = 12
_NOTHING = "-" * _LENGTH
_PLACES = {
    name: slice(number * _LENGTH, (number + 1) * _LENGTH)
    for number, name in enumerate([*(name for name in Quilt.model_fields if name != "id"), WRITTEN])
}


def _said(value: Any) -> str:
    return _short(repr(value).encode())


def _short(content: bytes) -> str:
    return digest_of(content)[:_LENGTH]


def _picture_in_short(picture: Picture) -> tuple[object, ...]:
    """What a picture is follows from the photo's content and the program, unless something is wrong with it."""
    return picture.digest, picture.problem, [rendition.file_name for rendition in picture.files]
