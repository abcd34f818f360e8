"""A file of edges to keep: GeoJSON whose features say which area each is for."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from quietacre.errors import FileProblem
from quietacre.intake.deadline import timed
from quietacre.intake.features import features_of, json_in
from quietacre.intake.limits import read_text
from quietacre.units import reckonable

if TYPE_CHECKING:
    from pathlib import Path


@dataclass(frozen=True)
class TypedEdge:
    """One feature: its polygons as GeoJSON has them, and what its properties say."""

    polygons: tuple[Any, ...]
    area: str | None
    name: str
    kind: str | None
    like: str | None
    was: str | None
    edge_pm_ft: float | None
    hand_pm_ft: float | None


@dataclass(frozen=True)
class TypedEdges:
    """A whole file: its edges, the areas to take out, and what was done."""

    edges: tuple[TypedEdge, ...]
    out: tuple[str, ...]
    label: str | None


@timed
def read_new_edges(path: Path, *, shown: str | None = None) -> TypedEdges:
    """Return the edges of a GeoJSON file that is to be kept.

    Each feature has ``area``, whose edge it becomes, or ``name`` (and ``kind``, ``like``) of a
    new one; ``edge_pm_ft``, ``hand_pm_ft`` (of the corners that a hand put) and ``was`` if need be. Beside ``features`` may stand ``out``, names
    of areas to take out, and ``label``.

    Raises
    ------
    FileProblem
        It is no such file.
    """
    shown = shown or str(path)
    whole = json_in(read_text(path, shown), shown)
    features = features_of(whole, shown)
    out = whole.get("out") or []
    if not isinstance(out, list) or not all(isinstance(name, str) for name in out):
        raise FileProblem("out is no list of names", fix="name areas", source=shown)
    label = whole.get("label")
    return TypedEdges(
        tuple(
            _edge(feature, f"feature {n}", shown) for n, feature in enumerate(features, 1)
        ),
        tuple(out),
        str(label)[:200] if label else None,
    )


def _edge(feature: Any, where: str, source: str) -> TypedEdge:  # noqa: ANN401 - any JSON
    geometry = feature.get("geometry") if isinstance(feature, dict) else None
    kind = geometry.get("type") if isinstance(geometry, dict) else None
    rings = geometry.get("coordinates") if isinstance(geometry, dict) else None
    if kind not in ("Polygon", "MultiPolygon") or not isinstance(rings, list):
        raise FileProblem(
            "is no polygon", fix="give polygons alone", source=source, where=where
        )
    properties = feature.get("properties")
    properties = properties if isinstance(properties, dict) else {}
    return TypedEdge(
        tuple(rings) if kind == "MultiPolygon" else (rings,),
        _word(properties.get("area")), _word(properties.get("name")) or "", _word(properties.get("kind")),
        _word(properties.get("like")), _word(properties.get("was")), _feet(properties, "edge_pm_ft", source, where),
        _feet(properties, "hand_pm_ft", source, where),
    )  # fmt: skip


def _word(value: Any) -> str | None:  # noqa: ANN401 - any JSON
    return str(value) if value not in (None, "") else None


def _feet(properties: dict[str, Any], key: str, source: str, where: str) -> float | None:
    value = properties.get(key)
    if value is None:
        return None
    if not isinstance(value, (int, float)) or not reckonable(value) or value <= 0:
        raise FileProblem(
            f"{key} is no length", fix="give feet, above 0", source=source, where=where
        )
    return float(value)
