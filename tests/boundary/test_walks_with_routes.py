"""The short form of ``tests/benchmarks/walks_with_routes.py``: plans never stand for walks."""

import numpy as np
from walks_with_routes import judge, simulated_file

from quietacre.acreage.equal_area import area_m2
from quietacre.boundary.pieces import ring_of
from quietacre.units import ACRE_M2


def test_no_route_stands_for_a_walk_unsaid():
    rows = judge(range(71000, 71060))
    assert not [row.seed for row in rows if row.silent and not row.alike]
    whole = [row for row in rows if not row.broken]
    assert len(whole) > 40
    assert all(row.alike for row in whole)
    assert np.mean([bool(row.why) for row in whole]) < 0.05
    assert any(row.planned for row in rows if row.broken)


def test_the_largest_ring_of_all_would_be_wrong():
    """Such files are a real trap: a plan often encloses far more than the walk."""
    trapped = 0
    for seed in range(71000, 71030):
        file = simulated_file(seed)
        plans = [ring_of(track) for track in file.tracks if track.kind == "route"]
        acres = area_m2(np.array([ring for ring in plans if ring], dtype=object)) / ACRE_M2
        trapped += bool((acres > 1.5 * file.true_ac).any())
    assert trapped > 10
