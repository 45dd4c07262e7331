"""A plan as a file: written to be read by a person, read again after she changed it, and checked anew."""

from datetime import date

import pytest

from collection.loading.loader import read_collection
from collection.matching.match import match
from collection.matching.plan_file import assignments, check_plan, plan_text, read_plan

ON = date(2026, 4, 1)
FILES = {
    "partners/river-street.yaml": "name: River Street Shelter\n",
    "requests/cots.yaml": (
        "partner: river-street\nlines:\n"
        "  - {id: small, count: 2, shorter_side: 36 to 45, longer_side: 36 to 52, priority: must}\n"
    ),
    "quilts/low-tide.yaml": "title: 'Low Tide: the first'\nfinished_size: 40 x 45\ndestination: free\n",
    "quilts/high-tide.yaml": "title: High Tide\nfinished_size: 90 x 100\ndestination: free\n",
}


@pytest.fixture
def collection(tmp_path, write_collection):
    return read_collection(write_collection(tmp_path, FILES)).collection


def read(text: str):
    return read_plan(text.encode(), "plan.yaml")


def test_what_is_written_reads_back_as_the_same_promises(collection):
    plan = match(collection, on=ON)
    again, _, problems = read(plan_text(plan, collection, on=ON))
    assert problems == []
    assert str(again.on) == "2026-04-01"
    assert [tuple(each) for each in assignments(again)] == [
        (each.quilt, each.request, each.line) for each in plan.assigned
    ]
    assert plan.assigned


def test_an_empty_plan_is_a_plan(collection, tmp_path, write_collection):
    nothing = read_collection(write_collection(tmp_path / "other", {"quilts/low-tide.yaml": "title: Low Tide\n"}))
    plan, _, problems = read(plan_text(match(nothing.collection, on=ON), nothing.collection, on=ON))
    assert (plan.promises, problems) == ((), [])


def test_a_swap_by_hand_that_does_not_fit_is_told_with_its_line_and_by_how_much(collection):
    text = plan_text(match(collection, on=ON), collection, on=ON).replace("low-tide", "high-tide")
    plan, positions, _ = read(text)
    (problem,), judgements = check_plan(collection, plan, positions, on=ON)
    line = next(n for n, each in enumerate(text.splitlines(), start=1) if "{quilt: high-tide" in each)
    assert (problem.file, problem.line) == ("plan.yaml", line)
    assert "High Tide does not fit the line small of cots: 45 in too" in problem.remedy
    assert judgements == {}


def test_what_is_not_recorded_is_no_obstacle_but_told(collection):
    plan, positions, _ = read(plan_text(match(collection, on=ON), collection, on=ON))
    problems, judgements = check_plan(collection, plan, positions, on=ON)
    assert problems == []
    assert judgements["low-tide"].verdict in ("fits", "check first")


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("promises: [{quilt: a, request: b}]", "line is missing here"),
        ("promisses: []", "Did you mean promises?"),
        ("promises: [{quilt: a, request: b, line: c, size: d}]", "There is no field “size” here"),
        ("- quilt: a", "Write fields"),
        ("promises: [", "bracket"),
    ],
)
def test_a_slip_in_it_is_told_with_its_line(text, told):
    plan, _, problems = read(text)
    assert plan is None
    assert any(told in str(problem) and str(problem).startswith("plan.yaml:1") for problem in problems), problems
