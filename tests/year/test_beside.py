"""Last year beside this one: what is known of each, and what is not."""

import datetime as dt
import math
from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from quietacre.daily import Daily
from quietacre.kept_years import PieceYear, YearRecord, read_record
from quietacre.model import Job
from quietacre.record.book import book_of
from quietacre.record.on_hand import Bought
from quietacre.record.uses import Use
from quietacre.settings import Area, Mix, Planting, Property, PropertyInfo, Seed
from quietacre.year.beside import beside
from quietacre.year.lived import Lived, Years, open_jobs, year_record, years_of

D = dt.date
PROP = Property(
    PropertyInfo("Home"),
    area=(
        Area("Hill", "plot", "h.gpx", mix="m", plant="09-25"),
        Area("Creek", "plot", "c.gpx",
             plantings=(Planting("m", "05-10"), Planting("m", D(2027, 9, 25)))),
        Area("Road", "road", "r.gpx"),
    ),
    mix=(Mix("m", (Seed("oats"),)),),
)  # fmt: skip


@pytest.mark.parametrize(
    ("area", "task", "on", "year"),
    [
        ("Hill", "soil test", D(2026, 11, 10), 2027),  # for the planting of next fall
        ("Hill", "plant", D(2027, 9, 24), 2027),
        ("Hill", "top-dress", D(2028, 2, 10), 2027),  # of the season that was sown in 2027
        ("Hill", "read exclosure", D(2028, 1, 3), 2027),
        ("Creek", "lime", D(2026, 12, 1), 2027),
        ("Creek", "top-dress", D(2027, 2, 10), 2026),
        ("Hill", "spray", D(2028, 2, 10), 2028),  # no job of a planting
        ("Road", "clip", D(2026, 12, 30), 2026),
        ("Hill strip", "strip cut", D(2026, 6, 1), 2026),
    ],
)
def test_a_job_belongs_to_the_year_of_its_planting_other_work_to_its_own(
    area, task, on, year
):
    assert Years.of(PROP).of_job(area, task, on) == year


def line(on, area, task, number=2, **cells):
    told = {key: str(value) for key, value in cells.items()}
    return Job(on, area, task, line=number, cells=told)


JOBS = (
    line(D(2027, 9, 24), "Hill", "plant", 2, minutes=90, mix="m"),
    line(D(2028, 2, 10), "Hill", "top-dress", 3, minutes=30, stand=7),
    line(D(2027, 9, 24), "Creek", "plant", 4),
    line(D(2027, 12, 30), "", "bought", 5),
    line(D(2027, 10, 1), "", "rain 1.5", 6),
    line(D(2028, 1, 1), "", "rain 9", 7),
)
USES = (
    Use(D(2027, 9, 24), "Hill", "plant", "oats", 100.0, "written", 2),
    Use(D(2027, 9, 24), "Creek", "plant", "rye", 50.0, "plan", 4),
    Use(D(2028, 2, 10), "Hill", "top-dress", "46-0-0", 80.0, "written", 3),
)
BOUGHT = (
    Bought(D(2027, 8, 1), 5, "oats", 200.0, 50.0, "written"),
    Bought(D(2026, 8, 1), 5, "46-0-0", 100.0, 40.0, "written"),
    Bought(D(2028, 8, 1), 5, "46-0-0", 100.0, 90.0, "written"),
)
GROUND = (
    ("Hill", "a01", "plot", 3.0),
    ("Creek", "a02", "plot", 1.0),
    ("Road", "a03", "road", 2.0),
)


LATER = D(2028, 3, 1)


def record(year, today=LATER):
    return year_record(
        year, Lived(book_of(JOBS, PROP), USES, BOUGHT, GROUND, 6.0), PROP, today
    )


def test_a_year_by_hand():
    found = record(2027)
    hill, creek = found.pieces
    assert (hill.days, hill.jobs, hill.untimed, hill.hours) == (2, 2, 0, 2.0)
    # oats at 25 cents, and the nitrogen at what it cost before
    assert hill.dollars == pytest.approx(100 * 0.25 + 80 * 0.40)
    assert (hill.seed_lb, hill.fertilizer_lb, hill.stand, hill.mixes) == (
        100.0,
        80.0,
        7.0,
        ("m",),
    )
    # nobody wrote what rye cost, how long it took or how it stands: not known, and not nothing
    assert (creek.dollars, creek.hours, creek.stand) == (None, None, None)
    assert (creek.seed_lb, creek.planned_amounts) == (50.0, 1)
    whole = found.whole
    assert (whole.days, whole.jobs, whole.untimed, whole.hours) == (2, 3, 1, 2.0)
    assert (whole.dollars, whole.seed_lb, whole.acres, whole.stand) == (
        50.0,
        150.0,
        6.0,
        7.0,
    )
    assert (found.rain_in, found.rain_from) == (1.5, "log")


def test_a_price_on_a_line_of_work_is_spent():
    jobs = (line(D(2027, 3, 1), "Hill", "lime", price=90),)
    found = year_record(2027, Lived(book_of(jobs, PROP), (), (), GROUND, 6.0), PROP, LATER)
    assert (found.whole.dollars, found.work_dollars) == (90.0, 90.0)
    assert [piece.dollars for piece in found.pieces] == [90.0]
    assert (
        "2027: $90.00 of the dollars stand on lines of work"
        in beside(found, found).notes[0]
    )


def test_what_a_line_cost_is_shared_by_its_ground_and_of_its_own_day():
    jobs = (
        line(D(2027, 3, 1), "Hill; Creek", "burned", price=90),
        line(D(2027, 3, 2), "", "bought", item="oats", amount=1, unit="bag", bag_lb=50, price=20),
        line(D(2027, 3, 3), "Hill", "mended the gate", price=11),
        line(D(2026, 12, 30), "Hill", "clip", price=500),
    )  # fmt: skip
    found = year_record(2027, Lived(book_of(jobs, PROP), (), (), GROUND, 6.0), PROP, LATER)
    assert (found.work_dollars, found.whole.dollars) == (101.0, 101.0)
    seed = (Bought(D(2027, 3, 2), 3, "oats", 50.0, 20.0, "written"),)
    found = year_record(
        2027, Lived(book_of(jobs, PROP), (), seed, GROUND, 6.0), PROP, LATER
    )
    assert found.whole.dollars == 121.0
    assert (
        sum(piece.dollars or 0.0 for piece in found.pieces if piece.area == "Creek") == 45.0
    )


def test_days_to_come_do_not_count():
    (hill, _) = record(2027, today=D(2027, 12, 31)).pieces
    assert (hill.days, hill.fertilizer_lb) == (1, 0.0)


def test_a_line_on_several_pieces_is_one_line_of_the_whole():
    both = (line(D(2027, 9, 24), "Hill; Creek", "plant", 2, minutes=60),)
    lived = Lived(book_of(both, PROP), (), (), GROUND, 6.0)
    found = year_record(2027, lived, PROP, D(2028, 1, 1))
    assert (found.whole.jobs, found.whole.days, found.whole.hours) == (1, 1, 1.0)
    assert [piece.jobs for piece in found.pieces] == [1, 1]
    assert [piece.hours for piece in found.pieces] == [0.5, 0.5]  # half of it on each


def test_two_years_side_by_side():
    old = replace(record(2027), kept="2027-corrected-2028-02-01")
    told = beside(old, record(2028))
    assert (told.before, told.year) == (2027, 2028)
    assert told.source == "as kept in years/2027-corrected-2028-02-01"
    names = [ground.area for ground in told.ground]
    assert names == ["all ground", "Hill", "Creek"]
    rows = {row.what: (row.last, row.this) for row in told.ground[0].rows}
    assert rows["dollars"] == (50.0, None)
    assert rows["rain"] == (1.5, 9.0)
    hill = {row.what: (row.last, row.this) for row in told.ground[1].rows}
    assert hill["days with work"] == (2, 0)
    assert hill["stand"] == (7.0, None)
    assert told.notes[0].startswith("2027: 1 of 3 lines of work have no minutes")
    assert "2027: 1 line names no amount, so the plan's was taken" in told.notes


def test_what_makes_the_figures_less_than_sure_is_said_of_each_year():
    found = record(2027)

    def said(**more):
        return beside(replace(found, rain_from="record", **more), record(2026)).notes

    whole = replace(found.whole, untimed=0, planned_amounts=0)
    assert said(whole=whole) == ()
    two = replace(whole, planned_amounts=2)
    assert said(whole=two) == ("2027: 2 lines name no amount, so the plan's was taken",)
    no_hours = replace(whole, untimed=3, hours=None)
    assert said(whole=no_hours) == (), "no hours are told, so none are too few"
    assert said(whole=whole, work_dollars=1234.5)[0].startswith("2027: $1,234.50 of the")
    log = beside(found, record(2026)).notes
    assert "2027: the rain is what the log says, not a station's record" in log


def test_ground_that_is_known_of_one_year_only_stands_beside_nothing():
    old, new = record(2027), record(2028)
    hill, creek = old.pieces
    told = beside(replace(old, pieces=(hill,)), replace(new, pieces=(creek,)))
    rows = {
        one.area: {row.what: (row.last, row.this) for row in one.rows}
        for one in told.ground[1:]
    }
    assert [one.area_id for one in told.ground] == [None, "a01", "a02"]
    assert rows["Hill"]["acres"] == (3.0, 3.0)
    assert rows["Hill"]["seed"] == (100.0, 0.0)
    assert rows["Creek"]["seed"] == (0.0, 50.0)
    assert rows["Creek"]["acres"] == (1.0, 1.0)


def test_a_record_is_read_as_it_was_written():
    found = record(2027)
    assert read_record(found.to_json(), "2027") == found
    assert read_record(found.to_json(), "2027").kept == "2027"


def test_another_acreage_is_the_same_year_and_another_score_is_not():
    found = record(2027)
    other = replace(found, whole=replace(found.whole, acres=7.0), made_on="2029-01-01")
    assert found.same_as(other)
    assert not found.same_as(replace(found, whole=replace(found.whole, stand=6.0)))


def test_nothing_lived_is_known_as_that():
    assert not YearRecord(2020, "2028-01-01", PieceYear("all ground")).lived


# rain, prices and scores at the edge of what is known


def rain_of_2027(days, today=LATER, inches=0.1):
    """Return the rain told of 2027 by a station with so many days of it, so much on each."""
    rain = np.full(365, math.nan)
    rain[:days] = inches
    none = np.full(365, math.nan)
    lived = Lived(
        book_of(JOBS, PROP),
        (),
        (),
        GROUND,
        6.0,
        Daily("s", D(2027, 1, 1), rain, none, none),
    )
    found = year_record(2027, lived, PROP, today)
    return found.rain_in, found.rain_from


def test_a_year_of_a_station_is_whole_with_350_days_of_366():
    """Of the 365 days of 2027 that is 349.04: with 349 the log tells the rain."""
    assert rain_of_2027(350) == (35.0, "record")
    assert rain_of_2027(349) == (1.5, "log")
    # and up to a day of the year as large a part: 95 of the 100 days to April 10
    assert rain_of_2027(96, D(2027, 4, 10)) == (9.6, "record")
    assert rain_of_2027(95, D(2027, 4, 10)) == (None, "")
    assert rain_of_2027(1, D(2027, 1, 1), 0.16) == (0.2, "record"), "the first day of it"
    assert rain_of_2027(1, D(2026, 12, 31)) == (None, ""), "a year that has not begun"


def test_what_was_bought_in_the_year_sets_the_price_else_the_years_before_together():
    bought = (
        Bought(D(2025, 8, 1), 5, "oats", 100.0, 20.0, "written"),
        Bought(D(2026, 8, 1), 5, "oats", 100.0, 40.0, "written"),
        Bought(D(2026, 8, 1), 5, "oats", 0.0, 99.0, "written"),
        Bought(D(2026, 8, 1), 5, "oats", 50.0, None, "written"),
    )
    uses = (Use(D(2027, 9, 24), "Hill", "plant", "oats", 10.0, "written", 2),)

    def dollars(*more):
        lived = Lived(book_of(JOBS, PROP), uses, (*bought, *more), GROUND, 6.0)
        return year_record(2027, lived, PROP, LATER).pieces[0].dollars

    assert dollars() == pytest.approx(10 * 60 / 200)
    this = Bought(D(2027, 8, 1), 5, "oats", 100.0, 50.0, "written")
    assert dollars(this) == pytest.approx(10 * 0.5)
    least = Bought(D(2027, 8, 1), 5, "oats", 0.5, 2.0, "written")
    assert dollars(least) == pytest.approx(10 * 4.0)
    later = Bought(D(2028, 8, 1), 5, "oats", 100.0, 90.0, "written")
    assert dollars(later) == pytest.approx(10 * 60 / 200)


def test_the_stand_of_the_whole_is_weighed_by_acres():
    scored = (
        line(D(2027, 3, 1), "Hill", "clip", 2, stand=8),
        line(D(2027, 4, 1), "Hill", "clip", 3, stand=6),
        line(D(2027, 3, 1), "Creek", "clip", 4, stand=3),
    )

    def stands(ground):
        found = year_record(
            2027, Lived(book_of(scored, PROP), (), (), ground, 6.0), PROP, LATER
        )
        return [piece.stand for piece in found.pieces], found.whole.stand

    # the last score of each; 3 acres of 6 and one of 3: 21 / 4
    assert stands(GROUND) == ([6.0, 3.0], 5.2)
    assert stands([(name, key, kind, 0.0) for name, key, kind, _ in GROUND])[1] == 4.5
    # by acres however few, and ground without acres has no weight
    small, none = ("Hill", "a01", "plot", 0.6), ("Creek", "a02", "plot", 0.0)
    assert stands([small, ("Creek", "a02", "plot", 0.2)])[1] == 5.2
    assert stands([small, none])[1] == 6.0


def test_what_is_not_done_of_a_year_is_open():
    """A job of a planting is of its planting's year, another of the year of its last day."""

    def told(state, latest, planting=None):
        return SimpleNamespace(
            area="Hill", label="job", state=state, latest=latest, planting=planting
        )

    tasks = [
        told("late", D(2027, 12, 31)), told("done", D(2027, 5, 1)), told("due", D(2028, 1, 1)),
        told("missed", D(2028, 2, 1), "a01"), told("planned", D(2027, 2, 1), "a02"),
    ]  # fmt: skip
    found = open_jobs(tasks, {"a01": 2027, "a02": 2026}, 2027)
    assert [(one.state, one.latest) for one in found] == [
        ("late", "2027-12-31"), ("missed", "2028-02-01"),
    ]  # fmt: skip


def test_a_year_stands_beside_the_one_before_and_that_beside_its_own():
    lived = Lived(book_of(JOBS, PROP), (), (), GROUND, 6.0)
    told = years_of(2028, lived, PROP, LATER, ())
    assert (told.this.year, told.last.year, told.to_close) == (2028, 2027, 2027)
    assert (told.beside.before, told.beside.year) == (2027, 2028)
    assert told.earlier is None, "nothing is known of 2026"
    kept = replace(record(2027), kept="2027")
    told = years_of(2028, lived, PROP, LATER, (kept,))
    assert (told.kept, told.to_close) == (("2027",), None)
    assert told.beside.source == "as kept in years/2027"
    both = replace(record(2027), year=2026, kept="2026")
    told = years_of(2028, lived, PROP, LATER, (both, kept))
    assert (told.earlier.before, told.earlier.year) == (2026, 2027)
    assert years_of(2030, lived, PROP, LATER, ()).beside is None


@pytest.mark.parametrize(("amount", "paid", "dollars"), [(0.0, None, 0.0), (0.5, None, None), (5.0, None, None), (5.0, 90, 90.0)])  # fmt: skip
def test_what_was_never_bought_costs_nothing_where_none_was_used_or_its_line_has_a_price(
    amount, paid, dollars
):
    cells = {} if paid is None else {"price": paid}
    jobs = (line(D(2027, 3, 1), "Hill", "lime", 2, **cells),)
    uses = (Use(D(2027, 3, 1), "Hill", "lime", "lime", amount, "written", 2),)
    lived = Lived(book_of(jobs, PROP), uses, (), GROUND, 6.0)
    assert year_record(2027, lived, PROP, LATER).pieces[0].dollars == dollars


def test_minutes_dollars_and_rain_of_the_first_day_are_told_in_round_figures():
    """100 minutes are 1.67 hours; a third of 25 dollars is 8.33; of New Year's Day, and no other."""
    jobs = (
        line(D(2027, 1, 1), "Road", "clip", 2, minutes=100, price=8.3333),
        line(D(2026, 12, 31), "Road", "clip", 3, minutes=50, price=4),
        line(D(2027, 1, 1), "", "rain 1.26", 4),
        line(D(2026, 12, 31), "", "rain 5", 5),
    )
    lived = Lived(book_of(jobs, PROP), (), (), GROUND, 6.0)
    found = year_record(2027, lived, PROP, D(2027, 1, 1))
    (road,) = found.pieces
    assert (road.hours, road.dollars) == (1.67, 8.33)
    assert (found.whole.hours, found.whole.dollars) == (1.67, 8.33)
    assert (found.rain_in, found.rain_from) == (1.3, "log")


def test_what_is_bought_today_is_spent_and_ground_that_took_something_is_told():
    bought = (
        Bought(D(2027, 3, 1), 5, "oats", 100.0, 50.0, "written"),
        Bought(D(2027, 3, 2), 6, "oats", 100.0, 70.0, "written"),
    )
    uses = (
        Use(D(2027, 3, 1), "Creek", "plant", "oats", 10.0, "plan", 2),
        Use(D(2027, 3, 2), "Road", "plant", "oats", 10.0, "plan", 3),
    )
    lived = Lived(book_of((), PROP), uses, bought, GROUND, 6.0)
    found = year_record(2027, lived, PROP, D(2027, 3, 1))
    assert found.whole.dollars == 50.0
    assert [(piece.area, piece.seed_lb, piece.jobs) for piece in found.pieces] == [
        ("Creek", 10.0, 0)
    ]
    assert [(one.on, one.area) for one in found.taken] == [("2027-03-01", "Creek")]
