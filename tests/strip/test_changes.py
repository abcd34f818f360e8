"""What one setting of a strip does to its width: each change, planned, gives the width told."""

import dataclasses
import datetime as dt

import geopandas as gpd
import numpy as np
import pytest
import shapely

from quietacre.acreage.frame import LocalFrame
from quietacre.commands.demo import write_sample
from quietacre.measure.property import measure_property
from quietacre.settings import (
    Area,
    Equipment,
    Property,
    PropertyInfo,
    StripSettings,
    Work,
)
from quietacre.strip.changes import LEAST_FT, width_changes
from quietacre.strip.groups import wanted_in_groups
from quietacre.strip.plan import Known, plan_strips

TODAY = dt.date(2026, 11, 27)


@pytest.fixture(scope="module")
def measured(tmp_path_factory):
    folder = tmp_path_factory.mktemp("c") / "place"
    write_sample(folder)
    return measure_property(folder)


def known(areas, extras):
    sigma = dict(zip(areas["id"], areas["sigma_m"], strict=True))
    return Known(TODAY, sigma, extras.degree_days, extras.transects, {})


def width_ft(measured, key, strip):
    """Return the width that a whole plan gives a patch with other settings."""
    prop, areas, extras = measured
    changed = tuple(
        dataclasses.replace(area, strip=strip) if one == key else area
        for one, area in prop.area_by_id.items()
    )
    prop = dataclasses.replace(prop, area=changed)
    plan = plan_strips(
        areas, prop, extras.boundary, today=TODAY, walk_sigma=known(areas, extras).walk_sigma,
        degree_days=extras.degree_days, transects=extras.transects,
    )  # fmt: skip
    return next(
        row["width_ft"] for row in plan.report if key in (row["of"], *row["also_of"])
    )


def test_each_change_is_what_a_whole_plan_gives(measured):
    prop, areas, extras = measured
    key = next(k for k, area in prop.area_by_id.items() if area.name == "Vine hollow")
    now = prop.area_by_id[key].strip
    found = width_changes(areas, prop, known(areas, extras), key)
    assert {"staked", "slip_days", "watch_lane_ft"} <= {one.key for one in found}
    before = width_ft(measured, key, now)
    assert [one.width_ft for one in found] == sorted(one.width_ft for one in found)
    for one in found:
        strip = dataclasses.replace(now, **{one.key: one.value})
        assert one.width_ft == pytest.approx(width_ft(measured, key, strip), abs=1e-9)
        assert abs(one.width_ft - before) >= LEAST_FT
    # what is so already is not offered
    staked = dataclasses.replace(now, staked=True, slip_days=0)
    other = dataclasses.replace(
        prop,
        area=tuple(
            dataclasses.replace(a, strip=staked) if k == key else a
            for k, a in prop.area_by_id.items()
        ),
    )
    again = width_changes(areas, other, known(areas, extras), key)
    assert "staked" not in {one.key for one in again}
    assert all(one.value != 0 for one in again if one.key == "slip_days")


def test_a_width_of_the_persons_own_is_changed_by_nothing(measured):
    prop, areas, extras = measured
    key = next(k for k, area in prop.area_by_id.items() if area.name == "Vine hollow")
    own = dataclasses.replace(
        prop,
        area=tuple(
            dataclasses.replace(a, strip=StripSettings(width_ft=60.0)) if k == key else a
            for k, a in prop.area_by_id.items()
        ),
    )
    assert width_changes(areas, own, known(areas, extras), key) == []


# ---- one patch with a mower that overlaps by all but half a foot: widths lie half a foot apart ------
EVERY_DAY = Work(("mon", "tue", "wed", "thu", "fri", "sat", "sun"))
DISK = LocalFrame(-87.6, 34.2).to_lonlat(np.array([shapely.Point(0, 0).buffer(60)]))[0]


def fine(strip, sigma_m=None):
    """Return what is told, by key and value, of a patch with these settings."""
    area = Area("V", "patch", "v.gpx", vine="kudzu", strip=strip)
    gear = Equipment(mower_width_ft=6.0, mower_overlap_ft=5.5)
    prop = Property(PropertyInfo("x"), area=(area,), work=EVERY_DAY, equipment=gear)
    frame = gpd.GeoDataFrame(
        {"id": ["a01"], "name": ["V"], "kind": ["patch"]}, geometry=[DISK], crs=4326
    )
    sigma = {} if sigma_m is None else {"a01": sigma_m}
    known_here = Known(dt.date(2027, 1, 2), sigma, {}, (), {})
    (made,) = wanted_in_groups(frame, prop, known_here)[0].values()
    found = width_changes(frame, prop, known_here, "a01")
    return made.ring.width_ft, {(one.key, one.value): one for one in found}


def test_half_a_foot_is_told_and_each_other_slip_is_tried():
    before, found = fine(StripSettings(live_node_ft=0.5, watch_lane_ft=3.0))
    assert found["live_node_ft", 0.0].width_ft == before - 0.5
    assert found["watch_lane_ft", 0.0].width_ft == before - 3.0
    slips = {value: one for (key, value), one in found.items() if key == "slip_days"}
    assert sorted(slips) == [0, 3, 7, 14]
    # every day of July that a cut slips is a foot and a thousandth at 0.305 m a day
    feet = {days: one.width_ft - before for days, one in slips.items()}
    assert feet[14] > 0 > feet[7] > feet[3] > feet[0]
    assert slips[0].words == "no cut ever slips past its day"
    assert slips[3].words == "a cut may slip 3 days"
    assert [one.width_ft for one in found.values()] == sorted(
        one.width_ft for one in found.values()
    )


def test_what_counts_for_nothing_is_not_told():
    """Stakes beside an error of the person's own, a lane that is none, no node outside."""
    own = StripSettings(edge_error_ft=9.0, live_node_ft=0.0, watch_lane_ft=0.0, slip_days=3)
    _, found = fine(own, sigma_m=3.0)
    assert set(found) == {("slip_days", days) for days in (0, 7, 14)}
    _, walked = fine(StripSettings(), sigma_m=3.0)
    assert ("staked", True) in walked
    _, staked = fine(StripSettings(staked=True), sigma_m=3.0)
    assert ("staked", True) not in staked
