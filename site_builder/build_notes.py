"""What a build notes for the next one: what it saw, what it was asked for, and what it made.

Notes are plain JSON in a folder beside the editions, never in one. They can be deleted at any time; all
they save is work. Nothing heavy is imported here: that nothing has changed is found out before anything
else (see `site_builder.built_already`).
"""

import json
import os
import sys
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from collection.file_stamps import SeenFiles, digest_of, stat_of
from collection.problems import Problem

FOLDER = ".built"
VERSION = 2

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
    """One edition as it was left. `state` stands for the files that it was made from, `on` for its day.

    `rests_on` stands for what of them it has, which may be the same although a file has changed.
    `to_look_at_again`: something may come out otherwise although nothing has changed.
    """

    state: str = ""
    on: str | None = None
    counts: tuple[int, int, int] = (0, 0, 0)
    warnings: tuple[Problem, ...] = ()
    to_look_at_again: bool = False
    rests_on: str = ""
    files: Mapping[str, FileNote] = field(default_factory=dict)


# Reading and writing ----------------------------------------------------------------------------


def read_seen(output: Path, folder: Path, program: str) -> SeenFiles | None:
    """The files of a collection as the last build saw them; None when nothing of use is noted."""
    written = _read(output / FOLDER / "seen.json", program)
    if not isinstance(written, dict) or written.get("folder") != os.path.realpath(folder):
        return None
    try:
        return SeenFiles.from_data(written["files"])
    except (ValueError, TypeError, KeyError, AttributeError):
        return None


def write_seen(output: Path, folder: Path, program: str, seen: SeenFiles) -> None:
    data = {"folder": os.path.realpath(folder), "files": seen.as_data()}
    _write(output / FOLDER / "seen.json", program, data)


def read_edition(output: Path, name: str, program: str | None) -> EditionNotes | None:
    """What was noted of an edition by the same program, or by any (None)."""
    written = _read(output / FOLDER / f"{name}.json", program)
    try:
        return EditionNotes(
            written["state"],
            written["on"],
            tuple(written["counts"]),
            tuple(Problem(*each) for each in written["warnings"]),
            written["to_look_at_again"],
            written["rests_on"],
            {path: FileNote(tuple(stamp), content, rests_on) for path, (stamp, content, rests_on) in written["files"].items()},
        )
    except (ValueError, TypeError, KeyError, AttributeError):
        return None


def write_edition(output: Path, name: str, program: str, notes: EditionNotes) -> None:
    data = {
        "state": notes.state,
        "on": notes.on,
        "counts": notes.counts,
        "warnings": [
            (each.file, each.line, each.field, each.found, each.remedy, each.severity) for each in notes.warnings
        ],
        "to_look_at_again": notes.to_look_at_again,
        "rests_on": notes.rests_on,
        "files": {path: (note.stamp, note.content, note.rests_on) for path, note in notes.files.items()},
    }
    _write(output / FOLDER / f"{name}.json", program, data)


def read_entries(output: Path, name: str, made_from: str) -> dict[str, list[Any]]:
    """What was noted of each quilt of an edition, made from the same; empty when nothing of use is noted."""
    written = _read(output / FOLDER / f"{name}-entries.json", made_from)
    sound = isinstance(written, dict) and all(isinstance(each, list) and len(each) == 2 for each in written.values())
    return written if sound else {}


def write_entries(output: Path, name: str, made_from: str, entries: Mapping[str, list[Any]]) -> None:
    _write(output / FOLDER / f"{name}-entries.json", made_from, entries)


def _read(path: Path, program: str | None) -> Any:
    try:
        version, made_by, data = json.loads(path.read_bytes())
    except (OSError, ValueError, TypeError, RecursionError):
        return None
    return data if version == VERSION and program in (None, made_by) else None


def _write(path: Path, program: str, data: object) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    beside = path.with_suffix(f".{os.getpid()}.part")
    beside.write_text(json.dumps([VERSION, program, data], separators=(",", ":")), encoding="utf-8")
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


def folders_of(paths: Iterable[str]) -> set[str]:
    """The folders in which files lie, as `files_in` writes them."""
    found: set[str] = set()
    for path in paths:
        end = path.rfind("/")
        while end > 0 and (folder := path[: end + 1]) not in found:
            found.add(folder)
            end = path.rfind("/", 0, end)
    return found


def program_stamp() -> str:
    """Stands for the program: its own files, the versions of its libraries, and Python's."""
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
