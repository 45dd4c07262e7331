"""The desk offers for each move just the quilts to which it can happen."""

from datetime import date
from pathlib import Path

import pytest

from collection.loading.loader import read_collection
from collection.values.dates import EdtfDate
from site_builder.desk.transfers.choices import place_choices
from site_builder.desk.transfers.kinds import TRANSFER_KINDS, AskedTransfer, transfers_for

LATE = EdtfDate.parse("2040-01-01")
ASKED = {"hand-over": {"through": "nell"}, "delivered": {"to": "river-street"}}


@pytest.fixture(scope="module")
def demo():
    return read_collection(Path(__file__).parents[3] / "demo_collection")


@pytest.mark.parametrize("name", [name for name in TRANSFER_KINDS if name != "promise"])
def test_what_is_offered_can_be_recorded_and_what_is_not_is_refused(demo, name):
    kind = TRANSFER_KINDS[name]
    offered = {quilt.id for quilt in kind.may(demo)}
    recorded = {
        quilt
        for quilt in demo.collection.quilts
        if not kind.compute(demo, AskedTransfer((quilt,), LATE, **ASKED.get(name, {}))).refusals
    }
    # One that can't be found may be on loan: the desk says so when it is chosen.
    on_loan = {quilt.id for quilt in demo.collection.quilts.values() if quilt.current_loan}
    assert offered and offered - on_loan == recorded - on_loan


def test_what_is_offered_can_be_promised_where_there_is_a_place(demo):
    place = place_choices(demo.collection, date(2026, 4, 1))[0]
    request, line = place.value.split(" ")
    kind = TRANSFER_KINDS["promise"]
    for quilt in kind.may(demo):
        moves = kind.compute(demo, AskedTransfer((quilt.id,), LATE, place=(request, line)))
        assert all("on loan" in problem.remedy for problem in moves.refusals)


def test_each_quilt_can_move_somehow_unless_it_has_arrived(demo):
    for quilt in demo.collection.quilts:
        assert {kind.name for kind in transfers_for(demo, quilt)} <= set(TRANSFER_KINDS)
    assert [kind.name for kind in transfers_for(demo, "low-tide")] == ["set-free", "lost"]


def test_an_open_place_tells_that_the_day_by_which_it_is_needed_has_passed(demo):
    words = [place.words for place in place_choices(demo.collection, date(2040, 1, 1))]
    needed = [r for r in demo.collection.requests.values() if r.closed is None and r.needed_by]
    assert needed and sum("which has passed" in each for each in words) >= 1
    assert not any("passed" in place.words for place in place_choices(demo.collection, date(2020, 1, 1)))


def test_an_open_place_is_told_with_how_many_there_are(demo):
    assert all(place.words.endswith(" open)") for place in place_choices(demo.collection, date(2020, 1, 1)))
