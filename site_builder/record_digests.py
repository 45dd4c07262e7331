"""What stands for the contents that pages are made from: for each field of each quilt, and for each other file."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date
from functools import cached_property
from pathlib import Path
from typing import Any, Self

from collection.file_stamps import digest_of
from collection.reading import Reading
from collection.records.quilt import Quilt
from site_builder.edition_names import EditionName
from site_builder.kept_entries import KeptEntries
from site_builder.looked_at import WHICH, WRITTEN
from site_builder.pictures import Picture

_NOTED_ONE_BY_ONE = ("partners", "requests")


@dataclass(frozen=True)
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
    _of_some: dict[frozenset[str], tuple[list[str], dict[str, str]]] = field(default_factory=dict, repr=False, compare=False)

    @classmethod
    def of(
        cls,
        edition: EditionName,
        quilts: Mapping[str, Callable[[], Quilt]],
        reading: Reading,
        pictures: Mapping[str, Picture],
        output: Path,
        program: str,
    ) -> Self:
        """`quilts` gives each quilt that the edition has, as it has it; `pictures` are those of all photos.

        What was found out by a build before is known in `output`. OSError when it can't be kept there.
        """
        files = reading.seen.digests
        beside_quilts = digest_of(repr((edition, _all_but(files, "quilts"))).encode())
        as_written = {
            quilt.id: digest_of(
                repr(
                    (files[f"quilts/{quilt.id}.yaml"], [_picture_in_short(pictures[photo.file]) for photo in quilt.photos])
                ).encode()
            )
            for quilt in reading.collection.quilts.values()
        }
        known = KeptEntries(output, f"{edition}-fields", program, beside_quilts, as_written)
        fields = {quilt: known(quilt, lambda quilt=quilt: _fields(quilts[quilt](), pictures)) for quilt in quilts}
        known.save()
        shared = digest_of(repr((program, edition, _all_but(files, "quilts", *_NOTED_ONE_BY_ONE))).encode())
        return cls(shared, beside_quilts, fields, _others(files))

    def of_all(self, on: date | None) -> str:
        """Stands for all that the edition is made from on this day."""
        return digest_of(repr((self.shared, self.beside_quilts, sorted(self.by_quilt.items()), on)).encode())

    def of_quilt(self, quilt_id: str, names: frozenset[str]) -> str:
        """Stands for these fields of a quilt. Names of other things than fields do no harm."""
        if names not in self._of_some:
            self._of_some[names] = sorted(names), {}
        ordered, known = self._of_some[names]
        if quilt_id not in known:
            fields = self.quilts[quilt_id]
            known[quilt_id] = _short(" ".join([fields.get(name, "") for name in ordered]).encode())
        return known[quilt_id]

    @cached_property
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


def _fields(quilt: Quilt, pictures: Mapping[str, Picture]) -> dict[str, str]:
    found = {name: _said(value) for name, value in quilt if name != "id" and value not in (None, ())}
    if quilt.photos:
        # Whoever looks at the photos may look at their pictures.
        found["photos"] = _said([(photo, _picture_in_short(pictures[photo.file])) for photo in quilt.photos])
    found[WRITTEN] = _said(sorted(quilt.model_fields_set))
    return found


def _said(value: Any) -> str:
    return _short(repr(value).encode())


def _short(content: bytes) -> str:
    """There are many, and each is kept: 64 bits tell one content of a field from another."""
    return digest_of(content)[:16]


def _picture_in_short(picture: Picture) -> tuple:
    """What a picture is follows from the photo's content and the program, unless something is wrong with it."""
    return picture.digest, picture.problem, [rendition.file_name for rendition in picture.files]
