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


def cards(edition: Edition, quilts: Iterable[Quilt], *, seen_from: str, eager: int = 0) -> tuple[Card, ...]:
    """Cards in the given order; the first few (`eager`) load at once."""
    return tuple(
        card(edition, quilt, seen_from=seen_from, eager=index < eager) for index, quilt in enumerate(quilts)
    )


def card(edition: Edition, quilt: Quilt, *, seen_from: str, eager: bool = False) -> Card:
    """One quilt as a card: its cover, or a drawing in its colours, and what is under its title."""
    cover = cover_view(edition, quilt, seen_from=seen_from)
    return Card(
        id=quilt.id,
        href=relative(quilt_path(quilt.id), seen_from=seen_from),
        title=quilt.title,
        facts=_card_facts(edition, quilt),
        picture=cover,
        stand_in=None if cover else stand_in_for(edition, quilt),
        eager=eager,
    )


def _card_facts(edition: Edition, quilt: Quilt) -> tuple[str, ...]:
    size = quilt.finished_size
    category = edition.collection.category(quilt)
    made_and_size = [
        quilt.made.say() if quilt.made else None,
        f"{size_in(size, edition.collection.settings.units)}, {category.box.name}" if category else None,
    ]
    lines = [" · ".join(filter(None, made_and_size)), stage_words(quilt)]
    lines.append(standing_words(quilt, edition.collection) if edition.shows("destination") else None)
    return tuple(filter(None, lines))


def cover_view(edition: Edition, quilt: Quilt, *, seen_from: str) -> PictureView | None:
    cover = edition.cover(quilt)
    if cover is None:
        return None
    photo = next(photo for photo in quilt.photos if edition.pictures.get(photo.file) is cover)
    return picture_view(quilt, photo, cover, seen_from=seen_from)


def picture_view(quilt: Quilt, photo: Photo, picture: Picture, *, seen_from: str) -> PictureView:
    """One photo of a quilt in its renditions."""
    largest = picture.largest
    return PictureView(
        sources=tuple(
            Source(relative(f"{PICTURE_FOLDER}/{each.file_name}", seen_from=seen_from), each.width)
            for each in picture.renditions
        ),
        width=largest.width,
        height=largest.height,
        alt=_alt(quilt, photo, picture),
        hung=hung_class(largest.width, largest.height),
        caption=photo.caption,
    )


def _alt(quilt: Quilt, photo: Photo, picture: Picture) -> str:
    """What a picture shows, for those who can't see it."""
    if picture.problem:
        return f"No picture of {quilt.title} to show yet"
    part = {None: "", "front": "", "scale": "", "in use": ", in use", "in progress": ", in progress"}
    shows = part.get(photo.shows, f", the {photo.shows}")
    look = [term for term, share in picture.colours.terms[:3]] if photo.shows in (None, "front") else []
    words = quilt.colours[:3] or tuple(look)
    coloured = f": a quilt in {listed(words)}" if words and photo.shows in (None, "front") else ""
    return f"{quilt.title}{shows}{coloured}"


def stand_in_for(edition: Edition, quilt: Quilt) -> Patchwork:
    """A drawing in place of a photo, in about the quilt's own proportions."""
    size = quilt.finished_size
    rows = min(8, max(2, round(3 * size.length.inches / size.width.inches))) if size and size.width else 4
    return stand_in(quilt.id, edition.palette(quilt), title=f"No photo of {quilt.title} yet", shape=(3, rows))
