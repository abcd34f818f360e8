"""What is said of the log, the shed and the year's dollars, each note whole."""

import datetime as dt
from types import SimpleNamespace

import pytest

from quietacre.figures import printed
from quietacre.model import Job as LogLine
from quietacre.need.account import Account, lines_until, mark_sown, mark_stood
from quietacre.need.account_notes import (
    _amount_notes,
    _counts,
    _elsewhere,
    _item_notes,
    _purchase_notes,
    _say_crumbs,
    _say_undated,
    _stock_notes,
    on_hand_of,
    spent_of_year,
)
from quietacre.need.before import Stood
from quietacre.need.done import Done
from quietacre.need.fertilizer import Plot
from quietacre.need.records import OnHand, Spent
from quietacre.record.book import book_of
from quietacre.record.goods import goods_of
from quietacre.record.on_hand import Bought, Held
from quietacre.record.uses import Use, Window
from quietacre.settings import Product, Property, PropertyInfo, SoilTest, Stock

D = dt.date
DAY = D(2027, 9, 20)
YEAR = Window(D(2027, 1, 1), D(2027, 12, 31))
LIME_AG = Product("lime-ag", bulk=True, price=50.0)
HOME = Property(
    PropertyInfo("Home"), product=(LIME_AG, Product("34-0-0", bag_lb=50.0, price=19.0))
)
UNDATED = "“Counted on” (on under its [[stock]] in property.toml)"


class Ground(SimpleNamespace):
    """A piece of ground that keeps what is said of it."""

    def say(self, code, head, level="caution", *, more=""):
        self.notes.append((code, printed(head), level, printed(more)))

    def since_test(self, kind):
        return Window(D(2026, 1, 1) if kind == "lime" else D(2026, 6, 1), None)


def ground(**more):
    plain = {"name": "North", "key": "a01", "season": YEAR, "finished": False, "notes": [],
             "test": SoilTest("lab"), "lime": 1, "by_test": True, "mix": 1}  # fmt: skip
    return Ground(**{**plain, **more})


def use(
    item="oats", amount=180.0, how="plan", *, task="plant", on=DAY, ground="North", line=2
):
    return Use(on, ground, task, item, amount, how, line)


def said(notes):
    return [(n.code, printed(n.text), n.level, n.source) for n in notes]


# ---- lines whose amount is the plan's --------------------------------------------------------------------
@pytest.mark.parametrize(
    ("one", "more", "counts"),
    [
        (use(), {}, True),
        (use(on=D(2026, 12, 31)), {}, False),
        (use(on=D(2028, 1, 1)), {}, False),
        (use(ground="South"), {}, False),
        (use(), {"finished": True}, False),
        (use(task="lime", on=D(2026, 1, 1)), {}, True),
        (use(task="lime", on=D(2025, 12, 31)), {}, False),
        (use(task="fertilize", on=D(2026, 6, 1)), {}, True),
        (use(task="fertilize", on=D(2026, 5, 31)), {}, False),
        (use(task="spray", on=D(2026, 6, 1)), {}, False),
    ],
)
def test_the_plan_goes_by_a_line_of_its_season_or_since_its_test(one, more, counts):
    assert _counts(one, Account(), [ground(**more)]) is counts


def test_the_shed_goes_by_a_line_after_its_count():
    shed = {"oats": Held("oats", "lb", 500.0, D(2026, 5, 1))}
    for day, counts in ((D(2026, 5, 1), False), (D(2026, 5, 2), True)):
        assert _counts(use(on=day), Account(shed=shed), []) is counts
    assert not _counts(use("rye", on=D(2026, 5, 2)), Account(shed=shed), [])


def test_lines_without_an_amount_are_told_by_why_and_counted():
    uses = [
        use(line=9), use("jug", 4.0, task="spray", line=9), use(line=3, ground="North"),
        use(how="kept", line=5), use(how="split", line=6), use(how="written", line=7),
        use(how="rate", line=8), use(on=D(2025, 1, 1), line=10), use(amount=0.0, line=11),
        *(use(line=n) for n in (12, 13)),
    ]  # fmt: skip
    shed = {"jug": Held("jug", "fl oz")}
    lines = [SimpleNamespace(number=4, trouble="“x” is no amount"),
             SimpleNamespace(number=5, trouble="")]  # fmt: skip
    account = Account(tuple(lines), tuple(uses), shed=shed)
    assert said(_amount_notes(account, [ground()])) == [
        (
            "log-amount",
            "log.csv: 5 lines without an amount that can be read: the plan's is taken, as it is "
            "made today (line 9: 180 lb of oats on North, 4.0 fl oz of jug on North; line 3: 180 "
            "lb of oats on North; line 11: none, for the plan asks no more there; and 2 more).",
            "caution", "log.csv",
        ),
        (
            "log-amount-kept",
            "log.csv: 1 line without an amount: what was taken when their year was closed stands "
            "(line 5: 180 lb of oats on North).",
            "caution", "log.csv",
        ),
        (
            "log-split",
            "log.csv: 1 line for several pieces of ground: split by what the plan asks of each "
            "(line 6: 180 lb of oats on North).",
            "caution", "log.csv",
        ),
        (
            "log-unit", "log.csv: 1 amount cannot be read (line 4: “x” is no amount).",
            "caution", "log.csv",
        ),
    ]  # fmt: skip
    assert list(_amount_notes(Account(uses=tuple(uses[5:7])), [ground()])) == []


def test_a_fourth_line_is_counted():
    uses = tuple(use(line=n) for n in (2, 3, 4, 5))
    (note,) = _amount_notes(Account(uses=uses), [ground()])
    assert printed(note.text).endswith("line 4: 180 lb of oats on North; and 1 more).")


def test_purchases_are_told_by_what_they_lack():
    def bought(line, how, item="oats", *, counts=True):
        return Bought(DAY, line, item, 50.0, 9.0, how, counts)

    assert said(
        _purchase_notes(
            [
                bought(2, "written"), bought(3, "written, unpriced"),
                bought(4, "plan", counts=False), bought(5, "price"), bought(6, "plan, unpriced", ""),
            ]
        )
    ) == [
        (
            "log-bought",
            "log.csv: 1 purchase of no amount that anybody can tell, so nothing is added to the "
            "shed (line 4: oats).",
            "caution", "log.csv",
        ),
        (
            "log-bought",
            "log.csv: 2 purchases without an amount, taken by what was paid or what the plan takes "
            "(line 5: oats; line 6: no item).",
            "caution", "log.csv",
        ),
        (
            "log-price",
            "log.csv: 2 purchases without a price, which is taken from what you gave as prices "
            "(line 3: oats; line 6: no item).",
            "caution", "log.csv",
        ),
    ]  # fmt: skip
    assert list(_purchase_notes([bought(2, "written")])) == []


def test_what_is_no_grade_and_what_went_elsewhere_is_named_once():
    uses = (
        use("posts", task="fertilize", line=4), use("posts", task="top-dress", line=5),
        use("", task="fertilize", line=6), use("13-13-13", task="fertilize"), use("rye"),
        use(ground="Woods"), use(ground="Woods"), use(ground=""),
    )  # fmt: skip
    assert said(_item_notes(Account(uses=uses))) == [
        (
            "log-item",
            "log.csv: what was fertilized with is no grade such as 13-13-13, so no nutrient is "
            "taken off (“posts”, line 4; “no item”, line 6).",
            "caution", "log.csv",
        )
    ]  # fmt: skip
    assert said(_elsewhere(uses, {"North"})) == [
        (
            "log-elsewhere",
            "log.csv: something was spread, sown or sprayed on ground that the plan does not feed "
            "or sow; it only leaves the shed (Woods; no area).",
            "info", "log.csv",
        )
    ]  # fmt: skip
    assert list(_item_notes(Account(uses=uses[3:]))) == []
    assert list(_elsewhere(uses[:5], {"North"})) == []


# ---- the shed --------------------------------------------------------------------------------------------
def test_a_shed_is_told_by_what_does_not_add_up():
    shed = {
        "oats": Held("oats", "lb", 10.0, D(2027, 3, 1), bought=20.0, used=42.0),
        "jug": Held("jug", "fl oz", bought=4.0, used=4.75),
        "rye": Held("rye", "lb", 10.0, used=10.5),
        "wheat": Held("wheat", "lb", 5.0, dated=False, used=4.0),
        "vetch": Held("vetch", "lb", 5.0, dated=False),
    }
    prop = Property(
        PropertyInfo("x"), product=(Product("lime-x"), Product("34-0-0", bag_lb=50.0)),
        stock=(Stock("lime-x", bags=2), Stock("34-0-0", bags=2), Stock("lime-x", amount_lb=9.0)),
    )  # fmt: skip
    uses = (use("chicory"), use("oats"), use(""), use("chicory"))
    account = Account(shed=shed, uses=uses, goods=goods_of(prop))
    assert said(_stock_notes(account, prop)) == [
        (
            "stock-undated",
            f"stock of wheat, vetch has no day: fill in {UNDATED}. Until then nothing that the "
            "log says was bought or used changes it (so far wheat: 0.0 lb bought and 4.0 lb used).",
            "caution", "property.toml",
        ),
        (
            "shed-short",
            "log.csv: more used than there was (oats: 42 lb used since March 1, 2027, 30 lb "
            "counted and bought; jug: 4.8 fl oz used, 4.0 fl oz counted and bought). A purchase is "
            "missing, or a count; nothing of it is taken to be on hand.",
            "caution", "log.csv",
        ),
        (
            "shed-unknown",
            "log.csv: what is left of chicory is not known, for the log has no purchase of it and "
            "no [[stock]] counts it; nothing is taken to be on hand.",
            "info", "log.csv",
        ),
        (
            "stock-bag",
            "stock of lime-x: nobody wrote what a bag of it holds, so its bags count for nothing; "
            "write bag_lb, or amount_lb here.",
            "caution", "property.toml",
        ),
    ]  # fmt: skip
    assert list(_stock_notes(Account(), prop)) == []
    assert on_hand_of(account)[:2] == (
        OnHand("oats", "lb", 10.0, D(2027, 3, 1), 20.0, 42.0, 0.0, 12.0, True),
        OnHand("jug", "fl oz", 0.0, None, 4.0, 4.75, 0.0, 0.75, True),
    )
    assert on_hand_of(account)[3] == OnHand(
        "wheat", "lb", 5.0, None, 0.0, 4.0, 5.0, 0.0, False
    )


def test_dollars_of_the_year_with_work_that_was_paid():
    def paid(day, usd, number):
        return LogLine(day, "North", "mowed", number, str(number), {"price": usd})

    book = book_of(
        [paid(D(2026, 12, 31), "100", 2), paid(D(2027, 1, 1), "30", 3), paid(DAY, "4.5", 4),
         paid(DAY + dt.timedelta(days=1), "200", 5)], HOME,
    )  # fmt: skip
    account = Account(spent={"oats": 40.0, "posts": 12.344, "rye": 1.0})
    costs = (("oats", 20.004), ("rye", None), ("lime", 5.0))
    lines = [SimpleNamespace(item=item, cost_usd=usd) for item, usd in costs]
    assert spent_of_year(account, lines, book, DAY) == Spent(
        2027, 41.0, 12.34, 34.5, 87.84, 25.0
    )
    assert spent_of_year(account, lines, book, None) == Spent(
        None, 41.0, 12.34, 0.0, 53.34, 25.0
    )
    assert spent_of_year(Account(), lines[1:2], None, None) == Spent(
        None, 0, 0, 0.0, 0.0, None
    )


# ---- a test without a day, crumbs ------------------------------------------------------------------------
def test_a_test_without_a_day_says_what_it_would_save():
    uses = [
        use("lime-ag", 3000.0, task="lime", on=D(2027, 3, 1)),
        use("34-0-0", 100.0, task="fertilize", on=D(2027, 2, 1)),
        use("lime-ag", 1000.0, task="lime", on=D(2027, 4, 1)),
        use("slag", 7.0, task="lime", on=D(2027, 5, 1)),
        use("oats", 9.0, on=D(2026, 1, 1)),
    ]
    account = Account(goods=goods_of(HOME))
    head = (
        "the soil test “lab” has no day, so nothing is taken off but nitrogen of the season"
    )

    def told(uses, account=account, **more):
        one = ground(**more)
        _say_undated(one, uses, account)
        return one.notes

    ((code, said_head, level, more),) = told(uses)
    assert (code, said_head, level) == ("soil-test-undated", head, "warning")
    # two tons of lime at $50 and two bags at $19
    assert more.startswith(
        "The log has 4,000 lb of lime-ag, 100 lb of 34-0-0, 7 lb of slag on it since February 1, "
        "2027, $138 worth: fill in "
    )
    assert more.endswith("and what came after it is not spread again.")
    ((_, _, _, more),) = told(uses, lime=None)
    assert more.startswith(
        "The log has 100 lb of 34-0-0 on it since February 1, 2027, $38 worth:"
    )
    ((_, _, _, more),) = told(uses, by_test=False)
    assert more.startswith(
        "The log has 4,000 lb of lime-ag, 7 lb of slag on it since March 1, "
    )
    # a product of the shop without a price or a pack is worth nothing that is known
    unpriced = Property(PropertyInfo("x"), product=(Product("34-0-0", bag_lb=50.0),))
    ((_, _, _, more),) = told(uses[1:2], Account(goods=goods_of(unpriced)))
    assert more.startswith(
        "The log has 100 lb of 34-0-0 on it since February 1, 2027: fill in "
    )
    ((_, _, _, more),) = told(uses[3:], Account())
    assert more.startswith("The log has 7 lb of slag on it since May 1, 2027: fill in ")
    assert told(uses, test=None) == []
    assert told(uses, test=SoilTest("lab", on=DAY)) == []
    assert told(uses[4:]) == []


def test_crumbs_that_count_as_done_are_told_above_half_a_pound():
    done = (
        Done.of("lime", "lime-ag", "lb", 3900.0, (DAY,), 4000.0, 0.0),
        Done.of("lime", "slag", "lb", 3999.5, (DAY,), 4000.0, 0.0),
        Done.of("lime", "marl", "lb", 100.0, (DAY,), 4000.0, 3900.0),
        Done.of("lime", "chalk", "lb", 100.0, (DAY,)),
        Done.of("seed", "oats", "lb", 170.0, (DAY,), 180.0, 0.0),
    )

    def plot(key, need, **given):
        return Plot(
            key, 2.0, {"n": 0.0, "p2o5": 0.0, "k2o": 0.0, **need}, None, given_lb_ac=given
        )

    plots = (
        plot("a01", {"n": 40.0, "k2o": 40.0}, n=39.0, k2o=30.0, p2o5=1.0, s=0.1),
        plot("a01+top", {"n": 20.0}, n=19.75),
        plot("a01+top", {"n": 20.0}, n=19.5),
        plot("a02", {"n": 40.0}, n=39.0),
    )
    one = ground()
    _say_crumbs(one, Account(plots=plots, done={"a01": done}))
    assert one.notes == [
        (
            "nearly-done",
            "100 lb of lime-ag, 2 lb of N, 1 lb of N short of what was asked, under 5 % of it",
            "info",
            "that counts as done, and nothing is bought for it.",
        )
    ]
    none = ground()
    _say_crumbs(none, Account(plots=plots[1:2], done={"a01": done[1:]}))
    assert none.notes == []


# ---- what the log has of each ground ---------------------------------------------------------------------
def test_the_last_sowing_of_a_season_is_the_one_that_counts():
    def line(day, name="North", task="plant"):
        return SimpleNamespace(
            on=day, parts=((name, task),), item="oats", mix="", bought=False
        )

    lines = [line(D(2026, 9, 1)), line(D(2027, 3, 1)), line(D(2027, 9, 1)), line(D(2028, 1, 1)),
             line(D(2027, 10, 1), "South"), line(D(2027, 11, 1), task="lime")]  # fmt: skip
    one, bare = ground(sown_on=None), ground(mix=None, sown_on=None)
    mark_sown([one, bare], lines)
    assert (one.sown_on, bare.sown_on) == (D(2027, 9, 1), None)
    mark_sown([one], lines[:1])
    assert one.sown_on is None
    mark_stood([one, bare], lines, HOME)
    before = (Stood(2026, 9, ("oats",), False, D(2026, 9, 1)),)
    assert (one.stood, bare.stood) == (before, before)
    open_season = ground(season=Window(None, None))
    mark_stood([open_season], lines, HOME)
    assert open_season.stood == ()
    first = ground(season=Window(D(2026, 9, 1), None))
    mark_stood([first], lines, HOME)
    assert first.stood == ()


def test_no_line_counts_without_a_log_or_a_day():
    book = book_of((), HOME)
    assert lines_until(None, HOME, DAY) == ()
    assert lines_until(book, HOME, None) == ()
    assert lines_until(book, HOME, DAY) == ()
