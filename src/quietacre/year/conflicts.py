"""Where two calendars pull against each other, named, each with what would cure it.

Season against strip and burn, planting against crop table, frost and law, lime too late to
work, and several implements on one tractor.
"""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING

from quietacre.days import LEAP_YEAR, on_year, say_day, say_span
from quietacre.figures import feet
from quietacre.in_parts import InParts, led_by
from quietacre.plantings import sown_of
from quietacre.quiet import DAY, spans
from quietacre.shipped import rows
from quietacre.strip.cuts import growth_of
from quietacre.strip.growth import runs
from quietacre.windows import inside, say_place, say_windows, windows_of
from quietacre.words import box_and_line
from quietacre.workweek import nearest_workday
from quietacre.year.capacity import NO_TRACTOR
from quietacre.year.lags import lags_of
from quietacre.year.offers import off_the_day, trips_less
from quietacre.year.other_mix import other_mixes
from quietacre.year.records import Conflict
from quietacre.year.sowing import GRAIN_FROM, STAND_DAYS, baits, freezes_of, mix_of
from quietacre.year.steps import BURN_FIRST, BURN_LAST
from quietacre.year.two_plantings import overlaps

if TYPE_CHECKING:
    from collections.abc import Container, Iterator, Sequence

    from quietacre.model import Level
    from quietacre.plantings import Sown
    from quietacre.settings import Property, Seed
    from quietacre.windows import Range
    from quietacre.year.frost import FrostReport
    from quietacre.year.plan import Planned
    from quietacre.year.rings import WorkedRing
    from quietacre.year.task import Task

MOST_MACHINE_DAYS = 12
REACH_DAYS = 35


def conflicts(
    plan: Planned, prop: Property, frost: FrostReport | None,
    strips: Sequence[WorkedRing] = (), finished: Container[str] = (),
) -> list[Conflict]:  # fmt: skip
    """Return what conflicts.

    ``strips`` are looked at for what their widths hold; ``finished`` the keys of
    plantings whose season is over, of which nothing is said.
    """
    ids = {area.name: key for key, area in prop.area_by_id.items()}
    ids |= {strip.name: strip.id for strip in strips}
    out: list[Conflict] = []

    def say(code: str, area: str | None, text: str, level: Level = "caution") -> None:
        out.append(Conflict(code, area, ids.get(area or ""), level, text))

    for sown in sown_of(prop):
        if sown.plant is None or sown.key in finished:
            continue
        for code, text in _planting(sown, prop, plan, frost):
            say(code, sown.name, led_by(sown.tag, text))
    for name, text in overlaps(plan, prop):
        say("plantings-overlap", name, text, "warning")
    for name, text in other_mixes(plan, prop, frost):
        say("other-mix", name, text, "warning")
    for name, text in off_the_day(plan, prop):
        say("planting-off-its-day", name, text, "info")
    for text in trips_less(plan, prop):
        say("one-trip-fewer", None, text, "info")
    for name, text in _strips(plan, prop, strips):
        say("strip-against-season", name, text)
    for name, text in _burns(plan):
        say("burn-against-season", name, text)
    for text in _machines(plan, prop):
        say("machines-at-once", None, text, "info")
    return out


def _planting(
    area: Sown, prop: Property, plan: Planned, frost: FrostReport | None
) -> Iterator[tuple[str, str]]:
    task = _task("plant", area, plan)
    planted = task.scheduled if task is not None and task.scheduled else area.plant
    assert planted is not None  # noqa: S101 - the caller looked
    open_ended = task is not None and task.status == "planned"
    latest = max(task.latest, planted) if task is not None and open_ended else planted
    mix = mix_of(area, prop)
    table = {row["crop"]: row for row in rows("crops")}
    for seed in mix.seed if mix else ():
        row = table.get(seed.crop)
        yield from _window(seed, prop, planted)
        if row is not None:
            yield from _frost(seed.crop, row["season"], planted, latest, frost, prop)
    if grains := baits(area, planted, prop):
        legal = on_year(planted.year, *GRAIN_FROM)
        yield (
            "baiting-rule",
            InParts(
                f"{', '.join(grains)} sown on top on {say_day(planted)}",
                "before your state's official planting dates this can make the field baited for "
                "doves (50 CFR 20.11; a field stays baited 10 days after all feed is gone). Cover "
                f"the seed, or sow from {say_day(legal)} on; ask the wildlife agency.",
            ),
        )
    yield from _lime(area, prop, plan, planted)


def _task(name: str, sown: Sown, plan: Planned) -> Task | None:
    """Return the first task of a planting by its name, None without one."""
    return next((t for t in plan.tasks if t.planting == sown.key and t.task == name), None)


def _lime(
    area: Sown, prop: Property, plan: Planned, planted: dt.date
) -> Iterator[tuple[str, str]]:
    lime = _task("lime", area, plan)
    if lime is None:
        return
    spread, least = lime.scheduled, lags_of(area, prop)["lime_days"]
    # sown a few days before the date meant is no less lime
    meant = max(planted, area.plant or planted)
    if spread is None or (meant - spread).days < least:
        when = f"on {say_day(spread)}" if spread else "no more in time"
        yield (
            "lime-too-late",
            InParts(
                f"lime spread {when} has under {least} days before {say_day(planted)} to work",
                "spread it all the same for the next crop, or plant what takes the present pH.",
            ),
        )


def _window(seed: Seed, prop: Property, planted: dt.date) -> Iterator[tuple[str, str]]:
    own = prop.crop.get(seed.crop)
    state, region = prop.property.state, prop.property.region
    windows = windows_of(seed, own, state, region)
    where = say_place(state, region)
    box = box_and_line("crop", "window", f"window under {_table_name(seed.crop)}")
    ask = f"when your extension office gives other dates, write them as its {box}."
    if not windows:
        window_text = say_windows(seed.crop, state, region)
        head = (
            f"{seed.crop}: "
            + (
                f"no dates are printed ({window_text})"
                if window_text
                else "no planting window was read"
            )
            + (f" for {where}" if where and not window_text else "")
            + f", so {say_day(planted)} is held against none"
        )
        cure = "ask your county extension office, and write its dates as the crop's "
        yield "no-crop-window", InParts(head, f"{cure}{box}.")
        return
    if any(inside(planted, ranges) for ranges in windows.values()):
        return
    window_text = say_windows(seed.crop, state, region)
    if "your own window" in windows:
        ends = "; ".join(_say_range(one) for one in windows["your own window"])
        window_text = f"your own window, {ends}"
    elif where:
        window_text = f"what is printed for {where} ({window_text})"
    else:
        window_text = f"every window of the table ({window_text})"
    yield (
        "outside-crop-window",
        InParts(
            f"{seed.crop} on {say_day(planted)} is outside {window_text}",
            f"move the planting into it, or, {ask}",
        ),
    )


def _table_name(crop: str) -> str:
    """Return the head of a crop's table in property.toml."""
    bare = crop.replace("-", "").replace("_", "").isalnum() and crop.isascii()
    return f"[crop.{crop}]" if bare else f'[crop."{crop}"]'


def _say_range(one: Range) -> str:
    (month, day), (last_month, last_day) = one
    return say_span(
        dt.date(LEAP_YEAR, month, day), dt.date(LEAP_YEAR, last_month, last_day)
    )


def _frost(
    crop: str, season: str, planted: dt.date, latest: dt.date,
    frost: FrostReport | None, prop: Property,
) -> Iterator[tuple[str, str]]:  # fmt: skip
    """Yield what the freezes say to a planting day, and to the last day of its window."""
    freezes = freezes_of(crop, season, frost, prop)
    day = freezes.sow_from(planted)
    if day is not None and freezes.spring is not None:
        yield (
            "frost-window",
            InParts(
                f"{crop} on {say_day(planted)}: {freezes.spring.which} {say_day(day)}"
                f"{freezes.spring.source}",
                f"Plant from {say_day(day)} on, or keep seed to sow again.",
            ),
        )
    fall = freezes.fall
    if fall is None:
        return
    frost_text = f"{fall.which}, {say_day(fall.of(planted.year))}{fall.source}"
    if by := freezes.sow_by(planted):
        yield (
            "frost-window",
            InParts(
                f"{crop} on {say_day(planted)} has under {STAND_DAYS} days before {frost_text}",
                f"plant by {say_day(by)}, or take a hardier crop: a stand wants "
                f"{STAND_DAYS} days before hard frost (assumption).",
            ),
        )
    elif by := freezes.sow_by(latest):
        yield (
            "frost-window",
            InParts(
                f"{crop} may wait for rain until {say_day(latest)}, but after {say_day(by)} it "
                f"has under {STAND_DAYS} days before {frost_text}",
                "sow by then, rain or not.",
            ),
        )


def _strips(
    plan: Planned, prop: Property, strips: Sequence[WorkedRing]
) -> Iterator[tuple[str, str]]:
    """Yield the quiet spans that keep the mower off a strip while the vine runs."""
    growth = growth_of(prop.property)
    named = {strip.name: strip for strip in strips}
    cuts: dict[str, list[Task]] = {}
    for task in plan.tasks:
        if task.task == "strip cut":
            cuts.setdefault(task.area, []).append(task)
    for name, mine in cuts.items():
        days = [task.scheduled or task.ideal for task in mine]
        for span in spans(mine[0].words, plan.seasons):
            if span.last < plan.today:
                continue
            before = [day for day in days if day < span.first]
            vine = any(
                runs(span.first + n * DAY, growth) for n in range(min(span.days, 366))
            )
            # the plan must reach to the span: its last cut stands before it
            if not (vine and before) or (span.first - max(before)).days > REACH_DAYS:
                continue
            after = min(
                [day for day in days if day > span.last]
                or [nearest_workday(span.last + DAY, prop.work, 1)]
            )
            year = span.first.year != span.last.year
            head = (
                f"no cut from {say_span(span.first, span.last, year=year)} ({span.names}, "
                f"{span.days} days) while the vine runs"
            )
            text = (
                f"cut it short on {say_day(max(before))}, "
                f"so that it is no nesting cover, and again on {say_day(after, year=year)}"
            )
            strip = named.get(name)
            if strip and strip.width_ft is not None and strip.holds is not None:
                text += f"; its {feet(strip.width_ft)} " + (
                    "hold that long"
                    if strip.holds
                    else "do not hold that long everywhere: widen it, or see what else would help "
                    "under the strip"
                )
            yield name, InParts(head, text + ".")


def _burns(plan: Planned) -> Iterator[tuple[str, str]]:
    """Yield the burn windows that a quiet season cuts short or takes away."""
    for task in plan.tasks:
        if task.task != "burn window" or task.status == "done":
            continue
        year = task.latest.year
        opens, shuts = dt.date(year, *BURN_FIRST), dt.date(year, *BURN_LAST)
        inside_it = [
            span for span in spans(task.words, plan.seasons)
            if span.first <= shuts and span.last >= opens
        ]  # fmt: skip
        if not inside_it:
            continue
        who = " and ".join(dict.fromkeys(
            f"{span.called} ({say_span(span.first, span.last)})" for span in inside_it
        ))  # fmt: skip
        cure = (
            task.notes[-1]
            if task.status == "unplaced" and task.notes
            else f"burn only from {say_span(task.earliest, task.latest)}, or leave it for a year."
        )
        yield (
            task.area,
            InParts(f"{who} reaches into the burn window, {say_span(opens, shuts)}", cure),
        )


def _machines(plan: Planned, prop: Property) -> Iterator[str]:
    """Yield a sentence on the days that want more implements than there are tractors."""
    on: dict[dt.date, set[str]] = {}
    for task in plan.tasks:
        if task.status == "planned" and task.scheduled and task.machine not in NO_TRACTOR:
            on.setdefault(task.scheduled, set()).add(task.machine)
    tractors = prop.work.tractors
    full = [(day, used) for day, used in sorted(on.items()) if len(used) > tractors]
    if not full:
        return
    days = "; ".join(
        f"{say_day(day)} {' + '.join(sorted(used))}"
        for day, used in full[:MOST_MACHINE_DAYS]
    )
    more = len(full) - MOST_MACHINE_DAYS
    yield InParts(
        f"{len(full)} {'day wants' if len(full) == 1 else 'days want'} more implements than "
        f"the {'one tractor' if tractors == 1 else f'{tractors} tractors'} can pull at once "
        f"({days}{f'; and {more} more' if more > 0 else ''})",
        "finish with one before you hitch the next, the hours allow for it; or bring another "
        "tractor, and say so: "
        + box_and_line("work", "tractors", f"tractors = {tractors + 1} under [work]")
        + ".",
    )
