"""Walks of one edge made one: how much each counts, the edge between them, and what comes of it."""

import math
import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import shapely

from quietacre.acreage.equal_area import area_m2
from quietacre.boundary import combine
from quietacre.boundary.combine import combine_walks, reading_name
from quietacre.boundary.differ import OtherReading
from quietacre.boundary.walk import band_of
from quietacre.boundary.why import Term, term
from quietacre.errors import WalkRefused
from quietacre.model import Note
from quietacre.units import ACRE_M2

sys.path.insert(0, str(Path(__file__).parent))
from test_terms_worked import PLANE, a_walk


def walk(wide, sd, number, **more):
    """A walk round 100 m by so many, known to so many square metres by its drift."""
    at = np.array([float(number)])
    given = {
        "terms": (term("drift", "d", sd, 0.0, "s"),), "area_sd_m2": sd, "source": f"{number}.gpx",
        "kept_lon": at, "kept_lat": at + 1, "removed_lon": at + 2, "removed_lat": at + 3,
        "removed_cause": (f"cause {number}",), "removed": {f"cause {number}": 1},
        "name": f"W{number}",
    }  # fmt: skip
    return a_walk(shapely.box(0, 0, wide, 100), **{**given, **more})


def refused(*walks):
    with pytest.raises(WalkRefused) as told:
        combine_walks(walks)
    return told.value.what, told.value.fix, told.value.source, told.value.where


def test_two_walks_together_are_one_record_of_both():
    note = Note("own", "o")
    wide = Note("wide-interval", "w")
    one = walk(
        100, 300.0, 1, laps=2.0, sigma_m=2.0, sky="open", blocked=0.1, notes=(note, wide)
    )
    two = walk(
        104, 600.0, 2, laps=1.0, sigma_m=4.0, sky="canopy", blocked=0.7, notes=(wide,)
    )
    made = combine_walks([two, one])
    acres = (0.8 * 1e4 + 0.2 * 1.04e4) / ACRE_M2
    assert made.acres == pytest.approx(acres, rel=1e-9)
    sd = math.hypot(0.8 * 300, 0.2 * 600)
    far = (1.04e4 - 1.008e4) / 2.31
    assert sd < far + 200
    assert made.area_sd_m2 == pytest.approx(sd)
    assert made.acres_high - made.acres == pytest.approx(2.31 * sd / ACRE_M2)
    assert made.acres - made.acres_low == pytest.approx(2.31 * sd / ACRE_M2)
    (only,) = made.terms
    assert only == Term("drift", "d", pytest.approx(2.31 * sd / ACRE_M2), 0.0, "s")
    assert (made.method, made.laps, made.sigma_m) == (
        "2 walks combined", 3.0, pytest.approx(0.8 * 2 + 0.2 * 4),
    )  # fmt: skip
    assert (made.source, made.name, made.sky, made.blocked) == (
        "1.gpx, 2.gpx", "W1", "open", 0.7,
    )  # fmt: skip
    assert made.removed == {"cause 1": 1, "cause 2": 1}
    assert made.removed_cause == ("cause 1", "cause 2")
    fixes = (made.kept_lon, made.kept_lat, made.removed_lon, made.removed_lat)
    assert [some.tolist() for some in fixes] == [[1, 2], [2, 3], [3, 4], [4, 5]]
    assert made.readings == (
        OtherReading("1.gpx", one.acres, one.polygon, 2.0),
        OtherReading("2.gpx", two.acres, two.polygon, 1.0),
    )
    assert [one.code for one in made.notes] == ["own"]
    assert len(made.advice) == 1
    # the ground holds these acres, and its band is that of all laps
    assert area_m2(np.array([made.polygon]))[0] == pytest.approx(acres * ACRE_M2, rel=1e-6)
    reach = PLANE.local(made.band).area
    ring = PLANE.local(made.polygon)
    assert reach == pytest.approx(band_of(ring, 2.4, 3.0, PLANE).area * _scale(), rel=0.02)


def _scale():
    """Return the square metres of a square degree about the plane's middle."""
    ground = PLANE.ground(shapely.box(0, 0, 100, 100))
    return 1e4 / ground.area


def test_an_answer_that_leaves_a_walk_out_is_made_to_hold_it_and_that_is_said():
    one, two = walk(100, 50.0, 1), walk(112, 50.0, 2)
    made = combine_walks([one, two])
    assert made.acres == pytest.approx(1.06e4 / ACRE_M2, rel=1e-9)
    assert made.acres_high == pytest.approx(1.12e4 / ACRE_M2, rel=1e-3)
    assert made.acres_low == pytest.approx(1e4 / ACRE_M2, rel=1e-3)
    assert [one.code for one in made.terms] == ["drift", "readings"]
    (note,) = (one for one in made.notes if one.code == "readings-differ")
    middle = made.polygon.representative_point()
    assert (note.source, note.feature, note.lon, note.lat) == (
        "1.gpx", "W1", middle.x, middle.y,
    )  # fmt: skip


def test_a_half_width_that_is_poor_is_said_of_the_best_walk_alone():
    made = combine_walks([walk(100, 2000.0, 1), walk(104, 4000.0, 2)])
    (note,) = made.notes
    assert (note.code, note.source, note.feature) == ("wide-interval", "1.gpx", "W1")


# what does not combine


def test_one_recording_given_twice_is_refused():
    one = walk(100, 300.0, 1)
    again = replace(walk(104, 200.0, 2), kept_lon=one.kept_lon, kept_lat=one.kept_lat)
    fix = "list it once; the ± of two walks holds for two walks only"
    assert refused(one, again) == ("is the same recording as 1.gpx", fix, "2.gpx", None)
    assert refused(replace(one, source=""), replace(again, source="")) == (
        "is the same recording as one before it", fix, None, None,
    )  # fmt: skip
    for column in ("kept_lon", "kept_lat"):
        other = replace(again, **{column: getattr(one, column) + 1e-9})
        combine_walks([one, other])


@pytest.mark.parametrize(
    ("off", "tall", "good"),
    [(49, 100, True), (51, 100, False), (0, 30, True), (60, 30, False)],
)
def test_walks_share_half_of_the_smaller_ground(off, tall, good):
    one = walk(100, 300.0, 1)
    two = replace(
        walk(100, 600.0, 2), polygon=PLANE.ground(shapely.box(off, 0, off + 100, tall))
    )
    if good:
        combine_walks([one, two])
        return
    assert refused(two, one) == (
        "does not lie on the same ground as 1.gpx",
        "list only walks of the same edge under one area", "2.gpx", None,
    )  # fmt: skip


def test_edges_of_which_no_ring_comes_do_not_combine(monkeypatch):
    monkeypatch.setattr(combine, "valid_ring", lambda _: None)
    assert refused(walk(100, 300.0, 1), walk(104, 600.0, 2)) == (
        "the walks do not combine", "list them apart", "1.gpx", None,
    )  # fmt: skip


# how much each counts


def test_weights_are_those_of_the_least_variance():
    """Of own and shared parts the best is found by trying; what all share tips it."""
    terms = [
        [term("edge", "", 300.0, 1.0, ""), term("drift", "", 200.0, 0.0, "")],
        [term("edge", "", 500.0, 1.0, ""), term("drift", "", 150.0, 0.0, "")],
    ]
    one, two = combine._weights(np.array([1e4, 1e4]), terms)
    assert one + two == pytest.approx(1.0)

    def variance(w):
        own = (w * 200) ** 2 + ((1 - w) * 150) ** 2
        return own + (w * 300 + (1 - w) * 500) ** 2

    tried = np.linspace(0, 1, 100_001)
    assert one == pytest.approx(tried[np.argmin(variance(tried))], abs=2e-5)
    # half of a part is shared: its root of a half adds up
    half = [[term("sky", "", 300.0, 0.5, "")], [term("sky", "", 250.0, 0.5, "")]]
    own, shared = (
        np.array([300, 250]) * math.sqrt(0.5), np.array([300, 250]) * math.sqrt(0.5)
    )  # fmt: skip
    both = np.diag(own**2) + np.outer(shared, shared)
    best = np.maximum(np.linalg.inv(both) @ (1, 1), 0)
    assert combine._weights(np.array([1e4, 1e4]), half) == pytest.approx(best / best.sum())


def test_a_walk_that_would_count_against_the_others_counts_for_nothing():
    terms = [
        [term("edge", "", 100.0, 1.0, ""), term("drift", "", 10.0, 0.0, "")],
        [term("edge", "", 300.0, 1.0, ""), term("drift", "", 10.0, 0.0, "")],
    ]
    assert combine._weights(np.array([1e4, 1e4]), terms).tolist() == [1.0, 0.0]


def test_one_of_three_counts_for_less_from_one_and_a_half_of_its_deviations_on():
    terms = [[term("drift", "", sd, 0.0, "")] for sd in (100.0, 100.0, 200.0)]
    areas = np.array([10_000.0, 10_150, 10_500])
    # 1 · 1.5 / 1.5, 1 in the middle, and a quarter of 1.5 / 1.75
    last = 0.25 * 1.5 / 1.75
    assert combine._weights(areas, terms) == pytest.approx(
        np.array([1, 1, last]) / (2 + last)
    )


# the edge between them


def diamond(reach):
    return shapely.Polygon(
        [(50 - reach, 50), (50, 50 - reach), (50 + reach, 50), (50, 50 + reach)]
    )


def test_the_edge_is_pulled_to_the_mean_by_its_weights():
    """Of three diamonds one in another each corner lies nearest to the next one's corner."""
    walks = [
        replace(walk(100, 300.0, n), polygon=PLANE.ground(diamond(reach)))
        for n, reach in enumerate((50, 45, 40))
    ]
    made = combine._mean_ring(walks, np.array([0.5, 0.3, 0.2]), PLANE)
    assert made.equals_exact(diamond(0.5 * 50 + 0.3 * 45 + 0.2 * 40), 1e-6)


def test_a_stretched_ground_holds_its_acres_about_its_middle():
    made = combine._stretched(shapely.box(300, 200, 400, 300), 14_400.0, PLANE)
    assert made.bounds == pytest.approx((290, 190, 410, 310), abs=0.05)
    ground = PLANE.ground(made)
    assert area_m2(np.array([ground]))[0] == pytest.approx(14_400, rel=1e-6)


def test_walks_are_told_apart_by_file_then_by_name_then_by_place():
    one, two = a_walk(source="a", name="N"), a_walk(source="b", name="N")
    assert [reading_name(some, [one, two]) for some in (one, two)] == ["a", "b"]
    same = replace(two, source="a")
    assert [reading_name(some, [one, same]) for some in (one, same)] == ["walk 1", "walk 2"]
    assert reading_name(replace(same, name="M"), [one, replace(same, name="M")]) == "M"
    third = a_walk(source="a", name="N")
    assert reading_name(third, [one, same, third]) == "walk 3"


def test_fixes_left_out_are_counted_over_all_walks():
    one = a_walk(removed={"spike": 2, "stop": 1})
    assert combine._removed([one, a_walk(removed={"spike": 3})]) == {"spike": 5, "stop": 1}
    assert combine._removed([a_walk(), a_walk()]) == {}
