"""Small pictures of the quilts in a report, made from their covers."""

import io
from collections.abc import Callable, Iterable
from concurrent.futures import ThreadPoolExecutor

from collection.holdings import Collection
from collection.records.quilt import Quilt

LONG_EDGE = 240
"""Points: 1/2 in on paper at the 300 points that printers show, and some more for a screen."""

QUALITY = 78
JOBS = 2


def thumbnails(
    collection: Collection, quilts: Iterable[Quilt], *, progress: Callable[[int, int], None] = lambda done, of: None
) -> dict[str, bytes]:
    """JPEGs without any metadata by the IDs of the quilts; a quilt of which no photo can be read has none.

    The cover is the first photo that can be read; one that a link leads to outside of photos/ is none.
    """
    wanted = list({quilt.id: quilt for quilt in quilts}.values())
    found = {}
    with ThreadPoolExecutor(max_workers=JOBS) as pool:
        for done, (quilt, jpeg) in enumerate(zip(wanted, pool.map(lambda quilt: _cover(collection, quilt), wanted)), start=1):
            if jpeg:
                found[quilt.id] = jpeg
            progress(done, len(wanted))
    return found


def _cover(collection: Collection, quilt: Quilt) -> bytes | None:
    from site_builder.photo_reading import UnusablePhoto, decode, read_content

    for photo in quilt.photos:
        if photo.file not in collection.photos:
            continue
        try:
            image = decode(read_content(collection.folder / "photos" / photo.file), longest=LONG_EDGE).image
        except (UnusablePhoto, MemoryError):
            continue
        out = io.BytesIO()
        image.save(out, "JPEG", quality=QUALITY)
        return out.getvalue()
    return None
