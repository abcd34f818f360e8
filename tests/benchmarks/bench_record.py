"""What a long log adds to a build: 6,000 lines of 30 years on 60 areas, read, named, taken off.

    python tests/benchmarks/bench_record.py

Prints seconds of the processor with an empty log and with the long one; half of its lines
say no amount.
"""

import datetime as dt
import random
import tempfile
import time
from pathlib import Path

import geopandas as gpd
import shapely

from quietacre.intake.log import read_log
from quietacre.need.plan import plan_needs
from quietacre.record.book import book_of
from quietacre.settings import Area, Mix, Product, Property, PropertyInfo, Seed, SoilTest
from quietacre.year.seasons import seasons_of

AREAS, LINES, YEARS = 60, 6000, 30
TODAY = dt.date(2027, 9, 30)
ITEMS = {"limed": "lime-ag", "fertilized": "13-13-13", "planted": "oats", "bought": "oats"}


def place():
    """Return a property and the frame of its areas."""
    seed = [
        Seed(crop, rate_lb_ac=60.0, basis="bulk", bag_lb=50.0) for crop in ("oats", "wheat")
    ]
    area = tuple(
        Area(
            f"Field {n}",
            "plot",
            "f.gpx",
            mix="m",
            plant=dt.date(2027, 9, 20),
            soil_test="t",
        )
        for n in range(AREAS)
    )
    test = SoilTest("t", on=dt.date(2026, 12, 4), lime_ton_ac=1.0, lime_basis="pure")
    prop = Property(
        PropertyInfo("Home"), area=area, mix=(Mix("m", tuple(seed)),), soil_test=(test,),
        product=(Product("13-13-13", bag_lb=50.0), Product("lime-ag", bulk=True, ecce_pct=90.0)),
    )  # fmt: skip
    frame = {"id": list(prop.area_by_id), "name": [one.name for one in area]}
    frame |= {"kind": ["plot"] * AREAS}
    frame |= {key: [2.0] * AREAS for key in ("acres", "acres_low", "acres_high")}
    boxes = [shapely.box(n, 0, n + 1, 1) for n in range(AREAS)]
    return prop, gpd.GeoDataFrame(frame, geometry=boxes, crs=4326)


def lines():
    """Yield the cells of a log of many years."""
    dice = random.Random(1)  # noqa: S311 - the same log each time
    first = TODAY - dt.timedelta(days=365 * YEARS)
    for number in range(LINES):
        on = first + dt.timedelta(days=number * 365 * YEARS // LINES)
        task = dice.choice([*ITEMS, "mowed", "sprayed"])
        ground = "" if task == "bought" else f"Field {dice.randrange(AREAS)}"
        amount = (dice.randint(10, 300), "lb") if dice.random() < 0.5 else ("", "")
        yield on, ground, task, ITEMS.get(task, ""), *amount


def seconds(text, prop, areas):
    """Return seconds to read a log, name its lines, and work out amounts and seasons with it."""
    with tempfile.TemporaryDirectory() as room:
        path = Path(room) / "log.csv"
        path.write_text(text)
        began = time.process_time()
        jobs = read_log(path).jobs
        read = time.process_time()
        book = book_of(jobs, prop)
        named = time.process_time()
        plan_needs(areas, prop, book=book, today=TODAY)
        amounts = time.process_time()
        seasons_of(prop, TODAY, book.days_done(), ticked=book.ticked())
        return read - began, named - read, amounts - named, time.process_time() - amounts


def main():
    """Print what the long log adds."""
    prop, areas = place()
    head = "date,area,task,item,amount,unit\n"
    whole = head + "".join(",".join(map(str, cells)) + "\n" for cells in lines())
    seconds(whole, prop, areas)  # what is loaded and kept once
    best = {}
    for name, text in (("empty", head), ("long", whole)):
        tries = [seconds(text, prop, areas) for _ in range(5)]
        best[name] = min(tries, key=sum)
        print(
            f"{name}: read {best[name][0]:.3f}, named {best[name][1]:.3f}, amounts {best[name][2]:.3f}, "
            f"seasons {best[name][3]:.3f} s"
        )
    print(
        f"{LINES} lines add {sum(best['long']) - sum(best['empty']):.3f} s of the processor"
    )


if __name__ == "__main__":
    main()
