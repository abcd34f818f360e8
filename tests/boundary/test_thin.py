"""Thinning keeps the area within its bound, whatever the shape."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from quietacre.boundary.thin import MOST_CHANGE, thin


@given(
    seed=st.integers(0, 10_000),
    tolerance=st.floats(0.05, 20.0),
    count=st.integers(5, 300),
)
@settings(max_examples=80, deadline=None)
def test_area_stays_within_the_bound(seed, tolerance, count):
    rng = np.random.default_rng(seed)
    angle = np.sort(rng.uniform(0, 2 * np.pi, count))
    radius = rng.uniform(30, 60, count)[:, None]
    shape = shapely.Polygon(radius * np.column_stack([np.cos(angle), np.sin(angle)]))
    if not shape.is_valid or shape.area < 1.0:
        return
    fewer = thin(shape, tolerance_m=tolerance)
    assert fewer.is_valid
    assert abs(fewer.area - shape.area) <= MOST_CHANGE * shape.area
    assert shapely.get_num_coordinates(fewer) <= shapely.get_num_coordinates(shape)


def test_a_finely_stepped_square_keeps_only_its_corners():
    side = np.arange(0.0, 60.0, 2.0)
    flat = np.zeros_like(side)
    square = shapely.Polygon(np.vstack([
        np.column_stack([side, flat]), np.column_stack([flat + 60, side]),
        np.column_stack([60 - side, flat + 60]), np.column_stack([flat, 60 - side]),
    ]))  # fmt: skip
    fewer = thin(square, tolerance_m=0.5)
    assert shapely.get_num_coordinates(fewer) == 5
    assert fewer.area == pytest.approx(3600.0, rel=1e-12)
