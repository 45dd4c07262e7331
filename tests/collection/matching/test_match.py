"""The best plan for a collection, and the reasons that it gives."""

import random
import subprocess
import sys
from fractions import Fraction
from pathlib import Path

import pytest

from collection.matching.judgement_table import CHECK_FIRST, DOES_NOT_FIT, FITS, JudgementTable
from collection.matching.match import match
from collection.matching.open_places import open_requests, waiting_quilts
from collection.records.collection import Collection
from collection.records.places_taken import Answers
from collection.values.dates import EdtfDate
from collection.values.lengths import Length, LengthRange, Size
from tests.benchmarks.matching_cases import TODAY, a_large_collection
from tests.support.made_records import a_charity, a_collection, a_quilt, donated
from tests.support.plans import ON, asks, free, placed, plan_of

# Which quilts, which places ---------------------------------------------------------------------


def test_only_quilts_that_look_for_a_home_go():
    others = [a_quilt(f"not-{word}", destination=word, finished_size="40 x 40") for word in ("kept", "undecided")]
    given = a_quilt("given", destination=donated(), finished_size="40 x 40")
    assert placed(plan_of(*others, given, free("mine"), asks("cots", {"id": "a", "count": 9}))) == {
        "mine": ("cots", "a")
    }


def test_a_closed_request_has_no_places():
    plan = plan_of(free("mine"), asks("cots", {"id": "a"}, closed="2026-03-01"))
    assert plan.assigned == () and plan.open == ()
    assert plan.left_over[0].nearest is None


def test_what_is_promised_or_given_takes_a_place_and_what_went_elsewhere_does_not():
    line = {"id": "a", "count": 3}
    promised = a_quilt("one", destination={"is": "promised", "to": "river-street", "request": "cots", "line": "a"})
    given = a_quilt("two", destination=donated(request="cots", line="a", delivered="2026-03-01"))
    elsewhere = a_quilt(
        "three",
        destination=donated(
            request="cots", line="a", to="hill-hospice", delivered="2026-03-01", meant_for="river-street"
        ),
    )
    quilts = [free(f"free-{n}") for n in range(4)]
    plan = plan_of(promised, given, elsewhere, *quilts, asks("cots", line))
    assert len(plan.assigned) == 1


def test_a_quilt_that_answers_a_request_without_a_line_takes_one_of_its_places():
    loose = a_quilt("one", destination=donated(request="cots", delivered="2026-03-01"))
    quilts = [free(f"free-{n}") for n in range(4)]
    plan = plan_of(loose, *quilts, asks("cots", {"id": "a"}, {"id": "b"}))
    assert len(plan.assigned) == 1


def test_too_many_for_one_line_take_no_place_of_another():
    many = [
        a_quilt(f"given-{n}", destination=donated(request="cots", line="a", delivered="2026-03-01")) for n in range(3)
    ]
    collection = a_collection(*many, asks("cots", {"id": "a"}, {"id": "b"}))
    assert Answers.of(collection).filled(collection.requests["cots"]) == 1
    assert placed(match(a_collection(*many, free("mine"), *collection.requests.values()), on=ON)) == {
        "mine": ("cots", "b")
    }


def test_quilts_wait_from_the_day_they_were_made_and_those_without_one_stand_in_the_middle():
    quilts = [
        free("c", made="2020"),
        free("b", made="1990s"),
        free("e", made="2025-05"),
        free("a"),
        free("d", made="2020"),
    ]
    assert [quilt.id for quilt in waiting_quilts(quilts)] == ["b", "a", "c", "d", "e"]


def test_the_standing_rules_hold_where_the_line_says_nothing():
    house = a_charity("river-street", rules={"no": ["buttons"], "shorter_side": "36 to 45"})
    plan = plan_of(
        house,
        free("buttoned", features=["buttons"]),
        free("large", "50 x 50"),
        free("mine"),
        asks("cots", {"id": "a", "count": 3}),
    )
    assert set(placed(plan)) == {"mine"}


# The aims, through the records ------------------------------------------------------------------


def test_a_must_line_comes_before_a_wish():
    plan = plan_of(free("mine"), asks("cots", {"id": "a"}, {"id": "b", "priority": "must"}))
    assert placed(plan) == {"mine": ("cots", "b")}


def test_a_quilt_with_something_unrecorded_is_used_last_and_marked():
    line = {"id": "a", "shorter_side": "36 to 45"}
    plan = plan_of(free("unmeasured", None, made="1990"), free("mine", made="2025"), asks("cots", line))
    assert set(placed(plan)) == {"mine"}
    plan = plan_of(free("unmeasured", None), asks("cots", line))
    (assigned,) = plan.assigned
    assert (assigned.check_first, assigned.why) == (("finished_size",), "the only one that fits")


def test_the_request_that_has_less_is_served_first():
    had = a_quilt("had", destination=donated(request="full", line="a", delivered="2026-03-01"))
    plan = plan_of(had, free("mine"), asks("full", {"id": "a", "count": 2}), asks("none", {"id": "a", "count": 2}))
    assert placed(plan) == {"mine": ("none", "a")}


def test_the_better_fit_goes_and_of_two_alike_the_older():
    line = {"id": "a", "ideal": "40 x 40"}
    assert set(placed(plan_of(free("near", "41 x 40"), free("exact"), asks("cots", line)))) == {"exact"}
    older, newer = free("a-newer", made="2020"), free("b-older", made="2001")
    assert set(placed(plan_of(older, newer, asks("cots", line)))) == {"b-older"}


# Reasons ----------------------------------------------------------------------------------------


def test_each_place_says_why_this_quilt():
    line = {"id": "a", "ideal": "40 x 40", "shorter_side": "30 to 50"}

    def why(*quilts):
        (assigned,) = plan_of(*quilts, asks("cots", line)).assigned
        return assigned.why

    assert why(free("mine")) == "the only one that fits"
    assert why(free("exact"), free("near", "42 x 40")) == "fits better than Near"
    assert why(free("old", made="1990"), free("young", made="2020")) == "has waited longer than Young"
    assert why(free("mine"), free("unmeasured", None)) == "nothing to check first, unlike Unmeasured"
    assert why(free("a", made="2020-05-01"), free("b", made="2020-05-01")) == (
        "fits as well as B, which was made on the same day"
    )


def test_an_open_place_tells_the_nearest_misses_and_by_how_much():
    quilts = [
        free("far", "20 x 20"),
        free("near", "34 x 40"),
        free("unlabelled", care={"label": False}),
        free("buttoned", features=["buttons"]),
    ]
    line = {"id": "a", "count": 2, "shorter_side": "36 to 45", "needs": ["label"], "no": ["buttons"]}
    quilts = [
        quilt if quilt.care else quilt.model_copy(update={"care": a_quilt(care={"label": True}).care})
        for quilt in quilts
    ]
    (opened,) = plan_of(*quilts, asks("cots", line)).open
    assert (opened.request, opened.line, opened.places) == ("cots", "a", 2)
    assert [(each.quilt, each.because) for each in opened.nearest] == [
        ("near", "2 in too narrow; would fit if they accept 34"),
        ("unlabelled", "it has no label; would fit if a label is sewn on"),
        ("far", "16 in too narrow; would fit if they accept 20"),
    ]


def test_a_left_over_quilt_tells_the_nearest_line_and_what_stood_in_the_way():
    plan = plan_of(
        free("large", "60 x 60"),
        asks("cots", {"id": "a", "shorter_side": "at most 40"}, {"id": "b", "shorter_side": "at most 50"}),
    )
    (left,) = plan.left_over
    assert (left.nearest.line, left.nearest.because) == ("b", "10 in too wide; would fit if they accept 60")


def test_a_left_over_quilt_that_fits_tells_who_has_the_places():
    plan = plan_of(free("old", made="1990"), free("young", made="2020"), asks("cots", {"id": "a"}))
    (left,) = plan.left_over
    assert left.quilt == "young"
    assert left.nearest.because == "it fits, but every place that it fits is filled, here by Old"


def test_a_quilt_that_is_not_finished_is_told_not_left_out_in_silence():
    plan = plan_of(free("begun", stage="binding"), asks("cots", {"id": "a"}, needed_by="2026-05-15"))
    assert "binding stage" in plan.left_over[0].nearest.because
    plan = plan_of(
        free("begun", stage="binding", ready_by="2026-05-01"),
        asks("cots", {"id": "a"}, needed_by="2026-05-15"),
    )
    assert placed(plan) == {"begun": ("cots", "a")}


def test_nothing_to_match_is_an_empty_plan():
    assert plan_of() == plan_of(a_quilt(destination="kept")) != plan_of(free("mine"))
    nothing = ("assigned", "open", "left_over", "make_next", "cannot_be_made", "undecided", "day_passed")
    assert plan_of().as_data() == {name: [] for name in nothing}
    assert plan_of(asks("cots", {"id": "a"})).open[0].nearest == ()


def test_the_plan_for_programs_has_its_stable_shape():
    line = {"id": "a", "count": 2, "size": "baby"}
    records = free("mine"), free("large", "60 x 60"), a_quilt("nobody-knows", finished_size="40 x 44")
    data = plan_of(*records, asks("cots", line, needed_by="2026-05")).as_data()
    assert data == {
        "assigned": [
            {
                "quilt": "mine",
                "request": "cots",
                "line": "a",
                "fit": "40 × 40 in, the size they ask for; the only one that fits",
                "check_first": [],
            }
        ],
        "open": [
            {
                "request": "cots",
                "line": "a",
                "places": 1,
                "nearest": [
                    {
                        "quilt": "large",
                        "because": "8 in too wide and 8 in too long; would fit if they accept 60",
                    }
                ],
            }
        ],
        "left_over": [
            {
                "quilt": "large",
                "nearest": {
                    "request": "cots",
                    "line": "a",
                    "because": "8 in too wide and 8 in too long; would fit if they accept 60",
                },
            }
        ],
        "make_next": [
            {
                "size": "baby",
                "target": {
                    "width": {"in": "44", "cm": 112.0},
                    "length": {"in": "44", "cm": 112.0},
                    "exact": "44 x 44 in",
                },
                "count": 1,
                "must": 0,
                "by": "2026-05",
                "for": [{"request": "cots", "line": "a"}],
                "fibre": {},
                "needs": [],
                "no": [],
                "suits": [],
            }
        ],
        "cannot_be_made": [],
        "undecided": [{"quilt": "nobody-knows", "would_fit": {"request": "cots", "line": "a"}}],
        "day_passed": [],
    }


# What always holds ------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def middling() -> Collection:
    return a_large_collection(quilts=120, places=90, seed=5)


def test_no_quilt_goes_twice_no_line_gets_too_many_and_no_hard_rule_is_broken(middling):
    plan = match(middling, on=TODAY)
    quilts = [each.quilt for each in plan.assigned]
    assert len(quilts) == len(set(quilts)) > 40
    lines = {(line.request.id, line.line.id): line for request in open_requests(middling) for line in request.lines}
    for each in plan.assigned:
        judgement = lines[each.request, each.line].requirements.judge(middling.quilts[each.quilt], TODAY)
        assert not judgement.misses
        assert bool(judgement.checks) == bool(each.check_first)
    left = {(each.request, each.line): each.places for each in plan.open}
    for key, line in lines.items():
        assert sum((each.request, each.line) == key for each in plan.assigned) + left.get(key, 0) == line.places
    assert {each.quilt for each in plan.left_over} == set(middling.quilts) - set(quilts)
    cannot = sum(left[each.request, each.line] for each in plan.cannot_be_made)
    assert sum(each.count for each in plan.make_next) + cannot == sum(left.values())


def test_the_order_of_files_and_of_lines_changes_nothing(middling):
    chance = random.Random(1)

    def shuffled(records):
        return dict(chance.sample(list(records.items()), len(records)))

    requests = {
        key: request.model_copy(update={"lines": tuple(chance.sample(request.lines, len(request.lines)))})
        for key, request in shuffled(middling.requests).items()
    }
    other = Collection(
        folder=middling.folder,
        quilts=shuffled(middling.quilts),
        partners=shuffled(middling.partners),
        requests=requests,
    )
    assert match(other, on=TODAY) == match(middling, on=TODAY)


def test_columns_of_numbers_say_the_same_as_the_words_about_one_quilt(middling):
    lines = tuple(line for request in open_requests(middling) for line in request.lines)
    quilts = waiting_quilts(middling.quilts.values())
    table = JudgementTable.of(lines, quilts, TODAY)
    numbers = {"fits": FITS, "check first": CHECK_FIRST, "does not fit": DOES_NOT_FIT}
    verdicts = set()
    for row, line in enumerate(lines):
        for column, quilt in enumerate(quilts):
            judgement = line.requirements.judge(quilt, TODAY)
            verdicts.add(judgement.verdict)
            assert table.verdict[row, column] == numbers[judgement.verdict]
            assert table.misfit[row, column] == judgement.misfit
            assert (
                0
                <= Fraction(int(table.off[row, column]), 64) - judgement.off
                < Fraction(len(judgement.misses) or 1, 64)
            )
    assert verdicts == set(numbers)


def test_lengths_with_no_common_measure_are_judged_exactly_too():
    """Their common unit is far smaller than what a machine word counts."""
    primes = (1009, 1013, 1019, 1021, 1031)

    def wide(prime: int) -> Length:
        return Length(40 + Fraction(1, prime))

    quilts = [
        free(f"quilt-{prime}").model_copy(update={"finished_size": Size(wide(prime), Length(50))}) for prime in primes
    ]
    request = asks("cots", {"id": "a", "count": 5})
    line = request.lines[0].model_copy(update={"shorter_side": LengthRange(None, wide(1019))})
    plan = plan_of(*quilts, request.model_copy(update={"lines": (line,)}))
    assert set(placed(plan)) == {"quilt-1019", "quilt-1021", "quilt-1031"}


def test_a_day_is_told_in_the_plan_for_programs_as_it_is_written():
    plan = plan_of(asks("cots", {"id": "a", "size": "baby"}, needed_by="spring 2027"))
    assert plan.as_data()["make_next"][0]["by"] == str(EdtfDate.parse("spring 2027"))


def test_the_solver_is_loaded_only_when_there_is_something_to_solve():
    code = (
        "import sys; from datetime import date; from pathlib import Path; from collection.records.collection import Collection;"
        "from collection.matching.match import match; match(Collection(Path('x')), on=date(2026, 1, 1));"
        "print('scipy' in sys.modules)"
    )
    run = subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        cwd=Path(__file__).parents[3],
        timeout=300,
        check=False,
    )
    assert run.stdout.strip() == "False", run.stderr
