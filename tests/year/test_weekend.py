"""The best planting weekend: rain after it and room on it, joined; all figures by hand."""

import datetime as dt
import math
from dataclasses import replace

import numpy as np
import pytest

from quietacre.daily import Daily
from quietacre.figures import printed
from quietacre.settings import (
    Area,
    Mix,
    Property,
    PropertyInfo,
    Quiet,
    Seed,
    TaskRule,
    Weather,
    Work,
)
from quietacre.workweek import weekends
from quietacre.year.frost import FreezeDates, FrostReport, Growing
from quietacre.year.plan import Ground, plan_days
from quietacre.year.rain import MonthRain, Odds, rain_odds, wilson
from quietacre.year.weather import frost_of, weather_report
from quietacre.year.weather_said import weather_lines

D = dt.date
TODAY = D(2027, 1, 2)
#: Plots are planted on Saturday, September 18 2027; three days sooner to two weeks later.
PLANT = D(2027, 9, 18)
SKIP = tuple(
    TaskRule(task, skip=True)
    for task in ("soil test", "clip", "turn under", "second disking", "smooth", "set exclosure",
                 "read exclosure")
)  # fmt: skip


def record(*wet):
    """Return ten dry years, 2010-19, but for (month, day, years): half an inch that day."""
    start, days = D(2010, 1, 1), 3652
    rain = np.zeros(days)
    for month, day, years in wet:
        for year in range(2010, 2010 + years):
            rain[(D(year, month, day) - start).days] = 0.5
    none = np.full(days, math.nan)
    return Daily("made", start, rain, none, none)


def report(rain, *, work=None, minutes=120, others=(), quiet=(), rain_days=3, plant=PLANT):
    areas = (
        Area("P", "plot", "p.gpx", plant=plant, mix="m",
             tasks=(TaskRule("plant", minutes=minutes), *SKIP)),
        *others,
    )  # fmt: skip
    prop = Property(
        PropertyInfo("Here"), area=areas, work=work or Work(), quiet=quiet,
        mix=(Mix("m", (Seed("rye of mine", rate_lb_ac=1.0, basis="bulk"),)),),
        weather=Weather("w.csv", rain_in=0.5, rain_days=rain_days),
    )  # fmt: skip
    ids = tuple(f"a{n:02d}" for n in range(1, len(areas) + 1))
    ground = Ground(ids, (1.0,) * len(areas), {}, (), TODAY, {})
    plan = plan_days(ground, prop)
    return weather_report(rain, prop, plan, TODAY, frost_of(rain, prop, TODAY))


def plot(rain, **more):
    return report(rain, **more).plantings[0]


def busy(name, day, minutes, machine):
    """Return a plot whose one job takes a machine on a day."""
    rule = TaskRule("job", on=day, minutes=minutes, machine=machine)
    keep = (TaskRule("plant", skip=True), *SKIP)
    return Area(name, "plot", "p.gpx", plant=PLANT, tasks=(rule, *keep))


def test_workdays_grouped():
    sat, sun = D(2027, 9, 18), D(2027, 9, 19)
    friday, labor_day = D(2027, 9, 3), D(2027, 9, 6)
    assert weekends([sun, sat]) == [(sat, sun)]
    long = [friday, D(2027, 9, 4), D(2027, 9, 5), labor_day]
    assert weekends([*long, sat]) == [tuple(long), (sat,)]
    # who has every day has weeks from Monday to Sunday
    every = [D(2027, 9, 1) + dt.timedelta(n) for n in range(14)]
    runs = weekends(every)
    assert [(len(run), run[0].weekday()) for run in runs] == [(5, 2), (7, 0), (2, 0)]


def test_the_weekends_of_the_window():
    """September 15 to October 2 on Saturdays and Sundays."""
    found = plot(record()).weekends
    assert [(one.first, one.last) for one in found] == [
        (D(2027, 9, 18), D(2027, 9, 19)), (D(2027, 9, 25), D(2027, 9, 26)), (D(2027, 10, 2), D(2027, 10, 2)),
    ]  # fmt: skip


def test_rain_decides_between_weekends_with_room():
    """It rained on September 19 in four years of ten and on September 26 in seven."""
    got = plot(record((9, 19, 4), (9, 26, 7)))
    assert [one.share for one in got.weekends] == [0.4, 0.7, 0.0]
    assert got.best.first == D(2027, 9, 25)
    assert (got.best.hits, got.best.years) == (7, 10)
    # Wilson, 7 of 10: (0.7 + 0.19208) / 1.38416 ± 1.96 / 1.38416 × sqrt(0.021 + 0.0096)
    assert (got.best.low, got.best.high) == pytest.approx((0.3968, 0.8922), abs=1e-4)
    assert printed(got.text).startswith(
        "best planting weekend September 25 to 26: 0.5 in of rain fell within 3 days of September 25 in "
        "7 of 10 years (70 %; 19 times in 20 between 40 and 89 %), and all 120 minutes of sowing fit"
    )
    assert got.text.endswith(
        "to move it, change its “Planting day” (plant under its [[area]] in property.toml)"
    )
    assert got.to_move == 'tasks = [{ task = "plant", on = 2027-09-25 }]'


def test_a_weekend_without_hours_is_not_best_however_it_rains():
    """Both days of September 25-26 are full of other work with another machine."""
    others = (
        busy("Q", D(2027, 9, 25), 480, "disk"),
        busy("R", D(2027, 9, 26), 480, "disk"),
    )
    got = plot(record((9, 19, 4), (9, 26, 7)), others=others)
    assert got.weekends[1].work_share == 0.0
    assert got.weekends[1].score == 0.0
    assert got.best.first == D(2027, 9, 18)


def test_people_with_hours_do_not_help_when_the_machine_is_taken():
    """A helper and two tractors: 16 h of people, but one spreader, 7 h of it taken."""
    work = Work(helpers=1, tractors=2)
    rain = record((9, 19, 4), (9, 26, 7))
    for machine, first in (("spreader", D(2027, 9, 18)), ("mower", D(2027, 9, 25))):
        others = (
            busy("Q", D(2027, 9, 25), 420, machine),
            busy("R", D(2027, 9, 26), 420, machine),
        )
        got = plot(rain, others=others, work=work)
        assert got.best.first == first, machine
    others = (busy("Q", D(2027, 9, 25), 420, "spreader"),
              busy("R", D(2027, 9, 26), 420, "spreader"))  # fmt: skip
    full = plot(rain, others=others, work=work).weekends[1]
    assert (full.work_share, full.short_of) == (0.0, "spreader")


def test_tractor_hours_count_beside_machines():
    """A helper but one tractor: 16 h of people, 8 of the tractor, 7 of them on the disk."""
    others = (
        busy("Q", D(2027, 9, 25), 420, "disk"),
        busy("R", D(2027, 9, 26), 420, "disk"),
    )
    got = plot(record((9, 19, 4), (9, 26, 7)), others=others, work=Work(helpers=1))
    assert got.weekends[1].short_of == "tractors"
    assert got.best.first == D(2027, 9, 18)


def test_odds_and_work_are_multiplied():
    """Sowing of 16 h is two parts. The wetter weekend has room for one: 0.9 × ½ < 0.5 × 1."""
    others = (busy("Q", D(2027, 9, 26), 400, "disk"),)
    got = plot(record((9, 20, 5), (9, 27, 9)), minutes=960, others=others)
    assert [one.work_share for one in got.weekends] == [1.0, 0.5, 0.5]
    assert [one.score for one in got.weekends] == pytest.approx([0.5, 0.45, 0.0])
    assert got.best.first == D(2027, 9, 18)
    got = plot(record((9, 20, 4), (9, 27, 9)), minutes=960, others=others)
    assert got.best.first == D(2027, 9, 25)
    assert "50 % of the sowing fits, for want of your own hours" in got.text


def test_the_chance_counts_from_the_day_the_sowing_is_done():
    """Two parts take both days: the rain of Saturday itself no longer follows the sowing."""
    rain = record((9, 18, 8), (9, 19, 3))
    assert plot(rain).weekends[0].share == 0.8
    two = plot(rain, minutes=960).weekends[0]
    assert (two.date, two.share) == (D(2027, 9, 19), 0.3)


def test_quiet_days_blocked_days_and_named_days():
    quiet = (Quiet("q", "09-24", "09-26", ("plot",)),)
    assert plot(record((9, 26, 9)), quiet=quiet).best is None
    work = Work(blocked_days=(D(2027, 9, 18),), extra_days=(D(2027, 9, 24),))
    found = plot(record(), work=work).weekends
    assert [(one.first, one.last) for one in found][:2] == [
        (D(2027, 9, 19), D(2027, 9, 19)), (D(2027, 9, 24), D(2027, 9, 26)),
    ]  # fmt: skip


def test_no_rain_on_record_is_told():
    got = plot(record())
    assert got.best is None
    assert "the record shows no planting rain" in got.text


def test_the_list_says_every_date_and_the_best_weekend():
    lines = weather_lines(report(record((9, 19, 4), (9, 26, 7))))
    line = "Sat September 18: 40 % (17 to 69 %, 4 of 10 years); dry days after it: 8, one year in "
    assert f"    {line}ten 60 or more" in lines
    assert any(
        line.startswith("  P: best planting weekend September 25 to 26") for line in lines
    )


def test_the_day_of_the_plan_stands_beside_the_odds():
    made = plot(record((9, 19, 8)))
    assert made.planned == PLANT
    trips = [one.odds.date for one in made.days if one.trip_already]
    assert trips == [PLANT], "the one trip of the plan is its own"


# what is printed of the weather


def lines(**more):
    return told(replace(report(record((9, 19, 4))), **more))


def told(weather):
    return [printed(line) for line in weather_lines(weather)]


@pytest.mark.parametrize(
    ("missing", "words"), [(0, "1.25 in"), (1, "1.25 in, 1 day missing"), (2, "1.25 in, 2 days missing")]
)  # fmt: skip
def test_rain_so_far_this_month(missing, words):
    month = MonthRain(D(2027, 9, 1), D(2027, 9, 9), 1.25, missing)
    assert f"  rain so far this month, September 1 to 9: {words}" in lines(this_month=month)
    none = lines(this_month=replace(month, inches=None))
    assert not [line for line in none if "so far this month" in line]


def test_a_day_without_a_whole_year_and_one_without_a_dry_spell_are_said_so():
    made = report(record((9, 19, 4)))
    plant = made.plantings[0]
    unknown = Odds(PLANT, 0, 0, None, 0.0, 1.0, None, None)
    days = (replace(plant.days[0], odds=unknown),)
    told = weather_lines(replace(made, plantings=(replace(plant, days=days),)))
    assert "    Sat September 18: no year of the record is whole here" in told
    known = replace(unknown, years=10, hits=4, share=0.4, low=0.17, high=0.69)
    days = (replace(plant.days[0], odds=known),)
    told = weather_lines(replace(made, plantings=(replace(plant, days=days),)))
    assert "    Sat September 18: 40 % (17 to 69 %, 4 of 10 years)" in told


def test_freezes_are_told_with_their_years():
    rows = (
        FreezeDates("spring", 32.0, 30, 0, D(2027, 4, 21), D(2027, 4, 3), D(2027, 3, 17)),
        FreezeDates("fall", 28.0, 30, 1, D(2027, 11, 1), D(2027, 11, 9), D(2027, 11, 20)),
        FreezeDates("fall", 24.0, 8, 22, None, None, None),
    )
    frost = FrostReport((1971, 2000), rows, Growing(50.0, 4321.0, 30))
    told = lines(frost=frost)
    assert told[-5:] == [
        "  freezes, base period 1971 to 2000:",
        "    spring 32 °F: 1 year in 10 later than April 21, half April 3, 9 in 10 March 17 (30 years)",
        "    fall 28 °F: 1 year in 10 before November 1, half November 9, 9 in 10 November 20 (30 years)",
        "    fall 24 °F: no date from 8 years (22 without)",
        "    growing-degree days between the middle freezes, base 50 °F: 4,321",
    ]
    for partly in ({"pct_10": None}, {"pct_50": None}, {"pct_90": None}):
        some = replace(frost, freezes=(replace(rows[0], **partly),), growing=None)
        assert (
            lines(frost=some)[-1] == "    spring 32 °F: no date from 30 years (0 without)"
        )
    unknown = replace(frost, growing=Growing(50.0, None, 0))
    assert "degree" not in lines(frost=unknown)[-1]


def test_a_planting_is_told_with_its_warmth_and_what_to_type():
    made = report(record((9, 26, 7)))
    plant = made.plantings[0]
    assert plant.to_move
    warm = replace(plant, degree_days_to_year_end=1234.4, degree_years=9)
    assert told(replace(made, plantings=(warm,)))[-2:] == [
        f"    that is, under its [[area]]: {plant.to_move}",
        "    growing-degree days to December 31: 1,234 (9 years)",
    ]
    on_its_day = report(record((9, 19, 7)))
    assert not [line for line in weather_lines(on_its_day) if "that is, under" in line]
    assert not [
        line for line in weather_lines(replace(made, plantings=())) if "chance of" in line
    ]


def test_a_share_has_its_interval_by_wilson():
    """0 and all of them have exact ends; none of none may be anything."""
    assert wilson(0, 0) == (0.0, 1.0)
    assert wilson(20, 20)[1] == 1.0
    assert wilson(20, 20)[0] == pytest.approx(1 - wilson(0, 20)[1])
    assert wilson(5, 10, z=0.0) == pytest.approx((0.5, 0.5))


def test_a_tenth_of_an_inch_ends_a_dry_spell_and_sixty_days_are_looked_at():
    rain = record((9, 24, 10))
    rain.rain_in[rain.rain_in > 0] = 0.1
    odds = rain_odds(rain, D(2027, 9, 18), rain_in=0.1, rain_days=7)
    assert (odds.hits, odds.years, odds.dry_median_days) == (10, 10, 6.0)
    assert rain_odds(rain, D(2027, 9, 18), rain_in=0.1, rain_days=6).hits == 0
    rain.rain_in[rain.rain_in > 0] = 0.09
    assert rain_odds(rain, D(2027, 9, 18), rain_in=0.1, rain_days=7).hits == 0
    assert rain_odds(rain, D(2027, 9, 18), rain_in=0.1, rain_days=7).dry_median_days == 60.0


def test_a_sowing_of_no_minutes_fits_on_any_day():
    got = plot(
        record((9, 19, 4)), minutes=0, others=(busy("Q", D(2027, 9, 18), 480, "spreader"),)
    )
    assert {one.work_share for one in got.weekends} == {1.0}
    assert {one.short_of for one in got.weekends} == {None}
    assert got.best.score == 0.4
    taken = tuple(busy(f"Q{n}", D(2027, 9, n), 480, "spreader") for n in (18, 19))
    for minutes, share in ((0, 1.0), (1, 0.0)):
        got = plot(record((9, 19, 4)), minutes=minutes, others=taken)
        assert got.weekends[0].work_share == share


def test_half_a_day_s_jobs_of_the_same_plot_and_of_the_same_kind_are_taken_off_its_room():
    """Disking Q takes four of eight hours, so that five of sowing do not fit; with three they do."""
    other = busy("Q", D(2027, 9, 18), 240, "disk")
    for minutes, share in ((240, 1.0), (241, 1.0), (300, 1.0)):
        got = plot(record((9, 20, 4)), minutes=minutes, others=(other,))
        assert got.weekends[0].work_share == share, "the Sunday is free"
    both = (other, busy("R", D(2027, 9, 19), 240, "disk"))
    for minutes, share in ((240, 1.0), (241, 0.0)):
        assert (
            plot(record((9, 20, 4)), minutes=minutes, others=both).weekends[0].work_share
            == share
        )
