"""The ± of one walk, term by term.

References
----------
.. [1] "Accuracy Assessment of Perimeter and Area Calculations", Stephen F. Austin State
   University, 2013 (abstract): areas of about 32 ac, young pine, off by 0.22 % (RMSE); of about
   28 ac, older pine, by 4.67 %, which is 4 m of edge.
.. [2] The and others, Revue Forestière Française 56(6), 2004 (abstract): a hectare off by ± 1.6 %
   in the open, ± 12 % under trees, which are 0.4 and 3 m of edge.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from quietacre.boundary import error
from quietacre.boundary.lost import chords_over_lost, evenly_saved
from quietacre.boundary.signs import Signs, signs_of
from quietacre.boundary.sky import chance_blocked
from quietacre.boundary.why import Term, half_words, term, total_sd_m2
from quietacre.figures import acres, feet
from quietacre.model import Note
from quietacre.units import ACRE_M2, FT_M
from quietacre.words import box_and_line

if TYPE_CHECKING:
    import shapely
    from numpy.typing import NDArray

    from quietacre.boundary.average import Averaged
    from quietacre.boundary.loop import Loop
    from quietacre.boundary.walk import Interval
    from quietacre.model import Track

    FloatArray = NDArray[np.float64]
    Mask = NDArray[np.bool_]

#: How far the whole edge lies off, one deviation, whatever the laps. [m]
EDGE_M = 0.62
MEASURED_EDGE = "measured on 348 laps of 12 sources, which spread from 0.2 to 1.3 m"
#: The same under blocked sky, and the share of it that every lap and day has. [m]
BLOCKED_M, BLOCKED_COMMON = 3.3, 0.5
MEASURED_BLOCKED = (
    "measured, 1.5 to 4.8 m; printed, 3 and 4 m: Revue Forestière Française 56(6), 2004; "
    "Stephen F. Austin State University, 2013"
)
#: No acreage of a walk is known better than this share of it, one deviation [1].
LEAST_SHARE = 0.0022
#: A chance of blocked sky, by how the path strays, counts for a half at the first, the more steeply the
#: larger the second: from about 2 in 5 on it is reckoned with. Set on simulated walks, so that the ±
#: holds in 9 of 10 under blocked sky that nothing else shows.
HALF_CHANCE, STEEP = 0.43, 10.0
#: From this chance on the path shows blocked sky; below it, it cannot be told to.
SHOWS_BLOCKED = 0.75
#: Laps so far apart [m] stand for sky that is as likely blocked as open; and how soon they do (smaller
#: is sooner). Set on simulated walks.
HALF_LAPS_M, SPREAD = 4.2, 0.12
#: From the first to the second, jumps, lost fixes, dilution and satellites tell of blocked
#: sky. Assumption: open sky has dilutions of about 1 and 8 satellites or more.
JUMPS, LOST, HDOP, SATELLITES = (0.01, 0.03), (0.008, 0.02), (1.4, 2.4), (8.0, 5.0)
#: Jumps and lost fixes count where the chance of blocked sky is more than the first, and wholly
#: from the second on: a calm path jumps and pauses for other causes.
RESTLESS = (0.5, 0.75)
#: What a hint of trees is worth at least, and how much of what the track shows stands against "open".
HINT, AGAINST_OPEN = 0.8, 0.5
WANDERING = "its wandering"
UNKNOWN = "nothing against it"
#: Sky that is blocked so far is said, and widens how far a fix is told to stray.
SAID = 0.45
#: Smoothing shorter than this does no harm; how much of what it may take away is in the ±;
#: between sparser fixes than this, no more than so much can be told of it. [s]
HARMLESS_S, SMOOTHED, SPARSE_S, SPARSE_LAG_S = 1.5, 1.7, 5.0, 4.0
#: How far off the ground between a chord and its arc may be, all together and one by one.
BETWEEN, BETWEEN_EACH = 0.25, 1.0


class Margin(NamedTuple):
    """How far a fix strays [m], one axis; the terms of the ±; what was seen of the sky.

    ``drift_sd_m2`` is what drift and lost fixes alone make. ``blocked`` is 0 for open sky to
    1, ``shown_by`` what says so, and ``sky`` the person's hint.
    """

    sigma_m: float
    terms: tuple[Term, ...]
    drift_sd_m2: float
    blocked: float
    shown_by: str
    sky: str | None


def margin_of(
    xy: FloatArray, when: FloatArray, loop: Loop, mean: Averaged, polygon_xy: shapely.Polygon,
    told: Told,
) -> Margin:  # fmt: skip
    """Return the ± of a walk, term by term.

    Parameters
    ----------
    xy, when : cleaned fixes, shapes (n, 2) [m] and (n,) [s].
    loop, mean, polygon_xy : its laps, their mean, and the ground it makes. [m]
    told : what the file and the person say.
    """
    first, last = loop.laps[0]
    signs = signs_of(
        xy[first : last + 1], when[first : last + 1],
        jumped=told.jumped, hdop=told.hdop, satellites=told.satellites,
    )  # fmt: skip
    seen, looks = error.sigma_from_laps(mean.apart_m) if len(mean.apart_m) else (None, 0.0)
    chance = 0.0 if told.planned else chance_blocked(signs.strays, told.sky)
    blocked, shown_by = blocked_sky(signs, chance, seen, told.sky)
    sigma = _sigma_m(told.sky, blocked, seen, looks)
    unit = error.unit_area_sd(mean.ring, mean.time_s)
    sd = error.widened(sigma * unit / mean.laps**0.5, sigma, polygon_xy.area)
    chords = chords_over_lost(xy, when, loop.laps[0]) / mean.laps
    lost = float(np.hypot(0.25 * loop.gap_m**2, chords))
    edge_m = float(polygon_xy.exterior.simplify(error.EDGE_STEP_M).length)
    terms = [
        term("drift", _drift_said(sigma, mean.laps), sd, 0.0, "set on simulated walks; "
             "Forestry 90, 2017"),
        term("edge", f"the edge as receiver and walker keep it, {feet(EDGE_M / FT_M)} all round, "
             "whatever the laps", EDGE_M * edge_m, 1.0, MEASURED_EDGE),
        term("floor", f"{100 * LEAST_SHARE:.2f} % of the acres, the least that is believed",
             LEAST_SHARE * polygon_xy.area, 1.0, "printed: Stephen F. Austin State University, "
             f"2013, open ground of {acres(32, 0)}"),
    ]  # fmt: skip
    if lost:
        terms.append(term("lost", "straight lines over lost fixes and the gap", lost, 0.0,
                          "an edge that bends by an eighth of the line; ours"))  # fmt: skip
    terms += sky_terms(blocked, shown_by, edge_m, mean.laps)
    terms += _smoothing_terms(signs)
    terms += _sparse_terms(
        xy[first : last + 1], when[first : last + 1], mean.laps, told.planned
    )
    return Margin(
        sigma, tuple(terms), float(np.hypot(sd, lost)), blocked, shown_by, told.sky
    )


def sky_note(
    margin: Margin, interval: Interval, track: Track, middle: shapely.Point
) -> tuple[Note, ...]:
    """Return the note that the sky was or may have been blocked, where nobody said so."""
    if margin.blocked < SAID or margin.sky is not None:
        return ()
    half = (interval.acres_high - interval.acres_low) / 2.0
    if margin.shown_by == UNKNOWN:
        terms = [one for one in margin.terms if one.code != "sky"]
        open_ac = error.T_95 * total_sd_m2(terms) / ACRE_M2
        code, text = (
            "sky-unknown",
            (
                "the recording is too smooth or too sparse to show whether trees or walls blocked the "
                f"sky, so it is known to ± {half_words(half)}; under open sky to about ± {half_words(open_ac, bare=True)}"
            ),
        )
    else:
        code, text = (
            "sky-blocked",
            (
                f"the recording looks like one under trees or beside walls, by {margin.shown_by}, "
                f"so it is known to ± {half_words(half)} only"
            ),
        )
    return (
        Note(
            code, text, "info", track.source, track.name or None, middle.x, middle.y,
            help=("where it was open, say so: " + box_and_line("area", "sky", 'sky = "open"'),),
        ),
    )  # fmt: skip


class Told(NamedTuple):
    """What a file and a person say of a walk's errors; NaN and None where they say nothing."""

    jumped: Mask
    sky: str | None = None
    hdop: float = float("nan")
    satellites: float = float("nan")
    planned: bool = False


def _sigma_m(sky: str | None, blocked: float, seen_m: float | None, looks: float) -> float:
    """Return how far a fix strays [m]: as laps show, or a lap's sky, blocked so far, makes likely."""
    if blocked >= SAID:
        return max(error.blend_sigma(sky, seen_m, looks), error.SIGMA_M["canopy"])
    if sky is not None or seen_m is not None:
        return error.blend_sigma(sky, seen_m, looks)
    open_m, any_m = error.SIGMA_M["open"], error.SIGMA_M[None]
    return open_m + (any_m - open_m) * blocked / SAID


def _drift_said(sigma: float, laps: float) -> str:
    over = "" if laps < 1.15 else f", over {laps:.1f} laps"  # noqa: PLR2004 - one lap
    return f"drift of the fixes, each off by about {feet(sigma / FT_M)}{over}"


def _ramp(value: float, ends: tuple[float, float]) -> float:
    """Return 0 at the first end, 1 at the second, 0 where nothing is known."""
    if not np.isfinite(value):
        return 0.0
    return float(np.clip((value - ends[0]) / (ends[1] - ends[0]), 0.0, 1.0))


def _likely(laps_m: float) -> float:
    """Return how far laps that lie so far apart tell of blocked sky. [m]"""
    return 0.0 if laps_m <= 0 else 1.0 / (1.0 + (HALF_LAPS_M / laps_m) ** (1.0 / SPREAD))


def counted(chance: float) -> float:
    """Return how far a chance of blocked sky is reckoned with, 0 to 1."""
    share = chance**STEEP
    return float(share / (share + HALF_CHANCE**STEEP))


def blocked_sky(
    signs: Signs, chance: float, laps_m: float | None, sky: str | None
) -> tuple[float, str]:
    """Return how far the sky was blocked, 0 to 1, and what says so most.

    Parameters
    ----------
    signs : what the recording shows.
    chance : how likely the sky was blocked, by how the path strays.
    laps_m : how far a fix strays by its laps, None of one lap; laps that lie together tell
        nothing, as they share what blocked sky does. [m]
    sky : "open", "canopy" or None, the person's hint.
    """
    restless = _ramp(chance, RESTLESS)
    shown = sky is not None or chance >= SHOWS_BLOCKED
    voices = {
        WANDERING if shown else UNKNOWN: counted(chance),
        "its laps, which lie apart": _likely(laps_m or 0.0),
        "its jumps": restless * _ramp(signs.jumps, JUMPS),
        "its lost fixes": restless * _ramp(signs.lost, LOST),
        "the dilution in the file": _ramp(signs.hdop, HDOP),
        "the few satellites": _ramp(signs.satellites, SATELLITES),
    }
    if sky == "open":
        voices = {name: AGAINST_OPEN * value for name, value in voices.items()}
    if sky == "canopy":
        voices["your hint"] = max(HINT, *voices.values())
        del voices[WANDERING]
    best = max(voices, key=lambda name: voices[name])
    return voices[best], best


def sky_terms(blocked: float, shown_by: str, edge_m: float, laps: float) -> list[Term]:
    """Return the term of blocked sky, none under open sky."""
    if blocked < 0.02:  # noqa: PLR2004 - open
        return []
    variance = BLOCKED_COMMON + (1.0 - BLOCKED_COMMON) / laps
    sd = BLOCKED_M * blocked * edge_m * variance**0.5
    why = (
        "which the recording cannot show" if shown_by == UNKNOWN else f"shown by {shown_by}"
    )
    wide = feet(BLOCKED_M * blocked / FT_M)
    text = f"sky that trees or walls may block, {wide} all round, {why}"
    return [term("sky", text, sd, BLOCKED_COMMON / variance, MEASURED_BLOCKED)]


def _smoothing_terms(signs: Signs) -> list[Term]:
    """Return the term of a receiver that smooths its fixes: corners and bends lose ground.

    Fixes that follow the walker by a time L, at a pace v, lose π (v L)² of a loop.
    """
    lag = signs.turn_s
    if signs.every_s > SPARSE_S:
        lag = min(lag, SPARSE_LAG_S)
    if not lag > HARMLESS_S:  # nor where no turn is known
        return []
    half = SMOOTHED * np.pi * (signs.pace_m_s * lag) ** 2
    text = f"smoothing, which rounds corners off: its sharpest turns take {lag:.0f} s"
    return [
        term(
            "smoothing", text, half / error.T_95, 1.0, "worked out; set on simulated walks"
        )
    ]


def _sparse_terms(
    xy: FloatArray, when: FloatArray, laps: float, planned: bool
) -> list[Term]:
    """Return the term of ground between fixes: what chords cut off, or arcs guess at."""
    step = np.diff(np.vstack([xy, xy[:1]]), axis=0)
    size = np.hypot(*step.T)
    heading = np.arctan2(step[:, 1], step[:, 0])
    other = np.diff(heading, prepend=heading[-1])
    turn = np.abs(np.arctan2(np.sin(other), np.cos(other)))  # half a turn at most
    between = size**2 * 0.5 * (turn + np.roll(turn, -1)) / 12.0
    far = size > error.EDGE_STEP_M * 2.0
    between = between * far
    # drawn corners are where the edge turns; between fixes saved by time it turns anywhere
    known = not planned and evenly_saved(xy, when)
    whole = BETWEEN if known else 0.5
    sd = float(np.hypot(whole * between.sum(), BETWEEN_EACH * np.sqrt((between**2).sum())))
    if not sd:
        return []
    text = f"what lies between fixes {feet(float(np.median(size)) / FT_M)} apart"
    return [term("sparse", text, sd / laps**0.5, 0.5, "worked out: chord² × turn ÷ 12")]
