"""What stands for the contents that pages are made from: for each field of each quilt, and for each other file."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Self

from collection.file_stamps import digest_of
from collection.reading import Reading
from collection.records.quilt import Quilt
from site_builder.edition import Edition
from site_builder.kept_entries import KeptEntries
from site_builder.looked_at import WHICH, WRITTEN
from site_builder.pictures import Picture

_NOTED_ONE_BY_ONE = ("partners", "requests")


@dataclass(frozen=True, slots=True)
class RecordDigests:
    """Digests of an edition's contents, by the names under which a page notes what it looked at.

    `shared` stands for what every page is made from, `quilts` for the fields of each quilt by its ID (a
    field that says nothing has none), `others` for partners and requests; `beside_quilts` for all that is no
    quilt.
    """

    shared: str
    beside_quilts: str
    quilts: Mapping[str, Mapping[str, str]]
    others: Mapping[str, str]
    _of_some: dict[frozenset[str], dict[str, str]] = field(default_factory=dict, repr=False, compare=False)

    @classmethod
    def of(
        cls, edition: Edition, reading: Reading, pictures: Mapping[str, Picture], output: Path, program: str
    ) -> Self:
        """`pictures` are those of all photos; what was found out by a build before is known in `output`."""
        files = reading.seen.digests
        beside_quilts = digest_of(repr((edition.name, _all_but(files, "quilts"))).encode())
        as_written = {
            quilt.id: digest_of(
                repr(
                    (files[f"quilts/{quilt.id}.yaml"], [_picture_in_short(pictures[photo.file]) for photo in quilt.photos])
                ).encode()
            )
            for quilt in reading.collection.quilts.values()
        }
        known = KeptEntries(output, f"{edition.name}-fields", program, beside_quilts, as_written)
        quilts = {
            quilt.id: known(quilt.id, lambda quilt=quilt: _fields(edition, quilt))
            for quilt in edition.collection.quilts.values()
        }
        known.save()
        shared = digest_of(repr((program, edition.name, _all_but(files, "quilts", *_NOTED_ONE_BY_ONE))).encode())
        return cls(shared, beside_quilts, quilts, _others(files))

    def of_quilt(self, quilt_id: str, names: frozenset[str]) -> str:
        """Stands for these fields of a quilt. Names of other things than fields do no harm."""
        known = self._of_some.setdefault(names, {})
        if quilt_id not in known:
            fields = self.quilts[quilt_id]
            known[quilt_id] = _short([(name, fields[name]) for name in sorted(names & fields.keys())])
        return known[quilt_id]

    @property
    def by_quilt(self) -> dict[str, str]:
        """For each quilt what stands for all of it that the edition has."""
        return {quilt: digest_of(repr(sorted(fields.items())).encode()) for quilt, fields in self.quilts.items()}


def _all_but(files: Mapping[str, str], *kinds: str) -> list[tuple[str, str]]:
    apart = tuple(f"{kind}/" for kind in kinds)
    return sorted(each for each in files.items() if not each[0].startswith(apart))


def _others(files: Mapping[str, str]) -> dict[str, str]:
    found: dict[str, str] = {}
    for kind in _NOTED_ONE_BY_ONE:
        of_kind = {name.removesuffix(".yaml"): digest for name, digest in files.items() if name.startswith(f"{kind}/")}
        found |= of_kind
        found[f"{kind}/{WHICH}"] = digest_of(repr(sorted(of_kind.items())).encode())
    return found


def _fields(edition: Edition, quilt: Quilt) -> dict[str, str]:
    found = {name: _short(value) for name, value in quilt if name != "id" and value not in (None, ())}
    pictures = [(photo.file, edition.pictures.get(photo.file)) for photo in quilt.photos]
    if pictures:
        # Whoever looks at the photos may look at their pictures.
        in_short = [(file, _picture_in_short(picture) if picture else None) for file, picture in pictures]
        found["photos"] = _short((quilt.photos, in_short))
    found[WRITTEN] = _short(sorted(quilt.model_fields_set))
    return found


def _short(value: Any) -> str:
    return digest_of(repr(value).encode())[:16]


def _picture_in_short(picture: Picture) -> tuple:
    """What a picture is follows from the photo's content and the program, unless something is wrong with it."""
    return picture.digest, picture.problem, [rendition.file_name for rendition in picture.files]
