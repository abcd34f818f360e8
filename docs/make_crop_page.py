"""Write the page that counts what of the crop table was read, and where.

``python docs/make_pages.py`` writes it as ``crop-table.md``.
"""

from __future__ import annotations

from collections import Counter

from quietacre.need.tables import MEMORY, crops, printed_figures
from quietacre.shipped import rows
from quietacre.windows import printed_windows, states, windows_here

#: The crops that plots of the South are mostly sown to, by groups that the docs justify.
COMMONEST = (
    "oats", "wheat", "cereal rye", "crimson clover", "arrowleaf clover", "red clover",
    "ladino / white clover", "turnip (forage)", "cowpea (iron-and-clay type)",
    "soybean (forage)", "corn", "grain sorghum (milo)",
)  # fmt: skip
#: Figures with two ends count as two cells, as they fill two columns on paper.
SPANS = ("broadcast_lb_ac", "drill_lb_ac", "in_mix_lb_ac", "depth_in")
SINGLE = (
    "ph_min", "ph_target", "maint_n_lb_ac", "maint_p2o5_lb_ac", "maint_k2o_lb_ac",
    "seeds_per_lb",
)  # fmt: skip
#: What every row says of the plant itself: Latin name, season, life cycle, legume or not,
#: and whether rates count live seed.
PLANT_CELLS = 5
REGIONS = ("upper South", "coastal plain", "Midwest")


def cells(crop: str) -> Counter[str]:
    """Return how many cells of a crop are read, from memory, blank."""
    count: Counter[str] = Counter(read=PLANT_CELLS)
    read = printed_figures()[crop]
    for name in (*SPANS, *SINGLE):
        kind = (
            "blank"
            if name not in read
            else "memory"
            if read[name][0].from_memory
            else "read"
        )
        count[kind] += 2 if name in SPANS else 1
    row = next(row for row in rows("crops") if row["crop"] == crop)
    if row["legume"] == "yes":
        count["memory" if row["inoculant_source"] == MEMORY else "read"] += 1
    for region in REGIONS:
        count["read" if windows_here(crop, None, region) else "blank"] += 1
    return count


def total() -> Counter[str]:
    """Return the cells of the whole table by kind."""
    return sum((cells(crop) for crop in crops()), Counter())


def window_states(crop: str) -> list[str]:
    """Return the states that a dated window of the crop was read for."""
    read = printed_windows().get(crop, ())
    return sorted({one.state for one in read if one.state and one.range is not None})


def covered_states() -> list[str]:
    """Return the states with a dated window for every one of the commonest crops."""
    each = [set(window_states(crop)) for crop in COMMONEST]
    return sorted(set.intersection(*each))


def crop_page() -> str:
    """Return the page: shares of cells by kind, windows by state and crop, gaps by name."""
    count = total()
    every = sum(count.values())
    named = sorted({state for crop in crops() for state in window_states(crop)})
    lines = [
        "# What of the crop table was read",
        "",
        "Counted from the shipped tables; made by `python docs/make_pages.py`.",
        "",
        f"Of {every} cells, {count['read']} ({_pct(count['read'], every)}) were read in a source, "
        f"{count['memory']} ({_pct(count['memory'], every)}) are from memory and marked so, and "
        f"{count['blank']} ({_pct(count['blank'], every)}) are blank: no source was read. A rate "
        "or a depth counts as two cells, its low and its high end; a planting window as one for "
        "each of three regions. In version 0.1.0, counted the same way, 477 were read and 276 "
        "from memory.",
        "",
        f"States with a printed window for each of the twelve commonest crops: "
        f"{', '.join(states()[code].name for code in covered_states()) or 'none yet'}.",
        "",
        "## Planting windows read, by state",
        "",
        "A dot is a state's own printed window with at least one date. Where there is none, the "
        "region's windows are shown, with the states they were printed for.",
        "",
        "| crop | " + " | ".join(named) + " |",
        "|---|" + "---|" * len(named),
    ]
    for crop in (*COMMONEST, *(name for name in crops() if name not in COMMONEST)):
        own = window_states(crop)
        bold = f"**{crop}**" if crop in COMMONEST else crop
        lines.append(
            f"| {bold} | " + " | ".join("•" if code in own else "" for code in named) + " |"
        )
    lines += [
        "",
        "## Cells by crop",
        "",
        "| crop | read | from memory | blank | what is from memory |",
        "|---|---|---|---|---|",
    ]
    for name, crop in crops().items():
        one = cells(name)
        marked = ", ".join(_words(cell) for cell in sorted(crop.from_memory))
        lines.append(
            f"| {name} | {one['read']} | {one['memory']} | {one['blank']} | {marked} |"
        )
    return "\n".join([*lines, ""])


def _pct(part: int, whole: int) -> str:
    return f"{100 * part / whole:.0f} %"


def _words(cell: str) -> str:
    return cell.removesuffix("_lb_ac").replace("maint_", "").replace("_", " ")
