"""The integer program of a property's fertilizer: its figures, its rows, and a plan of it."""

from __future__ import annotations

import functools
import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    Floats = NDArray[np.float64]
    Flags = NDArray[np.bool_]
    #: An area, the worth of a pound of each product, and the least it then costs.
    Cut = tuple[int, Floats, float]
    from quietacre.solver import Options


#: A pound of unmet need costs the program this: above any price. [$] Ours.
SHORT_PENALTY = 1_000.0
#: A pound that saves nothing is still not spread. [$/lb] Ours.
POUND = 1e-6
#: A product counts as used on an area above this. [lb]
TRACE_LB = 1e-6
#: A plan this near the bound is the cheapest: prices are whole cents. [$]
CENT = 0.01
#: A step is not begun with less left than this. [s]
LEAST_SECONDS = 0.05
#: HiGHS gives infinity when it has no bound yet.
NO_BOUND = 1e20


@dataclass(frozen=True)
class Case:
    """The program in arrays: P areas, G products, M nutrients. [lb, $]

    ``least`` and ``most`` are pounds of nutrient by area (``most`` may be infinite);
    ``share`` the fraction of nutrient in a product; ``limit`` products an area may have.
    """

    share: Floats  # G × M
    least: Floats  # P × M
    most: Floats  # P × M
    limit: NDArray[np.int64]  # P
    price: Floats  # G, of a bag
    bag_lb: Floats  # G
    stock_lb: Floats  # G
    max_bags: Floats  # G, infinite when nobody said

    @functools.cached_property
    def cap_lb(self) -> Floats:
        """Return the most of each product that can serve each area. [lb]

        Not above what a nutrient's most allows, nor above what meets every need it carries.
        """
        carries = self.share[None, :, :] > 0
        with np.errstate(divide="ignore", invalid="ignore"):
            allowed = np.where(carries, self.most[:, None, :] / self.share, math.inf)
            serves = np.where(carries, self.least[:, None, :] / self.share, 0.0)
        out: Floats = np.minimum(allowed.min(axis=2), serves.max(axis=2))
        return out


@dataclass(frozen=True)
class Found:
    """A plan of the program: pounds by area and product, bags, and the bound below it."""

    pounds: Floats  # P × G
    bags: NDArray[np.int64]  # G
    short: Floats  # P × M
    objective: float
    bound: float
    late: bool = False  # the clock ended it

    @property
    def misses(self) -> bool:
        """Return whether a need stays short."""
        return float(self.short.sum()) > TRACE_LB

    def over(self, case: Case) -> NDArray[np.int64]:
        """Return the areas with more products than they may have."""
        many = (self.pounds > TRACE_LB).sum(axis=1) > case.limit
        out: NDArray[np.int64] = np.flatnonzero(many)
        return out


class Program:
    """The columns and rows of one solve, written down for HiGHS."""

    def __init__(
        self, case: Case, *, whole: bool, allowed: Flags, limited: NDArray[np.int64],
        cuts: Sequence[Cut],
    ) -> None:  # fmt: skip
        self.case = case
        p, g = allowed.shape
        m = case.share.shape[1]
        self.size = (p, g, m)
        cap = np.where(allowed, case.cap_lb, 0.0)
        need = case.least > 0
        self.cap = cap
        most_bags = np.ceil(cap.sum(axis=0) / case.bag_lb)
        bags_top = np.minimum(case.max_bags, most_bags)
        cost = [
            *case.price,
            *([POUND] * (p * g)),
            *np.where(need, SHORT_PENALTY, 0.0).ravel(),
        ]
        upper = [*bags_top, *cap.ravel(), *np.where(need, case.least, 0.0).ravel()]
        kinds = [whole] * g + [False] * (p * g + p * m)
        rows: list[tuple[list[int], list[float], float, float]] = []
        inf = math.inf
        for j in range(g):
            index = [j, *(g + i * g + j for i in range(p))]
            rows.append(([*index], [-case.bag_lb[j], *([1.0] * p)], -inf, case.stock_lb[j]))
        for i in range(p):
            for k in range(m):
                carried = np.flatnonzero((case.share[:, k] > 0) & (cap[i] > 0))
                index = [g + i * g + int(j) for j in carried]
                shares = [float(case.share[j, k]) for j in carried]
                if need[i, k]:
                    miss = g + p * g + i * m + k
                    rows.append(([*index, miss], [*shares, 1.0], case.least[i, k], inf))
                if index and case.most[i, k] < inf:
                    rows.append((index, shares, -inf, case.most[i, k]))
        for i, prices, value in cuts:
            index = [g + i * g + j for j in range(g)]
            misses = [g + p * g + i * m + k for k in range(m) if need[i, k]]
            coefficients = [*(prices + POUND), *([SHORT_PENALTY] * len(misses))]
            rows.append(([*index, *misses], coefficients, value, inf))
        self._choices(rows, cost, upper, kinds, limited)
        self.cost, self.upper, self.kinds, self.rows = cost, upper, kinds, rows
        self.limited, self.lower = limited, [0.0] * len(cost)
        self.late, self.steps = False, 0

    def _choices(
        self, rows: list[tuple[list[int], list[float], float, float]], cost: list[float],
        upper: list[float], kinds: list[bool], limited: NDArray[np.int64],
    ) -> None:  # fmt: skip
        """Add the yes-or-no columns, a product on an area, and how many may be yes."""
        g = self.size[1]
        inf = math.inf
        for i in limited:
            flags = []
            for j in range(g):
                flags.append(len(cost))
                cost.append(0.0)
                upper.append(1.0 if self.cap[i, j] > 0 else 0.0)
                kinds.append(True)
                pour = g + int(i) * g + j
                rows.append(([pour, flags[-1]], [1.0, -float(self.cap[i, j])], -inf, 0.0))
            rows.append((flags, [1.0] * g, -inf, float(self.case.limit[i])))

    def fix_bags(self, bags: NDArray[np.int64]) -> None:
        """Hold the bags at these counts."""
        g = self.size[1]
        self.lower[:g] = [float(count) for count in bags]
        self.upper[:g] = self.lower[:g]

    def start(self, plan: Found) -> list[float]:
        """Return a plan as values of the columns."""
        out = [*plan.bags.astype(float), *plan.pounds.ravel(), *plan.short.ravel()]
        for i in self.limited:
            out += [float(lb > TRACE_LB) for lb in plan.pounds[i]]
        return out

    def solve(
        self,
        seconds: float,
        dollars: float,
        start: Found | None = None,
        nodes: int | None = None,
        target: float | None = None,
    ) -> tuple[list[float], list[float], list[float], float, float]:
        """Return columns, duals of rows and of columns, objective and bound.

        No columns when no plan was found in time.
        """
        import highspy

        from quietacre.solver import cut_off

        mixed = any(self.kinds)
        options: dict[str, float] = {
            "time_limit": float(max(seconds, LEAST_SECONDS)),
            "mip_abs_gap": float(dollars),
        }
        if nodes is not None:
            options["mip_max_nodes"] = nodes
        if target is not None:
            options["objective_target"] = float(target)
        solver = self.loaded(options)
        if start is not None:
            solution = highspy.HighsSolution()
            solution.col_value = self.start(start)
            solver.setSolution(solution)
        solver.run()
        info = solver.getInfo()
        solution = solver.getSolution()
        values = list(solution.col_value) if info.primal_solution_status else []
        reached = float(info.objective_function_value)
        bound = float(info.mip_dual_bound) if mixed else reached
        if not abs(bound) < NO_BOUND:
            bound = 0.0
        self.late, self.steps = cut_off(solver), max(int(info.simplex_iteration_count), 0)
        return values, list(solution.row_dual), list(solution.col_dual), reached, bound

    def loaded(self, options: Options) -> Any:  # noqa: ANN401 - no types
        """Return the solver holding this program."""
        from quietacre.solver import loaded

        return loaded(self.cost, self.lower, self.upper, self.kinds, self.rows, options)

    def read(self, values: Sequence[float], objective: float, bound: float) -> Found:
        """Return the plan that column values stand for."""
        p, g, m = self.size
        array = np.maximum(np.array(values[: g + p * g + p * m]), 0.0)
        return Found(
            pounds=array[g : g + p * g].reshape(p, g),
            bags=np.rint(array[:g]).astype(np.int64),
            short=array[g + p * g :].reshape(p, m),
            objective=objective,
            bound=bound,
        )
