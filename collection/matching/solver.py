"""Finds the best assignment of quilts to places by ordered aims: exact and deterministic.

Quilts, lines and requests form a flow network: each quilt flows to at most one line, each line takes as many quilts as
it has places, and each request joins its lines. An aim is a linear program over that network; its vertices are
integral, so no quilt is ever split. The aims are solved in order, each among the plans that are optimal for all earlier
ones. Column generation keeps each program small: pairs are added only while their reduced cost is negative.

The solver computes in floats, so its answer is proved in integers: the rounded dual prices have to show that no plan is
better (`_Network._prove`).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import numpy

    Numbers = numpy.ndarray[Any, numpy.dtype[numpy.int64]]

PAIRS_OF_A_LINE = 6
"""How many pairs of a line are added at a time, besides two for each of its places."""

LARGEST_COST = 10**6
"""The largest cost whose sums over a network a float surely holds exactly."""


@dataclass(frozen=True, slots=True)
class Line:
    """A line with its open places. `request` is the index of its request."""

    places: int
    must: bool
    request: int


@dataclass(frozen=True, slots=True)
class Request:
    """How many quilts a request asked for, and how many it has."""

    asked: int
    filled: int


@dataclass(frozen=True, slots=True)
class Pairs:
    """Which quilts fit which lines, as four columns of equal length.

    Quilts are indexed from the longest waiting, lines by ID; `misfit` is 0 or more.
    """

    quilt: "Sequence[int] | Numbers"
    line: "Sequence[int] | Numbers"
    check_first: "Sequence[bool] | Numbers"
    misfit: "Sequence[int] | Numbers"


def best_places(lines: Sequence[Line], requests: Sequence[Request], pairs: Pairs) -> dict[int, int]:
    """The best plan: the line of each quilt that gets one, both as indexes.

    The aims, in this order: the most `must` places; the most places; the fewest quilts with something to check first;
    an even spread over requests (the least sum over requests of received² / asked); the least misfit; the longest
    waiting quilts. Remaining ties give earlier quilts to earlier lines.

    Raises ArithmeticError if the solver fails or its answer can't be proved.
    """
    open_lines = {
        index
        for index, line in enumerate(lines)
        if line.places and requests[line.request].filled < requests[line.request].asked
    }
    if open_lines.isdisjoint(pairs.line):
        return {}
    network = _Network(lines, requests, pairs)
    must = [line.must for line in lines]
    network.minimise(pairs=-network.of_lines(must))
    network.minimise(pairs=-network.ones)
    network.minimise(pairs=network.check_first)
    network.minimise(steps=network.unevenness)
    network.minimise(pairs=network.misfit)
    network.minimise(pairs=network.quilt)
    network.settle()
    return network.plan()


class _Network:
    """The network of one case, narrowed aim by aim to the plans that are optimal so far.

    Its rows are the quilts, the lines and the requests. Its columns are the pairs (those in `built` are in the
    program) and the steps: the k-th quilt that a request gets, up to the number it can get. `open` marks the pairs that
    an optimal plan may use.
    """

    def __init__(self, lines: Sequence[Line], requests: Sequence[Request], pairs: Pairs):
        import numpy as np

        self.np = np
        columns: list[Numbers] = [
            np.asarray(c, dtype=np.int64) for c in (pairs.quilt, pairs.line, pairs.check_first, pairs.misfit)
        ]
        in_order = np.lexsort((columns[1], columns[0]))
        self.quilt, self.line, self.check_first, self.misfit = (column[in_order] for column in columns)
        self.ones = np.ones(len(self.quilt), dtype=np.int64)
        places = np.array([line.places for line in lines], dtype=np.int64)
        quilts = int(self.quilt.max()) + 1
        first_line, first_request = quilts, quilts + len(lines)
        self.line_row = first_line + self.line
        self.request_row = first_request + self.of_lines([line.request for line in lines])
        reached = np.unique(np.stack([self.of_lines([line.request for line in lines]), self.quilt]), axis=1)[0]
        could_get = np.bincount(reached, minlength=len(requests)).tolist()
        steps = [
            (index, k)
            for index, (each, most) in enumerate(zip(requests, could_get, strict=True))
            for k in range(each.filled + 1, min(each.asked, each.filled + most) + 1)
        ]
        self.step_row = first_request + np.array([index for index, _ in steps], dtype=np.int64)
        self.unevenness = np.array(
            _ranks([Fraction(2 * k - 1, requests[index].asked) for index, k in steps]), dtype=np.int64
        )
        self.rows = first_request + len(requests)
        self.room = np.concatenate([np.ones(quilts, dtype=np.int64), places, np.zeros(len(requests), dtype=np.int64)])
        self.exact = np.arange(self.rows) >= first_request
        self.least = np.zeros(len(steps), dtype=np.int64)
        self.most = np.ones(len(steps), dtype=np.int64)
        self.open = np.ones(len(self.quilt), dtype=bool)
        self.wanted = 2 * places + PAIRS_OF_A_LINE
        self.shuffled = (self.quilt * 40_503 + self.line * 30_011) % 65_521
        everything = np.arange(len(self.quilt))
        self.built = np.union1d(
            self._first_of_each_line(everything, self.check_first, self.misfit, self.quilt),
            self._first_of_each_line(everything, self.shuffled),
        )
        self.used = np.zeros(0, dtype=np.int64)

    def of_lines(self, values: Sequence[int]) -> "Numbers":
        """For each pair, the value of its line."""
        return self.np.asarray(values, dtype=self.np.int64)[self.line]

    def minimise(self, *, pairs: "Numbers | None" = None, steps: "Numbers | None" = None) -> None:
        """Keep only the plans with the least total cost of used pairs and steps."""
        np = self.np
        pair_costs = pairs if pairs is not None else np.zeros(len(self.quilt), dtype=np.int64)
        step_costs = steps if steps is not None else np.zeros(len(self.step_row), dtype=np.int64)
        while True:
            flow, price = self._solve(pair_costs[self.built], step_costs)
            reduced = pair_costs - price[self.quilt] - price[self.line_row] - price[self.request_row]
            missing = np.setdiff1d(np.flatnonzero(self.open & (reduced < 0)), self.built)
            if not len(missing):
                break
            self.built = np.union1d(
                self.built, self._first_of_each_line(missing, reduced[missing], self.shuffled[missing])
            )
        reduced_steps = step_costs + price[self.step_row]
        self._prove(flow, price, pair_costs, step_costs, reduced, reduced_steps)
        self._narrow(price, reduced, reduced_steps)

    def settle(self) -> None:
        """Break the remaining ties: earlier quilts get earlier lines.

        First with one cost for all, the product of both ranks; then quilt by quilt.
        """
        np = self.np
        order = np.unique(self.quilt[self.used], return_inverse=True)[1]
        early = np.zeros(int(self.quilt.max()) + 1, dtype=np.int64)
        early[self.quilt[self.used]] = len(order) - order
        self.minimise(pairs=early[self.quilt] * self.line)
        while len(undecided := self._undecided()):
            costs = np.zeros(len(self.quilt), dtype=np.int64)
            weight = 1
            for quilt in undecided[::-1]:
                mine = np.flatnonzero(self.open & (self.quilt == quilt))
                costs[mine] = weight * np.arange(len(mine))
                weight *= len(mine)
            self.minimise(pairs=costs)
            # Each of these has the same line in all remaining plans, though prices may not rule out its others.
            decided = np.isin(self.quilt, undecided)
            decided[self.used] = False
            self.open &= ~decided
            self.built = self.built[self.open[self.built]]

    def plan(self) -> dict[int, int]:
        return dict(sorted(zip(self.quilt[self.used].tolist(), self.line[self.used].tolist(), strict=True)))

    def _undecided(self) -> "Numbers":
        """The first quilts that still have several lines, as many as one sum of costs can distinguish."""
        np = self.np
        quilts: Numbers
        quilts, counts = np.unique(self.quilt[self.open], return_counts=True)
        quilts, counts = quilts[counts > 1], counts[counts > 1]
        apart = np.cumprod(counts.astype(float)) <= LARGEST_COST
        return quilts[: max(1, int(apart.sum()))]

    def _first_of_each_line(self, pairs: "Numbers", *order: "Numbers") -> "Numbers":
        """The first few of the pairs of each line, in an order: `wanted` of them."""
        np = self.np
        ordered: Numbers = pairs[np.lexsort((*order[::-1], self.line[pairs]))]
        lines = self.line[ordered]
        place_in_line = np.arange(len(ordered)) - np.searchsorted(lines, lines)
        first: Numbers = np.sort(ordered[place_in_line < self.wanted[lines]])
        return first

    def _solve(self, pair_costs: "Numbers", step_costs: "Numbers") -> tuple["Numbers", "Numbers"]:
        """The flow through built pairs and steps, and the dual price of each row, rounded to integers."""
        from scipy.optimize import linprog
        from scipy.sparse import csr_array

        np = self.np
        built, pairs, steps = self.built, len(self.built), len(self.step_row)
        columns = np.concatenate([np.tile(np.arange(pairs), 3), pairs + np.arange(steps)])
        rows = np.concatenate([self.quilt[built], self.line_row[built], self.request_row[built], self.step_row])
        entries = np.concatenate([np.ones(3 * pairs), -np.ones(steps)])
        matrix = csr_array((entries, (rows, columns)), shape=(self.rows, pairs + steps))
        bounds = np.zeros((pairs + steps, 2))
        bounds[:pairs, 1] = np.inf
        bounds[pairs:, 0], bounds[pairs:, 1] = self.least, self.most
        answer = linprog(
            np.concatenate([pair_costs, step_costs]),
            A_ub=matrix[~self.exact],
            b_ub=self.room[~self.exact],
            A_eq=matrix[self.exact],
            b_eq=self.room[self.exact],
            bounds=bounds,
            method="highs-ds",
        )
        if answer.status != 0:
            raise ArithmeticError(f"the solver found no plan: {answer.message}")
        price = np.zeros(self.rows, dtype=np.int64)
        price[~self.exact] = np.rint(answer.ineqlin.marginals)
        price[self.exact] = np.rint(answer.eqlin.marginals)
        return np.rint(answer.x).astype(np.int64), price

    def _prove(
        self,
        flow: "Numbers",
        price: "Numbers",
        pair_costs: "Numbers",
        step_costs: "Numbers",
        reduced: "Numbers",
        reduced_steps: "Numbers",
    ) -> None:
        """Prove in integers that the flow is a plan and that no plan costs less; ArithmeticError if that fails.

        By duality of linear programs: the prices give a lower bound for the cost of any plan, and this plan meets it.
        """
        np = self.np
        pair_flow, step_flow = np.split(flow, [len(self.built)])
        load = np.zeros(self.rows, dtype=np.int64)
        for row in (self.quilt, self.line_row, self.request_row):
            np.add.at(load, row[self.built], pair_flow)
        np.subtract.at(load, self.step_row, step_flow)
        is_plan = (
            (flow >= 0).all()
            and (step_flow >= self.least).all()
            and (step_flow <= self.most).all()
            and (load <= self.room).all()
            and (load == self.room)[self.exact].all()
        )
        cost = int(pair_costs[self.built] @ pair_flow + step_costs @ step_flow)
        bound = int(
            price @ self.room + np.where(reduced_steps < 0, reduced_steps * self.most, reduced_steps * self.least).sum()
        )
        is_bound = (price[~self.exact] <= 0).all() and (reduced[self.open] >= 0).all()
        if not (is_plan and is_bound and cost == bound):
            raise ArithmeticError("the solver's answer could not be proved")
        self.used = self.built[pair_flow > 0]

    def _narrow(self, price: "Numbers", reduced: "Numbers", reduced_steps: "Numbers") -> None:
        """Keep only optimal plans (complementary slackness): reduced cost above 0: unused; row with a price: full."""
        np = self.np
        self.open &= reduced == 0
        self.built = self.built[reduced[self.built] == 0]
        self.most = np.where(reduced_steps > 0, self.least, self.most)
        self.least = np.where(reduced_steps < 0, self.most, self.least)
        self.exact |= price < 0


def _ranks(values: Sequence[Fraction]) -> list[int]:
    """The rank of each value; equal values share one.

    Ranks can replace the costs of steps: what the requests can get is the boundary of a flow, where a sum of convex
    costs is least exactly when no step can be exchanged for a cheaper one (Murota, Discrete Convex Analysis, 2003,
    theorem 6.26, from memory; checked by brute force in the tests).
    """
    order = {value: rank for rank, value in enumerate(sorted(set(values)))}
    return [order[value] for value in values]
