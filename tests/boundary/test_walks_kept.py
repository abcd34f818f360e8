"""Acres and ± of simulated walks are those of before: a change of them is told, or a fault."""

import pytest
from kept_walks import NUMBERS, cases, kept, row_of

CASES = list(cases())
KINDS = list(dict.fromkeys(kind for kind, _, _ in CASES))


def same(told, was):
    """Whether two rows of figures are alike; a sum may end in another last digit elsewhere."""
    for name in NUMBERS:
        if (told[name] == "") is not (was[name] == ""):
            return False
        if told[name] and float(told[name]) != pytest.approx(float(was[name]), rel=1e-7):
            return False
    numbers = [[float(one) for one in row["told"].split()] for row in (told, was)]
    return (
        told["corners"] == was["corners"]
        and told["codes"] == was["codes"]
        and numbers[0] == pytest.approx(numbers[1], rel=1e-4)
    )


@pytest.mark.parametrize("kind", KINDS)
def test_figures_of_walks_are_those_that_are_kept(kind):
    before = kept()
    rows = [row_of(*case) for case in CASES if case[0] == kind]
    differ = [
        (row, before.get((kind, row["seed"])))
        for row in rows
        if (kind, row["seed"]) not in before or not same(row, before[kind, row["seed"]])
    ]
    assert differ == [], "see tests/benchmarks/kept_walks.py"


def test_no_walk_is_kept_that_is_not_read():
    assert set(kept()) == {(kind, str(seed)) for kind, seed, _ in CASES}
