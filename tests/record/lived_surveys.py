"""Vine patches surveyed again in a lived year, and what must hold of their edges and strips.

The patches of the invented places are squares; their sizes, their growth and what lies
beyond their strips are worked out here from the sides alone.
"""

import datetime as dt
import json
import math
from dataclasses import dataclass

import pyproj
import shapely

from quietacre.edit.survey import take_survey
from quietacre.measure.property import measure_property
from quietacre.report import since_last_survey, surveys_told

ACRE_M2, FT_M = 4046.8564224, 0.3048
GEOD = pyproj.Geod(ellps="WGS84")
#: Two drawn edges see nothing nearer than this beyond a strip, and surely what is farther. [ft]
BLIND_FT = 20.0


@dataclass
class Patch:
    """A square patch: its edge as drawn, and the surveys so far, the oldest first."""

    name: str
    box: tuple[float, float, float, float]
    surveys: list[tuple[dt.date, float]]

    @classmethod
    def of(cls, name, shape, on):
        """Return a patch as it was first surveyed."""
        return cls(name, shape.bounds, [(on, acres_of(shape.bounds))])


def acres_of(box):
    """Return the acres of a box of degrees on the ellipsoid."""
    shape = shapely.orient_polygons(shapely.box(*box))
    return abs(GEOD.geometry_area_perimeter(shape)[0]) / ACRE_M2


def grown(box, feet):
    """Return a box of degrees whose sides (west, south, east, north) moved out so far. [ft]"""
    west, south, east, north = box
    lon, lat = (west + east) / 2, (south + north) / 2
    far_lon, _, _ = GEOD.fwd(lon, lat, 90, 1000)
    _, far_lat, _ = GEOD.fwd(lon, lat, 0, 1000)
    a_lon, a_lat = (far_lon - lon) * FT_M / 1000, (far_lat - lat) * FT_M / 1000
    w, s, e, n = feet
    return west - w * a_lon, south - s * a_lat, east + e * a_lon, north + n * a_lat


def draw_growth(dice, width_ft):
    """Return how far each side moved: alike all round, back, or one side far out. [ft]"""
    how = dice.random()
    if how < 0.5:  # noqa: PLR2004
        return (dice.uniform(2.0, 15.0),) * 4
    if how < 0.7:  # noqa: PLR2004
        return (-dice.uniform(1.0, 8.0),) * 4
    far = [0.0] * 4
    far[dice.randrange(4)] = dice.choice([0.4 * width_ft, width_ft + 60.0])
    return tuple(far)


def survey(folder, patch, feet, on, state):
    """Draw a patch anew, take it in as a person does, and return the place measured again."""
    west, south, east, north = patch.box = grown(patch.box, feet)
    ring = [(west, south), (east, south), (east, north), (west, north), (west, south)]
    drawn = folder.parent / f"{patch.name} {on}.geojson"
    drawn.write_text(
        json.dumps({"type": "FeatureCollection", "features": [
            {"type": "Feature", "properties": {"name": patch.name},
             "geometry": {"type": "Polygon", "coordinates": [ring]}}]})
    )  # fmt: skip
    before = patch.surveys[-1][0]
    take_survey(folder, drawn, patch.name, on=on, before_on=before, state=state)
    patch.surveys.append((on, acres_of(patch.box)))
    return measure_property(folder)


def survey_wrong(measured, rings, patch, feet, before_ft):
    """Yield what is wrong right after a survey.

    ``rings`` are the strips now, ``before_ft`` the width of each before, by the patches in it.
    """
    key = next(k for k, a in measured.prop.area_by_id.items() if a.name == patch.name)
    where = f"{patch.surveys[-1][0]}: {patch.name} surveyed again"
    told = surveys_told(measured, key)
    days = [(one.on, one.acres) for one in told.surveys]
    if len(days) != len(patch.surveys) or any(
        on != own_on or not math.isclose(acres, own, rel_tol=1e-4)
        for (on, acres), (own_on, own) in zip(days, patch.surveys, strict=True)
    ):
        yield f"{where}: told as {days}, drawn as {patch.surveys}"
        return
    move = told.moves[-1]
    change = patch.surveys[-1][1] - patch.surveys[-2][1]
    if not math.isclose(move.change_ac, change, abs_tol=2e-4):
        yield f"{where}: {move.change_ac} ac more, drawn as {change}"
    if len(set(feet)) == 1 and not 0.9 <= move.mean_ft / feet[0] <= 1.25:  # noqa: PLR2004
        yield f"{where}: moved {move.mean_ft} ft, drawn as {feet[0]}"
    ring = next(ring for ring in rings if key in ring.round_ids and ring.kind == "strip")
    width, same = ring.wanted.width_ft, before_ft.get(ring.round_ids)
    if same is not None and width < same - 1e-6:
        yield f"{where}: the strip is {width} ft, and was {same}"
    if len(ring.round_ids) == 1:
        yield from _strip_wrong(where, patch, ring)
    notes = since_last_survey(measured, ring)[1]
    crossed = any(note.feature == patch.name for note in notes)
    over = max(feet) - width
    if (crossed and over <= 0) or (not crossed and over > BLIND_FT):
        yield f"{where}: {max(feet)} ft out, strip {width} ft, crossed {crossed}"


def _strip_wrong(where, patch, ring):
    """Yield where a strip round a square alone has not the acres of its width."""
    west, south, east, north = patch.box
    _, _, wide = GEOD.inv(west, south, east, south)
    _, _, high = GEOD.inv(west, south, west, north)
    out = ring.wanted.width_ft * FT_M
    acres = (2 * (wide + high) * out + math.pi * out**2) / ACRE_M2
    if not math.isclose(ring.size.acres, acres, rel_tol=0.01):
        yield f"{where}: its strip has {ring.size.acres} ac, by its width {acres}"
