"""Templates as they were compiled before, so that a run of the program need not compile them again.

What is kept is code, and whoever can write it can have anything run. So it lies where Python keeps what it
compiled of the program itself, and is trusted as that is: never in an output folder, which may come from
elsewhere.
"""

import marshal
import sys
from contextlib import suppress
from importlib.util import cache_from_source
from pathlib import Path
from typing import Self
from urllib.parse import quote

from jinja2.bccache import Bucket, BytecodeCache

from collection.file_stamps import digest_of
from collection.part_files import remove_left_parts, write_whole
from site_builder import build_notes


class CompiledTemplates(BytecodeCache):
    """Keeps compiled templates in a folder, which can be deleted at any time; one that can't be read or
    written keeps nothing.

    `made_with` stands for the program. What another program or another text of the template made, and what
    is damaged, is as good as nothing.
    """

    def __init__(self, folder: Path, made_with: str):
        self._folder = folder
        self._made_with = made_with

    @classmethod
    def of_the_program(cls) -> Self | None:
        """Where Python keeps what it compiled; None where it is told to keep nothing."""
        if sys.dont_write_bytecode:
            return None
        return cls(Path(cache_from_source(__file__)).parent / "templates", build_notes.program_stamp())

    def get_cache_key(self, name: str, filename: str | None = None) -> str:
        return quote(name, safe="")

    def load_bytecode(self, bucket: Bucket) -> None:
        with suppress(OSError):
            head, _, code = self._path(bucket).read_bytes().partition(b"\n")
            if head == self._head(bucket, code):  # else it may be damaged so that it can't be loaded in safety
                bucket.code = marshal.loads(code)

    def dump_bytecode(self, bucket: Bucket) -> None:
        code = marshal.dumps(bucket.code)
        with suppress(OSError):
            self._folder.mkdir(parents=True, exist_ok=True)
            remove_left_parts(self._folder, of_any_name=True)
            write_whole(self._path(bucket), self._head(bucket, code) + b"\n" + code)

    def _path(self, bucket: Bucket) -> Path:
        return self._folder / f"{bucket.key}.compiled"

    def _head(self, bucket: Bucket, code: bytes) -> bytes:
        """Stands for all that the code was made from, and for the code."""
        made_from = f"{self._made_with} {bucket.key} {bucket.checksum}"
        return digest_of(made_from.encode() + b"\n" + code).encode()
