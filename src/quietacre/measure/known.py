"""Ground known by pins, by compass and tape, or by a deed's calls: one record for all three."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from quietacre.boundary.deed import NOT_A_SURVEY, deed_care, deed_traverse, work_out_deed
from quietacre.boundary.figure_place import KnownCorner, place_figure
from quietacre.boundary.pins import Corners, Order, ground_between
from quietacre.boundary.traverse import Figure, work_out
from quietacre.figures import acres, feet
from quietacre.model import Note

if TYPE_CHECKING:
    import shapely

    from quietacre.model import Deed, Layer, Traverse
    from quietacre.settings.types import Sky


@dataclass(frozen=True)
class HowKnown:
    """What a person says of such ground; each key is one of property.toml or an option."""

    corners: Corners | None = None
    order: Order | None = None
    sky: Sky | None = None
    placed: tuple[KnownCorner, ...] = ()
    declination_deg: float | None = None


@dataclass(frozen=True)
class Known:
    """One piece of ground known otherwise than by a track or a drawing.

    ``shape`` is its polygon in longitude and latitude, None for a figure that is not placed;
    ``sigma_m`` is one axis's error of its edge, None where legs tell none of the place.
    """

    name: str
    shape: shapely.Geometry | None
    acres: float
    acres_low: float
    acres_high: float
    perimeter_ft: float
    method: str
    sigma_m: float | None
    figure: Figure | None
    notes: tuple[Note, ...]


def known_ground(layer: Layer, how: HowKnown, name: str = "") -> Known | None:
    """Return the ground of a layer that holds legs, a deed or pins; None when it holds none.

    Pins count only when there is nothing else in the file to measure and ``how`` speaks of
    corners, or the file has three of them and nothing besides.

    Raises
    ------
    FileProblem
        Something must be asked of the person, or cannot be understood.
    """
    if layer.deed is not None:
        return _of_deed(layer.deed, how, name)
    if layer.traverse is not None:
        return _of_legs(layer.traverse, how, name)
    if len(layer.geometry) or layer.tracks or len(layer.waypoints) < 3:  # noqa: PLR2004
        return None
    pinned = ground_between(
        layer.waypoints, corners=how.corners, order=how.order, sky=how.sky, name=name
    )
    return Known(
        name, pinned.polygon, pinned.acres, pinned.acres_low, pinned.acres_high,
        pinned.perimeter_ft, pinned.method, pinned.sigma_m, None, pinned.notes,
    )  # fmt: skip


def _of_legs(traverse: Traverse, how: HowKnown, name: str) -> Known:
    deed = traverse.method == "deed"
    figure = work_out(traverse, care=deed_care(traverse.legs) if deed else None)
    notes = [*traverse.notes, _closure(figure, traverse.source)]
    notes += [Note("not-a-survey", NOT_A_SURVEY, "info", traverse.source)] if deed else []
    shape, more = _placed(figure, traverse, how)
    kind = {
        "pace": "compass and paces",
        "tape": "compass and tape",
        "deed": "a deed's calls",
    }
    return Known(
        name, shape, figure.acres, figure.acres_low, figure.acres_high, figure.perimeter_ft,
        f"{kind[traverse.method]}, {len(traverse.legs)} legs, closing 1:{figure.ratio:,.0f}", None, figure,
        (*notes, *more),
    )  # fmt: skip


def _of_deed(deed: Deed, how: HowKnown, name: str) -> Known:
    worked = work_out_deed(deed, name)
    traverse = deed_traverse(deed, name)
    shape, more = _placed(worked.figure, traverse, how)
    for exception, figure in zip(deed.exceptions, worked.exceptions, strict=True):
        more += (
            Note(
                "exception-not-drawn",
                f"its exception of {acres(figure.acres)} ({len(exception.calls)} calls) is taken off the "
                "acres; it is not drawn on the map.",
                "caution", deed.source, name or None,
            ),
        )  # fmt: skip
    return Known(
        name, shape, worked.acres, worked.acres_low, worked.acres_high,
        worked.figure.perimeter_ft, f"deed of {len(traverse.legs)} calls, closing 1:{worked.figure.ratio:,.0f}",
        None, worked.figure, (*worked.notes, *more),
    )  # fmt: skip


def _placed(
    figure: Figure, traverse: Traverse, how: HowKnown
) -> tuple[shapely.Geometry | None, tuple[Note, ...]]:
    if not how.placed:
        return None, ()
    declination_deg = how.declination_deg
    notes: tuple[Note, ...] = ()
    if traverse.true_north and declination_deg is None:
        declination_deg = 0.0
    elif traverse.true_north and declination_deg:
        text = f"the deed says true north, and it is turned by {declination_deg:g} degrees all the same"
        notes = (Note("true-north-turned", text, "caution", traverse.source,
                      more="Look at the deed again."),)  # fmt: skip
    shape, more = place_figure(
        figure, traverse.legs, how.placed, declination_deg=declination_deg,
        source=traverse.source,
    )  # fmt: skip
    return shape, (*notes, *more)


def _closure(figure: Figure, source: str) -> Note:
    """Return what to say of how a figure closes."""
    missed = f"{figure.missed}; about {feet(figure.expected_ft, 1)} is usual for how it was measured"
    if not figure.doubtful:
        return Note("closes", missed, "info", source, more="Balanced by the compass rule.")
    some = " ".join(
        f"Leg {one.number} ({one.text}) would close it as {one.change}."
        for one in figure.suspects[:3]
    )
    head = f"{missed}; a leg is likely wrong"
    return Note("leg-likely-wrong", head if some else f"{head}.", source=source, more=some)
