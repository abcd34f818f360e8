"""The shipped tables, read once."""

from __future__ import annotations

import functools
import re
from dataclasses import dataclass

from quietacre.shipped import rows
from quietacre.windows import REGIONS

#: How a window's text marks itself; the column of marked cells says the same.
MARK = re.compile(r"\s*\[memory\]")


@dataclass(frozen=True)
class Crop:
    """One row of the crop table; rates are full rates of the crop alone. [lb/ac]"""

    name: str
    broadcast_lb_ac: float | None
    drill_lb_ac: float | None
    depth_in: tuple[float, float]
    seeds_per_lb: float
    legume: bool
    inoculant: str | None
    maintenance_lb_ac: tuple[float, float, float]
    from_memory: frozenset[str]
    source: str
    range_lb_ac: dict[str, tuple[float, float] | None]
    in_mix_lb_ac: tuple[float, float] | None
    rate_basis: str
    ph_min: float | None
    ph_source: str  # ids of what prints ph_min; blank when it is from memory
    ph_target: float | None
    life_cycle: str
    windows: dict[str, str]  # by region, as the table prints them

    def rate_lb_ac(self, method: str) -> float | None:
        """Return the full rate by method, None when it must not be sown that way."""
        return self.broadcast_lb_ac if method == "broadcast" else self.drill_lb_ac

    def rate_from_memory(self, method: str) -> bool:
        """Return whether the rate was read in no source."""
        return f"{method}_lb_ac_low" in self.from_memory


@functools.cache
def crops() -> dict[str, Crop]:
    """Return the crop table by crop; a rate is the middle of its printed range."""
    return {row["crop"]: _crop(row) for row in rows("crops")}


@functools.cache
def cool_grasses() -> frozenset[str]:
    """Return cool-season crops that are no legume and take nitrogen after they are up."""
    return frozenset(
        row["crop"]
        for row in rows("crops")
        if row["season"] == "cool" and row["legume"] != "yes"
    )


def _crop(row: dict[str, str]) -> Crop:
    def middle(low: str, high: str) -> float | None:
        return (float(low) + float(high)) / 2 if low and high else None

    def span(low: str, high: str) -> tuple[float, float] | None:
        return (float(low), float(high)) if low and high else None

    return Crop(
        name=row["crop"],
        broadcast_lb_ac=middle(row["broadcast_lb_ac_low"], row["broadcast_lb_ac_high"]),
        drill_lb_ac=middle(row["drill_lb_ac_low"], row["drill_lb_ac_high"]),
        depth_in=(float(row["depth_in_low"]), float(row["depth_in_high"])),
        seeds_per_lb=float(row["seeds_per_lb"]),
        legume=row["legume"] == "yes",
        inoculant=row["inoculant_group"] or None,
        maintenance_lb_ac=(
            float(row["maint_n_lb_ac"]),
            float(row["maint_p2o5_lb_ac"]),
            float(row["maint_k2o_lb_ac"]),
        ),
        from_memory=frozenset(row["from_memory_cells"].split()),
        source=row["source"],
        range_lb_ac={
            method: span(row[f"{method}_lb_ac_low"], row[f"{method}_lb_ac_high"])
            for method in ("broadcast", "drill")
        },
        in_mix_lb_ac=span(row["in_mix_lb_ac_low"], row["in_mix_lb_ac_high"]),
        rate_basis=row["rate_basis"],
        ph_min=number(row["ph_min"]),
        ph_source=row["ph_source"],
        ph_target=number(row["ph_target"]),
        life_cycle=row["life_cycle"],
        windows={
            region: MARK.sub("", row[column]).strip() for column, region in REGIONS.items()
        },
    )


def crop_lines(crop: Crop, region: str | None = None) -> list[str]:
    """Return what the table holds of a crop, in plain lines, "from memory" where it is.

    Parameters
    ----------
    crop : a row of the table.
    region : whose planting window holds; every region's is said when none is chosen.
    """

    def memory(*cells: str) -> str:
        return " (from memory)" if any(c in crop.from_memory for c in cells) else ""

    said = {
        name: f"{crop.windows[name]}{memory(column)}" for column, name in REGIONS.items()
    }
    if region is None:
        each = "; ".join(f"{name} {text}" for name, text in said.items())
        window = f"planting window: no region is chosen, so every one is shown: {each}"
    else:
        window = f"planting window, {region} (your region): {said[region]}"
    low, high = crop.depth_in
    deep = f"{low:g}" if low == high else f"{low:g}-{high:g}"
    lines = [f"{deep} in. deep{memory('depth_in_low', 'depth_in_high')}"]
    if crop.ph_min is not None:
        lines.append(
            f"pH {crop.ph_min:g} at least{memory('ph_min')}"
            + (f", {crop.ph_target:g} best{memory('ph_target')}" if crop.ph_target else "")
        )
    lines.append(
        f"inoculant: {crop.inoculant}{memory('inoculant_group')}"
        if crop.inoculant
        else "no inoculant, it is no legume"
    )
    lines.append(f"{crop.seeds_per_lb:,.0f} seeds a pound{memory('seeds_per_lb')}")
    return [*lines, window]


def number(text: str) -> float | None:
    """Return the number of a table's cell, None where it is blank."""
    return float(text) if text else None


@functools.cache
def lime_fineness() -> dict[str, dict[int, float]]:
    """Return each state's weight of what passes a mesh and not the next finer one."""
    out: dict[str, dict[int, float]] = {}
    for row in rows("lime_fineness"):
        out.setdefault(row["state"], {})[int(row["mesh"])] = float(row["weight"])
    return out


@functools.cache
def bushels_lb() -> dict[str, tuple[float, bool]]:
    """Return pounds in a bushel by crop, and whether that is from memory."""
    return {
        row["crop"]: (float(row["lb"]), bool(row["from_memory"])) for row in rows("bushels")
    }


@dataclass(frozen=True)
class LimeBasis:
    """What a state's laboratories assume of lime, or its law asks of it."""

    measure: str
    assumed_pct: float | None
    least_pct: float | None
    depth_in: float | None
    note: str
    source: str


@functools.cache
def lime_bases() -> dict[str, LimeBasis]:
    """Return what was read of each state's lime, by its two letters."""
    return {
        row["state"]: LimeBasis(
            row["measure"], number(row["assumed_pct"]), number(row["least_pct"]),
            number(row["depth_in"]), row["note"], row["source"],
        )
        for row in rows("lime_bases")
    }  # fmt: skip


@functools.cache
def source_titles() -> dict[str, str]:
    """Return sources by id, as "title, publisher, year"."""
    return {
        row["id"]: f"{row['title']}, {row['publisher']}, {row['year']}"
        for row in rows("sources")
    }


def cite(ids: str) -> str:
    """Return the titles of source ids joined by semicolons."""
    titles = source_titles()
    return "; ".join(titles[key] for key in ids.split(";"))
