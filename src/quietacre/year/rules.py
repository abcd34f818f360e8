"""What the person changed of the jobs of a plot: their days, their machine, tasks of their own."""

from __future__ import annotations

from typing import TYPE_CHECKING

from quietacre.year.steps import STEPS, Step

if TYPE_CHECKING:
    from collections.abc import Iterator

    from quietacre.plantings import Sown
    from quietacre.settings import Property, TaskRule


def crops_of(area: Sown, prop: Property) -> set[str]:
    """Return the crops that an area's mix sows."""
    return {seed.crop for mix in prop.mix if mix.name == area.mix for seed in mix.seed}


def _fits(rule: TaskRule, area: Sown, prop: Property) -> bool:
    return (rule.kind is None or rule.kind == area.kind) and (
        rule.crop is None or rule.crop in crops_of(area, prop)
    )


def _rules(area: Sown, prop: Property) -> Iterator[TaskRule]:
    """Yield what the person changed, the nearest first.

    The area's tasks; [[task]] that names a crop; the crop's own; the other [[task]].
    """
    yield from area.tasks
    fit = [rule for rule in prop.task if _fits(rule, area, prop)]
    yield from (rule for rule in fit if rule.crop is not None)
    for mix in prop.mix:
        for seed in mix.seed if mix.name == area.mix else ():
            own = prop.crop.get(seed.crop)
            for rule in own.tasks if own else ():
                if rule.kind is None or rule.kind == area.kind:
                    yield rule
    yield from (rule for rule in fit if rule.crop is None)


def rule_of(task: str, area: Sown, prop: Property) -> TaskRule | None:
    """Return what the person changed of a task, the nearest word of it."""
    fit = (rule for rule in _rules(area, prop) if rule.task == task)
    return next((rule for rule in fit if rule.changes), None)


def own_steps(area: Sown, prop: Property) -> Iterator[Step]:
    """Yield tasks the person added: names no step has, with a day or days before planting."""
    known = {step.task for step in STEPS}
    for rule in _rules(area, prop):
        if rule.task in known or (rule.days_before is None and rule.on is None):
            continue
        known.add(rule.task)
        ideal = rule.days_before or 0
        yield Step(rule.task, rule.task, ideal + 7, ideal, ideal - 7,
                   rule.machine or "on foot", "your own task")  # fmt: skip


def days_of(step: Step, rule: TaskRule | None) -> tuple[int, int, int]:
    """Return earliest, ideal, latest days before planting, the ideal inside the others."""
    if rule is None:
        return step.earliest, step.ideal, step.latest
    ideal = step.ideal if rule.days_before is None else rule.days_before
    early = rule.earliest_days_before
    late = rule.latest_days_before
    early = max(step.earliest, ideal) if early is None else early
    late = min(step.latest, ideal) if late is None else late
    early = max(early, late)
    return early, min(max(ideal, late), early), late
