"""Grades of fertilizer: what a bag holds, how it is sold, and needs as grades count them.

Needs are on the oxide basis (N, P₂O₅, K₂O), as grades are written, and sulfur as the
element.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

from quietacre.errors import NeedProblem
from quietacre.shipped import rows

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from quietacre.settings import NeedLbAc

NUTRIENTS = ("n", "p2o5", "k2o", "s")
#: Less than this share of a need is not worth a bag, a trip or a second spreading: no
#: spreader is so even. Common practice, no source.
CRUMB_SHARE = 0.05
#: Virginia Tech, SPES-201, n.d.
P_TO_P2O5 = 2.2910
K_TO_K2O = 1.2051
#: ppm × 2 = lb/ac for a furrow slice. WVU, Progressive Forage, n.d.
PPM_TO_LB_AC = 2.0
#: Dollars a pound of a product when no product has a price, so that pounds are kept low. Ours.
NO_PRICE = 0.4


@dataclass(frozen=True)
class Grade:
    """A product: its analysis as fractions, how it is sold, what is in the shed. [lb]"""

    grade: str
    n: float
    p2o5: float
    k2o: float
    s: float = 0.0
    bag_lb: float = 50.0
    price: float | None = None
    stock_lb: float = 0.0
    max_bags: int | None = None
    assumed: float | None = None  # what a bag without a price counts in choosing [$]

    @property
    def counts(self) -> float:
        """Return what a bag counts in choosing: its price, or what is assumed of it. [$]"""
        if self.price is not None:
            return self.price
        return NO_PRICE * self.bag_lb if self.assumed is None else self.assumed

    @property
    def fractions(self) -> tuple[float, ...]:
        """Return N, P₂O₅, K₂O and S as fractions."""
        return (self.n, self.p2o5, self.k2o, self.s)


def parse_grade(text: str) -> tuple[float, float, float, float]:
    """Return N, P₂O₅, K₂O and S fractions of a grade such as "13-13-13" or "21-0-0-24S".

    Sulfur counts when the grade writes it; what follows of other nutrients is let stand.

    Raises
    ------
    NeedProblem
        It is not a grade.
    """
    number = r"(\d+(?:\.\d+)?)"
    more = r"-\d+(?:\.\d+)?[A-Za-z]+"
    match = re.fullmatch(rf"{number}-{number}-{number}((?:{more})*)", text)
    if match is None:
        raise NeedProblem(
            f"“{text}” is not a grade",
            fix="write it as N-P-K, such as 13-13-13, and sulfur behind it as in 21-0-0-24S",
        )
    sulfur = re.findall(rf"-{number}[Ss](?![A-Za-z])", match[4])
    if len(sulfur) > 1:
        raise NeedProblem(f"“{text}” names sulfur twice", fix="check the bag")
    n, p2o5, k2o = (float(match[part]) / 100.0 for part in (1, 2, 3))
    s = float(sulfur[0]) / 100.0 if sulfur else 0.0
    if n + p2o5 + k2o + s > 1.0 + 1e-9:
        raise NeedProblem(f"“{text}” holds more than 100 %", fix="check the bag")
    return n, p2o5, k2o, s


def oxide_needs(need: NeedLbAc, *, ppm: bool = False) -> dict[str, float]:
    """Return needs as oxides, sulfur as the element. [lb/ac] P and K are converted.

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
        "s": scale * (need.s or 0.0),
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


def assumed_prices(grades: Sequence[Grade]) -> dict[str, float]:
    """Return what a bag of each grade without a price counts in choosing. [$]

    As dear as the dearest pound of nutrient among those that have a price, so that a
    product never wins because its price is not known; ``NO_PRICE`` a pound when none
    has one.
    """
    a_pound = [
        g.price / (g.bag_lb * sum(g.fractions))
        for g in grades
        if g.price and sum(g.fractions) > 0
    ]
    return {
        g.grade: round(
            g.bag_lb * (max(a_pound) * sum(g.fractions) if a_pound else NO_PRICE), 2
        )
        for g in grades
        if g.price is None
    }


def grades_with(nutrient: str, without: Iterable[str]) -> tuple[str, ...]:
    """Return the shipped grades that bring a nutrient and none of some others.

    Those that nobody read in a source are left out.
    """
    k, barred = NUTRIENTS.index(nutrient), [NUTRIENTS.index(other) for other in without]
    out = []
    for row in rows("fertilizers"):
        shares = [float(row[f"{one}_pct"]) for one in NUTRIENTS]
        if row["from_memory"] == "all" or shares[k] <= 0:
            continue
        if not any(shares[other] > 0 for other in barred):
            out.append(row["grade"])
    return tuple(out)
