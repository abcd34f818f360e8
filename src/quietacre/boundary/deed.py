"""A deed's calls to a figure, beside the acres that the deed itself gives.

The order of trust among a deed's calls puts its acres last, so they check the typing of the
calls and never the reverse. It is a figure from words, not a survey.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from quietacre.bearings import cell_bearing
from quietacre.boundary.traverse import Care, Figure, work_out
from quietacre.errors import FileProblem
from quietacre.figures import AS_IT_IS, feet
from quietacre.figures import acres as acres_words
from quietacre.in_parts import InParts
from quietacre.model import Leg, Note, Traverse, doubt_level

if TYPE_CHECKING:
    from collections.abc import Sequence

    from quietacre.model import Call, Deed

#: Said where the last call is in words only.
CLOSED_BY_WORDS = (
    "the last call gives no bearing and no distance; it is taken straight to the beginning, so its "
    "closure checks nothing."
)
#: Always said of a deed.
NOT_A_SURVEY = InParts(
    "A figure from words, not a survey", "only a licensed surveyor decides a line."
)
#: An old chain and compass, and a modern survey; from memory, but for the 1:5,000 and 30" of
#: rural traverses, WAC 332-130-090, State of Washington.
OLD = Care(0.005, 1.0, 0.001, "an old chain and compass; from memory")
MODERN = Care(0.0002, 30 / 3600, 0.00005, "WAC 332-130-090, State of Washington")
#: Bearings written no finer than this were read off a hand compass. [deg]
OLD_STEP_DEG = 0.25
#: Steps that bearings may share, the coarsest first. [deg]
COMMON_STEPS_DEG = (1.0, 0.5, 0.25)
#: A bearing lies on such a step to this part of it.
ON_STEP = 1e-6


@dataclass(frozen=True)
class DeedFigure:
    """A deed worked out: its figure, its exceptions', and the acres that are left."""

    figure: Figure
    exceptions: tuple[Figure, ...]
    acres: float
    acres_low: float
    acres_high: float
    stated_ac: float | None
    notes: tuple[Note, ...]


def deed_traverse(deed: Deed, name: str = "") -> Traverse:
    """Return the legs of a deed.

    Raises
    ------
    FileProblem
        A call is not understood; all of them are named, with their words.
    """
    bad = [call for call in (*deed.calls, *deed.ties) if call.problem]
    if bad:
        unread = "; ".join(
            f"call {call.number} {call.problem}: “{call.text[:90]}”" for call in bad
        )
        raise FileProblem(
            f"{len(bad)} of {len(deed.calls)} calls are not understood: {unread}",
            fix="write the calls as a table (--table calls.csv makes one) and mend it",
            source=deed.source,
        )  # fmt: skip
    legs = [call.leg for call in deed.calls if call.leg is not None]
    notes = list(deed.notes)
    if deed.calls[-1].closes:
        closing = closing_leg(legs)
        legs.append(closing)
        notes.append(
            Note(
                "deed-closed-by-words",
                CLOSED_BY_WORDS,
                source=deed.source,
            )
        )
    return Traverse(
        name, deed.source, _with_common_step(legs), "deed", deed.stated_ac, notes=tuple(notes),
        true_north=deed.true_north,
    )  # fmt: skip


def deed_care(legs: Sequence[Leg]) -> Care:
    """Return how finely a deed was measured, by how finely it is written."""
    steps = sorted(leg.step_deg for leg in legs if leg.step_deg > 0)
    coarse = bool(steps) and steps[len(steps) // 2] >= OLD_STEP_DEG
    return OLD if coarse else MODERN


def work_out_deed(deed: Deed, name: str = "") -> DeedFigure:
    """Return the figure of a deed, less its exceptions, beside its own acres.

    Raises
    ------
    FileProblem
        A call is not understood, or the figure does not close at all.
    """
    traverse = deed_traverse(deed, name)
    figure = work_out(traverse, care=deed_care(traverse.legs))
    notes = [*traverse.notes, Note("not-a-survey", NOT_A_SURVEY, "info", deed.source)]
    notes += _closure_notes(figure, deed)
    holes = []
    for exception in deed.exceptions:
        hole = deed_traverse(exception, f"{name} exception".strip())
        holes.append(work_out(hole, care=deed_care(hole.legs)))
        notes += [*hole.notes, *_closure_notes(holes[-1], exception)]
    acres = figure.acres - sum(hole.acres for hole in holes)
    half = math.hypot(*((one.acres_high - one.acres_low) / 2 for one in (figure, *holes)))
    if holes:
        notes.append(
            Note(
                "exceptions-taken-off",
                f"{len(holes)} exception(s) of {acres_words(figure.acres - acres)} are taken off; that they "
                "lie inside is not checked.",
                "caution", deed.source,
            )
        )  # fmt: skip
    notes += _acres_notes(deed, figure.acres, acres, half)
    return DeedFigure(
        figure, tuple(holes), acres, max(acres - half, 0.0), acres + half, deed.stated_ac,
        tuple(notes),
    )  # fmt: skip


def closing_leg(legs: Sequence[Leg]) -> Leg:
    """Return the leg that runs straight from the last corner to the first."""
    east = -sum(leg.length_ft * math.sin(math.radians(leg.azimuth_deg)) for leg in legs)
    north = -sum(leg.length_ft * math.cos(math.radians(leg.azimuth_deg)) for leg in legs)
    azimuth = math.degrees(math.atan2(east, north)) % 360.0
    return Leg(azimuth, math.hypot(east, north), text="straight to the beginning")


def _with_common_step(legs: Sequence[Leg]) -> tuple[Leg, ...]:
    """Return legs whose bearings are written in quarters, halves or whole degrees as such."""
    written = [leg for leg in legs if leg.step_deg > 0]
    for step in COMMON_STEPS_DEG:
        if len(written) > 2 and all(  # noqa: PLR2004 - two may be so by chance
            abs(leg.azimuth_deg / step - round(leg.azimuth_deg / step)) < ON_STEP
            for leg in written
        ):
            return tuple(
                replace(leg, step_deg=max(leg.step_deg, step)) if leg.step_deg > 0 else leg
                for leg in legs
            )
    return tuple(legs)


def _closure_notes(figure: Figure, deed: Deed) -> list[Note]:
    """Return what to say when a figure closes worse than its rounding explains."""
    if not figure.doubtful:
        return []
    limits = "".join(
        f" Call {some.number} would close it as {some.change}."
        for some in figure.suspects[:3]
    )
    return [
        Note(
            "deed-does-not-close",
            f"{figure.missed}, where about {feet(figure.expected_ft, 1)} is explained by how it is "
            f"written; a call is likely wrong.{limits} Look at the paper before you use its acres.",
            source=deed.source,
        )
    ]


def _acres_notes(deed: Deed, whole_ac: float, net_ac: float, half_ac: float) -> list[Note]:
    """Return what to say of the acres that the deed itself gives."""
    stated = deed.stated_ac
    if stated is None or stated <= 0:
        return []
    nearest = min((whole_ac, net_ac), key=lambda acres: abs(acres - stated))
    off = abs(nearest - stated)
    if off <= max(half_ac, 0.01 * stated):
        return []
    return [
        Note(
            "deed-acres-differ",
            f"the deed says {acres_words(stated, AS_IT_IS)}; its calls give "
            f"{acres_words(nearest)} ± {acres_words(half_ac, bare=True)}",
            doubt_level(off, stated),
            deed.source,
            more="Check the calls, the unit of length above all: the acres of a deed never outrank "
            "its calls.",
        )
    ]


def call_rows(calls: Sequence[Call]) -> list[dict[str, str]]:
    """Return calls as rows of a table that the reader of legs reads back once it is mended."""
    made = []
    for call in calls:
        leg = call.leg
        arc = leg.arc if leg else None
        made.append(
            {
                "call": str(call.number),
                "bearing": "" if leg is None else cell_bearing(leg.azimuth_deg),
                "distance": ""
                if leg is None
                else f"{leg.length_ft:.4f}".rstrip("0").rstrip("."),
                "unit": "ft",
                "step_deg": "" if leg is None else f"{leg.step_deg:.6g}",
                "step_ft": "" if leg is None else f"{leg.step_ft:.6g}",
                "radius_ft": "" if arc is None else f"{arc.radius_ft:g}",
                "turn": "" if arc is None else arc.turn,
                "problem": call.problem or ("runs to the beginning" if call.closes else ""),
                "words": call.text,
            }
        )
    return made
