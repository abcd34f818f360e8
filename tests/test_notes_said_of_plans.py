"""Notes of amounts, strips and days: each shown where it is said, and where it is not."""

import datetime as dt
import json

import numpy as np
import pytest
import shapely

from quietacre.acreage.frame import LocalFrame
from quietacre.build import plan_property
from quietacre.measure.property import measure_property

FRAME = LocalFrame(-86.3, 33.2)
TODAY = dt.date(2027, 1, 2)
SETTINGS = """
[property]
name = "x"
[[mix]]
name = "grain"
seed = [{ crop = "oats", share = 1.0 }]
[[mix]]
name = "drilled"
method = "drill"
seed = [{ crop = "oats", share = 1.0 }]
[[soil_test]]
name = "old"
on = 2026-12-04
lime_ton_ac = 1.0
need_lb_ac = { n = 40, p2o5 = 40, k2o = 40 }
[[product]]
grade = "13-13-13"
bag_lb = 50
price = 20
[[product]]
grade = "lime-ag"
bulk = true
price = 50
"""


def box(x=0.0, y=0.0, size=200.0):
    return shapely.box(x, y, x + size, y + size)


def feature(shape):
    ground = FRAME.to_lonlat(np.array([shape], dtype=object))[0]
    return json.dumps(
        {"type": "Feature", "properties": {}, "geometry": shapely.geometry.mapping(ground)}
    )


def notes_of(folder, *areas, log=None, today=TODAY, more=""):
    """Return {(piece, code): text} of a place; areas are (name, kind, shape, settings)."""
    folder.mkdir(exist_ok=True)
    text = SETTINGS + more
    for name, kind, shape, settings in areas:
        (folder / f"{name}.geojson").write_text(feature(shape))
        text += f'[[area]]\nname = "{name}"\nkind = "{kind}"\nfrom = "{name}.geojson"\n{settings}\n'
    (folder / "property.toml").write_text(text)
    if log:
        (folder / "log.csv").write_text(log)
    report, _ = plan_property(measure_property(folder), today=today)
    said = [(None, note) for note in report["notes"]]
    for piece in (*report["areas"], *report["strips"]):
        need = piece.get("need") or {}
        said += [(piece["name"], n) for n in (*piece["notes"], *(need.get("notes") or ()))]
    return {(who, note["code"]): note["text"] for who, note in said}


def plot(name="P", *, mix="grain", plant="2027-09-25", more='soil_test = "old"', at=0.0):
    return name, "plot", box(at), f'mix = "{mix}"\nplant = {plant}\n{more}'


# amounts


def test_ground_without_a_soil_test_is_not_fertilized_and_says_so(tmp_path):
    bare = plot("B", more='fertilizer = "soil test"', at=300.0)
    said = notes_of(tmp_path, plot("A"), bare)
    assert "nothing is fertilized" in said["B", "no-soil-test"]
    assert ("A", "no-soil-test") not in said


def test_fertilizer_is_kept_out_of_a_drill_with_seed(tmp_path):
    said = notes_of(tmp_path, plot("A"), plot("B", mix="drilled", at=300.0))
    assert "out of a hopper with inoculated seed" in said["B", "salt-and-seed"]
    assert ("A", "salt-and-seed") not in said, (
        "spread by hand or spinner, not through a drill"
    )


@pytest.mark.parametrize(("crop", "doubted"), [("chicory", True), ("oats", False)])
def test_a_crop_that_spreads_and_a_rate_nobody_read_are_said(tmp_path, crop, doubted):
    mix = f'[[mix]]\nname = "m"\nseed = [{{ crop = "{crop}", share = 1.0 }}]\n'
    said = notes_of(tmp_path, plot(mix="m"), more=mix)
    assert (("P", "noxious-seed") in said) is doubted
    assert (("P", "rate-from-memory") in said) is doubted
    if doubted:
        assert "ask the state seed-law office first" in said["P", "noxious-seed"]
        assert (
            "the broadcast rate of chicory is from memory" in said["P", "rate-from-memory"]
        )


# the log and the shed

HEAD = "date,area,task,item,amount,unit,bag_lb,price\n"


def test_what_the_log_spread_that_is_no_grade_takes_nothing_off(tmp_path):
    log = HEAD + "2027-01-01,P,fertilized,chicken litter,500,lb,,\n"
    said = notes_of(tmp_path, plot(), log=log)
    assert "no nutrient is taken off (“chicken litter”, line 2)" in said[None, "log-item"]
    said = notes_of(tmp_path, plot(), log=log.replace("chicken litter", "13-13-13"))
    assert (None, "log-item") not in said


def test_lime_that_nobody_described_counts_as_the_planned_one(tmp_path):
    log = HEAD + "2027-01-01,P,limed,marl,2,tons,,\n"
    said = notes_of(tmp_path, plot(), log=log)
    assert (
        "“marl” on it, whose worth is not known: it counts as lime-ag"
        in said["P", "log-lime"]
    )
    said = notes_of(tmp_path, plot(), log=log.replace("marl", "lime-ag"))
    assert ("P", "log-lime") not in said


def test_what_went_onto_ground_without_a_plan_only_leaves_the_shed(tmp_path):
    log = HEAD + "2027-01-01,Hay field,fertilized,13-13-13,100,lb,,\n"
    said = notes_of(tmp_path, plot(), log=log)
    assert "only leaves the shed (Hay field)" in said[None, "log-elsewhere"]
    said = notes_of(tmp_path, plot(), log=log.replace("Hay field", "P"))
    assert (None, "log-elsewhere") not in said


def test_a_purchase_without_a_price_takes_the_property_s(tmp_path):
    log = HEAD + "2027-01-01,,bought,13-13-13,4,bags,50,{}\n"
    said = notes_of(tmp_path, plot(), log=log.format(""))
    assert "1 purchase without a price" in said[None, "log-price"]
    assert "line 2: 13-13-13" in said[None, "log-price"]
    assert (None, "log-price") not in notes_of(tmp_path, plot(), log=log.format("80"))


@pytest.mark.parametrize(("item", "wanted"), [("oats", True), ("13-13-13", False)])
def test_bags_of_nobody_knows_what_weight_count_for_nothing(tmp_path, item, wanted):
    stock = f'[[stock]]\nitem = "{item}"\nbags = 3\non = 2027-01-01\n'
    said = notes_of(tmp_path, plot(), more=stock)
    assert ((None, "stock-bag") in said) is wanted


# strips

VINE = 'vine = "kudzu"\nstrip = { width_ft = 60 }'


def test_a_strip_that_no_ground_is_left_for_is_said(tmp_path):
    patch = ("V", "patch", box(), VINE)
    around = shapely.box(-60, -60, 260, 260).difference(box())
    pond = ("Pond", "water", around, "")
    assert (
        "nothing of “V strip” fits"
        in notes_of(tmp_path, patch, pond)["V strip", "strip-empty"]
    )
    assert ("V strip", "strip-empty") not in notes_of(tmp_path, patch)


def gpx(xy, *, pins=()):
    """Return a walk of 2 s a fix, and pins, as GPX. [m]"""

    def at(tag, x, y, more=""):
        lon, lat = (float(one[0]) for one in FRAME.lonlat(np.array([x]), np.array([y])))
        return f'<{tag} lat="{lat:.7f}" lon="{lon:.7f}">{more}</{tag}>'

    start = dt.datetime(2026, 5, 4, 9, tzinfo=dt.UTC)
    times = (start + dt.timedelta(seconds=2 * n) for n in range(len(xy)))
    fixes = (
        at("trkpt", x, y, f"<time>{t:%Y-%m-%dT%H:%M:%SZ}</time>")
        for (x, y), t in zip(xy, times, strict=True)
    )
    points = (at("wpt", x, y, f"<name>{n}</name>") for n, (x, y) in enumerate(pins, 1))
    return (
        '<gpx version="1.1" creator="x" xmlns="http://www.topografix.com/GPX/1/1">'
        f"{''.join(points)}<trk><name>W</name><trkseg>{''.join(fixes)}</trkseg></trk></gpx>"
    )


def walked(size=200.0):
    ring = shapely.LinearRing([(0, 0), (size, 0), (size, size), (0, size)])
    along = [*np.arange(0.0, ring.length, 2.0), 0.0]
    return shapely.get_coordinates(shapely.line_interpolate_point(ring, along))


def of_walk(folder, settings, *, pins=()):
    """Return the notes of one patch that was walked."""
    folder.mkdir(exist_ok=True)
    (folder / "w.gpx").write_text(gpx(walked(), pins=pins))
    (folder / "property.toml").write_text(
        f'{SETTINGS}[[area]]\nname = "V"\nkind = "patch"\nfrom = "w.gpx"\n{VINE}\n{settings}'
    )
    report, _ = plan_property(measure_property(folder), today=TODAY)
    pieces = (*report["areas"], *report["strips"])
    return {note["code"]: note["text"] for piece in pieces for note in piece["notes"]}


def test_an_edge_walked_under_leaves_is_not_trusted_for_a_width(tmp_path):
    said = of_walk(tmp_path, 'sky = "canopy"')
    assert "stake or tape it before trusting any width" in said["edge-under-leaves"]
    assert "edge-under-leaves" not in of_walk(tmp_path, 'sky = "open"')
    staked = VINE.replace("60 }", "60, staked = true }")
    (tmp_path / "property.toml").write_text(
        (tmp_path / "property.toml")
        .read_text()
        .replace("open", "canopy")
        .replace(VINE, staked)
    )
    report, _ = plan_property(measure_property(tmp_path), today=TODAY)
    assert "edge-under-leaves" not in {
        n["code"] for s in report["strips"] for n in s["notes"]
    }


def test_pins_that_stand_for_a_walk_are_said(tmp_path):
    corners = [(0, 0), (200, 0), (200, 200), (0, 200)]
    said = of_walk(tmp_path, 'corners = "straight"', pins=corners)
    assert (
        "so its waypoints were measured; what else w.gpx holds was not"
        in said["pins-over-track"]
    )
    assert "pins-over-track" not in of_walk(tmp_path, "", pins=corners)


# days


def test_two_plantings_too_near_each_other_are_said(tmp_path):
    twice = 'plantings = [{ mix = "grain", plant = 2027-07-20 }, { mix = "grain", plant = 2027-09-25 }]'
    far = twice.replace("2027-07-20", "2027-03-01")
    said = notes_of(tmp_path, ("P", "plot", box(), twice))
    # 50 days from July 20 is September 8, and clipping for the second is best on August 14
    assert "best on August 14" in said[None, "plantings-overlap"]
    assert "September 8, 2027 at the soonest" in said[None, "plantings-overlap"]
    assert (None, "plantings-overlap") not in notes_of(tmp_path, ("P", "plot", box(), far))


def test_a_job_whose_time_is_over_is_missed_and_said(tmp_path):
    said = notes_of(tmp_path, plot(), today=dt.date(2027, 9, 20))
    assert any(code == "task-missed" for _, code in said)
    assert not any(code == "task-missed" for _, code in notes_of(tmp_path, plot()))


def test_a_season_that_is_over_is_offered_again(tmp_path):
    said = notes_of(tmp_path, plot(plant="2026-09-25"), today=dt.date(2027, 7, 1))
    (text,) = (text for (_, code), text in said.items() if code == "next-planting")
    assert "Sow it again?" in text
    assert not any(code == "next-planting" for _, code in notes_of(tmp_path, plot()))
