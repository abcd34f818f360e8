"""The walks that a drawn edge lies over: what they give together, by the keys of their area."""

from __future__ import annotations

from typing import TYPE_CHECKING, cast

from quietacre.edit.toml_table import files_under, number_in, texts_in
from quietacre.intake.vector import OwnUnits
from quietacre.measure.choose import Files, choose
from quietacre.measure.ground import walk_ground
from quietacre.settings import Area

if TYPE_CHECKING:
    from pathlib import Path

    from quietacre.boundary.walk import Walk
    from quietacre.edit.toml_table import TomlTable
    from quietacre.settings.types import AreaKind, Sky


def walks_under(folder: Path, area: TomlTable) -> tuple[tuple[str, ...], Walk | None]:
    """Return the walks that an area is measured by, or was, and what they give together."""
    names = files_under(area)
    files, own = (
        Files(folder),
        OwnUnits(number_in(area, "pace_ft"), number_in(area, "vara_ft")),
    )
    layers = [files.layer(name, own) for name in names]
    if not all(layer.tracks and not len(layer.geometry) for layer in layers):
        return (), None
    inside, outside = (
        number_in(area, f"walked_{side}_ft") for side in ("inside", "outside")
    )
    known = Area(
        str(area["name"]), cast("AreaKind", area["kind"]), names, walked_inside_ft=inside,
        walked_outside_ft=outside, sky=cast("Sky | None", area.get("sky")),
    )  # fmt: skip
    chosen = []
    for name in names:
        word = str(area["feature"]) if "feature" in area else None
        if "over" in area and word is not None and files.edges(name).pick(word) is None:
            word = None  # it says which of the drawing's
        chosen.append(
            choose(
                files, name, word, known.name, was=texts_in(area, "was"),
                as_area="over" not in area,
            )
        )  # fmt: skip
    return names, walk_ground(chosen, known)
