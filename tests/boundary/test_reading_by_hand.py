"""How a walk is read, each step alone: its fixes, its loop, what it refuses and what it says."""

import functools
from dataclasses import replace

import close_steps
import numpy as np
import pytest

from quietacre.boundary import read
from quietacre.boundary.average import Averaged, Lap, average
from quietacre.boundary.faces import Face, ac_said
from quietacre.boundary.loop import Loop, find_loop
from quietacre.boundary.margin import Margin
from quietacre.boundary.move import move_edge
from quietacre.boundary.plane import Plane
from quietacre.boundary.read import read_walk
from quietacre.boundary.why import term
from quietacre.errors import WalkRefused
from quietacre.figures import printed
from quietacre.model import Track
from quietacre.units import ACRE_M2

closely = functools.partial(close_steps.closely, step=2.0)

PLANE = Plane(-86.3, 33.2)
SQUARE = [(50, 0), (100, 0), (100, 100), (0, 100), (0, 0), (50, 0)]


def track(xy, when=None, name="W", **more):
    lon, lat = PLANE.lonlat(np.asarray(xy, float)).T
    when = np.arange(len(lon)) * 1.6 if when is None else when
    segment = np.zeros(len(lon), dtype=int)
    return Track(name, "w.gpx", more.pop("kind", "track"), lon, lat, when, segment, **more)


def refused(call, *given):
    with pytest.raises(WalkRefused) as problem:
        call(*given)
    one = problem.value
    return printed(one.what), one.fix, one.source, one.where


AGAIN = "walk round the area, not along it"


# which track is read


def test_a_track_is_called_by_its_kind_and_its_name():
    assert read._label(track(SQUARE)) == "track “W”"
    assert read._label(track(SQUARE, name="", kind="route")) == "route"


@pytest.mark.parametrize("sides_ft", [(10.0, 0.0), (0.0, 10.0), (3.0, 8.0)])
def test_an_edge_is_moved_by_what_was_kept_inside_less_what_was_kept_outside(sides_ft):
    some = track(closely(SQUARE))
    inside, outside = sides_ft
    found = read_walk([some], walked_inside_ft=inside, walked_outside_ft=outside)
    moved = move_edge(read_walk([some]), inside - outside)
    assert found.acres == moved.acres
    assert found.method == moved.method
    assert (found.acres > 1e4 / ACRE_M2) is (inside > outside)


def test_the_first_reason_is_told_where_no_track_can_be_read():
    few, none = track(SQUARE[:3], name="First"), track(closely([(0, 0), (300, 0)]))
    assert refused(read_walk, [few, none]) == (
        "has only 3 points", "walk the edge again with the recorder set to every few seconds",
        "w.gpx", "track “First”",
    )  # fmt: skip
    none_at_all = ("holds no track", "record the edge as a track and export it", None, None)
    assert refused(read_walk, []) == none_at_all
    assert read_walk([few, track(closely(SQUARE))]).acres == pytest.approx(2.471, rel=1e-3)


def test_the_loop_of_most_ground_is_taken_and_the_others_are_told():
    walks = [read_walk([track(closely(SQUARE), name=name)]) for name in ("A", "", "C")]
    walks = [
        replace(one, acres=acres) for one, acres in zip(walks, (1.0, 3.0, 2.0), strict=True)
    ]
    best = read._largest(walks)
    note = best.notes[-1]
    assert replace(best, notes=best.notes[:-1]) is not walks[1]
    assert best.notes[:-1] == walks[1].notes
    assert (best.acres, note.code, note.level, note.source) == (
        3.0, "track-chosen", "caution", "w.gpx",
    )  # fmt: skip
    assert note.text == (
        "the file holds 3 loops; “unnamed” encloses the most and was taken (others: “A” 1.00 ac, “C” "
        "2.00 ac)."
    )
    assert (
        "others: “unnamed” 3.00 ac)"
        in read._largest([walks[1], replace(walks[2], acres=9.0)]).notes[-1].text
    )
    assert read._largest(walks[:1]) is walks[0]


# what is refused


def reads(monkeypatch, **patched):
    """Read a square walk with some of its steps given."""
    for name, made in patched.items():
        monkeypatch.setattr(read, name, made)
    return read._read_track(track(closely(SQUARE)), None)


@pytest.mark.parametrize(("tall", "tells"), [(3.9, False), (4.0, True)])
def test_ground_of_less_than_eight_square_metres_is_none(tall, tells, monkeypatch):
    ring = np.array([(0.0, 0), (2, 0), (2, tall), (0, tall)])
    small = Averaged(ring, np.arange(4.0), np.zeros(0), 1.0, (Lap(ring, same_way=True),))
    hopeless = f"{AGAIN}, two or more laps, and record it again"
    what, fix, *_ = refused(lambda: reads(monkeypatch, average=lambda *_: small))
    if tells:
        assert (what, fix) == (
            "encloses so little for its length that its acreage cannot be trusted", hopeless,
        )  # fmt: skip
    else:
        assert (what, fix) == (
            "encloses no ground to speak of",
            f"{AGAIN}, and record it again",
        )
    monkeypatch.undo()
    none = refused(lambda: reads(monkeypatch, valid_ring=lambda _: None))
    assert none[0] == "encloses no ground to speak of"


@pytest.mark.parametrize(
    ("lost", "laps", "good"),
    [(0.18, 1.0, True), (0.181, 1.0, False), (0.3, 1.5, True), (0.3, 1.49, False)],
)
def test_a_loop_of_which_nearly_a_fifth_is_lost_is_none_unless_a_second_lap_covers_it(
    lost, laps, good, monkeypatch
):
    def mean(*given):
        return average(*given)._replace(laps=laps)

    def call():
        return reads(monkeypatch, average=mean, lost_share=lambda *_: lost)

    if good:
        assert call().acres == pytest.approx(1e4 / ACRE_M2, rel=1e-3)
        return
    assert refused(call) == (
        f"lost its signal over {100 * lost:.0f} % of the loop",
        "walk the edge again, two laps or on a day of better reception", "w.gpx", "track “W”",
    )  # fmt: skip


@pytest.mark.parametrize(("times", "good"), [(0.99, True), (1.01, False)])
def test_a_loop_whose_drift_is_three_quarters_of_it_is_no_answer(times, good, monkeypatch):
    drift = times * 0.75 * 1e4 / 2.31
    given = Margin(2.0, (term("drift", "d", 300.0, 0.0, "s"),), drift, 0.0, "x", None)
    if good:
        assert reads(monkeypatch, margin_of=lambda *_: given).sigma_m == 2.0
    else:
        what, *_ = refused(lambda: reads(monkeypatch, margin_of=lambda *_: given))
        assert (
            what == "encloses so little for its length that its acreage cannot be trusted"
        )


# the fixes


def test_fixes_that_repeat_jump_or_stand_are_told_with_their_cause():
    """The 6th stands where the 5th does; the 20th jumps; from the 31st on it stands for a minute."""
    xy = closely(SQUARE)[:60]
    when = np.arange(60) * 1.6
    still = xy[30] + 0.2 * np.column_stack([np.cos(np.arange(40)), np.sin(np.arange(40))])
    xy = np.vstack([xy[:5], xy[4:5], xy[5:31], still, xy[31:]])
    when = np.r_[when[:5], when[4] + 0.5, when[5:31], when[30] + 1.6 * np.arange(1, 41),
                 64 + when[31:]]  # fmt: skip
    xy[20] += (0.0, 80.0)
    found = read._cleaned(track(xy, when))
    causes = {
        cause: np.flatnonzero(found.cause == cause).tolist()
        for cause in ("repeat", "spike", "stop")
    }
    assert causes["repeat"] == [5]
    assert causes["spike"] == [20]
    assert set(range(32, 70)) <= set(causes["stop"])
    assert (found.cause != "").sum() == 2 + len(causes["stop"])
    assert found.read == len(xy) - 1
    assert found.rows.tolist() == [n for n in range(len(xy)) if n not in (5, 20)]
    assert len(found.position) == len(found.rows)
    stood = found.position[found.rows.tolist().index(40)]
    assert (np.bincount(found.position) > 1).tolist() == [
        n == stood for n in range(len(found.xy))
    ]
    assert len(found.xy) == len(found.when) == len(xy) - 2 - len(causes["stop"]) + 1


@pytest.mark.parametrize(
    ("most", "step"), [(201, 1), (200, 2), (101, 2), (100, 3), (67, 3)]
)
def test_a_longer_recording_is_read_at_every_second_or_third_fix(most, step, monkeypatch):
    monkeypatch.setattr(read, "MOST_FIXES", most)
    found = read._cleaned(track(closely(SQUARE)))
    assert len(closely(SQUARE)) == 201
    assert found.rows.tolist() == list(range(0, 201, step))
    assert found.read == len(range(0, 201, step))


@pytest.mark.parametrize(("count", "looked_at"), [(6000, 6000), (6001, 3001)])
def test_six_thousand_fixes_are_all_looked_at(count, looked_at):
    straight = np.column_stack([np.arange(count) * 2.0, np.zeros(count)])
    assert read._cleaned(track(straight)).read == looked_at


def test_four_points_are_a_track_and_three_are_none():
    assert read._cleaned(track(SQUARE[:4])).read == 4
    assert refused(read._cleaned, track(SQUARE[:3], name=""))[3] == "track"


def test_a_recording_across_miles_says_where_it_jumps():
    xy = closely(SQUARE)
    xy[120:, 0] += 50 * 1609.344
    some = track(xy)
    what, fix, *_ = refused(read._cleaned, some)
    assert what == (
        "is 50 miles across; fix 121 lies 50 miles from the one before it, at "
        f"{some.lat[120]:.5f}, {some.lon[120]:.5f}"
    )
    assert fix == "cut the recording there, or give the one that goes round the area"


def test_fixes_are_put_in_the_order_of_their_times_where_that_is_shorter():
    line = np.column_stack([np.arange(10.0) * 5, np.zeros(10)])
    mixed = [5, 6, 7, 8, 9, 0, 1, 2, 3, 4]
    there = track(line[mixed], np.arange(10.0)[mixed])
    found = read._in_time_order(there, PLANE)
    sorted_x = PLANE.xy(found.lon, found.lat)[:, 0]
    assert sorted_x == pytest.approx(line[:, 0])
    clock = track(line, np.arange(10.0)[mixed])
    assert read._in_time_order(clock, PLANE) is clock, "the clock was set on the way"
    ordered = track(line, np.r_[0.0, np.arange(9.0)])
    assert read._in_time_order(ordered, PLANE) is ordered
    some = np.arange(10.0)[mixed]
    some[3] = np.nan
    untimed = track(line[mixed], some)
    assert read._in_time_order(untimed, PLANE) is untimed
    # a way there and back is as long in either order
    back = track([(0, 0), (5, 0), (0, 0), (5, 0)], np.array([1.0, 0, 3, 2]))
    assert read._in_time_order(back, PLANE) is back


# the loop


def fixes_of(some):
    return read._cleaned(some)


def test_a_path_that_closes_nowhere_or_goes_round_two_grounds_is_refused(monkeypatch):
    fixes = fixes_of(track(closely(SQUARE)))
    loop = find_loop(fixes.xy)
    open_one = fixes_of(track(closely([(0, 0), (300, 0)])))
    assert refused(read._loop_of, open_one) == (
        "does not close into a loop",
        "walk all the way round, back to where you began, and record it again", "w.gpx", "track “W”",
    )  # fmt: skip
    ground = lap = read.lap_m2(fixes.xy, loop.laps[0])
    assert lap == pytest.approx(1e4, rel=1e-3)

    def with_faces(*faces):
        monkeypatch.setattr(read, "find_loop", lambda _: replace(loop, others=faces))
        return lambda: read._loop_of(fixes)

    assert with_faces()().others == ()
    fits = (Face(0.2 * ground, "alone"), Face(0.9 * ground, "inside"))
    assert with_faces(*fits)().others == fits
    more = 0.201 * ground
    what, fix, *_ = refused(with_faces(*fits, Face(more, "alone")))
    assert (
        what
        == f"goes round two pieces of ground, of about {printed(ac_said(ground, more))}"
    )
    assert fix == "cut it in two in the recorder, and list each under its own area"
    monkeypatch.setattr(read, "_only_a_curl", lambda *_: True)
    assert refused(with_faces())[0] == "does not close into a loop"


@pytest.mark.parametrize(
    ("depth", "last", "curl"),
    [(7.9, 29, True), (8.0, 29, False), (7.9, 30, False), (9.0, 90, False)],
)
def test_a_curl_is_shallow_and_less_than_a_fifth_of_a_path(depth, last, curl):
    xy = np.column_stack([np.arange(101.0), np.zeros(101)])
    loop = Loop(((10, last),), 0.0, (), 0.0, depth)
    assert read._only_a_curl(xy, loop) is curl
