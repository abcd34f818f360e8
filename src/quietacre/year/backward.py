"""What must be done, counted back from each planting date.

The lags are common practice, no source: clip about six weeks before planting, turn the
residue under while it is green, let it rot three weeks (four when cool or woody), disk
again, drag smooth about two weeks before, then plant behind rain. Windows of one plot may
touch; ``LAGS`` keeps their order and the rot whatever day of each is taken.
"""

from __future__ import annotations

import dataclasses
import datetime as dt
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from quietacre.days import say_day
from quietacre.need.lime import late_text
from quietacre.need.work import machine_ac_hr, pull_minutes
from quietacre.quiet import DAY
from quietacre.settings import StripSettings
from quietacre.strip.cuts import PULL, ROUTINE_DAYS, dated_cuts, growth_of, words_of
from quietacre.workweek import DISK_DAYS, ROT_DAYS
from quietacre.year.moves import in_order, mine_open, out_of_season, planting_day
from quietacre.year.sowing import poor_days, windows_by_crop
from quietacre.year.task import Task, uid_of

if TYPE_CHECKING:
    from collections.abc import Collection, Container, Iterator, Mapping, Sequence

    from quietacre.quiet import Season
    from quietacre.settings import Area, Equipment, Property, TaskRule

#: Planting follows the clipping by at least this. Common practice, no source.
CLIP_DAYS = 42
#: First and last day of a dormant-season burn. Common practice, no source.
BURN_FIRST, BURN_LAST = (2, 1), (3, 15)
WEEK = 7 * DAY
WALK_FT_MIN = 176.0


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
    when: str = "always"  # or "soil test", "lime", "fertilizer", "grass"


ROT_MORE_DAYS = 7
#: Months in which turned-under residue rots slowly. Assumption, about 33° N.
COOL_MONTHS = frozenset({10, 11, 12, 1, 2, 3, 4})
#: A soil test older than this at planting is taken again: "at least every two years",
#: Biology and Management of White-tailed Deer in Alabama.
TEST_YEARS_DAYS = 730
PRACTICE = "(common practice, no source)"

STEPS = (
    Step("soil test", "take a soil test", 330, 240, 150, "on foot",
         "results and lime come months before planting " + PRACTICE, "soil test"),
    Step("lime", "spread lime", 240, 180, 90, "spreader",
         "lime works over months " + PRACTICE, "lime"),
    Step("clip", "clip", 56, 42, 42, "mower",
         "about six weeks before planting " + PRACTICE),
    Step("turn under", "turn the residue under green", 42, 40, 32, "disk",
         "while it is green, then three weeks to rot, four when cool or woody " + PRACTICE),
    Step("second disking", "disk again", 21, 17, DISK_DAYS, "disk",
         "breaks clods and takes the regrowth " + PRACTICE),
    Step("fertilize", "spread fertilizer", 17, 14, 8, "spreader",
         "mixed in by the smoothing", "fertilizer"),
    Step("smooth", "drag smooth", 16, 14, 8, "drag",
         "about two weeks before planting " + PRACTICE),
    Step("plant", "plant behind rain", 3, 0, -14, "spreader",
         "wait for rain, then sow behind it " + PRACTICE),
    Step("set exclosure", "set a wire cage that keeps deer off one spot", 3, -7, -21, "on foot",
         "shows what deer take against what grows " + PRACTICE),
    Step("top-dress", "top-dress nitrogen at the rate of your soil test", -28, -37, -51, "spreader",
         "about 30 days after emergence (MSU Deer Lab, Cool Season Plants); "
         "a week to emerge is an assumption", "grass"),
    Step("read exclosure", "clip and weigh inside and outside the cage", -50, -60, -90, "on foot",
         "about two months of grazing " + PRACTICE),
)  # fmt: skip

#: What must come at least so long after what, whatever day of its window each has: days, or
#: the key of ``Lags`` that holds them. Tasks of one day are listed in this order.
LAGS: tuple[tuple[str, str, int | str], ...] = (
    ("soil test", "lime", "soil_test_days"), ("soil test", "fertilize", "soil_test_days"),
    ("clip", "turn under", 0), ("turn under", "second disking", "rot_days"),
    ("second disking", "fertilize", 0), ("second disking", "smooth", 0),
    ("fertilize", "smooth", 0), ("smooth", "plant", "settle_days"),
    ("plant", "set exclosure", 0), ("set exclosure", "read exclosure", "exclosure_days"),
    ("plant", "top-dress", "top_dress_days"),
)  # fmt: skip
#: Common practice, no source; thirty days after emergence less a margin for top-dressing.
USUAL = {
    "soil_test_days": 14, "lime_days": 90, "clip_days": CLIP_DAYS, "rot_days": ROT_DAYS,
    "rot_more_days": ROT_MORE_DAYS, "settle_days": 5, "top_dress_days": 28,
    "exclosure_days": 42,
}  # fmt: skip


def lags_of(area: Area, prop: Property) -> dict[str, int]:
    """Return the lags of a plot in days: its crops' own, the property's, or the usual.

    Of several crops in one mix the longest of each lag holds. ``rot_days`` has the more of
    cool and woody residue in it, and ``clip_days`` leaves the time for it.
    """
    crops = [
        prop.crop[name].lags for name in sorted(_crops(area, prop)) if name in prop.crop
    ]
    out: dict[str, int] = {}
    own: set[str] = set()
    for key, usual in USUAL.items():
        given = [days for lags in crops if (days := getattr(lags, key)) is not None]
        here = max(given) if given else getattr(prop.lags, key)
        if here is not None:
            own.add(key)
        out[key] = usual if here is None else here
    if area.plant is not None:
        cool = (area.plant - out["clip_days"] * DAY).month in COOL_MONTHS
        out["rot_days"] += out["rot_more_days"] * ((area.residue == "woody") + cool)
    if "clip_days" not in own:
        out["clip_days"] += out["rot_days"] - ROT_DAYS
    out["clip_days"] = max(out["clip_days"], out["rot_days"] + DISK_DAYS)
    return out


def _lagged(step: Step, lags: Mapping[str, int]) -> Step:
    """Return a step with its days before planting moved by the plot's own lags."""
    clip, rot, lime = lags["clip_days"], lags["rot_days"], lags["lime_days"]
    days = {
        "lime": (max(step.earliest, lime + 60), max(step.ideal, lime), lime),
        "clip": (clip + 14, clip, clip),
        "turn under": (clip, max(clip - 2, rot + DISK_DAYS), rot + DISK_DAYS),
        "smooth": (max(step.earliest, lags["settle_days"]), max(step.ideal, lags["settle_days"]),
                   max(step.latest, lags["settle_days"])),
    }.get(step.task)  # fmt: skip
    if days is None:
        return step
    reason = step.reason
    if step.task in {"clip", "turn under"} and rot != ROT_DAYS:
        reason += f"; {rot} days to rot here"
        if rot > ROT_DAYS:
            reason += ", for cool or woody residue or a lag of your own"
    return dataclasses.replace(
        step, earliest=days[0], ideal=days[1], latest=days[2], reason=reason
    )


def field_minutes(acres: float, machine: str, gear: Equipment) -> float:
    """Return minutes of one pass over some ground, plus the fixed ones of a job."""
    return 60.0 * acres / machine_ac_hr(machine, gear) + gear.fixed_minutes


def ring_minutes(ring: Mapping[str, Any], machine: str, gear: Equipment) -> float:
    """Return minutes on a strip or firebreak: its passes as drawn, plus fixed.

    What two passes cover is driven twice. Without passes, by its acres.
    """
    driven = (ring.get("passes") or {}).get("minutes") or 0.0
    if driven > 0.0:
        return float(driven) + gear.fixed_minutes
    return field_minutes(ring["acres"], machine, gear)


#: A soil test or lime that is late is still worth its while until so long before planting:
#: results for the fertilizer, lime for the next crop. Common practice, no source.
CATCH_UP = {"soil test": 31, "lime": 15}
CATCH_UP_DAYS = 20


def plot_tasks(
    area: Area, area_id: str, acres: float, need: Mapping[str, Any], prop: Property,
    found: Sequence[Season], today: dt.date, done: Container[tuple[str, str]] = (),
    frost: Mapping[str, Any] | None = None,
) -> Iterator[Task]:  # fmt: skip
    """Yield the tasks of a planted plot, in order, moved out of quiet seasons.

    ``done`` holds (area, task) of the log: what is done is not caught up on. ``frost`` is
    the frost report of the daily record, when there is one.
    """
    if area.plant is None:
        return
    method = next((mix.method for mix in prop.mix if mix.name == area.mix), "broadcast")
    wanted = _wanted(area, need, prop)
    meant = area.plant
    plant, moved = _planting_day(area, prop, found)
    area = dataclasses.replace(area, plant=plant)
    lags = lags_of(area, prop)
    made: dict[str, Task] = {}
    fixed: set[str] = set()
    pairs: list[tuple[str, str, int]] = []
    for step in (*STEPS, *_own_steps(area, prop)):
        rule = _rule(step.task, area, prop)
        if step.when not in wanted or (rule is not None and rule.skip):
            continue
        step = _lagged(step, lags)  # noqa: PLW2901 - the same step, sooner or later
        machine = (rule.machine if rule else None) or step.machine
        if step.task == "plant" and method == "drill":
            machine = "drill"
        early, ideal, late = _days(step, rule)
        task = Task(
            uid=uid_of(prop.property.name, area.first_name, step.task, meant.isoformat()),
            area=area.name, area_id=area_id, kind=area.kind, task=step.task, label=step.label,
            earliest=plant - early * DAY, ideal=plant - ideal * DAY,
            latest=plant - late * DAY, minutes=_minutes(rule, acres, machine, prop, _work(step.task, need)),
            machine=machine, reason=step.reason, amounts=_amounts(step.task, need),
            on_foot=machine == "on foot",
        )  # fmt: skip
        if rule is not None and rule.on is not None:
            task.earliest = task.ideal = task.latest = rule.on
        elif step.task == "top-dress" and area.topdress_on is not None:
            task.ideal = task.asked = area.topdress_on
            task.earliest, task.latest = task.ideal - 7 * DAY, task.ideal + 7 * DAY
        if task.task == "plant" and moved:
            task.notes.append(moved)
        if rule is not None:
            fixed.add(step.task)
        for first, second, lag in LAGS:
            if second == step.task and first in made:
                own = lags[lag] if isinstance(lag, str) else lag
                # a window the person set themselves outranks a lag that it rules out
                gap = (task.latest - made[first].earliest).days
                least = min(own, gap) if rule else own
                task.after.append((made[first].uid, least))
                pairs.append((first, second, least))
        out_of_season(
            task, plant, found, prop.work, lags["clip_days"], later=task.ideal > plant
        )
        made[step.task] = task
    in_order(made, pairs, fixed, plant, found, prop.work)
    open_late = {
        name for name in CATCH_UP if name not in fixed and (area.name, name) not in done
    }
    _catch_up(made, open_late, plant, found, prop, today)
    sown = made.get("plant")
    if sown is not None:
        sown.asked = sown.ideal
        sown.poor = poor_days(area, sown.earliest, sown.latest, frost, prop)
    yield from made.values()


def _catch_up(
    made: Mapping[str, Task], names: Collection[str], plant: dt.date,
    found: Sequence[Season], prop: Property, today: dt.date,
) -> None:  # fmt: skip
    """Plan, in place, what was not done when due and is still worth its while."""
    for name, least in CATCH_UP.items():
        late_one, last = made.get(name), plant - least * DAY
        if late_one is None or name not in names or today > last:
            continue
        start = max(today, late_one.earliest)
        if start <= today and not mine_open(
            start, late_one.latest, late_one.words, found, prop.work
        ):
            late_one.notes = [
                f"late: it was due by {say_day(late_one.latest, year=True)}; do it now all the same."
            ]
            if name == "lime":
                late_one.notes.append(f"{late_text()}.")
            late_one.due_by, late_one.best_was = late_one.latest, late_one.ideal
            late_one.earliest = late_one.ideal = today
            late_one.latest = min(today + CATCH_UP_DAYS * DAY, last)
            out_of_season(late_one, plant, found, prop.work, later=True)
            for other in made.values():  # nothing waits for what comes so late
                other.after = [tie for tie in other.after if tie[0] != late_one.uid]


def _planting_day(
    area: Area, prop: Property, found: Sequence[Season]
) -> tuple[dt.date, str | None]:
    """Return the day that the plot's year is counted from, out of every quiet season."""
    assert area.plant is not None  # noqa: S101 - the caller looked
    rule = _rule("plant", area, prop)
    if rule is not None and (rule.on is not None or rule.skip):
        return area.plant, None
    step = next(step for step in STEPS if step.task == "plant")
    early, _, late = _days(step, rule)
    ranges = [
        one
        for windows in windows_by_crop(area, prop)
        for some in windows.values()
        for one in some
    ]
    window = (area.plant - early * DAY, area.plant - late * DAY)
    return planting_day(
        area.plant, window, (area.kind, area.name), found, prop.work, ranges
    )


def _wanted(area: Area, need: Mapping[str, Any], prop: Property) -> set[str]:
    """Return which conditional steps this plot takes."""
    from quietacre.crop_names import top_dressed

    wanted = {"always"}
    wanted |= {key for key in ("lime", "fertilizer") if need.get(key)}
    test = next((t for t in prop.soil_test if t.name == area.soil_test), None)
    stale = test is not None and test.on is not None and area.plant is not None and (
        area.plant - test.on
    ).days > TEST_YEARS_DAYS  # fmt: skip
    if test is None or stale:
        wanted.add("soil test")
    own = _rule("top-dress", area, prop) is not None
    grass = _crops(area, prop) & top_dressed() and not _nitrogen_given(need)
    if area.topdress_n_lb_ac or own or grass:
        wanted.add("grass")
    return wanted


def _nitrogen_given(need: Mapping[str, Any]) -> bool:
    """Return whether all the nitrogen asked for goes on before planting: none is due later."""
    short = any(row["nutrient"] == "n" for row in need.get("unmet", ()))
    return "asked_lb_ac" in need and not short


def _crops(area: Area, prop: Property) -> set[str]:
    return {seed.crop for mix in prop.mix if mix.name == area.mix for seed in mix.seed}


def _fits(rule: TaskRule, area: Area, prop: Property) -> bool:
    return (rule.kind is None or rule.kind == area.kind) and (
        rule.crop is None or rule.crop in _crops(area, prop)
    )


def _rules(area: Area, prop: Property) -> Iterator[TaskRule]:
    """Yield what the person changed, the nearest first.

    The area's tasks; [[task]] that names a crop; the crop's own; the other [[task]].
    """
    yield from area.tasks
    fit = [rule for rule in prop.task if _fits(rule, area, prop)]
    yield from (rule for rule in fit if rule.crop is not None)
    for mix in prop.mix:
        for seed in mix.seed if mix.name == area.mix else ():
            own = prop.crop.get(seed.crop)
            for rule in own.tasks if own else ():
                if rule.kind is None or rule.kind == area.kind:
                    yield rule
    yield from (rule for rule in fit if rule.crop is None)


def _rule(task: str, area: Area, prop: Property) -> TaskRule | None:
    """Return what the person changed of a task, the nearest word of it."""
    return next((rule for rule in _rules(area, prop) if rule.task == task), None)


def _own_steps(area: Area, prop: Property) -> Iterator[Step]:
    """Yield tasks the person added: names no step has, with a day or days before planting."""
    known = {step.task for step in STEPS}
    for rule in _rules(area, prop):
        if rule.task in known or (rule.days_before is None and rule.on is None):
            continue
        known.add(rule.task)
        ideal = rule.days_before or 0
        yield Step(rule.task, rule.task, ideal + 7, ideal, ideal - 7,
                   rule.machine or "on foot", "your own task")  # fmt: skip


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


#: From so many pounds on, tenths of a pound are left out.
WHOLE_LB = 100
#: Walking work, in minutes a job. Assumption.
FOOT_MINUTES = 20.0


def _work(task: str, need: Mapping[str, Any]) -> Mapping[str, Any]:
    """Return the minutes, passes and loads that a job's amounts take; blank without amounts."""
    found: Mapping[str, Any] = (need.get("work") or {}).get(task) or {}
    return found


def _minutes(
    rule: TaskRule | None,
    acres: float,
    machine: str,
    prop: Property,
    work: Mapping[str, Any],
) -> float:
    if rule is not None and rule.minutes is not None:
        return rule.minutes
    if work and (rule is None or rule.machine is None):
        return float(work["minutes"])
    if machine in {"on foot", "desk"}:
        return FOOT_MINUTES
    known = {"mower", "disk", "drag", "drill", "spreader", "sprayer"}
    return field_minutes(acres, machine if machine in known else "mower", prop.equipment)


def _pounds(weight_lb: float) -> str:
    """Return pounds as the page and the papers say them."""
    return f"{weight_lb:,.{1 if weight_lb < WHOLE_LB else 0}f} lb"


def _amounts(task: str, need: Mapping[str, Any]) -> list[str]:
    """Return what a job takes, and how many passes and loads that is."""
    text = _work(task, need).get("text")
    return [*_taken(task, need), *([text] if text else [])]


def _taken(task: str, need: Mapping[str, Any]) -> list[str]:
    if task == "plant":
        return [f"{_pounds(row['lb'])} {row['crop']}" for row in need.get("seed", ())]
    if task in {"fertilize", "top-dress"}:
        later = task == "top-dress"
        return [
            f"{_pounds(row['lb'])} {row['grade']}"
            for row in need.get("fertilizer", ())
            if (row.get("when") == "top-dressing") == later
        ]
    if task == "lime" and need.get("lime"):
        return [f"{need['lime']['ton']:.2f} tons of lime"]
    return []


def feed_tasks(
    area: Area, area_id: str, need: Mapping[str, Any], prop: Property,
    found: Sequence[Season], today: dt.date,
) -> Iterator[Task]:  # fmt: skip
    """Yield the foliar feeds and spot sprays: on their date, or in the usual weeks.

    Without a date, browse is fed after leaf-out (April 1 to May 10) and vines are spot
    sprayed in summer growth (June 1 to August 31): assumptions, about 33° N.
    """
    uses = {spray.name: spray.use for spray in prop.spray}
    for row in need.get("spray", ()):
        feed = uses.get(row["name"]) != "spot spray"
        if row.get("on"):
            ideal = dt.date.fromisoformat(row["on"])
            yearly = [(ideal - 7 * DAY, ideal, ideal + 7 * DAY)]
            reason = "the date you set; the label decides weather and wear"
        else:
            ends = ((4, 1), (4, 20), (5, 10)) if feed else ((6, 1), (7, 10), (8, 31))
            over = today > dt.date(today.year, *ends[2])
            yearly = [
                (dt.date(year, *ends[0]), dt.date(year, *ends[1]), dt.date(year, *ends[2]))
                for year in range(today.year, today.year + 1 + over)
            ]
            reason = (
                "no date set: after leaf-out" if feed else "no date set: in full growth"
            ) + (" (assumption, about 33° N); the label decides weather and wear")
        for early, ideal, late in yearly:
            task = Task(
                uid=uid_of(prop.property.name, area.first_name, "spray", row["name"], ideal.isoformat()),
                area=area.name, area_id=area_id, kind=area.kind, task="spray",
                label=("feed with " if feed else "spray ") + row["name"], earliest=early,
                ideal=ideal, latest=late,
                minutes=row.get("minutes") or field_minutes(row["acres"], "sprayer", prop.equipment),
                machine="sprayer",
                reason=reason,
                amounts=[f"{row['gal']:.1f} gal with {row['product']:.1f} {row['unit']}"],
            )  # fmt: skip
            out_of_season(task, ideal, found, prop.work)
            task.asked = task.ideal if row.get("on") else None
            yield task


def _strip_minutes(task: str, walk: float, acres: float, gear: Equipment) -> float:
    """Return minutes on foot: along the edge, or all over the strip where runners are pulled."""
    return pull_minutes(acres, gear) if task == PULL else walk


def strip_tasks(
    strip: Mapping[str, Any], patches: Sequence[Area], prop: Property,
    found: Sequence[Season], today: dt.date, last: dt.date, logged: Sequence[dt.date] = (),
) -> Iterator[Task]:  # fmt: skip
    """Yield the jobs of a strip on the strip's own dates, those of the calendar year and in the log.

    ``patches`` are the areas it goes round; ``logged`` the days of its jobs in the log.
    """
    # of several patches in one strip, the one that its width was worked out for
    widest = (strip.get("case") or {}).get("of")
    area = next((patch for patch in patches if patch.name == widest), patches[0])
    own = area.strip or StripSettings()
    words = words_of(area.kind, [patch.name for patch in patches], strip["name"])
    minutes = ring_minutes(strip, "mower", prop.equipment)
    # a look along the edge at two miles an hour: 176 ft a minute
    walk = prop.equipment.fixed_minutes + strip["length_ft"] / WALK_FT_MIN
    first_name = strip["name"]
    for patch in patches:
        first_name = first_name.replace(patch.name, patch.first_name)
    walked: dict[str, str] = {}
    for cut in dated_cuts(
        words, found, prop.work, own, growth_of(prop.property),
        every_days=int(strip.get("cut_every_days") or ROUTINE_DAYS), first=today, last=last,
    ):  # fmt: skip
        done = any(cut.earliest - WEEK <= day <= cut.latest + WEEK for day in logged)
        if cut.latest < today.replace(month=1, day=1) and not done:
            continue
        on_foot = cut.task != "strip cut"
        uid = uid_of(prop.property.name, first_name, cut.task, cut.key)
        # what is found on foot comes before the mower
        after = [(walked[cut.key], 0)] if not on_foot and cut.key in walked else []
        if on_foot:
            walked[cut.key] = uid
        yield Task(
            uid=uid, area=strip["name"], area_id=strip["id"], kind=area.kind, task=cut.task,
            label=cut.label, earliest=cut.earliest, ideal=cut.ideal, latest=cut.latest,
            minutes=_strip_minutes(cut.task, walk, strip["acres"], prop.equipment)
            if on_foot else minutes, machine="on foot" if on_foot else "mower",
            reason=cut.reason, on_foot=on_foot, more_words=words, after=after,
        )  # fmt: skip
