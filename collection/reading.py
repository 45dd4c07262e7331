"""From a folder to a collection and everything that is wrong in it. The only module that reads."""

import unicodedata
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from collection.cross_checks import cross_check
from collection.holdings import Collection, Page
from collection.problems import CollectionProblems, Problem
from collection.records.partner import Partner
from collection.records.quilt import Quilt
from collection.records.request import Request
from collection.records.settings import Settings
from collection.validation import validate
from collection.yaml_text import YamlText, read_yaml

SETTINGS_FILE = "collection.yaml"
FOLDERS = ("quilts", "photos", "partners", "requests", "pages")

# Names that some systems keep for devices: a file so called can't be copied there.
_RESERVED = {"con", "prn", "aux", "nul"} | {f"{n}{i}" for n in ("com", "lpt") for i in range(1, 10)}


@dataclass(frozen=True)
class Reading:
    """A collection, the text that each record came from, and what is wrong."""

    collection: Collection
    texts: Mapping[str, YamlText]
    problems: tuple[Problem, ...]

    @property
    def errors(self) -> tuple[Problem, ...]:
        return tuple(problem for problem in self.problems if problem.severity == "error")

    @property
    def warnings(self) -> tuple[Problem, ...]:
        return tuple(problem for problem in self.problems if problem.severity == "warning")


def read_collection(folder: Path) -> Reading:
    """Read a whole folder. Never raises for what stands in a file: that becomes a problem.

    Raises CollectionProblems when the folder itself is not there or is no collection at all.
    """
    _refuse_what_is_no_collection(folder)
    reader = _Reader(folder)
    settings = reader.settings()
    partners = reader.records("partners", Partner, settings, lambda data: settings.units)
    requests = reader.records(
        "requests", Request, settings, lambda data: _units_of_partner(partners, data, settings)
    )
    collection = Collection(
        folder=folder,
        settings=settings,
        quilts=reader.records("quilts", Quilt, settings, lambda data: settings.units),
        partners=partners,
        requests=requests,
        pages=reader.pages(),
        photos=frozenset(_files_below(folder / "photos")),
    )
    problems = reader.problems + cross_check(collection, reader.texts)
    return Reading(collection, reader.texts, tuple(sorted(set(problems))))


def _refuse_what_is_no_collection(folder: Path) -> None:
    if not folder.is_dir():
        remedy = "There is no such folder. Name the folder that holds collection.yaml and quilts/."
        raise CollectionProblems([Problem(str(folder), 1, "", "", remedy)])
    if not (folder / SETTINGS_FILE).exists() and not (folder / "quilts").is_dir():
        remedy = (
            "This folder holds no collection: there is neither collection.yaml nor a folder quilts/. "
            "Name another folder, or begin one with a file such as quilts/low-tide.yaml."
        )
        raise CollectionProblems([Problem(str(folder), 1, "", "", remedy)])


def _units_of_partner(partners: Mapping[str, Partner], data: object, settings: Settings) -> str:
    name = data.get("partner") if isinstance(data, dict) else None
    partner = partners.get(name) if isinstance(name, str) else None
    return (partner.units if partner else None) or settings.units


class _Reader:
    """Reads one folder, and gathers problems and texts as it goes."""

    def __init__(self, folder: Path):
        self.folder = folder
        self.problems: list[Problem] = []
        self.texts: dict[str, YamlText] = {}

    def settings(self) -> Settings:
        if not (self.folder / SETTINGS_FILE).exists():
            return Settings()
        text = self._text(SETTINGS_FILE)
        units, currency = (
            text.data.get(key) if isinstance(text.data, dict) else None for key in ("units", "currency")
        )
        sound, problems = validate(
            Settings,
            text,
            units=units if units in ("in", "cm") else "in",
            currency=currency if isinstance(currency, str) else "USD",
        )
        self.problems += problems
        return sound or Settings()

    def records(self, kind_folder: str, kind: type, settings: Settings, units_of) -> dict:
        """All sound records of one folder, by ID."""
        records = {}
        for name, record_id in self._record_files(kind_folder):
            text = self._text(name)
            units = text.data.get("units") if isinstance(text.data, dict) else None
            record, problems = validate(
                kind,
                text,
                units=units if units in ("in", "cm") else units_of(text.data),
                currency=settings.currency,
                id=record_id,
            )
            self.problems += problems
            if record is not None:
                records[record_id] = record
        return records

    def pages(self) -> dict[str, Page]:
        pages = {}
        for name, page_id in self._record_files("pages", ending=".md"):
            raw = self._bytes(name)
            try:
                markdown = raw.decode("utf-8-sig")
            except UnicodeDecodeError as error:
                line = raw.count(b"\n", 0, error.start) + 1
                remedy = "This line has a character that is not UTF-8. Save the file as UTF-8."
                self.problems.append(Problem(name, line, "", "", remedy))
                continue
            first = next((line for line in markdown.splitlines() if line.strip()), "")
            title = first.lstrip("# ").strip() if first.startswith("# ") else page_id.replace("-", " ").capitalize()
            pages[page_id] = Page(page_id, title, markdown)
        return pages

    def _text(self, name: str) -> YamlText:
        text, problems = read_yaml(self._bytes(name), name)
        self.problems += problems
        self.texts[name] = text
        return text

    def _bytes(self, name: str) -> bytes:
        path = self.folder / name
        try:
            if not path.resolve().is_relative_to(self.folder.resolve()):
                raise OSError("it is a link to a place outside the collection")
            if not path.is_file():
                raise OSError("it is not an ordinary file")
            with path.open("rb") as file:
                return file.read()
        except OSError as error:
            remedy = f"The file can't be read: {error.strerror or error}."
            self.problems.append(Problem(name, 1, "", "", remedy))
            return b""

    def _record_files(self, folder: str, ending: str = ".yaml") -> Iterator[tuple[str, str]]:
        """The name and ID of each record file of one folder, sorted; others are told."""
        path = self.folder / folder
        if not path.is_dir():
            return
        for entry in sorted(path.iterdir(), key=lambda entry: entry.name):
            name = f"{folder}/{entry.name}"
            if entry.name.startswith(".") or entry.name.endswith("~"):
                continue
            if entry.is_dir():
                self._tell(name, "Records lie directly in this folder; move its files up.")
            elif entry.suffix == ending:
                if self._is_sound_id(entry.stem, name):
                    yield name, entry.stem
            elif entry.suffix.lower() in (".yml", ".yaml", ".md", ".markdown", ".txt"):
                self._tell(name, f"Files here end in {ending}; rename it to {entry.stem}{ending}.")

    def _tell(self, name: str, remedy: str) -> None:
        self.problems.append(Problem(name, 1, "", "", remedy))

    def _is_sound_id(self, stem: str, name: str) -> bool:
        """A file's name is part of a web address, and has to survive a copy to any system."""
        plain = unicodedata.normalize("NFC", stem).lower()
        proposal = "-".join("".join(c if c.isalnum() else " " for c in plain).split())
        if stem in _RESERVED:
            self._tell(name, f"Some systems keep the name {stem} for themselves; choose another.")
        elif stem != proposal or len(stem.encode()) > 100:
            self._tell(
                name,
                "The file's name becomes the address of its page: use lower-case letters, digits and "
                f"single hyphens, such as {proposal[:50] or 'low-tide'}.",
            )
        else:
            return True
        return False


def _files_below(folder: Path) -> Iterator[str]:
    """The names of all files below a folder, with forward slashes, hidden ones left out."""
    if folder.is_dir():
        for path in sorted(folder.rglob("*")):
            relative = path.relative_to(folder)
            if path.is_file() and not any(part.startswith(".") for part in relative.parts):
                yield relative.as_posix()
