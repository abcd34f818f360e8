"""A lime whose quality is on another measure than the laboratory's, as it is told."""

import pytest

from quietacre.errors import NeedProblem
from quietacre.need.lime import lime_rate
from quietacre.settings import Product, SoilTest


def test_how_fine_a_lime_is_makes_its_effective_percent_and_both_are_told():
    """Kentucky's weights: 90 % through mesh 10 and 40 % through 50 are 0.65 of 90 %."""
    ground = Product("lime", cce_pct=90.0, passing_pct=((10, 90.0), (50, 40.0)))
    told = lime_rate(SoilTest("t", lime_basis="pure", lime_ton_ac=2.0), ground, "KY").text
    assert "product at CCE 90 % × fineness 65 % (KY) = 58.5 %" in told


@pytest.mark.parametrize(
    ("measure", "product", "given", "cure"),
    [
        ("CCE", {"ecce_pct": 60.0}, "ECCE", "give the product's cce_pct"),
        ("CCE", {"rnv_pct": 60.0}, "RNV", "give the product's cce_pct"),
        (
            "ECCE", {"cce_pct": 90.0}, "CCE",
            "give the product's ecce_pct, rnv_pct, or cce_pct with passing_pct",
        ),
    ],
)  # fmt: skip
def test_a_quality_on_another_measure_is_refused_with_what_to_give(
    measure, product, given, cure
):
    test = SoilTest("t", lime_basis=measure, lime_basis_pct=80.0, lime_ton_ac=1.0)
    with pytest.raises(NeedProblem) as told:
        lime_rate(test, Product("lime", **product))
    problem = told.value
    assert f"the lime's {given} cannot be set against a rate written on {measure}" in str(
        problem
    )
    assert problem.fix == cure
