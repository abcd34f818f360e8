"""How much a workday holds."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from quietacre.errors import YearProblem
from quietacre.model import SETTINGS_FILE

if TYPE_CHECKING:
    from quietacre.settings import Work

#: What is done on foot or at a desk; the rest needs the tractor.
NO_TRACTOR = frozenset({"on foot", "desk"})


@dataclass(frozen=True)
class DayCapacity:
    """Minutes of a workday: of one person, of everybody, of the tractors."""

    one: float
    people: float
    tractors: float

    @classmethod
    def of(cls, work: Work) -> DayCapacity:
        """Return the room of a day.

        Raises
        ------
        YearProblem
            The drive takes the whole day.
        """
        one = work.hours_day * 60.0 - work.trip_minutes
        if one <= 0:
            raise YearProblem(
                f"a day of {work.hours_day:g} h is over when the drive of "
                f"{work.trip_minutes:g} minutes is",
                fix="give longer hours_day or shorter trip_minutes",
                source=SETTINGS_FILE,
                where="work",
            )
        return cls(one, one * (1 + work.helpers), one * work.tractors)

    def limits(self, machine: str) -> tuple[tuple[str, float], ...]:
        """Return what a task on this machine draws on, with the minutes a day has of it."""
        if machine in NO_TRACTOR:
            return (("people", self.people),)
        return (
            ("people", self.people),
            ("tractors", self.tractors),
            (machine, self.one),
        )
