"""The file changes when photos are added: a new record, or more photos in an existing one."""

from collections.abc import Sequence

from collection.problems import CollectionProblems
from collection.records.collection import Collection
from collection.storage.transaction import FileChanges
from collection.yaml_files.field_edits import EditProblem, append_to_list, set_field
from collection.yaml_files.parser import Plain, read_yaml
from collection.yaml_files.writer import Layout, write_field
from site_builder.desk.photos.uploads import TakenPhoto
from site_builder.desk.records.files import name_on_disk, read_record
from site_builder.photo_import.drafts import Places, draft_of, photos_for


def new_quilt(collection: Collection, title: str, photos: Sequence[TakenPhoto]) -> tuple[str, str, FileChanges]:
    """A draft record with its photos, as `take-in` makes it: its ID, its title, and the file changes."""
    changes, places = FileChanges(collection.folder), Places(collection)
    if not photos:
        quilt_id = places.new_id(title)
        lines = write_field("title", title, column=0, layout=Layout())
        changes.add(f"quilts/{quilt_id}.yaml", None, "".join(f"{line}\n" for line in lines).encode())
        return quilt_id, title, changes
    draft = draft_of([photo.seen for photo in photos], title or photos[0].seen.name.title, "", places)
    changes.add(f"quilts/{draft.id}.yaml", None, draft.text.encode())
    for photo, drafted in zip(photos, draft.photos, strict=True):
        changes.add(f"photos/{drafted.file}", None, photo.content)
    return draft.id, draft.title, changes


def with_photos(collection: Collection, quilt_id: str, photos: Sequence[TakenPhoto], shows: str) -> FileChanges:
    """Add photos at the end of the list in a quilt's record; `shows` is what they show, if given.

    Raises CollectionProblems if the record can't be read, or can't be edited in place.
    """
    folder = collection.folder
    name = name_on_disk(folder, "quilt", quilt_id) or f"quilts/{quilt_id}.yaml"
    record = read_record(folder, name)
    text, problems = read_yaml(record.content or b"", name)
    if problems:
        raise CollectionProblems(problems)
    placed = photos_for([photo.seen for photo in photos], quilt_id, Places(collection))
    added: list[Plain] = [{"file": each.file, "shows": shows} if shows else each.entry for each in placed]
    there = text.data.get("photos") if isinstance(text.data, dict) else None
    try:
        new = _longer(record.text, there, added)
    except EditProblem as problem:
        raise CollectionProblems([problem.in_file(name)]) from problem
    changes = FileChanges(folder)
    changes.add(name, record.content, new.encode("utf-8", "surrogateescape"))
    for photo, each in zip(photos, placed, strict=True):
        changes.add(f"photos/{each.file}", None, photo.content)
    return changes


def _longer(text: str, there: Plain, added: list[Plain]) -> str:
    if not isinstance(there, list):
        # A list of one may be written as its only item.
        return set_field(text, "photos", [*([there] if there else []), *added], after=("number", "title"))
    for each in added:
        text = append_to_list(text, "photos", each)
    return text
