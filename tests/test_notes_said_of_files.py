"""Notes of files, edges and the log: each shown where it is said, and where it is not."""

import datetime as dt
import json
import re
import zipfile

import numpy as np
import pytest
import shapely
from photographs import jpeg

from quietacre.acreage.frame import LocalFrame
from quietacre.boundary.error import T_95
from quietacre.boundary.figure_place import KnownCorner
from quietacre.boundary.move import move_edge
from quietacre.boundary.pins import ground_between
from quietacre.boundary.read import read_walk
from quietacre.build import build_property
from quietacre.intake.deed import deed_in
from quietacre.intake.log import read_log
from quietacre.intake.photo import read_photo
from quietacre.intake.vector import read_layer
from quietacre.measure.known import HowKnown, known_ground
from quietacre.model import Track, Waypoint
from quietacre.record.book import without_undone
from quietacre.units import ACRE_M2

FRAME = LocalFrame(-86.3, 33.2)
TODAY = dt.date(2027, 1, 2)


def said(notes):
    return {note.code: (note.level, note.text) for note in notes}


def walk_round(xy, *, without=(0.0, 0.0)):
    """Return the walk of an edge given by its corners, a fix every 2 m and 2 s. [m]

    ``without`` are the metres along the edge, from and to, at which the fixes were lost.
    """
    ring = shapely.LinearRing(xy)
    steps = np.arange(0.0, ring.length, 2.0)
    points = shapely.get_coordinates(shapely.line_interpolate_point(ring, [*steps, 0.0]))
    time = 1_790_000_000.0 + 2.0 * np.arange(len(points))
    kept = ~((np.append(steps, 0.0) > without[0]) & (np.append(steps, 0.0) < without[1]))
    lon, lat = FRAME.lonlat(points[kept, 0], points[kept, 1])
    one = Track("W", "w.gpx", "track", lon, lat, time[kept], np.zeros(len(lon), dtype=int))
    return read_walk([one], sky="open")


def drawn(x=0.0, y=0.0, size=200.0):
    """Return a GeoJSON file of one square. [m]"""
    shape = FRAME.to_lonlat(
        np.array([shapely.box(x, y, x + size, y + size)], dtype=object)
    )[0]
    return json.dumps({"type": "Feature", "properties": {},
                       "geometry": shapely.geometry.mapping(shape)})  # fmt: skip


# deeds and legs

SQUARE = (
    "Beginning at a stone; thence North 400 feet; thence East 400 feet; thence South 400 feet; "
    "thence West 400 feet to the point of beginning."
)
LESS = (
    " LESS AND EXCEPT: Beginning at B; thence North 100 feet; thence East 100 feet; thence South "
    "100 feet; thence West 100 feet to the point of beginning."
)


def of_deed(folder, text, how=None):
    (folder / "deed.txt").write_text(text)
    return said(
        known_ground(read_layer(folder / "deed.txt"), how or HowKnown(), "Home").notes
    )


def test_magnetic_bearings_are_said_because_the_figure_is_turned_by_them():
    level, text = said(deed_in(f"Bearings are magnetic. {SQUARE}", "d.txt").notes)[
        "bearings-magnetic"
    ]
    assert level == "info"
    assert "the acres are not changed by it" in text
    assert "bearings-magnetic" not in said(deed_in(SQUARE, "d.txt").notes)


def test_an_exception_is_taken_off_the_acres_and_not_drawn(tmp_path):
    # 100 ft by 100 is 0.23 ac
    notes = of_deed(tmp_path, SQUARE + LESS)
    assert notes["exceptions-taken-off"][0] == "caution"
    assert "1 exception(s) of 0.23 ac are taken off" in notes["exceptions-taken-off"][1]
    assert "its exception of 0.23 ac (4 calls)" in notes["exception-not-drawn"][1]
    whole = of_deed(tmp_path, SQUARE)
    assert not {"exceptions-taken-off", "exception-not-drawn"} & set(whole)


@pytest.mark.parametrize(
    ("deed", "declination_deg", "turned"),
    [("true north", 4.0, True), ("true north", 0.0, False), ("true north", None, False),
     ("magnetic north", 4.0, False)],
)  # fmt: skip
def test_a_deed_of_true_north_that_is_turned_all_the_same_is_said(
    tmp_path, deed, declination_deg, turned
):
    how = HowKnown(placed=(KnownCorner(1, 34.2, -87.6),), declination_deg=declination_deg)
    notes = of_deed(tmp_path, f"Bearings are from {deed}. {SQUARE}", how)
    assert ("true-north-turned" in notes) is turned
    if turned:
        level, text = notes["true-north-turned"]
        assert level == "caution"
        assert "turned by 4 degrees all the same" in text


LEGS = "bearing,distance\nN 0 E,400\nN 90 E,400\nS 0 E,{}\nN 90 W,400\n"


def of_legs(folder, text, how=None):
    (folder / "legs.csv").write_text(text)
    return said(
        known_ground(read_layer(folder / "legs.csv"), how or HowKnown(), "Home").notes
    )


def test_legs_say_how_they_close_and_which_is_likely_wrong(tmp_path):
    good = of_legs(tmp_path, LEGS.format(398))
    level, text = good["closes"]
    assert level == "info"
    assert "misses its beginning by 2.0 ft in 1,598" in text
    assert "leg-likely-wrong" not in good
    wrong = of_legs(tmp_path, LEGS.format(300))
    level, text = wrong["leg-likely-wrong"]
    assert level == "warning"
    assert "misses its beginning by 100.0 ft" in text
    assert "closes" not in wrong


@pytest.mark.parametrize(("far_m", "fits"), [(122.0, True), (150.0, False)])
def test_known_corners_are_held_against_the_legs(tmp_path, far_m, fits):
    lon, lat = FRAME.lonlat(np.array([0.0, 0.0]), np.array([0.0, far_m]))
    placed = tuple(KnownCorner(n + 1, float(lat[n]), float(lon[n])) for n in (0, 1))
    notes = of_legs(tmp_path, LEGS.format(400), HowKnown(placed=placed))
    assert ("corners-do-not-fit" not in notes) is fits
    if not fits:  # 150 m is 492 ft
        assert (
            "lie 492 ft apart on the ground and 400 ft by the legs"
            in notes["corners-do-not-fit"][1]
        )


# walks

OPEN = [(0, 0), (200, 0), (200, 200), (0, 200)]
#: Two rooms of 100 m, joined by a neck 30 m wide.
NECK = [(0, 0), (100, 0), (100, 35), (160, 35), (160, 0), (260, 0),
        (260, 100), (160, 100), (160, 65), (100, 65), (100, 100), (0, 100)]  # fmt: skip


def test_an_edge_moved_in_through_a_neck_says_what_is_cut_off():
    walk = walk_round(NECK)
    level, text = said(move_edge(walk, -55.0).notes)["edge-moved-apart"]
    assert level == "warning"
    # each room loses 55 ft all round: (100 - 33.5)² m² is 1.09 ac, but for rounded corners
    lost, kept = (float(one) for one in re.findall(r"(\d\.\d\d) ac", text))
    assert [lost, kept] == pytest.approx([1.09, 1.09], abs=0.04)
    assert "cuts off 1 piece(s) of" in text
    assert "they are not counted" in text
    assert "edge-moved-apart" not in said(move_edge(walk, -25.0).notes)
    assert "edge-moved-apart" not in said(move_edge(walk_round(OPEN), -55.0).notes)


def test_straight_lines_over_lost_fixes_widen_the_range_by_a_term_of_their_own():
    whole, gap = walk_round(OPEN), walk_round(OPEN, without=(300.0, 380.0))
    assert "lost" not in {one.code for one in whole.terms}
    (term,) = (one for one in gap.terms if one.code == "lost")
    # 80 m between the fixes that are left: 80² / 12 m² is one deviation
    assert term.half_ac == pytest.approx(T_95 * 80**2 / 12 / ACRE_M2, rel=0.01)
    assert gap.acres_high - gap.acres_low > whole.acres_high - whole.acres_low


# pins


def pins(*places):
    xy = np.array(places, float)
    lon, lat = FRAME.lonlat(xy[:, 0], xy[:, 1])
    return [
        Waypoint(str(n), "p.gpx", float(x), float(y), float("nan"))
        for n, (x, y) in enumerate(zip(lon, lat, strict=True), 1)
    ]


def test_pins_that_stand_for_one_corner_are_counted():
    each = ground_between(pins(*OPEN), corners="straight", sky="open")
    assert "pins-averaged" not in said(each.notes)
    twice = ground_between(pins(*OPEN, (0.5, 200.5)), corners="straight", sky="open")
    level, text = said(twice.notes)["pins-averaged"]
    assert (level, text[:29]) == ("info", "5 pins stand for 4 corners; t")


# photographs, zips and the log


def test_a_damaged_photo_gives_no_day_and_says_so(tmp_path):
    whole, bare = jpeg(-87.6, 34.2, told=False), jpeg(taken=None, told=False)
    broken = whole.replace(b"Exif\0\0MM", b"Exif\0\0XX", 1)
    assert broken != whole
    for data, wanted in ((whole, False), (bare, False), (broken, True)):
        (tmp_path / "a.jpg").write_bytes(data)
        photo = read_photo(tmp_path / "a.jpg", shown="a.jpg")
        assert ("exif-broken" in said(photo.notes)) is wanted
        assert (photo.taken is None) is (data is not whole)


def test_other_files_in_a_zip_are_named(tmp_path):
    path = tmp_path / "a.zip"
    kml = (
        '<kml xmlns="http://www.opengis.net/kml/2.2"><Placemark><name>P</name><Polygon>'
        "<outerBoundaryIs><LinearRing><coordinates>-86.3,33.2 -86.29,33.2 -86.29,33.21 -86.3,33.2"
        "</coordinates></LinearRing></outerBoundaryIs></Polygon></Placemark></kml>"
    )
    for more, wanted in (((), False), (("walk.gpx",), True)):
        with zipfile.ZipFile(path, "w") as archive:
            archive.writestr("doc.kml", kml)
            for name in more:
                archive.writestr(name, "<gpx/>")
        notes = said(read_layer(path).notes)
        assert ("not-read-in-zip" in notes) is wanted
    assert "walk.gpx" in notes["not-read-in-zip"][1]


def log_notes(tmp_path, *lines):
    path = tmp_path / "log.csv"
    path.write_text("\n".join(["date,area,task,id", *lines, ""]))
    return read_log(path, shown="log.csv")


def test_days_that_prove_both_orders_are_read_month_first(tmp_path):
    read = log_notes(tmp_path, "3/4/2027,P,clip,", "25/3/2027,P,clip,", "3/26/2027,P,clip,")
    level, text = said(read.notes)["log-days-mixed"]
    assert level == "caution"
    assert "line 2 could be either and is read month first" in text
    assert read.jobs[0].on == dt.date(2027, 3, 4)
    agreeing = log_notes(tmp_path, "3/4/2027,P,clip,", "3/26/2027,P,clip,")
    assert "log-days-mixed" not in said(agreeing.notes)


def test_taking_back_a_line_that_is_not_there_is_said(tmp_path):
    read = log_notes(tmp_path, "2027-03-04,P,clip,aa", "2027-03-05,,undo,aa")
    jobs, notes = without_undone(read.jobs)
    assert (jobs, notes) == ([], [])
    read = log_notes(
        tmp_path, "2027-03-04,P,clip,aa", "2027-03-05,,undo,zz", "2027-03-05,,undo,"
    )
    jobs, notes = without_undone(read.jobs)
    assert [job.id for job in jobs] == ["aa"], "the line of another id stays"
    assert [note.code for note in notes] == ["log-undo", "log-undo"]
    assert "with the id “zz”, and none has it" in notes[0].text
    assert "and has no id" in notes[1].text


def test_a_calendar_that_cannot_be_read_is_said(tmp_path):
    (tmp_path / "a.geojson").write_text(drawn())
    (tmp_path / "property.toml").write_text(
        '[property]\nname = "x"\n[[area]]\nname = "P"\nkind = "plot"\nfrom = "a.geojson"\n'
    )
    out = tmp_path / "out"
    out.mkdir()
    for text, wanted in (("", True), (None, False)):
        if text is None:
            (out / "calendar.ics").unlink()
        else:
            (out / "calendar.ics").write_bytes(b"\xff\xfe no calendar")
        built = build_property(tmp_path, today=TODAY)
        notes = json.loads(built.files["report.json"])["notes"]
        assert ("calendar-unread" in {note["code"] for note in notes}) is wanted
