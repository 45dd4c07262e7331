"""The collection: all valid records in memory."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path

from collection.records.destinations import Staying
from collection.records.partner import Partner
from collection.records.quilt import Quilt
from collection.records.request import Request
from collection.records.settings import Settings
from collection.sizes.categories import SizeCategory, SizeTable
from collection.sizes.tables import Mattress, SizeBox

_NOWHERE = Path()


def inventory_order(quilt: Quilt) -> tuple[bool, int, str, str]:
    """The sort key for quilts: by number; those without a number come last, by title."""
    return quilt.number is None, quilt.number or 0, quilt.title.casefold(), quilt.id


def charities_above(partner: Partner | None, partners: Mapping[str, Partner]) -> tuple[str, ...]:
    """The IDs of the charity that a partner is part of, that charity's parent, and so on, each once."""
    above: list[str] = []
    while partner is not None and partner.part_of is not None and partner.part_of not in above:
        above.append(partner.part_of)
        partner = partners.get(partner.part_of)
    return tuple(above)


def stays(quilt: Quilt, word: str) -> bool:
    """Is the quilt's destination this word: kept, free or undecided?"""
    return isinstance(quilt.destination, Staying) and quilt.destination.is_ == word


def is_kept(quilt: Quilt) -> bool:
    """Has the maker decided to keep the quilt?"""
    return stays(quilt, "kept")


@dataclass(frozen=True)
class Page:
    """An extra page in Markdown; its title is its first heading, else its file's name."""

    id: str
    title: str
    markdown: str


@dataclass(frozen=True)
class Collection:
    """All valid records of a folder, by ID in alphabetical order.

    `photos` holds the names of all files in photos/ and its folders, as the disk spells them.
    """

    folder: Path
    settings: Settings = field(default_factory=Settings)
    quilts: Mapping[str, Quilt] = field(default_factory=dict)
    partners: Mapping[str, Partner] = field(default_factory=dict)
    requests: Mapping[str, Request] = field(default_factory=dict)
    pages: Mapping[str, Page] = field(default_factory=dict)
    photos: frozenset[str] = frozenset()

    @cached_property
    def size_boxes(self) -> tuple[SizeBox, ...]:
        """The usual size categories and the maker's own."""
        return self.settings.sizes.boxes()

    @cached_property
    def size_names(self) -> SizeTable:
        """The size categories, prepared for many look-ups."""
        return SizeTable(self.size_boxes)

    @cached_property
    def mattresses(self) -> tuple[Mattress, ...]:
        """The beds to show sizes on: those of the maker's region, and her own."""
        return self.settings.sizes.beds_shown(self.settings.units)

    @cached_property
    def _categories(self) -> dict[tuple[int, ...], SizeCategory | None]:
        """A cache of categories by the numbers of a size, because many pages need the same ones."""
        return {}

    def category(self, quilt: Quilt) -> SizeCategory | None:
        """The size category of a quilt; None if it was not measured."""
        size = quilt.finished_size
        if size is None:
            return None
        width, length = size.width.inches, size.length.inches
        numbers = width.numerator, width.denominator, length.numerator, length.denominator
        if numbers not in self._categories:
            self._categories[numbers] = self.size_names.category(size)
        return self._categories[numbers]

    def with_quilts(
        self,
        quilts: Iterable[Quilt],
        *,
        partners: Mapping[str, Partner] | None = None,
        requests: Mapping[str, Request] | None = None,
    ) -> "Collection":
        """A collection with only these quilts, and these partners and requests if given; without photos and folder."""
        fewer = Collection(
            folder=_NOWHERE,
            settings=self.settings,
            quilts={quilt.id: quilt for quilt in sorted(quilts, key=lambda quilt: quilt.id)},
            partners=self.partners if partners is None else partners,
            requests=self.requests if requests is None else requests,
            pages=self.pages,
        )
        # These depend on the settings alone, so they need not be computed again.
        for name in ("size_boxes", "size_names", "mattresses", "_categories"):
            fewer.__dict__[name] = getattr(self, name)
        return fewer

    def category_key(self, quilt: Quilt) -> str | None:
        category = self.category(quilt)
        return category.box.key if category else None
