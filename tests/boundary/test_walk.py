"""Walks with known truth: laps, legs, spikes, stops; what is refused; repairs."""

import numpy as np
import pytest
import shapely
from hypothesis import example, given, settings
from hypothesis import strategies as st

from quietacre.acreage.equal_area import area_m2
from quietacre.boundary.combine import combine_walks
from quietacre.boundary.read import read_walk
from quietacre.boundary.repair import repair_all
from quietacre.boundary.walk import WIDE_PCT
from quietacre.errors import WalkRefused
from quietacre.model import Track
from quietacre.units import ACRE_M2, FT_M

LAT, LON = 34.2, -87.6
NORTH = 110_927.0  # metres a degree of latitude here; the tests allow for its rounding
EAST = 92_265.0


def track(xy, every_s=2.0, timed=True, name="edge"):
    xy = np.asarray(xy, dtype=float)
    times = np.arange(len(xy)) * every_s if timed else np.full(len(xy), np.nan)
    return Track(
        name, "walk.gpx", "track", LON + xy[:, 0] / EAST, LAT + xy[:, 1] / NORTH,
        times, np.zeros(len(xy), dtype=int),
    )  # fmt: skip


def ring(radius=40.0, laps=1.0, step=2.5, wobble=0.0):
    angle = np.arange(0, 2 * np.pi * laps, step / radius)
    r = radius * (1 + wobble * np.sin(3 * angle))
    return np.column_stack([r * np.cos(angle), r * np.sin(angle)])


def drift(count, rng, sigma=2.0, tau_s=60.0, every_s=2.0):
    keep = np.exp(-every_s / tau_s)
    out = np.empty((count, 2))
    out[0] = rng.normal(0, sigma, 2)
    for i in range(1, count):
        out[i] = keep * out[i - 1] + rng.normal(0, sigma * (1 - keep**2) ** 0.5, 2)
    return out


def acres(shape_xy):
    polygon = shapely.Polygon(
        np.column_stack([LON + shape_xy[:, 0] / EAST, LAT + shape_xy[:, 1] / NORTH])
    )
    return area_m2(np.array([polygon]))[0] / ACRE_M2


TRUE = acres(ring(step=0.5))


def test_one_clean_loop_is_its_own_ring():
    walk = read_walk([track(ring())])
    assert walk.laps == 1
    assert walk.acres == pytest.approx(TRUE, rel=0.01)
    assert walk.polygon.is_valid
    assert walk.acres_low < walk.acres < walk.acres_high


@pytest.mark.parametrize("laps", [1.0, 1.1, 2.0, 2.05, 3.02])
@pytest.mark.parametrize("direction", [1, -1])
def test_laps_are_counted_and_do_not_cancel(laps, direction):
    rng = np.random.default_rng(int(laps * 100))
    xy = ring(laps=laps + 0.02)[::direction]
    walk = read_walk([track(xy + drift(len(xy), rng, sigma=1.0))])
    assert round(walk.laps) == int(laps)
    assert walk.acres == pytest.approx(TRUE, rel=0.1)


def test_spikes_repeats_and_stops_are_set_aside():
    rng = np.random.default_rng(5)
    xy = ring(laps=1.02)
    xy = xy + rng.normal(0, 0.3, xy.shape)
    xy[20] += [60, 10]
    xy[50] += [-5, 80]
    milling = xy[30] + rng.normal(0, 0.2, (40, 2))
    xy = np.vstack([xy[:30], milling, xy[30:35], xy[34:35], xy[35:]])
    walk = read_walk([track(xy)])
    assert walk.removed["spike"] == 2
    assert walk.removed["repeat"] == 1
    assert walk.removed["stop"] >= 30
    assert walk.acres == pytest.approx(TRUE, rel=0.03)


@pytest.mark.parametrize("start", [(-150, 0), (0, 0), (-20, 100)])
def test_way_in_and_out_enclose_nothing(start):
    """Also from the middle of the plot and across it."""
    loop = ring(laps=1.02)
    lead = np.linspace(start, loop[0], 40)
    walk = read_walk([track(np.vstack([lead, loop, lead[::-1]]))])
    assert walk.acres == pytest.approx(TRUE, rel=0.04)
    assert walk.removed["way in"] > 20


def test_no_times_and_a_break_in_the_signal():
    xy = ring(laps=1.01)
    walk = read_walk([track(np.delete(xy, slice(30, 40), axis=0), timed=False)])
    assert walk.acres == pytest.approx(TRUE, rel=0.06)


def test_short_gap_is_bridged_and_said():
    walk = read_walk([track(ring(laps=0.93))])
    assert "gap-bridged" in {note.code for note in walk.notes}
    assert walk.acres == pytest.approx(TRUE, rel=0.03)


@pytest.mark.parametrize(
    "xy",
    [
        np.column_stack([np.linspace(0, 200, 80), np.zeros(80)]),
        ring(laps=0.5),
        ring()[:3],
        np.zeros((50, 2)),
        np.column_stack(
            [
                np.r_[np.linspace(0, 300, 120), np.linspace(300, 0, 120)],
                np.r_[np.zeros(120), np.full(120, 6.0)],
            ]
        ),
    ],
    ids=["there", "half-a-loop", "three-fixes", "standing", "there-and-back"],
)
def test_what_cannot_be_trusted_is_refused(xy):
    with pytest.raises(WalkRefused) as caught:
        read_walk([track(xy)])
    assert str(caught.value).startswith("walk.gpx: track “edge”: ")
    assert "\n" not in str(caught.value)


def test_extra_tracks_are_candidates_and_the_choice_is_said():
    small = track(ring(radius=12.0), name="gate")
    walk = read_walk([small, track(ring())])
    assert walk.name == "edge"
    assert "track-chosen" in {note.code for note in walk.notes}


def test_walked_inside_moves_the_edge_out_and_keeps_corners():
    side = np.linspace(0, 60, 25)
    flat = np.zeros_like(side)
    square = np.vstack([
        np.column_stack([side, flat]), np.column_stack([flat + 60, side]),
        np.column_stack([60 - side, flat + 60]), np.column_stack([flat, 60 - side]),
    ])  # fmt: skip
    inside = read_walk([track(square)], walked_inside_ft=10.0)
    true = (60 + 2 * 10 * FT_M) ** 2 / ACRE_M2
    assert inside.acres == pytest.approx(true, rel=0.004)
    outside = read_walk([track(square)], walked_outside_ft=10.0)
    assert outside.acres == pytest.approx((60 - 2 * 10 * FT_M) ** 2 / ACRE_M2, rel=0.004)


def said_pct(walk):
    """Return every ± in percent that a walk's advice and warnings name, the first of each."""
    texts = [*walk.advice, *(n.text for n in walk.notes if n.code == "wide-interval")]
    return [int(text.partition("± ")[2].split(" %")[0]) for text in texts]


def test_what_is_said_of_the_interval_is_that_of_the_edge_moved():
    """The same error weighs less on more ground: the words must not keep the old percent."""
    walked = track(ring(radius=22.0, laps=1.05))
    as_walked = read_walk([walked])
    assert len(said_pct(as_walked)) == 2
    for moved in (
        read_walk([walked], walked_inside_ft=6.0), read_walk([walked], walked_outside_ft=4.0),
    ):  # fmt: skip
        assert abs(moved.half_width_pct - as_walked.half_width_pct) > 1.0
        assert said_pct(moved)[0] == round(moved.half_width_pct)
        wide = [note for note in moved.notes if note.code == "wide-interval"]
        assert len(wide) == (moved.half_width_pct > WIDE_PCT)
        assert set(said_pct(moved)) == {round(moved.half_width_pct)}


def test_walks_known_well_together_are_not_called_unsure():
    rng = np.random.default_rng(3)
    loop = ring(radius=24.0, laps=1.05)
    walks = [read_walk([track(loop + drift(len(loop), rng))]) for _ in range(3)]
    assert all("wide-interval" in {note.code for note in walk.notes} for walk in walks)
    both = combine_walks(walks)
    assert both.half_width_pct < WIDE_PCT
    assert "wide-interval" not in {note.code for note in both.notes}


def test_two_walks_are_known_better_than_one():
    rng = np.random.default_rng(11)
    loops = [ring(laps=1.02), ring(laps=1.02)]
    walks = [read_walk([track(xy + drift(len(xy), rng))]) for xy in loops]
    both = combine_walks(walks)
    # what two walks share, the edge as one person and one receiver keep it, stays
    one, two = ({t.code: t.half_ac for t in w.terms} for w in (walks[0], both))
    assert two["drift"] < 1.1 / 2**0.5 * one["drift"]
    assert two["edge"] == pytest.approx(one["edge"], rel=0.1)
    assert both.half_width_pct < min(w.half_width_pct for w in walks)
    assert both.polygon.is_valid
    assert both.acres == pytest.approx(TRUE, rel=0.12)
    drawn = area_m2(np.array([both.polygon]))[0] / ACRE_M2
    assert drawn == pytest.approx(both.acres, rel=1e-4)


def square(side=60.0, step=2.0, laps=1.0, start=0.0):
    around = 4 * side
    at = (start + np.arange(0, laps * around, step)) % around
    corners = np.array([(0, 0), (side, 0), (side, side), (0, side), (0, 0)], dtype=float)
    return np.column_stack(
        [np.interp(at, np.arange(5) * side, corners[:, k]) for k in (0, 1)]
    )


@pytest.mark.parametrize("start", [1.0, 2.5, 5.5])
def test_corners_that_sparse_fixes_step_over_are_put_back(start):
    # fixes 7 m apart on a side of 63 m: each corner lies as far past a fix as the start does
    xy = square(side=63.0, step=7.0, start=start, laps=1.03)
    missing_m2 = 63.0**2 - shapely.Polygon(xy[:36]).area
    assert missing_m2 > 11.9  # a triangle at each corner
    walk = read_walk([track(xy, every_s=6.0)])
    # all but the one beside which the walk begins and ends
    assert 0 < 63.0**2 - walk.acres * ACRE_M2 < 0.65 * missing_m2


def test_a_round_edge_gets_no_corners():
    xy = ring(radius=40.0, step=7.0, laps=1.02)
    walk = read_walk([track(xy, every_s=6.0)])
    assert walk.acres <= TRUE * 1.001


@pytest.mark.parametrize("slant", [8.0, 16.0])
def test_a_way_across_the_plot_is_no_piece_of_its_edge(slant):
    """In at the far right, along beside the lower side, round once: the square stays whole."""
    edge = square(side=60.0, step=1.5, laps=1.01)[
        ::-1
    ]  # ends on its way along the lower side
    edge = edge - edge[0]  # begins in the corner at 0, 0
    low, high = edge.min(axis=0), edge.max(axis=0)
    assert (high - low).min() > 59
    begin = edge[0] + [120.0, slant * 2 + 6.0]
    lead = np.linspace(begin, edge[0], 80, endpoint=False)
    walk = read_walk([track(np.vstack([lead, edge]))])
    assert walk.laps == pytest.approx(1.0, abs=0.05)
    assert walk.acres * ACRE_M2 == pytest.approx(3600.0, rel=0.035)


def test_laps_with_corners_apart_average_to_the_square_between():
    """Two laps a metre inside and outside one square: the mean is the square itself."""
    inner, outer = square(side=58.0, step=1.0) + 1.0, square(side=62.0, step=1.0) - 1.0
    walk = read_walk([track(np.vstack([outer, inner, inner[:3]]), every_s=1.0)])
    assert walk.laps == 2
    assert walk.acres * ACRE_M2 == pytest.approx(3600.0, rel=0.008)


def test_of_three_walks_one_out_of_line_counts_for_less():
    walks = [read_walk([track(ring(radius=r, laps=1.02))]) for r in (40.0, 40.4, 55.0)]
    three = combine_walks(walks)
    plain = np.average(
        [w.acres for w in walks], weights=[1 / w.area_sd_m2**2 for w in walks]
    )
    assert three.acres < plain
    assert abs(three.acres / walks[0].acres - 1) < 0.75 * abs(plain / walks[0].acres - 1)


@pytest.mark.parametrize("pace", [1.2, 3.5])
def test_a_ridden_edge_is_not_taken_for_jumps(pace):
    """Round on a slow machine, a fix every 10 s: no step of it is a jump."""
    xy = ring(radius=150.0, step=pace * 10.0, laps=1.02)
    walk = read_walk([track(xy, every_s=10.0)])
    assert "spike" not in walk.removed
    assert walk.acres == pytest.approx(np.pi * 150.0**2 / ACRE_M2, rel=0.02)


def test_a_walk_of_other_ground_is_named():
    far = track(ring() + [500.0, 0.0])
    with pytest.raises(WalkRefused, match="same ground"):
        combine_walks([read_walk([track(ring())]), read_walk([far])])


def test_interval_covers_the_truth_about_as_often_as_it_says():
    """200 seeded walks of one and two laps; 95 % asked, 90 % demanded here."""
    rng = np.random.default_rng(77)
    inside = 0
    for number in range(200):
        xy = ring(radius=35 + 25 * rng.random(), laps=1.02 + number % 2, wobble=0.2)
        angle = np.linspace(0, 2 * np.pi, 400)
        radius = np.hypot(*xy[0]) / 1.0
        r = radius * (1 + 0.2 * np.sin(3 * angle))
        truth = acres(np.column_stack([r * np.cos(angle), r * np.sin(angle)]))
        noisy = xy + drift(len(xy), rng, sigma=1.5 + 2.0 * rng.random())
        walk = read_walk([track(noisy + rng.normal(0, 0.4, noisy.shape))])
        inside += walk.acres_low <= truth <= walk.acres_high
    assert inside >= 180


BOW_TIE = shapely.Polygon(
    [(-87.6, 34.2), (-87.598, 34.202), (-87.598, 34.2), (-87.6, 34.202)]
)


def mended(shape):
    fixed, notes = repair_all(np.array([shape], dtype=object), ["F"], ["f.geojson"])
    assert fixed[0].is_valid
    return fixed[0], notes


def test_bow_tie_keeps_both_lobes():
    fixed, (note,) = mended(BOW_TIE)
    box = shapely.box(-87.6, 34.2, -87.598, 34.202)
    half = area_m2(np.array([box]))[0] / 2
    assert area_m2(np.array([fixed]))[0] == pytest.approx(half, rel=1e-5)
    assert "crosses itself" in note.text
    assert "0.000 to" in note.text


def test_curl_is_counted_once():
    curl = shapely.Polygon(
        [(0, 0), (10, 0), (10, 10), (5, 10), (5, -2), (6, -2), (6, 12), (0, 12)]
    )
    fixed, _ = mended(shapely.transform(curl, lambda c: c * 1e-4 + [-87.6, 34.2]))
    assert fixed.geom_type in ("Polygon", "MultiPolygon")
    outer = shapely.union_all(
        shapely.get_parts(shapely.polygonize([shapely.unary_union([curl.exterior])]))
    )
    assert fixed.area == pytest.approx(outer.area * 1e-8, rel=1e-6)


def test_spike_is_cut_and_said():
    shape = shapely.Polygon([
        (-87.6, 34.2), (-87.599, 34.2), (-87.5985, 34.2), (-87.598, 34.2), (-87.598, 34.201),
        (-87.55, 34.2010001), (-87.598, 34.2010002), (-87.598, 34.202), (-87.599, 34.202), (-87.6, 34.202),
    ])  # fmt: skip
    fixed, (note,) = mended(shape)
    assert note.code == "spike-cut"
    assert fixed.bounds[2] == -87.598


def test_antimeridian_ring_is_unwrapped():
    split = shapely.Polygon(
        [(179.999, 52), (-179.999, 52), (-179.999, 52.002), (179.999, 52.002)]
    )
    fixed, notes = mended(split)
    assert notes == ()
    here = shapely.box(10, 52, 10.002, 52.002)
    ours = area_m2(np.array([fixed, here]))
    assert ours[0] == pytest.approx(ours[1], rel=1e-9)


@given(st.lists(st.tuples(st.integers(0, 40), st.integers(0, 40)), min_size=4, max_size=12))
@example([(5, 12), (0, 7), (4, 11), (31, 23), (0, 9)])  # most of it is a needle
@settings(max_examples=150, deadline=None)
def test_any_ring_comes_out_valid_and_keeps_its_ground(points):
    shape = shapely.Polygon(np.array(points) * 1e-4 + [-87.6, 34.2])
    if len(np.unique(points, axis=0)) < 3:
        return
    fixed, notes = repair_all(np.array([shape], dtype=object), ["F"], ["f"])
    assert fixed[0].is_valid
    if shape.is_valid:
        assert all(note.code in ("spike-cut", "corner-far") for note in notes)
    else:
        # nothing outside the drawn edge, and every lobe of it but for needles that are told
        hull = shape.convex_hull
        assert fixed[0].difference(hull.buffer(1e-9)).area < 1e-14
        lobes = shapely.union_all(
            shapely.get_parts(shapely.make_valid(shapely.Polygon(shape.exterior)))
        )
        if not any(note.code == "spike-cut" for note in notes):
            assert lobes.difference(fixed[0].buffer(1e-9)).area < 1e-12


def test_a_day_long_recording_is_read_as_well():
    rng = np.random.default_rng(9)
    xy = ring(radius=300.0, laps=3.03, step=0.03)
    walk = read_walk([track(xy + drift(len(xy), rng, sigma=1.0, every_s=0.1), every_s=0.1)])
    assert len(xy) > 150_000
    assert walk.laps == 3
    assert walk.acres == pytest.approx(acres(ring(radius=300.0, step=0.5)), rel=0.01)


def test_a_walk_becomes_a_row_of_a_frame():
    walk = read_walk([track(ring())])
    frame = walk.to_frame()
    assert len(frame) == 1
    assert frame.crs.to_epsg() == 4326
    assert frame.geometry[0].equals(walk.polygon)
    assert frame.acres[0] == walk.acres
    assert frame.laps[0] == 1
    # in a projection for such ground its acres are the same to a thousandth
    assert frame.to_crs(32616).area[0] / ACRE_M2 == pytest.approx(walk.acres, rel=1e-3)
