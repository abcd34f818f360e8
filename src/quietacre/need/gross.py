"""What the plan asks before anything is taken off: the whole of it, ground by ground.

The record asks it for the amount of a line that says none, and for the shares of a line
that names several pieces of ground.
"""

from __future__ import annotations

import dataclasses
import functools
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from quietacre.days import on_year
from quietacre.errors import NeedProblem
from quietacre.need.asked import TOP
from quietacre.need.fertilizer import plan_fertilizer
from quietacre.need.grade import NUTRIENTS, parse_grade
from quietacre.need.seed import seed_needs
from quietacre.record.moved import KINDS
from quietacre.record.uses import Window, season_of
from quietacre.record.words import FEED, LIME, PLANT, TOP_DRESS
from quietacre.units import SHORT_TON_LB

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Mapping, Sequence

    from quietacre.need.fertilizer import Plan, Plot
    from quietacre.need.grade import Grade
    from quietacre.need.job import Job
    from quietacre.settings import Mix, Property


@dataclass(frozen=True)
class Gross:
    """The whole plan of some ground, as ``record.uses.Plan`` asks for it.

    ``grades`` hold what was counted and bought in the shed, ``lime`` is the lime planned with.
    """

    jobs: Sequence[Job]
    plots: Mapping[str, Plot]
    grades: Sequence[Grade]
    prop: Property
    lime: str
    today: dt.date
    _plans: dict[str, Plan] = field(default_factory=dict)
    _mixes: dict[tuple[str, str], dict[str, float]] = field(default_factory=dict)

    @functools.cached_property
    def _by_name(self) -> dict[str, list[Job]]:
        jobs_by_name: dict[str, list[Job]] = {}
        for job in self.jobs:
            jobs_by_name.setdefault(job.name, []).append(job)
        return jobs_by_name

    def job(self, ground: str, on: dt.date, task: str = "") -> Job | None:
        """Return the planting of some ground that a day belongs to, of any year, else its first.

        Lime is of the planting that the ground is limed with.
        """
        mine = self._by_name.get(ground, ())
        if len(mine) == 1:
            return mine[0]
        if task == LIME:
            mine = [job for job in mine if job.lime_line] or mine
        return next(
            (job for job in mine if job.season.holds(on)),
            next(
                (job for job in mine if _of_its_days(on, job.season)),
                mine[0] if mine else None,
            ),
        )

    def acres(self, ground: str) -> float:
        """Return the acres of some ground, 0 where the plan does not know it. [ac]"""
        mine = self._by_name.get(ground)
        return mine[0].acres if mine else 0.0

    def window(self, ground: str, task: str, on: dt.date) -> Window:
        """Return the days whose lines count for the planting that a day belongs to."""
        job = self.job(ground, on, task)
        if job is None:
            return season_of(None, on)
        return job.since_test(LIME) if task == LIME else job.season

    def amounts(
        self, ground: str, task: str, on: dt.date, item: str, mix: str
    ) -> Mapping[str, float]:
        """Return pounds or fluid ounces by item; of one item or mix where it is named."""
        job = self.job(ground, on, task)
        if job is None:
            return {}
        if task == PLANT:
            amounts_lb = self._seed(job, mix)
        elif task == LIME:
            amounts_lb = {self.lime: _lime_lb(job)}
        elif task in FEED:
            amounts_lb = self._feed(job, task, item)
        else:
            amounts_lb = {}
            for row in job.spray:
                amounts_lb[row.tank.name] = (
                    amounts_lb.get(row.tank.name, 0.0) + row.tank.product
                )
        if not item:
            return {name: amount for name, amount in amounts_lb.items() if amount > 0}
        if task == LIME:  # another lime counts by its worth, not here
            return {item: _lime_lb(job)}
        return {item: amounts_lb[item]} if item in amounts_lb else {}

    def weight(self, ground: str, task: str, on: dt.date, item: str) -> float:
        """Return how much of a line's amount this ground asks, beside the others'."""
        job = self.job(ground, on)
        if job is None:
            return 0.0
        if task in FEED:
            need = self._asked_lb(job)
            if not item:
                return sum(need.values())
            return max(_by_nutrient(need, item), default=0.0)
        asked = self.amounts(ground, task, on, item if KINDS[task] != "lime" else "", "")
        return sum(asked.values())

    def wanted(self, item: str) -> float:
        """Return how much of an item all ground takes, in its unit."""
        seed = sum(row.lb for job in self.jobs for row in job.seed if row.crop == item)
        sprayed = sum(
            row.tank.product
            for job in self.jobs
            for row in job.spray
            if row.tank.name == item
        )
        lime = sum(_lime_lb(job) for job in self.jobs) if item == self.lime else 0.0
        if any(grade.grade == item for grade in self.grades):
            plan = self._plan("", list(self.plots.values()))
            return sum(lb for (_, grade), lb in plan.pounds.items() if grade == item)
        return float(seed + sprayed + lime)

    def _seed(self, job: Job, mix: str) -> dict[str, float]:
        """Return pounds of each crop of a job's mix, or of the mix that was sown. [lb]"""
        key = (job.key, mix)
        if key in self._mixes:
            return self._mixes[key]
        rows = job.seed
        sown: Mix | None = next((m for m in self.prop.mix if m.name == mix), None)
        if sown is not None and sown != job.mix:
            rows, _ = seed_needs(sown, job.acres, job.low, job.high, job.table)
        amounts_lb: dict[str, float] = {}
        for row in rows:
            amounts_lb[row.crop] = amounts_lb.get(row.crop, 0.0) + row.lb
        self._mixes[key] = amounts_lb
        return amounts_lb

    def _feed(self, job: Job, task: str, item: str) -> dict[str, float]:
        """Return pounds of each grade that the plan of this ground alone would spread. [lb]"""
        later = self.plots.get(job.key + TOP)
        plot = later if task == TOP_DRESS and later else self.plots.get(job.key)
        if plot is None:
            return {}
        plan = self._plan(plot.key, [plot])
        amounts_lb = {grade: lb for (_, grade), lb in plan.pounds.items()}
        if item and item not in amounts_lb:
            least = min(_by_nutrient(self._asked_lb(job), item), default=0.0)
            amounts_lb[item] = least
        return amounts_lb

    def _asked_lb(self, job: Job) -> dict[str, float]:
        """Return nutrients asked for on a piece of ground, now and later. [lb]"""
        mine = [plot for key in (job.key, job.key + TOP) if (plot := self.plots.get(key))]
        return {
            k: sum(plot.need_lb_ac.get(k, 0.0) * plot.acres for plot in mine)
            for k in NUTRIENTS
        }

    def _plan(self, key: str, plots: Sequence[Plot]) -> Plan:
        """Return the fertilizer plan of some plots, worked out once."""
        if key not in self._plans:
            buying = self.prop.buying
            grades = [dataclasses.replace(g, max_bags=None) for g in self.grades]
            self._plans[key] = plan_fertilizer(plots, grades, buying)
        return self._plans[key]


def _by_nutrient(need_lb: Mapping[str, float], item: str) -> list[float]:
    """Return pounds of a product that bring each nutrient asked for that it carries. [lb]"""
    try:
        shares = parse_grade(item)
    except NeedProblem:
        return []
    return [
        need_lb[k] / share
        for k, share in zip(NUTRIENTS, shares, strict=True)
        if share > 0 and need_lb[k] > 0
    ]


def _lime_lb(job: Job) -> float:
    """Return pounds of lime that a piece of ground takes now. [lb]"""
    return job.lime_line.ton * SHORT_TON_LB if job.lime_line else 0.0


def _of_its_days(on: dt.date, season: Window) -> bool:
    """Return whether a day of any year lies in a season's days of the year."""
    ends = [day.year for day in (season.first, season.last) if day is not None]
    return any(season.holds(on_year(year, on.month, on.day)) for year in ends)
