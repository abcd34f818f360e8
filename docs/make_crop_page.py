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
#: What decides an amount, a depth or a date where a crop is sown alone.
DECIDING = ("broadcast_lb_ac", "drill_lb_ac", "depth_in", "ph_min", "ph_target")
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


def blanks(crop: str) -> list[str]:
    """Return the names of a crop's blank cells, of figures and of planting windows."""
    read = printed_figures()[crop]
    return [
        *(name for name in (*SPANS, *SINGLE) if name not in read),
        *(f"window {region}" for region in REGIONS if not windows_here(crop, None, region)),
    ]


def deciding_blanks() -> str:
    """Return the blanks of the commonest crops among rate, depth, window and pH, in words."""
    return ", ".join(
        f"{crop}'s {_words(name)}"
        for crop in COMMONEST
        for name in blanks(crop)
        if name in DECIDING or name.startswith("window")
    )


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


def covered_with_region() -> list[str]:
    """Return the states where a dated window holds for each of the commonest crops.

    It is the state's own, or one printed for another state of its region or for the region.
    """
    return sorted(
        code
        for code in states()
        if all(
            any(one.range is not None for one in windows_here(crop, code))
            for crop in COMMONEST
        )
    )


def lacking() -> list[tuple[str, list[str]]]:
    """Return each state with a window of its own, and which of the commonest it lacks."""
    own = {crop: set(window_states(crop)) for crop in COMMONEST}
    some = sorted(set().union(*own.values()))
    missing = [
        (code, [crop for crop in COMMONEST if code not in own[crop]]) for code in some
    ]
    return sorted((one for one in missing if one[1]), key=lambda one: (len(one[1]), one[0]))


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
        "The twelve commonest crops, here in bold, are those that plots of the East and South are "
        "mostly sown to (common practice, no source); [how amounts are worked out]"
        "(methods-need.md) says why these. Of what decides their rate, depth, window or pH where "
        f"they are sown alone, blank is: {deciding_blanks() or 'nothing'}.",
        "",
        f"States with a printed window of their own for each of the twelve: "
        f"{_names(covered_states()) or 'none yet'}. With the windows of their region beside "
        f"their own, {len(covered_with_region())} states have one for each: "
        f"{_names(covered_with_region())}. Arrowleaf clover is a crop of East Texas to "
        "Georgia (Georgia, 2007): a state far from there that lacks it alone lacks little.",
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
        "## What a state's own print still lacks of the twelve",
        "",
        "States that lack up to six; where one is lacking, the region's window is shown with the "
        "state it was printed for, and the crop's line says whom to ask where there is none.",
        "",
        "| state | of twelve | lacking |",
        "|---|---|---|",
    ]
    lines += [
        f"| {states()[code].name} | {len(COMMONEST) - len(crops_)} | {', '.join(crops_)} |"
        for code, crops_ in lacking()
        if len(crops_) <= len(COMMONEST) // 2
    ]
    lines += [
        "",
        "## Cells by crop",
        "",
        "| crop | read | from memory | blank | what is from memory | what is blank |",
        "|---|---|---|---|---|---|",
    ]
    for name, crop in crops().items():
        one = cells(name)
        marked = ", ".join(_words(cell) for cell in sorted(crop.from_memory))
        lines.append(
            f"| {name} | {one['read']} | {one['memory']} | {one['blank']} | {marked} "
            f"| {', '.join(_words(cell) for cell in blanks(name))} |"
        )
    return "\n".join([*lines, ""])


def _names(codes: list[str]) -> str:
    return ", ".join(states()[code].name for code in codes)


def _pct(part: int, whole: int) -> str:
    return f"{100 * part / whole:.1f} %"


def _words(cell: str) -> str:
    return cell.removesuffix("_lb_ac").replace("maint_", "").replace("_", " ")
