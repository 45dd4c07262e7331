"""Taking changes back from the command line: shown, asked, done, done again; refused in words."""

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from collection.storage import undo
from collection.storage.change_log import LOG
from site_builder.cli import prompts
from site_builder.cli import undo as undo_command

COMMAND = Path(sys.executable).with_name("counterpane")
LOW, HIGH = "quilts/low-tide.yaml", "quilts/high-tide.yaml"
FILES = {
    "partners/river-street.yaml": "name: River Street Shelter\n",
    LOW: "title: Low Tide   # the blue one\ndestination: free  # since spring\n",
    HIGH: "title: High Tide\ndestination: free\n",
}


@pytest.fixture
def folder(tmp_path, write_collection):
    return write_collection(tmp_path / "quilts here", FILES)


def hand_over(run, folder, *quilts) -> None:
    assert run("hand-over", folder, *quilts, "--to", "river-street", "--on", "2026-05-12")[0] == 0


def records(folder) -> dict[str, str]:
    return {name: (folder / name).read_bytes().decode() for name in FILES}


def test_a_batch_is_taken_back_and_done_again_to_the_byte(run, folder):
    hand_over(run, folder, "low-tide", "high-tide")
    handed_over = records(folder)
    code, printed, told = run("undo", folder)
    assert (code, printed) == (0, "")
    assert "To be taken back: change 1, " in told and ", hand-over\n" in told
    assert "Low Tide: looking for a home -> given to River Street Shelter on 12 May 2026" in told
    assert f"{LOW}: as it was" in told
    assert "Taken back, in 2 files; counterpane undo --again does it again." in told
    assert records(folder) == FILES
    assert "Done again, in 2 files." in run("undo", folder, "--again")[2]
    assert records(folder) == handed_over


def test_each_command_that_records_is_in_the_log_under_its_name(run, folder):
    hand_over(run, folder, "low-tide")
    assert run("acknowledged", folder, "low-tide", "--on", "2026-05-14")[0] == 0
    assert run("returned", folder, "low-tide", "--on", "2026-05-15")[0] == 0
    assert run("lost", folder, "high-tide", "--on", "2026-05-15")[0] == 0
    names = [change.entry.command for change in undo.change_log(folder).changes]
    assert names == ["hand-over", "acknowledged", "returned", "lost"]
    for _ in names:
        assert run("undo", folder)[0] == 0
    assert records(folder) == FILES
    assert "There is nothing to take back." in run("undo", folder)[2]


def test_a_dry_run_shows_and_changes_nothing(run, folder):
    hand_over(run, folder, "low-tide")
    before, log = records(folder), (folder / LOG).read_bytes()
    code, _, told = run("undo", folder, "--dry-run")
    assert code == 0 and "To be taken back" in told and "Nothing was changed" in told
    assert (records(folder), (folder / LOG).read_bytes()) == (before, log)


@pytest.mark.parametrize(("answer", "stays"), [("n\n", True), ("y\n", False)])
def test_someone_who_can_answer_is_asked(run, folder, monkeypatch, answer, stays):
    hand_over(run, folder, "low-tide")
    before = records(folder)
    monkeypatch.setattr(prompts, "someone_can_answer", lambda: True)
    told = run("undo", folder, answer=answer)[2]
    assert "Take this back?" in told
    assert (records(folder) == before) is stays


def test_nobody_is_asked_who_said_yes(run, folder, monkeypatch):
    hand_over(run, folder, "low-tide")
    monkeypatch.setattr(prompts, "someone_can_answer", lambda: True)
    assert "Take this back?" not in run("undo", folder, "--yes")[2]
    assert records(folder) == FILES


def test_programs_are_told_what_became_of_each_file(run, folder):
    assert json.loads(run("undo", folder, "--json")[1]) == {"taken_back": None, "done": False}
    hand_over(run, folder, "low-tide")
    shown = json.loads(run("undo", folder, "--json", "--dry-run")[1])
    done = json.loads(run("undo", folder, "--json")[1])
    assert (shown["done"], done["done"]) == (False, True)
    assert shown["taken_back"] == done["taken_back"]
    back = done["taken_back"]
    assert set(back) == {"number", "at", "command", "what", "takes_back", "again", "files"}
    assert (back["number"], back["command"], back["again"], back["takes_back"]) == (1, "hand-over", False, None)
    assert back["files"] == [{"file": LOW, "becomes": "as it was"}]
    again = json.loads(run("undo", folder, "--again", "--json")[1])["taken_back"]
    assert (again["number"], again["takes_back"], again["again"], again["what"]) == (2, 1, True, back["what"])


def test_the_log_is_shown_the_newest_first(run, folder):
    assert "Nothing has been changed yet" in run("undo", folder, "--list")[2]
    hand_over(run, folder, "low-tide", "high-tide")
    run("undo", folder)
    printed = run("undo", folder, "--list")[1].splitlines()
    assert printed[0].startswith("change 2, ") and ", undo: Taken back: Low Tide: " in printed[0]
    assert printed[2].startswith("change 1, ") and printed[2].endswith("(taken back by change 2)")
    changes = json.loads(run("undo", folder, "--list", "--json")[1])["changes"]
    assert [(each["number"], each["takes_back"], each["undone_by"]) for each in changes] == [
        (2, 1, None),
        (1, None, 2),
    ]
    assert changes[1]["files"] == [HIGH, LOW]


def test_a_file_changed_by_hand_is_named_and_nothing_is_taken_back(run, folder):
    hand_over(run, folder, "low-tide", "high-tide")
    with (folder / LOW).open("a", encoding="utf-8") as file:
        file.write("notes: by hand\n")
    before = records(folder)
    code, printed, told = run("undo", folder)
    assert (code, printed) == (1, "")
    assert f"{LOW}:1: It was changed by hand since" in told and HIGH not in told
    assert records(folder) == before


def test_many_files_are_counted_and_not_all_listed(run, folder, monkeypatch):
    monkeypatch.setattr(undo_command, "SHOWN_AT_MOST", 1)
    hand_over(run, folder, "low-tide", "high-tide")
    assert "  and 1 file more\n" in run("undo", folder)[2]


def test_damage_to_the_log_is_told_with_it(run, folder):
    hand_over(run, folder, "low-tide")
    (folder / LOG).write_bytes((folder / LOG).read_bytes().replace(b"files:", b"fils:"))
    code, _, told = run("undo", folder, "--list")
    assert code == 0 and f"{LOG}:6: warning: This part of the log of changes can't be read" in told
    assert run("undo", folder)[0] == 1


def test_two_commands_at_once_both_record_and_both_are_taken_back(run, folder):
    commands = [[COMMAND, "lost", folder, quilt, "--on", "2026-05-15", "--yes"] for quilt in ("low-tide", "high-tide")]
    running = [subprocess.Popen(command, stderr=subprocess.DEVNULL) for command in commands]
    assert [each.wait() for each in running] == [0, 0]
    log = undo.change_log(folder)
    assert [change.number for change in log.changes] == [1, 2]
    undoing = [subprocess.Popen([COMMAND, "undo", folder, "--yes"], stderr=subprocess.PIPE) for _ in range(2)]
    told = [each.communicate(timeout=300)[1].decode() for each in undoing]
    if any(each.returncode for each in undoing):
        # Both had read the log before either had written; then one says so, and may be run again.
        assert sorted(each.returncode for each in undoing) == [0, 1]
        assert any("changed while this ran" in each for each in told)
        assert run("undo", folder)[0] == 0
    assert records(folder) == FILES


def as_somebody_else(*command: object) -> subprocess.CompletedProcess:
    """Run without the superuser's right to write everywhere."""
    if os.geteuid() != 0:
        return subprocess.run(command, capture_output=True, text=True, timeout=300, check=False)
    if shutil.which("setpriv") is None:
        pytest.skip("the superuser can't be kept from writing here")
    return subprocess.run(
        ["setpriv", "--bounding-set=-all", "--inh-caps=-all", *command],
        capture_output=True,
        text=True,
        timeout=300,
        check=False,
    )


def test_in_a_folder_that_may_only_be_read_the_log_is_shown_and_nothing_is_taken_back(run, folder):
    hand_over(run, folder, "low-tide")
    before = records(folder)
    places = [folder, *(path for path in folder.rglob("*") if path.is_dir())]
    for place in places:
        place.chmod(0o555)
    try:
        shown = as_somebody_else(COMMAND, "undo", folder, "--list")
        undone = as_somebody_else(COMMAND, "undo", folder)
        checked = as_somebody_else(COMMAND, "check", folder)
    finally:
        for place in places:
            place.chmod(0o755)
    assert (shown.returncode, checked.returncode) == (0, 0)
    assert "hand-over: Low Tide: " in shown.stdout
    assert undone.returncode == 1
    assert "may only be read" in undone.stderr and "Nothing was changed." in undone.stderr
    assert records(folder) == before
