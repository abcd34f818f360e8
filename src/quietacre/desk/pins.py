"""Pins of a phone while a person draws: where they lie, and the edges that run between them."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, TypedDict, get_args

from quietacre.boundary.error import SIGMA_M
from quietacre.boundary.pins import Corners, PinnedGround, ground_between
from quietacre.chance import CIRCULAR_95
from quietacre.desk.screen import HAND_PX
from quietacre.drawing.sheet import rings_of
from quietacre.edit.edge_error import pm_ft_of
from quietacre.errors import FileProblem
from quietacre.intake.vector import read_layer
from quietacre.measure.records import Ground
from quietacre.units import FT_M

if TYPE_CHECKING:
    from quietacre.desk.asked import Asked
    from quietacre.drawing.sheet import Lonlat

#: How good a pin is when nothing is said of the sky, 95 %. [ft]
PIN_PM_FT = SIGMA_M[None] * CIRCULAR_95 / FT_M


class PinTold(TypedDict):
    """A pin: its name, and its longitude and latitude. [deg]"""

    name: str
    at: list[float]


class WayTold(TypedDict):
    """The ground between pins, its edge straight or curved. [ac, deg]

    ``ft_per_px`` is the scale at which a hand is as far off as this edge. [ft]
    """

    way: str
    acres: float
    acres_low: float
    acres_high: float
    polygons: list[list[list[Lonlat]]]
    ft_per_px: float


class PinsTold(TypedDict):
    """The pins of a file, the ways to run an edge between them, and how good a pin is. [ft]

    ``why`` says why there is no edge between them as they stand, ``said`` what is said of it.
    """

    pins: list[PinTold]
    ways: list[WayTold]
    why: str
    said: list[str]
    pm_ft: float
    ft_per_px: float


def pins(_folder: Path, asked: Asked) -> PinsTold:
    """Return the pins of a file, and the ground between them straight and curved.

    ``path`` is told by the server alone. ``ft_per_px`` is the scale of a screen at which a hand
    is as far off as a pin, so that corners laid on pins have their error; each edge between all
    of them has its own.

    Raises
    ------
    FileProblem
        There are no pins in it, or it cannot be read.
    """
    path = Path(str(asked["path"]))
    waypoints = read_layer(path, shown=path.name).waypoints
    if not waypoints:
        raise FileProblem(
            "holds no pins",
            fix="mark each corner as a place on the phone, and bring the file it gives",
            source=path.name,
        )
    ways: list[WayTold] = []
    why = ""
    notes: list[str] = []
    for way in get_args(Corners):
        try:
            ground = ground_between(waypoints, corners=way)
        except FileProblem as problem:  # the page asks for their order in another way
            why = problem.what
            continue
        notes = [note.text for note in ground.notes]
        ways.append(
            {
                "way": way, "acres": ground.acres, "acres_low": ground.acres_low,
                "acres_high": ground.acres_high, "polygons": rings_of(ground.polygon),
                "ft_per_px": _pm_ft(ground) / HAND_PX,
            }
        )  # fmt: skip
    return {
        "pins": [{"name": pin.name, "at": [pin.lon, pin.lat]} for pin in waypoints],
        "ways": ways, "why": why, "said": notes, "pm_ft": PIN_PM_FT,
        "ft_per_px": PIN_PM_FT / HAND_PX,
    }  # fmt: skip


def _pm_ft(pinned: PinnedGround) -> float:
    """Return the error of corners that keeps the ± of an edge between pins once it is drawn. [ft]

    Where the edge is a curve, nobody saw it between them.
    """
    between = (pinned.acres_low, pinned.acres_high)
    ground = Ground(pinned.polygon, None, pinned.corners, (), (), between)
    return max(PIN_PM_FT, pm_ft_of(ground) or 0.0)
