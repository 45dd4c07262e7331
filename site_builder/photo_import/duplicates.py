"""Finds duplicates among imported pictures: the same picture, or a quilt of the same name."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Literal

from collection.records.collection import Collection
from collection.vocabulary.word_forms import words_of
from site_builder.photo_import.grouping import Group
from site_builder.photo_import.inspect import SeenPicture
from site_builder.photo_import.similarity import Similarity, same_picture

Decision = Literal["skip", "new", "add"]


@dataclass(frozen=True, slots=True)
class Duplicate:
    """A group that may be a quilt that exists already; `says` describes what was found.

    `quilt` is the ID of the quilt in the collection, or with `is_draft` the first picture of another draft; it is empty
    if no quilt names the photo in the collection. `same` are the group's pictures that exist already, each with the
    name of the other; `others` is the number of the rest.
    """

    group: Group
    quilt: str
    title: str
    says: str
    same: tuple[tuple[SeenPicture, str], ...]
    is_draft: bool = False

    @property
    def others(self) -> int:
        return len(self.group.pictures) - len(self.same)

    @property
    def choices(self) -> tuple[Decision, ...]:
        """The possible decisions: pictures that all exist already can't be added."""
        return ("skip", "new", "add") if self.quilt and self.others else ("skip", "new")


Decide = Callable[[Duplicate], Decision]


def skip(meeting: Duplicate) -> Decision:
    """The decision if nobody can be asked."""
    return "skip"


class KnownPictures:
    """The photos of a collection, and the quilts that name them."""

    def __init__(self, collection: Collection, duplicates: Mapping[str, Similarity]):
        self.duplicates = duplicates
        self.by_digest = {likeness.digest: name for name, likeness in sorted(duplicates.items(), reverse=True)}
        self.quilts: dict[str, str] = {}
        for quilt in collection.quilts.values():
            for photo in quilt.photos:
                self.quilts.setdefault(photo.file, quilt.id)
        self.titles = {quilt.id: quilt.title for quilt in collection.quilts.values()}
        self.by_words: dict[frozenset[str], str] = {}
        for quilt in collection.quilts.values():
            for name in (quilt.title, quilt.id, *quilt.also_called):
                self.by_words.setdefault(_words(name), quilt.id)

    def meeting(self, group: Group) -> Duplicate | None:
        """The duplicate of a group in the collection, by its pictures first, then by its name."""
        same = [(picture, name) for picture in group.pictures if (name := self._photo_like(picture)) is not None]
        if same:
            picture, name = next((each for each in same if each[1] in self.quilts), same[0])
            quilt = self.quilts.get(name, "")
            title = self.titles.get(quilt, "")
            where = f"a photo of {title}" if quilt else "which no quilt names"
            says = f"{picture.file.name} is the same picture as photos/{name}, {where}."
            return Duplicate(group, quilt, title, says, tuple(same))
        named = self.by_words.get(_words(group.title)) if group.title else None
        if named is None:
            return None
        title = self.titles[named]
        says = f"{group.name}: a quilt called {title} is in the collection already (quilts/{named}.yaml)."
        return Duplicate(group, named, title, says, ())

    def _photo_like(self, picture: SeenPicture) -> str | None:
        exact = self.by_digest.get(picture.likeness.digest)
        if exact is not None:
            return exact
        alike = [name for name, other in self.duplicates.items() if same_picture(picture.likeness, other)]
        return min(alike, key=lambda name: (name not in self.quilts, name), default=None)


def meeting_of_drafts(group: Group, earlier: Iterable[Group]) -> Duplicate | None:
    """The duplicate of a group among earlier groups of the same source, by a picture."""
    for other in earlier:
        same = [
            (picture, there.file.name)
            for picture in group.pictures
            for there in other.pictures
            if same_picture(picture.likeness, there.likeness)
        ]
        if same:
            says = f"{same[0][0].file.name} is the same picture as {same[0][1]}."
            once = {picture.file.name: (picture, name) for picture, name in reversed(same)}
            first = other.pictures[0].file.name
            return Duplicate(group, first, other.title or other.name, says, tuple(once.values()), is_draft=True)
    return None


def without_repeats(group: Group) -> tuple[Group, tuple[tuple[SeenPicture, str], ...]]:
    """The group with each picture once, in its largest version; and its other versions, each with the kept one's name."""
    kept: list[SeenPicture] = []
    repeats: list[tuple[SeenPicture, str]] = []
    by_worth = sorted(group.pictures, key=lambda p: (-p.width * p.height, p.name.is_version, len(p.file.name)))
    for picture in by_worth:
        same = next((other for other in kept if same_picture(picture.likeness, other.likeness)), None)
        if same is None:
            kept.append(picture)
        else:
            repeats.append((picture, same.file.name))
    pictures = tuple(picture for picture in group.pictures if picture in kept)
    return Group(pictures, group.title, group.because), tuple(repeats)


def _words(name: str) -> frozenset[str]:
    return words_of(name.replace("-", " ")) - {"quilt"} or words_of(name)
