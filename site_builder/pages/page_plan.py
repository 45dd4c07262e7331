"""Plans of pages: how each page is made, and what it depends on.

A page is made from the quilts in its plan, from what the whole edition shares (settings, the maker's own pages), from
partners and requests, and from the plain values in its plan, and it can see nothing else. The fields that it reads are
recorded when it is made: they and the plan decide whether it may have changed.
"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from functools import cache
from typing import Any

from collection.records.quilt import Quilt
from collection.storage.fingerprints import digest_of
from site_builder.incremental.dependencies import Dependencies, PageDependencies
from site_builder.incremental.digests import RecordDigests
from site_builder.pages.edition import Edition, PageSpec


@dataclass(frozen=True, slots=True)
class PagePlan:
    """One page: its path, and how it is made.

    `make` is a function of a module. Its arguments are an edition of `quilts` alone, the quilts in this order, and
    `also`: plain values with a complete `repr`. `by_day`: the page depends on the day as well.
    """

    path: str
    make: Callable[..., PageSpec]
    quilts: tuple[Quilt, ...] = ()
    also: tuple[Any, ...] = ()
    by_day: bool = False

    def page(self, edition: Edition, dependencies: Dependencies | None = None) -> PageSpec:
        """The page itself. `dependencies` records the fields that it, and later its head, reads."""
        alone = edition.seen_from(self.quilts, dependencies or Dependencies(), on=self._day(edition.on))
        return self.make(alone, tuple(alone.collection.quilts[quilt.id] for quilt in self.quilts), *self.also)

    def beside_quilts(self, digests: RecordDigests, dependencies: PageDependencies, on: date | None) -> str:
        """The digest of what the page depends on, on this day, except the contents of its quilts."""
        parts = [digests.shared, self.path, f"{self.make.__module__}.{self.make.__qualname__}"]
        parts += [repr((self.also, self._day(on))), *[quilt.id for quilt in self.quilts]]
        # The names too: a page that read other fields when it was made can't be compared.
        parts += [_in_order(dependencies.usual)]
        parts += [f"{quilt} {_in_order(names)}" for quilt, names in dependencies.others.items()]
        parts += sorted(f"{name} {digests.others.get(name, '')}" for name in dependencies.beside)
        return digest_of("\n".join(parts).encode())

    def of_quilts(self, digests: RecordDigests, dependencies: PageDependencies) -> str:
        """The digest of the fields of its quilts that the page depends on."""
        return digest_of(
            "".join([digests.of_quilt(quilt.id, dependencies.of(quilt.id)) for quilt in self.quilts]).encode()
        )

    def says_the_same(self, digests: RecordDigests, before: RecordDigests, dependencies: PageDependencies) -> bool:
        """Are the fields that the page depends on the same as before? `before` has the quilts that have changed."""
        return all(
            digests.of_quilt(quilt.id, dependencies.of(quilt.id))
            == before.of_quilt(quilt.id, dependencies.of(quilt.id))
            for quilt in self.quilts
            if quilt.id in before.quilts
        )

    def _day(self, on: date | None) -> date | None:
        return on if self.by_day else None


@cache
def _in_order(names: frozenset[str]) -> str:
    return " ".join(sorted(names))
