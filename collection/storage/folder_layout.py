"""Finds the record files and photos in a folder, and reports invalid file names."""

import errno
import os
import re
import unicodedata
from collections.abc import Callable, Iterable, Iterator
from itertools import count
from pathlib import Path
from typing import NamedTuple

from collection.problems import Problem, Severity, nearest_word
from collection.quotes import printable
from collection.storage.files import real_path

SETTINGS_FILE = "collection.yaml"
FOLDERS = ("quilts", "photos", "partners", "requests", "pages")

_LONGEST_ID = 100
# Device names that some systems reserve: a file of this name can't be copied there.
RESERVED_NAMES = {"con", "prn", "aux", "nul"} | {f"{name}{n}" for name in ("com", "lpt") for n in "123456789¹²³"}
# Files that operating systems and editors leave behind.
_LEFT_BY_SYSTEMS = ("thumbs.db", "desktop.ini")
_ENDINGS_LEFT_ALONE = ("~", ".bak", ".orig", ".swp", ".tmp")
_ENDINGS_OF_TEXT = (".yaml", ".yml", ".md", ".markdown", ".txt", ".text", ".json", "")


def is_left_alone(name: str) -> bool:
    """Is this the name of a file that an operating system or an editor leaves behind?

    >>> [name for name in (".DS_Store", "ebb.yaml~", "#ebb.yaml#", "ebb.Bak", "ebb.yaml") if is_left_alone(name)]
    ['.DS_Store', 'ebb.yaml~', '#ebb.yaml#', 'ebb.Bak']
    """
    small = name.lower()
    return (
        small.startswith(".")
        or small.endswith(_ENDINGS_LEFT_ALONE)
        or small in _LEFT_BY_SYSTEMS
        or (small[0] == small[-1] == "#" and len(small) > 1)
    )


class RecordFile(NamedTuple):
    """A file with a valid name. `name` is its name in problems: `quilts/low-tide.yaml`."""

    name: str
    id: str
    place: str

    @property
    def path(self) -> Path:
        return Path(self.place)


def record_files(
    collection: Path, folder: str, report: Callable[[Problem], None], *, ending: str = ".yaml"
) -> list[RecordFile]:
    """The record files of one folder, sorted by ID; anything else in it is reported."""
    found: dict[str, RecordFile] = {}
    misnamed: list[os.DirEntry[str]] = []
    for entry in _entries(collection / folder, folder, report):
        stem, suffix = os.path.splitext(entry.name)
        record_id = unicodedata.normalize("NFC", stem)
        name = f"{folder}/{record_id}{ending}"
        if _is_folder(entry):
            report(_about(folder, entry, f"What is read lies directly in {folder}/. Move the files of this folder up."))
        elif suffix != ending or record_id != sound_id(stem) or _refused(record_id):
            misnamed.append(entry)
        elif record_id in found:
            remedy = "Two files have this name, their accents stored in different ways. Rename or remove one."
            report(_about(folder, entry, remedy))
        else:
            found[record_id] = RecordFile(name, record_id, entry.path)
    for entry in misnamed:
        report(_about_name(folder, entry, ending, taken=found))
    return [found[record_id] for record_id in sorted(found)]


def misplaced(collection: Path, report: Callable[[Problem], None]) -> None:
    """Report files and folders whose names are nearly right, and which are therefore not read."""
    for entry in _entries(collection, ".", report):
        small = entry.name.lower()
        if _is_folder(entry):
            near = None if entry.name in FOLDERS else nearest_word(small, FOLDERS, alike=0.8)
            if near is not None:
                remedy = f"This folder is not read, as its name is not {near}. Rename it, or move its files there."
                report(Problem(printable(entry.name), 1, "", "", remedy))
        elif re.fullmatch(r"collection(\.(ya?ml|txt|text))*", small) and entry.name != SETTINGS_FILE:
            remedy = f"This file is not read, as its name is not {SETTINGS_FILE}. Rename it."
            report(Problem(printable(entry.name), 1, "", "", remedy))


def _entries(path: Path, name: str, report: Callable[[Problem], None]) -> Iterable[os.DirEntry[str]]:
    """The entries of a folder, sorted by name; none if there is no such folder."""
    try:
        with os.scandir(path) as entries:
            return sorted((entry for entry in entries if not is_left_alone(entry.name)), key=lambda entry: entry.name)
    except FileNotFoundError:
        if not path.is_symlink():
            return []
        remedy = "This folder is a link to nothing. Put the folder itself there, or take the link away."
    except NotADirectoryError:
        remedy = "A file stands where a folder of this name is needed. Move it elsewhere, or rename it."
    except OSError as error:
        helps = " Allow your account to read it." if isinstance(error, PermissionError) else ""
        remedy = f"This folder can't be read: {(error.strerror or str(error)).lower()}.{helps}"
        if error.errno == errno.ELOOP:
            remedy = "This folder is a link that leads to itself. Put the folder itself there."
    report(Problem(name, 1, "", "", remedy))
    return []


def _is_folder(entry: os.DirEntry[str]) -> bool:
    try:
        return entry.is_dir()
    except OSError:
        return False


def _about(folder: str, entry: os.DirEntry[str], remedy: str, severity: Severity = "error") -> Problem:
    return Problem(f"{folder}/{printable(entry.name)}", 1, "", "", remedy, severity)


def _about_name(folder: str, entry: os.DirEntry[str], ending: str, taken: Iterable[str]) -> Problem:
    stem, suffix = os.path.splitext(entry.name)
    if suffix.lower() not in _ENDINGS_OF_TEXT:
        where = "Photos go into photos/." if ending == ".yaml" else "Move it elsewhere."
        return _about(folder, entry, f"This file is not read: here files end in {ending}. {where}", "warning")
    while suffix and suffix.lower() in _ENDINGS_OF_TEXT:
        stem, suffix = os.path.splitext(stem)
    wanted = sound_id(stem + suffix)
    rename = f"Rename it, such as to {free_id(wanted, taken)}{ending}."
    if wanted in taken:
        other = f"{free_id(wanted, taken)}{ending}"
        rename = f"There is a {wanted}{ending} already: take one out, or rename this one to {other}."
    if _refused(sound_id(stem)):
        return _about(folder, entry, f"{_refused(sound_id(stem))} {rename}")
    if not entry.name.endswith(ending) or entry.name.count(".") > 1:
        return _about(folder, entry, f"This file is not read: here files end in {ending}. {rename}")
    rule = "A file's name becomes the address of its page: write small letters, digits and single hyphens."
    return _about(folder, entry, f"{rule} {rename}")


def sound_id(stem: str) -> str:
    """A valid ID for a name: lower-case letters of any script, digits and single hyphens.

    >>> sound_id("Low Tide_(2)"), sound_id("Blåbær")
    ('low-tide-2', 'blåbær')
    """
    if stem.isascii() and stem == stem.lower() and all(map(str.isalnum, stem.split("-"))):
        return stem
    small = unicodedata.normalize("NFC", unicodedata.normalize("NFC", stem).lower())
    plain = (c if c.isalnum() or unicodedata.category(c).startswith("M") else " " for c in small)
    return "-".join("".join(plain).split())


def _refused(record_id: str) -> str | None:
    """Why a validly spelled ID can't be used; None if it can."""
    if record_id in RESERVED_NAMES:
        return f"Some systems keep the name {record_id} for themselves."
    if len(record_id.encode(errors="replace")) > _LONGEST_ID:
        return "This name is too long: it becomes the address of its page."
    return None


def free_id(record_id: str, taken: Iterable[str]) -> str:
    """The ID, shortened if it is too long, and with a number if it is taken."""
    short = record_id or "low-tide"
    while len(short.encode()) > _LONGEST_ID - len("-999999"):
        short = short[:-1].strip("-")
    if short in RESERVED_NAMES:
        short = f"{short}-quilt"
    numbered = (f"{short}-{n}" for n in count(2))
    return short if short not in taken else next(name for name in numbered if name not in taken)


# Photos -----------------------------------------------------------------------------------------


def photo_files(collection: Path, report: Callable[[Problem], None]) -> frozenset[str]:
    """The names of all files in photos/ and its folders, with forward slashes; hidden files are left out.

    A link out of photos/ is reported and not followed: a collection from someone else must not show other files of
    this machine.
    """
    root = collection / "photos"
    return frozenset(_files_below(root, root, "photos", "", report))


def _files_below(root: Path, path: Path, name: str, before: str, report: Callable[[Problem], None]) -> Iterator[str]:
    for entry in _entries(path, name, report):
        if entry.is_symlink() and _leads_out(entry, root):
            remedy = "This is a link to a place outside the photos folder, which is not followed. Put the photos themselves there."
            report(_about(name, entry, remedy, "warning"))
        elif entry.is_dir(follow_symlinks=False):
            deeper = f"{name}/{printable(entry.name)}"
            yield from _files_below(root, Path(entry.path), deeper, f"{before}{entry.name}/", report)
        elif _is_file(entry):
            yield before + entry.name


def _leads_out(link: os.DirEntry[str], root: Path) -> bool:
    """Does a link lead out of `root`? A link to nothing or to itself does not."""
    try:
        return not Path(link.path).resolve(strict=True).is_relative_to(real_path(root))
    except (OSError, RuntimeError):  # in Python 3.11 and 3.12, a link to itself raises RuntimeError
        return False


def _is_file(entry: os.DirEntry[str]) -> bool:
    try:
        return entry.is_file()
    except OSError:
        return False
