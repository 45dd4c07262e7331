"""A quilt as a card on a wall, and its photos as views."""

from collections.abc import Iterable

from collection.records.quilt import Photo, Quilt
from site_builder.addresses import quilt_path, relative
from site_builder.edition import Edition
from site_builder.hanging import hung_class
from site_builder.patchwork import Patchwork, stand_in
from site_builder.pictures import Picture
from site_builder.views.parts import Card, PictureView, Source
from site_builder.words import listed, size_in, stage_words, standing_words

PICTURE_FOLDER = "pictures"
FIRST_ROW = 4


def cards(
    edition: Edition,
    quilts: Iterable[Quilt],
    *,
    seen_from: str,
    eager: int = 0,
    says_standing: bool = True,
) -> tuple[Card, ...]:
    """Cards in the given order; the first few (`eager`) load at once.

    Where the page already says where its quilts are bound, the cards need not (`says_standing`).
    """
    return tuple(
        card(edition, quilt, seen_from=seen_from, eager=index < eager, says_standing=says_standing)
        for index, quilt in enumerate(quilts)
    )


def card(
    edition: Edition, quilt: Quilt, *, seen_from: str, eager: bool = False, says_standing: bool = True
) -> Card:
    """One quilt as a card: its cover, or a drawing in its colours, and what is under its title."""
    cover = cover_view(edition, quilt, seen_from=seen_from, beside_title=True)
    return Card(
        id=quilt.id,
        href=relative(quilt_path(quilt.id), seen_from=seen_from),
        title=quilt.title,
        facts=_card_facts(edition, quilt, says_standing),
        picture=cover,
        stand_in=None if cover else stand_in_for(edition, quilt),
        eager=eager,
    )


def _card_facts(edition: Edition, quilt: Quilt, says_standing: bool) -> tuple[str, ...]:
    size = quilt.finished_size
    category = edition.collection.category(quilt)
    made_and_size = [
        quilt.made.say() if quilt.made else None,
        f"{size_in(size, edition.collection.settings.units)}, {category.box.name}" if category else None,
    ]
    lines = [" · ".join(filter(None, made_and_size)), stage_words(quilt)]
    if says_standing and edition.shows("destination"):
        lines.append(standing_words(quilt, edition.collection))
    return tuple(filter(None, lines))


def cover_view(
    edition: Edition, quilt: Quilt, *, seen_from: str, beside_title: bool = False
) -> PictureView | None:
    """The picture that a quilt is known by; None where it has none."""
    photo = edition.cover_photo(quilt)
    if photo is None:
        return None
    return picture_view(edition, quilt, photo, seen_from=seen_from, beside_title=beside_title)


def picture_view(
    edition: Edition, quilt: Quilt, photo: Photo, *, seen_from: str, beside_title: bool = False
) -> PictureView:
    """One photo of a quilt in its renditions.

    `beside_title`: the title stands next to it, so that its words in place of the picture leave it out.
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
    """What a picture shows, for those who can't see it; empty where nothing is known."""
    if picture.problem:
        return "no picture to show yet"
    if photo.shows not in (None, "front", "scale"):
        return {"in use": "the quilt in use", "in progress": "at work on it"}.get(
            photo.shows, f"the {photo.shows}"
        )
    colours = quilt.colours[:3] or [term for term, share in picture.colours.terms[:3]]
    return f"a quilt in {listed(colours)}" if colours else ""


def stand_in_for(edition: Edition, quilt: Quilt) -> Patchwork:
    """A drawing in place of a photo, in about the quilt's own proportions."""
    size = quilt.finished_size
    rows = min(8, max(2, round(3 * size.length.inches / size.width.inches))) if size and size.width else 4
    return stand_in(quilt.id, edition.palette(quilt), title=f"No photo of {quilt.title} yet", shape=(3, rows))
