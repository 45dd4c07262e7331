"""Which quilts are shown alone and flattened."""

import json
from pathlib import Path

import pytest

from collection.records.collection import Collection
from collection.records.quilt import Quilt
from collection.records.settings import Settings
from site_builder.images.picture import Picture, Rendition
from site_builder.pages.edition import Edition
from site_builder.pages.flat_covers import flat_cover
from site_builder.pages.search_index import QUILTS_FILE, wall_index

FLAT = Rendition(400, 480, "0123456789abcdef0123-480.jpg", 9)
COVER = Picture("d1", 3024, 4032, (Rendition(300, 400, "0123456789abcdef0123-400.jpg", 9),), "#8a8c8b", flat=FLAT)


def shown(picture=COVER, **facts):
    """The flattened cover of a quilt with these facts, and the entry of its picture on the wall."""
    facts = {"finished_size": "60 x 72", "photos": ["front.jpg"], **facts}
    quilt = Quilt.model_validate({"id": "one", "title": "One", **facts})
    collection = Collection(Path(), Settings(), {"one": quilt})
    edition = Edition("catalogue", collection, {"front.jpg": picture})
    script = wall_index(edition, [quilt])[QUILTS_FILE].decode()
    (row,) = json.loads(script.partition("=")[2].removesuffix(";\n"))["quilts"]
    return flat_cover(edition, quilt), row[3]


def test_a_quilt_as_long_and_wide_as_recorded_is_shown_flattened():
    flat, entry = shown()
    assert flat == FLAT
    assert entry[3:] == [[["0123456789abcdef0123-400.jpg", 300]], FLAT.file_name]


@pytest.mark.parametrize("size", ["60 x 72", "60 x 63", "60 x 82", "153 x 183 cm"])
def test_the_photo_may_be_off_by_a_few_per_cent(size):
    assert shown(finished_size=size)[0] == FLAT


@pytest.mark.parametrize("size", ["72 x 60", "60 x 60", "60 x 110", "60 x 84", None])
def test_a_quilt_turned_on_its_side_or_folded_or_not_measured_is_not(size):
    flat, entry = shown(finished_size=size)
    assert flat is None and len(entry) == 4


@pytest.mark.parametrize(
    ("shows", "is_shown"), [("front", True), (None, True), ("back", False), ("folded", False), ("in use", False)]
)
def test_only_the_front_is(shows, is_shown):
    flat, _ = shown(photos=[{"file": "front.jpg", "shows": shows}])
    assert (flat is not None) == is_shown


def test_a_photo_without_a_flattened_quilt_stays_as_it_is():
    flat, entry = shown(Picture("d1", 3024, 4032, COVER.renditions, "#8a8c8b"))
    assert flat is None and len(entry) == 4


def test_a_photo_that_is_not_public_is_not_shown_flattened_either():
    quilt = Quilt.model_validate(
        {
            "id": "one",
            "title": "One",
            "finished_size": "60 x 72",
            "photos": [{"file": "front.jpg", "public": False}],
        }
    )
    collection = Collection(Path(), Settings(), {"one": quilt})
    edition = Edition.catalogue(collection, {"front.jpg": COVER})
    assert flat_cover(edition, edition.collection.quilts["one"]) is None
