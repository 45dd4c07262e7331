"""The ways to browse the collection: by size, year, colour, pattern and so on.

A facet gives the values of a quilt; all overviews, group pages and filters follow from this one list.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from operator import itemgetter

from collection.colours.names import terms_of_word
from collection.privacy import shown_as
from collection.records.quilt import Quilt
from site_builder.pages.edition import Edition
from site_builder.text.urls import slug
from site_builder.text.wording import STANDINGS, standing_of

SHARE_TO_NAME = 0.08
"""The least share of a colour in the photo for the quilt to be found by it. Our own choice, by eye."""


@dataclass(frozen=True, slots=True)
class Value:
    """One value of a facet: its part of a URL, its label, and its sort key."""

    key: str
    label: str
    order: tuple[int | str, ...] = ()


@dataclass(frozen=True, slots=True)
class Facet:
    """One way to browse the collection.

    `fact` is the public fact that it needs: an edition that does not show the fact has no such facet. `about` is the
    heading of the page of a value, with {} for the value.
    """

    kind: str
    heading: str
    fact: str
    values: Callable[[Edition, Quilt], Iterable[Value]]
    about: str


def _named(words: Iterable[str]) -> tuple[Value, ...]:
    """Values in the order given. Of all spellings that make the same URL, the first one counts."""
    found: dict[str, str] = {}
    for word in words:
        found.setdefault(value_key(word), word)
    return tuple(Value(key, label, (label.casefold(),)) for key, label in found.items())


def value_key(word: str) -> str:
    """The name of a value in the URL of its page."""
    return _key(slug(word))


def _key(key: str) -> str:
    """The overview of a facet is its index, so a pattern or a charity of that name gets another key."""
    return "index_" if key == "index" else key


def _size(edition: Edition, quilt: Quilt) -> tuple[Value, ...]:
    category = edition.collection.category(quilt)
    if category is None:
        return ()
    boxes = edition.collection.size_boxes
    return (Value(_key(category.box.key), category.box.name, (boxes.index(category.box),)),)


def _decades(edition: Edition, quilt: Quilt) -> tuple[Value, ...]:
    if quilt.made is None:
        return ()
    return tuple(Value(f"{start}s", f"{start}s", (-start,)) for start in quilt.made.decades())


def _colours(edition: Edition, quilt: Quilt) -> tuple[Value, ...]:
    """The basic terms: a maker's `navy` is found as blue. An unknown word stays as it is."""
    return _named(term for word in colour_terms(edition, quilt) for term in terms_of_word(word) or (word,))


def _pattern(edition: Edition, quilt: Quilt) -> tuple[Value, ...]:
    return _named([quilt.pattern.name]) if quilt.pattern and quilt.pattern.name else ()


def _standing(edition: Edition, quilt: Quilt) -> tuple[Value, ...]:
    standing = standing_of(quilt, edition.collection)
    if standing == "undecided" and not edition.is_binder:
        return ()
    return (Value(standing, STANDINGS[standing][1], (list(STANDINGS).index(standing),)),)


def _charity(edition: Edition, quilt: Quilt) -> tuple[Value, ...]:
    if standing_of(quilt, edition.collection) not in ("given", "on-its-way", "promised"):
        return ()
    charity = edition.collection.partners.get(shown_as(getattr(quilt.destination, "to", None)) or "")
    return (Value(_key(charity.id), charity.name, (charity.name.casefold(),)),) if charity else ()


FACETS = (
    Facet("sizes", "Size", "finished_size", _size, "{} quilts"),
    Facet("years", "Year", "made", _decades, "Made in the {}"),
    Facet("colours", "Colour", "colours", _colours, "Quilts with {} in them"),
    Facet("patterns", "Pattern", "pattern", _pattern, "Made from the pattern {}"),
    Facet(
        "fabric-lines",
        "Fabric line",
        "fabric_lines",
        lambda edition, quilt: _named(line.name for line in quilt.fabric_lines),
        "Made of {} fabrics",
    ),
    Facet("blocks", "Block", "blocks", lambda edition, quilt: _named(quilt.blocks), "Quilts with {} blocks"),
    Facet(
        "techniques",
        "Technique",
        "techniques",
        lambda edition, quilt: _named(quilt.techniques),
        "Quilts made with: {}",
    ),
    Facet("for", "Who would enjoy it", "suits", lambda edition, quilt: _named(quilt.suits), "For {}"),
    Facet("destinations", "Where it is bound", "destination", _standing, "{}"),
    Facet("charities", "Charity", "destination", _charity, "Given or promised to {}"),
)


def colour_terms(edition: Edition, quilt: Quilt) -> tuple[str, ...]:
    """A quilt's colours: the maker's own words, else the basic terms read from the cover photo."""
    if quilt.colours:
        return quilt.colours
    cover = edition.cover(quilt)
    return tuple(term for term, share in cover.colours.terms if share >= SHARE_TO_NAME) if cover else ()


@dataclass(frozen=True, slots=True)
class Group:
    """The quilts that share one value of a facet."""

    facet: Facet
    value: Value
    quilts: tuple[Quilt, ...]


def groups_of(edition: Edition, facet: Facet, quilts: Sequence[Quilt]) -> tuple[Group, ...]:
    """The groups of a facet in its own order, each with its quilts in the order given."""
    if not edition.shows(facet.fact):
        return ()
    if edition.dependencies is not None:  # each page for itself: more may be asked of the quilts in a group
        return _made_groups(edition, facet, quilts)
    asked_for = ("groups", facet.kind)
    of, known = edition.made_before.get(asked_for, (None, ()))
    groups: tuple[Group, ...] = known if of is quilts else _made_groups(edition, facet, quilts)
    edition.made_before[asked_for] = quilts, groups
    return groups


def _made_groups(edition: Edition, facet: Facet, quilts: Sequence[Quilt]) -> tuple[Group, ...]:
    members: dict[str, list[Quilt]] = {}
    values: dict[str, Value] = {}
    for quilt in quilts:
        for value in facet.values(edition, quilt):
            values.setdefault(value.key, value)
            members.setdefault(value.key, []).append(quilt)
    ordered = sorted(values.values(), key=lambda value: (value.order, value.key))
    return tuple(Group(facet, value, tuple(members[value.key])) for value in ordered)


def newest_first(quilts: Iterable[Quilt]) -> tuple[Quilt, ...]:
    """Quilts by when they were made, the newest first; those without a date last, then by ID."""
    by_id = sorted(quilts, key=lambda quilt: quilt.id)
    dated = [(quilt.made.sort_key, quilt) for quilt in by_id if quilt.made is not None]
    dated.sort(key=itemgetter(0), reverse=True)
    return (*(quilt for _, quilt in dated), *(quilt for quilt in by_id if quilt.made is None))
