"""The work on a piece of ground, counted from its amounts."""

from __future__ import annotations

from typing import TYPE_CHECKING

from quietacre.need.job import LATER, NOW
from quietacre.need.soil import lime_product
from quietacre.need.work import lime_work, sow_work, spread_work
from quietacre.units import SHORT_TON_LB

if TYPE_CHECKING:
    from quietacre.need.job import Job
    from quietacre.settings import Property


def count_work(job: Job, prop: Property) -> None:
    """Count minutes, passes and loads of each job that spreads or sows something."""
    need, gear, work = job.need, prop.equipment, {}
    if need["seed"]:
        work["plant"] = sow_work(job.acres, need["seed"], gear)
    for task, when in (("fertilize", NOW), ("top-dress", LATER)):
        pounds = [row["lb"] for row in need["fertilizer"] if row["when"] == when]
        if pounds:
            work[task] = spread_work(job.acres, pounds, gear)
    if need["lime"]:
        lime_lb = need["lime"]["ton"] * SHORT_TON_LB
        work["lime"] = lime_work(job.acres, lime_lb, gear, lime_product(prop))
    need["work"] = {task: one.to_dict() for task, one in work.items()}
    for one in work.values():
        if one.note:
            job.say("many-loads", one.note)
