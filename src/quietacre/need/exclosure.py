"""Exclosures: what a plot grows, and what deer take of it, from pairs of clippings."""

from __future__ import annotations

import math
import statistics
from dataclasses import dataclass
from typing import TYPE_CHECKING

from quietacre.errors import NeedProblem
from quietacre.figures import AS_IT_IS, figure
from quietacre.need.positive import refuse_unless_positive
from quietacre.need.tables import number
from quietacre.shipped import cite, rows
from quietacre.units import ACRE_FT2

if TYPE_CHECKING:
    from collections.abc import Sequence

#: International avoirdupois pound. [g]
G_PER_LB = 453.59237
#: Student's t for 95 %, two-sided, by degrees of freedom; 1.96 further on.
T_95 = (
    12.706, 4.303, 3.182, 2.776, 2.571, 2.447, 2.365, 2.306, 2.262, 2.228,
    2.201, 2.179, 2.160, 2.145, 2.131, 2.120, 2.110, 2.101, 2.093, 2.086,
    2.080, 2.074, 2.069, 2.064, 2.060, 2.056, 2.052, 2.048, 2.045, 2.042,
)  # fmt: skip
T_MANY = 1.96
#: Cage moved, equal ground clipped in and out, dry weight, several pairs. From memory.
HOW = (
    "clip the same ground inside and outside, at the height deer graze to, dry it all alike, "
    "use several cages and move each after it is clipped: left standing, it shows what has "
    "heaped up, not what was eaten (from memory)"
)


def cage_ft2(wire_ft: float) -> float:
    """Return the ground inside a round cage made of a length of wire. [sq ft]"""
    refuse_unless_positive(wire_ft=wire_ft)
    return wire_ft**2 / (4.0 * math.pi)


def wire_for_ft2(area_ft2: float) -> float:
    """Return the wire that a round cage over an area takes. [ft]"""
    refuse_unless_positive(area_ft2=area_ft2)
    return math.sqrt(4.0 * math.pi * area_ft2)


def cages_of_roll(roll_ft: float, wire_ft: float) -> int:
    """Return how many whole cages a roll of wire makes."""
    refuse_unless_positive(roll_ft=roll_ft, wire_ft=wire_ft)
    return int(roll_ft / wire_ft + 1e-9)


def cage_lines(wire_ft: float, roll_ft: float | None = None) -> list[str]:
    """Return a cage's ground, and how it stands against the sizes that are printed."""
    area = cage_ft2(wire_ft)
    lines = [
        f"a cage of {figure(wire_ft, 'ft', AS_IT_IS)} of wire stands on {figure(area, 'sq ft', 2)}"
    ]
    if roll_ft is not None:
        lines[0] += (
            f"; a {figure(roll_ft, 'ft', AS_IT_IS)} roll makes {cages_of_roll(roll_ft, wire_ft)}"
        )
    for row in rows("exclosures"):
        least = number(row["least_ft2"])
        if least is None:
            stands = figure(cage_ft2(float(row["wire_ft"])), "sq ft", 2)
            printed = f"{stands}: {row['note']}"
        else:
            wire = figure(wire_for_ft2(least), "ft", 1)
            short = f"; yours is under it, {wire} of wire would do"
            printed = (
                f"{figure(least, 'sq ft', AS_IT_IS)} or more: {row['note']}"
                f"{short if area < least else ''}"
            )
        lines.append(f"printed: {printed} ({cite(row['source'])})")
    return lines


def clip_lb_ac(grams: float, area_ft2: float, dry_frac: float) -> float:
    """Return dry forage on an acre from what was clipped on an area. [lb/ac]

    ``dry_frac`` is dry weight over the weight given: 1 when it was dried first.
    """
    refuse_unless_positive(area_ft2=area_ft2)
    if not 0.0 <= grams < math.inf:
        raise NeedProblem(f"a clipping of {grams:g} g", fix="give grams, 0 or more")
    if not 0.0 < dry_frac <= 1.0:
        raise NeedProblem(
            f"dry_frac is {dry_frac:g}",
            fix="give dry weight over the weight you give: 1 when it was dried first",
        )
    return grams * dry_frac / G_PER_LB * ACRE_FT2 / area_ft2


@dataclass(frozen=True)
class Clipped:
    """What pairs of clippings say. Bounds are 95 %, None with fewer than two pairs."""

    pairs: int
    grown_lb_ac: float
    grown_low_high: tuple[float, float] | None
    left_lb_ac: float
    eaten_lb_ac: float
    eaten_low_high: tuple[float, float] | None
    used_pct: float | None

    def lines(self) -> list[str]:
        """Return it in plain words."""

        def span(bounds: tuple[float, float] | None) -> str:
            if bounds is None:
                return ""
            low, high = bounds
            return f" (95 %: {figure(low, 'lb/ac', 0, to=high, joined=' to ', bare=True)})"

        out = [
            f"grown inside, dry: {figure(self.grown_lb_ac, 'lb/ac', 0)}{span(self.grown_low_high)} "
            f"from {self.pairs} pair(s)",
            f"left outside: {figure(self.left_lb_ac, 'lb/ac', 0)}",
            f"eaten: {figure(self.eaten_lb_ac, 'lb/ac', 0)}{span(self.eaten_low_high)}"
            + ("" if self.used_pct is None
               else f", {self.used_pct:.0f} % of what grew (formula from memory)"),
        ]  # fmt: skip
        bounds = self.eaten_low_high
        if self.eaten_lb_ac < 0 or (bounds is not None and bounds[0] < 0 < bounds[1]):
            out.append(
                "that cannot be told from no use at all: chance between clippings does as "
                "much; more pairs would tell"
            )
        if bounds is None:
            out.append("one pair says nothing of chance: clip several")
        return out


def browse(
    inside_g: Sequence[float], outside_g: Sequence[float], area_ft2: float, dry_frac: float
) -> Clipped:
    """Return forage grown and eaten from clippings in and beside cages.

    Used % = 100 × (inside − outside) ÷ inside, of the means. Nothing is cut off at
    zero: less inside than outside is chance, or no use.

    Parameters
    ----------
    inside_g, outside_g : what was clipped, pair by pair. [g]
    area_ft2 : ground of each clipping, the same in and out. [sq ft]
    dry_frac : dry weight over the weight given. [1]

    Raises
    ------
    NeedProblem
        There are no pairs, or one is not whole.
    """
    if not inside_g or len(inside_g) != len(outside_g):
        raise NeedProblem(
            f"{len(inside_g)} clippings inside and {len(outside_g)} outside make no pairs",
            fix="give one outside for each inside, in the same order",
        )
    grown = [clip_lb_ac(g, area_ft2, dry_frac) for g in inside_g]
    left = [clip_lb_ac(g, area_ft2, dry_frac) for g in outside_g]
    eaten = [a - b for a, b in zip(grown, left, strict=True)]
    mean_grown, mean_left = statistics.fmean(grown), statistics.fmean(left)
    return Clipped(
        pairs=len(grown),
        grown_lb_ac=mean_grown,
        grown_low_high=_bounds(grown),
        left_lb_ac=mean_left,
        eaten_lb_ac=statistics.fmean(eaten),
        eaten_low_high=_bounds(eaten),
        used_pct=100.0 * (mean_grown - mean_left) / mean_grown if mean_grown > 0 else None,
    )


def _bounds(values: Sequence[float]) -> tuple[float, float] | None:
    free = len(values) - 1
    if free < 1:
        return None
    t = T_95[free - 1] if free <= len(T_95) else T_MANY
    half = t * statistics.stdev(values) / math.sqrt(len(values))
    mean = statistics.fmean(values)
    return mean - half, mean + half
