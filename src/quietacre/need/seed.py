"""Pounds of seed: a row for each crop of a mix, and the passes they go out in."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from quietacre.need.seed_rate import (
    Said,
    bulk_lb_ac,
    coating_said,
    hard_said,
    live_fraction,
    off_range,
    rate_of,
    seeds_per_ft2,
)
from quietacre.need.tables import crops

if TYPE_CHECKING:
    from collections.abc import Mapping

    from quietacre.need.tables import Crop
    from quietacre.settings import Mix, Seed

#: Seeds of one pass through a hopper: sizes within this ratio. Common practice, no source.
MOST_SIZE_RATIO = 8.0


def seed_needs(
    mix: Mix, acres: float, acres_low: float, acres_high: float,
    table: Mapping[str, Crop] | None = None,
) -> tuple[list[dict[str, Any]], list[Said]]:  # fmt: skip
    """Return a row for each crop of a mix on an area, and what to say about it.

    ``table`` is the crop table as it holds for the place; of no one place when left out.

    Raises
    ------
    NeedProblem
        A crop is not known and has no rate, or must not be sown by the mix's method.
    """
    out: list[dict[str, Any]] = []
    said: list[Said] = []
    table = crops() if table is None else table
    for seed in mix.seed:
        row, notes = _row(mix, seed, table.get(seed.crop))
        said += notes
        bulk = row["bulk_lb_ac"]
        row |= {
            "lb": bulk * acres,
            "lb_low": bulk * acres_low,
            "lb_high": bulk * acres_high,
        }
        out.append(row)
    said += _number_passes(out)
    counted = [row for row in out if row["seeds_ft2"] is not None]
    if counted:
        text = (
            "live seeds on a square foot: "
            + ", ".join(f"{row['crop']} {row['seeds_ft2']:.1f}" for row in counted)
            + (" (seed count from memory: " + ", ".join(
                row["crop"] for row in counted if row["seeds_from_memory"]) + ")"
               if any(row["seeds_from_memory"] for row in counted) else "")
        )  # fmt: skip
        said.append(Said("seeds-per-square-foot", text))
    return out, said


def _number_passes(out: list[dict[str, Any]]) -> list[Said]:
    """Give each row its pass: big and deep seed first, then small and shallow.

    Crops share a pass when their printed depths overlap and their sizes are alike.
    """
    known = [row for row in out if row["depth_in"] is not None]
    groups: list[list[dict[str, Any]]] = []
    for row in sorted(known, key=lambda r: (-r["depth_in"][1], r["seeds_per_lb"])):
        for group in groups:
            members = [*group, row]
            shallowest = max(r["depth_in"][0] for r in members)
            deepest = min(r["depth_in"][1] for r in members)
            sizes = [r["seeds_per_lb"] for r in members]
            if shallowest <= deepest and max(sizes) <= MOST_SIZE_RATIO * min(sizes):
                group.append(row)
                break
        else:
            groups.append([row])
    for number, group in enumerate(groups, 1):
        for row in group:
            row["pass"] = number
    if len(groups) < 2:  # noqa: PLR2004 - one pass for all
        return []
    steps = [
        f"{n}. {', '.join(r['crop'] for r in group)} at "
        f"{max(r['depth_in'][0] for r in group):g}-{min(r['depth_in'][1] for r in group):g} in."
        for n, group in enumerate(groups, 1)
    ]
    text = (
        "sow in separate passes, seeds of these sizes and depths do not go out evenly "
        f"together: {'; '.join(steps)}"
    )
    return [Said("separate-passes", text)]


def _row(mix: Mix, seed: Seed, crop: Crop | None) -> tuple[dict[str, Any], list[Said]]:
    live = live_fraction(seed.purity, seed.germination, seed.hard, seed.coating)
    rate = rate_of(mix, seed, crop, live)
    bulk = bulk_lb_ac(rate.lb_ac, live) if rate.basis == "pls" else rate.lb_ac
    alive = rate.lb_ac if rate.basis == "pls" else rate.lb_ac * live
    notes = [*rate.said, *coating_said(seed, rate, bulk)]
    if crop:
        off = off_range(mix, seed, crop, rate.lb_ac)
        notes += [*([off] if off else []), *hard_said(seed, crop)]
    a_pound = seed.seeds_per_lb or (crop.seeds_per_lb if crop else None)
    return {
        "mix": mix.name,
        "pass": 1,
        "crop": seed.crop,
        "method": mix.method,
        "basis": rate.basis,
        "rate_lb_ac": rate.lb_ac,
        "pls_frac": live,
        "bulk_lb_ac": bulk,
        "depth_in": list(crop.depth_in) if crop else None,
        "seeds_per_lb": a_pound,
        "seeds_from_memory": bool(
            crop and not seed.seeds_per_lb and "seeds_per_lb" in crop.from_memory
        ),
        "seeds_ft2": seeds_per_ft2(alive, a_pound) if a_pound else None,
        "in_mix_lb_ac": list(crop.in_mix_lb_ac) if crop and crop.in_mix_lb_ac else None,
        "windows": crop.windows if crop else {},
        "own_window": (
            f"{seed.plant_from} to {seed.plant_to}"
            if seed.plant_from and seed.plant_to
            else None
        ),
        "inoculant": crop.inoculant if crop else None,
        "from_memory": rate.from_memory,
        "source": rate.source,
        "note": notes[0].text if notes else None,
    }, notes
