"""What is sown on a piece of ground: pounds, passes, and what to know of it."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from quietacre.need.before import look_back
from quietacre.need.cautions import seed_cautions
from quietacre.need.cover import cover_lines
from quietacre.need.inoculant import inoculate_text
from quietacre.need.machine import seed_line
from quietacre.need.mix_advice import mix_advice
from quietacre.need.seed import seed_needs

if TYPE_CHECKING:
    from quietacre.need.job import Job
    from quietacre.need.records import SeedLine
    from quietacre.settings import Property

#: The figure of a crop that tells its group.
INOCULANT = "inoculant_group"


def sow(job: Job, prop: Property) -> None:
    """Work out the seed of a job and say what to know of it; nothing once it is sown."""
    if job.mix is None:
        return
    job.seed, notes = seed_needs(job.mix, job.acres, job.low, job.high, job.table)
    if job.sown_on is not None:
        return
    job.seed = tuple(_with_window(row, prop) for row in job.seed)
    for code, text, level in notes:
        job.say(code, text, level)
    gear = prop.equipment
    job.setting += [
        seed_line(row, gear.spreader_swath_ft, gear.drill_width_ft) for row in job.seed
    ]
    job.setting += cover_lines(job.seed)
    for code, text in seed_cautions([r.crop for r in job.seed], job.mix.method):
        job.say(code, text, "info" if code == "baiting-law" else "caution")
    memory = [row.crop for row in job.seed if row.from_memory]
    if memory:
        job.say(
            "rate-from-memory",
            f"the {job.mix.method} rate of {', '.join(memory)} is from memory, read in no source",
            "warning",
            more="check it with extension.",
        )
    if not job.made:
        sown = [row.crop for row in job.seed]
        for advice in look_back(sown, job.area.history, job.area.plant, job.stood):
            job.say(*advice)
    rates = {row.crop: row.rate_lb_ac for row in job.seed}
    for advice in mix_advice(job.mix, job.table, rates, job.test):
        job.say(*advice)
    unread = {crop.name for crop in job.table.values() if INOCULANT in crop.from_memory}
    inoculate = inoculate_text(job.seed, unread)
    if inoculate:
        job.say("inoculate", f"{inoculate}.", "info")
        job.setting.append(inoculate)


def _with_window(row: SeedLine, prop: Property) -> SeedLine:
    """Return a line with the person's own window of its crop, unless its seed has one."""
    rule = prop.crop.get(row.crop)
    if row.own_window is not None or rule is None:
        return row
    return replace(row, own_window=rule.window)
