"""Pounds of fertilizer: from a soil test's needs to whole bags at least cost.

Needs are on the oxide basis (N, P₂O₅, K₂O), as grades are written, and sulfur as the
element. One integer program over the whole property (``need.bags``) picks pounds of each
product for each area and whole bags for the property: every need met within a stated
shortfall, no nutrient above its cap, at most so many products an area, at least cost.
"""

from __future__ import annotations

import dataclasses
import math
import time
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from quietacre.errors import NeedProblem
from quietacre.need import bags, program
from quietacre.need.grade import CRUMB_SHARE, NUTRIENTS, assumed_prices, grades_with
from quietacre.words import box_and_line

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from quietacre.need.grade import Grade
    from quietacre.settings import Buying

#: Less than this of a product is the solver's rounding, not a dose. [lb]
LEAST_LB = 0.05
#: A shortfall below this is the solver's tolerance. [lb]
LEAST_SHORT_LB = 1e-3
#: A runner-up further than this from proved best is not shown. Ours.
WORST_RUNNER_GAP = 0.02
#: What a plan says that the clock ended.
LATE = "the clock ended the search, so that another machine may find another plan"


@dataclass(frozen=True)
class Plot:
    """An area to fertilize: acres and needs per acre on the oxide basis.

    ``none_of`` names nutrients that must not be spread at all, whatever the caps allow;
    ``given_lb_ac`` is what was spread already, which counts for needs and for caps.
    """

    key: str
    acres: float
    need_lb_ac: Mapping[str, float]
    max_products: int | None = None
    none_of: frozenset[str] = frozenset()
    given_lb_ac: Mapping[str, float] = dataclasses.field(default_factory=dict)

    def left_lb_ac(self, nutrient: str, short_pct: float = 0.0) -> float:
        """Return what is still to be spread of a nutrient. [lb/ac]

        A need that may stay ``short_pct`` short is met by so much less. Crumbs, under
        ``CRUMB_SHARE`` of the need, are nothing once some of it was spread.
        """
        need = self.need_lb_ac.get(nutrient, 0.0)
        given = self.given_lb_ac.get(nutrient, 0.0)
        left = need * (1.0 - short_pct / 100.0) - given
        return max(left, 0.0) if given <= 0 or left >= CRUMB_SHARE * need else 0.0

    @property
    def asks_more(self) -> bool:
        """Return whether anything is still to be spread."""
        return any(self.left_lb_ac(nutrient) > 0 for nutrient in self.need_lb_ac)

    def most_lb_ac(self, nutrient: str, buying: Buying) -> float:
        """Return the most of a nutrient that may still be spread here. [lb/ac]"""
        if nutrient in self.none_of:
            return 0.0
        if nutrient == "s" and not self.need_lb_ac.get("s"):
            return math.inf  # nobody asked, so what a product brings of it is no fault
        most = cap_lb_ac(self.need_lb_ac.get(nutrient, 0.0), buying)
        return max(most - self.given_lb_ac.get(nutrient, 0.0), 0.0)


@dataclass(frozen=True)
class Plan:
    """Pounds by (plot, grade), bags by grade, what stays short by (plot, nutrient). [lb]

    ``runners_up`` are the best plans that leave out a product the better ones use.
    ``gap`` is the relative distance from the best that is not ruled out; ``late`` is
    whether the clock ended the search for it or for its runners-up, so that another
    machine may print another plan. ``cost`` is of what has a price; ``weighed`` counts
    what is assumed of the rest too, by grade in ``assumed``. [$]
    """

    pounds: Mapping[tuple[str, str], float]
    bags: Mapping[str, int]
    short_lb: Mapping[tuple[str, str], float]
    cost: float
    status: str
    gap: float
    runners_up: tuple[Plan, ...] = ()
    late: bool = False
    weighed: float = 0.0
    assumed: Mapping[str, float] = dataclasses.field(default_factory=dict)

    @property
    def unpriced(self) -> tuple[str, ...]:
        """Return the grades it buys that have no price, so that ``cost`` lacks them."""
        return tuple(grade for grade in self.assumed if self.bags.get(grade))

    @property
    def proof(self) -> str:
        """Return in plain words how near the best the plan is known to be."""
        if self.status == "nothing to plan":
            return self.status
        if self.assumed:
            each = ", ".join(f"{g} as ${p:,.2f} a bag" for g, p in self.assumed.items())
            return f"which is cheapest cannot be said: without a price, {each} was assumed"
        near = (
            "proved cheapest"
            if self.gap <= 0.0
            else f"no plan can be more than {100 * self.gap:.2g} % cheaper"
        )
        return f"{near}; {LATE}" if self.late else near

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
    buying : tolerances, caps, products per area, seconds as the last resort.
    runners_up : how many next-best plans to add; each does without at least one product
        of every plan before it. No more are looked for when the seconds are over.

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
    assumed = assumed_prices(grades)
    grades = [dataclasses.replace(g, assumed=assumed.get(g.grade)) for g in grades]
    until = time.process_time() + buying.seconds
    best = _solve(plots, grades, buying, buying.seconds)
    others = _runners_up(plots, grades, buying, best, runners_up, until)
    late = best.late or time.process_time() > until
    best, *others = sorted((best, *others), key=lambda plan: plan.weighed)  # within the gap
    return dataclasses.replace(best, runners_up=tuple(others), late=late)


def _runners_up(
    plots: Sequence[Plot], grades: Sequence[Grade], buying: Buying, best: Plan, count: int,
    until: float,
) -> list[Plan]:  # fmt: skip
    """Return the next-best plans; each does without a product of every plan before it.

    Leaving out is tried product by product: the bound of each attempt is quick to have,
    and the attempt with the lowest is solved, of few areas more of them. What the others cannot go below says how
    near that plan is to the best of its kind.
    """
    others: list[Plan] = []
    while len(others) < count and best.products:
        attempts: list[tuple[float, frozenset[str]]] = []
        for banned in _leaving_out([plan.products for plan in (best, *others)]):
            if time.process_time() > until:
                return others  # not all looked at: the next-best might be among the rest
            rest = [g for g in grades if g.grade not in banned]
            if rest:
                attempts.append((bags.floor_of(_case(plots, rest, buying)), banned))
        attempts.sort(key=lambda attempt: (attempt[0], sorted(attempt[1])))
        other: tuple[Plan, float] | None = None
        solved = max(1, bags.FEW_CHOICES // (len(plots) * len(grades)))
        for number, (floor, banned) in enumerate(attempts[:solved]):
            left = until - time.process_time()
            if left <= 0:
                return others
            if other is not None and other[1] <= floor + program.CENT:
                break
            rest = [g for g in grades if g.grade not in banned]
            beside = attempts[number + 1][0] if number + 1 < len(attempts) else math.inf
            plan, objective = _solve_with(
                plots, rest, buying, left, quick=True, beside=beside
            )
            if other is None or objective < other[1]:
                other = (plan, objective)
        if other is None:
            break
        plan = other[0]
        worse = sum(plan.short_lb.values()) > sum(best.short_lb.values()) + LEAST_LB
        if not plan.pounds or worse or plan.gap > WORST_RUNNER_GAP:
            break  # no other choice of products meets the needs as well
        others.append(plan)
    return others


def _leaving_out(used: Sequence[Sequence[str]]) -> list[frozenset[str]]:
    """Return the smallest sets of products of which each plan uses at least one."""
    sets: set[frozenset[str]] = {frozenset()}
    for products in used:
        sets = {
            banned if banned & set(products) else banned | {product}
            for banned in sets
            for product in products
        }
    return [one for one in sets if not any(other < one for other in sets)]


def _all_short(plots: Sequence[Plot]) -> dict[tuple[str, str], float]:
    return {
        (plot.key, nutrient): left * plot.acres
        for plot in plots
        for nutrient in plot.need_lb_ac
        if (left := plot.left_lb_ac(nutrient)) > 0
    }


def why_short(plot: Plot, nutrient: str, grades: Sequence[Grade], buying: Buying) -> str:
    """Return why a plot's need for a nutrient cannot be met, and what would help.

    The plot is planned alone again with one limit lifted at a time.
    """
    k = NUTRIENTS.index(nutrient)
    carriers = [g for g in grades if g.fractions[k] > 0]
    if not carriers:
        return (
            f"no product listed carries {nutrient.upper()}; list one that does: "
            f"{box_and_line('product', 'grade', '[[product]]')}"
        )

    def met(grades: Sequence[Grade], buying: Buying, plot: Plot) -> bool:
        plan = _solve([plot], grades, buying, buying.seconds)
        return (plot.key, nutrient) not in plan.short_lb

    free = [dataclasses.replace(g, max_bags=None) for g in grades]
    most = plot.max_products or buying.max_products
    if most < len(grades) and met(grades, buying, dataclasses.replace(
        plot, max_products=len(grades)
    )):  # fmt: skip
        return (
            f"at most {most} product(s) may go on this ground; raise "
            f"{box_and_line('area', 'max_products', 'max_products')}, or list a "
            "grade that carries several of its needs"
        )
    if any(g.max_bags is not None for g in carriers) and met(free, buying, plot):
        held = ", ".join(
            f"{g.grade} {g.max_bags}" for g in carriers if g.max_bags is not None
        )
        return (
            f"the bags to be had run out ({held}); raise "
            f"{box_and_line('product', 'max_bags', 'max_bags')}, or list another grade"
        )
    extra = sorted(
        {other.upper() for g in carriers for j, other in enumerate(NUTRIENTS)
         if j != k and g.fractions[j] > 0}
    )  # fmt: skip
    carried = ", ".join(g.grade for g in carriers)
    barred = sorted(other.upper() for other in plot.none_of if other.upper() in extra)
    if barred:  # no cap of the person's lets it on
        without = " and ".join(barred)
        named = grades_with(nutrient, plot.none_of)
        return (
            f"{carried} brings {without}, which is left off this ground before planting; list a "
            f"grade with {nutrient.upper()} and no {without}"
            + (f", such as {' or '.join(named)}" if named else "")
        )
    return (
        f"more of {carried} would put {' and '.join(extra)} above its cap; list a grade with "
        f"more {nutrient.upper()} to it, or raise "
        f"{box_and_line('buying', 'over_pct', 'over_pct')} or "
        f"{box_and_line('buying', 'over_lb_ac', 'over_lb_ac')}"
        if extra
        else f"the bags of {carried} left after the other ground are too few; raise "
        f"{box_and_line('product', 'max_bags', 'max_bags')}"
    )


def _solve(
    plots: Sequence[Plot], grades: Sequence[Grade], buying: Buying, seconds: float
) -> Plan:
    return _solve_with(plots, grades, buying, seconds)[0]


def _solve_with(
    plots: Sequence[Plot], grades: Sequence[Grade], buying: Buying, seconds: float, *,
    quick: bool = False, beside: float = math.inf,
) -> tuple[Plan, float]:  # fmt: skip
    """Return the plan and what it costs the program; ``beside`` is another bound that holds."""
    case = _case(plots, grades, buying)
    best = bags.cheapest(case, seconds, quick=quick)
    spent = best.objective - program.SHORT_PENALTY * float(best.short.sum())
    dollars = max(best.objective - min(best.bound, beside), 0.0)
    if dollars <= program.CENT:
        gap = 0.0
    else:
        gap = min(dollars / spent, 1.0) if 0.0 < spent < math.inf else 1.0
    pounds = {
        (plot.key, grade.grade): float(best.pounds[i, j])
        for i, plot in enumerate(plots)
        for j, grade in enumerate(grades)
        if best.pounds[i, j] > LEAST_LB
    }
    counts = {g.grade: int(n) for g, n in zip(grades, best.bags, strict=True) if n}
    short = {
        (plot.key, nutrient): float(best.short[i, k])
        for i, plot in enumerate(plots)
        for k, nutrient in enumerate(_counted(plots))
        if best.short[i, k] > LEAST_SHORT_LB
    }
    for plot in plots:  # what no product carries is no part of the program
        for k, nutrient in enumerate(NUTRIENTS):
            left = plot.left_lb_ac(nutrient)
            if left > 0 and not any(g.fractions[k] > 0 for g in grades):
                short[plot.key, nutrient] = left * plot.acres
    cost = sum((g.price or 0.0) * counts.get(g.grade, 0) for g in grades)
    assumed = {g.grade: g.counts for g in grades if g.price is None}
    status = "optimal" if gap == 0.0 else "gap stated"
    status = "price not known" if assumed else status
    plan = Plan(
        pounds, counts, short, cost, status, gap, late=best.late,
        weighed=sum(g.counts * counts.get(g.grade, 0) for g in grades),
        assumed=assumed,
    )  # fmt: skip
    return plan, best.objective


def _counted(plots: Sequence[Plot]) -> list[str]:
    """Return the nutrients that matter: sulfur only where somebody asks for it."""
    sulfur = any(plot.need_lb_ac.get("s") for plot in plots)
    return [nutrient for nutrient in NUTRIENTS if nutrient != "s" or sulfur]


def _case(plots: Sequence[Plot], grades: Sequence[Grade], buying: Buying) -> program.Case:
    """Return the program in arrays."""
    counted = _counted(plots)
    share = np.array([g.fractions for g in grades])[
        :, [NUTRIENTS.index(k) for k in counted]
    ]
    carried = [bool(column.any()) for column in share.T]
    return program.Case(
        share=share,
        least=np.array([
            [plot.left_lb_ac(nutrient, buying.short_pct) * plot.acres if have else 0.0
             for nutrient, have in zip(counted, carried, strict=True)]
            for plot in plots
        ]),
        most=np.array([
            [plot.most_lb_ac(nutrient, buying) * plot.acres for nutrient in counted]
            for plot in plots
        ]),
        limit=np.array([plot.max_products or buying.max_products for plot in plots]),
        price=np.array([g.counts for g in grades]),
        bag_lb=np.array([g.bag_lb for g in grades]),
        stock_lb=np.array([g.stock_lb for g in grades]),
        max_bags=np.array(
            [math.inf if g.max_bags is None else float(g.max_bags) for g in grades]
        ),
    )  # fmt: skip
