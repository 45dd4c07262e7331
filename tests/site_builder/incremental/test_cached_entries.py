"""What was found out of a quilt is found out again only when the quilt has changed."""

import pytest

from site_builder.incremental.cache_folder import CacheFolder
from site_builder.incremental.cached_entries import cached_entries
from site_builder.incremental.manifest import BuildNotes

PROGRAM = "this program"


def entries(output, quilts, *, program=PROGRAM, made_from="all", jobs=1):
    """The entries of quilts, and which of them were made."""
    made = []

    def make(quilt):
        made.append(quilt)
        return [quilt, quilts[quilt]]

    notes = BuildNotes(CacheFolder(output), output, output, program)
    return cached_entries(notes, "binder", made_from=made_from, quilts=quilts, make=make, jobs=jobs), made


def test_only_what_has_changed_is_made_anew(tmp_path):
    assert entries(tmp_path, {"ebb": "1", "flood": "1"})[1] == ["ebb", "flood"]
    found, made = entries(tmp_path, {"ebb": "2", "flood": "1", "neap": "1"})
    assert (found, made) == ({"ebb": ["ebb", "2"], "flood": ["flood", "1"], "neap": ["neap", "1"]}, ["ebb", "neap"])
    assert entries(tmp_path, {"ebb": "2", "flood": "1", "neap": "1"})[1] == []


@pytest.mark.parametrize("other", [{"program": "another"}, {"made_from": "something else"}])
def test_by_another_program_or_from_something_else_all_are_made_anew(tmp_path, other):
    entries(tmp_path, {"ebb": "1", "flood": "1"})
    assert entries(tmp_path, {"ebb": "1", "flood": "1"}, **other)[1] == ["ebb", "flood"]


def test_what_is_no_longer_asked_for_is_gone(tmp_path):
    entries(tmp_path, {"ebb": "private", "flood": "1"})
    entries(tmp_path, {"flood": "1"})
    assert "private" not in "".join(path.read_text() for path in tmp_path.rglob("*.json"))
    assert entries(tmp_path, {"ebb": "private", "flood": "1"})[1] == ["ebb"]
