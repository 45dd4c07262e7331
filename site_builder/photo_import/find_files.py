"""Finds the pictures in a folder, and says why other files are left out. Does not read whole pictures."""

import os
import unicodedata
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from collection.problems import CollectionProblems, Problem
from collection.quotes import printable
from collection.storage.files import real_path
from site_builder.images.decode import HEIF_BRANDS, MOST_BYTES

MOST_PICTURES = 20_000
"""More than that is the wrong folder: a whole disk, for instance."""

# The suffixes of pictures; a picture with none of them is given the first of its kind.
ENDINGS = {
    "jpeg": (".jpg", ".jpeg", ".jpe", ".jfif", ".mpo"),
    "png": (".png",),
    "heif": (".heic", ".heif", ".hif"),
    "tiff": (".tif", ".tiff"),
    "webp": (".webp",),
    "avif": (".avif",),
    "gif": (".gif",),
    "bmp": (".bmp", ".dib"),
}
_OF_PICTURES = frozenset(ending for endings in ENDINGS.values() for ending in endings)
_RAW = frozenset(
    (".dng", ".cr2", ".cr3", ".crw", ".nef", ".nrw", ".arw", ".sr2", ".srf", ".raf", ".orf", ".rw2", ".pef", ".srw")
    + (".raw", ".3fr", ".iiq", ".x3f")
)
_LEFT_BEHIND = frozenset({"thumbs.db", "desktop.ini", "ehthumbs.db", "icon\r", "__macosx"})


@dataclass(frozen=True, slots=True)
class PictureFile:
    """A picture file. `name` is its path in the source, with forward slashes and printable; `folders` are those between
    the source and the file. `kind` is a key of `ENDINGS`, empty if the file's first bytes do not show it. `known_path`
    is its path in photos/ if it is in the collection already, and so is not copied."""

    path: Path
    name: str
    folders: tuple[str, ...]
    kind: str
    known_path: str = ""


@dataclass(frozen=True, slots=True)
class LeftOut:
    """A file that is not taken in, and why, in words for the person whose file it is."""

    name: str
    because: str


@dataclass(frozen=True, slots=True)
class Found:
    """The content of a source."""

    pictures: tuple[PictureFile, ...]
    left_out: tuple[LeftOut, ...]


LINK = "This is a link to another place, and links are not followed. Copy the picture itself here."
NO_PICTURE = "This is not a picture."
FILM = "This is a film. Take a still picture of it, or keep it elsewhere."
RAW = "This is a camera's raw file. Save it as JPEG with the program that came with the camera."
EMPTY = "This file is empty. Copying it again from the camera or phone usually helps."
NOT_ORDINARY = "This is not an ordinary file."
TOO_HEAVY = "This file is very large ({size:,} MB; at most {most:,} MB can be used). Save a smaller copy as JPEG."


def find_pictures(source: Path, *, but: Path | None = None) -> Found:
    """All pictures in a folder and its subfolders, in the order of their names; or the one picture.

    Hidden files and the folder `but` are skipped. Raises CollectionProblems if the source can't be read, or has more
    than `MOST_PICTURES`.
    """
    pictures: list[PictureFile] = []
    left_out: list[LeftOut] = []
    if not source.is_dir():
        files: Iterator[tuple[Path, tuple[str, ...]]] = iter([(source, ())])
    else:
        files = _files_below(source, (), real_path(but) if but else None, left_out)
    for path, folders in files:
        name = "/".join(map(printable, (*folders, path.name)))
        kind_or_reason = _kind(path)
        if isinstance(kind_or_reason, LeftOut):
            left_out.append(LeftOut(name, kind_or_reason.because))
        else:
            pictures.append(PictureFile(path, name, folders, kind_or_reason))
        if len(pictures) > MOST_PICTURES:
            remedy = f"There are more than {MOST_PICTURES:,} pictures here. Name a folder with those of your quilts."
            raise CollectionProblems([Problem(str(source), 1, "", "", remedy)])
    return Found(tuple(pictures), tuple(sorted(left_out, key=lambda each: natural(each.name))))


NaturalKey = tuple[tuple[tuple[int, int, str], ...], str]


def natural(name: str) -> NaturalKey:
    """A sort key that puts `IMG_9` before `IMG_10`, and names that differ only in capitals next to each other.

    >>> sorted(["b 10.jpg", "b 9.jpg", "B 1.jpg"], key=natural)
    ['B 1.jpg', 'b 9.jpg', 'b 10.jpg']
    """
    parts: list[tuple[int, int, str]] = []
    digits = ""
    for letter in unicodedata.normalize("NFC", name).casefold() + "\0":
        if letter.isascii() and letter.isdigit():
            digits += letter
            continue
        if digits:
            parts.append((0, int(digits), ""))
            digits = ""
        parts.append((1, 0, letter))
    return tuple(parts), name


def summed_up(left_out: tuple[LeftOut, ...], *, named: int = 3) -> Iterator[str]:
    """A line for each reason, with the first few of its files."""
    reasons = Counter(each.because for each in left_out)
    for because in reasons:
        names = [each.name for each in left_out if each.because == because]
        more = f" and {len(names) - named:,} more" if len(names) > named else ""
        yield f"{', '.join(names[:named])}{more}: {because}"


def _files_below(
    folder: Path, folders: tuple[str, ...], but: Path | None, left_out: list[LeftOut]
) -> Iterator[tuple[Path, tuple[str, ...]]]:
    try:
        with os.scandir(folder) as entries:
            found = sorted(entries, key=lambda entry: natural(entry.name))
    except OSError as error:
        if not folders:
            raise
        left_out.append(LeftOut("/".join(map(printable, folders)), f"This folder can't be read: {error.strerror}."))
        return
    for entry in found:
        if entry.name.startswith(".") or entry.name.casefold() in _LEFT_BEHIND:
            continue
        path = Path(entry.path)
        if entry.is_dir(follow_symlinks=False):
            if but is None or real_path(path) != but:
                yield from _files_below(path, (*folders, entry.name), but, left_out)
        else:
            yield path, folders


def _kind(path: Path) -> str | LeftOut:
    """The kind of picture by the file's first bytes; empty if only its suffix is that of a picture."""
    ending = path.suffix.casefold()
    if path.is_symlink():
        return LeftOut("", LINK)
    if not path.is_file():
        return LeftOut("", NOT_ORDINARY)
    try:
        size = path.stat().st_size
        with path.open("rb") as file:
            head = file.read(16)
    except OSError as error:
        return LeftOut("", f"This file can't be read: {error.strerror}.")
    kind = kind_of(head)
    if ending in _RAW:
        return LeftOut("", RAW)
    if not kind and ending not in _OF_PICTURES:
        return LeftOut("", FILM if _is_film(head) else NO_PICTURE)
    if not size:
        return LeftOut("", EMPTY)
    if size > MOST_BYTES:
        return LeftOut("", TOO_HEAVY.format(size=size // 1_000_000, most=MOST_BYTES // 1_000_000))
    return kind


def kind_of(head: bytes) -> str:
    """Which kind of picture begins like this (16 bytes), empty for none.

    >>> kind_of(bytes.fromhex("ffd8ffe0")), kind_of(b"%PDF-1.7")
    ('jpeg', '')
    """
    if head[4:8] == b"ftyp":
        return "heif" if head[8:12] in HEIF_BRANDS else "avif" if head[8:12] in (b"avif", b"avis") else ""
    if head[:4] == b"RIFF":
        return "webp" if head[8:12] == b"WEBP" else ""
    marks = {b"\xff\xd8\xff": "jpeg", b"\x89PNG\r\n\x1a\n": "png", b"GIF8": "gif", b"II*\0": "tiff", b"MM\0*": "tiff"}
    if head[:2] == b"BM" and head[6:10] == bytes(4):
        return "bmp"
    return next((kind for mark, kind in marks.items() if head.startswith(mark)), "")


def _is_film(head: bytes) -> bool:
    return head[4:8] in (b"ftyp", b"moov", b"mdat", b"wide") or head[:4] in (b"RIFF", b"\x1a\x45\xdf\xa3")
