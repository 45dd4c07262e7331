"""What cells say is read as it is meant, and what is not said exactly stays in words."""

import re
from dataclasses import replace
from datetime import date
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from collection.records.partner import Partner
from collection.spreadsheet_import.values.dates import order_shown, read_date
from collection.spreadsheet_import.values.recipients import Recipient, Recipients
from collection.spreadsheet_import.values.sizes import read_sides, read_size
from collection.spreadsheet_import.values.words import (
    how_many_of_these,
    read_condition,
    read_fabric,
    read_money,
    read_money_cell,
    read_number,
    read_pattern,
    read_photos,
    read_quilted_by,
    read_stage,
    read_way,
    read_words,
    read_yes_or_no,
)
from collection.values.dates import EdtfDate
from collection.values.lengths import Length, Size

SIDES = st.fractions(min_value=5, max_value=130).map(lambda side: Fraction(round(side * 8), 8))
SIZES = st.builds(lambda width, length: Size(Length(width), Length(length)), SIDES, SIDES)
WORDS = st.text(max_size=40)


# Sizes ------------------------------------------------------------------------------------------


@given(SIZES)
def test_a_size_that_is_written_exactly_is_read_as_it_is_and_needs_no_note(size):
    read = read_size(str(size), "in")
    assert read.exact
    assert Size.parse(str(read.fields["finished_size"])) == size


@given(SIZES, st.sampled_from(("{}ish", "about {}", "approx. {}", "{}?", "~{}", "{} or so", "c. {}", "{} +/-")))
def test_a_size_with_a_word_of_doubt_is_read_as_one_that_is_only_about_right(size, words):
    read = read_size(words.format(f"{size.in_inches()}"), "in")
    assert Size.parse(str(read.fields["finished_size"])) == replace(size, about=True)


@given(SIZES)
def test_sides_that_are_named_may_stand_in_either_order(size):
    width, length = size.width.in_inches(), size.length.in_inches()
    for text in (f"{width}W x {length}L", f"{length} long x {width} wide", f"W: {width}, L: {length}"):
        read = read_size(text, "in")
        assert (read.fields.get("finished_size"), read.exact) == (str(size), True), text


@given(WORDS)
def test_what_is_no_size_is_kept_in_words_and_never_an_error(text):
    read = read_size(text, "in")
    assert read.fields or not read.exact


@pytest.mark.parametrize(
    ("text", "size"),
    [
        ("5ft x 6ft", "60 x 72 in"), ("150 x 180 cm", "150 x 180 cm"), ("60 by 72", "60 x 72 in"), ("45 sq", "45 x 45 in"),
        ("twin 68x86", "68 x 86 in"), ("lap (50x60)", "50 x 60 in"), ("60½ x 72", "60 1/2 x 72 in"), ("60,5 x 72", "60 1/2 x 72 in"),
    ],
)  # fmt: skip
def test_sizes_are_read_in_the_ways_that_people_write_them(text, size):
    assert read_size(text, "in").fields["finished_size"] == size


@pytest.mark.parametrize("text", ["Queen", "36", "60 - 72", "68x86 or 70x90", "60x72x3", "?", "60x72 shrunk to 58x70"])
def test_what_could_be_several_sizes_or_none_is_not_decided(text):
    assert read_size(text, "in").fields == {}


def test_a_number_too_large_for_inches_is_not_taken_for_inches_unless_the_sheet_says_so():
    assert read_size("150 x 180", "in").fields == {}
    assert "cm" in read_size("150 x 180", "in").doubt
    assert read_size("150 x 180", "cm").fields["finished_size"] == "150 x 180 cm"
    assert read_size("140 x 180", "in", stated=True).fields["finished_size"] == "140 x 180 in"


def test_a_heading_that_says_length_by_width_turns_the_size_round():
    assert read_size("72 x 60", "in", length_first=True).fields["finished_size"] == "60 x 72 in"
    assert read_size("72L x 60W", "in", length_first=True).fields["finished_size"] == "60 x 72 in"


@given(SIDES, SIDES)
def test_two_columns_make_one_size(width, length):
    read = read_sides(str(Length(width)), str(Length(length)), "in")
    assert (read.fields, read.exact) == ({"finished_size": str(Size(Length(width), Length(length)))}, True)


def test_two_columns_of_which_one_says_nothing_make_no_size():
    assert read_sides("60", "?", "in").fields == {}


# Dates ------------------------------------------------------------------------------------------


@given(st.dates(min_value=date(1900, 1, 1), max_value=date(2026, 12, 31)))
def test_a_day_is_read_as_it_is(day):
    read = read_date(day.isoformat(), "made", latest_year=2026)
    assert (read.fields, read.exact) == ({"made": day.isoformat()}, True)


@given(
    st.integers(1930, 2026),
    st.sampled_from(("{}", "c. {}", "about {}", "{}?", "before {}", "late {}", "spring {}")),
)
def test_what_dates_read_by_themselves_is_read_alike_here(year, words):
    text = words.format(year)
    assert read_date(text, "made", latest_year=2026).fields == {"made": EdtfDate.parse(text).edtf}


@given(st.integers(1927, 2026))
def test_two_figures_of_a_year_are_the_latest_such_year_that_has_come(year):
    for text in (f"'{year % 100:02}", f"{year % 100:02}", f"’{year % 100:02}"):
        assert read_date(text, "made", latest_year=2026).fields == {"made": str(year)}


@given(WORDS)
def test_what_is_no_date_is_kept_in_words_and_never_an_error(text):
    read = read_date(text, "made", latest_year=2026)
    assert read.fields or not read.exact


@pytest.mark.parametrize(
    ("text", "edtf", "exact"),
    [
        ("Mar-98", "1998-03", True), ("5/94", "1994-05", True), ("1998/99", "1998/1999", True), ("98/99", "1998/1999", True),
        ("late '90s", "1997~/1999~", True), ("Summer 98", "1998-22", True), ("6-May-98", "1998-05-06", True), ("1998 ?", "1998?", True),
        ("Xmas 2005", "2005-12~", False), ("2014 (finished)", "2014", False), ("Finished in May 2014", "2014-05", False),
        ("2019 or 2020", "2019/2020", True),
    ],
)  # fmt: skip
def test_dates_are_read_in_the_ways_that_sheets_have_them(text, edtf, exact):
    read = read_date(text, "made", latest_year=2026)
    assert (read.fields["made"], read.exact) == (edtf, exact)


@pytest.mark.parametrize("text", ["2000s", "?", "36526", "when Ann was born", "1998.5", "yes", "31/31/2016"])
def test_what_has_no_one_meaning_as_a_date_is_not_decided(text):
    assert read_date(text, "made", latest_year=2026).fields == {}


def test_a_day_is_told_from_a_month_by_the_other_cells_of_the_column():
    assert order_shown(["5/12/2016", "28/5/2016"]) == "day first"
    assert order_shown(["5/12/2016", "5/28/2016"]) == "month first"
    assert order_shown(["5/12/2016"]) is None
    assert order_shown(["28/5/2016", "5/28/2016"]) is None


def test_a_day_that_no_cell_settles_is_kept_in_words_too():
    assert read_date("5/12/2016", "made", latest_year=2026, order="day first") == read_date(
        "5/12/2016", "made", latest_year=2026, order="day first", settled=False
    )
    assert not read_date("5/12/2016", "made", latest_year=2026, order="day first").exact
    assert read_date("5/12/2016", "made", latest_year=2026, order="day first", settled=True).fields == {
        "made": "2016-12-05"
    }
    assert read_date("28/5/2016", "made", latest_year=2026, order="month first").exact


def test_a_year_to_come_is_no_date_of_a_quilt():
    assert read_date("2031", "made", latest_year=2026).fields == {}


# Words ------------------------------------------------------------------------------------------


@given(
    st.lists(st.sampled_from(("blue", "green", "off white", "red")), min_size=1, max_size=4, unique=True),
    st.sampled_from((", ", "; ", " & ", " and ", "/")),
)
def test_words_in_a_row_are_parted_and_none_is_lost(words, joint):
    assert read_words(joint.join(words), "colours").fields == {"colours": words}


@given(st.integers(1, 9_999_999))
def test_a_number_is_read_whatever_stands_before_it(number):
    for text in (str(number), f"#{number}", f"No. {number}", f"no {number}"):
        assert (read_number(text).fields, read_number(text).exact) == ({"number": str(number)}, True)


@pytest.mark.parametrize("text", ["143a", "0", "12-3", "", "99999999"])
def test_what_is_no_whole_number_is_kept_in_words(text):
    assert read_number(text).fields == {}


def test_noughts_before_a_number_are_kept_in_words():
    assert (read_number("0143").fields, read_number("0143").exact) == ({"number": "143"}, False)


@given(st.decimals(min_value=0, max_value=99_999, places=2))
def test_an_amount_is_read_to_the_cent(amount):
    assert read_money(f"${amount:,}", "x", "USD").fields == {"x": f"{amount:f}"}


@pytest.mark.parametrize("text", ["about 80", "$80ish", "£80", "-5", "80 + batting", "free", "80?"])
def test_an_amount_that_is_not_exactly_one_is_never_guessed(text):
    assert read_money(text, "x", "USD").fields == {}


def test_the_result_of_a_division_is_rounded_and_kept_in_words_too():
    assert (read_money_cell(100 / 3, "x", "USD").fields, read_money_cell(100 / 3, "x", "USD").exact) == (
        {"x": "33.33"},
        False,
    )
    assert read_money_cell(84.5, "x", "USD").exact


def test_yes_and_no_are_read_and_nothing_in_between():
    assert read_yes_or_no("x", "care.label").fields == {"care.label": True}
    assert read_yes_or_no("Not yet", "care.label").fields == {"care.label": False}
    assert read_yes_or_no("on the to do list", "care.label").fields == {}


def test_how_it_was_quilted_is_told_from_many_words_but_a_machine_alone_leaves_it_open():
    assert read_way("Hand quilted").fields == {"quilting.how": "hand"}
    assert read_way("by hand and longarm").fields == {}
    assert read_way("machine").fields == {}
    assert read_way("large meander").fields == {}
    assert read_quilted_by("Jo, longarm", None).fields == {"quilting.by": "Jo", "quilting.how": "longarm"}
    assert read_quilted_by("me", "A. Maker").fields == {"quilting.by": "A. Maker"}


def test_a_condition_in_other_words_stands_in_its_own_note():
    assert read_condition("Good").fields == {"condition": "good"}
    assert read_condition("excellent, one stain").fields == {
        "condition": "good",
        "condition_note": "excellent, one stain",
    }


def test_a_pattern_may_name_its_designer_or_be_her_own():
    assert read_pattern("Low Tide by A. Name").fields == {
        "pattern.name": "Low Tide",
        "pattern.designer": "A. Name",
    }
    assert read_pattern("own design").fields == {"pattern.source": "own design"}
    assert read_pattern("Day by day").fields == {"pattern.name": "Day by day"}


def test_fabric_says_what_a_top_is_made_of_only_where_it_names_fibres():
    assert read_fabric("100% cotton").fields == {"fibre.top": "100% cotton"}
    assert read_fabric("scraps from Ann").fields == {}


def test_how_far_a_quilt_is_may_be_said_in_the_trades_words():
    assert read_stage("needs binding").fields == {"stage": "binding"}
    assert (read_stage("UFO").fields, read_stage("UFO").exact) == ({"stage": "piecing"}, False)


def test_photos_are_found_by_path_or_by_the_name_that_only_one_has():
    photos = frozenset({"a/front.jpg", "b/front.jpg", "IMG_1.JPG"})
    assert read_photos("photos/a/front.jpg", photos).fields == {"photos": ["a/front.jpg"]}
    assert read_photos(r"C:\Users\me\img_1.jpg", photos).fields == {"photos": ["IMG_1.JPG"]}
    assert read_photos("IMG_1", photos).fields == {"photos": ["IMG_1.JPG"]}
    assert (read_photos("front.jpg", photos).fields, read_photos("front.jpg", photos).exact) == ({}, False)


@pytest.mark.parametrize(
    ("text", "count"),
    [
        ("2 of these", 2),
        ("made three of them for the twins", 3),
        ("Low Tide x2", 2),
        ("Low Tide (x3)", 3),
        ("set of 2", 2),
    ],
)
def test_words_may_say_that_there_are_several(text, count):
    assert how_many_of_these(text, is_title=True) == count


@pytest.mark.parametrize(
    "text",
    [
        "2 of 5",
        "Route 66",
        "size 60x72",
        "9-patch",
        "one of these",
        "12 blocks",
        "99 of these",
        "20 x 20",
        "mini 20in x 20",
    ],
)
def test_other_numbers_do_not_say_that_there_are_several(text):
    assert how_many_of_these(text, is_title=True) is None


def test_a_number_behind_other_things_than_a_title_does_not_say_that_there_are_several():
    assert how_many_of_these("spools of thread x2") is None


# Recipients -------------------------------------------------------------------------------------

RECIPIENTS = Recipients([
    Partner(id="river-street", name="River Street Shelter"),
    Partner(id="hill-hospice", name="Hill Hospice"),
    Partner(id="nell", name="Nell Marsh", kind="go-between"),
    Partner(id="ruths-place", name="Ruth's Place"),
])  # fmt: skip


@pytest.mark.parametrize(
    ("text", "recipient"),
    [
        ("Ruth", Recipient("person", "Ruth")),
        ("gave to cousin?", Recipient("person", "cousin", state="gifted", exact=False)),
        ("Ruth, wedding 2004", Recipient("person", "Ruth", year="2004", occasion="wedding")),
        ("River St shelter 2019", Recipient("partner", partner="river-street", year="2019")),
        ("hill-hospice", Recipient("partner", partner="hill-hospice")),
        ("the ladies at Hill Hospice", Recipient("partner", partner="hill-hospice", exact=False)),
        ("hospice", Recipient("partner", partner="hill-hospice", exact=False)),
        ("via Nell", Recipient("partner", through="nell")),
        ("Nell for River Street Shelter", Recipient("partner", partner="river-street", through="nell")),
        ("Harbour Refuge", Recipient("charity", "Harbour Refuge")),
        ("donated to the Lighthouse", Recipient("charity", "the Lighthouse", state="donated")),
        ("kept", Recipient("kept")), ("me", Recipient("kept")), ("for donation", Recipient("free")),
        ("?", Recipient("unknown", exact=False)), ("sold at the fair", Recipient("sold", exact=False)),
    ],
)  # fmt: skip
def test_a_recipient_is_told_from_what_people_write(text, recipient):
    assert RECIPIENTS.read(text) == recipient


@given(WORDS)
def test_any_words_are_read_as_something_and_none_makes_a_partner_up(text):
    read = RECIPIENTS.read(text)
    assert read.partner in (None, "river-street", "hill-hospice", "ruths-place")
    assert not (read.exact and read.kind == "person" and not read.name)


def test_what_the_maker_has_settled_goes_before_what_is_guessed():
    settled = Recipients([], {"Harbour Refuge": Recipient("person", "Harbour Refuge")})
    assert settled.read("harbour  refuge").kind == "person"


@given(st.sampled_from(("Ruth", "my sister", "Ann and Bea", "cousin Jo")))
def test_a_persons_name_stands_in_the_record_as_it_was_written(name):
    assert re.fullmatch(name, RECIPIENTS.read(name).name)
