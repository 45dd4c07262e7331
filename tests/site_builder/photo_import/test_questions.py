"""What a person is asked when photos are taken in, what the answers do, and what is said."""

import io
import json
import sys

import click
import pytest

from collection.loading.loader import read_collection
from site_builder.photo_import import known_photos
from tests.site_builder.images.drawn_photos import decoded, encoded
from tests.site_builder.photo_import.photos import jpeg, take_in


class Answers(io.StringIO):
    """A terminal at which somebody types these lines."""

    def isatty(self):
        return True


@pytest.fixture
def quilts(tmp_path, write_collection):
    record = "# hers\ntitle: Low Tide\nphotos: low-tide/front.jpg  # the best\ndestination: free\n"
    return write_collection(
        tmp_path / "quilts of mine", {"quilts/low-tide.yaml": record, "photos/low-tide/front.jpg": jpeg(1)}
    )


@pytest.fixture
def source(tmp_path, write_collection):
    return lambda files: write_collection(tmp_path / "source", files)


@pytest.fixture
def answer(monkeypatch, quilts):
    """Takes in with these answers, and gives the quilts afterwards; all answers must have been asked for."""

    def run(source, *lines, **options):
        typed = Answers("".join(f"{line}\n" for line in lines))
        monkeypatch.setattr(sys, "stdin", typed)
        take_in(quilts, source, **{"yes": False, **options})
        assert typed.read() == ""
        return read_collection(quilts).collection.quilts

    return run


def files(quilt):
    return [photo.file for photo in quilt.photos]


def test_it_is_asked_before_anything_is_written(answer, source, quilts):
    given = source({"bramble.jpg": jpeg(2)})
    with pytest.raises(click.Abort):
        answer(given, "n")
    assert not (quilts / "quilts/bramble.yaml").exists() and not (quilts / "photos/bramble").exists()
    assert set(answer(given, "y")) == {"low-tide", "bramble"}


def test_the_same_quilt_can_be_given_the_new_pictures_and_its_file_stays_as_it_is_written(answer, source, quilts):
    given = source({"Low Tide/IMG_8.jpg": jpeg(5), "Low Tide/back.jpg": jpeg(6), "Low Tide/IMG_9.jpg": jpeg(1)})
    after = answer(given, "add", "y")
    assert files(after["low-tide"]) == ["low-tide/front.jpg", "low-tide/IMG_8.jpg", "low-tide/back.jpg"]
    assert after["low-tide"].photos[2].shows == "back"
    written = (quilts / "quilts/low-tide.yaml").read_text(encoding="utf-8")
    assert (
        written.startswith("# hers\ntitle: Low Tide\n")
        and "# the best" in written
        and written.endswith("destination: free\n")
    )


def test_a_picture_that_is_there_already_can_be_a_new_quilt_all_the_same(answer, source):
    assert files(answer(source({"bramble.jpg": jpeg(1)}), "new", "y")["bramble"]) == ["bramble/bramble.jpg"]


def test_a_picture_that_is_there_already_cannot_be_added_to_its_quilt_a_second_time(answer, source, capsys):
    after = answer(source({"bramble.jpg": jpeg(1)}), "add", "what?", "s")
    assert set(after) == {"low-tide"} and files(after["low-tide"]) == ["low-tide/front.jpg"]
    said = capsys.readouterr().err
    assert "bramble.jpg is the same picture as photos/low-tide/front.jpg, a photo of Low Tide." in said
    assert said.count("Type skip, new or rest; the first letter will do.") == 2


def test_all_the_rest_can_be_skipped_at_once(answer, source):
    small = encoded(decoded(jpeg(1)).resize((200, 150)))
    assert set(answer(source({"IMG_1.jpg": jpeg(1), "IMG_5.jpg": small, "b.png": jpeg(1)}), "r")) == {"low-tide"}


def test_a_picture_in_two_drafts_is_asked_about(answer, source):
    given = {"bramble 1.jpg": jpeg(2), "bramble 2.jpg": jpeg(3), "heron.jpg": jpeg(3), "heron back.jpg": jpeg(4)}
    assert {name: len(quilt.photos) for name, quilt in answer(source(given), "new", "y").items()} == {
        "low-tide": 1, "bramble": 2, "heron": 2
    }  # fmt: skip


def test_a_picture_in_two_drafts_is_left_out_of_the_second(answer, source):
    given = {"bramble 1.jpg": jpeg(2), "bramble 2.jpg": jpeg(3), "heron.jpg": jpeg(3), "heron back.jpg": jpeg(4)}
    assert files(answer(source(given), "skip", "y")["heron"]) == ["heron/heron back.jpg"]


def test_two_drafts_with_a_picture_in_common_can_be_put_together(answer, source):
    given = {"bramble 1.jpg": jpeg(2), "bramble 2.jpg": jpeg(3), "heron.jpg": jpeg(3), "heron back.jpg": jpeg(4)}
    after = answer(source(given), "add", "y")
    assert files(after["bramble"]) == ["bramble/bramble 1.jpg", "bramble/bramble 2.jpg", "bramble/heron back.jpg"]
    assert "heron" not in after


def test_a_doubt_is_asked_and_the_answer_puts_pictures_together(answer, source):
    given = source({"For Nell/bramble.jpg": jpeg(2), "For Nell/IMG_3.jpg": jpeg(3)})
    assert set(answer(given, "n", "y")) == {"low-tide", "bramble", "img-3"}


def test_no_doubt_is_asked_of_pictures_that_are_there_already(answer, source):
    given = source({"For Nell/bramble.jpg": jpeg(2), "For Nell/heron.jpg": jpeg(3)})
    before = set(answer(given, "n", "y"))
    assert set(answer(given, "skip", "skip")) == before


def test_a_doubt_that_is_answered_with_yes_makes_one_quilt(answer, source):
    given = source({"For Nell/bramble.jpg": jpeg(2), "For Nell/heron.jpg": jpeg(3)})
    after = answer(given, "y", "y")
    assert len(after) == 2 and len(after["bramble"].photos) == 2


def test_nobody_is_asked_with_yes_and_what_is_there_is_listed(answer, source, capsys):
    answer(source({"bramble.jpg": jpeg(2), "Low Tide.jpg": jpeg(3)}), yes=True)
    out, err = capsys.readouterr()
    assert "Low Tide.jpg: A quilt called Low Tide is in the collection already." in out and "Took in 1 photo;" in err


def test_a_dry_run_asks_nothing_and_changes_nothing(answer, source, quilts, capsys, monkeypatch):
    monkeypatch.setattr(known_photos, "is_stable", lambda stamp, now: True)  # else nothing would be kept anyway
    assert set(answer(source({"bramble.jpg": jpeg(2), "IMG_1.jpg": jpeg(1)}), dry_run=True)) == {"low-tide"}
    assert not (quilts / "photos/bramble").exists()
    assert not (quilts / ".counterpane").exists()
    out, err = capsys.readouterr()
    assert (
        "quilts/bramble.yaml: Bramble: bramble.jpg (its own name)" in out
        and "Nothing was changed: 1 photo shown only." in err
    )


def test_programs_are_told_everything(answer, source, capsys):
    given = source(
        {
            "bramble back.jpg": jpeg(2),
            "IMG_1.jpg": jpeg(1),
            "notes.txt": "hello",
            "baby quilt 1.jpg": jpeg(7),
            "baby quilt 2.jpg": jpeg(8),
        }
    )
    answer(given, yes=True, as_json=True)
    told = json.loads(capsys.readouterr().out)
    assert told["drafts"][0] | {"because": ""} == {
        "quilt": "baby-quilt-1", "title": "Baby Quilt 1", "named": True, "because": "",
        "photos": [{"file": "baby-quilt-1/baby quilt 1.jpg", "from": "baby quilt 1.jpg", "shows": None}],
    }  # fmt: skip
    assert told["drafts"][2]["photos"][0]["shows"] == "back"
    assert told["skipped"] == [
        {"file": "IMG_1.jpg", "because": "The same picture as photos/low-tide/front.jpg.", "quilt": "low-tide"}
    ]
    assert told["left_out"] == [{"file": "notes.txt", "because": "This is not a picture."}]
    assert told["doubts"] == [
        {"files": ["baby quilt 1.jpg", "baby quilt 2.jpg"], "because": "They are all called Baby Quilt."}
    ]
    assert told["added"] == [] and told["written"] is True


def test_many_pictures_without_names_are_told_in_one_line(answer, source, capsys):
    answer(source({f"IMG_{n}.jpg": jpeg(n + 10) for n in range(6)}), yes=True)
    said = capsys.readouterr().out
    assert "6 pictures whose names tell nothing become a draft each: img-0, img-1, img-2, img-3 and 2 more" in said


def test_a_source_that_is_not_there_or_is_the_collection_is_told_in_words(answer, quilts, tmp_path):
    with pytest.raises(click.UsageError, match="There is nothing called"):
        answer(tmp_path / "nowhere")
    with pytest.raises(click.UsageError, match="is the collection itself"):
        answer(quilts)


def test_a_taking_in_is_one_change_in_the_log(answer, source, quilts):
    answer(source({"bramble.jpg": jpeg(2)}), "y")
    log = (quilts / ".counterpane/changes.yaml").read_text(encoding="utf-8")
    assert (
        "command: take-in" in log
        and "Bramble (bramble): taken in with 1 photo." in log
        and "photos/bramble/bramble.jpg" in log
    )
