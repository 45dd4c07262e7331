"""The similarity values of a collection's photos, cached from one run to the next.

The cache is `.counterpane/likenesses.json`; it can be deleted at any time, and only saves work.
"""

import json
import time
from collections.abc import Iterable, Mapping
from contextlib import suppress
from pathlib import Path

from collection.storage.fingerprints import Fingerprint, fingerprint_of, is_stable
from collection.storage.part_files import remove_left_parts
from collection.storage.sealed_files import read_sealed, write_sealed
from site_builder.images.decode import UnusablePhoto, decode, read_content
from site_builder.images.memory import budget
from site_builder.photo_import.inspect import Progress, photo_digest
from site_builder.photo_import.side_by_side import side_by_side
from site_builder.photo_import.similarity import CLEARLY, LOOKED_AT, SIDE, Similarity, likeness_of

KEPT_IN = ".counterpane/likenesses.json"
_PURPOSE = f"likenesses {[2, SIDE, CLEARLY, LOOKED_AT]}"
"""Similarity values of another version can't be compared."""

_Kept = dict[str, tuple[Fingerprint, Similarity]]


def known_photos(
    folder: Path, names: Iterable[str], *, keep: bool = True, jobs: int = 2, progress: Progress | None = None
) -> dict[str, Similarity]:
    """The similarity values of each photo, by its path in photos/, without unusable photos.

    Photos that an earlier run has read, and that have not changed since, are not opened again; `keep` saves the result.
    """
    names = sorted(names)
    kept = _read(folder / KEPT_IN)
    fingerprints: dict[str, Fingerprint | None] = {name: fingerprint_of(folder / "photos" / name) for name in names}
    found = {name: kept[name][1] for name in names if name in kept and kept[name][0] == fingerprints[name]}
    new = [name for name in names if name not in found]
    values = side_by_side(lambda name: _look(folder / "photos" / name), new, jobs=jobs)
    for done, (name, likeness) in enumerate(zip(new, values, strict=True), 1):
        if likeness is not None:
            found[name] = likeness
        if progress:
            progress(done, len(new))
    if keep:
        _keep(folder / KEPT_IN, kept, found, fingerprints)
    return {name: found[name] for name in names if name in found}


def _keep(
    path: Path, kept: _Kept, found: Mapping[str, Similarity], fingerprints: Mapping[str, Fingerprint | None]
) -> None:
    """Save the values of photos that have not changed lately, if they differ from the saved ones."""
    now = time.time_ns()
    stable = {
        name: (fingerprint, found[name])
        for name, fingerprint in fingerprints.items()
        if name in found and fingerprint and is_stable(fingerprint, now)
    }
    if stable != kept:
        _write(path, stable)


def _look(path: Path) -> Similarity | None:
    def look() -> Similarity:
        content = read_content(path)
        return likeness_of(decode(content, longest=LOOKED_AT).image, photo_digest(content))

    try:
        return budget.bounded(look)
    except (UnusablePhoto, MemoryError):
        return None


def _read(path: Path) -> _Kept:
    """The cache of an earlier run; empty if it can't be read."""
    try:
        content = read_sealed(path, _PURPOSE) if path.is_file() else None
        return {
            name: (tuple(fingerprint), Similarity(digest, tuple(int(turn, 16) for turn in bits), _colour(colour)))
            for name, (fingerprint, digest, bits, colour) in json.loads(content or "{}").items()
        }
    except (OSError, ValueError, KeyError, TypeError, AttributeError, RecursionError):
        return {}


def _colour(written: list[int]) -> tuple[int, int, int]:
    red, green, blue = map(int, written)
    return red, green, blue


def _write(path: Path, kept: _Kept) -> None:
    """Write to a new file, then rename it. In a read-only collection nothing is saved."""
    photos = {
        name: [fingerprint, seen.digest, [f"{turn:x}" for turn in seen.bits], seen.colour]
        for name, (fingerprint, seen) in sorted(kept.items())
    }
    text = json.dumps(photos, separators=(",", ":"))
    if path.parent.is_symlink():
        return
    with suppress(OSError):
        path.parent.mkdir(exist_ok=True)
        remove_left_parts(path.parent, of_any_name=True)
        write_sealed(path, _PURPOSE, text.encode("utf-8", "surrogatepass"))
