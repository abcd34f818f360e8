"""What the year asks of a strip or a firebreak: its ground, how often and how long it is cut."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from quietacre.strip.records import Holding

if TYPE_CHECKING:
    from collections.abc import Iterable

    from quietacre.strip.records import Ring


@dataclass(frozen=True, slots=True)
class WorkedRing:
    """A strip or firebreak as the jobs of a year need it.

    ``of`` and ``also_of`` are the ids of the areas it goes round; ``width_of`` the name of the
    patch that its width was worked out for. ``pass_minutes`` are those of its passes as drawn,
    0 without. None is what is not known.
    """

    id: str
    of: str
    name: str
    kind: str
    acres: float
    length_ft: float
    also_of: tuple[str, ...] = ()
    width_ft: float | None = None
    width_of: str | None = None
    holds: bool | None = None
    cut_every_days: int | None = None
    pass_minutes: float = 0.0

    @property
    def round_ids(self) -> tuple[str, ...]:
        """Return the ids of all areas that it goes round."""
        return (self.of, *self.also_of)


def worked_rings(rings: Iterable[Ring]) -> tuple[WorkedRing, ...]:
    """Return strips and firebreaks as the year takes them."""
    return tuple(_worked(one) for one in rings)


def _worked(ring: Ring) -> WorkedRing:
    case, holding = ring.wanted.case, ring.holding
    return WorkedRing(
        id=ring.id,
        of=ring.wanted.of,
        name=ring.name,
        kind=ring.kind,
        acres=ring.size.acres,
        length_ft=ring.size.length_ft,
        also_of=ring.also_of,
        width_ft=ring.wanted.width_ft,
        width_of=case.of if case else None,
        holds=holding.holds,
        cut_every_days=holding.cut_every_days if isinstance(holding, Holding) else None,
        pass_minutes=ring.passes.minutes if ring.passes else 0.0,
    )
