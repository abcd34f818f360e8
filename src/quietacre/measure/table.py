"""A table of legs or a deed's words as it is typed: what is understood so far, leg by leg.

A row that is not understood stands with its reason; the figure is worked out once every row is.
"""

from __future__ import annotations

import csv
import io
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from quietacre.boundary.deed import call_rows, closing_leg, deed_traverse
from quietacre.boundary.figure_place import ground_of, paths_of
from quietacre.boundary.traverse import departures_ft
from quietacre.cells import safe_cell
from quietacre.errors import BadInput, FileProblem
from quietacre.intake.deed import deed_in, is_deed
from quietacre.intake.legs import DEED_COLUMN, is_leg_table, leg_in
from quietacre.intake.rows import column_names, named_rows
from quietacre.measure.known import Known, known_ground
from quietacre.model import Deed, Layer, Leg, Note, Traverse

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from numpy.typing import NDArray

    from quietacre.intake.vector import OwnUnits
    from quietacre.measure.known import HowKnown

    FloatArray = NDArray[np.float64]

#: Columns of a table of legs, in the order they are written.
COLUMNS = ("bearing", "distance", "unit", "slope_pct", "back_bearing", "radius_ft", "turn")
#: And those that a deed's calls have besides.
DEED_COLUMNS = (*COLUMNS, "step_deg", "step_ft", DEED_COLUMN)
MOST_ROWS = 2_000


@dataclass(frozen=True)
class RowRead:
    """One row as typed, by column, and why it is not understood, "" when it is."""

    number: int
    cells: Mapping[str, str]
    problem: str


@dataclass(frozen=True)
class LegRead:
    """One leg: its level length, its azimuth, and where it runs.

    ``xy_ft`` (n, 2) from the first corner, east and north; ``lonlat`` (n, 2) once it is placed.
    """

    number: int
    feet: float
    azimuth_deg: float
    xy_ft: FloatArray
    lonlat: FloatArray | None


@dataclass(frozen=True)
class TableRead:
    """What is understood of a table or a deed; ``why`` says why there is no figure yet.

    ``true_north`` where its words say that its bearings are from it.
    """

    rows: tuple[RowRead, ...]
    legs: tuple[LegRead, ...]
    known: Known | None
    stated_ac: float | None
    why: str
    notes: tuple[Note, ...]
    true_north: bool = False


def read_table(text: str, how: HowKnown, own: OwnUnits, source: str) -> TableRead:
    """Return what is understood of a table of legs, or of a deed's words.

    Parameters
    ----------
    text : CSV with a bearing and a distance, or plain text that runs "thence".
    how : corners that are known, declination.
    own : lengths of a pace and of a vara.
    source : how to name it in messages.

    Raises
    ------
    BadInput
        It is neither.
    """
    if is_leg_table(text, source):
        return _of_rows(text, how, own, source)
    if is_deed(text):
        deed = deed_in(text, source, vara_ft=own.vara_ft)
        return replace(_of_deed(deed, how, source), true_north=deed.true_north)
    raise FileProblem(
        "is no table of legs and no deed", fix="give bearings and distances, or words that run “thence”",
        source=source,
    )  # fmt: skip


def table_text(rows: Sequence[Mapping[str, str]], *, deed: bool) -> str:
    """Return rows of legs as the CSV that is read back; ``deed`` keeps the calls' words."""
    if len(rows) > MOST_ROWS:
        raise BadInput(f"there are more than {MOST_ROWS:,} legs", fix="give fewer")
    columns = DEED_COLUMNS if deed else COLUMNS
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(columns)
    for row in rows:
        cells = {name: " ".join(str(row.get(name) or "").split()) for name in columns}
        if DEED_COLUMN in cells:
            cells[DEED_COLUMN] = safe_cell(cells[DEED_COLUMN]) or "-"
        if any(cells[name] for name in COLUMNS):
            writer.writerow([cells[name] for name in columns])
    return text.getvalue()


def closed_rows(
    rows: Sequence[Mapping[str, str]], own: OwnUnits, source: str
) -> tuple[list[Mapping[str, str]], bool]:
    """Return a deed's rows whose last is in words only as the leg straight to the beginning.

    The second value is whether it was so, and the rest is understood.
    """
    *rest, last = rows
    if not rest or any(
        str(last.get(name) or "").strip() for name in ("bearing", "distance")
    ):
        return list(rows), False
    try:
        typed = [{name: str(row.get(name) or "") for name in DEED_COLUMNS} for row in rest]
        legs = [
            leg_in(row, source, line, [], pace_ft=own.pace_ft)[0]
            for line, row in enumerate(typed, 2)
        ]
        leg = closing_leg(legs)
    except BadInput:
        return list(rows), False
    if not leg.length_ft > 0:
        return rest, False
    closing = {
        "bearing": f"{leg.azimuth_deg:.6f}",
        "distance": f"{leg.length_ft:.4f}",
        "unit": "ft",
    }
    return [*rest, {**last, **closing}], True


def _of_rows(text: str, how: HowKnown, own: OwnUnits, source: str) -> TableRead:
    rows, legs, notes, paced = [], [], list[Note](), False
    for number, (line, cells) in enumerate(named_rows(text, source), 1):
        if number > MOST_ROWS:
            raise FileProblem(
                f"has more than {MOST_ROWS:,} legs", fix="split it", source=source
            )
        try:
            leg, in_paces = leg_in(cells, source, line, notes, pace_ft=own.pace_ft)
            legs.append(leg)
            paced |= in_paces
            problem = ""
        except BadInput as told:
            problem = f"{told.what}; {told.fix}"
        rows.append(RowRead(number, cells, problem))
    deed = DEED_COLUMN in column_names(text, source)
    if len(legs) < len(rows):
        return _without_figure(rows, legs, notes)
    method = "deed" if deed else "pace" if paced else "tape"
    traverse = Traverse("", source, tuple(legs), method, notes=tuple(notes))  # type: ignore[arg-type]
    return _with_figure(rows, traverse, _layer(source, traverse=traverse), how)


def _of_deed(deed: Deed, how: HowKnown, source: str) -> TableRead:
    rows = tuple(
        RowRead(call.number, cells, call.problem or "")
        for call, cells in zip(deed.calls, call_rows(deed.calls), strict=True)
    )
    try:
        traverse = deed_traverse(deed)
    except BadInput as told:
        legs = [call.leg for call in deed.calls if call.leg is not None]
        made = _without_figure(rows, legs, deed.notes)
        return TableRead(
            made.rows, made.legs, None, deed.stated_ac, told.marked, deed.notes
        )
    return _with_figure(rows, traverse, _layer(source, deed=deed), how, deed.stated_ac)


def _layer(
    source: str, *, traverse: Traverse | None = None, deed: Deed | None = None
) -> Layer:
    return Layer(
        source, np.zeros(0, dtype=object), (), (), (), traverse=traverse, deed=deed
    )


def _without_figure(
    rows: Sequence[RowRead], legs: Sequence[Leg], notes: Sequence[Note]
) -> TableRead:
    """Return rows of which some are not understood, with the legs that are, end to end."""
    bad = [row.number for row in rows if row.problem]
    names = ", ".join(map(str, bad[:12]))
    why = (
        f"{len(bad)} of {len(rows)} legs are not understood: {names}"
        if bad
        else "there are no legs"
    )
    return TableRead(tuple(rows), _end_to_end(legs), None, None, why, tuple(notes))


def _end_to_end(legs: Sequence[Leg]) -> tuple[LegRead, ...]:
    """Return legs as they are told, each from where the one before ends; nothing balanced."""
    if not legs:
        return ()
    east, north = departures_ft(legs)
    ends = np.vstack([[0.0, 0.0], np.column_stack([np.cumsum(east), np.cumsum(north)])])
    paths = paths_of(ends, [*legs, legs[-1]])[:-1]
    return tuple(
        LegRead(number, leg.length_ft, leg.azimuth_deg, path, None)
        for number, (leg, path) in enumerate(zip(legs, paths, strict=True), 1)
    )


def _with_figure(
    rows: Sequence[RowRead], traverse: Traverse, layer: Layer, how: HowKnown,
    stated_ac: float | None = None,
) -> TableRead:  # fmt: skip
    legs = traverse.legs
    try:
        known = known_ground(layer, how)
    except BadInput as told:
        return TableRead(
            tuple(rows), _end_to_end(legs), None, stated_ac, told.marked, traverse.notes
        )
    figure = None if known is None else known.figure
    if known is None or figure is None:  # pragma: no cover - legs always make a figure
        return TableRead(tuple(rows), _end_to_end(legs), None, stated_ac, "no figure", ())
    paths = paths_of(figure.xy_ft, legs)
    laid: list[FloatArray | None] = [None] * len(paths)
    if how.placed:
        lay, _ = ground_of(figure, how.placed, declination_deg=how.declination_deg)
        laid = [lay(path) for path in paths]
    read = tuple(
        LegRead(number, leg.length_ft, leg.azimuth_deg, path, lonlat)
        for number, (leg, path, lonlat) in enumerate(zip(legs, paths, laid, strict=True), 1)
    )
    return TableRead(tuple(rows), read, known, stated_ac, "", known.notes)
