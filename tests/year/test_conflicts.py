"""Conflicts: each named when it is there, silent when it is not, and told with its cure."""

import dataclasses
import datetime as dt

import pytest
from record_of import record_of

from quietacre.errors import SettingsProblem
from quietacre.figures import printed
from quietacre.intake.property import read_property
from quietacre.need.records import Need
from quietacre.settings import (
    Area,
    Mix,
    Property,
    PropertyInfo,
    Quiet,
    Seed,
    TaskRule,
    Work,
)
from quietacre.windows import inside, windows_of
from quietacre.year.conflicts import conflicts
from quietacre.year.frost import FreezeDates, FrostReport
from quietacre.year.plan import Ground, plan_days
from quietacre.year.rings import WorkedRing
from quietacre.year.takes import takes_by_key


def outside(seed, plant):
    """Return the texts said of a planting outside its windows."""
    prop = Property(
        PropertyInfo("Here"),
        area=(Area("P", "plot", "p.gpx", plant=plant, mix="m"),),
        mix=(Mix("m", (seed,)),),
        work=Work(("mon", "tue", "wed", "thu", "fri", "sat", "sun")),
    )
    ground = Ground(("a01",), (2.0,), {}, (), dt.date(2027, 1, 2), {})
    planned = plan_days(ground, prop)
    return [
        row.text
        for row in conflicts(planned, prop, None)
        if row.code == "outside-crop-window"
    ]


def test_the_table_s_windows_are_held_against_the_planting():
    assert outside(Seed("crimson clover", rate_lb_ac=15.0), dt.date(2027, 9, 18)) == []
    (text,) = outside(Seed("crimson clover", rate_lb_ac=15.0), dt.date(2027, 4, 10))
    assert "outside every window of the table (" in text


def test_a_window_of_ones_own_stands_in_for_them():
    own = Seed("crimson clover", rate_lb_ac=15.0, plant_from="04-01", plant_to="04-30")
    assert outside(own, dt.date(2027, 4, 10)) == []
    (text,) = outside(own, dt.date(2027, 9, 18))
    assert "outside your own window, April 1 to 30" in text


def test_a_window_across_new_year():
    own = Seed("oats", rate_lb_ac=60.0, plant_from="12-15", plant_to="01-31")
    (ranges,) = windows_of(own).values()
    assert inside(dt.date(2027, 1, 10), ranges)
    assert inside(dt.date(2027, 12, 20), ranges)
    assert not inside(dt.date(2027, 2, 1), ranges)


def test_half_a_window_is_said(tmp_path):
    (tmp_path / "property.toml").write_text(
        '[property]\nname = "x"\n[[mix]]\nname = "m"\n'
        'seed = [{ crop = "oats", rate_lb_ac = 60.0, plant_from = "09-01" }]\n'
    )
    with pytest.raises(SettingsProblem, match=r"mix\[1\].seed\[1\].plant_from"):
        read_property(tmp_path)


EVERY_DAY = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
NEW_YEAR = dt.date(2027, 1, 2)
STRIP = WorkedRing("s01", "a01", "V strip", "strip", 1.5, 900.0, width_ft=60.0)


def found(prop, *, frost=None, strips=(), needs=None, today=NEW_YEAR, done=None):
    """Return (code, area, text) of every conflict of a property."""
    ids = tuple(f"a{n:02d}" for n in range(1, len(prop.area) + 1))
    ground = Ground(
        ids, (2.0,) * len(ids), takes_by_key(needs or {}), strips, today, done or {}
    )
    plan = plan_days(ground, prop)
    return [(r.code, r.area, printed(r.text)) for r in conflicts(plan, prop, frost, strips)]


def texts(code, *arguments, **more):
    return [text for got, _, text in found(*arguments, **more) if got == code]


def planted(crop, plant, *, method="broadcast", quiet=(), work=None, place=None, **more):
    seed = Seed(crop, rate_lb_ac=20.0)
    return Property(
        PropertyInfo("Here", **(place or {})),
        quiet=quiet,
        area=(Area("P", "plot", "p.gpx", plant=plant, mix="m", **more),),
        mix=(Mix("m", (seed,), method),),
        work=work or Work(EVERY_DAY),
    )


def freezes(spring_32="2027-04-21", fall_32="2027-10-30", fall_28="2027-11-09"):
    """Return a record's freezes: 1 in 10 in spring, half in fall."""

    def row(season, threshold_f, ten, half):
        ten, half = (day and dt.date.fromisoformat(day) for day in (ten, half))
        return FreezeDates(season, threshold_f, 30, 0, ten, half, None)

    rows = (
        row("spring", 32.0, spring_32, None),
        row("fall", 32.0, None, fall_32),
        row("fall", 28.0, None, fall_28),
    )
    return FrostReport((1971, 2000), rows, None)


# ---- strip cut against season ------------------------------------------------------------


def vine(quiet, **more):
    return Property(PropertyInfo("Here"), quiet=quiet, area=(Area("V", "patch", "v.gpx"),),
                    work=Work(), **more)  # fmt: skip


NESTING = Quiet("nesting", "05-15", "07-03")


@pytest.mark.parametrize(
    ("holds", "words"),
    [
        (True, "its 60 ft hold that long."),
        (False, "its 60 ft do not hold that long everywhere: widen it"),
        (None, "again on July 4."),
    ],
)
def test_strip_against_season_says_the_cuts_and_whether_the_width_lasts(holds, words):
    (text,) = texts(
        "strip-against-season",
        vine((NESTING,)),
        strips=[dataclasses.replace(STRIP, holds=holds)],
    )
    assert text.startswith(
        "no cut from May 15 to July 3 (nesting, 50 days) while the vine runs: cut it short on "
        "May 8, so that it is no nesting cover, and again on July 4"
    )
    assert words in text


@pytest.mark.parametrize(
    "quiet",
    [
        (),
        (Quiet("deer", "11-20", "01-31"),),  # the vine does not run
        (Quiet("stands", "05-15", "07-03", ("plot",)),),  # other ground
    ],
)
def test_no_strip_conflict_where_there_is_none(quiet):
    assert texts("strip-against-season", vine(quiet), strips=[STRIP]) == []


def test_two_seasons_that_meet_are_one_strip_conflict():
    quiet = (NESTING, Quiet("poults", "07-04", "08-15", ("V",)))
    (text,) = texts("strip-against-season", vine(quiet), strips=[STRIP])
    assert "May 15 to August 15 (nesting, poults, 93 days)" in text


def test_a_season_that_is_over_asks_for_no_cut_any_more():
    prop, today = vine((NESTING,)), dt.date(2027, 11, 27)
    cuts = tuple(dt.date(2027, month, 8) for month in (4, 5, 7, 8))
    ground = Ground(
        ("a01",), (2.0,), {}, (STRIP,), today, {(STRIP.name, "strip cut"): cuts}
    )
    planned = plan_days(ground, prop)
    assert {task.scheduled for task in planned.tasks} & set(cuts)
    said = [
        row.text
        for row in conflicts(planned, prop, None, [STRIP])
        if row.code == "strip-against-season"
    ]
    assert len(said) == 1


# ---- burn against nesting ----------------------------------------------------------------


def burn(quiet):
    return Property(PropertyInfo("Here"), quiet=quiet, area=(Area("B", "burn", "b.gpx"),),
                    work=Work(EVERY_DAY))  # fmt: skip


def window_of(quiet, today=NEW_YEAR):
    ground = Ground(("a01",), (20.0,), {}, (), today, {})
    return next(t for t in plan_days(ground, burn(quiet)).tasks if t.task == "burn window")


def test_burn_window_ends_where_nesting_begins():
    """Ohio's dates of the shipped list: March 1 to July 15."""
    quiet = (Quiet("nesting", "03-01", "07-15"),)
    window = window_of(quiet)
    assert (window.earliest, window.latest) == (dt.date(2027, 2, 1), dt.date(2027, 2, 28))
    (text,) = texts("burn-against-season", burn(quiet))
    assert text == (
        "the nesting season (March 1 to July 15) reaches into the burn window, February 1 to "
        "March 15: burn only from February 1 to 28, or leave it for a year."
    )


def test_burn_window_begins_where_a_winter_season_ends():
    quiet = (Quiet("deer season", "11-20", "02-20"),)
    window = window_of(quiet)
    assert (window.earliest, window.latest) == (dt.date(2027, 2, 21), dt.date(2027, 3, 15))
    assert "from February 21 to March 15" in texts("burn-against-season", burn(quiet))[0]


def test_a_burn_that_was_done_is_not_told_to_wait_for_a_year():
    burned = dt.date(2027, 3, 7)
    ground = Ground(
        ("a01",), (20.0,), {}, (), dt.date(2027, 11, 27),
        {("B", "burn window"): (burned,)},
    )  # fmt: skip
    done = [
        task for task in plan_days(ground, burn((NESTING,))).tasks
        if task.task == "burn window" and task.scheduled == burned
    ]  # fmt: skip
    assert [(task.status, task.notes) for task in done] == [("done", [])]


def test_a_season_over_all_of_the_burn_window_leaves_none():
    quiet = (Quiet("nesting", "01-15", "07-15"),)
    window = window_of(quiet)
    assert window.status == "unplaced"
    (text,) = texts("burn-against-season", burn(quiet))
    assert "no open day is left from February 1 to March 15" in text
    assert "burn by January 14" in text


@pytest.mark.parametrize(
    "quiet", [(), (NESTING,), (Quiet("q", "02-01", "03-15", ("plot",)),)]
)
def test_no_burn_conflict_where_there_is_none(quiet):
    assert texts("burn-against-season", burn(quiet)) == []


# ---- planting against frost --------------------------------------------------------------


def test_a_warm_crop_before_the_last_freeze():
    def said(day):
        on = (TaskRule("plant", on=day),)
        return texts("frost-window", planted("lablab", day, tasks=on), frost=freezes())

    assert said(dt.date(2027, 4, 15)) == [
        "lablab on April 15: one year in ten freezes later than April 21 (32 °F, 1971-2000). "
        "Plant from April 21 on, or keep seed to sow again."
    ]
    assert said(dt.date(2027, 4, 21)) == []


def test_a_cool_crop_too_near_the_first_freeze():
    """Half the years freeze (28 °F) by November 9; thirty days before is October 10."""
    (text,) = texts("frost-window", planted("oats", dt.date(2027, 10, 20)), frost=freezes())
    assert "oats on October 20 has under 30 days before the middle first freeze" in text
    assert "plant by October 10" in text


def test_a_window_that_waits_into_the_frost_says_by_when():
    """October 1 may wait for rain until October 15: five days after the last good one."""
    (text,) = texts("frost-window", planted("oats", dt.date(2027, 10, 1)), frost=freezes())
    assert "may wait for rain until October 15, but after October 10" in text
    assert not texts("frost-window", planted("oats", dt.date(2027, 9, 20)), frost=freezes())


def test_a_cool_crop_in_spring_and_a_record_without_freezes_say_nothing():
    assert not texts("frost-window", planted("oats", dt.date(2027, 2, 20)), frost=freezes())
    none = freezes(None, None, None)
    assert not texts("frost-window", planted("oats", dt.date(2027, 12, 1)), frost=none)
    assert not texts("frost-window", planted("oats", dt.date(2027, 12, 1)), frost=None)


def test_without_a_record_the_property_s_own_frost_dates_serve():
    place = {"last_frost": "05-20", "first_frost": "09-25"}
    (spring,) = texts("frost-window", planted("lablab", dt.date(2027, 5, 1), place=place))
    assert "the last frost of spring is May 20 (your own frost date)" in spring
    (fall,) = texts("frost-window", planted("oats", dt.date(2027, 9, 10), place=place))
    assert "plant by August 26" in fall


@pytest.mark.parametrize("crop", ["wheat", "cereal rye", "triticale"])
def test_no_autumn_frost_speaks_against_a_winter_grain(crop):
    """Usual Planting and Harvesting Dates (628), USDA, 1997: wheat to November 30 in Tennessee."""
    place = {"last_frost": "04-20", "first_frost": "10-15"}
    late = dt.date(2027, 10, 10)
    assert not texts("frost-window", planted(crop, late, place=place))
    assert not texts("frost-window", planted(crop, late), frost=freezes())
    assert texts("frost-window", planted("oats", late, place=place))


# ---- planting against baiting rules ------------------------------------------------------


@pytest.mark.parametrize(
    ("crop", "day", "method", "hits"),
    [
        ("wheat", dt.date(2027, 8, 20), "broadcast", 1),
        ("wheat", dt.date(2027, 9, 14), "broadcast", 1),
        ("wheat", dt.date(2027, 9, 15), "broadcast", 0),  # the specialists' first day
        ("wheat", dt.date(2027, 8, 20), "drill", 0),  # covered
        ("wheat", dt.date(2027, 3, 1), "broadcast", 0),
        ("crimson clover", dt.date(2027, 8, 20), "broadcast", 0),  # no grain
    ],
)
def test_grain_on_top_before_dove_season(crop, day, method, hits):
    rules = (TaskRule("plant", on=day),)
    got = texts("baiting-rule", planted(crop, day, method=method, tasks=rules))
    assert len(got) == hits
    for text in got:
        assert "50 CFR 20.11" in text
        assert "Cover the seed, or sow from September 15 on" in text


# ---- lime too late to work ---------------------------------------------------------------


@pytest.mark.parametrize(
    ("today", "hits"),
    [
        (dt.date(2027, 1, 2), 0),
        (dt.date(2027, 6, 20), 0),
        (dt.date(2027, 7, 20), 1),
        (dt.date(2027, 9, 15), 1),
    ],
)
def test_lime_too_late(today, hits):
    """Planting September 25: ninety days before is June 27."""
    needs = {"a01": record_of(Need, {"lime": {"ton": 2.0}})}
    got = texts(
        "lime-too-late", planted("oats", dt.date(2027, 9, 25)), needs=needs, today=today
    )
    assert len(got) == hits
    for text in got:
        spread = "on July 20" if today < dt.date(2027, 8, 1) else "no more in time"
        assert f"lime spread {spread} has under 90 days before September 25" in text
        assert "plant what takes the present pH" in text


def test_lime_that_was_spread_late_says_its_day():
    needs = {"a01": record_of(Need, {"lime": {"ton": 2.0}})}
    (text,) = texts(
        "lime-too-late", planted("oats", dt.date(2027, 9, 25)), needs=needs,
        today=dt.date(2027, 8, 1), done={("P", "lime"): (dt.date(2027, 7, 24),)},
    )  # fmt: skip
    assert "lime spread on July 24 has under 90 days" in text


# ---- two machines at once ----------------------------------------------------------------


def two_on_a_day(**work):
    """Mow one plot and disk another on one Saturday."""
    day = dt.date(2027, 8, 14)
    jobs = (("P", "clip", "mower"), ("Q", "turn under", "disk"))
    areas = tuple(
        Area(name, "plot", "p.gpx", plant=dt.date(2027, 9, 25), tasks=(
            TaskRule(task, on=day, minutes=60),
            *(TaskRule(other, skip=True) for other in (
                "soil test", "clip", "turn under", "second disking", "smooth", "plant",
                "set exclosure", "read exclosure") if other != task),
        ))
        for name, task, _ in jobs
    )  # fmt: skip
    return Property(PropertyInfo("Here"), area=areas, work=Work(**work))


def test_two_machines_at_once_and_the_cure():
    (text,) = texts("machines-at-once", two_on_a_day())
    assert text == (
        "1 day wants more implements than the one tractor can pull at once (August 14 disk + "
        "mower): finish with one before you hitch the next, the hours allow for it; or bring "
        "another tractor, and say so: “Tractors” (tractors = 2 under [work] in property.toml)."
    )
    assert texts("machines-at-once", two_on_a_day(tractors=2)) == []


# ---- nothing quiet is planned, whatever the words ---------------------------------------


def test_a_season_that_names_a_patch_shuts_its_strip():
    quiet = (Quiet("q", "05-15", "07-03", ("V",)),)
    ground = Ground(("a01",), (2.0,), {}, [STRIP], NEW_YEAR, {})
    days = [t.scheduled for t in plan_days(ground, vine(quiet)).tasks if t.scheduled]
    assert days
    assert not [d for d in days if dt.date(2027, 5, 15) <= d <= dt.date(2027, 7, 3)]


def test_a_season_that_names_firebreaks_shuts_that_job_only():
    quiet = (Quiet("q", "01-01", "02-21", ("firebreak",)),)
    ground = Ground(("a01",), (20.0,), {}, (), NEW_YEAR, {})
    at = {t.task: t for t in plan_days(ground, burn(quiet)).tasks}
    assert at["firebreak"].scheduled > dt.date(2027, 2, 21)
    assert at["burn plan and permit"].scheduled <= dt.date(2027, 2, 15)
    assert at["burn window"].earliest == dt.date(2027, 2, 1)


@pytest.mark.parametrize(
    ("line", "minutes"),
    [
        # nothing is laid out: an assumption, docs/methods-year.md
        ((), 90.0),
        # its passes as drawn, and the 10 fixed minutes
        ((40.0,), 50.0),
        # no pass fits: 2 ac with a 6 ft disk at 4 mph and 0.7, AEN-73, Univ. of Kentucky, 1991
        ((0.0,), 60 * 2.0 / (6 * 4 * 0.7 / 8.25) + 10),
    ],
    ids=["none", "passes", "acres"],
)
def test_disking_a_firebreak_takes_what_it_takes(line, minutes):
    strips = [
        WorkedRing("s01", "a01", "B firebreak", "firebreak", 2.0, 900.0, pass_minutes=one)
        for one in line
    ]
    ground = Ground(("a01",), (20.0,), {}, strips, NEW_YEAR, {})
    at = {t.task: t for t in plan_days(ground, burn(())).tasks}
    assert at["firebreak"].minutes == pytest.approx(minutes)
