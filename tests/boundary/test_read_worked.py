"""What a walk is refused or warned for, and drawings mended, at the limits of each."""

import functools

import close_steps
import numpy as np
import pytest
import shapely

from quietacre.acreage.equal_area import area_m2
from quietacre.boundary import repair
from quietacre.boundary.plane import Plane
from quietacre.boundary.read import read_walk
from quietacre.boundary.repair import cut_spikes, enclosed_faces, repair_all, unwrap
from quietacre.errors import FileProblem, WalkRefused
from quietacre.model import Track
from quietacre.units import ACRE_M2, FT_M

closely = functools.partial(close_steps.closely, step=1.5)

PLANE = Plane(-86.3, 33.2)


def walked(xy, when=None, **more):
    lon, lat = PLANE.lonlat(np.asarray(xy, float)).T
    count = len(lon)
    when = np.arange(count) * 1.25 if when is None else when
    return Track("W", "w.gpx", "track", lon, lat, when, np.zeros(count, dtype=int), **more)


SQUARE = [(50, 0), (100, 0), (100, 100), (0, 100), (0, 0), (50, 0)]


def codes(walk):
    return {note.code: note for note in walk.notes}


# a walk


def test_a_square_is_its_acres_with_every_fix_kept():
    walk = read_walk([walked(closely(SQUARE))])
    assert walk.acres == pytest.approx(1e4 / ACRE_M2, rel=1e-3)
    assert (walk.method, walk.laps, walk.removed) == ("one loop", 1.0, {})
    assert walk.acres_high - walk.acres == pytest.approx(walk.acres - walk.acres_low)
    assert len(walk.kept_lon) == len(closely(SQUARE))
    assert codes(walk).keys() <= {"sky-unknown"}


@pytest.mark.parametrize("which", ["inside", "outside"])
def test_who_kept_to_one_side_says_so(which):
    walk = read_walk([walked(closely(SQUARE))], **{f"walked_{which}_ft": 10.0})
    side = 100 + (20 if which == "inside" else -20) * FT_M
    assert walk.acres == pytest.approx(side**2 / ACRE_M2, rel=7e-3)
    both = read_walk([walked(closely(SQUARE))], walked_inside_ft=7.0, walked_outside_ft=7.0)
    assert "walked" not in both.method


@pytest.mark.parametrize(("hole", "refused"), [(66, False), (76, True)])
def test_lost_fixes_may_hide_less_than_a_fifth_of_a_loop(hole, refused):
    """18 in a hundred of 400 m are 72; two laps cover what one lost."""
    xy = closely(SQUARE)
    when = np.arange(len(xy)) * 1.25
    inside = (xy[:, 1] == 100) & (np.abs(xy[:, 0] - 50) < hole / 2)
    track = walked(xy[~inside], when[~inside])
    if not refused:
        assert read_walk([track]).acres == pytest.approx(1e4 / ACRE_M2, rel=0.01)
        return
    with pytest.raises(
        WalkRefused, match="lost its signal over 1[89] % of the loop"
    ) as told:
        read_walk([track])
    assert told.value.where == "track “W”"
    again = np.vstack([xy[~inside], xy[1:]])
    more = read_walk([walked(again, np.r_[when[~inside], when[-1] + when[1:]])])
    assert more.acres == pytest.approx(1e4 / ACRE_M2, rel=2e-3)


def test_the_part_of_a_loop_without_fixes_is_told_to_a_percent():
    """Of two sides some 50 m are lost each."""
    xy = closely(SQUARE)
    lost = (xy[:, 1] % 100 == 0) & (np.abs(xy[:, 0] - 50) < 24.75)
    when = np.arange(len(xy)) * 1.25
    with pytest.raises(WalkRefused, match="lost its signal over 25 % of the loop"):
        read_walk([walked(xy[~lost], when[~lost])])


@pytest.mark.parametrize(("way", "told"), [(250, False), (290, True)])
def test_a_long_way_in_is_said(way, told):
    """From two fixes in five on, of those of the way and 400 m of loop."""
    xy = closely([(50, -way), *SQUARE])
    walk = read_walk([walked(xy)])
    assert ("much-set-aside" in codes(walk)) is told
    assert walk.removed["way in"] == pytest.approx(way / 1.5, abs=4)
    if told:
        assert "a way in or out" in codes(walk)["much-set-aside"].text


@pytest.mark.parametrize(("share", "told"), [(0.17, False), (0.23, True)])
def test_many_jumps_are_said(share, told):
    xy = closely(SQUARE)
    step = round(3 / share)
    rows = [n for start in range(5, len(xy) - 5, step) for n in range(start, start + 3)]
    xy[rows] += (0.0, 400.0)
    walk = read_walk([walked(xy)])
    assert walk.removed["spike"] == len(rows)
    assert ("much-set-aside" in codes(walk)) is told
    assert set(walk.removed_cause) == {"spike"}


@pytest.mark.parametrize(
    ("count", "words"), [(3, "has only 3 points"), (0, "has only 0 points")]
)
def test_a_track_of_three_points_is_none(count, words):
    with pytest.raises(WalkRefused, match=words):
        read_walk([walked(np.arange(2 * count, dtype=float).reshape(count, 2))])
    with pytest.raises(WalkRefused, match="holds no track") as told:
        read_walk([], source="e.gpx")
    assert told.value.source == "e.gpx"


def test_of_two_loops_the_larger_is_taken_and_said():
    small = walked(closely([(x * 0.6 + 300, y * 0.6) for x, y in SQUARE]))
    walk = read_walk([small, walked(closely(SQUARE))])
    assert walk.acres == pytest.approx(1e4 / ACRE_M2, rel=1e-3)
    note = codes(walk)["track-chosen"]
    assert "holds 2 loops; “W” encloses the most" in note.text
    assert f"“W” {3600 / ACRE_M2:.2f} ac" in note.text


def test_pieces_written_out_of_order_are_put_in_the_order_of_their_times():
    xy = closely(SQUARE)
    when = np.arange(len(xy)) * 1.25
    order = np.r_[100 : len(xy), 0:100]
    mixed = read_walk([walked(xy[order], when[order])])
    assert mixed.acres == pytest.approx(1e4 / ACRE_M2, rel=2e-3)
    # a clock that was set while walking: the fixes stay as they stand
    clock = np.r_[when[:100] + 1e5, when[100:]]
    assert read_walk([walked(xy, clock)]).acres == pytest.approx(1e4 / ACRE_M2, rel=2e-3)


def test_what_is_told_by_the_file_is_the_usual_of_its_fixes():
    count = len(closely(SQUARE))
    dilution = np.where(np.arange(count) % 5 == 0, 40.0, 1.9)
    dilution[1] = np.nan
    walk = read_walk([walked(closely(SQUARE), hdop=dilution)], sky=None)
    assert walk.blocked == pytest.approx(0.5, abs=0.01)
    few = read_walk([walked(closely(SQUARE), satellites=np.full(count, 5.0))])
    assert few.blocked == pytest.approx(1.0)


# drawings


def at(xy):
    return shapely.Polygon(PLANE.lonlat(np.array(xy, float)))


def repaired(*shapes):
    names = ["A", "B", "C"][: len(shapes)]
    return repair_all(np.array(shapes, dtype=object), names, ["d.kml"] * len(shapes))


def test_what_is_valid_comes_back_as_it_is():
    good = at([(0, 0), (100, 0), (100, 100), (0, 100)])
    out, notes = repaired(good, good)
    assert out[0] is good
    assert notes == ()
    assert len(repaired()[0]) == 0


def test_an_edge_that_crosses_itself_counts_every_part():
    """A bow of two triangles of 2,500 m² each."""
    bow = at([(0, 0), (100, 100), (100, 0), (0, 100)])
    (out,), (note,) = repaired(bow)
    assert area_m2(np.array([out]))[0] == pytest.approx(5000, rel=1e-3)
    assert note.code == "drawing-repaired"
    assert "“A”: its edge crosses itself; every part it encloses is counted" in note.text
    assert f"to {5000 / ACRE_M2:.3f} ac" in note.text
    assert out.contains(shapely.Point(note.lon, note.lat))


def test_parts_one_in_another_or_twice_are_counted_once():
    outer, inner = (
        at([(0, 0), (100, 0), (100, 100), (0, 100)]),
        at([(20, 20), (60, 20), (60, 60), (20, 60)]),
    )
    for parts, words in (
        ([outer, inner], "one part lies inside another; counted once"),
        ([outer, outer], "a ring is drawn twice; counted once"),
    ):
        (out,), notes = repaired(shapely.MultiPolygon(parts))
        assert area_m2(np.array([out]))[0] == pytest.approx(1e4, rel=1e-3)
        assert words in notes[0].text
    hole = shapely.get_coordinates(at([(200, 0), (220, 0), (220, 20), (200, 20)]))
    (out,), notes = repaired(shapely.Polygon(outer.exterior.coords, [hole]))
    assert "the hole was dropped" in notes[0].text
    assert area_m2(np.array([out]))[0] == pytest.approx(1e4, rel=1e-3)
    holes = [
        shapely.get_coordinates(
            at([(20 + d, 20), (60 + d, 20), (60 + d, 60), (20 + d, 60)])
        )
        for d in (0, 20)
    ]
    (out,), _ = repaired(shapely.Polygon(outer.exterior.coords, holes))
    assert area_m2(np.array([out]))[0] == pytest.approx(1e4 - 60 * 40, rel=1e-3)


def test_a_figure_of_eight_has_two_faces():
    assert sorted(
        f.area for f in enclosed_faces(shapely.LinearRing([(0, 0), (2, 2), (2, 0), (0, 2)]))
    ) == [1, 1]


@pytest.mark.parametrize("turn", [1, -1])
def test_ground_across_the_antimeridian_runs_on(turn):
    ring = [
        (179.99 * turn, 51),
        (-179.99 * turn, 51),
        (-179.99 * turn, 51.01),
        (179.99 * turn, 51.01),
    ]
    made = unwrap(shapely.Polygon(ring))
    assert made.bounds[2] - made.bounds[0] == pytest.approx(0.02)
    assert made.exterior.coords[0][0] == 179.99 * turn
    out, notes = repaired(shapely.Polygon(ring))
    assert notes == ()
    assert out[0].equals(made)
    hole = [(179.995 * turn, 51.002), (-179.995 * turn, 51.002), (-179.995 * turn, 51.004)]
    holed = unwrap(
        shapely.MultiPolygon([shapely.Polygon(ring, [hole]), shapely.box(10, 10, 11, 11)])
    )
    assert holed.geom_type == "MultiPolygon"
    assert holed.geoms[0].is_valid
    assert holed.geoms[1].bounds == (10, 10, 11, 11)
    pole = shapely.Polygon([(x, 80) for x in range(-180, 180, 20)])
    assert unwrap(pole).equals(pole)


@pytest.mark.parametrize(
    ("long", "wide", "cut"), [(110, 0.8, True), (110, 1.1, False), (90, 0.3, False)]
)
def test_a_needle_of_less_than_half_a_degree_is_cut_off(long, wide, cut):
    """Its sides 0.42 degrees apart, or 0.57; each over five times the usual side of 20 m."""
    tip = [40 + long, 20 + wide / 2]
    ring = [
        (0, 0),
        (20, 0),
        (40, 0),
        (40, 20),
        tip,
        (40, 20 + wide),
        (40, 40),
        (20, 40),
        (0, 40),
        (0, 20),
    ]
    made, note = cut_spikes(at(ring), "A", "d.kml")
    assert (note is not None) is cut
    if cut:
        assert area_m2(np.array([made]))[0] == pytest.approx(1600, rel=1e-3)
        assert "1 needle(s) in its edge were cut off" in note.text
        assert (note.lon, note.lat) == pytest.approx(
            tuple(PLANE.lonlat(np.array([tip]))[0])
        )
        (out,), notes = repaired(at(ring))
        assert "spike-cut" in {one.code for one in notes}
    else:
        assert made.equals(at(ring))
    few = at([(0, 0), (60, 0.1), (0, 0.2), (-20, 20)])
    assert cut_spikes(few, "A", "d")[1] is None, "a triangle would be all that is left"


@pytest.mark.parametrize(("acres", "told"), [(0.0009, True), (0.0011, False)])
def test_less_than_a_thousandth_of_an_acre_is_no_ground(acres, told):
    side = (acres * ACRE_M2) ** 0.5
    _, notes = repaired(at([(0, 0), (side, 0), (side, side), (0, side)]))
    assert ("hardly-any-acres" in {note.code for note in notes}) is told


def test_a_scribble_is_refused(monkeypatch):
    """A star of 41 points crosses itself 41 · 18 times."""
    turn = 2 * np.pi * 20 * np.arange(41) / 41
    star = at(100 * np.column_stack([np.cos(turn), np.sin(turn)]))
    crossings = 41 * 19
    for most in (crossings - 1, crossings):
        monkeypatch.setattr(repair, "MOST_CROSSINGS", most)
        if most < crossings:
            with pytest.raises(FileProblem, match="crosses itself more than") as told:
                repaired(star)
            assert told.value.where == "A"
        else:
            repaired(star)
