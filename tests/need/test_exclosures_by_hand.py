"""Cages and clippings worked by hand: their ground, their pounds, and what chance leaves of them."""

import math

import pytest

from quietacre.errors import NeedProblem
from quietacre.figures import printed
from quietacre.need.exclosure import (
    Clipped,
    browse,
    cage_ft2,
    cage_lines,
    cages_of_roll,
    clip_lb_ac,
)

#: A gram of dry matter on a square foot. [lb/ac]
GRAM_LB_AC = 43_560 / 453.59237
ONE_PAIR = Clipped(1, 100.0, None, 60.0, 40.0, None, 40.0)


def said(clipped):
    return [printed(line) for line in clipped.lines()]


def test_a_cage_s_lines_are_all_told_with_the_sizes_that_are_printed():
    """16 π ft of wire stand on 64 π = 201 sq ft, more than anybody asks for."""
    wide = [printed(line) for line in cage_lines(16 * math.pi)]
    assert wide == [
        "a cage of 50.2655 ft of wire stands on 201.06 sq ft",
        "printed: 5.09 sq ft: a length of 8 ft of 4 ft wire; a 50 ft roll makes about six "
        "(Exclosure cages for food plots, National Wild Turkey Federation, n.d.)",
        "printed: 7.96 sq ft: a length of 10 ft of wire (Exclosure cages for food plots, "
        "National Deer Association, n.d.)",
        "printed: 6 sq ft or more: at least that much ground and height (Exclosure cages for "
        "food plots, publisher not noted, n.d.)",
        "printed: 16 sq ft or more: about 16 sq ft; 4 to 5 ft high (Food-plot monitoring "
        "article, LSU AgCenter, n.d.)",
    ]
    # 10 ft stand on 25 / π = 7.96 sq ft: more than 6, less than 16
    middle = [printed(line) for line in cage_lines(10.0, 100.0)]
    assert middle[0] == (
        "a cage of 10 ft of wire stands on 7.96 sq ft; a 100 ft roll makes 10"
    )
    assert middle[1:4] == wide[1:4]
    assert "4 to 5 ft high; yours is under it, 14.2 ft of wire would do (" in middle[4]


def test_a_roll_that_is_a_hair_short_of_a_cage_makes_one_less():
    assert cages_of_roll(50.0, 12.5) == 4
    assert cages_of_roll(49.9, 12.5) == 3
    assert cages_of_roll(0.9, 0.3) == 3
    assert cages_of_roll(5.0, 8.0) == 0


def test_a_gram_on_a_square_foot_is_ninety_six_pounds_an_acre():
    assert clip_lb_ac(1.0, 1.0, 1.0) == pytest.approx(GRAM_LB_AC)
    assert clip_lb_ac(20.0, 4.0, 0.25) == pytest.approx(1.25 * GRAM_LB_AC)
    assert clip_lb_ac(0.0, 4.0, 0.25) == 0.0


@pytest.mark.parametrize(
    ("clipping", "text"),
    [
        ((-1.0, 4.0, 1.0), "a clipping of -1 g; give grams, 0 or more"),
        ((math.nan, 4.0, 1.0), "a clipping of nan g; give grams, 0 or more"),
        ((1.0, 0.0, 1.0), "area ft2 is 0; give a figure above zero"),
        (
            (1.0, 4.0, 0.0),
            "dry_frac is 0; give dry weight over the weight you give: 1 when it was dried first",
        ),
        (
            (1.0, 4.0, 1.5),
            "dry_frac is 1.5; give dry weight over the weight you give: 1 when it was dried first",
        ),
    ],
)
def test_a_clipping_that_cannot_be_is_refused_by_its_figure(clipping, text):
    with pytest.raises(NeedProblem) as caught:
        clip_lb_ac(*clipping)
    assert str(caught.value) == text


def test_wire_of_no_length_makes_no_cage():
    with pytest.raises(NeedProblem) as caught:
        cage_ft2(-2.0)
    assert str(caught.value) == "wire ft is -2; give a figure above zero"


def test_two_pairs_worked_by_hand():
    """Inside 10 and 30 g, outside 4 and 8, on 2 sq ft, half of it water.

    Means are 20 and 6 g; the means' error is 10 g inside and 8 g of what was eaten (6 and 22).
    """
    gram = GRAM_LB_AC / 2 * 0.5
    found = browse([10.0, 30.0], [4.0, 8.0], 2.0, 0.5)
    assert found.pairs == 2
    assert found.grown_lb_ac == pytest.approx(20 * gram)
    assert found.left_lb_ac == pytest.approx(6 * gram)
    assert found.eaten_lb_ac == pytest.approx(14 * gram)
    assert found.used_pct == pytest.approx(70.0)
    assert found.grown_low_high == pytest.approx(
        ((20 - 127.06) * gram, (20 + 127.06) * gram)
    )
    assert found.eaten_low_high == pytest.approx(
        ((14 - 101.648) * gram, (14 + 101.648) * gram)
    )


def test_bare_ground_is_used_by_no_part_of_it():
    assert browse([0.0], [0.0], 1.0, 1.0) == Clipped(1, 0.0, None, 0.0, 0.0, None, None)
    assert browse([0.0], [2.0], 1.0, 1.0).used_pct is None
    assert browse([0.004], [0.002], 1.0, 1.0).used_pct == pytest.approx(50.0)


@pytest.mark.parametrize(
    ("inside_g", "outside_g", "counts"),
    [([], [], (0, 0)), ([1.0, 2.0], [1.0], (2, 1)), ([1.0], [1.0, 2.0], (1, 2))],
)
def test_clippings_that_make_no_pairs_are_refused(inside_g, outside_g, counts):
    with pytest.raises(NeedProblem) as caught:
        browse(inside_g, outside_g, 4.0, 1.0)
    assert str(caught.value) == (
        f"{counts[0]} clippings inside and {counts[1]} outside make no pairs; give one outside "
        "for each inside, in the same order"
    )


def test_pairs_that_leave_nothing_to_chance_are_told_in_three_lines():
    sure = Clipped(3, 1000.0, (900.0, 1100.0), 400.0, 600.0, (500.0, 700.0), 60.0)
    assert said(sure) == [
        "grown inside, dry: 1,000 lb/ac (95 %: 900 to 1,100) from 3 pair(s)",
        "left outside: 400 lb/ac",
        "eaten: 600 lb/ac (95 %: 500 to 700), 60 % of what grew (formula from memory)",
    ]


CHANCE = (
    "that cannot be told from no use at all: chance between clippings does as much; more pairs "
    "would tell"
)


@pytest.mark.parametrize(
    ("eaten_lb_ac", "bounds", "chance"),
    [
        (40.0, (1.0, 79.0), False),
        (40.0, (0.0, 80.0), False),
        (40.0, (-1.0, 81.0), True),
        (-40.0, (-80.0, 0.0), True),
        (-40.0, (-70.0, -10.0), True),
        (0.0, (0.0, 0.0), False),
    ],
)
def test_what_chance_may_have_done_is_said_where_no_use_lies_within(
    eaten_lb_ac, bounds, chance
):
    pairs = Clipped(2, 100.0, None, 60.0, eaten_lb_ac, bounds, 40.0)
    assert (said(pairs)[3:] == [CHANCE]) is chance


def test_one_pair_says_nothing_of_chance():
    assert said(ONE_PAIR) == [
        "grown inside, dry: 100 lb/ac from 1 pair(s)",
        "left outside: 60 lb/ac",
        "eaten: 40 lb/ac, 40 % of what grew (formula from memory)",
        "one pair says nothing of chance: clip several",
    ]
    less = Clipped(1, 0.0, None, 2.0, -2.0, None, None)
    assert said(less)[2:] == [
        "eaten: -2 lb/ac",
        CHANCE,
        "one pair says nothing of chance: clip several",
    ]
