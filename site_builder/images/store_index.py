"""The index of the picture store, as lines of plain JSON.

The first line has the counts, then there is a line for each photo and for each picture, so that the index is never
held in memory twice. An index that was changed, or written with other settings, is ignored.
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

# The file's fingerprint, if it is enough to recognise the photo, and the digest of its content.
Photos = dict[str, tuple[Fingerprint | None, str]]
Pictures = dict[str, Picture]


def read_index(path: Path, settings: str) -> tuple[Photos, Pictures]:
    """The photos by name, and the pictures by digest, if they were made with these settings."""
    content = read_sealed(path, purpose_of(settings))
    if content is None:
        return {}, {}
    try:
        lines = iter(content.splitlines())
        head = json.loads(next(lines))
        photos, pictures = {}, {}
        for _ in range(head["photos"]):
            name, fingerprint, digest = json.loads(next(lines))
            photos[name] = tuple(fingerprint) if fingerprint else None, digest
        for _ in range(head["pictures"]):
            digest, *entry = json.loads(next(lines))
            pictures[digest] = _picture(digest, entry)
    except (ValueError, KeyError, TypeError, AttributeError, StopIteration, RecursionError):
        return {}, {}
    return photos, pictures


def write_index(path: Path, photos: Photos, pictures: Pictures, settings: str) -> None:
    """Write what `read_index` reads. OSError if it can't be written."""
    head = {"photos": len(photos), "pictures": len(pictures)}
    seen = ([name, fingerprint, digest] for name, (fingerprint, digest) in sorted(photos.items()))
    made = ([digest, *_entry(picture)] for digest, picture in sorted(pictures.items()))
    text = "".join(f"{json.dumps(line, separators=(',', ':'))}\n" for line in chain([head], seen, made))
    write_sealed(path, purpose_of(settings), text.encode())


def purpose_of(settings: str) -> str:
    """The purpose that an index is sealed for."""
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
