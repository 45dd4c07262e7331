"""The plan of a photo import: new records, photos added to records, and skipped pictures, each with its reason."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path

from collection.problems import CollectionProblems, Problem
from collection.records.collection import Collection
from collection.storage.folder_layout import record_files
from collection.storage.transaction import FileChanges
from collection.yaml_files.field_edits import EditProblem, set_field
from collection.yaml_files.parser import read_yaml
from site_builder.photo_import.drafts import Draft, DraftPhoto, Places, draft_of, photos_for
from site_builder.photo_import.duplicates import (
    Decide,
    Duplicate,
    KnownPictures,
    meeting_of_drafts,
    skip,
    without_repeats,
)
from site_builder.photo_import.find_files import LeftOut
from site_builder.photo_import.grouping import Doubt, Group, put_together
from site_builder.photo_import.inspect import SeenPicture
from site_builder.photo_import.similarity import Similarity


@dataclass(frozen=True, slots=True)
class Addition:
    """Photos that are added to a quilt of the collection."""

    quilt: str
    title: str
    photos: tuple[DraftPhoto, ...]


@dataclass(frozen=True, slots=True)
class Skipped:
    """A picture that is not taken in, as it, or its quilt, exists already."""

    name: str
    because: str
    quilt: str = ""


@dataclass(frozen=True, slots=True)
class Plan:
    """What an import writes, and what it leaves out. `doubts` are drafts that may be one quilt."""

    drafts: tuple[Draft, ...]
    additions: tuple[Addition, ...]
    skipped: tuple[Skipped, ...]
    left_out: tuple[LeftOut, ...]
    doubts: tuple[Doubt, ...] = ()

    @property
    def photos(self) -> tuple[DraftPhoto, ...]:
        """All photos that are added to the collection."""
        records: tuple[Draft | Addition, ...] = (*self.drafts, *self.additions)
        return tuple(photo for record in records for photo in record.photos)

    def as_data(self) -> dict[str, object]:
        """The plan for programs."""

        def entries(photos: Iterable[DraftPhoto]) -> list[dict[str, object]]:
            return [{"file": photo.file, "from": photo.came_as, "shows": photo.shows} for photo in photos]

        return {
            "drafts": [
                {
                    "quilt": draft.id,
                    "title": draft.title,
                    "named": draft.is_named,
                    "photos": entries(draft.photos),
                    "because": draft.because,
                }
                for draft in self.drafts
            ],
            "added": [{"quilt": each.quilt, "photos": entries(each.photos)} for each in self.additions],
            "skipped": [
                {"file": each.name, "because": each.because, "quilt": each.quilt or None} for each in self.skipped
            ],
            "left_out": [{"file": each.name, "because": each.because} for each in self.left_out],
            "doubts": [{"files": [names[0] for names in each.groups], "because": each.why} for each in self.doubts],
        }


def plan_intake(
    groups: Iterable[Group],
    collection: Collection,
    known: Mapping[str, Similarity],
    *,
    decide: Decide = skip,
    left_out: tuple[LeftOut, ...] = (),
    doubts: tuple[Doubt, ...] = (),
) -> Plan:
    """Plan what each group becomes. `known` are the similarities of the collection's photos, by name; `decide` is
    called for each duplicate."""
    sorter = _Sorter(KnownPictures(collection, known), decide)
    for group in groups:
        sorter.sort(group)
    places = Places(collection)
    drafts = tuple(draft_of(each.pictures, each.title, each.because, places) for each in sorter.new)
    additions = tuple(
        Addition(quilt, sorter.known.titles[quilt], photos_for(pictures, _folder_of(collection, quilt), places))
        for quilt, pictures in sorter.added.items()
    )
    return Plan(drafts, additions, tuple(sorter.skipped), left_out, _still_open(doubts, drafts))


def _still_open(doubts: Iterable[Doubt], drafts: Iterable[Draft]) -> tuple[Doubt, ...]:
    """The doubts about drafts of the plan, each draft given by its cover."""
    cover = {photo.came_as: draft.photos[0].came_as for draft in drafts for photo in draft.photos}
    left = []
    for doubt in doubts:
        covers = dict.fromkeys(cover[name] for names in doubt.groups for name in names if name in cover)
        if len(covers) > 1:
            left.append(Doubt(tuple((name,) for name in covers), doubt.why))
    return tuple(left)


class _Sorter:
    """Takes one group after another, and collects what each becomes."""

    def __init__(self, known: KnownPictures, decide: Decide):
        self.known = known
        self.decide = decide
        self.new: list[Group] = []
        self.added: dict[str, list[SeenPicture]] = {}
        self.skipped: list[Skipped] = []

    def sort(self, group: Group) -> None:
        group, repeats = without_repeats(group)
        self.skipped += (Skipped(p.file.name, f"The same picture as {name}.") for p, name in repeats)
        meeting = self.known.meeting(group)
        if meeting is not None:
            if not self._becomes_draft(meeting):
                return
        elif (meeting := meeting_of_drafts(group, self.new)) is not None:
            self._beside_draft(meeting)
            return
        self.new.append(group)

    def _becomes_draft(self, meeting: Duplicate) -> bool:
        """Ask about a group that is in the collection already; True if it still becomes a draft."""
        decision = self.decide(meeting)
        if decision == "new":
            return True
        same = {picture.file.name: name for picture, name in meeting.same}
        for picture in meeting.group.pictures:
            there = same.get(picture.file.name)
            if there is not None:
                because = f"The same picture as photos/{there}."
            elif decision == "add":
                self.added.setdefault(meeting.quilt, []).append(picture)
                continue
            elif meeting.same:
                because = f"It belongs to {meeting.same[0][0].file.name}, which is in the collection already."
            else:
                because = f"A quilt called {meeting.title} is in the collection already."
            self.skipped.append(Skipped(picture.file.name, because, meeting.quilt))
        return False

    def _beside_draft(self, meeting: Duplicate) -> None:
        """Ask about a group that shares a picture with an earlier draft: the picture stays in both, or in that draft."""
        decision = self.decide(meeting)
        same = {picture.file.name: name for picture, name in meeting.same}
        rest = tuple(picture for picture in meeting.group.pictures if picture.file.name not in same)
        if decision == "new":
            self.new.append(meeting.group)
            return
        self.skipped += (Skipped(name, f"The same picture as {there}.") for name, there in same.items())
        if rest and decision == "add":
            at = next(at for at, each in enumerate(self.new) if each.pictures[0].file.name == meeting.quilt)
            rest_group = Group(rest, meeting.group.title, meeting.group.because)
            self.new[at] = put_together([self.new[at], rest_group], "put together by you")
        elif rest:
            self.new.append(Group(rest, meeting.group.title, meeting.group.because))


def _folder_of(collection: Collection, quilt: str) -> str:
    """The folder of a quilt's photos, if they have one of their own; else the quilt's ID."""
    folders = {photo.file.rpartition("/")[0] for photo in collection.quilts[quilt].photos}
    own = folders.pop() if len(folders) == 1 else ""
    others = (p.file for each in collection.quilts.values() if each.id != quilt for p in each.photos)
    return own if own and not any(name.startswith(f"{own}/") for name in others) else quilt


# Writing ----------------------------------------------------------------------------------------


def file_changes(plan: Plan, collection: Collection) -> FileChanges:
    """The file changes of a plan, to be committed as one.

    Raises CollectionProblems if the record of a quilt can't be read, or can't be edited in place.
    """
    changes = FileChanges(collection.folder)
    for draft in plan.drafts:
        changes.add(f"quilts/{draft.id}.yaml", None, draft.text.encode())
    for addition in plan.additions:
        changes.add(*_with_photos(collection.folder, addition))
    for photo in plan.photos:
        if photo.source is not None:
            changes.add_copy(f"photos/{photo.file}", photo.source)
    return changes


def _with_photos(folder: Path, addition: Addition) -> tuple[str, bytes, bytes]:
    """The name of a quilt's file, its former bytes, and its new bytes."""
    file = next(file for file in record_files(folder, "quilts", lambda problem: None) if file.id == addition.quilt)
    name = f"quilts/{file.path.name}"
    try:
        old = file.path.read_bytes()
    except OSError as error:
        raise CollectionProblems([Problem(name, 1, "", "", f"The file can't be read: {error.strerror}.")]) from error
    now, problems = read_yaml(old, name)
    if problems or not isinstance(now.data, dict):
        remedy = "This file was changed while this ran, so nothing was written. Run it again."
        raise CollectionProblems([Problem(name, 1, "", "", remedy)])
    there = now.data.get("photos") or []
    # A list of one may be written as its only item.
    photos = [*(there if isinstance(there, list) else [there]), *(photo.entry for photo in addition.photos)]
    try:
        text = set_field(old.decode(), "photos", photos, after=("title", "number", "made"))
    except EditProblem as problem:
        raise CollectionProblems([problem.in_file(name)]) from problem
    return name, old, text.encode()
