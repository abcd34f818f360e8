"""Printed projection examples, for the projections the tests use as references.

Tolerance 0.06 m: the rounding of the book's seven-digit arithmetic.
"""

import pytest
from pyproj import CRS, Transformer

CLARKE = "+a=6378206.4 +es=0.00676866"

PRINTED = [
    # Snyder, "Map Projections: A Working Manual", USGS Professional Paper 1395,
    # 1987, p. 292; figures as re-typed in an annotated edition.
    pytest.param(
        f"+proj=aea +lat_1=29.5 +lat_2=45.5 +lat_0=23 +lon_0=-96 {CLARKE}",
        (-75, 35), (1885472.7, 1535925.0), 0.06, id="Snyder-Albers",
    ),
    # Same, pp. 333-336
    pytest.param(
        f"+proj=laea +lat_0=40 +lon_0=-100 {CLARKE}",
        (-110, 30), (-965932.11, -1056814.93), 0.06, id="Snyder-LAEA-oblique",
    ),
    # Same, pp. 334-337
    pytest.param(
        "+proj=laea +lat_0=90 +lon_0=-100 +ellps=intl",
        (5, 80), (1077459.7, 288704.5), 0.06, id="Snyder-LAEA-polar",
    ),
    # Same, pp. 281-287. The text says latitude 10; the printed figures belong to
    # latitude 5 (erratum of the annotated edition).
    pytest.param(
        f"+proj=cea +lat_ts=5 +lon_0=-75 {CLARKE}",
        (-78, 5), (-332699.8, 554248.5), 0.06, id="Snyder-CEA",
    ),
    # IOGP Publication 373-7-2 (Guidance Note 7-2), 2020, EPSG:3035 example
    pytest.param("EPSG:3035", (5, 50), (3962799.45, 2999718.85), 0.06, id="IOGP-LAEA"),
    # GIGS test 5110, IOGP, 2011
    pytest.param("EPSG:3035", (5, 60), (4041548.13, 4109791.66), 0.06, id="GIGS-5110-60"),
    pytest.param("EPSG:3035", (5, 70), (4127824.658, 5214090.649), 0.06, id="GIGS-5110-70"),
]  # fmt: skip


@pytest.mark.parametrize(("crs", "lonlat", "printed", "tol_m"), PRINTED)
def test_projection_as_printed(crs, lonlat, printed, tol_m):
    target = CRS.from_user_input(crs)
    transformer = Transformer.from_crs(target.geodetic_crs, target, always_xy=True)
    assert transformer.transform(*lonlat) == pytest.approx(printed, rel=0, abs=tol_m)
