"""Patches that the log calls one strip stay one for a year, though widths change with the day."""

import datetime as dt

import geopandas as gpd
import pytest
import shapely

from quietacre.build import _ring_names
from quietacre.model import Job
from quietacre.record.book import book_of
from quietacre.settings import Area, Property, PropertyInfo, StripSettings
from quietacre.strip.groups import Known, one_strip_since, wanted_in_groups
from quietacre.strip.plan import plan_strips

D = dt.date
CUT = D(2027, 8, 2)
#: Feet between the patches; both widths together are 60.
APART_FT = 90.0


def patch(name, was=()):
    strip = StripSettings(width_ft=30.0)
    return Area(name, "patch", "v.geojson", was=was, vine="kudzu", strip=strip)


@pytest.fixture
def place():
    areas = tuple(patch(*one) for one in (("Near", ("Old near",)), ("Far",), ("Alone",)))
    prop = Property(PropertyInfo("Home"), area=areas)
    side = 60 * 0.3048 / 110_900
    gap = APART_FT * 0.3048 / 110_900
    shapes = [
        shapely.box(-86.0, lat, -86.0 + side, lat + side)
        for lat in (33.0, 33.0 + side + gap, 33.1)
    ]
    frame = gpd.GeoDataFrame(
        {"id": list(prop.area_by_id), "name": [area.name for area in areas],
         "kind": "patch", "acres": 0.08, "acres_low": 0.08, "acres_high": 0.08},
        geometry=shapes, crs="EPSG:4326",
    )  # fmt: skip
    return frame, prop


def rings(place, today, one_strip):
    frame, prop = place
    return plan_strips(
        frame, prop, None, today=today, walk_sigma={}, one_strip=one_strip
    ).rings


def names(made):
    return [ring.name for ring in made]


def test_what_the_log_calls_one_strip_stays_one_for_a_year(place):
    logged = {("Near", "Far"): CUT}
    apart = ["Near strip", "Far strip", "Alone strip"]
    assert names(rings(place, D(2027, 9, 20), {})) == apart
    made = rings(place, D(2027, 9, 20), logged)
    assert names(made) == ["Near + Far strip", "Alone strip"]
    (note,) = [n for n in made[0].wanted.notes if n.code == "strips-merged"]
    assert note.text.startswith(
        "the log of August 2, 2027 has “Near” and “Far” as one strip: one strip of 30 ft"
    )
    assert "until a year after that" in note.text
    assert names(rings(place, D(2028, 8, 1), logged)) == ["Near + Far strip", "Alone strip"]
    assert names(rings(place, D(2028, 8, 2), logged)) == apart
    assert names(rings(place, D(2027, 8, 1), logged)) == apart  # not cut yet
    assert names(rings(place, CUT, {("Near", "Gone"): CUT})) == apart


def test_two_that_the_log_joins_with_one_are_all_one(place):
    logged = {("Near", "Far"): CUT, ("Far", "Alone"): CUT}
    assert names(rings(place, CUT, logged)) == ["Near + Far + Alone strip"]


def line(area, number=2):
    return Job(CUT, area, "strip cut", number, f"line{number:05d}", {})


def test_the_log_names_a_joined_strip_by_any_name_and_order(place):
    _, prop = place
    book = book_of([line("far + OLD NEAR strip")], prop)
    assert book.one_strip() == {("Near", "Far"): CUT}
    assert book_of([line("Near strip")], prop).one_strip() == {}
    assert book_of([line("Near + Gone strip")], prop).one_strip() == {("Near", "Gone"): CUT}


def test_lines_of_either_name_are_of_the_strip_as_it_is_now(place):
    _, prop = place
    book = book_of([line("Near strip"), line("Near + Far strip", 3)], prop)
    now = rings(place, CUT, {("Near", "Far"): CUT, ("Far", "Alone"): CUT})
    named = book.named(_ring_names(prop, now))
    assert {entry.area for entry in named.entries} == {"Near + Far + Alone strip"}


def test_strips_that_met_as_their_own_and_do_not_as_one_have_no_day_of_the_log(place):
    """The width that two share may be less than that of each: they stay one for that day."""
    frame, prop = place
    known = Known(CUT, {}, {}, (), {})
    made, groups = wanted_in_groups(frame, prop, known)
    assert groups == [[0], [1], [2]]
    assert one_strip_since(frame, prop, known, made, [0, 1]) is None
    logged = Known(CUT, {}, {}, (), {}, {("Near", "Far"): CUT})
    assert one_strip_since(frame, prop, logged, made, [0, 1]) == CUT
    assert one_strip_since(frame, prop, logged, made, [0, 2]) is None
