"""Earlier imports: each row as it was in the sheet then, and the quilts that were made from it.

A row is recognised by its contents, so it may move within the sheet, the sheet may be renamed, and its columns renamed
or reordered. Each import writes its own file, which never changes.
"""

import json
import unicodedata
from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from collection.problems import CollectionProblems, Problem

FOLDER = "taken-in"
"""The folder beside the records; written in the same batch as they are, and removed if that is undone."""

_ABOUT = "What was taken in from a spreadsheet, so that it is not taken in twice. Please leave this file as it is."
_VERSION = 1
_ENOUGH_ALIKE = 0.6
_COMMON = 60
"""A text in more rows than this does not distinguish them."""

Cells = Mapping[str, str]
"""The non-empty cells of a row, by the name of their column."""


@dataclass(frozen=True)
class TakenRow:
    """A row as imported. `group` is its file and sheet at that time."""

    group: tuple[str, str]
    row: int
    cells: Cells
    quilts: tuple[str, ...]


@dataclass(frozen=True)
class SheetRow:
    """A row as it is in the sheet now."""

    sheet: str
    row: int
    cells: Cells
    number: str = ""
    title: str = ""

    @property
    def fingerprint(self) -> tuple[str, ...]:
        return fingerprint(self.cells)


@dataclass(frozen=True)
class Known:
    """The rows of a sheet that were imported before, by row number: unchanged, and changed since."""

    same: Mapping[int, TakenRow]
    changed: Mapping[int, TakenRow]


def fingerprint(cells: Cells) -> tuple[str, ...]:
    """The fingerprint of a row: the texts of its cells, sorted."""
    return tuple(sorted(map(_alike, cells.values())))


def _alike(text: str) -> str:
    return " ".join(unicodedata.normalize("NFC", text).split())


def recognise(rows: Sequence[SheetRow], file: str, taken: Iterable[TakenRow], numbers: str, titles: str) -> Known:
    """Which rows of one sheet were imported before. `numbers` and `titles` are the names of those columns.

    Unchanged rows are matched first; then, among the remaining rows of the same sheet, rows with the same number, the
    same title, or most of the same cells.
    """
    taken = list(taken)
    waiting: dict[tuple[str, ...], list[TakenRow]] = {}
    for each in taken:
        waiting.setdefault(fingerprint(each.cells), []).append(each)
    same: dict[int, TakenRow] = {}
    for row in rows:
        if found := waiting.get(row.fingerprint):
            same[row.row] = found.pop(0)
    groups = {each.group for each in same.values()} | _groups_of(rows, file, taken)
    left = [each for rest in waiting.values() for each in rest if each.group in groups]
    changed: dict[int, TakenRow] = {}
    for alike in (_by(numbers, lambda row: row.number), _by(titles, lambda row: row.title), _mostly_the_same):
        fresh = [row for row in rows if row.row not in same and row.row not in changed]
        for row, former in alike(fresh, left):
            changed[row.row] = former
            left.remove(former)
    return Known(same, changed)


Pairs = list[tuple[SheetRow, TakenRow]]


def _by(column: str, key_now: Callable[[SheetRow], str]) -> Callable[[Sequence[SheetRow], Sequence[TakenRow]], Pairs]:
    """A function that pairs rows whose key is unique among the remaining rows, then and now."""

    def pair(rows: Sequence[SheetRow], left: Sequence[TakenRow]) -> Pairs:
        if not column:
            return []
        now = Counter(_alike(key_now(row)) for row in rows)
        then: dict[str, list[TakenRow]] = {}
        for each in left:
            then.setdefault(_alike(each.cells.get(column, "")), []).append(each)
        return [
            (row, then[key][0])
            for row in rows
            if (key := _alike(key_now(row))) and now[key] == 1 and len(then.get(key, ())) == 1
        ]

    return pair


def _mostly_the_same(rows: Sequence[SheetRow], left: Sequence[TakenRow]) -> Pairs:
    """Pairs rows that keep most of their texts. Only rows that share an uncommon text are compared."""
    occurrences: dict[str, list[int]] = {}
    for index, each in enumerate(left):
        for text in set(map(_alike, each.cells.values())):
            occurrences.setdefault(text, []).append(index)
    free, pairs = set(range(len(left))), []
    for row in rows:
        texts = set(map(_alike, row.cells.values()))
        near = {
            index for text in texts if len(occurrences.get(text, ())) <= _COMMON for index in occurrences.get(text, ())
        } & free
        best, index = max(((_share(row.cells, left[index].cells), -index) for index in near), default=(0.0, 0))
        if best >= _ENOUGH_ALIKE:
            free.remove(-index)
            pairs.append((row, left[-index]))
    return pairs


def _groups_of(rows: Sequence[SheetRow], file: str, taken: Sequence[TakenRow]) -> set[tuple[str, str]]:
    """The earlier sheets that this one continues: by name, or if half of their rows have a title found here."""
    titles = {_alike(row.title) for row in rows} - {""}
    in_all: Counter[tuple[str, str]] = Counter(each.group for each in taken)
    met = Counter(each.group for each in taken if not titles.isdisjoint(map(_alike, each.cells.values())))
    named = {(file, row.sheet) for row in rows[:1]}
    return {group for group, count in in_all.items() if group in named or met[group] * 2 >= count > 1}


def _share(now: Cells, then: Cells) -> float:
    """The share of a row's cells that are still there; 0 if fewer than two are."""
    kept = sum((Counter(map(_alike, now.values())) & Counter(map(_alike, then.values()))).values())
    return kept / max(len(now), len(then)) if kept >= 2 else 0.0


# The files --------------------------------------------------------------------------------------


def read_taken(folder: Path) -> tuple[TakenRow, ...]:
    """All rows that were ever imported into a collection.

    Raises CollectionProblems if one of the files can't be read: without it, quilts would be made a second time.
    """
    rows: list[TakenRow] = []
    problems = []
    for path in sorted((folder / FOLDER).glob("*.json")):
        try:
            kept = json.loads(path.read_bytes())
            if kept["version"] != _VERSION:
                raise ValueError
            rows += [
                TakenRow((kept["source"], each["sheet"]), int(each["row"]), dict(each["cells"]), tuple(each["quilts"]))
                for each in kept["rows"]
            ]
        except (OSError, ValueError, KeyError, TypeError, AttributeError, RecursionError):
            remedy = (
                "This file says what was taken in from a spreadsheet, and can't be read. Put it back as it was, or "
                "remove it: then quilts that it names may be made a second time."
            )
            problems.append(Problem(f"{FOLDER}/{path.name}", 1, "", "", remedy))
    if problems:
        raise CollectionProblems(problems)
    return tuple(rows)


def taken_text(source: str, day: str, rows: Iterable[tuple[SheetRow, tuple[str, ...]]]) -> bytes:
    """The JSON file for the rows imported now, one row per line."""
    lines = [
        json.dumps({"sheet": row.sheet, "row": row.row, "cells": row.cells, "quilts": quilts}, ensure_ascii=False)
        for row, quilts in rows
    ]
    head = json.dumps({"about": _ABOUT, "version": _VERSION, "source": source, "on": day}, ensure_ascii=False)
    body = ",\n  ".join(lines)
    return f'{head[:-1]}, "rows": [\n  {body}\n]}}\n'.encode("utf-8", "backslashreplace")


def free_name(folder: Path, day: str, stem: str) -> str:
    """A name for the file of an import that does not exist yet."""
    for number in range(1, 100_000):
        name = f"{FOLDER}/{day}-{stem}{'' if number == 1 else f'-{number}'}.json"
        if not (folder / name).exists():
            return name
    raise AssertionError("a hundred thousand takings in on one day")
