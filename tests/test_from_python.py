"""Every step from a notebook: the same figures as a folder gives, and the same faults."""

import datetime as dt
import json
import re
import subprocess
import sys
from pathlib import Path

import geopandas as gpd
import numpy as np
import pytest
import shapely

from quietacre.boundary.points import walk_of
from quietacre.boundary.read import read_walk
from quietacre.boundary.walk import Walk
from quietacre.build import plan_property
from quietacre.errors import (
    CRSMismatchError,
    FrameProblem,
    SettingsProblem,
    WalkRefused,
)
from quietacre.intake.property import read_property
from quietacre.intake.values import settings_from
from quietacre.intake.vector import read_layer
from quietacre.measure.given import measure_given
from quietacre.measure.property import measure_property

ROOT = Path(__file__).parents[1]
SAMPLE = ROOT / "sample_maps" / "sweetgum-bend"
TODAY = dt.date(2026, 11, 27)
FIELD = shapely.box(-87.606, 34.200, -87.604, 34.202)
SHORT = {"property": {"name": "p"}, "area": [{"name": "Field", "kind": "plot"}]}


def folder_of(tmp_path):
    (tmp_path / "f.geojson").write_text(json.dumps(shapely.geometry.mapping(FIELD)))
    (tmp_path / "property.toml").write_text(
        '[property]\nname = "p"\n[[mix]]\nname = "m"\nseed = [{crop = "oats", share = 1.0}]\n'
        '[[area]]\nname = "Field"\nkind = "plot"\nfrom = "f.geojson"\nmix = "m"\n'
        "plant = 2027-09-25\n"
    )
    return tmp_path


def test_ground_given_has_the_figures_of_the_same_ground_in_a_folder(tmp_path):
    told, _ = plan_property(measure_property(folder_of(tmp_path)), today=TODAY)
    prop = settings_from(
        {
            "property": {"name": "p"},
            "mix": ({"name": "m", "seed": [{"crop": "oats", "share": np.float64(1)}]},),
            "area": [
                {"name": "Field", "kind": "plot", "mix": "m", "plant": dt.date(2027, 9, 25)}
            ],
        }
    )
    report, _ = plan_property(measure_given(prop, {"Field": FIELD}), today=TODAY)
    ours, theirs = report["areas"][0], told["areas"][0]
    assert (ours.pop("source"), theirs.pop("source")) == ("given as a shape", "f.geojson")
    assert ours == theirs
    assert report["shopping"] == told["shopping"]
    assert report["year"] == told["year"]


def test_a_walk_of_points_is_the_walk_of_the_file():
    layer = read_layer(SAMPLE / "walks" / "creek-shelf.gpx")
    track = max(layer.tracks, key=lambda track: len(track.lon))
    read = read_walk([track])
    ours = walk_of(list(zip(track.lon, track.lat, strict=True)), track.time_s)
    assert isinstance(ours, Walk)
    assert ours.acres == pytest.approx(read.acres, rel=1e-9)
    assert (ours.acres_low, ours.acres_high) == pytest.approx(
        (read.acres_low, read.acres_high)
    )
    prop = settings_from(SHORT)
    areas = measure_given(prop, {"Field": ours}).areas
    assert areas["acres_high"][0] == pytest.approx(read.acres_high)
    assert areas["sigma_m"][0] == pytest.approx(read.edge_sigma_m)


@pytest.mark.parametrize("crs", [32616, 3857, 4326])
def test_a_frame_in_any_reference_system_has_the_same_acres(crs):
    frame = gpd.GeoDataFrame({"name": ["Field"]}, geometry=[FIELD], crs=4326).to_crs(crs)
    prop = settings_from(SHORT)
    acres = measure_given(prop, frame).areas["acres"][0]
    assert acres == pytest.approx(
        measure_given(prop, {"Field": FIELD}).areas["acres"][0], rel=1e-6
    )


@pytest.mark.parametrize(
    ("ground", "said"),
    [
        ({}, "no ground is given for “Field”"),
        ({"Field": FIELD, "Other": FIELD}, "no area of that name"),
        ({"Field": shapely.Point(1, 2)}, "is no polygon"),
        ({"Field": shapely.Polygon()}, "is no polygon"),
        ({"Field": shapely.box(500000, 3780000, 500100, 3780100)}, "not in longitude"),
        (gpd.GeoDataFrame({"n": [1]}, geometry=[FIELD], crs=4326), "lacks “name”"),
    ],
)
def test_ground_that_does_not_fit_is_refused(ground, said):
    with pytest.raises(FrameProblem, match=said):
        measure_given(settings_from(SHORT), ground)


def test_a_frame_without_a_reference_system_is_refused():
    frame = gpd.GeoDataFrame({"name": ["Field"]}, geometry=[FIELD])
    with pytest.raises(CRSMismatchError, match="set_crs"):
        measure_given(settings_from(SHORT), frame)


def faults(values, folder=None):
    with pytest.raises(SettingsProblem) as raised:
        settings_from(values, folder)
    return raised.value.faults


def test_settings_in_python_have_the_faults_of_the_file(tmp_path):
    bad = {
        "property": {"nmae": "p"},
        "equipment": {"mower_width_ft": -2, "disk_mph": "4"},
        "area": [{"name": "A", "kind": "plott", "from": "a.gpx"}],
    }
    (tmp_path / "property.toml").write_text(
        '[property]\nnmae = "p"\n[equipment]\nmower_width_ft = -2\ndisk_mph = "4"\n'
        '[[area]]\nname = "A"\nkind = "plott"\nfrom = "a.gpx"\n'
    )
    with pytest.raises(SettingsProblem) as raised:
        read_property(tmp_path)
    assert faults(bad, tmp_path) == raised.value.faults
    assert len(raised.value.faults) >= 5


def test_without_a_folder_no_file_may_be_named_and_ours_stay_as_they_were():
    values = {**SHORT, "weather": {"from": "rain.csv"}}
    assert "weather.from: “rain.csv” lies in no folder" in faults(values)[0]
    area = {"name": "Field", "kind": "plot", "from": "a.gpx"}
    assert "area[1].from: “a.gpx” lies in no folder" in faults({**SHORT, "area": [area]})[0]
    assert "from" not in SHORT["area"][0]
    # in a folder, ground has its file
    assert "area[1].from: is missing" in faults(SHORT, ROOT)[0]


def test_a_value_that_no_settings_hold_is_said_with_its_key():
    area = {"name": "Field", "kind": "plot", "note": FIELD}
    assert faults({**SHORT, "area": [area]}) == (
        "area[1].note: a Polygon stands in no settings",
    )


@pytest.mark.parametrize(
    ("points", "time_s", "said"),
    [
        ([1, 2, 3], None, "not pairs"),
        ([(1, 2, 3)], None, "not pairs"),
        ([(0, 0), (0, 1), (1, 1)], [0], "3 points have 1 times"),
        ([(0, 0), (0, 100), (1, 1)], None, "no longitude and latitude"),
        ([(0, 0), (0, float("nan")), (1, 1)], None, "no longitude and latitude"),
        ([], None, "not pairs"),
    ],
)
def test_points_that_are_no_walk_are_refused(points, time_s, said):
    with pytest.raises(WalkRefused, match=said):
        walk_of(points, time_s)


def test_the_page_of_every_step_says_what_the_steps_gave(tmp_path):
    """The long block of the page is a notebook's script, run whole, of few lines."""
    text = (ROOT / "docs" / "from-python.md").read_text()
    blocks = re.findall(r"^```python\n(.*?)^```", text, re.MULTILINE | re.DOTALL)
    script = next(block for block in blocks if "plan_year(" in block)
    assert len([line for line in script.splitlines() if line.strip()]) <= 45
    done = subprocess.run(
        [sys.executable, "-c", script], cwd=tmp_path, capture_output=True, text=True,
        check=False, env={"PYTHONPATH": str(ROOT / "src"), "PATH": ""},
    )  # fmt: skip
    assert done.returncode == 0, done.stderr[-800:]
    out = done.stdout
    acres = measure_given(settings_from(SHORT), {"Field": FIELD}).areas["acres"][0]
    assert f"{acres:.5f}"[:7] in out
    assert re.search(r"^oats \d+ lb$", out, re.MULTILINE)
    assert re.search(r"^2027-\d\d-\d\d Field ", out, re.MULTILINE)
