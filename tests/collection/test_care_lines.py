"""How a quilt is washed, in words: by the most delicate thing in it."""

import pytest

from collection.care_lines import BY_HAND, MACHINE, NOT_HOT, care_line, is_known_unwashed
from tests.collection.made_records import a_quilt


@pytest.mark.parametrize(
    ("fields", "line"),
    [
        ({}, MACHINE),
        ({"fibre": {"top": "cotton", "backing": "flannel", "batting": "80/20 cotton and polyester"}}, MACHINE),
        ({"fibre": {"top": "cotton", "batting": "wool"}}, BY_HAND),
        ({"fibre": {"top": "silk and velvet"}}, BY_HAND),
        ({"fibre": {"top": "cotton", "backing": "minky"}}, NOT_HOT),
        ({"fibre": {"backing": "minky", "batting": "merino"}}, BY_HAND),
        ({"features": ["fleece"]}, NOT_HOT),
    ],
)
def test_the_most_delicate_thing_in_it_decides(fields, line):
    assert care_line(a_quilt(**fields)) is line


@pytest.mark.parametrize("line", [MACHINE, NOT_HOT, BY_HAND])
def test_the_words_stand_in_the_order_of_a_care_label(line):
    """Source: ASTM D5489-18, section 4.6, seen: washing, bleaching, drying, ironing, professional care."""
    for words in (line.full.lower(), " ".join(line.short).lower()):
        places = [words.find(word) for word in ("wash", "bleach", "flat" if line is BY_HAND else "dry", "iron", "dry clean")]
        found = [place for place in places if place >= 0]
        assert found == sorted(found) and places[0] >= 0 and places[1] >= 0


def test_only_a_quilt_that_is_known_not_to_be_washed_is_told_about_its_first_wash():
    assert is_known_unwashed(a_quilt(care={"washed": False}))
    assert not is_known_unwashed(a_quilt(care={"washed": True}))
    assert not is_known_unwashed(a_quilt(care={"label": True}))
    assert not is_known_unwashed(a_quilt())
