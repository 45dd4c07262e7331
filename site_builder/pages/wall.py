"""The wall of all quilts, the ways to browse it, the quilts looking for homes, and the maker's own pages."""

from collections.abc import Iterator, Sequence

from collection.colours.palette import liveliest
from collection.records.collection import Page
from collection.records.quilt import Quilt
from site_builder.pages.cards import FIRST_ROW, cards
from site_builder.pages.edition import Edition, PageSpec
from site_builder.pages.facets import FACETS, Facet, Group, groups_of, newest_first
from site_builder.pages.page_plan import PagePlan
from site_builder.text.markdown import heading_words, to_html
from site_builder.text.urls import BROWSE, HOMES, NOT_FOUND, WALL, group_path, relative, text_path, wall_path
from site_builder.text.wording import count_of, standing_of
from site_builder.views.pages import (
    BrowseView,
    FacetTool,
    GroupEntry,
    GroupsView,
    GroupView,
    HomesView,
    NotFoundView,
    TextView,
    WallTools,
    WallView,
)
from site_builder.views.parts import Link, Section

SHEET = 60
"""Cards on one sheet of the wall: a few screens, and light enough for a phone."""

SAMPLES = 3

MOST_COLOURED = 24
"""The most quilts whose colours make a page's head strip."""


def colours_of(edition: Edition, quilts: Sequence[Quilt]) -> tuple[str, ...]:
    """The colours of a page's head strip: of few quilts several each, of many the liveliest of each."""
    most = 3 if len(quilts) < 8 else 1
    return tuple(colour for quilt in quilts[:MOST_COLOURED] for colour in liveliest(edition.palette(quilt))[:most])


# The wall ---------------------------------------------------------------------------------------


def wall_pages(edition: Edition, quilts: Sequence[Quilt]) -> Iterator[PagePlan]:
    """The wall, newest first, on as many sheets as it needs; an empty collection has an empty wall."""
    sheets = [tuple(quilts[start : start + SHEET]) for start in range(0, len(quilts), SHEET)] or [()]
    kinds = tuple(facet.kind for facet in FACETS if groups_of(edition, facet, quilts))
    for number, sheet in enumerate(sheets, start=1):
        yield PagePlan(wall_path(number), _sheet, sheet, (number, len(sheets), len(quilts), kinds))


def _sheet(
    edition: Edition, quilts: Sequence[Quilt], number: int, sheets: int, total: int, kinds: Sequence[str]
) -> PageSpec:
    """One sheet of the wall, with filters by the given facets."""
    path = wall_path(number)
    settings = edition.collection.settings
    count = count_of(total, "quilt")
    tools = tuple(FacetTool(facet.kind, facet.heading) for facet in FACETS if facet.kind in kinds)
    return PageSpec(
        path=path,
        template="wall.html",
        title=settings.title if number == 1 else f"All the quilts, sheet {number}",
        description=settings.site.description or f"{settings.title}: {count} to look at.",
        view=WallView(
            heading="All the quilts",
            total=f"{count if total else 'No quilt hangs here yet'}. {settings.site.description or ''}".strip(),
            cards=cards(edition, quilts, seen_from=path, eager=FIRST_ROW),
            tools=WallTools(tools) if quilts else None,
            earlier=_to_sheet(number - 1, sheets, "Newer quilts", seen_from=path),
            later=_to_sheet(number + 1, sheets, "Older quilts", seen_from=path),
            sheets=_all_sheets(number, sheets, seen_from=path),
        ),
        colours=colours_of(edition, quilts),
        section=WALL,
    )


def _to_sheet(number: int, of: int, label: str, *, seen_from: str) -> Link | None:
    if not 1 <= number <= of:
        return None
    return Link(label, relative(wall_path(number), seen_from=seen_from))


def _all_sheets(number: int, of: int, *, seen_from: str) -> tuple[Link, ...]:
    """A link to each sheet; none where there is only one."""
    if of == 1:
        return ()
    return tuple(
        Link(str(other), relative(wall_path(other), seen_from=seen_from), current="page" if other == number else "")
        for other in range(1, of + 1)
    )


# Browsing ---------------------------------------------------------------------------------------


# A group in a page plan: its value's key and label, its number of quilts, and the IDs of some of them.
_Entry = tuple[str, str, int, tuple[str, ...]]


def browse_pages(edition: Edition, quilts: Sequence[Quilt]) -> Iterator[PagePlan]:
    """An overview of all facets, an overview of each, and a page for each of their values."""
    kinds = [(facet, groups_of(edition, facet, quilts)) for facet in FACETS]
    kinds = [(facet, groups) for facet, groups in kinds if groups]
    entries = tuple((facet.kind, _entries(groups, samples=0)) for facet, groups in kinds)
    yield PagePlan(BROWSE, _browse_page, tuple(quilts[:MOST_COLOURED]), (entries,))
    for facet, groups in kinds:
        samples = {quilt.id: quilt for group in groups for quilt in group.quilts[:SAMPLES]}
        path = group_path(facet.kind)
        yield PagePlan(path, _overview_page, tuple(samples.values()), (facet.kind, _entries(groups, samples=SAMPLES)))
        for index, group in enumerate(groups):
            neighbours = tuple(
                (groups[place].value.key, groups[place].value.label) if 0 <= place < len(groups) else None
                for place in (index - 1, index + 1)
            )
            key, label = group.value.key, group.value.label
            yield PagePlan(
                group_path(facet.kind, key), _group_page, group.quilts, (facet.kind, key, label, *neighbours)
            )


def _entries(groups: Sequence[Group], *, samples: int) -> tuple[_Entry, ...]:
    return tuple(
        (group.value.key, group.value.label, len(group.quilts), tuple(quilt.id for quilt in group.quilts[:samples]))
        for group in groups
    )


def _facet(kind: str) -> Facet:
    return next(facet for facet in FACETS if facet.kind == kind)


def _browse_page(edition: Edition, quilts: Sequence[Quilt], kinds: Sequence[tuple[str, Sequence[_Entry]]]) -> PageSpec:
    return PageSpec(
        path=BROWSE,
        template="browse.html",
        title="Browse",
        description=f"Ways to look through {edition.collection.settings.title}.",
        view=BrowseView(
            heading="Browse",
            kinds=tuple(_overview(edition, _facet(kind), entries, seen_from=BROWSE) for kind, entries in kinds),
        ),
        colours=colours_of(edition, quilts),
        section=BROWSE,
    )


def _overview_page(edition: Edition, quilts: Sequence[Quilt], kind: str, entries: Sequence[_Entry]) -> PageSpec:
    facet, path = _facet(kind), group_path(kind)
    firsts = [edition.collection.quilts[samples[0]] for _, _, _, samples in entries]
    return PageSpec(
        path=path,
        template="groups.html",
        title=facet.heading,
        description=f"{edition.collection.settings.title}, by {facet.heading.lower()}.",
        view=_overview(edition, facet, entries, seen_from=path),
        colours=colours_of(edition, firsts),
        section=BROWSE,
        trail=(("Browse", BROWSE),),
    )


def _overview(edition: Edition, facet: Facet, entries: Sequence[_Entry], *, seen_from: str) -> GroupsView:
    path = group_path(facet.kind)
    return GroupsView(
        heading=facet.heading,
        intro="",
        entries=tuple(
            GroupEntry(
                link=Link(label, relative(group_path(facet.kind, key), seen_from=seen_from), count=count),
                note=None,
                samples=cards(edition, [edition.collection.quilts[sample] for sample in samples], seen_from=seen_from),
            )
            for key, label, count, samples in entries
        ),
        href=relative(path, seen_from=seen_from) if seen_from != path else None,
    )


_Neighbour = tuple[str, str] | None


def _group_page(
    edition: Edition,
    quilts: Sequence[Quilt],
    kind: str,
    key: str,
    label: str,
    before: _Neighbour,
    after: _Neighbour,
) -> PageSpec:
    """The page of one value between its neighbours, each with its key and label."""
    facet, path = _facet(kind), group_path(kind, key)

    def to(neighbour: _Neighbour) -> Link | None:
        if neighbour is None:
            return None
        key, label = neighbour
        return Link(label, relative(group_path(kind, key), seen_from=path))

    heading = facet.about.format(label)
    heading = heading[:1].upper() + heading[1:]
    return PageSpec(
        path=path,
        template="group.html",
        title=heading,
        description=f"{heading}: {count_of(len(quilts), 'quilt')}.",
        view=GroupView(
            heading=heading,
            intro=count_of(len(quilts), "quilt"),
            sections=tuple(_sections(edition, kind, label, quilts, seen_from=path)),
            earlier=to(before),
            later=to(after),
        ),
        colours=colours_of(edition, quilts),
        section=BROWSE,
        trail=(("Browse", BROWSE), (facet.heading, group_path(kind))),
    )


def _sections(edition: Edition, kind: str, label: str, quilts: Sequence[Quilt], *, seen_from: str) -> Iterator[Section]:
    """A section for each known year of a decade; a single section for other groups."""
    if kind != "years":
        yield Section("quilts", "Quilts", cards=cards(edition, quilts, seen_from=seen_from, eager=FIRST_ROW))
        return
    by_year: dict[int | None, list[Quilt]] = {}
    for quilt in quilts:
        by_year.setdefault(quilt.made.year if quilt.made else None, []).append(quilt)
    for year in sorted(by_year, key=lambda year: -(year or 0)):
        yield Section(
            anchor=f"year-{year}" if year else "some-time",
            heading=str(year) if year else f"Some time in or near the {label}",
            cards=cards(edition, by_year[year], seen_from=seen_from),
        )


# Homes, text, not found -------------------------------------------------------------------------


def homes_page(edition: Edition, quilts: Sequence[Quilt]) -> Iterator[PagePlan]:
    """The quilts free to go, by size, for someone who chooses on behalf of a charity."""
    if edition.shows("destination"):
        finished = (quilt for quilt in quilts if quilt.stage == "finished")
        free = tuple(quilt for quilt in finished if standing_of(quilt, edition.collection) == "free")
        yield PagePlan(HOMES, _homes_page, free)


def _homes_page(edition: Edition, free: Sequence[Quilt]) -> PageSpec:
    groups = groups_of(edition, _facet("sizes"), free)
    sections = [
        Section(
            anchor=group.value.key,
            heading=group.value.label[:1].upper() + group.value.label[1:],
            note=count_of(len(group.quilts), "quilt"),
            cards=cards(edition, group.quilts, seen_from=HOMES, to_choose_from=True),
        )
        for group in groups
    ]
    sized = {quilt.id for group in groups for quilt in group.quilts}
    unsized = [quilt for quilt in free if quilt.id not in sized]
    if unsized:
        heading = "Not measured yet" if edition.shows("finished_size") else "All sizes"
        sections.append(Section("other", heading, cards=cards(edition, unsized, seen_from=HOMES, to_choose_from=True)))
    return PageSpec(
        path=HOMES,
        template="homes.html",
        title="Looking for homes",
        description=f"{count_of(len(free), 'quilt')} free to go to a new home, by size.",
        view=HomesView(
            heading="Looking for homes",
            intro=(
                f"{count_of(len(free), 'quilt is', 'quilts are')} finished and free to go to a new home."
                if free
                else "Every finished quilt has a home or a place that it is meant for just now."
            ),
            sections=tuple(sections),
        ),
        colours=colours_of(edition, free),
        section=HOMES,
    )


def text_pages(edition: Edition) -> Iterator[PagePlan]:
    """The maker's own pages."""
    for page in edition.collection.pages:
        yield PagePlan(text_path(page), _text_page, (), (page,))


def _text_page(edition: Edition, quilts: Sequence[Quilt], page_id: str) -> PageSpec:
    page = edition.collection.pages[page_id]
    heading, _, rest = page.markdown.lstrip("\ufeff \n").partition("\n")
    body = rest if heading.startswith("# ") else page.markdown
    return PageSpec(
        path=text_path(page.id),
        template="text.html",
        title=title_of(page),
        description=f"{title_of(page)}: {edition.collection.settings.title}.",
        view=TextView(heading=title_of(page), text=to_html(body)),
        section=text_path(page.id),
    )


def title_of(page: Page) -> str:
    """What one of the maker's own pages is called: its heading, without signs and comments."""
    return heading_words(page.title) or page.id


def not_found_page(edition: Edition) -> PagePlan:
    """The page that a web server shows for an address that does not exist."""
    return PagePlan(NOT_FOUND, _not_found_page, ())


def _not_found_page(edition: Edition, quilts: Sequence[Quilt]) -> PageSpec:
    return PageSpec(
        path=NOT_FOUND,
        template="not_found.html",
        title="This page is not here",
        description="The page was moved or is gone.",
        view=NotFoundView(
            heading="This page is not here",
            links=(
                Link("All quilts", relative(WALL, seen_from="")),
                Link("Browse", relative(BROWSE, seen_from="")),
            ),
        ),
    )


def wall_order(edition: Edition) -> tuple[Quilt, ...]:
    """The quilts in the order of the wall and of their pages."""
    return newest_first(edition.collection.quilts.values())
