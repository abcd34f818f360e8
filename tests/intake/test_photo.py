"""What photographs say of day and place, within limits; and pixels that say nothing."""

import datetime as dt
import io
import struct

import numpy as np
import pytest
from photographs import bare_faults, jpeg
from PIL import Image
from PIL.TiffImagePlugin import IFDRational

from quietacre.errors import BadInput
from quietacre.export.photo import bare_jpeg
from quietacre.intake.photo import _day, _place, read_photo, small_pixels


def read(tmp_path, data, name="IMG_1.JPG"):
    path = tmp_path / name
    path.write_bytes(data)
    return read_photo(path, shown=name)


def test_day_and_place_are_read(tmp_path):
    photo = read(tmp_path, jpeg(-87.5991, 34.2017, error=4.5, gps={29: "2026:05:04"}))
    assert photo.taken == dt.date(2026, 5, 4)
    assert photo.gps_day == dt.date(2026, 5, 4)
    assert photo.lon == pytest.approx(-87.5991, abs=1e-6)
    assert photo.lat == pytest.approx(34.2017, abs=1e-6)
    assert photo.error_m == 4.5
    assert photo.notes == ()
    assert photo.data == (tmp_path / "IMG_1.JPG").read_bytes()


def test_southern_and_eastern_places(tmp_path):
    photo = read(tmp_path, jpeg(151.25, -33.5))
    assert (photo.lon, photo.lat) == (pytest.approx(151.25), pytest.approx(-33.5))
    assert photo.error_m == 10.0


@pytest.mark.parametrize(
    "gps",
    [
        pytest.param(
            {2: (IFDRational(34), IFDRational(1, 0), IFDRational(0))}, id="zero below"
        ),
        pytest.param(
            {2: (IFDRational(91), IFDRational(0), IFDRational(0))}, id="beyond a pole"
        ),
        pytest.param(
            {4: (IFDRational(181), IFDRational(0), IFDRational(0))}, id="beyond 180"
        ),
        pytest.param(
            {2: (IFDRational(34), IFDRational(61), IFDRational(0))}, id="61 minutes"
        ),
        pytest.param({1: "X"}, id="no side"),
        pytest.param({1: ""}, id="empty side"),
        pytest.param({31: IFDRational(5000)}, id="three miles off"),
        pytest.param({2: (IFDRational(0),) * 3, 4: (IFDRational(0),) * 3}, id="no fix"),
    ],
)
def test_a_place_that_cannot_be_is_not_used_and_said(tmp_path, gps):
    photo = read(tmp_path, jpeg(-87.6, 34.2, gps=gps))
    assert (photo.lon, photo.lat, photo.error_m) == (None, None, None)
    assert [note.code for note in photo.notes] == ["photo-no-place"]


@pytest.mark.parametrize(
    "taken",
    [None, "", "0000:00:00 00:00:00", "    :  :     :  :  ", "2026:02:30 01:01:01", "now"],
)
def test_a_day_that_cannot_be_is_none(tmp_path, taken):
    assert read(tmp_path, jpeg(taken=taken)).taken is None


@pytest.mark.parametrize(
    ("first", "said"),
    [
        (b"\x00\x00\x00\x18ftypheic", "HEIC.*settings.*most compatible"),
        (b"\x00\x00\x00\x18ftypmif1", "HEIF"),
        (b"\x00\x00\x00\x18ftypqt  ", "film"),
        (b"\x89PNG\r\n\x1a\n", "PNG.*export it as JPEG"),
        (b"RIFF\x00\x00\x00\x00WEBPVP8 ", "WebP"),
        (b"II*\x00", "TIFF"),
        (b"plain words", "no JPEG"),
        (b"\xff\xd8\xff\xe0", "damaged JPEG"),
    ],
)
def test_any_other_kind_is_refused_with_what_makes_a_jpeg(tmp_path, first, said):
    with pytest.raises(BadInput, match=said):
        read(tmp_path, first + bytes(100))


def test_a_picture_cut_short_is_read_and_said(tmp_path):
    data = jpeg(-87.6, 34.2, size=(600, 400), told=False)
    photo = read(tmp_path, data[: len(data) - 1500])
    assert [note.code for note in photo.notes] == ["photo-cut-short"]
    assert photo.lat == pytest.approx(34.2)


def test_too_many_pixels_are_refused(tmp_path):
    data = bytearray(jpeg(told=False))
    at = data.index(b"\xff\xc0") + 5
    data[at : at + 4] = struct.pack(">HH", 65500, 65500)
    with pytest.raises(BadInput, match="million pixels"):
        read(tmp_path, bytes(data))


def test_a_small_copy_is_upright_and_bare():
    pixels = small_pixels(jpeg(-87.6, 34.2, orientation=6, size=(600, 400)), 90, shown="x")
    assert pixels.shape == (90, 60, 3)
    out = bare_jpeg(pixels)
    assert bare_faults(out) == []
    assert np.abs(small_pixels(out, 90, shown="y").astype(int) - pixels).mean() < 3


# the edges of what can be a place


def degrees(*parts):
    return tuple(
        IFDRational(*part) if isinstance(part, tuple) else IFDRational(part)
        for part in parts
    )


@pytest.mark.parametrize(
    ("lat", "lon", "place"),
    [
        ((90, 0, 0), (180, 0, 0), (180.0, 90.0)),
        ((89, 60, 0), (179, 59, 60), (180.0, 90.0)),  # sixty minutes, sixty seconds
        ((0, 30, 0), (0, 0, 36), (0.01, 0.5)),
        ((0, 0, 0), (5, 0, 0), (5.0, 0.0)),
        ((5, 0, 0), (0, 0, 0), (0.0, 5.0)),
        ((0, 0, 0), (0, 0, 0), None),  # a receiver without a fix
        ((89, 60, 1), (0, 0, 0), None),
        ((90, 0, 1), (5, 0, 0), None),
        ((34, 0, 61), (5, 0, 0), None),
        ((34, 0, 0), (5, 61, 0), None),
        ((34, 0), (5, 0, 0), None),
        ((34, 0, 0, 0), (5, 0, 0), None),
    ],
)
def test_a_place_to_the_second(lat, lon, place):
    """A second is 1/3600 of a degree, a minute 1/60."""
    made = _place({1: "N", 2: degrees(*lat), 3: "E", 4: degrees(*lon)})
    if place is None:
        assert made is None
    else:
        assert made == pytest.approx((*place, 10.0))
        west = _place({1: "S", 2: degrees(*lat), 3: "W", 4: degrees(*lon)})
        assert west == pytest.approx((-place[0], -place[1], 10.0))


@pytest.mark.parametrize(
    ("said", "error_m"),
    [(1000, 1000.0), (1000.5, None), (0, 10.0), (-3, 10.0), (0.5, 0.5), (None, 10.0), ("x", 10.0)],
)  # fmt: skip
def test_how_far_off_a_place_may_be(said, error_m):
    made = _place({1: "N", 2: (34.0, 0.0, 0.0), 3: "W", 4: (87.0, 0.0, 0.0), 31: said})
    assert (made and made[2]) == error_m


@pytest.mark.parametrize("side", ["n", b"N\x00", " N", "North"])
def test_a_side_is_read_however_it_is_written(side):
    made = _place({1: side, 2: (34.0, 0.0, 0.0), 3: "E", 4: (5.0, 0.0, 0.0)})
    assert made == (5.0, 34.0, 10.0)


@pytest.mark.parametrize(
    ("said", "day"),
    [
        ("2026:05:04 10:11:12", dt.date(2026, 5, 4)), ("2026-05-04", dt.date(2026, 5, 4)),
        (b"2026/05/04\x00", dt.date(2026, 5, 4)), ("2026:05:041", None), ("0000:00:00", None),
        ("2026:13:04", None), (20260504, None), ("", None),
    ],
)  # fmt: skip
def test_a_day_of_a_camera(said, day):
    assert _day(said) == day


@pytest.mark.parametrize(("most", "read_whole"), [(4800, True), (4799, False)])
def test_a_picture_of_the_most_pixels_is_opened(tmp_path, monkeypatch, most, read_whole):
    """Eighty by sixty pixels are 4,800."""
    monkeypatch.setattr("quietacre.intake.photo.MAX_PHOTO_PIXELS", most)
    data = io.BytesIO()
    Image.new("RGB", (80, 60)).save(data, "JPEG")
    if read_whole:
        assert read(tmp_path, data.getvalue()).lon is None
        assert small_pixels(data.getvalue(), 40, shown="a").shape == (30, 40, 3)
    else:
        with pytest.raises(BadInput, match="more than 0 million pixels"):
            read(tmp_path, data.getvalue())


def test_the_limit_of_pixels_is_told_in_millions(tmp_path):
    with pytest.raises(BadInput) as caught:
        read(tmp_path, huge_jpeg(20_000, 12_501))  # 250 million and twenty thousand
    assert "has more than 250 million pixels" in str(caught.value)


def huge_jpeg(width, height):
    """Return a small JPEG that says it is as large as that."""
    data = io.BytesIO()
    Image.new("L", (8, 8)).save(data, "JPEG")
    raw = bytearray(data.getvalue())
    at = raw.index(b"\xff\xc0") + 5
    raw[at : at + 4] = struct.pack(">HH", height, width)
    return bytes(raw)


@pytest.mark.parametrize(
    ("first", "called"),
    [
        (b"0000ftypheic", "an HEIC picture"), (b"0000ftypmif1", "an HEIF picture"),
        (b"0000ftypavif", "an AVIF picture"), (b"0000ftypcrx ", "a camera's raw picture"),
        (b"0000ftypqt  ", "a film"), (b"RIFF0000WEBP", "a WebP picture"),
        (b"RIFF0000AVI ", "a film"), (b"GIF89a", "a GIF picture"), (b"BM000", "a BMP picture"),
        (b"II*\x000", "a TIFF or a camera's raw picture"),
        (b"MM\x00*0", "a TIFF or a camera's raw picture"), (b"%PDF-1", "a PDF"),
    ],
)  # fmt: skip
def test_each_other_kind_is_called_by_its_name(tmp_path, first, called):
    with pytest.raises(BadInput, match=f"is {called}; photographs are kept as JPEG"):
        read(tmp_path, first + b"0" * 40)
