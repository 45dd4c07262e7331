"""What a picture's name tells, and what it does not."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from site_builder.photo_import.file_names import is_scene, quilt_name_of_folder, read_name


@pytest.mark.parametrize(
    ("stem", "title", "shows", "number"),
    [
        ("low-tide 1", "Low Tide", None, 1),
        ("low-tide-back", "Low Tide", "back", None),
        ("low_tide_close-up", "Low Tide", "detail", None),
        ("LowTideLabel2", "Low Tide", "label", 2),
        ("Label - Low Tide", "Low Tide", "label", None),
        ("back of low tide", "Low Tide", "back", None),
        ("IMG_1234 low tide", "Low Tide", None, None),
        ("Low Tide, the blue one - detail (3)", "Low Tide, the blue one", "detail", None),
        ("Grandma's Fans (1995)", "Grandma's Fans (1995)", None, None),
        ("Sampler 1998 2", "Sampler 1998", None, 2),
        ("100 Good Wishes", "100 Good Wishes", None, None),
        ("nine-patch", "Nine Patch", None, None),
        ("九つのパッチ 2", "九つのパッチ", None, 2),
        ("garden of the heart", "Garden of the Heart", None, None),
        ("Back Porch", "Back Porch", None, None),
        ("Corner Store", "Corner Store", None, None),
        ("Night Sky", "Night Sky", None, None),
        ("Cover Story", "Cover Story", None, None),
    ],
)
def test_words_in_a_name_are_the_quilts_name_and_what_is_shown(stem, title, shows, number):
    name = read_name(stem)
    assert (name.title, name.shows, name.number) == (title, shows, number)


@pytest.mark.parametrize(
    "stem",
    [
        "IMG_2034", "DSC01234", "P1010203", "PXL_20210512_101112123", "2016-05-12 10.11.12", "scan0001", "Photo 12",
        "image", "quilt", "IMG-20160512-WA0003", "3F2504E0-4F89-11D3-9A0C-0305E82C3301", "", "__", "(2)",
        "Chat image 2016-05-12 at 10.11.12", "20160512", "IMG_2034_HDR", "PXL_20210512_101112123.PORTRAIT-02.ORIGINAL",
        "00100_BURST20190601101112_COVER", "DSC_0012 copy", "received_10156789012345",
    ],
)  # fmt: skip
def test_a_name_that_a_camera_or_a_program_gave_is_no_title(stem):
    assert read_name(stem).title == ""


@pytest.mark.parametrize("stem", ["front", "Back", "label 2", "on the bed", "DSC_0001_detail", "corner"])
def test_a_name_that_only_says_what_is_shown_is_no_title(stem):
    assert (read_name(stem).title, bool(read_name(stem).shows)) == ("", True)


@pytest.mark.parametrize(
    "stem", ["IMG_2034 (2)", "IMG_2034-edited", "IMG_E2034", "IMG_2034 copy", "IMG_2034~2", "img_2034 copy 2"]
)
def test_copies_and_edited_versions_go_back_to_one_original(stem):
    assert read_name(stem).original == read_name("IMG_2034").original
    assert read_name(stem).is_version and not read_name("IMG_2034").is_version


@pytest.mark.parametrize(
    "stem",
    ["IMG_20160512_101112", "2016-05-12 10.11.12", "PXL_20160512_101112123", "Chat image 2016-05-12 at 10.11.12"],
)
def test_a_moment_in_a_name_is_read(stem):
    assert str(read_name(stem).taken) == "2016-05-12 10:11:12"


def test_a_day_that_is_none_is_no_moment():
    assert read_name("20160231_101112").taken is None


@pytest.mark.parametrize(
    ("folder", "title"),
    [
        ("low-tide", "Low Tide"), ("Low Tide quilt", "Low Tide quilt"), ("2016-05 Grandma's fans", "Grandma's fans"),
        ("9 Patch", "9 Patch"), ("DCIM", ""), ("100APPLE", ""), ("Camera Roll", ""), ("photos 2016", ""),
        ("May 2016", ""), ("2016", ""), ("to sort", ""), ("Quilts for a friend", ""), ("guild show 2018", ""), ("details", ""),
    ],
)  # fmt: skip
def test_a_folder_is_called_after_a_quilt_or_is_a_box_of_many(folder, title):
    assert quilt_name_of_folder(folder) == title


def test_details_and_backs_are_no_quilts_of_their_own():
    assert is_scene("details") and is_scene("on the bed 2") and not is_scene("Low Tide")


WORDS = st.sampled_from(["harbour", "Lantern", "wild geese", "Blåbær", "moth-hour", "tea_tin", "Ohio Star"])
ENDINGS = st.sampled_from(["", " 1", "-2", " (3)", " back", "_label", " detail 2", "-closeup", " copy", " front copy"])


@given(WORDS, ENDINGS, ENDINGS)
def test_what_comes_after_a_title_does_not_make_it_another_quilt(words, one, other):
    assert read_name(words + one).words == read_name(words + other).words != frozenset()


@given(st.text(max_size=60))
def test_any_name_at_all_can_be_read(stem):
    name = read_name(stem)
    assert name.title == " ".join(name.title.split())
    assert name.title or name.words == frozenset()
    quilt_name_of_folder(stem)
