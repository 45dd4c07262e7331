"""What was taken in before: each row as it stood in the sheet then, and the quilts that were made of it.

A row is known by what stands in it, so that it may move within the sheet, and the sheet may be renamed, its columns
put in another order or called otherwise. Each taking in writes a file of its own, which is never changed.
"""

import json
import unicodedata
from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from collection.problems import CollectionProblems, Problem

FOLDER = "taken-in"
"""Beside the records, as a part of them: it joins the batch that writes them, and goes when that is taken back."""

_ABOUT = "What was taken in from a spreadsheet, so that it is not taken in twice. Please leave this file as it is."
_VERSION = 1
_ENOUGH_ALIKE = 0.6
_COMMON = 60
"""A text that stands in more rows distinguishes none of them."""

Cells = Mapping[str, str]
"""The cells of a row that hold something, each under the name of its column."""


@dataclass(frozen=True)
class TakenRow:
    """A row as it was taken in. `group` is the sheet that it stood in, at that time."""

    group: tuple[str, str]
    row: int
    cells: Cells
    quilts: tuple[str, ...]


@dataclass(frozen=True)
class SheetRow:
    """A row as it stands in the sheet now."""

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
    """Of the rows of a sheet: which were taken as they stand, and which have changed since, with how they stood."""

    same: Mapping[int, TakenRow]
    changed: Mapping[int, TakenRow]


def fingerprint(cells: Cells) -> tuple[str, ...]:
    """What a row is known by: the texts of its cells, in whatever order."""
    return tuple(sorted(map(_alike, cells.values())))


def _alike(text: str) -> str:
    return " ".join(unicodedata.normalize("NFC", text).split())


def recognise(rows: Sequence[SheetRow], file: str, taken: Iterable[TakenRow], numbers: str, titles: str) -> Known:
    """Which rows of one sheet were taken before. `numbers` and `titles` name the columns of those.

    Rows as they were come first; then, among what is left of the same sheet, rows with the same number, the same
    title, or most of the same cells.
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
    """Pair rows whose key occurs once among those that are left, then and now."""

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
    """Pairs rows that still say most of what they did. Only rows that share an uncommon text are compared."""
    standing: dict[str, list[int]] = {}
    for index, each in enumerate(left):
        for text in set(map(_alike, each.cells.values())):
            standing.setdefault(text, []).append(index)
    free, pairs = set(range(len(left))), []
    for row in rows:
        texts = set(map(_alike, row.cells.values()))
        near = {
            index for text in texts if len(standing.get(text, ())) <= _COMMON for index in standing.get(text, ())
        } & free
        best, index = max(((_share(row.cells, left[index].cells), -index) for index in near), default=(0.0, 0))
        if best >= _ENOUGH_ALIKE:
            free.remove(-index)
            pairs.append((row, left[-index]))
    return pairs


def _groups_of(rows: Sequence[SheetRow], file: str, taken: Sequence[TakenRow]) -> set[tuple[str, str]]:
    """The sheets of earlier times that this one is: by name, or as half of their rows have a title that stands here."""
    titles = {_alike(row.title) for row in rows} - {""}
    in_all: Counter[tuple[str, str]] = Counter(each.group for each in taken)
    met = Counter(each.group for each in taken if not titles.isdisjoint(map(_alike, each.cells.values())))
    named = {(file, row.sheet) for row in rows[:1]}
    return {group for group, count in in_all.items() if group in named or met[group] * 2 >= count > 1}


def _share(now: Cells, then: Cells) -> float:
    """How much of a row stands there still; two cells at least."""
    kept = sum((Counter(map(_alike, now.values())) & Counter(map(_alike, then.values()))).values())
    return kept / max(len(now), len(then)) if kept >= 2 else 0.0


# The files --------------------------------------------------------------------------------------


def read_taken(folder: Path) -> tuple[TakenRow, ...]:
    """All rows that were ever taken into a collection.

    Raises CollectionProblems where a file of them can't be read: without it, quilts would be made a second time.
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
    """A file of the rows that are taken in now, a row to a line."""
    lines = [
        json.dumps({"sheet": row.sheet, "row": row.row, "cells": row.cells, "quilts": quilts}, ensure_ascii=False)
        for row, quilts in rows
    ]
    head = json.dumps({"about": _ABOUT, "version": _VERSION, "source": source, "on": day}, ensure_ascii=False)
    body = ",\n  ".join(lines)
    return f'{head[:-1]}, "rows": [\n  {body}\n]}}\n'.encode("utf-8", "backslashreplace")


def free_name(folder: Path, day: str, stem: str) -> str:
    """The name of a file that is not there yet."""
    for number in range(1, 100_000):
        name = f"{FOLDER}/{day}-{stem}{'' if number == 1 else f'-{number}'}.json"
        if not (folder / name).exists():
            return name
    raise AssertionError("a hundred thousand takings in on one day")
