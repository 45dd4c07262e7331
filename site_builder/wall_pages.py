"""The wall of all quilts, the ways to browse it, the quilts looking for homes, and the maker's own pages."""

from collections.abc import Iterator, Sequence

from collection.colour_palette import liveliest
from collection.records.quilt import Quilt
from site_builder.addresses import BROWSE, HOMES, NOT_FOUND, WALL, group_path, relative, text_path, wall_path
from site_builder.cards import FIRST_ROW, cards
from site_builder.edition import Edition, PageSpec
from site_builder.facets import FACETS, Facet, Group, groups_of, newest_first
from site_builder.markdown_text import to_html
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
from site_builder.words import count_of, standing_of

SHEET = 60
"""Cards on one sheet of the wall: some screens long, and light enough for a phone."""

SAMPLES = 3


def colours_of(edition: Edition, quilts: Sequence[Quilt]) -> tuple[str, ...]:
    """The colours of a page's head strip: of few quilts several each, of many the liveliest of each."""
    most = 3 if len(quilts) < 8 else 1
    return tuple(
        colour for quilt in quilts[:24] for colour in liveliest(edition.palette(quilt))[:most]
    )


# The wall ---------------------------------------------------------------------------------------


def wall_pages(edition: Edition, quilts: Sequence[Quilt]) -> Iterator[PageSpec]:
    """The wall, newest first, on as many sheets as it needs; an empty collection has an empty wall."""
    sheets = [quilts[start : start + SHEET] for start in range(0, len(quilts), SHEET)] or [()]
    tools = _wall_tools(edition, quilts)
    settings = edition.collection.settings
    count = count_of(len(quilts), "quilt")
    for number, sheet in enumerate(sheets, start=1):
        path = wall_path(number)
        yield PageSpec(
            path=path,
            template="wall.html",
            title=settings.title if number == 1 else f"All the quilts, sheet {number}",
            description=settings.site.description or f"{settings.title}: {count} to look at.",
            view=WallView(
                heading="All the quilts",
                total=f"{count}. {settings.site.description or ''}".strip(),
                cards=cards(edition, sheet, seen_from=path, eager=FIRST_ROW),
                tools=tools,
                earlier=_to_sheet(number - 1, len(sheets), "Newer quilts", seen_from=path),
                later=_to_sheet(number + 1, len(sheets), "Older quilts", seen_from=path),
                sheets=_all_sheets(number, len(sheets), seen_from=path),
            ),
            colours=colours_of(edition, sheet),
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
        Link(
            str(other),
            relative(wall_path(other), seen_from=seen_from),
            current="page" if other == number else "",
        )
        for other in range(1, of + 1)
    )


def _wall_tools(edition: Edition, quilts: Sequence[Quilt]) -> WallTools | None:
    """The tools of a wall that has something to choose from."""
    facets = tuple(
        FacetTool(facet.kind, facet.heading) for facet in FACETS if groups_of(edition, facet, quilts)
    )
    return WallTools(facets) if quilts else None


# Browsing ---------------------------------------------------------------------------------------


def browse_pages(edition: Edition, quilts: Sequence[Quilt]) -> Iterator[PageSpec]:
    """An overview of all facets, an overview of each, and a page for each of their values."""
    kinds = [(facet, groups_of(edition, facet, quilts)) for facet in FACETS]
    kinds = [(facet, groups) for facet, groups in kinds if groups]
    yield PageSpec(
        path=BROWSE,
        template="browse.html",
        title="Browse",
        description=f"Ways to look through {edition.collection.settings.title}.",
        view=BrowseView(
            heading="Browse",
            kinds=tuple(
                _overview(edition, facet, groups, seen_from=BROWSE, samples=0) for facet, groups in kinds
            ),
        ),
        colours=colours_of(edition, quilts),
        section=BROWSE,
    )
    for facet, groups in kinds:
        path = group_path(facet.kind)
        yield PageSpec(
            path=path,
            template="groups.html",
            title=facet.heading,
            description=f"{edition.collection.settings.title}, by {facet.heading.lower()}.",
            view=_overview(edition, facet, groups, seen_from=path, samples=SAMPLES),
            colours=colours_of(edition, [group.quilts[0] for group in groups]),
            section=BROWSE,
            trail=(("Browse", BROWSE),),
        )
        for index, group in enumerate(groups):
            yield _group_page(edition, group, groups, index)


def _overview(
    edition: Edition, facet: Facet, groups: Sequence[Group], *, seen_from: str, samples: int
) -> GroupsView:
    return GroupsView(
        heading=facet.heading,
        intro="",
        entries=tuple(
            GroupEntry(
                link=Link(
                    group.value.label,
                    relative(group_path(facet.kind, group.value.key), seen_from=seen_from),
                    count=len(group.quilts),
                ),
                note=None,
                samples=cards(edition, group.quilts[:samples], seen_from=seen_from),
            )
            for group in groups
        ),
        href=relative(group_path(facet.kind), seen_from=seen_from) if not samples else None,
    )


def _group_page(edition: Edition, group: Group, groups: Sequence[Group], index: int) -> PageSpec:
    facet, path = group.facet, group_path(group.facet.kind, group.value.key)

    def neighbour(place: int) -> Link | None:
        if not 0 <= place < len(groups):
            return None
        value = groups[place].value
        return Link(value.label, relative(group_path(facet.kind, value.key), seen_from=path))

    heading = facet.about.format(group.value.label)
    heading = heading[:1].upper() + heading[1:]
    return PageSpec(
        path=path,
        template="group.html",
        title=heading,
        description=f"{heading}: {count_of(len(group.quilts), 'quilt')}.",
        view=GroupView(
            heading=heading,
            intro=count_of(len(group.quilts), "quilt"),
            sections=tuple(_sections(edition, group, seen_from=path)),
            earlier=neighbour(index - 1),
            later=neighbour(index + 1),
        ),
        colours=colours_of(edition, group.quilts),
        section=BROWSE,
        trail=(("Browse", BROWSE), (facet.heading, group_path(facet.kind))),
    )


def _sections(edition: Edition, group: Group, *, seen_from: str) -> Iterator[Section]:
    """A decade is divided by years as far as they are known; other groups are not divided."""
    if group.facet.kind != "years":
        yield Section(
            "quilts", "Quilts", cards=cards(edition, group.quilts, seen_from=seen_from, eager=FIRST_ROW)
        )
        return
    by_year: dict[int | None, list[Quilt]] = {}
    for quilt in group.quilts:
        by_year.setdefault(quilt.made.year, []).append(quilt)
    for year in sorted(by_year, key=lambda year: -(year or 0)):
        yield Section(
            anchor=f"year-{year}" if year else "some-time",
            heading=str(year) if year else f"Some time in or near the {group.value.label}",
            cards=cards(edition, by_year[year], seen_from=seen_from),
        )


# Homes, text, not found -------------------------------------------------------------------------


def homes_page(edition: Edition, quilts: Sequence[Quilt]) -> Iterator[PageSpec]:
    """The quilts free to go, by size, for someone who chooses on behalf of a charity."""
    if not edition.shows("destination"):
        return
    free = [
        quilt
        for quilt in quilts
        if standing_of(quilt, edition.collection) == "free" and quilt.stage == "finished"
    ]
    sizes = next(facet for facet in FACETS if facet.kind == "sizes")
    groups = groups_of(edition, sizes, free)
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
    yield PageSpec(
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


def text_pages(edition: Edition) -> Iterator[PageSpec]:
    """The maker's own pages."""
    for page in edition.collection.pages.values():
        heading, separator, rest = page.markdown.lstrip("\ufeff \n").partition("\n")
        body = rest if heading.startswith("# ") else page.markdown
        yield PageSpec(
            path=text_path(page.id),
            template="text.html",
            title=page.title,
            description=f"{page.title}: {edition.collection.settings.title}.",
            view=TextView(heading=page.title, text=to_html(body)),
            section=text_path(page.id),
        )


def not_found_page(edition: Edition) -> PageSpec:
    """What a web server shows for an address that is no more."""
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
    """The order in which the quilts of an edition hang, and in which their pages follow each other."""
    return newest_first(edition.collection.quilts.values())
