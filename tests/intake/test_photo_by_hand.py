"""Photographs whose own words are cut off, and what each field of a photograph is."""

import datetime as dt
import math
import struct

import numpy as np
import pytest
from photographs import jpeg

from quietacre.errors import FileProblem
from quietacre.intake.photo import (
    EXIF,
    GPS,
    Photo,
    _decodes,
    _degrees,
    _number,
    _opened,
    _tags,
    _words,
    read_photo,
    small_pixels,
)
from quietacre.model import Note


def with_less(data, cut):
    """Return a JPEG whose own words end ``cut`` bytes early; the rest of it is whole."""
    at = data.index(b"\xff\xe1")
    (size,) = struct.unpack_from(">H", data, at + 2)
    words = data[at + 4 : at + 2 + size - cut]
    head = data[:at] + b"\xff\xe1" + struct.pack(">H", len(words) + 2)
    return head + words + data[at + 2 + size :]


def read(tmp_path, data):
    path = tmp_path / "a.jpg"
    path.write_bytes(data)
    return read_photo(path, shown="a.jpg")


def test_words_that_break_off_are_read_as_far_as_they_go(tmp_path):
    """The last tag is the longitude: without it there is a side and a latitude, and no place."""
    data = with_less(jpeg(-87.6, 34.2, told=False), 8)
    with _opened(data, "a.jpg") as image:
        assert _tags(image, GPS) == {1: "N", 2: (34.0, 12.0, 0.0), 3: "W"}
        assert list(_tags(image, EXIF)) == [36867]
    photo = read(tmp_path, data)
    note = Note("photo-no-place", "a.jpg: its place is none that can be, and is not used.",
                "caution", "a.jpg")  # fmt: skip
    day = dt.date(2026, 5, 4)
    assert photo == Photo("a.jpg", data, day, None, None, None, None, (note,))


def test_words_that_break_off_say_nothing_more_of_a_place(tmp_path):
    photo = read(tmp_path, with_less(jpeg(-87.6, 34.2, told=False), 100))
    assert (photo.lon, photo.notes) == (None, ())


def test_words_that_cannot_be_made_out_are_said(tmp_path):
    data = jpeg(-87.6, 34.2, told=False).replace(b"MM\x00*", b"XX\x00*")
    photo = read(tmp_path, data)
    assert (photo.taken, photo.lon) == (None, None)
    assert photo.notes == (
        Note("exif-broken", "a.jpg: what it says of its day and place is damaged, and is not "
             "used.", "caution", "a.jpg"),
    )  # fmt: skip


def test_whether_a_picture_is_whole_is_looked_at_in_small():
    """An eighth of each side is the smallest that a JPEG is unpacked to."""
    with _opened(jpeg(size=(640, 480)), "a.jpg") as image:
        assert _decodes(image)
        assert image.size == (80, 60)


def test_a_picture_cut_short_is_said_with_what_helps(tmp_path):
    data = jpeg(size=(600, 400), told=False)
    assert read(tmp_path, data[:-1500]).notes == (
        Note("photo-cut-short", "a.jpg: the picture is damaged or cut short; copy it from the "
             "camera again if you can.", "caution", "a.jpg"),
    )  # fmt: skip


def test_a_small_copy_stands_upright_though_its_words_break_off():
    data = jpeg(-87.6, 34.2, orientation=6, size=(600, 400), told=False)
    assert small_pixels(data, 90, shown="a").shape == (90, 60, 3)
    assert small_pixels(with_less(data, 8), 90, shown="a").shape == (90, 60, 3)


@pytest.mark.parametrize(("most_px", "shape"), [(48, (36, 48, 3)), (64, (48, 64, 3)), (65, (48, 64, 3))])  # fmt: skip
def test_a_small_copy_is_made_smaller_and_never_larger(most_px, shape):
    pixels = small_pixels(jpeg(), most_px, shown="a")
    assert (pixels.shape, pixels.dtype) == (shape, np.uint8)
    assert np.abs(pixels.astype(int) - (90, 120, 60)).mean() < 4


def test_a_damaged_picture_is_refused_with_what_makes_one(tmp_path):
    words = (
        "a.jpg: is a damaged JPEG; copy it from the camera again, or open it in any picture "
        "viewer and export it as JPEG"
    )
    data = jpeg(size=(600, 400), told=False)
    with pytest.raises(FileProblem) as problem:
        small_pixels(data[:-1500], 90, shown="a.jpg")
    assert str(problem.value) == words
    with pytest.raises(FileProblem) as problem:
        read(tmp_path, b"\xff\xd8\xff\xe0" + bytes(50))
    assert str(problem.value) == words


def test_the_day_is_the_first_of_both_tags_that_is_one(tmp_path):
    photo = read(tmp_path, jpeg(1.0, 2.0, taken="none", gps={29: "2027:01:02"}, told=False))
    assert (photo.taken, photo.gps_day) == (None, dt.date(2027, 1, 2))
    assert (photo.lon, photo.lat, photo.error_m) == (1.0, 2.0, 10.0)


def test_a_photograph_is_named_by_its_path_where_no_other_name_is_given(tmp_path):
    path = tmp_path / "b.jpg"
    path.write_bytes(jpeg(told=False))
    assert read_photo(path).source == str(path)


def test_numbers_and_words_of_tags():
    assert (_number("1.5"), _number(2)) == (1.5, 2.0)
    assert all(math.isnan(_number(value)) for value in (None, "x", (), 10**400))
    assert _words(b" N\x00\t") == _words("\x00N ") == "N"
    assert (_words(3), _words(None), _words(b"\xff")) == ("", "", "\ufffd")


@pytest.mark.parametrize(
    ("parts", "side", "degrees"),
    [
        ((1, 30, 36), "N", 1.51), ((1, 30, 36), "S", -1.51), ([1, 0, 0], "N", 1.0),
        ((90, 0, 0), "N", 90.0), ((90, 0, 0.5), "N", None), ((-1, 0, 0), "N", None),
        ((1, -1, 0), "N", None), ((1, 0, -1), "N", None), ((1, 60, 60), "N", 2.0 + 1 / 60),
        ((1, 60.5, 0), "N", None), ((1, 0, 60.5), "N", None), ((1, 0, 0), "E", None),
        ((1, 0, 0), "", None), ((1, 0, 0), None, None), ("1", "N", None), (None, "N", None),
        ((1, 0, "x"), "N", None), ((0, 0, 0), "S", 0.0),
    ],
)  # fmt: skip
def test_degrees_minutes_and_seconds(parts, side, degrees):
    made = _degrees(parts, side, "NS", 90.0)
    assert made == (degrees if degrees is None else pytest.approx(degrees, abs=1e-12))
