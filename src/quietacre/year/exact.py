"""The plan as an integer program: fewest tasks left out, then fewest trips, then lateness.

Variables: x[task, day], one day a task; y[day], a trip. Minutes of people, tractors and
each machine fit the day; lags are clauses over days. Tasks that share no day, directly or
through others, are apart and solved alone. The search ends at a count of nodes, never at
a time, so the same property gives the same plan on every machine.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from quietacre.quiet import DAY

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Mapping, Sequence

    from quietacre.year.capacity import DayCapacity
    from quietacre.year.task import Task

#: Branch-and-bound nodes a group of tasks may take, for each of the three questions.
MOST_NODES = 20
#: A group of tasks larger than this keeps the plain rule's plan and a bound by hours.
MOST_CHOICES = 12_000
#: And for the days asked for, where they cannot all be kept.
MOST_NODES_ASKED = 500
ROUND_OFF = 1e-6
#: Wishes are told apart by thirtieths; the search ends within one of what it counts.
WISH = 30.0


def improved(
    by_uid: Mapping[str, Task], days: Mapping[str, list[dt.date]],
    pairs: Sequence[tuple[str, str, int]], capacity: DayCapacity, start: Mapping[str, dt.date],
    *, only_place: bool = False, wish: Mapping[tuple[str, dt.date], float],
) -> tuple[dict[str, dt.date], tuple[int, int, int]]:  # fmt: skip
    """Return the best days found, and proved least (trips, tasks left out, late days).

    ``only_place`` asks for a day for each task of a group, all of them or the plain plan.
    ``wish`` is what a day costs a task that was asked for on another: after the tasks left
    out, before the trips.
    """
    at: dict[str, dt.date] = {}
    least = [0, 0, 0]
    for group in _groups(days, pairs):
        inside = set(group)
        model = _Model(
            [by_uid[uid] for uid in group],
            {uid: days[uid] for uid in group},
            [pair for pair in pairs if pair[0] in inside],
            capacity,
        )
        best, bounds = model.solve(
            {u: start[u] for u in group if u in start}, only_place=only_place, wish=wish
        )
        at.update(best)
        least = [a + b for a, b in zip(least, bounds, strict=True)]
    return at, (least[0], least[1], least[2])


def _groups(
    days: Mapping[str, Sequence[dt.date]], pairs: Sequence[tuple[str, str, int]]
) -> list[list[str]]:
    """Return tasks in groups that share no day and no lag with one another."""
    root = {uid: uid for uid in days}

    def find(uid: str) -> str:
        while root[uid] != uid:
            root[uid] = root[root[uid]]
            uid = root[uid]
        return uid

    first_of: dict[dt.date, str] = {}
    for uid, allowed in days.items():
        for day in allowed:
            root[find(uid)] = find(first_of.setdefault(day, uid))
    for first, second, _ in pairs:
        root[find(first)] = find(second)
    groups: dict[str, list[str]] = {}
    for uid in days:
        groups.setdefault(find(uid), []).append(uid)
    return list(groups.values())


@dataclass
class _Model:
    tasks: Sequence[Task]
    days: Mapping[str, list[dt.date]]
    pairs: Sequence[tuple[str, str, int]]
    capacity: DayCapacity

    def __post_init__(self) -> None:
        self.all_days = sorted({day for allowed in self.days.values() for day in allowed})
        self.y = {day: i for i, day in enumerate(self.all_days)}
        self.x: dict[tuple[str, dt.date], int] = {}
        column = len(self.y)
        for task in self.tasks:
            for day in self.days[task.uid]:
                self.x[task.uid, day] = column
                column += 1
        self.u = {task.uid: column + i for i, task in enumerate(self.tasks)}
        self.columns = column + len(self.tasks)
        self.rows: list[tuple[dict[int, float], float, float]] = []
        self._fill()

    def _fill(self) -> None:
        """Write the constraints down: one day each, minutes, lags."""
        of_day: dict[dt.date, list[Task]] = {day: [] for day in self.all_days}
        for task in self.tasks:
            row = {self.x[task.uid, day]: 1.0 for day in self.days[task.uid]}
            self.rows.append(({**row, self.u[task.uid]: 1.0}, 1.0, 1.0))
            for day in self.days[task.uid]:
                of_day[day].append(task)
                # no work without a trip, task by task: the bound is sharp so
                self.rows.append(
                    ({self.x[task.uid, day]: 1.0, self.y[day]: -1.0}, -math.inf, 0.0)
                )
        for day, here in of_day.items():
            draws: dict[str, tuple[float, dict[int, float]]] = {}
            for task in here:
                for key, cap in self.capacity.limits(task.machine):
                    draws.setdefault(key, (cap, {}))[1][self.x[task.uid, day]] = (
                        task.minutes
                    )
            for cap, row in draws.values():
                self.rows.append(({**row, self.y[day]: -cap}, -math.inf, 0.0))
        for first, second, lag in self.pairs:
            for day in self.days[second]:
                # the second by this day and the first too late for it: not both
                row = {self.x[second, d]: 1.0 for d in self.days[second] if d <= day}
                late = {
                    self.x[first, d]: 1.0 for d in self.days[first] if d > day - lag * DAY
                }
                if late:
                    self.rows.append(({**row, **late}, -math.inf, 1.0))

    def solve(
        self,
        start: Mapping[str, dt.date],
        *,
        only_place: bool = False,
        wish: Mapping[tuple[str, dt.date], float],
    ) -> tuple[dict[str, dt.date], tuple[int, int, int]]:
        """Return days, and the least (trips, left out, late days) proved."""
        at = dict(start)
        if len(self.x) > MOST_CHOICES:
            return at, (self._trips_by_hours(), 0, 0)
        left_out = len(self.tasks) - len(at)
        out_least = 0
        if only_place:
            if left_out:  # all or nothing: that it cannot be is soon proved
                every = (dict.fromkeys(self.u.values(), 1.0), -math.inf, 0.0)
                solution, _ = self._run({}, [every], {})
                at = solution if solution is not None else at
            return at, (0, 0, 0)
        if left_out:
            cost = dict.fromkeys(self.u.values(), 1.0)
            solution, out_least = self._run(cost, [], at)
            if solution is not None and len(solution) > len(at):
                at = solution
                left_out = len(self.tasks) - len(at)
            out_least = min(out_least, left_out)
        keep = [(dict.fromkeys(self.u.values(), 1.0), -math.inf, float(left_out))]
        cost_of = {c: wish[key] for key, c in self.x.items() if wish.get(key)}
        if cost_of:
            whole = {c: WISH * w for c, w in cost_of.items()}
            solution, _ = self._run(whole, keep, at, nodes=MOST_NODES_ASKED)
            if solution is not None and self._cost(solution, wish) < self._cost(at, wish):
                at = solution
            keep.append((cost_of, -math.inf, self._cost(at, wish) + ROUND_OFF))
        trips = len(set(at.values()))
        solution, trips_least = self._run(dict.fromkeys(self.y.values(), 1.0), keep, at)
        if solution is not None and (-len(solution), len(set(solution.values()))) < (
            -len(at),
            trips,
        ):
            at = solution
        trips = len(set(at.values()))
        trips_least = min(trips_least, trips)
        late_cost = {
            self.x[t.uid, d]: float((d - t.ideal).days)
            for t in self.tasks
            for d in self.days[t.uid]
            if d > t.ideal
        }
        keep.append((dict.fromkeys(self.y.values(), 1.0), -math.inf, float(trips)))
        solution, late_least = self._run(late_cost, keep, at)
        if (
            solution is not None
            and len(solution) >= len(at)
            and self._late(solution) < self._late(at)
        ):
            at = solution
        return at, (trips_least, out_least, min(late_least, self._late(at)))

    def _cost(
        self, at: Mapping[str, dt.date], wish: Mapping[tuple[str, dt.date], float]
    ) -> float:
        return sum(wish.get((t.uid, at[t.uid]), 0.0) for t in self.tasks if t.uid in at)

    def _late(self, at: Mapping[str, dt.date]) -> int:
        return sum(max((at[t.uid] - t.ideal).days, 0) for t in self.tasks if t.uid in at)

    def _trips_by_hours(self) -> int:
        """Return a plain bound: the minutes over what everybody has in a day."""
        return math.ceil(
            sum(t.minutes for t in self.tasks) / self.capacity.people - ROUND_OFF
        )

    def _run(
        self, cost: Mapping[int, float],
        more: Sequence[tuple[dict[int, float], float, float]],
        start: Mapping[str, dt.date], *, nodes: int = MOST_NODES,
    ) -> tuple[dict[str, dt.date] | None, int]:  # fmt: skip
        """Return the days of the least cost found, and the cost no plan can go under."""
        import highspy

        from quietacre.solver import loaded

        solver = loaded(
            [cost.get(c, 0.0) for c in range(self.columns)],
            [0.0] * self.columns,
            [1.0] * self.columns,
            [True] * self.columns,
            [(list(row), list(row.values()), least, most)
             for row, least, most in (*self.rows, *more)],
            {"mip_abs_gap": 0.99, "mip_max_nodes": nodes},
        )  # fmt: skip
        if start:
            first = highspy.HighsSolution()
            first.col_value = list(self._columns(start))
            solver.setSolution(first)
        solver.run()
        info = solver.getInfo()
        bound = info.mip_dual_bound
        least = max(math.ceil(bound - 1e-4), 0) if math.isfinite(bound) else 0
        values = solver.getSolution().col_value
        feasible = highspy.SolutionStatus.kSolutionStatusFeasible
        if not values or info.primal_solution_status != feasible:
            return None, least
        at: dict[str, dt.date] = {
            uid: day
            for (uid, day), c in self.x.items()
            if values[c] > 0.5  # noqa: PLR2004 - 0 or 1
        }
        return at, least

    def _columns(self, at: Mapping[str, dt.date]) -> np.ndarray[Any, np.dtype[np.float64]]:
        values = np.zeros(self.columns)
        for task in self.tasks:
            day = at.get(task.uid)
            if day is None:
                values[self.u[task.uid]] = 1.0
            else:
                values[self.x[task.uid, day]] = 1.0
                values[self.y[day]] = 1.0
        return values
