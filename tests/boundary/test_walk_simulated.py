"""The short form of ``tests/benchmarks/walk_accuracy.py``, against its oracle.

Seeds from 5000: among those that tuning may look at. Bounds are looser than what the
longer run on unseen seeds reports, since 150 walks scatter.
"""

import importlib.util
import sys
from pathlib import Path

import numpy as np
import pytest

HERE = Path(__file__).parent


@pytest.fixture(scope="module")
def bench():
    path = HERE.parent / "benchmarks" / "walk_accuracy.py"
    spec = importlib.util.spec_from_file_location("walk_accuracy", path)
    module = importlib.util.module_from_spec(spec)
    sys.modules["walk_accuracy"] = module
    spec.loader.exec_module(module)
    return module


def test_simulated_walks_are_read_about_as_well_as_by_the_oracle(bench):
    rows = bench.judge(range(5000, 5150))
    read = [row for row in rows if not row.why]
    assert len(read) >= 0.96 * len(rows)
    ours, oracle = (np.abs([getattr(r, k) for r in read]) for k in ("error", "oracle"))
    assert np.median(ours) <= 1.3 * np.median(oracle)
    assert np.percentile(ours, 90) <= 1.6 * np.percentile(oracle, 90)
    assert (ours > 0.5).mean() <= 0.014
    assert all(row.valid for row in read)
    assert np.mean([row.covered for row in read]) >= 0.89


@pytest.mark.parametrize("seed", [940290, 941366, 941422])
def test_sides_that_all_but_touch_stay_apart(bench, seed):
    """Walks whose ring was valid in metres and crossed itself by a rounding in degrees."""
    from quietacre.boundary.read import read_walk

    walk = read_walk([bench.simulate(seed).track])
    assert walk.polygon.is_valid
    assert walk.polygon.geom_type == "Polygon"


def test_clean_single_laps_in_the_open_scatter_as_the_drift_says(bench):
    """The oracle's own area scatter against walk_error's formula."""
    from quietacre.boundary.error import unit_area_sd

    square = np.array([(0, 0), (63.6, 0), (63.6, 63.6), (0, 63.6)])
    at = np.linspace(0, 4 * 63.6, 212, endpoint=False)
    ring = np.column_stack([
        np.interp(at, np.arange(5) * 63.6, np.r_[square[:, k], square[0, k]]) for k in (0, 1)
    ])  # fmt: skip
    times = at / 1.2
    said = 2.5 * unit_area_sd(ring, times, 50.0)
    rng = np.random.default_rng(3)
    areas = []
    for _ in range(400):
        x, y = (ring + bench.drift(rng, times, 2.5, 50.0)).T
        areas.append(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y) / 2)
    assert np.std(areas) == pytest.approx(said, rel=0.15)
    # an acre's square at sigma 2.5 m, tau 50 s, 1.2 m/s: 6 %, worked out beforehand
    assert said / 63.6**2 == pytest.approx(0.060, abs=0.004)
