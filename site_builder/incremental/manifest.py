"""What a build notes for the next one: the files it read, what it was asked for, and what it made.

Notes are plain JSON under a checksum, in the collection's cache folder. They can be deleted at any time; they only save
work. `site_builder.incremental.up_to_date` reads them before anything else. So nothing heavy is imported here, and the
first line of each file is a header with all that it needs; the second line has the single files and quilts.
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

# Of a file its size, time of change (ns), inode and number of links; of a folder nothing; of anything else -1.
OutputFingerprint = tuple[int, ...]


@dataclass(frozen=True, slots=True)
class BuildReport:
    """What a build has made, with its warnings.

    `changed` counts the pages that were written or removed; None if there was no earlier build to compare with.
    `left_alone`: everything was up to date, and no file was touched. `not_kept` says why nothing could be kept for the
    next build. `left_lying` are files and folders that the build should have removed and could not.
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
    """One file of an edition: its fingerprint, and the digests of its content and of what it was made from."""

    fingerprint: OutputFingerprint
    content: str = ""
    input_digest: str | None = None


@dataclass(frozen=True)
class EditionNotes:
    """One edition as a build left it.

    `state` is the state of the files that it was made from, `on` its day. If it is the same on every later day,
    because all recorded events are past, `same_from` is the first such day. `input_digest` is the digest of the
    contents that it has, which may be the same although a file has changed; `quilts` are those of its quilts, as in
    RecordDigests. `to_look_at_again`: the next build may give another result although nothing has changed.
    `left` is the fingerprint of the edition's folder; if empty, it is made from `files`.
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
        """Would the edition be the same if it were made on this day?"""
        return day == self.on or (
            self.same_from is not None and self.on is not None and min(day, self.on) >= self.same_from
        )


# Reading and writing ----------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class SeenHeader:
    """The state of a collection's files in the last build. `fresh` are those too new for their fingerprints to prove
    anything, by name, with the digest of their content if they were read."""

    state: str
    fresh: Mapping[str, str | None]


class BuildNotes:
    """Reads and writes the notes on a collection, shared by all its builds, and on the editions in one output folder.

    A note that can't be written is missing in the next build: `not_kept` says why.
    """

    def __init__(self, cache: CacheFolder, collection: Path, output: Path, program: str):
        self._cache = cache
        self._output = output
        self._of_output = cache.of_output(output)
        self._collection = os.path.realpath(collection)
        self._program = program
        self.not_kept: OSError | None = None

    def read_seen(self) -> KnownFiles | None:
        """The files of the collection in the last build; None if there is no valid note."""
        _, files = self._read(self._of_collection("seen"))
        try:
            return KnownFiles.from_data(files)
        except (ValueError, TypeError, KeyError, AttributeError):
            return None

    def read_seen_header(self) -> SeenHeader | None:
        """The header of the same note."""
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
        """The note on an edition by this program, or by any; `header_only` leaves out its quilts and files."""
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
                    path: FileNote(tuple(fingerprint), content, input_digest)
                    for path, (fingerprint, content, input_digest) in files.items()
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
            "left": notes.left or fingerprint_of_output({path: note.fingerprint for path, note in notes.files.items()}),
        }
        files = {path: (note.fingerprint, note.content, note.input_digest) for path, note in notes.files.items()}
        try:
            self._cache.make_for_output(self._output)
        except OSError as error:
            self.not_kept = error
        else:
            self._write(self._of_edition(name), self._program, head, [dict(notes.quilts), files])

    def read_entries(self, name: str, made_from: str = "") -> dict[str, list[Any]]:
        """The entries that this program noted for each quilt, made from the same; empty if there is no valid note."""
        written, _ = self._read(self._of_collection(name), f"{self._program} {made_from}")
        sound = isinstance(written, dict) and all(
            isinstance(each, list) and len(each) == 2 for each in written.values()
        )
        return written if sound else {}

    def write_entries(self, name: str, entries: Mapping[str, list[Any]], made_from: str = "") -> None:
        self._write(self._of_collection(name), f"{self._program} {made_from}", entries)

    def remove_left_parts(self) -> None:
        """Remove half-written files of builds that were killed."""
        for folder in (self._cache.folder, self._cache.records, self._of_output):
            remove_left_parts(folder)

    def _of_collection(self, name: str) -> tuple[Path, str]:
        """The file of a note, and the purpose that its seal names."""
        return self._cache.records / f"{name}.json", self._collection

    def _of_edition(self, name: str) -> tuple[Path, str]:
        return self._of_output / f"{name}.json", f"{self._collection} {os.path.realpath(self._output)}"

    def _read(self, file: tuple[Path, str], made_by: str | None = "", *, header_only: bool = False) -> tuple[Any, Any]:
        """The first line and the second, if this program wrote them (""), or the one named, or any (None); None for
        each that is missing."""
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


# Fingerprints -----------------------------------------------------------------------------------


def files_in(folder: str | Path) -> dict[str, OutputFingerprint]:
    """All files and folders in an edition's folder, by path; a folder's path ends with a slash."""
    found: dict[str, OutputFingerprint] = {}

    def walk(inside: str, before: str) -> None:
        with os.scandir(inside) as entries:
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
    """The fingerprint of an edition's folder: the same as `EditionNotes.left` if nothing has changed since."""
    lines: list[str] = []

    def walk(inside: str, before: str) -> None:
        with os.scandir(inside) as entries:
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
    return _digest_of_lines(lines)


def fingerprint_of_output(files: Mapping[str, OutputFingerprint]) -> str:
    """The same for the result of `files_in`."""
    return _digest_of_lines(_line(path, fingerprint) for path, fingerprint in files.items())


def _line(path: str, fingerprint: OutputFingerprint) -> str:
    return f"{path}\0{' '.join(map(str, fingerprint))}"


def _digest_of_lines(lines: Iterable[str]) -> str:
    return digest_of("\0\0".join(sorted(lines)).encode("utf-8", "surrogateescape"))


def folders_of(paths: Iterable[str]) -> set[str]:
    """The folders of these files, written as in `files_in`."""
    found: set[str] = set()
    for path in paths:
        end = path.rfind("/")
        while end > 0 and (folder := path[: end + 1]) not in found:
            found.add(folder)
            end = path.rfind("/", 0, end)
    return found


@cache
def program_fingerprint() -> str:
    """The fingerprint of the program: of its own files, the versions of its libraries, and Python's. It is taken once
    in a process, as a running program does not change."""
    rooms = Path(__file__).parents[2]
    parts = [sys.version]
    for room in ("collection", "site_builder"):
        parts += (
            f"{path} {fingerprint[:2]}"
            for path, fingerprint in sorted(files_in(rooms / room).items())
            if not _is_compiled(path)
        )
    for place in sys.path:
        try:
            parts += sorted(name for name in os.listdir(place or ".") if name.endswith((".dist-info", ".egg-info")))
        except OSError:
            continue
    return digest_of("\n".join(parts).encode("utf-8", "surrogateescape"))


def _is_compiled(path: str) -> bool:
    return "__pycache__/" in path
