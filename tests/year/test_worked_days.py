"""Minutes, spacings and days of a year as worked by hand, and each reason for another day.

A minute too few in ten is a Saturday too short; a spacing off by its sign plants into sod.
"""

import dataclasses
import datetime as dt

import geopandas as gpd
import pytest
import shapely

from quietacre.plantings import sown_of
from quietacre.quiet import seasons
from quietacre.settings import (
    Area,
    Equipment,
    Lags,
    Mix,
    Property,
    PropertyInfo,
    Quiet,
    Seed,
    TaskRule,
    Work,
)
from quietacre.windows import windows_of
from quietacre.year.lags import lags_of
from quietacre.year.minutes import field_minutes, job_minutes
from quietacre.year.moves import planting_day
from quietacre.year.offers import off_the_day
from quietacre.year.plan import Ground, plan_days
from quietacre.year.report import plan_year
from quietacre.year.takes import WorkTold

D = dt.date
NEW_YEAR, SEPTEMBER = D(2027, 1, 2), D(2027, 9, 25)
EVERY_DAY = Work(("mon", "tue", "wed", "thu", "fri", "sat", "sun"))
OATS = Mix("oats", (Seed("oats", rate_lb_ac=60.0),))
NESTING = Quiet("nesting", "05-15", "07-03")
GEAR = Equipment()


def place(*areas, work=EVERY_DAY, quiet=(), **more):
    return Property(
        PropertyInfo("Home"), area=areas, mix=(OATS,), work=work, quiet=quiet, **more
    )


def plot(plant=None, **more):
    return Area("P", "plot", "p.gpx", mix="oats", plant=plant, **more)


# minutes


def test_a_pass_takes_its_acres_at_width_pace_and_efficiency():
    """Acres ÷ (ft × mph × efficiency ÷ 8.25), and what a job takes whatever its acres."""
    gear = Equipment(mower_width_ft=6.5, mower_overlap_ft=0.5, mower_mph=4.0,
                     field_efficiency=0.8, fixed_minutes=20.0)  # fmt: skip
    an_hour = 6.0 * 4.0 * 0.8 / 8.25
    assert field_minutes(5.0, "mower", gear) == pytest.approx(60 * 5 / an_hour + 20)
    assert field_minutes(0.0, "mower", gear) == 20.0
    wide = dataclasses.replace(gear, mower_width_ft=12.5)
    assert field_minutes(5.0, "mower", wide) - 20 == pytest.approx(60 * 5 / an_hour / 2)


def test_a_persons_own_minutes_go_first_then_those_of_the_amounts():
    prop = place(plot())
    own, machine = TaskRule("clip", minutes=90.0), TaskRule("clip", machine="drag")
    work = WorkTold(45.0)
    by_acres = field_minutes(2.0, "mower", GEAR)
    assert job_minutes(own, 2.0, "mower", prop, work) == 90.0
    assert job_minutes(None, 2.0, "mower", prop, work) == 45.0
    assert job_minutes(machine, 2.0, "drag", prop, work) == field_minutes(2.0, "drag", GEAR)
    assert job_minutes(None, 2.0, "mower", prop, None) == by_acres
    assert job_minutes(None, 2.0, "on foot", prop, None) == 20.0
    assert job_minutes(None, 2.0, "desk", prop, None) == 20.0
    assert job_minutes(None, 2.0, "hay rake", prop, None) == by_acres, (
        "a machine of one's own"
    )


# spacings


def lags(plant=SEPTEMBER, **more):
    prop = place(plot(plant, **{k: v for k, v in more.items() if k == "residue"}),
                 **{k: v for k, v in more.items() if k != "residue"})  # fmt: skip
    return lags_of(sown_of(prop)[0], prop)


def test_the_usual_spacings_and_those_of_ones_own():
    usual = lags()
    assert (usual["soil_test_days"], usual["settle_days"], usual["top_dress_days"]) == (
        14,
        5,
        28,
    )
    own = lags(lags=Lags(settle_days=9, soil_test_days=30))
    assert (own["settle_days"], own["soil_test_days"]) == (9, 30)
    assert own["top_dress_days"] == usual["top_dress_days"]


def test_cool_and_woody_residue_rots_a_week_longer_each():
    """Clipped 42 days before: on September 25 in August, on November 20 in October."""
    warm, cool = lags(D(2027, 9, 25)), lags(D(2027, 11, 20))
    woody = lags(D(2027, 9, 25), residue="woody")
    both = lags(D(2027, 11, 20), residue="woody")
    assert [one["rot_days"] - warm["rot_days"] for one in (cool, woody, both)] == [7, 7, 14]
    assert [one["clip_days"] - warm["clip_days"] for one in (cool, woody, both)] == [
        7,
        7,
        14,
    ]
    own = lags(D(2027, 11, 20), lags=Lags(clip_days=42))
    assert own["clip_days"] >= own["rot_days"], (
        "clipping leaves the time to rot, whatever is asked"
    )


# quiet seasons and the day of planting

FOUND = seasons([NESTING], 2026, 2029)


@pytest.mark.parametrize(
    ("plant", "window", "day", "word"),
    [
        (D(2027, 9, 25), (D(2027, 9, 18), D(2027, 10, 2)), D(2027, 9, 25), None),
        (D(2027, 5, 10), (D(2027, 5, 3), D(2027, 5, 17)), D(2027, 5, 10), None),
        (D(2027, 5, 20), (D(2027, 5, 16), D(2027, 5, 24)), D(2027, 5, 14), "before"),
        (D(2027, 6, 28), (D(2027, 6, 24), D(2027, 7, 2)), D(2027, 7, 4), "after"),
    ],
)
def test_a_planting_that_is_all_quiet_moves_to_the_nearer_side(plant, window, day, word):
    made, note = planting_day(plant, window, (), FOUND, EVERY_DAY, ())
    assert made == day
    assert (note is None) is (word is None)
    if note:
        assert f"moved {word} it" in note


def test_the_crops_own_window_goes_before_the_nearer_side():
    (july,) = windows_of(Seed("oats", plant_from="07-01", plant_to="08-15")).values()
    made, note = planting_day(
        D(2027, 5, 20), (D(2027, 5, 16), D(2027, 5, 24)), (), FOUND, EVERY_DAY, july
    )
    assert made == D(2027, 7, 4), "May 14 is nearer, and no day for this crop"
    assert "The nearest open day on the other side is May 14" in note


def test_only_days_of_the_person_count_beside_the_quiet():
    saturdays = Work(("sat",))
    made, _ = planting_day(
        D(2027, 6, 28), (D(2027, 6, 24), D(2027, 7, 2)), (), FOUND, saturdays, ()
    )
    assert (made, made.weekday()) == (D(2027, 7, 10), 5)


# why another day


def reason(prop, today=NEW_YEAR):
    ground = Ground(("a01",), (2.0,), {}, (), today, {})
    return [text for _, text in off_the_day(plan_days(ground, prop), prop)]


def test_a_day_that_is_kept_has_no_reason():
    assert reason(place(plot(D(2027, 9, 25)))) == []


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (
            {"work": Work(("sat", "sun"), blocked_days=(D(2027, 9, 25),))},
            "is no day of yours",
        ),
        ({"work": Work(("sun",))}, "is no day of yours (Saturday"),
        ({"quiet": (Quiet("opening", "09-25", "09-26"),)}, "shuts that day"),
        ({"work": Work(("sat", "sun"), hours_day=0.5)}, None),
    ],
)
def test_each_reason_for_another_day_is_the_true_one(change, words):
    told = reason(place(plot(D(2027, 9, 25)), **change))
    if words is None:
        assert all("has not the time left" in text for text in told)
        return
    (text,) = told
    assert words in text
    assert "the nearest day left" in text


# what the log says beside the plan


def year(prop, today=NEW_YEAR, done=None):
    areas = gpd.GeoDataFrame(
        {
            "id": [f"a{n:02d}" for n in range(1, len(prop.area) + 1)],
            "name": [one.name for one in prop.area],
            "kind": [one.kind for one in prop.area],
            "acres": [2.0] * len(prop.area),
        },
        geometry=[shapely.box(n, 0, n + 1, 1) for n in range(len(prop.area))],
        crs=4326,
    )
    return plan_year(areas, prop, today=today, needs={}, strips_report=(), done=done)


def test_a_line_of_a_day_to_come_points_at_its_ground_and_one_of_no_ground_at_none():
    prop = place(plot(D(2027, 9, 25)))
    done = {("P", "clip"): (D(2027, 3, 1),), ("Q", "clip"): (D(2027, 3, 1),)}
    ahead = [note for note in year(prop, done=done).notes if note.code == "log-ahead"]
    assert [(note.feature, note.level) for note in ahead] == [
        ("P", "caution"),
        (None, "caution"),
    ]
    assert "dated March 1, 2027, a day still to come" in ahead[0].text
    past = {key: (D(2027, 1, 2),) for key in done}
    assert "log-ahead" not in {note.code for note in year(prop, done=past).notes}


def test_a_name_that_is_nearly_one_is_asked_about():
    prop = place(plot(D(2027, 9, 25)))
    for name, words in (
        ("p", None),
        ("Pp", "did you mean “P”"),
        ("Zebra", "counts for nothing."),
    ):
        notes = year(prop, done={(name, "clip"): (D(2027, 1, 1),)}).notes
        unknown = [note.text for note in notes if note.code == "log-unknown"]
        assert len(unknown) == 1
        assert words is None or words in unknown[0]


def test_words_that_no_job_goes_by_are_counted_as_remarks():
    prop = place(plot(D(2027, 9, 25)))
    done = {
        ("P", "danced"): (D(2027, 1, 1), D(2026, 12, 1)),
        ("P", "clip"): (D(2027, 1, 1),),
    }
    (remark,) = (n for n in year(prop, done=done).notes if n.code == "log-remark")
    assert "2 lines" in remark.text
    assert "danced" in remark.text
    assert "clip" not in remark.text.split("danced")[0].split(":")[-1]
