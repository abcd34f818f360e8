"""What is told of a strip or a firebreak: as it is wanted, and as it lies on the ground."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, ClassVar, Literal

if TYPE_CHECKING:
    import datetime as dt
    from collections.abc import Iterable, Mapping

    from quietacre.model import Note
    from quietacre.strip.law import Fact, Law
    from quietacre.strip.passes import PassFigures
    from quietacre.strip.remedies import PullBack, Remedy
    from quietacre.strip.reverse import Answers, PassBought
    from quietacre.strip.transects import Measured
    from quietacre.strip.width import Width


@dataclass(frozen=True, slots=True)
class WorkedFor:
    """The days that a width was worked out for, and the patch ``of`` which; ``why`` in words."""

    of: str
    last_cut: dt.date
    next_cut: dt.date
    slip_days: int
    why: str


@dataclass(frozen=True, slots=True)
class WantedStrip:
    """The strip of a vine patch before it is drawn.

    ``of`` is the id of the area it goes round, ``area`` its name; ``width`` holds the width by
    each estimate of growth, ``design`` the one that counts; ``width_ft`` is what is mowed.
    """

    of: str
    area: str
    bare: bool
    name: str
    kind: Literal["strip"]
    width_ft: float
    width: Mapping[str, Width]
    law: Law
    cautions: tuple[str, ...]
    guidance: tuple[Fact, ...]
    measured: Measured | None
    design: str
    notes: tuple[Note, ...]
    case: WorkedFor

    @property
    def fail_below_ft(self) -> float:
        """Return the width below which a stretch fails. [ft]"""
        return self.width["central"].required_ft


@dataclass(frozen=True, slots=True)
class WantedBreak:
    """The firebreak of a burn block before it is drawn. No vine asks for its width."""

    of: str
    area: str
    bare: bool
    name: str
    kind: Literal["firebreak"]
    width_ft: float
    width: None
    law: None
    cautions: tuple[str, ...]
    guidance: tuple[Fact, ...]
    case: None
    notes: tuple[Note, ...]

    @property
    def fail_below_ft(self) -> float:
        """Return the width below which a stretch fails: none does. [ft]"""
        return 0.0


@dataclass(frozen=True, slots=True)
class RingSize:
    """Acres of a strip, what they lie between, and the length of the edge it goes round."""

    acres: float
    acres_low: float
    acres_high: float
    length_ft: float


@dataclass(frozen=True, slots=True)
class EdgeVerdicts:
    """How much of the edge is wide enough, and the places that were looked at."""

    pass_ft: float
    narrow_ft: float
    fail_ft: float
    count: int
    pass_: int
    narrow: int
    fail: int


@dataclass(frozen=True, slots=True)
class WeakStretch:
    """A stretch where a strip is thinner than asked; ``lon``, ``lat`` its middle. [deg]"""

    id: str
    verdict: str
    length_ft: float
    available_ft: float
    reason: str
    lon: float
    lat: float


@dataclass(frozen=True, slots=True)
class Holding:
    """What the least width of a strip holds, what would help, and how often it is cut.

    ``reverse`` are the days that the width allows, by each estimate of growth;
    ``cut_every_days`` the longest between two cuts while the vine runs fastest. ``holds`` is
    None of a vine whose growth nobody printed.
    """

    holds: bool | None
    reverse: Mapping[str, Answers]
    remedies: tuple[Remedy | PullBack, ...]
    extra_passes: tuple[PassBought, ...]
    cut_every_days: int


@dataclass(frozen=True, slots=True)
class NothingToHold:
    """In place of `Holding` round a burn block, where no vine runs."""

    holds: None = None
    reverse: None = None
    remedies: tuple[()] = ()


@dataclass(frozen=True, slots=True)
class MowerPasses:
    """The passes of a machine over a strip, in the ``order`` driven, and what they come to."""

    count: int
    order: str
    length_ft: float
    minutes: float
    fuel_gal: float
    each: tuple[PassFigures, ...]


@dataclass(frozen=True, slots=True)
class Ring:
    """A strip or a firebreak on the ground.

    ``also_of`` are the ids of further patches in it; ``passes`` is None in a preview.
    """

    wanted: WantedStrip | WantedBreak
    also_of: tuple[str, ...]
    id: str
    size: RingSize
    stations: EdgeVerdicts
    weak: tuple[WeakStretch, ...]
    holding: Holding | NothingToHold
    passes: MowerPasses | None

    JSON_FLAT: ClassVar = ("wanted", "size", "holding")

    @property
    def name(self) -> str:
        """Return what it is called."""
        return self.wanted.name

    @property
    def kind(self) -> str:
        """Return "strip" or "firebreak"."""
        return self.wanted.kind

    @property
    def round_ids(self) -> tuple[str, ...]:
        """Return the ids of all areas that it goes round."""
        return (self.wanted.of, *self.also_of)

    def noted(self, notes: Iterable[Note]) -> Ring:
        """Return it with more notes."""
        more = (*self.wanted.notes, *notes)
        return replace(self, wanted=replace(self.wanted, notes=more))
