"""Files that only seem to be photos of a collection: links that lead elsewhere, pipes, devices, folders, gigabytes."""

import io
import os
from datetime import date
from pathlib import Path

import pytest
from PIL import Image

from collection.loading.loader import read_collection
from site_builder.building.build import build
from site_builder.documents.giving_report.thumbnails import thumbnails

PUBLIC, SECRET = (20, 200, 40), (250, 10, 20)

pytestmark = pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="links and pipes like these are a thing of Unix")


@pytest.fixture
def records(tmp_path, write_collection) -> Path:
    """A collection of one quilt, and a picture of somebody else's beside it."""
    folder = write_collection(tmp_path / "records", {"quilts/low-tide.yaml": "title: Low Tide\n", "photos/.keep": ""})
    (tmp_path / "elsewhere").mkdir()
    Image.new("RGB", (40, 60), SECRET).save(tmp_path / "elsewhere/x.jpg")
    Image.new("RGB", (40, 60), PUBLIC).save(folder / "photos/own.jpg")
    return folder


def shown(records: Path, *photos: str) -> tuple[set[tuple[int, ...]], list[str]]:
    """The most frequent colours of the pictures in the catalogue, and the warnings; built twice, the same."""
    (records / "quilts/low-tide.yaml").write_text(
        "title: Low Tide\nphotos:\n" + "".join(f"  - {photo}\n" for photo in photos)
    )
    output = records.parent / "output"
    warnings = [str(warning) for warning in build(records, output, on=date(2026, 5, 12)).warnings]
    assert warnings == [str(warning) for warning in build(records, output, on=date(2026, 5, 12)).warnings]
    colours = set()
    for path in (output / "catalogue").rglob("*.jpg"):
        with Image.open(path) as picture:
            colours.add(max(picture.convert("RGB").getcolors(1 << 20))[1])
    return colours, warnings


def is_secret(colour: tuple[int, ...]) -> bool:
    return all(abs(one - other) < 30 for one, other in zip(colour, SECRET, strict=True))


def test_the_search_knows_the_secret_picture(records):
    (records / "photos/x.jpg").write_bytes((records.parent / "elsewhere/x.jpg").read_bytes())
    assert any(map(is_secret, shown(records, "x.jpg")[0]))


@pytest.mark.parametrize("link", ["out.jpg", "a/folder"])
def test_a_link_out_of_the_photos_is_told_and_never_shown(records, link):
    (records / "photos/a").mkdir()
    leads_to = records.parent / "elsewhere"
    (records / "photos" / link).symlink_to(leads_to if link.endswith("folder") else leads_to / "x.jpg")
    colours, warnings = shown(records, "own.jpg", "out.jpg", "a/folder/x.jpg")
    assert not any(map(is_secret, colours))
    assert f"photos/{link}:1: This is a link to a place outside the photos folder" in "\n".join(warnings)


def test_a_link_within_the_photos_is_a_photo(records):
    (records / "photos/again.jpg").symlink_to("own.jpg")
    assert shown(records, "again.jpg")[1] == []


def test_a_photos_folder_that_lies_on_another_disk_is_one(records):
    (records / "photos").rename(records.parent / "on-another-disk")
    (records / "photos").symlink_to(records.parent / "on-another-disk")
    assert shown(records, "own.jpg")[1] == []


def test_what_is_no_file_is_told_with_the_place_where_it_is_named(records):
    photos = records / "photos"
    os.mkfifo(photos / "pipe.jpg")
    (photos / "folder.jpg").mkdir()
    (photos / "device.jpg").symlink_to("/dev/zero")
    (photos / "ring.jpg").symlink_to("ring.jpg")
    (photos / "nothing.jpg").symlink_to("not-there.jpg")
    (photos / "empty.jpg").touch()
    (photos / "gigabyte.jpg").touch()
    os.truncate(photos / "gigabyte.jpg", 1 << 30)
    names = (
        "pipe.jpg",
        "folder.jpg",
        "device.jpg",
        "ring.jpg",
        "nothing.jpg",
        "empty.jpg",
        "gigabyte.jpg",
        f"{'毛' * 90}.jpg",
    )
    _, warnings = shown(records, "own.jpg", *names)
    for number, name in enumerate(names, start=2):
        told = [
            warning
            for warning in warnings
            if warning.startswith(f"quilts/low-tide.yaml:{number + 2}: photos.{number}.file")
        ]
        assert len(told) == 1, name


def test_names_that_differ_only_in_case_are_two_photos_where_the_disk_has_two(records):
    Image.new("RGB", (40, 60), (10, 20, 240)).save(records / "photos/Own.JPG")
    two = len(list((records / "photos").glob("*wn.*")))
    assert len(read_collection(records).collection.photos) == two
    assert shown(records, "own.jpg")[1] == []


def test_what_is_printed_shows_no_picture_behind_a_link_either(records):
    (records / "photos/out.jpg").symlink_to(records.parent / "elsewhere/x.jpg")
    text = "title: Low Tide\nphotos: [out.jpg, own.jpg]\n"
    (records / "quilts/low-tide.yaml").write_text(text)
    collection = read_collection(records).collection
    (jpeg,) = thumbnails(collection, collection.quilts.values()).values()
    with Image.open(io.BytesIO(jpeg)) as picture:
        assert not is_secret(picture.convert("RGB").getpixel((0, 0)))
    (records / "quilts/low-tide.yaml").write_text("title: Low Tide\nphotos: [out.jpg]\n")
    collection = read_collection(records).collection
    assert thumbnails(collection, collection.quilts.values()) == {}
