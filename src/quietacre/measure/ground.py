"""The ground of one area, from its drawing, its walk or its walks; and the property line."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely

from quietacre.acreage.equal_area import area_m2
from quietacre.boundary.combine import combine_walks
from quietacre.boundary.edges import Edge, walk_round
from quietacre.boundary.mended import days_walked
from quietacre.boundary.recordings import most_ground
from quietacre.errors import WalkRefused
from quietacre.figures import acres as acres_words
from quietacre.measure.choose import (
    Chosen,
    Files,
    Use,
    acres_of,
    choose,
    joined_shape,
    nothing_in,
    twice_words,
)
from quietacre.measure.drawn_walked import held_with_walks
from quietacre.measure.otherwise import ground_known, with_drawn_range
from quietacre.measure.records import Ground
from quietacre.model import Note, SurveyedEdge
from quietacre.units import ACRE_M2

if TYPE_CHECKING:
    from collections.abc import Sequence

    from quietacre.boundary.walk import Walk
    from quietacre.settings import Area, Previous, Property

#: The property line holds all but this share of what else its file holds.
OUTSIDE_LINE = 0.02


def paths(files: str | tuple[str, ...]) -> tuple[str, ...]:
    """Return the names under ``from``, one or several."""
    return (files,) if isinstance(files, str) else tuple(files)


def area_ground(files: Files, area: Area) -> Ground:
    """Return an area's ground from its drawing, or from its walk or walks."""
    names = paths(area.files)
    if (known := ground_known(files, area, names)) is not None:
        files.told.update(names)
        return known
    chosen = [choose(files, name, area.feature, area.name, was=area.was) for name in names]
    points = tuple(point for name in names for point in files.layer(name).waypoints)
    notes = [note for one in chosen for note in one.notes]
    shape, joining = _drawn_ground(names, chosen, area.name)
    if shape is None:
        walk = walk_ground(chosen, area)
        return Ground(
            walk.polygon, walk, f"walked: {walk.method}", tuple(notes) + walk.notes, points,
            walked=days_walked(edge for one in chosen for edge in one.edges),
        )  # fmt: skip
    notes += joining
    if area.walked_inside_ft or area.walked_outside_ft:
        notes.append(
            Note(
                "drawing-not-moved",
                f"“{area.name}” is drawn, so walked_inside_ft / walked_outside_ft "
                "was not applied.",
                level="caution",
                feature=area.name,
            )
        )
    ground = with_drawn_range(
        Ground(shape, None, "drawn", tuple(notes), points), area.edge_pm_ft, area.map_scale
    )
    walks = [e for one in chosen for e in one.edges if e.shape is None]
    if not walks:
        return ground
    acres = float(area_m2(np.array([shape], dtype=object))[0]) / ACRE_M2
    return held_with_walks(ground, acres, _each_walk(walks, area), area.name)


def _drawn_ground(
    names: Sequence[str], chosen: Sequence[Chosen], label: str
) -> tuple[shapely.Geometry | None, list[Note]]:
    """Return the drawn edges of an area as one geometry; None when all are walks."""
    shapes, notes = [], []
    for name, one in zip(names, chosen, strict=True):
        drawn = [edge for edge in one.edges if edge.shape is not None]
        if drawn:
            shape, joining = joined_shape(drawn, name, label)
            shapes.append(shape)
            notes += joining
    if len(shapes) < 2:  # noqa: PLR2004 - nothing to join
        return (shapes[0] if shapes else None), notes
    whole = shapely.union_all(shapes)
    sizes = area_m2(np.array([*shapes, whole], dtype=object)) / ACRE_M2
    notes.append(
        Note(
            "features-together",
            f"the drawings of {len(shapes)} files are measured together as “{label}”, "
            f"{acres_words(float(sizes[-1]))}{twice_words(float(sizes[:-1].sum() - sizes[-1]))}.",
            "caution",
            feature=label,
        )
    )
    return whole, notes


def _each_walk(edges: Sequence[Edge], area: Area) -> list[Walk | WalkRefused]:
    """Return the walk of each edge, or why it cannot be read."""
    walks: list[Walk | WalkRefused] = []
    for edge in edges:
        try:
            walks += _read(edge, area)
        except WalkRefused as problem:
            walks.append(problem)
    return walks


def _read(edge: Edge, area: Area) -> list[Walk]:
    """Return the walk of an edge by what the person knows of it; none of a drawing."""
    walked = walk_round(edge)
    if walked is None:
        return []
    return [
        walked.read(
            walked_inside_ft=area.walked_inside_ft or 0.0,
            walked_outside_ft=area.walked_outside_ft or 0.0,
            sky=area.sky,
        )
    ]


def walk_ground(chosen: Sequence[Chosen], area: Area) -> Walk:
    """Return the walk, or the walks together, round an area."""
    walks = [walk for one in chosen for edge in one.edges for walk in _read(edge, area)]
    return walks[0] if len(walks) == 1 else combine_walks(walks)


def earlier_survey(
    files: Files, area: Area, survey: Previous
) -> tuple[SurveyedEdge, tuple[Note, ...]]:
    """Return the edge of a patch at an earlier survey, and what there is to say of its files."""
    names = paths(survey.files)
    chosen = [
        choose(files, name, survey.feature, area.name, was=area.was, as_area=False)
        for name in names
    ]
    notes = [note for one in chosen for note in one.notes]
    source = ", ".join(names)
    shape, joining = _drawn_ground(names, chosen, area.name)
    if shape is not None:
        return SurveyedEdge(survey.on, shape, None, source), (*notes, *joining)
    walk = walk_ground(chosen, area)
    return (
        SurveyedEdge(survey.on, walk.polygon, walk.edge_sigma_m, source),
        (*notes, *walk.notes),
    )


def property_line(
    files: Files, prop: Property
) -> tuple[shapely.Geometry | None, list[Note]]:
    """Return the property line, None without one, and what there is to say of it.

    In a file that holds plots too, it is the edge that holds the rest, or those that no
    area uses and that do. To be called when the areas have their ground.
    """
    file = prop.property.boundary
    if file is None:
        return None, []
    edges = files.edges(file)
    if not edges.measured:
        raise nothing_in(edges, "property.boundary")
    notes = list(files.notes(file))
    drawn = [edge for edge in edges.measured if edge.shape is not None]
    name = "the property line"
    if not drawn:
        best = most_ground([e.walked for e in edges.measured if e.walked is not None])
        taken = [edge for edge in edges.measured if edge.walked is best]
        shape, joining = best.walk.polygon, list(best.walk.notes)
    else:
        taken = _line_among(drawn, files.unused(file), file)
        shape, joining = joined_shape(taken, file, name)
    files.uses[file] += [Use(name, edge, None, as_area=False) for edge in taken]
    if len(edges.measured) > 1:
        acres = float(area_m2(np.array([shape], dtype=object))[0]) / ACRE_M2
        which = ", ".join(f"“{edge.label}”" for edge in taken[:12])
        which += f" and {len(taken) - 12:,} more" if len(taken) > 12 else ""  # noqa: PLR2004
        joining.append(
            Note(
                "line-of-many",
                f"{file} holds {len(edges.measured)} features; the property line is "
                f"{which}, {acres_words(acres)}.",
                "caution",
                file,
            )
        )
    return shape, notes + joining


def _line_among(drawn: Sequence[Edge], unused: Sequence[Edge], file: str) -> list[Edge]:
    """Return which drawings of a file are the property line.

    The one that holds all others, or those that no area uses where they hold the rest;
    else all of them.
    """
    if len(drawn) < 2:  # noqa: PLR2004 - nothing to choose
        return list(drawn)
    outer = drawn[int(np.argmax(acres_of(drawn, file)))]
    free = [edge for edge in drawn if edge in unused]
    for some in ([outer], free):
        rest = [edge for edge in drawn if edge not in some]
        if some and rest:
            line, _ = joined_shape(some, file, None)
            others, _ = joined_shape(rest, file, None)
            if others.difference(line).area <= OUTSIDE_LINE * others.area:
                return some
    return list(drawn)
