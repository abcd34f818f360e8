"""What a calendar year came to, by the log: on each piece of ground, and on the whole.

A job of a planting belongs to the year of its planting day, other work to the year of its own
day, money to the day it was spent, rain to the day it fell.
"""

from __future__ import annotations

import datetime as dt
from collections import Counter, defaultdict
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from quietacre.days import month_day, on_year
from quietacre.intake.log import figure
from quietacre.intake.years import newest_of
from quietacre.kept_years import OpenJob, PieceYear, TakenAmount, YearRecord
from quietacre.model import folded
from quietacre.plantings import plantings_of
from quietacre.record.book import Names
from quietacre.record.moved import KINDS
from quietacre.record.paid import paid_for_work, price_on
from quietacre.record.rain import rain_of
from quietacre.record.uses import UNWRITTEN
from quietacre.year.beside import Beside, beside
from quietacre.year.steps import STEPS, planting_meant

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from quietacre.daily import Daily
    from quietacre.record.book import Book, Entry
    from quietacre.record.on_hand import Bought
    from quietacre.record.uses import Use
    from quietacre.settings import Property
    from quietacre.year.records import YearTask

#: A record with this many days of rain tells the rain of a year.
WHOLE_YEAR_DAYS = 350
_OF_A_PLANTING = frozenset(step.task for step in STEPS)


@dataclass(frozen=True)
class Lived:
    """What a year is told from, besides the settings.

    ``ground`` holds (name, id, kind, acres) of each piece, areas before strips.
    """

    book: Book
    uses: Sequence[Use]
    bought: Sequence[Bought]
    ground: Sequence[tuple[str, str, str, float]]
    total_acres: float
    weather: Daily | None = None


def year_record(year: int, lived: Lived, prop: Property, today: dt.date) -> YearRecord:
    """Return what is known of a calendar year up to a day."""
    years = Years.of(prop)
    entries = [
        one for one in lived.book.entries
        if one.is_job and one.on <= today and years.of_job(one.area, one.task, one.on) == year
    ]  # fmt: skip
    uses = [
        one for one in lived.uses
        if one.on <= today and years.of_job(one.ground, one.task, one.on) == year
    ]  # fmt: skip
    bought = [one for one in lived.bought if one.on.year == year and one.on <= today]
    prices = _prices(lived.bought, year)
    here: dict[str, list[Entry]] = defaultdict(list)
    used: dict[str, list[Use]] = defaultdict(list)
    for entry in entries:
        here[entry.area].append(entry)
    for use in uses:
        used[use.ground].append(use)
    parts = Counter(id(entry.job) for entry in entries)
    pieces = tuple(
        _piece(name, area_id, kind, acres, here[name], used[name], prices, parts)
        for name, area_id, kind, acres in lived.ground
        if here[name] or used[name]
    )
    rain_in, rain_from = _rain(year, lived, today)
    spent = [one.price_usd for one in bought if one.price_usd is not None]
    lines = list({id(entry.job): entry for entry in entries}.values())
    work = paid_for_work(lived.book, dt.date(year, 1, 1), min(dt.date(year, 12, 31), today))
    whole = _whole(
        pieces,
        lines,
        lived.total_acres,
        round(sum(spent) + work, 2) if spent or work else None,
    )
    return YearRecord(
        year,
        today.isoformat(),
        whole,
        pieces,
        rain_in,
        rain_from,
        work_dollars=work,
        taken=tuple(
            TakenAmount(one.on.isoformat(), one.ground, one.task, one.item, one.amount)
            for one in uses
            if one.how in UNWRITTEN
        ),
    )


@dataclass(frozen=True)
class Years:
    """Which year a job belongs to: of a planting, by month-day of the area's plantings."""

    plantings: Mapping[str, tuple[tuple[int, int], ...]]

    @classmethod
    def of(cls, prop: Property) -> Years:
        """Return the years of a property's jobs."""
        pieces = {}
        for area in prop.area:
            days = [row.plant for row in plantings_of(area) if row.plant is not None]
            pieces[area.name] = tuple(
                month_day(day) if isinstance(day, str) else (day.month, day.day)
                for day in days
            )
        return cls(pieces)

    def of_job(self, area: str, task: str, on: dt.date) -> int:
        """Return the calendar year that a job done on a day belongs to."""
        plantings = self.plantings.get(area, ())
        if not plantings or task not in _OF_A_PLANTING:
            return on.year
        days = [on_year(on.year + shift, *one) for one in plantings for shift in (-1, 0, 1)]
        return planting_meant(task, on, days).year


def _prices(bought: Sequence[Bought], year: int) -> dict[str, float]:
    """Return dollars a pound (or fl oz) of each item: of the year, else of the years before."""
    out: dict[str, float] = {}
    for before in (False, True):
        sums: dict[str, list[float]] = defaultdict(lambda: [0.0, 0.0])
        for one in bought:
            mine = one.on.year < year if before else one.on.year == year
            if mine and one.price_usd is not None and one.amount > 0:
                sums[one.item][0] += one.price_usd
                sums[one.item][1] += one.amount
        for item, (dollars, amount) in sums.items():
            out.setdefault(item, dollars / amount)
    return out


def _piece(
    name: str, area_id: str, kind: str, acres: float, entries: Sequence[Entry],
    uses: Sequence[Use], prices: Mapping[str, float], parts: Mapping[int, int],
) -> PieceYear:  # fmt: skip
    """Return one piece of ground in a year.

    ``prices`` are dollars a unit by item; ``parts`` tells on how many pieces a line of the log
    was done, by the identity of its job: its minutes and its price are shared between them.
    """
    pounds: dict[str, float] = defaultdict(float)
    paid = {e.job.line: price_on(e.job.cells) / parts[id(e.job)] for e in entries}
    dollars: float | None = sum(paid.values())
    for use in uses:
        pounds[KINDS[use.task]] += use.amount
        price = prices.get(use.item)
        if price is None and (use.amount <= 0 or paid.get(use.line)):
            price = 0.0  # nothing of it, or what the line cost is the price of both
        dollars = None if price is None or dollars is None else dollars + use.amount * price
    minutes = [
        None if (minutes_logged := figure(entry.job.cells.get("minutes", ""))) is None
        else minutes_logged / parts[id(entry.job)]
        for entry in entries
    ]  # fmt: skip
    stands = [
        (entry.on, score) for entry in entries
        if (score := figure(entry.job.cells.get("stand", ""))) is not None
    ]  # fmt: skip
    mixes = [
        mix
        for entry in entries
        if entry.task == "plant" and (mix := entry.job.cells.get("mix"))
    ]
    return PieceYear(
        name, area_id, kind, acres, tuple(dict.fromkeys(mixes)), pounds["seed"],
        pounds["fertilizer"], pounds["lime"], sum(use.how in UNWRITTEN for use in uses),
        round(dollars, 2) if dollars is not None and (uses or dollars) else None,
        len({entry.on for entry in entries}), len(entries),
        sum(one is None for one in minutes), _hours(minutes),
        max(stands)[1] if stands else None,
    )  # fmt: skip


def _hours(minutes: Iterable[float | None]) -> float | None:
    known = [one for one in minutes if one is not None]
    return round(sum(known) / 60, 2) if known else None


def _whole(
    pieces: Sequence[PieceYear], lines: Sequence[Entry], acres: float, dollars: float | None
) -> PieceYear:
    """Return the whole place in a year; a line that names several pieces is one line."""
    minutes = [figure(entry.job.cells.get("minutes", "")) for entry in lines]
    scored = [(p.stand, p.acres or 0.0) for p in pieces if p.stand is not None]
    weight = sum(part for _, part in scored)
    stand = None
    if scored:
        stand = (
            sum(score * part for score, part in scored) / weight
            if weight > 0
            else sum(score for score, _ in scored) / len(scored)
        )
    return PieceYear(
        "all ground", None, None, acres, (), sum(p.seed_lb for p in pieces),
        sum(p.fertilizer_lb for p in pieces), sum(p.lime_lb for p in pieces),
        sum(p.planned_amounts for p in pieces), dollars, len({one.on for one in lines}),
        len(lines), sum(one is None for one in minutes), _hours(minutes),
        round(stand, 1) if stand is not None else None,
    )  # fmt: skip


def _rain(year: int, lived: Lived, today: dt.date) -> tuple[float | None, str]:
    """Return inches of rain of a year and where they are from: a whole record, else the log."""
    first, last = dt.date(year, 1, 1), min(dt.date(year, 12, 31), today)
    span = (last - first).days + 1
    if lived.weather is not None and span > 0:
        values = lived.weather.window("rain_in", first, span)
        known = ~np.isnan(values)
        if int(known.sum()) >= span * WHOLE_YEAR_DAYS / 366:
            return round(float(values[known].sum()), 1), "record"
    logged = [inches for day, inches in rain_of(lived.book).items() if first <= day <= last]
    return (round(sum(logged), 1), "log") if logged else (None, "")


def open_jobs(
    tasks: Iterable[YearTask], seasons: Mapping[str, int], year: int
) -> tuple[OpenJob, ...]:
    """Return the jobs of a year that are not done.

    ``tasks`` are planned for it; ``seasons`` hold the year of each planting by its key.
    """
    return tuple(
        OpenJob(task.area, task.label, task.state, task.latest.isoformat())
        for task in tasks
        if task.state != "done"
        and seasons.get(task.planting or "", task.latest.year) == year
    )


@dataclass(frozen=True, slots=True)
class YearsTold:
    """A year and the one before it; ``last`` and ``beside`` are None where nothing is known.

    ``kept`` are the years that were closed; ``to_close`` the year that still could be;
    ``earlier`` the year before beside the one before that.
    """

    this: YearRecord
    last: YearRecord | None
    kept: tuple[str, ...]
    to_close: int | None
    beside: Beside | None
    earlier: Beside | None


def years_of(
    year: int, lived: Lived, prop: Property, today: dt.date, kept: Sequence[YearRecord]
) -> YearsTold:
    """Return a year beside the one before it.

    The year before is as it was kept, corrected last; by the log as it stands now where it
    was never closed; None where nothing is known of it.
    """
    names = Names.of(prop.area).now

    def past(one: int) -> YearRecord:
        known = newest_of(tuple(kept), one) or year_record(one, lived, prop, today)
        return known.renamed(lambda name: names.get(folded(name), name))

    before, earlier = past(year - 1), past(year - 2)
    this = year_record(year, lived, prop, today)
    return YearsTold(
        this=this,
        last=before if before.lived else None,
        kept=tuple(one.kept for one in kept),
        to_close=before.year if before.lived and not before.kept else None,
        beside=beside(before, this) if before.lived else None,
        earlier=beside(earlier, before) if before.lived and earlier.lived else None,
    )
