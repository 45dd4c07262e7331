"""The best plan against every plan there is, against another solver, and by what must always hold."""

import random
from fractions import Fraction
from itertools import product

import networkx
import pytest

from collection.matching.solver import Line, Pairs, Request, _Network, best_places
from tests.support.patience import soon

Case = tuple[list[Line], list[Request], Pairs]


def pairs_of(rows: list[tuple[int, int, bool, int]]) -> Pairs:
    """Rows of quilt, line, check first, misfit."""
    return Pairs(*(tuple(column) for column in zip(*rows, strict=True))) if rows else Pairs((), (), (), ())


def a_case(seed: int, quilts: int, lines: int, requests: int, *, places: int = 2, alike: bool = False) -> Case:
    """A random case; `alike` makes ties the rule."""
    chance = random.Random(seed)
    made = [Line(chance.randint(0, places), chance.random() < 0.5, chance.randrange(requests)) for _ in range(lines)]
    already = [chance.randint(0, 2) for _ in range(requests)]
    loose = [chance.randint(0, 1) for _ in range(requests)]
    asked = [max(1, already[r] + sum(line.places for line in made if line.request == r)) for r in range(requests)]
    filled = [min(asked[r], already[r] + loose[r]) for r in range(requests)]
    density = chance.choice([0.3, 0.6, 0.9])
    rows = [
        (quilt, line, chance.random() < 0.3, 0 if alike else chance.randint(0, 3))
        for quilt in range(quilts)
        for line in range(lines)
        if chance.random() < density
    ]
    return made, [Request(*pair) for pair in zip(asked, filled, strict=True)], pairs_of(rows)


def facts_of(pairs: Pairs) -> dict[tuple[int, int], tuple[bool, int]]:
    columns = zip(pairs.quilt, pairs.line, pairs.check_first, pairs.misfit, strict=True)
    return {(quilt, line): (check, misfit) for quilt, line, check, misfit in columns}


def is_possible(plan: dict[int, int], case: Case) -> bool:
    lines, requests, pairs = case
    taken = list(plan.values())
    by_request = [sum(lines[line].request == r for line in taken) for r in range(len(requests))]
    return (
        all(pair in facts_of(pairs) for pair in plan.items())
        and all(taken.count(index) <= line.places for index, line in enumerate(lines))
        and all(each.filled + more <= each.asked for each, more in zip(requests, by_request, strict=True))
    )


def value(plan: dict[int, int], case: Case) -> tuple:
    """How good a plan is, aim by aim, the least being the best; no two plans of a case are alike in it."""
    lines, requests, pairs = case
    facts = facts_of(pairs)
    in_the_end = [
        each.filled + sum(lines[line].request == r for line in plan.values()) for r, each in enumerate(requests)
    ]
    return (
        -sum(lines[line].must for line in plan.values()),
        -len(plan),
        sum(facts[pair][0] for pair in plan.items()),
        sum(
            (Fraction(count**2, each.asked) for count, each in zip(in_the_end, requests, strict=True)),
            Fraction(0),
        ),
        sum(facts[pair][1] for pair in plan.items()),
        sum(plan),
        sum((len(plan) - place) * plan[quilt] for place, quilt in enumerate(sorted(plan))),
        tuple(sorted(plan.items())),
    )


def every_plan(case: Case):
    pairs = case[2]
    choices = {quilt: [None] for quilt in pairs.quilt}
    for quilt, line in zip(pairs.quilt, pairs.line, strict=True):
        choices[quilt].append(line)
    for chosen in product(*choices.values()):
        plan = {quilt: line for quilt, line in zip(choices, chosen, strict=True) if line is not None}
        if is_possible(plan, case):
            yield plan


# Against every plan -----------------------------------------------------------------------------


@pytest.mark.parametrize("first_seed", range(0, 240, 20))
def test_no_plan_of_a_small_case_is_better_in_any_aim(first_seed):
    for seed in range(first_seed, first_seed + 20):
        case = a_case(seed, quilts=5, lines=3, requests=2, alike=seed % 3 == 0)
        assert best_places(*case) == min(every_plan(case), key=lambda plan: value(plan, case)), seed


@pytest.mark.parametrize("first_seed", range(1000, 1060, 20))
def test_neither_of_many_lines_over_three_requests(first_seed):
    for seed in range(first_seed, first_seed + 20):
        case = a_case(seed, quilts=4, lines=6, requests=3, places=1, alike=seed % 2 == 0)
        assert best_places(*case) == min(every_plan(case), key=lambda plan: value(plan, case)), seed


def test_spreading_is_reckoned_with_what_each_request_asked_for_and_has():
    # The steps of requests of 3, 4 and 7 cross each other; what one has already moves its own.
    for seed in range(12):
        chance = random.Random(seed)
        lines = [Line(asked, False, r) for r, asked in enumerate((3, 4, 7))]
        requests = [Request(3 + 2, 2), Request(4, 0), Request(7 + 1, 1)]
        rows = [(quilt, line, False, 0) for quilt in range(6) for line in range(3) if chance.random() < 0.8]
        case = lines, requests, pairs_of(rows)
        assert best_places(*case) == min(every_plan(case), key=lambda plan: value(plan, case)), seed


# Aim by aim, in the order in which they count ---------------------------------------------------


def test_a_must_place_is_filled_before_a_wish_that_would_be_liked_better():
    lines = [Line(1, False, 0), Line(1, True, 0)]
    assert best_places(lines, [Request(2, 0)], pairs_of([(0, 0, False, 0), (0, 1, True, 99)])) == {0: 1}


def test_two_places_filled_are_better_than_one_without_anything_to_check():
    lines = [Line(1, False, 0), Line(1, False, 0)]
    rows = [(0, 0, False, 0), (0, 1, True, 0), (1, 0, True, 0)]
    assert best_places(lines, [Request(2, 0)], pairs_of(rows)) == {0: 1, 1: 0}


def test_a_quilt_with_something_to_check_first_is_used_last():
    rows = [(0, 0, True, 0), (1, 0, False, 50)]
    assert best_places([Line(1, False, 0)], [Request(1, 0)], pairs_of(rows)) == {1: 0}


def test_the_request_that_has_less_of_what_it_asked_for_comes_first_though_the_other_fits_better():
    lines = [Line(4, False, 0), Line(1, False, 1)]
    rows = [(0, 0, False, 0), (0, 1, False, 9)]
    assert best_places(lines, [Request(8, 1), Request(1, 0)], pairs_of(rows)) == {0: 0}
    assert best_places(lines, [Request(2, 1), Request(4, 0)], pairs_of(rows)) == {0: 1}


def test_of_two_that_fit_the_better_fit_goes_and_of_two_alike_the_one_that_waited_longer():
    line, request = [Line(1, False, 0)], [Request(1, 0)]
    assert best_places(line, request, pairs_of([(0, 0, False, 5), (1, 0, False, 4)])) == {1: 0}
    assert best_places(line, request, pairs_of([(0, 0, False, 4), (1, 0, False, 4)])) == {0: 0}


def test_nothing_to_give_or_nowhere_to_give_it_is_an_empty_plan():
    assert best_places([Line(2, True, 0)], [Request(2, 0)], pairs_of([])) == {}
    assert best_places([Line(0, True, 0)], [Request(2, 2)], pairs_of([(0, 0, False, 0)])) == {}


# Against another solver -------------------------------------------------------------------------


def by_network_simplex(case: Case) -> tuple:
    """The value of a best plan up to the sixth aim, all aims in one cost of unbounded whole numbers."""
    lines, requests, pairs = case
    quilts, facts = sorted(set(pairs.quilt)), facts_of(pairs)
    steps = {
        (r, k): Fraction(2 * k - 1, each.asked)
        for r, each in enumerate(requests)
        for k in range(each.filled + 1, each.asked + 1)
    }
    common = 1
    for each in requests:
        common *= each.asked
    big = 10 ** (len(str(common)) + 8)
    network = networkx.MultiDiGraph()
    network.add_node("start", demand=-len(quilts))
    network.add_node("end", demand=len(quilts))
    network.add_edge("start", "end", capacity=len(quilts), weight=0)
    for quilt in quilts:
        network.add_edge("start", ("quilt", quilt), capacity=1, weight=0)
    for (quilt, line), (check, misfit) in facts.items():
        aims = (-int(lines[line].must), -1, int(check), 0, misfit, quilt)
        cost = 0
        for aim in aims:
            cost = cost * big + aim
        network.add_edge(("quilt", quilt), ("line", line), capacity=1, weight=cost)
    for index, line in enumerate(lines):
        network.add_edge(("line", index), ("request", line.request), capacity=line.places, weight=0)
    for (r, _), step in steps.items():
        network.add_edge(("request", r), "end", capacity=1, weight=int(step * common) * big**2)
    _, flow = networkx.network_simplex(network)
    plan = {quilt: line for quilt in quilts for (_, line), ways in flow[("quilt", quilt)].items() if sum(ways.values())}
    return value(plan, case)[:6]


@pytest.mark.parametrize("seed", range(12))
def test_another_solver_finds_no_better_value_in_a_middling_case(seed):
    case = a_case(seed, quilts=60, lines=14, requests=5, places=6, alike=seed % 4 == 0)
    plan = best_places(*case)
    assert is_possible(plan, case)
    assert value(plan, case)[:6] == by_network_simplex(case)


@pytest.mark.parametrize("wrong", ["flow", "price"])
def test_an_answer_that_cannot_be_proved_is_refused(wrong, monkeypatch):
    """A solver that stops too early, or errs in its prices, is not believed."""
    solve = _Network._solve

    def err(self, pair_costs, step_costs):
        flow, price = solve(self, pair_costs, step_costs)
        return (flow * 0, price) if wrong == "flow" else (flow, price * 0)

    monkeypatch.setattr(_Network, "_solve", err)
    with pytest.raises(ArithmeticError, match="could not be proved"):
        best_places([Line(1, True, 0)], [Request(1, 0)], pairs_of([(0, 0, False, 0)]))


# What always holds ------------------------------------------------------------------------------


@pytest.mark.parametrize("seed", range(20))
def test_the_order_of_the_rows_changes_nothing(seed):
    lines, requests, pairs = a_case(seed, quilts=30, lines=8, requests=3, places=4, alike=seed % 2 == 0)
    rows = list(zip(pairs.quilt, pairs.line, pairs.check_first, pairs.misfit, strict=True))
    random.Random(seed).shuffle(rows)
    assert best_places(lines, requests, pairs_of(rows)) == best_places(lines, requests, pairs)


@pytest.mark.parametrize("seed", range(20))
def test_one_quilt_more_never_means_fewer_places_filled(seed):
    lines, requests, pairs = a_case(seed, quilts=30, lines=8, requests=3, places=4)
    rows = list(zip(pairs.quilt, pairs.line, pairs.check_first, pairs.misfit, strict=True))
    fewer = [row for row in rows if row[0] != seed]
    with_all, without = (best_places(lines, requests, pairs_of(some)) for some in (rows, fewer))
    musts = [sum(lines[line].must for line in plan.values()) for plan in (with_all, without)]
    assert musts[0] >= musts[1] and len(with_all) >= len(without)


def test_many_quilts_alike_are_settled_by_their_order():
    """The oldest go, and the older of them to the earlier lines."""
    lines = [Line(10, False, 0), Line(10, False, 0), Line(10, False, 0)]
    rows = [(quilt, line, False, 0) for quilt in range(60) for line in range(3)]
    assert best_places(lines, [Request(30, 0)], pairs_of(rows)) == {quilt: quilt // 10 for quilt in range(30)}


def test_a_request_that_asks_for_far_more_than_there_is_takes_no_longer():
    lines = [Line(10_000, True, line % 2) for line in range(400)]
    pairs = pairs_of([(quilt, line, False, 0) for quilt in range(3) for line in range(400)])
    with soon():
        plan = best_places(lines, [Request(2_000_000, 0), Request(2_000_000, 5)], pairs)
    assert plan == {0: 0, 1: 0, 2: 0}
