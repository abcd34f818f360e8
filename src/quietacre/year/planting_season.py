"""One planting of one area in one year, and how far it is."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    import datetime as dt

State = Literal["ahead", "growing", "finished", "over"]


@dataclass(frozen=True)
class PlantingSeason:
    """One planting of one area in one year, and how far it is.

    ``plant`` is the day meant, ``sown_on`` the day in the log; ``last`` the last day on which
    a job of it is still worth doing, or was done; ``returns`` the month-day that comes back each year.
    """

    key: str
    area_id: str
    area: str
    mix: str | None
    plant: dt.date
    returns: str | None
    state: State
    sown_on: dt.date | None
    last: dt.date
    called: str | None = None  # what tells it from the area's other plantings

    @property
    def year(self) -> int:
        """Return the calendar year it belongs to."""
        return self.plant.year
