"""Records as they were read before, so that a file that has not changed is not read into one again.

A cache is a folder of a few files that can be deleted at any time; all it saves is work. What was not
asked for since is gone from it when it is saved, so it holds nothing that the records no longer say.
"""

import gc
import os
import pickle
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from zlib import crc32

from collection.problems import Problem
from collection.records.fields import Record

# One changed record costs the writing of one part.
PARTS = 16

_Kept = tuple[Record, tuple[Problem, ...]]
_Part = dict[str, tuple[str, _Kept]]


class RecordCache:
    """Keeps sound records with what was told of them, each by its file's name and a key.

    A key stands for all that a record is made from: `made_with` for the program, the rest is the caller's.
    """

    def __init__(self, folder: Path, made_with: str):
        self._folder = folder
        self._made_with = made_with
        self._before: dict[int, _Part] = {}
        self._asked_for: dict[int, _Part] = {part: {} for part in range(PARTS)}
        self._changed: set[int] = set()

    def find(self, file: str, key: str) -> _Kept | None:
        """What was kept of a file under this key, before or just now; it is kept on."""
        part = crc32(file.encode()) % PARTS
        if part not in self._before:
            self._before[part] = self._read(part)
        known, kept = self._asked_for[part].get(file) or self._before[part].get(file, ("", None))
        if kept is None or known != key:
            return None
        self._asked_for[part][file] = key, kept
        return kept

    def keep(self, file: str, key: str, record: Record, problems: tuple[Problem, ...]) -> None:
        part = crc32(file.encode()) % PARTS
        self._asked_for[part][file] = key, (record, problems)
        self._changed.add(part)

    def save(self) -> None:
        """Write what was asked for or kept, and nothing else. OSError when it can't be written."""
        self._folder.mkdir(parents=True, exist_ok=True)
        for part, asked_for in self._asked_for.items():
            before = self._before[part] if part in self._before else self._read(part)
            if part not in self._changed and len(asked_for) == len(before):
                continue
            path = self._path(part)
            if not asked_for:
                path.unlink(missing_ok=True)
                continue
            beside = path.with_suffix(f".{os.getpid()}.part")
            beside.write_bytes(pickle.dumps((self._made_with, asked_for), 5))
            os.replace(beside, path)

    def _path(self, part: int) -> Path:
        return self._folder / f"records-{part}.pickle"

    def _read(self, part: int) -> _Part:
        # What can't be read, or another program wrote, is as good as nothing. Damage shows in many ways.
        with suppress(Exception), self._path(part).open("rb") as file, _without_collecting():
            made_with, kept = _OurValues(file).load()
            if made_with == self._made_with and all(isinstance(record, Record) for _, (record, _) in kept.values()):
                return kept
        return {}


class _OurValues(pickle.Unpickler):
    """Unpickles our own values and nothing else: a file from elsewhere can't run anything."""

    _OTHERS = {("fractions", "Fraction"), ("decimal", "Decimal"), ("datetime", "date")}

    def find_class(self, module: str, name: str) -> type:
        if module.partition(".")[0] == "collection" or (module, name) in self._OTHERS:
            found = super().find_class(module, name)
            if isinstance(found, type) and found.__module__ == module:
                return found
        raise pickle.UnpicklingError(f"{module}.{name} has no place in a record")


@contextmanager
def _without_collecting() -> Iterator[None]:
    """Many small values at once are no garbage; to look through them again and again doubles the time."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()
