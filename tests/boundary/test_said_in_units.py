"""Sentences on walks, deeds, pins and mended drawings, in US units and in metric ones."""

from dataclasses import replace

import numpy as np
import pytest
import shapely
import shapely.affinity
from in_units import US, both

from quietacre.acreage.overlap import Overlap, overlap_notes
from quietacre.boundary.deed import work_out_deed
from quietacre.boundary.differ import OtherReading, differ_note, holding
from quietacre.boundary.faces import OTHER_GROUND, Face, told
from quietacre.boundary.figure_place import KnownCorner, place_figure
from quietacre.boundary.mended import drawn_over
from quietacre.boundary.move import move_edge
from quietacre.boundary.picture import walk_svg
from quietacre.boundary.pins import ground_between
from quietacre.boundary.plane import Plane
from quietacre.boundary.read import read_walk
from quietacre.boundary.recordings import chosen_note, read_tracks
from quietacre.boundary.repair import cut_spikes, repair
from quietacre.boundary.strays import crumbs, far_corners
from quietacre.boundary.traverse import work_out
from quietacre.boundary.trees import beside_trees
from quietacre.boundary.why import why_lines
from quietacre.demo.sample import sample_files
from quietacre.errors import BadInput
from quietacre.figures import BEFORE
from quietacre.intake.vector import read_layer
from quietacre.model import Call, Deed, Leg, Track, Traverse, Waypoint
from quietacre.units import ACRE_M2

PLANE = Plane.around(np.array([-86.3]), np.array([33.2]))
SQUARE = ((0, 0), (90, 0), (90, 90), (0, 90), (0, 0))


def refusal(make):
    with pytest.raises(BadInput) as refused:
        make()
    return refused.value.marked


def track(*corners_m, name="W", start_s=0.0, **more):
    """Return a walk of straight ways from corner to corner, a fix a second."""
    line = shapely.LineString(corners_m)
    xy = shapely.get_coordinates(
        shapely.line_interpolate_point(line, np.arange(0.0, line.length, 1.5))
    )
    lon, lat = PLANE.lonlat(xy).T
    time_s = start_s + np.arange(len(xy), dtype=float)
    zeros = np.zeros(len(xy), dtype=np.int64)
    return Track(name, "w.gpx", "track", lon, lat, time_s, zeros, **more)


def box(*bounds_m):
    return PLANE.ground(shapely.box(*bounds_m))


def legs(*courses):
    return tuple(Leg(float(a), float(f), text=f"leg {a}") for a, f in courses)


def deed(*courses, **more):
    calls = tuple(Call(n, leg.text, leg) for n, leg in enumerate(legs(*courses), 1))
    return Deed("d.txt", calls, **more)


def file_walk_of_sample(folder):
    path = folder / "w.gpx"
    path.write_bytes(sample_files()["walks/creek-shelf.gpx"])
    return read_walk(read_layer(path, shown="w.gpx").tracks)


def test_a_walk(tmp_path):
    walk = file_walk_of_sample(tmp_path)
    inside = move_edge(walk, 10.5)
    wide = drawn_over(walk, box_round(walk, 1.2), "W", "drawn", edge_pm_ft=20.0)
    lines = why_lines(wide[0].terms)
    trees = beside_trees(walk, 0.6).notes[-1]
    parted = move_edge(waist(walk), -16.0).notes
    us, _ = both([
        *lines, inside.method, wide[1].marked, trees.marked, *(note.marked for note in parted),
        refusal(lambda: move_edge(walk, -900.0)),
    ])  # fmt: skip
    said = "\n".join(us)
    assert "walked 10.5 ft inside the edge" in said
    assert "the edge as receiver and walker keep it, 2 ft all round" in said
    assert "within 20 ft" in said
    assert "moving its edge 900 ft" in said
    assert BEFORE not in inside.to_frame()["method"][0]


def box_round(walk, scale):
    return shapely.affinity.scale(walk.polygon, scale, scale)


def waist(walk):
    """Return the walk with an edge of two parts and a narrow way between them."""
    both_parts = shapely.union_all(
        [
            shapely.box(0, 0, 80, 80),
            shapely.box(84, 0, 130, 40),
            shapely.box(79, 10, 85, 14),
        ]
    )
    return replace(walk, polygon=PLANE.ground(both_parts), notes=())


def test_the_picture_of_a_walk(tmp_path):
    walk = file_walk_of_sample(tmp_path)
    us, metric = walk_svg(walk), walk_svg(walk, metric=True)
    assert BEFORE not in us + metric
    assert f"{walk.acres:.2f} ac, between {walk.acres_low:.2f} and" in us
    assert " ft, north up" in us
    assert " m, north up" in metric
    assert not US.search(metric)
    assert f"{walk.acres * ACRE_M2 / 10_000:.2f} ha, between" in metric


def test_other_ground_that_a_walk_goes_round():
    faces = [Face(0.05 * ACRE_M2, where) for where in OTHER_GROUND]
    faces.append(Face(1e4, "alone", shapely.box(0, 0, 100, 100)))
    texts = [told(face, 2 * ACRE_M2, "“W”", 2.0)[1] for face in faces]
    us, metric = both(texts)
    assert "about 0.050 ac beside its 2.00 ac" in us[0]
    assert "about 0.050 of the 2.00 ac of “W”" in "\n".join(us)
    assert "about 0.020 ha beside its 0.81 ha" in metric[0]
    assert "(between 2." in us[-1]
    assert "(between 0.9" in metric[-1]


def test_walks_that_are_refused_or_closed():
    far = track(*SQUARE)
    lon = far.lon.copy()
    lon[len(lon) // 2 :] += 20.0
    away = Track(far.name, far.source, "track", lon, far.lat, far.time_s, far.segment)
    two = track(
        (0, 0), (0, 60), (-60, 60), (-60, 0), (0, 0), (70, 0), (70, 60), (0, 60), (0, 0)
    )
    gap = read_walk([track((0, 0), (90, 0), (90, 90), (0, 90), (0, 25))]).notes
    bridged = [note.marked for note in gap if note.code == "gap-bridged"]
    assert bridged
    both([refusal(lambda: read_walk([away])), refusal(lambda: read_walk([two])), *bridged])


def moved(corners, by_m):
    return [(x + by_m, y) for x, y in corners]


def test_tracks_of_one_file():
    half = ((0, 0), (90, 0), (90, 90)), ((90, 92), (0, 90), (0, 2))
    parts = [track(*half[0], name="a"), track(*half[1], name="b", start_s=400.0)]
    again = [track(*moved(SQUARE, 500 + s / 4e3), start_s=s) for s in (4e3, 8e3)]
    plan = replace(track(*moved(SQUARE, 900)), kind="route")
    recorded = read_tracks([*parts, *again, plan])
    notes = [*recorded.notes, *chosen_note(recorded.walked[0], recorded.walked)]
    notes += read_tracks([plan]).notes
    codes = {note.code for note in notes}
    assert codes == {
        "tracks-joined", "walked-again", "track-not-measured", "track-chosen", "route-measured",
    }  # fmt: skip
    us, metric = both([note.marked for note in notes])
    assert any("apart at most" in text and " ft and " in text for text in us)
    assert any("apart at most" in text and " m and " in text for text in metric)


def test_readings_that_differ():
    readings = [OtherReading("one", 2.1, None), OtherReading("two", 2.6, None)]
    notes = differ_note(
        readings, [0.01, 0.01], source="w.gpx", name="W", middle=shapely.Point(0, 0)
    )
    (term,) = holding(2.1, [2.6], ())
    us, metric = both([notes[0].marked, term.text])
    assert "2.10 ac (one) and 2.60 ac (two)" in us[0]
    assert "the farthest by 0.20 ha" in metric[1]


def test_legs_and_a_deed():
    square = ((0, 400), (90, 400), (180, 400), (270, 430))
    worked = work_out_deed(deed(*square, stated_ac=9.25, exceptions=(deed(*FIFTY),)))
    codes = ("deed-does-not-close", "exceptions-taken-off", "deed-acres-differ")
    notes = [note for note in worked.notes if note.code in codes]
    assert len(notes) == len(codes)
    figure = work_out(Traverse("", "t.csv", legs(*FIFTY), "tape"))
    corners = [KnownCorner(1, 33.2, -86.3), KnownCorner(2, 33.21, -86.3)]
    _, placed = place_figure(figure, legs(*FIFTY), corners)
    us, metric = both([
        *(note.marked for note in notes), placed[0].marked,
        *(one.change for one in worked.figure.suspects if "°" not in one.change and "ft" in one.change),
        refusal(lambda: work_out(Traverse("", "t.csv", legs(*square[:3], (270, 20)), "tape"))),
    ])  # fmt: skip
    assert any("the deed says 9.25 ac; its calls give" in text for text in us)
    assert any("misses its beginning by 30.0 ft in 1,630 (1:54)" in text for text in us)
    assert any("misses its beginning by 9.14 m in 497 (1:54)" in text for text in metric)


FIFTY = ((0, 50), (90, 50), (180, 50), (270, 50))


def test_pins():
    places = [(0, 0), (100, 0), (100, 100), (0, 100), (1, 1)]
    pins = [
        Waypoint(str(n), "p.gpx", *PLANE.lonlat(np.array([xy]))[0])
        for n, xy in enumerate(places, 1)
    ]
    asked = refusal(lambda: ground_between(pins[:4], corners=None))
    notes = ground_between(pins, corners="straight", order="file").notes
    us, metric = both([asked, *(note.marked for note in notes)])
    assert "straight between them (2.47 ac)" in us[0]
    assert "straight between them (1.00 ha)" in metric[0]
    assert any("within 5.0 m of" in text for text in metric)


def test_drawings_mended_and_doubted():
    bow = PLANE.ground(shapely.Polygon([(0, 0), (90, 90), (90, 0), (0, 90)]))
    spiked = shapely.box(0, 0, 90, 90).segmentize(9.0)
    xy = shapely.get_coordinates(spiked.exterior)
    xy = np.insert(xy, 4, [xy[3], (400.0, 401.0), xy[3] + 1e-4], axis=0)
    notes = [repair(bow, "B", "b.kml")[1]]
    notes.append(cut_spikes(PLANE.ground(shapely.Polygon(xy)), "B", "b.kml")[1])
    stray = PLANE.ground(
        shapely.Polygon([(0, 0), (90, 0), (90, 90), (45, 95), (900, 900), (0, 90)])
    )
    notes += far_corners(np.array([stray]), ["B"], ["b.kml"])
    notes += crumbs(np.array([box(0, 0, 1, 1)]), ["B"], ["b.kml"])
    notes += overlap_notes([Overlap(0, 1, 900.0, 0, 0)], ["A", "B"], np.array([8e3, 8e3]))
    us, metric = both([note.marked for note in notes if note is not None])
    assert len(us) == 5  # noqa: PLR2004 - one of each
    assert "share 0.222 ac" in us[-1]
    assert "share 0.090 ha" in metric[-1]
