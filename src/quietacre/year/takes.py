"""What the jobs of a year ask of amounts: what to bring, how long it takes, what is done."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from quietacre.need.job import LATER

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Mapping, Sequence

    from quietacre.need.records import Need, SprayLine


@dataclass(frozen=True, slots=True)
class Brought:
    """Pounds of a crop or a fertilizer; ``later`` is kept for top-dressing."""

    name: str
    lb: float
    later: bool = False


@dataclass(frozen=True, slots=True)
class Sprayed:
    """One spray: its day where the person set one, its gallons, and product in ``unit``.

    ``minutes`` are None where nobody counted them.
    """

    name: str
    on: dt.date | None
    acres: float
    minutes: float | None
    gal: float
    product: float
    unit: str


@dataclass(frozen=True, slots=True)
class WorkTold:
    """Minutes of a job, and its passes and loads in words."""

    minutes: float
    text: str = ""


@dataclass(frozen=True, slots=True)
class DoneAlready:
    """What was done of a kind of thing ("seed", "lime", "fertilizer"), in its unit."""

    what: str
    item: str
    amount: float


@dataclass(frozen=True, slots=True)
class Takes:
    """What one planting takes, as the jobs of a year need it.

    ``nitrogen_given`` says that all the nitrogen asked for goes on before planting.
    """

    seed: Sequence[Brought] = ()
    fertilizer: Sequence[Brought] = ()
    lime_ton: float | None = None
    spray: Sequence[Sprayed] = ()
    done: Sequence[DoneAlready] = ()
    work: Mapping[str, WorkTold] = field(default_factory=dict)
    nitrogen_given: bool = False


NOTHING = Takes()


def takes_by_key(needs: Mapping[str, Need]) -> dict[str, Takes]:
    """Return what each planting takes."""
    return {key: _takes(need) for key, need in needs.items()}


def _takes(need: Need) -> Takes:
    short = any(row.nutrient == "n" for row in need.unmet or ())
    return Takes(
        seed=[Brought(row.crop, row.lb) for row in need.seed],
        fertilizer=[Brought(r.grade, r.lb, r.when == LATER) for r in need.fertilizer],
        lime_ton=need.lime.ton if need.lime else None,
        spray=[_sprayed(row) for row in need.spray],
        done=[DoneAlready(one.what, one.item, one.amount) for one in need.done],
        work={task: WorkTold(one.minutes, one.text) for task, one in need.work.items()},
        nitrogen_given=need.asked_lb_ac is not None and not short,
    )


def _sprayed(row: SprayLine) -> Sprayed:
    tank = row.tank
    return Sprayed(
        tank.name, row.on, row.acres, row.minutes, tank.gal, tank.product, tank.unit
    )
