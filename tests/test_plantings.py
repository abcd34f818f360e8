"""One planting or several of an area: two forms of one thing, their days, their seasons."""

import datetime as dt
from dataclasses import replace

import pytest

from quietacre.errors import SettingsProblem
from quietacre.intake.property import parse_property
from quietacre.plantings import (
    planting_days,
    plantings_of,
    season_days,
    sown_of,
    with_days,
    with_plantings,
)
from quietacre.settings import Area, Planting, Property, PropertyInfo, TaskRule

D = dt.date
HEAD = '[property]\nname = "Home"\n[[mix]]\nname = "peas"\nseed = [{ crop = "oats", share = 1 }]\n'


def read(tmp_path, body):
    (tmp_path / "p.geojson").write_text("{}")
    area = '[[area]]\nname = "Creek"\nkind = "plot"\nfrom = "p.geojson"\n'
    return parse_property(HEAD + area + body, tmp_path)


def faults(tmp_path, body):
    with pytest.raises(SettingsProblem) as found:
        read(tmp_path, body)
    return [str(fault) for fault in found.value.faults]


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("2027-09-25", D(2027, 9, 25)),
        ('"09-25"', "09-25"),
        ('"2027-09-25"', D(2027, 9, 25)),
    ],
)
def test_a_planting_day_is_a_date_or_a_month_day(tmp_path, typed, meant):
    assert read(tmp_path, f"plant = {typed}").area[0].plant == meant


@pytest.mark.parametrize(
    "typed",
    ["9", "true", '"September 25"', '"13-25"', "2027-09-25T08:00:00"],
)
def test_what_is_neither_is_refused_in_one_line(tmp_path, typed):
    (only,) = faults(tmp_path, f"plant = {typed}")
    assert only.startswith("area[1].plant: ")
    assert "neither a date nor a month-day" in only


def test_a_month_day_that_no_year_has(tmp_path):
    (only,) = faults(tmp_path, 'plant = "2027-02-30"')
    assert only == "area[1].plant: “2027-02-30”: 2027 has no February 30"
    assert faults(tmp_path, 'plant = "02-30"') == [
        "area[1].plant: “02-30” is not a day of the year"
    ]
    assert read(tmp_path, 'plant = "02-29"').area[0].plant == "02-29"


def test_both_forms_together_are_refused_in_one_line(tmp_path):
    (only,) = faults(
        tmp_path,
        'mix = "peas"\nplant = "09-25"\nplantings = [{ mix = "peas", plant = "05-10" }]',
    )
    assert only == (
        "area[1].plantings: the area has mix, plant too, which is one planting more; write all "
        "plantings in the list, or none"
    )


def test_several_plantings_each_need_a_day_of_their_own(tmp_path):
    found = faults(
        tmp_path,
        'plantings = [{ mix = "peas", plant = "05-10" }, { mix = "wheat" }, { plant = "05-10" }]',
    )
    assert len(found) == 3
    assert found[0].startswith(
        "area[1].plantings[2].mix: there is no [[mix]] named “wheat”"
    )
    assert found[1].startswith("area[1].plantings[2].plant: is missing")
    assert found[2].startswith("area[1].plantings[3].plant: plantings[1] has that day too")


def place(*plantings, tasks=()):
    area = Area("Creek", "plot", "p.gpx", plantings=plantings, tasks=tasks)
    return Property(PropertyInfo("Home"), area=(area,))


PEAS = Planting("peas", D(2027, 5, 10), "spring")
WHEAT = Planting("wheat", D(2027, 9, 25), "fall", "soil test", 30.0, D(2028, 2, 15))


def test_the_short_form_is_one_planting():
    long = place(WHEAT).area[0]
    short = with_plantings(Area("Creek", "plot", "p.gpx"), [WHEAT])
    assert plantings_of(short) == plantings_of(long) == (WHEAT,)
    assert (short.mix, short.topdress_on) == ("wheat", D(2028, 2, 15))
    (one,) = sown_of(Property(PropertyInfo("Home"), area=(short,)))
    assert (one.key, one.area_id, one.count, one.tag) == ("a01", "a01", 1, "")


def test_each_planting_is_an_area_with_its_own_keys():
    peas, wheat = sown_of(place(PEAS, WHEAT))
    assert (peas.key, wheat.key) == ("a01", "a01.2")
    assert (peas.mix, peas.soil_test, peas.fertilizer) == ("peas", "spring", None)
    assert (wheat.plant, wheat.topdress_on) == (D(2027, 9, 25), D(2028, 2, 15))
    assert (peas.tag, wheat.tag) == ("peas: ", "wheat: ")
    assert peas.plantings == ()


def test_seasons_meet_and_leave_no_day_between_them():
    days = planting_days([D(2027, 5, 10), D(2027, 9, 25)])
    peas, wheat = (season_days(day, days) for day in (D(2027, 5, 10), D(2027, 9, 25)))
    assert peas[1] + dt.timedelta(days=1) == wheat[0]
    again = season_days(D(2028, 5, 10), planting_days([D(2028, 5, 10), D(2027, 9, 25)]))
    assert wheat[1] + dt.timedelta(days=1) == again[0]
    one = season_days(D(2027, 9, 25), planting_days([D(2027, 9, 25)]))
    assert (one[1] - one[0]).days == 364


def test_a_month_day_needs_a_year_before_it_is_sown():
    with pytest.raises(ValueError, match="has no year yet"):
        sown_of(place(replace(WHEAT, plant="09-25"), PEAS))


def test_days_are_changed_by_the_keys_of_plantings():
    area = with_days(place(PEAS, WHEAT).area[0], "a01", {"a01.2": D(2028, 9, 23)})
    assert [row.plant for row in area.plantings] == [D(2027, 5, 10), D(2028, 9, 23)]


def test_a_day_of_an_own_task_is_of_the_nearest_planting():
    rule = TaskRule(task="fertilize", on=D(2027, 9, 8))
    peas, wheat = sown_of(place(PEAS, WHEAT, tasks=(rule,)))
    assert (peas.tasks[0].on, wheat.tasks[0].on) == (None, D(2027, 9, 8))
