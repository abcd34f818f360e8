"""What a job takes along: pounds of seed and fertilizer, tons of lime, passes and loads."""

from __future__ import annotations

from typing import TYPE_CHECKING

from quietacre.figures import figure
from quietacre.in_parts import InParts
from quietacre.units import SHORT_TON_LB

if TYPE_CHECKING:
    from quietacre.year.takes import Takes
    from quietacre.year.task import Task


def amounts_of(task: str, takes: Takes) -> list[str]:
    """Return what a job takes, and how many passes and loads that is."""
    work = takes.work.get(task)
    text = [work.text] if work is not None and work.text else []
    return [*(_taken(task, takes) or _done(task, takes)), *text]


def say_done(task: Task, takes: Takes) -> None:
    """Make a logged job's amounts, in place, what it took, and say what of it is left to do."""
    done, left = _done(task.task, takes), _taken(task.task, takes)
    if not done:
        return
    task.amounts = done
    if left:
        task.notes.append(
            InParts(
                f"not all of it is in the log: {', '.join(left)} left",
                "It stands on the list of what to buy. Log it when it is done, or leave it.",
            )
        )


def _taken(task: str, takes: Takes) -> list[str]:
    if task == "plant":
        return [f"{figure(row.lb, 'lb')} {row.name}" for row in takes.seed]
    if task in {"fertilize", "top-dress"}:
        later = task == "top-dress"
        return [
            f"{figure(row.lb, 'lb')} {row.name}"
            for row in takes.fertilizer
            if row.later == later
        ]
    if task == "lime" and takes.lime_ton is not None:
        return [f"{figure(takes.lime_ton, 'tons')} of lime"]
    return []


def _done(task: str, takes: Takes) -> list[str]:
    """Return what a job took of which nothing is left to do."""
    what = {"plant": "seed", "lime": "lime", "fertilize": "fertilizer"}.get(task)
    done = [one for one in takes.done if one.what == what]
    if what == "lime":
        return [f"{figure(one.amount / SHORT_TON_LB, 'tons')} of lime" for one in done]
    return [f"{figure(one.amount, 'lb')} {one.item}" for one in done]
