"""What the ± of a walk is made of, and that it holds what single walks cannot show."""

import dataclasses

import numpy as np
import pytest
import shapely
from click.testing import CliRunner

from quietacre.boundary.combine import combine_walks
from quietacre.boundary.read import read_walk
from quietacre.boundary.trees import beside_trees, share_beside
from quietacre.boundary.why import total_sd_m2, why_lines
from quietacre.cli import main
from quietacre.figures import printed
from quietacre.intake.gpx import read_gpx
from quietacre.model import Track
from quietacre.units import ACRE_M2

LON, LAT = -87.6, 34.2
EAST, NORTH = 92_177.0, 110_922.0


def track(xy, every_s=1.0, **more):
    n = len(xy)
    return Track(
        "edge", "edge.gpx", "track", LON + xy[:, 0] / EAST, LAT + xy[:, 1] / NORTH,
        np.arange(n) * every_s, np.zeros(n, dtype=int), **more,
    )  # fmt: skip


def square(side, step, laps=1.02, way=1):
    line = shapely.LinearRing([(0, 0), (side, 0), (side, side), (0, side)])
    at = way * np.arange(0.0, laps * line.length, step) % line.length
    return shapely.get_coordinates(shapely.line_interpolate_point(line, at))


def drift(rng, count, sigma, tau_s, every_s=1.0):
    out = rng.normal(0, 1, (count, 2))
    keep = np.exp(-every_s / tau_s)
    for i in range(1, count):
        out[i] = keep * out[i - 1] + (1 - keep**2) ** 0.5 * out[i]
    return sigma * out + rng.normal(0, 0.3, out.shape)


def open_walk(seed=1, side=80.0, laps=1.02, **more):
    rng = np.random.default_rng(seed)
    xy = square(side, 1.2, laps)
    return read_walk([track(xy + drift(rng, len(xy), 1.6, 60.0), **more)])


def codes(walk):
    return {term.code: term for term in walk.terms}


def test_the_terms_make_the_whole():
    walk = open_walk()
    half = (walk.acres_high - walk.acres_low) / 2
    assert half == pytest.approx(sum(t.half_ac**2 for t in walk.terms) ** 0.5, rel=1e-9)
    assert walk.area_sd_m2 == pytest.approx(total_sd_m2(walk.terms))
    assert all(term.source and term.text for term in walk.terms)
    assert {"drift", "edge", "floor"} <= set(codes(walk))
    lines = [printed(line) for line in why_lines(walk.terms)]
    assert "348 laps" in "\n".join(lines)
    assert all(line.startswith("± ") for line in lines)


def test_laps_and_days_leave_what_they_share():
    one, four = open_walk(laps=1.02), open_walk(laps=4.02)
    assert codes(four)["drift"].half_ac < 0.75 * codes(one)["drift"].half_ac
    assert codes(four)["edge"].half_ac == pytest.approx(codes(one)["edge"].half_ac, rel=0.1)
    days = combine_walks([open_walk(seed=k) for k in range(2, 6)])
    assert days.half_width_pct > 200 * 0.5 * 320 / 6400 / 2  # half a metre all round
    assert codes(days)["edge"].half_ac == pytest.approx(codes(one)["edge"].half_ac, rel=0.1)


def test_three_hundred_acres_are_not_known_to_a_tenth_of_a_percent():
    side = (300 * ACRE_M2) ** 0.5
    xy = square(side, 5.0)
    walk = read_walk([track(np.vstack([xy, xy, xy]) + 0.0, every_s=4.0)])
    assert walk.acres == pytest.approx(300, rel=0.002)
    assert walk.half_width_pct > 0.5


@pytest.mark.parametrize("lag_s", [8.0, 15.0])
def test_smoothing_that_reads_small_is_in_the_range(lag_s):
    xy = square(80.0, 1.2, 1.1)
    smoothed, keep = xy.copy(), np.exp(-1.0 / lag_s)
    for i in range(1, len(xy)):
        smoothed[i] = keep * smoothed[i - 1] + (1 - keep) * xy[i]
    walk = read_walk([track(smoothed)])
    assert walk.acres < 0.98 * 6400 / ACRE_M2
    assert "smoothing" in codes(walk)
    assert walk.acres_low < 6400 / ACRE_M2 < walk.acres_high


def test_a_fix_a_minute_does_not_read_small():
    rng = np.random.default_rng(3)
    angle = np.arange(0, 2 * np.pi * 1.02, 72.0 / 142.0)  # five acres round, 72 m a minute
    errors = []
    for _ in range(8):
        at = angle + rng.uniform(0, 1)
        xy = 80.2 * np.column_stack([np.cos(at), np.sin(at)]) + rng.normal(
            0, 1.5, (len(at), 2)
        )
        walk = read_walk([track(xy, every_s=60.0)])
        errors.append(walk.acres / 5.0 - 1)
        assert walk.acres_low < 5.0 < walk.acres_high
    assert abs(np.mean(errors)) < 0.04  # it was 13 % small


def test_a_plan_of_few_points_is_not_known_narrowly():
    rng = np.random.default_rng(5)
    at = np.linspace(0, 2 * np.pi, 51)
    xy = (620 + rng.normal(0, 25, 51))[:, None] * np.column_stack([np.cos(at), np.sin(at)])
    xy[-1] = xy[0]
    plan = dataclasses.replace(track(xy), kind="route", time_s=np.full(51, np.nan))
    assert read_walk([plan]).half_width_pct > 1.0


def test_blocked_sky_shows_in_the_track():
    rng = np.random.default_rng(8)
    xy = square(80.0, 1.2)
    walk = read_walk([track(xy + drift(rng, len(xy), 7.0, 25.0))])
    calm = open_walk()
    assert walk.blocked > 0.8
    assert calm.blocked < 0.2
    assert walk.half_width_pct > 2 * calm.half_width_pct
    assert "sky-blocked" in {note.code for note in walk.notes}
    assert "sky-blocked" not in {note.code for note in calm.notes}
    hinted = read_walk([track(xy + drift(rng, len(xy), 7.0, 25.0))], sky="open")
    assert "sky-blocked" not in {note.code for note in hinted.notes}
    assert hinted.half_width_pct < walk.half_width_pct


def test_a_hint_of_trees_is_what_print_says():
    """A hectare under trees: ± 12 %, one deviation (Revue Forestière Française 56(6), 2004)."""
    rng = np.random.default_rng(9)
    xy = square(100.0, 1.2)
    walk = read_walk([track(xy + drift(rng, len(xy), 2.0, 60.0))], sky="canopy")
    assert 100 * walk.area_sd_m2 / 1e4 == pytest.approx(12.0, abs=3.0)


def gpx(xy, more=""):
    points = "".join(
        f'<trkpt lat="{LAT + y / NORTH:.7f}" lon="{LON + x / EAST:.7f}">'
        f"<time>2026-05-03T14:{i // 60:02d}:{i % 60:02d}Z</time>{more}</trkpt>"
        for i, (x, y) in enumerate(xy)
    )
    return f'<gpx version="1.1"><trk><name>edge</name><trkseg>{points}</trkseg></trk></gpx>'


def test_dilution_and_satellites_of_a_file_are_read(tmp_path):
    rng = np.random.default_rng(10)
    xy = square(80.0, 1.2)
    xy = xy + drift(rng, len(xy), 1.6, 60.0)
    halves = {}
    for name, more in (
        ("bare", ""), ("good", "<sat>11</sat><hdop>0.9</hdop>"), ("poor", "<hdop>2.8</hdop>"),
        ("few", "<sat>5</sat>"), ("zero", "<sat>0</sat><hdop>0</hdop>"), ("words", "<hdop>bad</hdop>"),
    ):  # fmt: skip
        path = tmp_path / f"{name}.gpx"
        path.write_text(gpx(xy, more))
        halves[name] = read_walk(read_gpx(path).tracks).half_width_pct
    assert halves["poor"] > 2 * halves["bare"]
    assert halves["few"] > 2 * halves["bare"]
    for name in ("good", "zero", "words"):
        assert halves[name] == pytest.approx(halves["bare"])


def test_fixes_of_a_track_keep_what_each_tells():
    one = track(square(80.0, 1.2), hdop=np.arange(272.0))
    some = one.fixes(np.array([5, 3]))
    assert some.hdop.tolist() == [5.0, 3.0]
    assert some.lon.tolist() == one.lon[[5, 3]].tolist()
    assert some.satellites is None


def test_trees_on_the_map_speak_where_nobody_did():
    walk = open_walk()
    far = shapely.box(LON + 0.01, LAT, LON + 0.02, LAT + 0.01)
    beside = shapely.box(LON - 0.001, LAT - 0.001, LON + 0.002, LAT - 0.00003)
    assert share_beside(walk, far) == 0.0
    assert 0.2 < share_beside(walk, beside) < 0.45
    assert beside_trees(walk, 0.0) is walk
    wider = beside_trees(walk, 0.5)
    assert wider.half_width_pct > 1.3 * walk.half_width_pct
    (told,) = (note for note in wider.notes if note.code == "trees-beside")
    assert "so ± 0.14 ac was made ± 0.3. What would help" in told.text
    said = open_walk(seed=1)
    said = dataclasses.replace(said, sky="open")
    assert beside_trees(said, 0.5) is said


def test_laps_of_both_ways_that_differ_are_said_and_held():
    rng = np.random.default_rng(12)
    out, inner = square(88.0, 1.2, 1.0) - 4.0, square(72.0, 1.2, 1.0, way=-1) + 4.0
    xy = np.vstack([out, inner, inner[:2]])
    walk = read_walk([track(xy + drift(rng, len(xy), 0.8, 60.0))])
    assert walk.laps == 2
    assert [one.laps for one in walk.readings] == [1, 1]
    acres = sorted(one.acres for one in walk.readings)
    assert acres[0] == pytest.approx(72**2 / ACRE_M2, rel=0.05)
    assert acres[1] == pytest.approx(88**2 / ACRE_M2, rel=0.05)
    assert walk.acres_low <= acres[0] + 0.01
    assert walk.acres_high >= acres[1] - 0.01
    note = next(note for note in walk.notes if note.code == "readings-differ")
    assert f"{acres[0]:.2f} ac" in note.text
    assert f"{acres[1]:.2f} ac" in note.text


def test_laps_that_agree_are_not_said():
    walk = open_walk(laps=2.02)
    assert "readings-differ" not in {note.code for note in walk.notes}


def test_two_days_that_differ_are_said_and_held():
    days = [open_walk(side=80.0), open_walk(side=90.0, seed=2)]
    both = combine_walks(days)
    assert "readings-differ" in {note.code for note in both.notes}
    assert len(both.readings) == 2
    for one in days:
        assert both.acres_low <= one.acres + 1e-6
        assert both.acres_high >= one.acres - 1e-6


def test_the_terminal_says_why(tmp_path):
    rng = np.random.default_rng(14)
    xy = square(80.0, 1.2)
    path = tmp_path / "edge.gpx"
    path.write_text(gpx(xy + drift(rng, len(xy), 1.6, 60.0)))
    said = CliRunner().invoke(main, ["walk", str(path)]).stdout
    assert "why ± " in said
    assert "drift of the fixes" in said
    assert "measured on 348 laps" in said


@pytest.mark.parametrize(("slope", "said"), [(0.25, True), (0.05, False), (None, False)])
def test_level_acres_are_said_on_a_slope(tmp_path, slope, said):
    rng = np.random.default_rng(15)
    xy = square(80.0, 1.2)
    body = gpx(xy + drift(rng, len(xy), 1.6, 60.0))
    if slope is not None:
        heights = 210 + slope * xy[:, 0] + drift(rng, len(xy), 1.5, 60.0)[:, 0]
        for height in heights:
            body = body.replace(
                "Z</time></trkpt>", f"Z</time><ele>{height:.1f}</ele></trkpt>", 1
            )
    path = tmp_path / "edge.gpx"
    path.write_text(body)
    walk = read_walk(read_gpx(path).tracks)
    notes = [note for note in walk.notes if note.code == "level-acres"]
    assert len(notes) == said
    if said:
        assert "slopes about 2" in notes[0].text
        assert "3 % less" in notes[0].text


def test_heights_that_only_wander_are_no_slope():
    rng = np.random.default_rng(16)
    steep = 0
    for _ in range(40):
        xy = square(45.0, 1.2)
        walk = read_walk([track(xy, height_m=200 + drift(rng, len(xy), 4.0, 60.0)[:, 0])])
        steep += "level-acres" in {note.code for note in walk.notes}
    assert steep <= 1


def test_a_picture_shows_readings_that_differ():
    from quietacre.boundary.picture import walk_png, walk_svg

    both = combine_walks(
        [
            dataclasses.replace(open_walk(side=80.0), source="may.gpx"),
            dataclasses.replace(open_walk(side=90.0, seed=2), source="june.gpx"),
        ]
    )
    drawn = walk_svg(both)
    for one in both.readings:
        assert f"{one.what}, {one.acres:.2f} ac" in drawn
    assert {one.what for one in both.readings} == {"may.gpx", "june.gpx"}
    assert drawn.count('stroke="#0d473d"') == 4
    assert len(walk_png(both)) > 1000
    assert 'stroke="#0d473d"' not in walk_svg(open_walk(side=80.0))


@pytest.mark.parametrize("neck_m", [1e-9, 3e-10, 1e-10, 1e-11])
@pytest.mark.parametrize("off_m", [0.0, 0.37, 13.1])
def test_a_neck_that_degrees_cannot_hold_leaves_one_valid_polygon(neck_m, off_m):
    """Walks of which one came apart at such a neck could not be combined."""
    from quietacre.boundary.plane import Plane
    from quietacre.boundary.ring import on_ground

    ring = np.array(
        [(0, 0), (40, 0), (40, 20), (60, 20), (60, 18), (70, 18), (70, 24), (60, 24),
         (60, 20 + neck_m), (40, 20 + neck_m), (40, 40), (0, 40)]
    )  # fmt: skip
    plane = Plane(-87.6, 34.2)
    ground = on_ground(shapely.Polygon(ring + off_m), plane)
    assert ground.geom_type == "Polygon"
    assert ground.is_valid
    assert plane.local(ground).area == pytest.approx(1600, rel=0.05)
