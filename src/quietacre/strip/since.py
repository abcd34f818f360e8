"""What surveys of the patches in one strip say: how far each moved, and what crossed."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING, ClassVar

import numpy as np

from quietacre.acreage.equal_area import area_m2
from quietacre.acreage.frame import LocalFrame
from quietacre.boundary.error import T_95, edge_area_sd
from quietacre.errors import placed
from quietacre.figures import feet, figure
from quietacre.model import SETTINGS_FILE, Note, SurveyedEdge
from quietacre.strip.advance import DRAWN_SIGMA_M, Advance, AdvanceFigures, advance
from quietacre.strip.ring import strip_ring
from quietacre.units import ACRE_M2

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Sequence

    import pandas as pd
    import shapely


@dataclass(frozen=True)
class Surveyed:
    """A patch that was surveyed twice, in longitude and latitude; errors in metres."""

    name: str
    old: shapely.Geometry
    new: shapely.Geometry
    old_on: dt.date | None
    new_on: dt.date | None
    old_sigma_m: float | None
    new_sigma_m: float | None

    def moved(self, width_ft: float) -> Advance:
        """Return how far the edge moved, and what lies beyond the strip of the old patch.

        Raises
        ------
        StripProblem
            The surveys are in the wrong order, or share no ground.
        """
        with placed(SETTINGS_FILE, f"area “{self.name}”"):
            return advance(
                self.old, self.new, old_on=self.old_on, new_on=self.new_on,
                old_sigma_m=self.old_sigma_m, new_sigma_m=self.new_sigma_m,
                strip=strip_ring(self.old, width_ft),
            )  # fmt: skip


@dataclass(frozen=True, slots=True)
class PatchMove:
    """How one patch of a strip moved since its last survey."""

    area: str
    moved: AdvanceFigures

    JSON_FLAT: ClassVar = ("moved",)


def since_survey(
    patches: Sequence[Surveyed], width_ft: float
) -> tuple[list[PatchMove], list[Note]]:
    """Return the movement of each patch in a strip, the farthest first, and what crossed it.

    Parameters
    ----------
    patches : those of the strip that were surveyed before.
    width_ft : width of the strip. [ft]
    """
    moves = [(patch, patch.moved(width_ft)) for patch in patches]
    moves.sort(key=lambda pair: -pair[1].most_ft)
    notes = [
        Note(
            "vine-crossed",
            f"the new survey of “{patch.name}” has {figure(place.acres, 'ac', 3)} of vine beyond its "
            f"strip of {feet(width_ft)}, on the {place.direction} side",
            feature=patch.name,
            more="treat it now, and look for more.",
            lon=place.lon,
            lat=place.lat,
        )
        for patch, moved in moves
        for place in moved.breaches
    ]
    return [PatchMove(patch.name, moved.figures()) for patch, moved in moves], notes


@dataclass(frozen=True, slots=True)
class SurveyAcres:
    """Acres of a patch at one survey, and what they lie between 19 times in 20. [ac]"""

    on: dt.date | None
    acres: float
    acres_low: float
    acres_high: float
    source: str


@dataclass(frozen=True, slots=True)
class SurveyMove:
    """How a patch moved from one survey to the next; outward is positive."""

    from_on: dt.date | None
    to_on: dt.date | None
    days: int | None
    change_ac: float
    change_ac_low: float
    change_ac_high: float
    mean_ft: float
    most_ft: float
    seen: bool
    text: str

    @classmethod
    def of(cls, old: SurveyedEdge, new: SurveyedEdge, moved: Advance) -> SurveyMove:
        """Return what is told of a movement between two surveys."""
        change = moved.change
        return cls(
            old.on, new.on, moved.days, change.acres, change.acres_low, change.acres_high,
            moved.mean_ft, moved.most_ft, moved.seen, moved.text,
        )  # fmt: skip


@dataclass(frozen=True, slots=True)
class Surveys:
    """The surveys of a patch, the oldest first, and how it moved from each to the next."""

    surveys: tuple[SurveyAcres, ...] = ()
    moves: tuple[SurveyMove, ...] = ()


def through_years(name: str, edges: Sequence[SurveyedEdge]) -> Surveys:
    """Return the acres of a patch at each survey, and its movement from each to the next.

    Parameters
    ----------
    name : of the patch, for a fault.
    edges : its surveys, the oldest first.

    Raises
    ------
    StripProblem
        Two surveys one after the other share no ground.
    """
    acres = []
    for edge in edges:
        size = float(area_m2(np.array([edge.shape], dtype=object))[0]) / ACRE_M2
        local = LocalFrame.around([edge.shape]).to_local(
            np.array([edge.shape], dtype=object)
        )
        sigma = DRAWN_SIGMA_M if edge.sigma_m is None else edge.sigma_m
        half = T_95 * edge_area_sd(local[0], sigma) / ACRE_M2
        low, high = edge.between_ac or (max(size - half, 0.0), size + half)
        acres.append(SurveyAcres(edge.on, size, low, high, edge.source))
    moves = []
    for old, new in pairwise(edges):
        with placed(SETTINGS_FILE, f"area “{name}”"):
            moved = advance(
                old.shape, new.shape, old_on=old.on, new_on=new.on,
                old_sigma_m=old.sigma_m, new_sigma_m=new.sigma_m,
            )  # fmt: skip
        moves.append(SurveyMove.of(old, new, moved))
    return Surveys(tuple(acres), tuple(moves))


def surveys_of(
    area: pd.Series, surveyed: dt.date | None, earlier: Sequence[SurveyedEdge],
    sigma_m: float | None,
) -> Surveys:  # fmt: skip
    """Return the surveys of an area and its movements, none without an earlier survey.

    Parameters
    ----------
    area : name, geometry, source, acres_low and acres_high of the present edge.
    surveyed : the day of the present edge.
    earlier : the surveys before it, the oldest first.
    sigma_m : error of the present edge, None where it was not walked. [m]
    """
    if not earlier:
        return Surveys()
    between = None if sigma_m is None else (area["acres_low"], area["acres_high"])
    now = SurveyedEdge(surveyed, area["geometry"], sigma_m, area["source"], between)
    return through_years(area["name"], [*earlier, now])
