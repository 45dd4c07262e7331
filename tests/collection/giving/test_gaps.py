"""What is missing, and what its lack holds up."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from collection.giving.gaps import ORDER, by_fact, find_gaps
from tests.support.made_records import a_collection, a_quilt, donated

KNOWN = {
    "number": 143,
    "made": "2016",
    "finished_size": "60 x 72",
    "photos": ["low-tide/front.jpg"],
    "pattern": "Low Tide",
    "fibre": {"top": "cotton"},
    "quilting": "longarm",
    "condition": "good",
    "care": {"washed": False, "label": False},
    "materials_cost": "84.50",
    "appraisal": {"value": "900"},
    "kept_at": "Cedar chest",
}
DESTINATIONS = {
    "kept": "kept",
    "free": "free",
    "undecided": "undecided",
    "promised": {"is": "promised", "to": "river-street"},
    "donated": donated(delivered="2026-05-30"),
    "gifted": {"is": "gifted", "on": "2019"},
    "lost": {"is": "lost"},
}


def gaps_of(quilt) -> list[tuple[str, str]]:
    return [(gap.blocks, gap.field) for gap in find_gaps(a_collection(quilt))]


def lacking(*fields: str, **changed) -> list[tuple[str, str]]:
    """The gaps of a quilt of which all is known but some fields."""
    return gaps_of(a_quilt(**({name: value for name, value in KNOWN.items() if name not in fields} | changed)))


@pytest.mark.parametrize("destination", DESTINATIONS.values(), ids=DESTINATIONS)
def test_a_quilt_of_which_all_is_known_has_no_gap(destination):
    assert lacking(destination=destination) == []


def test_a_quilt_with_a_title_alone_lacks_what_the_catalogue_shows_and_no_more():
    assert gaps_of(a_quilt()) == [
        ("catalogue", "photos"), ("catalogue", "made"), ("catalogue", "finished_size"), ("catalogue", "pattern"),
    ]  # fmt: skip


@pytest.mark.parametrize("bound", ["free", "promised"])
@pytest.mark.parametrize(
    ("unknown", "gap"),
    [
        ({"finished_size": None}, "finished_size"),
        ({"fibre": None}, "fibre.top"),
        ({"fibre": {"batting": "cotton"}}, "fibre.top"),
        ({"care": None}, "care.washed"),
        ({"care": {"washed": True}}, "care.label"),
        ({"condition": None}, "condition"),
        ({"quilting": {"by": "A friend"}}, "quilting.how"),
    ],
)
def test_what_a_charity_asks_holds_up_giving(bound, unknown, gap):
    assert ("giving", gap) in lacking(**unknown, destination=DESTINATIONS[bound])


def test_no_is_an_answer():
    assert lacking(care={"washed": False, "label": False}, destination="free") == []


@pytest.mark.parametrize("stays", ["kept", "undecided", "gifted", "lost"])
def test_nobody_asks_it_of_a_quilt_that_goes_nowhere(stays):
    assert not [gap for gap in gaps_of(a_quilt(destination=DESTINATIONS[stays])) if gap[0] == "giving"]


def test_a_quilt_still_being_made_lacks_only_what_can_be_known():
    assert gaps_of(a_quilt(stage="piecing", destination="free")) == [
        ("catalogue", "photos"), ("catalogue", "pattern"),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("destination", "gap"),
    [
        ({"is": "donated", "through": "nell", "handed_over": "2026-05-12"}, "destination.to"),
        ({"is": "donated", "handed_over": "2026-05-12"}, "destination.to"),
        (donated(), "destination.delivered"),
        (donated(through="nell"), "destination.handed_over"),
        ({"is": "gifted", "to": "A cousin"}, "destination.on"),
    ],
)
def test_a_gift_lacks_the_charity_or_the_day_by_which_it_counts(destination, gap):
    assert lacking(destination=destination) == [("giving", gap)]


def test_a_gift_on_its_way_lacks_no_day_of_delivery():
    assert lacking(destination=donated(through="nell", handed_over="2026-05-12")) == []


def test_a_quilt_that_has_not_left_may_be_without_a_charity():
    assert ("giving", "destination.to") not in lacking(destination={"is": "donated", "through": "nell"})


def test_a_giving_report_wants_size_and_cost_of_what_was_given():
    given_away = lacking("finished_size", "materials_cost", destination=donated(delivered="2026"))
    assert given_away == [("giving", "finished_size"), ("giving", "materials_cost")]


@pytest.mark.parametrize("field", ["photos", "finished_size", "number", "kept_at"])
def test_insurance_asks_of_what_is_kept(field):
    assert lacking(field, destination="kept") == [("insurance", field)]


def test_insurance_takes_an_appraisal_or_the_cost_of_materials():
    assert lacking("appraisal", destination="kept") == []
    assert lacking("materials_cost", destination="kept") == []
    assert lacking("appraisal", "materials_cost", destination="kept") == [("insurance", "appraisal")]


def test_a_quilt_on_loan_is_where_the_loan_is():
    assert lacking("kept_at", destination="kept", loans=[{"to": "A show"}]) == []
    back = [{"to": "A show", "back": "2025-06-01"}]
    assert lacking("kept_at", destination="kept", loans=back) == [("insurance", "kept_at")]


def test_nothing_is_asked_of_a_lost_quilt():
    assert gaps_of(a_quilt(destination="lost")) == []


def test_a_fact_is_missed_once_under_the_first_thing_that_it_blocks():
    assert lacking("finished_size", destination="kept") == [("insurance", "finished_size")]
    assert lacking("finished_size", destination="free") == [("giving", "finished_size")]
    assert lacking("finished_size") == [("catalogue", "finished_size")]


SOME_QUILTS = st.lists(
    st.tuples(st.sampled_from(sorted(DESTINATIONS)), st.sets(st.sampled_from(sorted(KNOWN)))), max_size=8
)


@given(SOME_QUILTS)
def test_gaps_stand_fact_by_fact_and_each_once_those_first_that_are_the_last_of_their_quilt(some):
    quilts = [
        a_quilt(
            f"quilt-{number}",
            destination=DESTINATIONS[bound],
            **{name: value for name, value in KNOWN.items() if name not in unknown},
        )
        for number, (bound, unknown) in enumerate(some)
    ]
    gaps = find_gaps(a_collection(*quilts))
    assert [ORDER.index(gap.blocks) for gap in gaps] == sorted(ORDER.index(gap.blocks) for gap in gaps)
    assert len({(gap.quilt, gap.field) for gap in gaps}) == len(gaps)
    assert all(gap.why.endswith((".", "?")) for gap in gaps)
    for group in by_fact(gaps):
        assert [(not gap.is_last, gap.quilt) for gap in group] == sorted((not gap.is_last, gap.quilt) for gap in group)
    for gap in gaps:
        others = [other for other in gaps if (other.quilt, other.blocks) == (gap.quilt, gap.blocks)]
        assert gap.is_last == (others == [gap])


def test_gaps_by_fact_name_each_fact_once_with_all_its_quilts_the_most_pressing_first():
    quilts = [
        a_quilt("b-kept", destination="kept"),
        a_quilt("a-free", destination="free"),
        a_quilt("c-kept", destination="kept"),
    ]
    gaps = find_gaps(a_collection(*quilts))
    groups = by_fact(gaps)
    told = [(group[0].blocks, group[0].field, tuple(gap.quilt for gap in group)) for group in groups]
    assert told[0] == ("giving", "finished_size", ("a-free",))
    assert ("insurance", "finished_size", ("b-kept", "c-kept")) in told
    assert ("catalogue", "made", ("a-free", "b-kept", "c-kept")) in told
    assert [gap for group in groups for gap in group] == list(gaps)
    assert len({each[:2] for each in told}) == len(told)


@pytest.mark.parametrize(
    ("title", "number", "is_missed"),
    [
        ("Untitled, photo IMG_2034", None, True),
        ("Untitled, row 27 of quilts.xlsx", None, True),
        ("Quilt 143", 143, True),
        ("Quilt 143", None, False),
        ("Quilt of Many Hands", 143, False),
    ],
)
def test_a_title_that_only_stands_in_is_missed(title, number, is_missed):
    known = KNOWN | {"number": number}
    gaps = gaps_of(a_quilt(title=title, **{name: value for name, value in known.items() if value}))
    assert gaps == [("catalogue", "title")] * is_missed
