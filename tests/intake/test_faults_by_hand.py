"""What is wrong with a file, a setting or a line of the log, each said as a person can mend it."""

import ctypes
import datetime as dt
import errno
import json
import zipfile
from types import SimpleNamespace

import numpy as np
import pytest
import shapely
from settings_said import faults, plot

from quietacre.errors import FileProblem
from quietacre.intake import deadline
from quietacre.intake.archive import unpack, whole_archive
from quietacre.intake.collect import Collector
from quietacre.intake.coordinates import moved
from quietacre.intake.file_faults import Place, file_faults
from quietacre.intake.gpx import parse_time, read_gpx
from quietacre.intake.key_names import keys_at, near_word
from quietacre.intake.log import figure, read_log
from quietacre.intake.logdays import Figures, is_day_first, read_day
from quietacre.intake.loose_values import loose_types, unfit_values
from quietacre.intake.new_edges import read_new_edges
from quietacre.intake.placed import read_placed
from quietacre.intake.property import read_property
from quietacre.intake.reference import Move
from quietacre.intake.rows import (
    check_year,
    day_in,
    mark_between,
    named_rows,
    number_in,
    plain_rows,
)
from quietacre.intake.transects import read_transects
from quietacre.intake.vector import read_layer
from quietacre.intake.weather import read_weather
from quietacre.settings import Property

D = dt.date


def mix(**seed):
    return {"name": "m", "seed": [{"crop": "oats", **seed}]}


def forage(inside=None, outside=None, **more):
    made = {"deer": 9, "intake_lb_day": 3, "days": 90, "utilisation": 0.5, **more}
    if inside:
        clips = {"area_ft2": 9, "dry_frac": 0.3, "inside_g": inside, "outside_g": outside}
        made["clips"] = clips
    return made


@pytest.mark.parametrize(
    ("tables", "said"),
    [
        # seed
        ({"mix": [mix(rate_lb_ac=60.0, basis="bulk")]}, ""),
        ({"mix": [mix(share=0.5)]}, ""),
        ({"mix": [mix(share=0.5, seeds_ft2=3)]}, "share: give it or seeds_ft2, not both"),
        ({"mix": [mix()]}, "give share (of the full rate), rate_lb_ac or seeds_ft2"),
        ({"mix": [mix(rate_lb_ac=60.0)]}, "basis: say whether the rate is"),
        ({"mix": [mix(rate_lb_ac=60.0, basis="pls", purity=0.9)]}, "a pls rate needs purity and germination"),
        ({"mix": [mix(rate_lb_ac=60.0, basis="pls", germination=0.9)]}, "a pls rate needs purity and germination"),
        ({"mix": [mix(rate_lb_ac=60.0, basis="pls", purity=0.9, germination=0.9)]}, ""),
        ({"mix": [mix(rate_lb_ac=60.0, basis="bulk", germination=0.7, hard=0.3)]}, ""),
        ({"mix": [mix(rate_lb_ac=60.0, basis="bulk", germination=0.7, hard=0.31)]},
         "germination and hard seed add to more than 1"),
        # crops and lags: three weeks of rot and eleven days are 32
        ({"lags": {"clip_days": 32}}, ""),
        ({"lags": {"clip_days": 31}}, "lags.clip_days: 31 days leave no 21 for the rot and 11"),
        ({"lags": {"clip_days": 31, "rot_days": 20}}, ""),
        ({"lags": {"clip_days": 31, "rot_days": 21}}, "give 32 or more, or fewer rot_days"),
        ({"mix": [mix(share=1.0)], "crop": {"oats": {"window": "Sep 1-Oct 1"}}}, ""),
        ({"mix": [mix(share=1.0)], "crop": {"oats": {"window": "whenever"}}}, "no planting window to be read"),
        ({"mix": [mix(share=1.0)], "crop": {"oatz": {"window": "Sep 1-Oct 1"}}}, "no mix sows “oatz”; did you mean"),
        ({"mix": [mix(share=1.0)], "crop": {"oats": {"tasks": [{"task": "clip", "crop": "oats"}]}}},
         "these tasks are this crop's; leave it out"),
        ({"mix": [mix(share=1.0)], "crop": {"oats": {"lags": {"clip_days": 5}}}}, "crop.oats.lags.clip_days"),
        # soil tests
        ({"soil_test": [{"name": "t", "need_lb_ac": {"p": 1, "p2o5": 1}}]}, "need_lb_ac.p: give p or p2o5"),
        ({"soil_test": [{"name": "t", "need_ppm": {"k": 1, "k2o": 1}}]}, "need_ppm.k: give k or k2o"),
        ({"soil_test": [{"name": "t", "need_lb_ac": {"p": 1, "k2o": 1}}]}, ""),
        ({"soil_test": [{"name": "t", "need_lb_ac": {"p": 1}, "need_ppm": {"p": 1}}]}, "give need_lb_ac or need_ppm"),
        ({"soil_test": [{"name": "t", "lime_ton_ac": 1, "lime_lb_ac": 9}]}, "give lime_ton_ac or lime_lb_ac"),
        ({"soil_test": [{"name": "t", "lime_ton_ac": 1, "lime_basis": "ENP"}]}, "ENP is written in pounds"),
        ({"soil_test": [{"name": "t", "lime_lb_ac": 9, "lime_basis": "ENP"}]}, ""),
        ({"soil_test": [{"name": "t", "lime_ton_ac": 1, "lime_basis_pct": 60}]}, "say of which measure"),
        ({"soil_test": [{"name": "t", "lime_ton_ac": 1, "lime_basis_ecce_pct": 60, "lime_basis": "ENP"}]},
         "the basis is ENP; use lime_basis_pct"),
        ({"soil_test": [{"name": "t", "lime_ton_ac": 1, "lime_basis_ecce_pct": 60}]}, ""),
        # what is hauled off and what is grown
        ({"area": [plot(fertilizer="removal")]}, "“removal” needs harvest"),
        ({"area": [plot(harvest={"what": "hay of the moon", "ton_ac": 2})]}, "is not in the table of what crops carry"),
        ({"forage": forage()}, "forage.yield_lb_ac: give it or clips, one of them"),
        ({"forage": forage(yield_lb_ac=900)}, ""),
        ({"forage": forage([1.0], [1.0])}, ""),
        ({"forage": forage([1.0], [1.0], yield_lb_ac=900)}, "one of them"),
        ({"forage": forage([1.0, 2.0], [1.0])}, "1 clippings outside for 2 inside"),
        ({"forage": forage([0.0], [1.0])}, "nothing grew inside any cage"),
        # plantings
        ({"mix": [mix(share=1.0)], "area": [plot(plantings=[{"mix": "m", "plant": "09-01"}, {"mix": "m"}])]},
         "plantings[2].plant: is missing"),
        ({"mix": [mix(share=1.0)],
          "area": [plot(plantings=[{"mix": "m", "plant": "09-01"}, {"mix": "m", "plant": "09-01"}])]},
         "plantings[1] has that day too"),
        ({"mix": [mix(share=1.0)], "area": [plot(harvest={"what": "corn grain", "bu_ac": 100}, plantings=[
            {"mix": "m", "plant": "04-01"}, {"mix": "m", "plant": "05-01", "fertilizer": "removal"},
            {"mix": "m", "plant": "09-01", "fertilizer": "removal"}])]},
         "plantings[3].fertilizer: what is hauled off is put back once; plantings[2] has “removal”"),
        # days
        ({"area": [plot(plant=D(1900, 1, 1))]}, ""), ({"area": [plot(plant=D(1899, 12, 31))]}, "is no year to plan in"),
        ({"area": [plot(plant=D(2200, 12, 31))]}, ""), ({"area": [plot(plant=D(2201, 1, 1))]}, "is no year to plan in"),
        ({"area": [plot(plant="2027-02-29")]}, "area[1].plant"), ({"area": [plot(plant="2028-02-29")]}, ""),
    ],
)  # fmt: skip
def test_each_setting_that_cannot_be_is_said_and_its_neighbor_is_not(tables, said):
    told = faults(**tables).replace('"removal"', "“removal”")
    assert said in told
    assert bool(told) is bool(said), told


def test_values_nest_thirty_two_deep_and_no_deeper():
    def deep(levels):
        value = 1
        for _ in range(levels):
            value = {"a": value}
        return value

    assert list(unfit_values(deep(32))) == []
    assert list(unfit_values(deep(33))) == ["nests too deep"]
    bad = {"a": [1, float("nan"), True], "b": D(1899, 1, 1), "c": 10**400}
    told = sorted(unfit_values(bad))
    assert [line.split(":")[0] for line in told] == ["a[2]", "b", "c"]


@pytest.mark.parametrize(
    ("value", "good"),
    [(D(2027, 9, 25), True), ("2027-09-25", True), ("2027-02-30", False), (20270925, False),
     (dt.datetime(2027, 9, 25, 8, tzinfo=dt.UTC), False), ("soon", False), ("2027-09-25 08:00", False)],
)  # fmt: skip
def test_a_day_is_one_of_toml_or_spelled_like_it(value, good):
    assert bool(list(loose_types(value, dt.date, "on"))) is not good


def test_keys_are_known_by_the_table_they_stand_in():
    assert "mower_width_ft" in keys_at(("equipment", "mower_width"))
    assert "window" in keys_at(("crop", "oats", "windows"))
    assert {"crop", "share"} <= set(keys_at(("mix", 0, "seed", 0, "shar")))
    assert "area" in keys_at(("areas",))
    assert keys_at(("no such table", "key")) == []
    assert keys_at(("property", "name", "more")) == keys_at(("property", "more"))
    assert Property is not None
    assert near_word("oat", ["oats", "rye"]) == "; did you mean “oats”?"
    assert near_word("OATS", ["Oats"]) == "; did you mean “Oats”?"
    assert near_word("zebra", ["oats"]) == ""


# files


def named(folder, name, *coming):
    return list(file_faults(name, "area[1].from", Place(folder, frozenset(coming))))


def test_a_name_too_long_for_any_file_is_not_there(tmp_path):
    (tmp_path / "walks").mkdir()
    (tmp_path / "walks" / "hill.gpx").write_text("x")
    (tmp_path / "out").mkdir()
    (tmp_path / "out" / "a.gpx").write_text("x")
    assert named(tmp_path, "walks/hill.gpx") == []
    assert named(tmp_path, "walks\\hill.gpx") == []
    (line,) = named(tmp_path, "n" * 300)
    assert line.endswith("is not there; check its name")
    (line,) = named(tmp_path, "walks/hil.gpx")
    assert "is not there; did you mean “walks/hill.gpx”?" in line
    assert named(tmp_path, "new.gpx", "new.gpx") == []
    for name in ("../a", "/a", "c:a", "a\x00"):
        assert "leads out of the property folder" in named(tmp_path, name)[0]
    assert "which every build writes anew" in named(tmp_path, "out/a.gpx")[0]
    assert named(None, "given as a shape") == []
    assert "lies in no folder" in named(None, "a.gpx")[0]


def test_settings_that_are_a_link_out_of_their_folder_are_not_read(tmp_path):
    (tmp_path / "home").mkdir()
    (tmp_path / "other.toml").write_text('[property]\nname = "x"\n')
    link = tmp_path / "home" / "property.toml"
    link.symlink_to(tmp_path / "other.toml")
    with pytest.raises(FileProblem, match="is a link out of the property folder"):
        read_property(tmp_path / "home")
    link.unlink()
    (tmp_path / "home" / "own.toml").write_text('[property]\nname = "x"\n')
    link.symlink_to(tmp_path / "home" / "own.toml")
    assert read_property(tmp_path / "home").property.name == "x"


def test_a_file_of_another_ending_is_named(tmp_path):
    for name, ending in (("a.doc", ".doc"), ("a", "nothing")):
        path = tmp_path / name
        path.write_text("x")
        with pytest.raises(FileProblem, match=f"files ending in “{ending}” are not read"):
            read_layer(path)
    with pytest.raises(FileProblem, match="is not there"):
        read_layer(tmp_path / "none.doc")
    with pytest.raises(FileProblem, match="is not a file of yours"):
        read_layer("/vsizip/a.zip/b.shp")


def test_a_reader_of_ones_own_is_given_the_file(tmp_path):
    path = tmp_path / "a.own"
    readers = {".own": lambda path, shown: (path.name, shown)}
    path.write_text("x")
    assert read_layer(path, shown="mine", readers=readers) == ("a.own", "mine")
    path.write_text("")
    with pytest.raises(FileProblem, match="is empty"):
        read_layer(path, readers=readers)


def test_entries_that_differ_in_their_capitals_only_are_both_unpacked(tmp_path):
    path = tmp_path / "a.zip"
    with zipfile.ZipFile(path, "w") as made:
        for name, data in (("f.shp", b"1"), ("f.SHP", b"2"), ("f.Shp", b"3")):
            made.writestr(name, data)
    found = unpack(path, tmp_path / "out", "a.zip", (".shp",))
    assert [member.path.read_bytes() for member in found] == [b"1", b"2", b"3"]
    assert len({member.path for member in found}) == 3


def test_a_full_disk_is_no_broken_archive(tmp_path):
    path = tmp_path / "a.zip"
    with zipfile.ZipFile(path, "w") as made:
        made.writestr("a", b"1")
    with pytest.raises(OSError, match="no room"), whole_archive(path, "a.zip"):
        raise OSError(errno.ENOSPC, "no room")
    for problem in (OSError(errno.EIO, "disk"), ValueError("x"), EOFError()):
        with (
            pytest.raises(FileProblem, match="broken or unusual"),
            whole_archive(path, "a"),
        ):
            raise problem


def test_the_one_shape_that_cannot_be_moved_is_named():
    class Fails:
        def transform(self, x, y, **_):
            if (x > 5).any():
                raise ValueError
            return x, y

    move = Move("system", Fails(), False, 1.0, False)
    good, bad = shapely.Point(1, 2), shapely.Point(9, 2)
    with pytest.raises(FileProblem, match="f2: lies where its reference system cannot go"):
        moved(np.array([good, bad]), move, ["f1", "f2"], Collector("a"))
    assert moved(np.array([good]), move, ["f1"], Collector("a"))[0].equals(good)


# time


def wait_of(monkeypatch, *, worked, clock, seconds=10.0, rounds=4):
    """Return the waits and strikes of a watch, by seconds worked and by the clock at each look."""
    waits, strikes = [], []
    watch = deadline._Watch(seconds)
    worked, clock = iter(worked), iter(clock)

    def wait(given):
        waits.append(given)
        return len(waits) > rounds

    watch.done = SimpleNamespace(wait=wait)
    watch.start_s = 0.0
    monkeypatch.setattr(deadline, "time", SimpleNamespace(
        process_time=lambda: next(worked), monotonic=lambda: next(clock)))  # fmt: skip
    python = SimpleNamespace(PyThreadState_SetAsyncExc=lambda *given: strikes.append(given))
    monkeypatch.setattr(deadline, "ctypes", SimpleNamespace(
        pythonapi=python, py_object=ctypes.py_object))  # fmt: skip
    watch._wait()
    return waits, len(strikes)


def test_a_watch_waits_for_what_is_left_and_then_strikes_again_and_again(monkeypatch):
    """Of ten seconds four were worked: six are left; then a hundredth; then none."""
    found = wait_of(monkeypatch, worked=[4.0, 9.99, 10.0, 10.5], clock=[0, 10, 16, 17, 18])
    assert found == ([10.0, 6.0, 0.05, 0.5, 0.5], 2)


def test_a_watch_loses_patience_at_eight_times_the_seconds_by_the_clock(monkeypatch):
    found = wait_of(monkeypatch, worked=[1.0, 1.0], clock=[5, 84.9, 85.0], rounds=2)
    assert found == ([10.0, 9.0, 0.5], 1)


def test_a_watch_that_cannot_begin_is_called_off():
    watch = deadline._Watch(1.0)

    def start():
        raise MemoryError

    watch.thread = SimpleNamespace(start=start)
    with pytest.raises(MemoryError):
        watch.start()
    assert watch.done.is_set()


# GPX


def test_times_of_a_walk_and_files_that_break_off(tmp_path):
    assert parse_time("2027-09-25T12:00:00Z") == parse_time("2027-09-25T12:00:00")
    assert parse_time("2027-09-25T12:00:00+01:00") == parse_time("2027-09-25T11:00:00")
    assert np.isnan(parse_time("soon"))
    assert parse_time("0001-01-01T00:00:00+14:00") < parse_time("9999-12-31T23:59:59-14:00")
    path = tmp_path / "a.gpx"
    path.write_text("<gpx>\n<trk></gpx>")
    with pytest.raises(
        FileProblem, match=r"line 2: is not a GPX file, or a damaged one \(mismatched tag\)"
    ):
        read_gpx(path)
    path.write_text('<gpx>\n<wpt lat="1" lon="2"/>\n')
    with pytest.raises(FileProblem, match=r"is cut off after 1 points \(line 3\)"):
        read_gpx(path)


def test_what_a_receiver_says_of_each_point_is_kept(tmp_path):
    point = '<trkpt lat="1" lon="{lon}"><ele>{ele}</ele><{error}>{told}</{error}><sat>{sat}</sat></trkpt>'
    points = [
        point.format(lon=190, ele=12.5, error="hdop", told=1.5, sat=7),
        point.format(lon=-190, ele="-3", error="pdop", told=2.5, sat=0),
        point.format(lon=180, ele="x", error="hdop", told="-1", sat="inf"),
    ]
    path = tmp_path / "a.gpx"
    path.write_text(
        f"<gpx><trk><name>A</name><trkseg>{points[0]}</trkseg><trkseg>{points[1]}{points[2]}</trkseg></trk>"
        "<trk/><trk><name>B</name></trk><rte><rtept lat='1' lon='2'/></rte>"
        "<wpt lat='3' lon='4'><name>Gate</name><time>never</time></wpt></gpx>"
    )
    layer = read_gpx(path)
    track, route = layer.tracks
    assert track.lon.tolist() == [-170.0, 170.0, 180.0]
    assert track.segment.tolist() == [0, 1, 1]
    np.testing.assert_array_equal(track.hdop, [1.5, 2.5, np.nan])
    np.testing.assert_array_equal(track.satellites, [7.0, np.nan, np.nan])
    np.testing.assert_array_equal(track.height_m, [12.5, -3.0, np.nan])
    assert (route.kind, route.hdop, route.segment.tolist()) == ("route", None, [0])
    assert [note.text for note in layer.notes] == [
        "track “number 2” has no points; left out.", "track “B” has no points; left out.",
        "1 points have a time that cannot be read; they are used without it.",
        "1 waypoints are listed, not measured.",
    ]  # fmt: skip


# KML


def kml(tmp_path, body):
    path = tmp_path / "a.kml"
    path.write_text(
        '<kml xmlns="http://www.opengis.net/kml/2.2" xmlns:gx="http://www.google.com/kml/ext/2.2">'
        f"<Document>{body}</Document></kml>"
    )
    return read_layer(path)


def track(*whens, coords=2):
    there = "".join(f"<gx:coord>{n} 1 0</gx:coord>" for n in range(coords))
    return f"<gx:Track>{''.join(f'<when>{w}</when>' for w in whens)}{there}</gx:Track>"


WHENS = ("2027-01-01T00:00:00Z", "2027-01-01T00:00:10Z")


@pytest.mark.parametrize(
    ("inside", "notes", "points"),
    [
        (track(*WHENS), [], 2), (track(), [], 2),
        (track(WHENS[0]), ["bad-times"], 2),  # one time for two places
        (track(WHENS[0], "soon"), ["bad-times"], 2), (track("soon", "later"), [], 2),
        (track(WHENS[0], coords=1), ["empty-track"], 0),
        (f"<gx:MultiTrack>{track(*WHENS)}{track(*WHENS)}</gx:MultiTrack>", [], 4),
    ],
)  # fmt: skip
def test_tracks_of_a_kml_file_and_their_times(tmp_path, inside, notes, points):
    layer = kml(tmp_path, f"<Placemark><name>W</name>{inside}</Placemark>")
    told = [note.code for note in layer.notes if note.code != "left-out"]
    assert told == notes
    assert sum(len(one.lon) for one in layer.tracks) == points
    if points == 4:
        assert layer.tracks[0].segment.tolist() == [0, 0, 1, 1]


def polygon(*outer, inner=()):
    def ring(side, words):
        return (
            f"<{side}><LinearRing><coordinates>{words}</coordinates></LinearRing></{side}>"
        )

    parts = [ring("outerBoundaryIs", words) for words in outer]
    parts += [ring("innerBoundaryIs", words) for words in inner]
    return f"<Placemark><Polygon>{''.join(parts)}</Polygon></Placemark>"


def test_edges_of_a_kml_polygon(tmp_path):
    square, flat = "0,0 2,0 2,2 0,2 0,0", "1,1 1,1 1,1"
    assert (
        kml(tmp_path, polygon(square, inner=["1,1 1.5,1 1.5,1.5 1,1"])).geometry[0].area
        == 3.875
    )
    assert kml(tmp_path, polygon(square, inner=[flat])).geometry[0].area == 4.0
    with pytest.raises(FileProblem, match="fewer than three different points"):
        kml(tmp_path, polygon(flat))
    with pytest.raises(FileProblem, match="one polygon has 2 outer edges"):
        kml(tmp_path, polygon(square, square))
    assert [n.code for n in kml(tmp_path, polygon()).notes] == ["left-out"]


def test_links_are_said_and_never_followed(tmp_path):
    layer = kml(tmp_path, "<NetworkLink/>" + polygon("0,0 2,0 2,2 0,0"))
    assert "network-link" in [note.code for note in layer.notes]


@pytest.mark.parametrize("words", ["-87,6,34,2", "x,1", "1", "3_4,1", "nan,1"])
def test_a_place_of_a_kml_file_is_two_numbers_and_a_height_at_most(tmp_path, words):
    with pytest.raises(FileProblem, match=r"is not a (number|longitude and a latitude)"):
        kml(
            tmp_path,
            f"<Placemark><Point><coordinates>{words}</coordinates></Point></Placemark>",
        )


# tables


def rings(tmp_path, text):
    path = tmp_path / "t.csv"
    path.write_text(text)
    layer = read_layer(path)
    return [
        (name, shape.area) for name, shape in zip(layer.name, layer.geometry, strict=True)
    ]


SQUARE = ((0, 0), (2, 0), (2, 2), (0, 2))


def test_bare_shapes_a_line_each(tmp_path):
    text = "POLYGON((0 0,2 0,2 2,0 0))\n\nPOLYGON((0 0,1 0,1 1,0 0))\n"
    assert [area for _, area in rings(tmp_path, text)] == [2.0, 0.5]
    assert [area for _, area in rings(tmp_path, "\n" * 3 + text)] == [2.0, 0.5]
    with pytest.raises(FileProblem, match="line 2: is not well-known text"):
        rings(tmp_path, "POLYGON((0 0,2 0,2 2,0 0))\nPOLYGON(0\n")
    spreadsheet = "sep=,\nlon,lat\n0,0\n2,0\n2,2\n"
    assert [area for _, area in rings(tmp_path, spreadsheet)] == [2.0]


def test_numbers_of_rings_tell_them_apart_and_numbers_of_corners_do_not(tmp_path):
    def rows(numbers):
        return "lon,lat,id\n" + "".join(
            f"{x + 5 * (n // 4)},{y},{number}\n"
            for n, (number, (x, y)) in enumerate(zip(numbers, SQUARE * 2, strict=False))
        )

    assert rings(tmp_path, rows("11112222")) == [("", 4.0), ("", 4.0)]
    assert len(rings(tmp_path, rows("12345678"))) == 1, "each corner's own"
    assert len(rings(tmp_path, rows("1111222"))) == 2, "three corners will do for a ring"
    assert len(rings(tmp_path, rows(["1", "1", "1", "1", "2", "2", "2", ""]))) == 1
    assert len(rings(tmp_path, rows("11222"))) == 1, "five corners are no two rings"
    assert len(rings(tmp_path, rows("111222"))) == 2


@pytest.mark.parametrize(
    ("text", "mark"),
    [("a,b,c\n1;2;3\n", ","), ("a;b\n", ";"), ("a\tb\n", "\t"), ("\n\na;b,c;d\n", ";"), ("a\n", ",")],
)  # fmt: skip
def test_what_parts_the_cells_of_a_table(text, mark):
    assert mark_between(text) == mark


def test_cells_and_rows_of_a_table():
    rows = named_rows(" A ;b\n1;2\n;\n3\n", "t", need=("a",))
    assert list(rows) == [(2, {"a": "1", "b": "2"}), (4, {"a": "3", "b": ""})]
    with pytest.raises(FileProblem, match="line 2: has more values than there are columns"):
        list(named_rows("a,b\n1,2,3\n", "t"))
    assert list(named_rows("a,b\n1,2,3\n", "t", more=True)) == [(2, {"a": "1", "b": "2"})]
    assert list(named_rows("a,b\n1,2, ,\n", "t")) == [(2, {"a": "1", "b": "2"})]
    with pytest.raises(FileProblem, match="has two columns named a"):
        list(named_rows("a,A\n1,2\n", "t"))
    assert len(list(named_rows(",,a\n1,2,3\n", "t"))) == 1, (
        "two without a name are none of one"
    )
    with pytest.raises(
        FileProblem, match="has no column b; begin it with a line such as a,b"
    ):
        list(named_rows("a\n1\n", "t", need=("a", "b")))
    assert list(plain_rows("abc\n", "t", most_signs=3)) == [(1, ["abc"])]
    with pytest.raises(FileProblem, match="a cell of more than 3 signs"):
        list(plain_rows("abcd\n", "t", most_signs=3))
    assert list(plain_rows('"a\nb",c\n', "t")) == [(2, ["a\nb", "c"])]
    with pytest.raises(FileProblem, match="line 2: a quote is opened and not closed"):
        list(plain_rows('a,b\n"x,1\n2,"y" z\n3,4\n', "t"))


@pytest.mark.parametrize(
    ("cell", "said"),
    [("1,5", "has a decimal comma"), ("1,234,5", "is not a number"), ("1,2.5", "is not a number"),
     ("1_0", "is not a number"), ("inf", "is not a number"), ("", "is not a number")],
)  # fmt: skip
def test_a_cell_that_is_no_number(cell, said):
    with pytest.raises(FileProblem, match=f"line 3: width “{cell}” {said}"):
        number_in(cell, "width", "mend it", "t", 3)
    assert number_in(" 1.5 ", "", "", "t", 1) == 1.5


def test_days_of_records_lie_from_1700_to_2200():
    for day in (D(1700, 1, 1), D(2200, 12, 31)):
        check_year(day, "t", 1)
        assert day_in(f" {day} ", "t", 1) == day
    for day in (D(1699, 12, 31), D(2201, 1, 1)):
        with pytest.raises(FileProblem, match=f"line 1: {day} cannot be"):
            day_in(f"{day}", "t", 1)


def test_rows_of_a_transect(tmp_path):
    path = tmp_path / "t.csv"

    def read(row):
        path.write_text(f"patch,transect,from,to,advance_ft,cut\n{row}\n")
        return read_transects(path)[0]

    made = read("V,1,2027-05-01,2027-05-02,10,yes")
    assert (made.start, made.end, made.censored) == (D(2027, 5, 1), D(2027, 5, 2), True)
    assert made.advance_m == pytest.approx(3.048)
    assert not read("V,1,2027-05-01,2027-05-02,10,").censored
    with pytest.raises(FileProblem, match="is not after from"):
        read("V,1,2027-05-01,2027-05-01,10,")
    with pytest.raises(FileProblem, match=f"cut is “{'p' * 20}”"):
        read(f"V,1,2027-05-01,2027-05-02,10,{'p' * 30}")


# weather


def weather(tmp_path, text):
    path = tmp_path / "w.csv"
    path.write_text(text)
    return read_weather(path)


def daily(inches, days=365):
    return "date,inches\n" + "".join(
        f"{D(2026, 1, 1) + dt.timedelta(days=n)},{inches}\n" for n in range(days)
    )


def test_more_rain_than_300_inches_a_year_is_millimeters(tmp_path):
    """365 days of 0.82 are 299.3 inches, of 0.83 302.95."""
    assert len(weather(tmp_path, daily(0.82)).rain_in) == 365
    with pytest.raises(FileProblem, match="its rain comes to 303 inches a year"):
        weather(tmp_path, daily(0.83))
    assert len(weather(tmp_path, daily(0.83, 364)).rain_in) == 364, "less than a year"


@pytest.mark.parametrize(
    ("row", "good"),
    [
        ("80,,", True), ("80.1,,", False), ("0,,", True), ("-0.1,,", False), (",140,", True),
        (",140.5,", False), (",-130,", True), (",-130.5,", False), (",,140", True), (",,140.5", False),
        (",50,50", True), (",50.1,50", False), (",50,", True),
    ],
)  # fmt: skip
def test_values_that_no_place_has(tmp_path, row, good):
    text = f"date,inches,low_f,high_f\n2027-01-01,{row}\n"
    if good:
        assert weather(tmp_path, text).start == D(2027, 1, 1)
    else:
        with pytest.raises(FileProblem, match=r"cannot be|is above its high"):
            weather(tmp_path, text)


def test_celsius_and_days_between_and_a_day_twice(tmp_path):
    made = weather(
        tmp_path, "date,low_c,high_c\n2027-01-01,0,20.5\n2027-01-04,-40,\n,9,9\n"
    )
    np.testing.assert_array_equal(made.low_f, [32.0, np.nan, np.nan, -40.0])
    assert made.high_f[0] == 68.9
    same = weather(tmp_path, "date,inches\n2027-01-01,1\n2027-01-01,1\n")
    assert same.rain_in.tolist() == [1.0]
    dry = weather(tmp_path, "date,rain_in\n2027-01-01,Trace\n2027-01-02,0\n")
    assert (dry.traces, dry.rain_in.tolist()) == (1, [0.0, 0.0])


def test_a_station_s_file_row_by_row(tmp_path):
    """Tenths of a degree and of a millimeter: 25.4 mm are an inch; 0.0 °C is 32 °F, 0.3 is 33."""
    head = "ID,DATE,ELEMENT,VALUE,M,Q,S,T\n"
    made = weather(
        tmp_path, head + "A,20270101,PRCP,254,,,7,\nA,20270101,TMIN,0\nA,20270102,TMIN,3,,,\n"
        "A,20270102,TMAX,-400\nA,20270103,TMIN,2\n",
    )  # fmt: skip
    assert made.rain_in[0] == 1.0
    assert made.low_f.tolist() == [32.0, 33.0, 32.0]
    assert made.high_f[1] == -40.0, (
        "a night may be told as warmer than its day, read at another hour"
    )
    with pytest.raises(FileProblem, match="line 2: has fewer than four fields"):
        weather(tmp_path, head + "A,20270101,PRCP\n")


# the log


@pytest.mark.parametrize(
    ("cell", "most", "value"),
    [("$1,234.50", 9e9, 1234.5), ("12", 12, 12.0), ("12.1", 12, None), ("0", 5, 0.0), ("-1", 5, None),
     ("0,4", 5, None), ("1_0", 50, None), ("inf", 9e9, None), (" $ 5 ", 9, 5.0), ("", 9, None)],
)  # fmt: skip
def test_a_figure_of_a_cell(cell, most, value):
    assert figure(cell, most) == value


@pytest.mark.parametrize(
    ("figures", "proves", "day_first", "month_first"),
    [((13, 12), "first", D(2027, 12, 13), D(2027, 12, 13)), ((12, 13), "second", D(2027, 12, 13), D(2027, 12, 13)),
     ((12, 12), "", D(2027, 12, 12), D(2027, 12, 12)), ((3, 4), "", D(2027, 4, 3), D(2027, 3, 4)),
     ((13, 13), "", None, None)],
)  # fmt: skip
def test_figures_that_may_be_a_day_or_a_month(figures, proves, day_first, month_first):
    made = Figures(*figures, 2027)
    assert made.proves == proves
    assert made.day(day_first=True) == day_first
    assert made.day(day_first=False) == month_first


def test_one_line_proves_how_the_others_are_read():
    first, second, either = Figures(13, 1, 2027), Figures(1, 13, 2027), Figures(3, 4, 2027)
    assert is_day_first([first, either, None, D(2027, 1, 1)])
    assert not is_day_first([first, second])
    assert not is_day_first([either])


@pytest.mark.parametrize(
    ("text", "day"),
    [
        ("36525", None), ("36526", D(2000, 1, 1)), ("73050", D(2099, 12, 31)), ("73051", None),
        ("45000.5", D(2023, 3, 15)), ("Sept. 5, 27", D(2027, 9, 5)), ("5th of May", None),
        ("5-May-27", D(2027, 5, 5)), ("5 Ma 2027", None), ("2027/9/5 08:30", D(2027, 9, 5)),
        ("2027-9-5T08:30:00.5Z", D(2027, 9, 5)), ("March 3rd 2027", D(2027, 3, 3)), ("Foo 3 2027", None),
    ],
)  # fmt: skip
def test_a_day_in_a_cell(text, day):
    assert read_day(text) == day


def test_lines_of_a_log_that_could_be_read_two_ways(tmp_path):
    path = tmp_path / "log.csv"

    def read(*days):
        path.write_text("date,area,task\n" + "".join(f"{day},P,clip\n" for day in days))
        made = read_log(path, shown="log.csv")
        return [job.on for job in made.jobs], [str(note.text) for note in made.notes]

    assert read("3/4/2027") == ([D(2027, 3, 4)], [])
    days, (text,) = read("13/1/2027", "3/4/2027")
    assert days == [D(2027, 1, 13), D(2027, 4, 3)]
    assert "the day is read before the month in line 3 too, because line 2" in text
    days, (text,) = read("13/1/2027", "1/13/2027", "3/4/2027", "5/6/2027")
    assert days[2:] == [D(2027, 3, 4), D(2027, 5, 6)]
    assert "2 lines could be either and are read month first" in text
    assert read("13/1/2027", "4/4/2027")[1] == []
    days, (text,) = read("1699-12-31")
    assert (days, "cannot be (check its year)" in text) == ([], True)
    assert read("1700-01-01", "2200-12-31")[1] == []


def test_cells_of_a_log_line_in_words(tmp_path):
    path = tmp_path / "log.csv"
    path.write_text(
        "date,area,task,minutes,rain_in,note,until,stand\n"
        "2027-09-05,P,clip,40,0.4,by the gate,9/12/2027,7\n"
        "2027-09-06,P,clip,forty,,,someday,11\n,P,clip\n2027-09-07,P,\n2027-09-08,P,clip,,,,,10\n"
    )
    made = read_log(path, shown="log.csv")
    assert made.jobs[0].cells == {
        "minutes": "40", "rain_in": "0.4", "note": "by the gate", "until": "2027-09-12", "stand": "7",
    }  # fmt: skip
    assert [str(note.text).partition(": ")[2] for note in made.notes] == [
        "until “someday” is no day and is kept as words.",
        "minutes “forty” is no figure and is kept as words.",
        "stand “11” is no figure and is kept as words.",
        "it has no date, so the line counts for nothing.",
        "it has no task, so the line counts for nothing.",
    ]
    assert len(made.jobs) == 3


# edges typed anew, and placed pictures


def test_feet_of_a_typed_edge_are_above_nought(tmp_path):
    path = tmp_path / "e.geojson"

    def read(**properties):
        shape = {"type": "Polygon", "coordinates": [[[0, 0], [1, 0], [1, 1], [0, 0]]]}
        feature = {"type": "Feature", "geometry": shape, "properties": properties}
        path.write_text(json.dumps({
            "type": "FeatureCollection", "features": [feature], "label": "l" * 300, "out": ["Q"],
        }))  # fmt: skip
        return read_new_edges(path)

    made = read(area="P", edge_pm_ft=0.5, kind="", was="Q")
    (edge,) = made.edges
    assert (edge.area, edge.name, edge.kind, edge.was) == ("P", "", None, "Q")
    assert (edge.edge_pm_ft, edge.hand_pm_ft, made.out, len(made.label)) == (
        0.5,
        None,
        ("Q",),
        200,
    )
    for bad in (0, -1, "3", float("inf")):
        with pytest.raises(FileProblem, match="hand_pm_ft is no length"):
            read(hand_pm_ft=bad)


def test_a_name_of_a_picture_that_is_not_placed_is_said(tmp_path):
    with pytest.raises(FileProblem, match=f"there is no picture “{'n' * 60}” here"):
        read_placed(tmp_path, "n" * 99)
