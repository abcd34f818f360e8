"""What is sown on an area: one planting or several, each with its own mix, day and soil test.

An area's own ``mix``, ``plant``, ``soil_test``, ``fertilizer`` and top-dressing are the short
form of one planting; ``plantings`` holds several. A month-day comes back each year:
``year.seasons`` says which year is meant, and all that follows takes dated plantings.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, fields, replace
from typing import TYPE_CHECKING

from quietacre.days import month_day, on_year
from quietacre.settings import Area, Planting

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from quietacre.settings import Property, TaskRule

#: The keys of one planting, which an area may have itself in place of a list.
SHORT_FORM = tuple(field.name for field in fields(Planting))


@dataclass(frozen=True)
class Sown(Area):
    """An area as one planting of it has it: that planting's keys, with a dated day.

    ``key`` names the planting (the area's id for the first, ``a01.2`` for the second);
    ``season_from`` to ``season_to`` are the days whose work is nearer to this planting than to
    another of the area, its own of the year before and after among them.
    """

    plant: dt.date | None = None
    topdress_on: dt.date | None = None
    area_id: str = ""
    key: str = ""
    number: int = 1
    count: int = 1  # plantings of this area
    season_from: dt.date | None = None
    season_to: dt.date | None = None
    planting_days: tuple[dt.date, ...] = ()  # of this ground, a year before and after too

    @property
    def plant_day(self) -> dt.date:
        """Return the planting day of a planting that is known to have one."""
        assert self.plant is not None  # noqa: S101 - the caller looked
        return self.plant

    @property
    def called(self) -> str:
        """Return what tells this planting from the others of its area."""
        return self.mix or f"planting {self.number}"

    @property
    def tag(self) -> str:
        """Return what goes before a sentence on this planting; blank for the only one."""
        return f"{self.called}: " if self.count > 1 else ""


def plantings_of(area: Area) -> tuple[Planting, ...]:
    """Return the plantings of an area, the short form as one of them."""
    if area.plantings:
        return area.plantings
    return (Planting(**{key: getattr(area, key) for key in SHORT_FORM}),)


def with_plantings(area: Area, plantings: Sequence[Planting]) -> Area:
    """Return an area with other plantings, as many as it has, in the form it has them in."""
    if area.plantings:
        return replace(area, plantings=tuple(plantings))
    (one,) = plantings
    return replace(area, **{key: getattr(one, key) for key in SHORT_FORM})


def with_days(area: Area, area_id: str, days: Mapping[str, dt.date]) -> Area:
    """Return an area with other planting days, by the keys of its plantings."""
    rows = [
        replace(row, plant=days.get(planting_key(area_id, number), row.plant))
        for number, row in enumerate(plantings_of(area), 1)
    ]
    return with_plantings(area, rows)


def planting_key(area_id: str, number: int) -> str:
    """Return the name of a planting of an area, counted from one."""
    return area_id if number == 1 else f"{area_id}.{number}"


def planting_keys(area_id: str, area: Area) -> list[str]:
    """Return the keys of an area's plantings, in order."""
    return [planting_key(area_id, n) for n, _ in enumerate(plantings_of(area), 1)]


def sown_of(prop: Property) -> tuple[Sown, ...]:
    """Return every planting of every area, in order; an area that is not sown as one.

    Raises
    ------
    ValueError
        A planting's day has no year yet: ``year.seasons.seasons_of`` gives it one.
    """
    out: list[Sown] = []
    for area_id, area in prop.area_by_id.items():
        rows = plantings_of(area)
        every = planting_days([_dated(row.plant, area) for row in rows])
        for number, row in enumerate(rows, 1):
            out.append(sown_as(area, area_id, number, row, every, len(rows)))
    return tuple(out)


def sown_as(
    area: Area, area_id: str, number: int, row: Planting, every: Sequence[dt.date],
    count: int,
) -> Sown:  # fmt: skip
    """Return an area as one of its plantings has it.

    Parameters
    ----------
    number, count : which of how many plantings it is, counted from one.
    every : the planting days of the area, as ``planting_days`` gives them.
    """
    plant = _dated(row.plant, area)
    first, last = season_days(plant, every) if plant else (None, None)
    shared = {
        field.name: getattr(area, field.name)
        for field in fields(Area)
        if field.name not in (*SHORT_FORM, "plantings", "tasks")
    }
    return Sown(
        **shared, tasks=tuple(_own_day(rule, plant, every, count) for rule in area.tasks),
        mix=row.mix, plant=plant, soil_test=row.soil_test, fertilizer=row.fertilizer,
        topdress_n_lb_ac=row.topdress_n_lb_ac, topdress_on=_dated(row.topdress_on, area),
        area_id=area_id, key=planting_key(area_id, number), number=number, count=count,
        season_from=first, season_to=last, planting_days=tuple(every),
    )  # fmt: skip


def _own_day(
    rule: TaskRule, plant: dt.date | None, every: Sequence[dt.date], count: int
) -> TaskRule:
    """Return a task's rule, without its day where that is nearer to another planting."""
    on = rule.on
    if on is None or plant is None or count == 1:
        return rule
    nearest = min(every, key=lambda day: abs(day - on))
    return rule if nearest == plant else replace(rule, on=None)


def _dated(day: dt.date | str | None, area: Area) -> dt.date | None:
    if isinstance(day, str):
        message = (
            f"“{area.name}”: {day} has no year yet; see quietacre.year.seasons.seasons_of"
        )
        raise ValueError(message)  # noqa: TRY004 - the type is right, the year lacks
    return day


def planting_days(days: Sequence[dt.date | None]) -> tuple[dt.date, ...]:
    """Return the planting days of some ground, those of the year before and after too."""
    known = {day for day in days if day is not None}
    return tuple(
        sorted(
            on_year(day.year + shift, day.month, day.day)
            for day in known
            for shift in (-1, 0, 1)
        )
    )


def season_days(plant: dt.date, days: Sequence[dt.date]) -> tuple[dt.date, dt.date]:
    """Return the first and the last day of a planting's season.

    Halfway to the plantings next to it on the same ground: ``days`` holds its own of the year
    before and after too, so that no season is longer than a year.
    """
    before = max(day for day in days if day < plant)
    after = min(day for day in days if day > plant)
    return plant - (plant - before) // 2, after - (after - plant) // 2 - dt.timedelta(
        days=1
    )


def on_or_after(day: str, first: dt.date) -> dt.date:
    """Return the first day from ``first`` on that a month-day falls on."""
    day_on = on_year(first.year, *month_day(day))
    return day_on if day_on >= first else on_year(first.year + 1, *month_day(day))
