"""The cache folder of a collection, with what builds and previews would otherwise make again.

It is in the user's own cache folder. Only its owner may read it, as it holds private facts; it can be deleted at any
time. Nothing heavy is imported here, so that a build in which nothing has changed ends quickly.
"""

import errno
import hashlib
import os
import stat
import sys
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path

from collection.storage.part_files import PRIVATE as PRIVATE_FILE
from collection.storage.part_files import make_private_folder, remove_folder_in_place_of, write_whole

PROGRAM = "counterpane"
PRIVATE = 0o700
README = "README.txt"

_README = """\
Counterpane keeps here what it found out about {what} in

    {path}

so that it need not do so at each build. It is private: it holds what
the records say, addresses and notes included. Never pass it on.
It can be deleted at any time; the next build then takes longer.
"""
_PATH_LINE = 2
_OLD_LAYOUT = (".built", ".pictures", "catalogue", "binder", "in-use")


@dataclass(frozen=True, slots=True)
class CacheFolder:
    """The cache folders of one collection.

    `why_temporary` is a sentence for the maker if nothing can be kept; the folder is then removed after use.
    """

    folder: Path
    why_temporary: str = ""

    @property
    def pictures(self) -> Path:
        return self.folder / "pictures"

    @property
    def records(self) -> Path:
        return self.folder / "records"

    @property
    def previews(self) -> Path:
        return self.folder / "previews"

    def of_output(self, output: Path) -> Path:
        """The folder with the notes on the editions in one output folder, found by its real path."""
        return self.folder / "outputs" / _digest_of(os.path.realpath(output))

    def make_for_output(self, output: Path) -> None:
        """Create the folder of an output if it is missing. Raises OSError."""
        folder = self.of_output(output)
        if _write_readme(folder, "the pages", os.path.realpath(output)):
            _remove_orphans(folder.parent, _digest_of, but=folder)


def cache_folder(*, environment: Mapping[str, str], system: str, home: Path) -> Path:
    """The folder of all caches. `system` is as in `sys.platform`; XDG_CACHE_HOME counts on every system.

    >>> cache_folder(environment={}, system="linux", home=Path("/home/ann")).as_posix()
    '/home/ann/.cache/counterpane'
    """
    named = environment.get("XDG_CACHE_HOME", "")
    if os.path.isabs(named):
        return Path(named) / PROGRAM
    if system == "darwin":
        return home / "Library" / "Caches" / PROGRAM
    if system == "win32":
        return Path(environment.get("LOCALAPPDATA") or home / "AppData" / "Local") / PROGRAM
    return home / ".cache" / PROGRAM


def cache_of(collection: Path) -> CacheFolder:
    """The cache of a collection, found by its real path; it need not exist yet. RuntimeError if the user has no home."""
    folder = cache_folder(environment=os.environ, system=sys.platform, home=Path.home())
    return CacheFolder(folder / _name_of(os.path.realpath(collection)))


def known_cache(collection: Path) -> CacheFolder | None:
    """The cache of a collection, if it exists and nobody else can have written into it."""
    with suppress(OSError, RuntimeError):
        cache = cache_of(collection)
        if _is_writable_by_us_only(cache.folder):
            return cache
    return None


@contextmanager
def held_cache(collection: Path) -> Iterator[CacheFolder]:
    """The cache of a collection, created if need be; a temporary one if nothing can be kept."""
    try:
        cache = cache_of(collection)
        _create(cache, os.path.realpath(collection))
    except (OSError, RuntimeError) as error:
        with temporary_cache(why_not_kept(error)) as temporary:
            yield temporary
        return
    yield cache


@contextmanager
def temporary_cache(why: str) -> Iterator[CacheFolder]:
    """A cache that is removed at the end. `why` becomes its `why_temporary`."""
    from site_builder.temporary_folders import temporary_folder

    with temporary_folder() as folder:
        cache = CacheFolder(folder / "kept", why)
        make_private_folder(cache.folder)
        yield cache


def why_not_kept(error: OSError | RuntimeError) -> str:
    """A sentence for the maker: why nothing can be kept."""
    reason = getattr(error, "strerror", None) or str(error)
    where = f" in {error.filename}" if isinstance(error, OSError) and error.filename else ""
    return f"Nothing can be kept for the next build{where} ({reason}), so it will take as long as this one."


def _name_of(collection: str) -> str:
    return f"{os.path.basename(collection)[:40] or 'collection'}-{_digest_of(collection)}"


def _digest_of(path: str) -> str:
    return hashlib.sha256(os.fsencode(path)).hexdigest()[:16]


# Making one -------------------------------------------------------------------------------------


def _create(cache: CacheFolder, collection: str) -> None:
    """Create the folders. OSError if they can't be written, or if somebody else could write into them."""
    above = cache.folder.parent
    above.parent.mkdir(parents=True, exist_ok=True)
    for folder in (above, cache.folder):
        with suppress(FileExistsError):
            folder.mkdir(mode=PRIVATE)
        _require_own_folder(folder)
    if not _is_private(cache.folder / README):
        _make_private(cache.folder)
    for folder in (cache.pictures, cache.records):
        make_private_folder(folder)
    for folder in (cache.folder, cache.pictures, cache.records):
        if not os.access(folder, os.R_OK | os.W_OK | os.X_OK):
            raise PermissionError(errno.EACCES, "it may not be written", str(folder))
    if _write_readme(cache.folder, "the quilts", collection):
        _remove_old_layout(cache.folder)
        _remove_orphans(above, _name_of, but=cache.folder)


def _require_own_folder(folder: Path) -> None:
    """OSError if the folder is not the user's own; others lose their access to it."""
    found = folder.lstat()
    if not stat.S_ISDIR(found.st_mode):
        raise NotADirectoryError(errno.ENOTDIR, "it is no folder of its own", str(folder))
    if not hasattr(os, "geteuid"):
        return
    if found.st_uid != os.geteuid():
        raise PermissionError(errno.EACCES, "it belongs to somebody else", str(folder))
    if stat.S_IMODE(found.st_mode) & 0o077:
        folder.chmod(PRIVATE)


def _is_private(path: Path) -> bool:
    with suppress(OSError):
        return not stat.S_IMODE(path.lstat().st_mode) & 0o077
    return False


def _make_private(folder: Path) -> None:
    """Former versions let the user's umask decide who may read the files."""
    for root, _, files in os.walk(folder):
        with suppress(OSError):
            os.chmod(root, PRIVATE)
        for name in files:
            path = os.path.join(root, name)
            with suppress(OSError):
                if stat.S_ISREG(os.lstat(path).st_mode):
                    os.chmod(path, PRIVATE_FILE)


def _is_writable_by_us_only(folder: Path) -> bool:
    found = folder.lstat()
    if not stat.S_ISDIR(found.st_mode):
        return False
    return not hasattr(os, "geteuid") or (found.st_uid == os.geteuid() and not found.st_mode & 0o022)


def _remove_old_layout(folder: Path) -> None:
    """Former versions kept the preview's pages, and everything else, at the top of the folder."""
    import shutil

    for name in _OLD_LAYOUT:
        if (folder / name).is_dir():
            shutil.rmtree(folder / name, ignore_errors=True)
        else:
            (folder / name).unlink(missing_ok=True)


# What each folder belongs to --------------------------------------------------------------------


def _write_readme(folder: Path, what: str, path: str) -> bool:
    """Write a folder's README, and create the folder if need be; True if the right README was not there yet."""
    readme, text = folder / README, _README.format(what=what, path=path).encode("utf-8", "backslashreplace")
    with suppress(OSError):
        if readme.is_file() and readme.read_bytes() == text and _is_private(readme):
            return False
    make_private_folder(folder)
    remove_folder_in_place_of(readme)
    write_whole(readme, text, mode=PRIVATE_FILE)
    return True


def _remove_orphans(above: Path, name_of: Callable[[str], str], *, but: Path) -> None:
    """Remove the caches of collections, or outputs, that were moved or deleted; not of those on an absent disk."""
    import shutil

    with suppress(OSError):
        for folder in above.iterdir():
            path = _path_in_readme(folder)
            if path is None or folder == but or folder.name != name_of(path):
                continue
            if not os.path.lexists(path) and os.path.isdir(os.path.dirname(path)):
                shutil.rmtree(folder, ignore_errors=True)


def _path_in_readme(folder: Path) -> str | None:
    try:
        return (folder / README).read_text(encoding="utf-8").splitlines()[_PATH_LINE].strip()
    except (OSError, ValueError, IndexError):
        return None
