"""Reads a folder into a collection and a list of all its problems."""

import os
import stat
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from pathlib import Path
from typing import Generic, TypeVar

from collection.loading.cross_checks import cross_check
from collection.loading.default_units import Defaults, currency_of, units_of, units_of_partner
from collection.loading.record_cache import RecordCache
from collection.loading.validation import validate, validate_the_rest
from collection.parallel import WORTH_IT, made_by_several
from collection.problems import CollectionProblems, Problem
from collection.records.collection import Collection, Page
from collection.records.fields import Identified, Record
from collection.records.partner import Partner
from collection.records.quilt import Quilt
from collection.records.request import Request
from collection.records.settings import Settings
from collection.storage.consistent_read import consistent_read
from collection.storage.files import real_path
from collection.storage.fingerprints import KnownFiles, digest_of
from collection.storage.folder_layout import FOLDERS, SETTINGS_FILE, RecordFile, misplaced, photo_files, record_files
from collection.yaml_files.parser import LARGEST_FILE, Plain, YamlText, read_text, read_yaml, unread
from collection.yaml_files.parser import Path as FieldPath

__all__ = ["FOLDERS", "SETTINGS_FILE", "Reading", "read_collection"]

# In characters, some twenty pages of a book: a longer text takes too long to convert from Markdown.
LONGEST_PAGE = 60_000

Kind = TypeVar("Kind", bound=Record)
Own = TypeVar("Own", bound=Identified)


@dataclass(frozen=True)
class Reading:
    """A collection, the text of each record's file, and the problems.

    `recovered` names the files of an interrupted change that was finished first. `seen` has the fingerprints of the
    files just before they were read, and the digest of each record's content.
    """

    collection: Collection
    texts: Mapping[str, YamlText]
    problems: tuple[Problem, ...]
    recovered: tuple[str, ...] = ()
    seen: KnownFiles | None = None

    @property
    def digests(self) -> Mapping[str, str]:
        """The digest of each record's content, by file name; empty if no fingerprints were taken."""
        return self.seen.digests if self.seen else {}

    @property
    def errors(self) -> tuple[Problem, ...]:
        return tuple(problem for problem in self.problems if problem.severity == "error")

    @property
    def warnings(self) -> tuple[Problem, ...]:
        return tuple(problem for problem in self.problems if problem.severity == "warning")


Look = Callable[[], tuple[KnownFiles, RecordCache]]


def read_collection(folder: Path, look: Look | None = None, jobs: int = 1) -> Reading:
    """Read a whole folder while nothing writes to it. A mistake in a file becomes a problem, not an exception.

    Raises CollectionProblems if there is no such folder or no collection in it, if an interrupted change can't be
    finished, or if another run writes for too long.

    `look`, called while nothing writes to the folder, returns the fingerprints of the files and the cache of records:
    a file with the same content is not validated again. If many others are left, `jobs` processes read them.
    """
    _refuse_what_is_no_collection(folder)
    with consistent_read(folder) as recovered:
        seen, cache = look() if look else (None, None)
        return replace(_read(folder, seen, cache, jobs), recovered=recovered)


def _read(folder: Path, seen: KnownFiles | None, cache: RecordCache | None, jobs: int) -> Reading:
    reader = _Reader(folder, seen, cache, jobs)
    settings = reader.settings()
    partners = reader.records("partners", Partner, settings, lambda data: units_of(data, settings.units))
    known = partners.sound | partners.rest
    requests = reader.records(
        "requests",
        Request,
        settings,
        lambda data: units_of(data, units_of_partner(data, known, settings.units)),
        [(partner.id, partner.units) for partner in known.values()],
    )
    quilts = reader.records("quilts", Quilt, settings, lambda data: units_of(data, settings.units))
    collection = Collection(
        folder=folder,
        settings=settings,
        quilts=quilts.sound,
        partners=partners.sound,
        requests=requests.sound,
        pages=reader.pages(),
        photos=photo_files(folder, reader.report),
    )
    partial = replace(collection, quilts=quilts.rest, partners=partners.rest, requests=requests.rest)
    problems = reader.problems + cross_check(collection, reader.texts, partial)
    return Reading(collection, reader.texts, tuple(sorted(set(problems))), seen=seen)


def _refuse_what_is_no_collection(folder: Path) -> None:
    if not folder.is_dir():
        remedy = "There is no such folder. Name the folder that holds collection.yaml and quilts/."
        raise CollectionProblems([Problem(str(folder), 1, "", "", remedy)])
    if not (folder / SETTINGS_FILE).exists() and not (folder / "quilts").is_dir():
        near: list[Problem] = []
        misplaced(folder, near.append)
        remedy = (
            "This folder holds no collection: there is neither collection.yaml nor a folder quilts/. "
            "Name another folder, or begin one with a file such as quilts/low-tide.yaml."
        )
        raise CollectionProblems([Problem(str(folder), 1, "", "", remedy), *near])


@dataclass(frozen=True)
class _Records(Generic[Own]):
    """The records of one folder by ID: the valid ones, and the valid fields of the others."""

    sound: dict[str, Own] = field(default_factory=dict)
    rest: dict[str, Own] = field(default_factory=dict)


class _Reader:
    """Reads one folder and collects problems and texts."""

    def __init__(self, folder: Path, seen: KnownFiles | None, cache: RecordCache | None, jobs: int):
        self.folder = folder
        self.seen = seen
        self.cache = cache
        self.jobs = jobs
        self.problems: list[Problem] = []
        self.report = self.problems.append
        self.texts: dict[str, YamlText] = {}
        misplaced(folder, self.report)

    def settings(self) -> Settings:
        """The settings, or their valid fields, so that one mistake is one problem."""
        path = self.folder / SETTINGS_FILE
        if not path.exists() and not path.is_symlink():
            return Settings()
        sound, rest = self._record(
            Settings,
            RecordFile(SETTINGS_FILE, "", str(path)),
            lambda data: {"units": units_of(data, "in"), "currency": currency_of(data)},
        )
        return sound or rest or Settings()

    def records(
        self, folder: str, kind: type[Own], settings: Settings, units: Callable[[Plain], str], key_parts: object = ()
    ) -> _Records[Own]:
        """The records in a folder; `units` finds the default units for a file's data, and depends on `key_parts`."""
        records = _Records[Own]()
        files = tuple(record_files(self.folder, folder, self.report))
        all_parts = settings.units, settings.currency, key_parts

        def defaults(file: RecordFile) -> Callable[[Plain], Defaults]:
            return lambda data: {"units": units(data), "currency": settings.currency, "id": file.id}

        self._read_ahead(kind, files, defaults, all_parts)
        for file in files:
            sound, rest = self._record(kind, file, defaults(file), all_parts)
            if sound is not None:
                records.sound[file.id] = sound
            elif rest is not None:
                records.rest[file.id] = rest
        return records

    def _read_ahead(
        self,
        kind: type[Kind],
        files: Sequence[RecordFile],
        defaults: Callable[[RecordFile], Callable[[Plain], Defaults]],
        key_parts: object,
    ) -> None:
        """Read many new files in several processes, and put the valid records into the cache."""
        seen, cache = self.seen, self.cache
        if seen is None or cache is None or self.jobs < 2:
            return
        new = [file for file in files if not ((key := self._key(file, key_parts)) and cache.find(file.name, key))]
        if len(new) < WORTH_IT:
            return

        def read(number: int) -> tuple[Record | None, list[Problem], str | None]:
            file, before = new[number], len(self.problems)
            record, _ = self._record(kind, file, defaults(file), key_parts)
            return record, self.problems[before:], seen.digests.get(file.name)

        for number, (record, problems, digest) in made_by_several(read, len(new), self.jobs):
            if record is not None and digest:
                file = new[number]
                seen.digests[file.name] = digest
                cache.keep(file.name, _key(digest, key_parts), record, tuple(problems))

    def _record(
        self, kind: type[Kind], file: RecordFile, defaults: Callable[[Plain], Defaults], key_parts: object = ()
    ) -> tuple[Kind | None, Kind | None]:
        """A record; or, if it is invalid, the record of its valid fields.

        `defaults` returns what validation needs besides the file's data, and depends on `key_parts`. A cached record
        with the same content and the same parts is not validated again.
        """
        before, raw = len(self.problems), self._bytes(file)
        if raw is not None and (cached := self._cached(kind, file, raw, key_parts)):
            record, problems = cached
            self.problems += problems
            self.texts[file.name] = _LateText(file.name, lambda: self._text(file, self._bytes(file)))
            return record, None
        text = self._text(file, raw)
        known = defaults(text.data)
        sound, found = validate(kind, text, **known)
        self.problems += found
        if sound is None:
            return None, validate_the_rest(kind, text, **known)
        if self.cache and (key := self._key(file, key_parts)):
            self.cache.keep(file.name, key, sound, tuple(self.problems[before:]))
            # The texts of many records take more memory than anything else, and few are needed.
            self.texts[file.name] = _LateText(file.name, lambda: self._text(file, self._bytes(file)))
        return sound, None

    def _cached(
        self, kind: type[Kind], file: RecordFile, raw: bytes, key_parts: object
    ) -> tuple[Kind, tuple[Problem, ...]] | None:
        """The cached record of this content with its problems, unless it may publish what the file keeps private."""
        key = self._key(file, key_parts)
        cached = self.cache.find(file.name, key) if self.cache and key else None
        if cached is None:
            return None
        record, problems = cached
        return (record, problems) if isinstance(record, kind) and _publishes_no_more_than(record, raw) else None

    def _key(self, file: RecordFile, key_parts: object) -> str | None:
        digest = self.seen.digests.get(file.name) if self.seen else None
        return _key(digest, key_parts) if digest else None

    def pages(self) -> dict[str, Page]:
        pages = {}
        for file in record_files(self.folder, "pages", self.report, ending=".md"):
            markdown = self._markdown(file)
            if markdown is None:
                continue
            first = next((line for line in markdown.splitlines() if line.strip()), "")
            title = first[2:].strip() if first.startswith("# ") else ""
            pages[file.id] = Page(file.id, title or file.id.replace("-", " ").capitalize(), markdown)
        return pages

    def _markdown(self, file: RecordFile) -> str | None:
        raw = self._bytes(file)
        if raw is None:
            return None
        markdown, problem = read_text(raw, file.name) if len(raw) <= LARGEST_FILE else ("", None)
        if len(raw) > LARGEST_FILE or len(markdown) > LONGEST_PAGE:
            remedy = f"This page is longer than {LONGEST_PAGE:,} characters. Part it in two."
            problem = Problem(file.name, 1, "", "", remedy)
        if problem is None:
            return markdown
        self.report(problem)
        return None

    def _text(self, file: RecordFile, raw: bytes | None = None) -> YamlText:
        text, problems = (unread(file.name), []) if raw is None else read_yaml(raw, file.name)
        self.problems += problems
        self.texts[file.name] = text
        return text

    def _bytes(self, file: RecordFile) -> bytes | None:
        """The file's bytes, of a file that is too large only the first; None, and a problem, if it can't be read."""
        try:
            if not _is_plainly_a_file(file.place):
                _refuse_other_than_own_file(file.path, self.folder)
            with open(file.place, "rb", buffering=0) as opened:
                raw = opened.read(min(LARGEST_FILE, os.fstat(opened.fileno()).st_size) + 1)
        except (OSError, RuntimeError) as error:
            reason = getattr(error, "strerror", None)
            why = reason.lower() if reason else str(error)
            helps = " Allow your account to read it." if isinstance(error, PermissionError) else ""
            self.report(Problem(file.name, 1, "", "", f"This file can't be read: {why}.{helps}"))
            return None
        if self.seen:
            self.seen.digests[file.name] = digest_of(raw)
        return raw


def _key(digest: str, parts: object) -> str:
    return f"{digest} {parts!r}"


def _publishes_no_more_than(record: Record, raw: bytes) -> bool:
    """Does a cached record keep private all that its file may? The cache alone never decides what is published."""
    if b"\\" in raw or b"\0" in raw:  # a field's name may be escaped
        return False
    mentions = raw.count(b"public")
    if isinstance(record, Quilt):
        return mentions == (not record.public) + sum(not photo.public for photo in record.photos)
    return isinstance(record, Request) or (mentions == 0 and "public" not in record.model_fields_set)


class _LateText(YamlText):
    """The text of a file that is read only when needed, such as for the line of a problem."""

    def __init__(self, file: str, read: Callable[[], YamlText]):
        object.__setattr__(self, "file", file)
        object.__setattr__(self, "_read", read)

    _read: Callable[[], YamlText]

    @cached_property
    def _text(self) -> YamlText:
        return self._read()

    @property
    def data(self) -> Plain:
        return self._text.data

    @property
    def lines(self) -> dict[FieldPath, int]:
        return self._text.lines

    @property
    def lost(self) -> frozenset[FieldPath]:
        return self._text.lost


def _is_plainly_a_file(place: str) -> bool:
    """Is it an ordinary file, with neither itself nor its folder a link? Fast, because every file is checked."""
    try:
        return stat.S_ISREG(os.lstat(place).st_mode) and not os.path.islink(os.path.dirname(place))
    except OSError:
        return False


def _refuse_other_than_own_file(path: Path, folder: Path) -> None:
    """Raise OSError for a link out of the collection, and for anything but an ordinary file."""
    if path.is_symlink() or path.parent.is_symlink():
        if not _led_to(path).is_relative_to(real_path(folder)):
            raise OSError("it is a link to a place outside the collection. Put the file itself there")
        if not path.exists():
            raise OSError("it is a link to nothing. Put the file itself there")
    if not path.is_file():
        raise OSError("it is not an ordinary file. Put a file of text in its place")


def _led_to(path: Path) -> Path:
    try:
        return path.resolve(strict=False)
    except (OSError, RuntimeError):  # in Python 3.11 and 3.12, a link to itself raises RuntimeError
        raise OSError("it is a link that leads to itself. Put the file itself there") from None
