"""What a job takes along: pounds of seed and fertilizer, tons of lime, passes and loads."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from quietacre.units import SHORT_TON_LB
from quietacre.year.minutes import work_of

if TYPE_CHECKING:
    from collections.abc import Mapping


#: From so many pounds on, tenths of a pound are left out.
WHOLE_LB = 100


def amounts_of(task: str, need: Mapping[str, Any]) -> list[str]:
    """Return what a job takes, and how many passes and loads that is."""
    text = work_of(task, need).get("text")
    return [*(_taken(task, need) or _done(task, need)), *([text] if text else [])]


def _taken(task: str, need: Mapping[str, Any]) -> list[str]:
    if task == "plant":
        return [f"{_pounds(row['lb'])} {row['crop']}" for row in need.get("seed", ())]
    if task in {"fertilize", "top-dress"}:
        later = task == "top-dress"
        return [
            f"{_pounds(row['lb'])} {row['grade']}"
            for row in need.get("fertilizer", ())
            if (row.get("when") == "top-dressing") == later
        ]
    if task == "lime" and need.get("lime"):
        return [f"{need['lime']['ton']:.2f} tons of lime"]
    return []


def _done(task: str, need: Mapping[str, Any]) -> list[str]:
    """Return what a job took of which nothing is left to do."""
    what = {"plant": "seed", "lime": "lime", "fertilize": "fertilizer"}.get(task)
    rows = [row for row in need.get("done", ()) if row["what"] == what]
    if what == "lime":
        return [f"{row['amount'] / SHORT_TON_LB:.2f} tons of lime" for row in rows]
    return [f"{_pounds(row['amount'])} {row['item']}" for row in rows]


def _pounds(weight_lb: float) -> str:
    """Return pounds as the page and the papers say them."""
    return f"{weight_lb:,.{1 if weight_lb < WHOLE_LB else 0}f} lb"
