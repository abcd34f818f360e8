"""What speaks for and against a day to sow on: printed windows, frost, the law on baited fields."""

from __future__ import annotations

import functools
from typing import TYPE_CHECKING, NamedTuple

from quietacre.crop_names import sown_as
from quietacre.days import month_day, on_year
from quietacre.figures import figure
from quietacre.quiet import DAY
from quietacre.shipped import rows
from quietacre.windows import inside, windows_of

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Iterator, Mapping

    from quietacre.plantings import Sown
    from quietacre.settings import Mix, Property, Seed
    from quietacre.windows import Range
    from quietacre.year.frost import FrostReport

#: Missouri specialists never sow wheat before this (Standard Democrat, 2004).
GRAIN_FROM = (9, 15)
#: Sown on top from here to ``GRAIN_FROM``, grain may bait doves.
BAIT_FROM = (7, 1)
#: A cool-season stand wants this long before hard frost. Assumption.
STAND_DAYS = 30
#: Grains that come through the winter from a small stand, and are usually sown up to a month
#: and more past the first frost ("Usual Planting and Harvesting Dates", USDA, 1997: wheat to
#: November 30 in Tennessee): no autumn frost speaks against them.
WINTER_GRAINS = frozenset({"wheat", "cereal rye", "triticale"})
#: Plantings before July are held against the spring's freezes, the others against the fall's.
MIDYEAR = 7


class Freeze(NamedTuple):
    """A frost date of any year: month and day, which one it is, and where it is from."""

    on: tuple[int, int]
    which: str
    source: str

    def of(self, year: int) -> dt.date:
        """Return its day in a year."""
        return on_year(year, *self.on)


class Freezes(NamedTuple):
    """The frost dates that a crop is held against; None where none is known."""

    spring: Freeze | None
    fall: Freeze | None

    def sow_from(self, day: dt.date) -> dt.date | None:
        """Return the day in spring to sow from, when ``day`` is too early for it."""
        if self.spring is None or day.month >= MIDYEAR:
            return None
        first = self.spring.of(day.year)
        return first if day < first else None

    def sow_by(self, day: dt.date) -> dt.date | None:
        """Return the day in autumn to sow by, when ``day`` is too late for it."""
        if self.fall is None or day.month < MIDYEAR:
            return None
        last = self.fall.of(day.year) - STAND_DAYS * DAY
        return last if day > last else None


def freezes_for(season: str, frost: FrostReport | None, prop: Property) -> Freezes:
    """Return the frost dates that count for crops of a season ("warm" or "cool").

    From the daily record's ``frost`` report; without one, from the frost dates of the
    property. Only warm-season crops mind the spring's.
    """
    warm = season == "warm"
    if frost:
        base = "{}-{}".format(*frost.base_period)
        limit = 32.0 if warm else 28.0
        late, first = frost.of("spring", 32.0).pct_10, frost.of("fall", limit).pct_50
        return Freezes(
            Freeze((late.month, late.day), "one year in ten freezes later than",
                   f" ({figure(32, '°F')}, {base})") if late and warm else None,
            Freeze((first.month, first.day), "the middle first freeze",
                   f" ({figure(limit, '°F')}, {base})") if first else None,
        )  # fmt: skip
    place, own = prop.property, " (your own frost date)"
    return Freezes(
        Freeze(month_day(place.last_frost), "the last frost of spring is", own)
        if place.last_frost and warm else None,
        Freeze(month_day(place.first_frost), "the first frost of autumn", own)
        if place.first_frost else None,
    )  # fmt: skip


def freezes_of(
    crop: str, season: str, frost: FrostReport | None, prop: Property
) -> Freezes:
    """Return the frost dates that count for a crop of a season: a winter grain minds none in autumn."""
    freezes = freezes_for(season, frost, prop)
    return freezes._replace(fall=None) if crop in WINTER_GRAINS else freezes


def mix_of(area: Sown, prop: Property) -> Mix | None:
    """Return the mix that an area is sown to."""
    return next((mix for mix in prop.mix if mix.name == area.mix), None)


def _seeds(area: Sown, prop: Property) -> tuple[Seed, ...]:
    mix = mix_of(area, prop)
    return mix.seed if mix else ()


def windows_by_crop(area: Sown, prop: Property) -> Iterator[Mapping[str, list[Range]]]:
    """Yield the planting windows of each crop that is sown on an area."""
    here = prop.property
    for seed in _seeds(area, prop):
        yield windows_of(seed, prop.crop.get(seed.crop), here.state, here.region)


def baits(area: Sown, day: dt.date, prop: Property) -> tuple[str, ...]:
    """Return the grains that, sown on top of an area on a day, may bait doves."""
    mix = mix_of(area, prop)
    early = on_year(day.year, *BAIT_FROM) <= day < on_year(day.year, *GRAIN_FROM)
    if mix is None or mix.method != "broadcast" or not early:
        return ()
    return tuple(sorted(sown_as("small grain") & {seed.crop for seed in mix.seed}))


@functools.cache
def _seasons_by_crop() -> dict[str, str]:
    """Return the season of each crop of the table, read once."""
    return {row["crop"]: row["season"] for row in rows("crops")}


def poor_days(
    area: Sown, first: dt.date, last: dt.date, frost: FrostReport | None,
    prop: Property,
) -> frozenset[dt.date]:  # fmt: skip
    """Return the days from ``first`` to ``last`` that some rule speaks against sowing on.

    Such a day lies outside every window of one of the crops, so near a frost that a
    stand would suffer, or in the weeks when the grain on top would bait doves.
    """
    windows = [one for one in windows_by_crop(area, prop) if one]
    table = _seasons_by_crop()
    crops = sorted({seed.crop for seed in _seeds(area, prop) if seed.crop in table})
    freezes = {freezes_of(crop, table[crop], frost, prop) for crop in crops}

    def poor(day: dt.date) -> bool:
        return (
            any(not any(inside(day, r) for r in one.values()) for one in windows)
            or any(one.sow_from(day) or one.sow_by(day) for one in freezes)
            or bool(baits(area, day, prop))
        )

    days = (first + n * DAY for n in range((last - first).days + 1))
    return frozenset(day for day in days if poor(day))
