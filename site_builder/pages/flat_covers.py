"""Which quilts can be shown alone and flattened, in their true proportion."""

from fractions import Fraction

from collection.records.quilt import Quilt
from site_builder.images.picture import Rendition
from site_builder.pages.edition import Edition

# A photo shows the proportion within a few per cent. What is further off shows a quilt folded over something,
# turned on its side, or measured wrongly.
MOST_OFF = Fraction(15, 100)


def flat_cover(edition: Edition, quilt: Quilt) -> Rendition | None:
    """The cover's quilt alone and flattened; None if it is not the front, or not as long and wide as recorded."""
    photo, size = edition.cover_photo(quilt), quilt.finished_size
    if photo is None or photo.shows not in (None, "front") or not size or not size.shorter:
        return None
    flat = edition.pictures[photo.file].flat
    if flat is None:
        return None
    seen, recorded = Fraction(flat.width, flat.height), size.width.inches / size.length.inches
    return flat if max(seen / recorded, recorded / seen) <= 1 + MOST_OFF else None
