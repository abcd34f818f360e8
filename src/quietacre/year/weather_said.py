"""The daily record's part of the printed year."""

from __future__ import annotations

from typing import TYPE_CHECKING

from quietacre.days import say_day, say_span
from quietacre.figures import AS_IT_IS, figure
from quietacre.year.weather import TO_MOVE

if TYPE_CHECKING:
    from quietacre.year.frost import FrostReport
    from quietacre.year.rain import MonthRain, Odds
    from quietacre.year.weather_records import PlantingOdds, WeatherReport


def weather_lines(weather: WeatherReport) -> list[str]:
    """Return the record's part of the printed year."""
    first, last = weather.base_period
    lines = [
        f"weather: {weather.source}, {say_span(weather.first, weather.last, year=True)}, base "
        f"period {first} to {last}; {weather.dropped_by_flag} values dropped for their quality "
        f"flag, {weather.traces} traces taken as none",
        *_month_lines(weather.this_month),
    ]
    if weather.plantings:
        lines.append(
            f"  chance of {figure(weather.rain_in, 'in', AS_IT_IS)} within {weather.rain_days} days, "
            "and the dry days before the next rain:"
        )
    days = {day.odds.date: day.odds for plant in weather.plantings for day in plant.days}
    lines += [f"    {_day_line(odds)}" for _, odds in sorted(days.items())]
    for plant in weather.plantings:
        lines += _planting_lines(plant)
    if weather.frost:
        lines += _frost_lines(weather.frost)
    return lines


def _month_lines(month: MonthRain) -> list[str]:
    if month.inches is None:
        return []
    missing = month.missing_days
    return [
        f"  rain so far this month, {say_span(month.from_, month.to)}: "
        f"{figure(month.inches, 'in', 2)}"
        + (f", {missing} {'day' if missing == 1 else 'days'} missing" if missing else "")
    ]


def _planting_lines(plant: PlantingOdds) -> list[str]:
    lines = [f"  {plant.area}: {plant.text}"]
    if plant.to_move and TO_MOVE in plant.text:
        lines.append(f"    that is, under its [[area]]: {plant.to_move}")
    if plant.degree_days_to_year_end is not None:
        lines.append(
            "    growing-degree days to December 31: "
            f"{_degree_days(plant.degree_days_to_year_end)} ({plant.degree_years} years)"
        )
    return lines


def _day_line(odds: Odds) -> str:
    if odds.share is None:
        return f"{odds.date:%a} {say_day(odds.date)}: no year of the record is whole here"
    text = (
        f"{odds.date:%a} {say_day(odds.date)}: {100 * odds.share:.0f} % "
        f"({100 * odds.low:.0f} to {100 * odds.high:.0f} %, {odds.hits} of {odds.years} years)"
    )
    if odds.dry_median_days is not None:
        text += (
            f"; dry days after it: {odds.dry_median_days:.0f}, one year in ten "
            f"{odds.dry_long_days:.0f} or more"
        )
    return text


def _frost_lines(frost: FrostReport) -> list[str]:
    lines = [f"  freezes, base period {frost.base_period[0]} to {frost.base_period[1]}:"]
    for row in frost.freezes:
        head = f"    {row.season} {figure(row.threshold_f, '°F')}: "
        if row.pct_10 is None or row.pct_50 is None or row.pct_90 is None:
            lines.append(
                f"{head}no date from {row.years} years ({row.years_without} without)"
            )
            continue
        word = "later than" if row.season == "spring" else "before"
        lines.append(
            f"{head}1 year in 10 {word} {say_day(row.pct_10)}, half {say_day(row.pct_50)}, "
            f"9 in 10 {say_day(row.pct_90)} ({row.years} years)"
        )
    if frost.growing and frost.growing.degree_days is not None:
        lines.append(
            f"    growing-degree days between the middle freezes, base "
            f"{figure(frost.growing.base_f, '°F', AS_IT_IS)}: "
            f"{_degree_days(frost.growing.degree_days)}"
        )
    return lines


def _degree_days(days_f: float) -> str:
    return figure(days_f, "°F days", bare=True)
