"""Digests of the contents that pages are made from: of each field of each quilt, and of each other record."""

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
    """Digests of an edition's contents, by the names that PageDependencies uses.

    `shared` is the digest of what every page depends on, `beside_quilts` of everything but the quilts. `quilts` has,
    by ID, the digests of a quilt's fields in one string, sliced by `_SLICES`; `others` those of partners and requests.
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
        """`quilts` makes each quilt of the edition, reduced to what the edition has, from `collection`: the records
        that were read, as of a day. `pictures` are those of all photos. Digests are reused from the `notes` of an
        earlier build.
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
                        [_picture_key(pictures[photo.file]) for photo in quilt.photos],
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
        """The digest of all that the edition is made from on this day."""
        return digest_of(repr((self.shared, self.beside_quilts, sorted(self.by_quilt.items()), on)).encode())

    def of_quilt(self, quilt_id: str, names: frozenset[str]) -> str:
        """The digest of these fields of a quilt, names included."""
        if names not in self._of_some:
            self._of_some[names] = _SomeFields.called(names)
        some = self._of_some[names]
        if quilt_id not in some.known:
            fields = self.quilts[quilt_id]
            some.known[quilt_id] = _short("".join([some.names, *[fields[part] for part in some.slices]]).encode())
        return some.known[quilt_id]

    @cached_property
    def by_quilt(self) -> dict[str, str]:
        """For each quilt the digest of all its fields that the edition has."""
        return {quilt: digest_of(fields.encode()) for quilt, fields in self.quilts.items()}


@dataclass(frozen=True, slots=True)
class _SomeFields:
    """Some of a quilt's fields: their names, where their digests are, and the known digests of all of them by quilt."""

    names: str
    slices: tuple[slice, ...]
    known: dict[str, str] = field(default_factory=dict)

    @classmethod
    def called(cls, names: frozenset[str]) -> Self:
        ordered = sorted(names)
        return cls(" ".join(ordered), tuple(_SLICES[name] for name in ordered))


def _others(collection: Collection) -> dict[str, str]:
    found: dict[str, str] = {}
    for kind in ("partners", "requests"):
        records = getattr(collection, kind)
        found |= {f"{kind}/{record_id}": _digest_of_value(record) for record_id, record in records.items()}
        found[f"{kind}/{WHICH}"] = _digest_of_value(sorted(records))
    return found


def _fields(quilt: Quilt, pictures: Mapping[str, Picture]) -> str:
    digests = {name: _digest_of_value(value) for name, value in quilt if name != "id" and _is_something(value)}
    if quilt.photos:
        # A page that reads the photos may read their pictures.
        digests["photos"] = _digest_of_value([(photo, _picture_key(pictures[photo.file])) for photo in quilt.photos])
    digests[WRITTEN] = _digest_of_value(sorted(quilt.model_fields_set))
    return "".join([digests.get(name, _NOTHING) for name in _SLICES])


def _is_something(value: Any) -> bool:
    return value is not None and (type(value) is not tuple or bool(value))


# There are many, and all are kept: 48 bits are enough to distinguish the contents of one field.
_LENGTH = 12
_NOTHING = "-" * _LENGTH
_SLICES = {
    name: slice(number * _LENGTH, (number + 1) * _LENGTH)
    for number, name in enumerate([*(name for name in Quilt.model_fields if name != "id"), WRITTEN])
}


def _digest_of_value(value: Any) -> str:
    return _short(repr(value).encode())


def _short(content: bytes) -> str:
    return digest_of(content)[:_LENGTH]


def _picture_key(picture: Picture) -> tuple[object, ...]:
    """What decides a picture: the photo's content and the program, unless something is wrong with it."""
    return picture.digest, picture.problem, [rendition.file_name for rendition in picture.files]
