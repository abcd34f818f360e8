"""The short form of ``tests/benchmarks/walk_margins.py``: each class runs, and its ± is no pretence.

Seeds from 40: among those that tuning may look at. Bounds are far looser than those of the long
run, since 24 walks scatter; what nothing shows is held more strictly, as it held 79 % of them before.
"""

import sys
from pathlib import Path

import numpy as np
import pytest

sys.path.insert(0, str(Path(__file__).parents[1] / "benchmarks"))
import walk_margins

COUNT = 24


@pytest.mark.parametrize(
    ("name", "least", "most_pct"),
    [
        ("open", 0.83, 24.0), ("laps", 0.79, 20.0), ("both", 0.79, 24.0), ("days", 0.83, 22.0),
        ("blocked", 0.75, 70.0), ("blocked-laps", 0.79, 60.0), ("blocked-dop", 0.79, 60.0),
        ("blocked-trees", 0.75, 50.0), ("blocked-unseen", 0.87, 50.0), ("lag", 0.79, 26.0),
        ("sparse", 0.79, 26.0), ("ride", 0.83, 9.0),
    ],
)  # fmt: skip
def test_the_margin_of_each_class_holds_and_is_no_wider_than_it_must(name, least, most_pct):
    rows = [walk_margins.judged(name, seed) for seed in range(40, 40 + COUNT)]
    read = [row for row in rows if not row.why]
    assert len(read) >= 0.83 * COUNT
    assert np.mean([row.held for row in read]) >= least
    assert np.median([row.half_pct for row in read]) <= most_pct
