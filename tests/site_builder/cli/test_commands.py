"""The command line as a person and a program meet it."""

import json
import os
import re
import subprocess
import sys
import tempfile
from pathlib import Path

import click
import pytest

from site_builder.cli import main as commands
from tests.site_builder.cli.sound_records import COMMAND

# Help -------------------------------------------------------------------------------------------

COMMANDS = sorted(commands.cli.commands)


@pytest.mark.parametrize("name", COMMANDS)
@pytest.mark.parametrize("asked", ["--help", "-h"])
def test_the_help_of_each_command_begins_with_a_sentence_and_has_an_example(counterpane, name, asked):
    code, out, err = counterpane(name, asked)
    assert (code, err) == (0, "")
    sentence = " ".join(out.split("\n\n")[1].split())
    assert sentence[0].isupper() and sentence.endswith(".")
    assert re.search(rf"^  Example: counterpane {name} \S", out, re.MULTILINE)


@pytest.mark.parametrize("name", COMMANDS)
def test_every_option_says_what_it_is_for(name):
    for parameter in commands.cli.commands[name].params:
        if isinstance(parameter, click.Option):
            assert parameter.help and re.match("[A-Z0-9]", parameter.help)
            assert parameter.help.endswith(".")


def test_without_a_command_the_help_is_shown(counterpane):
    code, out, err = counterpane()
    assert code == 2
    assert "Begin:" in out + err


def test_the_version_is_told(counterpane):
    code, out, _ = counterpane("--version")
    assert code == 0
    assert re.fullmatch(r"counterpane \d+\.\d+\.\d+\n", out)


def test_asking_for_help_loads_nothing_heavy():
    heavy = ("pydantic", "PIL", "jinja2", "yaml", "livereload", "tornado", "cmarkgfm", "nh3")
    script = f"import sys, site_builder.cli.main; print([name for name in {heavy!r} if name in sys.modules])"
    run = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, timeout=300, check=False)
    assert run.stdout == "[]\n"


# check ------------------------------------------------------------------------------------------


def test_check_tells_problems_then_warnings_then_gaps_and_sums_up(counterpane, unsound):
    code, out, err = counterpane("check", unsound)
    assert code == 1
    places = [line.split(": ")[0] for line in out.splitlines() if line.startswith("quilts/")]
    assert places == ["quilts/low-tide.yaml:2", "quilts/low-tide.yaml:3", "quilts/high-tide.yaml:3"]
    assert "quilts/high-tide.yaml:3: warning: photos.1.file: " in out
    assert out.index("warning: ") < out.index("Missing for ")
    assert re.fullmatch(r"\d quilts? read; 2 problems, 1 warning, \d gaps \(--gaps tells each\)\.\n", err)


def test_check_of_sound_records_ends_well_also_with_warnings(counterpane, sound):
    assert counterpane("check", sound)[0] == 0
    assert counterpane("check", sound, "--strict")[0] == 1


def test_gaps_are_told_in_short_by_what_is_missing(counterpane, tmp_path, write_collection):
    quilts = {f"quilts/quilt-{number}.yaml": "title: One\ndestination: kept\n" for number in range(6)}
    _, out, _ = counterpane("check", write_collection(tmp_path, quilts))
    assert (
        "\nMissing for insurance:\n"
        "  Take a photo: 6 quilts. A picture shows what there was.\n"
        "    quilt-0, quilt-1, quilt-2, quilt-3 and 2 more\n"
    ) in out


def test_every_gap_is_told_to_one_who_asks(counterpane, sound):
    _, out, err = counterpane("check", sound, "--gaps")
    assert (
        "quilts/low-tide.yaml: finished_size is missing, for giving. Without its size no request can be matched.\n"
        in out
    )
    _, data, _ = counterpane("check", sound, "--json")
    gaps = [line for line in out.splitlines() if " is missing, for " in line]
    assert len(gaps) == len(json.loads(data)["gaps"])
    assert "--gaps" not in err


def test_a_collection_of_which_all_is_known_has_nothing_to_tell(counterpane, tmp_path, write_collection):
    code, out, err = counterpane("check", write_collection(tmp_path, {"collection.yaml": "title: Quilts\n"}))
    assert (code, out, err) == (0, "", "0 quilts read; 0 problems, 0 warnings, 0 gaps.\n")


def test_check_for_programs_has_the_shape_that_was_agreed(counterpane, unsound):
    code, out, err = counterpane("check", unsound, "--json")
    assert (code, err) == (1, "")
    told = json.loads(out)
    assert list(told) == ["problems", "warnings", "gaps"]
    for problem in told["problems"] + told["warnings"]:
        assert list(problem) == ["file", "line", "field", "found", "remedy"]
        assert isinstance(problem["line"], int)
    assert [(problem["line"], problem["field"]) for problem in told["problems"]] == [(2, "finshed_size"), (3, "made")]
    assert [warning["field"] for warning in told["warnings"]] == ["photos.1.file"]
    assert told["gaps"]
    for gap in told["gaps"]:
        assert list(gap) == ["quilt", "field", "blocks"]
        assert gap["blocks"] in ("giving", "insurance", "catalogue")


def test_a_folder_without_a_collection_is_told_to_programs_too(counterpane, tmp_path):
    code, out, err = counterpane("check", tmp_path, "--json")
    assert code == 1
    assert [problem["file"] for problem in json.loads(out)["problems"]] == [str(tmp_path)]
    assert "holds no collection" in err


# build ------------------------------------------------------------------------------------------


def test_build_says_what_it_made_and_prints_where_to_look(counterpane, sound, tmp_path):
    code, out, err = counterpane("build", sound, "--output", tmp_path / "site", "--on", "2026-10-20")
    assert code == 0
    assert out.splitlines() == [str(tmp_path / "site" / name / "index.html") for name in ("catalogue", "binder")]
    assert re.search(r"^quilts/high-tide.yaml:3: warning: ", err)
    assert re.search(r"\nBuilt 2 quilts, \d+ pages, 0 photos; 1 warning, see above\.\n$", err)


def test_a_build_after_which_nothing_was_changed_says_so_and_warns_again(counterpane, sound, tmp_path):
    words = ["build", sound, "--output", tmp_path / "site", "--on", "2026-10-20"]
    first, again = counterpane(*words), counterpane(*words)
    assert again[:2] == first[:2]
    assert again[2].splitlines()[:-1] == first[2].splitlines()[:-1]
    assert again[2].endswith("\nNothing changed since the last build; 1 warning, see above.\n")
    (sound / "quilts/high-tide.yaml").write_text("title: High Tide\nstory: By the sea.\n")
    *_, err = counterpane(*words)
    assert re.fullmatch(r"Built 2 quilts: \d+ of \d+ pages changed\.\n", err)


def test_build_of_one_edition_makes_that_one(counterpane, sound, tmp_path):
    code, out, _ = counterpane("build", sound, "--output", tmp_path / "site", "--edition", "catalogue")
    assert (code, out) == (0, f"{tmp_path / 'site' / 'catalogue' / 'index.html'}\n")
    assert sorted(path.name for path in (tmp_path / "site").glob("[!.]*")) == ["catalogue"]


def test_records_with_problems_are_not_built_and_all_problems_are_told(counterpane, unsound, tmp_path):
    code, out, err = counterpane("build", unsound, "--output", tmp_path / "site")
    assert (code, out) == (1, "")
    assert err.count("quilts/low-tide.yaml:") == 2
    assert err.endswith("3 problems in the records; nothing was changed.\n")
    assert not (tmp_path / "site").exists()


def test_a_strict_build_stops_at_a_warning(counterpane, sound, tmp_path):
    code, _, err = counterpane("build", sound, "--output", tmp_path / "site", "--strict")
    assert code == 1
    assert "high-tide/front.jpg" in err
    assert not (tmp_path / "site").exists()


# Words that a terminal can't show ---------------------------------------------------------------


@pytest.fixture
def named_in_greek(tmp_path, write_collection) -> Path:
    return write_collection(tmp_path / "έρις", {"quilts/έρις.yaml": "title: Έρις\nmade: soon\n"})


def test_a_file_whose_name_is_no_text_is_told_as_well_as_can_be(counterpane, tmp_path):
    (tmp_path / "quilts").mkdir()
    try:
        Path(os.fsdecode(os.fsencode(tmp_path) + b"/quilts/caf\xe9.yaml")).write_text("title: One\n")
    except OSError:
        pytest.skip("this disk takes only names that are text")
    for words in (["check"], ["check", "--json"]):
        code, out, _ = counterpane(*words, tmp_path)
        assert code == 1
        assert "quilts/caf" in out


def test_a_terminal_that_knows_other_letters_gets_what_it_can_show(named_in_greek):
    latin = os.environ | {"PYTHONIOENCODING": "latin-1"}
    run = subprocess.run([COMMAND, "check", named_in_greek], capture_output=True, env=latin, timeout=300, check=False)
    assert run.returncode == 1
    assert run.stdout.startswith(b"quilts/\\u03ad\\u03c1\\u03b9\\u03c2.yaml:2: made: ")


def test_results_for_programs_are_utf_8_whatever_the_terminal_speaks(named_in_greek):
    latin = os.environ | {"PYTHONIOENCODING": "latin-1"}
    run = subprocess.run(
        [COMMAND, "check", named_in_greek, "--json"], capture_output=True, env=latin, timeout=300, check=False
    )
    assert [problem["file"] for problem in json.loads(run.stdout.decode())["problems"]] == ["quilts/έρις.yaml"]


# schema -----------------------------------------------------------------------------------------


def test_schemas_are_written_and_named(counterpane, tmp_path):
    pytest.importorskip("collection.loading.json_schemas")
    code, out, err = counterpane("schema", tmp_path / "schemas")
    assert (code, err) == (0, "")
    names = out.splitlines()
    assert sorted(names) == sorted(map(str, (tmp_path / "schemas").iterdir()))
    assert all(json.loads(Path(name).read_text(encoding="utf-8")) for name in names)


@pytest.mark.skipif(os.name == "nt", reason="what a killed run has left stays there")
@pytest.mark.parametrize("asked", [["check", "HERE"], ["build", "HERE", "--output", "OUT"]], ids=" ".join)
def test_what_a_killed_command_left_is_removed_by_the_next(counterpane, tmp_path, monkeypatch, asked):
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path / "temporary"))
    (tmp_path / "temporary/counterpane-x1.passing/typeset").mkdir(parents=True)
    (tmp_path / "temporary/somebody-elses").mkdir()
    (tmp_path / "here/quilts").mkdir(parents=True)
    code, _, err = counterpane(
        *({"HERE": tmp_path / "here", "OUT": tmp_path / "out"}.get(word, word) for word in asked)
    )
    assert code == 0, err
    assert [path.name for path in (tmp_path / "temporary").iterdir()] == ["somebody-elses"]
