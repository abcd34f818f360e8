"""Whole bags near those of a plan: bags swapped for others, products dropped one by one.

With the bags given, what goes where is a plain linear program, solved in a moment from
the one before. Where too many products stand on an area, the least of them is taken off
that area as long as that costs nothing; when that ends with every limit kept, it is a
plan. Bags are gone through from the cheapest; those that the worths of an earlier try
show to be too few, or too dear, are passed over without one.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from quietacre.need.program import CENT, TRACE_LB
from quietacre.solver import dot

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from quietacre.need.program import Case, Floats, Found, Program

    Counts = np.ndarray[Any, np.dtype[np.int64]]

#: Programs solved times their columns, so that the largest property does not take much
#: longer than one of sixty areas. Ours.
MOST_WORK = 2_000_000
LEAST_TRIES = 400
#: Programs solved to make one plan keep its limits. Ours.
MOST_OF_ONE = 200
#: Products looked at before an area with too many is given up. Ours.
MOST_DROPS = 6
#: Swaps made on top of one another, and choices of bags looked at in all. Ours.
SWAPS = 2
MOST_CHOICES = 200_000


class Swaps:
    """One search: the program without whole bags, kept in the solver between tries."""

    def __init__(
        self, program: Program, tries: int, seconds_left: Callable[[], float]
    ) -> None:
        self.program, self.case = program, program.case
        self.size = program.size
        self.solver = program.loaded({})
        # what is least poured: of what an area can take, by weight, by price
        cap = self.case.cap_lb
        a_pound: Floats = np.maximum(self.case.price / self.case.bag_lb, CENT / 100)
        self.ranks: list[Floats] = [cap, np.ones_like(cap), np.ones_like(cap) / a_pound]
        self.seconds_left = seconds_left
        self.tries = min(tries, max(LEAST_TRIES, MOST_WORK // len(program.cost)))
        self.late = False

    def better(self, start: Counts, best: Found, near: float) -> Found:
        """Return the cheapest plan found with bags near ``start``, or ``best`` itself.

        ``near`` is what a plan may cost to be near enough: bags more of everything in
        use, as many as that allows, are tried first.
        """
        case = self.case
        top = np.array(self.program.upper[: self.size[1]])
        used = (start > 0).astype(np.int64)
        more = int(
            (near - CENT - dot(start, case.price)) / max(float(dot(used, case.price)), CENT)
        )
        if more > 0:
            full = np.minimum(start + more * used, top).astype(np.int64)
            best = self._try(full, best)[2]
            if best.objective <= near:
                return best
        moves = _moves(case)
        cuts: list[tuple[Floats, float]] = []
        plans = start[None, :]
        for _ in range(SWAPS):
            if len(plans) * len(moves) > MOST_CHOICES:
                break
            plans = np.unique((plans[:, None, :] + moves).reshape(-1, len(top)), axis=0)
            plans = plans[((plans >= 0) & (plans <= top)).all(axis=1)]
            least = dot(plans, case.price)
            for prices, value in cuts:
                least = np.maximum(least, dot(plans, prices) + value)
            order = np.lexsort((*plans.T, least))
            plans, least = plans[order], least[order]
            for at in range(len(plans)):
                if least[at] > best.objective - CENT:
                    continue
                if self._over_now():
                    return best
                prices, value, best = self._try(plans[at], best)
                cuts.append((prices, value))
                least = np.maximum(least, dot(plans, prices) + value)
        return best

    def _try(self, bags: Counts, best: Found) -> tuple[Floats, float, Found]:
        """Solve with these bags; return a bound below all bags, linear in them, and the best.

        The bound is what a bag more or less of each is worth, and what nothing costs.
        """
        columns, fixed = np.arange(len(bags), dtype=np.int32), bags.astype(float)
        self.solver.changeColsBounds(len(columns), columns, fixed, fixed)
        pounds, reached = self._run()
        prices = np.array(self.solver.getSolution().col_dual[: len(bags)])
        if reached <= best.objective - CENT:
            best = self._limited(pounds, reached, best)
        return prices, reached - float(dot(prices, fixed)), best

    def _over_now(self) -> bool:
        self.late = self.late or self.seconds_left() <= 0
        return self.late or self.tries <= 0

    def _run(self) -> tuple[Floats, float]:
        """Solve; return the pounds by area and product, and what it costs."""
        p, g, _ = self.size
        self.tries -= 1
        self.solver.run()
        values = np.array(self.solver.getSolution().col_value)
        reached = float(self.solver.getInfo().objective_function_value)
        return values[g : g + p * g].reshape(p, g), reached

    def _limited(self, pounds: Floats, reached: float, best: Found) -> Found:
        """Return the plan with these bags that keeps every limit, or ``best``."""
        for rank in self.ranks:
            closed: list[int] = []
            now, cost = pounds, reached
            for _ in range(MOST_OF_ONE):
                dropped = self._drop(now, cost, rank)
                if dropped is None:
                    break
                now, cost, column = dropped
                closed.append(column)
            if not len(_over(self.case, now)):
                info = self.solver.getInfo()
                values = list(self.solver.getSolution().col_value)
                best = self.program.read(
                    values, float(info.objective_function_value), best.bound
                )
            for column in closed:
                self._bound(column, self.program.upper[column])
            if best.objective <= reached + CENT or self._over_now():
                break
        return best

    def _drop(
        self, pounds: Floats, reached: float, rank: Floats
    ) -> tuple[Floats, float, int] | None:
        """Take one product off an area that has too many, where that costs nothing."""
        for column in self._least(pounds, rank):
            if self.tries <= 0:
                return None
            self._bound(column, 0.0)
            now, cost = self._run()
            if cost <= reached + CENT / MOST_OF_ONE:
                return now, cost, column
            self._bound(column, self.program.upper[column])
        return None

    def _least(self, pounds: Floats, rank: Floats) -> Iterator[int]:
        """Yield the columns of what is least poured where there are too many products."""
        g = self.size[1]
        fitting = [
            (pounds[i, j] / max(rank[i, j], TRACE_LB), int(i), int(j))
            for i in _over(self.case, pounds)
            for j in np.flatnonzero(pounds[i] > TRACE_LB)
        ]
        for _, i, j in sorted(fitting)[:MOST_DROPS]:
            yield g + i * g + j

    def _bound(self, column: int, upper: float) -> None:
        self.solver.changeColBounds(column, 0.0, float(upper))


def _over(case: Case, pounds: Floats) -> Counts:
    out: Counts = np.flatnonzero((pounds > TRACE_LB).sum(axis=1) > case.limit)
    return out


def _moves(case: Case) -> Counts:
    """Return nothing, a bag more of a product, and that for a bag less of another."""
    one = np.eye(len(case.price), dtype=np.int64)
    swaps = (one[:, None, :] - one[None, :, :]).reshape(-1, len(case.price))
    return np.unique(np.concatenate([one, swaps]), axis=0)
