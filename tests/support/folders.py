"""What a folder holds."""

from pathlib import Path


def files_below(folder: Path) -> dict[str, bytes]:
    """The bytes of each file below a folder, by its path within it, in the order of the alphabet."""
    return {
        path.relative_to(folder).as_posix(): path.read_bytes() for path in sorted(folder.rglob("*")) if path.is_file()
    }
