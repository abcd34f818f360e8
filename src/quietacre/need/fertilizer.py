"""Pounds of fertilizer: from a soil test's needs to whole bags at least cost.

Needs are on the oxide basis (N, P₂O₅, K₂O), as grades are written. One integer
program over the whole property picks pounds of each product for each area and whole
bags for the property: every need met within a stated shortfall, no nutrient above its
cap, at most so many products an area, at least cost.
"""

from __future__ import annotations

import dataclasses
import math
import re
import time
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from quietacre.errors import NeedProblem

if TYPE_CHECKING:
    from collections.abc import Container, Mapping, Sequence

    from quietacre.settings import Buying, NeedLbAc

NUTRIENTS = ("n", "p2o5", "k2o")
#: Virginia Tech, SPES-201, n.d.
P_TO_P2O5 = 2.2910
K_TO_K2O = 1.2051
#: ppm × 2 = lb/ac for a furrow slice. WVU (Rayburn), Progressive Forage, n.d.
PPM_TO_LB_AC = 2.0
#: Less than this of a product is the solver's rounding, not a dose. [lb]
LEAST_LB = 0.05
#: A product counts as used on an area above this. [lb]
TRACE_LB = 1e-6
#: A shortfall below this is the solver's tolerance. [lb]
LEAST_SHORT_LB = 1e-3
#: Plots × products up to which the last dollar is proved; above it, 0.1 % of the cost,
#: which is a bag or two of a large bill, and the gap that is left is stated. Ours.
FEW_CHOICES = 150
GAP_OF_MANY = 1e-3
PROVED_GAP = 1.1e-6
#: HiGHS gives infinity when it has no bound yet.
NO_BOUND = 1e20
#: HiGHS gives infinity when it proved no gap.
NO_GAP = 1e6
#: A runner-up is not begun with less left than this. [s]
LEAST_SECONDS = 0.2
#: All runners-up together; a plan further than this from proved best is not shown. Ours.
RUNNERS_SECONDS = 2.0
WORST_RUNNER_GAP = 0.02
#: Dollars that a pound of unmet need costs the plan: above any price. Ours.
SHORT_PENALTY = 1_000.0
#: Dollars a pound when a product has no price, so that pounds are kept low. Ours.
NO_PRICE = 0.4


@dataclass(frozen=True)
class Grade:
    """A product: its analysis as fractions, how it is sold, what is in the shed. [lb]"""

    grade: str
    n: float
    p2o5: float
    k2o: float
    bag_lb: float = 50.0
    price: float | None = None
    stock_lb: float = 0.0
    max_bags: int | None = None

    @property
    def fractions(self) -> tuple[float, float, float]:
        """Return N, P₂O₅ and K₂O as fractions."""
        return (self.n, self.p2o5, self.k2o)


def parse_grade(text: str) -> tuple[float, float, float]:
    """Return N, P₂O₅, K₂O fractions of a grade such as "13-13-13" or "21-0-0-24S".

    Raises
    ------
    NeedProblem
        It is not a grade.
    """
    match = re.fullmatch(
        r"(\d+(?:\.\d+)?)-(\d+(?:\.\d+)?)-(\d+(?:\.\d+)?)(?:-\d+\w*)?", text
    )
    if match is None:
        raise NeedProblem(
            f"“{text}” is not a grade", fix="write it as N-P-K, such as 13-13-13"
        )
    values = tuple(float(part) / 100.0 for part in match.groups())
    if sum(values) > 1.0:
        raise NeedProblem(f"“{text}” holds more than 100 %", fix="check the bag")
    return values[0], values[1], values[2]


def oxide_needs(need: NeedLbAc, *, ppm: bool = False) -> dict[str, float]:
    """Return needs as oxides. [lb/ac] Elemental P and K are converted.

    Raises
    ------
    NeedProblem
        One nutrient is given in both forms.
    """
    if (need.p is not None and need.p2o5 is not None) or (
        need.k is not None and need.k2o is not None
    ):
        raise NeedProblem(
            "a nutrient is given as element and as oxide", fix="give one of them"
        )
    scale = PPM_TO_LB_AC if ppm else 1.0
    return {
        "n": scale * (need.n or 0.0),
        "p2o5": scale * ((need.p2o5 or 0.0) + P_TO_P2O5 * (need.p or 0.0)),
        "k2o": scale * ((need.k2o or 0.0) + K_TO_K2O * (need.k or 0.0)),
    }


def product_lb_ac(nutrient_lb_ac: float, fraction: float) -> float:
    """Return pounds of product that carry a nutrient need. [lb/ac]

    Raises
    ------
    NeedProblem
        The product does not carry that nutrient.
    """
    if fraction <= 0.0:
        raise NeedProblem("this product carries none of it", fix="choose another grade")
    return nutrient_lb_ac / fraction


@dataclass(frozen=True)
class Plot:
    """An area to fertilize: acres and needs per acre on the oxide basis.

    ``none_of`` names nutrients that must not be spread at all, whatever the caps allow.
    """

    key: str
    acres: float
    need_lb_ac: Mapping[str, float]
    max_products: int | None = None
    none_of: frozenset[str] = frozenset()

    def most_lb_ac(self, nutrient: str, buying: Buying) -> float:
        """Return the most of a nutrient that may be spread here. [lb/ac]"""
        if nutrient in self.none_of:
            return 0.0
        return cap_lb_ac(self.need_lb_ac.get(nutrient, 0.0), buying)


@dataclass(frozen=True)
class Plan:
    """Pounds by (plot, grade), bags by grade, what stays short by (plot, nutrient). [lb]

    ``runners_up`` are the best plans that leave out a product the better ones use.
    ``gap`` is the relative distance from the best that is not ruled out.
    """

    pounds: Mapping[tuple[str, str], float]
    bags: Mapping[str, int]
    short_lb: Mapping[tuple[str, str], float]
    cost: float
    status: str
    gap: float
    runners_up: tuple[Plan, ...] = ()

    @property
    def proof(self) -> str:
        """Return in plain words how near the best the plan is known to be."""
        if self.status == "nothing to plan":
            return self.status
        if self.gap <= PROVED_GAP:
            return "proved cheapest"
        return f"no plan can be more than {100 * self.gap:.2g} % cheaper"

    @property
    def products(self) -> tuple[str, ...]:
        """Return the grades that are spread, in order."""
        return tuple(dict.fromkeys(grade for _, grade in self.pounds))


def cap_lb_ac(need: float, buying: Buying) -> float:
    """Return the most of a nutrient that may be spread. [lb/ac]"""
    return max(need * (1.0 + buying.over_pct / 100.0), need + buying.over_lb_ac)


def plan_fertilizer(
    plots: Sequence[Plot], grades: Sequence[Grade], buying: Buying, *, runners_up: int = 0
) -> Plan:
    """Return the cheapest whole-bag plan.

    Parameters
    ----------
    plots, grades : what needs feeding, and what can be bought.
    buying : tolerances, caps, products per area, seconds to think.
    runners_up : how many next-best plans to add; each does without at least one product
        of every plan before it. They share two seconds at most.

    Returns
    -------
    Plan
        ``gap`` is the proved relative distance from the best; 0 when optimal.

    Raises
    ------
    NeedProblem
        Two products carry the same grade, so that a plan could not tell them apart.
    """
    names = [g.grade for g in grades]
    twice = next((name for name in names if names.count(name) > 1), None)
    if twice is not None:
        raise NeedProblem(f"“{twice}” is listed twice", fix="list each grade once")
    if not plots or not grades:
        return Plan({}, {}, _all_short(plots), 0.0, "nothing to plan", 0.0)
    start = time.monotonic()
    best = _solve(plots, grades, buying, (), buying.seconds)
    others: list[Plan] = []
    spent = time.monotonic() - start
    if spent > buying.seconds / 2:  # a hard one: its runners-up would be harder still
        return best
    until = spent + RUNNERS_SECONDS
    while len(others) < runners_up:
        left = until - (time.monotonic() - start)
        without = [set(plan.products) for plan in (best, *others) if plan.products]
        if left < LEAST_SECONDS or not without:
            break
        other = _solve(plots, grades, buying, without, left)
        worse = sum(other.short_lb.values()) > sum(best.short_lb.values()) + LEAST_LB
        if not other.pounds or worse or other.gap > WORST_RUNNER_GAP:
            break  # no other choice of products meets the needs as well
        others.append(other)
    best, *others = sorted((best, *others), key=lambda plan: plan.cost)  # within the gap
    return dataclasses.replace(best, runners_up=tuple(others))


def _all_short(plots: Sequence[Plot]) -> dict[tuple[str, str], float]:
    return {
        (plot.key, nutrient): amount * plot.acres
        for plot in plots
        for nutrient, amount in plot.need_lb_ac.items()
        if amount > 0
    }


def why_short(plot: Plot, nutrient: str, grades: Sequence[Grade], buying: Buying) -> str:
    """Return why a plot's need for a nutrient cannot be met from the products listed.

    The plot is planned alone again with one limit lifted at a time.
    """
    k = NUTRIENTS.index(nutrient)
    carriers = [g for g in grades if g.fractions[k] > 0]
    if not carriers:
        return f"no product listed carries {nutrient.upper()}"

    def met(grades: Sequence[Grade], buying: Buying, plot: Plot) -> bool:
        plan = _solve([plot], grades, buying, (), buying.seconds)
        return (plot.key, nutrient) not in plan.short_lb

    free = [dataclasses.replace(g, max_bags=None) for g in grades]
    most = plot.max_products or buying.max_products
    if most < len(grades) and met(grades, buying, dataclasses.replace(
        plot, max_products=len(grades)
    )):  # fmt: skip
        return f"at most {most} product(s) may go on this ground"
    if any(g.max_bags is not None for g in carriers) and met(free, buying, plot):
        held = ", ".join(
            f"{g.grade} {g.max_bags}" for g in carriers if g.max_bags is not None
        )
        return f"the bags to be had run out ({held})"
    extra = sorted(
        {other.upper() for g in carriers for j, other in enumerate(NUTRIENTS)
         if j != k and g.fractions[j] > 0}
    )  # fmt: skip
    carried = ", ".join(g.grade for g in carriers)
    return (
        f"more of {carried} would put {' and '.join(extra)} above its cap"
        if extra
        else (f"the bags of {carried} left after the other ground are too few")
    )


@dataclass(frozen=True)
class _Found:
    """A plan, what it used where, what it costs the program, and the bound below it."""

    plan: Plan
    used_lb: Mapping[str, Mapping[str, float]]  # plot, grade; the traces too
    objective: float
    bound: float

    def over(self, plots: Sequence[Plot], buying: Buying) -> set[str]:
        """Return the plots with more products than they may have."""
        return {
            plot.key for plot in plots
            if len(self.used_lb[plot.key]) > (plot.max_products or buying.max_products)
        }  # fmt: skip

    def above(self, bound: float) -> float:
        """Return how far the plan may be above the best, as a share of its cost."""
        if self.objective <= 0:
            return 0.0
        if not math.isfinite(self.objective):
            return 1.0
        return min(max((self.objective - bound) / self.objective, 0.0), 1.0)


def _solve(
    plots: Sequence[Plot], grades: Sequence[Grade], buying: Buying,
    without: Sequence[Container[str]], seconds: float,
) -> Plan:  # fmt: skip
    """Solve with the limit of products an area only where it turns out to bind.

    Without its yes-or-no choices the program is far easier, and leaving limits out can
    only make a plan cheaper: its bound holds for all. If that plan breaks a limit, the
    areas that do keep their largest products only, which is quick and within the limit;
    when it is not within the gap of the bound, the choices are solved as such.
    """
    start = time.monotonic()

    def left(part: float) -> float:
        return max(part * (seconds - (time.monotonic() - start)), LEAST_SECONDS)

    enough = _gap_asked(plots, grades, without)
    free = _solve_once(plots, grades, buying, without, left(0.4))
    over = free.over(plots, buying)
    if not over:
        return free.plan
    bound, best = free.bound, free
    allowed: dict[str, Container[str]] = {}
    while over:
        for plot in plots:
            if plot.key in over:
                most = plot.max_products or buying.max_products
                pounds = best.used_lb[plot.key]
                allowed[plot.key] = sorted(pounds, key=lambda g: -pounds[g])[:most]
        best = _solve_once(plots, grades, buying, without, left(0.3), allowed=allowed)
        over = best.over(plots, buying)
    limited = set(allowed)
    while best.above(bound) > enough and left(1.0) > LEAST_SECONDS:
        tried = _solve_once(plots, grades, buying, without, left(0.6), limited=limited)
        bound = max(bound, tried.bound)
        over = tried.over(plots, buying)
        if not over:
            best = min(best, tried, key=lambda found: found.objective)
            break
        limited |= over
    gap = best.above(bound)
    status = "optimal" if gap <= max(enough, PROVED_GAP) else "time limit reached"
    return dataclasses.replace(best.plan, gap=gap, status=status)


def _gap_asked(
    plots: Sequence[Plot], grades: Sequence[Grade], without: Sequence[Container[str]]
) -> float:
    few = len(plots) * len(grades) <= FEW_CHOICES and not without
    return 1e-6 if few else GAP_OF_MANY


def _solve_once(  # noqa: PLR0915 - one program, written down in order
    plots: Sequence[Plot], grades: Sequence[Grade], buying: Buying,
    without: Sequence[Container[str]], seconds: float, *,
    limited: Container[str] = (), allowed: Mapping[str, Container[str]] | None = None,
) -> _Found:  # fmt: skip
    """Return a plan that limits the products of some plots, or allows them only some."""
    import highspy

    from quietacre.solver import quiet_stdout

    with quiet_stdout():  # the solver greets on the terminal when it is made
        solver = highspy.Highs()  # type: ignore[no-untyped-call]
    solver.setOptionValue("output_flag", False)
    solver.setOptionValue("threads", 1)
    solver.setOptionValue("random_seed", 1)
    solver.setOptionValue("time_limit", float(seconds))
    # half the gap here, so that two rounds together stay within it
    solver.setOptionValue("mip_rel_gap", _gap_asked(plots, grades, without) / 2)
    bags, pounds, short = {}, {}, {}
    chosen = {g.grade: solver.addBinary() for g in grades} if without else {}
    for seen in without:
        solver.addConstr(
            sum(chosen[g.grade] for g in grades if g.grade in seen)
            <= sum(g.grade in seen for g in grades) - 1
        )
    for g in grades:
        price = NO_PRICE * g.bag_lb if g.price is None else g.price
        most = float(g.max_bags) if g.max_bags is not None else 1e5
        bags[g.grade] = solver.addIntegral(lb=0.0, ub=most, obj=price)
    for plot in plots:
        most_lb = {
            g.grade: min(
                (plot.most_lb_ac(k, buying) * plot.acres / share
                 for k, share in zip(NUTRIENTS, g.fractions, strict=True) if share > 0),
                default=0.0,
            )
            if allowed is None or plot.key not in allowed or g.grade in allowed[plot.key]
            else 0.0
            for g in grades
        }  # fmt: skip
        used = []
        for g in grades:
            pour = solver.addVariable(lb=0.0, ub=most_lb[g.grade], obj=1e-4)
            pounds[plot.key, g.grade] = pour
            if without:
                solver.addConstr(pour <= most_lb[g.grade] * chosen[g.grade])
            if plot.key in limited:
                flag = solver.addBinary()
                used.append(flag)
                solver.addConstr(pour <= most_lb[g.grade] * flag)
        if used:
            solver.addConstr(sum(used) <= (plot.max_products or buying.max_products))
        for k, nutrient in enumerate(NUTRIENTS):
            need = plot.need_lb_ac.get(nutrient, 0.0)
            carried = sum(
                g.fractions[k] * pounds[plot.key, g.grade]
                for g in grades
                if g.fractions[k] > 0
            )
            if isinstance(carried, int):  # no product carries it
                if need > 0:
                    short[plot.key, nutrient] = need * plot.acres
                continue
            miss = solver.addVariable(lb=0.0, ub=1e9, obj=SHORT_PENALTY)
            short[plot.key, nutrient] = miss
            least = need * (1.0 - buying.short_pct / 100.0) * plot.acres
            solver.addConstr(carried + miss >= least)
            solver.addConstr(carried <= plot.most_lb_ac(nutrient, buying) * plot.acres)
    for g in grades:
        taken = sum(pounds[plot.key, g.grade] for plot in plots)
        solver.addConstr(taken <= g.bag_lb * bags[g.grade] + g.stock_lb)
    solver.run()
    values = solver.getSolution().col_value
    if not len(values):  # out of time before any plan: nothing is spread, all stays short
        nothing: dict[str, dict[str, float]] = {plot.key: {} for plot in plots}
        plan = Plan({}, {}, _all_short(plots), 0.0, "time limit reached", 1.0)
        return _Found(plan, nothing, math.inf, 0.0)

    def value(var: Any) -> float:  # noqa: ANN401 - highspy's variable
        return float(var) if isinstance(var, float) else float(values[var.index])

    info = solver.getInfo()
    used_lb = {
        plot.key: {
            g.grade: lb for g in grades
            if (lb := value(pounds[plot.key, g.grade])) > TRACE_LB
        }
        for plot in plots
    }  # fmt: skip
    counted = {g.grade: round(value(bags[g.grade])) for g in grades}
    whole = {grade: count for grade, count in counted.items() if count}
    plan = Plan(
        pounds={key: value(var) for key, var in pounds.items() if value(var) > LEAST_LB},
        bags=whole,
        short_lb={
            key: value(var) for key, var in short.items() if value(var) > LEAST_SHORT_LB
        },
        cost=sum((g.price or 0.0) * whole.get(g.grade, 0) for g in grades),
        status=solver.modelStatusToString(solver.getModelStatus()).lower(),
        gap=max(float(info.mip_gap), 0.0) if info.mip_gap < NO_GAP else 1.0,
    )
    bound = max(float(info.mip_dual_bound), 0.0)
    reached = float(info.objective_function_value)
    return _Found(plan, used_lb, reached, bound if bound < NO_BOUND else 0.0)
