"""The search for the cheapest bags, one step at a time: grounds of a pound or a hundred, by hand."""

import math
from types import SimpleNamespace

import numpy as np
import pytest

from quietacre.need import bags
from quietacre.need.corners import corners_of
from quietacre.need.fertilizer import Plot, _case
from quietacre.need.grade import Grade, parse_grade
from quietacre.need.program import CENT, POUND, SHORT_PENALTY, TRACE_LB, Found
from quietacre.settings import Buying

EXACT = Buying(short_pct=0.0, over_pct=0.0, over_lb_ac=0.0)


def case(
    *needs, grades=("34-0-0", "0-0-60"), prices=(19.0, 21.0), most=1, stock_lb=(0.0, 0.0)
):
    """Return the program of grounds of an acre with (nitrogen, potash)."""
    ground = [
        Plot(f"p{i}", 1.0, {"n": n, "p2o5": 0.0, "k2o": k}, most)
        for i, (n, k) in enumerate(needs)
    ]
    kinds = [
        Grade(text, *parse_grade(text), 50.0, price, stock_lb=held)
        for text, price, held in zip(grades, prices, stock_lb, strict=True)
    ]
    return _case(ground, kinds, EXACT)


def plan(pounds, short=None, objective=0.0, bought=(0, 0)):
    shape = np.array(pounds, dtype=float)
    lacks = np.zeros((len(shape), 3)) if short is None else np.array(short, dtype=float)
    return Found(shape, np.array(bought), lacks, objective, 0.0)


def test_the_counts_at_which_a_search_ends():
    """Another count gives another plan from the same property: none changes by the way."""
    assert (bags.FEW_CHOICES, bags.MANY_CHOICES, bags.GAP_OF_MANY) == (150, 1_500, 1e-3)
    assert (bags.MOST_NODES_FEW, bags.MOST_NODES_QUICK) == (2_000, 300)
    assert (bags.MOST_NODES_WHOLE, bags.MOST_NODES) == (500, 50)
    assert (bags.MOST_TRIES, bags.MOST_TRIES_QUICK) == (2_000, 600)
    assert (bags.ROUNDS, bags.ROUNDS_QUICK, bags.MANY_OVER) == (8, 2, 12)
    assert (bags.GROUPS, bags.MOST_OPEN, bags.MOST_CHOICES_MENDED) == (6, 10, 4_000)
    assert (bags.MEND_ROUNDS, bags.MOST_STEPS_MENDING) == (3, 30_000)


def test_a_ground_fed_alone_pays_for_what_it_leaves_short():
    """One product may stand there: 100 lb of potash, and 34 lb of nitrogen stay short."""
    search = bags._Search(case((34.0, 60.0)), math.inf)
    search.worth = np.array([0.38, 0.42])
    found = search.each_alone()
    assert found.pounds.tolist() == [[0.0, pytest.approx(100.0)]]
    assert found.bags.tolist() == [0, 2]
    assert found.short.tolist() == [[34.0, 0.0, pytest.approx(0.0, abs=1e-9)]]
    assert found.objective == pytest.approx(42.0 + 100 * POUND + 34 * SHORT_PENALTY)
    assert (found.bound, search.best is found) == (0.0, True)
    better = plan([[0.0, 0.0]], objective=9.0)
    search.best = better
    search.each_alone()
    assert search.best is better


def test_a_ground_whose_corners_are_too_many_is_not_fed_alone():
    search = bags._Search(case((34.0, 60.0)), math.inf)
    search.corners = {}
    assert search.each_alone() is None


def test_what_an_area_holds_is_more_than_a_trace():
    search = bags._Search(case((34.0, 60.0), most=2), math.inf)
    search.extra = np.array([[0.5, 0.1]])
    assert search._held(plan([[TRACE_LB, 0.0]]), 0) == [1, 0], "a trace is nothing"
    assert search._held(plan([[2 * TRACE_LB, 0.0]]), 0) == [0, 1]
    # a ground that can use half a pound can use it
    small = bags._Search(case((0.17, 0.0), most=2), math.inf)
    assert small._held(plan([[0.0, 0.0]]), 0) == [0]


def test_a_trace_of_a_product_is_not_spread_in_its_stead():
    """46-0-0 in the shed would do it with fewer pounds, but the plan has only a trace of it."""
    of = case((34.0, 0.0), grades=("34-0-0", "46-0-0"), most=2, stock_lb=(0.0, 100.0))
    search = bags._Search(of, 100.0)
    for lb, pounds in ((TRACE_LB, [100.0, 0.0]), (1.0, [0.0, 34 / 0.46])):
        found = search._least_pounds(plan([[120.0, lb]], objective=100.0, bought=(3, 0)))
        assert found.pounds.tolist() == [pytest.approx(pounds)]
        assert found.bags.tolist() == [3, 0]


class Answer:
    """A program that writes down what it is asked, and what bags it is held to."""

    late, steps = False, 0

    def __init__(self, reached, values=(1.0,)):
        self.reached, self.values, self.asked, self.fixed = reached, list(values), [], None

    def fix_bags(self, count):
        self.fixed = count.tolist()

    def solve(self, *asked):
        self.asked.append(asked)
        return self.values, [], [], self.reached, 1.0

    def read(self, values, objective, bound):
        return Found(
            np.array([[90.0, 0.0]]), np.array([9, 9]), np.zeros((1, 3)), objective, bound
        )


@pytest.mark.parametrize(
    ("reached", "values", "taken"), [(40.0, (1.0,), True), (50.0, (1.0,), True), (50.01, (1.0,), False), (40.0, (), False)]
)  # fmt: skip
def test_fewer_pounds_are_taken_where_they_cost_no_more(reached, values, taken):
    search = bags._Search(case((34.0, 0.0)), 0.0)
    answer = Answer(reached, values)
    kinds = []
    search._program = lambda **how: kinds.append(how) or answer
    kept = plan([[100.0, 0.0]], objective=50.0, bought=(2, 0))
    found = search._least_pounds(kept)
    assert answer.asked == [(1.0, CENT)], "a second is left for it when the time is up"
    assert answer.fixed == [2, 0]
    assert (kinds[0]["whole"], kinds[0]["allowed"].tolist()) == (False, [[True, False]])
    if not taken:
        assert found is kept
        return
    assert (found.bags.tolist(), found.objective, found.bound) == ([2, 0], reached, 0.0)
    assert found.pounds.tolist() == [[90.0, 0.0]]


def test_a_first_look_asks_for_half_a_cent():
    search = bags._Search(case((34.0, 0.0)), 100.0)
    answer = Answer(50.0, ())
    search._program = lambda **how: answer
    assert search.loosen() is None
    ((left, near),) = answer.asked
    assert 90.0 < left <= 100.0
    assert near == CENT / 2


@pytest.mark.parametrize(("late", "was", "told"), [(True, False, True), (False, True, True), (False, False, False)])  # fmt: skip
def test_swaps_begin_at_the_bags_they_are_given(monkeypatch, late, was, told):
    made = []

    def swaps(program, tries, left):
        def better(start, best, near):
            made.append((tries, left() > 0, start.tolist(), best.objective, near))
            return plan([[1.0, 0.0]], objective=7.0)

        return SimpleNamespace(better=better, late=late)

    monkeypatch.setattr(bags, "Swaps", swaps)
    search = bags._Search(case((34.0, 0.0)), 100.0)
    search.best, search.floor, search.late = plan([[0.0, 0.0]], objective=90.0), 5.0, was
    search.swap(np.array([2, 0]), 33)
    assert made == [(33, True, [2, 0], 90.0, pytest.approx(5.0 + search.step_dollars()))]
    assert (search.best.objective, search.late) == (7.0, told)


# ---- rows of limited grounds -----------------------------------------------------------------------------
def cuts(of, loose, prices=(0.38, 0.42)):
    found = bags._cuts(of, corners_of(of), np.array(prices), loose)
    return [(ground, worth.tolist(), value) for ground, worth, value in found]


def test_a_row_is_written_where_a_ground_is_below_its_least_by_a_tenth_of_a_cent():
    """34 lb of nitrogen cost 100 lb at 38 cents; what stays short costs a dollar a thousandth."""
    least = 100 * (0.38 + POUND)
    of = case((34.0, 0.0))
    for under, row in ((0.0, False), (0.00095, False), (0.00105, True), (30.0, True)):
        short = [[(least - under) / SHORT_PENALTY, 0.0, 0.0]]
        found = cuts(of, plan([[0.0, 0.0]], short))
        assert found == ([(0, [0.38, 0.42], pytest.approx(least))] if row else []), under
    assert cuts(of, plan([[100.0, 0.0]])) == []
    assert cuts(of, plan([[99.0, 0.0]])) != []


def test_a_ground_that_may_have_a_product_for_each_nutrient_needs_no_row():
    nothing = plan([[0.0, 0.0]] * 2)
    both = case((34.0, 60.0), (34.0, 0.0))
    assert [row[0] for row in cuts(both, nothing)] == [0, 1]
    both.limit[:] = [3, 2]
    assert [row[0] for row in cuts(both, nothing)] == [1]
    both.limit[:] = [4, 3]
    assert cuts(both, nothing) == []
    both.limit[:] = [1, 2]
    prices = np.array([0.38, 0.42])
    assert [
        row[0] for row in bags._cuts(both, {2: corners_of(both)[2]}, prices, nothing)
    ] == [1]


# ---- how near is near ---------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("prices", "dollars"),
    [((20.0, 15.0), 5.0), ((19.0, 21.0), 1.0), ((19.25, 21.0), 1.75), ((20.0, 20.0), 20.0), ((0.0, 20.0), 20.0)],
)  # fmt: skip
def test_plans_lie_apart_by_what_the_prices_share(prices, dollars):
    """A cent stays, and a millionth for each of the 200 lb that may go on with two products."""
    search = bags._Search(case((34.0, 60.0), (34.0, 0.0), prices=prices, most=2), 100.0)
    assert search.step_dollars() == pytest.approx(dollars - 400e-6 - CENT)
    single = bags._Search(case((34.0, 60.0), prices=prices, most=5), 100.0)
    assert single.step_dollars() == pytest.approx(dollars - 300e-6 - CENT)
    odd = bags._Search(case((34.0, 60.0), prices=(prices[0], 20.005)), 100.0)
    assert odd.step_dollars() == CENT
    penny = bags._Search(case((34.0, 60.0), prices=(20.0, 20.01)), 100.0)
    assert penny.step_dollars() == CENT, "never under a cent"


def test_a_search_is_done_when_the_best_is_near_its_floor_or_the_time_is_up():
    search = bags._Search(case((34.0, 0.0)), 100.0)
    step = search.step_dollars()
    search.floor, search.best = 50.0, plan([[0.0, 0.0]], objective=50.0 + 0.9 * step)
    assert search.done()
    search.best = plan([[0.0, 0.0]], objective=50.0 + 1.1 * step)
    assert not search.done()
    # with a need short, plans may lie half a cent apart
    for more, done in ((0.004, True), (0.006, False)):
        search.best = plan([[0.0, 0.0]], [[1.0, 0.0, 0.0]], objective=50.0 + more)
        assert search.done() is done
    search.until = -math.inf
    assert search.done()
    assert search.late
