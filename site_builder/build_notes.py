"""What a build notes for the next one: what it saw, what it was asked for, and what it made.

Notes are plain JSON in a folder beside the editions, never in one. They can be deleted at any time; all
they save is work. That nothing has changed is found out before anything else (see `site_builder.built_already`):
so nothing heavy is imported here, and what that takes stands on the first line of each file, files and quilts one
by one on the second.
"""

import json
import os
import sys
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Any

from collection.file_stamps import SeenFiles, digest_of, stat_of
from collection.problems import Problem

FOLDER = ".built"
VERSION = 4

# Size, time of change (ns), number and names of a file; of a folder nothing; of what is neither, minus one.
FileStamp = tuple[int, ...]


@dataclass(frozen=True, slots=True)
class BuildReport:
    """What a build has made, and what it wants looked at.

    `changed` counts the pages that were written anew or taken away, None when there was no build before
    to compare with. `left_alone`: all was there already, and no file was touched.
    """

    quilts: int
    pages: int
    pictures: int
    editions: tuple[Path, ...]
    warnings: tuple[Problem, ...]
    healed: tuple[str, ...] = ()
    changed: int | None = None
    left_alone: bool = False


@dataclass(frozen=True, slots=True)
class FileNote:
    """One file of an edition: its stamp, and what stands for its content and for what it was made from."""

    stamp: FileStamp
    content: str = ""
    rests_on: str | None = None


@dataclass(frozen=True)
class EditionNotes:
    """One edition as it was left. `state` stands for the files that it was made from, `on` for its day; one that is
    the same whatever the day, once what is recorded has happened, has the first such day in `same_from`.

    `rests_on` stands for what of them it has, which may be the same although a file has changed; `quilts` for
    what each of its quilts says, as RecordDigests has it.
    `to_look_at_again`: something may come out otherwise although nothing has changed. `left` stands for all
    that it holds, as it lay there; left out, for `files`.
    """

    state: str = ""
    on: str | None = None
    counts: tuple[int, int, int] = (0, 0, 0)
    warnings: tuple[Problem, ...] = ()
    to_look_at_again: bool = False
    rests_on: str = ""
    quilts: Mapping[str, str] = field(default_factory=dict)
    left: str = ""
    files: Mapping[str, FileNote] = field(default_factory=dict)
    same_from: str | None = None

    def is_of(self, day: str) -> bool:
        """Is it as it would be made on this day?"""
        return day == self.on or (self.same_from is not None and self.on is not None and min(day, self.on) >= self.same_from)


# Reading and writing ----------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class SeenInShort:
    """What stands for a collection's files as the last build saw them, and those whose stamps prove nothing yet,
    by name with what stands for their content if they were opened."""

    state: str
    fresh: Mapping[str, str | None]


def read_seen(output: Path, folder: Path, program: str) -> SeenFiles | None:
    """The files of a collection as the last build saw them; None when nothing of use is noted."""
    head, files = _read(_seen(output), program)
    try:
        return SeenFiles.from_data(files) if head["folder"] == os.path.realpath(folder) else None
    except (ValueError, TypeError, KeyError, AttributeError):
        return None


def read_seen_in_short(output: Path, folder: Path, program: str) -> SeenInShort | None:
    """The same in short."""
    head, _ = _read(_seen(output), program, in_short=True)
    try:
        return SeenInShort(head["state"], dict(head["fresh"])) if head["folder"] == os.path.realpath(folder) else None
    except (ValueError, TypeError, KeyError):
        return None


def write_seen(output: Path, folder: Path, program: str, seen: SeenFiles) -> None:
    fresh = {name: seen.digests.get(name) for name, settled in seen.settled.items() if not settled}
    head = {"folder": os.path.realpath(folder), "state": seen.state, "fresh": fresh}
    _write(_seen(output), program, head, seen.as_data())


def _seen(output: Path) -> Path:
    return output / FOLDER / "seen.json"


def read_edition(output: Path, name: str, program: str | None, *, in_short: bool = False) -> EditionNotes | None:
    """What was noted of an edition by the same program, or by any (None); `in_short` without its quilts and files
    one by one."""
    head, one_by_one = _read(_edition(output, name), program, in_short=in_short)
    try:
        quilts, files = one_by_one or ({}, {})
        return EditionNotes(
            head["state"],
            head["on"],
            tuple(head["counts"]),
            tuple(Problem(*each) for each in head["warnings"]),
            head["to_look_at_again"],
            head["rests_on"],
            {quilt: str(says) for quilt, says in quilts.items()},
            head["left"],
            {path: FileNote(tuple(stamp), content, rests_on) for path, (stamp, content, rests_on) in files.items()},
            head["same_from"],
        )
    except (ValueError, TypeError, KeyError, AttributeError):
        return None


def write_edition(output: Path, name: str, program: str, notes: EditionNotes) -> None:
    head = {
        "state": notes.state,
        "on": notes.on,
        "same_from": notes.same_from,
        "counts": notes.counts,
        "warnings": [
            (each.file, each.line, each.field, each.found, each.remedy, each.severity) for each in notes.warnings
        ],
        "to_look_at_again": notes.to_look_at_again,
        "rests_on": notes.rests_on,
        "left": notes.left or as_left({path: note.stamp for path, note in notes.files.items()}),
    }
    files = {path: (note.stamp, note.content, note.rests_on) for path, note in notes.files.items()}
    _write(_edition(output, name), program, head, [dict(notes.quilts), files])


def _edition(output: Path, name: str) -> Path:
    return output / FOLDER / f"{name}.json"


def read_entries(output: Path, name: str, made_from: str) -> dict[str, list[Any]]:
    """What was noted of each quilt of an edition, made from the same; empty when nothing of use is noted."""
    written, _ = _read(output / FOLDER / f"{name}-entries.json", made_from)
    sound = isinstance(written, dict) and all(isinstance(each, list) and len(each) == 2 for each in written.values())
    return written if sound else {}


def write_entries(output: Path, name: str, made_from: str, entries: Mapping[str, list[Any]]) -> None:
    _write(output / FOLDER / f"{name}-entries.json", made_from, entries)


def _read(path: Path, program: str | None, *, in_short: bool = False) -> tuple[Any, Any]:
    """What stands on the first line and on the second; None for what is not there, or written by another program."""
    try:
        with path.open("rb") as file:
            version, made_by, head = json.loads(file.readline())
            if version != VERSION or program not in (None, made_by):
                return None, None
            more = b"" if in_short else file.readline()
            return head, json.loads(more) if more else None
    except (OSError, ValueError, TypeError, RecursionError):
        return None, None


def _write(path: Path, program: str, head: object, more: object = None) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    beside = path.with_suffix(f".{os.getpid()}.part")
    with beside.open("w", encoding="utf-8", newline="\n") as file:
        for line in ([VERSION, program, head], more):
            file.write(json.dumps(line, separators=(",", ":")) + "\n")
    os.replace(beside, path)


# What is compared -------------------------------------------------------------------------------


def files_in(folder: str | Path) -> dict[str, FileStamp]:
    """All that lies in an edition's folder, by path; a folder's path ends with a slash."""
    found: dict[str, FileStamp] = {}

    def walk(place: str, before: str) -> None:
        with os.scandir(place) as entries:
            for entry in entries:
                if entry.is_dir(follow_symlinks=False):
                    found[f"{before}{entry.name}/"] = ()
                    walk(entry.path, f"{before}{entry.name}/")
                elif entry.is_file(follow_symlinks=False):
                    found[before + entry.name] = stamp_of(stat_of(entry))
                else:
                    found[before + entry.name] = (-1,)

    try:
        walk(os.fspath(folder), "")
    except OSError:
        return {}
    return found


def stamp_of(found: os.stat_result) -> FileStamp:
    return found.st_size, found.st_mtime_ns, found.st_ino, found.st_nlink


def how_it_lies(folder: str | Path) -> str:
    """Stands for all that lies in an edition's folder; as noted of an edition that is as it was left."""
    lines: list[str] = []

    def walk(place: str, before: str) -> None:
        with os.scandir(place) as entries:
            for entry in entries:
                if entry.is_dir(follow_symlinks=False):
                    inside = f"{before}{entry.name}/"
                    lines.append(_line(inside, ()))
                    walk(entry.path, inside)
                elif entry.is_file(follow_symlinks=False):
                    found = stat_of(entry)
                    # As `_line` writes it; with hundreds of thousands of files each call counts.
                    numbers = f"{found.st_size} {found.st_mtime_ns} {found.st_ino} {found.st_nlink}"
                    lines.append(f"{before}{entry.name}\0{numbers}")
                else:
                    lines.append(_line(before + entry.name, (-1,)))

    try:
        walk(os.fspath(folder), "")
    except OSError:
        return ""
    return _stands_for(lines)


def as_left(files: Mapping[str, FileStamp]) -> str:
    """The same of files and folders as `files_in` has them."""
    return _stands_for(_line(path, stamp) for path, stamp in files.items())


def _line(path: str, stamp: FileStamp) -> str:
    return f"{path}\0{' '.join(map(str, stamp))}"


def _stands_for(lines: Iterable[str]) -> str:
    return digest_of("\0\0".join(sorted(lines)).encode("utf-8", "surrogateescape"))


def folders_of(paths: Iterable[str]) -> set[str]:
    """The folders in which files lie, as `files_in` writes them."""
    found: set[str] = set()
    for path in paths:
        end = path.rfind("/")
        while end > 0 and (folder := path[: end + 1]) not in found:
            found.add(folder)
            end = path.rfind("/", 0, end)
    return found


@cache
def program_stamp() -> str:
    """Stands for the program: its own files, the versions of its libraries, and Python's. A program that runs
    is the one that it was when this was asked first."""
    rooms = Path(__file__).parents[1]
    parts = [sys.version]
    for room in ("collection", "site_builder"):
        parts += (f"{path} {stamp[:2]}" for path, stamp in sorted(files_in(rooms / room).items()) if not _is_compiled(path))
    for place in sys.path:
        try:
            parts += sorted(name for name in os.listdir(place or ".") if name.endswith((".dist-info", ".egg-info")))
        except OSError:
            continue
    return digest_of("\n".join(parts).encode("utf-8", "surrogateescape"))


def _is_compiled(path: str) -> bool:
    return "__pycache__/" in path
