"""How long a year takes to plan: ``python tests/benchmarks/bench_year.py [PLOTS]``.

Fifty invented plots of eight tasks, 58 acres in all, on weekends; and what was proved.
"""

import datetime as dt
import sys
import time
from dataclasses import replace

from quietacre.settings import Area, Property, PropertyInfo, Quiet, SoilTest, Work
from quietacre.year.menu import holds
from quietacre.year.plan import Ground, plan_days
from quietacre.year.report import bound_words
from quietacre.year.takes import NOTHING, Brought

LIME = replace(NOTHING, lime_ton=1.0, fertilizer=[Brought("13-13-13", 100.0)])


def big_property(plots, hours_day=9.0, acres_all=58.0, **work):
    """Return an invented property of many plots, planted over September, and its acres."""
    weights = [1 + (7 * n) % 11 for n in range(plots)]
    acres = [acres_all * w / sum(weights) for w in weights]
    areas = tuple(
        Area(f"P{n:02d}", "plot", "p.gpx", soil_test="t",
             plant=dt.date(2027, 9, 11) + dt.timedelta(days=7 * (n % 5)))
        for n in range(plots)
    )  # fmt: skip
    prop = Property(
        PropertyInfo("Big"), quiet=(Quiet("nesting", "05-15", "07-03"),), area=areas,
        soil_test=(SoilTest("t", on=dt.date(2026, 12, 1)),),
        work=Work(hours_day=hours_day, **work),
    )  # fmt: skip
    return prop, acres


def ground_of(prop, acres):
    ids = tuple(f"a{n:02d}" for n in range(1, len(acres) + 1))
    return Ground(
        ids,
        tuple(acres),
        dict.fromkeys(ids, LIME),
        (),
        dt.date(2027, 1, 2),
        {},
    )


def measure(plots, effort):
    """Return the seconds a year takes, its tasks, and what was proved."""
    prop, acres = big_property(plots, acres_all=58.0 * plots / 50)
    began = time.perf_counter()
    plan = plan_days(ground_of(prop, acres), prop, effort=effort)
    seconds = time.perf_counter() - began
    assert holds(plan, prop)
    return seconds, len(plan.tasks), bound_words(plan.assigned, len(plan.missed))


def main(plots=50):
    for effort in ("plain", "place", "best"):
        seconds, tasks, words = measure(plots, effort)
        print(f"{tasks} tasks, {effort}: {seconds:.1f} s; {words}")


if __name__ == "__main__":
    main(*(int(a) for a in sys.argv[1:]))
