"""Bags swapped near a plan: in which order, until when, and which product is taken off a ground."""

import itertools
import math
from types import SimpleNamespace

import numpy as np
import pytest

from quietacre.need import corners, swaps
from quietacre.need.corners import cheapest_on, corners_of
from quietacre.need.fertilizer import Plot, _case
from quietacre.need.grade import Grade, parse_grade
from quietacre.need.program import CENT, POUND, SHORT_PENALTY, TRACE_LB, Found, Program
from quietacre.need.swaps import Swaps, _over
from quietacre.settings import Buying

EXACT = Buying(short_pct=0.0, over_pct=0.0, over_lb_ac=0.0)


def case(*needs, prices=(10.0, 12.0), grades=("34-0-0", "34-0-0-1S"), most=1, acres=1.0):
    """Return the program of grounds with (nitrogen, phosphate) an acre."""
    ground = [
        Plot(f"p{i}", acres, {"n": n, "p2o5": p, "k2o": 0.0}, most)
        for i, (n, p) in enumerate(needs)
    ]
    kinds = [
        Grade(text, *parse_grade(text), 50.0, price)
        for text, price in zip(grades, prices, strict=True)
    ]
    return _case(ground, kinds, EXACT)


def program(of):
    allowed = np.ones((len(of.limit), len(of.price)), dtype=bool)
    return Program(
        of, whole=False, allowed=allowed, limited=np.zeros(0, dtype=np.int64), cuts=()
    )


def plan(objective, pounds=((0.0, 0.0),)):
    shape = np.array(pounds, dtype=float)
    return Found(
        shape,
        np.zeros(shape.shape[1], dtype=np.int64),
        np.zeros((len(shape), 3)),
        objective,
        0.0,
    )


def swapped(of, tries=400, seconds=10.0):
    return Swaps(program(of), tries, lambda: seconds)


# ---- the order of the tries ------------------------------------------------------------------------
class Tried(Swaps):
    """A search that writes down which bags it tries, and learns what it is told."""

    def __init__(self, of, tries=400, learns=(0.0, 0.0)):
        super().__init__(program(of), tries, lambda: 10.0)
        self.tried, self.learns, self.found = [], learns, {}

    def _try(self, bags, best):
        self.tried.append(tuple(bags.tolist()))
        self.tries -= 1
        rise, value = self.learns
        return np.full(len(bags), rise), value, self.found.get(self.tried[-1], best)


#: 150 lb of nitrogen's bags: three of each at most.
THREE = case((51.0, 0.0))


def near(*start):
    """Return what is one bag more, or one for another, of at most three: by cost."""
    moves = [(0, 0), (1, 0), (0, 1), (1, -1), (-1, 1)]
    plans = {
        (a + da, b + db) for a, b in start for da, db in moves
        if 0 <= a + da <= 3 and 0 <= b + db <= 3
    }  # fmt: skip
    return sorted(plans, key=lambda bags: (10 * bags[0] + 12 * bags[1], bags[1]))


@pytest.mark.parametrize("start", [(1, 1), (2, 0), (0, 2), (3, 3), (0, 0)])
def test_bags_are_tried_from_the_cheapest_once_and_then_round_those(start):
    search = Tried(THREE)
    first = near(start)
    assert search.better(np.array(start), plan(1e9), 0.0).objective == 1e9
    assert search.tried == first + near(*first)


def test_what_costs_as_much_as_the_best_is_not_tried():
    """Round a bag of each: two of the first are $20, one of each $22, two of the other $24."""
    for objective, tried in ((20.0, 0), (22.0, 1), (22.0 + CENT, 2), (24.5, 3), (30.0, 3)):
        search = Tried(THREE)
        assert 22.0 + CENT - CENT == 22.0
        search.better(np.array([1, 1]), plan(objective), 0.0)
        assert search.tried[:tried] == [(2, 0), (1, 1), (0, 2)][:tried]
        assert all(10 * a + 12 * b <= objective - CENT for a, b in search.tried)
    # a better plan on the way ends it sooner
    search = Tried(THREE)
    search.found = {(1, 1): plan(22.0)}
    assert search.better(np.array([1, 1]), plan(100.0), 0.0).objective == 22.0
    assert search.tried == [(2, 0), (1, 1), (2, 0)]


def test_bags_that_a_try_shows_to_be_too_dear_are_passed_over():
    """What was learned holds in both rounds: no bags cost less than $1,000, or than $90 a bag."""
    search = Tried(THREE, learns=(0.0, 1000.0))
    search.better(np.array([1, 1]), plan(100.0), 0.0)
    assert search.tried == [(2, 0)]
    search = Tried(THREE, learns=(90.0, -100.0))
    search.better(np.array([1, 1]), plan(100.0), 0.0)
    # two bags may cost $80 or more, three $170
    assert search.tried == [(2, 0), (1, 1), (0, 2)] * 2


def test_only_so_many_choices_are_looked_at(monkeypatch):
    """Five plans round the first, and five round each of those: 25."""
    for most, rounds in ((25, 2), (24, 1), (5, 1), (4, 0)):
        monkeypatch.setattr(swaps, "MOST_CHOICES", most)
        search = Tried(THREE)
        search.better(np.array([1, 1]), plan(1e9), 0.0)
        first = near((1, 1))
        assert search.tried == [[], first, first + near(*first)][rounds]


def test_tries_and_time_end_it():
    search = Tried(THREE, tries=2)
    search.better(np.array([1, 1]), plan(1e9), 0.0)
    assert search.tried == [(2, 0), (1, 1)]
    assert not search.late
    for seconds, late in ((0.5, False), (0.0, True), (-1.0, True)):
        made = swapped(THREE, seconds=seconds)
        assert (made._over_now(), made.late) == (late, late)
    made = swapped(THREE, tries=1)
    assert not made._over_now()
    made.tries = 0
    assert (made._over_now(), made.late) == (True, False)
    made.late, made.tries = True, 9
    assert made._over_now(), "late once is late"


def test_bags_more_of_what_is_in_use_are_tried_first():
    """From one bag at $10: $29 leaves one more, $31 two; of the other none is in use."""
    for limit, first in ((29.0, (2, 0)), (30.02, (3, 0)), (90.0, (3, 0))):
        search = Tried(THREE)
        search.found = {first: plan(limit)}
        assert search.better(np.array([1, 0]), plan(1e9), limit).objective == limit
        assert search.tried == [first]
    for limit in (15.0, 10.0, 0.0):
        search = Tried(THREE)
        search.better(np.array([1, 0]), plan(1e9), limit)
        assert search.tried == near((1, 0)) + near(*near((1, 0)))
    # as good as is wanted ends it, dearer does not
    search = Tried(THREE)
    search.found = {(2, 0): plan(29.5)}
    search.better(np.array([1, 0]), plan(1e9), 29.0)
    assert len(search.tried) > 1
    both = Tried(THREE)
    both.found = {(2, 2): plan(45.0)}
    both.better(np.array([1, 1]), plan(1e9), 45.0)
    assert both.tried == [(2, 2)]


# ---- one try -------------------------------------------------------------------------------------------
def test_a_try_tells_what_a_bag_more_is_worth():
    """One bag is 17 lb short of 34: $10 and $17,000. A bag more saves all that it brings."""
    made = swapped(case((34.0, 0.0), prices=(10.0, 11.0)))
    prices, value, best = made._try(np.array([1, 0]), plan(math.inf))
    reached = 10.0 + 17.0 * SHORT_PENALTY + 50 * POUND
    assert best.objective == pytest.approx(reached)
    assert (best.bags.tolist(), best.bound) == ([1, 0], 0.0)
    worth = 10.0 - 17.0 * SHORT_PENALTY + 50 * POUND
    assert prices[0] == pytest.approx(worth)
    assert value == pytest.approx(reached - worth)
    assert made.tries == 399
    # what is no cent better is none
    kept = plan(reached + 0.5 * CENT)
    assert made._try(np.array([1, 0]), kept)[2] is kept
    better = plan(reached + 2 * CENT)
    assert made._try(np.array([1, 0]), better)[2] is not better


def test_what_is_least_poured_is_weighed_three_ways():
    """Of what the ground can take, by weight, and by price: 20 and 24 cents a pound, none is free."""
    made = swapped(case((34.0, 0.0), (17.0, 0.0)))
    cap, weight, price = made.ranks
    assert cap.tolist() == [[pytest.approx(100.0)] * 2, [pytest.approx(50.0)] * 2]
    assert weight.tolist() == [[1.0, 1.0]] * 2
    assert price.tolist() == [[pytest.approx(5.0), pytest.approx(1 / 0.24)]] * 2
    free = swapped(case((34.0, 0.0), prices=(0.0, 12.0)))
    assert free.ranks[2][0, 0] == pytest.approx(1 / (CENT / 100))


def test_six_products_are_looked_at_before_a_ground_is_given_up():
    names = [f"{n}-0-0" for n in range(20, 28)]
    made = swapped(case((34.0, 0.0), prices=[10.0] * 8, grades=names))
    pounds = np.arange(8.0, 0.0, -1.0)[None, :]
    # eight columns of bags, then the ground's: the last pours least
    assert list(made._least(pounds, np.ones((1, 8)))) == [15, 14, 13, 12, 11, 10]


def test_a_trace_is_no_product():
    one = case((34.0, 0.0))
    assert _over(one, np.array([[50.0, TRACE_LB]])).tolist() == []
    assert _over(one, np.array([[50.0, 2 * TRACE_LB]])).tolist() == [0]
    made = swapped(
        case((34.0, 0.0), grades=("34-0-0", "34-0-0-1S", "30-0-0"), prices=(1.0,) * 3)
    )
    pounds = np.array([[50.0, TRACE_LB, 2 * TRACE_LB]])
    assert list(made._least(pounds, np.ones((1, 3)))) == [5, 3]


# ---- a ground with too many products -----------------------------------------------------------------------
class Poured(Swaps):
    """A search whose solver pours what is left open in equal parts; taking off may cost something."""

    def __init__(self, of, costs, tries=400):
        super().__init__(program(of), tries, lambda: 10.0)
        self.costs, self.closed, self.bounds = costs, set(), []
        p, g, _ = self.size
        self.columns = range(g, g + p * g)
        self.top = dict(enumerate(self.program.upper))
        self.solver = SimpleNamespace(
            getInfo=lambda: SimpleNamespace(objective_function_value=self.cost()),
            getSolution=lambda: SimpleNamespace(col_value=self.values()),
        )

    def cost(self):
        return 100.0 + sum(self.costs.get(column, 0.0) for column in self.closed)

    def values(self):
        _, g, m = self.size
        open_ = [column for column in self.columns if column not in self.closed]
        return (
            [1.0] * g + [90.0 / len(open_) * (c in open_) for c in self.columns] + [0.0] * m
        )

    def _run(self):
        self.tries -= 1
        _, g, _ = self.size
        return np.array(self.values()[g : 2 * g])[None, :], self.cost()

    def _bound(self, column, upper):
        assert upper in (0.0, self.top[column])
        (self.closed.discard if upper else self.closed.add)(column)
        self.bounds.append((column, upper > 0))


def three(costs, tries=400, most=1):
    of = case(
        (34.0, 0.0), grades=("34-0-0", "32-0-0", "30-0-0"), prices=(10.0,) * 3, most=most
    )
    made = Poured(of, costs, tries)
    pounds, cost = made._run()
    return made, made._limited(pounds, cost, plan(1e9, [[0.0] * 3]))


def test_products_are_taken_off_one_by_one_while_that_costs_nothing():
    """Columns 3, 4, 5 pour 30 lb each; two are taken off, and opened again for the next bags."""
    made, best = three({})
    assert (best.objective, best.bags.tolist()) == (100.0, [1, 1, 1])
    assert (best.pounds > 0).sum() == 1
    assert (made.closed, made.tries) == (set(), 397)
    assert [column for column, _ in made.bounds[:2]] == [
        column for column, _ in made.bounds[2:]
    ]
    # by what the ground can take of each, the first can pour least: it is the least of its cap last
    assert made.bounds == [(5, False), (4, False), (5, True), (4, True)]


def test_a_product_whose_loss_costs_a_trace_is_taken_off_and_a_dear_one_stays():
    trace = CENT / 200
    for cost, taken in ((0.9 * trace, True), (1.1 * trace, False)):
        made, best = three({5: cost})
        assert best.objective == pytest.approx(100.0 + (cost if taken else 0.0), abs=1e-12)
        kept = best.pounds[0].tolist()
        assert (kept[2] == 0.0) is taken or kept[2] == 90.0
        assert made.closed == set()
        assert made.bounds[0] == (5, False)
        assert (made.bounds[1] == (5, True)) is not taken


def test_where_every_loss_costs_the_ground_keeps_too_many_and_the_plan_is_none():
    dear = dict.fromkeys((3, 4, 5), 1.0)
    made, best = three(dear)
    assert best.objective == 1e9
    assert made.closed == set()
    # three ways to weigh, three products each
    assert made.tries == 399 - 9
    _, two = three(dear, most=3)
    assert two.objective == 100.0


def test_without_tries_nothing_more_is_taken_off():
    made, best = three({}, tries=2)
    assert (best.objective, made.tries, made.closed) == (1e9, 0, set())
    made, best = three({}, tries=1)
    assert (best.objective, made.tries, made.bounds) == (1e9, 0, [])
    made, best = three({}, tries=3)
    assert best.objective == 100.0


# ---- the corners of one ground ------------------------------------------------------------------------------
def cheapest(of, *prices):
    cost, pounds = cheapest_on(of, corners_of(of), np.array(prices), 0)
    return cost, pounds.tolist()


def test_less_than_a_pound_is_poured_as_it_is():
    """0.17 lb of nitrogen are half a pound of 34-0-0 at 20 cents a pound."""
    cost, pounds = cheapest(case((0.17, 0.0)), 0.2, 0.3)
    assert pounds == [pytest.approx(0.5), 0.0]
    assert cost == pytest.approx(0.5 * (0.2 + POUND))


def test_of_corners_as_cheap_as_each_other_the_one_of_fewer_products_stays():
    """100 lb of 20-20-0, or 50 lb of each of two at the same price a pound."""
    of = case(
        (20.0, 20.0), grades=("20-20-0", "40-0-0", "0-40-0"), prices=(10.0,) * 3, most=2
    )
    assert cheapest(of, 0.2, 0.2, 0.2)[1] == [pytest.approx(100.0), 0.0, 0.0]
    assert cheapest(of, 0.3, 0.2, 0.2)[1] == [0.0, pytest.approx(50.0), pytest.approx(50.0)]
    twice = case((34.0, 0.0))
    assert cheapest(twice, 0.2, 0.2)[1] == [pytest.approx(100.0), 0.0]
    # what costs more than it saves is not poured
    dear = cheapest(twice, 0.34 * SHORT_PENALTY, 1e9)
    assert dear == (pytest.approx(34.0 * SHORT_PENALTY), [0.0, 0.0])


def test_corners_are_gone_through_up_to_their_limit(monkeypatch):
    of = case((34.0, 0.0), (34.0, 20.0))
    of.limit[:] = [1, 2]
    counts = {n: corners.Corners.count(2, 3, n) for n in (1, 2)}
    assert counts == {1: 2 * 3 * 2, 2: 2 * 3 * 2 + 1 * 3 * 4}
    for most, known in ((24, {1, 2}), (23, {1}), (12, {1}), (11, set())):
        monkeypatch.setattr(corners, "MOST_CORNERS", most)
        assert set(corners_of(of)) == known
        assert (cheapest_on(of, corners_of(of), np.array([0.2, 0.3]), 1) is None) is (
            2 not in known
        )


@pytest.mark.parametrize("size", [1, 2, 3, 4])
def test_small_squares_are_turned_round_as_any_book_says(size):
    square = np.array([[[(3 * i + 5 * j * j + i * j) % 7 + 6.0 * (i == j) for j in range(size)]
                        for i in range(size)]])  # fmt: skip
    size_of = corners._determinant(square)
    assert size_of == pytest.approx(np.linalg.det(square))
    assert corners._inverse(square, size_of) == pytest.approx(np.linalg.inv(square))
    for i, j in itertools.product(range(size), repeat=2):
        minor = np.delete(np.delete(square[0], i, 0), j, 1)
        assert corners._minor(square, i, j)[0].tolist() == minor.tolist()


# ---- where searches end ---------------------------------------------------------------------------------------
def test_the_counts_at_which_a_search_ends():
    """Another count gives another plan from the same property: none changes by the way."""
    assert (swaps.MOST_WORK, swaps.LEAST_TRIES, swaps.MOST_OF_ONE) == (2_000_000, 400, 200)
    assert (swaps.MOST_DROPS, swaps.SWAPS, swaps.MOST_CHOICES) == (6, 2, 200_000)
    assert (corners.MOST_CORNERS, corners.SLACK) == (60_000, 1e-9)
