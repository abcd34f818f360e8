"""Where two calendars pull against each other, named: season, frost, law, lime, machines."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING, Any

from quietacre.shipped import rows
from quietacre.windows import inside, window_days
from quietacre.year.backward import CUT_MONTHS, say_day
from quietacre.year.season import DAY
from quietacre.year.workdays import NO_TRACTOR

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from quietacre.settings import Area, Property, Seed
    from quietacre.windows import Range
    from quietacre.year.plan import Planned

REGIONS = {
    "window_upper_south": "upper South",
    "window_coastal_plain": "coastal plain",
    "window_midwest": "Midwest",
}
#: Small grains that draw doves when they lie on top of the ground.
GRAIN = frozenset({"wheat", "oats", "cereal rye", "triticale"})
#: Missouri specialists never sow wheat before this (Standard Democrat, 2004).
GRAIN_FROM = (9, 15)
#: Lime has had too little time when planting is nearer than this. Common practice, no source.
LIME_DAYS = 90
#: A cool-season stand wants this long before hard frost. Assumption.
STAND_DAYS = 30
MOST_MACHINE_DAYS = 12


def windows_of(seed: Seed, row: Mapping[str, str]) -> dict[str, list[Range]]:
    """Return the planting windows of a crop by what they hold for.

    The person's own, where one is given, stands in for those of the crop table.
    """
    if seed.plant_from and seed.plant_to:
        low, high = (
            (int(text[:2]), int(text[3:])) for text in (seed.plant_from, seed.plant_to)
        )
        return {"your own window": [(low, high)]}
    found = {REGIONS[key]: window_days(row[key]) for key in REGIONS}
    return {region: ranges for region, ranges in found.items() if ranges}


def conflicts(
    plan: Planned, prop: Property, weather: Mapping[str, Any] | None
) -> list[dict[str, Any]]:
    """Return what conflicts, each with code, area, area_id, level and text."""
    ids = {area.name: f"a{n:02d}" for n, area in enumerate(prop.area, 1)}
    out: list[dict[str, Any]] = []

    def say(code: str, area: str | None, text: str, level: str = "caution") -> None:
        out.append({"code": code, "area": area, "area_id": ids.get(area or ""),
                    "level": level, "text": text})  # fmt: skip

    for area in prop.area:
        if area.plant is None:
            continue
        for code, text in _planting(area, prop, plan, weather):
            say(code, area.name, text)
    for name, text in _strips(plan):
        say("strip-against-season", name, text)
    for day, text in _machines(plan, prop):
        say("machines-at-once", None, f"{day.isoformat()}: {text}", "info")
    return out


def _planting(
    area: Area, prop: Property, plan: Planned, weather: Mapping[str, Any] | None
) -> Iterator[tuple[str, str]]:
    planted = next(
        (t.scheduled for t in plan.tasks
         if t.area == area.name and t.task == "plant" and t.scheduled), area.plant,
    )  # fmt: skip
    assert planted is not None  # noqa: S101 - the caller looked
    mix = next((m for m in prop.mix if m.name == area.mix), None)
    seeds = mix.seed if mix else ()
    names = [seed.crop for seed in seeds]
    table = {row["crop"]: row for row in rows("crops")}
    for seed in seeds:
        name = seed.crop
        row = table.get(name)
        if row is None:
            continue
        windows = windows_of(seed, row)
        if windows and not any(inside(planted, ranges) for ranges in windows.values()):
            own = f"your own window, {seed.plant_from} to {seed.plant_to}"
            printed = {REGIONS[key]: row[key] for key in REGIONS}
            said = "; ".join(f"{r} {text}" for r, text in printed.items() if r in windows)
            yield (
                "outside-crop-window",
                f"{name} on {say_day(planted)} is outside "
                + (f"every window of the crop table ({said})" if said else own)
                + ": ask your extension office.",
            )
        yield from _frost(name, row["season"], planted, weather)
    top_sown = mix is not None and mix.method == "broadcast"
    early = dt.date(planted.year, 7, 1) <= planted < dt.date(planted.year, *GRAIN_FROM)
    if top_sown and early and GRAIN & set(names):
        yield (
            "baiting-rule",
            f"{', '.join(sorted(GRAIN & set(names)))} sown on top on {say_day(planted)}: before "
            "your state's official planting dates this can make the field baited for doves "
            "(50 CFR 20.11; a field stays baited 10 days after all feed is gone). Cover the "
            "seed, or wait; ask the wildlife agency.",
        )
    lime = next((t for t in plan.tasks if t.area == area.name and t.task == "lime"), None)
    if lime is not None:
        spread = lime.scheduled
        if spread is None or (planted - spread).days < LIME_DAYS:
            when = f"on {say_day(spread)}" if spread else "no more in time"
            yield (
                "lime-too-late",
                f"lime spread {when} has under {LIME_DAYS} days before {say_day(planted)} to "
                "work: spread it all the same for the next crop, or plant what takes the "
                "present pH.",
            )


def _frost(
    crop: str, season: str, planted: dt.date, weather: Mapping[str, Any] | None
) -> Iterator[tuple[str, str]]:
    frost = (weather or {}).get("frost")
    if not frost:
        return
    at = {(r["season"], r["threshold_f"]): r for r in frost["freezes"]}
    base = "{}-{}".format(*frost["base_period"])
    late = at["spring", 32.0]["pct_10"]
    if season == "warm" and late:
        day = dt.date.fromisoformat(late).replace(year=planted.year)
        if planted < day and planted.month < 7:  # noqa: PLR2004 - spring
            yield (
                "frost-window",
                f"{crop} on {say_day(planted)}: one year in ten freezes later than "
                f"{say_day(day)} (32 °F, {base}).",
            )
    first = at["fall", 32.0 if season == "warm" else 28.0]["pct_50"]
    if first:
        day = dt.date.fromisoformat(first).replace(year=planted.year)
        if day - STAND_DAYS * DAY < planted and planted.month >= 7:  # noqa: PLR2004 - fall
            yield (
                "frost-window",
                f"{crop} on {say_day(planted)} has under {STAND_DAYS} days before the middle "
                f"first freeze, {say_day(day)} ({base}).",
            )


def _strips(plan: Planned) -> Iterator[tuple[str, str]]:
    """Yield the seasons that keep the mower off a strip while the vine runs."""
    cut = {t.area: t for t in plan.tasks if t.task == "strip cut"}
    days = [t.ideal for t in plan.tasks if t.task == "strip cut"]
    for name, task in cut.items():
        for season in plan.seasons:
            span = (season.last - season.first).days + 1
            runs = any(
                (season.first + n * DAY).month in CUT_MONTHS for n in range(min(span, 366))
            )
            near = min(days) <= season.first <= max(days)
            if runs and near and season.shuts(season.first, task.words):
                yield (
                    name,
                    f"no cut from {say_day(season.first)} to {say_day(season.last)} "
                    f"({season.name}, {span} days) while the vine runs: keep the strip short "
                    "before, so that it is no nesting cover, and wide enough to last.",
                )


def _machines(plan: Planned, prop: Property) -> Iterator[tuple[dt.date, str]]:
    """Yield days that want more implements than there are tractors."""
    on: dict[dt.date, set[str]] = {}
    for task in plan.tasks:
        if task.status == "planned" and task.scheduled and task.machine not in NO_TRACTOR:
            on.setdefault(task.scheduled, set()).add(task.machine)
    full = [
        (day, used) for day, used in sorted(on.items()) if len(used) > prop.work.tractors
    ]
    for day, used in full[:MOST_MACHINE_DAYS]:
        yield (
            day,
            f"{', '.join(sorted(used))}, one after the other on one tractor"
            + ("" if prop.work.tractors == 1 else f" of {prop.work.tractors}"),
        )
