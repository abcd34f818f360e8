"""What is exactly as large as it may be is read; what is a byte, a feature or a level more is not."""

import zipfile

import numpy as np
import pytest
import shapely

from quietacre.errors import FileProblem
from quietacre.intake import limits
from quietacre.intake.archive import check_entries
from quietacre.intake.calendar import read_issued
from quietacre.intake.collect import Collector
from quietacre.intake.gpx import _Reader
from quietacre.intake.limits import check_file, decode, megabytes
from quietacre.intake.marks import features_in, marks_in
from quietacre.intake.photo import read_photo
from quietacre.intake.picture import read_picture
from quietacre.intake.wkb import UnreadableShapeError, shape_from_text


def hollow(path, size):
    """Make a file of so many zero bytes that takes no room on the disk."""
    with path.open("wb") as handle:
        handle.truncate(size)
    return path


@pytest.mark.parametrize(
    ("most", "size", "said"),
    [
        (None, 2_000_000_000, "is 2,000 MB; the limit is 2,000 MB"),
        (limits.MAX_TEXT_BYTES, 256_000_000, "is 256 MB; the limit is 256 MB"),
        (limits.MAX_TOML_BYTES, 4_000_000, "is 4 MB; the limit is 4 MB"),
    ],
)
def test_a_file_of_the_most_bytes_is_taken_and_of_one_more_is_not(
    tmp_path, most, size, said
):
    more = {} if most is None else {"most_bytes": most}
    check_file(hollow(tmp_path / "a", size), "a", **more)
    with pytest.raises(FileProblem, match=said):
        check_file(hollow(tmp_path / "a", size + 1), "a", **more)


@pytest.mark.parametrize(
    ("name", "size", "read", "otherwise"),
    [
        ("a.jpg", 60_000_000, read_photo, "is no JPEG picture"),
        ("a.png", 400_000_000, read_picture, "is not a PNG picture"),
        ("a.ics", 20_000_000, read_issued, "holds zero bytes"),
    ],
)
def test_pictures_and_calendars_have_limits_of_their_own(
    tmp_path, name, size, read, otherwise
):
    with pytest.raises(FileProblem, match=otherwise):
        read(hollow(tmp_path / name, size), shown=name)
    with pytest.raises(FileProblem, match="the limit is"):
        read(hollow(tmp_path / name, size + 1), shown=name)


def test_what_is_no_file_is_said_as_what_it_is(tmp_path):
    for path, said in (
        (tmp_path / "none", "is not there"), (tmp_path, "is a folder"),
        (hollow(tmp_path / "empty", 0), "is empty"),
    ):  # fmt: skip
        with pytest.raises(FileProblem, match=said):
            check_file(path, "a")
    check_file(hollow(tmp_path / "one", 1), "a")


def test_megabytes_and_text_as_a_person_says_them():
    assert megabytes(1_234_567_890) == "1,235 MB"
    assert decode("ö".encode(), "a") == "ö"
    assert decode("\ufeffö".encode(), "a") == "ö"
    for order in ("utf-16-le", "utf-16-be"):
        assert decode("\ufeffö".encode(order), "a") == "ö"
    with pytest.raises(FileProblem, match=r"byte 1 is not UTF-8"):
        decode(b"a\xe9", "a")
    with pytest.raises(FileProblem, match=r"byte 4 is not UTF-16"):
        decode(b"\xff\xfea\x00b", "a")
    with pytest.raises(FileProblem, match="zero bytes"):
        decode(b"a\x00", "a")


# archives


def entry(number=0, size=10, packed=10, name=None):
    made = zipfile.ZipInfo(name or f"e{number}.gpx")
    made.file_size, made.compress_size = size, packed
    return made


def refused(entries, **more):
    try:
        check_entries(entries, "a.zip", **more)
    except FileProblem as problem:
        return str(problem)
    return ""


def test_an_archive_of_the_most_entries_and_bytes():
    assert refused([entry(n) for n in range(2000)]) == ""
    assert "holds 2,001 entries; the limit is 2,000" in refused(
        [entry(n) for n in range(2001)]
    )
    half = 500_000_000
    assert refused([entry(n, half, half) for n in range(2)]) == ""
    over = [entry(0, half, half), entry(1, half + 1, half + 1)]
    assert "expands to 1,000 MB; the limit is 1,000 MB" in refused(over)


def test_an_archive_with_a_copy_of_a_place_may_hold_more():
    copies = {"most_entries": limits.MAX_COPY_ENTRIES, "most_bytes": limits.MAX_COPY_BYTES}
    assert refused([entry(0, 100_000_000_000, 10**11)], **copies) == ""
    assert "the limit is 100,000 MB" in refused(
        [entry(0, 100_000_000_001, 10**11)], **copies
    )
    one = entry()
    many = [one] * 200_000  # counted before they are looked at one by one
    assert "is in it twice" in refused(many, **copies)
    assert "the limit is 200,000" in refused([*many, one], **copies)


@pytest.mark.parametrize(
    ("size", "packed", "said"),
    [
        (1_000_000, 1, ""),  # a megabyte may swell as it likes
        (1_000_001, 5_000, "expands 200-fold; the limit is 200"),
        (1_000_001, 5_001, ""),
        (2_000_000, 10_000, ""),  # 200-fold to the byte
        (2_000_001, 10_000, "expands 200-fold"),
        (2_000_000, 0, "expands 2,000,000-fold"),
    ],
)
def test_an_entry_swells_no_more_than_200_fold(size, packed, said):
    text = refused([entry(0, size, packed)])
    assert said in text
    assert bool(text) is bool(said)


def test_entries_that_are_links_or_locked_are_refused():
    link, locked = entry(), entry()
    link.external_attr = 0o120777 << 16
    assert "an entry is a link" in refused([link])
    locked.flag_bits = 0x1
    assert "locked with a password" in refused([locked])
    utf8 = entry()
    utf8.flag_bits = 0x800
    plain = entry(1)
    plain.external_attr = 0o100644 << 16
    assert refused([utf8, plain]) == ""


# features, corners and points


def test_the_most_features_and_corners_of_a_file():
    into = Collector("a")
    into._seen, into._vertices = 1_999_999, 39_999_995
    square = shapely.box(0, 0, 1, 1)
    into.add(square, {}, "one")
    assert len(into.layer().geometry) == 1
    with pytest.raises(FileProblem, match="more than 2,000,000 features"):
        into.add(square, {}, "two")
    full = Collector("a")
    full._vertices = 39_999_996
    full.add(square, {}, "one")
    with pytest.raises(FileProblem, match="more than 40,000,000 vertices"):
        full.layer()


def gpx(text, fixes=0):
    reader = _Reader("a.gpx")
    reader.fixes = fixes
    reader.parser.Parse(f"<gpx>{text}</gpx>", True)
    return reader


WPT = '<wpt lat="1" lon="2"/>'


def test_the_most_points_tracks_and_levels_of_a_gpx_file():
    assert gpx(WPT, 1_999_999).fixes == 2_000_000
    with pytest.raises(FileProblem, match="more than 2,000,000 points"):
        gpx(WPT, 2_000_000)
    assert len(gpx("<trk/>" * 500 + "<rte/>" * 500).tracks) == 1000
    with pytest.raises(FileProblem, match="more than 1,000 tracks and routes"):
        gpx("<trk/>" * 1001)
    gpx("<a>" * 63 + "</a>" * 63)  # with the outermost 64 levels
    with pytest.raises(FileProblem, match="nest deeper than 64"):
        gpx("<a>" * 64 + "</a>" * 64)


@pytest.mark.parametrize(
    ("point", "said"),
    [
        ('lat="90" lon="360"', ""), ('lat="-90" lon="-360"', ""),
        ('lat="90.01" lon="0"', "latitude 90.01 is outside ±90°"),
        ('lat="0" lon="-360.5"', "longitude -360.5 is outside ±360°"),
        ('lon="0"', "latitude missing"), ('lat="0"', "longitude missing"),
        ('lat="1,5" lon="0"', "latitude “1,5” has a decimal comma"),
        ('lat="1,234,5" lon="0"', "latitude “1,234,5” is not a number"),
        ('lat="1,234.5" lon="0"', "latitude “1,234.5” is not a number"),
        ('lat="1_0" lon="0"', "latitude “1_0” is not a number"),
        ('lat="nan" lon="0"', "latitude “nan” is not a number"),
        ('lat="1" lon="inf"', "longitude “inf” is not a number"),
        ('lat="٣" lon="0"', "is not a number"),
    ],
)  # fmt: skip
def test_degrees_of_a_point(point, said):
    if not said:
        assert len(gpx(f"<wpt {point}/>").waypoints) == 1
        return
    with pytest.raises(FileProblem) as caught:
        gpx(f"<wpt {point}/>")
    assert said in str(caught.value)


def nested(levels):
    return "GEOMETRYCOLLECTION (" * levels + "POINT (1 2)" + ")" * levels


def test_shapes_in_words_nest_thirty_two_deep_and_lie_side_by_side_without_end():
    shape_from_text(nested(31))  # and the point's own brackets
    with pytest.raises(UnreadableShapeError, match="nests deeper than 32"):
        shape_from_text(nested(32))
    many = ", ".join(["(0 0, 1 0, 1 1, 0 0)"] * 100)
    assert shape_from_text(f"POLYGON ({many})").geom_type == "Polygon"


def point_mark(name="a", **more):
    shape = '{"type": "Point", "coordinates": [1, 2]}'
    said = "".join(f', "{key}": "{value}"' for key, value in more.items())
    return f'{{"type": "Feature", "geometry": {shape}, "properties": {{"name": "{name}"{said}}}}}'


def marks(*features):
    return f'{{"type": "FeatureCollection", "features": [{", ".join(features)}]}}'.encode()


def test_the_most_marks_and_letters():
    assert len(features_in(marks(*["{}"] * 20_000))) == 20_000
    with pytest.raises(FileProblem, match="more than 20,000 marks"):
        features_in(marks(*["{}"] * 20_001))
    (mark,) = marks_in(marks(point_mark("n" * 201, note="t" * 201)))
    assert (len(mark.name), len(mark.note)) == (200, 200)
    assert mark.at == ((1.0, 2.0),)
    assert mark.length_ft == 0.0


def test_so_many_kinds_that_are_none_of_ours_are_counted_apart():
    """A hundred words are; the 101st goes with the rest, and one of the hundred is still known."""
    into = Collector("a")
    for number in range(102):
        assert into.kind(f"code {number}") == ""
    into.kind("code 5")
    assert len(into._odd_kinds) == 101
    assert (into._odd_kinds["…"], into._odd_kinds["code 5"]) == (2, 2)
    assert (into.kind("PLOT"), into.kind("")) == ("plot", "")


def test_features_are_settled_4096_at_a_time():
    into = Collector("a")
    point = shapely.Point(1, 2)
    for number in range(4095):
        into.add(point, {}, f"{number}")
    assert into._waypoints == []
    into.add(point, {}, "last")
    assert len(into._waypoints) == 4096
    assert np.isclose(into._waypoints[0].lon, 1.0)
