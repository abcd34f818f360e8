"""What is made of a walk that was read: heights and dilution, its answer, and what is said of it."""

import math
import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import shapely

from quietacre.boundary import read
from quietacre.boundary.average import Averaged, Lap
from quietacre.boundary.differ import OtherReading, lap_acres
from quietacre.boundary.faces import Face, told
from quietacre.boundary.loop import Loop
from quietacre.boundary.margin import Margin
from quietacre.boundary.walk import band_of
from quietacre.boundary.why import Term, term
from quietacre.figures import printed
from quietacre.units import ACRE_M2, FT_M

sys.path.insert(0, str(Path(__file__).parent))
from test_reading_by_hand import SQUARE, closely, fixes_of, track

# what a file tells


def test_heights_are_those_of_the_fixes_on_the_edge():
    way = closely([(50, -40), (50, 0)])[:-1]
    xy = np.vstack([way, closely(SQUARE), way[::-1]])
    heights = np.arange(len(xy)) * 1.0
    fixes = fixes_of(track(xy, height_m=heights))
    loop = Loop(((len(way), len(way) + 200),), 0.0, (), 0.0, 50.0)
    places, found = read._edge_heights(fixes, loop)
    assert found.tolist() == list(range(len(way), len(way) + 201))
    assert np.ptp(places, axis=0) == pytest.approx((100, 100), abs=0.01)
    assert places == pytest.approx(fixes.xy[len(way) : len(way) + 201])
    none = fixes_of(track(xy))
    assert read._edge_heights(none, loop)[1] is None


def test_the_usual_dilution_is_the_middle_one_of_those_that_are_known():
    xy = closely(SQUARE)
    hdop = np.full(len(xy), np.nan)
    hdop[:3] = 1.0, 9.0, 2.0
    told = read._told_of(fixes_of(track(xy, hdop=hdop, kind="route")), "open")
    assert (told.hdop, told.sky, told.planned) == (2.0, "open", True)
    assert math.isnan(told.satellites)
    blank = read._told_of(fixes_of(track(xy, satellites=np.full(len(xy), np.nan))), None)
    assert np.isnan([blank.hdop, blank.satellites]).all()
    assert (blank.sky, blank.planned, blank.jumped.any()) == (None, False, False)
    assert len(blank.jumped) == len(xy)


# the walk that is made of it


def answered(monkeypatch, readings=(), laps=1.0):
    """A square with a way in of 30 m and a way out of 20 m, its laps and ± given."""
    enter, leave = closely([(50, -30), (50, 0)])[:-1], closely([(50, 0), (50, -20)])[1:]
    some = track(np.vstack([enter, closely(SQUARE), leave]))
    fixes = fixes_of(some)
    fixes.cause[3] = "stop"
    loop = Loop(((15, 215),), 0.0, (), 0.0, 50.0)
    ring = closely(SQUARE)[:-1]
    mean = Averaged(ring, np.arange(200.0), np.zeros(0), laps, (Lap(ring, same_way=True),))
    terms = (term("drift", "d", 300.0, 0.0, "s"),)
    margin = Margin(2.5, terms, 200.0, 0.3, "its jumps", "open")
    given = []
    monkeypatch.setattr(read, "ways_round", lambda *_: readings)
    monkeypatch.setattr(
        read, "differ_note", lambda *said, **more: given.append((said, more)) or ()
    )
    ground = shapely.Polygon(ring)
    return (
        read._answer(fixes, loop, mean, ground, margin),
        some,
        fixes,
        given[0],
        ground,
        mean,
    )


def test_an_answer_has_its_fixes_its_range_and_how_it_was_read(monkeypatch):
    readings = (OtherReading("a", 2.4, None, 4.0), OtherReading("b", 2.5, None, 1.0))
    walk, some, fixes, asked, ground, mean = answered(monkeypatch, readings, 9.0)
    acres = 1e4 / ACRE_M2
    assert walk.acres == pytest.approx(acres, rel=1e-3)
    assert walk.acres_high - walk.acres == pytest.approx(2.31 * 300 / ACRE_M2)
    assert walk.acres - walk.acres_low == pytest.approx(2.31 * 300 / ACRE_M2)
    assert walk.half_width_pct == pytest.approx(100 * 2.31 * 300 / 1e4, rel=1e-3)
    assert (walk.method, walk.laps, walk.sigma_m) == ("one loop", 1.0, 2.5)
    assert (walk.source, walk.name, walk.sky, walk.blocked) == ("w.gpx", "W", "open", 0.3)
    assert walk.area_sd_m2 == pytest.approx(300.0)
    assert walk.terms == (Term("drift", "d", 2.31 * 300 / ACRE_M2, 0.0, "s"),)
    assert lap_acres(mean) == [pytest.approx(acres)]
    assert walk.readings == readings
    # of the way in one fix stood still before
    assert walk.removed == {"stop": 1, "way in": 14, "way out": 10}
    assert walk.removed_cause == ("way in",) * 14 + ("way out",) * 10
    out = [n for n in [*range(15), *range(216, 226)] if n != 3]
    assert walk.removed_lon.tolist() == some.lon[out].tolist()
    assert walk.removed_lat.tolist() == some.lat[out].tolist()
    assert walk.kept_lon == pytest.approx(some.lon[15:216], abs=1e-12)
    assert walk.kept_lat == pytest.approx(some.lat[15:216], abs=1e-12)
    assert walk.band.equals(band_of(ground, 2.5, 9.0, fixes.plane))
    assert fixes.cause[0] == "", "the fixes as they were cleaned stay as they are"
    # a lap's own: of nine the drift of one is three times as much
    (said, sds), more = asked
    assert said == readings
    assert sds == pytest.approx([200 * 3 / 2 / ACRE_M2, 200 * 3 / ACRE_M2])
    middle = walk.polygon.representative_point()
    assert more == {"source": "w.gpx", "name": "W", "middle": middle}


def test_causes_are_counted():
    cause = np.array(["", "spike", "stop", "", "spike"], dtype=object)
    assert read._counted(cause) == {"spike": 2, "stop": 1}
    assert read._counted(np.array(["", ""], dtype=object)) == {}


# what is said


def noted(removed, count, *, gap=0.0, others=(), area=1e4):
    fixes = replace(fixes_of(track(closely(SQUARE))), read=count)
    loop = Loop(((0, 200),), gap, (), 0.0, 50.0, others)
    notes = read._notes(fixes, loop, area, removed, shapely.Point(-86.3, 33.2), 2.0)
    for note in notes:
        assert (note.source, note.feature, note.lon, note.lat) == (
            "w.gpx",
            "W",
            -86.3,
            33.2,
        )
    return [(note.code, printed(note.head)) for note in notes]


def much(count, read_fixes, what):
    return (
        "much-set-aside",
        f"track “W”: {count:,} of the {read_fixes:,} fixes read are {what}; if they go round another "
        "piece of ground, record it as a track of its own.",
    )


def test_what_was_set_aside_is_said_from_its_share_on():
    assert noted({}, 2) == []
    assert noted({"spike": 20}, 100) == []
    assert noted({"spike": 21}, 100) == [much(21, 100, "set aside as jumps")]
    assert noted({"way in": 20, "way out": 20}, 100) == []
    assert noted({"way in": 20, "way out": 21}, 100) == [much(41, 100, "a way in or out")]
    assert noted({"way out": 2100, "spike": 1200}, 5000) == [
        much(1200, 5000, "set aside as jumps"), much(2100, 5000, "a way in or out"),
    ]  # fmt: skip


def test_a_gap_and_other_ground_are_said():
    assert noted({}, 100, gap=12.0) == [
        ("gap-bridged", f"track “W” stops {12 / FT_M:.0f} ft short of where it began; closed with a "
         "straight line, and the ± made wider for it."),
    ]  # fmt: skip
    assert noted({}, 100, gap=0.5)[0][0] == "gap-bridged"
    large, small = Face(900.0, "inside"), Face(899.0, "inside")
    code, text = told(large, 1e4, "track “W”", 2.0)
    assert noted({}, 100, others=(small, large)) == [(code, printed(text))]
