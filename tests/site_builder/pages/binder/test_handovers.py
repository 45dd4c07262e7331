"""The binder's page of what left the house when and with whom."""

from datetime import date

from site_builder.pages.binder.handovers import handovers_listing
from site_builder.pages.edition import Edition
from tests.support.made_records import a_charity, a_collection, a_quilt, donated


def listing(*records):
    edition = Edition.binder(a_collection(*records), {}, date(2026, 11, 1))
    return handovers_listing(edition, tuple(edition.collection.quilts.values()), "handovers.html")


def test_each_batch_is_a_part_the_latest_first_with_what_is_known_of_its_landing():
    early = donated(through="nell", handed_over="2026-05-12", delivered="2026-05-30", acknowledged="2026-06-02")
    late = donated(through="nell", handed_over="2026-09-01")
    strict = a_charity(rules={"needs": ["label"]})
    intro, sections, shown = listing(a_quilt("a", destination=early), a_quilt("b", destination=late), strict)
    assert intro == "2 quilts handed over in 2 batches."
    assert [section.heading for section in sections] == ["Nell, 1 September 2026", "Nell, 12 May 2026"]
    told = [[cell.text for cell in row] for section in sections for row in section.table.rows]
    on_its_way, there = told
    assert on_its_way[:2] == ["B", "River Street"] and "label" in on_its_way[2] and on_its_way[3:] == ["", "", ""]
    assert there == ["A", "River Street", "", "River Street", "30 May 2026", "yes"]
    assert {quilt.id for quilt in shown} == {"a", "b"}


def test_where_nothing_has_left_the_page_says_so():
    intro, sections, shown = listing(a_quilt(destination="free"))
    assert (intro, sections, shown) == ("Nothing has been handed over yet.", [], [])
