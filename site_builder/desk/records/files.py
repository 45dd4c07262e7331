"""The files that forms are made from: their text now, and when a form was made."""

from collections import OrderedDict
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import chain, count
from pathlib import Path
from unicodedata import normalize

from collection.forms.form import Kind, text_digest
from collection.problems import CollectionProblems, Problem
from collection.storage.files import link_on_the_way
from collection.storage.folder_layout import record_files
from collection.yaml_files.parser import LARGEST_FILE
from site_builder.text.urls import slug

FOLDER_OF: dict[Kind, str] = {"quilt": "quilts", "partner": "partners", "request": "requests"}
KIND_OF = {folder: kind for kind, folder in FOLDER_OF.items()}
REMEMBERED = 200


@dataclass(frozen=True, slots=True)
class RecordText:
    """A record's file: its name, and its content; None if it does not exist yet."""

    name: str
    content: bytes | None

    @property
    def text(self) -> str:
        return (self.content or b"").decode("utf-8", "surrogateescape")


def read_record(folder: Path, name: str) -> RecordText:
    """The file as it is now. Raises CollectionProblems if it can't be read."""
    path = folder / name
    try:
        if link := link_on_the_way(folder, name):
            raise _problem(
                name, f"{link} is a link to another place, which is not written through. Put the file itself there."
            )
        content = path.read_bytes() if path.exists() else None
    except OSError as error:
        raise _problem(name, f"The file can't be read: {error.strerror}.") from error
    if content is not None and len(content) > LARGEST_FILE:
        raise _problem(name, "This file is too large for a record. Part it, or look into what was written there.")
    return RecordText(name, content)


def _problem(name: str, remedy: str) -> CollectionProblems:
    return CollectionProblems([Problem(name, 1, "", "", remedy)])


class FormerTexts:
    """The texts that forms were made from, by digest, to find out what was changed meanwhile."""

    def __init__(self) -> None:
        self._texts: OrderedDict[str, str] = OrderedDict()

    def remember(self, text: str) -> None:
        digest = text_digest(text)
        self._texts[digest] = text
        self._texts.move_to_end(digest)
        while len(self._texts) > REMEMBERED:
            self._texts.popitem(last=False)

    def text(self, digest: str) -> str | None:
        return self._texts.get(digest)


def name_on_disk(folder: Path, kind: Kind, record_id: str) -> str | None:
    """The file of a record as the disk spells it, which may decompose accents; None if there is none."""
    if kind == "collection":
        return "collection.yaml"
    place = FOLDER_OF[kind]
    for file in record_files(folder, place, lambda problem: None):
        if file.id == record_id:
            return f"{place}/{file.path.name}"
    return None


def plain_name(name: str) -> str:
    """A title or name for comparison: capitals, blanks and the normal form of accents don't count.

    >>> plain_name(" Low  tide") == plain_name("Low Tide")
    True
    """
    return " ".join(normalize("NFC", name).casefold().split())


def new_id(words: str, taken: Iterable[str]) -> str:
    """A new record's ID from its title or name: small letters, digits and hyphens, and not in use.

    >>> new_id("Grandmother's Garden", ["grandmothers-garden"]), new_id("?", [])
    ('grandmothers-garden-2', 'unnamed')
    """
    taken = set(taken)
    begun = slug(words)[:40].strip("-")
    numbered = chain([begun], (f"{begun}-{number}" for number in count(2)))
    return next(each for each in numbered if each not in taken)
