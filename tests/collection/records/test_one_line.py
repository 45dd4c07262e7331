"""Names and other short words are on one line, however they are written; notes and addresses keep their lines."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.support.made_records import a_charity, a_quilt

LINE_ENDS = ["\n", "\r\n", "\r", "\v", "\f", "\x1c", "\x85", "\u2028", "\u2029"]


@pytest.mark.parametrize("end", LINE_ENDS, ids=ascii)
def test_the_ends_of_lines_in_a_name_are_read_as_spaces(end):
    assert a_charity(name=f"River {end}{end} Street{end}").name == "River Street"
    assert a_quilt(title=f"Low{end}Tide", techniques=f"hand{end}pieced").techniques == ("hand pieced",)


@given(st.lists(st.sampled_from(["a", " ", *LINE_ENDS])).map("".join).map(lambda text: f"x{text}x"))
def test_a_name_is_one_line_with_every_word_that_was_written(text):
    name = a_charity(name=text).name
    assert len(name.splitlines()) == 1
    assert name.split() == text.split()


def test_a_name_on_one_line_stays_as_it_is_written():
    assert a_charity(name="River  Street").name == "River  Street"


def test_notes_and_addresses_keep_their_lines():
    charity = a_charity(notes="one\n\ntwo", contact={"address": "14 Weir Lane\nLow Town"})
    assert charity.notes == "one\n\ntwo" and charity.contact.address == "14 Weir Lane\nLow Town"
