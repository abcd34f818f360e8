"""Mower passes: they cover the ring, and their minutes are the published field time."""

import datetime as dt

import geopandas as gpd
import numpy as np
import pytest
import shapely

from quietacre.acreage.frame import LocalFrame
from quietacre.settings import Area, Equipment, Property, PropertyInfo, StripSettings
from quietacre.strip.passes import Drive, _drivable, mower_passes, pass_minutes
from quietacre.strip.plan import plan_strips
from quietacre.strip.ring import strip_ring
from quietacre.strip.width import Mower
from quietacre.units import ACRE_FT2, FT_M

FRAME = LocalFrame(-87.6, 34.2)
MOWER = Mower(6.0, 0.5)
DRIVE = Drive(3.0, 0.7, 2.0)
SHAPES = {
    "circle": shapely.Point(0, 0).buffer(40, quad_segs=90),
    "square": shapely.box(-50, -50, 50, 50),
    "oblong": shapely.box(-90, -12, 90, 12),
}


def ground(shape):
    return FRAME.to_lonlat(np.array([shape], dtype=object))[0]


def local(shape):
    return FRAME.to_local(np.array([shape], dtype=object))[0]


@pytest.mark.parametrize("name", list(SHAPES))
@pytest.mark.parametrize("passes", [1, 4, 11])
def test_passes_cover_the_ring_without_a_gap(name, passes):
    """No place of the ring is more than 0.1 ft from a mowed swath on convex ground."""
    patch = ground(SHAPES[name])
    width_ft = MOWER.built_ft(passes)
    found = mower_passes(patch, width_ft, MOWER, DRIVE)
    assert len(found) == passes
    swath = shapely.union_all(
        [local(p.line).buffer(3.0 * FT_M, quad_segs=32) for p in found]
    )
    missed = local(strip_ring(patch, width_ft)).difference(swath)
    reach = max((shapely.hausdorff_distance(part, part.intersection(swath.buffer(0.001)))
                 if part.intersects(swath.buffer(0.001)) else np.inf
                 for part in shapely.get_parts(missed)), default=0.0)  # fmt: skip
    assert missed.buffer(-0.05 * FT_M).is_empty  # nothing missed is 0.1 ft wide
    assert reach < np.inf


def test_outermost_first_or_from_the_patch():
    patch = ground(SHAPES["circle"])
    outer = mower_passes(patch, 28.0, MOWER, DRIVE)
    inner = mower_passes(patch, 28.0, MOWER, DRIVE, outermost_first=False)
    assert [p.from_edge_ft for p in outer] == [25.0, 19.5, 14.0, 8.5, 3.0]
    assert [p.from_edge_ft for p in inner] == [3.0, 8.5, 14.0, 19.5, 25.0]
    # a circle's pass by hand
    assert outer[0].length_ft * FT_M == pytest.approx(
        2 * np.pi * (40 + 25 * FT_M), rel=1e-3
    )


def test_no_pass_puts_a_wheel_over_the_line_or_in_the_water():
    patch = ground(SHAPES["square"])
    line, pond = shapely.box(-300, -300, 56, 300), shapely.box(-70, -20, -58, 20)
    found = mower_passes(
        patch, 50.0, MOWER, DRIVE, boundary=ground(line), keep_out=[ground(pond)]
    )
    swath = shapely.union_all(
        [local(p.line).buffer(3.0 * FT_M, cap_style="flat") for p in found]
    )
    assert swath.difference(line.buffer(0.02)).area < 0.05
    assert swath.intersection(pond.buffer(-0.1)).area < 0.05


def test_a_clearing_is_mown_too():
    patch = shapely.Point(0, 0).buffer(60).difference(shapely.Point(0, 0).buffer(10))
    found = mower_passes(ground(patch), 17.0, MOWER, DRIVE)
    inside = [part for p in found for part in shapely.get_parts(local(p.line))
              if part.distance(shapely.Point(0, 0)) < 10]  # fmt: skip
    assert len(inside) == 3


# Effective field capacities of "Estimating Field Capacity of Farm Machines", PM 696, Iowa
# State University, revised April 2001: size ft, mph, field efficiency, acres an hour.
@pytest.mark.parametrize(
    ("width_ft", "mph", "efficiency", "acres_hour"),
    [(40, 6, 0.70, 20.4), (50, 6, 0.70, 25.5), (10, 5, 0.63, 3.8), (15, 5, 0.63, 5.7),
     (15, 6, 0.63, 6.9), (20, 6, 0.63, 9.2), (30, 6, 0.60, 13.1)],
)  # fmt: skip
def test_minutes_agree_with_a_published_table(width_ft, mph, efficiency, acres_hour):
    length_ft = ACRE_FT2 / width_ft  # one acre
    minutes = pass_minutes(length_ft, width_ft, Drive(mph, efficiency, 2.0))
    assert 60.0 / minutes == pytest.approx(acres_hour, abs=0.051)


def test_fuel_goes_with_the_minutes():
    for one in mower_passes(ground(SHAPES["circle"]), 28.0, MOWER, DRIVE):
        assert one.fuel_gal == pytest.approx(one.minutes / 60 * 2.0)
        assert one.minutes == pytest.approx(one.length_ft / (3.0 * 88 * 0.7))


def test_a_bit_of_a_pass_under_two_metres_is_not_driven():
    bits = [
        shapely.LineString([(x, 0), (x, long)])
        for x, long in ((0, 1.99), (5, 2.0), (9, 2.2))
    ]
    left = _drivable(shapely.MultiLineString(bits))
    assert sorted(part.length for part in shapely.get_parts(left)) == [2.0, 2.2]
    assert _drivable(bits[0]).is_empty
    assert _drivable(bits[1]).equals(bits[1])
    # two that meet end to end are driven as one
    halves = shapely.MultiLineString([[(0, 0), (1.2, 0)], [(1.2, 0), (2.4, 0)]])
    assert _drivable(halves).geom_type == "LineString"
    assert _drivable(halves).length == pytest.approx(2.4)


def test_the_last_pass_ends_at_the_strips_own_edge():
    """25 ft want five passes of 5.5 ft after the first; the outermost is moved in to end there."""
    found = mower_passes(ground(SHAPES["circle"]), 25.0, MOWER, DRIVE)
    assert [p.from_edge_ft for p in found] == [22.0, 19.5, 14.0, 8.5, 3.0]
    assert [p.number for p in found] == [1, 2, 3, 4, 5]
    (narrow,) = mower_passes(ground(SHAPES["circle"]), 4.0, MOWER, DRIVE)
    assert narrow.from_edge_ft == 3.0


def test_a_break_is_disked_without_overlap_at_the_disks_own_speed():
    """20 ft by a 6 ft disk: three passes side by side, and a fourth moved in to end at the edge."""
    block = Area("Block", "burn", "b.gpx", strip=StripSettings(width_ft=20.0))
    gear = Equipment(disk_width_ft=6.0, disk_mph=5.0, field_efficiency=0.7)
    prop = Property(PropertyInfo("x"), area=(block,), equipment=gear)
    frame = gpd.GeoDataFrame(
        {"id": ["a01"], "name": ["Block"], "kind": ["burn"], "acres": [2.0],
         "acres_low": [2.0], "acres_high": [2.0]},
        geometry=[ground(SHAPES["square"])], crs=4326,
    )  # fmt: skip
    (ring,) = plan_strips(frame, prop, None, today=dt.date(2027, 1, 2), walk_sigma={}).rings
    assert [one.from_edge_ft for one in ring.passes.each] == [17.0, 15.0, 9.0, 3.0]
    assert ring.passes.order == "outermost first, toward the block"
    first = ring.passes.each[0]
    assert first.minutes == pytest.approx(first.length_ft / (5.0 * 88 * 0.7))
    assert ring.passes.length_ft == pytest.approx(
        sum(one.length_ft for one in ring.passes.each)
    )
