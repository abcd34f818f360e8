"""What puts back what is hauled off: the middle of each printed range, times the yield."""

import pytest

from quietacre.need.removal import need_from_removal, removals


@pytest.mark.parametrize(
    ("what", "bu_ac", "n", "p2o5", "k2o"),
    [
        # Ontario Ministry of Agriculture, Food and Agribusiness, 2025, as the table cites it
        ("wheat grain", 60.0, 60 * 1.20, 60 * 0.59, 60 * 0.36),
        ("rye grain", 40.0, 40 * 1.15, 40 * 0.42, 40 * 0.37),
        # of the grain alone, and of potash alone
        ("corn grain (IPNI)", 100.0, 0.0, 0.0, 27.0),
        # a legume brings its own nitrogen; printed for 40 bushels
        ("soybean", 20.0, 0.0, 16.0, 28.0),
    ],
)
def test_the_middle_of_each_range_is_put_back(what, bu_ac, n, p2o5, k2o):
    assert need_from_removal(what, bu_ac=bu_ac) == pytest.approx(
        {"n": n, "p2o5": p2o5, "k2o": k2o}
    )


def test_every_line_of_the_table_is_put_back_between_its_ends():
    for what, line in removals().items():
        need = need_from_removal(what, **{f"{line.unit}_ac": 2.0})
        for nutrient, span in line.lb_per_unit.items():
            low, high = span or (0.0, 0.0)
            if nutrient == "n" and line.legume:
                low = high = 0.0
            assert need[nutrient] == pytest.approx(low + high)  # two of the unit
