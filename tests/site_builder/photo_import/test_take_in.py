"""Photos taken in, from files to files: real pictures with a camera's notes, and the mess that lies beside them."""

import os
import shutil
import tempfile
from datetime import date
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from collection.loading.loader import read_collection
from collection.loading.validation import validate
from collection.records.collection import Collection
from collection.records.destinations import UNDECIDED
from collection.records.quilt import Quilt
from collection.storage.folder_layout import record_files
from collection.values.dates import EdtfDate
from collection.yaml_files.parser import read_yaml
from site_builder.images.decode import MOST_BYTES, decode
from site_builder.photo_import import known_photos as known_photos_module
from site_builder.photo_import.drafts import Places, draft_of
from site_builder.photo_import.find_files import LINK, RAW, TOO_HEAVY, find_pictures
from site_builder.photo_import.known_photos import KEPT_IN, known_photos
from tests.site_builder.images.drawn_photos import HEIC, corners_of, decoded, encoded, four_corners, near, patchwork
from tests.site_builder.photo_import.photos import jpeg, notes, seen, take_in
from tests.support.folders import files_below


@pytest.fixture
def quilts(tmp_path, write_collection):
    """A collection with one quilt, whose one photo is patchwork 1."""
    files = {
        "quilts/low-tide.yaml": "title: Low Tide\nphotos: low-tide/front.jpg\n",
        "photos/low-tide/front.jpg": jpeg(1),
    }
    return write_collection(tmp_path / "my quilts", files)


@pytest.fixture
def source(tmp_path, write_collection):
    """Writes the files of a source, and gives its folder."""
    return lambda files: write_collection(tmp_path / "From the phone", files)


def taken_in(quilts, source):
    take_in(quilts, source)
    return read_collection(quilts)


def everything_in(folder):
    return {name: content for name, content in files_below(folder).items() if not name.startswith(".counterpane/")}


def test_pictures_become_drafts_and_lie_unchanged_beside_them(quilts, source):
    given = source({
        "bramble 1.jpg": jpeg(2, taken="2016:05:12 10:11:12", place=True), "bramble-label.png": encoded(patchwork(90, 60, 3), "PNG"),
        "IMG_2034.HEIC": HEIC.read_bytes(),
    })  # fmt: skip
    before = everything_in(given)
    reading = taken_in(quilts, given)
    assert reading.problems == ()
    bramble, phone = reading.collection.quilts["bramble"], reading.collection.quilts["img-2034"]
    assert [(photo.file, photo.shows, photo.public) for photo in bramble.photos] == [
        ("bramble/bramble 1.jpg", None, True), ("bramble/bramble-label.png", "label", False),
    ]  # fmt: skip
    assert (bramble.title, phone.title) == ("Bramble", "Untitled, photo IMG_2034")
    assert bramble.notes == phone.notes == "Photographed 12 May 2016."
    assert everything_in(given) == before
    for name, content in before.items():
        folder = "img-2034" if name.startswith("IMG") else "bramble"
        assert (quilts / "photos" / folder / name).read_bytes() == content


def test_the_day_of_the_photo_is_a_note_and_never_when_the_quilt_was_made(quilts, source):
    quilt = taken_in(quilts, source({"bramble.jpg": jpeg(2, taken="2016:05:12 10:11:12")})).collection.quilts["bramble"]
    assert quilt.made is None
    assert quilt.notes == f"Photographed {EdtfDate.parse('2016-05-12').say()}."


@pytest.mark.parametrize("taken", ["0000:00:00 00:00:00", "1980:01:01 00:00:00", "2031:01:01 00:00:00", "some day"])
def test_a_clock_that_was_not_set_leaves_no_note(quilts, source, taken):
    assert taken_in(quilts, source({"bramble.jpg": jpeg(2, taken=taken)})).collection.quilts["bramble"].notes is None


@pytest.mark.parametrize("today", [date.min, date.max])
def test_a_today_at_either_end_of_the_calendar_stops_nothing_that_is_taken_in(quilts, source, today):
    take_in(quilts, source({"bramble.jpg": jpeg(2, taken="2016:05:12 10:11:12")}), on=today)
    notes = read_collection(quilts).collection.quilts["bramble"].notes
    assert (notes is not None) is (today == date.max)


def test_a_record_holds_only_what_the_picture_tells(quilts, source):
    take_in(quilts, source({"bramble.jpg": jpeg(2, taken="2016:05:12 10:11:12", place=True)}))
    written = (quilts / "quilts/bramble.yaml").read_text(encoding="utf-8")
    assert written == "title: Bramble\nphotos: [bramble/bramble.jpg]\nnotes: Photographed 12 May 2016.\n"
    assert read_collection(quilts).collection.quilts["bramble"].destination == UNDECIDED


@pytest.mark.parametrize("orientation", range(1, 9))
def test_a_picture_that_lies_on_its_side_is_copied_so_and_shown_upright(quilts, source, orientation):
    from PIL import Image

    from site_builder.images.decode import UPRIGHT

    undone = {6: 8, 8: 6}.get(orientation, orientation)
    stored = four_corners().transpose(UPRIGHT[undone]) if orientation > 1 else four_corners()
    content = encoded(stored, quality=95, exif=notes(orientation=orientation))
    take_in(quilts, source({"bramble.jpg": content}))
    copy = (quilts / "photos/bramble/bramble.jpg").read_bytes()
    assert copy == content
    shown = decode(copy, longest=240).image
    assert isinstance(shown, Image.Image)
    assert all(near(a, b) for a, b in zip(corners_of(shown), corners_of(four_corners()), strict=True))


NAMES = st.text(st.characters(exclude_characters="/", exclude_categories=["Cs"]), min_size=1, max_size=40)


@given(NAMES, st.one_of(st.just(""), NAMES), st.sampled_from(["", ".jpg", ".JPG", ".bak"]))
def test_whatever_the_names_the_record_reads_without_a_problem_and_names_its_photo(name, title, ending):
    places, known = Places(Collection(folder=Path("nowhere"))), {"units": "in", "currency": "USD"}
    drafts = [draft_of([seen(f"x{name}{ending}", seed=1)], title, "", places) for _ in range(2)]
    assert len({draft.id for draft in drafts}) == len({draft.photos[0].file.casefold() for draft in drafts}) == 2
    for draft in drafts:
        quilt, problems = validate(
            Quilt, read_yaml(draft.text.encode(), f"quilts/{draft.id}.yaml")[0], **known, id=draft.id
        )
        assert problems == [] and quilt.photos[0].file == draft.photos[0].file
        assert quilt.title == draft.title
        assert not record_files_refuse(draft.id)


def record_files_refuse(quilt):
    told = []
    with tempfile.TemporaryDirectory() as folder:
        (Path(folder) / "quilts").mkdir()
        (Path(folder) / "quilts" / f"{quilt}.yaml").write_text("")
        return [] if record_files(Path(folder), "quilts", told.append) and not told else [quilt]


# What is there already


def test_a_second_run_takes_nothing_in_and_says_what_is_there(quilts, source, capsys):
    given = source({"bramble.jpg": jpeg(2), "IMG_1.jpg": jpeg(3)})
    take_in(quilts, given)
    before = everything_in(quilts)
    capsys.readouterr()
    take_in(quilts, given)
    said = "".join(capsys.readouterr())
    assert everything_in(quilts) == before
    assert "bramble.jpg: The same picture as photos/bramble/bramble.jpg." in said and "nothing new to take in" in said


def test_a_smaller_a_turned_and_a_renamed_copy_of_a_photo_in_the_collection_are_skipped(quilts, source, capsys):
    picture = decoded(jpeg(1))
    copies = {
        "IMG_5.jpg": encoded(picture.resize((160, 120)), quality=60),
        "IMG_7.png": encoded(picture.rotate(90, expand=True), "PNG"),
        "holiday.jpg": jpeg(1),
    }
    reading = taken_in(quilts, source(copies))
    assert set(reading.collection.quilts) == {"low-tide"}
    assert "".join(capsys.readouterr()).count("The same picture as photos/low-tide/front.jpg.") == 3


def test_new_pictures_of_a_quilt_that_is_there_are_skipped_and_never_merged(quilts, source, capsys):
    reading = taken_in(quilts, source({"Low Tide/IMG_8.jpg": jpeg(5), "Low Tide/IMG_9.jpg": jpeg(1)}))
    assert len(reading.collection.quilts["low-tide"].photos) == 1 and set(reading.collection.quilts) == {"low-tide"}
    assert "Low Tide/IMG_8.jpg: It belongs to Low Tide/IMG_9.jpg, which is in the collection already." in "".join(
        capsys.readouterr()
    )


def test_the_same_picture_twice_in_a_source_is_taken_in_once_in_its_largest_version(quilts, source):
    large = jpeg(2, size=(640, 480))
    small = encoded(decoded(large).resize((320, 240)), quality=70)
    reading = taken_in(quilts, source({"bramble 1.jpg": small, "bramble 2.jpg": large, "other name.jpg": large}))
    assert set(reading.collection.quilts) == {"low-tide", "bramble"}
    assert [photo.file for photo in reading.collection.quilts["bramble"].photos] == ["bramble/bramble 2.jpg"]


def test_a_photo_that_was_changed_is_looked_at_again(quilts, monkeypatch):
    monkeypatch.setattr(known_photos_module, "is_stable", lambda stamp, now: True)
    first = known_photos(quilts, ["low-tide/front.jpg"])
    (quilts / "photos/low-tide/front.jpg").write_bytes(jpeg(9))
    second = known_photos(quilts, ["low-tide/front.jpg", "not there.jpg"])
    assert second["low-tide/front.jpg"] != first["low-tide/front.jpg"] and "not there.jpg" not in second


def test_a_photo_that_is_too_new_to_be_known_by_its_time_is_not_kept(quilts):
    known_photos(quilts, ["low-tide/front.jpg"])
    assert not (quilts / KEPT_IN).exists()


def test_what_is_kept_of_likenesses_is_used_again(quilts, monkeypatch):
    monkeypatch.setattr(known_photos_module, "is_stable", lambda stamp, now: True)
    first = known_photos(quilts, ["low-tide/front.jpg"])
    monkeypatch.setattr(known_photos_module, "_look", lambda path: pytest.fail("it was looked at again"))
    assert known_photos(quilts, ["low-tide/front.jpg"]) == first
    (quilts / KEPT_IN).write_text("[broken", encoding="utf-8")
    monkeypatch.setattr(known_photos_module, "_look", lambda path: None)
    assert known_photos(quilts, ["low-tide/front.jpg"]) == {}


@pytest.mark.parametrize("spoil", [
    lambda room: room.write_text("no folder"),
    lambda room: (room / "likenesses.json").mkdir(parents=True),
    lambda room: (room.mkdir(), os.mkfifo(room / "likenesses.json")),
    lambda room: (room.mkdir(), (room / "likenesses.json").write_text("[]")),
    lambda room: room.symlink_to("/nowhere"),
], ids=["a file for a folder", "a folder for a file", "a pipe", "a list", "a link"])  # fmt: skip
def test_likenesses_that_can_not_be_kept_are_looked_at_anew(quilts, monkeypatch, spoil):
    monkeypatch.setattr(known_photos_module, "is_stable", lambda stamp, now: True)
    spoil(quilts / ".counterpane")
    assert list(known_photos(quilts, ["low-tide/front.jpg"])) == ["low-tide/front.jpg"]
    assert not list(quilts.glob(".counterpane/*.part"))


def test_likenesses_half_written_by_a_run_that_was_stopped_are_taken_away(quilts, monkeypatch):
    monkeypatch.setattr(known_photos_module, "is_stable", lambda stamp, now: True)
    (quilts / ".counterpane").mkdir()
    (quilts / ".counterpane/.likenesses.json.1.part").write_text("half")
    known_photos(quilts, ["low-tide/front.jpg"])
    assert [path.name for path in (quilts / ".counterpane").iterdir()] == ["likenesses.json"]


# Messes


def test_what_is_no_picture_is_listed_with_its_reason(quilts, source, tmp_path, capsys):
    given = source({
        "notes.txt": "hello", "film.mov": b"\0\0\0\x14ftypqt  ", "empty.jpg": b"", "cut.jpg": jpeg(2)[:2000], "raw.CR2": b"II*\0",
        "report.jpg": b"%PDF-1.7 and more", ".hidden.jpg": jpeg(3), "Thumbs.db": b"x", "noise.png": b"\x89PNG\r\n\x1a\n" + bytes(50),
        "good.jpg": jpeg(4),
    })  # fmt: skip
    (given / "link.jpg").symlink_to(quilts / "photos/low-tide/front.jpg")
    (given / "linked folder").symlink_to(tmp_path)
    with (given / "huge.jpg").open("wb") as file:
        file.truncate(MOST_BYTES + 1)
    os.mkfifo(given / "pipe.jpg")
    assert set(taken_in(quilts, given).collection.quilts) == {"low-tide", "good"}
    said = "".join(capsys.readouterr())
    for words in (
        "notes.txt: This is not a picture.", "film.mov: This is a film.", "empty.jpg: This file is empty.",
        f"raw.CR2: {RAW}", "report.jpg: This file is not a picture that can be used: it looks like a PDF", LINK,
        TOO_HEAVY.format(size=200, most=200), "pipe.jpg: This is not an ordinary file.", "cut.jpg: This picture", "noise.png: ",
    ):  # fmt: skip
        assert words in said
    assert "hidden" not in said and "Thumbs" not in said and "Traceback" not in said


def test_names_that_differ_in_capitals_only_do_not_meet(quilts, source):
    given = source(
        {"Bramble/FRONT.jpg": jpeg(2), "Bramble/front.jpg": jpeg(3), "Bramble/on the bed/Front.jpg": jpeg(4)}
    )
    quilt = taken_in(quilts, given).collection.quilts["bramble"]
    files = [photo.file for photo in quilt.photos]
    assert len({file.casefold() for file in files}) == 3
    assert {(quilts / "photos" / file).read_bytes() for file in files} == {jpeg(2), jpeg(3), jpeg(4)}


def test_nothing_that_lies_there_is_written_over(quilts, source):
    (quilts / "photos/bramble").mkdir()
    (quilts / "photos/bramble/BRAMBLE.jpg").write_bytes(b"mine")
    (quilts / "quilts/Bramble.bak").write_text("title: Mine", encoding="utf-8")
    take_in(quilts, source({"bramble.jpg": jpeg(2)}))
    assert (quilts / "photos/bramble/BRAMBLE.jpg").read_bytes() == b"mine"
    assert not (quilts / "quilts/bramble.yaml").exists() and (quilts / "quilts/bramble-2.yaml").exists()


def test_odd_names_become_names_that_all_systems_can_hold(quilts, source):
    given = source({"Low: Ebb? quilt/con.jpg": jpeg(2)})
    (Path(os.fsencode(given).decode()) / "x").mkdir()
    with open(os.fsencode(given) + b"/x/ill-\xff.jpg", "wb") as file:
        file.write(jpeg(3))
    (given / "no ending").write_bytes(jpeg(4))
    reading = taken_in(quilts, given)
    assert reading.problems == ()
    assert {"low-ebb-quilt/con-photo.jpg", "no-ending/no ending.jpg"} <= reading.collection.photos
    assert len(reading.collection.quilts) == 4


def test_it_is_all_or_nothing(quilts, source, monkeypatch):
    from collection.problems import CollectionProblems
    from collection.storage import files as disk
    from collection.storage import transaction

    given = source({f"quilt of {word}.jpg": jpeg(seed) for seed, word in enumerate(("stars", "geese", "boats"), 2)})
    before = everything_in(quilts)
    copied = []

    def full(origin, path):
        copied.append(path)
        if len(copied) > 2:
            raise OSError(28, "No space left on device", str(path))
        return disk.copy_lasting(origin, path)

    monkeypatch.setattr(transaction, "copy_lasting", full)
    with pytest.raises(CollectionProblems) as told:
        take_in(quilts, given)
    assert "the disk is full" in str(told.value.problems[0])
    assert everything_in(quilts) == before


def test_photos_that_lie_in_the_collection_already_are_recorded_where_they_are(quilts, write_collection):
    write_collection(quilts, {"photos/new/bramble.jpg": jpeg(2)})
    quilt = taken_in(quilts, quilts / "photos").collection.quilts["bramble"]
    assert [photo.file for photo in quilt.photos] == ["new/bramble.jpg"]
    assert not (quilts / "photos/bramble").exists()


def test_a_photo_there_whose_name_no_record_can_hold_is_told(quilts, capsys):
    for name in (b"ill-\xff.jpg", b"back\\slash.jpg", b"left alone.jpg~", b"fine.jpg"):
        with open(os.fsencode(quilts) + b"/photos/" + name, "wb") as file:
            file.write(jpeg(len(name)))
    assert set(taken_in(quilts, quilts / "photos").collection.quilts) == {"low-tide", "fine"}
    said = "".join(capsys.readouterr())
    assert "Rename the file first" in said and "low-tide/front.jpg: Low Tide names it already." in said


def test_a_folder_around_the_collection_is_searched_without_it(quilts, tmp_path):
    (tmp_path / "bramble.jpg").write_bytes(jpeg(2))
    assert set(taken_in(quilts, tmp_path).collection.quilts) == {"low-tide", "bramble"}


def test_a_single_picture_can_be_named(quilts, source):
    given = source({"bramble.jpg": jpeg(2), "other.jpg": jpeg(3)})
    assert set(taken_in(quilts, given / "bramble.jpg").collection.quilts) == {"low-tide", "bramble"}


def test_pictures_come_in_the_order_of_their_numbers(source):
    given = source({f"IMG_{n}.jpg": b"\xff\xd8\xff" for n in (10, 9, 100)})
    assert [file.name for file in find_pictures(given).pictures] == ["IMG_9.jpg", "IMG_10.jpg", "IMG_100.jpg"]


def test_the_same_source_gives_the_same_bytes(quilts, source, tmp_path):
    given = source({"b 2.jpg": jpeg(2), "IMG_1.jpg": jpeg(3), "Bramble/x.jpg": jpeg(4)})
    again = shutil.copytree(quilts, tmp_path / "again")
    take_in(quilts, given)
    take_in(again, given)
    assert everything_in(quilts) == everything_in(again)
