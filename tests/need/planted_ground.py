"""A planting of two acres as the plan has it, with what is laid on it by hand."""

import dataclasses
import datetime as dt
from types import SimpleNamespace

from quietacre.figures import printed
from quietacre.need.fertilizer import Plot
from quietacre.need.records import LimeLine
from quietacre.need.tables import crops
from quietacre.record.uses import Window

D = dt.date
FALL = Window(D(2027, 7, 1), D(2028, 2, 28))


class Ground(SimpleNamespace):
    """A planting of two acres that keeps what is said of it."""

    def say(self, code, head, level="caution", *, more=""):
        self.notes.append((code, printed(head), level, printed(more)))

    def since_test(self, kind):
        return Window(D(2026, 1, 1) if kind == "lime" else D(2026, 6, 1), None)


def ground(key="a01", name="North", season=FALL, **more):
    plain = {
        "acres": 2.0, "low": 1.8, "high": 2.4, "spread": (0.9, 1.2), "table": crops(),
        "seed": (), "mix": None, "lime_line": None, "lime": None, "limed_with": None,
        "fed_before": None, "spray": [], "notes": [], "test": None, "done_lb_ac": None,
        "sown_on": None,
    }  # fmt: skip
    return Ground(key=key, name=name, season=season, **{**plain, **more})


def row(crop, lb):
    return SimpleNamespace(crop=crop, lb=lb)


def tank(name, product, *, on=None, unit="fl oz"):
    """Return a spray of the plan, none of it done."""
    return Sprayed(SimpleNamespace(name=name, product=product, unit=unit), on)


@dataclasses.dataclass(frozen=True)
class Sprayed:
    tank: object
    on: dt.date | None
    done: float = 0.0
    left: float | None = None


def limed(ton):
    return LimeLine(1.0, (1.0,), 1.0, ton, ton, ton, "lime-ag", "ECCE", "", (3, 6))


def plot(key="a01", acres=2.0, **need_lb_ac):
    return Plot(key, acres, {"n": 0.0, "p2o5": 0.0, "k2o": 0.0, **need_lb_ac}, None)
