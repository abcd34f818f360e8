"""GPX written element by element: each point, name, time and line of error by hand."""

import math

import numpy as np
import pytest

from quietacre.errors import FileProblem
from quietacre.intake import gpx
from quietacre.intake.gpx import number_of, parse_time, positive, read_gpx, wrapped
from quietacre.model import Waypoint


def read(tmp_path, body, head="<gpx>", end="</gpx>"):
    path = tmp_path / "a.gpx"
    path.write_text(f"{head}{body}{end}")
    return read_gpx(path, shown="a.gpx")


def refused(tmp_path, body, **parts):
    with pytest.raises(FileProblem) as problem:
        read(tmp_path, body, **parts)
    return str(problem.value)


def noted(layer):
    return [(note.code, note.level, note.head, note.feature) for note in layer.notes]


def test_every_part_of_a_walk_is_kept_in_the_order_of_the_file(tmp_path):
    layer = read(
        tmp_path,
        "<trk><name> Hill </name>"
        "<trkpt lat='1' lon='2'/>"
        "<trkseg><trkpt lat='3' lon='4'><time>1970-01-01T00:00:07Z</time><name>in</name></trkpt></trkseg>"
        "<trkseg><trkpt lat='5' lon='6'><pdop>3</pdop><hdop>2</hdop><ele>0</ele></trkpt></trkseg>"
        "</trk>"
        "<rte><name>Road</name><rtept lat='-7' lon='-8'><sat>9</sat></rtept></rte>",
    )
    hill, road = layer.tracks
    assert (hill.name, hill.kind, hill.source) == ("Hill", "track", "a.gpx")
    assert (road.name, road.kind, road.source) == ("Road", "route", "a.gpx")
    assert (hill.lat.tolist(), hill.lon.tolist()) == ([1.0, 3.0, 5.0], [2.0, 4.0, 6.0])
    assert (road.lat.tolist(), road.lon.tolist()) == ([-7.0], [-8.0])
    assert hill.segment.tolist() == [0, 0, 1]
    np.testing.assert_array_equal(hill.time_s, [np.nan, 7.0, np.nan])
    np.testing.assert_array_equal(hill.hdop, [np.nan, np.nan, 2.0])
    np.testing.assert_array_equal(hill.height_m, [np.nan, np.nan, 0.0])
    assert hill.satellites is None
    assert (road.hdop, road.satellites.tolist(), road.height_m) == (None, [9.0], None)
    assert (layer.source, layer.notes, layer.waypoints) == ("a.gpx", (), ())
    assert (layer.name, layer.kind, layer.feature, len(layer.geometry)) == ((), (), (), 0)


def test_marked_points_are_kept_with_name_and_time(tmp_path):
    layer = read(
        tmp_path,
        "<wpt lat='1' lon='2'><name>Gate</name><time>1970-01-01T00:01:00Z</time></wpt>"
        "<wpt lat='3' lon='4'><time>1970-01-01T00:02:00Z</time><name>Oak</name></wpt>"
        "<wpt lat='90' lon='-360'/>",
    )
    gate, oak, bare = layer.waypoints
    assert gate == Waypoint("Gate", "a.gpx", 2.0, 1.0, 60.0)
    assert oak == Waypoint("Oak", "a.gpx", 4.0, 3.0, 120.0)
    assert (bare.name, bare.lon, bare.lat) == ("", -360.0, 90.0)
    assert math.isnan(bare.time_s)
    assert noted(layer) == [
        ("waypoints-listed", "info", "3 waypoints are listed, not measured.", None)
    ]
    assert layer.notes[0].source == "a.gpx"


def test_tracks_without_points_and_bad_times_are_told(tmp_path):
    point = "<trkpt lat='1' lon='2'><time>never</time></trkpt>"
    layer = read(
        tmp_path,
        f"<trk><trkseg>{point}{point}</trkseg></trk><rte/><trk><name>B</name></trk>",
    )
    assert noted(layer) == [
        ("empty-track", "info", "route “number 2” has no points; left out.", "number 2"),
        ("empty-track", "info", "track “B” has no points; left out.", "B"),
        ("bad-times", "info",
         "2 points have a time that cannot be read; they are used without it.", None),
    ]  # fmt: skip
    assert {note.source for note in layer.notes} == {"a.gpx"}
    assert len(layer.tracks) == 1


def test_words_of_a_point_do_not_run_on_into_the_next(tmp_path):
    """What a receiver says of one fix is not said of the one after it."""
    layer = read(
        tmp_path,
        "<trk><trkseg><trkpt lat='1' lon='2'><hdop>3</hdop><sat>5</sat><ele>7</ele>"
        "<time>1970-01-01T00:00:07Z</time></trkpt>words<trkpt lat='1' lon='3'/></trkseg></trk>"
        "<wpt lat='1' lon='2'><name>A</name></wpt><wpt lat='1' lon='2'/>",
    )
    (track,) = layer.tracks
    for column in (track.hdop, track.satellites, track.height_m, track.time_s):
        assert np.isfinite(column).tolist() == [True, False]
    assert [point.name for point in layer.waypoints] == ["A", ""]


def test_names_that_belong_to_something_else_are_not_taken(tmp_path):
    layer = read(
        tmp_path,
        "<metadata><name>File</name><time>soon</time></metadata>"
        "<trk><name>A</name><extensions><name>x</name></extensions>"
        "<link><text>y</text></link><trkseg><name>z</name>"
        "<trkpt lat='1' lon='2'><extensions><name>q</name><hdop>4</hdop></extensions></trkpt>"
        "</trkseg><ele>3</ele></trk>",
    )
    (track,) = layer.tracks
    assert (track.name, track.hdop, track.height_m, layer.notes) == ("A", None, None, ())


@pytest.mark.parametrize("version", ["1/0", "1/1"])
def test_elements_of_another_maker_are_passed_by(tmp_path, version):
    space = f"http://www.topografix.com/GPX/{version}"
    layer = read(
        tmp_path,
        "<trk><o:name>other</o:name><name>A</name><trkseg>"
        "<trkpt lat='1' lon='2'><o:ele>9</o:ele></trkpt><o:trkpt/></trkseg></trk>",
        head=f"<gpx xmlns='{space}' xmlns:o='urn:o'>",
    )
    (track,) = layer.tracks
    assert (track.name, len(track.lon), track.height_m) == ("A", 1, None)


@pytest.mark.parametrize(
    ("head", "end"), [("<kml>", "</kml>"), ("<gpx xmlns='urn:x'>", "</gpx>")]
)
def test_what_is_no_gpx_is_refused(tmp_path, head, end):
    assert refused(tmp_path, "", head=head, end=end) == (
        "a.gpx: line 1: is not a GPX file; check what the file is"
    )


TRACK = "<trk><name>A</name>\n<trkseg>{}</trkseg></trk>"
FAULTS = [
    ("<wpt lon='1'/>", "line 1: latitude missing; delete this point or export again"),
    ("<wpt lat='1'/>", "line 1: longitude missing; delete this point or export again"),
    (TRACK.format("<trkpt lat='1'/>"),
     "track “A”, line 2: longitude missing; delete this point or export again"),
    ("<rte><name>B</name><rtept lat='x' lon='1'/></rte>",
     "route “B”, line 1: latitude “x” is not a number; delete this point or export again"),
    ("<wpt lat='1,5' lon='1'/>",
     "line 1: latitude “1,5” has a decimal comma; export with decimal points"),
    ("<wpt lat='1' lon='1,5,2'/>",
     "line 1: longitude “1,5,2” is not a number; delete this point or export again"),
    ("<wpt lat='1,5.2' lon='1'/>",
     "line 1: latitude “1,5.2” is not a number; delete this point or export again"),
    ("<wpt lat='1_0' lon='1'/>",
     "line 1: latitude “1_0” is not a number; delete this point or export again"),
    ("<wpt lat='1' lon='nan'/>",
     "line 1: longitude “nan” is not a number; delete this point or export again"),
    ("<wpt lat='1' lon='٣'/>",
     "line 1: longitude “٣” is not a number; delete this point or export again"),
    ("<wpt lat='90.5' lon='1'/>", "line 1: latitude 90.5 is outside ±90°; "
     "check that latitude and longitude are not swapped"),
    ("<wpt lat='-90.5' lon='1'/>", "line 1: latitude -90.5 is outside ±90°; "
     "check that latitude and longitude are not swapped"),
    ("<wpt lat='1' lon='360.5'/>", "line 1: longitude 360.5 is outside ±360°; "
     "check that latitude and longitude are not swapped"),
    (TRACK.format("<wpt lat='1' lon='1'/>"),
     "track “A”, line 2: a waypoint inside a track; export it again"),
    ("<trk/><trkpt lat='1' lon='1'/>",
     "line 1: a point outside any track or route; export it again"),
    ("<rte/><rtept lat='1' lon='1'/>",
     "line 1: a point outside any track or route; export it again"),
]  # fmt: skip


@pytest.mark.parametrize(("body", "words"), FAULTS)
def test_a_point_that_cannot_be_used_is_named_by_its_line(tmp_path, body, words):
    assert refused(tmp_path, body) == f"a.gpx: {words}"


def test_only_forty_signs_of_a_number_are_repeated(tmp_path):
    for text in ("x" * 50, "1_" * 25 + "0"):
        assert f"“{text[:40]}”" in refused(tmp_path, f"<wpt lat='{text}' lon='1'/>")


def test_a_document_type_is_refused(tmp_path):
    assert refused(tmp_path, "", head="<!DOCTYPE gpx>\n<gpx>") == (
        "a.gpx: line 1: it declares a document type, which a GPX file never needs; "
        "export it again from the phone"
    )


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "is empty"),
        ("   ", "is cut off after 0 points (line 1); copy or export it again"),
        ("<gpx><wpt lat='1' lon='2'/><wpt la",
         "is cut off after 1 points (line 1); copy or export it again"),
        ("<gpx>\n<![CDATA[x", "is cut off after 0 points (line 2); copy or export it again"),
        ("<gpx>\n</gpx>x", "line 2: is not a GPX file, or a damaged one (junk after document "
         "element); check what the file is, or export it again"),
        ("<?xml version='1.0' encoding='never-was'?><gpx/>",
         "line 1: is in an unknown encoding; save it as UTF-8"),
    ],
)  # fmt: skip
def test_a_file_that_breaks_off_is_told_from_a_damaged_one(tmp_path, text, words):
    assert words in refused(tmp_path, text, head="", end="")


def test_the_most_of_each_is_still_read(tmp_path, monkeypatch):
    monkeypatch.setattr(gpx, "MAX_TRACKS", 2)
    monkeypatch.setattr(gpx, "MAX_FIXES", 2)
    monkeypatch.setattr(gpx, "MAX_DEPTH", 3)
    point = "<wpt lat='1' lon='2'/>"
    assert len(read(tmp_path, point * 2).waypoints) == 2
    assert refused(tmp_path, point * 3) == (
        "a.gpx: line 1: more than 2 points; split the file"
    )
    assert len(read(tmp_path, "<trk/><rte/>").notes) == 2
    assert refused(tmp_path, "<trk/><rte/><trk/>") == (
        "a.gpx: line 1: more than 2 tracks and routes; split the file"
    )
    assert read(tmp_path, "<a><b/></a>").notes == ()
    assert refused(tmp_path, "<a><b><c/></b></a>") == (
        "a.gpx: line 1: elements nest deeper than 3; export it again"
    )


def test_times_numbers_and_turns():
    assert parse_time(" 1970-01-02T00:00:00 ") == 86_400.0
    assert parse_time("1970-01-01T01:00:00+01:00") == 0.0
    assert math.isnan(parse_time("noon"))
    assert [number_of("1.5"), number_of("-2"), number_of("0")] == [1.5, -2.0, 0.0]
    assert all(math.isnan(number_of(text)) for text in ("x", "", "inf", "nan"))
    assert (positive("0.5"), positive("1")) == (0.5, 1.0)
    assert all(math.isnan(positive(text)) for text in ("0", "-1", "x"))
    lon = np.array([180.0, -180.0, 181.0, -181.0, 270.0, 360.0, 12.5])
    assert wrapped(lon).tolist() == [180.0, -180.0, -179.0, 179.0, -90.0, 0.0, 12.5]


def test_a_file_is_named_by_its_path_where_no_other_name_is_given(tmp_path):
    path = tmp_path / "b.gpx"
    path.write_text("<gpx><wpt lat='1' lon='2'/></gpx>")
    assert read_gpx(path).source == str(path)
    assert read_gpx(path).waypoints[0].source == str(path)


@pytest.mark.parametrize(
    ("body", "waypoints", "tracks"),
    [
        ("<trkseg/>", 0, []),
        ("<wpt lat='1' lon='2'><wpt lat='3' lon='4'/><name>x</name><time>y</time></wpt>", 1, []),
        ("<trk><rte/><name>x</name></trk>", 0, []),
        ("<trk><trkpt lat='1' lon='2'><trkpt lat='3' lon='4'/></trkpt></trk>", 0, [1]),
        ("<trk><trkpt lat='1' lon='2'><rte/></trkpt></trk>", 0, []),
    ],
)  # fmt: skip
def test_elements_inside_their_own_kind_count_once(tmp_path, body, waypoints, tracks):
    layer = read(tmp_path, body)
    assert len(layer.waypoints) == waypoints
    assert [len(track.lon) for track in layer.tracks] == tracks
    assert "bad-times" not in {note.code for note in layer.notes}
