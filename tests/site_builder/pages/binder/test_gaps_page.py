"""The page of gaps in the binder: each fact a thing to do, each quilt once for each purpose."""

from datetime import date

from collection.forms.form import Field, Group
from collection.forms.load import form_for
from collection.giving.gaps import _FACTS as ALL_FACTS
from collection.giving.gaps import Gap, find_gaps
from site_builder.desk.links import edit_address
from site_builder.pages.binder.to_do import gaps_listing
from site_builder.pages.edition import Edition
from site_builder.terminal import every_gap, gaps_in_short
from site_builder.text.gap_words import _FACTS as WORDED
from site_builder.text.gap_words import task
from tests.support.made_records import a_collection, a_quilt, donated

READY = {
    "finished_size": "60 x 72",
    "photos": ["a.jpg"],
    "pattern": "Ebb",
    "made": "2016",
    "number": 1,
    "fibre": {"top": "cotton"},
    "quilting": "longarm",
    "condition": "good",
    "care": {"washed": True, "label": True},
}
"""All that is asked of a quilt that looks for a home."""


def lacking(quilt_id: str, *fields: str, **more):
    return a_quilt(quilt_id, **{name: value for name, value in READY.items() if name not in fields}, **more)


def listed(*quilts):
    collection = a_collection(*quilts)
    edition = Edition.binder(collection, {}, date(2026, 11, 1))
    return gaps_listing(edition, tuple(collection.quilts.values()), "gaps.html")


def test_each_fact_that_can_be_missing_is_worded_as_a_thing_to_do():
    assert {fact.field for fact in ALL_FACTS} == set(WORDED)


def test_where_to_begin_counts_what_is_left_and_what_each_fact_finishes():
    _, sections, _ = listed(
        lacking("a", "finished_size", destination="free"),
        lacking("b", "finished_size", "care", destination="free"),
        lacking("c", "pattern"),
    )
    rows = [tuple(cell.text for cell in row) for row in sections[0].table.rows]
    assert rows == [
        ("Measure it, for giving", "2", "1"),
        ("Say whether it is washed, for giving", "1", "0"),
        ("Say whether a label is sewn on, for giving", "1", "0"),
        ("Name its pattern, for the catalogue", "1", "1"),
    ]
    anchors = {section.anchor for section in sections}
    assert {row[0].href.removeprefix("#") for row in sections[0].table.rows} <= anchors
    assert len(anchors) == len(sections)


def test_each_quilt_stands_once_for_each_purpose_those_before_that_are_done_with_one_fact():
    _, sections, shown = listed(
        lacking("a", "finished_size", destination="free"),
        lacking("b", "finished_size", "care", destination="free"),
    )
    told = [(section.heading, [row[0].text for row in section.table.rows]) for section in sections[1:]]
    assert told == [("Measure it", ["A"]), ("Several things, for giving", ["B"])]
    assert "its size, whether it is washed and whether it has a label" in sections[2].table.rows[0][1].text
    assert [quilt.id for quilt in shown] == ["a", "b"]


def test_the_same_fact_that_matters_twice_has_two_places():
    quilts = [
        lacking("a", "finished_size", destination="free"),
        lacking("b", "finished_size", materials_cost="9", destination=donated(delivered="2020")),
    ]
    _, sections, _ = listed(*quilts)
    assert [section.anchor for section in sections[1:]] == ["finished-size-for-giving", "finished-size-for-giving-too"]


def test_many_quilts_are_told_a_good_evening_at_a_time():
    _, sections, _ = listed(*(lacking(f"q{number}", "pattern") for number in range(100)))
    assert len(sections[1].table.rows) == 24
    assert "100 quilts, of which these 24 come first" in sections[1].note


def test_a_collection_that_lacks_nothing_says_so():
    assert listed(lacking("a"))[0] == "Nothing is missing."


def test_each_row_leads_in_the_preview_to_a_field_that_the_form_has():
    quilt = lacking("a", "finished_size", "care", "photos", "fibre", destination="free")
    collection = a_collection(quilt)
    form = form_for("quilt", "a", "title: A\n", collection)

    def names(parts):
        for part in parts:
            yield part.name
            yield from names(part.parts) if isinstance(part, Group) else ()

    assert {gap.field for gap in find_gaps(collection)} <= set(names(form.groups))
    assert all(isinstance(field, Field) for field in form.fields())
    _, sections, _ = listed(quilt)
    mark = sections[1].table.rows[0][1].edit
    assert mark == "quilts/a#finished_size"
    assert edit_address(*mark.split("#")).endswith("/quilts/a#field-finished_size")


def test_the_list_on_a_terminal_is_in_the_same_order_and_says_what_is_the_last_thing():
    collection = a_collection(
        lacking("a", "finished_size", "care", destination="free"), lacking("b", "finished_size", destination="free"),
    )  # fmt: skip
    size = "finished_size is missing, for giving. Without its size no request can be matched."
    assert list(every_gap(find_gaps(collection)))[:2] == [
        f"quilts/b.yaml: {size} Nothing else is missing for giving.",
        f"quilts/a.yaml: {size}",
    ]


def test_the_short_list_on_a_terminal_has_the_words_of_the_page_and_no_field():
    every = [Gap("low-tide", fact.field, fact.blocks, fact.why, is_last=True) for fact in ALL_FACTS]
    short = list(gaps_in_short(every))
    facts = [line for line in short if line.startswith("  ") and not line.startswith("    ")]
    assert facts == [f"  {task(gap)}: 1 quilt. {gap.why}" for gap in every]
    for field in {fact.field for fact in ALL_FACTS}:
        assert not any(line.strip().startswith(f"{field}:") for line in short), field


def test_the_first_words_of_the_short_list_are_those_of_the_page():
    collection = a_collection(
        *(lacking(name, field, destination="free") for name, field in zip("abcd", READY, strict=False))
    )
    _, sections, _ = listed(*collection.quilts.values())
    on_the_page = [row[0].text.partition(", for ")[0] for row in sections[0].table.rows]
    lines = list(gaps_in_short(find_gaps(collection)))
    assert [line.strip().partition(":")[0] for line in lines if line[:2] == "  " != line[2:4]] == on_the_page
