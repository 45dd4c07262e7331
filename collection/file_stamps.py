"""What the files of a collection look like from outside, by which an unchanged one is known without opening it.

Nothing heavy is imported here: that nothing has changed is found out before anything else.
"""

import os
from collections.abc import Callable, Mapping
from hashlib import blake2b
from typing import Self

from collection.record_files import FOLDERS, SETTINGS_FILE, is_left_alone

# Size, time of change, time of the last note about it (both in nanoseconds) and number of a file; of a
# link the same of what it leads to besides; of a folder nothing.
Stamp = tuple[int, ...]

# A file changed twice within one tick of a coarse clock looks unchanged; 2 s is the coarsest in use (FAT).
TICK_NS = 2_000_000_000

# There an entry of a folder knows neither the number of its file nor how many names that has.
_ENTRIES_TELL_LESS = os.name == "nt"


def stamps_of(folder: str) -> dict[str, Stamp]:
    """A stamp for all that reading a collection may look at, by its name below the folder.

    That is whatever lies in its folders, and beside them. What editors leave behind is passed over.
    """
    found: dict[str, Stamp] = {}
    for entry in _entries(folder):
        if entry.name in FOLDERS:
            found[entry.name] = _stamp(entry) if entry.is_symlink() else ()
            _look_below(entry.path, entry.name, found)
        elif entry.name == SETTINGS_FILE:
            found[entry.name] = _stamp(entry)
        else:  # only its name can matter
            found[entry.name] = ()
    return found


def _look_below(folder: str, name: str, found: dict[str, Stamp]) -> None:
    for entry in _entries(folder):
        inside = f"{name}/{entry.name}"
        if entry.is_dir(follow_symlinks=False):
            found[inside] = ()
            _look_below(entry.path, inside, found)
        else:
            found[inside] = _stamp(entry)


def _entries(folder: str) -> list[os.DirEntry]:
    try:
        with os.scandir(folder) as entries:
            return [entry for entry in entries if not is_left_alone(entry.name)]
    except OSError:
        return []


def _stamp(entry: os.DirEntry) -> Stamp:
    if not entry.is_symlink():
        try:
            found = stat_of(entry)
        except OSError:  # gone since
            return ()
        return found.st_size, found.st_mtime_ns, found.st_ctime_ns, found.st_ino
    numbers: tuple[int, ...] = ()
    for follow in (False, True):
        try:
            end = stat_of(entry, follow_symlinks=follow)
        except OSError:  # it leads to nothing, or is gone since
            continue
        numbers += (end.st_size, end.st_mtime_ns, end.st_ctime_ns, end.st_ino)
    return numbers


def stamp_of(path: str | os.PathLike) -> Stamp | None:
    """The stamp of one file, or of what a link leads to; None where there is none."""
    try:
        found = os.stat(path)
    except (OSError, ValueError):
        return None
    return found.st_size, found.st_mtime_ns, found.st_ctime_ns, found.st_ino


def stat_of(entry: os.DirEntry, *, follow_symlinks: bool = False) -> os.stat_result:
    """What a system knows of a file that was found in its folder, with its number and how many names it has."""
    if _ENTRIES_TELL_LESS:
        return os.stat(entry.path, follow_symlinks=follow_symlinks)
    return entry.stat(follow_symlinks=follow_symlinks)


def is_settled(stamp: Stamp, now: int) -> bool:
    """Whether a later change would show in a stamp taken at `now` (ns): not if the file was as new as a
    tick of the clock."""
    times = [time for place, time in enumerate(stamp) if place % 4 in (1, 2)]
    return all(abs(now - time) > TICK_NS for time in times)


def state_of(stamps: Mapping[str, Stamp]) -> str:
    """Stands for all files of a collection as they look from outside."""
    return digest_of(repr(sorted(stamps.items())).encode("utf-8", "surrogateescape"))


def digest_of(content: bytes) -> str:
    """Stands for a content in notes and caches: 32 hex digits."""
    return blake2b(content, digest_size=16).hexdigest()


class SeenFiles:
    """The files of a collection as one build saw them, for it and for the next one.

    `settled` says of each whether a later change would show in its stamp, `digests` stand for the contents
    of those that were opened.
    """

    def __init__(self, stamps: dict[str, Stamp], settled: dict[str, bool], digests: dict[str, str]):
        self.stamps = stamps
        self.settled = settled
        self.digests = digests

    @classmethod
    def look(cls, folder: str | os.PathLike, clock: Callable[[], int], before: "SeenFiles | None" = None) -> Self:
        """The files as they are now; of what a settled stamp shows unchanged since before, the content is known."""
        # The clock first: what is changed while we look is not settled.
        now = clock()
        stamps = stamps_of(os.fspath(folder))
        settled = {name: is_settled(stamp, now) for name, stamp in stamps.items()}
        known = before.digests.items() if before else ()
        digests = {
            name: digest
            for name, digest in known
            if before.settled.get(name) and name in stamps and before.stamps[name] == stamps[name]
        }
        return cls(stamps, settled, digests)

    @property
    def state(self) -> str:
        """Stands for all files as they were seen."""
        return state_of(self.stamps)

    def seen_again(self, now: int) -> Self:
        """The same files, found unchanged at `now`."""
        settled = {name: is_settled(stamp, now) for name, stamp in self.stamps.items()}
        return type(self)(self.stamps, settled, self.digests)

    def as_data(self) -> dict[str, list]:
        """As plain values, for JSON."""
        return {
            name: [stamp, int(self.settled[name]), self.digests.get(name)] for name, stamp in self.stamps.items()
        }

    @classmethod
    def from_data(cls, data: Mapping[str, list]) -> Self:
        """The inverse of `as_data`."""
        stamps, settled, digests = {}, {}, {}
        for name, (stamp, is_settled_one, digest) in data.items():
            stamps[name] = tuple(stamp)
            settled[name] = bool(is_settled_one)
            if digest is not None:
                digests[name] = digest
        return cls(stamps, settled, digests)
