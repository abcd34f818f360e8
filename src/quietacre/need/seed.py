"""Pounds of seed: pure live seed, and mixes by share or by rate."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Literal, NamedTuple

from quietacre.crop_names import hint
from quietacre.errors import NeedProblem
from quietacre.need.tables import cite, crops
from quietacre.units import ACRE_FT2

if TYPE_CHECKING:
    from collections.abc import Mapping

    from quietacre.need.tables import Crop
    from quietacre.settings import Mix, Seed


class Said(NamedTuple):
    """What to say about a mix: a code, the sentence, and how much it matters."""

    code: str
    text: str
    level: Literal["info", "caution", "warning"] = "info"


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


#: Seeds of one pass through a hopper: sizes within this ratio. Common practice, no source.
MOST_SIZE_RATIO = 8.0
#: From the crop table's words, such as "annual (reseeding; ~90% hard seed)".
HARD_WORD = "hard seed"


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


def _off_range(mix: Mix, seed: Seed, crop: Crop, rate: float) -> Said | None:
    """Return what to say of a rate outside the printed range, alone or in a mix."""
    alone = len(mix.seed) == 1
    printed = crop.range_lb_ac[mix.method] if alone else crop.in_mix_lb_ac
    where = f"alone, {mix.method}" if alone else "in a mix"
    if printed is None:
        full = crop.range_lb_ac[mix.method]
        if full is None or rate <= full[1] * (1 + 1e-9):
            return None
        printed, where = full, f"alone, {mix.method}"
    low, high = printed
    name = f"{mix.method}_lb_ac" if alone or crop.in_mix_lb_ac is None else "in_mix_lb_ac"
    if low * (1 - 1e-9) <= rate <= high * (1 + 1e-9):
        return None
    text = (
        f"{seed.crop}: {rate:.1f} lb/ac is {'under' if rate < low else 'over'} the "
        f"{low:g}-{high:g} lb/ac printed for it {where} ({cite(crop.figures[name].source)})."
    )
    return Said("rate-outside-range", text, "caution")


def _table_rate(mix: Mix, seed: Seed, crop: Crop | None) -> float:
    full = crop.rate_lb_ac(mix.method) if crop else None
    if crop is None or full is None:
        raise NeedProblem(
            f"“{seed.crop}” has no {mix.method} rate"
            + (": it must not be sown that way" if crop else hint(seed.crop)),
            fix="change the mix's method, or give rate_lb_ac and basis",
            where=f"mix “{mix.name}”",
        )
    return full * (seed.share or 1.0)


def _not_in_table(word: str) -> Said:
    """Return what to say of a crop that is sown at its own rate and not known."""
    return Said(
        "crop-not-in-table",
        f"“{word}” is not in the crop table{hint(word) or '.'} Its rate is taken as written; "
        "depth, window, pH and inoculant are not known, and it is taken for no legume, so "
        "that nitrogen is planned for it. quietacre crops lists the names.",
        "warning",
    )


def _row(mix: Mix, seed: Seed, crop: Crop | None) -> tuple[dict[str, Any], list[Said]]:
    tagged = seed.purity is not None or seed.germination is not None
    live = live_fraction(seed.purity, seed.germination, seed.hard, seed.coating)
    notes: list[Said] = []
    if crop is None and seed.rate_lb_ac is not None:
        notes.append(_not_in_table(seed.crop))
    if seed.rate_lb_ac is not None:
        rate, source, memory = seed.rate_lb_ac, "your own rate", False
        basis = seed.basis or "bulk"
        if crop and crop.rate_lb_ac(mix.method) is None:
            notes.append(Said("not-that-way",
                f"{seed.crop}: the table has no {mix.method} rate, it must not be sown that "
                "way; your own rate is taken as it is.", "caution",
            ))  # fmt: skip
    else:
        rate = _table_rate(mix, seed, crop)
        source = cite(crop.rate_source(mix.method)) if crop else ""
        memory = crop.rate_from_memory(mix.method) if crop else False
        basis = seed.basis or ("pls" if tagged else "bulk")
        if (
            basis == "pls"
            and seed.basis is None
            and crop
            and crop.rate_basis(mix.method) != "pls"
        ):
            notes.append(Said("table-rate-as-live-seed",
                f"{seed.crop}: the table's rate is taken as live seed, because the tag is "
                'given; say basis = "bulk" to pour the table\'s figure as it is.',
            ))  # fmt: skip
        if basis == "bulk" and crop and crop.rate_basis(mix.method) == "pls":
            notes.append(Said("live-rate-poured-as-bulk",
                f"{seed.crop}: the table's rate counts live seed, and it is poured as it is"
                + ("" if tagged else " because no tag is given; give purity and germination")
                + ": less live seed than printed.", "caution",
            ))  # fmt: skip
    bulk = bulk_lb_ac(rate, live) if basis == "pls" else rate
    alive = rate if basis == "pls" else rate * live
    if seed.coating > 0 and basis == "pls":
        bare = live_fraction(seed.purity, seed.germination, seed.hard)
        notes.append(Said("coated-seed",
            f"{seed.crop}, coated: {bulk:.1f} lb/ac with the coating counted off (NRCS and "
            f"Texas), {bulk_lb_ac(rate, bare):.1f} lb/ac at the same bulk rate (Kentucky, and "
            "a trial in Georgia): sources disagree, the first is used.",
        ))  # fmt: skip
    if crop:
        off = _off_range(mix, seed, crop, rate)
        if off:
            notes.append(off)
        if HARD_WORD in crop.life_cycle and not seed.hard:
            notes.append(Said("hard-seed",
                f"{seed.crop} is often hard-seeded ({crop.life_cycle}): count the tag's hard "
                "seed as live with `hard`, and do not expect all of it up in the first year.",
            ))  # fmt: skip
    return {
        "mix": mix.name,
        "pass": 1,
        "crop": seed.crop,
        "method": mix.method,
        "basis": basis,
        "rate_lb_ac": rate,
        "pls_frac": live,
        "bulk_lb_ac": bulk,
        "depth_in": list(crop.depth_in) if crop else None,
        "seeds_per_lb": crop.seeds_per_lb if crop else None,
        "seeds_from_memory": bool(crop and "seeds_per_lb" in crop.from_memory),
        "seeds_ft2": seeds_per_ft2(alive, crop.seeds_per_lb) if crop else None,
        "in_mix_lb_ac": list(crop.in_mix_lb_ac) if crop and crop.in_mix_lb_ac else None,
        "windows": crop.windows if crop else {},
        "own_window": (
            f"{seed.plant_from} to {seed.plant_to}"
            if seed.plant_from and seed.plant_to
            else None
        ),
        "inoculant": crop.inoculant if crop else None,
        "from_memory": memory,
        "source": source,
        "note": notes[0].text if notes else None,
    }, notes
