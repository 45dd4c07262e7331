"""A quilt's own page."""

from collections.abc import Iterator, Mapping, Sequence
from itertools import islice

from markupsafe import Markup

from collection.care.cautions import cautions
from collection.colours.names import terms_of_word
from collection.quotes import listed
from collection.records.quilt import FabricLine, Quilt
from site_builder.pages.cards import cards, cover_view, picture_view, stand_in_for
from site_builder.pages.edition import Edition, PageSpec
from site_builder.pages.facets import FACETS, Group, colour_terms, groups_of, value_key
from site_builder.pages.page_plan import PagePlan
from site_builder.pages.quilt_private import private_sections
from site_builder.pages.quilt_size import setting_view, size_view
from site_builder.text.markdown import to_html
from site_builder.text.urls import group_path, quilt_path, relative
from site_builder.text.wording import (
    made_words,
    size_both,
    stage_words,
    standing_words,
)
from site_builder.views.pages import QuiltView
from site_builder.views.parts import Fact, Link, Section

RELATED = ("patterns", "fabric-lines")
MOST_RELATED = 6

# The quilt before or after in the order of the wall: its ID and its title.
Neighbour = tuple[str, str] | None
# Related quilts: the kind of facet, the key and the label of its value, and the IDs.
Relation = tuple[str, str, str, tuple[str, ...]]


def quilt_pages(edition: Edition, quilts: Sequence[Quilt]) -> Iterator[PagePlan]:
    """A page for each quilt, in the order of the wall, each leading to the ones before and after."""
    groups = {
        (facet.kind, group.value.key): group
        for facet in FACETS
        if facet.kind in RELATED
        for group in groups_of(edition, facet, quilts)
    }
    for index, quilt in enumerate(quilts):
        before = quilts[index - 1] if index else None
        after = quilts[index + 1] if index + 1 < len(quilts) else None
        relations = tuple(_relations(edition, quilt, groups))
        others = (edition.collection.quilts[other] for _, _, _, ids in relations for other in ids)
        also = (_neighbour(before), _neighbour(after), relations)
        yield PagePlan(quilt_path(quilt.id), quilt_page, (quilt, *others), also)


def _neighbour(quilt: Quilt | None) -> Neighbour:
    return (quilt.id, quilt.title) if quilt else None


def _relations(edition: Edition, quilt: Quilt, groups: Mapping[tuple[str, str], Group]) -> Iterator[Relation]:
    """By pattern, then by fabric line; each related quilt once."""
    shown = {quilt.id}
    for facet in (facet for kind in RELATED for facet in FACETS if facet.kind == kind):
        if not edition.shows(facet.fact):
            continue
        for value in facet.values(edition, quilt):
            group = groups[facet.kind, value.key]
            others = (other.id for other in group.quilts if other.id not in shown)
            ids = tuple(islice(others, MOST_RELATED))
            if ids:
                shown.update(ids)
                yield facet.kind, value.key, group.value.label, ids


def quilt_page(
    edition: Edition,
    quilts: Sequence[Quilt],
    before: Neighbour,
    after: Neighbour,
    relations: Sequence[Relation],
) -> PageSpec:
    """The page of the first of these quilts, with links to its neighbours and the related ones."""
    quilt = quilts[0]
    path = quilt_path(quilt.id)
    pictures = tuple(
        picture_view(edition, quilt, photo, seen_from=path)
        for photo in edition.photos(quilt)
        if photo is not edition.cover_photo(quilt)
    )
    cover = cover_view(edition, quilt, seen_from=path)
    view = QuiltView(
        title=quilt.title,
        also_called=listed(quilt.also_called) or None,
        number=str(quilt.number) if quilt.number is not None else None,
        cover=cover,
        stand_in=None if cover else stand_in_for(edition, quilt),
        pictures=pictures,
        facts=tuple(quilt_facts(edition, quilt, seen_from=path)),
        size=size_view(edition, quilt, seen_from=path),
        setting=setting_view(edition, quilt),
        story=to_html(quilt.story, headings_below=2) if quilt.story else None,
        cautions=tuple(_cautions(edition, quilt)),
        related=tuple(_related_sections(edition, relations, seen_from=path)),
        earlier=_link_to(before, path),
        later=_link_to(after, path),
        private=tuple(private_sections(edition, quilt, seen_from=path)) if edition.is_binder else (),
    )
    covers = edition.cover(quilt)
    return PageSpec(
        path=path,
        template="quilt.html",
        title=quilt.title,
        description=describe(edition, quilt),
        view=view,
        colours=edition.palette(quilt),
        section="index.html",
        image=covers.largest.file_name if covers else None,
        quilt=quilt,
    )


def describe(edition: Edition, quilt: Quilt) -> str:
    """A quilt in one sentence, for search engines and previews."""
    units = edition.collection.settings.units
    words = [
        f"made {quilt.made.say()}" if quilt.made else None,
        size_both(quilt.finished_size, units) if quilt.finished_size else None,
        f"pattern: {quilt.pattern.name}" if quilt.pattern and quilt.pattern.name else None,
        listed(quilt.blocks) or None,
    ]
    facts = "; ".join(filter(None, words))
    return f"{quilt.title}, a quilt" + (f": {facts}." if facts else ".")


def _link_to(neighbour: Neighbour, path: str) -> Link | None:
    if neighbour is None:
        return None
    quilt_id, title = neighbour
    return Link(title, relative(quilt_path(quilt_id), seen_from=path))


def _cautions(edition: Edition, quilt: Quilt) -> Iterator[str]:
    """Only in the binder they depend on the private destination."""
    for caution in cautions(edition.collection, quilt, publicly=not edition.is_binder):
        yield caution.sentence


def _related_sections(edition: Edition, relations: Sequence[Relation], *, seen_from: str) -> Iterator[Section]:
    for kind, key, label, ids in relations:
        others = [edition.collection.quilts[other] for other in ids]
        yield Section(
            anchor=f"{kind}-{key}",
            heading="From the same pattern" if kind == "patterns" else f"Made of {label} fabrics too",
            cards=cards(edition, others, seen_from=seen_from),
        )


# Facts ------------------------------------------------------------------------------------------


def quilt_facts(edition: Edition, quilt: Quilt, *, seen_from: str) -> Iterator[Fact]:
    """The facts of a quilt as on a museum label, in the words of the trade."""

    def plain(term: str, *words: str | None, note: str | None = None) -> Iterator[Fact]:
        found = tuple(Link(word, "") for word in words if word)
        if found:
            yield Fact(term, found, note)

    def linked(term: str, kind: str, words: Sequence[str]) -> Iterator[Fact]:
        if words:
            yield Fact(term, tuple(Link(w, _group(kind, value_key(w), seen_from)) for w in words))

    yield Fact("Made", tuple(_made(quilt, seen_from)))
    yield from plain("Stage", stage_words(quilt))
    yield from _pattern_facts(quilt, seen_from)
    if quilt.fabric_lines:
        entries = tuple(
            Link(_fabric_line(line), _group("fabric-lines", value_key(line.name), seen_from))
            for line in quilt.fabric_lines
        )
        yield Fact("Fabric lines" if len(entries) > 1 else "Fabric line", entries)
    yield from linked("Blocks" if len(quilt.blocks) > 1 else "Block", "blocks", quilt.blocks)
    yield from linked("Technique", "techniques", quilt.techniques)
    yield from plain("Quilting", _quilting(quilt))
    yield from plain("Fibre", _fibre(quilt))
    yield from plain("Features", listed(quilt.features))
    if edition.shows("colours"):
        words = colour_terms(edition, quilt)
        entries = tuple(Link(word, _group("colours", value_key(_term_of(word)), seen_from)) for word in words)
        if entries:
            yield Fact("Colours" if len(entries) > 1 else "Colour", entries)
    yield from linked("For", "for", quilt.suits)
    yield from plain("Care", care_words(quilt))
    if edition.shows("destination"):
        yield from plain("Now", standing_words(quilt, edition.collection))


def _term_of(word: str) -> str:
    """The basic colour term of the maker's word."""
    return next(iter(terms_of_word(word)), word)


def _group(kind: str, key: str, seen_from: str) -> str:
    return relative(group_path(kind, key), seen_from=seen_from)


def _made(quilt: Quilt, seen_from: str) -> Iterator[Link]:
    decades = quilt.made.decades() if quilt.made else ()
    yield Link(made_words(quilt), _group("years", f"{decades[0]}s", seen_from) if decades else "")


def _pattern_facts(quilt: Quilt, seen_from: str) -> Iterator[Fact]:
    pattern = quilt.pattern
    if pattern is None:
        return
    if pattern.name:
        entry = Link(pattern.name, _group("patterns", value_key(pattern.name), seen_from))
        yield Fact("Pattern", (entry,), note=f"by {pattern.designer}" if pattern.designer else None)
    elif pattern.designer:
        yield Fact("Pattern", (Link(f"by {pattern.designer}", ""),))
    published = f"published {pattern.published.say()}" if pattern.published else None
    source = ", ".join(filter(None, [pattern.source, pattern.published_in, published]))
    if source or pattern.url:
        entries = [Link(source, "")] if source else []
        if pattern.url:
            entries.append(Link("the pattern's own page", pattern.url))
        yield Fact("Source", tuple(entries))


def _fabric_line(line: FabricLine) -> str:
    year = line.year.say() if line.year else None
    about = ", ".join(filter(None, [line.maker, line.designer, year]))
    return f"{line.name} ({about})" if about else line.name


def _quilting(quilt: Quilt) -> str | None:
    if quilt.quilting is None:
        return None
    how = {
        "hand": "quilted by hand",
        "domestic machine": "quilted on a domestic machine",
        "longarm": "quilted on a longarm",
        "tied": "tied",
        None: "quilted",
    }[quilt.quilting.how]
    return f"{how} by {quilt.quilting.by}" if quilt.quilting.by else how


def _fibre(quilt: Quilt) -> str | None:
    if quilt.fibre is None:
        return None
    layers = (("top", quilt.fibre.top), ("backing", quilt.fibre.backing), ("batting", quilt.fibre.batting))
    return ", ".join(f"{fibre} {layer}" for layer, fibre in layers if fibre) or None


def care_words(quilt: Quilt) -> str | None:
    """Whether it is washed, labelled and has a sleeve, as far as that is recorded."""
    care = quilt.care
    if care is None:
        return None
    washed = None if care.washed is None else bool(care.washed)
    words = [
        {True: "washed", False: "not washed yet", None: None}[washed],
        {True: "labelled", False: "no label yet", None: None}[care.label],
        "with a hanging sleeve" if care.sleeve else None,
    ]
    return ", ".join(filter(None, words)) or None


def story_of(quilt: Quilt) -> Markup | None:
    """The story as safe HTML, for pages and feeds."""
    return to_html(quilt.story, headings_below=2) if quilt.story else None
