"""Faults of what is sown on an area: two forms at once, days that are none, one day twice."""

from __future__ import annotations

from typing import TYPE_CHECKING

from quietacre.days import month_day
from quietacre.intake.key_names import near_word
from quietacre.plantings import SHORT_FORM, plantings_of
from quietacre.workweek import FIRST_YEAR, LAST_YEAR

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Collection, Iterator

    from quietacre import settings


def planting_faults(prop: settings.Property) -> Iterator[str]:
    """Yield faults of the plantings of every area."""
    mixes = {mix.name for mix in prop.mix}
    tests = {test.name for test in prop.soil_test}
    for number, area in enumerate(prop.area, 1):
        at = f"area[{number}]"
        both = [key for key in SHORT_FORM if getattr(area, key) is not None]
        if area.plantings and both:
            yield (
                f"{at}.plantings: the area has {', '.join(both)} too, which is one planting more; "
                "write all plantings in the list, or none"
            )
            continue
        rows = plantings_of(area)
        for n, row in enumerate(rows, 1):
            here = f"{at}.plantings[{n}]" if area.plantings else at
            yield from leads(row.mix, f"{here}.mix", "mix", mixes)
            yield from leads(row.soil_test, f"{here}.soil_test", "soil_test", tests)
            yield from _day_faults(row.plant, f"{here}.plant")
            yield from _day_faults(row.topdress_on, f"{here}.topdress_on")
        if len(rows) > 1:
            yield from _several_faults(rows, at)


def _several_faults(rows: tuple[settings.Planting, ...], at: str) -> Iterator[str]:
    seen: dict[dt.date | str | None, int] = {}
    for n, row in enumerate(rows, 1):
        here = f"{at}.plantings[{n}]"
        if row.plant is None:
            yield f"{here}.plant: is missing; of several plantings each needs its day"
        elif row.plant in seen:
            yield (
                f"{here}.plant: plantings[{seen[row.plant]}] has that day too; write both mixes "
                "as one, or give another day"
            )
        seen.setdefault(row.plant, n)
    removed = [n for n, row in enumerate(rows, 1) if row.fertilizer == "removal"]
    if len(removed) > 1:
        yield (
            f"{at}.plantings[{removed[1]}].fertilizer: what is hauled off is put back once; "
            f"plantings[{removed[0]}] has “removal” already"
        )


def _day_faults(day: dt.date | str | None, path: str) -> Iterator[str]:
    if isinstance(day, str):
        try:
            month_day(day)
        except ValueError:
            yield f"{path}: “{day}” is not a day of the year"
    elif day is not None and not FIRST_YEAR <= day.year <= LAST_YEAR:
        yield f"{path}: {day} is no year to plan in; check it"


def leads(word: str | None, path: str, table: str, known: Collection[str]) -> Iterator[str]:
    """Yield a fault for a name that no row of a table has."""
    if word is not None and word not in known:
        yield f"{path}: there is no [[{table}]] named “{word}”{near_word(word, known)}"
