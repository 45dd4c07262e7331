"""Removes a whole folder, even one that was made read-only."""

import os
import shutil
from contextlib import suppress
from pathlib import Path

OWNERS = 0o700


def remove_tree(folder: Path) -> bool:
    """Remove a folder and its content; True if it is gone. Of a symbolic link only the link is removed."""
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
