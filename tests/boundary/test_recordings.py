"""Which tracks of a file are which walks: plans, pieces of one walk, walks of one edge."""

import datetime as dt
from dataclasses import replace

import numpy as np
import pytest
import shapely
from random_files import (
    Places,
    acres_of,
    drawing,
    gpx,
    gpx_line,
    kml,
    kml_line,
    kml_polygon,
    kml_track,
    walk,
)
from walk_accuracy import simulate

from quietacre.boundary.read import read_walk
from quietacre.boundary.recordings import file_walk, read_tracks
from quietacre.errors import WalkRefused
from quietacre.intake.vector import read_layer

BEGIN = dt.datetime(2027, 3, 1, 14, 0, tzinfo=dt.UTC)


@pytest.fixture
def ground():
    rng = np.random.default_rng(4)
    return rng, Places(rng)


def tracks_of(folder, name, text):
    (folder / name).write_text(text, encoding="utf-8")
    return read_layer(folder / name).tracks


def codes(recorded):
    return {note.code for note in recorded.notes}


@pytest.mark.parametrize("first", [True, False])
def test_a_plan_of_more_ground_does_not_beat_the_walk(first, ground, tmp_path):
    rng, places = ground
    fixes = walk(rng, places)
    plan = shapely.get_coordinates(shapely.Polygon(fixes).envelope.buffer(0.002))
    lines = [gpx_line("Walk", fixes, BEGIN)]
    lines.insert(0 if first else 1, gpx_line("Plan", plan, None, route=True))
    tracks = tracks_of(tmp_path, "a.gpx", gpx(lines))
    read = file_walk(tracks)
    assert read.acres == pytest.approx(acres_of(shapely.Polygon(fixes)), rel=5e-3)
    (note,) = [note for note in read.notes if note.code == "track-not-measured"]
    assert f"route “Plan” is a plan and is not measured ({acres_of(shapely.Polygon(plan)):.2f} ac)" \
        in note.text  # fmt: skip


def test_a_plan_is_read_where_no_track_can_be_and_said(ground, tmp_path):
    rng, places = ground
    plan, fixes = walk(rng, places), walk(rng, places)
    lines = [gpx_line("Plan", plan, None, route=True)]
    lines.append(gpx_line("Drive", fixes[: len(fixes) // 3], BEGIN))
    read = file_walk(tracks_of(tmp_path, "a.gpx", gpx(lines)))
    assert read.acres == pytest.approx(acres_of(shapely.Polygon(plan)), rel=5e-3)
    (note,) = [note for note in read.notes if note.code == "route-measured"]
    assert note.level == "warning"
    assert "“Drive” does not close" in note.text


def test_a_refusal_names_the_track_not_the_plan(ground, tmp_path):
    rng, places = ground
    plan, fixes = walk(rng, places), walk(rng, places)
    lines = [gpx_line("Plan", plan[:20], None, route=True)]
    lines.append(gpx_line("Hike", fixes[: len(fixes) // 2], BEGIN))
    with pytest.raises(WalkRefused, match="does not close") as problem:
        file_walk(tracks_of(tmp_path, "a.gpx", gpx(lines)))
    assert problem.value.where == "track “Hike”"


@pytest.mark.parametrize("wait_min", [1, 4, 40])
@pytest.mark.parametrize("cuts", [[0.5], [0.2], [0.9], [0.3, 0.6]])
def test_a_loop_recorded_as_several_tracks_is_one_walk(wait_min, cuts, ground, tmp_path):
    rng, places = ground
    fixes = walk(rng, places)
    ends = [0, *(int(cut * len(fixes)) for cut in cuts), len(fixes)]
    lines, when = [], BEGIN
    for number, (start, stop) in enumerate(zip(ends, ends[1:], strict=False)):
        lines.append(
            gpx_line(f"part {number}", fixes[start + 2 * (number > 0) : stop], when)
        )
        when += dt.timedelta(seconds=2 * (stop - start), minutes=wait_min)
    recorded = read_tracks(tracks_of(tmp_path, "a.gpx", gpx(lines)))
    (piece,) = recorded.walked
    assert piece.walk.acres == pytest.approx(acres_of(shapely.Polygon(fixes)), rel=0.02)
    assert piece.numbers == tuple(range(1, len(ends)))
    assert not recorded.unread
    assert "tracks-joined" in codes(recorded)


def test_a_recorder_that_cuts_every_minute_makes_one_walk(ground, tmp_path):
    rng, places = ground
    fixes = walk(rng, places)
    steps = range(0, len(fixes), max(len(fixes) // 20, 4))
    lines = [
        gpx_line(None, fixes[n : n + steps.step], BEGIN + dt.timedelta(seconds=2 * n))
        for n in steps
    ]
    (piece,) = read_tracks(tracks_of(tmp_path, "a.gpx", gpx(lines))).walked
    assert len(piece.numbers) == len(lines)
    assert piece.walk.acres == pytest.approx(acres_of(shapely.Polygon(fixes)), rel=0.01)


@pytest.mark.slow
def test_a_log_of_hundreds_of_open_tracks_is_read_in_time_and_said(tmp_path):
    far = np.cumsum(np.full((6000, 2), 2e-5), axis=0) + [-87.6, 34.2]
    lines = [
        gpx_line(None, far[n : n + 20], BEGIN + dt.timedelta(seconds=2 * n))
        for n in range(0, 6000, 20)
    ]
    recorded = read_tracks(tracks_of(tmp_path, "a.gpx", gpx(lines)))
    assert not recorded.walked
    assert "joins-untried" in codes(recorded)


def test_halves_of_two_loops_hours_apart_are_not_joined(ground, tmp_path):
    rng, places = ground
    fixes = walk(rng, places)
    half = len(fixes) // 2
    later = BEGIN + dt.timedelta(hours=5)
    lines = [gpx_line("A", fixes[:half], BEGIN), gpx_line("B", fixes[half:], later)]
    assert not read_tracks(tracks_of(tmp_path, "a.gpx", gpx(lines))).walked


def test_the_way_home_is_no_part_of_the_loop_before_it(ground, tmp_path):
    rng, places = ground
    fixes = walk(rng, places)
    home = np.linspace(fixes[-1], fixes[-1] + [0.002, 0.001], 120)
    begin = BEGIN + dt.timedelta(seconds=2 * len(fixes) + 60)
    lines = [gpx_line("Plot", fixes, BEGIN), gpx_line("Home", home, begin)]
    recorded = read_tracks(tracks_of(tmp_path, "a.gpx", gpx(lines)))
    (piece,) = recorded.walked
    assert piece.numbers == (1,)
    assert piece.walk.acres == pytest.approx(acres_of(shapely.Polygon(fixes)), rel=5e-3)
    assert [one.track.name for one in recorded.unread] == ["Home"]


def test_two_walks_of_one_edge_are_one_piece_of_ground(ground, tmp_path):
    rng, places = ground
    fixes = walk(rng, places)
    again = fixes + rng.normal(0, 1e-6, fixes.shape)
    later = BEGIN + dt.timedelta(hours=3)
    lines = [gpx_line("A", fixes, BEGIN), gpx_line("B", again, later)]
    recorded = read_tracks(tracks_of(tmp_path, "a.gpx", gpx(lines)))
    (piece,) = recorded.walked
    assert piece.walk.method == "2 walks combined"
    assert "walked-again" in codes(recorded)


def test_one_recording_saved_twice_is_read_once(ground, tmp_path):
    rng, places = ground
    fixes = walk(rng, places)
    thinned = fixes[::2]
    marks = [("Track", kml_track(fixes, BEGIN)), ("Path", kml_line(fixes))]
    recorded = read_tracks(tracks_of(tmp_path, "a.kml", kml(marks)))
    (piece,) = recorded.walked
    assert np.isfinite(piece.tracks[0].time_s).all()
    assert "recording-repeated" in codes(recorded)
    marks[1] = ("Path", kml_line(thinned))
    recorded = read_tracks(tracks_of(tmp_path, "b.kml", kml(marks)))
    (piece,) = recorded.walked
    assert len(piece.tracks) == 1
    assert piece.walk.method == "one loop"


@pytest.mark.parametrize("cut", [None, 40])
def test_a_phone_track_in_kml_is_read_like_gpx(cut, ground, tmp_path):
    rng, places = ground
    fixes = walk(rng, places)
    (one,) = tracks_of(tmp_path, "a.kml", kml([("T", kml_track(fixes, BEGIN, cut))]))
    (two,) = tracks_of(tmp_path, "a.gpx", gpx([gpx_line("T", fixes, BEGIN)]))
    assert np.allclose(one.lon, two.lon)
    assert np.allclose(one.time_s, two.time_s)
    assert one.segment.max() == (0 if cut is None else 1)
    read = file_walk([one])
    assert read.acres == pytest.approx(acres_of(shapely.Polygon(fixes)), rel=5e-3)
    assert read.acres_high > read.acres


def test_a_line_in_kml_is_a_walk_with_its_laps_and_way_in(ground, tmp_path):
    rng, places = ground
    fixes = walk(rng, places)
    way = np.linspace(fixes[0] + [0.0012, 0.0004], fixes[0], 60)[:-1]
    path = np.vstack([way, fixes, fixes[1:], way[::-1]])
    (track,) = tracks_of(tmp_path, "a.kml", kml([("Edge", kml_line(path))]))
    read = file_walk([track])
    assert read.laps == 2
    assert read.removed["way in"] > 30
    assert read.acres == pytest.approx(acres_of(shapely.Polygon(fixes)), rel=0.01)


def test_a_line_that_was_drawn_is_measured_as_drawn(tmp_path):
    corners = [(-87.6, 34.2), (-87.597, 34.2), (-87.5965, 34.203), (-87.6, 34.202)]
    ring = np.array([*corners, corners[0]])
    recorded = read_tracks(tracks_of(tmp_path, "a.kml", kml([("Field", kml_line(ring))])))
    assert not recorded.walked
    assert recorded.drawn[0].shape.equals(shapely.Polygon(ring))
    road = np.array([(-87.6, 34.2), (-87.59, 34.2), (-87.59, 34.21)])
    polygon = kml_polygon(
        drawing(np.random.default_rng(1), Places(np.random.default_rng(1)))
    )
    text = kml([("Road", kml_line(road)), ("Field", polygon)])
    recorded = read_tracks(tracks_of(tmp_path, "b.kml", text))
    assert not recorded.walked
    assert not recorded.drawn
    assert recorded.unread[0].track.name == "Road"


def test_a_closed_line_that_is_no_walk_is_measured_as_drawn_with_the_reason(
    ground, tmp_path
):
    rng, places = ground
    one, two = walk(rng, places), walk(rng, places)
    way = np.linspace(one[-1], two[0], 200)
    path = np.vstack([one, way, two, way[::-1]])
    recorded = read_tracks(tracks_of(tmp_path, "a.kml", kml([("Day", kml_line(path))])))
    (note,) = recorded.notes
    assert note.code == "line-as-drawn"
    assert note.level == "warning"
    assert "two pieces of ground" in note.text


def test_contours_by_the_hundred_are_no_walks(tmp_path):
    line = np.column_stack([np.linspace(-87.6, -87.59, 40), np.full(40, 34.2)])
    marks = [(str(n), kml_line(line + [0, n * 1e-5])) for n in range(300)]
    marks.append(("Field", kml_line(np.array([(0, 0), (0.01, 0), (0.01, 0.01), (0, 0)]))))
    (tmp_path / "a.kml").write_text(kml(marks))
    layer = read_layer(tmp_path / "a.kml")
    assert not layer.tracks
    assert layer.name == ("Field",)
    assert "lines-as-drawn" in {note.code for note in layer.notes}


@pytest.mark.parametrize("count", [2, 3])
def test_loops_in_the_segments_of_one_track_are_read_apart(count, ground, tmp_path):
    rng, places = ground
    loops = [walk(rng, places) for _ in range(count)]
    text = gpx([gpx_line("Day", fixes, places.begin(len(fixes) / 30.0)) for fixes in loops])
    text = text.replace("</trk><trk><name>Day</name>", "")
    tracks = tracks_of(tmp_path, "a.gpx", text)
    assert len(tracks) == 1
    recorded = read_tracks(tracks)
    truth = [acres_of(shapely.Polygon(fixes)) for fixes in loops]
    assert [piece.walk.acres for piece in recorded.walked] == pytest.approx(truth, rel=5e-3)
    assert "segments-apart" in codes(recorded)


def test_a_pause_in_a_loop_is_no_other_ground(ground, tmp_path):
    rng, places = ground
    fixes = walk(rng, places)
    half = len(fixes) // 2
    later = BEGIN + dt.timedelta(minutes=20, seconds=2 * half)
    text = gpx([gpx_line("A", fixes[:half], BEGIN), gpx_line("A", fixes[half:], later)])
    text = text.replace("</trk><trk><name>A</name>", "")
    recorded = read_tracks(tracks_of(tmp_path, "a.gpx", text))
    assert len(recorded.walked) == 1
    assert not recorded.notes


def test_simulated_walks_cut_in_two_are_read_as_if_they_were_whole():
    """Ways in and out, laps, stops and jumps included; of 244, 235 are within 10 %."""
    apart = []
    for seed in range(72000, 72050):
        track = simulate(seed).track
        rng = np.random.default_rng((seed, 3))
        count = len(track.lon)
        cut, lost = int(count * rng.uniform(0.15, 0.85)), int(rng.integers(0, 4))
        first = _part(track, slice(0, cut), 0.0)
        second = _part(track, slice(cut + lost, count), rng.uniform(60, 900))
        try:
            whole = read_walk([track]).acres
        except WalkRefused:
            continue
        try:
            apart.append(abs(file_walk([first, second]).acres / whole - 1))
        except WalkRefused:
            apart.append(1.0)
    assert len(apart) > 40
    assert np.mean(np.array(apart) < 0.1) > 0.88
    assert np.median(apart) < 0.01


def _part(track, rows, later_s):
    return replace(
        track, lon=track.lon[rows], lat=track.lat[rows],
        time_s=track.time_s[rows] + later_s, segment=track.segment[rows],
    )  # fmt: skip
