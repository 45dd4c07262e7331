"""Which parts of the records a page depends on.

The records that a page is made from note each part that is read, in the page's own Dependencies. If these parts have
the same values in the next build, the page is the same and need not be made again, although other parts have changed.
"""

from collections import Counter
from collections.abc import Generator, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from operator import is_
from typing import Any

from collection.records.quilt import Quilt

WHICH = "*"
WRITTEN = "(written)"
"""A page that reads `model_fields_set` depends on this: on which fields the quilt's file has, defaults included."""


@dataclass(frozen=True, slots=True)
class PageDependencies:
    """What a page depends on: fields of its quilts, and the names of other records.

    `usual` are the fields that it read of most of its quilts; `others` has, by ID, the fields of the remaining quilts.
    `beside` has names such as `partners/nell`, and `partners/*` if the page read which partners there are.
    """

    usual: frozenset[str] = frozenset()
    others: Mapping[str, frozenset[str]] = field(default_factory=dict)
    beside: frozenset[str] = frozenset()

    def of(self, quilt_id: str) -> frozenset[str]:
        """The fields of one of the page's quilts."""
        return self.others.get(quilt_id, self.usual)


class Dependencies:
    """Collects what is read while a page is made."""

    def __init__(self) -> None:
        self._quilts: dict[str, set[str]] = {}
        self._common: list[Dependencies] = []
        self.beside: set[str] = set()

    def of(self, quilt_id: str) -> set[str]:
        """The set to which the fields read of a quilt are added."""
        if quilt_id not in self._quilts:
            self._quilts[quilt_id] = set()
        return self._quilts[quilt_id]

    def include(self, dependencies: PageDependencies, quilts: Iterable[Quilt]) -> None:
        """Add the dependencies of a value that was made from these quilts before, and is used here."""
        for quilt in quilts:
            self.of(quilt.id).update(dependencies.of(quilt.id))
        self.beside.update(dependencies.beside)

    def include_all_of(self, common: "Dependencies") -> None:
        """Add the dependencies of something that pages share; each also has what other pages read of it before."""
        self._common.append(common)

    def of_page(self, quilts: Iterable[Quilt]) -> PageDependencies:
        """The dependencies so far, for a page of these quilts."""
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
        # Of equally frequent sets the first in alphabetical order, so that the notes are always the same.
        counts = Counter(fields.values())
        usual = min(counts, key=lambda names: (-counts[names], sorted(names)))
        return PageDependencies(usual, {quilt: names for quilt, names in fields.items() if names is not usual}, beside)


# Quilts -----------------------------------------------------------------------------------------


class TrackedQuilt(Quilt):
    """A quilt that notes which of its fields are read; made by `tracked` only."""

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


class _TrackedField:
    """A field that notes its first reading, and copies its value into the quilt, where Python finds it from then on."""

    def __init__(self, name: str):
        self._name = name

    def __get__(self, quilt: TrackedQuilt, kind: type | None = None) -> Any:
        name, own = self._name, quilt.__dict__
        own["_noted"].add(name)
        value = own[name] = own["_of"].__dict__[name]
        return value


for _name in Quilt.model_fields:
    setattr(TrackedQuilt, _name, _TrackedField(_name))


def tracked(quilt: Quilt, dependencies: Dependencies) -> TrackedQuilt:
    """The same quilt, which adds to `dependencies` what is read of it; not the ID, which is part of a page's plan."""
    of = as_it_is(quilt)
    made = TrackedQuilt.__new__(TrackedQuilt)
    object.__setattr__(made, "__dict__", {"id": of.id, "_of": of, "_noted": dependencies.of(of.id)})
    return made


def as_it_is(quilt: Quilt) -> Quilt:
    """The quilt without tracking."""
    itself: Quilt = quilt.__dict__.get("_of", quilt)
    return itself


def are_the_same(some: Sequence[Quilt], others: Sequence[Quilt]) -> bool:
    """Are these the very same quilts in the same order, tracked or not?"""
    if some is others:
        return True
    return len(some) == len(others) and all(map(is_, map(as_it_is, some), map(as_it_is, others)))


# Other records ----------------------------------------------------------------------------------


class TrackedRecords(Mapping[str, Any]):
    """Records of one kind by ID, noting which are read; each counts as a whole."""

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
