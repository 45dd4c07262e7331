"""Replaces editions: whole, or not at all.

New files are written into a folder beside the final one; then unchanged files are hard-linked into it, and the two
folders are swapped. Where the system can do so in one step, a page can be read at any moment, old or new; elsewhere it
takes two renames. A build that stops half-way leaves the former edition as it was, and the next one removes its
half-written folder. No file stays linked: its second name is removed with the former folder.
"""

import os
import re
import shutil
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from functools import cached_property, partial
from pathlib import Path

from collection.storage.part_files import PRIVATE, USUAL, make_private_folder
from site_builder.building.swap import exchange
from site_builder.editions import EDITIONS, EditionName
from site_builder.incremental.manifest import OutputFingerprint, files_in, fingerprint_of, folders_of
from site_builder.removal import OWNERS, remove_tree

MARK = b'<meta name="generator" content="Counterpane">'
_NEW, _OLD = ".{}.new", ".{}.old"
_BESIDE = re.compile(rf"\.({'|'.join(EDITIONS)})\.(new|old)([0-9]*)")
# Written by a file manager that merely showed the folder.
_LEFT_BY_LOOKING = {".DS_Store"}
PATIENCE = 0.5
"""Seconds to wait for the lock on an output folder."""


class OutputRefused(Exception):
    """Nothing can be built into the output folder as it is. The text is for the maker."""


class NotOurs(OutputRefused):
    """A folder that a build would replace holds something that no build has made."""


class InUse(OutputRefused):
    """Another build is writing into the same output folder."""


class StagedEdition:
    """An edition while it is written: a folder beside `place`, which it will replace. `old` is where the former edition
    is moved if the two can't be swapped in one step.

    `files` are the files of the new edition. Those that are kept are not touched until all others are written
    (`finish`), and not at all if nothing has changed. `private`: only the owner may read the edition.
    """

    def __init__(self, folder: Path, place: Path, old: Path, *, private: bool = False):
        self.folder = folder
        self.place = place
        self.old = old
        self._file_mode, self._folder_mode = (PRIVATE, OWNERS) if private else (USUAL, 0o777)
        self.files: dict[str, OutputFingerprint] = {}
        self._kept: list[str] = []
        self._folders: set[str] = set()
        self._is_changed: bool | None = None

    @cached_property
    def former(self) -> dict[str, OutputFingerprint]:
        """The files and folders of the former edition."""
        return files_in(self.place)

    def write(self, path: str, content: bytes) -> None:
        """Write one file. RuntimeError if a path is written twice, which is a bug."""
        target = self._make_room(path)
        with open(target, "xb", buffering=0, opener=partial(os.open, mode=self._file_mode)) as file:
            left = memoryview(content)
            while left:  # a full disk takes a part first, and then refuses
                left = left[file.write(left) :]
            self.files[path] = fingerprint_of(os.fstat(file.fileno()))

    def may_keep(self, path: str, fingerprint: OutputFingerprint | None = None) -> bool:
        """Does the former edition have this file, with no other hard link and (if given) with this fingerprint?"""
        there = self.former.get(path)
        # With a second link, something else would change with it.
        return bool(there and there[-1] == 1) and fingerprint in (None, there)

    def keep(self, path: str) -> None:
        """Keep one file of the former edition."""
        self._refuse_second(path)
        self.files[path] = self.former[path]
        self._kept.append(path)

    def copy(self, source: Path, path: str, *, read: Callable[[Path], bytes] = Path.read_bytes) -> None:
        """Copy a file, rather than link it, so that the edition can be moved or edited alone.

        A copy has the time of its source. One of the same size and time in the former edition is kept; else `read`
        reads the source.
        """
        found = source.stat()
        there = self.former.get(path, ())
        if there[:2] == (found.st_size, found.st_mtime_ns) and self.may_keep(path):
            self.keep(path)
            return
        self.write(path, read(source))
        target = self.folder / path
        os.utime(target, ns=(found.st_mtime_ns, found.st_mtime_ns))
        self.files[path] = fingerprint_of(target.stat())

    @property
    def is_changed(self) -> bool:
        """Does the new edition differ from the former one in any file?"""
        if self._is_changed is not None:
            return self._is_changed
        return len(self._kept) < len(self.files) or self.former.keys() != self.files.keys() | folders_of(self.files)

    def finish(self) -> None:
        """Link the kept files into the new folder, unless nothing has changed at all. A second call does nothing."""
        if self._is_changed is not None:
            return
        self._is_changed = self.is_changed
        if self._is_changed:
            self._bring_in_what_was_kept()

    def forget(self) -> None:
        """Free the memory that is taken by what is known of every file."""
        self.files, self._kept = {}, []
        self.__dict__.pop("former", None)

    def _bring_in_what_was_kept(self) -> None:
        for path in self._kept:
            former, target = f"{self.place}/{path}", f"{self.folder}/{path}"
            self._make_folder(path)
            try:
                os.link(former, target)
            except OSError:  # a file system without hard links
                shutil.copy2(former, target)
                self.files[path] = fingerprint_of(os.stat(target))

    def begin(self) -> None:
        """Create the folder, which must not exist."""
        self.folder.mkdir(mode=self._folder_mode)

    def _make_room(self, path: str) -> Path:
        self._refuse_second(path)
        self._make_folder(path)
        return self.folder / path

    def _make_folder(self, path: str) -> None:
        name, slash, _ = path.rpartition("/")
        if slash and name not in self._folders:
            self._make_folder(name)
            (self.folder / name).mkdir(mode=self._folder_mode, exist_ok=True)
            self._folders.add(name)

    def _refuse_second(self, path: str) -> None:
        if path in self.files:
            raise RuntimeError(f"{path} was written twice")


@contextmanager
def editions_replaced(
    output: Path, names: Sequence[EditionName], *, private: bool = False
) -> Iterator[Mapping[EditionName, StagedEdition]]:
    """Empty folders to write each edition into; they replace the former editions if no error is raised.

    `private`: only their owner may read them, as with a preview.
    Raises OutputRefused before anything is changed; an OSError has a note that nothing was changed.
    """
    try:
        make_private_folder(output) if private else output.mkdir(parents=True, exist_ok=True)
        with _alone_in(output):
            _recover(output)
            for name in names:
                _let_owner_in(output / name)
                _refuse_what_is_not_ours(output / name)
            staged = {name: _staged(output, name, private=private) for name in names}
            try:
                for edition in staged.values():
                    edition.begin()
                yield staged
                for edition in staged.values():
                    edition.finish()
                _swap([edition for edition in staged.values() if edition.is_changed])
            finally:
                for edition in staged.values():
                    remove_tree(edition.folder)
    except OSError as error:
        error.add_note("What was built before is as it was.")
        raise


@contextmanager
def _alone_in(output: Path) -> Iterator[None]:
    """Lock the folder: two builds would take each other's half-written pages for leftovers.

    The system releases the lock when the process ends, however it ends.
    """
    try:
        import fcntl  # noqa: F401
    except ImportError:  # Windows, where only the user keeps two builds apart
        yield
        return
    handle = os.open(output, os.O_RDONLY)
    try:
        try:
            _hold(handle)
        except BlockingIOError:
            raise InUse(
                f"Another build is writing into {output}. Wait until it has ended, or choose another "
                "folder with --output."
            ) from None
        except OSError:  # a network disk without locks
            pass
        yield
    finally:
        os.close(handle)


def _hold(handle: int) -> None:
    """BlockingIOError if another process has the lock. The workers of a killed build may end a moment after it."""
    import fcntl

    until = time.monotonic() + PATIENCE
    while True:
        try:
            return fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            if time.monotonic() > until:
                raise
            time.sleep(0.01)


def left_lying(output: Path) -> tuple[Path, ...]:
    """Former or half-written editions, from a build that was killed, or that can't be removed."""
    with suppress(OSError):
        return tuple(sorted(path for path in output.iterdir() if _BESIDE.fullmatch(path.name)))
    return ()


def _recover(output: Path) -> None:
    """Put back or remove what a killed build left behind."""
    for path in reversed(left_lying(output)):
        beside = _BESIDE.fullmatch(path.name)
        if beside is None:
            continue
        name, kind, _ = beside.groups()
        if kind == "old" and not (output / name).exists():
            path.rename(output / name)
        else:
            remove_tree(path)


def _staged(output: Path, name: str, *, private: bool) -> StagedEdition:
    new, old = _free(output / _NEW.format(name)), _free(output / _OLD.format(name))
    return StagedEdition(new, output / name, old, private=private)


def _free(path: Path) -> Path:
    """This path or, if something there can't be removed, the first free one like it."""
    number = 1
    while os.path.lexists(path):
        number += 1
        path = path.with_name(f"{path.name.rstrip('0123456789')}{number}")
    return path


def _swap(editions: Sequence[StagedEdition]) -> None:
    """Put all editions in place, or none."""
    new_ones = [_identity(edition.folder) for edition in editions]
    try:
        for edition in editions:
            _put_in_place(edition)
    except BaseException:
        for edition, new_one in zip(editions, new_ones, strict=True):
            _put_back(edition, new_one)
        raise
    for edition in editions:
        remove_tree(edition.old)


def _put_in_place(edition: StagedEdition) -> None:
    """Put the new edition in place; the former one is then in `folder` or in `old`, to be removed."""
    if edition.place.exists():
        if exchange(edition.folder, edition.place):
            return
        edition.place.rename(edition.old)
    edition.folder.rename(edition.place)


def _put_back(edition: StagedEdition, new_one: tuple[int, int] | None) -> None:
    """Put the former edition back, however far the new one had replaced it."""
    new, place, old = edition.folder, edition.place, edition.old
    if _identity(place) == new_one:
        if new.exists():
            exchange(new, place)
        else:
            place.rename(new)
    if old.exists():
        old.rename(place)


def _identity(folder: Path) -> tuple[int, int] | None:
    """Device and inode, which a folder keeps when it is moved; None if there is no folder."""
    try:
        found = folder.stat()
    except OSError:
        return None
    return found.st_dev, found.st_ino


def _let_owner_in(place: Path) -> None:
    """Let the owner read a former edition that was made unreadable: else it could be neither compared nor replaced."""
    if place.is_dir() and not place.is_symlink() and not os.access(place, os.R_OK | os.X_OK):
        with suppress(OSError):
            place.chmod(place.stat().st_mode | OWNERS)


def _refuse_what_is_not_ours(place: Path) -> None:
    if place.is_symlink() or (place.exists() and not place.is_dir()):
        raise NotOurs(f"{place} is not an ordinary folder. Choose another folder with --output.")
    entries = {entry.name for entry in place.iterdir()} if place.is_dir() else set()
    if not entries:
        return
    front = place / "index.html"
    made_by_a_build = front.is_file() and MARK in front.read_bytes()[:4096]
    hidden = sorted(name for name in entries - _LEFT_BY_LOOKING if name.startswith("."))
    if not made_by_a_build or hidden:
        raise NotOurs(
            f"{place} holds {hidden[0] if hidden else 'files'}, which no build has made, and a build would "
            "remove it. Choose another folder with --output."
        )
