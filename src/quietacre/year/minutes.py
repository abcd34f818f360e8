"""Minutes that a job takes: in the field, along a strip, on foot."""

from __future__ import annotations

from typing import TYPE_CHECKING

from quietacre.need.work import machine_ac_hr, pull_minutes
from quietacre.strip.cuts import PULL
from quietacre.units import HOUR_MIN

if TYPE_CHECKING:
    from quietacre.settings import Equipment, Property, TaskRule
    from quietacre.year.rings import WorkedRing
    from quietacre.year.takes import WorkTold


#: Walking work, in minutes a job. Assumption.
FOOT_MINUTES = 20.0


def field_minutes(acres: float, machine: str, gear: Equipment) -> float:
    """Return minutes of one pass over some ground, plus the fixed ones of a job."""
    return HOUR_MIN * acres / machine_ac_hr(machine, gear) + gear.fixed_minutes


def ring_minutes(ring: WorkedRing, machine: str, gear: Equipment) -> float:
    """Return minutes on a strip or firebreak: its passes as drawn, plus fixed.

    What two passes cover is driven twice. Without passes, by its acres.
    """
    if ring.pass_minutes > 0.0:
        return ring.pass_minutes + gear.fixed_minutes
    return field_minutes(ring.acres, machine, gear)


def job_minutes(
    rule: TaskRule | None,
    acres: float,
    machine: str,
    prop: Property,
    work: WorkTold | None,
) -> float:
    """Return minutes of a job: the person's own, those of its amounts, or of its acres."""
    if rule is not None and rule.minutes is not None:
        return rule.minutes
    if work is not None and (rule is None or rule.machine is None):
        return work.minutes
    if machine in {"on foot", "desk"}:
        return FOOT_MINUTES
    known = {"mower", "disk", "drag", "drill", "spreader", "sprayer"}
    return field_minutes(acres, machine if machine in known else "mower", prop.equipment)


def strip_minutes(task: str, walk: float, acres: float, gear: Equipment) -> float:
    """Return minutes on foot: along the edge, or all over the strip where runners are pulled."""
    return pull_minutes(acres, gear) if task == PULL else walk
