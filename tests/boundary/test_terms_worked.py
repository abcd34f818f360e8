"""The terms of a walk's ± together, its edge moved, trees beside it, its slope: by hand."""

import numpy as np
import pytest
import shapely

from quietacre.boundary.level import level_note, slope_of
from quietacre.boundary.move import move_edge
from quietacre.boundary.plane import Plane
from quietacre.boundary.trees import beside_trees, share_beside
from quietacre.boundary.walk import Walk, advice_for, band_of, wide_note, without_wide
from quietacre.boundary.why import Term, combined, term, why_lines
from quietacre.errors import WalkRefused
from quietacre.figures import printed
from quietacre.model import Note, Track
from quietacre.units import ACRE_M2, FT_M

PLANE = Plane(-86.3, 33.2)
NONE = np.zeros(0)


def a_walk(shape=None, **more):
    """A walk whose ground, ± and fixes are given, not read."""
    shape = shape or shapely.box(0, 0, 100, 100)
    acres = shape.area / ACRE_M2
    terms = more.pop("terms", (term("drift", "drift", 300.0, 0.0, "s"),))
    said = {
        "acres_low": acres - 0.2, "acres_high": acres + 0.2, "half_width_pct": 20.0 / acres,
        "method": "walked", "laps": 1.0, "removed": {}, "sigma_m": 2.0, "advice": (),
        "notes": (), "band": None, "kept_lon": NONE, "kept_lat": NONE, "removed_lon": NONE,
        "removed_lat": NONE, "removed_cause": (), "source": "w.gpx", "name": "W",
        "area_sd_m2": 300.0, "terms": terms,
    }  # fmt: skip
    return Walk(PLANE.ground(shape), acres, **{**said, **more})


# the terms together


def test_terms_of_two_walks_keep_what_they_share():
    """Each counts for half: what is a walk's own adds as squares, what all share adds up."""
    own = [[term("drift", f"{n}", 100.0 + n, 0.0, "s")] for n in (0, 1)]
    (found,) = combined(own, [0.5, 0.5])
    assert found.sd_m2 == pytest.approx(0.5 * np.hypot(100, 101))
    assert (found.text, found.common) == ("1", 0.0)
    same = [[term("edge", "", 100.0, 1.0, "s")]] * 2
    assert combined(same, [0.5, 0.5])[0].sd_m2 == pytest.approx(100.0)
    half = combined([[term("sky", "", 100.0, 0.5, "s")]] * 2, [0.5, 0.5])[0]
    # own: 2 · (50² · ½) = 2500; shared: (2 · 50 · √½)² = 5000
    assert half.sd_m2 == pytest.approx(7500**0.5)
    assert half.common == pytest.approx(5000 / 7500)
    alone = combined([[term("lost", "", 100.0, 0.0, "s")], []], [0.25, 0.75])[0]
    assert alone.sd_m2 == pytest.approx(25.0)
    assert combined([[term("lost", "", 0.0, 0.0, "s")]], [1.0])[0].common == 0.0


def test_the_smallest_terms_are_told_together():
    terms = [Term("a", "drift", 1.0, 0.0, "s"), Term("b", "edge", 0.052, 0.0, "t"),
             Term("c", "floor", 0.03, 0.0, "u"), Term("d", "lost", 0.04, 0.0, "v")]  # fmt: skip
    assert [printed(line) for line in why_lines(terms)] == [
        "± 1 ac: drift (s)", "± 0.052 ac: edge (t)", "± 0.05 ac: all else together",
    ]  # fmt: skip
    tiny = [terms[0], Term("c", "floor", 0.004, 0.0, "u")]
    assert printed(why_lines(tiny)[-1]) == "under 0.01 ac: all else together"
    assert printed(why_lines(terms[:1])[0]) == "± 1 ac: drift (s)"
    large = [Term("a", "drift", 124.0, 0.0, "s")]
    assert printed(why_lines(large)[0]) == "± 120 ac: drift (s)"


@pytest.mark.parametrize(("half_pct", "advised"), [(4.9, False), (5.3, True)])
def test_a_lap_is_advised_from_a_bag_in_twenty_on(half_pct, advised):
    area = 1e4
    terms = [term("drift", "", half_pct / 231 * area, 0.0, "")]
    assert bool(advice_for(area, terms, 1.0)) is advised


@pytest.mark.parametrize(("common", "more"), [(0.85, True), (0.75, False)])
def test_a_lap_that_leaves_all_but_a_twentieth_is_not_advised(common, more):
    """Half of what laps do not share goes with a second: √(c + (1 - c) / 2)."""
    terms = [term("edge", "", 500.0, common, "")]
    (text,) = advice_for(1e4, terms, 1.0)
    assert text.startswith("More laps would not") is more


def test_the_band_is_as_wide_as_the_edge_is_doubtful():
    """1.96 · 2 m over √4 to either side of 400 m, its corners rounded off outside."""
    band = PLANE.local(band_of(shapely.box(0, 0, 100, 100), 2.0, 4.0, PLANE))
    reach = 1.96
    wanted = 2 * reach * 400 + (np.pi - 4) * reach**2
    assert band.area == pytest.approx(wanted, rel=5e-3)
    edge = shapely.box(0, 0, 100, 100).exterior
    assert shapely.hausdorff_distance(band.exterior, edge) == pytest.approx(reach, rel=0.02)


def test_notes_and_figures_of_a_walk():
    walk = a_walk()
    assert walk.edge_sigma_m == pytest.approx(2.0 * 2.31 / 1.96, rel=1e-3)
    frame = walk.to_frame()
    assert frame.loc[0, "acres"] == walk.acres
    assert (frame.crs.to_epsg(), frame.loc[0, "name"]) == (4326, "W")
    notes = wide_note(20.0, shapely.Point(1, 2), "s", "n")
    assert (notes[0].lon, notes[0].lat, notes[0].level) == (1.0, 2.0, "warning")
    other = Note("other", "words")
    assert without_wide([*notes, other]) == [other]
    assert walk.reading.laps == 1.0
    assert walk.reading.why == walk.terms


# the edge moved


@pytest.mark.parametrize(("feet", "side"), [(10.0, "inside"), (-10.0, "outside")])
def test_an_edge_moved_keeps_its_corners(feet, side):
    moved = move_edge(a_walk(notes=wide_note(20, shapely.Point(0, 0), "w", "W")), feet)
    assert moved.acres == pytest.approx((100 + 2 * feet * FT_M) ** 2 / ACRE_M2, rel=2e-4)
    assert moved.acres_high - moved.acres == pytest.approx(2.31 * 300 / ACRE_M2)
    assert printed(moved.method) == f"walked, walked 10 ft {side} the edge"
    assert moved.notes == ()
    assert moved.band is None
    corners = shapely.get_coordinates(PLANE.local(moved.polygon))
    assert len(corners) == 5, "mitred, not rounded"


def test_the_band_moves_with_its_edge():
    walk = a_walk(
        band=PLANE.ground(shapely.box(0, 0, 100, 100).exterior.buffer(1)), laps=4.0
    )
    moved = move_edge(walk, 20.0)
    band = PLANE.local(moved.band)
    side = 100 + 40 * FT_M
    assert band.area == pytest.approx(2 * 1.96 * 4 * side, rel=0.01)
    half = move_edge(a_walk(band=walk.band, laps=0.5), 20.0)
    assert PLANE.local(half.band).area == pytest.approx(2 * band.area, rel=0.02)


@pytest.mark.parametrize(("side", "feet", "doubted"), [(100, 60, False), (100, 75, True), (100, -45, False),
                                                       (100, -50, True)])  # fmt: skip
def test_an_edge_moved_so_far_that_acres_double_or_halve_is_doubted(side, feet, doubted):
    moved = move_edge(a_walk(shapely.box(0, 0, side, side)), float(feet))
    assert ("edge-moved-far" in {note.code for note in moved.notes}) is doubted
    if doubted:
        assert f"walked_{'inside' if feet > 0 else 'outside'}_ft" in moved.notes[0].text


def test_an_edge_moved_in_until_nothing_or_two_pieces_are_left():
    with pytest.raises(
        WalkRefused, match="nothing is left of the area after moving its edge 170"
    ):
        move_edge(a_walk(), -170.0)
    waist = shapely.union_all(
        [
            shapely.box(0, 0, 100, 100),
            shapely.box(100, 48, 130, 52),
            shapely.box(130, 20, 190, 80),
        ]
    )
    moved = move_edge(a_walk(waist), -10.0)
    (apart,) = [note for note in moved.notes if note.code == "edge-moved-apart"]
    piece, kept = (60 - 20 * FT_M) ** 2 / ACRE_M2, (100 - 20 * FT_M) ** 2 / ACRE_M2
    assert f"cuts off 1 piece(s) of {piece:.2f} ac from the {kept:.2f} ac" in apart.text
    crumb = shapely.union_all(
        [
            shapely.box(0, 0, 100, 100),
            shapely.box(100, 48, 130, 52),
            shapely.box(130, 44, 142, 56),
        ]
    )
    assert "edge-moved-apart" not in {n.code for n in move_edge(a_walk(crumb), -10.0).notes}


@pytest.mark.parametrize(("height", "told"), [(11.8, False), (13.0, True)])
def test_pieces_of_less_than_half_a_hundredth_are_crumbs(height, told):
    """A second piece of 3.9 m by what is left of its height, beside 8,818 m²: 44 m² are told."""
    some = shapely.union_all([shapely.box(0, 0, 100, 100), shapely.box(100, 48, 130, 52),
                              shapely.box(130, 0, 141, 2 * height)])  # fmt: skip
    moved = move_edge(a_walk(some), -10.0)
    left = (11 - 20 * FT_M) * (2 * height - 20 * FT_M)
    expected = left >= 0.005 * (100 - 20 * FT_M) ** 2
    assert ("edge-moved-apart" in {note.code for note in moved.notes}) == expected


# trees beside


def test_the_share_of_an_edge_within_fifty_feet_of_trees():
    """A wood 40 ft west of the west side: all of that side, and 10 ft of each beside it."""
    wood = shapely.box(-100, -50, -40 * FT_M, 150)
    found = share_beside(a_walk(), PLANE.ground(wood))
    assert found == pytest.approx((100 + 2 * 10 * FT_M) / 400, rel=1e-3)
    assert share_beside(a_walk(), PLANE.ground(shapely.box(-100, 0, -51 * FT_M, 9))) == 0.0


@pytest.mark.parametrize(("share", "taken"), [(0.09, False), (0.12, True)])
def test_trees_along_a_tenth_of_an_edge_are_reckoned_with(share, taken):
    """All of an edge beside trees is worth eight tenths of blocked sky: 3.3 m all round."""
    walk = a_walk()
    made = beside_trees(walk, share)
    assert (made is not walk) is taken
    if taken:
        sky = next(one for one in made.terms if one.code == "sky")
        assert sky.sd_m2 == pytest.approx(3.3 * 0.8 * share * 400, rel=1e-3)
        assert made.blocked == pytest.approx(0.8 * share)
        assert made.area_sd_m2 == pytest.approx(np.hypot(300, sky.sd_m2))
        assert f"along {100 * share:.0f} % of the edge" in made.notes[0].text
        half = 2.31 * made.area_sd_m2 / ACRE_M2
        assert f"± 0.2 ac was made ± {half:.2g}" in made.notes[0].text


def test_trees_change_nothing_where_the_sky_is_known():
    assert beside_trees(a_walk(sky="open"), 0.9).terms == a_walk().terms
    known = a_walk(blocked=0.5)
    assert beside_trees(known, 0.6) is known
    assert beside_trees(known, 0.7).blocked == pytest.approx(0.56)
    unknown = a_walk(blocked=0.5, notes=(Note("sky-unknown", "words"),))
    made = beside_trees(unknown, 0.6)
    assert made.blocked == 0.5
    assert [note.code for note in made.notes][0] == "trees-beside"
    assert "it is taken as blocked" in made.notes[0].text


# level acres


def slope_track(slope, count=200):
    turn = np.linspace(0, 2 * np.pi, count)
    xy = 60 * np.column_stack([np.cos(turn), np.sin(turn)])
    return xy, 100.0 + slope * xy[:, 0]


@pytest.mark.parametrize(("slope", "less"), [(0.14, None), (0.16, 1), (0.2, 2), (0.5, 11)])
def test_a_slope_from_fifteen_in_a_hundred_on_is_said_with_what_it_takes(slope, less):
    """Level ground is 1 / √(1 + s²) of the slope."""
    xy, height = slope_track(slope)
    lon, lat = PLANE.lonlat(xy).T
    track = Track("T", "t.gpx", "track", lon, lat, np.arange(200.0), np.zeros(200, int))
    notes = level_note(xy, height, track, shapely.Point(1, 2))
    assert bool(notes) is (less is not None)
    if less is not None:
        assert f"slopes about {100 * slope:.0f} %" in notes[0].text
        assert f"about {less} % less" in notes[0].text
        assert (notes[0].lon, notes[0].lat) == (1.0, 2.0)


@pytest.mark.parametrize(("height_off", "sure"), [(3.0, True), (3.3, False)])
def test_a_slope_must_stand_out_from_what_heights_are_off(height_off, sure):
    """Off by so much, all together: five times that over the plot's reach, by √(200 / 60)."""
    xy, height = slope_track(0.2)
    height = height + height_off * 2**0.5 * np.cos(5 * np.linspace(0, 2 * np.pi, 200))
    # 5 · 3 / (42.4 · 1.826) is 0.194, less than the slope of 0.2; of 3.3 it is 0.213
    assert (slope_of(xy, height) > 0) is sure


def test_thirty_heights_are_enough_and_none_is_higher_than_nine_thousand():
    xy, height = slope_track(0.3, 30)
    assert slope_of(xy, height) == pytest.approx(0.3)
    xy, height = slope_track(0.3)
    height[::2] = 9500.0
    assert slope_of(xy, height) == pytest.approx(0.3)
