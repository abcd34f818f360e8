"""The sample property has a piece of ground known each way, with a ± of its own kind."""

import numpy as np
import pytest
import shapely

from quietacre.acreage.equal_area import area_m2
from quietacre.demo import known
from quietacre.demo.ground import lonlat
from quietacre.demo.write import write_sample
from quietacre.measure.property import measure_property
from quietacre.units import ACRE_M2


@pytest.fixture(scope="module")
def areas(tmp_path_factory):
    folder = tmp_path_factory.mktemp("sample")
    write_sample(folder)
    return measure_property(folder).areas.set_index("name")


@pytest.mark.parametrize(
    ("name", "method"),
    [
        ("Creek shelf", "walked"), ("Brier corner", "pins"), ("Spring head", "compass and tape"),
        ("Old graveyard", "deed of 4 calls"), ("Sawdust pile", "drawn, its edge within 15 ft"),
    ],
)  # fmt: skip
def test_each_way_has_a_piece_and_a_margin(areas, name, method):
    row = areas.loc[name]
    assert method in row["method"]
    assert row["acres_low"] < row["acres"] < row["acres_high"]


def test_the_figures_are_those_of_the_ground(areas):
    drawn = shapely.Polygon([lonlat(x, y) for x, y in known.SAWDUST])
    acres = area_m2(np.array([drawn]))[0] / ACRE_M2
    assert areas.loc["Sawdust pile", "acres"] == pytest.approx(acres, rel=1e-3)
    # 7 poles by 6, of 16.5 ft, with a degree between their bearings and a right angle
    poles = 7 * 6 * 16.5**2 * np.sin(np.radians(91)) / 43_560
    assert areas.loc["Old graveyard", "acres"] == pytest.approx(poles, rel=0.02)


def test_the_pieces_overlap_nothing(areas):
    new = areas.loc[
        ["Brier corner", "Spring head", "Old graveyard", "Sawdust pile"]
    ].geometry
    for name, shape in new.items():
        others = areas.drop(index=name).geometry
        assert not others.intersects(shape).any(), name
