"""The cache of records, so that an unchanged file is not validated again.

A cache is a folder with a few files of plain data under a checksum; it can be deleted at any time. Saving it drops the
records that were not used, so that it holds only what is in the collection.
"""

import gc
import json
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from zlib import crc32

from collection.loading.record_json import PartsOfRecords, records_of
from collection.problems import Problem
from collection.records.fields import Record
from collection.storage.sealed_files import read_sealed, write_sealed

# Files in a cache: after a change of a record, one of them is rewritten.
PARTS = 16

_Kept = tuple[Record, tuple[Problem, ...]]
_Part = dict[str, tuple[str, _Kept]]


class RecordCache:
    """Caches valid records and their warnings, each by its file's name and a key.

    The caller's key is a digest of everything that a record depends on except the program, which is `made_with`.
    """

    def __init__(self, folder: Path, made_with: str):
        self._folder = folder
        self._made_with = f"records {made_with}"
        self._before: dict[int, _Part] = {}
        self._asked_for: dict[int, _Part] = {part: {} for part in range(PARTS)}
        self._changed: set[int] = set()

    def find(self, file: str, key: str) -> _Kept | None:
        """The cached record of a file with this key, which stays in the cache; None if there is none."""
        part = crc32(file.encode()) % PARTS
        if part not in self._before:
            self._before[part] = self._read(part)
        entry = self._asked_for[part].get(file) or self._before[part].get(file)
        if entry is None or entry[0] != key:
            return None
        self._asked_for[part][file] = entry
        return entry[1]

    def keep(self, file: str, key: str, record: Record, problems: tuple[Problem, ...]) -> None:
        part, kept = crc32(file.encode()) % PARTS, (key, (record, problems))
        self._asked_for[part][file] = kept
        if self._before.get(part, {}).get(file) != kept:
            self._changed.add(part)

    def save(self) -> None:
        """Write only the records that were found or added. Raises OSError if they can't be written."""
        for part, asked_for in self._asked_for.items():
            before = self._before[part] if part in self._before else self._read(part)
            if part not in self._changed and len(asked_for) == len(before):
                continue
            if asked_for:
                write_sealed(self._path(part), self._made_with, _as_text(asked_for))
            else:
                self._path(part).unlink(missing_ok=True)

    def _path(self, part: int) -> Path:
        return self._folder / f"records-{part}.json"

    def _read(self, part: int) -> _Part:
        content = read_sealed(self._path(part), self._made_with)
        if content is None:
            return {}
        with _without_collecting():
            try:
                return _from_text(content)
            except (ValueError, TypeError, KeyError, IndexError, RecursionError):
                return {}


def _as_text(kept: _Part) -> bytes:
    parts = PartsOfRecords()
    files = [
        [
            file,
            key,
            parts.number_of(record),
            [(each.file, each.line, each.field, each.found, each.remedy, each.severity) for each in problems],
        ]
        for file, (key, (record, problems)) in kept.items()
    ]
    return json.dumps([files, parts.data()], separators=(",", ":")).encode()


def _from_text(text: bytes) -> _Part:
    files, parts = json.loads(text)
    made = records_of(parts)
    return {
        file: (key, (made[number], tuple(Problem(*problem) for problem in problems)))
        for file, key, number, problems in files
    }


@contextmanager
def _without_collecting() -> Iterator[None]:
    """Pause the garbage collector while many lasting values are made; with it, that takes twice as long."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()
