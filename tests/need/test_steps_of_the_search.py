"""Which steps the search for bags takes, and when it stops: each step played by a stand-in."""

import math
from types import SimpleNamespace

import numpy as np
import pytest

from quietacre.need import bags, fertilizer
from quietacre.need.fertilizer import Plan, Plot, _case
from quietacre.need.grade import Grade, parse_grade
from quietacre.need.program import Found, Program
from quietacre.need.swaps import Swaps
from quietacre.settings import Buying

EXACT = Buying(short_pct=0.0, over_pct=0.0, over_lb_ac=0.0)
NO_AREA = np.zeros(0, dtype=np.int64)


def case(*needs, most=1, grades=("34-0-0", "0-0-60")):
    """Return the program of grounds of an acre with (nitrogen, potash)."""
    ground = [
        Plot(f"p{i}", 1.0, {"n": n, "p2o5": 0.0, "k2o": k}, most)
        for i, (n, k) in enumerate(needs)
    ]
    return _case(
        ground, [Grade(text, *parse_grade(text), 50.0, 20.0) for text in grades], EXACT
    )


def found(objective=100.0, bound=90.0, *, pounds=((0.0, 0.0),), short=0.0):
    shape = np.array(pounds, dtype=float)
    return Found(shape, np.array([1, 2]), np.full((len(shape), 3), short), objective, bound)


class Played(bags._Search):
    """A search whose steps are written down in place of being taken."""

    steps_taken: list
    is_done = False
    some_cuts = ()
    alone = None
    size = None

    def __init__(self, of, seconds):
        super().__init__(of, seconds)
        type(self).steps_taken = []
        self.cuts = list(self.some_cuts)
        self.best = found()
        if self.size is not None:
            self.free = np.ones(self.size, dtype=bool)
            self.few = self.free.size <= bags.FEW_CHOICES

    def done(self):
        return self.is_done

    def loosen(self, rounds=bags.ROUNDS):
        self.steps_taken.append(("loosen", rounds))
        return found(1.0)

    def each_alone(self):
        return self.alone

    def step(self, **how):
        limited = how.pop("limited", None)
        self.steps_taken.append(
            ("step", None if limited is None else limited.tolist(), how)
        )
        return found(2.0)

    def swap(self, start, tries):
        self.steps_taken.append(("swap", start.tolist(), tries))

    def result(self):
        return self.best


def played(monkeypatch, *, quick=False, needs=((34.0, 60.0), (34.0, 0.0)), **more):
    """Return the steps that a search takes, and what it opens and mends."""
    kind = type("One", (Played,), more)
    monkeypatch.setattr(bags, "_Search", kind)
    opened = []
    monkeypatch.setattr(
        bags, "_open_some", lambda search, plans, near: opened.append((plans, near))
    )
    monkeypatch.setattr(bags, "_mend", lambda search: opened.append("mended"))
    bags.cheapest(case(*needs), 50.0, quick=quick)
    return kind.steps_taken, opened


def test_few_choices_are_solved_with_whole_bags_then_swapped_then_as_such(monkeypatch):
    """The first ground wants two products and may have one: it alone is limited."""
    steps, opened = played(monkeypatch)
    loosen, whole, swap, choices = steps
    assert loosen == ("loosen", bags.ROUNDS)
    assert whole[:2] == ("step", None)
    assert whole[2]["nodes"] == bags.MOST_NODES_WHOLE
    # both bags cost $20: plans lie $20 apart
    assert whole[2]["near"] == pytest.approx(20.0, abs=0.02)
    assert swap == ("swap", [1, 2], bags.MOST_TRIES)
    assert choices[1] == [0]
    assert choices[2]["nodes"] == bags.MOST_NODES_FEW
    assert choices[2]["start"].objective == 100.0
    assert opened == []


def test_a_runner_up_is_looked_for_with_less_of_everything(monkeypatch):
    steps, opened = played(monkeypatch, quick=True)
    _, whole, swap, choices = steps
    assert whole[2]["nodes"] == bags.MOST_NODES < bags.MOST_NODES_WHOLE
    assert whole[2]["near"] == pytest.approx(20.0 / 4, abs=0.01)
    assert swap[2] == bags.MOST_TRIES_QUICK < bags.MOST_TRIES
    assert choices[2]["nodes"] == bags.MOST_NODES_QUICK < bags.MOST_NODES_FEW
    assert opened == []


def test_what_is_near_enough_ends_the_search_and_rows_of_limits_spare_the_swaps(
    monkeypatch,
):
    steps, opened = played(monkeypatch, is_done=True)
    assert [step[0] for step in steps] == ["loosen", "step"]
    assert opened == []
    steps, _ = played(monkeypatch, some_cuts=("a row",))
    assert [step[0] for step in steps] == ["loosen", "step", "step"]
    steps, opened = played(monkeypatch, is_done=True, size=(200, 1))
    assert (len(steps), opened) == (2, [])


@pytest.mark.parametrize(
    ("size", "quick", "nodes", "mended"),
    [
        (bags.MANY_CHOICES, False, bags.MOST_NODES_WHOLE, True),
        (bags.MANY_CHOICES + 1, False, bags.MOST_NODES, True),
        (bags.MOST_CHOICES_MENDED, False, bags.MOST_NODES, True),
        (bags.MOST_CHOICES_MENDED + 1, False, bags.MOST_NODES, False),
        (bags.MANY_CHOICES, True, bags.MOST_NODES, False),
    ],
)
def test_of_many_choices_some_grounds_are_opened_and_mended(
    monkeypatch, size, quick, nodes, mended
):
    by_itself = found(7.0)
    steps, opened = played(monkeypatch, quick=quick, size=(size, 1), alone=by_itself)
    assert steps[1][2]["nodes"] == nodes
    assert [step[0] for step in steps] == ["loosen", "step", "swap"]
    (first, whole), near = opened[0]
    assert first is by_itself
    assert whole.objective == 2.0
    assert (near is not None) is quick
    assert (opened[1:] == ["mended"]) is mended


def test_where_no_ground_was_fed_alone_the_plan_without_whole_bags_stands_in(monkeypatch):
    _, opened = played(monkeypatch, size=(200, 1))
    assert [plan.objective for plan in opened[0][0]] == [1.0, 2.0]


def test_a_choice_is_few_up_to_its_limit():
    at = bags._Search(case(*([(34.0, 0.0)] * (bags.FEW_CHOICES // 2))), math.inf)
    over = bags._Search(case(*([(34.0, 0.0)] * (bags.FEW_CHOICES // 2 + 1))), math.inf)
    assert (at.few, over.few) == (True, False)


# ---- grounds that are opened ---------------------------------------------------------------------------
class Opened:
    """A search that writes down which grounds it is asked to settle."""

    def __init__(self, of, objectives=(), done_after=99):
        self.case, self.steps, self.settled = of, 0, []
        self.best, self.near, self.left = (
            SimpleNamespace(objective=100.0),
            1.0,
            list(objectives),
        )
        self.done_after = done_after

    def done(self):
        return len(self.settled) >= self.done_after

    def settle(self, plan, areas, near=None):
        self.settled.append((areas.tolist(), near))
        if self.left:
            self.best = SimpleNamespace(objective=self.left.pop(0))


def test_the_largest_needs_are_spread_over_the_groups_that_are_opened():
    """Fourteen grounds, each with more need than the one before: 13 first, 12 in the next group."""
    of = case(*((float(10 + n), 0.0) for n in range(14)))
    search = Opened(of)
    bags._mend(search)
    groups = [areas for areas, _ in search.settled]
    assert len(groups) == bags.GROUPS
    assert groups[0] == [1, 7, 13]
    assert groups[1] == [0, 6, 12]
    assert groups[2] == [5, 11]
    assert sorted(area for group in groups for area in group) == list(range(14))
    many = Opened(case(*((34.0, 0.0) for _ in range(70))))
    bags._mend(many)
    assert {len(areas) for areas, _ in many.settled} == {bags.MOST_OPEN}


def test_mending_goes_on_while_it_pays_and_no_longer():
    """A tenth of what is near enough is not worth another round."""
    of = case((34.0, 0.0))
    pays = Opened(of, [100.0 - n for n in range(1, 40)])
    bags._mend(pays)
    assert len(pays.settled) == bags.MEND_ROUNDS * bags.GROUPS
    for saved, rounds in ((0.09, 1), (0.11, 2)):
        hardly = Opened(of, [100.0 - saved])
        bags._mend(hardly)
        assert len(hardly.settled) == rounds * bags.GROUPS
    soon = Opened(of, [100.0 - n for n in range(1, 40)], done_after=4)
    bags._mend(soon)
    assert len(soon.settled) == 4


def test_mending_stops_at_its_count_of_steps():
    class Counted(Opened):
        def settle(self, plan, areas, near=None):
            super().settle(plan, areas, near)
            self.steps += bags.MOST_STEPS_MENDING

    search = Counted(case((34.0, 0.0)))
    search.steps = 5
    bags._mend(search)
    assert len(search.settled) == 2, "as many steps again are let pass, and no more"


def test_more_grounds_than_can_be_opened_at_once_are_not():
    of = case(*([(34.0, 60.0)] * 13))
    two = [[50.0, 50.0]]
    many, few = found(pounds=two * 13), found(pounds=[*(two * 12), [50.0, 0.0]])
    search = Opened(of)
    bags._open_some(search, (None, many, few), 0.5)
    assert search.settled == [(list(range(12)), 0.5)]
    ended = Opened(of, done_after=0)
    bags._open_some(ended, (few,), 0.5)
    assert ended.settled == []


# ---- one step ---------------------------------------------------------------------------------------------
class Answered:
    """A program that answers as it is told, and writes down what it was asked."""

    late, steps = False, 7

    def __init__(self, objective=50.0, bound=40.0, pounds=((100.0, 0.0),), values=True):
        self.plan = found(objective, bound, pounds=pounds)
        self.values, self.asked = [1.0] if values else [], []

    def solve(self, *asked):
        self.asked.append(asked)
        return self.values, [], [], self.plan.objective, self.plan.bound

    def read(self, values, objective, bound):
        return self.plan


def one_step(answered, *, best=100.0, floor=10.0, few=True, **how):
    search = bags._Search(case((34.0, 0.0)), 100.0)
    search.best, search.floor, search.few, search.cost = found(best), floor, few, 4_000.0
    search.steps = 3
    search._program = lambda **kinds: answered
    return search, search.step(**how)


def test_a_step_that_is_better_is_kept_and_raises_what_no_plan_can_cost_less_than():
    search, plan = one_step(Answered())
    assert search.best is plan
    assert (search.floor, search.steps, search.late) == (40.0, 10, False)
    search, plan = one_step(Answered(objective=100.0), floor=45.0)
    assert (search.best.objective, search.best is plan, search.floor) == (
        100.0,
        False,
        45.0,
    )
    # with some grounds held, its bound says nothing of all plans
    search, _ = one_step(Answered(), allowed=np.ones((1, 2), dtype=bool))
    assert search.floor == 10.0
    # more products than the ground may have
    search, plan = one_step(Answered(pounds=((50.0, 50.0),)))
    assert search.best is not plan
    search, plan = one_step(Answered(values=False))
    assert plan.objective == math.inf
    assert search.floor == 40.0


def test_how_near_a_step_comes_and_where_it_stops():
    kept = Answered()
    one_step(kept)
    left, near, start, nodes, target = kept.asked[0]
    assert 90.0 < left <= 100.0
    assert near == pytest.approx(20.0, abs=0.02)
    assert (start, nodes, target) == (None, bags.MOST_NODES, None)
    many = Answered()
    one_step(many, few=False)
    assert many.asked[0][1] == pytest.approx(4.0 / 4), (
        "a quarter of a thousandth of the cost"
    )
    own = Answered()
    begun = found()
    one_step(own, near=3.0, limited=np.array([0]), start=begun, nodes=9)
    _, near, start, nodes, target = own.asked[0]
    assert (near, nodes) == (3.0, 9)
    assert start is begun
    assert target == pytest.approx(30.0, abs=0.02), (
        "what no plan costs less than, and near enough"
    )


def test_a_step_that_the_clock_ended_is_known():
    late = Answered()
    late.late = True
    search, _ = one_step(late)
    assert search.late


def test_grounds_that_are_held_keep_the_products_they_have():
    search = bags._Search(case((34.0, 60.0), (34.0, 60.0)), 100.0)
    asked = []
    search.step = lambda **how: asked.append(how) or found()
    plan = found(pounds=((0.0, 90.0), (90.0, 0.0)))
    search.best = plan
    search.settle(plan, np.array([1]), 0.5)
    (how,) = asked
    assert how["allowed"].tolist() == [[False, True], [True, True]]
    assert (how["limited"].tolist(), how["near"]) == ([1], 0.5)
    assert how["start"] is plan
    search.settle(found(pounds=((0.0, 90.0), (90.0, 0.0))), np.array([1]))
    assert asked[1]["start"] is None, "another plan than the best is no start"
    two = found(pounds=((50.0, 90.0), (90.0, 0.0)))
    search.best = two
    search.settle(two, np.array([1]))
    assert asked[2]["start"] is None, "nor is one with too many products"
    assert search.free.all()


def test_the_best_is_told_with_the_bound_that_holds_for_all():
    search = bags._Search(case((34.0, 0.0)), 100.0)
    search._least_pounds = lambda plan: plan
    search.floor = 81.0
    search.best = found(100.0)
    assert search.result().bound == 100.0, (
        "bags cost $20 each: none lies between 81 and 100"
    )
    search.floor = 79.0
    assert search.result().bound == 79.0
    search.floor = 120.0
    assert search.result().bound == 100.0
    search.floor, search.best = 81.0, found(100.0, short=1.0)
    assert search.result().bound == 81.0
    assert not search.result().late
    search.late = True
    assert search.result().late


# ---- what the solver is told ----------------------------------------------------------------------------------
class Solver:
    """The solver itself, which also writes down a start that it is given."""

    def __init__(self, real, starts):
        self.real, self.starts = real, starts

    def __getattr__(self, name):
        return getattr(self.real, name)

    def setSolution(self, solution):  # noqa: N802 - its own name
        self.starts.append(list(solution.col_value))
        return self.real.setSolution(solution)


def solved(*asked, whole=True):
    made = Program(
        case((37.4, 0.0)),
        whole=whole,
        allowed=np.ones((1, 2), dtype=bool),
        limited=NO_AREA,
        cuts=(),
    )
    told, starts, load = [], [], made.loaded
    made.loaded = lambda options: (
        told.append(dict(options)) or Solver(load(options), starts)
    )
    return made.solve(*asked), told[0], starts


def test_the_solver_is_told_where_to_stop():
    (values, _, _, reached, bound), told, starts = solved(30.0, 0.5)
    assert told == {"time_limit": 30.0, "mip_abs_gap": 0.5}
    assert starts == []
    # 110 lb of 34-0-0 are three bags
    assert values[:2] == pytest.approx([3.0, 0.0])
    assert reached == pytest.approx(60.0, abs=1e-3)
    assert 59.4 < bound <= 60.001
    begin = Found(np.array([[110.0, 0.0]]), np.array([3, 0]), np.zeros((1, 3)), 60.0, 0.0)
    _, told, starts = solved(0.0, 0.5, begin, 40, 70.0)
    assert told == {
        "time_limit": 0.05, "mip_abs_gap": 0.5, "mip_max_nodes": 40, "objective_target": 70.0,
    }  # fmt: skip
    assert starts[0][:4] == [3.0, 0.0, 110.0, 0.0]


def test_without_whole_bags_the_bound_is_what_was_reached():
    (values, duals, extra, reached, bound), _, _ = solved(30.0, 0.005, whole=False)
    assert values[0] == pytest.approx(2.2)
    assert reached == bound == pytest.approx(44.0, abs=1e-3)
    assert -duals[0] == pytest.approx(0.4, abs=1e-6), "a pound of it is worth its price"
    assert len(extra) == len(values)


# ---- the first look ---------------------------------------------------------------------------------------------
def looked(monkeypatch, cuts, rounds=None, *, values=True, seconds=100.0):
    """Return a search after its first look, whose every round learns so many rows, and its rounds."""
    search = bags._Search(case((34.0, 0.0)), seconds)
    asked = []

    def program(**kinds):
        asked.append(kinds)
        made = Answered(bound=30.0 + len(asked), values=values)
        answer = ([2.0, 1.0, 0.0] if values else [], [-0.4, 0.1], [0.0, 0.0, 0.2, 0.3])
        made.solve = lambda left, near: (*answer, 50.0, made.plan.bound)
        return made

    search._program = program
    monkeypatch.setattr(bags, "_cuts", lambda *of: ["row"] * (cuts.pop(0) if cuts else 0))
    loose = search.loosen(*([] if rounds is None else [rounds]))
    return search, loose, len(asked)


def test_a_first_look_ends_when_nothing_more_is_learned(monkeypatch):
    search, loose, rounds = looked(monkeypatch, [2, 1, 0, 9])
    assert rounds == 3
    assert search.cuts == ["row"] * 3
    assert search.floor == 33.0
    assert loose.bound == 33.0
    # two bags at $20 and one: what the columns say they cost
    assert search.cost == 60.0
    assert search.worth.tolist() == [0.4, 0.0], "no pound is worth less than nothing"
    assert search.extra.tolist() == [[0.2, 0.3]]


def test_a_first_look_takes_so_many_rounds_at_most(monkeypatch):
    assert looked(monkeypatch, [1] * 99)[2] == bags.ROUNDS
    assert looked(monkeypatch, [1] * 99, 3)[2] == 3
    assert looked(monkeypatch, [1] * 99, seconds=0.0)[2] == 1, "the clock has ended it"
    search, loose, rounds = looked(monkeypatch, [1] * 99, values=False)
    assert (loose, rounds, search.floor) == (None, 1, 0.0)


def test_swaps_are_fewer_the_larger_the_program_is():
    def tries(columns, asked):
        program = SimpleNamespace(
            case=case((34.0, 0.0)),
            size=(1, 2, 3),
            cost=[0.0] * columns,
            loaded=lambda options: None,
        )
        return Swaps(program, asked, lambda: 10.0).tries

    assert tries(100, 600) == 600
    assert tries(4_000, 600) == 500
    assert tries(10_000, 600) == 400
    assert tries(10_000, 300) == 300


# ---- runners-up -----------------------------------------------------------------------------------------------
KINDS = tuple(
    Grade(text, *parse_grade(text), 50.0, 20.0) for text in ("34-0-0", "46-0-0", "20-0-0")
)
GROUND = [Plot("p", 1.0, {"n": 34.0})]


def plan_of(grade, gap=0.0, short=0.0, objective=40.0):
    short_lb = {("p", "n"): short} if short else {}
    return Plan(
        {("p", grade): 90.0},
        {grade: 2},
        short_lb,
        objective,
        "optimal",
        gap,
        weighed=objective,
    )


def runners_up(monkeypatch, floors, answers, *, count=1, ground=GROUND, until=math.inf):
    """Return the runners-up of a plan with 34-0-0 and 46-0-0, and what was solved for them.

    ``floors`` by the grades that are left, ``answers`` the plans by the same.
    """
    solved = []

    def left(grades):
        return tuple(one.grade for one in grades)

    def solve(plots, grades, buying, seconds, *, quick, beside):
        solved.append((left(grades), quick, beside))
        plan = answers[left(grades)]
        return plan, plan.cost

    monkeypatch.setattr(fertilizer, "_case", lambda plots, grades, buying: left(grades))
    monkeypatch.setattr(fertilizer.bags, "floor_of", lambda grades: floors[grades])
    monkeypatch.setattr(fertilizer, "_solve_with", solve)
    best = Plan({("p", "34-0-0"): 60.0, ("p", "46-0-0"): 30.0}, {"34-0-0": 2, "46-0-0": 1}, {}, 38.0,
                "optimal", 0.0, weighed=38.0)  # fmt: skip
    return fertilizer._runners_up(ground, KINDS, EXACT, best, count, until), solved


ONE, TWO = ("46-0-0", "20-0-0"), ("34-0-0", "20-0-0")


def test_the_lowest_floor_is_solved_first_and_ends_it_when_the_others_lie_above(
    monkeypatch,
):
    answers = {
        ONE: plan_of("46-0-0", objective=44.0),
        TWO: plan_of("34-0-0", objective=41.0),
    }
    (other,), solved = runners_up(monkeypatch, {ONE: 43.0, TWO: 40.0}, answers)
    assert other is answers[TWO]
    assert solved == [(TWO, True, 43.0)]
    # a floor below what was found is looked at too, and the cheaper of both is taken
    (other,), solved = runners_up(monkeypatch, {ONE: 40.5, TWO: 40.0}, answers)
    assert other is answers[TWO]
    assert [one[0] for one in solved] == [TWO, ONE]
    assert solved[1][2] == math.inf
    answers[ONE] = plan_of("46-0-0", objective=40.7)
    (other,), _ = runners_up(monkeypatch, {ONE: 40.5, TWO: 40.0}, answers)
    assert other is answers[ONE]


def test_of_a_large_property_one_attempt_is_solved(monkeypatch):
    answers = {
        ONE: plan_of("46-0-0", objective=40.5),
        TWO: plan_of("34-0-0", objective=41.0),
    }
    many = [Plot(f"p{n}", 1.0, {"n": 34.0}) for n in range(26)]
    (other,), solved = runners_up(monkeypatch, {ONE: 40.2, TWO: 40.0}, answers, ground=many)
    assert (other, len(solved)) == (answers[TWO], 1)
    few = many[:25]  # 25 grounds and 3 products are half of what is few: two attempts
    (other,), solved = runners_up(monkeypatch, {ONE: 40.2, TWO: 40.0}, answers, ground=few)
    assert (other, len(solved)) == (answers[ONE], 2)


def test_a_plan_that_leaves_more_short_or_is_not_near_proved_is_no_runner_up(monkeypatch):
    floors = {ONE: 50.0, TWO: 40.0}
    for plan, shown in (
        (plan_of("34-0-0", gap=0.02), True), (plan_of("34-0-0", gap=0.021), False),
        (plan_of("34-0-0", short=0.05), True), (plan_of("34-0-0", short=0.06), False),
        (Plan({}, {}, {}, 0.0, "optimal", 0.0), False),
    ):  # fmt: skip
        others, _ = runners_up(monkeypatch, floors, {TWO: plan, ONE: plan_of("46-0-0")})
        assert others == ([plan] if shown else [])


def test_a_second_runner_up_does_without_a_product_of_both(monkeypatch):
    rest = ("20-0-0",)
    answers = {
        TWO: plan_of("34-0-0"),
        ONE: plan_of("46-0-0", objective=60.0),
        rest: plan_of("20-0-0", objective=50.0),
    }
    floors = {TWO: 40.0, ONE: 60.0, rest: 50.0}
    others, _ = runners_up(monkeypatch, floors, answers, count=2)
    # without 34-0-0 alone, or without both: the first is a choice of the smallest sets
    assert others[0] is answers[TWO]
    assert others[1] is answers[ONE]
    assert runners_up(monkeypatch, floors, answers, count=0) == ([], [])
    assert runners_up(monkeypatch, floors, answers, until=-1.0) == ([], [])
