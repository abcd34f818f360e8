"""What two surveys of the patches in one strip say: how far each moved, and what crossed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from quietacre.errors import placed
from quietacre.figures import feet
from quietacre.model import Note
from quietacre.strip.advance import Advance, advance
from quietacre.strip.ring import strip_ring

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Sequence

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
        with placed("property.toml", f"area “{self.name}”"):
            return advance(
                self.old, self.new, old_on=self.old_on, new_on=self.new_on,
                old_sigma_m=self.old_sigma_m, new_sigma_m=self.new_sigma_m,
                strip=strip_ring(self.old, width_ft),
            )  # fmt: skip


def since_survey(
    patches: Sequence[Surveyed], width_ft: float
) -> tuple[list[dict[str, Any]], list[Note]]:
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
            f"the new survey of “{patch.name}” has {place.acres:.3f} ac of vine beyond its "
            f"strip of {feet(width_ft)}, on the {place.direction} side: treat it now, and "
            "look for more.",
            feature=patch.name,
            lon=place.lon,
            lat=place.lat,
        )
        for patch, moved in moves
        for place in moved.breaches
    ]
    return [{"area": patch.name, **moved.to_dict()} for patch, moved in moves], notes
