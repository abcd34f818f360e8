"""The parts of the search for the cheapest bags: a ground or two, each figure worked by hand."""

import itertools
import math

import numpy as np
import pytest
from scipy.optimize import linprog

from quietacre.need import bags, fertilizer
from quietacre.need.corners import Corners, cheapest_on, corners_of
from quietacre.need.fertilizer import (
    Plan,
    Plot,
    _all_short,
    _case,
    _counted,
    _leaving_out,
    cap_lb_ac,
    plan_fertilizer,
)
from quietacre.need.grade import Grade, parse_grade
from quietacre.need.program import POUND, SHORT_PENALTY, Found, Program
from quietacre.need.swaps import Swaps, _moves
from quietacre.settings import Buying

EXACT = Buying(short_pct=0.0, over_pct=0.0, over_lb_ac=0.0)
NO_BAGS = np.zeros(0, dtype=np.int64)


def grade(text, price=20.0, **more):
    return Grade(text, *parse_grade(text), 50.0, price, **more)


def plot(key="p", acres=1.0, most=None, n=0.0, p=0.0, k=0.0, **more):
    return Plot(key, acres, {"n": n, "p2o5": p, "k2o": k}, most, **more)


def program(case, *, whole=False, limited=NO_BAGS):
    allowed = np.ones((len(case.limit), len(case.price)), dtype=bool)
    return Program(case, whole=whole, allowed=allowed, limited=limited, cuts=())


# ---- what may still be spread ----------------------------------------------------------------------
@pytest.mark.parametrize(
    ("given", "left"),
    [(0.0, 40.0), (10.0, 30.0), (38.0, 2.0), (38.5, 0.0), (40.0, 0.0), (50.0, 0.0)],
)
def test_a_twentieth_of_a_need_is_still_spread_and_less_is_not(given, left):
    assert plot(n=40.0, given_lb_ac={"n": given}).left_lb_ac("n") == pytest.approx(left)
    asks = plot(n=40.0, given_lb_ac={"n": given}).asks_more
    assert asks is (left > 0)


def test_a_need_may_stay_short_by_choice_and_no_more_than_its_cap_goes_on():
    ground = plot(n=40.0, k=10.0, given_lb_ac={"n": 10.0}, none_of=frozenset({"p2o5"}))
    assert ground.left_lb_ac("n", 10.0) == pytest.approx(26.0)
    buying = Buying(over_pct=10.0, over_lb_ac=5.0)
    # 40 and 5 more are 45, less the 10 that lie there; 10 and 5 are 15
    assert ground.most_lb_ac("n", buying) == pytest.approx(35.0)
    assert ground.most_lb_ac("k2o", buying) == pytest.approx(15.0)
    assert ground.most_lb_ac("p2o5", buying) == 0.0
    assert ground.most_lb_ac("s", buying) == math.inf
    asked = Plot("p", 1.0, {"n": 0.0, "s": 20.0}, given_lb_ac={"s": 60.0})
    assert asked.most_lb_ac("s", buying) == 0.0
    assert (cap_lb_ac(100.0, buying), cap_lb_ac(10.0, buying)) == pytest.approx(
        (110.0, 15.0)
    )


def test_a_nutrient_that_nobody_asks_for_is_none_and_may_go_over_all_the_same():
    ground = Plot("p", 1.0, {"n": 40.0})
    assert ground.left_lb_ac("k2o") == 0.0
    assert ground.most_lb_ac("k2o", Buying(over_pct=50.0, over_lb_ac=5.0)) == 5.0
    # a need that may stay nearly all of it short still asks for the rest
    assert ground.left_lb_ac("n", 96.0) == pytest.approx(1.6)


def test_sulfur_counts_where_somebody_asks_for_it():
    assert _counted([plot(n=1.0)]) == ["n", "p2o5", "k2o"]
    assert _counted([plot(), Plot("q", 1.0, {"s": 1.0})]) == ["n", "p2o5", "k2o", "s"]


def test_without_products_all_of_it_stays_short_by_its_acres():
    ground = [
        plot("a", 2.0, n=30.0, k=20.0, given_lb_ac={"k2o": 20.0}),
        plot("b", 3.0, p=10.0, k=0.5),
    ]
    assert _all_short(ground) == {("a", "n"): 60.0, ("b", "p2o5"): 30.0, ("b", "k2o"): 1.5}
    plan = plan_fertilizer(ground, [], EXACT)
    assert (plan.short_lb, plan.cost, plan.gap) == (_all_short(ground), 0.0, 0.0)
    assert plan.proof == "nothing to plan"


def test_the_most_of_a_product_is_what_its_nutrients_allow_and_ask():
    """Two acres ask 40 lb of nitrogen and 20 of potash each, and no more may go on."""
    case = _case(
        [plot(acres=2.0, n=40.0, k=20.0)],
        [grade("20-0-20"), grade("40-0-0"), grade("0-0-50")],
        EXACT,
    )
    # 20-0-20: 40 lb of potash at 20 % are 200 lb; 40-0-0: 80 at 40 %; 0-0-50: 40 at 50 %
    assert case.cap_lb.tolist() == [pytest.approx([200.0, 200.0, 80.0])]
    loose = _case(
        [plot(acres=2.0, n=40.0, k=20.0)],
        [grade("20-0-20")],
        Buying(short_pct=0.0, over_lb_ac=500.0),
    )
    assert loose.cap_lb.tolist() == [[pytest.approx(400.0)]]
    assert (case.limit.tolist(), case.bag_lb.tolist()) == ([3], [50.0, 50.0, 50.0])
    assert case.max_bags.tolist() == [math.inf] * 3


# ---- the corners of one ground -----------------------------------------------------------------------
def test_corners_are_counted_as_they_are_gone_through():
    """Three products, two nutrients: each by itself to the least or most of either, or two to both."""
    assert Corners.count(3, 2, 1) == 3 * 2 * 2
    assert Corners.count(3, 2, 2) == 12 + 3 * 1 * 4
    assert Corners.count(3, 2, 5) == 24
    assert Corners.count(4, 3, 3) == 4 * 3 * 2 + 6 * 3 * 4 + 4 * 1 * 8


def least_cost(case, prices, i):
    """Return what a ground costs at least with each choice of so many products, by scipy."""
    (g, m), found = case.share.shape, []
    for chosen in itertools.combinations(range(g), min(int(case.limit[i]), g)):
        cap = [case.cap_lb[i, j] if j in chosen else 0.0 for j in range(g)]
        cost = [*(prices + POUND), *([SHORT_PENALTY] * m)]
        give = np.hstack([case.share.T, np.eye(m)])
        take = np.hstack([case.share.T, np.zeros((m, m))])
        rows = np.vstack([-give, take[np.isfinite(case.most[i])]])
        right = [*-case.least[i], *case.most[i][np.isfinite(case.most[i])]]
        made = linprog(
            cost, rows, right, bounds=[*((0, top) for top in cap), *((0, None),) * m]
        )
        found.append(made.fun)
    return min(found)


@pytest.mark.parametrize("most", [1, 2, 3])
@pytest.mark.parametrize("over", [0.0, 20.0])
def test_the_cheapest_corner_is_that_of_every_choice_tried_by_another_solver(most, over):
    rng = np.random.default_rng(17 + most)
    names = ["13-13-13", "34-0-0", "0-0-60", "18-46-0", "5-10-30"]
    ground = [plot(f"p{i}", 2.0, most, *rng.choice([0.0, 20.0, 60.0], 3)) for i in range(4)]
    buying = Buying(short_pct=0.0, over_pct=0.0, over_lb_ac=over)
    case = _case(ground, [grade(name) for name in names], buying)
    prices = rng.uniform(0.1, 0.6, len(names))
    known = corners_of(case)
    assert set(known) == {most}
    for i in range(4):
        cost, pounds = cheapest_on(case, known, prices, i)
        assert cost == pytest.approx(least_cost(case, prices, i), rel=1e-6, abs=1e-6)
        assert (pounds > 0).sum() <= most
        short = np.maximum(case.least[i] - pounds @ case.share, 0.0).sum()
        worth = float(pounds @ (prices + POUND)) + SHORT_PENALTY * short
        assert cost == pytest.approx(worth, rel=1e-6, abs=1e-6)


def test_a_ground_whose_corners_were_not_gone_through_has_no_answer():
    case = _case([plot(n=40.0)], [grade("34-0-0")], EXACT)
    assert cheapest_on(case, {}, np.array([0.4]), 0) is None


# ---- steps of the search -------------------------------------------------------------------------------
def search(ground, grades, buying=EXACT):
    return bags._Search(_case(ground, grades, buying), math.inf)


def test_plans_lie_as_far_apart_as_the_prices_have_in_common():
    """$20.00 and $17.50 are eight and seven times $2.50; a cent stays, and a trace for the pounds."""
    ground = [plot(n=34.0, k=60.0)]
    made = search(ground, [grade("34-0-0", 20.0), grade("0-0-60", 17.5)])
    # a hundred pounds at most on one ground, three products at most: 300 millionths
    assert made.step_dollars() == pytest.approx(2.5 - 300e-6 - 0.01, abs=1e-9)
    assert made.near == 0.005  # nothing is spread yet, so the needs stay short
    odd = search(ground, [grade("34-0-0", 20.001), grade("0-0-60", 17.5)])
    assert odd.step_dollars() == 0.01
    one = search([plot(n=34.0, most=1)], [grade("34-0-0", 20.0)])
    assert one.step_dollars() == pytest.approx(20.0 - 100e-6 - 0.01, abs=1e-9)


def test_of_a_large_property_a_thousandth_of_the_cost_is_near_enough():
    made = search([plot(f"p{i}", n=34.0) for i in range(151)], [grade("34-0-0", 20.0)])
    made.cost = 4_000.0
    assert made.near == pytest.approx(4.0)
    few = search([plot(f"p{i}", n=34.0) for i in range(150)], [grade("34-0-0", 20.0)])
    assert few.few
    assert not made.few


@pytest.mark.parametrize(
    ("stock_lb", "max_bags", "count"),
    [(0.0, None, 3), (60.0, None, 2), (0.0, 3, 3), (0.0, 2, None), (150.0, 0, 0)],
)
def test_each_ground_fed_alone_rounds_its_bags_up_once(stock_lb, max_bags, count):
    """34 lb and 17 lb of nitrogen: 100 lb and 50 lb of 34-0-0, three bags of fifty."""
    kind = grade("34-0-0", 19.0, stock_lb=stock_lb, max_bags=max_bags)
    made = search([plot("a", n=34.0), plot("b", n=17.0)], [kind])
    found = made.each_alone()
    if count is None:
        assert found is None
        return
    assert found.pounds.tolist() == [[pytest.approx(100.0)], [pytest.approx(50.0)]]
    assert found.bags.tolist() == [count]
    assert found.objective == pytest.approx(19.0 * count + POUND * 150)
    assert made.best is found
    assert made.each_alone().objective == found.objective
    assert made.best is found, "one as good is no better"


def test_a_ground_keeps_what_it_has_and_what_would_cost_least_more():
    names = ["34-0-0", "46-0-0", "0-0-60", "20-0-0"]
    made = search([plot(n=34.0, most=3)], [grade(name) for name in names])
    made.extra = np.array([[0.3, 0.2, 0.0, 0.1]])
    pounds = np.array([[10.0, 60.0, 0.0, 0.0]])
    has = Found(pounds, np.zeros(4, dtype=np.int64), np.zeros((1, 3)), 0.0, 0.0)
    # most of it first, then the cheapest of those that the ground can use at all
    assert made._held(has, 0) == [1, 0, 3]
    nothing = Found(0 * pounds, has.bags, has.short, 0.0, 0.0)
    assert made._held(nothing, 0) == [3, 1, 0]


def test_nothing_spread_leaves_every_need_short_at_no_end_of_cost():
    case = _case([plot(acres=2.0, n=34.0)], [grade("34-0-0")], EXACT)
    none = bags._nothing(case, 7.0)
    assert (none.objective, none.bound, none.misses) == (math.inf, 7.0, True)
    assert none.short.tolist() == [[68.0, 0.0, 0.0]]
    assert none.pounds.sum() == none.bags.sum() == 0


def test_the_least_that_any_plan_can_cost_is_that_of_bags_cut_to_the_pound():
    """100 lb of a bag of 50 for $19: two bags exactly; 110 lb are $41.80 before rounding up."""
    whole = _case([plot(n=34.0)], [grade("34-0-0", 19.0)], EXACT)
    assert bags.floor_of(whole) == pytest.approx(38.0, abs=1e-3)
    more = _case([plot(n=37.4)], [grade("34-0-0", 19.0)], EXACT)
    assert bags.floor_of(more) == pytest.approx(41.8, abs=1e-3)
    found = bags.cheapest(more, 10.0)
    assert found.bags.tolist() == [3]
    assert found.objective == pytest.approx(57.0, abs=1e-3)
    assert found.bound == found.objective, "no whole bag lies between"


def test_a_search_without_time_left_is_late_and_done():
    case = _case([plot(n=34.0)], [grade("34-0-0", 19.0)], EXACT)
    late = bags._Search(case, 0.0)
    assert late.left() <= 0.0
    assert late.late
    assert late.done()
    free = bags._Search(case, 100.0)
    assert 90.0 < free.left() <= 100.0
    assert not free.late
    assert not free.done(), "nothing is spread yet, at no end of cost"


def test_a_first_look_learns_what_a_pound_is_worth():
    """$19 a bag of 50 lb are 38 cents a pound; the two acres cannot cost less than $76."""
    made = search([plot(acres=2.0, n=34.0)], [grade("34-0-0", 19.0)])
    loose = made.loosen()
    assert loose.pounds.tolist() == [[pytest.approx(200.0)]]
    assert made.worth.tolist() == [pytest.approx(0.38, abs=1e-6)]
    assert (made.floor, made.cost) == (pytest.approx(76.0, abs=1e-3), pytest.approx(76.0))
    assert made.cuts == []


def test_a_ground_of_one_product_costs_at_least_what_it_leaves_short():
    """$38 of nitrogen or $42 of potash for 34 and 60 lb: the potash, and 34 lb stay short."""
    grades = [grade("34-0-0", 19.0), grade("0-0-60", 21.0)]
    case = _case([plot(n=34.0, k=60.0, most=1)], grades, EXACT)
    prices = np.array([0.38, 0.42])
    loose = Found(
        np.array([[100.0, 100.0]]), np.array([2, 2]), np.zeros((1, 3)), 80.0, 80.0
    )
    ((ground, worth, value),) = bags._cuts(case, corners_of(case), prices, loose)
    assert (ground, worth.tolist()) == (0, [0.38, 0.42])
    assert value == pytest.approx(42.0 + 34.0 * SHORT_PENALTY, abs=1e-3)
    free = _case([plot(n=34.0, k=60.0, most=3)], grades, EXACT)
    assert bags._cuts(free, corners_of(free), prices, loose) == []
    found = bags.cheapest(case, 10.0)
    assert found.bags.tolist() == [0, 2]
    assert found.short.tolist() == [
        [pytest.approx(34.0), 0.0, pytest.approx(0.0, abs=1e-6)]
    ]


def test_bags_kept_spread_no_pound_that_nobody_asked_for():
    """Three bags are bought for 110 lb; the other 40 lb stay in the bag."""
    made = search(
        [plot(n=37.4)], [grade("34-0-0", 19.0)], Buying(short_pct=0.0, over_pct=50.0)
    )
    plan = Found(np.array([[150.0]]), np.array([3]), np.zeros((1, 3)), 57.01, 0.0)
    found = made._least_pounds(plan)
    assert found.pounds.tolist() == [[pytest.approx(110.0)]]
    assert found.bags.tolist() == [3]
    assert found.objective == pytest.approx(57.0 + 110 * POUND)
    none = bags._nothing(made.case, 0.0)
    assert made._least_pounds(none) is none


def test_a_ground_held_to_its_product_is_fed_by_it_and_an_open_one_by_the_cheaper():
    """Two grounds of one product each: only the open one may change to the bag at $10."""
    grades = [grade("34-0-0", 19.0), grade("34-0-0-1S", 10.0)]
    made = search([plot("a", n=34.0, most=1), plot("b", n=34.0, most=1)], grades)
    has = Found(
        np.array([[100.0, 0.0], [100.0, 0.0]]),
        np.array([4, 0]),
        np.zeros((2, 3)),
        76.0,
        0.0,
    )
    made.best = has
    found = made.settle(has, np.array([1], dtype=np.int64))
    assert found.pounds.tolist() == [
        [pytest.approx(100.0), pytest.approx(0.0)],
        [pytest.approx(0.0), pytest.approx(100.0)],
    ]
    assert found.bags.tolist() == [2, 2]
    assert made.best.objective == pytest.approx(58.0, abs=1e-3)
    assert made.floor == 0.0, "what some grounds are held to says nothing of all plans"


def test_the_grounds_with_too_many_products_are_opened():
    grades = [grade("34-0-0", 19.0), grade("34-0-0-1S", 10.0)]
    made = search([plot("a", n=34.0, most=1), plot("b", n=34.0, most=1)], grades)
    mixed = Found(
        np.array([[50.0, 50.0], [0.0, 100.0]]),
        np.array([1, 3]),
        np.zeros((2, 3)),
        49.0,
        0.0,
    )
    bags._open_some(made, (None, mixed), None)
    assert made.best.bags.tolist() == [0, 4]
    assert made.best.objective == pytest.approx(40.0, abs=1e-3)


# ---- the program ----------------------------------------------------------------------------------------
def test_a_plan_written_as_columns_reads_back_as_it_was():
    case = _case(
        [plot("a", n=34.0), plot("b", k=60.0)], [grade("34-0-0"), grade("0-0-60")], EXACT
    )
    plan = Found(
        np.array([[100.0, 0.0], [0.0, 90.0]]), np.array([2, 1]),
        np.array([[0.0, 0.0, 0.0], [0.0, 0.0, 6.0]]), 40.0, 30.0,
    )  # fmt: skip
    limited = np.array([1], dtype=np.int64)
    made = program(case, limited=limited)
    values = made.start(plan)
    assert values[-2:] == [0.0, 1.0], "which products stand on the limited ground"
    back = made.read(values, 41.0, 31.0)
    assert back.pounds.tolist() == plan.pounds.tolist()
    assert back.bags.tolist() == plan.bags.tolist()
    assert back.short.tolist() == plan.short.tolist()
    assert (back.objective, back.bound, back.misses) == (41.0, 31.0, True)
    assert plan.over(case).tolist() == []
    one = _case(
        [plot("a", most=1, n=34.0, k=60.0)], [grade("34-0-0"), grade("0-0-60")], EXACT
    )
    two = Found(np.array([[50.0, 50.0]]), plan.bags, plan.short[:1], 0.0, 0.0)
    assert two.over(one).tolist() == [0]


def test_bags_held_at_a_count_stay_there_and_the_rest_stays_short():
    """One bag of 34-0-0 carries 17 lb of the 34; the other 17 cost the penalty."""
    case = _case([plot(n=34.0)], [grade("34-0-0", 19.0)], EXACT)
    made = program(case)
    made.fix_bags(np.array([1]))
    values, _, _, reached, _ = made.solve(10.0, 0.005)
    plan = made.read(values, reached, 0.0)
    assert (plan.bags.tolist(), plan.pounds.tolist()) == ([1], [[pytest.approx(50.0)]])
    assert plan.short[0, 0] == pytest.approx(17.0)
    assert reached == pytest.approx(19.0 + 17.0 * SHORT_PENALTY + 50 * POUND)


def test_bags_swapped_are_one_more_or_one_for_another():
    case = _case([plot(n=34.0)], [grade("34-0-0"), grade("46-0-0")], EXACT)
    assert {tuple(row) for row in _moves(case).tolist()} == {
        (0, 0), (1, 0), (0, 1), (1, -1), (-1, 1),
    }  # fmt: skip


def test_what_is_least_poured_is_taken_off_first_where_too_many_stand():
    names = ["34-0-0", "46-0-0", "20-0-0"]
    case = _case(
        [plot("a", most=3, n=34.0), plot("b", most=1, n=34.0)],
        [grade(n) for n in names],
        EXACT,
    )
    swaps = Swaps(program(case), 100, lambda: 10.0)
    pounds = np.array([[1.0, 2.0, 3.0], [30.0, 0.0, 10.0]])
    # columns: three of bags, three of the first ground, then those of the second
    assert list(swaps._least(pounds, np.ones_like(pounds))) == [8, 6]
    weighed = np.array([[1.0, 1.0, 1.0], [10.0, 1.0, 1.0]])
    assert list(swaps._least(pounds, weighed)) == [6, 8]


@pytest.mark.parametrize(
    ("start", "bags_bought"), [([1, 0], [2, 0]), ([0, 2], [2, 0]), ([2, 0], [2, 0])]
)
def test_bags_near_a_plan_are_tried_until_the_cheapest_is_found(start, bags_bought):
    """100 lb of 34-0-0 at $10 a bag, or of 34-0-0-1S at $12; one product may stand there."""
    case = _case(
        [plot(most=1, n=34.0)], [grade("34-0-0", 10.0), grade("34-0-0-1S", 12.0)], EXACT
    )
    swaps = Swaps(program(case), 400, lambda: 10.0)
    found = swaps.better(np.array(start), bags._nothing(case, 0.0), 0.0)
    assert found.bags.tolist() == bags_bought
    assert found.objective == pytest.approx(20.0, abs=1e-3)
    assert not found.misses
    assert not swaps.late


def test_bags_of_two_products_give_way_where_one_may_stand():
    """A bag of each feeds the ground with two products; two of the $9 bag do it with one."""
    grades = [grade("34-0-0", 10.0), grade("34-0-0-1S", 9.0)]
    case = _case([plot(most=1, n=34.0)], grades, EXACT)
    swaps = Swaps(program(case), 400, lambda: 10.0)
    found = swaps.better(np.array([1, 1]), bags._nothing(case, 0.0), 0.0)
    assert found.bags.tolist() == [0, 2]
    assert not len(found.over(case))
    assert found.objective == pytest.approx(18.0, abs=1e-3)


def test_as_many_bags_more_as_near_enough_allows_are_tried_first():
    """One bag is too few; a plan of $29 is near enough, and two bags at $10 are found at once."""
    case = _case([plot(n=34.0)], [grade("34-0-0", 10.0)], EXACT)
    swaps = Swaps(program(case), 1, lambda: 10.0)
    found = swaps.better(np.array([1]), bags._nothing(case, 0.0), 29.0)
    assert found.bags.tolist() == [2]
    few = Swaps(program(case), 1, lambda: 10.0)
    assert few.better(np.array([1]), bags._nothing(case, 0.0), 19.0).misses


def test_without_time_no_bag_is_swapped_and_it_is_known():
    case = _case([plot(n=34.0)], [grade("34-0-0", 10.0)], EXACT)
    swaps = Swaps(program(case), 400, lambda: 0.0)
    none = bags._nothing(case, 0.0)
    assert swaps.better(np.array([1]), none, 0.0) is none
    assert swaps.late


# ---- the plan in words ------------------------------------------------------------------------------------
def test_a_runner_up_does_without_a_product_of_each_plan_before_it():
    found = _leaving_out([("a", "b"), ("b", "c")])
    assert set(found) == {frozenset("b"), frozenset("ac")}
    assert len(found) == 2
    assert _leaving_out([]) == [frozenset()]


def test_a_grade_is_bought_without_a_price_only_where_bags_of_it_are():
    assumed = {"34-0-0": 20.0, "0-0-60": 21.0}
    plan = Plan({("p", "34-0-0"): 9.0, ("q", "34-0-0"): 9.0, ("p", "46-0-0"): 1.0}, {"34-0-0": 1}, {}, 0.0,
                "price not known", 0.0, assumed=assumed)  # fmt: skip
    assert plan.unpriced == ("34-0-0",)
    assert plan.products == ("34-0-0", "46-0-0")
    assert plan.proof == (
        "which is cheapest cannot be said: without a price, 34-0-0 as $20.00 a bag, 0-0-60 as "
        "$21.00 a bag was assumed"
    )


def test_how_near_the_best_a_plan_is_known_to_be():
    plan = Plan({}, {}, {}, 10.0, "optimal", 0.0)
    assert plan.proof == "proved cheapest"
    near = Plan({}, {}, {}, 10.0, "gap stated", 0.0125)
    assert near.proof == "no plan can be more than 1.2 % cheaper"
    late = Plan({}, {}, {}, 10.0, "gap stated", 0.5, late=True)
    assert late.proof.startswith("no plan can be more than 50 % cheaper; the clock ended")


def test_dollars_bags_and_what_no_product_carries():
    """Two acres at 34 lb of nitrogen: 200 lb, of which 50 lie in the shed; nothing brings potash."""
    kind = grade("34-0-0", 19.0, stock_lb=50.0)
    plan = plan_fertilizer([plot(acres=2.0, n=34.0, k=20.0)], [kind], EXACT)
    assert plan.bags == {"34-0-0": 3}
    assert plan.pounds == {("p", "34-0-0"): pytest.approx(200.0)}
    assert plan.short_lb == {("p", "k2o"): 40.0}
    assert (plan.cost, plan.weighed, plan.status, plan.gap) == (57.0, 57.0, "optimal", 0.0)
    assert plan.runners_up == ()


def test_what_has_no_price_counts_in_choosing_and_not_in_the_cost():
    """19.00 for 17 lb of nitrogen is 1.118 a pound; a bag without a price is as dear."""
    plan = plan_fertilizer(
        [plot(n=34.0, k=60.0)], [grade("34-0-0", 19.0), grade("0-0-60", None)], EXACT
    )
    assert plan.bags == {"34-0-0": 2, "0-0-60": 2}
    assert plan.cost == 38.0
    assert plan.weighed == pytest.approx(38.0 + 2 * round(30 * 19 / 17, 2))
    assert plan.status == "price not known"
    assert plan.assumed == {"0-0-60": round(30 * 19 / 17, 2)}
    alone = plan_fertilizer([plot(k=60.0)], [grade("0-0-60", None)], EXACT)
    assert alone.assumed == {"0-0-60": 20.0}  # 40 cents a pound where nothing has a price


def solved(monkeypatch, found, *, beside=math.inf):
    """Return what is made of a plan that the search found for one ground."""
    grades = [grade("34-0-0", 10.0), grade("46-0-0", 10.0), grade("0-0-60", 10.0)]
    monkeypatch.setattr(fertilizer.bags, "cheapest", lambda case, seconds, quick: found)
    return fertilizer._solve_with(
        [plot(n=34.0, k=60.0)], grades, EXACT, 9.0, beside=beside
    )[0]


def of(objective=100.0, bound=90.0, pounds=(90.0, 0.05, 0.06), short=(0.0, 0.0, 0.0)):
    return Found(
        np.array([pounds]), np.array([4, 0, 6]), np.array([short]), objective, bound
    )


def test_traces_of_a_product_or_of_a_need_are_the_solvers(monkeypatch):
    plan = solved(monkeypatch, of(short=(0.001, 0.0, 0.0011)))
    assert plan.pounds == {("p", "34-0-0"): 90.0, ("p", "0-0-60"): 0.06}
    assert plan.short_lb == {("p", "k2o"): 0.0011}
    assert (plan.bags, plan.cost) == ({"34-0-0": 4, "0-0-60": 6}, 100.0)


@pytest.mark.parametrize(
    ("objective", "bound", "beside", "short", "gap"),
    [
        (100.0, 90.0, math.inf, 0.0, 0.1), (100.0, 90.0, 80.0, 0.0, 0.2),
        (100.0, 99.995, math.inf, 0.0, 0.0), (100.0, 99.98, math.inf, 0.0, 2e-4),
        (100.0, 101.0, math.inf, 0.0, 0.0), (600.0, 590.0, math.inf, 0.5, 0.1),
        (100.0, -900.0, math.inf, 0.0, 1.0), (math.inf, 90.0, math.inf, 0.0, 1.0),
    ],
)  # fmt: skip
def test_the_gap_is_of_what_the_bags_cost_without_the_penalty(
    monkeypatch, objective, bound, beside, short, gap
):
    plan = solved(monkeypatch, of(objective, bound, short=(short, 0.0, 0.0)), beside=beside)
    assert plan.gap == pytest.approx(gap)
    assert plan.status == ("optimal" if gap == 0.0 else "gap stated")
