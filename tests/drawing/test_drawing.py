"""Drawing operations: ground split, cut, joined, clipped, led along a neighbor, straightened."""

import numpy as np
import pytest
import random_drawings
import random_keeping
import shapely
import shapely.ops
from in_units import both

from quietacre.acreage.equal_area import area_m2
from quietacre.acreage.frame import LocalFrame
from quietacre.drawing.cut import clip, hole, split, without
from quietacre.drawing.follow import follow
from quietacre.drawing.join import join
from quietacre.drawing.sheet import acres_of, line_of, place_of, polygons_of, rings_of
from quietacre.drawing.stretch import straighten, strip_along, trim
from quietacre.drawing.take_in import take_in
from quietacre.errors import BadInput
from quietacre.figures import BEFORE, printed
from quietacre.units import ACRE_M2, FT_M

FRAME = LocalFrame(-86.3, 33.2)


def at(x_ft, y_ft):
    lon, lat = FRAME.lonlat(np.array([x_ft * FT_M]), np.array([y_ft * FT_M]))
    return (float(lon[0]), float(lat[0]))


def ground(*corners_ft, holes=()):
    return shapely.Polygon(
        [at(*c) for c in corners_ft], [[at(*c) for c in h] for h in holes]
    )


def line(*places_ft):
    return shapely.LineString([at(*c) for c in places_ft])


def feet(shape):
    xy = np.column_stack(FRAME.xy(*shapely.get_coordinates(shape).T)) / FT_M
    return (np.round(xy, 1) + 0.0).tolist()


def box(west, south, east, north):
    return ground((west, south), (east, south), (east, north), (west, north))


FIELD = box(0, 0, 660, 660)


@pytest.mark.parametrize("first", range(1, 201, 25))
def test_random_scripts_keep_acres_and_valid_rings(first):
    done = sum(
        (random_drawings.run_script(seed) for seed in range(first, first + 25)),
        start=_none(),
    )
    assert done["split"] > 5
    assert done["refused"] > 5


@pytest.mark.parametrize("first", [1, 7])
def test_random_scripts_kept_in_a_folder_go_back_to_the_byte(first, tmp_path):
    done = sum(
        (random_keeping.run_script(seed, tmp_path) for seed in range(first, first + 6)),
        start=_none(),
    )
    assert done["split"] > 0
    assert done["undo"] > 5
    assert done["refused"] > 5


def _none():
    return random_drawings.Counter()


def test_a_split_and_a_join_give_the_acres_back_on_edges_of_a_mile():
    # along a parallel at 60 N a straight chord lies 5 in. off the geodesic
    south = shapely.Polygon([(10.0, 60.0), (10.03, 60.0), (10.03, 60.015), (10.0, 60.015)])
    cut = shapely.LineString([(10.011, 59.9), (10.013, 60.1)])
    made = split(south, cut)
    before = acres_of([south])[0]
    assert sum(made.acres) == pytest.approx(before, rel=1e-9)
    straight = list(shapely.ops.split(south, cut).geoms)
    assert (
        abs(float(area_m2(np.array(straight, dtype=object)).sum()) / ACRE_M2 / before - 1)
        > 1e-8
    )
    again = join(made.pieces)
    assert again.acres[0] == pytest.approx(before, rel=1e-9)
    assert again.pieces[0].geom_type == "Polygon"
    assert not again.pieces[0].interiors


def test_corners_that_nothing_moved_keep_their_digits():
    made = split(FIELD, line((-10, 300), (700, 310)))
    own = set(map(tuple, shapely.get_coordinates(FIELD).tolist()))
    back = {
        tuple(xy) for piece in made.pieces for xy in shapely.get_coordinates(piece).tolist()
    }
    assert own <= back
    assert len(back - own) == 2


def test_a_line_across_a_bay_gives_three_pieces_and_says_their_acres():
    bay = ground(
        (0, 0),
        (600, 0),
        (600, 400),
        (400, 400),
        (400, 100),
        (200, 100),
        (200, 400),
        (0, 400),
    )
    made = split(bay, line((-20, 250), (620, 250)))
    assert len(made.pieces) == 3
    assert made.acres == tuple(sorted(made.acres, reverse=True))
    assert "3 pieces" in made.said[0]
    assert sum(made.acres) == pytest.approx(made.before_ac, rel=1e-9)


def test_a_line_through_a_hole_opens_it_and_parts_it_misses_stay():
    holed = ground((0, 0), (600, 0), (600, 600), (0, 600),
                   holes=[[(200, 200), (400, 200), (400, 400), (200, 400)]])  # fmt: skip
    far = box(900, 0, 1000, 100)
    made = split(shapely.MultiPolygon([holed, far]), line((-9, 300), (609, 300)))
    assert [piece.geom_type for piece in made.pieces] == ["MultiPolygon", "Polygon"]
    assert not any(
        part.interiors for piece in made.pieces for part in shapely.get_parts(piece)
    )
    assert sum(made.acres) == pytest.approx(made.before_ac, rel=1e-9)
    assert "1 of its parts" in made.said[-1]


def test_a_line_that_stops_just_short_is_carried_on_and_said():
    made = split(FIELD, line((2, 300), (658, 300)))
    assert len(made.pieces) == 2
    assert "short" in made.said[1]


@pytest.mark.parametrize(
    ("cut", "word"),
    [(line((-9, 300), (300, 300)), "ends inside"), (line((-9, -9), (-5, 700)), "does not meet"),
     (line((0, 0), (660, 0)), "does not cross"), (line((-9, 1), (1, -9)), "does not"),
     (line((-9, 0), (300, 400), (300, 0), (0, 400)), "crosses itself"),
     (line((-1, 0.5), (0.5, -1)), "square foot|does not")],
)  # fmt: skip
def test_lines_that_do_not_split_are_refused_in_one_line(cut, word):
    with pytest.raises(BadInput, match=word) as refused:
        split(FIELD, cut)
    assert "\n" not in str(refused.value)


def test_a_hole_takes_its_acres_and_one_over_the_edge_says_so():
    made = hole(FIELD, box(100, 100, 308.7, 308.7))
    assert made.before_ac - made.acres[0] == pytest.approx(1.0, abs=1e-3)
    assert len(made.pieces[0].interiors) == 1
    over = hole(FIELD, box(600, 100, 700, 200))
    assert not over.pieces[0].interiors
    assert "runs over the edge" in over.said[1]
    with pytest.raises(BadInput, match="outside"):
        hole(FIELD, box(700, 0, 800, 10))
    with pytest.raises(BadInput, match="nothing is left"):
        hole(FIELD, box(-10, -10, 700, 700))


def test_pieces_that_do_not_touch_are_refused_with_the_gap():
    with pytest.raises(BadInput, match="12 ft lie between"):
        join([FIELD, box(672, 0, 900, 660)])
    with pytest.raises(BadInput, match="corner only"):
        join([FIELD, box(660, 660, 900, 900)])
    with pytest.raises(BadInput, match="one piece"):
        join([FIELD])


def test_a_join_leaves_no_sliver_where_corners_of_one_lie_on_the_others_edge():
    comb = ground(
        (660, 0), (900, 0), (900, 660), (660, 660), (660.02, 500), (659.98, 333), (660, 100)
    )
    made = join([FIELD, comb])
    assert made.pieces[0].geom_type == "Polygon"
    assert not made.pieces[0].interiors
    assert made.acres[0] == pytest.approx(made.before_ac, rel=1e-4)
    twice = join([FIELD, box(600, 0, 900, 660)])
    assert "count once now" in twice.said[1]


def test_a_join_keeps_a_thin_hole_that_a_piece_had_before():
    slit = [(100, 300), (200, 300), (200, 300.05), (100, 300.05)]  # 100 ft by half an inch
    holed = ground((0, 0), (660, 0), (660, 660), (0, 660), holes=[slit])
    made = join([holed, box(660, 0, 900, 660)])
    assert len(made.pieces[0].interiors) == 1
    assert made.acres[0] == pytest.approx(made.before_ac, rel=1e-9)


def test_clip_keeps_what_lies_within_the_line():
    made = clip(FIELD, box(-50, -50, 330, 900))
    assert made.acres[0] == pytest.approx(5.0, abs=0.01)
    assert "5.0" in printed(made.said[0])
    assert clip(FIELD, box(-50, -50, 900, 900)).said == (
        "all of it lies within the property line",
    )
    with pytest.raises(BadInput, match="nothing is left"):
        clip(FIELD, box(700, 0, 900, 100))
    road = strip_along(line((300, -50), (300, 700)), 20)
    left = without(FIELD, road.pieces)
    assert left.before_ac - left.acres[0] == pytest.approx(660 * 20 / 43560, abs=1e-3)
    assert "2 parts" in left.said[1]


def test_an_edge_follows_its_neighbor_and_the_moved_acres_are_said():
    other = ground((668, 0), (1200, 0), (1200, 660), (664, 660), (670, 330))
    made = follow(FIELD, [other], 20)
    assert made.moved_ac == pytest.approx(660 * 7.7 / 43560, abs=0.03)
    assert "taken in" in made.said[0]
    gap = shapely.intersection(made.pieces[0], other).area
    assert gap <= 1e-12
    joined = join([made.pieces[0], other])
    assert joined.acres[0] == pytest.approx(joined.before_ac, rel=1e-6)
    assert [670.0, 330.0] in feet(made.pieces[0])  # the neighbor's corner amid a long edge
    again = follow(made.pieces[0], [other], 20)
    assert again.moved_ac == 0.0
    with pytest.raises(BadInput, match="40 ft away"):
        follow(FIELD, [box(700, 0, 800, 660)], 20)


def test_a_neighbor_that_turns_away_is_not_followed_off():
    bend = ground((668, 0), (1200, 0), (1200, 660), (668, 660), (1100, 330))
    made = follow(FIELD, [bend], 15)
    assert made.acres[0] == pytest.approx(made.before_ac, rel=0.01)
    assert [1100.0, 330.0] not in feet(made.pieces[0])


def test_a_notch_between_two_places_is_cut_off_and_the_other_way_can_be_asked():
    notched = ground(
        (0, 0),
        (660, 0),
        (660, 660),
        (340, 660),
        (340, 600),
        (320, 600),
        (320, 660),
        (0, 660),
    )
    made = straighten(notched, at(345, 660), at(315, 660))
    assert made.acres[0] == pytest.approx(10.0, abs=0.01)
    assert "more" in made.said[0]
    assert straighten(notched, at(315, 660), at(345, 660)).acres == pytest.approx(
        made.acres
    )
    with pytest.raises(BadInput, match="one"):
        straighten(FIELD, at(0, 0), at(0.2, 0.2))
    with pytest.raises(BadInput, match="nothing|cross"):
        straighten(FIELD, at(0, 0), at(330, 0), long_way=True)
    with pytest.raises(BadInput, match="from the edge"):
        straighten(FIELD, at(0, 0), at(330, 330))


def test_spurs_and_notches_are_trimmed_by_their_width_and_sharp_corners_stay():
    odd = ground((0, 0), (660, 0), (660, 660), (340, 660), (340, 760), (332, 760), (332, 660),
                 (200, 660), (200, 560), (194, 560), (194, 660), (0, 660))  # fmt: skip
    made = trim(odd, spur_ft=12, notch_ft=12)
    assert made.acres[0] == pytest.approx(10.0, abs=0.01)
    assert [said.split(" narrower")[0] for said in made.said] == ["1 spur", "1 notch"]
    assert [660.0, 660.0] in feet(made.pieces[0])
    (said,) = trim(FIELD, spur_ft=12).said
    assert printed(said) == "no spur narrower than 12 ft cut"
    with pytest.raises(BadInput, match="nothing"):
        trim(box(0, 0, 600, 8), spur_ft=20)


def test_a_line_with_a_width_is_ground():
    made = strip_along(line((0, 0), (1000, 0), (1000, 500)), 16)
    assert made.acres[0] == pytest.approx(1500 * 16 / 43560, rel=0.02)
    assert "1,500 ft long, 16 ft wide" in printed(made.said[0])
    for width in (0.0, -3.0, 2000.0, float("nan")):
        with pytest.raises(BadInput):
            strip_along(line((0, 0), (1000, 0)), width)


@pytest.mark.parametrize(
    "rings",
    [None, [], [[]], [[[]]], [[[[0, 0], [1, 1]]]], "x", [[[[0, 0], [1, "a"], [1, 1]]]],
     [[[[0, 0], [1, 1], [1, 0], [0, 1]]]], [[[[0, 0], [1, 0], [1, float("nan")]]]],
     [[[[0, 0], [1, 0], [1, 95]]]], [[[[0, 0, 0], [1, 0, 0], [1, 1, 0]]]], {"a": 1}],
)  # fmt: skip
def test_rings_that_are_none_are_refused_in_one_line(rings):
    with pytest.raises(BadInput) as refused:
        polygons_of(rings)
    assert "\n" not in str(refused.value)
    with pytest.raises(BadInput):
        line_of(rings)


def test_rings_come_back_as_they_went_in():
    told = [
        [
            [(0.0, 0.0), (0.01, 0.0), (0.01, 0.01)],
            [(0.006, 0.002), (0.008, 0.002), (0.008, 0.004)],
        ]
    ]
    assert rings_of(polygons_of(told)) == told


def test_ground_across_the_antimeridian_is_split_and_joined():
    field = shapely.Polygon(
        [(179.99, 51.0), (180.01, 51.0), (180.01, 51.01), (179.99, 51.01)]
    )
    made = split(field, shapely.LineString([(179.0, 51.004), (181.0, 51.005)]))
    assert sum(made.acres) == pytest.approx(made.before_ac, rel=1e-9)
    assert join(made.pieces).acres[0] == pytest.approx(made.before_ac, rel=1e-9)


def test_a_place_is_taken_into_the_edge_that_is_nearest_and_all_else_stays():
    field = ground(
        (0, 0), (600, 0), (600, 600), (0, 600), holes=[[(200, 200), (300, 200), (300, 300)]]
    )
    made = take_in(field, at(300, -60))
    (piece,) = made.pieces
    assert feet(piece)[:3] == [[0, 0], [300, -60], [600, 0]]
    assert len(piece.interiors) == 1
    assert made.acres[0] == pytest.approx(made.before_ac + 600 * 60 / 2 / 43_560, rel=1e-4)
    of_hole = take_in(field, at(250, 190)).pieces[0]
    assert len(of_hole.interiors[0].coords) == 5
    assert of_hole.exterior.equals(field.exterior)
    assert tuple(piece.exterior.coords[1]) == at(300, -60), "with all of its digits"
    fields = shapely.MultiPolygon([
        ground((0, 0), (600, 0), (600, -300), (0, -300)), ground((100, 20), (120, 200), (80, 200)),
    ])  # fmt: skip
    with pytest.raises(BadInput):
        take_in(fields, at(300, 100))


@pytest.mark.parametrize("place", [None, [], [1], "x", [float("nan"), 1], [0, 95]])
def test_a_place_that_is_none_is_refused_in_one_line(place):
    with pytest.raises(BadInput) as refused:
        place_of(place)
    assert "\n" not in str(refused.value)


def refused(make):
    with pytest.raises(BadInput) as problem:
        make()
    return problem.value.marked


def test_what_is_said_of_a_drawing_is_in_us_or_in_metric_units():
    odd = box(0, 0, 660, 660).union(box(660, 300, 760, 310))
    beside = box(665, -50, 900, 700)
    said = [
        *split(FIELD, line((-10, 300), (659, 300))).said,
        *hole(FIELD, box(100, 100, 300, 300)).said,
        *without(FIELD, [box(-50, 100, 700, 130)]).said,
        *clip(FIELD, box(-50, -50, 330, 900)).said,
        *follow(FIELD, [beside], 10.5).said,
        *join([FIELD, box(600, 0, 900, 660)]).said,
        *straighten(odd, at(660, 290), at(660, 320)).said,
        *trim(odd, spur_ft=12, notch_ft=12.5).said,
        *strip_along(line((0, 0), (1000, 0)), 16).said,
        refused(lambda: split(FIELD, line((-10, 0.001), (670, 0.001)))),
        refused(lambda: split(FIELD, line((800, 0), (900, 0)))),
        refused(lambda: follow(FIELD, [box(800, 0, 900, 100)], 10)),
        refused(lambda: join([FIELD, box(800, 0, 900, 100)])),
        refused(lambda: straighten(FIELD, at(0, 0), at(900, 0))),
        refused(lambda: strip_along(line((0, 0), (10, 0)), 16)),
    ]
    us, metric = both([text for text in said if BEFORE in text])
    assert us[0] == "split into 2 pieces: 5.45 ac, 4.55 ac"
    assert metric[0] == "split into 2 pieces: 2.21 ha, 1.84 ha"
    assert us[1] == "the line stopped up to 3 ft short, and is carried on"
    assert any("cuts off less than a square foot" in text for text in us)
    assert "no notch narrower than 12.5 ft" in us
    assert "no notch narrower than 3.81 m" in metric
    assert "1,000 ft long, 16 ft wide, 0.37 ac" in us
    assert "305 m long, 4.88 m wide, 0.15 ha" in metric
