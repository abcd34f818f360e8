"""Seasons: which year of a month-day is meant, what is done of it, what comes next."""

import datetime as dt
from dataclasses import replace

import pytest

from quietacre.quiet import shut_by
from quietacre.settings import (
    Area,
    Mix,
    Planting,
    Property,
    PropertyInfo,
    Quiet,
    Seed,
    TaskRule,
    Work,
)
from quietacre.year.behind_rain import Rain
from quietacre.year.next_planting import offers_of
from quietacre.year.plan import Ground, plan_days
from quietacre.year.seasons import seasons_of
from quietacre.year.steps import planting_meant
from quietacre.year.takes import takes_by_key
from quietacre.year.two_plantings import overlaps

D = dt.date
DAY = dt.timedelta(days=1)
WHEAT = Mix("wheat", (Seed("wheat"),))
PEAS = Mix("peas", (Seed("cowpea (iron-and-clay type)"),))
EVERY_DAY = Work(("mon", "tue", "wed", "thu", "fri", "sat", "sun"))


def place(*areas, work=EVERY_DAY, quiet=()):
    return Property(
        PropertyInfo("Home", state="AL"),
        area=areas,
        mix=(WHEAT, PEAS),
        work=work,
        quiet=quiet,
    )


def one(plant, **more):
    return place(Area("Hill", "plot", "h.gpx", mix="wheat", plant=plant, **more))


def meant(prop, today, done=None, **more):
    (row,) = seasons_of(prop, today, done, **more).rows
    return row


SOWN = {("Hill", "plant"): (D(2027, 9, 24),)}


@pytest.mark.parametrize(
    ("today", "done", "plant", "state"),
    [
        (D(2027, 1, 5), {}, D(2027, 9, 25), "ahead"),
        (D(2027, 9, 25), {}, D(2027, 9, 25), "ahead"),
        (D(2027, 10, 12), {}, D(2027, 9, 25), "ahead"),  # late, and still worth it
        (D(2027, 11, 20), {}, D(2028, 9, 25), "ahead"),
        (D(2027, 9, 25), SOWN, D(2027, 9, 25), "growing"),
        (D(2027, 12, 24), SOWN, D(2027, 9, 25), "growing"),  # the cage is still to be read
        (D(2028, 1, 7), SOWN, D(2027, 9, 25), "growing"),  # late
        (D(2028, 1, 8), SOWN, D(2028, 9, 25), "ahead"),
        (D(2028, 9, 25), SOWN, D(2028, 9, 25), "ahead"),
    ],
)
def test_the_earliest_season_that_is_neither_finished_nor_over(today, done, plant, state):
    row = meant(one("09-25"), today, done)
    assert (row.plant, row.state, row.returns) == (plant, state, "09-25")


def test_a_season_is_finished_when_its_last_job_is_done():
    done = {
        **SOWN,
        ("Hill", "set exclosure"): (D(2027, 10, 1),),
        ("Hill", "top-dress"): (D(2027, 11, 1),),
        ("Hill", "read exclosure"): (D(2027, 11, 24),),
    }
    assert meant(one(D(2027, 9, 25)), D(2027, 11, 23), done).state == "growing"
    assert meant(one(D(2027, 9, 25)), D(2027, 11, 24), done).state == "finished"
    assert meant(one("09-25"), D(2027, 11, 24), done).plant == D(2028, 9, 25)


def test_a_season_over_new_year_is_of_the_year_it_was_sown_in():
    prop = one("09-25", topdress_n_lb_ac=30.0, topdress_on="02-15")
    (dated,) = seasons_of(prop, D(2028, 2, 1), SOWN).prop.area
    assert (dated.plant, dated.topdress_on) == (D(2027, 9, 25), D(2028, 2, 15))
    assert meant(prop, D(2028, 2, 1), SOWN).year == 2027
    assert meant(prop, D(2028, 3, 20), SOWN).year == 2028


def test_february_29_returns_on_the_28th():
    assert meant(one("02-29"), D(2027, 1, 1)).plant == D(2027, 2, 28)
    assert meant(one("02-29"), D(2028, 1, 1)).plant == D(2028, 2, 29)


def test_a_year_can_be_asked_for():
    assert meant(one("09-25"), D(2028, 1, 20), SOWN, year=2027).plant == D(2027, 9, 25)


def test_a_season_without_a_line_is_told_when_its_time_is_over():
    early, late = (
        seasons_of(one("09-25"), day) for day in (D(2027, 11, 20), D(2028, 3, 1))
    )
    (note,) = early.notes
    assert note.code == "season-not-in-log"
    assert "September 25, 2027 is not in the log" in note.text
    assert "September 25, 2028 is planned" in note.text
    (row,) = early.missed_jobs()
    assert (row.area, row.area_id) == ("Hill", "a01")
    # who never kept a log is not told of old times
    assert late.notes == ()
    kept = seasons_of(one("09-25"), D(2028, 3, 1), {("Hill", "plant"): (D(2025, 9, 20),)})
    assert [n.code for n in kept.notes] == ["season-not-in-log"]


def test_a_day_of_another_year_is_said_and_the_usual_taken():
    prop = one(
        "09-25", topdress_on=D(2027, 2, 15), tasks=(TaskRule("clip", on=D(2026, 8, 1)),)
    )
    found = seasons_of(prop, D(2027, 3, 1))
    (note,) = found.notes
    assert note.code == "day-of-another-year"
    assert "“clip” on 2026-08-01" in note.text
    assert "topdress_on = 2027-02-15" in note.text
    (area,) = found.prop.area
    assert (area.topdress_on, area.tasks[0].on) == (None, None)
    # of this planting it stands
    assert seasons_of(prop, D(2026, 3, 1)).prop.area[0].tasks[0].on == D(2026, 8, 1)


def test_jobs_are_of_the_planting_they_were_done_for():
    days = (D(2027, 5, 10), D(2027, 9, 25), D(2028, 5, 10))
    assert planting_meant("clip", D(2027, 8, 10), days) == D(2027, 9, 25)
    assert planting_meant("clip", D(2027, 5, 20), days) == D(2027, 5, 10)  # sown late
    assert planting_meant("read exclosure", D(2027, 7, 30), days) == D(2027, 5, 10)
    assert planting_meant("top-dress", D(2028, 2, 10), days) == D(2027, 9, 25)
    assert planting_meant("plant", D(2027, 7, 20), days) == D(2027, 9, 25)


TWICE = (Planting("peas", "05-10"), Planting("wheat", "09-25"))


def twice(*plantings):
    return place(Area("Creek", "plot", "c.gpx", plantings=plantings or TWICE))


def jobs(prop, today, done=None, needs=None):
    found = seasons_of(prop, today, done)
    ids = tuple(found.prop.area_by_id)
    ground = Ground(
        ids, (2.0,) * len(ids), takes_by_key(needs or {}), (), today, done or {}
    )
    return found, plan_days(ground, found.prop, effort="plain")


def test_each_planting_has_its_own_jobs_and_labels():
    _, plan = jobs(twice(), D(2027, 1, 10))
    plants = [t for t in plan.tasks if t.task == "plant"]
    assert {(t.planting, t.label, t.asked) for t in plants} == {
        ("a01", "plant behind rain, peas", D(2027, 5, 10)),
        ("a01.2", "plant behind rain, wheat", D(2027, 9, 25)),
    }
    assert len({t.uid for t in plan.tasks}) == len(plan.tasks)
    assert len({t.letters for t in plan.tasks}) == len(plan.tasks)
    assert {t.area_id for t in plan.tasks} == {"a01"}


def test_a_line_of_the_log_does_the_job_of_one_planting_only():
    done = {("Creek", "clip"): (D(2027, 3, 29),), ("Creek", "plant"): (D(2027, 5, 12),)}
    _, plan = jobs(twice(), D(2027, 6, 1), done)
    told = {(t.task, t.planting): t.status for t in plan.tasks}
    assert told["clip", "a01"] == told["plant", "a01"] == "done"
    assert told["clip", "a01.2"] == told["plant", "a01.2"] == "planned"


def test_jobs_of_one_planting_are_known_by_what_they_were_known_by():
    short = one(D(2027, 9, 25))
    long = place(
        Area("Hill", "plot", "h.gpx", plantings=(Planting("wheat", D(2027, 9, 25)),))
    )
    back = one("09-25")
    told = [
        [(t.uid, t.letters, t.label) for t in jobs(prop, D(2027, 1, 10))[1].tasks]
        for prop in (short, long, back)
    ]
    assert told[0] == told[1] == told[2]
    # and with a second one, the first keeps its letters in the calendar
    more = place(
        Area("Hill", "plot", "h.gpx",
             plantings=(Planting("wheat", D(2027, 9, 25)), Planting("peas", D(2027, 5, 10))))
    )  # fmt: skip
    uids = {t.uid for t in jobs(more, D(2027, 1, 10))[1].tasks}
    assert {uid for uid, _, _ in told[0]} <= uids


def test_plantings_too_near_each_other_are_said():
    near = twice(Planting("peas", "07-20"), Planting("wheat", "09-25"))
    found, plan = jobs(near, D(2027, 1, 10))
    ((area, text),) = overlaps(plan, found.prop)
    assert area == "Creek"
    assert text.startswith("wheat: its preparation begins (clip, best on August 14)")
    assert "before peas of July 20 can be off, September 8, 2027 at the soonest" in text
    found, plan = jobs(twice(), D(2027, 1, 10))
    assert list(overlaps(plan, found.prop)) == []


NESTING = Quiet("nesting", "05-15", "07-03")


def test_two_years_day_by_day_with_the_log_kept():
    """No job lost, nothing planned in a quiet season, each planting sown once a year."""
    prop = place(
        Area("Creek", "plot", "c.gpx", plantings=(Planting("peas", "04-28"), TWICE[1])),
        Area("Hill", "plot", "h.gpx", mix="wheat", plant="10-02"),
        work=Work(("sat", "sun", "wed")), quiet=(NESTING,),
    )  # fmt: skip
    done: dict[tuple[str, str], tuple[dt.date, ...]] = {}
    before: dict[str, object] = {}
    logged: set[str] = set()
    for number in range(731):
        today = D(2027, 1, 1) + number * DAY
        _, plan = jobs(prop, today, done)
        now = {task.uid: task for task in plan.tasks}
        lost = [
            (task.area, task.label, str(task.ideal)) for uid, task in before.items()
            if uid not in now and uid not in logged and not task.passed
        ]  # fmt: skip
        assert lost == [], today
        for task in plan.tasks:
            if task.status == "planned":
                assert shut_by(task.scheduled, task.words, plan.seasons) is None
                if task.scheduled == today:
                    key = (task.area, task.task)
                    done[key] = (*done.get(key, ()), today)
                    logged.add(task.uid)
            elif task.status == "unplaced":
                assert not task.passed or task.ideal < D(2027, 2, 1), (today, task)
        before = now
    for (area, task), days in done.items():
        if task == "plant":
            each = 2 if area == "Creek" else 1
            for year in (2027, 2028):
                assert sum(day.year == year for day in days) == each, (area, days)
    steps = {task for _, task in done}
    assert {"clip", "turn under", "smooth", "plant", "read exclosure"} <= steps


def test_the_next_season_is_offered_about_the_same_day():
    done = {("Hill", "plant"): (D(2027, 9, 23),)}
    found = seasons_of(one(D(2027, 9, 25)), D(2028, 2, 1), done)
    (offer,) = offers_of(found, D(2028, 2, 1))
    assert offer.day == D(2028, 9, 23)
    assert offer.text == "same as last time (September 23, 2027): about September 23, 2028"


def test_the_day_offered_obeys_work_days_quiet_windows_and_frost():
    done = {("Hill", "plant"): (D(2027, 9, 23),)}
    today = D(2028, 2, 1)
    base = one(D(2027, 9, 25))
    saturdays = replace(base, work=Work(("sat",)))
    (offer,) = offers_of(seasons_of(saturdays, today, done), today)
    assert (offer.day, offer.day.weekday()) == (D(2028, 9, 23), 5)
    shut = replace(base, quiet=(Quiet("opening", "09-10", "10-01"),))
    (offer,) = offers_of(seasons_of(shut, today, done), today)
    assert offer.day == D(2028, 10, 2)
    assert "is the nearest day of yours to that which quiet seasons" in offer.text
    # the person's own first frost leaves no thirty days, and matters to oats, not to wheat
    cold = replace(base, property=replace(base.property, first_frost="10-20"))
    (offer,) = offers_of(seasons_of(cold, today, done), today)
    assert offer.day == D(2028, 9, 23)
    oats = replace(base.mix[0], seed=(replace(base.mix[0].seed[0], crop="oats"),))
    (offer,) = offers_of(seasons_of(replace(cold, mix=(oats,)), today, done), today)
    assert offer.day == D(2028, 9, 20)
    late = replace(base, quiet=(Quiet("all year", "08-20", "10-31"),))
    today = D(2028, 4, 15)
    (offer,) = offers_of(seasons_of(late, today, done), today)
    assert offer.day is None
    assert "choose one, or another mix" in offer.text


def test_nothing_is_offered_for_what_comes_back_or_is_not_over():
    today = D(2028, 2, 1)
    assert offers_of(seasons_of(one("09-25"), today, SOWN), today) == ()
    assert offers_of(seasons_of(one(D(2028, 9, 25)), today, SOWN), today) == ()
    (offer,) = offers_of(seasons_of(one(D(2026, 9, 25)), today), today)
    assert offer.season.state == "over"
    assert "2026, not in the log" in offer.text


@pytest.mark.parametrize("plant", ["09-25", "02-29", D(2026, 9, 25)])
def test_rain_brings_back_no_planting_that_is_over(plant):
    fell = Rain({D(2027, 7, 1): 0.9})
    row = meant(one(plant), D(2027, 7, 2), rain=fell)
    if isinstance(plant, str):
        assert row.plant > D(2027, 7, 2)
        assert row.state == "ahead"
    else:
        assert row.state == "over"
    dated = one(row.plant)
    plan = plan_days(Ground(("a01",), (2.0,), {}, (), D(2027, 7, 2), {}, rain=fell), dated)
    (sow,) = [task for task in plan.tasks if task.task == "plant"]
    assert sow.asked == row.plant


def test_rain_two_weeks_late_still_moves_a_planting():
    fell = Rain({D(2027, 10, 20): 0.9})
    assert meant(one("09-25"), D(2027, 10, 21), rain=fell).plant == D(2027, 9, 25)


# the first and the last day of each


@pytest.mark.parametrize(("today", "state"), [(D(2028, 1, 7), "ahead"), (D(2028, 1, 8), "over")])  # fmt: skip
def test_who_leaves_the_sowing_out_has_the_other_jobs_until_two_weeks_after_them(
    today, state
):
    """The cage is read until December 24."""
    prop = one(D(2027, 9, 25), tasks=(TaskRule("plant", skip=True),))
    row = meant(prop, today)
    assert (row.state, row.last, row.sown_on) == (state, D(2028, 1, 7), None)


def test_of_two_plantings_one_may_have_no_day_yet():
    area = Area(
        "Hill", "plot", "h.gpx", plantings=(Planting("wheat", "09-25"), Planting("peas"))
    )
    found = seasons_of(place(area), D(2027, 1, 5))
    assert [row.key for row in found.rows] == ["a01"]
    assert [row.plant for row in found.prop.area[0].plantings] == [D(2027, 9, 25), None]


def unsown(today, done=None, **more):
    found = seasons_of(replace(one("09-25"), **more), today, done)
    return {row.plant.year: row.last for row in found.unsown}


def test_a_season_without_a_line_is_told_for_ninety_days_or_a_year():
    """Sown until October 9, it is worth doing until two weeks before its cage is read."""
    last = unsown(D(2027, 12, 1))[2027]
    assert 2027 in unsown(last + 90 * DAY)
    assert 2027 not in unsown(last + 91 * DAY)
    kept = {("Hill", "plant"): (D(2025, 9, 20),)}
    assert 2027 in unsown(last + 365 * DAY, kept)
    assert 2027 not in unsown(last + 366 * DAY, kept)
    of_others = {("Creek", "plant"): (D(2025, 9, 20),), ("Hill", "clip"): (D(2025, 8, 1),)}
    assert 2027 not in unsown(last + 91 * DAY, of_others)
    assert unsown(last) == {}, "its last day is not over"


def test_what_was_over_before_the_record_begins_is_no_missed_planting():
    today = D(2027, 12, 1)
    last = unsown(today)[2027]
    for begun, told in ((last, 1), (last + DAY, 0)):
        base = one("09-25")
        prop = replace(base, property=replace(base.property, begun=begun))
        found = seasons_of(prop, today)
        assert len(found.missed_jobs()) == told
        assert found.before_begun() == ([] if told else [("Hill", last)])


@pytest.mark.parametrize(
    ("off", "own"), [(-345, True), (-346, False), (300, True), (301, False)]
)
def test_a_day_of_a_job_is_of_the_planting_it_lies_near(off, own):
    rule = TaskRule("clip", on=D(2027, 9, 25) + off * DAY)
    found = seasons_of(one("09-25", tasks=(rule,)), D(2027, 3, 1))
    assert (found.prop.area[0].tasks[0].on is not None) is own
    assert bool(found.notes) is not own


@pytest.mark.parametrize(("off", "own"), [(0, True), (-1, False), (300, True), (301, False)])  # fmt: skip
def test_a_day_of_top_dressing_is_of_the_planting_it_follows(off, own):
    prop = one("09-25", topdress_on=D(2027, 9, 25) + off * DAY)
    found = seasons_of(prop, D(2027, 3, 1))
    assert (found.prop.area[0].topdress_on is not None) is own
    assert bool(found.notes) is not own
    # a planting with a year of its own has what was written
    dated = one(D(2027, 9, 25), topdress_on=D(2027, 9, 25) + off * DAY)
    assert seasons_of(dated, D(2027, 3, 1)).notes == ()


@pytest.mark.parametrize(("off", "about"), [(3, True), (4, False)])
def test_three_days_off_is_about_the_same_day(off, about):
    """The person has but one day, so many after the 23rd."""
    day = D(2028, 9, 23) + off * DAY
    prop = replace(one(D(2027, 9, 25)), work=Work((), extra_days=(day,)))
    today = D(2028, 2, 1)
    done = {("Hill", "plant"): (D(2027, 9, 23),)}
    (offer,) = offers_of(seasons_of(prop, today, done), today)
    assert offer.day == day
    assert ("about September" in offer.text) is about
    assert ("is the nearest day of yours" in offer.text) is not about


@pytest.mark.parametrize(("off", "known"), [(28, True), (29, False), (-28, True), (-29, False)])  # fmt: skip
def test_four_weeks_off_is_the_farthest_that_is_offered(off, known):
    # no table speaks against a day for a crop of one's own
    own = Mix("wheat", (Seed("rye of mine", rate_lb_ac=60.0),))
    day = D(2028, 9, 23) + off * DAY
    prop = replace(one(D(2027, 9, 25)), mix=(own,), work=Work((), extra_days=(day,)))
    today = D(2028, 2, 1)
    done = {("Hill", "plant"): (D(2027, 9, 23),)}
    (offer,) = offers_of(seasons_of(prop, today, done), today)
    assert offer.day == (day if known else None)


def test_an_offer_comes_today_or_later_and_takes_the_top_dressing_along():
    prop = one(D(2025, 9, 25), topdress_on=D(2025, 11, 1),
               tasks=(TaskRule("clip", on=D(2025, 8, 10)),))  # fmt: skip
    for today, day in ((D(2027, 9, 25), D(2027, 9, 25)), (D(2027, 9, 26), D(2028, 9, 25))):
        (offer,) = offers_of(seasons_of(prop, today), today)
        assert offer.day == day
        assert offer.later == day + (D(2025, 11, 1) - D(2025, 9, 25))
        assert offer.days == {"plant": day, "topdress_on": offer.later}
        assert offer.path == ("area", 0)
        (stays,) = offer.stays
        assert stays.startswith("its task “clip” has a day of its own, 2025-08-10")
    near = one(D(2027, 9, 25), tasks=(TaskRule("clip", on=D(2028, 8, 1)),))
    (offer,) = offers_of(seasons_of(near, D(2028, 2, 1)), D(2028, 2, 1))
    assert offer.stays == ()
    assert offer.later is None


def test_of_two_plantings_each_is_called_by_its_mix_and_an_only_one_by_nothing():
    rows = (Planting("wheat", "09-25"), Planting("peas", "05-10"))
    two = place(Area("Hill", "plot", "h.gpx", plantings=rows))
    assert [row.called for row in seasons_of(two, D(2027, 1, 5)).rows] == ["wheat", "peas"]
    assert meant(one("09-25"), D(2027, 1, 5)).called is None
