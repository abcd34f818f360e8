"""What a daily record says to this year's plan: rain odds, freezes, the best day to plant."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING, Any

from quietacre.workweek import is_workday
from quietacre.year.frost import frost_report, growing_days_f
from quietacre.year.rain import rain_odds, rain_this_month
from quietacre.year.season import DAY, shut_by
from quietacre.year.workdays import Rooms

if TYPE_CHECKING:
    from quietacre.settings import Property, Weather
    from quietacre.year.backward import Task
    from quietacre.year.plan import Planned
    from quietacre.year.record import Daily


def weather_report(
    record: Daily, prop: Property, plan: Planned, today: dt.date
) -> dict[str, Any]:
    """Return the record's part of the year's report."""
    ask = prop.weather
    assert ask is not None  # noqa: S101 - a record comes with its settings
    span = record.years(ask.first_year, ask.last_year)
    return {
        "source": record.source,
        "first": record.start.isoformat(),
        "last": record.last.isoformat(),
        "base_period": [span.start, span.stop - 1],
        "dropped_by_flag": record.dropped_by_flag,
        "traces": record.traces,
        "rain_in": ask.rain_in,
        "rain_days": ask.rain_days,
        "this_month": rain_this_month(record, today),
        "frost": frost_report(
            record, today.year, base_f=ask.growing_base_f, first_year=ask.first_year,
            last_year=ask.last_year,
        ),
        "plantings": [
            _planting(task, record, ask, prop, plan, today)
            for task in plan.tasks
            if task.task == "plant" and task.status == "planned"
        ],
    }  # fmt: skip


def _planting(
    task: Task, record: Daily, ask: Weather, prop: Property, plan: Planned, today: dt.date
) -> dict[str, Any]:
    """Return rain odds after each day this plot could be planted, the best of them named.

    The best day has the time for the work and stands before the greatest share of years
    with a planting rain; of equal ones, the one nearest the date meant.
    """
    days = []
    used = plan.assigned.used
    room = Rooms.of(prop.work).people
    at = {t.uid: t.scheduled for t in plan.tasks}
    ready = [
        done + lag * DAY for uid, lag in task.after if (done := at.get(uid)) is not None
    ]
    day: dt.date = max([today, task.earliest, *ready])
    while day <= task.latest:
        if is_workday(day, prop.work) and shut_by(day, task.words, plan.seasons) is None:
            odds = rain_odds(
                record, day, rain_in=ask.rain_in, rain_days=ask.rain_days,
                first_year=ask.first_year, last_year=ask.last_year,
            )  # fmt: skip
            mine = task.minutes if task.scheduled == day else 0.0
            fits = used.get(day, 0.0) - mine + task.minutes <= room + 1e-9
            days.append({**odds.to_dict(), "work_fits": fits, "trip_already": day in used})
        day += DAY
    ranked = [d for d in days if d["work_fits"] and d["share"] is not None]
    best = max(
        ranked,
        key=lambda d: (
            round(d["share"], 6),
            -abs((dt.date.fromisoformat(d["date"]) - task.ideal).days),
        ),
        default=None,
    )
    year_end = dt.date(task.ideal.year, 12, 31)
    degree_days, years = growing_days_f(
        record, task.scheduled or task.ideal, year_end, base_f=ask.growing_base_f,
        first_year=ask.first_year, last_year=ask.last_year,
    )  # fmt: skip
    return {
        "uid": task.uid,
        "area": task.area,
        "planned": task.scheduled.isoformat() if task.scheduled else None,
        "days": days,
        "best": best["date"] if best else None,
        "degree_days_to_year_end": degree_days,
        "degree_years": years,
    }


def weather_lines(weather: dict[str, Any]) -> list[str]:
    """Return the record's part of the printed year."""
    first, last = weather["base_period"]
    lines = [
        f"weather: {weather['source']}, {weather['first']} to {weather['last']}, base period "
        f"{first} to {last} ({weather['dropped_by_flag']} values dropped by quality flag)"
    ]
    month = weather["this_month"]
    if month["inches"] is not None:
        lines.append(
            f"  rain {month['from']} to {month['to']}: {month['inches']:.2f} in, "
            f"{month['missing_days']} days missing"
        )
    for plant in weather["plantings"]:
        lines.append(
            f"  {plant['area']}: chance of {weather['rain_in']:g} in within "
            f"{weather['rain_days']} days, and the dry days before the next rain"
        )
        for day in plant["days"]:
            if day["share"] is None:
                lines.append(f"    {day['date']}: no year of the record is whole here")
                continue
            marks = [
                *(["best"] if day["date"] == plant["best"] else []),
                *(["planned"] if day["date"] == plant["planned"] else []),
                *([] if day["work_fits"] else ["the day is full"]),
            ]
            dry = (
                ""
                if day["dry_median_days"] is None
                else f", dry {day['dry_median_days']:.0f} days, one year in ten "
                f"{day['dry_long_days']:.0f}"
            )
            lines.append(
                f"    {day['date']}: {100 * day['share']:.0f} % "
                f"({100 * day['low']:.0f} to {100 * day['high']:.0f} %, {day['hits']} of "
                f"{day['years']} years){dry}{'; ' + ', '.join(marks) if marks else ''}"
            )
        if plant["degree_days_to_year_end"] is not None:
            lines.append(
                f"    growing-degree days to December 31: {plant['degree_days_to_year_end']:.0f} "
                f"({plant['degree_years']} years)"
            )
    frost = weather["frost"]
    if frost:
        lines.append(
            f"  freezes, base period {frost['base_period'][0]} to {frost['base_period'][1]}"
        )
        for row in frost["freezes"]:
            if row["pct_50"] is None:
                lines.append(
                    f"    {row['season']} {row['threshold_f']:.0f} °F: no date from "
                    f"{row['years']} years ({row['years_without']} without)"
                )
                continue
            word = "later than" if row["season"] == "spring" else "before"
            lines.append(
                f"    {row['season']} {row['threshold_f']:.0f} °F: 1 year in 10 {word} "
                f"{row['pct_10'][5:]}, half {row['pct_50'][5:]}, 9 in 10 {row['pct_90'][5:]} "
                f"({row['years']} years)"
            )
        if frost["growing"] and frost["growing"]["degree_days"] is not None:
            lines.append(
                f"    growing-degree days between the middle freezes, base "
                f"{frost['growing']['base_f']:g} °F: {frost['growing']['degree_days']:.0f}"
            )
    return lines
