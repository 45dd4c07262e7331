"""Fingerprints of a collection's files, which show that a file is unchanged without opening it.

Imports nothing heavy: a build checks first whether anything has changed.
"""

import os
from collections.abc import Callable, Mapping
from hashlib import blake2b
from typing import Any, Self

from collection.storage.folder_layout import FOLDERS, SETTINGS_FILE, is_left_alone

# Size, mtime and ctime (both in nanoseconds) and inode of a file; of a link, those of its target too; of a
# folder nothing.
Fingerprint = tuple[int, ...]

# A file changed twice within one tick of a coarse clock looks unchanged; 2 s is the coarsest in use (FAT).
TICK_NS = 2_000_000_000

# On Windows an entry of a folder has neither its file's number nor the count of its names.
_ENTRIES_LACK_NUMBERS = os.name == "nt"


def fingerprints_of(folder: str) -> dict[str, Fingerprint]:
    """The fingerprints of all that reading a collection depends on, by name within the folder.

    That is all in its folders, and next to them, without the files that editors leave behind.
    """
    found: dict[str, Fingerprint] = {}
    for entry in _entries(folder):
        if entry.name in FOLDERS:
            found[entry.name] = _stamp(entry) if entry.is_symlink() else ()
            _add_below(entry.path, entry.name, found)
        elif entry.name == SETTINGS_FILE:
            found[entry.name] = _stamp(entry)
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
            found[inside] = _stamp(entry)


def _entries(folder: str) -> list[os.DirEntry[str]]:
    try:
        with os.scandir(folder) as entries:
            return [entry for entry in entries if not is_left_alone(entry.name)]
    except OSError:
        return []


def _stamp(entry: os.DirEntry[str]) -> Fingerprint:
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
        except OSError:  # it leads to nothing, or was removed meanwhile
            continue
        numbers += (end.st_size, end.st_mtime_ns, end.st_ctime_ns, end.st_ino)
    return numbers


def fingerprint_of(path: str | os.PathLike[str]) -> Fingerprint | None:
    """The fingerprint of one file, or of a link's target; None where there is none."""
    try:
        found = os.stat(path)
    except (OSError, ValueError):
        return None
    return found.st_size, found.st_mtime_ns, found.st_ctime_ns, found.st_ino


def stat_of(entry: os.DirEntry[str], *, follow_symlinks: bool = False) -> os.stat_result:
    """The status of a file found in a folder, with its number and the count of its names."""
    if _ENTRIES_LACK_NUMBERS:
        return os.stat(entry.path, follow_symlinks=follow_symlinks)
    return entry.stat(follow_symlinks=follow_symlinks)


def is_stable(stamp: Fingerprint, now: int) -> bool:
    """Would a later change show in a fingerprint taken at `now` (ns)? Not if the file is newer than a clock's tick."""
    times = [time for place, time in enumerate(stamp) if place % 4 in (1, 2)]
    return all(abs(now - time) > TICK_NS for time in times)


def state_of(stamps: Mapping[str, Fingerprint]) -> str:
    """One digest of the fingerprints of all files."""
    return digest_of(repr(sorted(stamps.items())).encode("utf-8", "surrogateescape"))


def digest_of(content: bytes) -> str:
    """The digest of a content in notes and caches: 32 hex digits."""
    return blake2b(content, digest_size=16).hexdigest()


class KnownFiles:
    """The fingerprints of a collection's files in one build, for it and for the next one.

    `settled` says whether a later change of a file would show in its fingerprint; `digests` has the digests of
    the files that were opened.
    """

    def __init__(self, stamps: dict[str, Fingerprint], settled: dict[str, bool], digests: dict[str, str]):
        self.stamps = stamps
        self.settled = settled
        self.digests = digests

    @classmethod
    def look(cls, folder: str | os.PathLike[str], clock: Callable[[], int], before: "KnownFiles | None" = None) -> Self:
        """The files as they are now, with the digests of those that a settled fingerprint shows to be unchanged."""
        # The clock first: a file that changes meanwhile is not settled.
        now = clock()
        stamps = fingerprints_of(os.fspath(folder))
        settled = {name: is_stable(stamp, now) for name, stamp in stamps.items()}
        if before is None:
            return cls(stamps, settled, {})
        digests = {
            name: digest
            for name, digest in before.digests.items()
            if before.settled.get(name) and before.stamps[name] == stamps.get(name)
        }
        return cls(stamps, settled, digests)

    @property
    def state(self) -> str:
        """One digest of the fingerprints of all files."""
        return state_of(self.stamps)

    def seen_again(self, now: int) -> Self:
        """The same files, found unchanged at `now`."""
        settled = {name: is_stable(stamp, now) for name, stamp in self.stamps.items()}
        return type(self)(self.stamps, settled, self.digests)

    def as_data(self) -> dict[str, list[Any]]:
        """As plain values, for JSON."""
        return {name: [stamp, int(self.settled[name]), self.digests.get(name)] for name, stamp in self.stamps.items()}

    @classmethod
    def from_data(cls, data: Mapping[str, list[Any]]) -> Self:
        """The inverse of `as_data`."""
        stamps, settled, digests = {}, {}, {}
        for name, (stamp, is_settled_one, digest) in data.items():
            stamps[name] = tuple(stamp)
            settled[name] = bool(is_settled_one)
            if digest is not None:
                digests[name] = digest
        return cls(stamps, settled, digests)
