"""Tracks that go on in one another, walks of one edge together, an edge drawn anew: by hand."""

import datetime as dt
import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import shapely

from quietacre.boundary import combine, joining
from quietacre.boundary.combine import combine_walks, reading_name
from quietacre.boundary.mended import drawn_over, mended_words, walked_on
from quietacre.boundary.pieces import Walked, called, looks_drawn, ring_of
from quietacre.boundary.why import term
from quietacre.errors import FileProblem, WalkRefused
from quietacre.model import Track
from quietacre.units import ACRE_M2, FT_M

sys.path.insert(0, str(Path(__file__).parent))
from test_terms_worked import PLANE, a_walk


def track(xy, when=None, **more):
    xy = np.array(xy, float)
    lon, lat = PLANE.lonlat(xy).T
    count = len(xy)
    when = np.full(count, np.nan) if when is None else np.array(when, float)
    said = {"name": "T", "kind": "track", "segment": np.zeros(count, dtype=int), **more}
    return Track(source="t.gpx", lon=lon, lat=lat, time_s=when, **said)


def line(first, last, count=5, begin=None, **more):
    when = None if begin is None else begin + np.arange(count) * 10.0
    return track(np.linspace(first, last, count), when, **more)


# which goes on in which


@pytest.mark.parametrize(
    ("away_m", "wait_s", "follows"),
    [
        (58, 600, True),
        (62, 600, False),  # farther than 60 m
        (10, 3590, True),
        (10, 3700, False),  # later than an hour
        (10, -50, True),
        (10, -70, False),  # a minute before the other ended
        (23, None, True),
        (27, None, False),  # without times, 25 m
    ],
)
def test_a_track_goes_on_in_one_that_begins_near_and_soon(away_m, wait_s, follows):
    one = line((0, 0), (100, 0), begin=0.0 if wait_s is not None else None)
    begin = None if wait_s is None else 40.0 + wait_s
    two = line((100, away_m), (100, 200), begin=begin)
    found = joining._follows(one, two)
    assert (found is not None) is follows
    if follows:
        assert found[0] == pytest.approx(away_m, rel=1e-3)
        assert wait_s is None or found[1] == pytest.approx(wait_s / 60)


def test_a_run_of_tracks_ends_with_all_of_it_or_with_fewer():
    assert joining._ends(0, 1) == []
    assert joining._ends(0, 2) == [2]
    assert joining._ends(2, 6) == [6, 5, 4]
    assert joining._ends(0, 20) == [20, 8, 7, 6, 5, 4, 3, 2]


def test_tracks_made_one_keep_their_segments_apart_and_what_each_tells():
    one = line((0, 0), (100, 0), 3, 0.0, name="", hdop=np.array([1.0, 2, 3]),
               segment=np.array([0, 0, 1]))  # fmt: skip
    two = line((100, 0), (100, 100), 2, 100.0, name="Named", height_m=np.array([7.0, 8]),
               segment=np.array([0, 1]))  # fmt: skip
    made = joining._one_track([one, two, line((100, 100), (0, 0), 2, 200.0, name="Last")])
    assert made.name == "Named"
    assert made.segment.tolist() == [0, 0, 1, 2, 3, 4, 4]
    assert made.time_s.tolist() == [0, 10, 20, 100, 110, 200, 210]
    assert np.nan_to_num(made.hdop, nan=-1).tolist() == [1, 2, 3, -1, -1, -1, -1]
    assert np.nan_to_num(made.height_m, nan=-1).tolist() == [-1, -1, -1, 7, 8, -1, -1]
    assert made.satellites is None
    assert len(made.lon) == len(made.lat) == 7


def test_tracks_are_apart_in_time_when_none_begins_before_another_ends():
    first, later = line((0, 0), (1, 0), begin=0.0), line((0, 0), (1, 0), begin=40.0)
    assert joining._apart_in_time([later, first])
    assert not joining._apart_in_time([first, line((0, 0), (1, 0), begin=39.0)])
    assert not joining._apart_in_time([first, line((0, 0), (1, 0))])


@pytest.mark.parametrize(("off_m", "same"), [(28, True), (32, False)])
def test_walks_that_share_seven_tenths_go_round_the_same_ground(off_m, same):
    def walked(x):
        made = a_walk(shapely.box(x, 0, x + 100, 100))
        return Walked((line((0, 0), (1, 1)),), (1,), ("W",), made)

    assert joining._same_ground(walked(0), walked(off_m)) is same
    assert not joining._same_ground(walked(0), walked(150))
    small = Walked((), (), (), a_walk(shapely.box(0, 0, 80, 80)))
    assert not joining._same_ground(walked(0), small), "64 in a hundred of the larger"
    assert len(joining._groups([walked(0), walked(500), walked(5)])) == 2


def test_a_copy_of_a_recording_is_read_once_with_the_times_of_either():
    plain = line((0, 0), (100, 0))
    timed = replace(line((0, 0), (100, 0), begin=5.0), name="")
    notes = []
    kept = list(
        joining.without_copies([(1, plain), (2, timed), (3, line((0, 0), (0, 9)))], notes)
    )
    assert [number for number, _ in kept] == [1, 3]
    assert kept[0][1].time_s[0] == 5.0
    assert kept[0][1].name == "T"
    (note,) = notes
    assert "track 2 repeats track “T” to the point" in str(note.text)
    kept = list(joining.without_copies([(1, timed), (2, plain)], []))
    assert kept[0][1] is timed


def test_what_a_track_is_called():
    assert called(line((0, 0), (1, 1)), 3) == "track “T”"
    assert called(line((0, 0), (1, 1), name="", kind="route"), 3) == "route 3"


@pytest.mark.parametrize(
    ("count", "step", "kind", "drawn"),
    [
        (11, 5.0, "line", True),  # fewer than twelve points
        (12, 5.0, "line", False),
        (40, 14.5, "line", False),
        (40, 15.5, "line", True),  # farther apart than 15 m
        (5, 5.0, "track", False),
    ],
)
def test_a_line_of_few_points_or_far_apart_was_drawn(count, step, kind, drawn):
    some = line((0, 0), (step * (count - 1), 0), count, kind=kind)
    assert looks_drawn(some) is drawn
    assert not looks_drawn(replace(some, time_s=np.arange(count) * 1.0))


def test_a_line_whose_ends_meet_is_a_ring():
    """But for a tenth of its length, or what is asked."""
    assert ring_of(track([(0, 0), (100, 0), (100, 100), (0, 100), (0, 0)])).area > 0
    near = track([(0, 0), (100, 0), (100, 100), (0, 100), (0, 25)])
    assert ring_of(near, most_gap=0.08) is not None
    assert ring_of(near, most_gap=0.06) is None
    assert ring_of(track([(0, 0), (100, 0), (0, 0)])) is None
    askew = [(0, 0), (100, 40), (60, 140), (-40, 100), (0, 0)]  # no side runs north or east
    for first in range(4):
        turned = [*askew[first:-1], *askew[:first], askew[first]]
        assert ring_of(track(turned)) is not None
    assert ring_of(track(askew[:-1])) is None


# walks of one edge together


def two_walks(sds, sides=(100, 104), common=0.0, **more):
    return [
        a_walk(shapely.box(0, 0, side, 100), terms=(term("drift", "d", sd, common, "s"),),
               area_sd_m2=sd, source=f"{n}.gpx", kept_lon=np.array([float(n)]), **more)
        for n, (sd, side) in enumerate(zip(sds, sides, strict=True))
    ]  # fmt: skip


def test_walks_count_by_one_over_their_variance():
    """One known twice as well counts four times: 0.8 and 0.2."""
    one, two = two_walks((200.0, 400.0), (100, 110))
    made = combine_walks([two, one])
    assert made.acres == pytest.approx((0.8 * 10_000 + 0.2 * 11_000) / ACRE_M2, rel=1e-6)
    assert PLANE.local(made.polygon).area == pytest.approx(10_200, rel=1e-3)
    alone = np.hypot(0.8 * 200, 0.2 * 400)
    far = 800 / 2.31  # the ± is made to hold the farther reading, 800 m² off
    assert made.area_sd_m2 == pytest.approx(max(alone, far), rel=1e-3)
    assert (made.laps, made.sigma_m) == (2.0, pytest.approx(2.0))
    assert made.source == "0.gpx, 1.gpx"
    assert made.method == "2 walks combined"
    assert combine_walks([one]) is one


def test_what_all_walks_share_does_not_tell_which_is_better():
    terms = [
        [term("edge", "", 300.0, 1.0, ""), term("drift", "", sd, 0.0, "")]
        for sd in (200.0, 400.0)
    ]
    weights = combine._weights(np.array([1e4, 1e4]), terms)
    assert weights == pytest.approx([0.8, 0.2])
    assert combine._weights(np.array([1e4, 1e4]), [terms[0], terms[0]]) == pytest.approx(
        [0.5, 0.5]
    )


def test_one_of_three_that_strays_counts_for_less():
    """Three deviations off the middle one, by one and a half: half of what it would."""
    terms = [[term("drift", "", 100.0, 0.0, "")]] * 3
    weights = combine._weights(np.array([10_000.0, 10_010, 10_300]), terms)
    assert weights == pytest.approx(np.array([1, 1, 1.5 / 2.9]) / (2 + 1.5 / 2.9))
    even = combine._weights(np.array([10_000.0, 10_100, 10_240]), terms)
    assert even == pytest.approx([1 / 3] * 3)
    two = combine._weights(np.array([10_000.0, 12_000]), terms[:2])
    assert two == pytest.approx([0.5, 0.5])


def test_walks_together_tell_all_that_each_left_out():
    one, two = two_walks((200.0, 200.0))
    one = replace(
        one, removed={"spike": 2, "way in": 1}, removed_cause=("spike",), blocked=0.3
    )
    two = replace(two, removed={"spike": 3}, removed_cause=("way out",), sigma_m=4.0)
    made = combine_walks([one, two])
    assert made.removed == {"spike": 5, "way in": 1}
    assert made.removed_cause == ("spike", "way out")
    assert made.kept_lon.tolist() == [0.0, 1.0]
    assert (made.blocked, made.sigma_m) == (0.3, pytest.approx(3.0))
    assert [one.what for one in made.readings] == ["0.gpx", "1.gpx"]


def test_a_walk_is_called_by_what_tells_it_from_the_others():
    one, two = a_walk(source="a", name="N"), a_walk(source="a", name="M")
    assert reading_name(one, [one, two]) == "N"
    twin = a_walk(source="a", name="N")
    assert reading_name(twin, [one, twin]) == "walk 2"


def test_walks_of_other_ground_or_one_recording_twice_do_not_combine():
    one, two = two_walks((200.0, 300.0))
    with pytest.raises(WalkRefused, match="is the same recording as 0.gpx"):
        combine_walks([one, replace(two, kept_lon=one.kept_lon)])
    for off, joined in ((48, True), (52, False)):
        other = replace(two, polygon=PLANE.ground(shapely.box(off, 0, off + 100, 100)))
        if joined:
            combine_walks([one, other])
        else:
            with pytest.raises(
                WalkRefused, match="does not lie on the same ground as 0.gpx"
            ):
                combine_walks([one, other])


# an edge drawn anew


def test_a_drawing_keeps_the_walks_range_in_acres():
    walk = a_walk(acres_low=2.2, acres_high=2.8)
    shape = PLANE.ground(shapely.box(0, 0, 100, 110))
    made, note = drawn_over(walk, shape, "Bench", "drawn over the walk")
    assert made.acres == pytest.approx(11_000 / ACRE_M2, rel=1e-4)
    assert made.acres - made.acres_low == pytest.approx(walk.acres - 2.2)
    assert made.acres_high - made.acres == pytest.approx(2.8 - walk.acres)
    assert made.half_width_pct == pytest.approx(
        walk.half_width_pct * walk.acres / made.acres
    )
    assert made.terms == walk.terms
    # 1.96 · 2 m: the new side of 100 m, and what of its ends sticks out beyond that
    beyond = (100 + 2 * (10 - 3.92)) / FT_M
    assert f"{beyond:,.0f} ft of its {420 / FT_M:,.0f} ft of edge lie beyond" in str(
        note.text
    )
    assert f"{10 / FT_M:.0f} ft at most" in note.text
    same, note = drawn_over(walk, PLANE.ground(shapely.box(0, 0, 100, 103)), "Bench", "d")
    assert "All of its edge lies within" in note.text
    band = PLANE.local(made.band)
    assert band.area == pytest.approx(2 * 3.92 * 420, rel=0.01)


def test_corners_drawn_beyond_the_walk_widen_it():
    """Two corners of four, each off by 20 ft on a circle: √2 a σ of all, over √2."""
    walk = a_walk(acres_low=2.4, acres_high=2.5)
    shape = PLANE.ground(shapely.box(0, 0, 100, 120))
    made, note = drawn_over(walk, shape, "Bench", "d", edge_pm_ft=20.0)
    sigma = 20 * FT_M / 2.4477
    corners = 2 * 0.25 * sigma**2 * (100**2 + 120**2) + 2 * 0.5 * sigma**4
    drawn = 1.96 * corners**0.5 / ACRE_M2
    assert made.terms[-1].code == "drawn"
    assert made.terms[-1].half_ac == pytest.approx(drawn, rel=1e-3)
    assert made.acres_high - made.acres == pytest.approx(
        np.hypot(2.5 - walk.acres, drawn), rel=1e-3
    )
    assert made.acres - made.acres_low == pytest.approx(
        np.hypot(walk.acres - 2.4, drawn), rel=1e-3
    )
    share = np.hypot(walk.half_width_pct * walk.acres, 100 * drawn) / made.acres
    assert made.half_width_pct == pytest.approx(share, rel=1e-3)
    assert "widened for drawn corners within 20 ft" in note.text


@pytest.mark.parametrize(("tall", "part"), [(77, 1.0), (73, None), (51, None)])
def test_a_piece_of_a_walk_is_off_by_no_more_than_its_walked_edge(tall, part):
    """Three sides of it are the walk's, each off by 1.96 · 2 m at most, all one way."""
    walk = a_walk(acres_low=1.5, acres_high=3.5)
    made, _ = drawn_over(walk, PLANE.ground(shapely.box(0, 0, 100, tall)), "B", "d")
    walked_m = (
        100 + 2 * tall + 2 * 3.92
    )  # and what of the new side lies within the ± of the old
    if part is None:
        part = 1.96 * 2 * walked_m / ACRE_M2 / (3.5 - walk.acres)
    assert made.acres_high - made.acres == pytest.approx(
        part * (3.5 - walk.acres), rel=0.01
    )
    assert made.terms[0].half_ac == pytest.approx(part * walk.terms[0].half_ac, rel=0.01)


@pytest.mark.parametrize(("off", "good"), [(48, True), (52, False)])
def test_a_drawing_shares_half_its_ground_with_the_walk_it_mends(off, good):
    shape = PLANE.ground(shapely.box(off, 0, off + 100, 100))
    if good:
        drawn_over(a_walk(), shape, "Bench", "d")
        return
    with pytest.raises(FileProblem, match="does not lie on the ground of the walk") as told:
        drawn_over(a_walk(), shape, "Bench", "d")
    assert (told.value.source, told.value.where) == ("w.gpx", "area “Bench”")


def test_a_walk_in_an_american_evening_is_of_that_day():
    """An hour of the sun is 15 degrees: 86.3 west is 5 hours and 45 minutes behind."""
    day = dt.datetime(2026, 5, 4, tzinfo=dt.UTC).timestamp()
    evening = line((0, 0), (9, 0), begin=day + 3600 * 5.6)
    morning = line((0, 0), (9, 0), begin=day + 3600 * 5.9)
    assert walked_on([evening]) == (dt.date(2026, 5, 3),)
    assert walked_on([morning, evening]) == (dt.date(2026, 5, 3), dt.date(2026, 5, 4))
    assert walked_on([line((0, 0), (9, 0))]) == ()
    assert mended_words([dt.date(2026, 5, 3)], 1) == "drawn over the walk of May 3, 2026"
    assert mended_words([], 2) == "drawn over 2 walks"
