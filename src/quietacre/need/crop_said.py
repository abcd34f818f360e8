"""What the table holds of a crop, in plain lines, each figure with the number of its source."""

from __future__ import annotations

from typing import TYPE_CHECKING

from quietacre.figures import figure
from quietacre.need.tables import ASK_RATE, MEMORY, RATES, no_rate
from quietacre.shipped import cite
from quietacre.windows import say_place, states, windows_here

if TYPE_CHECKING:
    from quietacre.need.tables import Crop, Figure


class Cited:
    """The sources that a text cites, numbered as they come."""

    def __init__(self) -> None:
        self.ids: list[str] = []

    def mark(self, ids: str) -> str:
        """Return " [1]" or " [1, 3]" for source ids joined by semicolons, blank for none."""
        numbers = []
        for key in ids.split(";"):
            if not key or key == MEMORY:
                continue
            if key not in self.ids:
                self.ids.append(key)
            numbers.append(self.ids.index(key) + 1)
        return f" [{', '.join(map(str, sorted(set(numbers))))}]" if numbers else ""

    def lines(self) -> list[str]:
        """Return what the numbers stand for, by title, publisher and year."""
        return [f"[{number}] {cite(key)}" for number, key in enumerate(self.ids, 1)]


def crop_lines(crop: Crop) -> list[str]:
    """Return what the table holds of a crop, "from memory" where it is, and what was read.

    Where sources print other figures they are shown with their states. Each figure bears the
    number of its source; the last lines tell title, publisher and year of each.
    """
    cited = Cited()
    lines = [_figure(crop, "depth_in", cited, "in.", " deep")]
    for name in RATES:
        method = name.split("_")[0]
        lines.append(
            f"{method} {_figure(crop, name, cited, 'lb/ac')}"
            if name in crop.figures
            else f"{method}: {no_rate(method)}; {ASK_RATE}"
        )
    if "in_mix_lb_ac" in crop.figures:
        lines.append(f"in a mix {_figure(crop, 'in_mix_lb_ac', cited, 'lb/ac')}")
    if crop.ph_min is not None:
        lines.append(
            f"pH {_figure(crop, 'ph_min', cited, None, ' at least')}"
            + (f", {_figure(crop, 'ph_target', cited, None, ' best', others=False)}"
               if crop.ph_target else "")
        )  # fmt: skip
    lines.append(
        f"inoculant: {crop.inoculant}{_memory(crop, 'inoculant_group')}"
        f"{cited.mark(crop.inoculant_source)}"
        if crop.inoculant
        else "no inoculant, it is no legume"
    )
    lines.append(
        f"{figure(crop.seeds_per_lb, 'seeds a pound')}{_memory(crop, 'seeds_per_lb')}"
        f"{cited.mark(crop.figures['seeds_per_lb'].source)}"
    )
    lines.append(_window_line(crop, cited))
    return [*lines, *cited.lines()]


def _memory(crop: Crop, cell: str) -> str:
    return " (from memory)" if cell in crop.from_memory else ""


def _figure(
    crop: Crop, name: str, cited: Cited, unit: str | None, what: str = "", *,
    others: bool = True,
) -> str:  # fmt: skip
    """Return "0.5-1 in. deep [1] (printed for Alabama; also printed: 1-2 Florida [2])".

    A figure without a unit, a pH, is the middle of what is printed.
    """
    used = crop.figures[name]
    told = f"{used.middle:g}" if unit is None else used.said(unit)
    way = ", as printed to plant, drilled or broadcast not told" if used.no_way_told else ""
    figure_text = f"{told}{what}{way}{_memory(crop, name)}{cited.mark(used.source)}"
    return figure_text + (_others(crop, name, cited, unit) if others else "")


def _others(crop: Crop, name: str, cited: Cited, unit: str | None) -> str:
    """Return other printed figures beside the one that is used, with their states."""
    used = crop.figures[name]
    known = states()
    by_text: dict[str, list[Figure]] = {}
    for one in crop.spread[name]:
        if str(one) != str(used):
            where = f" {known[one.state].name}" if one.state else ""
            way = f" {one.one_way}" if one.one_way else ""
            told = one.said(unit, bare=True) if unit else f"{one}"
            by_text.setdefault(f"{told}{where}{way}", []).append(one)
    if not by_text:
        return ""
    others = [
        text + cited.mark(";".join(one.source for one in some))
        for text, some in by_text.items()
    ]
    whose = f"printed for {known[used.state].name}; " if used.state else ""
    return f" ({whose}also printed: {', '.join(others)})"


def _window_line(crop: Crop, cited: Cited) -> str:
    here = windows_here(crop.name, crop.state, crop.region)
    where = say_place(crop.state, crop.region)
    if not here:
        return (
            f"planting window: none was read{f' for {where}' if where else ''}; ask your county "
            "extension office"
        )
    windows_text = "; ".join(f"{one}{cited.mark(one.source)}" for one in here)
    if where:
        return f"planting window for {where}: {windows_text}"
    return f"planting window: no state or region is chosen, so every one is shown: {windows_text}"
