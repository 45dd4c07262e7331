"""The log of changes: a plain file that a person can read, which says what was changed, when, and where.

An entry is added at its end for each batch and never altered. Taking a change back is a change too,
with an entry of its own that names the other: so the log alone says what can be taken back next.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import datetime
from functools import lru_cache
from itertools import pairwise
from pathlib import Path

from collection.disk import lies_within
from collection.problems import CollectionProblems, Problem
from collection.yaml_text import read_yaml
from collection.yaml_writing import Layout, Plain, write_item

_ROOM = ".counterpane"
LOG = f"{_ROOM}/changes.yaml"
FORMER = f"{_ROOM}/former"
LARGEST_LOG = 20_000_000
"""Bytes: of a move it takes some 300, so that it holds tens of thousands of them."""

KEPT_CHANGES = 100
KEPT_BYTES = 1_000_000_000
"""So many changes back, and so much of them, what files were is kept; of the newest change in any case."""

_HEAD = f"""\
# What Counterpane has changed in this collection, the newest last. `counterpane undo` takes it back, newest first.
# What the files were before lies in {FORMER}/ under the number of the change, for the last {KEPT_CHANGES} changes
# ({KEPT_BYTES // 1_000_000:,} MB at most); `was` and `is` say which bytes those were, and which came after.
# Please leave this file as it is.
"""

_BEGINS = re.compile(rb"^- number: *([0-9]{1,9})[ \t]*\r?$", re.MULTILINE)
_FIELDS = {"number", "at", "command", "what", "takes_back", "files"}
_FILES = re.compile(rb"^  files:[ \t]*\r?\n", re.MULTILINE)
_FILE = re.compile(rb"^    - ", re.MULTILINE)
_AT_A_TIME = 500
_DIGITS = 16


@dataclass(frozen=True, slots=True)
class Told:
    """What the log says of a batch: what was done, in words, a line for each record; when; and by which command.

    `takes_back` is the number of the change that it takes back, if it does.
    """

    what: str
    at: datetime
    command: str
    takes_back: int | None = None


@dataclass(frozen=True, slots=True)
class LoggedFile:
    """A file that was changed, and what it was and is known by: the first digits of its digests."""

    name: str
    was: str | None
    now: str | None

    @classmethod
    def of(cls, name: str, old: str | None, new: str | None) -> "LoggedFile":
        """From whole digests."""
        return cls(name, old and old[:_DIGITS], new and new[:_DIGITS])


def is_known_by(digest: str | None, short: str | None) -> bool:
    """Is this the digest that the log means? None: there is no file.

    >>> is_known_by("3f2a" * 16, "3f2a" * 4), is_known_by(None, "3f2a" * 4), is_known_by(None, None)
    (True, False, True)
    """
    return (digest and digest[:_DIGITS]) == short


@dataclass(frozen=True, slots=True)
class LoggedChange:
    """One entry of the log."""

    number: int
    told: Told
    files: tuple[LoggedFile, ...]


def last_number(log: bytes) -> int:
    """The highest number in a log, also in one that is damaged; 0 where there is none."""
    return max((int(found[1]) for found in _BEGINS.finditer(log)), default=0)


def with_entry(log: bytes, change: LoggedChange) -> bytes:
    """The log with one more entry at its end; whatever stands there already stays."""
    if not log:
        log = _HEAD.encode()
    elif not log.endswith(b"\n"):
        log += b"\n"
    return log + b"\n" + "".join(f"{line}\n" for line in _lines(change)).encode()


def _lines(change: LoggedChange) -> list[str]:
    told = change.told
    entry: dict[str, Plain] = {
        "number": str(change.number),
        "at": told.at.isoformat(" ", "seconds"),
        "command": told.command,
        "what": told.what,
    }
    if told.takes_back is not None:
        entry["takes_back"] = str(told.takes_back)
    entry["files"] = [
        {key: value for key, value in (("name", file.name), ("was", file.was), ("is", file.now)) if value}
        for file in change.files
    ]
    return write_item(entry, column=0, layout=Layout(width=200), one_line=False)


# Reading ----------------------------------------------------------------------------------------


def log_bytes(folder: Path) -> bytes:
    """What stands in the log of a collection; nothing where nothing was changed yet. Raises CollectionProblems."""
    path = folder / LOG
    try:
        if not path.exists():
            return b""
        if not path.is_file():
            remedy = "This is not an ordinary file, so no change can be told of in it. Move it away: a new log begins."
        elif path.stat().st_size > LARGEST_LOG:
            remedy = (
                f"The log of changes is longer than {LARGEST_LOG // 1_000_000} MB. Move it out of the collection, and a "
                "new one begins; what the old one tells of can't be taken back then."
            )
        else:
            return path.read_bytes()
    except OSError as error:
        remedy = f"The log of changes can't be read: {(error.strerror or str(error)).lower()}."
    raise CollectionProblems([Problem(LOG, 1, "", "", remedy)])


@dataclass(frozen=True, slots=True)
class ChangeLog:
    """What a log says, the oldest first: its entries, and what of it can't be read.

    `done` are the changes that can be taken back, `undone` those that took something back and can be
    taken back themselves, so that it is done again; each time the last one first. What lies before a
    part that can't be read is in neither.
    """

    changes: tuple[LoggedChange, ...]
    done: tuple[LoggedChange, ...]
    undone: tuple[LoggedChange, ...]
    damage: tuple[Problem, ...]


def read_log(log: bytes) -> ChangeLog:
    """Read a log. What can't be read is told, and read over."""
    changes: list[LoggedChange] = []
    done: list[LoggedChange] = []
    undone: list[LoggedChange] = []
    damage: list[Problem] = []
    for part in _parts(log):
        if isinstance(part, Problem):
            damage.append(part)
            done, undone = [], []
            continue
        changes.append(part)
        number = part.told.takes_back
        if number is None:
            done.append(part)
            undone = []
        elif done and done[-1].number == number:
            done.pop()
            undone.append(part)
        elif undone and undone[-1].number == number:
            undone.pop()
            done.append(part)
        else:
            undone = []
    return ChangeLog(tuple(changes), tuple(done), tuple(undone), tuple(damage))


def _parts(log: bytes) -> Iterator[LoggedChange | Problem]:
    """Each entry, or what is wrong with it."""
    begins = [found.start() for found in _BEGINS.finditer(log)]
    head = log[: begins[0] if begins else len(log)]
    if any(line.strip() and not line.startswith(b"#") for line in head.splitlines()):
        yield _damaged(1, "")
    last, line = 0, head.count(b"\n") + 1
    for start, end in pairwise([*begins, len(log)]):
        entry = _entry(log[start:end])
        if isinstance(entry, Problem):
            yield _damaged(line + entry.line - 1, entry.remedy)
        elif entry.number <= last:
            yield _damaged(line, f"{entry.number} comes twice, or too late.")
        else:
            last = entry.number
            yield entry
        line += log.count(b"\n", start, end)


@lru_cache(maxsize=4096)  # Entries never change, and the desk reads the log again for each of its pages.
def _entry(part: bytes) -> LoggedChange | Problem:
    """One entry, or what is wrong with it, in lines of its own."""
    data: list[Plain] = []
    for piece, line in _pieces(part):
        text, problems = read_yaml(piece, LOG)
        if problems:
            return replace(problems[0], line=line + problems[0].line - 1)
        data.append(text.data)
    try:
        ((fields,), *lists) = data
        if lists:
            fields = {**fields, "files": [file for files in lists for file in files]}
        if not fields.keys() <= _FIELDS:
            raise ValueError("a field that is unknown")
        back = fields.get("takes_back")
        told = Told(
            _text(fields["what"]),
            datetime.fromisoformat(fields["at"]),
            _text(fields["command"]),
            None if back is None else int(back),
        )
        files = tuple(map(_file, fields["files"]))
        if len({file.name for file in files}) < len(files):
            raise ValueError("a file that stands twice")
        return LoggedChange(int(fields["number"]), told, files)
    except (AttributeError, KeyError, TypeError, ValueError):
        return Problem(LOG, 1, "", "", "")


def _pieces(part: bytes) -> Iterator[tuple[bytes, int]]:
    """An entry and its list of files, each with its line: what is taken in at once may be thousands of files,
    more than a record may hold, so the list is read some of it at a time."""
    begins = _FILES.search(part)
    first = begins.end() if begins else len(part)
    yield part[:first], 1
    items = [found.start() for found in _FILE.finditer(part, first)]
    for start, end in pairwise([first, *items[_AT_A_TIME::_AT_A_TIME], len(part)] if begins else ()):
        yield part[start:end], part.count(b"\n", 0, start) + 1


def _file(fields: dict[str, Plain]) -> LoggedFile:
    file = LoggedFile(_text(fields["name"]), fields.get("was"), fields.get("is"))
    if not fields.keys() <= {"name", "was", "is"} or not lies_within(file.name) or file.name.startswith(f"{_ROOM}/") or not all(
        short is None or re.fullmatch(f"[0-9a-f]{{{_DIGITS}}}", short) for short in (file.was, file.now)
    ):
        raise ValueError(file.name)
    return file


def _text(value: Plain) -> str:
    if not isinstance(value, str):
        raise TypeError(value)
    return value


def _damaged(line: int, why: str) -> Problem:
    remedy = (
        "This part of the log of changes can't be read, so what it tells of and what came before it can't be taken "
        f"back. {why} Your records are not touched by this. Put the log back as it was if you have a copy; what "
        f"files were is still kept in {FORMER}/."
    )
    return Problem(LOG, line, "", "", " ".join(remedy.split()), "warning")
