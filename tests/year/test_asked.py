"""The day asked for comes first, then printed windows and frost; trips are saved after them."""

import datetime as dt
import sys
from dataclasses import replace
from pathlib import Path

import geopandas as gpd
import pytest
import shapely

from quietacre.settings import (
    Area,
    Mix,
    Property,
    PropertyInfo,
    Quiet,
    Seed,
    SoilTest,
    TaskRule,
    Work,
)
from quietacre.year.menu import holds
from quietacre.year.plan import Ground, plan_days
from quietacre.year.report import plan_year
from quietacre.year.sowing import poor_days

sys.path.insert(0, str(Path(__file__).parents[1] / "benchmarks"))
import bench_days

NEW_YEAR = dt.date(2027, 1, 2)
CLOVER = Mix("fall", (Seed("oats"), Seed("crimson clover")))


def place(days, *, place=None, work=None, **more):
    areas = tuple(
        Area(f"P{n}", "plot", "p.gpx", mix="fall", plant=day, soil_test="t", **more)
        for n, day in enumerate(days)
    )
    return Property(
        PropertyInfo("Home", **(place or {})), area=areas, mix=(CLOVER,),
        soil_test=(SoilTest("t", on=dt.date(2026, 12, 1)),), work=work or Work(),
    )  # fmt: skip


def planned(prop, acres=1.0, today=NEW_YEAR, done=None):
    ids = tuple(f"a{n:02d}" for n in range(1, len(prop.area) + 1))
    ground = Ground(ids, (acres,) * len(ids), {}, (), today, done or {})
    plan = plan_days(ground, prop)
    assert holds(plan, prop)
    return plan


def sown(plan):
    return {t.area: t.scheduled for t in plan.tasks if t.task == "plant"}


def told(prop, code, **more):
    frame = gpd.GeoDataFrame(
        {"id": [f"a{n:02d}" for n in range(1, len(prop.area) + 1)],
         "name": [a.name for a in prop.area], "kind": ["plot"] * len(prop.area),
         "acres": [1.0] * len(prop.area)},
        geometry=[shapely.box(n, 0, n + 1, 1) for n in range(len(prop.area))], crs=4326,
    )  # fmt: skip
    report = plan_year(frame, prop, today=NEW_YEAR, needs={}, **more).report
    return [row["text"] for row in report["conflicts"] if row["code"] == code]


def test_a_saturday_asked_for_is_kept_though_a_week_later_saves_a_trip():
    # with the second plot a week later, sowing both on October 2 would save a trip
    prop = place([dt.date(2027, 9, 25), dt.date(2027, 10, 2)])
    assert sown(planned(prop)) == {"P0": dt.date(2027, 9, 25), "P1": dt.date(2027, 10, 2)}


def test_what_a_trip_fewer_would_take_is_offered_and_verified_by_hand():
    prop = place([dt.date(2027, 9, 18), dt.date(2027, 9, 25)],
                 place={"region": "upper South"}, tasks=(TaskRule("set exclosure", skip=True),
                 TaskRule("read exclosure", skip=True)))  # fmt: skip
    text = " ".join(told(prop, "one-trip-fewer"))
    assert (
        "one trip fewer would do, that of September 18, with P0, plant behind rain, on September 25"
        in text
    )


def test_a_weekday_asked_for_is_said_with_what_would_keep_it():
    prop = place([dt.date(2027, 9, 23)], place={"region": "upper South"})
    assert sown(planned(prop)) == {"P0": dt.date(2027, 9, 25)}
    (text,) = told(prop, "planting-off-its-day")
    assert "asked for on September 23" in text
    assert (
        "Thursday; “More days you can work” (extra_days = [2027-09-23] under [work] in property.toml) "
        "would keep it, for one trip more" in text
    )
    kept = place([dt.date(2027, 9, 23)], work=Work(extra_days=(dt.date(2027, 9, 23),)))
    assert sown(planned(kept)) == {"P0": dt.date(2027, 9, 23)}
    assert told(kept, "planting-off-its-day") == []


def windowed(days, **more):
    own = Mix("fall", (Seed("oats", plant_from="08-15", plant_to="10-01"),))
    return replace(place(days, **more), mix=(own,))


def test_the_window_goes_before_the_nearest_day():
    # Friday, October 1, is the last day of the window: Saturday is nearer to it than Wednesday
    work = Work(weekdays=("wed", "sat"))
    prop = windowed([dt.date(2027, 10, 1)], work=work)
    assert sown(planned(prop)) == {"P0": dt.date(2027, 9, 29)}
    # who asks for a day outside it has it, and the caution
    late = windowed([dt.date(2027, 10, 2)], work=work)
    assert sown(planned(late)) == {"P0": dt.date(2027, 10, 2)}
    assert len(told(late, "outside-crop-window")) == 1


def test_frost_goes_before_the_nearest_day():
    # thirty days before October 28 is September 28: Wednesday the 29th is asked for, and of
    # Sunday the 26th (three days before) and Thursday the 30th the first leaves time for a stand
    work = Work(weekdays=("thu", "sun"))
    free = place([dt.date(2027, 9, 29)], work=work)
    assert sown(planned(free)) == {"P0": dt.date(2027, 9, 30)}
    cold = place([dt.date(2027, 9, 29)], work=work, place={"first_frost": "10-28"})
    assert sown(planned(cold)) == {"P0": dt.date(2027, 9, 26)}


def test_days_that_the_law_on_doves_speaks_against_are_poor():
    prop = place([dt.date(2027, 9, 15)])
    poor = poor_days(prop.area[0], dt.date(2027, 9, 10), dt.date(2027, 9, 20), None, prop)
    assert poor == {dt.date(2027, 9, day) for day in range(10, 15)}


def test_a_day_too_short_for_all_goes_to_as_many_as_it_holds():
    day, acres = dt.date(2027, 9, 25), 20.0
    prop = place([day] * 5, work=Work(hours_day=8.0))
    plan = planned(prop, acres=acres)
    on_day = [t for t in plan.tasks if t.scheduled == day and t.asked == day]
    left = 8 * 60 - sum(t.minutes for t in plan.tasks if t.scheduled == day)
    others = [
        t for t in plan.tasks if t.task == "plant" and t.scheduled and t.scheduled != day
    ]
    assert on_day
    assert all(t.minutes > left for t in others)
    assert not [t for t in plan.missed if t.task == "plant"]


def test_spacing_after_late_work_goes_before_the_day_asked_for():
    prop = place([dt.date(2027, 9, 25)])
    done = {
        ("P0", "clip"): (dt.date(2027, 8, 7),),
        ("P0", "turn under"): (dt.date(2027, 9, 4),),
    }
    plan = planned(prop, today=dt.date(2027, 9, 5), done=done)
    at = {t.task: t.scheduled for t in plan.tasks}
    assert at["second disking"] is None or at["second disking"] >= dt.date(2027, 9, 25)
    assert holds(plan, prop)


def test_other_days_asked_for_are_kept_too():
    rule = (Quiet("nesting", "05-15", "07-03"),)
    area = Area("P0", "plot", "p.gpx", mix="fall", plant=dt.date(2027, 9, 25), soil_test="t",
                topdress_n_lb_ac=30.0, topdress_on=dt.date(2027, 11, 6))  # fmt: skip
    other = Area("P1", "plot", "p.gpx", mix="fall", plant=dt.date(2027, 10, 2), soil_test="t",
                 topdress_n_lb_ac=30.0, topdress_on=dt.date(2027, 11, 13))  # fmt: skip
    prop = Property(PropertyInfo("Home"), quiet=rule, area=(area, other), mix=(CLOVER,),
                    soil_test=(SoilTest("t", on=dt.date(2026, 12, 1)),))  # fmt: skip
    days = {t.area: t.scheduled for t in planned(prop).tasks if t.task == "top-dress"}
    assert days == {"P0": dt.date(2027, 11, 6), "P1": dt.date(2027, 11, 13)}


@pytest.mark.parametrize("name", ["ridge", "winter", "twice"])
def test_forty_days_of_a_year_break_no_rule_and_no_two_outputs_disagree(name, tmp_path):
    made, found = bench_days.run(name, 400, 10, tmp_path / name)
    assert made == 40
    assert not found
