"""Published areas: geodesic polygons, units, and the Census' own figures."""

from importlib.util import find_spec
from pathlib import Path

import fiona
import numpy as np
import pyogrio
import pytest
import shapely

from quietacre import units
from quietacre.acreage.equal_area import area_m2, perimeter_m

# GeographicLib, geographiclib-python test_geodesic.py, Planimeter0, 5 and 15
# (Karney, 2011-): (lat, lon) rings, perimeter [m], area [m²] as printed there.
PLANIMETER = [
    pytest.param([(89, 0), (89, 90), (89, 180), (89, 270)], 631819.8745, 24952305678.0, id="0-pole"),
    pytest.param([(0, -1), (-1, 0), (0, 1), (1, 0)], 627598.2731, 24619419146.0, id="0-diamond"),
    pytest.param([(90, 0), (0, 0), (0, 90)], 30022685.0, 63758202715511.0, id="0-octant"),
    pytest.param([(89, 0.1), (89, 90.1), (89, -179.9)], 539297.0, 12476152838.5, id="5-pole"),
    pytest.param([(2, 1), (1, 2), (3, 3)], None, 18454562325.45119, id="15"),
    # geographiclib-rs documentation, n.d.
    pytest.param([(0, 0), (0, 1), (1, 1), (1, 0)], 443770.917248302, 12308778361.469452, id="degree"),
]  # fmt: skip


@pytest.mark.parametrize(("ring", "perimeter", "area"), PLANIMETER)
def test_geodesic_polygon_as_printed(ring, perimeter, area):
    polygon = np.array([shapely.Polygon([(lon, lat) for lat, lon in ring])])
    assert area_m2(polygon)[0] == pytest.approx(area, rel=0, abs=1.0)
    if perimeter is not None:
        assert perimeter_m(polygon)[0] == pytest.approx(perimeter, rel=0, abs=1.0)


def test_ellipsoid_area_as_printed():
    # geographiclib-python test_geodesic.py, Planimeter15
    # 3,600 lunes from pole to pole make it up
    up = np.linspace(-90.0, 90.0, 1801)
    lune = np.vstack(
        [np.column_stack([0.0 * up, up]), np.column_stack([0.1 + 0.0 * up, -up])]
    )
    (found,) = area_m2(np.array([shapely.Polygon(lune)]))
    assert 3600 * found == pytest.approx(510065621724088.5093, rel=1e-12)


def test_units_as_printed():
    # "U.S. Survey Foot: Revised Unit Conversion Factors", NIST, n.d.
    assert pytest.approx(4046.8564224, abs=1e-9) == units.ACRE_M2
    assert pytest.approx(4046.872609874, abs=1e-8) == units.US_SURVEY_ACRE_M2
    assert pytest.approx(0.304800609601, abs=5e-13) == units.US_SURVEY_FT_M
    assert pytest.approx(20.1168, abs=1e-10) == units.CHAIN_FT * units.FT_M
    # 10 square chains to the acre, 640 acres to the square mile
    assert (
        pytest.approx(units.ACRE_M2, rel=1e-14) == 10 * (units.CHAIN_FT * units.FT_M) ** 2
    )
    assert pytest.approx(640, rel=1e-14) == (units.MILE_M**2) / units.ACRE_M2


# Cartographic Boundary Files, States, 1:500,000, US Census Bureau, 2016, as packed
# in plotly-geo 1.0.0; ALAND + AWATER is the Census' own area of the detailed line.
STATES = ["Kansas", "Wyoming", "Colorado", "Iowa", "Missouri", "Arkansas", "Utah"]


@pytest.mark.parametrize("state", STATES)
def test_inland_state_against_census(state):
    home = Path(find_spec("_plotly_geo").submodule_search_locations[0])
    path = home / "package_data" / "cb_2016_us_state_500k.shp"
    meta, _, shapes, values = pyogrio.raw.read(
        path, columns=["NAME", "ALAND", "AWATER"], where=f"NAME = '{state}'"
    )
    columns = dict(zip(meta["fields"], values, strict=True))
    printed = float(columns["ALAND"][0]) + float(columns["AWATER"][0])
    ours = area_m2(shapely.from_wkb(shapes)).sum()
    assert ours == pytest.approx(printed, rel=5e-5)


def test_published_acres_may_be_survey_acres():
    # libpysal examples, mexico/mexicojoin.shp (BSD-3), fields AREA [m²] and ACRES:
    # its acres are AREA over the US survey acre, 4 ppm away from ours.
    home = Path(find_spec("libpysal").submodule_search_locations[0])
    with fiona.open(home / "examples" / "mexico" / "mexicojoin.shp") as source:
        rows = [(f["properties"]["AREA"], f["properties"]["ACRES"]) for f in source]
    area, acres = np.array(rows, dtype=float).T
    assert len(area) == 32
    assert acres * units.US_SURVEY_ACRE_M2 == pytest.approx(area, rel=2e-7)
    assert np.all(np.abs(acres * units.ACRE_M2 / area - 1) > 3.5e-6)


def test_mile_square_holds_less_than_a_section_going_north():
    # 43 U.S.C. 751 says sections of 640 ac "as nearly as may be"; computed here with
    # geographiclib: four one-mile geodesic legs N/E hold 639.953, 639.932, 639.910 ac.
    from geographiclib.geodesic import Geodesic

    for lat, acres in ((30, 639.953), (40, 639.932), (48, 639.910)):
        east = Geodesic.WGS84.Direct(lat, -90, 90, units.MILE_M)
        north = Geodesic.WGS84.Direct(lat, -90, 0, units.MILE_M)
        corner = Geodesic.WGS84.Direct(east["lat2"], east["lon2"], 0, units.MILE_M)
        ring = [
            (-90, lat),
            (east["lon2"], east["lat2"]),
            (corner["lon2"], corner["lat2"]),
            (north["lon2"], north["lat2"]),
        ]
        ours = area_m2(np.array([shapely.Polygon(ring)]))[0] / units.ACRE_M2
        assert ours == pytest.approx(acres, abs=0.0006)
