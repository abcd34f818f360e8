"""What must be done, counted back from each planting date.

The lags are common practice, no source: clip about six weeks before planting, turn
the residue under while it is green, let it rot three to four weeks, disk again, drag
smooth about two weeks before, then plant behind rain. Windows of one plot follow each
other without overlap, so their order is kept whatever day of each is taken.
"""

from __future__ import annotations

import datetime as dt
import hashlib
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from quietacre.units import ACRE_HR_FT_MPH
from quietacre.year.season import DAY, open_after, open_before, shut_by

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from quietacre.settings import Area, Equipment, Property, TaskRule
    from quietacre.year.season import Season

#: Planting follows the clipping by at least this. Common practice, no source.
CLIP_DAYS = 42
ROUTINE_CUT_DAYS = 14
#: Months in which the vine runs and the strip is cut. Assumption, about 33° N.
CUT_MONTHS = range(4, 11)


@dataclass(frozen=True)
class Step:
    """A task of every planted plot: days before planting, latest first in time.

    ``earliest``, ``ideal`` and ``latest`` are days before the planting date (negative:
    after it).
    """

    task: str
    label: str
    earliest: int
    ideal: int
    latest: int
    machine: str
    reason: str
    when: str = "always"  # or "lime", "fertilizer"


STEPS = (
    Step("lime", "spread lime", 240, 180, 90, "spreader",
         "lime works over months (common practice, no source)", "lime"),
    Step("clip", "clip", 56, 42, 42, "mower",
         "about six weeks before planting (common practice, no source)"),
    Step("turn under", "turn the residue under green", 35, 28, 21, "disk",
         "three to four weeks to rot; longer when cool or woody (common practice, no source)"),
    Step("second disking", "disk again", 20, 18, 15, "disk",
         "breaks clods and takes the regrowth (common practice, no source)"),
    Step("fertilize", "spread fertilizer", 14, 14, 8, "spreader",
         "mixed in by the smoothing", "fertilizer"),
    Step("smooth", "drag smooth", 14, 14, 8, "drag",
         "about two weeks before planting (common practice, no source)"),
    Step("plant", "plant behind rain", 3, 0, -14, "spreader",
         "wait for rain, then sow behind it (common practice, no source)"),
)  # fmt: skip


@dataclass
class Task:
    """One job on one piece of ground. Dates are set here, the day by ``workdays``."""

    uid: str
    area: str
    area_id: str
    kind: str
    task: str
    label: str
    earliest: dt.date
    ideal: dt.date
    latest: dt.date
    minutes: float
    machine: str
    reason: str
    amounts: list[str] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    scheduled: dt.date | None = None
    status: str = "planned"
    on_foot: bool = False

    @property
    def words(self) -> tuple[str, ...]:
        """Return the words a quiet season may name this ground by."""
        return (self.kind, self.area)


def field_minutes(acres: float, machine: str, gear: Equipment) -> float:
    """Return minutes in the field: acres over ft × mph × efficiency / 8.25, plus fixed.

    Notes
    -----
    AEN-73, University of Kentucky, 1991 (field capacity).
    """
    width_ft, mph = {
        "mower": (gear.mower_width_ft - gear.mower_overlap_ft, gear.mower_mph),
        "disk": (gear.disk_width_ft, gear.disk_mph),
        "drag": (gear.drag_width_ft, gear.drag_mph),
        "drill": (gear.drill_width_ft, gear.drill_mph),
        "spreader": (gear.spreader_swath_ft, gear.spreader_mph),
        "sprayer": (gear.spray_swath_ft, gear.spray_mph),
    }[machine]
    acres_hour = width_ft * mph * gear.field_efficiency / ACRE_HR_FT_MPH
    return 60.0 * acres / acres_hour + gear.fixed_minutes


def uid_of(*parts: str) -> str:
    """Return a name that stays the same from build to build."""
    return hashlib.sha256("\x1f".join(parts).encode()).hexdigest()[:20]


def plot_tasks(
    area: Area, area_id: str, acres: float, need: Mapping[str, Any], prop: Property,
    found: Sequence[Season],
) -> Iterator[Task]:  # fmt: skip
    """Yield the tasks of a planted plot, in order, moved out of quiet seasons."""
    if area.plant is None:
        return
    method = next((mix.method for mix in prop.mix if mix.name == area.mix), "broadcast")
    for step in STEPS:
        if (step.when == "lime" and not need.get("lime")) or (
            step.when == "fertilizer" and not need.get("fertilizer")
        ):
            continue
        rule = _rule(step.task, area, prop)
        if rule is not None and rule.skip:
            continue
        machine = (rule.machine if rule else None) or step.machine
        if step.task == "plant" and method == "drill":
            machine = "drill"
        early, ideal, late = _days(step, rule)
        task = Task(
            uid=uid_of(prop.property.name, area.name, step.task, area.plant.isoformat()),
            area=area.name, area_id=area_id, kind=area.kind, task=step.task, label=step.label,
            earliest=area.plant - early * DAY, ideal=area.plant - ideal * DAY,
            latest=area.plant - late * DAY, minutes=_minutes(rule, acres, machine, prop),
            machine=machine, reason=step.reason, amounts=_amounts(step.task, need),
        )  # fmt: skip
        if rule is not None and rule.on is not None:
            task.earliest = task.ideal = task.latest = rule.on
        _out_of_season(task, area.plant, found)
        yield task


def _rule(task: str, area: Area, prop: Property) -> TaskRule | None:
    """Return what the person changed of a task: the area's word before the property's."""
    for rule in area.tasks:
        if rule.task == task:
            return rule
    crops = {seed.crop for mix in prop.mix if mix.name == area.mix for seed in mix.seed}
    for rule in prop.task:
        fits = (rule.kind is None or rule.kind == area.kind) and (
            rule.crop is None or rule.crop in crops
        )
        if rule.task == task and fits:
            return rule
    return None


def _days(step: Step, rule: TaskRule | None) -> tuple[int, int, int]:
    """Return earliest, ideal, latest days before planting, the ideal inside the others."""
    if rule is None:
        return step.earliest, step.ideal, step.latest
    ideal = step.ideal if rule.days_before is None else rule.days_before
    early = rule.earliest_days_before
    late = rule.latest_days_before
    early = max(step.earliest, ideal) if early is None else early
    late = min(step.latest, ideal) if late is None else late
    return max(early, late), min(max(ideal, late), early), late


def _minutes(rule: TaskRule | None, acres: float, machine: str, prop: Property) -> float:
    if rule is not None and rule.minutes is not None:
        return rule.minutes
    known = {"mower", "disk", "drag", "drill", "spreader", "sprayer"}
    return field_minutes(acres, machine if machine in known else "mower", prop.equipment)


def _amounts(task: str, need: Mapping[str, Any]) -> list[str]:
    if task == "plant":
        return [f"{row['lb']:.1f} lb {row['crop']}" for row in need.get("seed", ())]
    if task == "fertilize":
        # what is kept for top-dressing stays in the shed on this day
        spread = [r for r in need.get("fertilizer", ()) if r.get("when") != "top-dressing"]
        return [f"{row['lb']:.0f} lb {row['grade']}" for row in spread]
    if task == "lime" and need.get("lime"):
        return [f"{need['lime']['ton']:.2f} tons of lime"]
    return []


def _say(day: dt.date) -> str:
    return f"{day:%B} {day.day}"


def _out_of_season(task: Task, plant: dt.date, found: Sequence[Season]) -> None:
    """Move a task whose whole window is quiet, and say what that means."""
    day = task.earliest
    while day <= task.latest:
        if shut_by(day, task.words, found) is None:
            return
        day += DAY
    season = shut_by(task.ideal, task.words, found) or shut_by(
        task.latest, task.words, found
    )
    before = open_before(task.latest, task.words, found)
    after = open_after(task.latest, task.words, found)
    name = season.name if season else "quiet"
    if task.task == "clip":
        task.notes.append(
            f"planting {_say(plant)} cannot be prepared after the {name} season: clip by "
            f"{_say(before)} or plant on or after {_say(after + CLIP_DAYS * DAY)}."
        )
    else:
        task.notes.append(
            f"falls in the {name} season; moved before it, to {_say(before)}. The next open "
            f"day would be {_say(after)}."
        )
    task.latest = task.ideal = before
    task.earliest = open_before(before - 13 * DAY, task.words, found)


def feed_tasks(
    area: Area,
    area_id: str,
    need: Mapping[str, Any],
    prop: Property,
    found: Sequence[Season],
) -> Iterator[Task]:
    """Yield the foliar feeds and spot sprays that have a date."""
    for row in need.get("spray", ()):
        if not row.get("on"):
            continue
        day = dt.date.fromisoformat(row["on"])
        task = Task(
            uid=uid_of(prop.property.name, area.name, "spray", row["name"], row["on"]),
            area=area.name, area_id=area_id, kind=area.kind, task="spray",
            label=f"spray {row['name']}", earliest=day - 7 * DAY, ideal=day, latest=day + 7 * DAY,
            minutes=field_minutes(row["acres"], "sprayer", prop.equipment), machine="sprayer",
            reason="the date you set; the label decides weather and wear",
            amounts=[f"{row['gal']:.1f} gal with {row['product']:.1f} {row['unit']}"],
        )  # fmt: skip
        _out_of_season(task, day, found)
        yield task


def strip_tasks(
    strip: Mapping[str, Any], area: Area, prop: Property, found: Sequence[Season],
    first: dt.date, last: dt.date,
) -> Iterator[Task]:  # fmt: skip
    """Yield the cuts of a strip: routine ones, the last before a quiet season, the first after.

    Before each quiet season of the growing months: an inspection, then the cut, as late
    as allowed. After it: the walk-and-pull on the first open day, then the cut.
    """
    words = (area.kind, area.name, "strip", strip["name"])
    minutes = field_minutes(strip["acres"], "mower", prop.equipment)

    def task(
        day: dt.date, name: str, label: str, reason: str, slack: int, before: int = 0
    ) -> Task:
        on_foot = name != "strip cut"
        return Task(
            uid=uid_of(prop.property.name, strip["name"], name, day.isoformat()),
            area=strip["name"], area_id=strip["id"], kind=area.kind, task=name, label=label,
            earliest=day - before * DAY, ideal=day, latest=day + slack * DAY,
            minutes=prop.equipment.fixed_minutes + strip["length_ft"] / 176.0 if on_foot else minutes,
            machine="on foot" if on_foot else "mower", reason=reason, on_foot=on_foot,
        )  # fmt: skip

    day = max(first, dt.date(first.year, CUT_MONTHS.start, 1))
    while day <= last:
        if day.month not in CUT_MONTHS:
            day = dt.date(day.year + (day.month > CUT_MONTHS.start), CUT_MONTHS.start, 1)
            continue
        season = shut_by(day, words, found)
        if season is None:
            coming = next(
                (s for s in found if day < s.first <= day + ROUTINE_CUT_DAYS * DAY
                 and s.shuts(s.first, words)), None,
            )  # fmt: skip
            if coming is not None:
                eve = coming.first - DAY
                yield task(
                    eve,
                    "strip inspection",
                    "walk the strip edge, record live nodes",
                    f"before the {coming.name} season: what is found outside widens the strip",
                    0,
                    6,
                )
                yield task(
                    eve,
                    "strip cut",
                    "last strip cut before the quiet",
                    f"as late as the {coming.name} season allows",
                    0,
                    6,
                )
                day = open_after(coming.first, words, found)
                yield task(
                    day,
                    "walk and pull",
                    "walk the strip, pull rooted runners",
                    "before the first mowing after the quiet",
                    7,
                )
                yield task(
                    day,
                    "strip cut",
                    "first strip cut after the quiet",
                    "mow inward, toward the patch",
                    9,
                )
            else:
                yield task(
                    day,
                    "strip cut",
                    "routine strip cut",
                    "every two weeks weakens the vine; four weeks lets nodes root",
                    6,
                    6,
                )
            day += ROUTINE_CUT_DAYS * DAY
        else:
            day = open_after(day, words, found)
