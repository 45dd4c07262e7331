"""Wrong use, a disk that refuses, our own mistakes and a stop are each told in words, and change nothing."""

import errno
import os
import re
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from site_builder import terminal
from tests.site_builder.cli.sound_records import COMMAND, SOUND
from tests.support.folders import files_below

# Wrong use --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["check", "{tmp}/nowhere"], "There is no folder"),
        (["check", "{sound}/collection.yaml"], "is a file. Name the folder"),
        (["build", "{tmp}/nowhere", "--output", "{tmp}/site"], "There is no folder"),
        (["build", "{sound}"], "Missing option '--output'"),
        (["build", "{sound}", "--output", "{sound}/collection.yaml"], "is a file. Name a folder"),
        (["build", "{sound}", "--output", "{sound}"], "is the collection itself"),
        (["build", "{sound}", "--output", "{sound}/quilts"], "own quilts/ folder"),
        (["build", "{sound}", "--output", "{sound}/photos/site"], "own photos/ folder"),
        (["build", "{sound}", "--output", "{sound}/collection.yaml/site"], "A file stands where a folder is needed"),
        (["build", "{sound}", "--output", "{tmp}/site", "--on", "30.5.2026"], '"30.5.2026" is not a day'),
        (["build", "{sound}", "--output", "{tmp}/site", "--on", "2026-02-30"], "is not a day"),
        (["build", "{sound}", "--output", "{tmp}/site", "--edition", "album"], "'album' is not one of"),
        (["build", "{sound}", "--output", "{tmp}/site", "--jobs", "0"], "0 is not in the range"),
        (["build", "{sound}", "--output", "{tmp}/site", "--fast"], "--fast"),
        (["build", "{sound}", "more", "--output", "{tmp}/site"], "unexpected extra argument"),
        (["preview", "{tmp}/nowhere/mine"], "There is no folder"),
        (["preview", "{sound}", "--output", "{sound}/pages"], "own pages/ folder"),
        (["schema", "{sound}/collection.yaml"], "A file stands where a folder is needed"),
        (["bild", "{sound}"], "No such command 'bild'"),
    ],
)  # fmt: skip
def test_wrong_use_is_told_in_words_and_changes_nothing(counterpane, sound, tmp_path, words, told):
    before = files_below(tmp_path)
    code, out, err = counterpane(*(word.format(tmp=tmp_path, sound=sound) for word in words))
    assert (code, out) == (2, "")
    assert told in err
    assert files_below(tmp_path) == before


def test_a_collection_inside_of_what_a_build_replaces_is_saved_from_it(counterpane, tmp_path, write_collection):
    inside = write_collection(tmp_path / "site" / "catalogue" / "records", SOUND)
    code, _, err = counterpane("build", inside, "--output", tmp_path / "site")
    assert code == 2
    assert "which a build replaces" in err
    assert (inside / "collection.yaml").exists()


def test_a_folder_that_no_build_made_is_not_replaced(counterpane, sound, tmp_path):
    thesis = tmp_path / "home" / "catalogue" / "thesis.txt"
    thesis.parent.mkdir(parents=True)
    thesis.write_text("ten years of work")
    code, _, err = counterpane("build", sound, "--output", tmp_path / "home")
    assert code == 2
    assert "no build has made" in err
    assert files_below(tmp_path / "home") == {"catalogue/thesis.txt": b"ten years of work"}


@pytest.mark.skipif(not os.path.isdir("/proc/self"), reason="needs a place where nobody may write")
def test_an_output_that_nobody_may_write_is_told(counterpane, sound):
    code, out, err = counterpane("build", sound, "--output", "/proc/site")
    assert (code, out) == (2, "")
    assert (
        err
        == "/proc/site: There is no such place, and none can be made there. Check its name. What was built before is as it was.\n"
    )


@pytest.mark.parametrize(
    ("number", "told"),
    [
        (errno.ENOSPC, "no room left on the disk"),
        (errno.EACCES, "may not be read or written"),
        (errno.EIO, "Input/output error"),
    ],
)
@pytest.mark.parametrize("name", ["", "some/where"])
def test_what_the_disk_refuses_is_told_with_what_helps(counterpane, sound, tmp_path, monkeypatch, number, told, name):
    def refuse(*args, **more):
        raise OSError(number, os.strerror(number), name or None)

    monkeypatch.setattr("site_builder.building.build.build", refuse)
    code, _, err = counterpane("build", sound, "--output", tmp_path / "site")
    assert code == 2
    assert told in err
    assert err.startswith(f"{name}: " if name else tuple("TI"))


# Our own mistakes, and stopping -----------------------------------------------------------------


def test_a_mistake_of_ours_is_told_as_ours_and_kept_in_a_file(counterpane, sound, tmp_path, monkeypatch):
    def fail(*args, **more):
        raise ZeroDivisionError("by nothing")

    monkeypatch.setattr("site_builder.building.build.build", fail)
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path))
    code, out, err = counterpane("build", sound, "--output", tmp_path / "site")
    assert (code, out) == (terminal.OUR_MISTAKE, "")
    report = Path(re.search(r"written in (\S+\.txt);", err)[1])
    assert "ZeroDivisionError: by nothing" in report.read_text()


STOPPED_WHILE_BUILDING = """
import sys, time
import site_builder.building.build
from site_builder.cli import main as commands

def wait(*args):
    print("ready", flush=True)
    time.sleep(300)

site_builder.building.build._prepare = wait
commands.main()
"""


def test_a_build_that_is_stopped_says_so_and_leaves_what_was_there(counterpane, sound, tmp_path):
    counterpane("build", sound, "--output", tmp_path / "site")
    before = files_below(tmp_path / "site")
    (sound / "quilts/ebb.yaml").write_text("title: Ebb\n")
    words = ["build", sound, "--output", tmp_path / "site"]
    process = subprocess.Popen(
        [sys.executable, "-c", STOPPED_WHILE_BUILDING, *words],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    assert process.stdout.readline() == "ready\n"
    process.send_signal(signal.SIGINT)
    out, err = process.communicate(timeout=300)
    assert (process.returncode, out) == (terminal.STOPPED, "")
    assert err.strip() == "Stopped; nothing is left half done."
    assert files_below(tmp_path / "site") == before


def test_a_reader_that_stops_listening_is_no_error(tmp_path, write_collection):
    many = {f"quilts/quilt-{number:04}.yaml": "title: One\nmade: soon\n" for number in range(300)}
    folder = write_collection(tmp_path, many)
    line = f"'{COMMAND}' check '{folder}' | head -n 1"
    run = subprocess.run(line, shell=True, capture_output=True, text=True, timeout=300, check=False)
    assert run.stdout.startswith("quilts/quilt-0000.yaml:2: made: ")
    assert "Error" not in run.stderr


LOOPS = [
    ["check", "LOOP"],
    ["build", "LOOP", "--output", "OUT"],
    ["build", "HERE", "--output", "LOOP"],
    ["take-in", "HERE", "LOOP"],
    ["match", "HERE", "--save", "LOOP"],
    ["report", "HERE", "2026", "--to", "LOOP/a.csv"],
    ["schema", "LOOP"],
]


@pytest.mark.parametrize("asked", LOOPS, ids=" ".join)
@pytest.mark.parametrize("quilts_loop", [False, True])
def test_a_link_that_leads_to_itself_is_told_in_a_sentence(counterpane, tmp_path, asked, quilts_loop):
    here = tmp_path / "here"
    here.mkdir()
    if quilts_loop:
        (here / "quilts").symlink_to("quilts")
    else:
        (here / "quilts").mkdir()
    (tmp_path / "loop").symlink_to("loop")
    places = {"HERE": here, "LOOP": tmp_path / "loop", "OUT": tmp_path / "out", "LOOP/a.csv": tmp_path / "loop/a.csv"}
    code, _out, err = counterpane(*(places.get(word, word) for word in asked))
    assert code in (0, 1, 2), err
    assert "Something went wrong" not in err and "Traceback" not in err
