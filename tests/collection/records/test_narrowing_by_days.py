"""Half-known dates, against every day that they may be."""

from datetime import date, timedelta

from hypothesis import given
from hypothesis import strategies as st

from collection.giving.annual_report import giving_report
from collection.giving.arrival import arrival_of
from collection.giving.donations import Giving
from collection.giving.years import year_bounds, year_of
from collection.records.as_of import as_of
from collection.records.narrowing import narrowed
from collection.values.dates import EdtfDate
from tests.support.made_records import a_collection, a_quilt, donated
from tests.support.reports_naming import AGENT

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
