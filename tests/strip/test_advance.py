"""Movement of an edge: known growth found, unchanged edges never called a breach."""

import datetime as dt

import numpy as np
import pytest
import shapely

from quietacre.acreage.equal_area import area_m2
from quietacre.acreage.frame import LocalFrame
from quietacre.figures import printed
from quietacre.model import SurveyedEdge
from quietacre.strip.advance import Advance, Change, Sector, _moved, _seen_by, advance
from quietacre.strip.ring import strip_ring
from quietacre.strip.since import surveys_of, through_years
from quietacre.units import ACRE_M2, FT_M, m_to_ft

FRAME = LocalFrame(-87.6, 34.2)


def patch(radius_m, *, east=0.0, error=None):
    angle = np.linspace(0, 2 * np.pi, 240, endpoint=False)
    radius = radius_m + (0.0 if error is None else error)
    xy = np.column_stack([east + radius * np.cos(angle), radius * np.sin(angle)])
    return FRAME.to_lonlat(np.array([shapely.Polygon(xy)]))[0]


def drift(rng, sigma, count=240, lag=30.0):
    """A closed drift along the edge: correlated over some 30 of 240 places."""
    steps = np.arange(count)
    apart = np.minimum(steps, count - steps)
    spectrum = np.fft.fft(sigma**2 * np.exp(-apart / lag)).real.clip(0)
    noise = np.fft.fft(rng.normal(size=count))
    return np.fft.ifft(np.sqrt(spectrum) * noise).real


def test_two_ordinary_walks_cannot_see_less_than_their_error():
    # two walks of 2.1 m: 1.645 × √2 × 2.1 = 4.885 m
    moved = advance(patch(40), patch(41), old_sigma_m=2.1, new_sigma_m=2.1)
    assert moved.limit_ft * FT_M == pytest.approx(4.885, abs=0.01)
    assert not moved.seen
    assert "cannot see" in moved.text
    assert "no side of the edge moved" in moved.text


def test_even_growth_below_the_limit_shows_in_the_acres():
    moved = advance(patch(40), patch(44), old_on=dt.date(2025, 10, 20),
                    new_on=dt.date(2026, 10, 20), old_sigma_m=2.1, new_sigma_m=2.1)  # fmt: skip
    assert moved.seen_by == ("acres",)
    true_ac = np.pi * (44**2 - 40**2) / 4046.856
    assert moved.change.acres == pytest.approx(true_ac, rel=0.001)
    assert moved.change.acres_low > 0
    assert "the patch grew" in moved.text
    assert "no side" not in moved.text
    assert "13 ft a year" in printed(moved.text)


def test_the_headline_names_each_side_that_its_table_calls_moved():
    """A side beyond its own range is never denied by the line above it."""
    rng = np.random.default_rng(31)
    seen = 0
    for grown in (0.0, 2.0, 4.0, 6.0) * 30:
        sigma = rng.uniform(1.0, 3.5)
        moved = advance(
            patch(40, error=drift(rng, sigma)), patch(40 + grown, error=drift(rng, sigma)),
            old_sigma_m=sigma, new_sigma_m=sigma,
        )  # fmt: skip
        sides = [s for s in moved.sectors if s.seen]
        seen += bool(sides)
        if sides:
            assert "no side" not in moved.text
            named = [s for s in sides if f"{s.direction} {s.mean_ft:+.0f} ft" in printed(moved.text)
                     or f"on the {s.direction} side" in moved.text]  # fmt: skip
            assert named if "a side" in moved.seen_by else named == sides
        elif not moved.seen:
            assert "no side of the edge moved" in moved.text
        assert moved.seen or not moved.change.seen
    assert seen > 40


def test_even_growth_is_the_same_on_every_side():
    moved = advance(patch(40), patch(48), old_on=dt.date(2025, 10, 20), new_on=dt.date(2026, 10, 20),
                    old_sigma_m=2.1, new_sigma_m=2.1)  # fmt: skip
    assert len(moved.sectors) == 8
    for sector in moved.sectors:
        assert sector.mean_ft * FT_M == pytest.approx(8.0, abs=0.05)
    assert moved.seen
    assert moved.most_ft_year * FT_M == pytest.approx(8.0, abs=0.1)


def test_one_sided_growth_is_told_by_side():
    moved = advance(patch(40), patch(40, east=9.0))
    by = {s.direction: s.most_ft * FT_M for s in moved.sectors}
    assert by["E"] == pytest.approx(9.0, abs=0.1)
    assert by["W"] == pytest.approx(-9.0, abs=0.5)  # a side spans 45°
    assert "on the E side" in moved.text
    east = FRAME.xy(np.array([moved.lon]), np.array([moved.lat]))[0][0]
    assert east == pytest.approx(49.0, abs=0.2)


def test_breach_is_ground_beyond_the_strip():
    old = patch(40)
    strip = strip_ring(old, 20.0)
    inside = advance(old, patch(44), strip=strip)
    outside = advance(old, patch(52), strip=strip)
    assert inside.breach.is_empty
    assert not outside.breach.is_empty
    assert outside.figures().breach is True


def test_breach_has_its_place_side_and_acres():
    old = patch(40)
    tongue = shapely.box(35, -4, 75, 4)
    new = old.union(FRAME.to_lonlat(np.array([tongue]))[0])
    moved = advance(old, new, strip=strip_ring(old, 20.0))
    (place,) = moved.breaches
    x, y = FRAME.xy(np.array([place.lon]), np.array([place.lat]))
    reach = 40 + 20 * FT_M + 3 * np.hypot(1, 1)  # beyond the strip and three sigma
    assert place.direction == "E"
    assert reach < x[0] < 75
    assert abs(y[0]) < 4
    assert place.acres == pytest.approx((75 - reach) * 8 / 4046.856, rel=0.02)


GROWN_M = [0.0, 3.0, 12.0]


def sides_right(grown_m):
    """Return the share of sides whose range holds the known growth, and of pairs called moved."""
    rng = np.random.default_rng(90)
    right = called = total = 0
    for _ in range(100):
        sigma = rng.uniform(1.0, 3.5)
        moved = advance(
            patch(40, error=drift(rng, sigma)), patch(40 + grown_m, error=drift(rng, sigma)),
            old_sigma_m=sigma, new_sigma_m=sigma,
        )  # fmt: skip
        right += sum(s.low_ft <= grown_m / FT_M <= s.high_ft for s in moved.sectors)
        total += len(moved.sectors)
        called += moved.seen
    return right / total, called / 100


@pytest.mark.parametrize("grown_m", GROWN_M)
def test_nine_times_in_ten_is_right_at_least_that_often(grown_m):
    """Known growth, two walks with drifting errors: the sides' ranges hold the truth."""
    right, called = sides_right(grown_m)
    assert right >= 0.90
    if grown_m == 0.0:
        assert called <= 0.10  # movement is said of few unchanged pairs


def false_breaches():
    """Return how many of 200 unchanged pairs are called a breach."""
    found = 0
    rng = np.random.default_rng(200)
    for _ in range(200):
        sigma = rng.uniform(1.0, 3.5)
        old, new = (patch(40, error=drift(rng, sigma)) for _ in range(2))
        moved = advance(
            old, new, old_sigma_m=sigma, new_sigma_m=sigma, strip=strip_ring(old, 12.0)
        )
        found += not (moved.breach.is_empty or shapely.area(moved.breach) < 1e-12)
    return found


def test_no_false_breach_in_200_unchanged_pairs():
    assert false_breaches() == 0


def test_a_place_on_an_unchanged_edge_rarely_exceeds_the_limit():
    """One-sided 95 % at any one place; the farthest of many places exceeds it more often."""
    rng = np.random.default_rng(7)
    over = 0
    for _ in range(200):
        old, new = (patch(40, error=drift(rng, 2.0)) for _ in range(2))
        moved = advance(old, new, old_sigma_m=2.0, new_sigma_m=2.0)
        over += moved.sectors[0].mean_ft > moved.limit_ft
    assert over / 200 < 0.08


# ---- the limits of what is called movement ------------------------------------------------------
def test_the_edge_is_looked_at_every_three_metres_and_at_sixteen_places_at_least():
    old = shapely.box(0, 0, 100, 50)
    places, moved = _moved(old, shapely.box(0, 0, 100, 50).buffer(0))
    steps = np.hypot(*np.diff(shapely.get_coordinates(places), axis=0).T)
    assert len(places) == len(moved) == 100
    assert np.median(steps) == pytest.approx(3.0)
    assert steps.max() <= 3.0 + 1e-9  # two of them round a corner, and less
    small, _ = _moved(old, shapely.box(0, 0, 10, 10))
    assert len(small) == 16
    assert len({place.wkt for place in small}) == 16


def far(direction, mean_ft, limit_ft):
    return Sector(
        direction, mean_ft, mean_ft, mean_ft - limit_ft, mean_ft + limit_ft,
        abs(mean_ft) > limit_ft,
    )  # fmt: skip


def test_a_side_is_called_moved_from_two_and_a_half_errors_on_and_many_from_one_and_two_thirds():
    """The sides' own limit is 1.645 errors; one of eight must clear 2.49, or three their own."""
    unseen = Change(0.0, -1.0, 1.0)
    error_m = 2.0
    one_ft = error_m / FT_M
    for errors, seen in ((2.48, ()), (2.5, ("a side",)), (-2.5, ("a side",))):
        side = far("N", errors * one_ft, 1.645 * one_ft)
        assert _seen_by([side], unseen, error_m) == seen
    just = far("N", m_to_ft(2.49 * error_m), 1.645 * one_ft)
    assert _seen_by([just], unseen, error_m) == (), "a side must clear it"
    sides = [far(way, 1.7 * one_ft, 1.645 * one_ft) for way in ("N", "E", "S")]
    assert _seen_by(sides, unseen, error_m) == ("many sides",)
    assert _seen_by(sides[:2], unseen, error_m) == ()
    assert _seen_by([], Change(0.5, 0.1, 0.9), error_m) == ("acres",)


def test_a_drawn_edge_is_taken_for_a_metre_off():
    """1.645 × √2 × 1 m is 2.326 m; with one walk of 2 m it is 1.645 × √5."""
    assert advance(patch(40), patch(41)).limit_ft * FT_M == pytest.approx(2.326, abs=0.002)
    walked = advance(patch(40), patch(41), new_sigma_m=2.0)
    assert walked.limit_ft * FT_M == pytest.approx(1.645 * 5**0.5, abs=0.002)


@pytest.mark.parametrize(("beyond_m", "crossed"), [(4.0, False), (4.6, True)])
def test_vine_counts_as_crossed_three_errors_beyond_its_strip(beyond_m, crossed):
    """Two edges a metre off each: three times 1.414 m is 4.24 m."""
    old = patch(40)
    reach = 40 + 20 * FT_M + beyond_m
    new = old.union(FRAME.to_lonlat(np.array([shapely.box(35, -4, reach, 4)]))[0])
    moved = advance(old, new, strip=strip_ring(old, 20.0))
    assert bool(moved.breaches) is crossed
    assert moved.figures().breach is crossed


def test_what_crossed_is_told_piece_by_piece_the_largest_first():
    old = patch(40)
    tongues = [
        shapely.box(-75, -4, -35, 4), shapely.box(-3, 35, 3, 90), shapely.box(-2, -70, 2, -35),
        shapely.box(30, 30, 31, 50),
    ]  # fmt: skip
    ground = FRAME.to_lonlat(np.array(tongues))
    moved = advance(old, shapely.union_all([old, *ground]), strip=strip_ring(old, 20.0))
    assert [place.direction for place in moved.breaches] == ["N", "W", "S", "NE"]
    acres = [place.acres for place in moved.breaches]
    assert acres == sorted(acres, reverse=True)
    whole = area_m2(np.array([moved.breach]))[0] / ACRE_M2
    assert sum(acres) == pytest.approx(whole, rel=1e-3)


def test_a_side_that_grew_just_within_its_range_leaves_the_word_to_the_one_that_shrank():
    sides = (far("N", 8.0, 8.0), far("S", -20.0, 8.0))
    made = Advance(
        sides, Change(0.0, -1.0, 1.0), -6.0, 8.0, 0.0, 0.0, 8.0, ("a side",), None, None,
        shapely.Polygon(),
    )  # fmt: skip
    assert printed(made.text).startswith("the edge moved back 20 ft on the S side")


def test_a_change_whose_range_ends_at_none_is_not_seen():
    assert not Change(-0.1, -0.2, 0.0).seen
    assert Change(-0.1, -0.2, -0.001).seen


def test_a_patch_smaller_than_its_error_may_be_of_no_acres_at_all():
    edge = SurveyedEdge(dt.date(2026, 10, 1), patch(3), 10.0, "v.gpx")
    (first, second) = through_years("V", [edge, edge]).surveys
    assert first.acres * ACRE_M2 == pytest.approx(np.pi * 9, rel=1e-3)
    assert first.acres_low == second.acres_low == 0.0
    assert first.acres_high > 2 * first.acres


def test_a_walk_s_own_range_stands_for_its_acres_and_a_drawing_has_that_of_its_edge():
    """What the walk tells: 1.0 to 1.5 ac. A drawn edge is a metre off."""
    area = {
        "name": "V",
        "geometry": patch(40),
        "source": "v.gpx",
        "acres_low": 1.0,
        "acres_high": 1.5,
    }
    before = SurveyedEdge(dt.date(2025, 10, 1), patch(39), None, "old.geojson")
    walked = surveys_of(area, dt.date(2026, 10, 1), [before], 2.0).surveys[1]
    assert (walked.acres_low, walked.acres_high) == (1.0, 1.5)
    drawn = surveys_of(area, dt.date(2026, 10, 1), [before], None).surveys[1]
    acres = np.pi * 1600 / ACRE_M2
    assert acres - 0.2 < drawn.acres_low < acres < drawn.acres_high < acres + 0.2
    assert (drawn.acres_low, drawn.acres_high) != (1.0, 1.5)
    assert surveys_of(area, None, [], 2.0).surveys == ()
