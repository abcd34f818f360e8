"""What the ± of a walk is made of: its terms, each with what it rests on.

Terms add as the root of their squares. What is the same on every lap and every day (the edge
as a receiver and a walker hold it, part of what blocked sky does) is not averaged away by more of
them; the rest is.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from quietacre.boundary.error import T_95
from quietacre.figures import AS_IT_IS, acres
from quietacre.units import ACRE_M2

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

#: A term below this share of the whole ± is not worth a line.
LEAST_SHARE = 0.05
#: A sum of small terms is told from here on, as acres are. [ac]
LEAST_TOLD_AC = 0.01


@dataclass(frozen=True)
class Term:
    """One part of a ±.

    ``half_ac`` is its 95 % half-width [ac]; ``common`` the share of its variance that is the
    same on every lap and day, 0 to 1; ``source`` what it was measured on or printed in.
    """

    code: str
    text: str
    half_ac: float
    common: float
    source: str

    @property
    def sd_m2(self) -> float:
        """Return one standard deviation. [m²]"""
        return self.half_ac * ACRE_M2 / T_95


def term(code: str, text: str, sd_m2: float, common: float, source: str) -> Term:
    """Return a term of a standard deviation. [m²]"""
    return Term(code, text, T_95 * sd_m2 / ACRE_M2, common, source)


def total_sd_m2(terms: Iterable[Term]) -> float:
    """Return the standard deviation of all terms together. [m²]"""
    return float(np.sqrt(sum(one.sd_m2**2 for one in terms)))


def own_sd_m2(terms: Iterable[Term]) -> float:
    """Return the standard deviation of what a walk does not share with others. [m²]"""
    return float(np.sqrt(sum(one.sd_m2**2 * (1.0 - one.common) for one in terms)))


def combined(walks: Sequence[Sequence[Term]], weights: Sequence[float]) -> tuple[Term, ...]:
    """Return the terms of several walks of one edge, taken together by their weights.

    Parameters
    ----------
    walks : the terms of each.
    weights : how much each counts, together 1.
    """
    by_code: dict[str, list[tuple[float, Term]]] = defaultdict(list)
    for terms, weight in zip(walks, weights, strict=True):
        for one in terms:
            by_code[one.code].append((float(weight), one))
    made = []
    for same in by_code.values():
        own = sum((w * t.half_ac) ** 2 * (1.0 - t.common) for w, t in same)
        shared = sum(w * t.half_ac * t.common**0.5 for w, t in same) ** 2
        widest = max((t for _, t in same), key=lambda t: t.half_ac)
        half = float(np.sqrt(own + shared))
        made.append(replace(widest, half_ac=half, common=shared / half**2 if half else 0.0))
    return tuple(made)


def half_words(half_ac: float, digits: int = 2, *, bare: bool = False) -> str:
    """Return half of what an acreage is known to for a text, to so many digits: "0.13 ac"."""
    return acres(float(f"{half_ac:.{digits}g}"), AS_IT_IS, bare=bare)


def why_lines(terms: Sequence[Term]) -> list[str]:
    """Return the terms as lines to read, the largest first; the smallest together in one."""
    ordered = sorted(terms, key=lambda one: -one.half_ac)
    whole = float(np.sqrt(sum(one.half_ac**2 for one in ordered)))
    lines = [
        f"± {half_words(one.half_ac)}: {one.text} ({one.source})"
        for one in ordered
        if one.half_ac >= LEAST_SHARE * whole
    ]
    left = [one.half_ac for one in ordered if one.half_ac < LEAST_SHARE * whole]
    if any(left):
        rest = float(np.sqrt(sum(half**2 for half in left)))
        told = (
            f"± {half_words(rest, 1)}"
            if rest >= LEAST_TOLD_AC
            else f"under {half_words(LEAST_TOLD_AC)}"
        )
        lines.append(f"{told}: all else together")
    return lines
