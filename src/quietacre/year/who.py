"""Who does a job of the year, by property.toml."""

from __future__ import annotations

from typing import TYPE_CHECKING

from quietacre.plantings import plantings_of

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from quietacre.settings import Area, Property
    from quietacre.year.rings import WorkedRing
    from quietacre.year.task import Task


def who_does(task: Task, prop: Property, strips: Sequence[WorkedRing] = ()) -> str | None:
    """Return whose job it is, None where property.toml says nothing.

    The area's own tasks come first, then [[task]] that names a crop, other [[task]], [[round]],
    and the area. A strip's jobs are its patch's.
    """
    ground = {strip.id: strip.of for strip in strips}.get(task.area_id, task.area_id)
    area = prop.area_by_id.get(ground)
    if area is None:
        return None
    return next(_named(task.task, area, prop), area.who)


def _named(task: str, area: Area, prop: Property) -> Iterator[str]:
    """Yield the names given to a task on an area, the nearest first."""
    mixes = {planting.mix for planting in plantings_of(area)}
    crops = {seed.crop for mix in prop.mix if mix.name in mixes for seed in mix.seed}
    fit = [
        rule for rule in prop.task
        if rule.kind in (None, area.kind) and (rule.crop is None or rule.crop in crops)
    ]  # fmt: skip
    fit.sort(key=lambda rule: rule.crop is None)
    rules = [*area.tasks, *fit]
    yield from (rule.who for rule in rules if rule.task == task and rule.who is not None)
    for turn in prop.round:
        mine = turn.area in (None, area.name) and turn.kind in (None, area.kind)
        if turn.task == task and mine and turn.who is not None:
            yield turn.who
