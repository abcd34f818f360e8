"""An area's ground from pins, legs or calls; and the ± of a drawn one."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from quietacre.acreage.equal_area import area_m2
from quietacre.acreage.frame import LocalFrame
from quietacre.boundary.drawn import drawn_area_sd_m2, map_scale_pm_ft
from quietacre.boundary.figure_place import KnownCorner, place_figure
from quietacre.chance import CIRCULAR_95, Z95
from quietacre.errors import FileProblem
from quietacre.figures import feet
from quietacre.intake.vector import OwnUnits
from quietacre.measure.known import HowKnown, known_ground
from quietacre.measure.records import Ground
from quietacre.model import Note
from quietacre.units import ACRE_M2, FT_M

if TYPE_CHECKING:
    from collections.abc import Sequence

    from quietacre.measure.choose import Files
    from quietacre.settings import Area


def ground_known(files: Files, area: Area, names: Sequence[str]) -> Ground | None:
    """Return an area's ground from pins, legs or calls; None when its files hold other ground.

    Raises
    ------
    FileProblem
        Such a file stands beside others, or what is known of it does not place it.
    """
    own = OwnUnits(area.pace_ft, area.vara_ft)
    layers = [files.layer(name, own) for name in names]
    pins = area.corners is not None
    if not pins and not any(layer.traverse or layer.deed for layer in layers):
        others = any(len(layer.geometry) or layer.tracks for layer in layers)
        if others or not any(layer.waypoints for layer in layers):
            return None
    if len(layers) > 1:
        raise FileProblem(
            "is pins, legs or calls, which stand alone", fix="name one file under from",
            source=names[0], where=f"area “{area.name}”",
        )  # fmt: skip
    layer = layers[0]
    notes = [note for note in layer.notes if note.code != "waypoints-listed"]
    if pins and (len(layer.geometry) or layer.tracks):
        layer = replace(layer, geometry=layer.geometry[:0], tracks=())
        text = f"“{area.name}” has corners, so its waypoints were measured; what else {names[0]} holds was not."
        notes.append(Note("pins-over-track", text, "caution", names[0], area.name))
    placed = tuple(KnownCorner(one.corner, one.lat, one.lon) for one in area.placed)
    how = HowKnown(area.corners, area.order, area.sky, placed, area.declination_deg)
    known = known_ground(layer, how, area.name)
    if known is None:
        return None
    if layer.deed is not None and layer.deed.exceptions:
        raise FileProblem(
            "has an exception, whose place its words do not tell",
            fix="take the exception out of the text, and draw it as an area of kind keepout",
            source=names[0], where=f"area “{area.name}”",
        )  # fmt: skip
    if known.shape is None and known.figure is not None:
        place_figure(known.figure, (), (), source=f"{names[0]}, area “{area.name}”")
    return Ground(
        known.shape, None, known.method, (*notes, *known.notes), layer.waypoints,
        (known.acres_low, known.acres_high), known.sigma_m,
    )  # fmt: skip


def with_drawn_range(
    ground: Ground, edge_pm_ft: float | None, map_scale: float | None
) -> Ground:
    """Return drawn ground with its ±, where the person gave an error or a scale."""
    if edge_pm_ft is None and map_scale is None:
        return ground
    pm_ft = edge_pm_ft if edge_pm_ft is not None else map_scale_pm_ft(map_scale or 0.0)
    frame = LocalFrame.around([ground.shape])
    local = frame.to_local(np.array([ground.shape], dtype=object))[0]
    acres = float(area_m2(np.array([ground.shape], dtype=object))[0]) / ACRE_M2
    half = Z95 * drawn_area_sd_m2(local, pm_ft) / ACRE_M2
    how = (
        "edge_pm_ft"
        if edge_pm_ft is not None
        else f"the accuracy of a map of 1:{map_scale:,.0f}"
    )
    return ground._replace(
        method=f"drawn, its edge within {feet(pm_ft)} (95 %, by {how})",
        acres_range=(max(acres - half, 0.0), acres + half),
        edge_sigma_m=pm_ft * FT_M / CIRCULAR_95,
    )
