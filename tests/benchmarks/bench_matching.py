"""How long matching takes, and the optimum as a ratio to a general-purpose solver on the same case in the same run.

Run it by hand, on a quiet machine: `.venv/bin/python tests/benchmarks/bench_matching.py [ROUNDS]`.
The general-purpose solver is scipy's `milp`, which gets every pair and one aim after the other, each aim that is
done as a constraint. Both must come to the same plan's worth in every aim. The largest case is too large for it.
Processor time is the steadier figure when other work shares the machine.
"""

import resource
import sys
import time
from collections.abc import Callable
from fractions import Fraction
from functools import partial
from pathlib import Path
from statistics import median

sys.path[:0] = [str(Path(__file__).parents[2]), str(Path(__file__).parent)]

from matching_cases import TODAY, a_large_collection

from collection.matching.judgement_table import JudgementTable
from collection.matching.match import case_of, match
from collection.matching.open_places import open_requests, waiting_quilts
from collection.matching.solver import Line, Pairs, Request, best_places

CASES = [(1_000, 300), (10_000, 3_000)]
TOO_LARGE_FOR_MILP = 3_000


def main(rounds: int) -> None:
    for quilts, places in CASES:
        collection = a_large_collection(quilts=quilts, places=places)
        whole, plan = timed(partial(match, collection, on=TODAY))
        memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
        first = (
            f"{quilts:,} quilts, {places:,} places in {sum(len(r.lines) for r in collection.requests.values())} lines"
        )
        print(f"{first}: {len(plan.assigned)} filled")
        print(f"  optimum and reasons, libraries loaded on the way: {say(whole)}; memory at most {memory:.0f} MB")
        requests, waiting = open_requests(collection), waiting_quilts(collection.quilts.values())
        lines = tuple(line for request in requests for line in request.lines)
        case = case_of(requests, lines, JudgementTable.of(lines, waiting, TODAY), TODAY)
        ours = [timed(partial(best_places, *case)) for _ in range(rounds)]
        own = median(each.cpu for each, _ in ours), median(each.wall for each, _ in ours)
        print(f"  optimum alone, {len(case[2].quilt):,} pairs: {own[1]:.2f} s, {own[0]:.2f} s of processor time")
        if places >= TOO_LARGE_FOR_MILP:
            continue
        theirs = [timed(partial(worth_by_milp, *case)) for _ in range(rounds)]
        assert theirs[0][1] == worth(ours[0][1], *case), "the two solvers disagree"
        other = median(each.cpu for each, _ in theirs), median(each.wall for each, _ in theirs)
        print(f"  milp, aim by aim: {other[1]:.2f} s, {other[0]:.2f} s of processor time")
        print(f"  ratio: {own[1] / other[1]:.3f} by the clock, {own[0] / other[0]:.3f} by processor time")


class Took:
    """Seconds by the clock and of the processor."""

    def __init__(self, wall: float, cpu: float):
        self.wall, self.cpu = wall, cpu


def timed(work: Callable):
    wall, cpu = time.perf_counter(), time.process_time()
    result = work()
    return Took(time.perf_counter() - wall, time.process_time() - cpu), result


def say(took: Took) -> str:
    return f"{took.wall:.2f} s, {took.cpu:.2f} s of processor time"


def worth(plan: dict[int, int], lines: list[Line], requests: list[Request], pairs: Pairs) -> list[int | Fraction]:
    """What a plan comes to in each aim."""
    used = {
        pair: n
        for n, pair in enumerate(zip(pairs.quilt.tolist(), pairs.line.tolist(), strict=True))
        if plan.get(pair[0]) == pair[1]
    }
    steps = Fraction(0)
    for number, request in enumerate(requests):
        more = sum(lines[line].request == number for line in plan.values())
        steps += sum(Fraction(2 * k - 1, request.asked) for k in range(request.filled + 1, request.filled + more + 1))
    return [
        -sum(lines[line].must for line in plan.values()),
        -len(plan),
        sum(int(pairs.check_first[n]) for n in used.values()),
        steps,
        sum(int(pairs.misfit[n]) for n in used.values()),
        sum(plan),
    ]


def worth_by_milp(lines: list[Line], requests: list[Request], pairs: Pairs) -> list[int | Fraction]:
    """The best there is in each aim, by a solver that knows nothing of networks."""
    import numpy as np
    from scipy.optimize import Bounds, LinearConstraint, milp
    from scipy.sparse import csr_array, vstack

    quilt, line = np.asarray(pairs.quilt), np.asarray(pairs.line)
    count, quilts = len(quilt), int(quilt.max()) + 1
    steps = [(r, k) for r, each in enumerate(requests) for k in range(each.filled + 1, each.asked + 1)]
    values = [Fraction(2 * k - 1, requests[r].asked) for r, k in steps]
    rank = {value: number for number, value in enumerate(sorted(set(values)))}
    request_of = np.array([each.request for each in lines])[line]
    rows = np.concatenate(
        [
            quilt,
            quilts + line,
            quilts + len(lines) + request_of,
            quilts + len(lines) + np.array([r for r, _ in steps]),
        ]
    )
    columns = np.concatenate([np.tile(np.arange(count), 3), count + np.arange(len(steps))])
    entries = np.concatenate([np.ones(3 * count), -np.ones(len(steps))])
    matrix = csr_array((entries, (rows, columns)), shape=(quilts + len(lines) + len(requests), count + len(steps)))
    least = np.concatenate([np.full(quilts + len(lines), -np.inf), np.zeros(len(requests))])
    most = np.concatenate([np.ones(quilts), [each.places for each in lines], np.zeros(len(requests))])
    nothing = np.zeros(len(steps))
    must = np.array([each.must for each in lines], dtype=float)[line]
    aims = [
        np.concatenate([costs, nothing])
        for costs in (-must, -np.ones(count), np.asarray(pairs.check_first, dtype=float))
    ]
    aims.append(np.concatenate([np.zeros(count), [rank[value] for value in values]]))
    aims += [np.concatenate([np.asarray(costs, dtype=float), nothing]) for costs in (pairs.misfit, quilt)]
    found: list[int | Fraction] = []
    for aim in aims:
        answer = milp(
            aim,
            constraints=LinearConstraint(matrix, least, most),
            bounds=Bounds(0, 1),
            integrality=np.ones(len(aim)),
        )
        assert answer.success, answer.message
        matrix = vstack([matrix, csr_array(aim[None, :])])
        least, most = np.append(least, -np.inf), np.append(most, round(answer.fun))
        chosen = np.flatnonzero(np.rint(answer.x[count:]))
        found.append(sum((values[n] for n in chosen), Fraction(0)) if len(found) == 3 else round(answer.fun))
    return found


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 3)
