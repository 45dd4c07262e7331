"""What the picture store remembers from one build to the next, as lines of plain JSON.

The first says how many there are of each kind, then comes one for each photo and one for each picture: so that of
many no more than one is held twice. An index that is not as it was written, or that other settings wrote, is as good
as none: nothing in it is needed.
"""

import json
import re
from dataclasses import astuple
from itertools import chain
from pathlib import Path
from typing import Any

from collection.storage.fingerprints import Fingerprint
from collection.storage.sealed_files import read_sealed, write_sealed
from site_builder.images.picture import Picture, QuiltColours, Rendition

VERSION = 4
RENDITION_NAME = re.compile(r"[0-9a-f]{20}-[0-9]{1,4}\.jpg")

# The content that each photo had, and the file's stamp where that is enough to know it again.
Photos = dict[str, tuple[Fingerprint | None, str]]
Pictures = dict[str, Picture]


def read_index(path: Path, settings: str) -> tuple[Photos, Pictures]:
    """The photos seen and the pictures made of them, by digest, when they were made with these settings."""
    content = read_sealed(path, purpose_of(settings))
    if content is None:
        return {}, {}
    try:
        lines = iter(content.splitlines())
        head = json.loads(next(lines))
        photos, pictures = {}, {}
        for _ in range(head["photos"]):
            name, stamp, digest = json.loads(next(lines))
            photos[name] = tuple(stamp) if stamp else None, digest
        for _ in range(head["pictures"]):
            digest, *entry = json.loads(next(lines))
            pictures[digest] = _picture(digest, entry)
    except (ValueError, KeyError, TypeError, AttributeError, StopIteration, RecursionError):
        return {}, {}
    return photos, pictures


def write_index(path: Path, photos: Photos, pictures: Pictures, settings: str) -> None:
    """What `read_index` gives back. OSError where it can't be written."""
    head = {"photos": len(photos), "pictures": len(pictures)}
    seen = ([name, stamp, digest] for name, (stamp, digest) in sorted(photos.items()))
    made = ([digest, *_entry(picture)] for digest, picture in sorted(pictures.items()))
    text = "".join(f"{json.dumps(line, separators=(',', ':'))}\n" for line in chain([head], seen, made))
    write_sealed(path, purpose_of(settings), text.encode())


def purpose_of(settings: str) -> str:
    """What the seal of an index says that it is for."""
    return f"pictures {VERSION} {settings}"


def _entry(picture: Picture) -> list[Any]:
    renditions = [astuple(rendition) for rendition in picture.renditions]
    flat = astuple(picture.flat) if picture.flat else None
    colours = picture.colours
    return [picture.width, picture.height, picture.average_colour, renditions, flat, colours.palette, colours.terms]


def _picture(digest: str, entry: list[Any]) -> Picture:
    width, height, average_colour, renditions, flat, palette, terms = entry
    if not renditions:
        raise ValueError("a picture without renditions")
    return Picture(
        digest,
        width,
        height,
        tuple(_rendition(*one) for one in renditions),
        average_colour,
        QuiltColours(_shares(palette), _shares(terms)),
        flat=_rendition(*flat) if flat else None,
    )


def _rendition(width: int, height: int, file_name: str, size: int) -> Rendition:
    if not RENDITION_NAME.fullmatch(file_name):
        raise ValueError("a rendition outside the store")
    return Rendition(width, height, file_name, size)


def _shares(written: list[list[Any]]) -> tuple[tuple[str, float], ...]:
    return tuple((name, float(share)) for name, share in written)
