"""Checks the list of parts at the head of a HEIF file (a phone's .heic).

If the kind or the name of a part is damaged, so that it is not text, the decoder ends the whole program, with no error
to catch. So the list is checked before the decoder gets the file.

Source: ISO/IEC 14496-12, the boxes `meta`, `iinf` and `infe`.
"""

import struct
from collections.abc import Iterator


def names_its_parts_in_text(content: bytes) -> bool:
    """Are the kind and the name of every part valid text?

    >>> names_its_parts_in_text(bytes.fromhex("00000008") + b"mdat")
    True
    """
    try:
        for kind, start, end in _boxes(content, 0, len(content)):
            if kind == b"meta":
                _read_item_names(content, start + 4, end)
                break  # some phones add data of their own behind the picture
    except (IndexError, ValueError, struct.error):
        return False
    return True


def _read_item_names(content: bytes, start: int, end: int) -> None:
    for kind, inner, inner_end in _boxes(content, start, end):
        if kind == b"iinf":
            count_size = 2 if content[inner] == 0 else 4
            for entry, entry_start, entry_end in _boxes(content, inner + 4 + count_size, inner_end):
                if entry == b"infe":
                    identifier_size = 4 if content[entry_start] == 3 else 2
                    content[entry_start + 4 + identifier_size + 2 : entry_end].decode("utf-8")


def _boxes(content: bytes, start: int, end: int) -> Iterator[tuple[bytes, int, int]]:
    """The kind of each box, and the start and end of its content."""
    while start < end:
        size, kind = struct.unpack_from(">I4s", content, start)
        head = 8
        if size == 1:
            (size,) = struct.unpack_from(">Q", content, start + 8)
            head = 16
        elif size == 0:
            size = end - start
        if size < head or start + size > end:
            raise ValueError("a box reaches beyond the one that holds it")
        yield kind, start + head, start + size
        start += size
