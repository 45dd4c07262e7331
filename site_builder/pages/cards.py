"""A quilt as a card on a wall, and its photos as views."""

from collections.abc import Callable, Iterable, Iterator
from functools import lru_cache

from collection.quotes import listed
from collection.records.quilt import Photo, Quilt
from site_builder.drawings.patchwork import StandIn, stand_in
from site_builder.images.picture import Picture
from site_builder.pages.edition import Edition
from site_builder.pages.hanging import hung_class
from site_builder.text.urls import quilt_path, relative, top
from site_builder.text.wording import (
    size_in,
    stage_words,
    standing_words,
)
from site_builder.views.parts import Card, PictureView, Source

PICTURE_FOLDER = "pictures"
FIRST_ROW = 4


def cards(
    edition: Edition,
    quilts: Iterable[Quilt],
    *,
    seen_from: str,
    eager: int = 0,
    says_standing: bool = True,
    to_choose_from: bool = False,
) -> tuple[Card, ...]:
    """Cards in the given order; the first few (`eager`) load at once.

    `says_standing` is off where the page itself gives the destination of its quilts. `to_choose_from` shows the
    numbers, for a reader who will choose from the cards.
    """
    lines = _lines_to_choose_by if to_choose_from else _lines if says_standing else _lines_without_standing
    return tuple(
        _card(edition, quilt, lines, seen_from=seen_from, eager=index < eager) for index, quilt in enumerate(quilts)
    )


def card(edition: Edition, quilt: Quilt, *, seen_from: str) -> Card:
    """One quilt as a card: its cover, or a drawing in its colours, then its title and facts."""
    return _card(edition, quilt, _lines, seen_from=seen_from)


def card_facts(edition: Edition, quilt: Quilt) -> tuple[str, ...]:
    """The lines under the title of a quilt's card."""
    return _said(_lines, edition, quilt)


Lines = Callable[[Edition, Quilt], Iterable[str | None]]


def _card(edition: Edition, quilt: Quilt, lines: Lines, *, seen_from: str, eager: bool = False) -> Card:
    """The card of a quilt, made once for all pages of one depth."""
    return edition.memoized(
        ("card", quilt.id, lines, top(seen_from), eager),
        (quilt,),
        lambda alone, quilts: _made_card(alone, quilts[0], lines, seen_from=seen_from, eager=eager),
    )


def _made_card(edition: Edition, quilt: Quilt, lines: Lines, *, seen_from: str, eager: bool) -> Card:
    cover = cover_view(edition, quilt, seen_from=seen_from, beside_title=True)
    return Card(
        id=quilt.id,
        href=relative(quilt_path(quilt.id), seen_from=seen_from),
        title=quilt.title,
        facts=_said(lines, edition, quilt),
        picture=cover,
        stand_in=None if cover else stand_in_for(edition, quilt),
        eager=eager,
    )


def _said(lines: Lines, edition: Edition, quilt: Quilt) -> tuple[str, ...]:
    return tuple(line for line in lines(edition, quilt) if line)


def _lines(edition: Edition, quilt: Quilt) -> Iterator[str | None]:
    yield from _lines_without_standing(edition, quilt)
    if edition.shows("destination"):
        yield standing_words(quilt, edition.collection)


def _lines_without_standing(edition: Edition, quilt: Quilt) -> Iterator[str | None]:
    yield quilt.made.say() if quilt.made else None
    yield _size_line(edition, quilt)
    stage = stage_words(quilt)
    yield stage[:1].upper() + stage[1:] if stage else None


def _lines_to_choose_by(edition: Edition, quilt: Quilt) -> Iterator[str | None]:
    number = f"No. {quilt.number}" if quilt.number is not None else None
    made = quilt.made.say() if quilt.made else None
    yield " · ".join(filter(None, [number, made]))
    yield _size_line(edition, quilt) or "Not measured yet"


def _size_line(edition: Edition, quilt: Quilt) -> str | None:
    category = edition.collection.category(quilt)
    if quilt.finished_size is None or category is None:
        return None
    return f"{size_in(quilt.finished_size, edition.collection.settings.units)}, {category.box.name}"


def cover_view(edition: Edition, quilt: Quilt, *, seen_from: str, beside_title: bool = False) -> PictureView | None:
    """The cover of a quilt; None where it has no picture."""
    photo = edition.cover_photo(quilt)
    if photo is None:
        return None
    return picture_view(edition, quilt, photo, seen_from=seen_from, beside_title=beside_title)


def picture_view(
    edition: Edition, quilt: Quilt, photo: Photo, *, seen_from: str, beside_title: bool = False
) -> PictureView:
    """One photo of a quilt in its renditions.

    `beside_title`: the title is next to it, so the alternative text leaves it out.
    """
    picture = edition.pictures[photo.file]
    largest = picture.largest
    look = _look(quilt, photo, picture)
    alt = look[:1].upper() + look[1:] if beside_title else f"{quilt.title}: {look}" if look else quilt.title
    return PictureView(
        sources=tuple(
            Source(relative(f"{PICTURE_FOLDER}/{each.file_name}", seen_from=seen_from), each.width)
            for each in picture.renditions
        ),
        width=largest.width,
        height=largest.height,
        alt=alt,
        hung=hung_class(largest.width, largest.height),
        caption=photo.caption,
    )


def _look(quilt: Quilt, photo: Photo, picture: Picture) -> str:
    """The alternative text of a picture; empty where nothing is known."""
    if picture.problem:
        return "no picture to show yet"
    if photo.shows not in (None, "front", "scale"):
        return {"in use": "the quilt in use", "in progress": "at work on it"}.get(photo.shows, f"the {photo.shows}")
    colours = quilt.colours[:3] or [term for term, share in picture.colours.terms[:3]]
    return f"a quilt in {listed(colours)}" if colours else ""


def stand_in_for(edition: Edition, quilt: Quilt) -> StandIn:
    """A drawing in place of a photo, in about the quilt's own proportions."""
    size = quilt.finished_size
    rows = min(6, max(1, round(2 * size.length / size.width))) if size and size.width else 3
    return _stand_in(quilt.id, edition.palette(quilt), title=f"No photo of {quilt.title} yet", shape=(2, rows))


# The cards and the page of a quilt show the same drawing, in both editions.
_stand_in = lru_cache(maxsize=256)(stand_in)
