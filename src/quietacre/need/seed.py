"""Pounds of seed: a row for each crop of a mix, and the passes they go out in."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, NamedTuple

from quietacre.figures import seeds, span_of
from quietacre.in_parts import InParts
from quietacre.need.records import SeedLine
from quietacre.need.seed_rate import (
    Said,
    bulk_lb_ac,
    coating_notes,
    hard_seed_notes,
    live_fraction,
    off_range,
    rate_of,
    seeds_per_ft2,
)
from quietacre.need.tables import crops

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from quietacre.need.tables import Crop
    from quietacre.settings import Mix, Seed

#: Seeds of one pass through a hopper: sizes within this ratio. Common practice, no source.
MOST_SIZE_RATIO = 8.0


def seed_needs(
    mix: Mix, acres: float, acres_low: float, acres_high: float,
    table: Mapping[str, Crop] | None = None,
) -> tuple[tuple[SeedLine, ...], list[Said]]:  # fmt: skip
    """Return a line for each crop of a mix on an area, and what to say about it.

    ``table`` is the crop table as it holds for the place; of no one place when left out.

    Raises
    ------
    NeedProblem
        A crop is not known and has no rate, or no rate was read for the mix's method.
    """
    table = crops() if table is None else table
    rows: list[SeedLine] = []
    remarks: list[Said] = []
    for seed in mix.seed:
        row, notes = _line(mix, seed, table.get(seed.crop), (acres, acres_low, acres_high))
        remarks += notes
        rows.append(row)
    out, separate = _in_passes(rows)
    remarks += separate
    counted = [(row.crop, row.seeds_ft2) for row in out if row.seeds_ft2 is not None]
    if counted:
        memory = [
            row.crop for row in out if row.seeds_ft2 is not None and row.seeds_from_memory
        ]
        basis = {row.crop: row.basis for row in out}
        text = InParts(
            "seeds that come down",
            ", ".join(
                f"{crop} {seeds(count, live=basis[crop] == 'pls')}"
                for crop, count in counted
            )
            + (f" (seed count from memory: {', '.join(memory)})" if memory else ""),
        )
        remarks.append(Said("seeds-per-square-foot", text))
    return out, remarks


def _in_passes(
    rows: Sequence[SeedLine],
) -> tuple[tuple[SeedLine, ...], list[Said]]:
    """Return the lines with their passes: big and deep seed first, then small and shallow.

    Crops share a pass when their printed depths overlap and their sizes are alike.
    """
    groups: list[list[_Sized]] = []
    for one in sorted(_sized(rows), key=lambda one: (-one.deepest_in, one.seeds_per_lb)):
        for group in groups:
            members = [*group, one]
            shallowest = max(other.shallowest_in for other in members)
            deepest = min(other.deepest_in for other in members)
            sizes = [other.seeds_per_lb for other in members]
            if shallowest <= deepest and max(sizes) <= MOST_SIZE_RATIO * min(sizes):
                group.append(one)
                break
        else:
            groups.append([one])
    number = {one.row: n for n, group in enumerate(groups, 1) for one in group}
    out = tuple(replace(row, pass_=number.get(n, 1)) for n, row in enumerate(rows))
    return out, _separate(groups)


class _Sized(NamedTuple):
    """A line by its number whose seed has a size and depths."""

    row: int
    crop: str
    shallowest_in: float
    deepest_in: float
    seeds_per_lb: float


def _sized(rows: Sequence[SeedLine]) -> list[_Sized]:
    return [
        _Sized(n, row.crop, *row.depth_in, row.seeds_per_lb)
        for n, row in enumerate(rows)
        if row.depth_in is not None and row.seeds_per_lb is not None
    ]


def _separate(groups: Sequence[Sequence[_Sized]]) -> list[Said]:
    """Return what is said of seed that goes out in more than one pass."""
    if len(groups) < 2:  # noqa: PLR2004 - one pass for all
        return []
    steps = [
        f"{n}. {', '.join(one.crop for one in group)} at "
        + span_of(
            max(one.shallowest_in for one in group),
            min(one.deepest_in for one in group),
            "in.",
        )
        for n, group in enumerate(groups, 1)
    ]
    text = InParts(
        "sow in separate passes, seeds of these sizes and depths do not go out evenly together",
        "; ".join(steps),
    )
    return [Said("separate-passes", text)]


def _line(
    mix: Mix, seed: Seed, crop: Crop | None, acres: tuple[float, float, float]
) -> tuple[SeedLine, list[Said]]:
    """Return one crop of a mix on ``acres``, and on the least and the most of them. [ac]"""
    live = live_fraction(seed.purity, seed.germination, seed.hard, seed.coating)
    rate = rate_of(mix, seed, crop, live)
    bulk = bulk_lb_ac(rate.lb_ac, live) if rate.basis == "pls" else rate.lb_ac
    alive = rate.lb_ac if rate.basis == "pls" else rate.lb_ac * live
    notes = [*rate.said, *coating_notes(seed, rate, bulk)]
    if crop:
        off = off_range(mix, seed, crop, rate.lb_ac)
        notes += [*([off] if off else []), *hard_seed_notes(seed, crop)]
    a_pound = seed.seeds_per_lb or (crop.seeds_per_lb if crop else None)
    own = bool(seed.plant_from and seed.plant_to)
    line = SeedLine(
        mix=mix.name,
        pass_=1,
        crop=seed.crop,
        method=mix.method,
        basis=rate.basis,
        rate_lb_ac=rate.lb_ac,
        pls_frac=live,
        bulk_lb_ac=bulk,
        depth_in=crop.depth_in if crop else None,
        seeds_per_lb=a_pound,
        seeds_from_memory=bool(
            crop and not seed.seeds_per_lb and "seeds_per_lb" in crop.from_memory
        ),
        seeds_ft2=seeds_per_ft2(alive, a_pound) if a_pound else None,
        in_mix_lb_ac=(crop.in_mix_lb_ac or None) if crop else None,
        windows=crop.windows if crop else {},
        own_window=f"{seed.plant_from} to {seed.plant_to}" if own else None,
        inoculant=crop.inoculant if crop else None,
        from_memory=rate.from_memory,
        source=rate.source,
        note=notes[0].text if notes else None,
        lb=bulk * acres[0],
        lb_low=bulk * acres[1],
        lb_high=bulk * acres[2],
    )
    return line, notes
