"""Lines, placed pictures, calendars, kept years, copies, formats, shapes and places.

Each is read by one command of its own; what is lost when a reader errs is said beside it.
"""

import datetime as dt
import json
import struct

import numpy as np
import pytest
import shapely
from PIL import Image

from quietacre.errors import BadInput, FileProblem, SettingsProblem
from quietacre.intake.calendar import read_issued
from quietacre.intake.coordinates import check_places, one_turn
from quietacre.intake.copies import copy_notes, is_copy, sync_copies
from quietacre.intake.file_notes import FileNotes
from quietacre.intake.limits import MAX_NESTING
from quietacre.intake.lines import read_line
from quietacre.intake.newer import check_not_newer, format_of
from quietacre.intake.placed import PlacedPairs, placed_pictures, read_placed
from quietacre.intake.values import settings_from
from quietacre.intake.vector import read_layer
from quietacre.intake.wkb import UnreadableShapeError, shape_from_text, shapes_from_binary
from quietacre.intake.years import kept_folders, newest_of, read_years
from quietacre.kept_years import YearRecord
from quietacre.model import AT, FORMAT

# one line: a cut, a road, a fence

LINE = [[-88.0, 34.0], [-88.0, 34.1], [-87.9, 34.2]]


def geojson(*shapes, bare=False):
    if bare:
        return json.dumps(shapes[0])
    features = [{"type": "Feature", "properties": {}, "geometry": s} for s in shapes]
    return json.dumps({"type": "FeatureCollection", "features": features})


def line_of(points):
    return {"type": "LineString", "coordinates": points}


POINT = {"type": "Point", "coordinates": [-88.0, 34.0]}


@pytest.mark.parametrize("bare", [True, False])
def test_the_line_of_a_file_keeps_its_points_in_order(tmp_path, bare):
    path = tmp_path / "a.geojson"
    path.write_text(geojson(line_of(LINE), bare=bare))
    assert read_line(path) == LINE


def test_the_line_of_a_track_and_of_kml(tmp_path):
    gpx, kml = tmp_path / "a.gpx", tmp_path / "a.kml"
    points = "".join(f'<trkpt lat="{y}" lon="{x}"/>' for x, y in LINE)
    gpx.write_text(
        '<gpx version="1.1" xmlns="http://www.topografix.com/GPX/1/1"><trk><trkseg>'
        f"{points}</trkseg></trk></gpx>"
    )
    words = " ".join(f"{x},{y}" for x, y in LINE)
    kml.write_text(
        '<kml xmlns="http://www.opengis.net/kml/2.2"><Placemark><LineString><coordinates>'
        f"{words}</coordinates></LineString></Placemark></kml>"
    )
    assert read_line(gpx) == pytest.approx(np.array(LINE))
    assert read_line(kml) == pytest.approx(np.array(LINE))


@pytest.mark.parametrize(
    ("text", "count"),
    [
        (geojson(line_of(LINE), line_of(LINE)), 2),
        (geojson(line_of(LINE), POINT), 2),
        (geojson(POINT), 1),
        (geojson(line_of([])), 1),
        (geojson(None), 1),
        (geojson(), 0),
        ("[]", 0),
        ('{"features": 3}', 0),
    ],
)
def test_a_file_that_holds_another_thing_is_refused(tmp_path, text, count):
    """Cutting along the wrong of two lines would divide a field where nobody asked."""
    path = tmp_path / "a.geojson"
    path.write_text(text)
    with pytest.raises(FileProblem, match=f"holds {count} features, not one line"):
        read_line(path)


# pictures that were placed


def picture(folder, name="old.png", text=None):
    room = folder / "pictures"
    room.mkdir(exist_ok=True)
    Image.new("RGB", (40, 30)).save(room / name)
    if text is not None:
        (room / f"{name}.placed.json").write_text(text)


PAIRS = ((1.0, 2.0, -88.0, 34.0), (30.0, 20.0, -87.9, 34.1))


def test_a_placed_picture_is_read_as_it_was_written(tmp_path):
    assert placed_pictures(tmp_path) == ()
    how = PlacedPairs(PAIRS, "affine", 12.0)
    picture(tmp_path, text=how.spelled().decode())
    picture(tmp_path, "bare.png")
    assert placed_pictures(tmp_path) == ("old.png",), (
        "a picture without pairs is not placed"
    )
    found = read_placed(tmp_path, "old.png")
    assert (found.name, found.width, found.height, found.how) == ("old.png", 40, 30, how)
    with pytest.raises(FileProblem, match="no picture “bare.png” here"):
        read_placed(tmp_path, "bare.png")


def test_what_is_not_said_of_a_placed_picture_is_the_usual(tmp_path):
    picture(tmp_path, text=json.dumps({"pairs": PAIRS}))
    assert read_placed(tmp_path, "old.png").how == PlacedPairs(PAIRS, None, 20.0)


@pytest.mark.parametrize(
    "row",
    ["{}", "[]", "3", '{"pairs": [[1, 2, 3]]}', '{"pairs": [["a", 2, 3, 4]]}', '{"pairs": null}',
     '{"pairs": [], "fit": "rubber"}', '{"pairs": [], "point_pm_ft": 0}', "no json",
     '{"pairs": [], "point_pm_ft": -3}', '{"pairs": [], "point_pm_ft": 1000000}'],
)  # fmt: skip
def test_a_damaged_placing_is_one_line(tmp_path, row):
    picture(tmp_path, text=row)
    with pytest.raises(FileProblem, match="holds no pairs"):
        read_placed(tmp_path, "old.png")


# the calendar that was handed out

EVENT = """BEGIN:VEVENT
UID:{uid}
DTSTAMP:20270101T000000Z
DTSTART{first}
DTEND{last}
SUMMARY:{what}
{more}END:VEVENT
"""


def calendar(folder, *events):
    path = folder / "c.ics"
    text = "BEGIN:VCALENDAR\nVERSION:2.0\nPRODID:x\n" + "".join(events) + "END:VCALENDAR\n"
    path.write_bytes(text.replace("\n", "\r\n").encode())
    return read_issued(path, shown="c.ics")


def event(uid="job", *, first=";VALUE=DATE:20270904", last=";VALUE=DATE:20270906", more=""):
    return EVENT.format(uid=uid, first=first, last=last, what="Plant", more=more)


def test_events_of_ours_are_read_with_their_last_day(tmp_path):
    """A day that is read wrong would leave a job twice in the owner's calendar."""
    (one,) = calendar(tmp_path, event(f"job{AT}"), event("dentist@elsewhere"))
    assert (one.uid, one.first, one.last) == (
        "job",
        dt.date(2027, 9, 4),
        dt.date(2027, 9, 5),
    )
    assert (one.title, one.off) == ("Plant", False)
    (gone,) = calendar(tmp_path, event(f"job{AT}", more="STATUS:CANCELLED\n"))
    assert gone.off


def test_an_event_with_a_time_of_day_is_a_persons_own(tmp_path):
    at = {"first": ":20270904T080000Z", "last": ":20270904T090000Z"}
    assert calendar(tmp_path, event(f"job{AT}", **at)) == ()


def test_what_is_no_calendar_is_one_line(tmp_path):
    (tmp_path / "c.ics").write_text("hello")
    with pytest.raises(FileProblem, match="is no calendar that can be read"):
        read_issued(tmp_path / "c.ics", shown="c.ics")


# years that are kept


def test_kept_years_come_oldest_first_with_their_corrections_after(tmp_path):
    names = [
        "2026", "2027", "2027-corrected-2028-03-02", "2027-corrected-2028-03-02-2",
        "2027-corrected-2028-03-02-10",
    ]  # fmt: skip
    for name in (*reversed(names), "2027-draft", "27", ".2027"):
        (tmp_path / "years" / name).mkdir(parents=True)
    (tmp_path / "years" / "2025").write_text("a file")
    assert kept_folders(tmp_path) == names
    assert kept_folders(tmp_path / "elsewhere") == []


def test_a_year_that_cannot_be_read_is_said_and_the_others_stand(tmp_path):
    (tmp_path / "years" / "2026").mkdir(parents=True)
    (tmp_path / "years" / "2026" / "year.json").write_text("{")
    records, notes = read_years(tmp_path)
    assert records == ()
    (note,) = notes
    assert note.code == "kept-year-unread"
    assert note.text.startswith("years/2026/year.json")
    assert "that year is not set beside this one" in note.text


def test_the_newest_correction_of_a_year_is_taken():
    def record(year, name):
        made = object.__new__(YearRecord)
        object.__setattr__(made, "year", year)
        object.__setattr__(made, "name", name)
        return made

    some = (record(2026, "2026"), record(2027, "2027"), record(2027, "2027-corrected"))
    assert newest_of(some, 2027).name == "2027-corrected"
    assert newest_of(some, 2026).name == "2026"
    assert newest_of(some, 2025) is None


# another computer's copy, another version's folder


@pytest.mark.parametrize(
    ("name", "copy"),
    [
        ("log (1).csv", True),
        ("log (conflicted copy 2027-03-01).csv", True),
        ("log-BARN-PC.csv", True),
        ("log copy.csv", True),
        ("log copy 2.csv", True),
        ("Copy of log.csv", True),
        ("conflict of my log.csv", True),
        ("LOG (2).csv", True),
        ("log.csv", False),
        ("log (1234).csv", False),
        ("log-barn-pc.csv", False),
        ("log-2027.csv", False),
        ("logbook.csv", False),
        ("my log.csv", False),
        ("log (1).txt", False),
        ("blog.csv", False),
    ],
)
def test_names_that_two_computers_leave_behind(name, copy):
    """A job ticked on another computer stands in such a copy and nowhere else."""
    assert is_copy(name, "log.csv") is copy


def test_copies_in_a_folder_are_named_with_the_command_that_takes_them_in(tmp_path):
    for name in (
        "log.csv",
        "log (1).csv",
        "property.toml",
        "property copy.toml",
        "photo.jpg",
    ):
        (tmp_path / name).write_text("")
    (tmp_path / "log (2).csv").mkdir()
    assert [(one.name, one.of) for one in sync_copies(tmp_path)] == [
        ("log (1).csv", "log.csv"),
        ("property copy.toml", "property.toml"),
    ]
    note = copy_notes(tmp_path)[0]
    assert f"quietacre merge {tmp_path}" in note.more
    assert sync_copies(tmp_path / "nowhere") == ()


@pytest.mark.parametrize(
    ("text", "number"),
    [
        ('[property]\nname = "x"', FORMAT),
        ('[property]\nname = "x"\nformat = 99', 99),
        ("[property]\nformat = 1", 1),
        ('[property]\nformat = "99"', FORMAT),
        ("[property]\nformat = true", FORMAT),
        ("format = 99", FORMAT),
        ("[property\nformat = 99", FORMAT),
    ],
)
def test_a_folder_of_a_newer_version_is_not_changed(tmp_path, text, number):
    (tmp_path / "property.toml").write_text(text)
    assert format_of(tmp_path) == number
    if number > FORMAT:
        with pytest.raises(FileProblem, match="its format is 99"):
            check_not_newer(tmp_path)
    else:
        check_not_newer(tmp_path)
    assert format_of(tmp_path / "nowhere") == FORMAT


# settings made in Python


def test_settings_from_plain_values_are_those_of_the_file():
    values = {
        "property": {"name": "Home"},
        "area": ({"name": "P", "kind": "plot", "width": 3},),
    }
    with pytest.raises(SettingsProblem, match=r"area\[1\]\.width"):
        settings_from(values)
    values["area"][0].pop("width")
    prop = settings_from({**values, "equipment": {"mower_width_ft": np.float64(6.0)}})
    assert (prop.property.name, prop.area[0].name) == ("Home", "P")
    assert prop.equipment.mower_width_ft == 6.0
    assert "from" not in values["area"][0], "what was given is not changed"


@pytest.mark.parametrize("value", [object(), None, b"x", np.array([1.0, 2.0])])
def test_a_value_that_no_settings_hold_is_named_with_its_place(value):
    with pytest.raises(
        SettingsProblem, match=r"area\[1\]\.mix: a \w+ stands in no settings"
    ):
        settings_from({"property": {"name": "x"}, "area": [{"name": "P", "mix": value}]})


# shapes as other programs write them


SQUARE = shapely.box(0, 0, 1, 1)
SHAPES = [
    shapely.Point(1, 2), shapely.LineString([(0, 0), (1, 1)]), SQUARE,
    shapely.MultiPolygon([SQUARE]), shapely.MultiPolygon([SQUARE, shapely.box(2, 2, 3, 3)]),
    shapely.GeometryCollection([SQUARE, shapely.MultiPoint([(0, 0), (1, 1)])]),
    shapely.MultiLineString([[(0, 0), (1, 1)], [(2, 2), (3, 3)]]),
]  # fmt: skip


@pytest.mark.parametrize("order", [0, 1])
@pytest.mark.parametrize("flavor", ["iso", "extended"])
@pytest.mark.parametrize("shape", SHAPES, ids=[one.geom_type for one in SHAPES])
def test_binary_of_either_order_and_flavor_is_read_back(shape, flavor, order):
    high = shapely.force_3d(shape, 7.0)
    for one in (shape, high):
        blob = shapely.to_wkb(
            one, byte_order=order, flavor=flavor, include_srid=flavor == "extended"
        )
        (back,) = shapes_from_binary([blob])
        assert back.equals(shape)


@pytest.mark.parametrize("shape", SHAPES[2:], ids=[one.geom_type for one in SHAPES[2:]])
def test_binary_that_is_cut_off_is_refused(shape):
    blob = shapely.to_wkb(shape)
    for length in (0, 3, 8, len(blob) // 2, len(blob) - 1):
        with pytest.raises(UnreadableShapeError):
            shapes_from_binary([blob[:length]])


def nested(depth):
    head = struct.pack("<BII", 1, 7, 1)
    return head * depth + shapely.to_wkb(shapely.Point(0, 0))


def test_shapes_that_nest_too_deep_are_refused_and_others_are_not():
    (back,) = shapes_from_binary([nested(MAX_NESTING - 1)])
    assert back.geom_type == "GeometryCollection"
    with pytest.raises(UnreadableShapeError, match=f"nests deeper than {MAX_NESTING}"):
        shapes_from_binary([nested(MAX_NESTING + 1)])
    deep = (
        "GEOMETRYCOLLECTION(" * (MAX_NESTING + 1) + "POINT(0 0)" + ")" * (MAX_NESTING + 1)
    )
    with pytest.raises(UnreadableShapeError, match="nests deeper"):
        shape_from_text(deep)
    assert shape_from_text("POLYGON((0 0,1 0,1 1,0 0))").area == 0.5
    with pytest.raises(UnreadableShapeError, match="is not well-known text"):
        shape_from_text("POLYGON((0 0,")


@pytest.mark.parametrize("kind", [8, 10, 13])
def test_curves_are_named_and_not_taken_for_straight(kind):
    with pytest.raises(UnreadableShapeError, match=f"of type {kind}, which has curves"):
        shapes_from_binary([struct.pack("<BII", 1, kind, 0)])


# where on the globe


class Heard(FileNotes):
    """Notes of a file, by code."""

    def note(self, code, *_, **__):
        self.codes = [*getattr(self, "codes", []), code]


def placed(shape):
    notes = Heard("f.csv")
    check_places(np.array([shape]), ["feature 1"], notes)
    return getattr(notes, "codes", [])


def test_degrees_are_told_from_metres_and_from_swapped_columns():
    assert placed(shapely.box(-88, 34, -87.9, 34.1)) == []
    assert placed(shapely.box(-180, -60, 360, 90)) == []
    assert placed(shapely.box(34.0, -88.0, 34.1, -87.9)) == ["looks-swapped"]
    with np.errstate(invalid="ignore"):
        no_number = shapely.Polygon([(0, 0), (1, 0), (1, float("nan"))])
    for shape, words in (
        (shapely.box(34, 94, 34.1, 95), "is beyond a pole"),
        (shapely.box(500_000, 3_700_000, 500_100, 3_700_100), "are not degrees"),
        (shapely.box(359.5, 34, 360.5, 35), "are not degrees"),
        (no_number, "not a number"),
    ):
        with pytest.raises(FileProblem, match=words):
            placed(shape)


@pytest.mark.parametrize(
    ("west", "kept"), [(271.9, -88.1), (-88.1, -88.1), (-448.1, -88.1), (179.9, 179.9)]
)
def test_longitudes_counted_on_from_180_are_brought_back(west, kept):
    """A file that counts from 0 to 360 else lies half round the world from the others."""
    (moved,) = one_turn(
        np.array([shapely.box(west, 34, west + 0.1, 34.1)]), ["a"], FileNotes("f")
    )
    assert moved.bounds[0] == pytest.approx(kept)
    assert moved.area == pytest.approx(0.01)


def test_an_edge_round_a_pole_is_refused():
    lon = np.arange(-180.0, 180.0, 10.0)
    cap = shapely.Polygon(np.column_stack([lon, np.full(len(lon), 89.5)]))
    with pytest.raises(FileProblem, match="right round a pole"):
        one_turn(np.array([cap]), ["a"], FileNotes("f"))


# tables of corners

CORNERS = "0,0\n1,0\n1,1\n"


def table(tmp_path, text):
    path = tmp_path / "t.csv"
    path.write_text(text)
    layer = read_layer(path)
    return dict(zip(layer.name, layer.geometry, strict=True))


def test_rows_of_one_name_make_one_ring(tmp_path):
    text = "lon,lat,name\n" + "".join(
        f"{x + at},{y},{name}\n"
        for name, at in (("A", 0), ("B", 5))
        for x, y in ((0, 0), (2, 0), (2, 2), (0, 2))
    )
    found = table(tmp_path, text)
    assert {name: shape.area for name, shape in found.items()} == {"A": 4.0, "B": 4.0}
    assert found["B"].bounds == (5.0, 0.0, 7.0, 2.0)


def test_two_corners_are_no_ring_and_rows_out_of_order_are_said(tmp_path):
    with pytest.raises(BadInput, match="fewer than three different points"):
        table(tmp_path, "lon,lat\n0,0\n1,0\n0,0\n")
    assert table(tmp_path, f"lon,lat\n{CORNERS}")[""].area == 0.5
    ordered = "lon,lat,order\n0,0,1\n1,0,2\n1,1,3\n"
    assert table(tmp_path, ordered)[""].area == 0.5
    with pytest.raises(BadInput, match="not in the order of the column order"):
        table(tmp_path, "lon,lat,order\n0,0,1\n1,0,3\n1,1,2\n")


def test_text_of_shapes_with_and_without_a_reference_system(tmp_path):
    ring = "POLYGON((0 0,2 0,2 2,0 2,0 0))"
    assert table(tmp_path, f'name,wkt\nA,"{ring}"\n')["A"].area == 4.0
    assert table(tmp_path, f'name,wkt\nA,"SRID=4326;{ring}"\n')["A"].area == 4.0
    with pytest.raises(BadInput, match="is in SRID=26916"):
        table(tmp_path, f'name,wkt\nA,"SRID=26916;{ring}"\n')
    with pytest.raises(BadInput, match="columns lon and lat"):
        table(tmp_path, "a,b\n1,2\n")
