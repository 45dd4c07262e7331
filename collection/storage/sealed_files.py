"""Reads and writes cache files, each with a checksum of its name, purpose and content.

A file that does not match its checksum is ignored: it was changed or truncated, or it belongs to another cache. The
checksum protects against accidents, not against somebody who can write to the cache.
"""

from hashlib import blake2b
from pathlib import Path

from collection.storage.part_files import PRIVATE, make_private_folder, remove_folder_in_place_of, write_whole

_CHECKSUM_SIZE = 20
"""The size of the checksum in bytes; in hexadecimal digits, it is the first line of a file."""


def read_sealed(path: Path, purpose: str) -> bytes | None:
    """The content written for this purpose; None if the checksum does not match or the file can't be read."""
    try:
        whole = path.read_bytes() if path.is_file() else b""  # reading a pipe would block
    except (OSError, ValueError):
        return None
    head, content = whole[: 2 * _CHECKSUM_SIZE + 1], memoryview(whole)[2 * _CHECKSUM_SIZE + 1 :]
    return bytes(content) if head == _head(path.name, purpose, content) else None


def write_sealed(path: Path, purpose: str, content: bytes) -> None:
    """Write a file for `read_sealed`, readable only by its owner. Raises OSError if it can't be written."""
    make_private_folder(path.parent)
    remove_folder_in_place_of(path)
    write_whole(path, _head(path.name, purpose, content) + content, mode=PRIVATE)


def _head(name: str, purpose: str, content: bytes | memoryview) -> bytes:
    seal = blake2b(repr((name, purpose)).encode("utf-8", "surrogateescape"), digest_size=_CHECKSUM_SIZE)
    seal.update(content)
    return f"{seal.hexdigest()}\n".encode()
