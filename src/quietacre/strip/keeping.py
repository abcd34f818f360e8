"""What keeping a vine takes in a year, beside getting rid of it, and what cuts mean for nests."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol

from quietacre.days import month_day, on_year, say_day
from quietacre.figures import figure
from quietacre.record.words import CUT
from quietacre.shipped import cite, rows
from quietacre.strip.cuts import growth_of
from quietacre.strip.law import is_runner_vine
from quietacre.units import ACRE_HR_FT_MPH
from quietacre.windows import states
from quietacre.words import settings_words

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Mapping, Sequence

    import geopandas as gpd

    from quietacre.settings import Equipment, Property
    from quietacre.strip.growth import Season
    from quietacre.strip.records import Ring

#: Jobs of a year that keeping a vine asks for.
KEEPING = (CUT, "strip inspection", "walk and pull")
#: Days between cuts that killed half of the plants in a season. "Control of kudzu by frequency
#: of cutting and grazing", AgEcon Search 258915, 1993.
KILLING_DAYS = 14
#: Seasons of close mowing, each month. Management text on kudzu, National Park Service and
#: Plant Conservation Alliance, ca 2006, second-hand.
MONTHLY_SEASONS = 2
MONTH_DAYS = 30.4


class VineJob(Protocol):
    """What is looked at of a job of the year."""

    @property
    def area(self) -> str:
        """Return the name of the ground."""

    @property
    def task(self) -> str:
        """Return what is done."""

    @property
    def minutes(self) -> float:
        """Return how long it takes."""

    @property
    def ideal(self) -> dt.date:
        """Return its best day."""

    @property
    def scheduled(self) -> dt.date | None:
        """Return its day, None without one."""


@dataclass(frozen=True, slots=True)
class Effort:
    """Work on a vine: cuts, hours of people and gallons of fuel, dollars of fuel if known."""

    cuts: int
    hours: float
    fuel_gal: float
    dollars: float | None


@dataclass(frozen=True, slots=True)
class Keeping:
    """A year of keeping a vine, and a season or two of mowing all of it."""

    keep: Effort
    rid_often: Effort  # every two weeks, one season
    rid_monthly: Effort  # each month, two seasons in all
    nests: tuple[str, ...]
    text: tuple[str, ...]


def keeping_by_ring(
    rings: Sequence[Ring],
    areas: gpd.GeoDataFrame,
    prop: Property,
    degree_days: Mapping[str, tuple[float, ...]],
    tasks: Sequence[VineJob],
) -> dict[str, Keeping | None]:
    """Return what keeping its vine takes by the id of each strip; None for a firebreak.

    Parameters
    ----------
    areas : one row per area with id, name and acres [ac].
    degree_days : by area id, as the strips were planned with.
    tasks : the year's jobs.
    """
    acres = dict(zip(areas["id"], areas["acres"], strict=True))
    vine_by_name = {area.name: area.vine for area in prop.area}
    vines = {
        key: vine_by_name[name]
        for key, name in zip(areas["id"], areas["name"], strict=True)
    }
    known = states().get(prop.property.state or "")
    return {
        ring.id: keeping(
            ring.name,
            tasks,
            ring.passes.fuel_gal if ring.passes else 0.0,
            sum(float(acres[key]) for key in ring.round_ids),
            prop.equipment,
            growth_of(prop.property, degree_days.get(ring.wanted.of)),
            known.name if known else None,
            next(
                (vines[key] for key in ring.round_ids if is_runner_vine(vines[key])),
                vines[ring.wanted.of],
            ),
        )
        if ring.kind == "strip"
        else None
        for ring in rings
    }


def keeping(
    strip: str,
    tasks: Sequence[VineJob],
    fuel_a_cut_gal: float,
    patch_ac: float,
    gear: Equipment,
    season: Season,
    state_name: str | None,
    vine: str | None = "kudzu",
) -> Keeping | None:
    """Return what keeping a vine takes beside mowing all of it; None without planned cuts.

    Parameters
    ----------
    strip : the strip's name, as jobs bear it.
    tasks : the year's jobs.
    fuel_a_cut_gal : of one cut of the strip. [gal]
    patch_ac : the vine's own ground. [ac]
    season : between its frosts the vine grows.
    state_name : whose nesting times are looked at; None looks at those of no one state.
    vine : what is kept; what mowing does was read of kudzu alone.
    """
    mine = [job for job in tasks if job.area == strip and job.task in KEEPING]
    cuts = [job for job in mine if job.task == CUT]
    if not cuts:
        return None
    price = gear.fuel_price_gal
    fuel = fuel_a_cut_gal * len(cuts)
    minutes = sum(job.minutes for job in mine)
    keep = Effort(len(cuts), minutes / 60.0, fuel, _dollars(fuel, price))
    year = _year_of(cuts)
    growing = (on_year(year, *season.first_frost) - on_year(year, *season.last_frost)).days
    often = _mowing(math.ceil(growing / KILLING_DAYS), patch_ac, gear)
    monthly = _mowing(MONTHLY_SEASONS * math.ceil(growing / MONTH_DAYS), patch_ac, gear)
    nests = nests_met(
        [job.scheduled for job in cuts if job.scheduled],
        state_name,
    )
    return Keeping(
        keep, often, monthly, nests, _lines(keep, often, monthly, price, nests, vine)
    )


def _year_of(cuts: Sequence[VineJob]) -> int:
    """Return the year that most of the cuts fall in by their best day."""
    years = [job.ideal.year for job in cuts]
    return max(set(years), key=years.count)


def _mowing(cuts: int, patch_ac: float, gear: Equipment) -> Effort:
    """Return the effort of mowing a whole patch so many times."""
    width = gear.mower_width_ft - gear.mower_overlap_ft
    acres_hour = width * gear.mower_mph * gear.field_efficiency / ACRE_HR_FT_MPH
    driving = cuts * patch_ac / acres_hour
    fuel = driving * gear.fuel_gal_hr
    return Effort(
        cuts,
        driving + cuts * gear.fixed_minutes / 60.0,
        fuel,
        _dollars(fuel, gear.fuel_price_gal),
    )


def _dollars(fuel_gal: float, price: float | None) -> float | None:
    return None if price is None else fuel_gal * price


def _said(effort: Effort) -> str:
    money = "" if effort.dollars is None else f", ${effort.dollars:,.0f} of it"
    return f"{effort.cuts} cuts, {effort.hours:.0f} hours, {figure(effort.fuel_gal, 'gal', 0)} of fuel{money}"


def _lines(
    keep: Effort, often: Effort, monthly: Effort, price: float | None,
    nests: Sequence[str], vine: str | None,
) -> tuple[str, ...]:  # fmt: skip
    mowing = (
        f"all of the patch every two weeks for a season, {_said(often)}; or each month for two "
        f"seasons, {_said(monthly)}"
    )
    treating = (
        "Treating it is the label's and a licensed applicator's word; no price was read."
    )
    lines = [
        f"Keeping it, a year, every year: {_said(keep)}, trips not counted.",
        f"Getting rid of it by mowing alone, where a mower can go: {mowing}. Then 3 to 10 years "
        f"of walking it again (Alabama Extension, ANR-65, 1999). {treating}"
        if is_runner_vine(vine)
        else f"Mowing all of it instead, where a mower can go: {mowing}. Whether that kills "
        f"{vine or 'this vine'} was not read: ask your county extension office. {treating}",
    ]
    if price is None:
        label = settings_words()["equipment"].keys["fuel_price_gal"].label
        lines.append(f"Dollars are not worked out: “{label}” is not given.")
    return (*lines, *nests)


def nests_met(cuts: Sequence[dt.date], state_name: str | None) -> tuple[str, ...]:
    """Return a line for each nesting time of the tables that planned cuts fall in."""
    out = []
    for row in rows("nesting"):
        whose, _, bird = row["state"].partition(" (")
        if row["kind"] != "biology" or (whose in _state_names() and whose != state_name):
            continue
        low, high = month_day(row["start"]), month_day(row["end"])
        met = [
            day
            for day in sorted(cuts)
            if on_year(day.year, *low) <= day <= on_year(day.year, *high)
        ]
        if met:
            days = ", ".join(say_day(day) for day in met)
            out.append(
                f"{len(met)} of {len(cuts)} planned cuts fall in {bird.rstrip(')')} time "
                f"({row['state']}, {say_day(on_year(met[0].year, *low))} to "
                f"{say_day(on_year(met[0].year, *high))}; {cite(row['source'])}): {days}. Growth kept short from green-up "
                "draws few nests; cutting in patches, part each time, is the usual compromise "
                "(common practice, no source)."
            )
    return tuple(out)


def _state_names() -> frozenset[str]:
    return frozenset(state.name for state in states().values())
