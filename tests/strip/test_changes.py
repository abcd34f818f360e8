"""What one setting of a strip does to its width: each change, planned, gives the width told."""

import dataclasses
import datetime as dt

import pytest

from quietacre.commands.demo import write_sample
from quietacre.measure.property import measure_property
from quietacre.settings import StripSettings
from quietacre.strip.changes import LEAST_FT, width_changes
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
