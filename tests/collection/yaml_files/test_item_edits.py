"""Editing one item of a list, or one field of it, in place: its neighbours stay, byte for byte."""

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from collection.yaml_files.field_edits import EditProblem, remove_value, set_value
from tests.support.written_files import WORDS, assert_edited, files, is_sound, reads

PHOTOS = """\
photos:  # the best first
  - front.jpg  # by Ann
  # the label
  - file: label.jpg
    caption: On the back  # blurred

  - {file: back.jpg, shows: back}
title: x
"""


@pytest.mark.parametrize(
    ("path", "value", "before", "after"),
    [
        (("photos", 1, "caption"), "Sewn on", "On the back", "Sewn on"),
        (("photos", 1, "shows"), "label", "back  # blurred\n", "back  # blurred\n    shows: label\n"),
        (("photos", 2, "caption"), "In the sun", "shows: back}", "shows: back, caption: In the sun}"),
        (("photos", 0), "face.jpg", "front.jpg", "face.jpg"),
        (("photos", 0), {"file": "front.jpg", "caption": "Ours"}, "front.jpg", "{file: front.jpg, caption: Ours}"),
        (
            ("photos", 2, "caption"),
            "long " * 15 + "text",
            "{file: back.jpg, shows: back}",
            "file: back.jpg\n    shows: back\n    caption: " + "long " * 15 + "text",
        ),
    ],
)
def test_one_value_within_a_list_is_set_and_its_neighbours_stay(path, value, before, after):
    assert PHOTOS.count(before) == 1
    assert set_value(PHOTOS, path, value) == PHOTOS.replace(before, after)


@pytest.mark.parametrize(
    ("path", "before", "after"),
    [
        (("photos", 0), "  - front.jpg  # by Ann\n", "  # by Ann\n"),
        (("photos", 1), "  - file: label.jpg\n    caption: On the back  # blurred\n", "  # blurred\n"),
        (("photos", 2), "  - {file: back.jpg, shows: back}\n", ""),
        (("photos", 1, "file"), "file: label.jpg\n    caption", "caption"),
        (("photos", 1, "caption"), "    caption: On the back  # blurred\n", "    # blurred\n"),
        (("photos", 2, "shows"), ", shows: back", ""),
        (("photos", 3), "x", "x"),
        (("photos", 0, "caption"), "x", "x"),
    ],
)
def test_one_value_within_a_list_is_taken_out(path, before, after):
    assert remove_value(PHOTOS, path) == PHOTOS.replace(before, after)


@pytest.mark.parametrize(
    ("before", "after"),
    [
        ("photos: [a.jpg, b.jpg, c.jpg]\n", "photos: [a.jpg, c.jpg]\n"),
        ("photos:\n- a.jpg\n-\n- b.jpg # c\n", "photos:\n- a.jpg\n-\n# c\n"),
        ("photos:\n  - a.jpg\n  - |\n    b.jpg\n  - c.jpg", "photos:\n  - a.jpg\n  - c.jpg"),
        ("photos:\r\n  - a.jpg\r\n  - b.jpg\r\n", "photos:\r\n  - a.jpg\r\n"),
    ],
)
def test_an_item_goes_in_the_manner_of_its_list(before, after):
    assert remove_value(before, ("photos", 1)) == after


def test_of_the_only_item_an_empty_list_is_left():
    assert remove_value("photos:  # c\n  - a.jpg\ntitle: x\n", ("photos", 0)) == "photos: []  # c\ntitle: x\n"


def test_nothing_is_set_where_nothing_could_hold_it():
    with pytest.raises(EditProblem, match="nothing yet"):
        set_value("photos: [a.jpg]\n", ("photos", 1), "b.jpg")
    with pytest.raises(EditProblem, match="nothing yet"):
        set_value("pattern: Low Tide\n", ("pattern", "source"), "book")


@settings(max_examples=40)
@given(files().filter(is_sound), WORDS, st.integers(0, 1), st.sampled_from([None, "is", "on", "note"]))
def test_whatever_the_file_only_the_item_changes(text, word, index, name):
    history = reads(text).get("history")
    assume(isinstance(history, list) and index < len(history))
    item = history[index]
    assume(name is None or isinstance(item, dict))
    edited = set_value(text, ("history", index) + ((name,) if name else ()), word)
    assert_edited(text, edited, "history")
    history[index] = {**item, name: word} if name else word
    assert reads(edited)["history"] == history


@settings(max_examples=40)
@given(files().filter(is_sound), st.integers(0, 1), st.sampled_from([None, "is", "on"]))
def test_whatever_the_file_only_the_item_is_taken_out(text, index, name):
    history = reads(text).get("history")
    assume(isinstance(history, list) and index < len(history))
    item = history[index]
    assume(name is None or (isinstance(item, dict) and name in item and len(item) > 1))
    edited = remove_value(text, ("history", index) + ((name,) if name else ()))
    assert_edited(text, edited, "history")
    history[index : index + 1] = [{key: value for key, value in item.items() if key != name}] if name else []
    assert reads(edited)["history"] == history
