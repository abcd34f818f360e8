"""Walks whose edge runs beside trees that the property's own map shows."""

from __future__ import annotations

from typing import TYPE_CHECKING

import shapely

from quietacre.boundary.trees import beside_trees, share_beside

if TYPE_CHECKING:
    from collections.abc import Sequence

    from quietacre.measure.records import Ground
    from quietacre.settings import Area

#: Kinds of ground that trees stand on.
WOODED = ("timber",)


def with_trees(areas: Sequence[Area], ground: Sequence[Ground]) -> list[Ground]:
    """Return the ground of each area, the ± of its walk with the trees beside its edge.

    Parameters
    ----------
    areas, ground : in one order.
    """
    woods = [
        piece.shape
        for area, piece in zip(areas, ground, strict=True)
        if area.kind in WOODED
    ]
    if not woods:
        return list(ground)
    trees = shapely.union_all(woods)
    return [_beside(piece, trees) for piece in ground]


def _beside(piece: Ground, trees: shapely.Geometry) -> Ground:
    walk = piece.walk
    if walk is None:
        return piece
    wider = beside_trees(walk, share_beside(walk, trees))
    if wider is walk:
        return piece
    others = tuple(note for note in piece.notes if note not in walk.notes)
    return piece._replace(walk=wider, notes=(*others, *wider.notes))
