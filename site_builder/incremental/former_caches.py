"""Caches that former versions left in an output folder, where private facts in them could be published by mistake.

Files of others beside them stay.
"""

import os
import re
from contextlib import suppress
from pathlib import Path

_OURS = {
    ".built": re.compile(
        r"(seen|catalogue|binder|(catalogue|binder)(-fields|-looks)?-entries)\.json|records-[0-9]+\.pickle|.+\.[0-9]+\.part"
    ),
    ".pictures": re.compile(r"index\.json|[0-9a-f]{20}-[0-9]{1,4}\.jpg|\..+\.[0-9]+\.part"),
}
_BEGINS = re.compile(rb'\[[0-9]+,|\{"version":|\Z')
"""How such a JSON file begins; it is empty if the disk has lost its content."""


def former_notes(output: Path) -> tuple[Path, ...]:
    """The files that former versions have left in an output folder."""
    return tuple(path for name in _OURS for path in _notes_in(output / name))


def remove_former_notes(output: Path) -> tuple[Path, ...]:
    """Remove them; returns those that can't be removed."""
    found = former_notes(output)
    for path in found:
        with suppress(OSError):
            path.parent.chmod(0o700)
        with suppress(OSError):
            path.unlink()
    for folder in {path.parent for path in found}:
        with suppress(OSError):
            folder.rmdir()
    return tuple(path for path in found if os.path.lexists(path))


def _notes_in(folder: Path) -> list[Path]:
    if folder.is_symlink() or not folder.is_dir():
        return []
    with suppress(OSError):
        return [folder / name for name in sorted(os.listdir(folder)) if _is_ours(folder, name)]
    return []


def _is_ours(folder: Path, name: str) -> bool:
    path = folder / name
    if not _OURS[folder.name].fullmatch(name) or path.is_symlink() or not path.is_file():
        return False
    if path.suffix != ".json":
        return True
    with suppress(OSError), path.open("rb") as file:
        return bool(_BEGINS.match(file.read(20)))
    return False
