"""The parts that pages share: links, pictures, cards, facts, tables and sections."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from markupsafe import Markup

from site_builder.drawings.patchwork import StandIn


@dataclass(frozen=True, slots=True)
class Link:
    """An address and its label. `count` is the number of quilts there."""

    label: str
    href: str
    count: int | None = None
    current: str = ""
    """In navigation: "page" on that very page, "true" on a page below it."""


@dataclass(frozen=True, slots=True)
class Source:
    """One rendition of a picture: its address and its width in pixels."""

    href: str
    width: int


@dataclass(frozen=True, slots=True)
class PictureView:
    """A picture in its renditions, the smallest first; width and height are the largest one's.

    `hung` is the style class that gives a card the picture's own proportions.
    """

    sources: tuple[Source, ...]
    width: int
    height: int
    alt: str
    hung: str
    caption: str | None = None

    @property
    def smallest(self) -> str:
        return self.sources[0].href

    @property
    def largest(self) -> str:
        return self.sources[-1].href

    @property
    def srcset(self) -> str:
        return ", ".join(f"{source.href} {source.width}w" for source in self.sources)


@dataclass(frozen=True, slots=True, eq=False)
class Card:
    """A quilt on a wall or in a list: a picture, or its stand-in, and lines of facts below the title.

    `eager` marks the first row, which loads at once.
    """

    id: str
    href: str
    title: str
    facts: tuple[str, ...]
    picture: PictureView | None
    stand_in: StandIn | None
    eager: bool = False


@dataclass(frozen=True, slots=True)
class Fact:
    """One row of a label: a term and its entries, each a link where there is a page for it."""

    term: str
    entries: tuple[Link, ...]
    note: str | None = None

    @property
    def in_a_row(self) -> bool:
        """Links without commas share one line."""
        return all(entry.href and "," not in entry.label for entry in self.entries)


def plain_facts(words_by_term: Mapping[str, str | None]) -> Iterator[Fact]:
    """A fact without a link for each term that has words."""
    return (Fact(term, (Link(words, ""),)) for term, words in words_by_term.items() if words)


@dataclass(frozen=True, slots=True)
class Cell:
    """One cell of a table. `edit` is the field that the desk opens for it (see `desk_mark`); `items` are a short list
    below its words."""

    text: str
    href: str | None = None
    picture: PictureView | None = None
    edit: str | None = None
    items: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Column:
    label: str
    numeric: bool = False


@dataclass(frozen=True, slots=True)
class Table:
    """A table: the first cell of each row heads it. `total` is the last row, if there is one."""

    caption: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[Cell, ...], ...]
    total: tuple[Cell, ...] | None = None


@dataclass(frozen=True, slots=True)
class Section:
    """A part of a page: a heading with an anchor, then words, facts, quilts or a table.

    `edit` is the record that the desk opens for it (see `desk_mark`).
    """

    anchor: str
    heading: str
    note: str | None = None
    text: Markup | None = None
    facts: tuple[Fact, ...] = ()
    cards: tuple[Card, ...] = ()
    table: Table | None = None
    edit: str | None = None
