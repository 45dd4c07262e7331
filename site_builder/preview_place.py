"""Where the preview keeps its pages and pictures from one start to the next, so that photos are made ready once.

In the user's own folder for what can be made again, one folder for each collection; it can be deleted at
any time, and only its owner may look into it.
"""
import hashlib
import os
import sys
import tempfile
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path

try:
    import fcntl
except ImportError:  # Windows: there the second preview of a collection has to be told another --output.
    fcntl = None

PROGRAM = "counterpane"


def kept_place(collection: Path, *, environment: Mapping[str, str], system: str, home: Path) -> Path:
    """The folder for a collection, which need not be there yet. `system` is as in `sys.platform`.

    >>> place = kept_place(Path("/q"), environment={}, system="linux", home=Path("/home/ann"))
    >>> place.parent.as_posix()
    '/home/ann/.cache/counterpane'
    """
    whole = os.path.realpath(collection)
    name = f"{os.path.basename(whole) or 'collection'}-{hashlib.sha256(os.fsencode(whole)).hexdigest()[:12]}"
    if system == "darwin":
        return home / "Library" / "Caches" / PROGRAM / name
    if system == "win32":
        return Path(environment.get("LOCALAPPDATA") or home / "AppData" / "Local") / PROGRAM / name
    cache = environment.get("XDG_CACHE_HOME", "")
    return (Path(cache) if os.path.isabs(cache) else home / ".cache") / PROGRAM / name


@contextmanager
def preview_place(collection: Path) -> Iterator[Path]:
    """The kept folder, held while it is in use; another that is removed at the end where it can't be had."""
    with _held(_made(collection)) as place:
        if place is not None:
            yield place
            return
    with tempfile.TemporaryDirectory(prefix="counterpane-") as passing:
        yield Path(passing)


def _made(collection: Path) -> Path | None:
    try:
        place = kept_place(collection, environment=os.environ, system=sys.platform, home=Path.home())
        place.mkdir(parents=True, exist_ok=True, mode=0o700)
        if not os.access(place, os.W_OK | os.X_OK):
            return None
    except (OSError, RuntimeError):  # no home, or one that can't be written
        return None
    return place


@contextmanager
def _held(place: Path | None) -> Iterator[Path | None]:
    """The folder while no other preview has it, else None; the system lets go of it however the preview ends."""
    if place is None or fcntl is None:
        yield place
        return
    with (place / "in-use").open("w") as mark:
        try:
            fcntl.flock(mark, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            yield None
            return
        except OSError:  # a disk that knows no such hold
            pass
        yield place
