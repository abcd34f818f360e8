"""The simulator's drift against what was measured on the ground."""

import sys
from pathlib import Path

import numpy as np
import pytest

sys.path.insert(0, str(Path(__file__).parents[1] / "benchmarks"))
from walk_accuracy import drift


def areas(sigma, tau_s, count=400, side=100.0, seed=11):
    """Return the relative area errors of single laps round a square of 1 ha."""
    rng = np.random.default_rng(seed)
    at = np.linspace(0, 4 * side, int(4 * side / 2.4), endpoint=False)
    corners = np.array([(0, 0), (side, 0), (side, side), (0, side), (0, 0)])
    ring = np.column_stack([
        np.interp(at, np.arange(5) * side, corners[:, k]) for k in (0, 1)
    ])  # fmt: skip
    out = []
    for _ in range(count):
        x, y = (ring + drift(rng, at / 1.2, sigma, tau_s)).T
        out.append(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y) / 2 / side**2 - 1)
    return np.array(out)


@pytest.mark.parametrize(
    ("sigma", "tau_s", "printed_sd_pct", "within"),
    [
        # The et al., Revue Forestiere Francaise, 2004, areas of 1 ha walked with GPS:
        # in the open +1.6 ± 1.6 %, under canopy +4.1 ± 12 % (figures read as quoted). A
        # receiver of that day in the open strayed less than a metre and a half; under leaves
        # the simulator's worst drift is 5 m (Tomastik et al. 2017: up to 11.5 m).
        pytest.param(1.2, 60.0, 1.6, 0.4, id="open"),
        pytest.param(8.5, 60.0, 12.0, 2.0, id="canopy"),
    ],
)
def test_scatter_of_a_walked_hectare(sigma, tau_s, printed_sd_pct, within):
    assert 100 * np.std(areas(sigma, tau_s)) == pytest.approx(printed_sd_pct, abs=within)


@pytest.mark.parametrize(
    ("sigma", "most_m"),
    [
        # EU Joint Research Centre, validation of area measurement after ISO 5725, classes of
        # devices by buffer = perimeter x width (as quoted by a certification body): under
        # 0.4 m, under 1.25 m, 1.25-1.5 m. The buffer is 1.96 standard deviations of the area
        # over the perimeter.
        pytest.param(0.45, 0.4, id="best class"),
        pytest.param(1.4, 1.25, id="middle class"),
        pytest.param(1.7, 1.5, id="widest class"),
    ],
)
def test_buffer_classes(sigma, most_m):
    buffer_m = 1.96 * np.std(areas(sigma, 60.0)) * 100.0**2 / 400.0
    assert 0.7 * most_m < buffer_m < most_m
