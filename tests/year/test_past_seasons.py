"""The season before: what was done of it is told while anybody may still ask, and no other.

A landowner who is asked in March what he sowed in September reads it here.
"""

import datetime as dt

import pytest

from quietacre.settings import Area, Mix, Property, PropertyInfo, Seed, Work
from quietacre.year.seasons import seasons_of

D = dt.date
WHEAT = Mix("wheat", (Seed("wheat"),))
EVERY_DAY = Work(("mon", "tue", "wed", "thu", "fri", "sat", "sun"))
MARCH = D(2028, 3, 1)


def past(*plants, done, today=MARCH):
    areas = tuple(
        Area(name, "plot", "h.gpx", mix="wheat", plant=plant)
        for name, plant in zip(("Hill", "Creek"), plants, strict=False)
    )
    prop = Property(PropertyInfo("Home"), area=areas, mix=(WHEAT,), work=EVERY_DAY)
    return seasons_of(prop, today, done).past


SOWN = {("Hill", "plant"): (D(2027, 9, 24),), ("Hill", "clip"): (D(2027, 8, 10),)}


def test_a_season_that_is_over_tells_what_was_done_and_what_was_not():
    (season,) = past("09-25", done=SOWN)
    assert (season.area, season.area_id, season.year) == ("Hill", "a01", 2027)
    assert (season.plant, season.sown_on) == (D(2027, 9, 25), D(2027, 9, 24))
    done = {job.label: job.done for job in season.jobs}
    assert done["clip"] == D(2027, 8, 10)
    assert sum(day is not None for day in done.values()) == 2
    missing = len(done) - 2
    assert season.text == (
        f"season of 2027: sown September 24, 2027; 2 jobs done, {missing} not in the log"
    )
    assert done["take a soil test"] is None
    labels = [job.label for job in season.jobs]
    assert labels.index("clip") < labels.index("disk again")


def test_one_job_and_no_sowing_are_said_so():
    (season,) = past("09-25", done={("Hill", "clip"): (D(2027, 8, 10),)})
    assert season.sown_on is None
    assert season.text.startswith("season of 2027: not sown by the log; 1 job done, ")


@pytest.mark.parametrize(
    "done",
    [{}, {("Creek", "plant"): (D(2027, 9, 24),)}, {("Hill", "plant"): (D(2028, 3, 2),)}],
    ids=["nothing", "of no ground here", "of a day to come"],
)
def test_without_a_line_of_the_log_there_is_no_season_before(done):
    assert past("09-25", done=done) == ()


def test_of_two_fields_only_the_one_with_lines_has_one():
    seasons = past("09-25", "09-25", done=SOWN)
    assert [season.area for season in seasons] == ["Hill"]
    both = past("09-25", "09-25", done={**SOWN, ("Creek", "clip"): (D(2027, 8, 11),)})
    assert [season.area for season in both] == ["Hill", "Creek"]


def test_a_planting_that_is_still_on_is_no_season_before():
    assert past("09-25", done=SOWN, today=D(2027, 12, 1)) == ()
    assert past(D(2027, 9, 25), done=SOWN) == (), "sown once, on a day of its own"
