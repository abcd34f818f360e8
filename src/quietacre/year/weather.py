"""What a daily record says to this year's plan: rain odds, freezes, the best weekend to plant."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING, Any

from quietacre.days import say_day, say_span
from quietacre.quiet import DAY, shut_by
from quietacre.words import box_and_line
from quietacre.workweek import is_workday, weekends
from quietacre.year.frost import frost_report, growing_days_f
from quietacre.year.rain import rain_odds, rain_this_month
from quietacre.year.rooms import Rooms
from quietacre.year.task import PART

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from quietacre.daily import Daily
    from quietacre.settings import Property, Weather
    from quietacre.year.plan import Planned
    from quietacre.year.rain import Odds
    from quietacre.year.task import Task

ROUND_OFF = 1e-6
TO_MOVE = "; to move it, change its "


def frost_of(record: Daily, prop: Property, today: dt.date) -> dict[str, Any] | None:
    """Return the freezes of the record, None when it holds no lows."""
    ask = prop.weather
    assert ask is not None  # noqa: S101 - a record comes with its settings
    return frost_report(
        record, today.year, base_f=ask.growing_base_f, first_year=ask.first_year,
        last_year=ask.last_year,
    )  # fmt: skip


def weather_report(
    record: Daily, prop: Property, plan: Planned, today: dt.date,
    frost: Mapping[str, Any] | None,
) -> dict[str, Any]:  # fmt: skip
    """Return the record's part of the year's report; ``frost`` is that of ``frost_of``."""
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
        "frost": frost,
        "plantings": _plantings(record, ask, prop, plan, today),
    }  # fmt: skip


def _plantings(
    record: Daily, ask: Weather, prop: Property, plan: Planned, today: dt.date
) -> list[dict[str, Any]]:
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

    return [_planting(parts, record, ask, prop, plan, today, odds_of)
            for parts in jobs.values()]  # fmt: skip


def _planting(
    parts: Sequence[Task], record: Daily, ask: Weather, prop: Property, plan: Planned,
    today: dt.date, odds_of: Callable[[dt.date], Odds],
) -> dict[str, Any]:  # fmt: skip
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
    days = [
        {**odds_of(day).to_dict(), "work_fits": room[day][0] >= task.minutes - ROUND_OFF,
         "trip_already": day in trips}
        for day in open_days
    ]  # fmt: skip
    found = [_weekend(run, parts, room, odds_of) for run in weekends(open_days)]
    best = max(
        (one for one in found if one["score"] > 0),
        key=lambda one: (
            round(one["score"], 6),
            -abs((dt.date.fromisoformat(one["date"]) - task.ideal).days),
        ),
        default=None,
    )
    year_end = dt.date(task.ideal.year, 12, 31)
    planned = sorted(t.scheduled for t in parts if t.scheduled)
    degree_days, years = growing_days_f(
        record, planned[0] if planned else task.ideal, year_end, base_f=ask.growing_base_f,
        first_year=ask.first_year, last_year=ask.last_year,
    )  # fmt: skip
    return {
        "uid": task.uid,
        "area": task.area,
        "area_id": task.area_id,
        "planting": task.planting,
        "planned": planned[0].isoformat() if planned else None,
        "days": days,
        "weekends": found,
        "best": best,
        "text": (f"{several}: " if several else "") + _best_words(best, planned, ask),
        # what to type, for whoever reads it beside the property file
        "to_move": f'tasks = [{{ task = "plant", on = {best["date"]} }}]' if best else None,
        "degree_days_to_year_end": degree_days,
        "degree_years": years,
    }


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
    left = dict(Rooms.of(prop.work).limits(task.machine))
    rooms = Rooms.of(prop.work)
    for other in plan.tasks:
        mine = other.planting == task.planting and other.task == task.task
        if other.scheduled != day or other.status != "planned" or mine:
            continue
        for key, _ in rooms.limits(other.machine):
            if key in left:
                left[key] -= other.minutes
    least = min(left, key=lambda key: (left[key], key))
    return max(left[least], 0.0), least


def _weekend(
    run: Sequence[dt.date], parts: Sequence[Task],
    room: Mapping[dt.date, tuple[float, str]], odds_of: Callable[[dt.date], Odds],
) -> dict[str, Any]:  # fmt: skip
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
    return {
        "first": run[0].isoformat(),
        "last": run[-1].isoformat(),
        "date": date.isoformat(),
        "share": odds.share,
        "low": odds.low,
        "high": odds.high,
        "hits": odds.hits,
        "years": odds.years,
        "minutes": minutes * wanted,
        "free_minutes": sum(room[day][0] for day in run),
        "work_share": share,
        "short_of": None if held == wanted else room[fullest][1],
        "score": (odds.share or 0.0) * share,
    }


SHORT_OF = {"people": "your own hours", "tractors": "tractor hours"}


def _best_words(
    best: Mapping[str, Any] | None, planned: Sequence[dt.date], ask: Weather
) -> str:  # fmt: skip
    """Return the best weekend and why, in a sentence or two."""
    if best is None:
        return (
            "no best planting weekend: the record shows no planting rain after any of them"
        )
    first, last = (dt.date.fromisoformat(best[key]) for key in ("first", "last"))
    work = (
        f"all {best['minutes']:.0f} minutes of sowing fit"
        if best["work_share"] >= 1
        else f"{100 * best['work_share']:.0f} % of the sowing fits, for want of "
        + SHORT_OF.get(best["short_of"], f"hours of the {best['short_of']}")
    )
    text = (
        f"best planting weekend {say_span(first, last)}: {ask.rain_in:g} in of rain fell within "
        f"{ask.rain_days} days of {say_day(dt.date.fromisoformat(best['date']))} in "
        f"{best['hits']} of {best['years']} years ({100 * best['share']:.0f} %, "
        f"{100 * best['low']:.0f} to {100 * best['high']:.0f} %), and {work}"
    )
    if planned and not first <= planned[0] <= last:
        text += (
            f"; the plan sows on {say_day(planned[0])}, on the day asked for or as near to it as "
            "can be" + TO_MOVE + box_and_line("area", "plant", "plant under its [[area]]")
        )
    return text


def weather_lines(weather: dict[str, Any]) -> list[str]:
    """Return the record's part of the printed year."""
    first, last = weather["base_period"]
    begin, end = (dt.date.fromisoformat(weather[key]) for key in ("first", "last"))
    lines = [
        f"weather: {weather['source']}, {say_span(begin, end, year=True)}, base period {first} to "
        f"{last}; {weather['dropped_by_flag']} values dropped for their quality flag, "
        f"{weather['traces']} traces taken as none"
    ]
    month = weather["this_month"]
    if month["inches"] is not None:
        span = say_span(*(dt.date.fromisoformat(month[key]) for key in ("from", "to")))
        missing = month["missing_days"]
        lines.append(
            f"  rain so far this month, {span}: {month['inches']:.2f} in"
            + (
                f", {missing} {'day' if missing == 1 else 'days'} missing"
                if missing
                else ""
            )
        )
    if weather["plantings"]:
        lines.append(
            f"  chance of {weather['rain_in']:g} in within {weather['rain_days']} days, and the "
            "dry days before the next rain:"
        )
    days = {day["date"]: day for plant in weather["plantings"] for day in plant["days"]}
    lines += [f"    {_day_line(day)}" for _, day in sorted(days.items())]
    for plant in weather["plantings"]:
        lines.append(f"  {plant['area']}: {plant['text']}")
        if plant["to_move"] and TO_MOVE in plant["text"]:
            lines.append(f"    that is, under its [[area]]: {plant['to_move']}")
        if plant["degree_days_to_year_end"] is not None:
            lines.append(
                f"    growing-degree days to December 31: {plant['degree_days_to_year_end']:.0f} "
                f"({plant['degree_years']} years)"
            )
    if weather["frost"]:
        lines += _frost_lines(weather["frost"])
    return lines


def _day_line(day: Mapping[str, Any]) -> str:
    date = dt.date.fromisoformat(day["date"])
    if day["share"] is None:
        return f"{date:%a} {say_day(date)}: no year of the record is whole here"
    text = (
        f"{date:%a} {say_day(date)}: {100 * day['share']:.0f} % ({100 * day['low']:.0f} to "
        f"{100 * day['high']:.0f} %, {day['hits']} of {day['years']} years)"
    )
    if day["dry_median_days"] is not None:
        text += (
            f"; dry days after it: {day['dry_median_days']:.0f}, one year in ten "
            f"{day['dry_long_days']:.0f} or more"
        )
    return text


def _frost_lines(frost: Mapping[str, Any]) -> list[str]:
    lines = [
        f"  freezes, base period {frost['base_period'][0]} to {frost['base_period'][1]}:"
    ]
    for row in frost["freezes"]:
        head = f"    {row['season']} {row['threshold_f']:.0f} °F: "
        if row["pct_50"] is None:
            lines.append(
                f"{head}no date from {row['years']} years ({row['years_without']} without)"
            )
            continue
        word = "later than" if row["season"] == "spring" else "before"
        ten, half, ninety = (
            say_day(dt.date.fromisoformat(row[f"pct_{level}"])) for level in (10, 50, 90)
        )
        lines.append(
            f"{head}1 year in 10 {word} {ten}, half {half}, 9 in 10 {ninety} "
            f"({row['years']} years)"
        )
    if frost["growing"] and frost["growing"]["degree_days"] is not None:
        lines.append(
            f"    growing-degree days between the middle freezes, base "
            f"{frost['growing']['base_f']:g} °F: {frost['growing']['degree_days']:.0f}"
        )
    return lines
