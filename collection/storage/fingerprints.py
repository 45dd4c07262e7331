"""Fingerprints of a collection's files, which show that a file is unchanged without opening it.

Imports nothing heavy, because every build first checks whether anything has changed.
"""

import os
from collections.abc import Callable, Mapping
from hashlib import blake2b
from typing import Any, Self

from collection.storage.folder_layout import FOLDERS, SETTINGS_FILE, is_left_alone

# Size, mtime and ctime (both in nanoseconds) and inode of a file; for a link, also those of its target; for a
# folder, empty.
Fingerprint = tuple[int, ...]

# A file that changes twice within one tick of a coarse clock looks unchanged; the coarsest in use is 2 s (FAT).
TICK_NS = 2_000_000_000

# On Windows, a folder's entry has neither the inode nor the count of links.
_ENTRIES_LACK_NUMBERS = os.name == "nt"


def fingerprints_of(folder: str) -> dict[str, Fingerprint]:
    """The fingerprints of everything that reading a collection depends on, by path within the folder.

    These are all files in and beside its folders, except those that editors leave behind.
    """
    found: dict[str, Fingerprint] = {}
    for entry in _entries(folder):
        if entry.name in FOLDERS:
            found[entry.name] = _fingerprint(entry) if entry.is_symlink() else ()
            _add_below(entry.path, entry.name, found)
        elif entry.name == SETTINGS_FILE:
            found[entry.name] = _fingerprint(entry)
        else:  # only its name can matter
            found[entry.name] = ()
    return found


def _add_below(folder: str, name: str, found: dict[str, Fingerprint]) -> None:
    for entry in _entries(folder):
        inside = f"{name}/{entry.name}"
        if entry.is_dir(follow_symlinks=False):
            found[inside] = ()
            _add_below(entry.path, inside, found)
        else:
            found[inside] = _fingerprint(entry)


def _entries(folder: str) -> list[os.DirEntry[str]]:
    try:
        with os.scandir(folder) as entries:
            return [entry for entry in entries if not is_left_alone(entry.name)]
    except OSError:
        return []


def _fingerprint(entry: os.DirEntry[str]) -> Fingerprint:
    if not entry.is_symlink():
        try:
            found = stat_of(entry)
        except OSError:  # removed meanwhile
            return ()
        return found.st_size, found.st_mtime_ns, found.st_ctime_ns, found.st_ino
    numbers: tuple[int, ...] = ()
    for follow in (False, True):
        try:
            end = stat_of(entry, follow_symlinks=follow)
        except OSError:  # its target is missing, or it was removed meanwhile
            continue
        numbers += (end.st_size, end.st_mtime_ns, end.st_ctime_ns, end.st_ino)
    return numbers


def fingerprint_of(path: str | os.PathLike[str]) -> Fingerprint | None:
    """The fingerprint of one file, or of a link's target; None if there is no file."""
    try:
        found = os.stat(path)
    except (OSError, ValueError):
        return None
    return found.st_size, found.st_mtime_ns, found.st_ctime_ns, found.st_ino


def stat_of(entry: os.DirEntry[str], *, follow_symlinks: bool = False) -> os.stat_result:
    """The status of a file found in a folder, including its inode and the count of its links."""
    if _ENTRIES_LACK_NUMBERS:
        return os.stat(entry.path, follow_symlinks=follow_symlinks)
    return entry.stat(follow_symlinks=follow_symlinks)


def is_stable(fingerprint: Fingerprint, now: int) -> bool:
    """Will a later change alter a fingerprint taken at `now` (ns)? Not if the file changed within a tick of `now`."""
    times = [time for place, time in enumerate(fingerprint) if place % 4 in (1, 2)]
    return all(abs(now - time) > TICK_NS for time in times)


def state_of(fingerprints: Mapping[str, Fingerprint]) -> str:
    """One digest of the fingerprints of all files."""
    return digest_of(repr(sorted(fingerprints.items())).encode("utf-8", "surrogateescape"))


def digest_of(content: bytes) -> str:
    """The digest of some bytes for notes and caches: 32 hexadecimal digits."""
    return blake2b(content, digest_size=16).hexdigest()


class KnownFiles:
    """What a build knows of a collection's files: their fingerprints and digests. The next build uses them too.

    `settled` says for each file whether a later change will alter its fingerprint (see `is_stable`). `digests` has the
    digests of the files that were read.
    """

    def __init__(self, fingerprints: dict[str, Fingerprint], settled: dict[str, bool], digests: dict[str, str]):
        self.fingerprints = fingerprints
        self.settled = settled
        self.digests = digests

    @classmethod
    def look(cls, folder: str | os.PathLike[str], clock: Callable[[], int], before: "KnownFiles | None" = None) -> Self:
        """The files as they are now; keeps the digests of files whose settled fingerprint is the same as `before`."""
        # Read the clock first, so that a file that changes meanwhile is not settled.
        now = clock()
        fingerprints = fingerprints_of(os.fspath(folder))
        settled = {name: is_stable(fingerprint, now) for name, fingerprint in fingerprints.items()}
        if before is None:
            return cls(fingerprints, settled, {})
        digests = {
            name: digest
            for name, digest in before.digests.items()
            if before.settled.get(name) and before.fingerprints[name] == fingerprints.get(name)
        }
        return cls(fingerprints, settled, digests)

    @property
    def state(self) -> str:
        """One digest of the fingerprints of all files."""
        return state_of(self.fingerprints)

    def seen_again(self, now: int) -> Self:
        """The same files, found unchanged at `now`."""
        settled = {name: is_stable(fingerprint, now) for name, fingerprint in self.fingerprints.items()}
        return type(self)(self.fingerprints, settled, self.digests)

    def as_data(self) -> dict[str, list[Any]]:
        """As plain values, for JSON."""
        return {
            name: [fingerprint, int(self.settled[name]), self.digests.get(name)]
            for name, fingerprint in self.fingerprints.items()
        }

    @classmethod
    def from_data(cls, data: Mapping[str, list[Any]]) -> Self:
        """The inverse of `as_data`."""
        fingerprints, settled, digests = {}, {}, {}
        for name, (fingerprint, is_settled_one, digest) in data.items():
            fingerprints[name] = tuple(fingerprint)
            settled[name] = bool(is_settled_one)
            if digest is not None:
                digests[name] = digest
        return cls(fingerprints, settled, digests)
