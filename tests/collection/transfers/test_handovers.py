"""Batches: what left the house together."""

from collection.transfers.handovers import find_batches
from tests.support.made_records import a_collection, a_quilt, donated


def batches(*quilts) -> dict[str, list[str]]:
    return {batch.number: [handed.quilt.id for handed in batch.handed] for batch in find_batches(a_collection(*quilts))}


def test_what_one_person_took_on_one_day_is_a_batch_in_the_order_of_its_numbers():
    taken = donated(through="nell", handed_over="2026-05-12")
    assert batches(
        a_quilt("a", destination=taken),
        a_quilt("b", number=9, destination=taken),
        a_quilt("c", number=2, destination=taken),
        a_quilt("d", destination=donated(through="nell", handed_over="2026-05-11")),
        a_quilt("e", destination=donated(handed_over="2026-05-12")),
        a_quilt("f", destination=donated(through="nell")),
        a_quilt("g", destination="free"),
    ) == {"nell-2026-05-11": ["d"], "nell-2026-05-12": ["c", "b", "a"], "river-street-2026-05-12": ["e"]}


def test_a_quilt_that_came_back_and_left_again_is_in_the_batch_of_each_time():
    back = donated(through="nell", handed_over="2025-01-02", returned="2025-02-01")
    again = donated(through="nell", handed_over="2026-01-02")
    assert batches(a_quilt("a", destination=again, history=[back])) == {
        "nell-2025-01-02": ["a"],
        "nell-2026-01-02": ["a"],
    }


def test_a_quilt_that_left_twice_on_one_day_is_in_its_batch_once_as_it_left_last():
    first = donated(to="hill-hospice", through="nell", handed_over="2026-01-02", returned="2026-01-02")
    again = donated(through="nell", handed_over="2026-01-02")
    (batch,) = find_batches(a_collection(a_quilt("a", destination=again, history=[first])))
    assert [handed.meant_for for handed in batch.handed] == ["river-street"]


def test_what_it_was_meant_for_is_where_it_should_have_gone():
    went = donated(to="hill-hospice", meant_for="river-street", through="nell", handed_over="2026-01-02")
    (batch,) = find_batches(a_collection(a_quilt("a", destination=went)))
    assert batch.handed[0].meant_for == "river-street"
