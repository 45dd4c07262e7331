"""Beginning a collection by commands: from an empty folder to the first page of a catalogue."""
from contextlib import suppress

import pytest
from click.testing import CliRunner

from collection.reading import read_collection
from site_builder.commands import cli
from site_builder.desk.beginning import begin_collection
from tests.collection.interrupted_writing import Killed, steps


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
