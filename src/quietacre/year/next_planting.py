"""The next season of a planting that is finished: the day it was sown last, a year later.

The day offered is out of every quiet season, one of the person's, inside the printed windows
of each crop and in time before frost: the nearest such day to last time's.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import TYPE_CHECKING

from quietacre.days import on_year, say_day
from quietacre.model import Note
from quietacre.plantings import plantings_of, sown_of
from quietacre.quiet import DAY, seasons, shut_by
from quietacre.workweek import is_workday
from quietacre.year.records import OfferedDay
from quietacre.year.sowing import poor_days

if TYPE_CHECKING:
    from quietacre.plantings import Sown
    from quietacre.year.frost import FrostReport
    from quietacre.year.planting_season import PlantingSeason
    from quietacre.year.seasons import Seasons

#: A day so far from last time's is still offered; further off, the person decides.
MOST_DAYS_OFF = 28
#: And so near to it, it is "about" the same day.
ABOUT_DAYS = 3
#: A day of a task so far from the planting is of another year.
FAR_DAYS = 345


@dataclass(frozen=True)
class Offer:
    """The day offered for the next season of a planting, None where no day will do."""

    season: PlantingSeason
    day: dt.date | None
    text: str
    path: tuple[str | int, ...] = ()  # of the planting in property.toml
    later: dt.date | None = None  # its top-dressing, as long after the planting as before
    stays: tuple[str, ...] = ()  # days of its own tasks, which nobody moves

    @property
    def days(self) -> dict[str, dt.date]:
        """Return the days to set, by key."""
        days = {"plant": self.day, "topdress_on": self.later}
        return {key: day for key, day in days.items() if day is not None}


def offers_of(
    meant: Seasons, today: dt.date, frost: FrostReport | None = None
) -> tuple[Offer, ...]:
    """Return what is offered for each season that is finished, or over without a line.

    Parameters
    ----------
    meant : the seasons, as ``seasons_of`` gives them.
    frost : the frost report of the daily record, when there is one.
    """
    plantings = {sown.key: sown for sown in sown_of(meant.prop)}
    return tuple(
        _offer(row, plantings[row.key], meant, today, frost)
        for row in meant.rows
        if row.state in {"finished", "over"} and row.returns is None
    )


def _offer(
    row: PlantingSeason, sown: Sown, meant: Seasons, today: dt.date,
    frost: FrostReport | None,
) -> Offer:  # fmt: skip
    last = row.sown_on or row.plant
    same = on_year(last.year + 1, last.month, last.day)
    while same < today:
        same = on_year(same.year + 1, last.month, last.day)
    prop = meant.prop
    quiet_seasons = seasons(prop.quiet, same.year - 1, same.year + 1)
    first, end = same - MOST_DAYS_OFF * DAY, same + MOST_DAYS_OFF * DAY
    poor = poor_days(sown, first, end, frost, prop)
    days = [first + n * DAY for n in range((end - first).days + 1)]
    good = [
        day for day in days
        if day >= today and day not in poor and is_workday(day, prop.work)
        and shut_by(day, (sown.kind, sown.name), quiet_seasons) is None
    ]  # fmt: skip
    day = min(good, key=lambda one: (abs((one - same).days), one), default=None)
    when = f"{say_day(last, year=True)}" + ("" if row.sown_on else ", not in the log")
    if day is None:
        text = (
            f"last time {when}; no day of yours within {MOST_DAYS_OFF} days of "
            f"{say_day(same, year=True)} is out of the quiet seasons, inside its windows and in time "
            "before frost: choose one, or another mix"
        )
    elif abs((day - same).days) <= ABOUT_DAYS:
        text = f"same as last time ({when}): about {say_day(day, year=True)}"
    else:
        text = (
            f"last time {when}; {say_day(day, year=True)} is the nearest day of yours to that which "
            "quiet seasons, windows and frost leave"
        )
    number = list(prop.area_by_id).index(row.area_id)
    area = meant.typed.area[number]
    path: tuple[str | int, ...] = ("area", number)
    if area.plantings:
        path = (*path, "plantings", sown.number - 1)
    on = plantings_of(area)[sown.number - 1].topdress_on
    later = day + (on - row.plant) if day is not None and isinstance(on, dt.date) else None
    stays = tuple(
        f"its task “{rule.task}” has a day of its own, {rule.on}: change it, or write days_before"
        for rule in sown.tasks
        if rule.on is not None and day is not None and abs((day - rule.on).days) > FAR_DAYS
    )
    return Offer(row, day, text, path, later, stays)


def offer_note(offer: Offer) -> Note:
    """Return what is said of a planting whose next season is offered."""
    row = offer.season
    tag = f"{row.called}: " if row.called else ""
    how = "finished" if row.state == "finished" else "over"
    cure = " “quietacre next DIR --write” sets it." if offer.day else ""
    return Note(
        "next-planting", f"{tag}this season is {how}", "info", None, row.area,
        more=f"Sow it again? {offer.text}.{cure}",
    )  # fmt: skip


def offered_day(offer: Offer) -> OfferedDay:
    """Return an offer for the year's report."""
    row = offer.season
    return OfferedDay(
        area=row.area,
        area_id=row.area_id,
        planting=row.key,
        mix=row.mix,
        last=row.sown_on or row.plant,
        day=offer.day,
        text=offer.text,
    )
