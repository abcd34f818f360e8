"""Printed traverses, deeds' units and declinations. Tolerance: half a unit of the last digit."""

import numpy as np
import pytest

from quietacre.bearings import land_units, read_bearing
from quietacre.boundary.drawn import map_scale_pm_ft
from quietacre.boundary.traverse import double_meridian_area_ft2, segment_ft2, work_out
from quietacre.model import Leg, Traverse
from quietacre.units import ACRE_FT2


def legs(*rows):
    return tuple(
        Leg(read_bearing(bearing).azimuth_deg, length, 1 / 60, 0.01, text=bearing)
        for bearing, length in rows
    )


def test_five_sided_traverse():
    # "Traverse Calculations", CIVL 1112, University of Memphis, n.d.: misclosure 0.182 ft,
    # 1:5,175, 36,320 ft², 0.834 ac. First and last leg as printed; the three between from memory.
    figure = work_out(
        Traverse("", "", legs(
            ("S6°15'W", 189.53), ("S29°38'E", 175.18), ("N81°18'W", 197.78),
            ("N12°24'W", 142.39), ("N42°59'E", 234.58)), "tape")
    )  # fmt: skip
    assert figure.misclosure_ft == pytest.approx(0.182, abs=0.0005)
    assert figure.ratio == pytest.approx(5175, abs=0.5)
    assert figure.acres * ACRE_FT2 == pytest.approx(36_320, abs=0.5)
    assert figure.acres == pytest.approx(0.834, abs=0.0005)


def test_double_meridian_distance():
    # Open Access Surveying Library, traverse chapter G, n.d.: balanced latitudes and
    # departures, twice the area 205,871.5 ft²; their rounding to 0.001 ft leaves 0.15 ft².
    north = np.array([-176.386, 203.382, 192.340, -219.336])
    east = np.array([-438.574, -73.105, 198.635, 313.044])
    assert abs(double_meridian_area_ft2(east, north)) == pytest.approx(205_871.5, abs=0.15)


def test_area_by_coordinates():
    # The same library, COGO chapter H, n.d.: five corners (N, E), 140,494 ft². It rounds
    # each product; exact is 140,493.1.
    corners = np.array([(406.31, 1259.97), (235.12, 1489.47), (65.81, 1126.40),
                        (317.89, 942.04), (675.32, 1282.54)])  # fmt: skip
    step = np.roll(corners, -1, axis=0) - corners
    area = abs(double_meridian_area_ft2(step[:, 1], step[:, 0])) / 2
    assert area == pytest.approx(140_494, abs=1.0)


def test_units_of_land():
    # Manual of Instructions for the Survey of the Public Lands, Bureau of Land Management,
    # 1973, 2-1: a chain is 66 ft or 100 links, a pole 25 links, an acre 10 square chains, a
    # mile 80 chains; 3-75: a quarter of a quarter section is 40 acres.
    unit = {name: row.feet for name, row in land_units().items()}
    assert unit["chain"] == 66
    assert unit["link"] == pytest.approx(66 / 100)
    assert unit["pole"] == pytest.approx(25 * unit["link"])
    assert 10 * unit["chain"] ** 2 == ACRE_FT2
    assert unit["mile"] == 80 * unit["chain"]
    assert (20 * unit["chain"]) ** 2 / ACRE_FT2 == 40
    # The Texas Vara, Texas General Land Office, 1940, at second hand: 33 1/3 in, so 36 varas
    # are 100 ft; private surveys before 1919 32.8748 in.
    assert 36 * unit["vara-texas"] == pytest.approx(100)
    assert unit["vara-texas-old"] * 12 == pytest.approx(32.8748, abs=1e-4)


def test_slope_of_sixty_percent():
    # "Slope", NWCG Firefighter Math 4.5, National Wildfire Coordinating Group, n.d.: 60 % is 31°
    assert np.degrees(np.arctan(0.60)) == pytest.approx(31, abs=0.5)
    from quietacre.intake.legs import legs_in

    rows = "bearing,distance,slope_pct\n0,100,60\n90,100,0\n180,100,60\n270,100,0\n"
    first = legs_in(rows, "t.csv").legs[0]
    assert first.length_ft == pytest.approx(100 * np.cos(np.radians(30.964)), abs=0.01)


@pytest.mark.parametrize(
    ("chord", "radius"), [(100.0, 50.0), (120.0, 200.0), (1.0, 1000.0)]
)
def test_segment_is_that_of_the_sector_less_its_triangle(chord, radius):
    turn = 2 * np.arcsin(chord / 2 / radius)
    assert segment_ft2(chord, radius) == pytest.approx(
        radius**2 * (turn - np.sin(turn)) / 2, rel=1e-9
    )


def test_map_accuracy():
    # Map Accuracy Standards, US Geological Survey: 1:24,000 is 40 ft for 90 %;
    # FGDC-STD-007.3-1998 turns 90 % into 95 % by 2.4477 / 2.1460.
    assert map_scale_pm_ft(24_000) == pytest.approx(40 * 2.4477 / 2.1460, abs=0.1)
    # 1/30 inch at scales larger than 1:20,000
    assert map_scale_pm_ft(12_000) == pytest.approx(
        12_000 / 30 / 12 * 2.4477 / 2.1460, abs=0.1
    )
