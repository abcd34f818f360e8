"""What the plan says of bags, lime, cautions and hours, each sentence whole."""

import datetime as dt
from types import SimpleNamespace

import pytest

from quietacre.errors import NeedProblem
from quietacre.figures import printed
from quietacre.need.buffers import buffer_methods, its_method
from quietacre.need.cautions import Caution, all_cautions, grade_cautions, seed_cautions
from quietacre.need.done import Done
from quietacre.need.lime_words import late_text, months_text, parts_text
from quietacre.need.plan import (
    _count_done,
    _crops_sown,
    _named_after,
    _plan_told,
    _unfinished,
)
from quietacre.need.plan_lines import (
    left_out_lines,
    plan_lines,
    price_notes,
    short_lines,
    unmet_lines,
)
from quietacre.need.records import FertilizerPlan, RunnerUp, Unmet, not_priced
from quietacre.need.tables import crops
from quietacre.need.work import lime_work, sow_work, spread_work
from quietacre.need.worked import count_whole, count_work
from quietacre.settings import Buying, Equipment, Property, PropertyInfo
from quietacre.shipped import cite, rows

DAY = dt.date(2027, 9, 20)


# ---- the plan of bags ------------------------------------------------------------------------------------
def plan(cost, bags, proof="optimal", **more):
    """Return what is read of a plan of bags."""
    plain = {"pounds": {("a", "34-0-0"): 1.0}, "unpriced": (), "runners_up": (),
             "status": "optimal", "gap": 0.0, "assumed": {}, "products": ()}  # fmt: skip
    return SimpleNamespace(cost=cost, bags=bags, proof=proof, **{**plain, **more})


def test_a_plan_s_lines_tell_bags_dollars_and_proof():
    other = plan(70.5, {"46-0-0": 2, "0-0-60": 1}, "near")
    free = plan(0.0, {"46-0-0": 2}, "near", unpriced=("46-0-0",))
    chosen = plan(1057.25, {"34-0-0": 3}, runners_up=(other, free))
    assert plan_lines(chosen) == [
        "Chosen: 3 of 34-0-0: $1,057.25 (optimal).",
        "Runner-up 1: 2 of 46-0-0, 1 of 0-0-60: $70.50 (near), $-986.75 more.",
        "Runner-up 2: 2 of 46-0-0, no price given for 46-0-0 (near).",
    ]
    alone = plan(57.0, {"34-0-0": 3}, unpriced=("0-0-60", "0-46-0"), runners_up=())
    assert plan_lines(alone) == [
        "Chosen: 3 of 34-0-0: $57.00 without 0-0-60, 0-46-0, of no known price (optimal).",
        "No runner-up: no plan was found that does without one of these products and meets the "
        "needs as well.",
    ]
    held = plan(0.0, {}, runners_up=(plan(0.0, {"34-0-0": 1}),))
    assert plan_lines(held) == [
        "Chosen: nothing to buy, the shed holds it (optimal).",
        "Runner-up 1: 1 of 34-0-0 (optimal).",
    ]
    half = plan(57.0, {"34-0-0": 3}, unpriced=("0-0-60",), runners_up=(other,))
    assert plan_lines(half)[1].endswith("$70.50 (near).")
    assert plan_lines(plan(1.0, {}, pounds={})) == []


def test_a_plan_is_told_to_the_cent_with_what_its_runners_up_cost_more():
    other = plan(83.333, {"46-0-0": 3}, "near", products=("46-0-0",))
    chosen = plan(77.3333, {"34-0-0": 4}, runners_up=(other,))
    assert _plan_told(chosen, ["short"]) == FertilizerPlan(
        status="optimal", gap=0.0, cost=77.33, bags={"34-0-0": 4}, proof="optimal",
        runners_up=(RunnerUp(83.33, 6.0, {"46-0-0": 3}, ("46-0-0",), "near"),),
        text=(*plan_lines(chosen), "short"), said=("short",),
    )  # fmt: skip


def test_what_is_short_left_out_or_not_met_is_summed_by_nutrient():
    buying = Buying(short_pct=7.5)
    rows_lb = [("A", "n", 10.0), ("B", "k2o", 4.0), ("A", "k2o", 1.0), ("A", "n", 2.0)]
    assert [printed(one) for one in short_lines(rows_lb, buying)] == [
        "left short by up to the 7.5 % of your choice: 12 lb N, 5 lb K2O on A, B"
    ]
    assert short_lines([], buying) == []
    out = left_out_lines([("A", 10.0), ("B", 0.0), ("C", 5.0)])
    assert [printed(one) for one in out] == [
        "15 lb N left out ahead of mixes with many legumes on A, C: “Look into” says how to feed "
        "the grain"
    ]
    assert left_out_lines([("B", 0.0)]) == []
    why = "nothing listed carries it"
    unmet = [("A", Unmet("n", 12.0, "planting", why)), ("B", Unmet("s", 3.0, "later", why))]
    assert [printed(one) for one in unmet_lines(unmet)] == [
        "A: 12 lb N cannot be met (planting)", "B: 3 lb S cannot be met (later)", why,
    ]  # fmt: skip


def listed(item, price, buy, what="seed", cost=None):
    return SimpleNamespace(item=item, cost=cost, not_priced=not_priced(price, buy, what))


def test_lines_without_a_price_are_named_with_what_the_cost_leaves_out():
    bare = [listed("oats", None, 5.0), listed("rye", None, 0.0), listed("vetch", 1.0, 5.0),
            listed("pea", None, 5.0, "inoculant"), listed("wheat", None, 0.5)]  # fmt: skip
    none = plan(0.0, {}, pounds={})
    (note,) = price_notes(bare, none)
    assert (note.code, note.level) == ("no-price", "info")
    head = "no price is given for oats, wheat: "
    assert note.text.startswith(f"{head}no cost is said; say it in ")
    (note,) = price_notes([*bare, listed("lime", 3.0, 1.0, cost=3.0)], none)
    assert note.level == "warning"
    assert note.text.startswith(f"{head}the cost is of the other lines only; say it in ")
    assert "Of fertilizers" not in note.text
    guessed = plan(0.0, {}, "prices are guessed", assumed={"34-0-0": 19.0})
    assert price_notes(bare, guessed)[0].text.endswith(
        ". Of fertilizers, prices are guessed."
    )
    nothing = plan(0.0, {}, "prices are guessed", assumed={"34-0-0": 19.0}, pounds={})
    assert "Of fertilizers" not in price_notes(bare, nothing)[0].text
    assert price_notes(bare[1:4], none) == []


def test_only_ground_that_still_takes_something_is_fed():
    jobs = [
        SimpleNamespace(key="a", finished=True),
        SimpleNamespace(key="b", finished=False),
    ]
    plots = [SimpleNamespace(key=key) for key in ("a", "a+top", "b", "b+top")]
    assert _unfinished(jobs, plots) == plots[2:]


def test_crops_that_are_sown_are_told_by_name_where_the_table_knows_them():
    def job(*names):
        return SimpleNamespace(seed=[SimpleNamespace(crop=name) for name in names])

    told = _crops_sown([job("wheat", "own grass"), job("oats", "wheat")], crops())
    assert list(told) == ["oats", "wheat"]
    assert "deep" in told["oats"][0]


def test_a_problem_keeps_the_file_that_it_names():
    for given, named in ((None, "property.toml"), ("own.toml", "own.toml")):
        problem = NeedProblem("x", fix="y")
        problem.source = given
        with pytest.raises(NeedProblem) as caught, _named_after("property.toml"):
            raise problem
        assert caught.value.source == named


# ---- done ------------------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("amount", "needed", "over"),
    [(105.5, 100.0, 0.0), (105.6, 100.0, 5.6), (90.0, 100.0, 0.0), (0.5, 0.0, 0.0),
     (0.75, 0.0, 0.75), (900.0, None, 0.0)],
)  # fmt: skip
def test_over_is_what_is_more_than_a_twentieth_and_half_a_pound(amount, needed, over):
    one = Done.of("lime", "slag", "lb", amount, (DAY,), needed, 3.0)
    assert one == Done(
        "lime", "slag", "lb", amount, needed, 3.0, pytest.approx(over), (DAY,)
    )


# ---- lime ------------------------------------------------------------------------------------------------
def test_lime_in_parts_is_told_part_by_part():
    text = parts_text(SimpleNamespace(ton_ac=5.0, parts_ton_ac=(2.0, 2.0, 1.0)))
    assert printed(text) == (
        "5.00 tons of lime an acre is more than 2 at a time: 2.00 now, 2.00 two to three years "
        f"later, 1.00 as long after that ({cite('mo-lime')}), by a soil test taken then (common "
        "practice, no source). The amounts here are those of now. If you work it into the "
        "ground, say how deep in “Depth you mix to” (lime_depth_in under its [[soil_test]] in "
        "property.toml): then all of it goes on at once."
    )


def test_late_lime_is_told_with_its_source():
    late = late_text()
    assert (late.more, late.cited) == ("", cite("mo-lime-time"))
    assert months_text().more == late.head
    assert months_text().cited == late.cited
    assert months_text().head == "spread the lime 3-6 months before planting"
    assert late.head == (
        "most lime begins to act in 3 to 6 months, so that of late lime this crop sees little"
    )


def test_a_state_s_buffer_is_named_as_far_as_it_was_read():
    assert its_method(None) == ""
    for state, (method, source) in buffer_methods().items():
        assert its_method(state).endswith(f" uses {method} ({cite(source)})")
        assert its_method(state).startswith("; the laboratory of ")
    assert {row["state"] for row in rows("buffer_methods")} == set(buffer_methods())
    assert "HI" not in buffer_methods()
    assert its_method("ZZ") == (
        "; which buffer the laboratory of ZZ uses was not read: its report says"
    )


# ---- cautions --------------------------------------------------------------------------------------------
def test_what_to_mind_of_a_seed():
    assert list(seed_cautions(["chicory", "oats", "hairy vetch"], "drill")) == [
        ("noxious-seed",
         "chicory: it can escape (from memory); ask the state seed-law office first."),
        ("noxious-seed",
         "hairy vetch: it can escape (from memory); ask the state seed-law office first."),
    ]  # fmt: skip
    ((code, text),) = seed_cautions(["oats", "crimson clover", "wheat"], "broadcast")
    assert code == "baiting-law"
    assert text == (
        "oats, wheat on top of the ground can count as bait for migratory birds unless sown "
        "inside the state's official dates and ways; an area stays baited until 10 days after "
        "all of it is gone (50 CFR 20.11). The federal and state wildlife agencies decide."
    )
    assert list(seed_cautions(["crimson clover"], "broadcast")) == []
    assert len(all_cautions()) == 9
    assert all_cautions()[1].topic == "label"
    assert all(isinstance(one, Caution) for one in all_cautions())


def test_what_to_mind_of_a_fertilizer():
    table = {row["grade"]: row for row in rows("fertilizers")}
    told = {g for g, row in table.items() if row["caution"]}
    for grade, row in table.items():
        said = list(grade_cautions([grade, "1-2-3"], drilled=False))
        assert [code for code, _ in said] == ["fertilizer"] * (grade in told)
        for _, text in said:
            memory = ", part of this from memory" if row["from_memory"] else ""
            assert text.head == f"{grade}: {row['caution']}"
            assert text.cited == f"{cite(row['source'])}{memory}"
    assert list(grade_cautions([], drilled=True)) == [
        ("salt-and-seed",
         "keep fertilizer off the seed row and out of a hopper with inoculated seed (from memory).")
    ]  # fmt: skip


# ---- hours of what is left and of what was done ----------------------------------------------------------
GEAR = Equipment()
HOME = Property(PropertyInfo("Home"), equipment=GEAR)


class Ground(SimpleNamespace):
    """A piece of ground of five acres that keeps what is said of it."""

    def say(self, code, text):
        self.said.append((code, text))


def ground(**more):
    plain = {"acres": 5.0, "seed": (), "fertilizer": [], "lime_line": None, "done": (),
             "work": {}, "said": [], "key": "a"}  # fmt: skip
    return Ground(**{**plain, **more})


SEED = (SimpleNamespace(method="broadcast", pass_=1, lb=300.0),)
LIME = SimpleNamespace(ton=0.5)


def test_sowing_and_liming_are_counted_whole_before_anything_is_taken_off():
    one = ground(seed=SEED, lime_line=LIME)
    count_whole(one, HOME)
    assert one.work == {
        "plant": sow_work(5.0, SEED, GEAR), "lime": lime_work(5.0, 1000.0, GEAR, None),
    }  # fmt: skip
    assert one.said == []
    none = ground()
    count_whole(none, HOME)
    assert none.work == {}


def test_hours_are_of_what_is_left_or_else_of_what_was_done():
    fed = [SimpleNamespace(lb=lb, when=when) for lb, when in (
        (100.0, "planting"), (500.0, "planting"), (90.0, "top-dressing"))]  # fmt: skip
    spread = (SimpleNamespace(what="fertilizer", amount=700.0),
              SimpleNamespace(what="seed", amount=9.0))  # fmt: skip
    one = ground(seed=SEED, fertilizer=fed, done=spread, work={"plant": 1, "mow": 2})
    count_work(one, HOME)
    assert one.work == {
        "plant": sow_work(5.0, SEED, GEAR), "mow": 2,
        "fertilize": spread_work(5.0, [100.0, 500.0], GEAR),
        "top-dress": spread_work(5.0, [90.0], GEAR),
    }  # fmt: skip
    over = ground(done=spread, work={"plant": 1})
    count_work(over, HOME)
    assert over.work == {"plant": 1, "fertilize": spread_work(5.0, [700.0], GEAR)}
    sown = ground(done=spread[1:])
    count_work(sown, HOME)
    assert sown.work == {}
    limed = ground(lime_line=SimpleNamespace(ton=20.0))
    count_work(limed, HOME)
    truck = lime_work(5.0, 40_000.0, GEAR, None)
    assert limed.work == {"lime": truck}
    assert limed.said == [("many-loads", truck.note)]


def test_what_was_done_is_written_to_its_own_ground():
    one = ground(key="a")
    other = ground(key="b")
    row = Done.of("fertilizer", "34-0-0", "lb", 700.0, (DAY,))
    _count_done([one, other], SimpleNamespace(done={"a": (row,)}), HOME)
    assert (one.done, other.done) == ((row,), ())
    assert one.work == {"fertilize": spread_work(5.0, [700.0], GEAR)}
