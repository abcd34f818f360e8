"""Whole bags at least cost: the integer program of a property's fertilizer.

One program over the whole property: pounds of each product on each area, whole bags for
all of them. What is hard is that only so many products may go on an area, so it is
solved in steps, each of which leaves a bound below the cheapest plan there can be:

1. without whole bags and without that limit, for what a pound of each product is worth;
2. where the limit binds, the least that an area can cost at those worths *within* it is
   found by going through the corners of its program, and written down as a row that
   every allowed plan keeps;
3. with whole bags and those rows, still without yes-or-no choices;
4. bags near those of step 3 are tried, products dropped where too many stand (``swaps``);
5. where that is not near enough to the bound, the choices are solved as such for a few
   areas at a time, the others keeping the products they have.

Every step ends at a count of what was tried, so that the same property gives the same plan
on any machine. The clock ends it only as a last resort, and the plan then says so.
"""

from __future__ import annotations

import dataclasses
import math
import time
from typing import TYPE_CHECKING

import numpy as np

from quietacre.need.corners import SLACK, Corners, cheapest_on, corners_of
from quietacre.need.program import (
    CENT,
    LEAST_SECONDS,
    POUND,
    SHORT_PENALTY,
    TRACE_LB,
    Case,
    Found,
    Program,
)
from quietacre.need.swaps import Swaps
from quietacre.solver import dot

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from numpy.typing import NDArray

    from quietacre.need.program import Cut, Flags, Floats


#: Areas × products up to which the cheapest is looked for until it is proved; above it
#: 0.1 % of the cost, a bag of a large bill, is near enough. Ours.
FEW_CHOICES = 150
GAP_OF_MANY = 1e-3
#: Where each search stops: of all choices of few areas, of whole bags, of some areas'
#: choices. [branches] Ours.
MOST_NODES_FEW = 2_000
MOST_NODES_QUICK = 300
MOST_NODES_WHOLE = 500
MOST_NODES = 50
#: Up to so many areas × products the whole bags are solved to the last step of price. Ours.
MANY_CHOICES = 1_500
#: Programs solved with bags near the best, at most; for a runner-up. Ours.
MOST_TRIES = 2_000
MOST_TRIES_QUICK = 600
#: Rounds of steps 1 and 2, and for a first look; later ones bring little. Ours.
ROUNDS = 8
ROUNDS_QUICK = 2
#: More areas than this are not opened at once. Ours.
MANY_OVER = 12
#: Areas are opened again in so many groups of so many at most, the largest needs first,
#: up to so many areas × products; so many times, until so many steps of the simplex method
#: are done. Ours.
GROUPS = 6
MOST_OPEN = 10
MOST_CHOICES_MENDED = 4_000
MEND_ROUNDS = 3
MOST_STEPS_MENDING = 30_000


class _Search:
    """The steps of one search: what is known so far.

    ``seconds`` are the last resort; they are what this process worked.
    """

    def __init__(self, case: Case, seconds: float) -> None:
        self.case = case
        self.until, self.late, self.steps = time.process_time() + seconds, False, 0
        self.shape = (len(case.limit), len(case.price))
        self.free = np.ones(self.shape, dtype=bool)
        self.corners = corners_of(case)
        self.cuts: list[Cut] = []
        self.worth = np.zeros(self.shape[1])
        self.extra = np.zeros(self.shape)  # dollars a pound that a product would cost more
        self.floor, self.cost = 0.0, CENT
        self.best = _nothing(case, 0.0)
        self.few = self.shape[0] * self.shape[1] <= FEW_CHOICES

    def left(self) -> float:
        """Return the seconds that are left; say so when there are none."""
        seconds = self.until - time.process_time()
        self.late = self.late or seconds < LEAST_SECONDS
        return seconds

    @property
    def near(self) -> float:
        """Return the dollars within which a plan is near enough to the bound."""
        if not self.few:
            return GAP_OF_MANY * self.cost
        return CENT / 2 if self.best.misses else self.step_dollars()

    def step_dollars(self) -> float:
        """Return the least by which a plan that meets the needs can be cheaper. [$]

        Bags cost whole cents, often whole half dollars: plans lie that far apart. What is
        kept for the pounds, which count a little, is taken off.
        """
        cents = [round(100 * float(price)) for price in self.case.price]
        exact = all(
            abs(c - 100 * p) < SLACK for c, p in zip(cents, self.case.price, strict=True)
        )
        grain = math.gcd(*cents) / 100.0 if exact else 0.0
        pounds = float(self.case.cap_lb.max(axis=1).sum() * min(self.case.limit.max(), 3))
        return max(grain - POUND * pounds - CENT, CENT)

    def done(self) -> bool:
        """Return whether the plan is near enough, or the time is up."""
        return self.best.objective - self.floor <= self.near or self.left() < LEAST_SECONDS

    def loosen(self, rounds: int = ROUNDS) -> Found | None:
        """Solve without whole bags; learn the worths and the rows of limited areas."""
        loose = None
        for _ in range(rounds):
            program = self._program(whole=False)
            values, duals, extra, reached, bound = program.solve(self.left(), CENT / 2)
            if not values:
                break
            g = self.shape[1]
            loose = program.read(values, reached, bound)
            self.floor = max(self.floor, bound)
            self.cost = max(float(dot(self.case.price, values[:g])), CENT)
            if duals:
                self.worth = np.maximum(-np.array(duals[:g]), 0.0)
                self.extra = np.array(extra[g : g + self.free.size]).reshape(self.shape)
            new = _cuts(self.case, self.corners, self.worth, loose)
            self.cuts += new
            if not new or self.left() < LEAST_SECONDS:
                break
        return loose

    def _program(
        self, *, whole: bool, allowed: Flags | None = None,
        limited: NDArray[np.int64] | None = None,
    ) -> Program:  # fmt: skip
        none = np.zeros(0, dtype=np.int64)
        return Program(
            self.case, whole=whole, allowed=self.free if allowed is None else allowed,
            limited=none if limited is None else limited, cuts=self.cuts,
        )  # fmt: skip

    def step(
        self, *, allowed: Flags | None = None, limited: NDArray[np.int64] | None = None,
        start: Found | None = None, nodes: int = MOST_NODES, near: float | None = None,
    ) -> Found:  # fmt: skip
        """Solve with whole bags, keep what is better, raise the bound where it holds."""
        program = self._program(whole=True, allowed=allowed, limited=limited)
        if near is None:
            near = self.near if self.few else self.near / 4
        values, _, _, reached, bound = program.solve(
            self.left(), near, start, nodes,
            self.floor + self.near if limited is not None else None,
        )  # fmt: skip
        self.late, self.steps = self.late or program.late, self.steps + program.steps
        plan = (
            program.read(values, reached, bound) if values else _nothing(self.case, bound)
        )
        if allowed is None:
            self.floor = max(self.floor, plan.bound)
        if not len(plan.over(self.case)) and plan.objective < self.best.objective:
            self.best = plan
        return plan

    def each_alone(self) -> Found | None:
        """Feed every area as is cheapest for it at the worths, and round the bags up."""
        case = self.case
        pounds = np.zeros(self.shape)
        for i in range(self.shape[0]):
            best = cheapest_on(case, self.corners, self.worth, i)
            if best is None:
                return None
            pounds[i] = best[1]
        taken = np.maximum(pounds.sum(axis=0) - case.stock_lb, 0.0)
        bags = np.ceil(taken / case.bag_lb - SLACK)
        if (bags > case.max_bags).any():
            return None
        given = (pounds[:, :, None] * case.share).sum(axis=1)
        short = np.maximum(case.least - given, 0.0)
        spent = float(
            dot(case.price, bags) + POUND * pounds.sum() + SHORT_PENALTY * short.sum()
        )
        plan = Found(pounds, bags.astype(np.int64), short, spent, self.floor)
        if plan.objective < self.best.objective and not len(plan.over(case)):
            self.best = plan
        return plan

    def result(self) -> Found:
        """Return the best plan with the bound that holds for all plans."""
        best = dataclasses.replace(self._least_pounds(self.best), late=self.late)
        if best.objective - self.floor <= self.step_dollars() and not best.misses:
            return dataclasses.replace(best, bound=best.objective)  # none lies between
        return dataclasses.replace(best, bound=min(self.floor, best.objective))

    def _least_pounds(self, plan: Found) -> Found:
        """Spread no more than the needs ask, with the bags and products of a plan."""
        used = plan.pounds > TRACE_LB
        if not used.any():
            return plan
        program = self._program(whole=False, allowed=used)
        program.fix_bags(plan.bags)
        values, _, _, reached, _ = program.solve(max(self.left(), 1.0), CENT)
        if not values or reached > plan.objective:
            return plan
        return dataclasses.replace(
            program.read(values, reached, plan.bound), bags=plan.bags, objective=reached
        )

    def swap(self, start: NDArray[np.int64], tries: int) -> None:
        """Look for a better plan with bags near ``start``."""
        swaps = Swaps(self._program(whole=False), tries, self.left)
        self.best = swaps.better(start, self.best, self.floor + self.near)
        self.late = self.late or swaps.late

    def settle(
        self, plan: Found, open_areas: NDArray[np.int64], near: float | None = None
    ) -> Found:
        """Solve with every area but the open ones held to products it has or could have."""
        allowed = self.free.copy()
        for i in range(self.shape[0]):
            if i not in open_areas:
                allowed[i] = False
                allowed[i, self._held(plan, i)] = True
        start = plan if not len(plan.over(self.case)) and plan is self.best else None
        return self.step(allowed=allowed, limited=open_areas, start=start, near=near)

    def _held(self, plan: Found, i: int) -> list[int]:
        """Return the products an area has, filled up by those that would cost least more."""
        most = int(self.case.limit[i])
        used = sorted(
            np.flatnonzero(plan.pounds[i] > TRACE_LB), key=lambda j: -plan.pounds[i, j]
        )
        more = [j for j in np.argsort(self.extra[i], kind="stable") if j not in used]
        useful = [j for j in more if self.case.cap_lb[i, j] > 0]
        return [int(j) for j in (*used, *useful)][:most]


def cheapest(case: Case, seconds: float, *, quick: bool = False) -> Found:
    """Return the cheapest plan found, and the bound below which there is none.

    Parameters
    ----------
    case : the property in arrays.
    seconds : to think at most, as a last resort; the steps end long before.
    quick : stop at the first good plan of a large property.
    """
    search = _Search(case, seconds)
    loose = search.loosen()
    alone = search.each_alone()
    exact = not quick and search.free.size <= MANY_CHOICES
    whole = search.step(
        nodes=MOST_NODES_WHOLE if exact else MOST_NODES,
        near=search.step_dollars() if exact else search.near / 4,
    )
    if not search.done() and not search.cuts:
        search.swap(whole.bags, MOST_TRIES_QUICK if quick else MOST_TRIES)
    useful = (case.cap_lb > 0).sum(axis=1)
    if search.few:
        if not search.done():
            limited = np.flatnonzero(case.limit < useful)
            nodes = MOST_NODES_QUICK if quick else MOST_NODES_FEW
            search.step(limited=limited, start=search.best, nodes=nodes)
    elif not search.done():
        near = search.near if quick else None
        _open_some(search, (loose if alone is None else alone, whole), near)
        if not quick and search.free.size <= MOST_CHOICES_MENDED:
            _mend(search)
    return search.result()


def _open_some(search: _Search, plans: Sequence[Found | None], near: float | None) -> None:
    """Solve the choices of areas with too many products, the others held."""
    for plan in plans:
        if plan is None or search.done():
            continue
        over = plan.over(search.case)
        if len(over) <= MANY_OVER:
            search.settle(plan, over, near)


def floor_of(case: Case) -> float:
    """Return a bound below which no plan can cost, soon. [$]"""
    search = _Search(case, math.inf)
    search.loosen(ROUNDS_QUICK)
    return search.floor


def _mend(search: _Search) -> None:
    """Open a few areas at a time, hold the others, as long as that makes it cheaper."""
    areas = np.argsort(-search.case.least.sum(axis=1), kind="stable")
    most = search.steps + MOST_STEPS_MENDING
    for _ in range(MEND_ROUNDS):
        before = search.best.objective
        for at in range(GROUPS):
            if search.steps > most or search.done():
                return
            search.settle(search.best, np.sort(areas[at::GROUPS][:MOST_OPEN]))
        if search.best.objective > before - search.near / 10:
            return


def _nothing(case: Case, bound: float) -> Found:
    """Return the plan that spreads nothing: all stays short."""
    p, g = len(case.limit), len(case.price)
    return Found(
        np.zeros((p, g)), np.zeros(g, dtype=np.int64), case.least.copy(), math.inf, bound
    )


def _cuts(
    case: Case, corners: Mapping[int, Corners], prices: Floats, loose: Found
) -> list[Cut]:
    """Return what each area costs at least at these worths, where the plan is below it."""
    out = []
    m = case.share.shape[1]
    for i in range(len(case.limit)):
        if case.limit[i] >= m:  # a corner never holds more: such an area gains nothing
            continue
        plan = cheapest_on(case, corners, prices, i)
        if plan is None:
            continue
        has = float(
            dot(loose.pounds[i], prices + POUND) + SHORT_PENALTY * loose.short[i].sum()
        )
        if plan[0] > has + CENT / 10:
            out.append((i, prices.copy(), plan[0]))
    return out
