"""A temporary folder is there while it is used, whatever other runs do in the same place."""

import tempfile

import pytest

from collection.storage.locks import CAN_LOCK
from site_builder.temporary_folders import remove_left_folders, temporary_folder


@pytest.mark.skipif(not CAN_LOCK, reason="what a killed run has left stays there")
def test_a_folder_that_another_run_takes_for_a_left_one_is_made_again(tmp_path, monkeypatch):
    """In the moment between its being made and its being held."""
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    make, taken = tempfile.mkdtemp, []

    def make_while_another_run_begins(**named: str) -> str:
        folder = make(**named)
        if not taken:
            taken.append(folder)
            remove_left_folders()
        return folder

    monkeypatch.setattr(tempfile, "mkdtemp", make_while_another_run_begins)
    with temporary_folder() as folder:
        assert folder.is_dir() and str(folder) not in taken
    assert list(tmp_path.iterdir()) == []
