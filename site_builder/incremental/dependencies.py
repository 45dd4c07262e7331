"""What of the records a page was made from.

A page is made from records that note, in the page's own Dependencies, what of them is asked for. Whatever is
made from the same parts with the same values is the same page: so the next build need not make it again,
although other parts have changed.
"""

from collections import Counter
from collections.abc import Generator, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from operator import is_
from typing import Any

from collection.records.quilt import Quilt

WHICH = "*"
WRITTEN = "(written)"
"""Stands for which fields of a quilt were written, also with the value that they have anyway."""


@dataclass(frozen=True, slots=True)
class PageDependencies:
    """What a page has looked at: of its quilts the fields, and the names of what else it was made from.

    `usual` are the fields that it asked most of its quilts for, `others` those of the others by their IDs;
    `beside` has names such as `partners/nell`, and `partners/*` where it was asked which there are.
    """

    usual: frozenset[str] = frozenset()
    others: Mapping[str, frozenset[str]] = field(default_factory=dict)
    beside: frozenset[str] = frozenset()

    def of(self, quilt_id: str) -> frozenset[str]:
        """The fields of one of the page's quilts."""
        return self.others.get(quilt_id, self.usual)


class Dependencies:
    """Notes what is looked at while a page is made."""

    def __init__(self) -> None:
        self._quilts: dict[str, set[str]] = {}
        self._common: list[Dependencies] = []
        self.beside: set[str] = set()

    def of(self, quilt_id: str) -> set[str]:
        """Where the fields of a quilt are noted."""
        if quilt_id not in self._quilts:
            self._quilts[quilt_id] = set()
        return self._quilts[quilt_id]

    def include(self, looks: PageDependencies, quilts: Iterable[Quilt]) -> None:
        """What something was made from that was made of these quilts before, and is used here."""
        for quilt in quilts:
            self.of(quilt.id).update(looks.of(quilt.id))
        self.beside.update(looks.beside)

    def include_all_of(self, common: "Dependencies") -> None:
        """What pages have in common, of which each may ask more: all that any of them has asked for till now
        counts for each."""
        self._common.append(common)

    def looks(self, quilts: Iterable[Quilt]) -> PageDependencies:
        """All that was noted till now by a page of these quilts."""
        kept: dict[frozenset[str], frozenset[str]] = {}
        fields = {}
        for quilt in quilts:
            names = frozenset(self._quilts.get(quilt.id, ()))
            if self._common:
                names = names.union(*(each._quilts.get(quilt.id, ()) for each in self._common))
            fields[quilt.id] = kept.setdefault(names, names)
        beside = frozenset(self.beside).union(*(each.beside for each in self._common))
        if len(kept) <= 1:
            return PageDependencies(next(iter(kept), frozenset()), {}, beside)
        # Of equally many the first in the order of the alphabet, so that a page is always noted alike.
        counts = Counter(fields.values())
        usual = min(counts, key=lambda names: (-counts[names], sorted(names)))
        return PageDependencies(usual, {quilt: names for quilt, names in fields.items() if names is not usual}, beside)


# Quilts -----------------------------------------------------------------------------------------


class TrackedQuilt(Quilt):
    """A quilt that notes which of its fields are asked for; `seen` alone makes one."""

    @property
    def model_fields_set(self) -> set[str]:
        self.__dict__["_noted"].add(WRITTEN)
        return as_it_is(self).model_fields_set

    def _whole(self) -> Quilt:
        for name in Quilt.model_fields:
            getattr(self, name)
        return as_it_is(self)

    def __eq__(self, other: object) -> bool:
        return self is other or self._whole() == (other._whole() if isinstance(other, TrackedQuilt) else other)

    def __hash__(self) -> int:
        return hash(self._whole())

    def __iter__(self) -> Generator[tuple[str, Any], None, None]:  # noqa: PYI058  as pydantic has it
        yield from self._whole()

    def __repr__(self) -> str:
        return repr(self._whole())


class _Noted:
    """A field that is noted when it is asked for; then it lies in the quilt and is found there without this."""

    def __init__(self, name: str):
        self._name = name

    def __get__(self, quilt: TrackedQuilt, kind: type | None = None) -> Any:
        name, own = self._name, quilt.__dict__
        own["_noted"].add(name)
        value = own[name] = own["_of"].__dict__[name]
        return value


for _name in Quilt.model_fields:
    setattr(TrackedQuilt, _name, _Noted(_name))


def seen(quilt: Quilt, dependencies: Dependencies) -> TrackedQuilt:
    """The same quilt, noting there what is asked for. Its ID is not noted: pages are planned with it."""
    of = as_it_is(quilt)
    made = TrackedQuilt.__new__(TrackedQuilt)
    object.__setattr__(made, "__dict__", {"id": of.id, "_of": of, "_noted": dependencies.of(of.id)})
    return made


def as_it_is(quilt: Quilt) -> Quilt:
    """The quilt itself, where one that notes is given."""
    itself: Quilt = quilt.__dict__.get("_of", quilt)
    return itself


def are_the_same(some: Sequence[Quilt], others: Sequence[Quilt]) -> bool:
    """Are these the very same quilts in the same order, whoever notes what is asked of them?"""
    if some is others:
        return True
    return len(some) == len(others) and all(map(is_, map(as_it_is, some), map(as_it_is, others)))


# Other records ----------------------------------------------------------------------------------


class TrackedRecords(Mapping[str, Any]):
    """Records of one kind by ID, noting which are asked for; each counts as a whole."""

    def __init__(self, records: Mapping[str, Any], kind: str, dependencies: Dependencies):
        self._records: Mapping[str, Any] = records._records if isinstance(records, TrackedRecords) else records
        self._kind = kind
        self._dependencies = dependencies

    def __getitem__(self, record_id: str) -> Any:
        self._dependencies.beside.add(f"{self._kind}/{record_id}")
        return self._records[record_id]

    def __contains__(self, record_id: object) -> bool:
        self._dependencies.beside.add(f"{self._kind}/{record_id}")
        return record_id in self._records

    def __iter__(self) -> Iterator[str]:
        self._dependencies.beside.add(f"{self._kind}/{WHICH}")
        return iter(self._records)

    def __len__(self) -> int:
        self._dependencies.beside.add(f"{self._kind}/{WHICH}")
        return len(self._records)
