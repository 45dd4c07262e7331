"""The pages of giving in both editions: how many charities, what counts in no year, what has not happened yet."""

from datetime import date, timedelta

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from collection.giving.donations import Giving, NotPlaced
from collection.records.as_of import as_of
from site_builder.documents.giving_report.uncounted import placed_by
from site_builder.pages.edition import Edition
from site_builder.pages.giving import giving_pages
from tests.support.made_records import a_charity, a_collection, a_quilt, donated

ON = date(2026, 11, 30)


def pages(name: str, *records, **settings) -> dict:
    """The pages by their headings."""
    collection = as_of(a_collection(*records, **settings), ON)
    edition = Edition.catalogue(collection, {}) if name == "catalogue" else Edition.binder(collection, {}, ON)
    specs = [plan.page(edition) for plan in giving_pages(edition)]
    return {spec.view.heading: spec for spec in specs}


def four_charities(*, fourth: dict | None):
    charities = (
        *(a_charity(name, public=True) for name in ("one-home", "two-wards", "three-oaks")),
        a_charity("quiet-house"),
    )
    homes = ["one-home"] * 10 + ["two-wards"] * 5 + ["three-oaks"] * 3
    quilts = [a_quilt(f"quilt-{n}", destination=donated(to=to, delivered="2026-05-30")) for n, to in enumerate(homes)]
    quilts += [
        a_quilt(f"quilt-{n}", destination={**donated(delivered="2026-05-30"), **(fourth or {})}) for n in (18, 19)
    ]
    return (*charities, *quilts)


@pytest.mark.parametrize(
    ("starts", "gift", "wanted"),
    [
        ("04-06", donated(delivered="2026-04"), "the day on which it was delivered"),
        # April is not enough.
        ("04-06", donated(delivered="2026"), "the day on which it was delivered"),
        (
            "04-06",
            donated(delivered="2026", handed_over="2026-03-20", acknowledged="2026-04-20"),
            "the day on which it was delivered",
        ),
        ("04-06", donated(delivered="spring 2026"), "the day on which it was delivered"),
        ("04-06", donated(delivered="2025/2026"), "the day on which it was delivered"),
        ("04-06", donated(), "the day on which it was delivered"),
        ("07-01", donated(), "the month in which it was delivered"),
        ("07-01", donated(delivered="2026"), "the month in which it was delivered"),
        ("01-01", donated(delivered="2025/2026"), "the year in which it was delivered"),
        ("01-01", donated(delivered="about 2026"), "that it was delivered then, for certain"),
        ("04-06", donated(delivered="2026-05?"), "that it was delivered then, for certain"),
        (
            "04-06",
            donated(handed_over="2026-03-01", delivered="2026-05?", acknowledged="2026-08-01"),
            "that it was delivered then, for certain",
        ),
        ("01-01", donated(), "the year in which it was delivered"),
        ("04-06", donated(handed_over="2026-04"), "the day on which it was handed over"),
        ("01-01", {"is": "gifted", "on": "199X"}, "the year in which it was given"),
        ("01-01", donated(delivered="2026/.."), "the year in which it was delivered"),
    ],
)
def test_what_would_place_a_gift_in_a_year_is_said_with_it(starts, gift, wanted):
    (each,) = Giving.of(a_collection(a_quilt(destination=gift), giving_year_starts=starts)).not_placed
    assert placed_by(each, starts) == wanted


FORMS = {"day": "%Y-%m-%d", "month": "%Y-%m", "year": "%Y"}


@given(
    st.sampled_from(["01-01", "04-06", "07-01", "07-05", "12-28"]),
    st.sampled_from(
        [None, "2026", "2026?", "2026-04", "2026-07~", "2025/2026", "spring 2026", "winter 2025", "2025/.."]
    ),
    st.sampled_from([None, "2026-01", "2026-03-20", "2026-07-02", "2025"]),
    st.sampled_from([None, "2026-04-05", "2026-04-20", "2026-07-31", "2026-12", "2027"]),
)
def test_whatever_is_found_out_as_asked_for_places_the_gift(starts, delivered, handed_over, acknowledged):
    """By brute force: each day, month or year that is possible places it, and something less exact does not."""

    def not_placed(delivered: str | None) -> tuple[NotPlaced, ...]:
        fields = {"handed_over": handed_over, "delivered": delivered, "acknowledged": acknowledged}
        gift = donated(through="nell", **fields)
        return Giving.of(a_collection(a_quilt(destination=gift), giving_year_starts=starts)).not_placed

    for each in not_placed(delivered):
        assume(each.contradiction is None)
        wanted, possible = placed_by(each, starts), each.step.most_likely
        if wanted.endswith("for certain"):
            assert not_placed(delivered[:-1]) == ()
            continue
        days = [date(2025, 1, 1) + timedelta(days=number) for number in range(3 * 365)]
        days = [day for day in days if possible is None or possible.within(day, day) != "no"]
        kind, kinds = wanted.split()[1], list(FORMS)
        # The last of these is a less exact kind of fact.
        for form in map(FORMS.get, kinds[kinds.index(kind) : kinds.index(kind) + 2]):
            some = days if form != FORMS["day"] else [days[0], days[-1], *days[::60]]
            places = not any(not_placed(text) for text in {f"{day:{form}}" for day in some})
            assert places == (form == FORMS[kind])


@pytest.mark.parametrize("edition", ["catalogue", "binder"])
def test_a_charity_that_may_not_be_named_is_counted(edition):
    found = pages(edition, *four_charities(fourth={"to": "quiet-house"}))
    for heading in ("Giving", "Given in 2026"):
        assert "20 quilts to 4 charities" in found[heading].view.intro
        assert "20 quilts to 4 charities" in found[heading].description
    assert found["Giving"].view.years[0].words == "20 quilts to 4 charities"
    assert ("Quiet House" in repr(found)) == (edition == "binder")


def test_several_that_may_not_be_named_are_counted_and_stand_as_one():
    quilts = [
        a_quilt(f"quilt-{n}", destination=donated(to=to, delivered="2026-05-30"))
        for n, to in enumerate(["river-street", "hill-hospice", "hill-hospice"])
    ]
    found = pages("catalogue", *quilts)
    view = found["Given in 2026"].view
    assert "unnamed_charity_" not in repr(found)
    assert view.intro.startswith("3 quilts to 2 charities")
    (table,) = [table for table in view.tables if table.caption == "By charity"]
    assert [[cell.text for cell in row] for row in table.rows] == [["Charities not named here", "3"]]
    assert [section.heading for section in view.sections] == ["Charities not named here"]


@pytest.mark.parametrize(("edition", "unknown"), [("catalogue", "not named here"), ("binder", "not known yet")])
def test_where_nobody_has_said_which_charity_it_was_none_is_invented(edition, unknown):
    found = pages(edition, *four_charities(fourth={"to": None, "handed_over": "2026-05-30"}))
    assert f"18 quilts to 3 charities, and 2 more to charities {unknown}" in found["Giving"].view.intro


@pytest.mark.parametrize("edition", ["catalogue", "binder"])
def test_a_gift_whose_day_has_not_come_is_not_given(edition):
    found = pages(
        edition,
        a_quilt(destination=donated(delivered="2026-12-19")),
        a_quilt("two", destination=donated(delivered="2026-05-30")),
    )
    assert found["Giving"].view.intro.startswith("1 quilt to 1 charity")
    sections = {section.anchor for section in found["Given in 2026"].view.sections}
    assert ("planned" in sections) == (edition == "binder")


def test_the_binders_overview_names_every_gift_that_counts_in_no_year():
    quilts = [
        a_quilt("april", destination=donated(delivered="2026-04")),
        a_quilt("undated", destination=donated()),
        a_quilt("niece", destination={"is": "gifted", "to": "A niece", "on": "about 2019"}),
        a_quilt("back", destination="free", history=[donated(delivered="2024-05-01", returned="2025-08-02")]),
    ]
    found = pages("binder", *quilts, giving_year_starts="04-06")
    tables = {section.anchor: section.table for section in found["Giving"].view.sections}
    assert sorted(row[0].text for row in tables["not-placed"].rows) == ["April", "Niece", "Undated"]
    assert [cell.text for cell in tables["not-placed"].rows[0]][1:] == [
        "April 2026",
        "River Street",
        "the day on which it was delivered",
    ]
    assert [row[0].text for row in tables["came-back"].rows] == ["Back"]
    for year in ("2024/25", "2025/26"):
        assert "came-back" in {section.anchor for section in found[f"Given in {year}"].view.sections}
