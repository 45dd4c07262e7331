"""Changes that are taken back and done again: the folder's bytes come back, and nothing made by hand is lost."""

import itertools
from pathlib import Path

import pytest

from collection.problems import CollectionProblems
from collection.storage import transaction
from collection.storage.change_log import FORMER, LOG
from collection.storage.transaction import FileChanges
from collection.storage.undo import change_log, prepare_undo
from tests.collection.storage.changed_quilts import (
    FREE,
    HIGH,
    KEPT,
    LOW,
    NOON,
    PHOTO,
    keep_low_tide,
    refusal,
    state,
    take_in,
    told,
    undo,
)

pytestmark = pytest.mark.usefixtures("a_fast_disk")


@pytest.fixture
def folder(tmp_path, write_collection):
    return write_collection(tmp_path / "collection", {LOW: FREE})


@pytest.fixture
def source(tmp_path):
    path = tmp_path / "from the camera.jpg"
    path.write_bytes(b"a photo " * 1000)
    return path


# One change -------------------------------------------------------------------------------------


def test_where_nothing_was_changed_there_is_nothing_to_take_back(folder):
    assert prepare_undo(folder) is None
    assert prepare_undo(folder, again=True) is None
    assert not (folder / ".counterpane").exists()


def test_a_change_is_shown_before_it_is_taken_back(folder):
    keep_low_tide(folder)
    found = prepare_undo(folder)
    assert found.what == "Low Tide: looking for a home -> kept"
    assert found.becomes == {LOW: "as it was"}
    assert state(folder) == {LOW: KEPT}
    assert found.commit(NOON, "undo") == (LOW,)
    assert state(folder) == {LOW: FREE}


def test_what_was_taken_in_goes_with_the_folder_that_was_made_for_it_and_comes_back(folder, source):
    take_in(folder, source)
    after = state(folder)
    assert after[PHOTO] == source.read_bytes()
    assert prepare_undo(folder).becomes == {HIGH: "put away", PHOTO: "put away"}
    undo(folder)
    assert state(folder) == {LOW: FREE}
    assert not (folder / PHOTO).parent.exists()
    source.unlink()
    undo(folder, again=True)
    assert state(folder) == after


def test_a_folder_that_was_made_for_a_change_goes_with_it_and_one_that_is_the_collections_own_stays(folder):
    changes = FileChanges(folder)
    for name in ("taken-in/list.json", "requests/cots.yaml", "photos/new/front.jpg"):
        changes.add(name, None, b"new\n")
    changes.commit(told("A list: taken in"))
    (folder / "photos" / "by hand").mkdir()
    undo(folder)
    assert sorted(path.name for path in folder.iterdir()) == [".counterpane", "photos", "quilts", "requests"]
    assert [path.name for path in (folder / "photos").iterdir()] == ["by hand"]


def test_a_file_that_was_removed_is_there_again_with_its_permissions(folder):
    (folder / LOW).chmod(0o600)
    changes = FileChanges(folder)
    changes.remove(LOW, FREE)
    changes.commit(told("Low Tide: removed"))
    assert state(folder) == {}
    assert prepare_undo(folder).becomes == {LOW: "there again"}
    undo(folder)
    assert state(folder) == {LOW: FREE}
    assert (folder / LOW).stat().st_mode & 0o777 == 0o600


def test_what_files_were_is_kept_no_more_readable_than_they_were(folder):
    (folder / LOW).chmod(0o600)
    keep_low_tide(folder)
    assert (folder / FORMER / "1" / LOW).stat().st_mode & 0o777 == 0o600


def test_without_a_word_about_it_nothing_is_logged(folder):
    changes = FileChanges(folder)
    changes.remove(LOW, FREE)
    changes.commit()
    assert state(folder) == {}
    assert not (folder / ".counterpane").exists()


def test_what_changes_nothing_is_not_logged(folder):
    changes = FileChanges(folder)
    changes.add(LOW, FREE, FREE)
    assert changes.commit(told()) == ()
    assert not (folder / LOG).exists()


# Several changes --------------------------------------------------------------------------------


def test_taking_back_again_and_again_goes_further_back_and_not_to_and_fro(folder, source):
    keep_low_tide(folder)
    take_in(folder, source)
    last = state(folder)
    assert undo(folder) and undo(folder) and not undo(folder)
    assert state(folder) == {LOW: FREE}
    assert undo(folder, again=True) and undo(folder, again=True) and not undo(folder, again=True)
    assert state(folder) == last
    assert [change.entry.what for change in change_log(folder).changes] == [
        "Low Tide: looking for a home -> kept",
        "High Tide: taken in",
        "Taken back: High Tide: taken in",
        "Taken back: Low Tide: looking for a home -> kept",
        "Done again: Low Tide: looking for a home -> kept",
        "Done again: High Tide: taken in",
    ]


def test_after_a_new_change_there_is_nothing_to_do_again(folder, source):
    keep_low_tide(folder)
    undo(folder)
    take_in(folder, source)
    assert prepare_undo(folder, again=True) is None
    assert undo(folder) and not undo(folder)


# What was changed by hand -----------------------------------------------------------------------


def test_a_file_changed_by_hand_since_is_left_and_named_with_what_can_be_done(folder):
    keep_low_tide(folder)
    (folder / LOW).write_bytes(KEPT + b"notes: by hand\n")
    (line,) = refusal(folder)
    assert line.startswith(f"{LOW}:1: It was changed by hand since")
    assert state(folder) == {LOW: KEPT + b"notes: by hand\n"}
    kept = folder / FORMER / "1" / LOW
    assert kept.relative_to(folder).as_posix() in line
    (folder / LOW).write_bytes(kept.read_bytes())
    assert prepare_undo(folder).becomes == {LOW: "already so"}
    assert undo(folder) and not undo(folder)
    assert state(folder) == {LOW: FREE}


def test_one_file_changed_by_hand_holds_the_whole_change(folder, source):
    take_in(folder, source)
    (folder / HIGH).write_bytes(b"title: High Tide, by hand\n")
    before = state(folder)
    (line,) = refusal(folder)
    assert line.startswith(f"{HIGH}:1: It was new then") and "move it away" in line
    assert state(folder) == before
    (folder / HIGH).unlink()
    assert undo(folder)
    assert state(folder) == {LOW: FREE}


def test_a_file_moved_away_by_hand_is_told_and_may_be_put_back(folder):
    keep_low_tide(folder)
    (folder / LOW).unlink()
    assert "moved or removed by hand since" in refusal(folder)[0]


def test_a_new_file_under_the_name_of_one_that_was_removed_is_not_overwritten(folder):
    changes = FileChanges(folder)
    changes.remove(LOW, FREE)
    changes.commit(told())
    (folder / LOW).write_bytes(b"title: Another\n")
    assert "another has its name since" in refusal(folder)[0]
    assert state(folder) == {LOW: b"title: Another\n"}


def test_a_file_changed_by_hand_between_showing_and_taking_back_is_not_overwritten(folder):
    keep_low_tide(folder)
    found = prepare_undo(folder)
    (folder / LOW).write_bytes(b"by hand\n")
    with pytest.raises(CollectionProblems):
        found.commit(NOON, "undo")
    assert state(folder) == {LOW: b"by hand\n"}


def test_a_change_between_showing_and_taking_back_stops_it(folder, source):
    keep_low_tide(folder)
    found = prepare_undo(folder)
    take_in(folder, source)
    with pytest.raises(CollectionProblems) as refused:
        found.commit(NOON, "undo")
    assert "Something else was changed while this ran" in str(refused.value.problems[0])
    assert state(folder)[LOW] == KEPT


def test_two_who_take_back_the_same_take_it_back_once(folder):
    keep_low_tide(folder)
    first, second = prepare_undo(folder), prepare_undo(folder)
    first.commit(NOON, "undo")
    with pytest.raises(CollectionProblems):
        second.commit(NOON, "undo")
    assert state(folder) == {LOW: FREE}
    assert len(change_log(folder).changes) == 2


# What is kept -----------------------------------------------------------------------------------


def change_often(folder: Path, times: int) -> None:
    for old, new in itertools.islice(itertools.cycle([(FREE, KEPT), (KEPT, FREE)]), times):
        changes = FileChanges(folder)
        changes.add(LOW, old, new)
        changes.commit(told())


def kept(folder: Path) -> list[int]:
    return sorted(int(place.name) for place in (folder / FORMER).iterdir())


def test_what_files_were_is_kept_of_so_many_changes_and_all_stay_in_the_log(folder, monkeypatch):
    monkeypatch.setattr(transaction, "KEPT_CHANGES", 3)
    change_often(folder, 6)
    assert kept(folder) == [4, 5, 6]
    assert len(change_log(folder).changes) == 6


def test_what_files_were_is_kept_up_to_so_much_and_of_the_newest_change_in_any_case(folder, monkeypatch):
    monkeypatch.setattr(transaction, "KEPT_BYTES", 2 * len(FREE))
    change_often(folder, 4)
    assert kept(folder) == [3, 4]
    monkeypatch.setattr(transaction, "KEPT_BYTES", 0)
    change_often(folder, 1)
    assert kept(folder) == [5]


def test_what_is_no_longer_kept_is_told_and_nothing_changes(folder):
    change_often(folder, 1)
    (folder / FORMER / "1" / LOW).unlink()
    assert "no longer kept" in refusal(folder)[0]
    assert state(folder) == {LOW: KEPT}


def test_kept_bytes_that_were_altered_are_not_put_back(folder):
    change_often(folder, 1)
    (folder / FORMER / "1" / LOW).write_bytes(b"altered\n")
    assert "no longer kept" in refusal(folder)[0]


def test_a_log_that_was_removed_begins_anew_without_touching_what_is_kept(folder):
    change_often(folder, 2)
    (folder / LOG).unlink()
    change_often(folder, 1)
    assert kept(folder) == [1, 2, 3]
    assert [change.number for change in change_log(folder).changes] == [3]
