"""Beginning a collection by commands: from an empty folder to the first page of a catalogue."""

import errno
import os
from contextlib import suppress

import pytest
from click.testing import CliRunner

from collection.loading.loader import read_collection
from site_builder.cli.main import cli
from site_builder.desk.new_collection import begin_collection
from tests.support.interrupted_writing import Killed, steps


def run(*words: object, typed: str = ""):
    return CliRunner().invoke(cli, [str(word) for word in words], input=typed)


def test_three_commands_lead_from_nothing_to_a_page(tmp_path, a_photo):
    mine, photo = tmp_path / "my-quilts", a_photo(tmp_path / "Low Tide.jpg")
    for words in (
        ("begin", mine, "--title", "Quilts of mine: all", "--maker", "A Maker", "--units", "cm"),
        ("take-in", mine, photo, "--yes"),
        ("build", mine, "--output", tmp_path / "site"),
    ):
        done = run(*words)
        assert done.exit_code == 0, done.output
    assert "<h1>Low Tide</h1>" in (tmp_path / "site/catalogue/quilts/low-tide.html").read_text()
    settings = read_collection(mine).collection.settings
    assert (settings.title, settings.maker.name, settings.units) == ("Quilts of mine: all", "A Maker", "cm")


def test_what_is_not_told_is_asked(tmp_path):
    done = run("begin", tmp_path / "mine", typed="Quilts of mine\n\n")
    assert done.exit_code == 0, done.output
    assert (tmp_path / "mine/collection.yaml").read_text() == "title: Quilts of mine\n"
    assert (tmp_path / "mine/photos").is_dir() and (tmp_path / "mine/quilts").is_dir()


def test_where_nobody_answers_the_maker_is_left_out(tmp_path):
    done = run("begin", tmp_path / "mine", "--title", "Quilts of mine", typed="")
    assert done.exit_code == 0, done.output
    assert (tmp_path / "mine/collection.yaml").read_text() == "title: Quilts of mine\n"


@pytest.mark.parametrize("there", ["collection.yaml", "notes.txt", "quilts/low-tide.yaml"])
def test_nothing_is_begun_beside_other_things(tmp_path, write_collection, there):
    write_collection(tmp_path, {there: "title: Mine\n"})
    done = run("begin", tmp_path, "--title", "Other", "--maker", "")
    assert done.exit_code == 2 and "holds something already" in done.output
    assert (tmp_path / there).read_text() == "title: Mine\n"


@pytest.mark.parametrize("fails_on", ["once", "from then on"])
def test_where_the_disk_is_full_at_any_step_it_is_begun_or_not_and_that_is_what_is_said(
    tmp_path, monkeypatch, fails_on
):
    said_to_be = set()
    for full in range(60):
        mine = tmp_path / f"mine-{full}"

        def act(step, name, full=full):
            if name in ("rmtree", "rmdir"):  # what takes away needs no room
                return
            if step == full or (fails_on == "from then on" and step > full and name in ("mkdir", "fsync")):
                raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

        with monkeypatch.context() as within:
            steps(within, act)
            done = CliRunner().invoke(
                cli, ["begin", str(mine), "--title", "Mine", "--maker", "Me", "--currency", "USD"]
            )
        is_begun = (mine / "collection.yaml").exists()
        if "run this again to finish" in done.stderr:
            assert fails_on == "from then on" and (mine / ".counterpane/unfinished/journal.json").exists()
            continue
        assert ("Begun." in done.stderr) == (done.exit_code == 0) == is_begun, (full, done.stderr, done.exception)
        said_to_be.add(is_begun)
    assert said_to_be == {False, True}


@pytest.mark.parametrize("after", range(0, 30, 3))
def test_killed_at_any_step_it_can_be_begun_again_or_is_begun(tmp_path, after):
    mine, done = tmp_path / "mine", []

    def die(step, name):
        done.append(step)
        if len(done) > after:
            raise Killed

    with pytest.MonkeyPatch.context() as patch:
        steps(patch, die)
        with suppress(Killed):
            begin_collection(mine, title="Quilts of mine")
    run("begin", mine, "--title", "Quilts of mine", "--maker", "")
    assert (mine / "collection.yaml").read_text() == "title: Quilts of mine\n"
    assert not read_collection(mine).errors


def test_a_folder_can_be_begun_at_the_desk_only_where_it_could_be_made(tmp_path):
    done = run("preview", tmp_path / "nowhere" / "mine", "--port", "0")
    assert done.exit_code == 2 and "There is no folder" in done.output


# The place where the maker lives ----------------------------------------------------------------

PLACES = [
    ({"LANG": "en_GB.UTF-8"}, "in", "GBP"),
    ({"LANG": "de_DE.UTF-8"}, "cm", "EUR"),
    ({"LANG": "en_US.UTF-8", "LC_MONETARY": "sv_SE.UTF-8"}, "in", "SEK"),
    ({"LANG": "en_US.UTF-8", "LC_MEASUREMENT": "sv_SE"}, "cm", "USD"),
    ({"LANG": "en_US.UTF-8", "LC_ALL": "ja_JP.UTF-8"}, "cm", "JPY"),
    ({"LANG": "C.UTF-8"}, "in", ""),
    ({}, "in", ""),
]


@pytest.fixture
def living_in(monkeypatch):
    """`living_in({"LANG": "en_GB.UTF-8"})`: the machine is set up so."""

    def set_up(environment: dict[str, str]) -> None:
        for name in ("LC_ALL", "LC_MONETARY", "LC_MEASUREMENT", "LANG"):
            monkeypatch.delenv(name, raising=False)
        for name, value in environment.items():
            monkeypatch.setenv(name, value)

    return set_up


@pytest.mark.parametrize(("environment", "units", "currency"), PLACES)
def test_the_places_own_units_and_currency_are_the_first_choice(tmp_path, living_in, environment, units, currency):
    living_in(environment)
    done = run("begin", tmp_path / "mine", "--title", "Ours", "--maker", "", typed="\n\n")
    assert done.exit_code == 0, done.output
    settings = read_collection(tmp_path / "mine").collection.settings
    assert (settings.units, settings.currency) == (units, currency or None)
    assert f"[{units}]" in done.output and (f"[{currency}]" in done.output or not currency)


def test_another_currency_may_be_said_by_its_letters_or_its_sign(tmp_path, living_in):
    living_in({"LANG": "en_CA.UTF-8"})
    for number, (said, code) in enumerate([("nok", "NOK"), ("£", "GBP"), ("$", "CAD"), ("USD", "USD")]):
        mine = tmp_path / str(number)
        assert (
            run("begin", mine, "--title", "Ours", "--maker", "", "--units", "in", typed=f"shells\n{said}\n").exit_code
            == 0
        )
        assert read_collection(mine).collection.settings.currency == code
        assert f"currency: {code}\n" in (mine / "collection.yaml").read_text()


def test_a_currency_that_is_none_is_refused_in_words(tmp_path):
    done = run("begin", tmp_path / "mine", "--title", "Ours", "--maker", "", "--units", "in", "--currency", "shells")
    assert done.exit_code == 2 and "“shells” is not the code of a currency." in done.output
    assert not (tmp_path / "mine").exists()


def test_nothing_is_said_of_the_currency_where_nobody_answers(tmp_path, living_in):
    living_in({"LANG": "en_GB.UTF-8"})
    run("begin", tmp_path / "mine", "--title", "Ours", typed="")
    assert (tmp_path / "mine/collection.yaml").read_text() == "title: Ours\n"
