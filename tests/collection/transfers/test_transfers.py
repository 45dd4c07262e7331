"""Transfers of quilts: which are allowed from where, and what they record."""

import pytest

from collection.loading.loader import read_collection
from collection.problems import CollectionProblems
from collection.transfers.file_edits import file_changes
from collection.transfers.transfers import (
    Assignment,
    acknowledged,
    delivered,
    hand_over,
    lost,
    promise,
    returned,
    set_free,
)
from tests.collection.transfers.transferred_quilts import (
    MOVES,
    PARTNERS,
    PROMISED,
    STATES,
    day,
    destination,
    history,
    in_state,
    of,
    record,
    refusals,
)

pytestmark = pytest.mark.usefixtures("a_fast_disk")

# Which moves are allowed from which state.
ALLOWED = """
                        promise  hand-over  delivered  acknowledged  returned  set-free  lost
nothing written            +         +          -           -           -         +       +
undecided                  +         +          -           -           -         +       +
free                       +         +          -           -           -         -       +
kept                       -         -          -           -           -         +       +
promised                   -         +          -           -           -         +       +
planned                    -         +          -           -           -         +       +
handed over                -         -          +           -           +         -       +
delivered                  -         -          -           +           +         -       -
acknowledged               -         -          -           -           +         -       -
straight to a charity      -         -          +           +           +         -       -
with a charity, no day     -         -          +           -           +         -       -
gifted                     -         -          -           -           +         -       -
lost                       -         -          -           -           +         -       -
"""
CASES = [
    (row[:24].strip(), move, sign == "+")
    for row in ALLOWED.strip("\n").split("\n")[1:]
    for move, sign in zip(MOVES, row[24:].split(), strict=True)
]


@pytest.fixture
def collection_of(tmp_path, write_collection):
    """`collection_of(low_tide="destination: free")` -> what is read of a collection of such quilts."""

    def make(**quilts: str):
        files = {
            f"quilts/{name.replace('_', '-')}.yaml": f"title: {name.replace('_', ' ').title()}\n{text}\n"
            for name, text in quilts.items()
        }
        reading = read_collection(write_collection(tmp_path, {**PARTNERS, **files}))
        assert not reading.errors
        return reading

    return make


# What is allowed --------------------------------------------------------------------------------


@pytest.mark.parametrize(("state", "move", "allowed"), CASES)
def test_what_may_follow_what(collection_of, state, move, allowed):
    reading = collection_of(low_tide=in_state(state))
    moves = MOVES[move](reading.collection, reading.texts, ["low-tide"])
    assert bool(moves.changes) is allowed
    assert bool(moves.refusals) is not allowed
    if allowed:
        record(reading, moves)
    else:
        (refusal,) = moves.refusals
        assert refusal.file == "quilts/low-tide.yaml"
        assert refusal.field == "destination"
        assert refusal.line == (2 if STATES[state] else 1)
        assert refusal.remedy.startswith("Low Tide ")


# What is recorded -------------------------------------------------------------------------------


def test_a_promise_holds_the_request_its_charity_and_its_go_between(collection_of):
    reading = collection_of(low_tide="destination: free  # at last")
    moves = of(reading, promise, [Assignment("low-tide", "spring", "cots")], on="2026-04-30")
    after = record(reading, moves)
    assert destination(after) == {
        "is": "promised", "to": "river-street", "through": "nell",
        "request": "spring", "line": "cots", "on": "2026-04-30",
    }  # fmt: skip
    assert history(after) == []
    text = (after.collection.folder / "quilts/low-tide.yaml").read_text()
    assert text.startswith("title: Low Tide\ndestination:  # at last\n  is: promised\n")


def test_a_promise_that_is_kept_stays_in_the_donation_and_its_day_in_the_history(collection_of):
    reading = collection_of(low_tide=f"destination: {PROMISED}")
    moves = of(reading, hand_over, ["low-tide"], on="2026-05-12")
    after = record(reading, moves)
    assert destination(after) == {
        "is": "donated", "to": "river-street", "through": "nell", "handed_over": "2026-05-12",
        "request": "spring", "line": "cots",
    }  # fmt: skip
    assert history(after) == [destination(reading)]
    assert [change.say(reading.collection) for change in moves.changes] == [
        "Low Tide: promised to River Street Shelter -> handed over to Nell on 12 May 2026, for River Street Shelter"
    ]


def test_a_plan_that_the_donation_repeats_leaves_no_history(collection_of):
    reading = collection_of(low_tide="destination: {is: promised, to: river-street, through: nell}")
    after = record(reading, of(reading, hand_over, ["low-tide"]))
    assert history(after) == []


def test_a_note_to_a_promise_goes_with_the_quilt(collection_of):
    reading = collection_of(low_tide="destination: {is: promised, to: river-street, through: nell, note: Wrap it}")
    after = record(reading, of(reading, hand_over, ["low-tide"]))
    assert destination(after)["note"] == "Wrap it"


def test_a_quilt_that_goes_straight_to_its_charity_has_no_go_between(collection_of):
    reading = collection_of(low_tide=f"destination: {PROMISED}")
    after = record(reading, of(reading, hand_over, ["low-tide"], to="river-street"))
    assert "through" not in destination(after) and "meant_for" not in destination(after)


def test_the_intended_and_the_actual_charity_are_both_kept(collection_of):
    reading = collection_of(low_tide=in_state("handed over"))
    moves = of(reading, delivered, ["low-tide"], on="2026-05-30", to="hill-hospice")
    after = record(reading, moves)
    assert destination(after)["to"] == "hill-hospice"
    assert destination(after)["meant_for"] == "river-street"
    assert moves.changes[0].say(reading.collection) == (
        "Low Tide: handed over to Nell on 12 May 2026, for River Street Shelter -> "
        "delivered to Hill Hospice on 30 May 2026, meant for River Street Shelter"
    )


def test_a_quilt_that_was_rerouted_and_yet_reached_its_charity_went_as_planned(collection_of):
    rerouted = "{is: donated, to: hill-hospice, through: nell, handed_over: 2026-05-12, meant_for: river-street}"
    reading = collection_of(low_tide=f"destination: {rerouted}")
    after = record(reading, of(reading, delivered, ["low-tide"], to="river-street"))
    assert destination(after)["to"] == "river-street"
    assert "meant_for" not in destination(after)


def test_a_promise_handed_over_for_another_charity_keeps_the_one_that_it_was_for(collection_of):
    reading = collection_of(low_tide=f"destination: {PROMISED}")
    after = record(reading, of(reading, hand_over, ["low-tide"], through="tuesday-van", to="hill-hospice"))
    assert {key: destination(after)[key] for key in ("to", "meant_for", "request", "line")} == {
        "to": "hill-hospice", "meant_for": "river-street", "request": "spring", "line": "cots",
    }  # fmt: skip


def test_nobody_has_to_say_yet_which_charity_it_is_for(collection_of):
    reading = collection_of(low_tide="destination: free")
    after = record(reading, of(reading, hand_over, ["low-tide"], on="2026-05-12", through="nell"))
    assert destination(after) == {"is": "donated", "through": "nell", "handed_over": "2026-05-12"}
    told = refusals(of(after, delivered, ["low-tide"]))
    assert "Say which charity has it." in told
    after = record(after, of(after, delivered, ["low-tide"], to="hill-hospice"))
    assert "meant_for" not in destination(after)


def test_a_letter_is_kept_with_its_day(collection_of):
    reading = collection_of(low_tide=in_state("delivered"))
    moves = of(reading, acknowledged, ["low-tide"], letter="letters/june.pdf")
    after = record(reading, moves)
    assert destination(after)["acknowledged"] == "2026-06-10"
    assert destination(after)["acknowledgement"] == "letters/june.pdf"


@pytest.mark.parametrize(
    ("written", "day_of_delivery"),
    [
        ("{is: donated, to: river-street, handed_over: 12 May 2026}", "2026-05-12"),
        ("{is: donated, to: hill-hospice, through: tuesday-van, handed_over: 2026-05-12}", "2026-05-12"),
    ],
)
def test_where_handing_over_is_delivery_a_letter_writes_that_day_down(collection_of, written, day_of_delivery):
    reading = collection_of(low_tide=f"destination: {written}")
    after = record(reading, of(reading, acknowledged, ["low-tide"]))
    assert destination(after)["delivered"] == day_of_delivery
    assert list(destination(after)).index("delivered") < list(destination(after)).index("acknowledged")


def test_what_comes_back_is_free_and_its_way_stays_as_it_was_written(collection_of):
    reading = collection_of(
        low_tide="destination:\n  is: donated\n  to: river-street  # Ann\n  handed_over: about May 2026\n"
        "  note: Buttons\nhistory:\n  - {is: promised, to: hill-hospice}"
    )
    moves = of(reading, returned, ["low-tide"], on="2026-07-01", note="They can't take them")
    after = record(reading, moves)
    assert destination(after) == "free"
    assert history(after) == [
        {"is": "promised", "to": "hill-hospice"},
        {
            "is": "donated", "to": "river-street", "handed_over": "about May 2026",
            "note": "Buttons; They can't take them", "returned": "2026-07-01",
        },
    ]  # fmt: skip
    assert "# Ann" in (after.collection.folder / "quilts/low-tide.yaml").read_text()
    assert moves.changes[0].say(reading.collection).endswith(" -> back on 1 July 2026, looking for a home")


def test_a_history_of_one_that_is_no_list_becomes_one(collection_of):
    reading = collection_of(low_tide=f"history: {{is: lost}}\n{in_state('gifted')}")
    after = record(reading, of(reading, returned, ["low-tide"]))
    gift = {"is": "gifted", "to": "A cousin", "on": "2019~", "returned": "2026-06-10"}
    assert history(after) == [{"is": "lost"}, gift]


def test_what_is_found_says_when(collection_of):
    reading = collection_of(low_tide=in_state("lost"))
    after = record(reading, of(reading, returned, ["low-tide"], note="Behind the chest"))
    assert history(after) == [{"is": "lost", "on": "2025-01-05", "returned": "2026-06-10", "note": "Behind the chest"}]


def test_what_is_missed_remembers_who_had_it_last(collection_of):
    reading = collection_of(low_tide=in_state("handed over"), high_tide="destination: kept")
    after = record(reading, of(reading, lost, ["low-tide", "high-tide"]))
    assert destination(after) == {"is": "lost", "through": "nell", "on": "2026-06-10"}
    assert history(after) == [destination(reading)]
    assert destination(after, "high-tide") == {"is": "lost", "on": "2026-06-10"}
    assert history(after, "high-tide") == [{"is": "kept", "until": "2026-06-10"}]


def test_a_quilt_without_a_destination_gets_one_and_a_file_keeps_its_name_on_the_disk(tmp_path, write_collection):
    apart = "quilts/e\u0301toile.yaml"
    reading = read_collection(write_collection(tmp_path, {**PARTNERS, apart: "title: Étoile"}))
    record(reading, of(reading, set_free, ["étoile"]))
    assert (tmp_path / apart).read_text() == "title: Étoile\ndestination: free"


# What is refused --------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("state", "move", "told"),
    [
        ("free", "delivered", "Low Tide is looking for a home. It can't be delivered before it was handed over"),
        ("promised", "promise", "Low Tide is already promised to River Street Shelter."),
        ("kept", "promise", "Low Tide is kept. If it may go after all, set it free first."),
        ("gifted", "hand over", "Low Tide was given to A cousin (about 2019). If it is back, record"),
        ("handed over", "acknowledged", "record first that it was delivered"),
        ("handed over", "hand over", "Low Tide was already handed over to Nell on 12 May 2026"),
        ("delivered", "delivered", "Low Tide was already delivered to River Street Shelter on 30 May 2026."),
        ("kept", "returned", "Low Tide is kept. It has not left the house"),
    ],
)
def test_a_refusal_says_where_it_is_and_what_would_be_right(collection_of, state, move, told):
    reading = collection_of(low_tide=in_state(state))
    assert told in refusals(MOVES[move](reading.collection, reading.texts, ["low-tide"]))


def test_one_that_can_not_move_holds_the_whole_batch(collection_of):
    reading = collection_of(low_tide="destination: free", high_tide="destination: kept")
    moves = of(reading, hand_over, ["low-tide", "high-tide"], through="nell")
    assert refusals(moves).startswith("quilts/high-tide.yaml:2: destination: High Tide is kept.")
    with pytest.raises(CollectionProblems):
        file_changes(reading.collection, moves)


def test_a_name_that_is_not_known_brings_the_nearest(collection_of):
    reading = collection_of(low_tide="destination: free")
    moves = of(reading, hand_over, ["low-tyde"], through="nel", to="hill-hospis")
    assert refusals(moves).split("\n") == [
        "partners/hill-hospis.yaml:1: There is no partner “hill-hospis”. Did you mean hill-hospice?",
        "partners/nel.yaml:1: There is no partner “nel”. Did you mean nell?",
        "quilts/low-tyde.yaml:1: There is no quilt “low-tyde”. Did you mean low-tide?",
    ]


def test_a_charity_is_no_go_between(collection_of):
    reading = collection_of(low_tide="destination: free")
    moves = of(reading, hand_over, ["low-tide"], through="river-street", to="nell")
    told = refusals(moves)
    assert "River Street Shelter is a charity, and a go-between is needed here." in told
    assert "partners/nell.yaml:2: kind: Nell is a go-between, and a charity is needed here." in told


def test_a_quilt_is_named_once(collection_of):
    reading = collection_of(low_tide="destination: free")
    twice = [("low-tide", "spring", "cots"), ("low-tide", "spring", "laps")]
    assert "Low Tide is named twice" in refusals(of(reading, promise, twice))


def test_somebody_has_to_receive_it(collection_of):
    reading = collection_of(low_tide="destination: free")
    assert "Say through which go-between" in refusals(of(reading, hand_over, ["low-tide"]))


def test_a_line_has_only_so_many_places(collection_of):
    given = STATES["handed over"].removesuffix("}") + ", request: spring, line: cots}"
    reading = collection_of(low_tide="destination: free", high_tide="destination: free", ebb=f"destination: {given}")
    both = [("low-tide", "spring", "cots"), ("high-tide", "spring", "cots")]
    told = refusals(of(reading, promise, both))
    assert "High Tide finds no place in the line cots of spring. It asks for 2, and 2 are promised or given." in told
    assert of(reading, promise, both[:1]).changes


def test_a_quilt_that_went_elsewhere_left_its_place_open(collection_of):
    elsewhere = "{is: donated, to: hill-hospice, meant_for: river-street, request: spring, line: laps}"
    reading = collection_of(low_tide="destination: free", ebb=f"destination: {elsewhere}")
    assert of(reading, promise, [("low-tide", "spring", "laps")]).changes


@pytest.mark.parametrize(
    ("request_id", "line", "told"),
    [
        ("sprung", "cots", "There is no request “sprung”. Did you mean spring?"),
        ("spring", "cats", "spring has no line “cats”. Did you mean cots?"),
        ("closed", "laps", "requests/closed.yaml:3: closed: closed was closed on 1 March 2026."),
    ],
)
def test_a_request_that_can_not_be_answered_is_told(collection_of, request_id, line, told):
    reading = collection_of(low_tide="destination: free")
    moves = of(reading, promise, [("low-tide", request_id, line)])
    assert told in refusals(moves)


@pytest.mark.parametrize(
    ("text", "move", "on", "told"),
    [
        ("destination: free", "promise", "2026-02-01", "asked: On 1 February 2026 the request had not come"),
        (in_state("promised"), "hand over", "2026-03-30", "on 30 March 2026: it was promised on 1 April 2026"),
        (in_state("handed over"), "delivered", "2026-05-01", "on 1 May 2026: it was handed over on 12 May 2026"),
        (in_state("delivered"), "acknowledged", "2026-05-29", "it was delivered on 30 May 2026"),
        (in_state("acknowledged"), "returned", "2026-06-01", "it was acknowledged on 2 June 2026"),
        ("made: 2026-06\ndestination: free", "hand over", "2026-05-12", "2: made: Low Tide can't have been handed"),
        (
            "destination: free\nhistory: [{is: gifted, on: 2019, returned: 2026-06}]",
            "promise",
            "2026-05-01",
            "it was free again (June 2026)",
        ),
    ],
)
def test_dates_out_of_their_order_are_refused(collection_of, text, move, on, told):
    reading = collection_of(low_tide=text)
    assert told in refusals(MOVES[move](reading.collection, reading.texts, ["low-tide"], day(on)))


def test_dates_in_doubt_are_not_out_of_order(collection_of):
    donated = "{is: donated, to: river-street, handed_over: 2026-05~}"
    reading = collection_of(low_tide=f"made: about 2026\ndestination: {donated}")
    assert of(reading, delivered, ["low-tide"], on="2026-04-28").changes


def test_a_quilt_on_loan_does_not_leave(collection_of):
    text = "destination: free\nloans: [{to: A museum, from: 2026-05-01, due: 2026-07-01}]"
    reading = collection_of(low_tide=text)
    told = refusals(of(reading, hand_over, ["low-tide"], through="nell"))
    assert "quilts/low-tide.yaml:3: loans.1: Low Tide is out on loan to A museum, due back on 1 July 2026." in told
    told = refusals(of(reading, promise, [("low-tide", "spring", "cots")]))
    assert "It is needed by 15 June 2026." in told


def test_a_quilt_that_is_back_from_its_loan_in_time_may_be_promised(collection_of):
    reading = collection_of(low_tide="destination: free\nloans: [{to: A museum, from: 2026-05-01, due: 2026-06-01}]")
    assert of(reading, promise, [("low-tide", "spring", "cots")], on="2026-05-05").changes


def test_what_is_not_finished_is_promised_only_where_the_maker_says_that_it_will_be(collection_of):
    reading = collection_of(low_tide="stage: binding\ndestination: free")
    assigned = [("low-tide", "spring", "cots")]
    told = refusals(of(reading, promise, assigned))
    assert "quilts/low-tide.yaml:2: stage: Low Tide is not finished: it is still at the binding." in told
    assert of(reading, promise, assigned, to_be_finished=["low-tide"]).changes
    assert "not finished" in refusals(of(reading, hand_over, ["low-tide"], through="nell"))


def test_a_file_that_changed_since_it_was_read_is_not_written(collection_of):
    reading = collection_of(low_tide="destination: free")
    moves = of(reading, hand_over, ["low-tide"], through="nell")
    path = reading.collection.folder / "quilts/low-tide.yaml"
    path.write_text("title: Low Tide\ndestination: kept\n")
    with pytest.raises(CollectionProblems) as refused:
        file_changes(reading.collection, moves)
    assert "changed while this ran" in refused.value.problems[0].remedy
