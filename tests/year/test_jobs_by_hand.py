"""Jobs of plots, strips and blocks at the edge of their days, their lists, and whose they are."""

import datetime as dt
from types import SimpleNamespace

import pytest
from record_of import record_of

from quietacre.errors import YearProblem
from quietacre.plantings import sown_of
from quietacre.quiet import Season, seasons
from quietacre.record.rain import Wait
from quietacre.settings import (
    Area,
    CropRule,
    Lags,
    Mix,
    Planting,
    Property,
    PropertyInfo,
    Quiet,
    Round,
    Seed,
    SoilTest,
    TaskRule,
    Work,
)
from quietacre.year.backward import plot_tasks
from quietacre.year.behind_rain import Rain
from quietacre.year.chosen import Wanted, choose
from quietacre.year.conflicts import conflicts
from quietacre.year.moves import out_of_season, planting_day
from quietacre.year.other_mix import other_mixes
from quietacre.year.past import past_season
from quietacre.year.plan import Ground, Planned, plan_days
from quietacre.year.planting_season import PlantingSeason
from quietacre.year.records import YearTask
from quietacre.year.rings import WorkedRing
from quietacre.year.rules import days_of, own_steps, rule_of
from quietacre.year.sowing import baits
from quietacre.year.steps import STEPS
from quietacre.year.strip_jobs import strip_tasks
from quietacre.year.takes import NOTHING
from quietacre.year.task import Task
from quietacre.year.two_plantings import overlaps
from quietacre.year.which_job import jobs_meant
from quietacre.year.who import who_does
from quietacre.year.workdays import Assigned

D = dt.date
DAY = dt.timedelta(days=1)
PLANT = D(2027, 9, 25)
TODAY = D(2027, 1, 2)
EVERY_DAY = Work(("mon", "tue", "wed", "thu", "fri", "sat", "sun"))
OATS = Mix("m", (Seed("oats"),))


def plot(name="P", plant=PLANT, **more):
    return Area(name, "plot", "p.gpx", **{"plant": plant, "mix": "m", **more})


def place(*areas, mix=(OATS,), **more):
    return Property(PropertyInfo("Home"), area=areas, mix=mix, work=EVERY_DAY, **more)


def job(uid="a", **more):
    usual = {
        "area": "P", "area_id": "a01", "kind": "plot", "task": "clip", "label": "clip",
        "earliest": D(2027, 8, 1), "ideal": D(2027, 8, 10), "latest": D(2027, 8, 20),
        "minutes": 60.0, "machine": "mower", "reason": "",
    }  # fmt: skip
    return Task(uid=uid, **{**usual, **more})


def jobs(prop, today=TODAY, done=None):
    (sown, *_) = sown_of(prop)
    return {t.task: t for t in plot_tasks(sown, 2.0, NOTHING, prop, (), today, done)}


# the test of the soil


@pytest.mark.parametrize(("days", "stale"), [(730, False), (731, True)])
def test_a_soil_test_is_taken_again_after_two_years(days, stale):
    test = SoilTest("t", on=PLANT - days * DAY)
    prop = place(plot(soil_test="t"), soil_test=(test,))
    assert ("soil test" in jobs(prop)) is stale
    undated = place(plot(soil_test="t"), soil_test=(SoilTest("t"),))
    assert "soil test" not in jobs(undated)
    assert "soil test" in jobs(place(plot()))


@pytest.mark.parametrize(("off", "counts"), [(199, True), (200, False), (-154, True), (-155, False)])  # fmt: skip
def test_lime_that_the_log_has_within_200_days_of_its_best_is_of_this_planting(off, counts):
    """Lime is best 180 days before; until October 25 it is still of the planting of last year."""
    day = PLANT - 180 * DAY + off * DAY
    assert ("lime" in jobs(place(plot()), done={("P", "lime"): (day,)})) is counts
    assert "lime" not in jobs(place(plot()), done={("Q", "lime"): (PLANT - 180 * DAY,)})


def test_top_dressing_on_a_day_of_ones_own_has_a_week_either_way():
    on = D(2027, 11, 10)
    made = jobs(place(plot(topdress_n_lb_ac=30.0, topdress_on=on)))["top-dress"]
    assert (made.earliest, made.ideal, made.latest) == (on - 7 * DAY, on, on + 7 * DAY)
    assert made.asked == on


# what a person changed


@pytest.mark.parametrize(
    ("rule", "days"),
    [
        (TaskRule("clip"), (56, 42, 42)),
        (TaskRule("clip", days_before=50), (56, 50, 42)),
        (TaskRule("clip", days_before=60), (60, 60, 42)),
        (TaskRule("clip", days_before=30), (56, 30, 30)),
        (TaskRule("clip", earliest_days_before=45), (45, 42, 42)),
        (TaskRule("clip", latest_days_before=50), (56, 50, 50)),
        (TaskRule("clip", earliest_days_before=40, latest_days_before=45), (45, 45, 45)),
    ],
)
def test_the_best_day_lies_between_the_first_and_the_last(rule, days):
    step = next(step for step in STEPS if step.task == "clip")
    assert days_of(step, rule) == days
    assert days_of(step, None) == (56, 42, 42)


def test_the_nearest_word_of_a_task_counts():
    """The area's, then that of a crop, then the crop's own, then the others."""
    rules = {
        "area": TaskRule("clip", days_before=1), "crop": TaskRule("clip", days_before=2, crop="oats"),
        "own": TaskRule("clip", days_before=3), "all": TaskRule("clip", days_before=4),
    }  # fmt: skip

    def nearest(*names):
        prop = place(
            plot(tasks=tuple(rules[n] for n in names if n == "area")),
            task=tuple(rules[n] for n in names if n in {"all", "crop"}),
            crop={"oats": CropRule(tasks=tuple(rules[n] for n in names if n == "own"))},
        )
        rule = rule_of("clip", sown_of(prop)[0], prop)
        return rule and rule.days_before

    assert nearest("all", "crop", "own", "area") == 1
    assert nearest("all", "crop", "own") == 2
    assert nearest("all", "own") == 3
    assert nearest("all") == 4
    assert nearest() is None
    for other in (TaskRule("clip", days_before=9, kind="road"), TaskRule("clip", days_before=9, crop="rye"),
                  TaskRule("clip", who="Tom"), TaskRule("disk", days_before=9)):  # fmt: skip
        prop = place(plot(), task=(other,))
        assert rule_of("clip", sown_of(prop)[0], prop) is None
    on_plots = place(plot(), task=(TaskRule("clip", days_before=9, kind="plot"),))
    assert rule_of("clip", sown_of(on_plots)[0], on_plots).days_before == 9


def test_a_job_of_ones_own_has_a_week_either_way_and_is_named_once():
    prop = place(
        plot(tasks=(TaskRule("scout", days_before=20), TaskRule("scout", days_before=5),
                    TaskRule("sign", on=D(2027, 9, 1), machine="desk"), TaskRule("think"))),
    )  # fmt: skip
    made = {step.task: step for step in own_steps(sown_of(prop)[0], prop)}
    assert set(made) == {"scout", "sign"}
    scout = made["scout"]
    assert (scout.earliest, scout.ideal, scout.latest, scout.machine) == (
        27,
        20,
        13,
        "on foot",
    )
    assert made["sign"].machine == "desk"
    assert jobs(prop)["sign"].earliest == jobs(prop)["sign"].latest == D(2027, 9, 1)


# a season that leaves no day within a year


@pytest.mark.parametrize(("days", "within"), [(366, True), (367, False)])
def test_an_open_day_within_366_days_is_one_within_a_year(days, within):
    first, last = D(2027, 8, 1), D(2027, 8, 20)
    before = (Season("long", last - (days - 1) * DAY, last, None),)
    task = job(earliest=first, latest=last)
    out_of_season(task, PLANT, before, EVERY_DAY)
    assert (task.latest == last - days * DAY) is within
    after = (Season("long", first, last + (days - 1) * DAY, None),)
    task = job(earliest=first, latest=last)
    out_of_season(task, PLANT, after, EVERY_DAY, later=True)
    assert (task.earliest == last + days * DAY) is within
    shut = (Season("long", PLANT - 5 * DAY, PLANT + (days - 1) * DAY, None),)
    day, note = planting_day(PLANT, (PLANT, PLANT), (), shut, EVERY_DAY, ())
    assert day == (PLANT - 6 * DAY if within else PLANT)
    assert ("leaves no open day within a year" in note) is not within


# strips


STRIP = WorkedRing("s01", "a01", "V strip", "strip", 2.0, 1760.0, width_of="V")


def cuts(today, last, logged=()):
    patch = Area("V", "patch", "v.gpx")
    prop = Property(PropertyInfo("Home"), area=(patch,), work=EVERY_DAY)
    return list(strip_tasks(STRIP, [patch], prop, (), today, last, logged))


def test_a_strip_is_walked_at_two_miles_an_hour_and_mowed_by_its_acres():
    """1,760 feet at 176 a minute are ten minutes, besides the ten of any job."""
    made = cuts(D(2027, 9, 1), D(2027, 12, 31))
    for task in made:
        if task.machine == "on foot":
            assert task.minutes == 20.0
        else:
            assert task.minutes == pytest.approx(60 * 2.0 / (5.5 * 3 * 0.7 / 8.25) + 10)
        assert task.on_foot is (task.machine == "on foot")
        assert (task.area_id, task.area, task.kind) == ("s01", "V strip", "patch")
    assert len(made) > 3


def test_the_look_along_the_edge_comes_before_the_cut_of_its_days():
    quiet = seasons((Quiet("nesting", "05-15", "07-03"),), 2026, 2028)
    patch = Area("V", "patch", "v.gpx")
    prop = Property(PropertyInfo("Home"), area=(patch,), work=EVERY_DAY)
    made = list(strip_tasks(STRIP, [patch], prop, quiet, D(2027, 4, 1), D(2027, 12, 31)))
    by_uid = {task.uid: task for task in made}
    tied = [(task, by_uid[uid], days) for task in made for uid, days in task.after]
    assert tied
    for cut, look, days in tied:
        assert (cut.task, look.on_foot, days) == ("strip cut", True, 0)
        assert look.earliest <= cut.latest


def round_new_year(today, logged=()):
    """Return the cuts of a strip that is shut from October to May, planned on a day."""
    quiet = seasons((Quiet("deer", "10-01", "05-01"),), 2025, 2029)
    patch = Area("V", "patch", "v.gpx")
    prop = Property(PropertyInfo("Home"), area=(patch,), work=EVERY_DAY)
    return list(strip_tasks(STRIP, [patch], prop, quiet, today, D(2027, 12, 31), logged))


@pytest.mark.parametrize(("off", "told"), [(7, True), (-7, True), (8, False), (-8, False)])
def test_a_cut_of_last_year_is_told_only_where_the_log_has_it_within_a_week(off, told):
    """In June the last cut before October of the year before is over, done or not."""
    last_year = [t for t in round_new_year(D(2026, 12, 31)) if t.latest < D(2027, 1, 1)]
    cut = max((t for t in last_year if t.task == "strip cut"), key=lambda task: task.latest)
    assert cut.latest <= D(2026, 9, 30)
    day = (cut.latest if off > 0 else cut.earliest) + off * DAY
    june = D(2027, 6, 1)
    assert cut.uid not in {task.uid for task in round_new_year(june)}
    assert (cut.uid in {task.uid for task in round_new_year(june, (day,))}) is told


# two plantings on one piece


def two(second, **more):
    rows = (Planting("m", D(2027, 4, 1)), Planting("m2", second))
    prop = place(
        Area("P", "plot", "p.gpx", plantings=rows), mix=(OATS, Mix("m2", OATS.seed))
    )
    return list(overlaps(Planned([], (), Assigned(), TODAY, **more), prop)), prop


def test_a_second_planting_waits_until_the_first_is_off():
    """A crop stands fifty days, here to May 21, and as long as it has jobs to come."""
    _, prop = two(D(2027, 8, 1))
    first, second = sown_of(prop)
    for begins, said in ((D(2027, 5, 21), 0), (D(2027, 5, 20), 1)):
        tasks = [job("x", planting=second.key, ideal=begins)]
        found = list(overlaps(Planned(tasks, (), Assigned(), TODAY), prop))
        assert len(found) == said, begins
    later = job("y", planting=first.key, earliest=D(2027, 7, 15), task="read exclosure")
    tasks = [job("x", planting=second.key, ideal=D(2027, 7, 14)), later]
    ((area, text),) = overlaps(Planned(tasks, (), Assigned(), TODAY), prop)
    assert area == "P"
    assert (
        "begins (clip, best on July 14) before m of April 1 can be off, July 15, 2027"
        in text
    )
    late = job("x", planting=second.key, ideal=D(2027, 8, 1), best_was=D(2027, 5, 20))
    assert list(overlaps(Planned([late], (), Assigned(), TODAY), prop)), (
        "late work began then"
    )
    assert two(D(2027, 8, 1))[0] == [], "without work of its own nothing is said"


def test_another_mix_is_no_word_for_ground_without_a_day():
    prop = place(plot(plant=None))
    task = job(task="plant", planting="a01", asked=PLANT, poor=frozenset())
    assert list(other_mixes(Planned([task], (), Assigned(), PLANT), prop, None)) == []


# lime and grain


@pytest.mark.parametrize(("days", "said"), [(90, False), (89, True)])
def test_lime_wants_ninety_days_before_the_planting_that_was_meant(days, said):
    prop = place(plot())
    tasks = [
        job("p", task="plant", planting="a01", scheduled=PLANT - 3 * DAY, latest=PLANT),
        job("l", task="lime", planting="a01", scheduled=PLANT - days * DAY),
    ]
    found = [
        r
        for r in conflicts(Planned(tasks, (), Assigned(), TODAY), prop, None)
        if r.code == "lime-too-late"
    ]
    assert bool(found) is said
    own = place(plot(), lags=Lags(lime_days=days + 1))
    found = conflicts(Planned(tasks, (), Assigned(), TODAY), own, None)
    assert "lime-too-late" in [row.code for row in found]


@pytest.mark.parametrize(
    ("day", "bait"), [(D(2027, 6, 30), False), (D(2027, 7, 1), True), (D(2027, 9, 14), True), (D(2027, 9, 15), False)]
)  # fmt: skip
def test_grain_sown_on_top_from_july_to_mid_september_may_bait(day, bait):
    (sown,) = sown_of(
        place(plot(mix="w"), mix=(Mix("w", (Seed("wheat"), Seed("crimson clover"))),))
    )
    prop = place(plot(mix="w"), mix=(Mix("w", (Seed("wheat"), Seed("crimson clover"))),))
    assert baits(sown, day, prop) == (("wheat",) if bait else ())
    drilled = place(plot(mix="w"), mix=(Mix("w", (Seed("wheat"),), "drill"),))
    assert baits(sown, day, drilled) == ()


# whose job it is


def test_whose_job_it_is_by_the_nearest_word():
    def who(**more):
        prop = place(plot(**{k: v for k, v in more.items() if k in {"who", "tasks"}}),
                     **{k: v for k, v in more.items() if k in {"task", "round"}})  # fmt: skip
        return who_does(job(), prop)

    assert who() is None
    assert who(who="Ann") == "Ann"
    turn = Round("clip", "1 year", ("04-01", "05-01"), who="Ray")
    assert who(who="Ann", round=(turn,)) == "Ray"
    other = Round("clip", "1 year", ("04-01", "05-01"), who="Ray", kind="road")
    assert who(who="Ann", round=(other,)) == "Ann"
    named = Round("clip", "1 year", ("04-01", "05-01"), who="Ray", area="P")
    assert who(who="Ann", round=(named,)) == "Ray"
    rule, crop = TaskRule("clip", who="Tom"), TaskRule("clip", who="Sue", crop="oats")
    assert who(who="Ann", round=(turn,), task=(rule,)) == "Tom"
    prop = place(plot(who="Ann"), task=(rule, crop))
    assert who_does(job(), prop) == "Sue"
    assert who_does(job(task="disk"), prop) == "Ann"
    mine = place(plot(tasks=(TaskRule("clip", who="Jo"),)), task=(rule, crop))
    assert who_does(job(), mine) == "Jo"
    elsewhere = place(
        plot(),
        task=(
            TaskRule("clip", who="Tom", kind="road"),
            TaskRule("clip", who="Sue", crop="rye"),
        ),
    )
    assert who_does(job(), elsewhere) is None
    ring = WorkedRing("s01", "a01", "P strip", "strip", 1.0, 100.0)
    assert who_does(job(area_id="s01"), place(plot(who="Ann")), (ring,)) == "Ann"
    assert who_does(job(area_id="s01"), place(plot(who="Ann"))) is None


# lists


def row(uid="a", **more):
    usual = {
        "uid": uid, "area": "P", "task": "clip", "label": "clip", "who": None, "machine": "mower",
        "status": "planned", "state": "due", "scheduled": "2027-08-10", "earliest": "2027-08-01",
        "latest": "2027-08-20", "ideal": "2027-08-10",
    }  # fmt: skip
    return record_of(YearTask, {**usual, **more})


WEEK = Wanted(D(2027, 8, 10), D(2027, 8, 16))


@pytest.mark.parametrize(
    ("more", "listed"),
    [
        ({}, True), ({"scheduled": "2027-08-09"}, False), ({"scheduled": "2027-08-16"}, True),
        ({"scheduled": "2027-08-17"}, False), ({"status": "done"}, False), ({"state": "missed"}, False),
        ({"state": "done"}, False), ({"scheduled": None}, True),
        ({"scheduled": None, "latest": "2027-08-10"}, True),
        ({"scheduled": None, "latest": "2027-08-09"}, False),
        ({"scheduled": None, "earliest": "2027-08-16"}, True),
        ({"scheduled": None, "earliest": "2027-08-17"}, False),
    ],
)  # fmt: skip
def test_a_list_has_the_open_jobs_of_its_days(more, listed):
    assert len(choose([row(**more)], WEEK).tasks) == listed


def test_a_list_is_of_one_ground_one_person_one_machine():
    rows = [
        row("a", who="Tom"), row("b", area="Q", machine="disk"), row("c", area="Q", who="tom", scheduled="2027-08-12"),
        row("d", who="Ann", scheduled="2027-08-11"),
    ]  # fmt: skip

    def listed(**more):
        made = choose(rows, Wanted(WEEK.first, WEEK.last, **more))
        return [task.uid for task in made.tasks], made.title, made.about

    assert listed() == (["a", "b", "d", "c"], "Jobs, August 10 to August 16, 2027", ())
    uids, title, about = listed(who="TOM")
    assert (uids, title) == (["a", "c"], "Jobs for Tom, August 10 to August 16, 2027")
    assert about == (
        "1 more job of these days is nobody's by what is said, and not on this list.",
    )
    assert listed(machine="Disk")[:2] == (["b"], "Jobs, Disk, August 10 to August 16, 2027")
    assert listed(area="q")[0] == ["b", "c"]
    with pytest.raises(
        YearProblem, match="no open job of the year is for Bob; take one of: Ann, Tom, tom"
    ):
        listed(who="Bob")
    nobody = choose(
        [row(), row("b", state="not possible")], Wanted(WEEK.first, WEEK.first, who="Tom")
    )
    assert nobody.title == "Jobs for Tom, Tuesday, August 10, 2027"
    assert "Nothing says yet who does what" in nobody.about[0]
    assert nobody.about[1] == "1 without a day, and so not on this list: P: clip."
    many = choose([row(f"{n}", state="not possible") for n in range(4)], WEEK)
    assert many.about[-1].startswith("4 without a day")
    assert many.about[-1].endswith("P: clip; P: clip; P: clip and more.")
    two_free = choose(
        [row("a", who="Tom"), row("b"), row("c")], Wanted(WEEK.first, WEEK.last, who="Tom")
    )
    assert two_free.about[0].startswith("2 more jobs of these days are nobody's")


@pytest.mark.parametrize(
    ("more", "named", "meant"),
    [
        ({"state": "planned", "earliest": "2027-10-09"}, False, True),  # sixty days on
        ({"state": "planned", "earliest": "2027-10-10"}, False, False),
        ({"state": "planned", "earliest": "2027-10-10"}, True, True),
        ({"state": "missed", "latest": "2027-07-27"}, True, True),  # fourteen days ago
        ({"state": "missed", "latest": "2027-07-26"}, True, False),
        ({"state": "done"}, True, False),
    ],
)
def test_a_job_is_meant_when_its_days_are_near(more, named, meant):
    found = jobs_meant(
        [row(**more)], "clip", ["P"] if named else [], place(plot()), D(2027, 8, 10)
    )
    assert len(found) == meant


# a season that is over


def test_the_jobs_of_a_season_that_is_over_stand_in_order_of_days():
    season = PlantingSeason(
        "a01", "a01", "P", "m", PLANT, "09-25", "finished", PLANT, PLANT + 90 * DAY, None
    )
    tasks = [
        job("b", label="late", latest=D(2027, 9, 1)),
        job("a", label="early"),
        job("c", label="none", latest=D(2027, 8, 25)),
    ]
    done = {"b": D(2027, 8, 30), "a": D(2027, 8, 2)}
    made = past_season(season, tasks, done)
    assert [(one.label, one.done) for one in made.jobs] == [
        ("early", D(2027, 8, 2)), ("none", None), ("late", D(2027, 8, 30)),
    ]  # fmt: skip
    assert (
        made.text
        == "season of 2027: sown September 25, 2027; 2 jobs done, 1 not in the log"
    )
    assert past_season(season, tasks, {}) is None
    once = SimpleNamespace(
        **{
            f: getattr(season, f)
            for f in ("area", "area_id", "key", "plant", "sown_on", "year")
        },
        returns=None,
    )
    made = past_season(once, tasks, {"a": D(2027, 8, 2)})
    assert [one.label for one in made.jobs] == ["early"]
    assert made.text.endswith("1 job done")


# burns of this winter and the next


@pytest.mark.parametrize(("today", "years"), [(D(2027, 3, 15), {2027}), (D(2027, 3, 16), {2027, 2028})])  # fmt: skip
def test_the_burn_of_the_next_winter_is_planned_from_the_day_after_this_one_s_last(
    today, years
):
    block = Area("B", "burn", "b.gpx")
    prop = Property(PropertyInfo("Home"), area=(block,), work=EVERY_DAY)
    plan = plan_days(Ground(("a01",), (9.0,), {}, (), today, {}), prop, effort="plain")
    windows = [task for task in plan.tasks if task.task == "burn window"]
    assert {task.latest.year for task in windows} == years
    papers = next(
        t
        for t in plan.tasks
        if t.task == "burn plan and permit" and t.ideal.year == max(years)
    )
    year = max(years)
    if year == 2028:
        assert (papers.earliest, papers.latest) == (D(2027, 12, 1), D(2028, 2, 15))
        line = next(t for t in plan.tasks if t.task == "firebreak" and t.ideal.year == 2028)
        assert (line.earliest, line.ideal, line.latest) == (
            D(2028, 1, 1),
            D(2028, 2, 8),
            D(2028, 2, 22),
        )
        assert (line.minutes, papers.minutes) == (90.0, 60.0)


@pytest.mark.parametrize(("quiet", "last"), [((), D(2027, 3, 15)), ((Quiet("q", "03-06", "03-20"),), D(2027, 3, 5))])  # fmt: skip
def test_late_papers_of_a_burn_are_worth_doing_until_its_last_day(quiet, last):
    block = Area("B", "burn", "b.gpx")
    prop = Property(PropertyInfo("Home"), area=(block,), work=EVERY_DAY, quiet=quiet)
    plan = plan_days(
        Ground(("a01",), (9.0,), {}, (), D(2027, 2, 20), {}), prop, effort="plain"
    )
    (papers,) = [task for task in plan.tasks if task.task == "burn plan and permit"]
    assert papers.due_by == D(2027, 2, 15)
    assert papers.latest == last


def test_what_follows_a_planting_that_waits_goes_after_a_season_and_not_before():
    """The cage is read from November 14 on; a month later that falls into December."""
    quiet = (Quiet("deer", "12-01", "01-31", ("plot",)),)
    prop = place(plot(), quiet=quiet)
    waits = {"P": Wait(PLANT, D(2027, 10, 25), True)}
    ground = Ground(("a01",), (2.0,), {}, (), PLANT, {}, rain=Rain({}, None, waits))
    plan = plan_days(ground, prop, effort="plain")
    (cage,) = [task for task in plan.tasks if task.task == "read exclosure"]
    assert cage.earliest >= D(2028, 2, 1)
