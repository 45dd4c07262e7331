"""From a folder to a collection and everything that is wrong in it. The only module that reads."""

import os
import stat
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path
from typing import Any, TypeVar

from collection.cross_checks import cross_check
from collection.bare_numbers import currency_of, units_of, units_of_partner
from collection.disk import real_path
from collection.file_stamps import SeenFiles, digest_of
from collection.holdings import Collection, Page
from collection.one_state import one_state
from collection.problems import CollectionProblems, Problem
from collection.record_cache import RecordCache
from collection.record_files import FOLDERS, SETTINGS_FILE, RecordFile, misplaced, photo_files, record_files
from collection.records.fields import Identified, Record
from collection.records.partner import Partner
from collection.records.quilt import Quilt
from collection.records.request import Request
from collection.records.settings import Settings
from collection.several_processes import WORTH_IT, made_by_several
from collection.validation import validate, validate_the_rest
from collection.yaml_text import LARGEST_FILE, YamlText, read_text, read_yaml, unread

__all__ = ["FOLDERS", "SETTINGS_FILE", "Reading", "read_collection"]

# Some twenty pages of a book: of what is longer, Markdown takes its time.
LONGEST_PAGE = 60_000

Kind = TypeVar("Kind", bound=Record)


@dataclass(frozen=True)
class Reading:
    """A collection, the text that each record came from, and what is wrong.

    `healed` are the files of a change that had been interrupted, and was finished before they were read.
    `seen` are the files as they were just before they were read, with the digest of each record's content.
    """

    collection: Collection
    texts: Mapping[str, YamlText]
    problems: tuple[Problem, ...]
    healed: tuple[str, ...] = ()
    seen: SeenFiles | None = None

    @property
    def errors(self) -> tuple[Problem, ...]:
        return tuple(problem for problem in self.problems if problem.severity == "error")

    @property
    def warnings(self) -> tuple[Problem, ...]:
        return tuple(problem for problem in self.problems if problem.severity == "warning")


Look = Callable[[], tuple[SeenFiles, RecordCache]]


def read_collection(folder: Path, look: Look | None = None, jobs: int = 1) -> Reading:
    """Read a whole folder, while nothing writes to it. Never raises for what stands in a file: that becomes a problem.

    Raises CollectionProblems when the folder itself is not there or is no collection at all, when a
    change that was interrupted can't be finished, or another run is writing for too long.

    `look`, called when nothing writes to the folder any more, says what the files look like and what was
    read of them before: of a file that holds the same, no record is made again. Many others are then
    read in as many processes as `jobs` says.
    """
    _refuse_what_is_no_collection(folder)
    with one_state(folder) as healed:
        return replace(_read(folder, *(look() if look else (None, None)), jobs), healed=healed)


def _read(folder: Path, seen: SeenFiles | None, cache: RecordCache | None, jobs: int) -> Reading:
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
        photos=photo_files(folder, reader.tell),
    )
    half_sound = replace(collection, quilts=quilts.rest, partners=partners.rest, requests=requests.rest)
    problems = reader.problems + cross_check(collection, reader.texts, half_sound)
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
class _Records:
    """The records of one folder by ID: the sound ones, and of the others what is sound in them."""

    sound: dict[str, Any]
    rest: dict[str, Any]


class _Reader:
    """Reads one folder, and gathers problems and texts as it goes."""

    def __init__(self, folder: Path, seen: SeenFiles | None, cache: RecordCache | None, jobs: int):
        self.folder = folder
        self.seen = seen
        self.cache = cache
        self.jobs = jobs
        self.problems: list[Problem] = []
        self.tell = self.problems.append
        self.texts: dict[str, YamlText | _LateText] = {}
        misplaced(folder, self.tell)

    def settings(self) -> Settings:
        """The settings; of unsound ones what is sound, so that what hangs on them is not told as wrong too."""
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
        self, folder: str, kind: type[Identified], settings: Settings, units: Callable[[object], str], hangs_on: object = ()
    ) -> _Records:
        """The records in a folder, with the units of bare numbers in the data of each, and what these hang on."""
        records = _Records({}, {})
        files = tuple(record_files(self.folder, folder, self.tell))
        all_hang_on = settings.units, settings.named_currency, hangs_on

        def known(file: RecordFile) -> Callable[[object], dict[str, str]]:
            return lambda data: {"units": units(data), "currency": settings.named_currency, "id": file.id}

        self._read_ahead(kind, files, known, all_hang_on)
        for file in files:
            sound, rest = self._record(kind, file, known(file), all_hang_on)
            if sound is not None:
                records.sound[file.id] = sound
            elif rest is not None:
                records.rest[file.id] = rest
        return records

    def _read_ahead(
        self,
        kind: type[Identified],
        files: Sequence[RecordFile],
        known: Callable[[RecordFile], Callable[[object], dict[str, str]]],
        hangs_on: object,
    ) -> None:
        """Keep the sound records among many files that were not kept before, so that they are not read again."""
        if self.seen is None or self.cache is None or self.jobs < 2:
            return
        new = [file for file in files if not ((key := self._key(file, hangs_on)) and self.cache.find(file.name, key))]
        if len(new) < WORTH_IT:
            return

        def read(number: int) -> tuple[Record | None, list[Problem], str | None]:
            file, before = new[number], len(self.problems)
            record, _ = self._record(kind, file, known(file), hangs_on)
            return record, self.problems[before:], self.seen.digests.get(file.name)

        for number, (record, problems, digest) in made_by_several(read, len(new), self.jobs):
            if record is not None and digest:
                self.seen.digests[new[number].name] = digest
                self.cache.keep(new[number].name, self._key(new[number], hangs_on), record, tuple(problems))

    def _record(
        self, kind: type[Kind], file: RecordFile, known: Callable[[object], dict[str, str]], hangs_on: object = ()
    ) -> tuple[Kind | None, Kind | None]:
        """A record; or, if it is not sound, what is sound in it.

        `known` says what is known beside the data of its file, and `hangs_on` what that hangs on. A record that was
        kept of the same content, and hung on the same, is not made again.
        """
        raw = self._bytes(file)
        if raw is not None and (kept := self._kept(file, raw, hangs_on)):
            record, problems = kept
            self.problems += problems
            self.texts[file.name] = _LateText(lambda: self._text(file, self._bytes(file)))
            return record, None
        text = self._text(file, raw)
        beside = known(text.data)
        record, problems = validate(kind, text, **beside)
        self.problems += problems
        if record is None:
            return None, validate_the_rest(kind, text, **beside)
        if self.cache and (key := self._key(file, hangs_on)):
            self.cache.keep(file.name, key, record, tuple(problems))
            # Of many records the texts would take more room than all else; hardly one is asked for.
            self.texts[file.name] = _LateText(lambda: self._text(file, self._bytes(file)))
        return record, None

    def _kept(self, file: RecordFile, raw: bytes, hangs_on: object) -> tuple[Record, tuple[Problem, ...]] | None:
        """What was kept of a file with this content, unless it may say otherwise what can go out."""
        key = self._key(file, hangs_on) if self.cache else None
        kept = self.cache.find(file.name, key) if key else None
        return kept if kept and _holds_back_what_it_says(kept[0], raw) else None

    def _key(self, file: RecordFile, hangs_on: object) -> str | None:
        digest = self.seen.digests.get(file.name) if self.seen else None
        return f"{digest} {hangs_on!r}" if digest else None

    def pages(self) -> dict[str, Page]:
        pages = {}
        for file in record_files(self.folder, "pages", self.tell, ending=".md"):
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
        if len(raw) > LARGEST_FILE:
            return self._refuse_long_page(file)
        markdown, problem = read_text(raw, file.name)
        if problem is not None:
            self.tell(problem)
        elif len(markdown) > LONGEST_PAGE:
            return self._refuse_long_page(file)
        return None if problem else markdown

    def _refuse_long_page(self, file: RecordFile) -> None:
        remedy = f"This page is longer than {LONGEST_PAGE:,} characters. Part it in two."
        self.tell(Problem(file.name, 1, "", "", remedy))

    def _text(self, file: RecordFile, raw: bytes | None = None) -> YamlText:
        text, problems = (unread(file.name), []) if raw is None else read_yaml(raw, file.name)
        self.problems += problems
        self.texts[file.name] = text
        return text

    def _bytes(self, file: RecordFile) -> bytes | None:
        """The file's bytes, of one that is too large only the beginning; None, and a problem, when it can't be read."""
        try:
            if not _is_plainly_a_file(file.place):
                _refuse_other_than_own_file(file.path, self.folder)
            with open(file.place, "rb", buffering=0) as opened:
                raw = opened.read(min(LARGEST_FILE, os.fstat(opened.fileno()).st_size) + 1)
        except (OSError, RuntimeError) as error:
            told = getattr(error, "strerror", None)
            why = told.lower() if told else str(error)
            helps = " Allow your account to read it." if isinstance(error, PermissionError) else ""
            self.tell(Problem(file.name, 1, "", "", f"This file can't be read: {why}.{helps}"))
            return None
        if self.seen:
            self.seen.digests[file.name] = digest_of(raw)
        return raw


def _holds_back_what_it_says(record: Record, raw: bytes) -> bool:
    """Whether a record that was kept holds back all that its file, as it is now, may want held back. What can go out is
    never decided by what was kept alone."""
    if b"\\" in raw or b"\0" in raw:  # a name may be written otherwise
        return False
    says = raw.count(b"public")
    if isinstance(record, Quilt):
        return says == (not record.public) + sum(not photo.public for photo in record.photos)
    return isinstance(record, Request) or (says == 0 and "public" not in record.model_fields_set)


class _LateText:
    """The text of a file whose record was known: it is read only when a problem has to be told at its line."""

    def __init__(self, read: Callable[[], YamlText]):
        self._read = read

    @cached_property
    def _text(self) -> YamlText:
        return self._read()

    def __getattr__(self, name: str) -> Any:
        return getattr(self._text, name)


def _is_plainly_a_file(place: str) -> bool:
    """Neither it nor its folder is a link: so it can't lead anywhere else. There are many, and each is asked."""
    try:
        return stat.S_ISREG(os.lstat(place).st_mode) and not os.path.islink(os.path.dirname(place))
    except OSError:
        return False


def _refuse_other_than_own_file(path: Path, folder: Path) -> None:
    """Raise OSError for what would lead out of the collection, or would never end."""
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
    except (OSError, RuntimeError):  # In older Pythons a link that leads to itself is a RuntimeError.
        raise OSError("it is a link that leads to itself. Put the file itself there") from None
