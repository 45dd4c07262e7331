"""The log of changes: a YAML file that a person can read, with what was changed, when, and in which files.

Each batch appends an entry, which never changes. An undo is a change too: its entry names the change that it undoes.
So the log alone says what can be undone next.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import datetime
from functools import lru_cache
from itertools import chain, pairwise
from pathlib import Path

from collection.problems import CollectionProblems, Problem
from collection.storage.files import is_inside
from collection.yaml_files.parser import Plain, read_yaml
from collection.yaml_files.writer import Layout, write_item

_ROOM = ".counterpane"
LOG = f"{_ROOM}/changes.yaml"
FORMER = f"{_ROOM}/former"
LARGEST_LOG = 20_000_000
"""In bytes: an entry for a transfer takes about 300, so the log holds tens of thousands."""

KEPT_CHANGES = 100
KEPT_BYTES = 1_000_000_000
"""The former files are kept for so many changes and up to so many bytes, but always for the newest change."""

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
class LogEntry:
    """What was done (a line of words for each record), when, and by which command.

    `takes_back` is the number of the change that this one undoes; None if it undoes none.
    """

    what: str
    at: datetime
    command: str
    takes_back: int | None = None


@dataclass(frozen=True, slots=True)
class LoggedFile:
    """A changed file, with the first digits of its digest before and after; None means that there was no file."""

    name: str
    was: str | None
    now: str | None

    @classmethod
    def of(cls, name: str, old: str | None, new: str | None) -> "LoggedFile":
        """Make one from full digests."""
        return cls(name, old and old[:_DIGITS], new and new[:_DIGITS])


def is_known_by(digest: str | None, short: str | None) -> bool:
    """Does a digest match the first digits in the log? None means no file.

    >>> is_known_by("3f2a" * 16, "3f2a" * 4), is_known_by(None, "3f2a" * 4), is_known_by(None, None)
    (True, False, True)
    """
    return (digest and digest[:_DIGITS]) == short


@dataclass(frozen=True, slots=True)
class LoggedChange:
    """One entry of the log."""

    number: int
    entry: LogEntry
    files: tuple[LoggedFile, ...]


def last_number(log: bytes) -> int:
    """The highest number in a log, even a damaged one; 0 if there is none."""
    return max((int(found[1]) for found in _BEGINS.finditer(log)), default=0)


def with_entry(log: bytes, change: LoggedChange) -> bytes:
    """The log with an entry appended."""
    if not log:
        log = _HEAD.encode()
    elif not log.endswith(b"\n"):
        log += b"\n"
    return log + b"\n" + "".join(f"{line}\n" for line in _lines(change)).encode()


def _lines(change: LoggedChange) -> list[str]:
    logged = change.entry
    fields: dict[str, Plain] = {
        "number": str(change.number),
        "at": logged.at.isoformat(" ", "seconds"),
        "command": logged.command,
        "what": logged.what,
    }
    if logged.takes_back is not None:
        fields["takes_back"] = str(logged.takes_back)
    fields["files"] = [
        {key: value for key, value in (("name", file.name), ("was", file.was), ("is", file.now)) if value}
        for file in change.files
    ]
    return write_item(fields, column=0, layout=Layout(width=200), one_line=False)


# Reading ----------------------------------------------------------------------------------------


def log_bytes(folder: Path) -> bytes:
    """The bytes of a collection's log; empty if nothing was changed yet. Raises CollectionProblems if it can't be read."""
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
    """The entries of a log, oldest first, and a problem for each part that can't be read.

    `done` holds the changes that can be undone, and `undone` the undos that can be undone in turn, to redo a change;
    the last one in each is undone first. Neither has changes from before a part that can't be read.
    """

    changes: tuple[LoggedChange, ...]
    done: tuple[LoggedChange, ...]
    undone: tuple[LoggedChange, ...]
    damage: tuple[Problem, ...]


def read_log(log: bytes) -> ChangeLog:
    """Read a log. A part that can't be read becomes a problem and is skipped."""
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
        number = part.entry.takes_back
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
    """Each entry, or a problem if it can't be read."""
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


@lru_cache(maxsize=4096)  # entries never change, and each page of the desk reads the log
def _entry(part: bytes) -> LoggedChange | Problem:
    """One entry, or a problem with its line counted from the start of the entry."""
    data: list[Plain] = []
    for piece, line in _pieces(part):
        text, problems = read_yaml(piece, LOG)
        if problems:
            return replace(problems[0], line=line + problems[0].line - 1)
        data.append(text.data)
    try:
        (entry,), *lists = map(_items, data)
        fields = _known_fields(entry, _FIELDS)
        back = fields.get("takes_back")
        logged = LogEntry(
            _text(fields["what"]),
            datetime.fromisoformat(_text(fields["at"])),
            _text(fields["command"]),
            None if back is None else int(_text(back)),
        )
        files = tuple(map(_file, chain.from_iterable(lists) if lists else _items(fields["files"])))
        if len({file.name for file in files}) < len(files):
            raise ValueError("a file named twice")
        return LoggedChange(int(_text(fields["number"])), logged, files)
    except (KeyError, TypeError, ValueError):
        return Problem(LOG, 1, "", "", "")


def _pieces(part: bytes) -> Iterator[tuple[bytes, int]]:
    """Split an entry and its list of files into parts, each with its line: a change may have more files than
    `read_yaml` allows values."""
    begins = _FILES.search(part)
    first = begins.end() if begins else len(part)
    yield part[:first], 1
    items = [found.start() for found in _FILE.finditer(part, first)]
    for start, end in pairwise([first, *items[_AT_A_TIME::_AT_A_TIME], len(part)] if begins else ()):
        yield part[start:end], part.count(b"\n", 0, start) + 1


def _file(data: Plain) -> LoggedFile:
    fields = _known_fields(data, {"name", "was", "is"})
    name = _text(fields["name"])
    if not is_inside(name) or name.startswith(f"{_ROOM}/"):
        raise ValueError(name)
    return LoggedFile(name, _short_digest(fields.get("was")), _short_digest(fields.get("is")))


def _short_digest(value: Plain) -> str | None:
    if value is not None and not re.fullmatch(f"[0-9a-f]{{{_DIGITS}}}", _text(value)):
        raise ValueError(value)
    return None if value is None else _text(value)


def _known_fields(value: Plain, names: set[str]) -> dict[str, Plain]:
    if not isinstance(value, dict) or not value.keys() <= names:
        raise TypeError(value)
    return value


def _items(value: Plain) -> list[Plain]:
    if value and not isinstance(value, list):
        raise TypeError(value)
    return value if isinstance(value, list) else []


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
