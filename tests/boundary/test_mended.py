"""A walk whose edge is drawn anew keeps its ± and its day."""

import dataclasses
import datetime as dt
import json

import numpy as np
import pytest
import shapely
from click.testing import CliRunner

from quietacre.boundary.mended import drawn_over, mended_words, walked_on
from quietacre.boundary.read import read_walk
from quietacre.cli import main
from quietacre.demo.sample import sample_files
from quietacre.errors import FileProblem
from quietacre.intake.vector import read_layer


@pytest.fixture
def place(tmp_path):
    folder = tmp_path / "land"
    (folder / "walks").mkdir(parents=True)
    (folder / "drawn").mkdir()
    (folder / "walks" / "shelf.gpx").write_bytes(sample_files()["walks/creek-shelf.gpx"])
    return folder


def walk_of(folder):
    layer = read_layer(folder / "walks" / "shelf.gpx")
    return read_walk(layer.tracks), layer.tracks


def east_end_moved(polygon, feet):
    """Return the polygon with all east of its middle moved east, in a flat approximation."""
    middle = polygon.centroid.x
    step = feet * 0.3048 / 111_320 / np.cos(np.radians(polygon.centroid.y))
    return shapely.transform(
        polygon, lambda c: np.column_stack([c[:, 0] + step * (c[:, 0] > middle), c[:, 1]])
    )


def test_the_walks_plus_minus_stays(place):
    walk, _ = walk_of(place)
    drawn = east_end_moved(walk.polygon, 60.0)
    mended, note = drawn_over(walk, drawn, "Shelf", "drawn over the walk")
    assert mended.acres > walk.acres
    assert mended.acres_high - mended.acres == pytest.approx(walk.acres_high - walk.acres)
    assert mended.acres - mended.acres_low == pytest.approx(walk.acres - walk.acres_low)
    far = float(note.text.split(" ft at most")[0].rsplit(" ", 1)[1])
    assert 50 <= far <= 61
    band = shapely.difference(drawn.boundary, mended.band)
    assert band.is_empty
    assert np.array_equal(mended.kept_lon, walk.kept_lon)


def test_a_drawing_that_follows_the_walk_is_said_so(place):
    walk, _ = walk_of(place)
    _, note = drawn_over(walk, walk.polygon, "Shelf", "drawn over the walk")
    assert "lies within the walk's own ±" in note.text


def test_a_drawing_elsewhere_is_refused(place):
    walk, _ = walk_of(place)
    away = shapely.transform(walk.polygon, lambda c: c + 0.01)
    with pytest.raises(FileProblem, match="does not lie on the ground"):
        drawn_over(walk, away, "Shelf", "drawn over the walk")


def test_days_are_those_of_the_sun_over_the_walk(place):
    _, tracks = walk_of(place)
    start = dt.datetime(2026, 5, 4, 1, 30, tzinfo=dt.UTC).timestamp()  # evening of the 3rd
    evening = [dataclasses.replace(t, time_s=start + np.arange(len(t.lon))) for t in tracks]
    assert walked_on(evening) == (dt.date(2026, 5, 3),)
    untimed = [dataclasses.replace(t, time_s=np.full(len(t.lon), np.nan)) for t in tracks]
    assert walked_on(untimed) == ()
    assert mended_words(walked_on(evening), 1) == "drawn over the walk of May 3, 2026"
    assert mended_words((), 2) == "drawn over 2 walks"


def built(folder, more='over = "walks/shelf.gpx"', kind="geojson"):
    walk, _ = walk_of(folder)
    shape = east_end_moved(walk.polygon, 60.0)
    (folder / "drawn" / "shelf.geojson").write_text(shapely.to_geojson(shape))
    source = "drawn/shelf.geojson" if kind == "geojson" else "walks/shelf.gpx"
    (folder / "property.toml").write_text(
        f'[property]\nname = "Land"\n[[area]]\nname = "Shelf"\nkind = "plot"\nfrom = "{source}"\n{more}\n'
    )
    return CliRunner().invoke(
        main, ["build", str(folder), "--today", "2027-01-02", "--json"]
    )


def test_a_build_says_what_was_drawn_over_what(place):
    walk, _ = walk_of(place)
    (area,) = json.loads(built(place).output)["areas"]
    assert area["method"].startswith("drawn over the walk of ")
    half = walk.acres_high - walk.acres
    assert area["acres_high"] - area["acres"] == pytest.approx(half, abs=1e-5)
    assert area["acres"] > walk.acres
    told = {note["code"]: note["text"] for note in area["notes"]}
    assert "beyond the ± of the walk" in told["drawn-over-walk"]
    (plain,) = json.loads(built(place, more="").output)["areas"]
    assert "drawn-over-walk" not in {note["code"] for note in plain["notes"]}
    assert plain["acres_high"] == plain["acres"] == area["acres"]


def test_over_without_a_drawing_is_said(place):
    (place / "walks" / "two.gpx").write_bytes((place / "walks" / "shelf.gpx").read_bytes())
    (area,) = json.loads(built(place, more='over = "walks/two.gpx"', kind="gpx").output)[
        "areas"
    ]
    told = {note["code"]: note["text"] for note in area["notes"]}
    assert "is no drawing" in told["over-not-drawn"]
    (drawing,) = json.loads(built(place).output)["areas"]
    assert "over-not-drawn" not in {note["code"] for note in drawing["notes"]}


@pytest.mark.parametrize(
    ("more", "told"),
    [
        ('over = "walks/none.gpx"', "“walks/none.gpx” is not there"),
        ('over = "../shelf.gpx"', "leads out of the property folder"),
        ('over = "drawn/shelf.geojson"', "is in from too"),
        ("over = 3", "area[1].over"),
    ],
)
def test_faults_of_over(place, more, told):
    said = built(place, more=more)
    assert said.exit_code == 2
    assert told in said.output


def test_over_a_drawing_is_refused(place):
    (place / "drawn" / "b.geojson").write_text(shapely.to_geojson(shapely.box(0, 0, 1, 1)))
    said = built(place, more='over = "drawn/b.geojson"')
    assert said.exit_code == 2
    assert "holds no track" in said.output


def test_a_crumb_of_walked_ground_is_not_off_by_the_whole_walk(place):
    walk, _ = walk_of(place)
    west, south, _, north = walk.polygon.bounds
    half = walk.acres_high - walk.acres
    crumb = walk.polygon.intersection(shapely.box(west, south, west + 0.00006, north))
    small, _ = drawn_over(walk, crumb, "Crumb", "drawn over the walk")
    assert small.acres < 0.1
    assert 0 < small.acres_high - small.acres < half / 2
    assert (
        sum(term.half_ac**2 for term in small.terms)
        < sum(t.half_ac**2 for t in walk.terms) / 4
    )
    large = walk.polygon.intersection(
        shapely.box(west, south, walk.polygon.centroid.x, north)
    )
    most, _ = drawn_over(walk, large, "Half", "drawn over the walk")
    assert most.acres_high - most.acres == pytest.approx(half)


@pytest.mark.parametrize("tolerance_m", [1.0, 4.0, 8.0, 12.0])
def test_an_edge_that_is_straightened_keeps_all_of_the_plus_minus(place, tolerance_m):
    walk, _ = walk_of(place)
    walk = dataclasses.replace(walk, sigma_m=0.5)  # most of the new edge is beyond it
    straight = walk.polygon.simplify(tolerance_m / 111_320)
    mended, _ = drawn_over(walk, straight, "Shelf", "drawn over the walk", edge_pm_ft=6.0)
    assert mended.acres > 0.75 * walk.acres
    half = walk.acres_high - walk.acres
    assert mended.acres_high - mended.acres >= half * (1 - 1e-9)
    assert mended.acres - mended.acres_low >= (walk.acres - walk.acres_low) * (1 - 1e-9)
