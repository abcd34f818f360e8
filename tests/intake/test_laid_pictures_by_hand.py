"""Pictures with a place: corners by hand, systems in their order, each refusal in full."""

import numpy as np
import pytest
import shapely
from PIL import Image
from pyproj import CRS

from quietacre.errors import FileProblem
from quietacre.intake import picture
from quietacre.intake.file_notes import FileNotes
from quietacre.intake.picture import (
    _affine_of_tags,
    _beside,
    _from_tags,
    _from_world_file,
    _half_pixel_back,
    _keys,
    _rgb,
    _system,
    picture_size,
    read_picture,
)
from quietacre.intake.reference import Move, to_wgs84

SCALE, TIES, MATRIX, KEYS = 33550, 33922, 34264, 34735


def refused(reader, *given, **more):
    with pytest.raises(FileProblem) as problem:
        reader(*given, **more)
    return str(problem.value)


def keys(*pairs):
    flat = [1, 1, 0, len(pairs)]
    for key, value in pairs:
        flat += [key, 0, 1, value]
    return tuple(flat)


# where the corners lie


def test_the_corner_by_a_tie_and_a_scale():
    """Pixel (2, 3) lies at (100, 200); a pixel is 4 wide and 5 high: the corner is (92, 215)."""
    tags = {SCALE: (4, 5, 0), TIES: (2, 3, 0, 100, 200, 0)}
    assert _affine_of_tags(tags) == (4.0, 0.0, 92.0, 0.0, -5.0, 215.0)
    point = tags | {KEYS: keys((1025, 2))}
    assert _affine_of_tags(point) == (4.0, 0.0, 90.0, 0.0, -5.0, 217.5)
    assert _affine_of_tags(tags | {KEYS: keys((1025, 1))}) == _affine_of_tags(tags)
    assert _affine_of_tags({SCALE: (4, 5, 0)}) is None
    assert _affine_of_tags({TIES: (2, 3, 0, 100, 200, 0)}) is None
    assert _affine_of_tags({}) is None


def test_the_corner_by_a_matrix_comes_before_a_tie():
    matrix = {MATRIX: (1, 2, 0, 3, 4, 5, 0, 6, 0, 0, 0, 0, 0, 0, 0, 1)}
    tie = {SCALE: (4, 5, 0), TIES: (2, 3, 0, 100, 200, 0)}
    assert _affine_of_tags(matrix | tie) == (1.0, 2.0, 3.0, 4.0, 5.0, 6.0)
    assert _half_pixel_back((1.0, 2.0, 3.0, 4.0, 5.0, 6.0)) == (
        1.0,
        2.0,
        1.5,
        4.0,
        5.0,
        1.5,
    )


@pytest.mark.parametrize(
    "tags",
    [{MATRIX: (1, 2)}, {MATRIX: ("x",) * 16}, {SCALE: (4,), TIES: (1,) * 6},
     {SCALE: (4, 5), TIES: (1, 2)}, {SCALE: None, TIES: None},
     {SCALE: (float("nan"), 5), TIES: (0,) * 6}],
)  # fmt: skip
def test_tags_that_are_broken_are_told(tags):
    assert refused(_from_tags, tags, "p") == (
        "p: its GeoTIFF tags are broken; export it again"
    )


def test_only_keys_with_a_number_of_their_own_are_taken():
    flat = (1, 1, 0, 3, 1025, 0, 1, 2, 1026, 34737, 5, 0, 3072, 0, 1, 26916)
    assert _keys({KEYS: flat}) == {1025: 2, 3072: 26916}
    assert _keys({KEYS: (*flat, 9, 0, 1)}) == {1025: 2, 3072: 26916}
    assert _keys({KEYS: flat[:8]}) == {1025: 2}
    assert _keys({}) == {}


def test_a_world_file_is_six_numbers(tmp_path):
    path = tmp_path / "a.png"
    assert _from_world_file(path, "p") is None
    (tmp_path / "a.pgw").write_text("4\n1\n2\n-5\n10,5\n20\n")
    assert _from_world_file(path, "p") == (4.0, 2.0, 7.5, 1.0, -5.0, 22.0)
    for text in ("1\n2\n3\n4\n5\n", "1 2 3 4 5 6 7", "a b c d e f", "1 2 3 4 5 inf"):
        (tmp_path / "a.pgw").write_text(text)
        assert refused(_from_world_file, path, "p") == (
            "p: a.pgw: a world file is six numbers, a line each; export it again"
        )


def test_what_lies_beside_is_the_first_ending_in_either_case(tmp_path):
    path = tmp_path / "a.tif"
    assert _beside(path, ".one", ".two") is None
    (tmp_path / "a.TWO").write_text("")
    assert _beside(path, ".one", ".two") == tmp_path / "a.TWO"
    (tmp_path / "a.one").mkdir()
    assert _beside(path, ".one", ".two") == tmp_path / "a.TWO"
    (tmp_path / "a.ONE").write_text("")
    assert _beside(path, ".one", ".two") == tmp_path / "a.ONE"


# its system


def system(
    tmp_path, tags=(), given=None, place=(1.0, 0.0, 0.0, 0.0, -1.0, 0.0), size=(10, 10)
):
    return _system(dict(tags), tmp_path / "a.png", given, place, size, "p")


def test_a_system_is_told_or_tagged_or_beside(tmp_path):
    utm, plane = CRS.from_epsg(26916), CRS.from_epsg(2759)
    (tmp_path / "a.prj").write_text(f" {plane.to_wkt()}\n")
    tagged = {KEYS: keys((3072, 26916), (2048, 4269))}
    assert system(tmp_path, tagged, "EPSG:2759") == plane
    assert system(tmp_path, tagged) == utm
    assert system(tmp_path, {KEYS: keys((2048, 4269))}) == CRS.from_epsg(4269)
    assert system(tmp_path, {KEYS: keys((3072, 32767))}) == plane
    assert system(tmp_path) == plane
    words = 'say which with picture_crs = "EPSG:…" under [map]'
    for tags, given in (((), "none"), ({KEYS: keys((3072, 3))}, None)):
        assert refused(system, tmp_path, tags, given) == (
            f"p: its reference system is not known; {words}"
        )
    (tmp_path / "a.prj").write_text("EPSG:4326")
    assert "is not known" in refused(system, tmp_path)


@pytest.mark.parametrize(
    ("place", "degrees"),
    [
        ((36.0, 0, 0, 0, -9.0, 0), True), ((36.0, 0, 0, 0, 9.0, 0), True),
        ((36.0, 0, 1, 0, -9.0, 0), False), ((36.0, 0, -361, 0, -9.0, 0), False),
        ((36.0, 0, 0, 0, -9.0, -1), False), ((1.0, 0, 0, 0, -1.0, 91), False),
        ((30.0, 6.0, 0, 4.0, -13.0, 0), True), ((30.0, 6.5, 0, 4.0, -13.0, 0), False),
        ((30.0, 6.0, 0, 4.0, -13.5, 0), False), ((-36.0, 0, 0, 0, 1.0, 0), True),
    ],
)  # fmt: skip
def test_numbers_of_ten_pixels_that_can_be_degrees_are(tmp_path, place, degrees):
    if degrees:
        assert system(tmp_path, place=place) == CRS.from_epsg(4326)
    else:
        assert refused(system, tmp_path, place=place) == (
            'p: does not say its reference system; say which with picture_crs = "EPSG:…" under '
            "[map]"
        )


# its pixels


def test_a_picture_is_read_whole(tmp_path, monkeypatch):
    path = tmp_path / "a.png"
    pixels = np.arange(24, dtype=np.uint8).reshape(2, 4, 3)
    Image.fromarray(pixels).save(path)
    (tmp_path / "a.pgw").write_text("1\n0\n0\n-1\n10\n20\n")
    made = read_picture(path, shown="p")
    assert (made.source, made.affine) == ("p", (1.0, 0.0, 9.5, 0.0, -1.0, 20.5))
    np.testing.assert_array_equal(made.pixels, pixels)
    assert made.crs == CRS.from_epsg(4326)
    assert picture_size(path, "p") == (4, 2)
    monkeypatch.setattr(picture, "MAX_PIXELS", 8)
    assert picture_size(path, "p") == (4, 2)
    monkeypatch.setattr(picture, "MAX_PIXELS", 7)
    assert refused(picture_size, path, "p") == (
        "p: has more than 0 million pixels; cut it to the property, or export it coarser"
    )


def test_a_picture_that_cannot_be_laid_is_told(tmp_path):
    path = tmp_path / "a.png"
    Image.new("RGB", (4, 2)).save(path)
    assert refused(read_picture, path, shown="p") == (
        "p: does not say where it lies; export it as GeoTIFF, or put its world file beside it"
    )
    (tmp_path / "a.pgw").write_text("1\n2\n2\n4\n10\n20\n")
    assert refused(read_picture, path, shown="p") == (
        "p: has pixels without size; export it again"
    )
    path.write_bytes(path.read_bytes()[:10])
    assert refused(picture_size, path, "p") == "p: is not a PNG picture; export it again"
    for name, ending in (("a.gif", ".gif"), ("a", "nothing")):
        assert refused(read_picture, tmp_path / name, shown="p") == (
            f"p: pictures ending in “{ending}” are not read; save it as GeoTIFF, or as PNG or "
            "JPEG with a world file"
        )


def test_a_picture_cut_off_is_told(tmp_path):
    path = tmp_path / "a.png"
    noise = np.random.default_rng(1).integers(0, 255, (64, 64, 3), dtype=np.uint8)
    Image.fromarray(noise).save(path)
    (tmp_path / "a.pgw").write_text("1\n0\n0\n-1\n10\n20\n")
    path.write_bytes(path.read_bytes()[:6000])
    assert refused(read_picture, path, shown="p") == (
        "p: cannot be read whole; export it again"
    )


def test_what_can_be_seen_through_is_paper_and_sixteen_bits_are_refused():
    clear = Image.new("RGBA", (1, 1), (10, 20, 30, 0))
    assert _rgb(clear, "p").tolist() == [[[245, 240, 227]]]
    half = Image.new("LA", (1, 1), (100, 255))
    assert _rgb(half, "p").tolist() == [[[100, 100, 100]]]
    plain = Image.new("L", (1, 1), 7)
    assert _rgb(plain, "p").tolist() == [[[7, 7, 7]]]
    plain.info["transparency"] = 7
    assert _rgb(plain, "p").tolist() == [[[245, 240, 227]]]
    for mode in ("I;16", "I", "F"):
        assert refused(_rgb, Image.new(mode, (1, 1)), "p") == (
            "p: is not a picture of eight bits a color; export it as an ordinary RGB picture"
        )


# systems of drawings


def move(system="ours", *, lengths=True, unit_m=1.0, far=False):
    return Move(system, None, lengths, unit_m, far)


@pytest.mark.parametrize(
    ("how", "side", "degrees"),
    [
        ({}, 9.5, True), ({}, 10.0, False), ({"unit_m": 0.5}, 19.5, True),
        ({"unit_m": 0.5}, 20.0, False), ({"far": True}, 50.0, True),
        ({"lengths": False}, 9.5, False), ({"far": True}, 181.0, False),
        ({"far": True}, 0.0, True), ({}, 0.0, False),
    ],
)  # fmt: skip
def test_small_shapes_near_an_origin_are_degrees(how, side, degrees):
    shape = shapely.box(0, 0, side, min(side, 1)) if side else shapely.Point(1, 1)
    shapes = np.array([shape, shapely.Point(), shapely.Point(2, 2)], dtype=object)
    assert move(**how).takes_degrees(shapes) is degrees


def test_shapes_that_are_all_empty_tell_nothing():
    shapes = np.array([shapely.Point()], dtype=object)
    assert not move(far=True).takes_degrees(shapes)
    assert not move(far=True).takes_degrees(np.array([shapely.Point(1, 91)], dtype=object))
    assert move(far=True).takes_degrees(np.array([shapely.Point(180, 90)], dtype=object))
    assert len(move()(np.zeros((0, 2)))) == 0


def test_systems_by_their_names():
    notes = FileNotes("f")
    for name in ("EPSG:4326", "OGC:CRS84"):
        assert to_wgs84(name, notes) is None
    utm = to_wgs84("EPSG:32616", notes)
    assert (utm.counts_lengths, utm.unit_m, utm.far_origin) == (True, 1.0, True)
    feet = to_wgs84("EPSG:2263", notes)
    assert feet.counts_lengths
    assert feet.unit_m == pytest.approx(1200 / 3937)
    web = to_wgs84("EPSG:3857", notes)
    assert (web.counts_lengths, web.far_origin) == (True, False)
    older = to_wgs84("EPSG:4267", notes)
    assert (older.counts_lengths, older.unit_m, older.far_origin) == (False, 1.0, False)
    np.testing.assert_allclose(utm(np.array([[500_000.0, 0.0]])), [[-87.0, 0.0]], atol=1e-9)
    assert refused(to_wgs84, "none such", notes, "layer a") == (
        "f: layer a: its reference system is not known; export it in WGS84"
    )
    assert refused(to_wgs84, "EPSG:5703", notes) == (
        "f: its reference system “NAVD88 height” is not one of places on Earth; export it in WGS84"
    )
