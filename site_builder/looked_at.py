"""What of the records a page was made from.

A page is made from records that note, in the page's own LookedAt, what of them is asked for. Whatever is
made from the same parts with the same values is the same page: so the next build need not make it again,
although other parts have changed.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from operator import is_
from typing import Any

from collection.records.quilt import Quilt

WHICH = "*"
WRITTEN = "(written)"
"""Stands for which fields of a quilt were written, also with the value that they have anyway."""


class LookedAt:
    """The names of what was asked for: of quilts their fields, of others such as `partners/nell`, and
    `partners/*` where it was asked which there are."""

    def __init__(self) -> None:
        self._names: set[str] = set()
        self._others: set[LookedAt] = set()

    def note(self, name: str) -> None:
        self._names.add(name)

    def note_all(self, names: Iterable[str]) -> None:
        self._names.update(names)

    def include(self, other: "LookedAt") -> None:
        """All that the other has noted and will note: of what was made so, more may yet be asked for."""
        self._others.add(other)

    @property
    def names(self) -> frozenset[str]:
        return frozenset(self._names.union(*(other.names for other in self._others)))


# Quilts -----------------------------------------------------------------------------------------


class SeenQuilt(Quilt):
    """A quilt that notes which of its fields are asked for; `seen` alone makes one."""

    @property
    def model_fields_set(self) -> set[str]:
        self.__dict__["_looked_at"].note(WRITTEN)
        return as_it_is(self).model_fields_set

    def _whole(self) -> Quilt:
        for name in Quilt.model_fields:
            getattr(self, name)
        return as_it_is(self)

    def __eq__(self, other: object) -> bool:
        return self is other or self._whole() == (other._whole() if isinstance(other, SeenQuilt) else other)

    def __hash__(self) -> int:
        return hash(self._whole())

    def __iter__(self) -> Iterator:
        return iter(self._whole())

    def __repr__(self) -> str:
        return repr(self._whole())


class _Noted:
    """A field that is noted when it is asked for; then it lies in the quilt and is found there without this."""

    def __init__(self, name: str):
        self._name = name

    def __get__(self, quilt: SeenQuilt, kind: type | None = None) -> Any:
        name, own = self._name, quilt.__dict__
        own["_looked_at"].note(name)
        value = own[name] = own["_of"].__dict__[name]
        return value


for _name in Quilt.model_fields:
    setattr(SeenQuilt, _name, _Noted(_name))


def seen(quilt: Quilt, looked_at: LookedAt) -> SeenQuilt:
    """The same quilt, noting there what is asked for. Its ID is not noted: pages are planned with it."""
    of = as_it_is(quilt)
    made = SeenQuilt.__new__(SeenQuilt)
    object.__setattr__(made, "__dict__", {"id": of.id, "_of": of, "_looked_at": looked_at})
    return made


def as_it_is(quilt: Quilt) -> Quilt:
    """The quilt itself, where one that notes is given."""
    return quilt.__dict__.get("_of", quilt)


def are_the_same(some: Sequence[Quilt], others: Sequence[Quilt]) -> bool:
    """Are these the very same quilts in the same order, whoever notes what is asked of them?"""
    if some is others:
        return True
    return len(some) == len(others) and all(map(is_, map(as_it_is, some), map(as_it_is, others)))


# Other records ----------------------------------------------------------------------------------


class SeenRecords(Mapping[str, Any]):
    """Records of one kind by ID, noting which are asked for; each counts as a whole."""

    def __init__(self, records: Mapping[str, Any], kind: str, looked_at: LookedAt):
        self._records = records._records if isinstance(records, SeenRecords) else records
        self._kind = kind
        self._looked_at = looked_at

    def __getitem__(self, record_id: str) -> Any:
        self._looked_at.note(f"{self._kind}/{record_id}")
        return self._records[record_id]

    def __contains__(self, record_id: object) -> bool:
        self._looked_at.note(f"{self._kind}/{record_id}")
        return record_id in self._records

    def __iter__(self) -> Iterator[str]:
        self._looked_at.note(f"{self._kind}/{WHICH}")
        return iter(self._records)

    def __len__(self) -> int:
        self._looked_at.note(f"{self._kind}/{WHICH}")
        return len(self._records)
