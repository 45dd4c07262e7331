from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from collection.values.dates import EdtfDate
from tests.support.patience import soon


def read(text: str) -> EdtfDate:
    return EdtfDate.parse(text)


# What people write ----------------------------------------------------------------------------

EVERYDAY_WORDS = {
    "2016~": [
        "about 2016", "circa 2016", "ca. 2016", "ca 2016", "c. 2016", "c2016", "around 2016", "About 2016",
        "approximately 2016", "2016 or so", "roughly 2016", "2016~", "in about 2016", "2016ish"
    ],
    "2016?": ["maybe 2016", "perhaps 2016", "possibly 2016", "probably 2016", "2016?"],
    "2016%": ["maybe about 2016", "about 2016?", "2016?~", "2016~?", "2016%", "possibly c. 2016"],
    "199X": [
        "1990s", "the 1990s", "1990's", "the nineties", "nineties", "90s", "the '90s", "the ’90s", "199x",
        "in the 1990s", "Sometime in the nineties"
    ],
    "199X~": ["about the 1990s", "c1990s"],
    "198X?": ["maybe the eighties"],
    "1990~/1993~": ["early 1990s", "the early nineties"],
    "1994~/1996~": ["mid-1990s"],
    "1997~/1999~": ["late '90s"],
    "2000~/2003~": ["the early 2000s"],
    "2004~/2006~": ["about the mid 2000s"],
    "../2009": ["pre-2010", "before 2010"],
    "2016-01~/2016-04~": ["early 2016"],
    "2016-05~/2016-08~": ["mid 2016"],
    "2016-09~/2016-12~": ["late 2016"],
    "2011/..": ["after 2010"],
    "../2010": ["by 2010", "until 2010", "2010 or earlier"],
    "2010/..": ["since 2010", "from 2010", "2010 or later", "2010 onwards"],
    "../2016-04": ["before May 2016"],
    "2017-01/..": ["after December 2016"],
    "../2016-02-29": ["before 1 March 2016"],
    "2000/..": ["after the 1990s"],
    "../1989": ["before the nineties"],
    "../1999": ["by the 1990s"],
    "1990/..": ["since the 1990s"],
    "../2009~": ["before about 2010"],
    "../2016-11": ["before winter 2016"],
    "2017-03/..": ["after winter 2016"],
    "2010/2012": [
        "between 2010 and 2012", "2010 to 2012", "2010-2012", "2010–2012", "2010 - 2012",
        "from 2010 to 2012", "2010/2012", "2010 through 2012", "2010 / 2012",
        "some time between 2010 and 2012"
    ],
    "2010~/2012": ["about 2010 to 2012"],
    "2010?/2012~": ["2010? - about 2012"],
    "2010?/2012?": ["maybe between 2010 and 2012"],
    "1980/1999": ["the 1980s to the 1990s"],
    "2016-05/2017-06": ["May 2016 to June 2017", "May 2016–June 2017"],
    "2016-05-12/2016-06-03": ["12 May 2016 to 3 June 2016"],
    "2016-21/2016-23": ["spring 2016 to autumn 2016"],
    "2015/": ["2015 to an unknown date"],
    "/2015": ["an unknown date to 2015"],
    "2016-21": ["spring 2016"],
    "2016-22": ["summer of 2016", "the summer of 2016"],
    "2016-23": ["Fall 2016", "autumn, 2016"],
    "2016-24": ["winter 2016", "winter 2016-17", "winter 2016/17", "winter 2016–2017"],
    "1999-24": ["winter 1999-2000"],
    "2016-21~": ["about spring 2016"],
    "2016-05": ["May 2016", "may, 2016", "in May 2016", "May of 2016", "2016-05"],
    "2016-09": ["Sept. 2016", "sep 2016", "Sept 2016"],
    "2016-12?": ["December 2016?"],
    "2016-05-12": [
        "12 May 2016", "May 12, 2016", "May 12 2016", "12th May 2016", "May 12th, 2016",
        "12th of May, 2016", "12. May 2016", "2016-05-12", "2016-05-12T10:00:00", "2016-05-12T10:00:00Z",
        " 2016-05-12 ", "on 12 May 2016", "2016‐05‐12"
    ],
    "2016-05-01": ["1 May 2016"],
    "2026-11-20": [
        "11/20/2026", "20/11/2026", "20.11.2026", "11-20-2026", "20-11-2026", "11 20 2026", "2026/11/20", "2026.11.20",
        "on 11/20/2026"
    ],
    "2016-02-05": ["2016/2/5", "2016-2-5"],
    "2016-05-05": ["5/5/2016", "05.05.2016"],
    "2026-11-20~": ["about 11/20/2026", "11/20/2026~"],
    "2026-12-13/2026-12-31": ["12/13/2026 to 12/31/2026", "between 13.12.2026 and 31.12.2026"],
    "../2026-11-19": ["before 11/20/2026"],
    "2016-XX": ["2016-xx"],
    "20XX": ["20xx"],
    "2016": ["some time in 2016"],
}  # fmt: skip


@pytest.mark.parametrize("edtf, text", [(edtf, text) for edtf, texts in EVERYDAY_WORDS.items() for text in texts])
def test_everyday_words_become_the_dates_they_mean(edtf, text):
    assert read(text).edtf == edtf


@pytest.mark.parametrize(
    "text, told",
    [
        ("", "empty"), ("unknown", "leave"), ("?", "leave"), ("n.d.", "leave"), ("undated", "leave"),
        ("5/12/2016", "2016-05-12"), ("5/12/2016", "2016-12-05"), ("05.12.2016", "2016-12-05"),
        ("5-12-2016", "2016-05-12"),
        ("5/6/2026", "Write 2026-05-06 or 2026-06-05."), ("about 5/6/2026", "2026-05-06 or 2026-06-05"),
        ("12/1/2026 to 12/31/2026", "2026-12-01"), ("31/4/2016", "30"), ("4/31/2016", "30"), ("2/30/2016", "29"),
        ("25/12/16", "four figures"), ("5/12/16", "four figures"), ("0/5/2016", "31"),
        ("32/13/2016", "2016-05-12"),
        ("2016/05", "2016-05"), ("2016/5", "2016-05"), ("2015/16", "2015/2016"),
        ("5/2016", "2016-05"), ("05-2016", "2016-05"), ("1985-4", "1985-04"), ("2016/13/5", "month 13"),
        ("19850412", "1985-04-12"),
        ("198504", "1985-04"), ("16", "four figures"), ("'16", "four figures"),
        ("summer of '98", "four figures"),
        ("2004-13", "13"), ("1990-95", "1990/1995"), ("2004-00", "month 00"), ("1985-04-31", "30"),
        ("1900-02-29", "28"), ("2016-04-00", "30"),
        ("2005/2004", "2004/2005"), ("2005-03/2005-01", "2005-01/2005-03"), ("31 April 2016", "30"),
        ("2012 to 2010", "2010/2012"),
        ("1984 ?", "1984?"), ("2016 ~", "2016~"), ("201?", "201X"),
        ("-1985", "before the year 1"), ("0000", "before the year 1"), ("Y170000002", "four figures"),
        ("12016", "four figures"),
        ("156X-12-25", "156X"), ("2004-06-~11", "2004-06-11~"), ("?2004-06", "2004-06?"),
        ("2004?-06-11", "2004-06-11?"), ("[1667,1668]", "1667/1668"),
        ("{1960,1961-12}", "1960/1961-12"), ("2004-06-XX/2004-07-03", "2004-06"), ("1950S2", "195X"),
        ("2001-34", "month 34"),
        ("2001-25", "month 25"), ("2XXX", "20XX"), ("XXXX", "leave"), ("2004-XX-05", "2004-XX-XX"),
        ("198X/199X", "1980/1999"),
        ("the twenties", "2020s"), ("20s", "1920s"), ("the 2000s", "20XX"), ("1900s", "19XX"),
        ("2016 or 2017", "2016/2017"),
        ("../..", "leave"), ("/", "leave"), ("..", "leave"), ("../", "leave"), ("/2016/", "2016"),
        ("yesterday", "2016-05-12"), ("soon", "2016-05-12"),
        ("2016-05-12T25:00:00", "2016-05-12"), ("2016-05-12 10:00", "2016-05-12"), ("May", "year"),
        ("12 May", "year"), ("spring", "year"),
        ("before", "2016"), ("between 2010", "2016"), ("9" * 101, "too long"), ("٢٠١٦", "0 to 9"),
        ("2016-24/2016-21", "backwards"),
        ("after 9999", "out of reach"), ("9999-24", "out of reach"), ("before 0001", "out of reach"),
        ("winter 2016-18", "2016"), ("about", "2016"), ("to 2016 to", "2016"),
    ],
)  # fmt: skip
def test_what_is_no_date_is_refused_with_what_would_be_right(text, told):
    with pytest.raises(ValueError) as refused:
        read(text)
    message = str(refused.value)
    assert told in message
    assert message.endswith(".") and "\n" not in message and len(message) < 220


def test_the_constructor_takes_only_the_text_that_parse_would_keep():
    assert EdtfDate("2016~") == read("about 2016")
    for text in ("about 2016", "2016-05-12T10:00:00", "201x", " 2016", "2016\n", ""):
        with pytest.raises(ValueError):
            EdtfDate(text)


# What is known --------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "text, earliest, latest",
    [
        ("about 2016", date(2016, 1, 1), date(2016, 12, 31)), ("1990s", date(1990, 1, 1), date(1999, 12, 31)),
        ("winter 2003", date(2003, 12, 1), date(2004, 2, 29)), ("before 2010", None, date(2009, 12, 31)),
        ("2015/", date(2015, 1, 1), None), ("late 1990s", date(1997, 1, 1), date(1999, 12, 31)),
    ],
)  # fmt: skip
def test_a_date_knows_its_first_and_last_possible_day(text, earliest, latest):
    assert (read(text).earliest, read(text).latest) == (earliest, latest)


@pytest.mark.parametrize("text, approximate, uncertain", [("2016", False, False), ("2016~", True, False),
("2016?", False, True),
                                                          ("2016%", True, True),
                                                          ("2015~/2017?", True, True),
                                                          ("2015/2017~", True, False)])  # fmt: skip
def test_a_date_knows_whether_it_is_approximate_or_uncertain(text, approximate, uncertain):
    assert (read(text).approximate, read(text).uncertain) == (approximate, uncertain)


def test_an_interval_may_begin_within_the_year_that_ends_it():
    assert (read("2005-06/2005").earliest, read("2005-06/2005").latest) == (date(2005, 6, 1), date(2005, 12, 31))


def test_an_unknown_end_differs_from_an_open_one():
    assert read("2015/").end_unknown and not read("2015/..").end_unknown
    assert read("/2015").start_unknown and not read("../2015").start_unknown
    assert not read("2015").start_unknown and not read("2015").end_unknown


@pytest.mark.parametrize("text, day", [("2016-05-12", date(2016, 5, 12)), ("2016-05-12~", None),
("2016-05-12?", None), ("2016-05", None),
                                       ("2016-05-XX", None), ("../2016-05-12", None)])  # fmt: skip
def test_only_a_plain_day_is_an_exact_day(text, day):
    assert read(text).exact_day == day


@pytest.mark.parametrize("text, year", [("2016", 2016), ("2016~", 2016), ("2016-05", 2016),
("2016-03/2016-09", 2016), ("201X", None),
                                        ("2015/2016", None), ("2016-24", None), ("2016/..", None),
                                        ("2016-XX-XX", 2016)])  # fmt: skip
def test_the_year_is_told_when_first_and_last_day_lie_in_it(text, year):
    assert read(text).year == year


@pytest.mark.parametrize("text, decades", [("2016", (2010,)), ("199X", (1990,)), ("1985/2004",
(1980, 1990, 2000)), ("1999-24", (1990, 2000)),
                                           ("../2009", (2000,)), ("2015/", (2010,)),
                                           ("20XX", tuple(range(2000, 2100, 10)))])  # fmt: skip
def test_a_date_names_every_decade_it_may_belong_to_but_of_an_open_span_only_the_known_end(text, decades):
    assert read(text).decades() == decades


@pytest.mark.parametrize(
    "text, answer",
    [
        ("2016", "surely"), ("2016-05-12", "surely"), ("2016-03/2016-09", "surely"), ("2016-XX", "surely"),
        ("2016~", "maybe"), ("2016?", "maybe"), ("2015/2016", "maybe"), ("201X", "maybe"),
        ("2016/..", "maybe"), ("../2016", "maybe"),
        ("2016-24", "maybe"), ("../2020", "maybe"), ("/2016", "maybe"),
        ("2015", "no"), ("2017~", "no"), ("2017/..", "no"), ("../2015", "no"), ("2015-11", "no"),
    ],
)  # fmt: skip
def test_a_date_counts_into_a_year_of_giving_surely_maybe_or_not(text, answer):
    assert read(text).within(date(2016, 1, 1), date(2016, 12, 31)) == answer


def test_one_date_is_surely_before_another_only_if_its_last_day_is():
    assert read("2015").surely_before(read("2016")) and not read("2016").surely_before(read("2015"))
    assert not read("2015/2016").surely_before(read("2016-05"))
    assert not read("2015/..").surely_before(read("2030")) and not read("2010").surely_before(read("../2030"))
    assert read("../2010").surely_before(read("2011/.."))


def test_dates_sort_by_first_day_then_by_last_and_a_span_without_a_start_comes_first():
    shuffled = ["2016-05", "2016/..", "2016", "../2030", "2016-05-12", "199X", "2016~", "../2020"]
    assert [d.edtf for d in sorted(map(read, shuffled), key=lambda d: d.sort_key)] == [
        "../2020", "../2030", "199X", "2016", "2016~", "2016/..", "2016-05", "2016-05-12"
    ]  # fmt: skip


# What is said ---------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "text, said",
    [
        ("2016", "2016"), ("2016~", "about 2016"), ("2016?", "possibly 2016"),
        ("2016%", "possibly about 2016"),
        ("199X", "the 1990s"), ("199X~", "about the 1990s"), ("201X?", "possibly the 2010s"),
        ("200X", "some time from 2000 to 2009"), ("20XX", "some time from 2000 to 2099"),
        ("20XX?", "possibly some time from 2000 to 2099"),
        ("2004-XX", "some time in 2004"), ("2004-XX-XX", "some day in 2004"),
        ("2004-06-XX", "some day in June 2004"),
        ("2001-21", "spring 2001"), ("2001-22", "summer 2001"), ("2001-23", "autumn 2001"),
        ("2001-24", "winter 2001–02"),
        ("1999-24", "winter 1999–2000"), ("2016-05", "May 2016"), ("2016-05-02", "2 May 2016"),
        ("2016-05-12~", "about 12 May 2016"),
        ("2015/2017", "2015 to 2017"), ("2015~/2017", "about 2015 to 2017"),
        ("2015~/2017~", "about 2015 to about 2017"),
        ("2016-05/2016-06", "May 2016 to June 2016"), ("2015/..", "2015 or later"),
        ("../2019", "2019 or earlier"),
        ("../2019~", "about 2019 or earlier"), ("2015/", "2015 to an unknown date"),
        ("/2015", "an unknown date to 2015"),
        ("1990~/1993~", "the early 1990s"), ("1994~/1996~", "the mid 1990s"),
        ("1997~/1999~", "the late 1990s"),
        ("2016-01~/2016-04~", "early 2016"), ("2016-09~/2016-12~", "late 2016"), ("0850", "850"),
    ],
)  # fmt: skip
def test_a_date_is_said_as_people_say_it(text, said):
    assert read(text).say() == said


# Laws -----------------------------------------------------------------------------------------

days = st.dates(date(1000, 1, 1), date(9998, 12, 31))
qualifiers = st.sampled_from(["", "?", "~", "%"])
plain_dates = st.one_of(
    days.map(lambda d: f"{d:%Y-%m-%d}"), days.map(lambda d: f"{d:%Y-%m}"), days.map(lambda d: f"{d:%Y}"),
    st.builds(lambda d, season: f"{d:%Y}-{season}", days, st.integers(21, 24)),
)  # fmt: skip
vague_dates = st.one_of(
    days.map(lambda d: f"{d:%Y-%m}-XX"), days.map(lambda d: f"{d:%Y}-XX"), days.map(lambda d: f"{d:%Y}-XX-XX"),
    days.map(lambda d: f"{d:%Y}"[:3] + "X"), days.map(lambda d: f"{d:%Y}"[:2] + "XX"),
)  # fmt: skip
qualified = st.builds(str.__add__, plain_dates, qualifiers)
single = qualified | st.builds(str.__add__, vague_dates, qualifiers)
closed_spans = st.tuples(qualified, qualified).map(
    lambda ends: "/".join(sorted(ends, key=lambda end: EdtfDate(end).sort_key))
)
half_spans = st.builds(str.format, st.sampled_from(["{}/..", "../{}", "{}/", "/{}"]), qualified)
dates = st.one_of(single, closed_spans, half_spans).map(EdtfDate)


@given(dates)
def test_the_text_of_a_date_reads_back_as_that_date(day):
    assert read(str(day)) == day and hash(read(str(day))) == hash(day)
    assert str(day) == day.edtf


@given(dates)
def test_what_is_said_reads_back_with_the_same_bounds_and_doubts(day):
    again = read(day.say())
    assert (again.earliest, again.latest) == (day.earliest, day.latest)
    assert (again.approximate, again.uncertain) == (day.approximate, day.uncertain)
    assert (again.start_unknown, again.end_unknown) == (day.start_unknown, day.end_unknown)


@given(dates)
def test_the_first_day_is_never_after_the_last_and_one_of_them_is_known(day):
    assert day.earliest or day.latest
    if day.earliest and day.latest:
        assert day.earliest <= day.latest


@given(dates, dates)
def test_sorting_agrees_with_what_is_surely_before_and_tells_all_different_dates_apart(one, other):
    assert (one.sort_key == other.sort_key) == (one == other)
    if one.surely_before(other):
        assert one.sort_key < other.sort_key and not other.surely_before(one)


@given(dates, days, st.integers(0, 800))
def test_counting_into_a_stretch_of_time_agrees_with_the_bounds(day, start, length):
    end = start + timedelta(length) if start < date(9990, 1, 1) else start
    answer = day.within(start, end)
    outside = (day.earliest is not None and day.earliest > end) or (day.latest is not None and day.latest < start)
    assert (answer == "no") == outside
    if answer == "surely":
        assert start <= day.earliest <= day.latest <= end and not day.approximate and not day.uncertain


@given(dates)
def test_the_decades_are_whole_ascending_and_hold_what_is_known(day):
    decades = day.decades()
    assert decades and all(decade % 10 == 0 for decade in decades) and list(decades) == sorted(set(decades))
    for bound in (day.earliest, day.latest):
        assert bound is None or bound.year // 10 * 10 in decades


def mutated(sound: list[str]) -> st.SearchStrategy[str]:
    """Sound text with a stretch of it replaced by something else."""
    piece = st.sampled_from(
        [
            "",
            " ",
            "-",
            "/",
            "~",
            "?",
            "%",
            "X",
            "..",
            "0",
            "9999",
            "31",
            "s",
            "about ",
            "before ",
            " to ",
            "May",
            "\x00",
            "٣",
        ]
    )
    return st.builds(
        lambda text, at, span, new: text[:at] + new + text[at + span :],
        st.sampled_from(sound), st.integers(0, 25), st.integers(0, 5), piece | st.text(max_size=5),
    )  # fmt: skip


WRITTEN = ["2016-05-12", "about 2016", "the early nineties", "between 2010 and 2012", "2015~/2017?",
"winter 2016-17", "before 1 May 2016",
           "12th of May, 2016", "../1985-04", "2001-24", "201X", "1985-XX-XX", "5/12/2016", "2016/05",
           "19850412", "[1667,1668]", "9999-12-31",
           "the 2000s", "May 2016–June 2017", "2016 or later", "1985-04-12T23:20:30+04:30", "0001-01-01",
           "before 0001-01-01"]  # fmt: skip
anything = st.text(max_size=120) | mutated(WRITTEN) | st.text(alphabet="0123456789-/.~?%XTs '", max_size=25)


@given(anything)
def test_any_text_either_reads_or_is_refused_in_words_and_what_reads_writes_back(text):
    try:
        day = read(text)
    except ValueError as refused:
        assert str(refused).endswith(".") and "\n" not in str(refused)
    else:
        assert read(day.edtf) == day and day.say().strip() and day.decades() and day.sort_key


@pytest.mark.parametrize(
    "piece", ["9", " ", "-", "/", "about ", "before ", "1990s ", "to ", "2016-", "X", "maybe c. ", "the ", "?", "."]
)
def test_a_very_long_text_is_refused_at_once(piece):
    for text in (piece * 100_000, piece * (100 // len(piece))):
        with soon(), pytest.raises(ValueError):
            read(text)
