"""Why a need stays short: each limit that stands in its way, one ground and a bag or two."""

import pytest

from quietacre.figures import printed
from quietacre.need import fertilizer
from quietacre.need.fertilizer import Plan, Plot, plan_fertilizer, why_short
from quietacre.need.grade import Grade, grades_with, parse_grade
from quietacre.settings import Buying

EXACT = Buying(short_pct=0.0, over_pct=0.0, over_lb_ac=0.0)


def grade(text, price=20.0, **more):
    return Grade(text, *parse_grade(text), 50.0, price, **more)


def ground(most=None, none_of=(), **need):
    asked = {"n": 0.0, "p2o5": 0.0, "k2o": 0.0, **need}
    return Plot("p", 1.0, asked, most, none_of=frozenset(none_of))


def why(nutrient, plot, *grades):
    return printed(why_short(plot, nutrient, grades, EXACT))


def test_nothing_listed_carries_it():
    assert why("k2o", ground(k2o=60.0), grade("34-0-0")).startswith(
        "no product listed carries K2O; list one that does: "
    )


def test_only_so_many_products_may_go_on():
    found = why("n", ground(1, n=17.0, k2o=60.0), grade("34-0-0"), grade("0-0-60"))
    assert found.startswith("at most 1 product(s) may go on this ground; raise ")
    assert found.endswith("or list a grade that carries several of its needs")


def test_the_bags_run_out():
    found = why("n", ground(n=34.0), grade("34-0-0", max_bags=1), grade("0-0-60"))
    assert found.startswith("the bags to be had run out (34-0-0 1); raise ")
    both = why(
        "n", ground(n=68.0), grade("34-0-0", max_bags=1), grade("46-0-0", max_bags=1)
    )
    assert both.startswith("the bags to be had run out (34-0-0 1, 46-0-0 1); raise ")


def test_it_would_bring_too_much_of_another():
    found = why("n", ground(n=39.0, p2o5=13.0), grade("13-13-13"))
    assert found.startswith(
        "more of 13-13-13 would put K2O and P2O5 above its cap; list a grade with more N to it, or raise "
    )


def test_what_it_brings_is_left_off_before_planting():
    """Nitrogen is left off ahead of legumes: a grade without any is named."""
    named = " or ".join(grades_with("k2o", {"n"}))
    found = why("k2o", ground(none_of=("n",), k2o=13.0), grade("13-13-13"))
    assert found == (
        "13-13-13 brings N, which is left off this ground before planting; list a grade with K2O and no N, "
        f"such as {named}"
    )
    # what is left off and not brought is not in the way
    other = why(
        "k2o", ground(none_of=("s",), k2o=39.0, p2o5=13.0, n=13.0), grade("13-13-13")
    )
    assert "is left off this ground" not in other
    assert other.startswith("more of 13-13-13 would put N and P2O5 above its cap")


def test_the_other_ground_took_the_bags():
    found = why("n", ground(n=34.0), grade("34-0-0"))
    assert found.startswith(
        "the bags of 34-0-0 left after the other ground are too few; raise "
    )


@pytest.mark.parametrize(("gap", "words"), [(0.0, "proved cheapest"), (0.5, "no plan can be more than 50 % cheaper")])  # fmt: skip
def test_how_near_the_best_a_plan_is(gap, words):
    plan = Plan({}, {}, {}, 9.0, "optimal", gap)
    assert plan.proof == words
    assert plan.late is False
    assert (
        Plan({}, {}, {}, 9.0, "optimal", gap, late=True).proof
        == f"{words}; {fertilizer.LATE}"
    )
    assert (plan.runners_up, plan.weighed, plan.assumed, plan.unpriced) == ((), 0.0, {}, ())


def test_a_plan_is_late_where_the_search_or_the_clock_says_so(monkeypatch):
    asked = []

    def solved(late):
        plan = Plan(
            {("p", "34-0-0"): 100.0},
            {"34-0-0": 2},
            {},
            40.0,
            "optimal",
            0.0,
            late=late,
            weighed=40.0,
        )
        monkeypatch.setattr(fertilizer, "_solve", lambda *of: asked.append(of) or plan)
        return plan_fertilizer([ground(n=34.0)], [grade("34-0-0")], EXACT)

    assert not solved(late=False).late
    assert solved(late=True).late
    assert asked[0][3] == EXACT.seconds
    monkeypatch.setattr(fertilizer, "_runners_up", lambda *of: [])
    times = iter([0.0, EXACT.seconds + 1.0])
    monkeypatch.setattr(fertilizer.time, "process_time", lambda: next(times))
    assert solved(late=False).late
