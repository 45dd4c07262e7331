"""What a half known date means once the rest of the record is heard; and in which year a gift counts then."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from collection.giving.annual_report import giving_report
from collection.giving.arrival import arrival_of
from collection.giving.donations import Giving
from collection.giving.follow_ups import find_follow_ups
from collection.giving.tax_notes import tax_notes
from collection.giving.years import year_bounds, year_of
from collection.privacy import publishable
from collection.records.as_of import as_of
from collection.records.narrowing import narrowed
from collection.values.dates import EdtfDate
from tests.support.made_records import a_charity, a_collection, a_go_between, a_quilt, donated

AGENT = a_go_between("tuesday-van", acts_for=["river-street"])
YEARS = range(2010, 2032)


def listed(quilt, starts: str = "04-06", on: str | None = None, **settings) -> dict[int, str]:
    """The years whose reports name a quilt, and how; a quilt named in two ways by one report is an error."""
    collection, found = a_collection(AGENT, quilt, giving_year_starts=starts, **settings), {}
    for year in YEARS:
        report = giving_report(collection, year, date.fromisoformat(on) if on else None)
        lists = {
            "counts": [*report.of_year.given, *report.of_year.to_people],
            "not placed": report.not_placed,
            "planned": report.planned,
            "on its way": report.of_year.on_its_way,
            "came back": report.former,
        }
        names = [name for name, gifts in lists.items() if gifts]
        assert len(names) <= 1
        if names:
            found[year] = names[0]
    return found


# Examples ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("starts", "fields", "year"),
    [
        ("04-06", {"handed_over": "2026-04-10", "delivered": "2026-04"}, 2026),
        ("04-06", {"handed_over": "2026-04-06", "delivered": "2026-04"}, 2026),
        ("04-06", {"delivered": "2026-04", "acknowledged": "2026-04-05"}, 2025),
        ("04-06", {"handed_over": "2026-03-30", "delivered": "2026-04", "acknowledged": "2026-04-03"}, 2025),
        ("07-01", {"handed_over": "2026-07-02", "delivered": "2026"}, 2026),
        ("07-01", {"delivered": "2026", "acknowledged": "2026-06"}, 2025),
        ("01-01", {"handed_over": "2019-11-30", "delivered": "201X"}, 2019),
        ("01-01", {"handed_over": "2025-06", "delivered": "2025/.."}, None),
        ("01-01", {"handed_over": "2025-06", "delivered": "2025/..", "acknowledged": "2025-12"}, 2025),
        ("01-01", {"handed_over": "2025-02-01", "delivered": "../2025"}, 2025),
        # Without a go-between the hand-over is the delivery.
        ("04-06", {"handed_over": "2026-04", "acknowledged": "2026-04-02", "delivered": "2026-04"}, 2025),
        # The go-between acts for the charity: its hand-over counts, and was not after the charity had the quilt.
        ("04-06", {"through": "tuesday-van", "handed_over": "2026-04", "delivered": "2026-04-03"}, 2025),
        (
            "04-06",
            {"through": "tuesday-van", "handed_over": "2026-04", "acknowledged": "2026-04-05", "delivered": "2026-04"},
            2025,
        ),
        # What is in doubt narrows nothing, and needs certain dates on both sides.
        ("04-06", {"handed_over": "2026-04-10~", "delivered": "2026-04"}, None),
        ("04-06", {"handed_over": "2026-04-10", "delivered": "2026-04?"}, None),
        ("04-06", {"handed_over": "2026-06-01", "delivered": "2026?", "acknowledged": "2026-08-01"}, 2026),
        ("04-06", {"handed_over": "2026-06-01", "delivered": "2026-04~", "acknowledged": "2026-08-01"}, 2026),
        ("04-06", {"handed_over": "2026-06-01?", "delivered": "2026?", "acknowledged": "2026-08-01"}, None),
        ("04-06", {"handed_over": "2026-06-01", "delivered": "2026?", "acknowledged": "2026-08-01~"}, None),
        ("04-06", {"handed_over": "2026-03-01", "delivered": "2026-05?", "acknowledged": "2026-08-01"}, None),
        ("04-06", {"handed_over": "2026-04-06", "delivered": "202X?", "acknowledged": "2027-04-05"}, 2026),
        # It leaves days on either side of 6 April.
        ("04-06", {"handed_over": "2026-04-05", "delivered": "2026-04"}, None),
    ],
)
def test_a_gift_counts_in_the_year_that_all_its_dates_leave(starts, fields, year):
    found = listed(a_quilt(destination=donated(**fields)), starts)
    assert [each for each, how in found.items() if how == "counts"] == ([year] if year else [])
    assert year or set(found.values()) == {"not placed"}
    assert year is None or len(found) == 1


@pytest.mark.parametrize(
    ("fields", "years"),
    [
        ({"delivered": "2026~"}, [2025, 2026]),
        ({"delivered": "2026~", "handed_over": "2026-05-01"}, [2026]),
        ({"delivered": "2026?", "acknowledged": "2026-04-05"}, [2025]),
        ({"delivered": "2026-05?", "handed_over": "2026-03-01", "acknowledged": "2026-08-01"}, [2026]),
        # Its own days are excluded: it was on a later one.
        ({"delivered": "2026-03~", "handed_over": "2030-05-01"}, [2030, 2031]),
    ],
)
def test_a_date_in_doubt_is_named_only_where_certain_dates_allow_it(fields, years):
    assert listed(a_quilt(destination=donated(**fields))) == dict.fromkeys(years, "not placed")


@pytest.mark.parametrize(("starts", "year"), [("04-06", 2025), ("01-01", 2026)])
def test_a_quilt_is_not_given_before_it_was_made_or_came_back(starts, year):
    new = a_quilt(made="2026-03", destination={"is": "gifted", "to": "A niece", "on": "2026"})
    back = a_quilt(
        history=[{"is": "gifted", "to": "A niece", "on": "2025-12", "returned": "2026-03-20"}],
        destination=donated(delivered="2026", acknowledged="2026-04-05"),
    )
    assert listed(new, starts) == ({2026: "counts"} if starts == "01-01" else {2025: "not placed", 2026: "not placed"})
    assert listed(back.model_copy(update={"history": ()}), starts)[year] == "counts"
    giving = Giving.of(a_collection(back, giving_year_starts=starts))
    assert [(gift.year, str(gift.arrived_on)) for gift in giving.gifts] == [(year, "2026-03-20/2026-04-05")]


def test_where_free_ended_the_gift_begins():
    quilt = a_quilt(history=[{"is": "free", "until": "2026-04-06"}], destination={"is": "gifted", "on": "2026-04"})
    assert listed(quilt) == {2026: "counts"}


def test_a_promise_says_nothing_of_where_the_quilt_was():
    """It may be promised while a niece still has it."""
    promised = {"is": "promised", "to": "river-street", "on": "2026-04-02", "returned": "2026-04-03"}
    quilt = a_quilt(history=[{"is": "gifted", "on": "2026-04"}, promised], destination="free")
    assert listed(quilt) == {2025: "came back", 2026: "came back"}


def test_a_letter_that_came_late_says_nothing_of_the_next_gift():
    thanked = donated(delivered="2025-05-01", acknowledged="2026-04-10")
    quilt = a_quilt(history=[thanked], destination={"is": "gifted", "on": "2026-04"})
    (gift,) = Giving.of(a_collection(quilt)).to_people
    assert str(gift.given_on) == "2026-04"


def test_one_that_was_missed_may_have_arrived_before():
    found = a_quilt(history=[{"is": "lost", "on": "2026-04-10"}], destination=donated(delivered="2026-04"))
    (gift,) = Giving.of(a_collection(found)).gifts
    assert str(gift.arrived_on) == "2026-04"


@pytest.mark.parametrize(
    ("returned", "years"), [("2026-04-05", [2025]), ("2026-04-06", [2025, 2026]), ("2027-05", [2025, 2026, 2027])]
)
def test_one_that_came_back_is_said_in_the_years_that_are_left(returned, years):
    """Given in April 2026, and not after it came back."""
    quilt = a_quilt(history=[donated(delivered="2026-04", returned=returned)], destination="free")
    assert listed(quilt) == dict.fromkeys(years, "came back")


def test_one_lost_on_the_way_left_before_it_was_missed():
    lost = {"is": "lost", "through": "nell", "on": "2026-04-05"}
    quilt = a_quilt(history=[donated(through="nell", handed_over="2026-04")], destination=lost)
    assert listed(quilt) == {2025: "came back"}


def test_on_an_earlier_day_nothing_is_known_of_later_ones():
    """The letter of 5 April places the gift; before it came, nothing did. That it was handed over, the day knew."""
    letter = a_quilt(destination=donated(delivered="2026-04", acknowledged="2026-04-05"))
    assert listed(letter) == {2025: "counts"}
    assert listed(letter, on="2026-04-04") == {2025: "counts"}
    assert listed(letter, starts="04-02", on="2026-04-04") == {2025: "not placed", 2026: "not placed"}
    assert listed(letter, on="2026-04-05") == {2025: "counts"}
    carried = a_quilt(destination=donated(handed_over="2026-04-10", delivered="2026-04"))
    assert listed(carried, on="2026-04-09") == {2026: "planned"}
    assert listed(carried, on="2026-04-10") == {2026: "counts"}
    unfinished = a_quilt(made="2026-04-10", destination=donated(delivered="2026-04"))
    assert set(listed(unfinished, on="2026-04-09").values()) == {"planned"}
    assert listed(unfinished, on="2026-04-10") == {2026: "counts"}


@pytest.mark.parametrize(
    ("destination", "on", "found"),
    [
        (donated(delivered="2025"), "2025-01-22", {2024: "counts"}),
        (donated(delivered="2025"), "2025-09-30", {2024: "counts"}),
        (donated(delivered="2025"), "2025-10-01", {2024: "not placed", 2025: "not placed"}),
        (donated(delivered="2025/.."), "2025-01-22", {2024: "counts"}),
        (donated(delivered="2025?"), "2025-01-22", {2024: "not placed"}),
        (donated(handed_over="2025-01-03", delivered="2025?"), "2025-01-22", {2024: "counts"}),
        (donated(handed_over="2025-01-03", delivered="2025?"), "2025-10-01", {2024: "not placed", 2025: "not placed"}),
        (donated(through="nell", handed_over="2025"), "2025-01-22", {2024: "on its way"}),
        ({"is": "gifted", "on": "2025"}, "2025-01-22", {2024: "counts"}),
        ({"is": "gifted"}, "2025-01-22", dict.fromkeys(range(2010, 2025), "not placed")),
    ],
)
def test_a_date_that_may_be_before_the_day_counts_as_past(destination, on, found):
    assert listed(a_quilt(destination=destination), "10-01", on) == found


def test_one_that_came_back_this_year_came_back_by_the_day():
    back = a_quilt(history=[donated(delivered="2024-11", returned="2025")], destination="free")
    assert listed(back, "10-01", "2025-01-22") == {2024: "came back"}
    assert listed(back, "10-01", "2025-10-01") == {2024: "came back", 2025: "came back"}


def test_one_that_came_back_some_time_in_the_year_was_not_back_before_it_left():
    quilt = a_quilt(history=[donated(delivered="2026-05-01", returned="2026")], destination="free")
    assert listed(quilt, on="2026-04-30") == {2026: "planned"}
    assert set(listed(quilt, on="2026-05-01").values()) == {"came back"}


def test_by_month_by_calendar_year_and_in_the_catalogue_it_is_the_same_day():
    # Source: derived: the tax year is the calendar year; 2025-12-30 to 2026-01-02 is cut to the last two days of 2025.
    quilt = a_quilt(
        destination=donated(handed_over="2025-12-30", delivered="2025-12-01/2026-01-31", acknowledged="2025-12-31")
    )
    charity = a_charity(qualified=True, public=True)
    collection = a_collection(charity, quilt, giving_year_starts="04-06", tax_notes="us")
    giving = Giving.of(collection)
    assert giving.report(2025).totals.by_month == {(2025, 12): 1}
    named = {note.key for note in tax_notes(giving, 2025)}
    assert "cost missing" in named and "year not certain" not in named
    assert "year not certain" not in {note.key for note in tax_notes(giving, 2026)}
    assert str(publishable(collection).quilts["low-tide"].destination.delivered) == "2025-04-06/2026-04-05"


def test_a_letter_is_missed_from_the_last_day_on_which_it_can_have_arrived():
    quilt = a_quilt(destination=donated(through="tuesday-van", handed_over="2026", delivered="2026-03-01"))
    collection = a_collection(AGENT, quilt, follow_up_after=30)
    matters = [[each.matter for each in find_follow_ups(collection, date(2026, 3, day))] for day in (30, 31)]
    assert [each.matter for each in find_follow_ups(collection, date(2026, 4, 1))] == ["not acknowledged"]
    assert matters == [[], []]


def test_two_gifts_are_in_the_order_in_which_they_can_have_arrived():
    vague = a_quilt("a", destination=donated(handed_over="2026-04-20", delivered="2026-04"))
    exact = a_quilt("b", destination=donated(delivered="2026-04-10"))
    assert [gift.quilt.id for gift in Giving.of(a_collection(vague, exact)).gifts] == ["b", "a"]


# Contradictions ---------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("quilt", "years", "words"),
    [
        (
            a_quilt(destination=donated(through="nell", handed_over="2026-05-10", acknowledged="2024-03")),
            {2023: "not placed", 2026: "not placed"},
            "it was acknowledged (March 2024) before it was handed over (10 May 2026)",
        ),
        (
            a_quilt(
                history=[donated(delivered="2025", returned="2026-05-01")],
                destination={"is": "gifted", "on": "2026-04"},
            ),
            None,
            "it was given (April 2026) before it was back (1 May 2026)",
        ),
        (
            a_quilt(
                made="2026-05", history=[donated(delivered="2025-07", returned="2025-08")], destination={"is": "gifted"}
            ),
            None,
            "it was delivered (July 2025) before it was made (May 2026)",
        ),
    ],
)
def test_dates_that_contradict_each_other_are_named_and_trusted_in_nothing(quilt, years, words):
    (each,) = Giving.of(a_collection(quilt, giving_year_starts="04-06")).not_placed
    assert each.contradiction.say() == words
    assert each.step.when is each.recorded
    assert years is None or listed(quilt) == years


# Properties -------------------------------------------------------------------------------------

DAYS = st.dates(date(2023, 12, 1), date(2027, 2, 1))
STARTS = st.builds("{:02}-{:02}".format, st.integers(1, 12), st.integers(1, 28))


@st.composite
def dates(draw, *, certain: bool = False) -> str | None:
    """A day, month, season, year, decade or span, open at one end or closed, now and then in doubt; or nothing."""
    one, other = sorted((draw(DAYS), draw(DAYS)))
    text = draw(st.sampled_from([
        None, f"{one}", f"{one}", f"{one:%Y-%m}", f"{one:%Y-%m}", f"{one:%Y}", "202X", f"{one.year}-21",
        f"{one}/{other}", f"{one:%Y-%m}/{other:%Y-%m}", f"{one}/..", f"../{one}", f"/{one}", f"{one}/",
    ]))  # fmt: skip
    doubt = "" if certain or text is None or "/" in text else draw(st.sampled_from(["", "", "", "", "~", "?", "%"]))
    return text and text + doubt


def parsed(text: str | None) -> EdtfDate | None:
    return EdtfDate(text) if text else None


def some_days(*dates: EdtfDate | None, starts: str = "01-01") -> list[date]:
    """Each day on which anything may begin or end, those beside it, and days long before and after."""
    ends = {end for each in dates if each for end in (each.earliest, each.latest) if end}
    ends |= {date.fromisoformat(f"{year}-{starts}") for year in range(2019, 2032)}
    beside = {end + timedelta(days=by) for end in ends for by in (-1, 0, 1)}
    return sorted({*beside, date(1900, 1, 1), date(2100, 1, 1)})


def may_be(when: EdtfDate | None, day: date) -> bool:
    if when is None or when.approximate or when.uncertain:
        return True
    return (when.earliest is None or when.earliest <= day) and (when.latest is None or day <= when.latest)


@given(dates(), st.lists(dates(), max_size=3), st.lists(dates(), max_size=3))
def test_a_narrowed_date_has_just_the_days_that_no_other_date_excludes(text, after, before):
    when, after, before = parsed(text), [parsed(each) for each in after], [parsed(each) for each in before]
    found = narrowed(when, after=after, before=before)
    days = some_days(when, *after, *before)
    certain = [
        [each for each in each_of if each and not (each.approximate or each.uncertain)] for each_of in (after, before)
    ]
    allowed = [
        day
        for day in days
        if all(each.earliest is None or each.earliest <= day for each in certain[0])
        and all(each.latest is None or each.latest >= day for each in certain[1])
    ]
    left = [day for day in allowed if may_be(when, day)]
    if not left:
        assert found is when
    elif when is not None and (when.approximate or when.uncertain):
        own = [day for day in allowed if when.within(day, day) != "no"]
        is_short = allowed[-1] - allowed[0] < timedelta(days=366)
        assert [day for day in days if found.within(day, day) != "no"] == (allowed if is_short or not own else own)
        assert not (is_short and (found.approximate or found.uncertain))
    else:
        assert [day for day in days if may_be(found, day)] == left
        assert narrowed(found, after=after, before=before) == found


def left_by_the_chain(chain: list[EdtfDate | None], place: int, days: list[date]) -> list[date] | None:
    """The days on which a step can have been if each of the chain was on a day no earlier than the one before it.

    None where no days do that.
    """
    can = [[day for day in days if may_be(each, day)] for each in chain]
    for one, following in zip(range(len(can)), range(1, len(can))):
        can[following] = [day for day in can[following] if can[one] and day >= can[one][0]]
    for one in range(len(can) - 2, -1, -1):
        can[one] = [day for day in can[one] if can[one + 1] and day <= can[one + 1][-1]]
    return can[place] if all(can) else None


@st.composite
def gifts(draw):
    """A quilt, the dates of all that happened to it in order, and the place of its arrival among them."""
    made, handed_over, delivered, acknowledged, *back = draw(st.tuples(*[dates()] * 7))
    chain, history = [made], []
    if draw(st.booleans()):
        history = [donated(to="hill-hospice", handed_over=back[0], delivered=back[1], returned=back[2])]
        chain += back
    kind = draw(st.sampled_from(["direct", "go-between", "agent", "person"]))
    if kind == "person":
        destination, place = {"is": "gifted", "on": delivered}, len(chain)
        chain += [delivered]
    else:
        through = {"direct": None, "go-between": "nell", "agent": "tuesday-van"}[kind]
        destination = donated(through=through, handed_over=handed_over, delivered=delivered, acknowledged=acknowledged)
        counts = handed_over and (kind == "agent" or (kind == "direct" and not delivered))
        place = len(chain) + (0 if counts else 1)
        chain += [handed_over, delivered, acknowledged]
    return a_quilt(made=made, history=history, destination=destination), [parsed(each) for each in chain], place


@given(gifts(), STARTS)
def test_each_gift_is_in_one_year_or_named_with_what_would_place_it(made, starts):
    """By brute force: the days that are left to it are all in one year, or it is not placed."""
    quilt, chain, place = made
    giving = Giving.of(a_collection(AGENT, quilt, giving_year_starts=starts))
    placed = [gift.year for gift in (*giving.gifts, *giving.to_people) if gift.year is not None]
    if not any(gift.arrived for gift in giving.gifts) and not giving.to_people:
        assert (placed, giving.not_placed) == ([], ())
        return
    own, days = chain[place], some_days(*chain, starts=starts)
    left = left_by_the_chain(chain, place, days)
    if left is None:
        left = [day for day in days if may_be(own, day)]
    years = {year_of(day, starts) for day in left}
    assert placed == (list(years) if len(years) == 1 else [])
    assert len(placed) + len(giving.not_placed) == 1
    for each in giving.not_placed:
        if each.contradiction is None:
            assert {year for year in range(2020, 2031) if each.may_count_in(*year_bounds(year, starts))} <= years


@given(gifts(), STARTS, st.one_of(st.none(), DAYS))
def test_each_gift_is_named_by_the_report_of_just_its_year_or_of_those_in_which_it_may_be(made, starts, on):
    quilt, _, _ = made
    collection = a_collection(AGENT, quilt, giving_year_starts=starts)
    giving = Giving.of(as_of(collection, on) if on else collection)
    reports = {year: giving_report(giving.collection, year, on, giving=giving) for year in range(2018, 2032)}
    counts = [year for year, each in reports.items() if each.of_year.given or each.of_year.to_people]
    named = [year for year, each in reports.items() if each.not_placed]
    assert not (counts and named)
    assert counts == [gift.year for gift in (*giving.gifts, *giving.to_people) if gift.year is not None]
    assert bool(named) == bool(giving.not_placed)
    for gift in (*giving.gifts, *giving.to_people):
        day = getattr(gift, "arrived_on", None) or getattr(gift, "given_on", None)
        recorded = getattr(gift, "delivered", None) or (gift.gifted.on if hasattr(gift, "gifted") else None)
        if on and recorded and day and day.earliest and not getattr(gift, "is_planned", False):
            assert day.earliest <= on


@given(gifts(), STARTS, DAYS)
def test_as_of_a_day_a_gift_counts_in_the_year_of_all_days_that_are_left_by_then(made, starts, on):
    """By brute force, over the days up to it that the steps known by then leave."""
    known = as_of(a_collection(AGENT, made[0], giving_year_starts=starts), on)
    for gift in Giving.of(known, on).gifts:
        if not gift.arrived:
            assert gift.year is None
            continue
        step = arrival_of(gift.quilt, len(gift.quilt.history), gift.donation, known.partners)
        if step.contradiction is not None:
            continue
        own, earlier, later = step.step.when, *([each.when for each in some] for some in (step.earlier, step.later))
        if step.contradiction is not None:
            continue
        left = [
            day
            for day in some_days(own, *earlier, *later, EdtfDate(f"{on}"), starts=starts)
            if may_be(own, day)
            and all(may_be(narrowed(None, after=[each]), day) for each in earlier if each)
            and all(may_be(narrowed(None, before=[each]), day) for each in later if each)
            and (own is None or day <= on)
        ]
        years = {year_of(day, starts) for day in left}
        assert gift.year == (years.pop() if len(years) == 1 else None)
