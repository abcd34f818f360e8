"""Pounds of fertilizer: from a soil test's needs to whole bags at least cost.

Needs are on the oxide basis (N, P₂O₅, K₂O), as grades are written. One integer
program over the whole property picks pounds of each product for each area and whole
bags for the property: every need met within a stated shortfall, no nutrient above its
cap, at most so many products an area, at least cost.
"""

from __future__ import annotations

import contextlib
import os
import re
import sys
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from quietacre.errors import NeedProblem

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from quietacre.settings import Buying, NeedLbAc

NUTRIENTS = ("n", "p2o5", "k2o")
#: Virginia Tech, SPES-201, n.d.
P_TO_P2O5 = 2.2910
K_TO_K2O = 1.2051
#: ppm × 2 = lb/ac for a furrow slice. WVU (Rayburn), Progressive Forage, n.d.
PPM_TO_LB_AC = 2.0
#: Less than this of a product is the solver's rounding, not a dose. [lb]
LEAST_LB = 0.5
#: A shortfall below this is the solver's tolerance. [lb]
LEAST_SHORT_LB = 1e-3
#: HiGHS gives infinity when it proved no gap.
NO_GAP = 1e6
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
    """An area to fertilize: acres and needs per acre on the oxide basis."""

    key: str
    acres: float
    need_lb_ac: Mapping[str, float]
    max_products: int | None = None


@dataclass(frozen=True)
class Plan:
    """Pounds by (plot, grade), bags by grade, what stays short by (plot, nutrient). [lb]"""

    pounds: Mapping[tuple[str, str], float]
    bags: Mapping[str, int]
    short_lb: Mapping[tuple[str, str], float]
    cost: float
    status: str
    gap: float


def cap_lb_ac(need: float, buying: Buying) -> float:
    """Return the most of a nutrient that may be spread. [lb/ac]"""
    return max(need * (1.0 + buying.over_pct / 100.0), need + buying.over_lb_ac)


def plan_fertilizer(plots: Sequence[Plot], grades: Sequence[Grade], buying: Buying) -> Plan:
    """Return the cheapest whole-bag plan.

    Parameters
    ----------
    plots, grades : what needs feeding, and what can be bought.
    buying : tolerances, caps, products per area, seconds to think.

    Returns
    -------
    Plan
        ``gap`` is the proved relative distance from the best; 0 when optimal.
    """
    if not plots or not grades:
        short = {
            (plot.key, nutrient): amount * plot.acres
            for plot in plots
            for nutrient, amount in plot.need_lb_ac.items()
            if amount > 0
        }
        return Plan({}, {}, short, 0.0, "nothing to plan", 0.0)
    return _solve(plots, grades, buying)


@contextlib.contextmanager
def _quiet_stdout() -> Iterator[None]:
    """Send what a library writes to the terminal's file descriptor nowhere."""
    sys.stdout.flush()
    kept, nowhere = os.dup(1), os.open(os.devnull, os.O_WRONLY)
    try:
        os.dup2(nowhere, 1)
        yield
    finally:
        os.dup2(kept, 1)
        os.close(kept)
        os.close(nowhere)


def _solve(plots: Sequence[Plot], grades: Sequence[Grade], buying: Buying) -> Plan:
    import highspy

    with _quiet_stdout():  # the solver greets on the terminal when it is made
        solver = highspy.Highs()  # type: ignore[no-untyped-call]
    solver.setOptionValue("output_flag", False)
    solver.setOptionValue("threads", 1)
    solver.setOptionValue("random_seed", 1)
    solver.setOptionValue("time_limit", float(buying.seconds))
    solver.setOptionValue("mip_rel_gap", 1e-6)
    bags, pounds, short = {}, {}, {}
    for g in grades:
        price = NO_PRICE * g.bag_lb if g.price is None else g.price
        most = float(g.max_bags) if g.max_bags is not None else 1e5
        bags[g.grade] = solver.addIntegral(lb=0.0, ub=most, obj=price)
    for plot in plots:
        most_lb = {
            g.grade: min(
                (cap_lb_ac(plot.need_lb_ac.get(k, 0.0), buying) * plot.acres / share
                 for k, share in zip(NUTRIENTS, g.fractions, strict=True) if share > 0),
                default=0.0,
            )
            for g in grades
        }  # fmt: skip
        used = []
        for g in grades:
            pounds[plot.key, g.grade] = solver.addVariable(
                lb=0.0, ub=most_lb[g.grade], obj=1e-4
            )
            flag = solver.addBinary()
            used.append(flag)
            solver.addConstr(pounds[plot.key, g.grade] <= most_lb[g.grade] * flag)
        most_products = plot.max_products or buying.max_products
        solver.addConstr(sum(used) <= most_products)
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
            solver.addConstr(carried <= cap_lb_ac(need, buying) * plot.acres)
    for g in grades:
        taken = sum(pounds[plot.key, g.grade] for plot in plots)
        solver.addConstr(taken <= g.bag_lb * bags[g.grade] + g.stock_lb)
    solver.run()
    values = solver.getSolution().col_value

    def value(var: Any) -> float:  # noqa: ANN401 - highspy's variable
        return float(var) if isinstance(var, float) else float(values[var.index])

    info = solver.getInfo()
    whole = {g.grade: round(value(bags[g.grade])) for g in grades}
    return Plan(
        pounds={key: value(var) for key, var in pounds.items() if value(var) > LEAST_LB},
        bags={grade: count for grade, count in whole.items() if count},
        short_lb={
            key: value(var) for key, var in short.items() if value(var) > LEAST_SHORT_LB
        },
        cost=sum((g.price or 0.0) * whole[g.grade] for g in grades),
        status=solver.modelStatusToString(solver.getModelStatus()).lower(),
        gap=max(float(info.mip_gap), 0.0) if info.mip_gap < NO_GAP else 1.0,
    )
