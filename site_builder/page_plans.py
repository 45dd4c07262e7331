"""Pages before they are made: which there are, and what each of them rests on.

A page that is planned with its quilts is made from them, from what the whole edition shares (settings,
partners, requests, the maker's own pages) and from the plain values in its plan, and it can see nothing
else. So what a plan rests on decides whether its page may have changed.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date

from collection.file_stamps import digest_of
from collection.records.quilt import Quilt
from site_builder.edition import Edition, PageSpec


@dataclass(frozen=True, slots=True)
class PagePlan:
    """One page: where it stands, and how it is made.

    `make` is a function of a module; it is called with an edition of `quilts` alone, with them in this
    order, and with `also`, plain values of which `repr` tells all. `by_day`: the day counts as well.
    """

    path: str
    make: Callable[..., PageSpec]
    quilts: tuple[Quilt, ...] = ()
    also: tuple = ()
    by_day: bool = False

    def page(self, edition: Edition) -> PageSpec:
        """The page itself."""
        on = edition.on if self.by_day else None
        return self.make(edition.only(self.quilts, on=on), self.quilts, *self.also)

    def rests_on(self, shared: str, quilts: Mapping[str, str], on: date | None) -> str:
        """Stands for all that the page is made from on this day.

        `shared` stands for what the edition shares, and `quilts` has for each quilt, by ID, what stands
        for its record and pictures.
        """
        name = f"{self.make.__module__}.{self.make.__qualname__}"
        seen = " ".join(quilts[quilt.id] for quilt in self.quilts)
        return digest_of("\n".join([shared, self.path, name, seen, repr((self.also, on if self.by_day else None))]).encode())
