"""One type for each kind of page."""

from dataclasses import dataclass

from markupsafe import Markup

from site_builder.drawings.bed import BedDrawing
from site_builder.drawings.block_setting import SettingDrawing
from site_builder.drawings.patchwork import Patchwork, StandIn, Strip
from site_builder.views.parts import Card, Fact, Link, PictureView, Section, Table


@dataclass(frozen=True, slots=True, eq=False)
class NavGroup:
    """Links of one kind in the navigation, the same on many pages; the first group has no name."""

    name: str
    links: tuple[Link, ...]


@dataclass(frozen=True, slots=True)
class PageHead:
    """The data around the view of every page.

    `root` is the path from the page to the edition's folder ("" or "../"); `strip` has the colours of the page's
    quilts; `trail` links to its parents; `canonical` and `image` are absolute URLs, if the site's is known.
    """

    path: str
    title: str
    description: str
    edition: str
    site_title: str
    language: str
    root: str
    nav: tuple[NavGroup, ...]
    trail: tuple[Link, ...] = ()
    strip: Strip | None = None
    canonical: str | None = None
    image: str | None = None
    structured: Markup | None = None
    rights: str | None = None
    has_feed: bool = False


@dataclass(frozen=True, slots=True)
class FacetTool:
    """One facet among the wall's filters; its values come with the wall's data."""

    kind: str
    heading: str


@dataclass(frozen=True, slots=True)
class WallTools:
    """The facets that filter the wall."""

    facets: tuple[FacetTool, ...]


@dataclass(frozen=True, slots=True)
class WallView:
    """One sheet of the wall of all quilts: its cards, and links to the other sheets."""

    heading: str
    total: str
    cards: tuple[Card, ...]
    tools: WallTools | None
    earlier: Link | None
    later: Link | None
    sheets: tuple[Link, ...]


@dataclass(frozen=True, slots=True)
class BedView:
    """A quilt drawn to scale on a bed, with a caption."""

    words: str
    drawing: BedDrawing


@dataclass(frozen=True, slots=True)
class SizeView:
    """A quilt's size in both units, its category, and the beds it covers."""

    inches: str
    centimetres: str
    category: str
    category_href: str | None
    measured: str | None
    area: str
    beds: tuple[BedView, ...]


@dataclass(frozen=True, slots=True)
class SettingView:
    """How the blocks are set: a diagram, and a table of what to cut."""

    summary: str
    drawing: SettingDrawing
    cutting: Table
    comparison: str | None


@dataclass(frozen=True, slots=True)
class QuiltView:
    """A quilt's page. `private` is always empty in the catalogue."""

    title: str
    also_called: str | None
    number: str | None
    cover: PictureView | None
    stand_in: StandIn | None
    pictures: tuple[PictureView, ...]
    facts: tuple[Fact, ...]
    size: SizeView | None
    setting: SettingView | None
    story: Markup | None
    cautions: tuple[str, ...]
    related: tuple[Section, ...]
    earlier: Link | None
    later: Link | None
    private: tuple[Section, ...] = ()


@dataclass(frozen=True, slots=True)
class GroupView:
    """The quilts that share one value: a size, a decade, a pattern, a charity."""

    heading: str
    intro: str
    sections: tuple[Section, ...]
    earlier: Link | None = None
    later: Link | None = None


@dataclass(frozen=True, slots=True)
class GroupEntry:
    """One value on the overview of its facet, with a few of its quilts."""

    link: Link
    note: str | None
    samples: tuple[Card, ...]


@dataclass(frozen=True, slots=True)
class GroupsView:
    """All values of one facet. `href` links to its overview from the page of all facets."""

    heading: str
    intro: str
    entries: tuple[GroupEntry, ...]
    href: str | None = None


@dataclass(frozen=True, slots=True)
class BrowseView:
    """The ways to browse the collection."""

    heading: str
    kinds: tuple[GroupsView, ...]


@dataclass(frozen=True, slots=True)
class HomesView:
    """The quilts looking for homes, by size."""

    heading: str
    intro: str
    sections: tuple[Section, ...]


@dataclass(frozen=True, slots=True)
class YearEntry:
    """One year on the overview of giving."""

    link: Link
    words: str
    patchwork: Patchwork


@dataclass(frozen=True, slots=True)
class GivingView:
    """Giving over the years: the patchwork picture and totals of a lifetime, then each year's picture."""

    heading: str
    intro: str
    patchwork: Patchwork
    lifetime: tuple[Fact, ...]
    years: tuple[YearEntry, ...]
    tables: tuple[Table, ...]
    sections: tuple[Section, ...] = ()


@dataclass(frozen=True, slots=True)
class GivingYearView:
    """One year of giving."""

    heading: str
    intro: str
    patchwork: Patchwork
    facts: tuple[Fact, ...]
    tables: tuple[Table, ...]
    sections: tuple[Section, ...]
    earlier: Link | None = None
    later: Link | None = None


@dataclass(frozen=True, slots=True)
class TextView:
    """A page of the maker's own words."""

    heading: str
    text: Markup


@dataclass(frozen=True, slots=True)
class ListingView:
    """A page of the binder: sections of tables, facts or quilts, with an introduction."""

    heading: str
    intro: str
    sections: tuple[Section, ...]
    on: str | None = None
    """The day on which "overdue" and "open" are decided, in words."""


@dataclass(frozen=True, slots=True)
class NotFoundView:
    """The page for an address that does not exist."""

    heading: str
    links: tuple[Link, ...]
