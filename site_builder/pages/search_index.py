"""The wall as data, from which its search, filters and sorting work in the browser.

Two classic scripts, since a page opened from the disk may load scripts but no data. One has the data of cards and
filters, and loads when a visitor first uses the tools; the other has every public word of each quilt, and loads at the
first search. Both hold the quilts in the order of the wall.
"""

import json
import unicodedata
from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction
from typing import Any

from collection.records.quilt import Quilt
from site_builder.pages.cards import card_facts, cover_view
from site_builder.pages.edition import Edition
from site_builder.pages.facets import FACETS, groups_of
from site_builder.pages.flat_covers import flat_cover
from site_builder.text.markdown import to_words
from site_builder.text.urls import quilt_path

QUILTS_FILE = "wall/quilts.js"
WORDS_FILE = "wall/words.js"

# A quilt has many colours, so that a second one narrows the choice; it has one size, so that a second widens it.
NARROWING = ("colours", "blocks", "techniques", "fabric-lines", "for")

_CARD_RENDITIONS = 2

Entry = list[Any]
"""One quilt in the two scripts, without its values by facet: its row, and its words. Plain values for JSON."""


def wall_index(
    edition: Edition, quilts: Sequence[Quilt], entries: Mapping[str, Entry] | None = None
) -> dict[str, bytes]:
    """The two scripts of an edition by their paths. `entries` has what `wall_entry` gives for each quilt, by ID."""
    if entries is None:
        entries = {quilt.id: wall_entry(edition, quilt) for quilt in quilts}
    return {
        QUILTS_FILE: _script("wallQuilts", _quilts(edition, quilts, [entries[quilt.id][0] for quilt in quilts])),
        WORDS_FILE: _script("wallWords", [entries[quilt.id][1] for quilt in quilts]),
    }


def wall_entry(edition: Edition, quilt: Quilt) -> Entry:
    """The entry of one quilt, which does not depend on the others."""
    alone = edition.only([quilt])
    return [_row(alone, quilt), _words(alone, quilt)]


def _script(name: str, data: object) -> bytes:
    text = json.dumps(data, ensure_ascii=False, separators=(",", ":"))
    # Both are line ends in older JavaScript and not in JSON.
    text = text.replace("\u2028", "\\u2028").replace("\u2029", "\\u2029")
    return f"self.{name}={text};\n".encode()


def _quilts(edition: Edition, quilts: Sequence[Quilt], rows: Sequence[list[Any]]) -> dict[str, object]:
    """Facets with their values; beds; and a row for each quilt, in the order that assets/js/wall.js reads.

    The row of a quilt ends with its values by facet.
    """
    groups = [(facet, groups_of(edition, facet, quilts)) for facet in FACETS]
    groups = [(facet, found) for facet, found in groups if found]
    values: dict[str, list[list[int]]] = {quilt.id: [[] for _ in groups] for quilt in quilts}
    for place, (facet, found) in enumerate(groups):
        for number, group in enumerate(found):
            for quilt in group.quilts:
                values[quilt.id][place].append(number)
    units = edition.collection.settings.units
    return {
        "units": units,
        "facets": [
            {
                "kind": facet.kind,
                "heading": facet.heading,
                "narrows": facet.kind in NARROWING,
                "values": [[group.value.key, group.value.label] for group in found],
            }
            for facet, found in groups
        ],
        "beds": [
            [bed.key, bed.name, _number(bed.width.inches), _number(bed.length.inches)]
            for bed in edition.collection.mattresses
            if not bed.for_infants
        ],
        "quilts": [[*row, values[quilt.id]] for quilt, row in zip(quilts, rows, strict=True)],
    }


def _row(edition: Edition, quilt: Quilt) -> list[Any]:
    """Address, title, facts, picture, sides in inches, is it dated.

    The picture is its words, width, height and, for each rendition that a card needs, the file's name
    and width, then the name of the file that shows the quilt alone and flattened, if there is one; in its
    place, for a quilt without a picture, the colours of its stand-in.
    """
    cover = edition.cover(quilt)
    view = cover_view(edition, quilt, seen_from="", beside_title=True)
    size = quilt.finished_size
    if view is None or cover is None:
        picture: list[object] = list(edition.palette(quilt)[:3])
    else:
        renditions = [[each.file_name, each.width] for each in cover.renditions[:_CARD_RENDITIONS]]
        flat = flat_cover(edition, quilt)
        picture = [view.alt, view.width, view.height, renditions, *([flat.file_name] if flat else [])]
    return [
        quilt_path(quilt.id),
        quilt.title,
        list(card_facts(edition, quilt)),
        picture,
        [_number(size.width.inches), _number(size.length.inches)] if size else [],
        int(quilt.made is not None),
    ]


def _number(inches: Fraction) -> float | int:
    value = round(float(inches), 2)
    return int(value) if value == int(value) else value


# Words ------------------------------------------------------------------------------------------


def _words(edition: Edition, quilt: Quilt) -> str:
    """Every public word of a quilt, folded, once each, with a space before each."""
    words = dict.fromkeys(fold("\n".join(_texts(edition, quilt))).split())
    return "".join([f" {word}" for word in words])


def fold(text: str) -> str:
    """A text for the search: small letters without accents, everything else as a space.

    >>> fold("Blåbær & Appliqué, 1990s")
    'blabær applique 1990s'
    """
    if text.isascii():  # has no accents, and needs no second step
        return " ".join(text.lower().translate(_SPACED).split())
    plain = "".join(
        character
        for character in unicodedata.normalize("NFKD", text.casefold())
        if not unicodedata.combining(character)
    )
    spaced = "".join(character if character.isalnum() else " " for character in plain.replace("'", "").replace("’", ""))
    return " ".join(spaced.split())


_SPACED = {code: None if chr(code) == "'" else " " for code in range(128) if not chr(code).isalnum()}


def _texts(edition: Edition, quilt: Quilt) -> Iterator[str]:
    yield from filter(None, _recorded_texts(quilt))
    for facet in FACETS:
        if edition.shows(facet.fact):
            yield from (value.label for value in facet.values(edition, quilt))
    yield from (photo.caption for photo in quilt.photos if photo.caption)
    own = [quilt.story, quilt.notes if edition.is_binder else None]
    yield from (to_words(text) for text in own if text)
    if edition.is_binder:
        yield from filter(None, [quilt.kept_at, quilt.condition_note])


def _recorded_texts(quilt: Quilt) -> Iterator[str | None]:
    yield quilt.title
    yield from quilt.also_called
    yield str(quilt.number) if quilt.number is not None else None
    if quilt.made:
        yield quilt.made.say()
        yield from (f"{decade}s" for decade in quilt.made.decades())
    if quilt.pattern:
        pattern = quilt.pattern
        yield from (pattern.name, pattern.designer, pattern.source, pattern.published_in)
    for line in quilt.fabric_lines:
        yield from (line.name, line.maker, line.designer)
    yield from (*quilt.blocks, *quilt.techniques, *quilt.features)
    if quilt.quilting:
        yield from (quilt.quilting.how, quilt.quilting.by)
    if quilt.fibre:
        yield from quilt.fibre.model_dump().values()
