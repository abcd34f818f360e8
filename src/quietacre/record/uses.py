"""What was spread, sown and sprayed on each piece of ground, by day and item.

A line without an amount takes the plan's, less what other lines of the same season say;
one that names several pieces is split by what the plan asks of each. Both are said.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal, Protocol

from quietacre.record.moved import KINDS
from quietacre.record.words import PLANT

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from quietacre.record.moved import Line

#: Why an amount is not the line's own: from the plan, from its rate, its part of several.
How = Literal["written", "plan", "kept", "rate", "split"]
#: An amount that nobody wrote: today's plan, or what it was taken for when its year was closed.
UNWRITTEN = ("plan", "kept")
#: Half of the days that a season has, before its planting and after it.
HALF_YEAR = dt.timedelta(days=182)


@dataclass(frozen=True)
class Window:
    """Days that count, both ends among them; None is no end."""

    first: dt.date | None = None
    last: dt.date | None = None

    def holds(self, day: dt.date) -> bool:
        """Return whether a day is one of them."""
        return (self.first is None or self.first <= day) and (
            self.last is None or day <= self.last
        )


def season_of(plant: dt.date | None, today: dt.date) -> Window:
    """Return the season of a planting: half a year before its day to half a year after.

    Work on ground that is not planted belongs to the calendar year of ``today``.
    """
    if plant is None:
        return Window(dt.date(today.year, 1, 1), dt.date(today.year, 12, 31))
    return Window(plant - HALF_YEAR, plant + HALF_YEAR)


class Plan(Protocol):
    """What the plan asks before anything is taken off it, by name of the ground."""

    def amounts(
        self, ground: str, task: str, on: dt.date, item: str, mix: str
    ) -> Mapping[str, float]:
        """Return pounds or fluid ounces by item; of one item or mix where it is named."""

    def weight(self, ground: str, task: str, on: dt.date, item: str) -> float:
        """Return how much of a line's amount this ground asks, beside the others'."""

    def acres(self, ground: str) -> float:
        """Return its acres, 0 where it is not known. [ac]"""

    def window(self, ground: str, task: str, on: dt.date) -> Window:
        """Return the days whose lines count for the planting that a day belongs to."""


@dataclass(frozen=True)
class Use:
    """So much of an item that went onto one piece of ground on a day. [lb or fl oz]"""

    on: dt.date
    ground: str
    task: str
    item: str
    amount: float
    how: How
    line: int


def uses_of(lines: Sequence[Line], plan: Plan) -> tuple[Use, ...]:
    """Return what each line put on each piece of ground, in order of days.

    Parameters
    ----------
    lines : what was moved, as ``record.moved.lines_of``.
    plan : what the plan asks, before anything is taken off.
    """
    work = [line for line in lines if not line.bought]
    out = by_ground(use for line in work if _written(line) for use in _uses(line, plan))
    for line in work:
        for part in () if _written(line) else line.parts:
            here = out.setdefault(part[0], [])
            here += _from_plan(line, part, plan, here)
    whole = [use for some in out.values() for use in some]
    whole += _unnamed_seed(work, plan, whole)
    return tuple(sorted(whole, key=lambda use: (use.on, use.line)))


def by_ground(uses: Iterable[Use]) -> dict[str, list[Use]]:
    """Return what went onto each piece of ground, by its name."""
    ground_uses: dict[str, list[Use]] = {}
    for use in uses:
        ground_uses.setdefault(use.ground, []).append(use)
    return ground_uses


def _written(line: Line) -> bool:
    return line.amount is not None or line.rate_lb_ac is not None


def _uses(line: Line, plan: Plan) -> Iterable[Use]:
    """Yield the uses of a line that says its amount or its rate."""
    shares = _shares(line, plan)
    for (ground, task), share in zip(line.parts, shares, strict=True):
        if line.amount is not None:
            amount, how = line.amount * share, "split" if len(shares) > 1 else "written"
        else:
            amount, how = (line.rate_lb_ac or 0.0) * plan.acres(ground), "rate"
        for item, part in _items(line, ground, task, plan).items():
            yield Use(line.on, ground, task, item, amount * part, how, line.number)  # type: ignore[arg-type]


def _items(line: Line, ground: str, task: str, plan: Plan) -> dict[str, float]:
    """Return the share of each item: the line's own, or those of the plan."""
    if line.item:
        return {line.item: 1.0}
    planned = plan.amounts(ground, task, line.on, "", line.mix)
    whole = sum(planned.values())
    if whole <= 0:
        return {"": 1.0}
    return {item: amount / whole for item, amount in planned.items()}


def _shares(line: Line, plan: Plan) -> list[float]:
    """Return the share of each piece: by what is asked of it, else by acres, else alike."""
    asked = [plan.weight(ground, task, line.on, line.item) for ground, task in line.parts]
    if sum(asked) <= 0:
        asked = [plan.acres(ground) for ground, _ in line.parts]
    if sum(asked) <= 0:
        asked = [1.0] * len(asked)
    return [one / sum(asked) for one in asked]


def _from_plan(
    line: Line, part: tuple[str, str], plan: Plan, before: Sequence[Use]
) -> list[Use]:
    """Return the uses of a line without an amount: what the plan asks and no line says."""
    ground, task = part
    if (kept := line.settled.get(part)) is not None:
        return [
            Use(line.on, ground, task, item, amount, "kept", line.number)
            for item, amount in kept.items()
        ]
    window = plan.window(ground, task, line.on)
    planned = plan.amounts(ground, task, line.on, line.item, line.mix) or {line.item: 0.0}
    from_plan: dict[str, float] = {}
    for use in before if window.holds(line.on) else ():
        if KINDS[use.task] == KINDS[task] and window.holds(use.on):
            from_plan[use.item] = from_plan.get(use.item, 0.0) + use.amount
    return [
        Use(line.on, ground, task, item, max(amount - from_plan.get(item, 0.0), 0.0), "plan",
            line.number)
        for item, amount in planned.items()
    ]  # fmt: skip


def _unnamed_seed(work: Sequence[Line], plan: Plan, before: Sequence[Use]) -> Iterable[Use]:
    """Yield the seed of a mix that was sown, of crops that no line of its season names."""
    sown: dict[tuple[str, Window], tuple[Line, set[str]]] = {}
    for line in work:
        for ground, task in line.parts:
            window = plan.window(ground, PLANT, line.on)
            if task == PLANT and window.holds(line.on):
                sown.setdefault((ground, window), (line, set()))
    for use in before:
        if use.task == PLANT:
            window = plan.window(use.ground, PLANT, use.on)
            if window.holds(use.on):
                sown[use.ground, window][1].add(use.item)
    for (ground, _), (line, named) in sown.items():
        kept = line.settled.get((ground, PLANT))
        planned = (
            plan.amounts(ground, PLANT, line.on, "", line.mix) if kept is None else kept
        )
        how: How = "plan" if kept is None else "kept"
        for item, amount in planned.items():
            if item not in named:
                yield Use(line.on, ground, PLANT, item, amount, how, line.number)


def amounts_within(uses: Iterable[Use], kind: str, window: Window) -> dict[str, float]:
    """Return what went onto a piece of ground within some days, by item. [lb or fl oz]

    Parameters
    ----------
    uses : those of one piece of ground; a strip's are its own.
    kind : "lime", "fertilizer", "seed" or "spray".
    window : the days, such as those since a soil test or those of a season.
    """
    amounts_lb: dict[str, float] = {}
    for use in uses:
        if KINDS[use.task] == kind and window.holds(use.on):
            amounts_lb[use.item] = amounts_lb.get(use.item, 0.0) + use.amount
    return amounts_lb


def days_within(
    uses: Iterable[Use], kind: str, window: Window, item: str | None = None
) -> tuple[dt.date, ...]:
    """Return the days within some others on which something went onto a piece of ground."""
    days = {
        use.on for use in uses
        if KINDS[use.task] == kind and window.holds(use.on) and item in (None, use.item)
    }  # fmt: skip
    return tuple(sorted(days))


def sown_days(lines: Iterable[Line]) -> dict[str, list[dt.date]]:
    """Return the days on which each piece of ground was sown, by its name."""
    days: dict[str, list[dt.date]] = {}
    for line in lines:
        for ground, task in line.parts:
            if task == PLANT:
                days.setdefault(ground, []).append(line.on)
    return days
