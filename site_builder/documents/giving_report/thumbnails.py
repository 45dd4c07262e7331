"""Small pictures of the quilts in a report, made from their covers."""

import io
from collections.abc import Callable, Iterable
from concurrent.futures import ThreadPoolExecutor
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from collection.records.collection import Collection
from collection.records.quilt import Quilt

if TYPE_CHECKING:
    from PIL import Image

LONG_EDGE = 240
"""Pixels: 1/2 in on paper at the 300 dpi of printers, and some more for a screen."""

QUALITY = 78
JOBS = 2


def thumbnails(
    collection: Collection, quilts: Iterable[Quilt], *, progress: Callable[[int, int], None] = lambda done, of: None
) -> dict[str, bytes]:
    """JPEGs of the covers, without metadata, by quilt ID. A quilt without a readable photo has none.

    The cover is the first readable photo. Links to files outside photos/ do not count.
    """
    wanted = list({quilt.id: quilt for quilt in quilts}.values())
    found = {}
    with ThreadPoolExecutor(max_workers=JOBS) as pool:
        covers = pool.map(lambda quilt: _cover(collection, quilt), wanted)
        for done, (quilt, jpeg) in enumerate(zip(wanted, covers, strict=True), start=1):
            if jpeg:
                found[quilt.id] = jpeg
            progress(done, len(wanted))
    return found


def _small(path: Path) -> "Image.Image":
    from site_builder.images.decode import decode, read_content

    return decode(read_content(path), longest=LONG_EDGE).image


def _cover(collection: Collection, quilt: Quilt) -> bytes | None:
    from site_builder.images.decode import UnusablePhoto
    from site_builder.images.memory import budget

    for photo in quilt.photos:
        if photo.file not in collection.photos:
            continue
        try:
            path = collection.folder / "photos" / photo.file
            image = budget.bounded(partial(_small, path))
        except (UnusablePhoto, MemoryError):
            continue
        out = io.BytesIO()
        image.save(out, "JPEG", quality=QUALITY)
        return out.getvalue()
    return None
