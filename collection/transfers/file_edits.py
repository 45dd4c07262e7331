"""Turns transfers into edits of the quilts' files."""

import unicodedata
from pathlib import Path

from collection.problems import CollectionProblems, Problem
from collection.records.collection import Collection
from collection.storage.transaction import FileChanges
from collection.transfers.transfers import Change, Transfers
from collection.yaml_files.field_edits import EditProblem, append_to_list, set_field
from collection.yaml_files.parser import Plain, read_yaml


def file_changes(collection: Collection, transfers: Transfers) -> FileChanges:
    """The edits that record transfers in the quilts' files; `commit` of the result writes them.

    Raises CollectionProblems with all problems if transfers are refused, or if a file changed since the collection was
    read or can't be edited in place.
    """
    if transfers.refusals:
        raise CollectionProblems(transfers.refusals)
    changes, problems = FileChanges(collection.folder), list[Problem]()
    for change in transfers.changes:
        try:
            changes.add(*_edit(collection.folder, change))
        except CollectionProblems as refused:
            problems += refused.problems
    if problems:
        raise CollectionProblems(problems)
    return changes


def _edit(folder: Path, change: Change) -> tuple[str, bytes, bytes]:
    """The name of a quilt's file, its old bytes, and its new ones."""
    name = _name_on_disk(folder, change.quilt.id)
    try:
        old = (folder / name).read_bytes()
    except OSError as error:
        raise CollectionProblems([Problem(name, 1, "", "", f"The file can't be read: {error.strerror}.")]) from error
    now, problems = read_yaml(old, name)
    if problems or not isinstance(now.data, dict) or now.data.get("destination") != change.written_before:
        remedy = "This file was changed while this ran, so nothing was written. Run it again."
        raise CollectionProblems([Problem(name, 1, "", "", remedy)])
    try:
        text = set_field(old.decode(), "destination", change.written)
        if change.former is not None:
            text = _with_history(text, now.data.get("history"), change)
    except EditProblem as problem:
        raise CollectionProblems([problem.in_file(name)]) from problem
    return name, old, text.encode()


def _with_history(text: str, history: Plain, change: Change) -> str:
    if isinstance(history, dict | str):
        # A list with one item may be written as that item.
        return set_field(text, "history", [history, change.former])
    return append_to_list(text, "history", change.former, after=("destination",))


def _name_on_disk(folder: Path, quilt_id: str) -> str:
    """The file's name as stored on disk, where some systems decompose accents (NFD)."""
    name = f"quilts/{quilt_id}.yaml"
    if (folder / name).exists():
        return name
    for path in (folder / "quilts").glob("*.yaml"):
        if unicodedata.normalize("NFC", path.stem) == quilt_id:
            return f"quilts/{path.name}"
    return name
