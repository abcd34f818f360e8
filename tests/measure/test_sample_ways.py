"""The sample property has a piece of ground known each way, with a ± of its own kind."""

import numpy as np
import pytest
import shapely

from quietacre.acreage.equal_area import area_m2
from quietacre.boundary.laid_picture import lay_picture
from quietacre.demo import known, sketch
from quietacre.demo.ground import lonlat
from quietacre.demo.write import write_sample
from quietacre.desk.screen import hand_pm_ft
from quietacre.intake.placed import read_placed
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
        ("Sumac knoll", "drawn, its edge within 9 ft"),
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
        ["Brier corner", "Spring head", "Old graveyard", "Sawdust pile", "Sumac knoll"]
    ].geometry
    for name, shape in new.items():
        others = areas.drop(index=name).geometry
        assert not others.intersects(shape).any(), name


def test_the_knoll_lies_where_its_sketch_does(tmp_path, areas):
    """What stands in the sample as figures is what placing its picture and drawing on it gives."""
    write_sample(tmp_path)
    kept = read_placed(tmp_path, "knoll-sketch.png")
    assert (kept.width, kept.height) == (sketch.WIDE, sketch.TALL)
    laid = lay_picture(
        kept.how.pairs, kept.width, kept.height, point_pm_ft=kept.how.point_pm_ft
    )
    assert laid.placed.wrong is None
    world = np.array(sketch.WORLD.split(), float)
    assert np.array(laid.world_file().split(), float) == pytest.approx(world, abs=1e-6)
    clicked = np.array(sketch.drawn_px(), dtype=float)
    assert laid.lonlat(clicked) == pytest.approx(np.array(sketch.DRAWN), abs=1e-7)
    edge_ft = np.hypot(laid.pm_ft(clicked).max(), hand_pm_ft(sketch.FEET_PX))
    assert edge_ft == pytest.approx(9.3, abs=0.05)
    true = shapely.Polygon([lonlat(x, y) for x, y in sketch.KNOLL])
    row = areas.loc["Sumac knoll"]
    assert row["acres_low"] < area_m2(np.array([true]))[0] / ACRE_M2 < row["acres_high"]
    assert 0.05 < (row["acres_high"] - row["acres_low"]) / 2 < 0.09
