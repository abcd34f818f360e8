"""The program of two grounds and two products: each column and each row written by hand."""

import math

import numpy as np
import pytest

from quietacre.need.program import (
    POUND,
    SHORT_PENALTY,
    TRACE_LB,
    Case,
    Found,
    Program,
)

INF = math.inf


def case(**more):
    """Return two grounds and two products: half nitrogen, and a quarter each of both."""
    plain = {
        "share": [[0.5, 0.0], [0.25, 0.25]],
        "least": [[10.0, 0.0], [5.0, 20.0]],
        "most": [[15.0, INF], [10.0, 30.0]],
        "price": [19.0, 30.0], "bag_lb": [50.0, 40.0], "stock_lb": [0.0, 8.0],
        "max_bags": [INF, 1.0],
    }  # fmt: skip
    arrays = {name: np.array(values) for name, values in {**plain, **more}.items()}
    return Case(limit=np.array([1, 2]), **arrays)


def program(whole=True, allowed=None, limited=(), cuts=(), **more):
    allowed = np.ones((2, 2), dtype=bool) if allowed is None else np.array(allowed)
    return Program(
        case(**more), whole=whole, allowed=allowed, cuts=cuts,
        limited=np.array(limited, dtype=np.int64),
    )  # fmt: skip


def test_the_most_that_can_serve_is_what_is_allowed_or_what_meets_every_need():
    """On the first 10 / 0.5 of one and 10 / 0.25 of the other; on the second the most allows 40."""
    assert case().cap_lb.tolist() == [[20.0, 40.0], [10.0, 40.0]]
    wide = case(most=[[INF, INF], [INF, INF]])
    assert wide.cap_lb.tolist() == [[20.0, 40.0], [10.0, 80.0]]
    closed = case(most=[[INF, INF], [4.0, INF]])
    assert closed.cap_lb.tolist() == [[20.0, 40.0], [8.0, 16.0]]


def test_columns_are_bags_then_pounds_then_what_stays_short():
    made = program()
    assert made.size == (2, 2, 2)
    assert made.cost == [19.0, 30.0, *[POUND] * 4, SHORT_PENALTY, 0.0, *[SHORT_PENALTY] * 2]
    # 30 lb are one bag of 50, 80 lb two of 40, of which one may be bought
    assert made.upper == [1.0, 1.0, 20.0, 40.0, 10.0, 40.0, 10.0, 0.0, 5.0, 20.0]
    assert made.kinds == [True] * 2 + [False] * 8
    assert made.lower == [0.0] * 10
    assert program(whole=False).kinds == [False] * 10
    assert (made.late, made.steps, made.limited.tolist()) == (False, 0, [])


def rows(made):
    """Return rows with their columns as plain numbers."""
    return [
        ([int(i) for i in index], [float(v) for v in values], float(low), float(high))
        for index, values, low, high in made.rows
    ]


FIRST = [
    # pounds of each product on all ground, less its bags, within what the shed holds
    ([0, 2, 4], [-50.0, 1.0, 1.0], -INF, 0.0),
    ([1, 3, 5], [-40.0, 1.0, 1.0], -INF, 8.0),
    # nitrogen of the first ground: at least 10 with what stays short, 15 at most
    ([2, 3, 6], [0.5, 0.25, 1.0], 10.0, INF),
    ([2, 3], [0.5, 0.25], -INF, 15.0),
    # of the second both, and the other nutrient of the second product alone
    ([4, 5, 8], [0.5, 0.25, 1.0], 5.0, INF),
    ([4, 5], [0.5, 0.25], -INF, 10.0),
    ([5, 9], [0.25, 1.0], 20.0, INF),
    ([5], [0.25], -INF, 30.0),
]


def test_rows_hold_bags_needs_and_what_is_too_much():
    assert rows(program()) == FIRST


def test_a_product_that_is_not_allowed_stands_in_no_row_of_its_ground():
    made = program(allowed=[[True, False], [True, True]])
    assert made.cap.tolist() == [[20.0, 0.0], [10.0, 40.0]]
    assert made.upper[:4] == [1.0, 1.0, 20.0, 0.0]
    assert rows(made) == [
        *FIRST[:2], ([2, 6], [0.5, 1.0], 10.0, INF), ([2], [0.5], -INF, 15.0), *FIRST[4:],
    ]  # fmt: skip
    nothing = program(allowed=[[False, False], [True, True]])
    assert rows(nothing) == [*FIRST[:2], ([6], [1.0], 10.0, INF), *FIRST[4:]]


def test_a_cut_prices_a_ground_s_pounds_and_what_stays_short_of_it():
    made = program(cuts=[(1, np.array([0.25, 0.5]), 12.0), (0, np.array([1.0, 2.0]), 3.0)])
    assert rows(made) == [
        *FIRST,
        (
            [4, 5, 8, 9],
            [0.25 + POUND, 0.5 + POUND, SHORT_PENALTY, SHORT_PENALTY],
            12.0,
            INF,
        ),
        ([2, 3, 6], [1.0 + POUND, 2.0 + POUND, SHORT_PENALTY], 3.0, INF),
    ]


def test_a_limited_ground_has_a_yes_or_no_for_each_product():
    made = program(limited=(0, 1), allowed=[[True, False], [True, True]], whole=False)
    assert made.cost[10:] == [0.0] * 4
    assert made.upper[10:] == [1.0, 0.0, 1.0, 1.0]
    assert made.kinds == [False] * 10 + [True] * 4
    assert made.lower == [0.0] * 14
    assert rows(made)[-6:] == [
        ([2, 10], [1.0, -20.0], -INF, 0.0),
        ([3, 11], [1.0, 0.0], -INF, 0.0),
        ([10, 11], [1.0, 1.0], -INF, 1.0),
        ([4, 12], [1.0, -10.0], -INF, 0.0),
        ([5, 13], [1.0, -40.0], -INF, 0.0),
        ([12, 13], [1.0, 1.0], -INF, 2.0),
    ]


def found(pounds, short=0.0, bags=(1, 2)):
    return Found(
        np.array(pounds), np.array(bags), np.array([[0.0, 0.0], [0.0, short]]), 7.0, 6.0
    )


def test_traces_are_no_product_and_no_need():
    assert not found([[0.0, 0.0]] * 2, short=TRACE_LB).misses
    assert found([[0.0, 0.0]] * 2, short=2 * TRACE_LB).misses
    plan = found([[1.0, TRACE_LB], [1.0, 1.0]])
    assert plan.over(case()).tolist() == []
    assert found([[1.0, 2 * TRACE_LB], [1.0, 1.0]]).over(case()).tolist() == [0]
    assert not plan.late


def test_a_plan_starts_as_columns_and_columns_read_as_a_plan():
    made = program(limited=(0, 1))
    plan = found([[12.0, 0.0], [TRACE_LB, 30.0]], short=4.0)
    start = [1.0, 2.0, 12.0, 0.0, TRACE_LB, 30.0, 0.0, 0.0, 0.0, 4.0, 1.0, 0.0, 0.0, 1.0]
    assert made.start(plan) == start
    back = made.read([0.9999, 2.0001, *start[2:9], -1e-9, *start[10:]], 9.0, 8.0)
    assert back.bags.tolist() == [1, 2]
    assert back.pounds.tolist() == plan.pounds.tolist()
    assert back.short.tolist() == [[0.0, 0.0], [0.0, 0.0]]
    assert (back.objective, back.bound, back.late) == (9.0, 8.0, False)
    made.fix_bags(np.array([3, 4]))
    assert made.lower[:3] == [3.0, 4.0, 0.0]
    assert made.upper[:3] == [3.0, 4.0, 20.0]


# ---- solved ----------------------------------------------------------------------------------------------
def test_the_cheapest_bags_of_both_grounds():
    """The second ground is short of 20 - 40/4 at best; 8 lb lie in the shed and one bag holds 40."""
    made = program()
    values, _, _, reached, bound = made.solve(10.0, 0.005)
    plan = made.read(values, reached, bound)
    # all 40 lb on the second ground bring 10 of either; a bag of 50 serves the first
    assert plan.bags.tolist() == [1, 1]
    assert plan.pounds[1, 1] == pytest.approx(40.0)
    assert plan.short[1, 1] == pytest.approx(10.0)
    assert plan.short.sum() == pytest.approx(10.0)
    assert reached == pytest.approx(49.0 + 10 * SHORT_PENALTY, abs=1e-3)
    assert bound == pytest.approx(reached, abs=0.01)
    assert not made.late


def test_a_program_of_cut_bags_is_its_own_bound_and_has_its_duals():
    """A pound more of the first ground's need costs what two pounds of the bag do."""
    one = {"least": [[10.0, 0.0], [0.0, 0.0]], "most": [[15.0, INF], [INF, INF]]}
    made = program(whole=False, **one)
    values, row_dual, column_dual, reached, bound = made.solve(10.0, 0.005)
    assert bound == reached
    plan = made.read(values, reached, bound)
    # the shed's 8 lb of the other bring 2 of the 10 pounds; 16 lb of the bag the rest
    assert values[:6] == pytest.approx([0.32, 0.0, 16.0, 8.0, 0.0, 0.0])
    assert reached == pytest.approx(0.32 * 19 + 24 * POUND)
    assert row_dual[2] == pytest.approx(2 * (19 / 50 + POUND))
    assert len(row_dual) == len(made.rows)
    assert len(column_dual) == len(made.cost)
    assert plan.bags.tolist() == [0, 0]
    start = found([[16.0, 8.0], [0.0, 0.0]], bags=(1, 0))
    again = program(**one).solve(10.0, 0.005, start, nodes=0, target=1e6)
    assert again[3] >= 19.0
