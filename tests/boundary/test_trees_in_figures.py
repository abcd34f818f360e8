"""Trees beside a walk: what the note says, whole."""

import numpy as np
import pytest
import shapely

from quietacre.boundary.plane import Plane
from quietacre.boundary.trees import beside_trees
from quietacre.boundary.walk import Walk
from quietacre.boundary.why import term
from quietacre.figures import printed
from quietacre.model import Note
from quietacre.units import ACRE_M2

NONE = np.zeros(0)


def a_walk(**more):
    """A walk round a square of 100 m, ± 0.2 ac."""
    acres = 10_000.0 / ACRE_M2
    return Walk(
        Plane(-86.3, 33.2).ground(shapely.box(0, 0, 100, 100)), acres,
        **{
            "acres_low": acres - 0.2, "acres_high": acres + 0.2,
            "half_width_pct": 20.0 / acres, "method": "walked", "laps": 1.0, "removed": {},
            "sigma_m": 2.0, "advice": (), "notes": (), "band": None, "kept_lon": NONE,
            "kept_lat": NONE, "removed_lon": NONE, "removed_lat": NONE, "removed_cause": (),
            "source": "w.gpx", "name": "W", "area_sd_m2": 300.0,
            "terms": (term("drift", "drift", 300.0, 0.0, "s"),), **more,
        },
    )  # fmt: skip


@pytest.mark.parametrize(
    ("notes", "so"),
    [((), "so ± 0.2 ac was made ± {}"),
     ((Note("sky-unknown", "words"),), "so it is taken as blocked: ± {} ac")],
)  # fmt: skip
def test_trees_along_half_an_edge_are_said_with_both_ranges(notes, so):
    made = beside_trees(a_walk(notes=notes), 0.5)
    # 3.3 m all round, of which 0.8 · 0.5 counts, beside 300 m² of drift
    half_ac = 2.31 * np.hypot(300.0, 3.3 * 0.4 * 400.0) / ACRE_M2
    note = made.notes[0]
    assert (note.code, note.level, note.source, note.feature) == (
        "trees-beside", "info", "w.gpx", "W",
    )  # fmt: skip
    assert (note.lon, note.lat) == pytest.approx(
        made.polygon.representative_point().coords[0]
    )
    assert f", {so.format(f'{half_ac:.2f}')}. What would help" in printed(note.text)
    assert "along 50 % of the edge on the map" in note.text
    assert (made.acres_high - made.acres_low) / 2.0 == pytest.approx(half_ac, rel=0.01)
