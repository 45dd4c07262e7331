"""The pages of requests and of the match plan in the binder: places counted once, the rules that hold, days passed."""

import re
from datetime import date

from collection.matching.match import match
from site_builder.pages.binder.plan import plan_listing
from site_builder.pages.binder.requests import requests_listing
from site_builder.pages.edition import Edition
from tests.support.made_records import a_charity, a_collection, a_quilt, a_request, donated

ON = date(2026, 4, 1)
LINE = {"id": "a", "count": 3, "size": "baby"}


def edition_of(*records, on: date = ON) -> Edition:
    return Edition.binder(a_collection(*records), {}, on)


def request_section(*records, on: date = ON):
    edition = edition_of(*records, on=on)
    (section,) = requests_listing(edition, tuple(edition.collection.quilts.values()), "requests.html")[1]
    return section


def counts(row) -> dict[str, int]:
    return dict(zip(("asked", "promised", "given", "open"), (int(cell.text) for cell in row[3:]), strict=True))


def sections_of_plan(*records, on: date = ON):
    edition = edition_of(*records, on=on)
    intro, sections, _ = plan_listing(edition, tuple(edition.collection.quilts.values()), "plan.html")
    return intro, {section.anchor: section for section in sections}


def test_a_quilt_that_went_to_another_charity_leaves_its_place_open_on_every_page():
    elsewhere = a_quilt(
        destination=donated(
            to="hill-hospice", meant_for="river-street", request="cots", line="a", delivered="2026-03-01"
        )
    )
    records = elsewhere, a_request("cots", lines=[LINE])
    section = request_section(*records)
    assert counts(section.table.rows[0]) == {"asked": 3, "promised": 0, "given": 0, "open": 3}
    assert section.cards == () and "1 quilt meant for it went elsewhere." in section.note
    assert [each.places for each in match(a_collection(*records), on=ON).open] == [3]


def test_what_is_planned_is_promised_and_what_names_no_line_counts_for_the_whole_request():
    quilts = [
        a_quilt("one", destination={"is": "promised", "to": "river-street", "request": "cots", "line": "a"}),
        a_quilt("two", destination={"is": "donated", "through": "nell", "request": "cots", "line": "a"}),
        a_quilt("three", destination=donated(request="cots", line="a", delivered="2026-03-01")),
        a_quilt("four", destination=donated(request="cots", delivered="2026-03-01")),
    ]
    section = request_section(*quilts, a_request("cots", lines=[{**LINE, "count": 9}]))
    assert counts(section.table.rows[0]) == {"asked": 9, "promised": 2, "given": 1, "open": 6}
    assert counts(section.table.total) == {"asked": 9, "promised": 2, "given": 2, "open": 5}


def test_the_rules_that_hold_on_a_line_are_shown_with_where_they_come_from():
    charity = a_charity("river-street", rules={"no": ["buttons"], "shorter_side": "36 to 45"})
    section = request_section(charity, a_request("cots", lines=[LINE]))
    assert section.table.rows[0][1].text == "baby. From River Street: shorter side 36 to 45 in; no buttons"


def test_a_day_that_has_passed_stands_with_the_request_in_the_plan():
    records = (
        a_quilt(destination="free", finished_size="40 x 44"),
        a_request("cots", lines=[LINE], needed_by="2026-05-15"),
    )
    note = sections_of_plan(*records)[1]["cots"].note
    assert note == "Needed by 15 May 2026."
    late = sections_of_plan(*records, on=date(2026, 5, 16))[1]["cots"]
    assert late.note == "Needed by 15 May 2026, which has passed. Ask whether they still want them."
    assert "which has passed" in late.table.rows[0][3].text
    assert "which has passed" in request_section(*records, on=date(2026, 5, 16)).note


def test_undecided_quilts_lead_from_the_plan_to_where_they_are_set_free():
    quilts = [a_quilt(f"q-{n:02}", finished_size="90 x 90") for n in range(30)]
    intro, sections = sections_of_plan(
        *quilts, a_quilt("z-small", finished_size="40 x 44"), a_request("cots", lines=[LINE])
    )
    assert "31 quilts are undecided, and so not in this plan; 1 of them would fit a place that stays open." in intro
    rows = sections["undecided"].table.rows
    assert len(rows) == 24 and "24 of 31" in sections["undecided"].note
    assert (rows[0][0].text, rows[0][2].text) == ("Z Small", "a for River Street")
    assert {row[2].edit for row in rows} == {
        f"quilts/{name}#destination" for name in ["z-small", *(f"q-{n:02}" for n in range(23))]
    }


def test_no_page_names_a_command():
    intro, sections = sections_of_plan(a_quilt(destination="free", stage="quilting"), a_request("cots", lines=[LINE]))
    assert "counterpane" not in intro
    told = str(sections)
    assert "ready_by" not in told and "you say when it will be ready" in told


def test_two_requests_of_one_charity_have_tables_of_different_names():
    edition = edition_of(a_request("spring", lines=[LINE]), a_request("autumn", lines=[LINE]))
    sections = requests_listing(edition, (), "requests.html")[1]
    assert [section.heading for section in sections] == ["River Street"] * 2
    assert len({section.table.caption for section in sections}) == 2


def test_quilts_that_come_nearest_are_a_list_of_their_own():
    quilts = [a_quilt(name, destination="free", finished_size="20 x 20") for name in ("one", "two")]
    lines = [{"id": "play-mats", "count": 1, "size": "baby", "suits": ["anyone"]}]
    row = sections_of_plan(*quilts, a_request("cots", lines=lines))[1]["cots"].table.rows[0]
    assert (row[0].text, row[1].text, row[2].text) == ("1 place open", "play mats", "Nearest:")
    assert [item.partition(":")[0] for item in row[2].items] == ["One", "Two"]


def test_what_to_make_next_names_each_charity_once():
    requests = [
        a_request(name, lines=[{**LINE, "id": f"{name}-cots"}], asked="2026-01-01") for name in ("spring", "autumn")
    ]
    rows = sections_of_plan(*requests)[1]["make-next"].table.rows
    assert [row[5].text for row in rows] == ["autumn cots and spring cots for River Street"]


def test_sizes_have_one_sign_between_their_sides():
    quilts = [a_quilt("one", destination="free", finished_size="about 40 x 50")]
    request = a_request("cots", lines=[{**LINE, "ideal": "38 x 44"}])
    _, sections = sections_of_plan(*quilts, request)
    told = str(sections) + str(requests_listing(edition_of(request), (), "requests.html"))
    assert " × " in told and not re.search(r"\d x \d", told)
