"""The ± of one lap as a whole, each of its terms with its words, and what is said of the sky."""

import math

import numpy as np
import pytest
import shapely

from quietacre.boundary import error, margin
from quietacre.boundary.average import Averaged
from quietacre.boundary.loop import Loop
from quietacre.boundary.margin import (
    Margin,
    Told,
    blocked_sky,
    margin_of,
    sky_note,
    sky_terms,
)
from quietacre.boundary.signs import Signs, Strays, signs_of
from quietacre.boundary.sky import chance_blocked
from quietacre.boundary.walk import interval_of
from quietacre.boundary.why import Term, term
from quietacre.figures import printed
from quietacre.model import Note, Track
from quietacre.units import ACRE_M2

NONE = np.zeros(0)
NAN = float("nan")


def terms_of(found):
    """Return terms with their texts printed and their half-widths to nine digits."""
    return [
        (
            one.code,
            printed(one.text),
            float(f"{one.half_ac:.9g}"),
            round(one.common, 9),
            printed(one.source),
        )
        for one in found
    ]


def made(code, text, sd_m2, common, source):
    return terms_of([term(code, text, sd_m2, common, source)])[0]


# the whole ±


def square(step=5.0, side=100.0, start=(50, 0)):
    """Fixes along the edge of a square, against the clock from its south side or a corner of it."""
    line = shapely.LineString([start, (side, 0), (side, side), (0, side), (0, 0), start])
    at = np.arange(0.0, line.length + step / 2, step)
    return shapely.get_coordinates(shapely.line_interpolate_point(line, at))


OPEN = {"sky": "open", "hdop": 1.9}
DRIFT = "set on simulated walks; Forestry 90, 2017"


@pytest.mark.parametrize("laps", [1.0, 2.0])
def test_the_range_of_a_walk_is_its_drift_edge_floor_lost_fixes_sky_and_chords(laps):
    way = np.column_stack([np.zeros(3), [-12.0, -8, -4]])
    gone = [2, 3, 4, 5, 6]  # 60 m of one side are lost
    lap = np.delete(square(10.0, start=(0, 0)), gone, axis=0)
    xy = np.vstack([way, lap, way[::-1]])
    when = np.r_[0.0:3, 3 + np.delete(np.arange(41.0), gone) * 8.0, 330:333]
    loop = Loop(((3, 3 + len(lap) - 1),), 12.0, (), 0.0, 50.0)
    ring, ring_s = square()[:-1], np.arange(80) * 4.0
    apart = np.full(50, 3.0) if laps == 2 else NONE
    ground = shapely.Polygon(ring)
    jumped = np.zeros(len(xy) + 4, dtype=bool)
    told = Told(jumped, **OPEN)
    found = margin_of(xy, when, loop, Averaged(ring, ring_s, apart, laps), ground, told)

    rows = slice(3, 3 + len(lap))
    signs = signs_of(xy[rows], when[rows], jumped=jumped, hdop=1.9, satellites=NAN)
    seen = (3 / math.sqrt(2), 2.0) if laps == 2 else (None, 0.0)
    blocked = blocked_sky(signs, chance_blocked(signs.strays, "open"), seen[0], "open")
    assert 0.2 < blocked[0] < 0.45
    sigma = error.blend_sigma("open", *seen)
    drift = sigma * error.unit_area_sd(ring, ring_s) / math.sqrt(laps)
    drift *= 0.57 + 3.2 * sigma / 100
    lost = math.hypot(0.25 * 12**2, 60**2 / 12 / laps)
    over = ", over 2.0 laps" if laps == 2 else ""
    assert terms_of(found.terms)[:4] == [
        made("drift", f"drift of the fixes, each off by about {sigma / 0.3048:.0f} ft{over}",
             drift, 0.0, DRIFT),
        made("edge", "the edge as receiver and walker keep it, 2 ft all round, whatever the laps",
             0.62 * 400, 1.0,
             "measured on 348 laps of 12 sources, which spread from 0.2 to 1.3 m"),
        made("floor", "0.22 % of the acres, the least that is believed", 22.0, 1.0,
             "printed: Stephen F. Austin State University, 2013, open ground of 32 ac"),
        made("lost", "straight lines over lost fixes and the gap", lost, 0.0,
             "an edge that bends by an eighth of the line; ours"),
    ]  # fmt: skip
    rest = [
        *sky_terms(*blocked, 400.0, laps),
        *margin._smoothing_terms(signs),
        *margin._sparse_terms(xy[rows], when[rows], laps, planned=False),
    ]
    assert [one.code for one in rest] == ["sky", "smoothing", "sparse"]
    assert found.terms[4:] == tuple(rest)
    assert found._replace(terms=()) == (
        pytest.approx(sigma), (), pytest.approx(math.hypot(drift, lost)), *blocked, "open",
    )  # fmt: skip


def test_a_plan_has_no_sky_no_gap_and_its_corners_are_where_it_turns():
    xy = square(25.0)
    ring = xy[:-1] + (0.0, 0.4) * (np.arange(len(xy) - 1) % 2)[:, None]
    loop = Loop(((0, len(xy) - 1),), 0.0, (), 0.0, 50.0)
    none = np.zeros(len(xy), dtype=bool)
    when = np.full(len(xy), NAN)
    mean = Averaged(ring, np.arange(len(ring)) * 16.0, NONE, 1.0)
    found = margin_of(xy, when, loop, mean, shapely.Polygon(ring), Told(none, planned=True))
    assert (found.blocked, found.shown_by, found.sky) == (0.0, "nothing against it", None)
    assert found.sigma_m == pytest.approx(2.0)
    codes = {one.code: one for one in found.terms}
    assert list(codes) == ["drift", "edge", "floor", "smoothing", "sparse"]
    # of what strays by less than three metres, a straight side is left
    assert codes["edge"].sd_m2 == pytest.approx(0.62 * 400, rel=2e-3)
    assert found.terms[4:] == tuple(margin._sparse_terms(xy, when, 1.0, planned=True))
    assert found.drift_sd_m2 == pytest.approx(codes["drift"].sd_m2)


def test_a_file_that_says_nothing_tells_of_no_sky_and_no_plan():
    told = Told(NONE)
    assert (told.sky, told.planned) == (None, False)
    assert np.isnan([told.hdop, told.satellites]).all()


@pytest.mark.parametrize(
    ("laps", "words"),
    [
        (1.0, ""),
        (1.1, ""),
        (1.15, ", over 1.1 laps"),
        (1.25, ", over 1.2 laps"),
        (3.0, ", over 3.0 laps"),
    ],
)
def test_laps_are_told_from_a_part_of_a_second_on(laps, words):
    said = printed(margin._drift_said(3.048, laps))
    assert said == f"drift of the fixes, each off by about 10 ft{words}"


# the sky


def shown(**more):
    said = {"strays": Strays(NONE, NONE, 1.2, 300.0), "turn_s": NAN, "pace_m_s": 1.2,
            "every_s": 1.0, "jumps": 0.0, "lost": 0.0}  # fmt: skip
    return Signs(**{**said, **more})


def odds(chance):
    return 1 / (1 + (0.43 / chance) ** 10)


@pytest.mark.parametrize(
    ("more", "chance", "sky", "far", "by"),
    [
        ({}, 0.0, None, 0.0, "nothing against it"),
        ({}, 0.5, None, odds(0.5), "nothing against it"),
        ({}, 0.75, None, odds(0.75), "its wandering"),
        ({}, 0.5, "open", odds(0.5) / 2, "its wandering"),
        ({}, 0.9, "canopy", odds(0.9), "your hint"),
        ({}, 0.3, "canopy", 0.8, "your hint"),
        ({"hdop": 2.4}, 0.9, "canopy", 1.0, "the dilution in the file"),
        # jumps and lost fixes of a path that is restless all but wholly
        ({"jumps": 0.02997}, 0.8, None, 0.01997 / 0.02, "its jumps"),
        ({"lost": 0.01999}, 0.8, None, 0.01199 / 0.012, "its lost fixes"),
        ({"jumps": 0.04}, 0.7495, None, 0.2495 / 0.25, "its jumps"),
        ({"lost": 0.04}, 0.7495, None, 0.2495 / 0.25, "its lost fixes"),
        ({"jumps": 0.04, "hdop": 1.9}, 0.4, None, 0.5, "the dilution in the file"),
        ({"lost": 0.04, "satellites": 6.5}, 0.4, None, 0.5, "the few satellites"),
    ],
)
def test_what_tells_most_of_blocked_sky_is_taken_and_named(more, chance, sky, far, by):
    assert blocked_sky(shown(**more), chance, None, sky) == (pytest.approx(far), by)


def test_the_term_of_blocked_sky_tells_how_far_and_what_shows_it():
    source = (
        "measured, 1.5 to 4.8 m; printed, 3 and 4 m: Revue Forestière Française 56(6), 2004; "
        "Stephen F. Austin State University, 2013"
    )
    half = 3.3 * 0.5 * 400
    assert terms_of(sky_terms(0.5, "your hint", 400.0, 1.0)) == [
        made("sky", "sky that trees or walls may block, 5 ft all round, shown by your hint",
             half, 0.5, source)
    ]  # fmt: skip
    assert terms_of(sky_terms(0.5, "nothing against it", 400.0, 2.0)) == [
        made("sky", "sky that trees or walls may block, 5 ft all round, which the recording "
             "cannot show", half * math.sqrt(0.75), 0.5 / 0.75, source)
    ]  # fmt: skip
    assert len(sky_terms(0.02, "x", 400.0, 1.0)) == 1
    assert sky_terms(0.0199, "x", 400.0, 1.0) == []


DRIFT_TERM = Term("drift", "d", 0.3, 0.0, "s")
SKY_TERM = Term("sky", "s", 0.4, 0.5, "s")
HELP = 'where it was open, say so: “Sky” (sky = "open" in property.toml)'


def noted(blocked, by, sky=None, name="W"):
    said = Margin(2.0, (DRIFT_TERM, SKY_TERM), 1.0, blocked, by, sky)
    track = Track(name, "w.gpx", "track", NONE, NONE, NONE, NONE)
    interval = interval_of(10 * ACRE_M2, 0.5 * ACRE_M2 / 2.31)
    return sky_note(said, interval, track, shapely.Point(-86, 33))


def test_sky_that_nobody_spoke_of_is_said_with_what_it_costs():
    (note,) = noted(0.45, "its jumps")
    assert (note.code, note.level, note.source, note.feature, note.lon, note.lat) == (
        "sky-blocked", "info", "w.gpx", "W", -86, 33,
    )  # fmt: skip
    assert printed(note.head) == (
        "the recording looks like one under trees or beside walls, by its jumps, so it is known "
        "to ± 0.5 ac only"
    )
    assert len(note.help) == 1
    assert note.help[0].startswith("where it was open, say so: “")
    assert 'sky = "open" in property.toml)' in note.help[0]
    (unknown,) = noted(0.9, "nothing against it", name="")
    assert isinstance(unknown, Note)
    assert (unknown.code, unknown.feature) == ("sky-unknown", None)
    # without the sky's own term what is left is the drift's
    assert printed(unknown.head) == (
        "the recording is too smooth or too sparse to show whether trees or walls blocked the "
        "sky, so it is known to ± 0.5 ac; under open sky to about ± 0.3"
    )
    assert noted(0.449, "its jumps") == ()
    assert noted(0.9, "its jumps", "open") == ()
    assert noted(0.9, "its jumps", "canopy") == ()


@pytest.mark.parametrize(
    ("sky", "blocked", "seen", "wanted"),
    [(None, 0.45, None, 4.5), (None, 0.449, None, 2 + 0.5 * 0.449 / 0.45),
     ("open", 0.1, None, 2.0), (None, 0.1, 3.0, 3.0), ("canopy", 0.9, 9.0, 9.0),
     (None, 0.0, None, 2.0)],
)  # fmt: skip
def test_how_far_a_fix_strays_is_shown_by_laps_or_guessed_by_the_sky(
    sky, blocked, seen, wanted
):
    found = margin._sigma_m(sky, blocked, seen, 1e12 if seen else 0.0)
    assert found == pytest.approx(wanted, rel=1e-9)


# smoothing, and what lies between fixes


@pytest.mark.parametrize(
    ("turn_s", "every_s", "lag"),
    [(1.5, 1.0, None), (2.0, 1.0, 2.0), (9.0, 5.0, 9.0), (9.0, 5.1, 4.0), (3.0, 9.0, 3.0),
     (NAN, 1.0, None), (NAN, 9.0, None)],
)  # fmt: skip
def test_smoothing_is_reckoned_with_from_a_second_and_a_half_on(turn_s, every_s, lag):
    found = margin._smoothing_terms(shown(turn_s=turn_s, every_s=every_s))
    if lag is None:
        assert found == []
        return
    half_m2 = 1.7 * math.pi * (1.2 * lag) ** 2
    text = f"smoothing, which rounds corners off: its sharpest turns take {lag:.0f} s"
    assert terms_of(found) == [
        made("smoothing", text, half_m2 / 2.31, 1.0, "worked out; set on simulated walks")
    ]


def test_the_ground_between_fixes_counts_by_the_turns_at_both_ends_of_each_chord():
    """A triangle of 30, 40 and 50 m: it turns by 90, 126.9 and 143.1 degrees."""
    xy = np.array([(0.0, 0), (40, 0), (40, 30)])
    turns = [math.pi - math.atan2(30, 40), math.pi / 2, math.pi - math.atan2(40, 30)]
    sizes = [40, 30, 50]
    between = [
        size**2 * (turns[n] + turns[(n + 1) % 3]) / 2 / 12 for n, size in enumerate(sizes)
    ]
    each = math.hypot(*between)
    for when, planned, whole in (
        (np.arange(3) * 30.0, False, 0.25),
        (np.arange(3) * 30.0, True, 0.5),
        (np.full(3, NAN), False, 0.5),
    ):
        sd = math.hypot(whole * sum(between), each)
        wanted = made("sparse", "what lies between fixes 131 ft apart", sd / math.sqrt(3), 0.5,
                      "worked out: chord² × turn ÷ 12")  # fmt: skip
        for corners in (xy, xy[::-1] * (1, -1)):
            found = margin._sparse_terms(corners, when, 3.0, planned)
            assert terms_of(found)[0][2] == pytest.approx(wanted[2])
            assert terms_of(found)[0][:2] == wanted[:2]
            assert terms_of(found)[0][3:] == wanted[3:]


@pytest.mark.parametrize(("step", "hidden"), [(6.0, False), (6.5, True)])
def test_fixes_of_six_metres_and_less_hide_nothing(step, hidden):
    xy = np.array([(0.0, 0), (step, 0), (step, step), (0, step)])
    assert bool(margin._sparse_terms(xy, np.arange(4.0), 1.0, planned=False)) is hidden
