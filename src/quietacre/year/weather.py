"""What a daily record says to this year's plan: rain odds, freezes, the best weekend to plant."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING

from quietacre.days import say_day, say_span
from quietacre.figures import AS_IT_IS, figure
from quietacre.quiet import DAY, shut_by
from quietacre.words import box_and_line
from quietacre.workweek import is_workday, weekends
from quietacre.year.capacity import DayCapacity
from quietacre.year.frost import frost_report, growing_days_f
from quietacre.year.rain import rain_odds, rain_this_month
from quietacre.year.task import PART
from quietacre.year.weather_records import DayOdds, PlantingOdds, WeatherReport, Weekend

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from quietacre.daily import Daily
    from quietacre.settings import Property, Weather
    from quietacre.year.frost import FrostReport
    from quietacre.year.plan import Planned
    from quietacre.year.rain import Odds
    from quietacre.year.task import Task

ROUND_OFF = 1e-6
TO_MOVE = "; to move it, change its "


def frost_of(record: Daily, prop: Property, today: dt.date) -> FrostReport | None:
    """Return the freezes of the record, None when it holds no lows."""
    ask = prop.weather
    assert ask is not None  # noqa: S101 - a record comes with its settings
    return frost_report(
        record, today.year, base_f=ask.growing_base_f, first_year=ask.first_year,
        last_year=ask.last_year,
    )  # fmt: skip


def weather_report(
    record: Daily, prop: Property, plan: Planned, today: dt.date,
    frost: FrostReport | None,
) -> WeatherReport:  # fmt: skip
    """Return the record's part of the year's report; ``frost`` is that of ``frost_of``."""
    ask = prop.weather
    assert ask is not None  # noqa: S101 - a record comes with its settings
    span = record.years(ask.first_year, ask.last_year)
    return WeatherReport(
        source=record.source,
        first=record.start,
        last=record.last,
        base_period=(span.start, span.stop - 1),
        dropped_by_flag=record.dropped_by_flag,
        traces=record.traces,
        rain_in=ask.rain_in,
        rain_days=ask.rain_days,
        this_month=rain_this_month(record, today),
        frost=frost,
        plantings=_plantings(record, ask, prop, plan, today),
    )


def _plantings(
    record: Daily, ask: Weather, prop: Property, plan: Planned, today: dt.date
) -> tuple[PlantingOdds, ...]:
    """Return the odds of each plot that is still to be planted, its parts taken together."""
    jobs: dict[str, list[Task]] = {}
    for task in plan.tasks:
        if task.task == "plant" and task.status == "planned":
            jobs.setdefault(task.planting, []).append(task)
    odds: dict[dt.date, Odds] = {}

    def odds_of(day: dt.date) -> Odds:
        if day not in odds:
            odds[day] = rain_odds(
                record, day, rain_in=ask.rain_in, rain_days=ask.rain_days,
                first_year=ask.first_year, last_year=ask.last_year,
            )  # fmt: skip
        return odds[day]

    return tuple(
        _planting(parts, record, ask, prop, plan, today, odds_of) for parts in jobs.values()
    )


def _planting(
    parts: Sequence[Task], record: Daily, ask: Weather, prop: Property, plan: Planned,
    today: dt.date, odds_of: Callable[[dt.date], Odds],
) -> PlantingOdds:  # fmt: skip
    """Return rain odds after each day this plot could be planted, and its best weekend.

    A weekend is a run of the person's days. Its worth is the chance of a planting rain
    after the day on which the sowing is done, times the part of the sowing that fits
    beside what else is planned there: hours of people, of tractors and of the machine. Of
    equal ones the nearest to the date meant is taken.
    """
    task = parts[0]
    # its mix, of several plantings
    several = task.label.partition(PART)[0].partition(", ")[2]
    open_days = _open_days(task, prop, plan, today)
    room = {day: _room(day, task, plan, prop) for day in open_days}
    trips = {t.scheduled for t in plan.tasks if t.status == "planned"}
    days = tuple(
        DayOdds(odds_of(day), room[day][0] >= task.minutes - ROUND_OFF, day in trips)
        for day in open_days
    )
    weekends_here = tuple(
        _weekend(run, parts, room, odds_of) for run in weekends(open_days)
    )
    best = max(
        (one for one in weekends_here if one.score > 0),
        key=lambda one: (round(one.score, 6), -abs((one.date - task.ideal).days)),
        default=None,
    )
    year_end = dt.date(task.ideal.year, 12, 31)
    planned = sorted(t.scheduled for t in parts if t.scheduled)
    degree_days, years = growing_days_f(
        record, planned[0] if planned else task.ideal, year_end, base_f=ask.growing_base_f,
        first_year=ask.first_year, last_year=ask.last_year,
    )  # fmt: skip
    return PlantingOdds(
        uid=task.uid,
        area=task.area,
        area_id=task.area_id,
        planting=task.planting,
        planned=planned[0] if planned else None,
        days=days,
        weekends=weekends_here,
        best=best,
        text=(f"{several}: " if several else "") + _best_words(best, planned, ask),
        # what to type, for whoever reads it beside the property file
        to_move=f'tasks = [{{ task = "plant", on = {best.date} }}]' if best else None,
        degree_days_to_year_end=degree_days,
        degree_years=years,
    )


def _open_days(task: Task, prop: Property, plan: Planned, today: dt.date) -> list[dt.date]:
    """Return the days on which a job could be done, after those that it waits for."""
    at = {t.uid: t.scheduled for t in plan.tasks}
    ready = [
        done + lag * DAY for uid, lag in task.after if (done := at.get(uid)) is not None
    ]
    first = max([today, task.earliest, *ready])
    return [
        day
        for number in range((task.latest - first).days + 1)
        if is_workday(day := first + number * DAY, prop.work)
        and shut_by(day, task.words, plan.seasons) is None
    ]


def _room(day: dt.date, task: Task, plan: Planned, prop: Property) -> tuple[float, str]:
    """Return the minutes a day has left for a job, and of what it has the least.

    The plot's own sowing is not counted as taken.
    """
    left = dict(DayCapacity.of(prop.work).limits(task.machine))
    capacity = DayCapacity.of(prop.work)
    for other in plan.tasks:
        mine = other.planting == task.planting and other.task == task.task
        if other.scheduled != day or other.status != "planned" or mine:
            continue
        for key, _ in capacity.limits(other.machine):
            if key in left:
                left[key] -= other.minutes
    least = min(left, key=lambda key: (left[key], key))
    return max(left[least], 0.0), least


def _weekend(
    run: Sequence[dt.date], parts: Sequence[Task],
    room: Mapping[dt.date, tuple[float, str]], odds_of: Callable[[dt.date], Odds],
) -> Weekend:  # fmt: skip
    """Return a weekend's odds, what of the sowing fits, and both joined.

    Parts are of one length and each wants a day with the room for it.
    """
    wanted, minutes = len(parts), parts[0].minutes
    held = 0
    date = run[0]
    for day in run:
        here = int((room[day][0] + ROUND_OFF) // minutes) if minutes > 0 else wanted
        if here:
            held, date = min(held + here, wanted), day
        if held == wanted:
            break
    odds = odds_of(date)
    share = held / wanted
    fullest = max(run, key=lambda day: room[day][0])
    return Weekend(
        first=run[0],
        last=run[-1],
        date=date,
        share=odds.share,
        low=odds.low,
        high=odds.high,
        hits=odds.hits,
        years=odds.years,
        minutes=minutes * wanted,
        free_minutes=sum(room[day][0] for day in run),
        work_share=share,
        short_of=None if held == wanted else room[fullest][1],
        score=(odds.share or 0.0) * share,
    )


SHORT_OF = {"people": "your own hours", "tractors": "tractor hours"}


def _best_words(best: Weekend | None, planned: Sequence[dt.date], ask: Weather) -> str:
    """Return the best weekend and why, in a sentence or two."""
    if best is None or best.share is None:
        return (
            "no best planting weekend: the record shows no planting rain after any of them"
        )
    work = (
        f"all {best.minutes:.0f} minutes of sowing fit"
        if best.work_share >= 1
        else f"{100 * best.work_share:.0f} % of the sowing fits, for want of "
        + SHORT_OF.get(best.short_of or "", f"hours of the {best.short_of}")
    )
    text = (
        f"best planting weekend {say_span(best.first, best.last)}: {figure(ask.rain_in, 'in', AS_IT_IS)} of rain "
        f"fell within {ask.rain_days} days of {say_day(best.date)} in {best.hits} of "
        f"{best.years} years ({100 * best.share:.0f} %; 19 times in 20 between "
        f"{100 * best.low:.0f} and {100 * best.high:.0f} %), and {work}"
    )
    if planned and not best.first <= planned[0] <= best.last:
        text += (
            f"; the plan sows on {say_day(planned[0])}, on the day asked for or as near to it as "
            "can be" + TO_MOVE + box_and_line("area", "plant", "plant under its [[area]]")
        )
    return text
