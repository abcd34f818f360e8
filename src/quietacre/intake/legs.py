"""A table of bearings and distances, a leg a row: compass and tape, or paces."""

from __future__ import annotations

import math
import re
from typing import TYPE_CHECKING

from quietacre.bearings import land_units, read_bearing, step_of
from quietacre.errors import FileProblem
from quietacre.intake.rows import column_names, named_rows, number_in
from quietacre.model import Arc, Leg, Method, Note, Traverse
from quietacre.units import reckonable

if TYPE_CHECKING:
    from collections.abc import Mapping

NEEDED = ("bearing", "distance")
#: A sight ahead and the one back that differ by more were bent by iron nearby. Common
#: practice, no source. [deg]
MOST_BACK_DEG = 2.0
#: Steeper than this nobody tapes. [%]
STEEPEST_PCT = 150.0
FEWEST_LEGS = 3
#: Who tapes reads to a foot or finer, however short the figure is written. [ft]
COARSEST_FT = 1.0
#: A table with this column was made of a deed's calls.
DEED_COLUMN = "words"
#: So many letters of a first line are looked at.
MOST_HEAD = 4000
PACE_WORDS = ("pace", "paces")
FIX_UNIT = "write feet, chains, links, rods, yards, meters or paces"
LEADING_NUMBER = re.compile(r"\s*([\d.,]+)\s*([A-Za-z'\".\-]*)\s*")


def is_leg_table(text: str, source: str) -> bool:
    """Return whether the first line of a table names a bearing and a distance."""
    head = text.lstrip("\ufeff \r\n").split("\n", 1)[0][:MOST_HEAD]
    return all(word in head.casefold() for word in NEEDED) and set(NEEDED) <= set(
        column_names(head, source)
    )


def legs_in(text: str, source: str, *, pace_ft: float | None = None) -> Traverse:
    """Return the legs of a table.

    Parameters
    ----------
    text : CSV with columns ``bearing`` and ``distance``, and, where there are any, ``unit``,
        ``slope_pct`` (lengths are then along the slope), ``back_bearing`` (the sight back),
        ``radius_ft`` and ``turn`` (a curve whose chord the row is).
    source : how to name it in messages.
    pace_ft : length of one pace; asked for when a length is in paces. [ft]

    Raises
    ------
    FileProblem
        A bearing or a length is not understood. None is ever left out.
    """
    shown = source
    legs: list[Leg] = []
    notes: list[Note] = []
    paced = False
    for line, row in named_rows(text, shown, need=NEEDED):
        leg, in_paces = leg_in(row, shown, line, notes, pace_ft=pace_ft)
        paced |= in_paces
        legs.append(leg)
    if len(legs) < FEWEST_LEGS:
        raise FileProblem(
            f"has {len(legs)} legs, which go round nothing",
            fix="write every leg",
            source=shown,
        )
    deed = DEED_COLUMN in column_names(text, shown)
    method: Method = "deed" if deed else "pace" if paced else "tape"
    return Traverse("", shown, tuple(legs), method, notes=tuple(notes))


def leg_in(
    row: Mapping[str, str], source: str, line: int, notes: list[Note], *,
    pace_ft: float | None = None,
) -> tuple[Leg, bool]:  # fmt: skip
    """Return the leg of one row, and whether it was paced; what is doubted goes into ``notes``.

    Raises
    ------
    FileProblem
        Its bearing or its length is not understood.
    """
    place = f"line {line}"
    azimuth, step_deg = _azimuth(row, source, line, notes)
    length_ft, step_ft, unit = _length(row, source, line, pace_ft)
    slope = _cell_number(row, "slope_pct", source, line) or 0.0
    if abs(slope) > STEEPEST_PCT:
        raise FileProblem(
            f"a slope of {slope:g} % is not one to walk", fix="check slope_pct",
            source=source, where=place,
        )  # fmt: skip
    level = 1.0 / math.hypot(1.0, slope / 100.0)
    words = f"{row['bearing'].strip()} {row['distance'].strip()} {unit}".strip()
    step_deg = _cell_number(row, "step_deg", source, line) or step_deg
    step_ft = _cell_number(row, "step_ft", source, line) or step_ft
    arc = _arc(row, source, line)
    return Leg(
        azimuth, length_ft * level, step_deg, step_ft, arc, words, place
    ), unit in PACE_WORDS


def _azimuth(
    row: Mapping[str, str], source: str, line: int, notes: list[Note]
) -> tuple[float, float]:
    """Return the azimuth of a row, the mean of both sights where there are two, and its step."""
    ahead = read_bearing(row["bearing"])
    back_text = row.get("back_bearing", "").strip()
    back = read_bearing(back_text) if back_text else None
    for cell, bearing in (("bearing", ahead), ("back_bearing", back)):
        if bearing is None and row.get(cell, "").strip():
            raise FileProblem(
                f"“{row[cell].strip()[:40]}” is no bearing",
                fix="write it as 123.5, or as S 45 30 E",
                source=source, where=f"line {line}",
            )  # fmt: skip
    if ahead is None:
        raise FileProblem(
            "has no bearing", fix="fill it in", source=source, where=f"line {line}"
        )
    if back is None:
        return ahead.azimuth_deg, ahead.step_deg
    apart = (back.azimuth_deg + 180.0 - ahead.azimuth_deg + 180.0) % 360.0 - 180.0
    if abs(apart) > MOST_BACK_DEG:
        notes.append(
            Note(
                "sights-differ",
                f"line {line}: the sight back differs from the sight ahead by {abs(apart):.1f}°",
                source=source,
                more="iron nearby (a truck, a fence) bends a compass. Their mean is used; sight it "
                "again.",
            )
        )
    return (ahead.azimuth_deg + apart / 2.0) % 360.0, ahead.step_deg


def _length(
    row: Mapping[str, str], source: str, line: int, pace_ft: float | None
) -> tuple[float, float, str]:
    """Return the length of a row, its last digit, both in feet, and the unit's word."""
    cell = row["distance"].strip()
    match = LEADING_NUMBER.fullmatch(cell)
    number = match[1] if match else cell
    unit = ((match[2] if match else "") or row.get("unit", "").strip() or "ft").casefold()
    value = number_in(number, "distance", "write a plain number", source, line)
    if unit in PACE_WORDS:
        if pace_ft is None:
            raise FileProblem(
                "is in paces, and the length of a pace is not given",
                fix="give --pace-ft, or pace_ft in property.toml: walk 100 ft several times and "
                "divide",
                source=source, where=f"line {line}",
            )  # fmt: skip
        feet = pace_ft
    elif unit in land_units():
        feet = land_units()[unit].feet
    else:
        raise FileProblem(
            f"“{unit[:20]}” is no unit of length here", fix=FIX_UNIT, source=source,
            where=f"line {line}",
        )  # fmt: skip
    if value <= 0 or not reckonable(value * feet):
        raise FileProblem(
            f"a distance of {value:g} goes nowhere", fix="mend or delete that row",
            source=source, where=f"line {line}",
        )  # fmt: skip
    step_ft = step_of(number) * feet
    return value * feet, step_ft if unit in PACE_WORDS else min(step_ft, COARSEST_FT), unit


def _arc(row: Mapping[str, str], source: str, line: int) -> Arc | None:
    radius = _cell_number(row, "radius_ft", source, line)
    if radius is None:
        return None
    turn = row.get("turn", "").strip().casefold()
    if turn == "left":
        return Arc(radius, "left")
    if turn == "right":
        return Arc(radius, "right")
    raise FileProblem(
        "has a curve that turns neither left nor right", fix="write left or right under turn",
        source=source, where=f"line {line}",
    )  # fmt: skip


def _cell_number(
    row: Mapping[str, str], column: str, source: str, line: int
) -> float | None:
    cell = row.get(column, "").strip().removesuffix("%").strip()
    if not cell:
        return None
    return number_in(cell, column, "write a plain number", source, line)
