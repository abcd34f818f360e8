"""The work on a piece of ground, counted from its amounts."""

from __future__ import annotations

from typing import TYPE_CHECKING

from quietacre.need.job import LATER, NOW
from quietacre.need.soil import lime_product
from quietacre.need.work import lime_work, sow_work, spread_work
from quietacre.units import SHORT_TON_LB

if TYPE_CHECKING:
    from quietacre.need.job import Job
    from quietacre.need.records import LimeLine, Work
    from quietacre.settings import Property


def count_whole(job: Job, prop: Property) -> None:
    """Count the sowing and liming of a job as a whole, for what may be done already."""
    if job.seed:
        job.work["plant"] = sow_work(job.acres, job.seed, prop.equipment)
    if job.lime_line:
        job.work["lime"] = _lime(job.lime_line, job, prop)


def count_work(job: Job, prop: Property) -> None:
    """Count minutes, passes and loads of what is left of each job, or else of what was done."""
    gear = prop.equipment
    work: dict[str, Work] = {}
    if job.seed:
        work["plant"] = sow_work(job.acres, job.seed, gear)
    for task, when in (("fertilize", NOW), ("top-dress", LATER)):
        pounds = [row.lb for row in job.fertilizer if row.when == when]
        if pounds:
            work[task] = spread_work(job.acres, pounds, gear)
    done = [one.amount for one in job.done if one.what == "fertilizer"]
    if done and "fertilize" not in work:
        job.work["fertilize"] = spread_work(job.acres, done, gear)
    if job.lime_line:
        work["lime"] = _lime(job.lime_line, job, prop)
    job.work |= work
    for one in work.values():
        if one.note:
            job.say("many-loads", one.note)


def _lime(lime: LimeLine, job: Job, prop: Property) -> Work:
    pounds = lime.ton * SHORT_TON_LB
    return lime_work(job.acres, pounds, prop.equipment, lime_product(prop))
