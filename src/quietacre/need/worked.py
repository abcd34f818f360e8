"""The work on a piece of ground, counted from its amounts."""

from __future__ import annotations

from typing import TYPE_CHECKING

from quietacre.need.job import LATER, NOW
from quietacre.need.soil import lime_product
from quietacre.need.work import lime_work, sow_work, spread_work
from quietacre.units import SHORT_TON_LB

if TYPE_CHECKING:
    from quietacre.need.job import Job
    from quietacre.need.work import Work
    from quietacre.settings import Property


def count_whole(job: Job, prop: Property) -> None:
    """Count the sowing and liming of a job as a whole, for what may be done already."""
    need, work = job.need, {}
    if need["seed"]:
        work["plant"] = sow_work(job.acres, need["seed"], prop.equipment)
    if need["lime"]:
        work["lime"] = _lime(job, prop)
    need["work"] = {task: one.to_dict() for task, one in work.items()}


def count_work(job: Job, prop: Property) -> None:
    """Count minutes, passes and loads of what is left of each job, or else of what was done."""
    need, gear, work = job.need, prop.equipment, {}
    if need["seed"]:
        work["plant"] = sow_work(job.acres, need["seed"], gear)
    for task, when in (("fertilize", NOW), ("top-dress", LATER)):
        pounds = [row["lb"] for row in need["fertilizer"] if row["when"] == when]
        if pounds:
            work[task] = spread_work(job.acres, pounds, gear)
    done = [row["amount"] for row in need["done"] if row["what"] == "fertilizer"]
    if done and "fertilize" not in work:
        need["work"]["fertilize"] = spread_work(job.acres, done, gear).to_dict()
    if need["lime"]:
        work["lime"] = _lime(job, prop)
    need["work"] |= {task: one.to_dict() for task, one in work.items()}
    for one in work.values():
        if one.note:
            job.say("many-loads", one.note)


def _lime(job: Job, prop: Property) -> Work:
    lime_lb = job.need["lime"]["ton"] * SHORT_TON_LB
    return lime_work(job.acres, lime_lb, prop.equipment, lime_product(prop))
