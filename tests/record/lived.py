"""A year that is lived by the plan, more or less, with a ledger of its own.

Some areas are sown twice a year. The ledger counts pounds as they are written and shares no
code with the program: what was bought, used and spread, and how many lines are to be spoken of.
"""

import datetime as dt
import math
import random

from lived_ledger import FIRST, GRADES, Ledger, ground, property_of, sowings_of

from quietacre.model import Job
from quietacre.need.account import account_of, lines_until, mark_sown
from quietacre.need.job import jobs_of
from quietacre.need.plan import plan_needs
from quietacre.need.soil import lime
from quietacre.need.sown import sow
from quietacre.need.sprayed import spray
from quietacre.need.tables import crops
from quietacre.record.book import book_of
from quietacre.record.on_hand import Held

DAYS = 365
NUTRIENTS = ("n", "p2o5", "k2o")
CRUMB = 0.05
TON = 2000.0


class Year:
    """A property, its log so far and the ledger beside it."""

    def __init__(self, seed):
        """Draw a property."""
        self.dice = random.Random(seed)  # noqa: S311 - drawn again alike, no secret
        self.prop, self.acres = property_of(self.dice)
        self.areas, self.sowings = ground(self.prop, self.acres), sowings_of(self.prop)
        self.jobs, self.ledger, self.undone = [], Ledger(), []
        self.size = {
            a.name: size for a, size in zip(self.prop.area, self.acres, strict=True)
        }

    def write(self, on, area, task, **cells):
        """Add a line to the log and return its number."""
        number = len(self.jobs) + 2
        typed = {k: f"{v:g}" if isinstance(v, float) else str(v) for k, v in cells.items()}
        self.jobs.append(Job(on, area, task, number, f"line{number:05d}", typed))
        return number

    def undo(self, on, number):
        """Take a line back."""
        self.jobs.append(Job(on, "", "undo", len(self.jobs) + 2, f"line{number:05d}", {}))

    def book(self):
        """Return the book of the log."""
        return book_of(self.jobs, self.prop)

    def plan(self, today):
        """Return the whole plan of a day."""
        return plan_needs(self.areas, self.prop, book=self.book(), today=today)

    def account(self, today):
        """Return the account of a day and its jobs, without the solver of bags."""
        table = crops(None, None)
        jobs = list(jobs_of(self.areas, self.prop, None, table, today))
        lines = lines_until(self.book(), self.prop, today)
        mark_sown(jobs, lines)
        for job in jobs:
            sow(job, self.prop)
            lime(job, self.prop)
            spray(job, self.prop)
        products = [p for p in self.prop.product if p.grade in GRADES]
        return jobs, account_of(jobs, lines, products, self.prop, today)

    # ---- what a person does on a day -------------------------------------------

    def live(self, today, plan):
        """Do one thing that the plan of the day asks, more or less, and write it down."""
        what = self.dice.choices(
            ["buy", "lime", "fertilize", "plant", "several", "wrong", "dear"],
            [5, 3, 7, 2, 1, 1, 1],
        )[0]
        getattr(self, "_" + what)(today, plan)

    def count_and_buy(self, today, plan):
        """Buy a bag on the day of the count: it is in the count."""
        self.write(
            today, "", "bought", item="oats", amount=1, unit="bag", bag_lb=50, price=9.0
        )
        self.ledger.bought.append((today, "oats", 50.0))
        self.ledger.usd += 9.0
        self.live(today, plan)

    def _buy(self, today, plan):
        rows = [row for row in plan.shopping if row["packs"]]
        if rows:
            row = self.dice.choice(rows)
            packs = self.dice.randint(1, row["packs"])
            # the shop's bag may hold less than the plan's
            bag = 40.0 if row["pack"] == 50.0 and self.dice.random() < 0.3 else row["pack"]  # noqa: PLR2004
            cells = {"item": row["item"], "price": 10.0 * packs}
            if row["item"].startswith("lime"):
                cells |= {"amount": packs, "unit": "tons"}
            else:
                cells |= {"amount": packs, "unit": "bags", "bag_lb": bag}
            self.write(today, "", "bought", **cells)
            self.ledger.bought.append((today, row["item"], packs * bag))
            self.ledger.usd += 10.0 * packs

    def _area(self):
        return self.dice.choice(self.prop.area).name

    def _first(self, area):
        return next(one for one in self.sowings if one.area == area and one.first)

    def _lime_need(self, plan, area):
        return plan.by_id[self._first(area).key]["lime"]

    def _lime(self, today, plan):
        area = self._area()
        need = self._lime_need(plan, area)
        if need is None:
            return
        whole = need["ton"] * TON
        if self.dice.random() < 0.3:  # noqa: PLR2004 - no amount: what is left
            number = self.write(today, area, "limed")
            self.ledger.unsaid.add(number)
            self.ledger.used.append((today, area, "lime-ag", whole))
            return
        lb = round(whole * self.dice.choice([0.4, 0.97, 1.0, 1.2]), 1)
        self.write(today, area, "spread lime", item="lime-ag", amount=lb, unit="lb")
        self.ledger.used.append((today, area, "lime-ag", float(f"{lb:g}")))

    def _fertilize(self, today, plan):
        one = self.dice.choice(self.sowings)
        area, rows = one.area, plan.by_id[one.key]["fertilizer"]
        if self.dice.random() < 0.3:  # noqa: PLR2004 - what was at hand, planned or not
            rows = [
                {"grade": self.dice.choice(list(GRADES)), "lb": 150.0 * self.size[area]}
            ]
        if rows:
            row = self.dice.choice(rows)
            lb = round(row["lb"] * self.dice.choice([0.5, 0.98, 1.0, 1.1]), 1)
            self.write(today, area, "fertilize", item=row["grade"], amount=lb, unit="lb")
            self.ledger.used.append((today, area, row["grade"], float(f"{lb:g}")))

    def _plant(self, today, plan):
        one = self.dice.choice(self.sowings)
        if abs((today - one.plant).days) > 40 or one.key in self.ledger.planted:  # noqa: PLR2004
            return
        self.ledger.planted[one.key] = today
        area, rows = one.area, plan.by_id[one.key]["seed"]
        if self.dice.random() < 0.4:  # noqa: PLR2004
            number = self.write(today, area, "planted")
            self.ledger.unsaid.add(number)
            self.ledger.used += [(today, area, row["crop"], row["lb"]) for row in rows]
            return
        for row in rows:
            lb = round(row["lb"] * self.dice.uniform(0.9, 1.1), 1)
            self.write(today, area, "sowed", item=row["crop"], amount=lb, unit="lb")
            self.ledger.used.append((today, area, row["crop"], float(f"{lb:g}")))

    def _several(self, today, plan):
        some = [a.name for a in self.prop.area if self._lime_need(plan, a.name)]
        if len(some) < 2:  # noqa: PLR2004
            return
        asked = {name: self._asked_lime(name) for name in some}
        whole = round(sum(self._lime_need(plan, n)["ton"] for n in some) * 1000.0, 1)
        number = self.write(
            today, "; ".join(some), "limed", item="lime-ag", amount=whole, unit="lb"
        )
        self.ledger.split.add(number)
        for name in some:
            lb = float(f"{whole:g}") * asked[name] / sum(asked.values())
            self.ledger.used.append((today, name, "lime-ag", lb))

    def _wrong(self, today, plan):
        number = self.write(
            today, self._area(), "limed", item="lime-ag", amount=50.0, unit="tons"
        )
        self.undo(today, number)

    def _dear(self, today, plan):
        """Buy something that no plan asks for."""
        self.write(today, "", "bought", item="gate hinges", amount=2, unit="lb", price=12.0)
        self.ledger.usd += 12.0

    def _asked_lime(self, area):
        return self._first(area).test.lime_ton_ac * self.size[area] * TON

    # ---- what must hold ------------------------------------------------------------

    def check_day(self, today):
        """Hold the account of a day against the ledger."""
        jobs, account = self.account(today)
        items = {item for _, item, _ in self.ledger.bought}
        items |= {item for _, _, item, _ in self.ledger.used}
        for item in items:
            had, bought, used = self.ledger.on_hand(self.prop, item)
            held = account.shed.get(item) or Held(item, "lb")
            near(held.counted + held.bought, had + bought, item)
            near(held.used, used, item)
            near(held.on_hand, max(had + bought - used, 0.0), item)
        for job, one in zip(jobs, self.sowings, strict=True):
            assert job.key == one.key
            self._check_lime(job, one)
            if one.key in self.ledger.planted:
                assert one.holds(self.ledger.planted[one.key])
            assert (job.seed == ()) == (one.key in self.ledger.planted), one
        near(sum(account.spent.values()), self.ledger.usd, "dollars")

    def _check_lime(self, job, one):
        if not one.first:  # its ground is limed once, before what is sown first
            assert job.lime_line is None, job.key
            return
        asked = self._asked_lime(one.area)
        since = self.ledger.pounds(one.area, ("lime-ag",), lambda on: on >= one.test.on)
        spread = since["lime-ag"]
        left = job.lime_line.ton * TON if job.lime_line else 0.0
        expected = asked - spread
        near(left, 0.0 if expected < CRUMB * asked and spread else expected, job.name)

    def check_plan(self, today, plan):
        """Hold the whole plan of a day: what is bought and spread is enough and not too much."""
        notes = {note.code: note.text for note in plan.notes}
        for count, code in (
            (len(self.ledger.unsaid), "log-amount"), (len(self.ledger.split), "log-split")
        ):  # fmt: skip
            told = notes.get(code, "log.csv: 0 lines").removeprefix("log.csv: ")
            assert int(told.split()[0]) == count, (code, told, count)
        for row in plan.shopping:
            if row["pack"] is None:  # inoculant has no pack of its own
                continue
            had, bought, used = self.ledger.on_hand(self.prop, row["item"])
            held = max(had + bought - used, 0.0)
            near(row["on_hand"], held, row["item"])
            crumb = CRUMB * row["pack"] if held > 0 else 0.0
            lack = row["left"] - held
            if row["what"] != "fertilizer":
                assert row["packs"] == max(
                    math.ceil((lack - crumb) / row["pack"] - 1e-6), 0
                )
            else:
                assert row["packs"] * row["pack"] + held + crumb >= row["left"] - 0.1  # noqa: PLR2004
                assert row["packs"] * row["pack"] < max(lack, 0.0) + row["pack"] + 0.1  # noqa: PLR2004
        for one in self.sowings:
            self._check_feed(one, plan.by_id[one.key])

    def _check_feed(self, one, need):
        """No nutrient goes on twice: spread and to be spread stay under the cap together.

        Phosphate and potash of a soil test are for what is sown first of a year.
        """
        buying = self.prop.buying
        for k, nutrient in enumerate(NUTRIENTS):
            staying = nutrient != "n"
            counts = (
                one.holds if not staying else lambda on: one.first and on >= one.test.on
            )
            spread = self.ledger.pounds(one.area, GRADES, counts)
            given = (
                sum(lb * GRADES[item][k] for item, lb in spread.items())
                / self.size[one.area]
            )
            more = sum(row[f"{nutrient}_lb_ac"] for row in need["fertilizer"])
            asked = getattr(one.test.need_lb_ac, nutrient) or 0.0
            if (not staying and one.mix == "peas") or (staying and not one.first):
                asked = 0.0
            cap = max(asked * (1 + buying.over_pct / 100), asked + buying.over_lb_ac)
            near((need.get("done_lb_ac") or {}).get(nutrient, 0.0), given, (one, nutrient))
            assert more <= max(cap - given, 0.0) + 0.05, (one, nutrient)  # noqa: PLR2004
            unmet = any(row["nutrient"] == nutrient for row in need.get("unmet", ()))
            lacks = asked - given - more
            assert lacks <= 0.5 or unmet or (given and lacks < CRUMB * asked + 0.5), (
                one,
                nutrient,
            )  # noqa: PLR2004


def near(found, expected, what):
    """Hold a figure against the ledger's, within what a cell's six digits say."""
    assert math.isclose(found, expected, rel_tol=1e-6, abs_tol=0.05), (
        what,
        found,
        expected,
    )


def live_a_year(seed, *, events=30):
    """Live a year, checked after every day; return how many lines the log has."""
    year = Year(seed)
    days = {*year.dice.sample(range(DAYS), events)}
    days |= {
        (stock.on - FIRST).days for stock in year.prop.stock
    }  # bought on the day of the count
    for number in range(DAYS):
        today = FIRST + dt.timedelta(days=number)
        if number in days:
            counting = any(stock.on == today for stock in year.prop.stock)
            (year.count_and_buy if counting else year.live)(today, year.plan(today))
            year.check_plan(today, year.plan(today))
        year.check_day(today)
    return len(year.jobs)
