"""What a job takes along: pounds of seed and fertilizer, tons of lime, passes and loads."""

from __future__ import annotations

from typing import TYPE_CHECKING

from quietacre.units import SHORT_TON_LB

if TYPE_CHECKING:
    from quietacre.year.takes import Takes


#: From so many pounds on, tenths of a pound are left out.
WHOLE_LB = 100


def amounts_of(task: str, takes: Takes) -> list[str]:
    """Return what a job takes, and how many passes and loads that is."""
    work = takes.work.get(task)
    text = [work.text] if work is not None and work.text else []
    return [*(_taken(task, takes) or _done(task, takes)), *text]


def _taken(task: str, takes: Takes) -> list[str]:
    if task == "plant":
        return [f"{_pounds(row.lb)} {row.name}" for row in takes.seed]
    if task in {"fertilize", "top-dress"}:
        later = task == "top-dress"
        return [
            f"{_pounds(row.lb)} {row.name}"
            for row in takes.fertilizer
            if row.later == later
        ]
    if task == "lime" and takes.lime_ton is not None:
        return [f"{takes.lime_ton:.2f} tons of lime"]
    return []


def _done(task: str, takes: Takes) -> list[str]:
    """Return what a job took of which nothing is left to do."""
    what = {"plant": "seed", "lime": "lime", "fertilize": "fertilizer"}.get(task)
    done = [one for one in takes.done if one.what == what]
    if what == "lime":
        return [f"{one.amount / SHORT_TON_LB:.2f} tons of lime" for one in done]
    return [f"{_pounds(one.amount)} {one.item}" for one in done]


def _pounds(weight_lb: float) -> str:
    """Return pounds as the page and the papers say them."""
    return f"{weight_lb:,.{1 if weight_lb < WHOLE_LB else 0}f} lb"
