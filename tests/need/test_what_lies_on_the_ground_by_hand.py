"""More than was asked, several plantings as one, the shed, inoculant: each told from made-up lines."""

import dataclasses
import datetime as dt
from types import SimpleNamespace

from quietacre.figures import printed
from quietacre.logbook import LOG
from quietacre.need.account import Account
from quietacre.need.asked import TOP
from quietacre.need.cover import cover_lines, cover_text
from quietacre.need.done import Done
from quietacre.need.fertilizer import Plot
from quietacre.need.grade import Grade
from quietacre.need.inoculant import by_group, inoculate_text
from quietacre.need.job import Job
from quietacre.need.merged import merged_need
from quietacre.need.records import LeftShort, Need, Unmet
from quietacre.need.stock import enough_of, grade_of
from quietacre.need.too_much import say_too_much, too_much_lines
from quietacre.plantings import Sown
from quietacre.record.on_hand import Held
from quietacre.record.uses import Use, Window
from quietacre.settings import Buying, Product, SoilTest

D = dt.date
SEASON = Window(D(2027, 3, 1), D(2028, 2, 28))
MAY = D(2027, 5, 3)
NO_MORE = Buying(short_pct=0.0, over_pct=0.0, over_lb_ac=0.0)
#: What is said behind every sentence of what is too much.
UNDO = (
    "If a line stands twice or on the wrong ground, take it back with quietacre log DIR --undo ID. "
    "What lies there stays there: of lime and nutrients a new soil test tells, of a spray its "
    "label, and no more of it is planned here."
)


def job(test=None, *, acres=2.0, key="a01"):
    area = Sown("North", "plot", "f.gpx", area_id="a01", key=key)
    return Job(
        key, "North", acres, acres, acres, -86.0, 33.0, None, test, area, False, {}, SEASON
    )


def use(task, item, amount, on=MAY):
    return Use(on, "North", task, item, amount, "written", 2)


def too_much(*done, uses=(), plots=(), test=None, buying=NO_MORE, acres=2.0):
    """Return the one note of what is too much, None without one."""
    ground = job(test, acres=acres)
    say_too_much(ground, uses, Account(plots=plots, done={"a01": done}), buying)
    assert len(ground.notes) <= 1
    return ground.notes[0] if ground.notes else None


TESTED = SoilTest("lab", on=D(2027, 1, 5))


# ---- too much -----------------------------------------------------------------------------------------
def test_what_is_over_is_told_thing_by_thing():
    """Seed alone is a caution; lime or spray beside it is a warning."""
    oats = Done.of("seed", "oats", "lb", 300.0, (MAY,), 180.0)
    rye = Done.of("seed", "rye", "lb", 40.0, (MAY,), 0.0)
    lime = Done.of("lime", "lime-ag", "lb", 9000.0, (MAY,), 4000.0)
    jug = Done.of("spray", "jug", "fl oz", 200.0, (MAY,), 128.0)
    seed = "120 lb of oats too much (the mix asks for 180, 300 went out)"
    note = too_much(oats, rye, test=TESTED)
    assert (note.code, note.level, note.more) == ("more-than-asked", "caution", UNDO)
    assert printed(note.head) == (
        f"{LOG} has more than was asked: {seed}; 40 lb of rye, which is not in the mix."
    )
    note = too_much(lime, jug, test=TESTED)
    assert note.level == "warning"
    assert printed(note.head).endswith(
        " has more than was asked: 5,000 lb of lime too much (the soil test asks for 4,000, 9,000 "
        "went out); 72 fl oz of jug too much (the rate asks for 128, 200 went out)."
    )
    assert too_much(oats, jug, test=TESTED).level == "warning"


def test_what_is_not_over_and_fertilizer_by_its_name_say_nothing():
    assert (
        too_much(Done.of("seed", "oats", "lb", 180.0, (MAY,), 180.0), test=TESTED) is None
    )
    fed = dataclasses.replace(
        Done.of("fertilizer", "13-13-13", "lb", 90.0, (MAY,)), over=9.0
    )
    assert too_much(fed, test=TESTED) is None
    assert too_much(test=TESTED) is None


def test_nutrients_are_over_by_the_plan_of_their_ground():
    """Two plots of one acre and three ask 20 and 60 lb: 80; the top-dressing is the same ground's."""
    plots = (
        Plot("a01", 1.0, {"n": 20.0}), Plot("a01" + TOP, 3.0, {"n": 20.0}),
        Plot("a02", 9.0, {"n": 90.0}),
    )  # fmt: skip
    for lb, over in (
        (80.5, None),
        (82.0, "2 lb of N too much (the plan asks for 80, 82 went out)"),
    ):
        note = too_much(uses=[use("fertilize", "100-0-0", lb)], plots=plots, test=TESTED)
        assert (note and printed(note.head).split("asked: ")[1]) == (over and f"{over}.")
    assert note.level == "warning"
    # 10 lb/ac more than asked may go on: 80 and 20 on two acres
    loose = Buying(short_pct=0.0, over_pct=0.0, over_lb_ac=10.0)
    for lb, over in ((100.5, False), (102.0, True)):
        note = too_much(
            uses=[use("fertilize", "100-0-0", lb)], plots=plots, test=TESTED, buying=loose
        )
        assert bool(note) is over
    # potash that nobody asks for is too much, sulfur is not
    potash = [use("fertilize", "0-0-100", 60.0)]
    assert (
        "60 lb of K2O too much (the plan asks for none)"
        in too_much(uses=potash, plots=plots, test=TESTED).text
    )
    assert (
        too_much(uses=[use("fertilize", "0-0-0-90S", 60.0)], plots=plots, test=TESTED)
        is None
    )
    asks = (Plot("a01", 2.0, {"s": 5.0}),)
    assert (
        "44 lb of S too much (the plan asks for 10, 54 went out)"
        in too_much(
            uses=[use("fertilize", "0-0-0-90S", 60.0)], plots=asks, test=TESTED
        ).text
    )
    # on no ground nothing is an acre's
    assert too_much(uses=potash, plots=plots, test=TESTED, acres=0.0) is None


def test_lime_without_a_test_is_told_within_its_season():
    for lb, day, over in (
        (0.5, MAY, None), (1.5, MAY, "2 lb of lime, for which no soil test asks"),
        (900.0, D(2026, 5, 3), None),
    ):  # fmt: skip
        note = too_much(uses=[use("lime", "lime-ag", lb, day)])
        assert (note and printed(note.head).split("asked: ")[1]) == (over and f"{over}.")
    assert note is None
    both = [use("lime", "lime-ag", 600.0), use("lime", "lime-pellet", 300.0)]
    note = too_much(uses=both)
    assert "900 lb of lime, for which no soil test asks" in note.text
    assert note.level == "caution"
    assert too_much(uses=both, test=TESTED) is None


def test_the_terminal_says_it_ground_by_ground_and_nothing_else():
    ground = job()
    ground.say("other", "another thing")
    say_too_much(ground, [use("lime", "lime-ag", 900.0)], Account(), NO_MORE)
    (line,) = too_much_lines([ground, job()])
    assert printed(line).startswith("North: ")
    assert printed(line).endswith("asked: 900 lb of lime, for which no soil test asks.")


# ---- several plantings as one --------------------------------------------------------------------------
BARE = Need(
    (),
    (),
    None,
    (),
    (),
    None,
    None,
    (),
    {},
    None,
    None,
    None,
    None,
    None,
    None,
    None,
    None,
    (),
)


def test_plantings_are_added_line_by_line():
    spring = dataclasses.replace(
        BARE, seed=("oats",), fertilizer=("13-13-13",), spray=("jug",), setting=("drill", "boom"),
        cost=10.004, cost_ac=5.0, notes=("old",), work={"plant": "an hour"}, left_out_n_lb_ac=40.0,
        asked_lb_ac={"n": 40.0, "k2o": 20.0}, asked_of="the lab", done_lb_ac={"n": 4.0},
        unmet=(Unmet("n", 3.0, "planting", "why"),), given_lb_ac={"n": 36.0}, surplus_lb_ac={"n": 1.0},
        left_short=(LeftShort("n", 2.0, 80.0),), done=("sown",),
    )  # fmt: skip
    fall = dataclasses.replace(
        BARE, seed=("wheat", "oats"), fertilizer=("34-0-0",), lime="a ton", setting=("boom", "gun"),
        cost=5.001, cost_ac=2.5, notes=("new",), asked_lb_ac={"n": 60.0, "p2o5": 30.0},
        asked_of="upkeep", given_lb_ac={"n": 60.0}, left_out_n_lb_ac=20.0, done=("limed",),
    )  # fmt: skip
    limed = dataclasses.replace(BARE, lime="two tons", asked_of="the lab")
    assert merged_need([spring, fall, limed]) == Need(
        seed=("oats", "wheat", "oats"), fertilizer=("13-13-13", "34-0-0"), lime="a ton", spray=("jug",),
        setting=("drill", "boom", "gun"), cost=15.0, cost_ac=7.5, notes=("old", "new"), work={},
        left_out_n_lb_ac=60.0, asked_lb_ac={"n": 100.0, "k2o": 20.0, "p2o5": 30.0},
        asked_of="the lab; upkeep", done_lb_ac={"n": 4.0}, unmet=spring.unmet,
        given_lb_ac={"n": 96.0}, surplus_lb_ac={"n": 1.0}, left_short=spring.left_short,
        done=("sown", "limed"),
    )  # fmt: skip
    assert merged_need([spring]) is spring
    assert merged_need([BARE, BARE]) == BARE
    free = dataclasses.replace(BARE, cost=0.0, asked_lb_ac={})
    assert (merged_need([free, BARE]).cost, merged_need([free, BARE]).asked_lb_ac) == (
        0.0,
        {},
    )


# ---- the shed -------------------------------------------------------------------------------------------
def held(lb):
    return {"21-0-0-24S": Held("21-0-0-24S", "lb", bought=lb)}


def test_a_product_is_a_grade_with_what_is_on_hand_and_crumbs_more():
    """A twentieth of a bag of 40 lb is 2 lb more than the 30 that lie there."""
    product = Product("21-0-0-24S", bag_lb=40.0, price=12.0, max_bags=7)
    assert grade_of(product, held(30.0)) == Grade(
        "21-0-0-24S", 0.21, 0.0, 0.0, 0.24, 40.0, 12.0, 32.0, 7
    )
    assert grade_of(product, {}).stock_lb == 0.0
    loose = grade_of(Product("21-0-0-24S", bulk=True), held(30.0))
    assert (loose.bag_lb, loose.stock_lb, loose.price) == (2000.0, 130.0, None)
    plain = grade_of(Product("21-0-0-24S"), held(30.0))
    assert (plain.bag_lb, plain.stock_lb) == (50.0, 32.5)


def test_of_nothing_on_hand_there_are_no_crumbs():
    assert enough_of("21-0-0-24S", held(0.0), 40.0) == 0.0
    assert enough_of("21-0-0-24S", held(-3.0), 40.0) == 0.0
    assert enough_of("21-0-0-24S", held(0.5), 40.0) == 2.5
    assert enough_of("21-0-0-24S", held(0.5), None) == 0.5
    assert enough_of("13-13-13", held(0.5), 40.0) == 0.0


# ---- inoculant and cover ----------------------------------------------------------------------------------
def legume(crop, inoculant):
    return SimpleNamespace(crop=crop, inoculant=inoculant)


def test_legumes_are_inoculated_group_by_group():
    red, white = (
        legume("red clover", "clover group"),
        legume("white clover", "clover group"),
    )
    pea, oats = legume("pea", "bean group"), legume("oats", None)
    assert by_group([red, oats, pea, white]) == {
        "bean group": [pea],
        "clover group": [red, white],
    }
    assert list(by_group([red, pea])) == ["bean group", "clover group"]
    assert inoculate_text([red, oats, pea, white]) == (
        "inoculate pea with bean group; red clover and white clover with clover group; sow within a "
        "day of it"
    )
    assert inoculate_text([red, pea, white], {"white clover"}) == (
        "inoculate pea with bean group; red clover and white clover with clover group (group from "
        "memory: the seed's tag or the packet decides); sow within a day of it"
    )
    assert inoculate_text([oats]) == inoculate_text([]) == ""


def test_broadcast_seed_is_covered_pass_by_pass_where_all_of_it_lies():
    def row(number, crop, *depth, method="broadcast"):
        return SimpleNamespace(
            pass_=number, crop=crop, depth_in=depth or None, method=method
        )

    small, big = row(2, "clover", 0.0, 0.25), row(1, "oats", 0.5, 1.5)
    other = row(1, "wheat", 0.75, 2.0)
    roll, disk = "roll or cultipack, do not disk", "disk lightly or drag in"
    assert list(map(printed, cover_lines([small, big, other]))) == [
        f"cover: oats, wheat {disk}, 0.75-1.5 in.; clover {roll}, 0-0.25 in. (common practice)"
    ]
    assert list(map(printed, cover_lines([small]))) == [
        f"cover: {roll}, 0-0.25 in. (common practice)"
    ]
    assert cover_lines([row(1, "oats"), row(1, "oats", 0.5, 1.5, method="drill")]) == []
    for deepest, how in (
        (0.25, roll), (0.26, "drag lightly, then roll"), (0.75, "drag lightly, then roll"), (0.76, disk),
        (9.0, disk),
    ):  # fmt: skip
        assert cover_text((0.0, deepest)).startswith(f"{how}, ")
