"""What keeping a vine takes in a year, beside getting rid of it; nests; published facts."""

import datetime as dt
from types import SimpleNamespace

import pandas as pd
import pytest

from quietacre.settings import Area, Equipment, Property, PropertyInfo
from quietacre.shipped import rows
from quietacre.strip.growth import BASE
from quietacre.strip.keeping import keeping, keeping_by_ring, nests_met
from quietacre.strip.law import TOPICS, vine_facts


def job(task, on, minutes, area="Hollow strip"):
    day = dt.date.fromisoformat(on) if on else None
    return SimpleNamespace(
        area=area,
        task=task,
        minutes=minutes,
        scheduled=day,
        ideal=day or dt.date(2027, 5, 1),
    )


JOBS = [
    job("strip cut", "2027-04-10", 120.0),
    job("strip cut", "2027-07-04", 120.0),
    job("strip cut", None, 120.0),  # planned, without a day
    job("walk and pull", "2027-07-04", 60.0),
    job("strip cut", "2027-05-01", 500.0, "Other strip"),
]


def kept(gear=None, state="Alabama"):
    gear = gear or Equipment()
    return keeping("Hollow strip", JOBS, 4.0, 2.0, gear, BASE, state)


def test_a_year_of_keeping_counts_its_own_jobs_only():
    made = kept()
    assert made is not None
    assert (made.keep.cuts, made.keep.hours, made.keep.fuel_gal) == (3, 7.0, 12.0)
    assert made.keep.dollars is None
    assert any("Dollars are not worked out" in line for line in made.text)


def test_getting_rid_of_it_is_worked_from_acres_machine_and_season():
    made = kept()
    # 5.5 ft x 3 mph x 0.7 / 8.25 = 1.4 ac/h; 219 days between the frosts, every 14: 16 cuts
    assert made.rid_often.cuts == 16
    assert made.rid_often.hours == pytest.approx(16 * (2.0 / 1.4 + 10 / 60))
    assert made.rid_often.fuel_gal == pytest.approx(16 * 2.0 / 1.4 * 2.0)
    assert made.rid_monthly.cuts == 16  # eight months, two seasons


def test_a_price_of_fuel_gives_dollars():
    made = kept(Equipment(fuel_price_gal=4.0))
    assert made.keep.dollars == pytest.approx(48.0)
    assert not any("not worked out" in line for line in made.text)


def test_what_mowing_does_to_kudzu_is_not_said_of_another_vine():
    gear = Equipment()
    rose = keeping("Hollow strip", JOBS, 4.0, 2.0, gear, BASE, "Alabama", "multiflora rose")
    told = " ".join(rose.text)
    assert "Getting rid of it" not in told
    assert "ANR-65" not in told
    assert "Whether that kills multiflora rose was not read" in told
    assert "Getting rid of it by mowing alone" in " ".join(kept().text)


def test_without_planned_cuts_there_is_nothing_to_say():
    assert keeping("Hollow strip", JOBS[3:], 4.0, 2.0, Equipment(), BASE, "Alabama") is None


def test_planned_cuts_are_held_against_the_nesting_times_of_the_tables():
    cuts = [dt.date(2027, 4, 10), dt.date(2027, 7, 4), dt.date(2027, 10, 9)]
    turkey, bobwhite = nests_met(cuts, "Alabama")
    assert turkey.startswith("1 of 3 planned cuts fall in turkey nesting time")
    assert "April 10" in turkey
    assert bobwhite.startswith("1 of 3 planned cuts fall in bobwhite time")
    (only,) = nests_met(cuts, "Georgia")  # Alabama's turkeys are not Georgia's
    assert "bobwhite" in only
    assert nests_met([dt.date(2027, 10, 9)], "Alabama") == ()


def test_three_lines_are_told_of_every_vine_and_gaps_are_frank():
    kudzu = vine_facts("Kudzu")
    assert [row.text.split(":")[0] for row in kudzu] == list(TOPICS)
    assert not any("nothing was read" in row.text for row in kudzu)
    assert "USDA Forest Service, 1996" in kudzu[1].text
    ivy = vine_facts("english ivy")
    assert [row.source for row in ivy] == ["", "", ""]
    assert all("nothing was read of this vine" in row.text for row in ivy)
    known = {row["vine"] for row in rows("vines")}
    assert {row["vine"] for row in rows("vine_facts")} <= known
    assert {row["topic"] for row in rows("vine_facts")} <= set(TOPICS)


@pytest.mark.parametrize(
    ("day", "met"),
    [((3, 31), 0), ((4, 1), 1), ((6, 30), 1), ((7, 1), 0)],
)
def test_a_nesting_time_counts_with_its_first_and_last_day(day, met):
    """Turkeys of Alabama from April 1 to June 30, as the table prints it."""
    lines = nests_met([dt.date(2027, *day)], "Alabama")
    assert sum("turkey" in line for line in lines) == met


def test_the_year_of_most_cuts_gives_the_season_and_a_preview_counts_no_fuel():
    """In a preview no pass is drawn; the vine of the first patch stands for the strip."""
    ring = SimpleNamespace(
        id="s01", name="Hollow strip", kind="strip", passes=None, round_ids=("a01", "a02"),
        wanted=SimpleNamespace(of="a01"),
    )  # fmt: skip
    fire = SimpleNamespace(id="s02", name="Break", kind="firebreak")
    areas = pd.DataFrame({"id": ["a01", "a02"], "name": ["A", "B"], "acres": [1.5, 0.5]})
    patches = tuple(
        Area(name, "patch", "v.gpx", vine=vine)
        for name, vine in (("A", "rose"), ("B", "kudzu"))
    )
    prop = Property(PropertyInfo("x", state="AL"), area=patches)
    made = keeping_by_ring([ring, fire], areas, prop, {}, JOBS)
    assert made["s02"] is None
    kept_here = made["s01"]
    assert (kept_here.keep.cuts, kept_here.keep.fuel_gal) == (3, 0.0)
    # two acres at 1.4 an hour, sixteen times in a season of 219 days
    assert kept_here.rid_often.hours == pytest.approx(16 * (2.0 / 1.4 + 10 / 60))
    assert "Getting rid of it by mowing alone" in kept_here.text[1]
    assert any("turkey" in line for line in kept_here.nests)
