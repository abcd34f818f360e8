"""Rates, lime and checks of machines as printed. Tolerance: half the last printed digit."""

import json

import pytest
from click.testing import CliRunner

from quietacre.cli import main


def need(*words):
    """Run ``quietacre need`` and return its JSON."""
    ran = CliRunner().invoke(main, ["need", *words, "--json"])
    assert ran.exit_code == 0, ran.output
    return json.loads(ran.output)


@pytest.mark.parametrize(
    ("nutrient", "lb_ac", "grade", "printed"),
    [
        # Rate tables of fertilizer products, Manitoba Agriculture, n.d.
        ("n", 80, "46-0-0", 174),
        ("p2o5", 40, "11-52-0", 77),
        ("k2o", 15, "0-0-60", 25),
    ],
)
def test_product_for_a_need_as_manitoba_prints(nutrient, lb_ac, grade, printed):
    got = need("fertilizer", "--acres", "1", f"--{nutrient}", str(lb_ac), "--product", f"{grade}:50:20")  # fmt: skip
    (row,) = got["products"]
    assert row["lb_ac"] == pytest.approx(printed, abs=0.5)
    assert got["short_lb"] == {}


def test_nitrogen_that_comes_with_phosphate_as_manitoba_prints():
    # Manitoba Agriculture, n.d.: 77 lb of 11-52-0 for 40 lb P2O5 bring 8.5 lb N
    got = need("fertilizer", "--acres", "1", "--p2o5", "40", "--product", "11-52-0:50:20")
    assert 0.11 * got["products"][0]["lb_ac"] == pytest.approx(8.5, abs=0.05)
