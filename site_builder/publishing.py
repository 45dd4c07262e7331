"""Putting an edition in its place: whole, or not at all.

Everything is written into a folder beside the final one, which then takes its place by renaming. A
build that stops half-way leaves the former edition as it was, and its half-written folder is removed
by the next one.
"""

import os
import shutil
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path

MARK = b'<meta name="generator" content="Counterpane">'
_NEW, _OLD = ".{}.new", ".{}.old"


class NotOurs(Exception):
    """A folder that a build would replace holds something that no build has made."""


@contextmanager
def editions_replaced(output: Path, names: list[str]) -> Iterator[Mapping[str, Path]]:
    """Empty folders to write each edition into; they take the former ones' places when all went well.

    Raises NotOurs before anything is written, when a former folder was not made by a build.
    """
    output.mkdir(parents=True, exist_ok=True)
    for name in names:
        _heal(output, name)
        _refuse_what_is_not_ours(output / name)
    staged = {name: output / _NEW.format(name) for name in names}
    try:
        for folder in staged.values():
            folder.mkdir()
        yield staged
        for name, folder in staged.items():
            _swap(folder, output / name, output / _OLD.format(name))
    finally:
        for folder in staged.values():
            shutil.rmtree(folder, ignore_errors=True)


def _heal(output: Path, name: str) -> None:
    """Finish what a build that was killed left behind."""
    old, place = output / _OLD.format(name), output / name
    if old.exists() and not place.exists():
        old.rename(place)
    shutil.rmtree(old, ignore_errors=True)
    shutil.rmtree(output / _NEW.format(name), ignore_errors=True)


def _swap(new: Path, place: Path, old: Path) -> None:
    if place.exists():
        place.rename(old)
    new.rename(place)
    shutil.rmtree(old, ignore_errors=True)


def _refuse_what_is_not_ours(place: Path) -> None:
    if place.is_symlink() or (place.exists() and not place.is_dir()):
        raise NotOurs(f"{place} is not an ordinary folder. Choose another folder with --output.")
    if not place.is_dir() or not any(place.iterdir()):
        return
    front = place / "index.html"
    if not front.is_file() or MARK not in front.read_bytes()[:4096]:
        raise NotOurs(
            f"{place} holds files that were not made by a build, and a build would replace them. "
            "Choose another folder with --output."
        )


def write_file(path: Path, content: bytes) -> None:
    """One file of a staged edition. A path is written once; a second writer is a mistake of ours."""
    path.parent.mkdir(parents=True, exist_ok=True)
    with path.open("xb") as file:
        file.write(content)


def place_copy(source: Path, target: Path) -> None:
    """A picture out of the store: shared on the disk where that can be, else copied."""
    target.parent.mkdir(parents=True, exist_ok=True)
    try:
        os.link(source, target)
    except OSError:
        shutil.copyfile(source, target)
