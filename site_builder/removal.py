"""Removing a whole folder, also one that somebody has made read-only meanwhile."""

import os
import shutil
from contextlib import suppress
from pathlib import Path

OWNERS = 0o700


def remove_tree(folder: Path) -> bool:
    """Remove a folder and all that is in it; whether it is gone. A link is removed, never what it leads to."""
    if folder.is_symlink():
        with suppress(OSError):
            folder.unlink()
    else:
        shutil.rmtree(folder, ignore_errors=True)
    if os.path.lexists(folder) and not folder.is_symlink():
        _allow_all(os.fspath(folder))
        shutil.rmtree(folder, ignore_errors=True)
    return not os.path.lexists(folder)


def _allow_all(folder: str) -> None:
    with suppress(OSError):
        os.chmod(folder, OWNERS)
    with suppress(OSError), os.scandir(folder) as entries:
        for entry in entries:
            if entry.is_dir(follow_symlinks=False):
                _allow_all(entry.path)
