"""Pounds of seed: pure live seed, and mixes by share or by rate."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from quietacre.errors import NeedProblem
from quietacre.need.tables import cite, crops
from quietacre.units import ACRE_FT2

if TYPE_CHECKING:
    from quietacre.settings import Mix, Seed


def live_fraction(
    purity: float | None, germination: float | None, hard: float = 0.0, coating: float = 0.0
) -> float:
    """Return the part of a bag's weight that is pure live seed.

    purity × (germination + hard or dormant seed) × (1 − coating). A missing figure
    counts as 1. Do not give ``coating`` when the tag's purity already leaves it out.

    Raises
    ------
    NeedProblem
        A figure is not a fraction, or nothing of the seed is alive.

    Notes
    -----
    "What is Pure Live Seed (PLS)?", Georgia Forages, University of Georgia, n.d.
    """
    purity = 1.0 if purity is None else purity
    germination = 1.0 if germination is None else germination
    for name, value in (
        ("purity", purity), ("germination", germination), ("hard seed", hard),
        ("coating", coating), ("germination and hard seed", germination + hard),
    ):  # fmt: skip
        if not 0.0 <= value <= 1.0 + 1e-9:
            raise NeedProblem(
                f"{name} is {value:g}, not a fraction",
                fix="write 98 % as 0.98",
            )
    live = purity * min(germination + hard, 1.0) * (1.0 - coating)
    if live <= 0.0:
        raise NeedProblem("nothing of this seed is alive", fix="check the seed tag")
    return live


def bulk_lb_ac(pls_lb_ac: float, live: float) -> float:
    """Return pounds out of the bag that bring ``pls_lb_ac`` of live seed. [lb/ac]"""
    return pls_lb_ac / live


def seeds_per_ft2(live_lb_ac: float, seeds_per_lb: float) -> float:
    """Return live seeds on a square foot."""
    return live_lb_ac * seeds_per_lb / ACRE_FT2


def seed_needs(
    mix: Mix, acres: float, acres_low: float, acres_high: float
) -> tuple[list[dict[str, Any]], list[str]]:
    """Return a row for each crop of a mix on an area, and what to say about it.

    Raises
    ------
    NeedProblem
        A crop is not known and has no rate, or must not be sown by the mix's method.
    """
    out, said = [], []
    for seed in mix.seed:
        row, note = _row(mix, seed)
        if note:
            said.append(note)
        bulk = row["bulk_lb_ac"]
        row |= {
            "lb": bulk * acres,
            "lb_low": bulk * acres_low,
            "lb_high": bulk * acres_high,
        }
        out.append(row)
    return out, said


def _row(mix: Mix, seed: Seed) -> tuple[dict[str, Any], str | None]:
    crop = crops().get(seed.crop)
    tagged = seed.purity is not None or seed.germination is not None
    live = live_fraction(seed.purity, seed.germination, seed.hard, seed.coating)
    note = None
    if seed.rate_lb_ac is not None:
        rate, source, memory = seed.rate_lb_ac, "your own rate", False
        basis = seed.basis or "bulk"
    else:
        full = crop.rate_lb_ac(mix.method) if crop else None
        if crop is None or full is None:
            raise NeedProblem(
                f"“{seed.crop}” has no {mix.method} rate"
                + (": it must not be sown that way" if crop else ""),
                fix="change the mix's method, or give rate_lb_ac and basis",
                where=f"mix “{mix.name}”",
            )
        rate = full * (seed.share or 1.0)
        source, memory = cite(crop.source), crop.rate_from_memory(mix.method)
        basis = seed.basis or ("pls" if tagged else "bulk")
        if basis == "pls" and seed.basis is None:
            note = (
                f"{seed.crop}: the table's rate is taken as live seed, because the tag is "
                'given; say basis = "bulk" to pour the table\'s figure as it is.'
            )
    bulk = bulk_lb_ac(rate, live) if basis == "pls" else rate
    alive = rate if basis == "pls" else rate * live
    depth = list(crop.depth_in) if crop else None
    return {
        "mix": mix.name,
        "pass": 1,
        "crop": seed.crop,
        "method": mix.method,
        "basis": basis,
        "rate_lb_ac": rate,
        "pls_frac": live,
        "bulk_lb_ac": bulk,
        "depth_in": depth,
        "seeds_ft2": seeds_per_ft2(alive, crop.seeds_per_lb) if crop else None,
        "inoculant": crop.inoculant if crop else None,
        "from_memory": memory,
        "source": source,
        "note": None,
    }, note
