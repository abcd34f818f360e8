"""What photographs say of day and place, within limits; and pixels that say nothing."""

import datetime as dt
import struct

import numpy as np
import pytest
from photographs import bare_faults, jpeg
from PIL.TiffImagePlugin import IFDRational

from quietacre.errors import BadInput
from quietacre.export.photo import bare_jpeg
from quietacre.intake.photo import read_photo, small_pixels


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
