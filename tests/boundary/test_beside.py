"""Places beside a path, and what keeps them in step, against SciPy's tree and filters."""

import numpy as np
import pytest
from scipy.ndimage import median_filter, uniform_filter1d
from scipy.spatial import cKDTree

from quietacre.boundary.average import _windows
from quietacre.boundary.plane import BESIDE_M, beside_m, places_m, walked_m


@pytest.mark.parametrize("seed", range(20))
def test_the_nearest_place_of_a_path_is_that_of_a_tree(seed):
    rng = np.random.default_rng(seed)
    path = np.cumsum(rng.normal(0, 1.5, (rng.integers(2, 400), 2)), axis=0)
    points = path[rng.integers(0, len(path), 300)] + rng.normal(0, 20, (300, 2))
    walked = walked_m(path)
    at = np.linspace(0.0, walked[-1], int(walked[-1] / BESIDE_M) + 2)
    far, nearest = cKDTree(places_m(path, walked, at)).query(points)
    along, apart = beside_m(path, points)
    assert apart == pytest.approx(far, abs=1e-9)
    assert along == pytest.approx(at[nearest], abs=1e-9)


@pytest.mark.parametrize("seed", range(20))
def test_windows_over_an_edge_are_those_of_the_filters(seed):
    rng = np.random.default_rng(seed)
    values = np.cumsum(rng.normal(0, 3, rng.integers(1, 300)))
    window = 2 * rng.integers(1, 40) + 1  # often wider than the edge is long
    median = np.median(_windows(values, window, "edge"), axis=1)
    mean = _windows(median, window, "symmetric").mean(axis=1)
    steady = median_filter(values, window, mode="nearest")
    assert median == pytest.approx(steady, abs=1e-12)
    assert mean == pytest.approx(uniform_filter1d(steady, window), abs=1e-9)
