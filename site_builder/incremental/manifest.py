"""What a build notes for the next one: what it saw, what it was asked for, and what it made.

Notes are plain JSON, each under a seal, in the collection's place among the user's caches. They can be deleted at any
time; all they save is work. That nothing has changed is found out before anything else (see `site_builder.incremental.up_to_date`):
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

from collection.problems import Problem
from collection.storage.fingerprints import KnownFiles, digest_of, stat_of
from collection.storage.part_files import remove_left_parts
from collection.storage.sealed_files import read_sealed, write_sealed
from site_builder.incremental.cache_folder import CacheFolder

VERSION = 5

# Size, time of change (ns), number and names of a file; of a folder nothing; of what is neither, minus one.
OutputFingerprint = tuple[int, ...]


@dataclass(frozen=True, slots=True)
class BuildReport:
    """What a build has made, and what it wants looked at.

    `changed` counts the pages that were written anew or taken away, None when there was no build before
    to compare with. `left_alone`: all was there already, and no file was touched. `not_kept` says why nothing could
    be kept for the next build. `left_lying` is what a build should have taken away and could not.
    """

    quilts: int
    pages: int
    pictures: int
    editions: tuple[Path, ...]
    warnings: tuple[Problem, ...]
    recovered: tuple[str, ...] = ()
    changed: int | None = None
    left_alone: bool = False
    not_kept: str = ""
    left_lying: tuple[Path, ...] = ()


@dataclass(frozen=True, slots=True)
class FileNote:
    """One file of an edition: its stamp, and what stands for its content and for what it was made from."""

    stamp: OutputFingerprint
    content: str = ""
    input_digest: str | None = None


@dataclass(frozen=True)
class EditionNotes:
    """One edition as it was left. `state` stands for the files that it was made from, `on` for its day; one that is
    the same whatever the day, once what is recorded has happened, has the first such day in `same_from`.

    `input_digest` stands for what of them it has, which may be the same although a file has changed; `quilts` for
    what each of its quilts says, as RecordDigests has it.
    `to_look_at_again`: something may come out otherwise although nothing has changed. `left` stands for all
    that it holds, as it lay there; left out, for `files`.
    """

    state: str = ""
    on: str | None = None
    counts: tuple[int, int, int] = (0, 0, 0)
    warnings: tuple[Problem, ...] = ()
    to_look_at_again: bool = False
    input_digest: str = ""
    quilts: Mapping[str, str] = field(default_factory=dict)
    left: str = ""
    files: Mapping[str, FileNote] = field(default_factory=dict)
    same_from: str | None = None

    def is_of(self, day: str) -> bool:
        """Is it as it would be made on this day?"""
        return day == self.on or (
            self.same_from is not None and self.on is not None and min(day, self.on) >= self.same_from
        )


# Reading and writing ----------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class SeenHeader:
    """What stands for a collection's files as the last build saw them, and those whose stamps prove nothing yet,
    by name with what stands for their content if they were opened."""

    state: str
    fresh: Mapping[str, str | None]


class BuildNotes:
    """What builds of a collection note: of the collection itself for all of them, and of the editions in one output.

    `place` is where it is kept. A note that can't be written is not there for the next build: `not_kept` says why.
    """

    def __init__(self, place: CacheFolder, collection: Path, output: Path, program: str):
        self._place = place
        self._output = output
        self._of_output = place.of_output(output)
        self._collection = os.path.realpath(collection)
        self._program = program
        self.not_kept: OSError | None = None

    def read_seen(self) -> KnownFiles | None:
        """The files of the collection as the last build saw them; None when nothing of use is noted."""
        _, files = self._read(self._of_collection("seen"))
        try:
            return KnownFiles.from_data(files)
        except (ValueError, TypeError, KeyError, AttributeError):
            return None

    def read_seen_header(self) -> SeenHeader | None:
        """The same in short."""
        head, _ = self._read(self._of_collection("seen"), header_only=True)
        try:
            return SeenHeader(head["state"], dict(head["fresh"]))
        except (ValueError, TypeError, KeyError):
            return None

    def write_seen(self, seen: KnownFiles) -> None:
        fresh = {name: seen.digests.get(name) for name, settled in seen.settled.items() if not settled}
        self._write(self._of_collection("seen"), self._program, {"state": seen.state, "fresh": fresh}, seen.as_data())

    def read_edition(
        self, name: str, *, by_any_program: bool = False, header_only: bool = False
    ) -> EditionNotes | None:
        """What was noted of an edition by this program, or by any; `header_only` without its quilts and files one by one."""
        made_by = None if by_any_program else self._program
        head, one_by_one = self._read(self._of_edition(name), made_by, header_only=header_only)
        try:
            quilts, files = one_by_one or ({}, {})
            return EditionNotes(
                head["state"],
                head["on"],
                tuple(head["counts"]),
                tuple(Problem(*each) for each in head["warnings"]),
                head["to_look_at_again"],
                head["input_digest"],
                {quilt: str(says) for quilt, says in quilts.items()},
                head["left"],
                {
                    path: FileNote(tuple(stamp), content, input_digest)
                    for path, (stamp, content, input_digest) in files.items()
                },
                head["same_from"],
            )
        except (ValueError, TypeError, KeyError, AttributeError):
            return None

    def write_edition(self, name: str, notes: EditionNotes) -> None:
        head = {
            "state": notes.state,
            "on": notes.on,
            "same_from": notes.same_from,
            "counts": notes.counts,
            "warnings": [
                (each.file, each.line, each.field, each.found, each.remedy, each.severity) for each in notes.warnings
            ],
            "to_look_at_again": notes.to_look_at_again,
            "input_digest": notes.input_digest,
            "left": notes.left or fingerprint_of_output({path: note.stamp for path, note in notes.files.items()}),
        }
        files = {path: (note.stamp, note.content, note.input_digest) for path, note in notes.files.items()}
        try:
            self._place.make_for_output(self._output)
        except OSError as error:
            self.not_kept = error
        else:
            self._write(self._of_edition(name), self._program, head, [dict(notes.quilts), files])

    def read_entries(self, name: str, made_from: str = "") -> dict[str, list[Any]]:
        """What was noted of each quilt by this program, made from the same; empty when nothing of use is noted."""
        written, _ = self._read(self._of_collection(name), f"{self._program} {made_from}")
        sound = isinstance(written, dict) and all(
            isinstance(each, list) and len(each) == 2 for each in written.values()
        )
        return written if sound else {}

    def write_entries(self, name: str, entries: Mapping[str, list[Any]], made_from: str = "") -> None:
        self._write(self._of_collection(name), f"{self._program} {made_from}", entries)

    def remove_left_parts(self) -> None:
        """Remove what builds that were killed had begun to write."""
        for folder in (self._place.folder, self._place.records, self._of_output):
            remove_left_parts(folder)

    def _of_collection(self, name: str) -> tuple[Path, str]:
        """The file of a note, and what it is for."""
        return self._place.records / f"{name}.json", self._collection

    def _of_edition(self, name: str) -> tuple[Path, str]:
        return self._of_output / f"{name}.json", f"{self._collection} {os.path.realpath(self._output)}"

    def _read(self, file: tuple[Path, str], made_by: str | None = "", *, header_only: bool = False) -> tuple[Any, Any]:
        """What stands on the first line and on the second, if this program wrote it, or another that is named, or any
        (None); None for what is not there."""
        content = read_sealed(*file)
        if content is None:
            return None, None
        first, _, second = content.partition(b"\n")
        try:
            version, program, head = json.loads(first)
            if version != VERSION or made_by is not None and program != (made_by or self._program):
                return None, None
            return head, json.loads(second) if second.strip() and not header_only else None
        except (ValueError, TypeError, RecursionError):
            return None, None

    def _write(self, file: tuple[Path, str], made_by: str, head: object, more: object = None) -> None:
        lines = (json.dumps(line, separators=(",", ":")) for line in ([VERSION, made_by, head], more))
        try:
            write_sealed(*file, "\n".join(lines).encode())
        except OSError as error:
            self.not_kept = error


# What is compared -------------------------------------------------------------------------------


def files_in(folder: str | Path) -> dict[str, OutputFingerprint]:
    """All that lies in an edition's folder, by path; a folder's path ends with a slash."""
    found: dict[str, OutputFingerprint] = {}

    def walk(place: str, before: str) -> None:
        with os.scandir(place) as entries:
            for entry in entries:
                if entry.is_dir(follow_symlinks=False):
                    found[f"{before}{entry.name}/"] = ()
                    walk(entry.path, f"{before}{entry.name}/")
                elif entry.is_file(follow_symlinks=False):
                    found[before + entry.name] = fingerprint_of(stat_of(entry))
                else:
                    found[before + entry.name] = (-1,)

    try:
        walk(os.fspath(folder), "")
    except OSError:
        return {}
    return found


def fingerprint_of(found: os.stat_result) -> OutputFingerprint:
    return found.st_size, found.st_mtime_ns, found.st_ino, found.st_nlink


def output_fingerprint(folder: str | Path) -> str:
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


def fingerprint_of_output(files: Mapping[str, OutputFingerprint]) -> str:
    """The same of files and folders as `files_in` has them."""
    return _stands_for(_line(path, stamp) for path, stamp in files.items())


def _line(path: str, stamp: OutputFingerprint) -> str:
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
def program_fingerprint() -> str:
    """Stands for the program: its own files, the versions of its libraries, and Python's. A program that runs
    is the one that it was when this was asked first."""
    rooms = Path(__file__).parents[2]
    parts = [sys.version]
    for room in ("collection", "site_builder"):
        parts += (
            f"{path} {stamp[:2]}" for path, stamp in sorted(files_in(rooms / room).items()) if not _is_compiled(path)
        )
    for place in sys.path:
        try:
            parts += sorted(name for name in os.listdir(place or ".") if name.endswith((".dist-info", ".egg-info")))
        except OSError:
            continue
    return digest_of("\n".join(parts).encode("utf-8", "surrogateescape"))


def _is_compiled(path: str) -> bool:
    return "__pycache__/" in path
