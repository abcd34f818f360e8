"""A property drawn for a lived year, its plantings, and a ledger that knows nothing of the program.

Days count for the planting they are nearest to, pounds as they were written.
"""

import datetime as dt
from dataclasses import dataclass, field

import geopandas as gpd
import shapely

from quietacre.settings import (
    Area,
    Buying,
    Mix,
    NeedLbAc,
    Planting,
    Product,
    Property,
    PropertyInfo,
    Seed,
    SoilTest,
    Stock,
)

FIRST = dt.date(2027, 1, 1)
GRADES = {"13-13-13": (0.13, 0.13, 0.13), "34-0-0": (0.34, 0, 0), "0-0-60": (0, 0, 0.6),
          "0-46-0": (0, 0.46, 0)}  # fmt: skip
#: The day each mix is sown on; an area that is sown twice a year has both.
SOWN_ON = {"peas": dt.date(2027, 6, 1), "grain": dt.date(2027, 9, 20)}
TWICE = 0.3


def property_of(dice):
    """Return a property and the acres of its areas."""
    mixes = (
        Mix("grain", (Seed("oats", rate_lb_ac=90.0, basis="bulk", bag_lb=50.0, price_lb=0.5),
                      Seed("wheat", rate_lb_ac=60.0, basis="bulk", bag_lb=48.0, price_lb=0.4))),
        Mix("peas", (Seed("cowpea (iron-and-clay type)", rate_lb_ac=50.0, basis="bulk", bag_lb=50.0, price_lb=1.0),)),
    )  # fmt: skip
    tests = tuple(
        SoilTest(
            name, on=FIRST - dt.timedelta(days=dice.randint(5, 200)),
            lime_ton_ac=dice.choice([0.5, 1.0, 1.5]), lime_basis="ECCE", lime_basis_pct=100.0,
            need_lb_ac=NeedLbAc(n=dice.choice([0.0, 30.0, 60.0]), p2o5=40.0,
                                k2o=dice.choice([20.0, 60.0])),
        )
        for name in ("low", "high")
    )  # fmt: skip
    areas = tuple(_area(dice, f"Field {n}") for n in range(dice.randint(1, 4)))
    counted = FIRST + dt.timedelta(days=dice.randint(-30, 60))
    stock = [Stock("13-13-13", bags=float(dice.randint(0, 6)), on=counted)]
    stock += [Stock("oats", amount_lb=float(dice.randint(0, 200)), on=counted)]
    products = (
        Product("13-13-13", bag_lb=50.0, price=20.0), Product("34-0-0", bag_lb=50.0, price=19.0),
        Product("0-0-60", bag_lb=50.0, price=21.0), Product("0-46-0", bag_lb=50.0, price=30.0),
        Product("lime-ag", bulk=True, price=50.0, ecce_pct=100.0),
    )  # fmt: skip
    prop = Property(
        PropertyInfo("Home"), area=areas, mix=mixes, soil_test=tests, product=products,
        stock=tuple(stock), buying=Buying(max_products=3),
    )  # fmt: skip
    return prop, [round(dice.uniform(0.3, 4.0), 2) for _ in areas]


def _area(dice, name):
    """Return an area that is sown once or twice a year, by one soil test."""
    test, mixes = dice.choice(["low", "high"]), [dice.choice(list(SOWN_ON))]
    if dice.random() < TWICE:
        mixes = dice.sample(list(SOWN_ON), 2)
    rows = [{"mix": mix, "plant": SOWN_ON[mix], "soil_test": test} for mix in mixes]
    if len(rows) == 1:
        return Area(name, "plot", "f.gpx", **rows[0])
    return Area(name, "plot", "f.gpx", plantings=tuple(Planting(**row) for row in rows))


@dataclass(frozen=True)
class Sowing:
    """One planting of an area, by its key in the plan; the ``first`` of a year is limed and fed."""

    key: str
    area: str
    mix: str
    plant: dt.date
    test: SoilTest
    first: bool
    days: tuple[dt.date, ...]

    def holds(self, day):
        """Return whether a day is nearest to this planting, of all on its ground in any year."""
        every = [one + dt.timedelta(days=365 * n) for one in self.days for n in (-1, 0, 1)]
        return max(every, key=lambda one: (-abs((one - day).days), one)) == self.plant


def sowings_of(prop):
    """Return the plantings of a property."""
    tests, out = {test.name: test for test in prop.soil_test}, []
    for number, area in enumerate(prop.area, 1):
        rows = area.plantings or (area,)
        days = tuple(row.plant for row in rows)
        for n, row in enumerate(rows, 1):
            key = f"a{number:02d}" if n == 1 else f"a{number:02d}.{n}"
            first = row.plant == min(days)
            out.append(
                Sowing(
                    key, area.name, row.mix, row.plant, tests[row.soil_test], first, days
                )
            )
    return out


def ground(prop, acres):
    """Return the frame of a property's areas."""
    names = [area.name for area in prop.area]
    frame = {"id": list(prop.area_by_id), "name": names, "kind": ["plot"] * len(names),
             "acres": acres, "acres_low": acres, "acres_high": acres}  # fmt: skip
    boxes = [shapely.box(n, 0, n + 1, 1) for n in range(len(names))]
    return gpd.GeoDataFrame(frame, geometry=boxes, crs=4326)


@dataclass
class Ledger:
    """What happened, in pounds: (day, ground, item, pounds) of uses, (day, item, pounds) bought."""

    used: list = field(default_factory=list)
    bought: list = field(default_factory=list)
    planted: dict = field(default_factory=dict)
    split: set = field(default_factory=set)
    unsaid: set = field(default_factory=set)
    usd: float = 0.0

    def on_hand(self, prop, item):
        """Return stock, bought after its day, and used after its day. [lb]"""
        mine = [s for s in prop.stock if s.item == item]
        since = max((s.on for s in mine), default=dt.date.min)
        had = sum((s.amount_lb or 0.0) + (s.bags or 0.0) * 50.0 for s in mine)
        bought = sum(lb for on, name, lb in self.bought if name == item and on > since)
        if not mine:  # nobody kept count before the first purchase
            since = min((on for on, name, _ in self.bought if name == item), default=FIRST)
            since -= dt.timedelta(days=1)
            if not bought:
                return 0.0, 0.0, 0.0
        used = sum(lb for on, _, name, lb in self.used if name == item and on > since)
        return had, bought, used

    def pounds(self, area, items, counts):
        """Return pounds on an area on days that count, by item."""
        out = dict.fromkeys(items, 0.0)
        for on, name, item, lb in self.used:
            if name == area and item in out and counts(on):
                out[item] += lb
        return out
