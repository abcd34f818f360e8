"""Strips of a whole property: merged, judged, with law, tapes, temperatures and passes."""

import datetime as dt
import itertools
import json
import math

import numpy as np
import pytest
import shapely

from quietacre.acreage.equal_area import area_m2
from quietacre.acreage.frame import LocalFrame
from quietacre.build import plan_property
from quietacre.errors import SettingsProblem
from quietacre.figures import printed
from quietacre.measure.property import measure_property
from quietacre.strip.wanted import FIREBREAK_FT, FIREBREAK_GUIDANCE

FRAME = LocalFrame(-87.6, 34.2)
TODAY = dt.date(2027, 1, 2)


def write(folder, areas, *, head="", extra=""):
    """Write an invented property; areas are (name, kind, metre polygon, settings)."""
    (folder / "drawn").mkdir()
    text = f'[property]\nname = "Elm Turn"\n{head}\n[[quiet]]\nname = "nesting"\nstart = "05-15"\nend = "07-05"\n'
    for number, (name, kind, shape, more) in enumerate(areas):
        ground = FRAME.to_lonlat(np.array([shape], dtype=object))[0]
        feature = {
            "type": "Feature",
            "properties": {},
            "geometry": json.loads(shapely.to_geojson(ground)),
        }
        path = f"drawn/{number}.geojson"
        (folder / path).write_text(
            json.dumps({"type": "FeatureCollection", "features": [feature]})
        )
        text += f'[[area]]\nname = "{name}"\nkind = "{kind}"\nfrom = "{path}"\n{more}\n'
    (folder / "property.toml").write_text(text + extra)
    return folder


def built(folder):
    return plan_property(measure_property(folder), today=TODAY)


PATCH = shapely.box(-40, -40, 40, 40)
KUDZU = 'vine = "kudzu"'


def test_a_rose_is_not_judged_by_kudzu(tmp_path):
    """Its strip is cut by the fortnight, and is not said to fail at kudzu's growth."""
    rose = 'vine = "multiflora rose"\nstrip = { width_ft = 15.0 }'
    kudzu = 'vine = "kudzu"\nstrip = { width_ft = 15.0 }'
    far = shapely.box(400, -40, 440, 40)
    folder = write(tmp_path, [("R", "patch", PATCH, rose), ("K", "patch", far, kudzu)])
    report, _ = built(folder)
    of_rose, of_kudzu = report["strips"]
    codes = {note["code"] for note in of_rose["notes"]}
    assert "runner-control-only" in codes
    assert not codes & {"strip-does-not-hold", "width-below-central"}
    assert of_rose["remedies"] == []
    assert of_rose["cut_every_days"] == 14 > of_kudzu["cut_every_days"]
    assert "strip-does-not-hold" in {note["code"] for note in of_kudzu["notes"]}


def test_patches_nearer_than_two_widths_share_a_strip(tmp_path):
    near, far = shapely.box(60, -40, 100, 40), shapely.box(400, -40, 440, 40)
    folder = write(tmp_path, [("A", "patch", PATCH, KUDZU), ("B", "patch", near, KUDZU),
                              ("C", "patch", far, KUDZU)])  # fmt: skip
    report, layers = built(folder)
    first, second = report["strips"]
    assert (first["of"], first["also_of"]) == ("a01", ["a02"])
    assert "strips-merged" in {note["code"] for note in first["notes"]}
    assert second["of"] == "a03"
    # 80 m squares and one of 40 m by 80 m: their edges, and a ± no larger than that of a
    # drawn edge, which has none
    assert first["length_ft"] == pytest.approx((320 + 240) / 0.3048, abs=0.5)
    assert first["acres_high"] - first["acres_low"] == pytest.approx(0.0, abs=1e-6)
    assert first["stations"]["pass_ft"] == pytest.approx(first["length_ft"], abs=0.5)
    ring = layers["strips"].geometry.iloc[0]
    gap = FRAME.to_lonlat(np.array([shapely.box(40.1, -40, 59.9, 40)]))[0]
    assert gap.difference(ring).area < 1e-12
    for patch in layers["areas"].geometry:
        assert ring.intersection(patch).area < 1e-13
    both = layers["strips"].geometry
    assert both.iloc[0].intersection(both.iloc[1]).area == 0


SHUT = """
[[quiet]]
name = "poults"
start = "06-25"
end = "07-25"
keeps_out = ["B"]
[work]
weekdays = ["sat", "sun"]
"""


def two_seasons(folder, gap_m, more=()):
    """Write two patches, only one of them shut by a season that goes on after the other's."""
    folder.mkdir()
    other = shapely.box(40 + gap_m, -40, 80 + gap_m, 40)
    return built(write(folder, [("A", "patch", PATCH, KUDZU), ("B", "patch", other, KUDZU), *more],
                       head='state = "AL"', extra=SHUT))[0]  # fmt: skip


def test_a_shared_strip_is_as_wide_as_the_seasons_of_all_its_patches_ask(tmp_path):
    """Shut from May 15 to July 25 for the strip of both, not to July 5 as for A alone."""
    alone = two_seasons(tmp_path / "far", 400)["strips"]
    (strip,) = (report := two_seasons(tmp_path / "near", 20))["strips"]
    assert len(alone) == 2
    assert strip["also_of"] == ["a02"]
    case = strip["case"]
    assert (case["last_cut"], case["next_cut"]) == ("2027-05-08", "2027-07-31")
    assert {one["case"]["next_cut"] for one in alone} == {"2027-07-10", "2027-07-31"}
    assert strip["width_ft"] >= max(one["width_ft"] for one in alone)
    assert strip["width_ft"] > alone[0]["width_ft"]
    assert "“A” asks for the most, in the quiet seasons of all 2" in case["why"]
    # the year keeps the very days that the width is worked out for
    cuts = {t["label"]: t for t in report["year"]["tasks"] if t["area"] == strip["name"]}
    assert cuts["last strip cut before the quiet"]["earliest"] == case["last_cut"]
    assert cuts["first strip cut after the quiet"]["earliest"] == case["next_cut"]
    # what holds for the whole strip is said once, what holds for one patch of that patch
    codes = [note["code"] for note in strip["notes"]]
    assert codes.count("vine-law") == 1
    missing = [n["text"] for n in strip["notes"] if n["code"] == "not-inspected"]
    assert ["“A”" in missing[0], "“B”" in missing[1]] == [True, True]


def test_a_strip_that_shared_seasons_widen_takes_in_the_next_patch(tmp_path):
    """C meets neither strip as each patch alone would have it, but that of both."""
    alone_ft = two_seasons(tmp_path / "far", 400)["strips"][0]["width_ft"]
    both_ft = two_seasons(tmp_path / "near", 20)["strips"][0]["width_ft"]
    between_ft = 1.5 * alone_ft + 0.5 * both_ft
    assert 2 * alone_ft < between_ft < alone_ft + both_ft
    left = -40 - between_ft * 0.3048
    third = ("C", "patch", shapely.box(left - 40, -40, left, 40), KUDZU)
    (strip,) = two_seasons(tmp_path / "three", 20, [third])["strips"]
    assert strip["also_of"] == ["a02", "a03"]


def test_weak_places_do_not_hold_and_say_what_would(tmp_path):
    timber = shapely.box(50, -60, 120, 60)
    plot = shapely.box(-60, 55, 60, 90)
    folder = write(tmp_path, [("A", "patch", PATCH, KUDZU), ("Oaks", "timber", timber, ""),
                              ("Long", "plot", plot, "")])  # fmt: skip
    report, layers = built(folder)
    (strip,) = report["strips"]
    reasons = {weak["reason"]: weak for weak in strip["weak"]}
    oaks = next(weak for reason, weak in reasons.items() if "climbing reach" in reason)
    assert oaks["verdict"] == "FAIL"
    assert oaks["available_ft"] == pytest.approx(10 / 0.3048 - 10, abs=0.3)
    assert "plot “Long”" in reasons
    assert strip["holds"] is False
    assert "pull the patch edge back" in [row["remedy"] for row in strip["remedies"]]
    assert "strip-does-not-hold" in {note["code"] for note in strip["notes"]}
    stations = strip["stations"]
    assert stations["pass"] + stations["narrow"] + stations["fail"] == stations["count"]
    assert set(layers["weak"]["verdict"]) <= {"NARROW", "FAIL"}


def test_passes_reach_report_and_phone_layer(tmp_path):
    report, layers = built(write(tmp_path, [("A", "patch", PATCH, KUDZU)]))
    (strip,) = report["strips"]
    passes = layers["passes"]
    assert strip["passes"]["count"] == len(passes) == strip["width"]["stress"]["passes"]
    assert strip["passes"]["minutes"] == pytest.approx(passes["minutes"].sum(), abs=1e-3)
    assert strip["passes"]["fuel_gal"] == pytest.approx(passes["fuel_gal"].sum(), abs=1e-3)
    assert list(passes["number"]) == list(range(1, len(passes) + 1))
    assert passes["length_ft"].is_monotonic_decreasing  # outermost first


def test_law_comes_first_where_keeping_is_unlawful(tmp_path):
    report, _ = built(write(tmp_path, [("A", "patch", PATCH, KUDZU)], head='state = "IN"'))
    (strip,) = report["strips"]
    assert strip["notes"][0]["code"] == "vine-unlawful"
    assert strip["law"]["eradication"]
    assert strip["law"]["source"] == "iac-18-3-16"
    assert strip["cautions"][0].startswith("To get rid of it, winter")


def test_a_narrow_strip_is_cut_more_often(tmp_path):
    gaps = {}
    for width_ft in (16.0, 60.0):
        folder = tmp_path / f"{width_ft:.0f}"
        folder.mkdir()
        more = KUDZU + f"\nstrip = {{ width_ft = {width_ft} }}"
        report, _ = built(write(folder, [("A", "patch", PATCH, more)]))
        ideal = sorted(
            dt.date.fromisoformat(t["ideal"]) for t in report["year"]["tasks"]
            if t["label"] == "routine strip cut"
        )  # fmt: skip
        gaps[width_ft] = min((b - a).days for a, b in itertools.pairwise(ideal))
        assert report["strips"][0]["cut_every_days"] <= 14
    # spread evenly to the last cut before the season, two weeks apart and a little less
    assert gaps == {16.0: 7, 60.0: 12}


def test_nothing_is_cut_in_a_quiet_season(tmp_path):
    report, _ = built(write(tmp_path, [("A", "patch", PATCH, KUDZU)]))
    days = [
        dt.date.fromisoformat(t["scheduled"])
        for t in report["year"]["tasks"]
        if t["scheduled"]
    ]
    assert days
    assert not [d for d in days if (5, 15) <= (d.month, d.day) <= (7, 5)]
    kinds = {t["task"] for t in report["year"]["tasks"]}
    assert {"strip inspection", "strip cut", "walk and pull"} <= kinds


def test_frost_dates_temperatures_and_tapes_change_the_width(tmp_path):
    for name in ("plain", "frost", "warm", "tapes", "fast"):
        (tmp_path / name).mkdir()
    base = built(write(tmp_path / "plain", [("A", "patch", PATCH, KUDZU)]))[0]["strips"][0]
    late = 'last_frost = "05-10"\nfirst_frost = "10-01"'
    frost = built(write(tmp_path / "frost", [("A", "patch", PATCH, KUDZU)], head=late))[0][
        "strips"
    ][0]
    assert frost["width_ft"] < base["width_ft"]

    # all the year's warmth in the quiet season: degree-days ask for far more
    days = [dt.date(2025, 1, 1) + dt.timedelta(days=n) for n in range(365)]
    rows = "".join(f"{d},50,{90 if 5 <= d.month <= 7 else 50}\n" for d in days)
    more = KUDZU + '\nstrip = { temperatures = "warm.csv" }'
    folder = write(tmp_path / "warm", [("A", "patch", PATCH, more)])
    (folder / "warm.csv").write_text("date,low_f,high_f\n" + rows)
    assert built(folder)[0]["strips"][0]["width_ft"] > base["width_ft"]

    rng = np.random.default_rng(5)
    for name, years, median in (("tapes", (2025, 2026), 0.10), ("fast", (2026,), 0.4)):
        folder = write(tmp_path / name, [("A", "patch", PATCH, KUDZU)])
        lines = [
            f"A,{n},{y}-06-15,{y}-07-06,{21 * median * math.exp(0.2 * rng.normal()) / 0.3048:.2f},"
            for y in years for n in range(12)
        ]  # fmt: skip
        (folder / "transects.csv").write_text(
            "patch,transect,from,to,advance_ft,cut\n" + "\n".join(lines) + "\n"
        )
        strip = built(folder)[0]["strips"][0]
        assert strip["design"] == "measured"
        assert (strip["width_ft"] < base["width_ft"]) == (name == "tapes")


def test_sown_strip_takes_seed_and_a_bare_one_does_not(tmp_path):
    sown = KUDZU + '\nstrip = { mix = "green", width_ft = 60.0 }'
    mix = '[[mix]]\nname = "green"\nseed = [ { crop = "wheat", share = 1.0 } ]\n'
    (tmp_path / "a").mkdir()
    (tmp_path / "b").mkdir()
    report, _ = built(write(tmp_path / "a", [("A", "patch", PATCH, sown)], extra=mix))
    (strip,) = report["strips"]
    assert strip["need"]["seed"][0]["lb"] > 50 * strip["acres"]
    assert any("wheat" in row["item"] for row in report["shopping"])
    both = KUDZU + '\nstrip = { mix = "green", bare = true }'
    with pytest.raises(SettingsProblem, match="not sown"):
        built(write(tmp_path / "b", [("A", "patch", PATCH, both)], extra=mix))


# Least widths: 394 Firebreak Job Sheet, NRCS Pennsylvania, n.d. (disked 10 ft); MO_GD_001, NRCS
# Missouri, 2020 (4 ft); FL394JS, NRCS Florida, 2003 (6 ft); notice 233, NRCS South Dakota, 2006
# (30 ft round property of high value).
def test_firebreak_minima_and_guidance(tmp_path):
    report, _ = built(write(tmp_path, [("Block", "burn", PATCH, "")]))
    (ring,) = report["strips"]
    assert ring["width_ft"] == FIREBREAK_FT == 10.0
    by_hand = 320 * 3.048 + math.pi * 3.048**2
    assert ring["acres"] * 4046.856 == pytest.approx(by_hand, rel=1e-3)
    words = {one.source: printed(one.text) for one in FIREBREAK_GUIDANCE}
    for source, feet in (("nrcs-394-mo", "4 ft"), ("nrcs-394-fl", "6 ft"),
                         ("nrcs-394-pa", "10 ft"), ("nrcs-394-sd", "30 ft")):  # fmt: skip
        assert feet in words[source]
    assert [row["source"] for row in ring["guidance"]] == list(words)
    assert all(row["text"].startswith(words[row["source"]]) for row in ring["guidance"])
    assert "USDA NRCS Missouri, 2020" in ring["guidance"][0]["text"]


def test_vine_beyond_its_strip_is_a_warning_and_no_patch_of_a_shared_strip_is_left_out(
    tmp_path,
):
    """The strip's own patch did not move; its neighbor in the same strip has crossed it."""
    near = shapely.box(60, -40, 100, 40)
    tongue = near.union(shapely.box(100, -5, 190, 5))
    folder = write(
        tmp_path,
        [
            ("A", "patch", PATCH, KUDZU + '\nprevious = { from = "drawn/0.geojson", on = 2025-10-01 }'),
            ("B", "patch", tongue, KUDZU + '\nprevious = { from = "drawn/old.geojson", on = 2025-10-01 }'),
        ],
    )  # fmt: skip
    ground = FRAME.to_lonlat(np.array([near], dtype=object))[0]
    (folder / "drawn/old.geojson").write_text(shapely.to_geojson(ground))
    report, _ = built(folder)
    (strip,) = report["strips"]
    assert strip["advance"]["area"] == "B"
    assert [moved["area"] for moved in strip["advance_also"]] == ["A"]
    (note,) = [n for n in strip["notes"] if n["code"] == "vine-crossed"]
    assert (note["level"], note["feature"]) == ("warning", "B")
    assert "on the E side" in note["text"]
    x, _ = FRAME.xy(np.array([note["lon"]]), np.array([note["lat"]]))
    assert 100 < x[0] < 190


def test_breaks_of_two_blocks_with_one_lane_between_say_what_they_share(tmp_path):
    """The lane is 6 m wide and the blocks 80 m long: 480 m² of each break are the other's."""
    blocks = [
        ("West", "burn", PATCH, ""),
        ("East", "burn", shapely.box(46, -40, 126, 40), ""),
    ]
    wide = "strip = { width_ft = 20 }"
    report, layers = built(write(tmp_path, [(*one[:3], wide) for one in blocks]))
    first, second = report["strips"]
    (note,) = [note for note in first["notes"] if note["code"] == "strips-overlap"]
    both = layers["strips"].geometry
    shared = area_m2(np.array([both.iloc[0].intersection(both.iloc[1])]))[0] / 4046.8564224
    assert 480 / 4046.86 < shared < 600 / 4046.86
    assert (
        note["head"] == f"West firebreak and East firebreak lie on the same {shared:.2f} ac"
    )
    assert "counted in both" in note["more"]
    assert "strips-overlap" not in {note["code"] for note in second["notes"]}


def test_strips_that_touch_by_a_yard_say_nothing_of_it(tmp_path):
    wide = "strip = { width_ft = 20 }"
    corner = shapely.box(48, 48, 120, 120)  # the two round corners share a little
    blocks = [("West", "burn", PATCH, wide), ("East", "burn", corner, wide)]
    report, layers = built(write(tmp_path, blocks))
    both = layers["strips"].geometry
    shared_m2 = area_m2(np.array([both.iloc[0].intersection(both.iloc[1])]))[0]
    assert 0 < shared_m2 < 20
    notes = [note for ring in report["strips"] for note in ring["notes"]]
    assert "strips-overlap" not in {note["code"] for note in notes}


def test_breaks_of_two_blocks_that_meet_run_side_by_side(tmp_path):
    """80 m of one line have a break of 20 ft on each side, 0.12 ac each.

    At its two ends they share half a circle of 20 ft: 0.03 ac.
    """
    wide = "strip = { width_ft = 20 }"
    blocks = [("West", "burn", PATCH, wide), ("East", "burn", shapely.box(40, -40, 120, 40), wide),
              ("Far", "burn", shapely.box(300, -40, 400, 40), wide)]  # fmt: skip
    report, _ = built(write(tmp_path, blocks))
    notes = [note for ring in report["strips"] for note in ring["notes"]]
    (note,) = [note for note in notes if note["code"] == "breaks-side-by-side"]
    assert note["head"] == (
        "West firebreak and East firebreak run side by side where the blocks meet"
    )
    assert note["more"].startswith(
        "They take 0.12 ac and 0.12 ac there, and 0.03 ac beside is in both"
    )
    assert "each is counted whole" in note["more"]
    assert "strips-overlap" not in {note["code"] for note in notes}
    assert note["lon"] == pytest.approx(FRAME.lon0, abs=0.002)


def test_a_strip_on_a_plot_says_how_much_of_it(tmp_path):
    """A strip of 30 ft round 80 m, a plot 2 m off its side: 80 m of 7.144 m lie on the plot."""
    areas = [("V", "patch", PATCH, f"{KUDZU}\nstrip = {{ width_ft = 30 }}"),
             ("Oats", "plot", shapely.box(42, -40, 142, 40), ""),
             ("Far", "plot", shapely.box(60, 60, 142, 140), "")]  # fmt: skip
    report, _ = built(write(tmp_path, areas))
    (strip,) = report["strips"]
    (note,) = [note for note in strip["notes"] if note["code"] == "strip-on-plot"]
    on_plot_ac = 80 * (30 * 0.3048 - 2) / 4046.8564224
    assert note["head"] == f"V strip lies on {on_plot_ac:.2f} ac of “Oats”"
    assert "draw the plot's edge back" in note["more"]
