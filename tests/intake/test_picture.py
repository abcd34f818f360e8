"""Pictures with a place: the same spot found through every way of saying it."""

import re
import shutil
import struct
import subprocess
from pathlib import Path

import numpy as np
import pytest
from PIL import Image, TiffImagePlugin
from pyproj import CRS, Transformer

from quietacre.demo.sample import sample_files
from quietacre.errors import FileProblem
from quietacre.intake.picture import (
    MAX_PIXELS,
    _affine_of_tags,
    _half_pixel_back,
    _keys,
    _system,
    picture_size,
    read_picture,
)
from quietacre.page.underlay import PAPER, laid_under

#: A field in northwest Alabama (invented), and a 10 m grid of UTM 16 N over it.
LON, LAT = -87.617, 34.214
TO_UTM = Transformer.from_crs("EPSG:4326", "EPSG:26916", always_xy=True)
EAST, NORTH = (round(v, -1) for v in TO_UTM.transform(LON, LAT))
BOUNDS = (LON - 0.004, LAT - 0.003, LON + 0.004, LAT + 0.003)


def checkered():
    """Return 120 × 100 pixels of 10 m, one of them red; upper left at EAST-600, NORTH+500."""
    pixels = np.full((100, 120, 3), 200, dtype=np.uint8)
    pixels[50, 60] = (255, 0, 0)  # its upper left corner lies at EAST, NORTH
    return pixels


def spot(under):
    """Return the middle of the red in an embedded picture. [deg]"""
    import base64
    import io

    data = base64.b64decode(under["data"].partition(",")[2])
    rgb = np.asarray(Image.open(io.BytesIO(data)).convert("RGB")).astype(int)
    rows, columns = np.nonzero(rgb[:, :, 0] - rgb[:, :, 1] > 60)
    (south, west), (north, east) = under["bounds"]
    high, wide = rgb.shape[:2]
    lon = west + (columns.mean() + 0.5) / wide * (east - west)
    lat = north - (rows.mean() + 0.5) / high * (north - south)
    return lon, lat


def assert_at_the_pixel(under):
    lon, lat = spot(under)
    x, y = TO_UTM.transform(lon, lat)
    assert x == pytest.approx(EAST + 5, abs=1.5)
    assert y == pytest.approx(NORTH - 5, abs=1.5)


def geotiff(path, keys, tags):
    info = TiffImagePlugin.ImageFileDirectory_v2()
    for tag, values in tags.items():
        info[tag] = tuple(map(float, values))
        info.tagtype[tag] = 12
    flat = [1, 1, 0, len(keys)]
    for key, value in keys.items():
        flat += [key, 0, 1, value]
    info[34735] = tuple(flat)
    info.tagtype[34735] = 3
    Image.fromarray(checkered()).save(path, "TIFF", tiffinfo=info)


AREA = {33550: (10, 10, 0), 33922: (0, 0, 0, EAST - 600, NORTH + 500, 0)}
POINT = {33550: (10, 10, 0), 33922: (0, 0, 0, EAST - 595, NORTH + 495, 0)}
MATRIX = {34264: (10, 0, 0, EAST - 600, 0, -10, 0, NORTH + 500, 0, 0, 0, 0, 0, 0, 0, 1)}
SYSTEM = {1024: 1, 3072: 26916}


@pytest.mark.parametrize(
    ("keys", "tags"),
    [
        pytest.param(SYSTEM | {1025: 1}, AREA, id="pixel is area"),
        pytest.param(SYSTEM | {1025: 2}, POINT, id="pixel is point"),
        pytest.param(SYSTEM | {1025: 1}, MATRIX, id="matrix"),
    ],
)
def test_geotiff(tmp_path, keys, tags):
    path = tmp_path / "a.tif"
    geotiff(path, keys, tags)
    assert_at_the_pixel(laid_under(read_picture(path, shown="a.tif"), BOUNDS))
    if shutil.which("gdalinfo"):  # what GDAL makes of the same file
        done = subprocess.run(
            ["gdalinfo", path], capture_output=True, text=True, check=True
        )
        assert f"Origin = ({EAST - 600:.15f}"[:18] in done.stdout


@pytest.mark.parametrize(("name", "world"), [("a.png", "a.pgw"), ("a.jpg", "a.jgw"),
                                             ("a.png", "a.pngw"), ("a.tif", "a.tfw"),
                                             ("a.PNG", "a.wld")])  # fmt: skip
def test_world_file(tmp_path, name, world):
    path = tmp_path / name
    image = Image.fromarray(checkered())
    options = {"quality": 98, "subsampling": 0} if name.endswith("jpg") else {}
    image.save(path, **options)
    # the middle of the first pixel; a decimal comma is read too
    (tmp_path / world).write_text(f"10,0\n0\n0\n-10\n{EAST - 595}\n{NORTH + 495}\n")
    with pytest.raises(FileProblem, match="picture_crs"):
        read_picture(path, shown=name)
    given = read_picture(path, shown=name, crs="EPSG:26916")
    assert_at_the_pixel(laid_under(given, BOUNDS))
    (tmp_path / "a.prj").write_text(given.crs.to_wkt("WKT1_ESRI"))
    assert_at_the_pixel(laid_under(read_picture(path, shown=name), BOUNDS))


def test_turned_picture(tmp_path):
    """A picture flown at a slant: rows run along one diagonal."""
    path = tmp_path / "a.png"
    Image.fromarray(checkered()).save(path)
    turn = np.radians(30.0)
    a, d = 10 * np.cos(turn), 10 * np.sin(turn)
    b, e = d, -a
    # so that the middle of the red pixel lies at EAST + 5, NORTH - 5
    c, f = EAST + 5 - 60 * a - 50 * b, NORTH - 5 - 60 * d - 50 * e
    (tmp_path / "a.pgw").write_text("\n".join(f"{v:.9f}" for v in (a, d, b, e, c, f)))
    picture = read_picture(path, shown="a.png", crs="EPSG:26916")
    assert_at_the_pixel(laid_under(picture, BOUNDS))


def test_outside_the_picture_is_paper(tmp_path):
    import base64
    import io

    path = tmp_path / "a.tif"
    geotiff(path, SYSTEM | {1025: 1}, AREA)
    wide = (LON - 0.03, LAT - 0.02, LON + 0.03, LAT + 0.02)
    under = laid_under(read_picture(path, shown="a.tif"), wide)
    rgb = np.asarray(
        Image.open(io.BytesIO(base64.b64decode(under["data"].partition(",")[2])))
    )
    assert np.abs(rgb[5, 5].astype(int) - PAPER).max() < 4


def test_elsewhere_is_refused(tmp_path):
    path = tmp_path / "a.tif"
    geotiff(path, SYSTEM | {1025: 1}, AREA)
    with pytest.raises(FileProblem, match="does not lie where the property does"):
        laid_under(read_picture(path, shown="a.tif"), (-80.0, 30.0, -79.9, 30.1))


def test_samples_picture_is_read_as_gdal_reads_it(tmp_path):
    path = tmp_path / "from-above.tif"
    path.write_bytes(sample_files()["drawn/from-above.tif"])
    picture = read_picture(path, shown="x")
    assert picture.crs.to_epsg() == 4326
    assert picture.pixels.shape[2] == 3
    assert len(np.unique(picture.pixels.reshape(-1, 3), axis=0)) > 15
    if shutil.which("gdalinfo"):
        done = subprocess.run(
            ["gdalinfo", path], capture_output=True, text=True, check=True
        )
        west = float(re.search(r"Origin = \(([-\d.]+),", done.stdout).group(1))
        assert picture.affine[2] == pytest.approx(west, abs=1e-12)
        assert done.stderr == ""


BROKEN = {
    "empty.tif": b"",
    "text.tif": b"hello",
    "png.tif": b"\x89PNG\r\n\x1a\n",
    "short.png": b"\x89PNG\r\n\x1a\n" + struct.pack(">I4sIIBBBBB", 13, b"IHDR", 9, 9, 8, 2, 0, 0, 0),
}  # fmt: skip


@pytest.mark.parametrize("name", BROKEN)
def test_broken_pictures_are_one_line(tmp_path, name):
    path = tmp_path / name
    path.write_bytes(BROKEN[name])
    path.with_suffix(".wld").write_text("1\n0\n0\n-1\n0\n0\n")
    with pytest.raises(FileProblem) as caught:
        read_picture(path, shown=name)
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize(
    "text", ["", "1 2 3", "a b c d e f", "nan 0 0 -1 0 0", "1 0 0 -1 0 0 9"]
)
def test_broken_world_files(tmp_path, text):
    path = tmp_path / "a.png"
    Image.new("RGB", (4, 4)).save(path)
    (tmp_path / "a.pgw").write_text(text)
    with pytest.raises(FileProblem):
        read_picture(path, shown="a.png")


def test_a_bomb_is_not_unpacked(tmp_path):
    path = tmp_path / "a.png"
    side = int(MAX_PIXELS**0.5) + 100
    header = struct.pack(">IIBBBBB", side, side, 8, 2, 0, 0, 0)
    import zlib

    chunk = struct.pack(">I", 13) + b"IHDR" + header
    chunk += struct.pack(">I", zlib.crc32(b"IHDR" + header))
    path.write_bytes(
        b"\x89PNG\r\n\x1a\n" + chunk + struct.pack(">I4s", 0, b"IDAT") + b"\0" * 8
    )
    (tmp_path / "a.pgw").write_text("1\n0\n0\n-1\n0\n0\n")
    with pytest.raises(FileProblem, match="million pixels"):
        read_picture(path, shown="a.png")


def test_alpha_and_palette(tmp_path):
    path = tmp_path / "a.png"
    Image.new("RGBA", (4, 4), (0, 0, 0, 0)).save(path)
    (tmp_path / "a.pgw").write_text("0.001\n0\n0\n-0.001\n-87.6\n34.2\n")
    assert tuple(read_picture(path, shown="a").pixels[0, 0]) == PAPER


def test_tiff_that_has_lost_a_tag_is_refused(tmp_path):
    path = tmp_path / "ground.tif"
    Image.new("RGB", (9, 7)).save(path)
    whole = path.read_bytes()
    kind_of_picture = (262).to_bytes(2, "little")
    assert whole.count(kind_of_picture) == 1
    path.write_bytes(whole.replace(kind_of_picture, (6).to_bytes(2, "little")))
    with pytest.raises(FileProblem, match="ground.tif"):
        read_picture(path, shown="ground.tif")


def test_projection_file_that_is_a_name_is_no_reference_system(tmp_path):
    path = tmp_path / "ground.png"
    Image.new("RGB", (9, 7)).save(path)
    (tmp_path / "ground.pgw").write_text("1\n0\n0\n-1\n500000\n3700000\n")
    (tmp_path / "ground.prj").write_text("EPSG:26916")
    with pytest.raises(FileProblem, match="reference system is not known"):
        read_picture(path, shown="ground.png")


def test_damaged_tiff_says_nothing_of_its_own_on_the_terminal(tmp_path, capfd):
    path = tmp_path / "ground.tif"
    Image.effect_noise((64, 64), 50).convert("RGB").save(path, compression="tiff_lzw")
    whole = bytearray(path.read_bytes())
    whole[400:900] = b"\xff" * 500
    path.write_bytes(whole)
    (tmp_path / "ground.tfw").write_text("1\n0\n0\n-1\n500000\n3700000\n")
    with pytest.raises(FileProblem, match="cannot be read whole"):
        read_picture(path, shown="ground.tif", crs="EPSG:26916")
    assert capfd.readouterr() == ("", "")


# the place of a picture, number by number


def test_the_corners_of_a_picture_from_its_tags():
    """Ten meters wide and five high a pixel; the tie holds for the corner of pixel 2, 3."""
    tags = {33550: (10, 5, 0), 33922: (2, 3, 0, 1000, 2000, 0)}
    assert _affine_of_tags(tags) == (10.0, 0.0, 980.0, 0.0, -5.0, 2015.0)
    # told of the middles of pixels, it lies half a pixel up and left of that
    point = {**tags, 34735: (1, 1, 0, 1, 1025, 0, 1, 2)}
    assert _affine_of_tags(point) == (10.0, 0.0, 975.0, 0.0, -5.0, 2017.5)
    area = {**tags, 34735: (1, 1, 0, 1, 1025, 0, 1, 1)}
    assert _affine_of_tags(area) == _affine_of_tags(tags)
    turned = {34264: (1, 2, 0, 3, 4, 5, 0, 6, 0, 0, 0, 0, 0, 0, 0, 1)}
    assert _affine_of_tags(turned) == (1.0, 2.0, 3.0, 4.0, 5.0, 6.0)
    assert _half_pixel_back((2.0, 4.0, 10.0, 6.0, 8.0, 20.0)) == (
        2.0,
        4.0,
        7.0,
        6.0,
        8.0,
        13.0,
    )
    assert _affine_of_tags({33550: (10, 5, 0)}) is None
    assert _affine_of_tags({33922: (2, 3, 0, 1000, 2000, 0)}) is None


def test_keys_that_hold_a_plain_number():
    """Four numbers a key; those whose second is not nought stand in another tag."""
    tags = {34735: (1, 1, 0, 3, 1024, 0, 1, 1, 2049, 34737, 8, 0, 3072, 0, 1, 26916)}
    assert _keys(tags) == {1024: 1, 3072: 26916}
    assert _keys({}) == {}
    assert _keys({34735: (1, 1, 0, 1, 3072, 0, 1)}) == {}, "cut short"


def system(place, size=(10, 10), tags=None, given=None, path=None):
    return _system(tags or {}, path or Path("nowhere.png"), given, place, size, "a")


@pytest.mark.parametrize(
    ("place", "degrees"),
    [
        ((1.0, 0.0, 350.0, 0.0, -1.0, 90.0), True),  # to 360 east and the pole
        ((1.0, 0.0, 350.1, 0.0, -1.0, 90.0), False),
        ((1.0, 0.0, 350.0, 0.0, -1.0, 90.1), False),
        ((-1.0, 0.0, -350.0, 0.0, 1.0, -90.0), True),
        ((0.0, 1.0, 350.0, -1.0, 0.0, 90.0), True),  # turned by a right angle
        ((0.0, 1.1, 350.0, -1.0, 0.0, 90.0), False),
        ((0.0, 1.0, 350.0, 1.0, 0.0, 81.0), False),
        ((1.0, 0.0, 350.0, 0.0, 1.0, 81.0), False),
    ],
)
def test_without_a_word_on_its_system_numbers_like_degrees_are_degrees(place, degrees):
    if degrees:
        assert system(place).to_epsg() == 4326
    else:
        with pytest.raises(FileProblem, match="does not say its reference system"):
            system(place)


def test_its_system_is_the_one_that_was_told_then_tagged_then_beside_it(tmp_path):
    far = (10.0, 0.0, 500_000.0, 0.0, -10.0, 4_000_000.0)

    def tags(**keys):
        rows = [
            value
            for code, number in keys.items()
            for value in (int(code[1:]), 0, 1, number)
        ]
        return {34735: (1, 1, 0, len(keys), *rows)}

    assert system(far, tags=tags(k3072=26916)).to_epsg() == 26916
    assert system(far, tags=tags(k2048=4269, k3072=26917)).to_epsg() == 26917
    assert system(far, tags=tags(k2048=4269)).to_epsg() == 4269
    assert system(far, tags=tags(k3072=26916), given="EPSG:26917").to_epsg() == 26917
    picture = tmp_path / "a.png"
    (tmp_path / "a.prj").write_text(CRS.from_epsg(26915).to_wkt())
    assert system(far, path=picture).to_epsg() == 26915
    assert system(far, tags=tags(k3072=32767), path=picture).to_epsg() == 26915
    assert system(far, tags=tags(k3072=26916), path=picture).to_epsg() == 26916
    with pytest.raises(FileProblem, match="its reference system is not known"):
        system(far, given="no such")


@pytest.mark.parametrize(("step", "sized"), [(1e-15, True), (0.9e-15, False), (0.0, False)])
def test_pixels_without_size_are_refused(tmp_path, step, sized):
    path = tmp_path / "a.png"
    Image.new("RGB", (4, 4)).save(path)
    (tmp_path / "a.pgw").write_text(f"{step!r}\n0\n0\n-{step!r}\n-87\n34\n")
    if sized:
        assert read_picture(path, shown="a").pixels.shape == (4, 4, 3)
    else:
        with pytest.raises(FileProblem, match="has pixels without size"):
            read_picture(path, shown="a")


@pytest.mark.parametrize("name", ["a.pgw", "a.PGW", "a.pngw", "a.wld"])
def test_a_world_file_is_found_by_each_of_its_names(tmp_path, name):
    path = tmp_path / "a.png"
    Image.new("RGB", (4, 4)).save(path)
    (tmp_path / name).write_text("0,002\n0\n0\n-0,001\n-87\n34\n")
    made = read_picture(path, shown="a")
    assert made.affine == pytest.approx((0.002, 0.0, -87.001, 0.0, -0.001, 34.0005))


@pytest.mark.parametrize(("most", "taken"), [(16, True), (15, False)])
def test_a_picture_of_the_most_pixels(tmp_path, monkeypatch, most, taken):
    path = tmp_path / "a.png"
    Image.new("RGB", (4, 4)).save(path)
    monkeypatch.setattr("quietacre.intake.picture.MAX_PIXELS", most)
    if taken:
        assert picture_size(path, "a") == (4, 4)
    else:
        with pytest.raises(FileProblem, match="more than 0 million pixels"):
            picture_size(path, "a")


@pytest.mark.parametrize("mode", ["I;16", "I", "F"])
def test_a_picture_of_other_than_eight_bits_a_color_is_refused(tmp_path, mode):
    path = tmp_path / "a.tif"
    Image.new(mode, (4, 4)).save(path)
    (tmp_path / "a.tfw").write_text("0.001\n0\n0\n-0.001\n-87\n34\n")
    with pytest.raises(FileProblem, match="not a picture of eight bits a color"):
        read_picture(path, shown="a")


def test_what_can_be_seen_through_lies_on_paper(tmp_path):
    path = tmp_path / "a.png"
    Image.new("RGBA", (4, 4), (0, 0, 0, 0)).save(path)
    (tmp_path / "a.pgw").write_text("0.001\n0\n0\n-0.001\n-87\n34\n")
    assert read_picture(path, shown="a").pixels[0, 0].tolist() == [245, 240, 227]
    Image.new("LA", (4, 4), (200, 128)).save(path)
    half = read_picture(path, shown="a").pixels[0, 0]
    assert half.tolist() == pytest.approx(
        [(200 + 245) / 2, (200 + 240) / 2, (200 + 227) / 2], abs=1
    )
