"""The tag of a bag of seed: how much of it lives, each part by hand."""

import pytest

from quietacre.errors import NeedProblem
from quietacre.need.seed_rate import (
    SAME,
    bulk_lb_ac,
    counts_coating,
    live_fraction,
    rate_from_seeds_lb_ac,
    seeds_per_ft2,
)


@pytest.mark.parametrize(
    ("tag", "message"),
    [
        ((1.25, 0.9), "purity is 1.25, not a fraction"),
        ((-0.25, 0.9), "purity is -0.25, not a fraction"),
        ((0.9, 1.5), "germination is 1.5, not a fraction"),
        ((0.9, 0.5, -0.25), "hard seed is -0.25, not a fraction"),
        ((0.9, 0.5, 0.25, 1.5), "coating is 1.5, not a fraction"),
        ((0.9, 0.75, 0.5), "germination and hard seed is 1.25, not a fraction"),
    ],
)
def test_what_is_no_fraction_is_named_with_its_figure(tag, message):
    with pytest.raises(NeedProblem) as caught:
        live_fraction(*tag)
    assert message in str(caught.value)
    assert caught.value.fix == "write 98 % as 0.98"


@pytest.mark.parametrize("tag", [(0.0, 0.9), (0.9, 0.0), (0.9, 0.9, 0.0, 1.0)])
def test_seed_of_which_nothing_lives_is_refused(tag):
    with pytest.raises(NeedProblem) as caught:
        live_fraction(*tag)
    assert "nothing of this seed is alive" in str(caught.value)
    assert caught.value.fix == "check the seed tag"


@pytest.mark.parametrize(
    ("tag", "live"),
    [
        ((None, None), 1.0), ((0.5, None), 0.5), ((None, 0.5), 0.5), ((0.5, 0.5), 0.25),
        ((0.5, 0.25, 0.25), 0.25), ((1.0, 1.0, 0.0, 0.0), 1.0), ((1.0, 0.5, 0.0, 0.5), 0.25),
        ((0.5, 0.5, 0.0, 0.5), 0.25), ((None, 0.5, 0.0, 0.5), 0.25), ((0.75, 0.5, 0.0, 0.5), 0.1875),
        ((1.0 + 5e-10, 1.0), 1.0 + 5e-10), ((1.0, 0.5, 0.5 + 5e-10), 1.0),
    ],
)  # fmt: skip
def test_the_live_part_of_a_bag(tag, live):
    assert live_fraction(*tag) == live


@pytest.mark.parametrize(
    ("purity", "coating", "whole_bag"),
    [
        (None, 0.5, False), (0.5, 0.0, False), (0.5, 0.5, True), (0.5, 0.25, True),
        (0.5, 0.5 + 5e-10, True), (0.5, 0.51, False), (1.0, 0.01, False), (0.5, 1.25, False),
    ],
)  # fmt: skip
def test_a_purity_that_leaves_room_for_the_coating_is_of_the_whole_bag(
    purity, coating, whole_bag
):
    assert counts_coating(purity, coating) is whole_bag


def test_a_hair_over_the_whole_is_the_whole():
    assert live_fraction(1.0 + SAME, 1.0) == 1.0 + SAME
    with pytest.raises(NeedProblem, match="purity is 1, not a fraction"):
        live_fraction(1.0 + 1.1e-9, 1.0)
    assert counts_coating(0.5, 0.5 + SAME)
    assert not counts_coating(0.5, 0.5 + 1.1e-9)


def test_pounds_out_of_the_bag_and_seeds_on_a_square_foot():
    """An acre has 43,560 sq ft: a pound of as many seeds is one on each."""
    assert bulk_lb_ac(10.0, 0.8) == 12.5
    assert seeds_per_ft2(2.0, 43_560.0) == 2.0
    assert seeds_per_ft2(2.0, 21_780.0) == 1.0
    assert rate_from_seeds_lb_ac(2.0, 43_560.0) == 2.0
    assert rate_from_seeds_lb_ac(2.0, 21_780.0) == 4.0
