"""Steps take a GeoPackage's layer or GeoJSON in and give either out, other columns carried through."""

import csv
import json

import geopandas as gpd
import pytest
import shapely
from click.testing import CliRunner

from quietacre.acreage.equal_area import area_m2
from quietacre.cli import main
from quietacre.demo.sample import sample_files
from quietacre.units import ACRE_M2

COLUMNS = ["code", "planted", "weight", "remark"]


def run(*words):
    return CliRunner().invoke(main, [str(word) for word in words])


def frame(name="F", count=5):
    shapes = [
        shapely.box(-87.6 + i / 100, 34.2, -87.595 + i / 100, 34.203) for i in range(count)
    ]
    return gpd.GeoDataFrame(
        {
            "code": [10 * i for i in range(count)],
            "name": [f"{name}{i}" for i in range(count)],
            "planted": [None, *["2027-09-25"] * (count - 1)],
            "weight": [0.5 * i if i else None for i in range(count)],
            "kind": "plot",
            "remark": ["=1+1", *['wet, "low"'] * (count - 1)],
        },
        geometry=shapes, crs=4326,
    )  # fmt: skip


@pytest.fixture
def fields(tmp_path):
    path = tmp_path / "fields.gpkg"
    frame().to_file(path, layer="plots")
    frame("W", 2).to_file(path, layer="Water")
    return path


@pytest.mark.parametrize("ending", [".gpkg", ".geojson"])
def test_other_columns_go_through_in_their_order(tmp_path, fields, ending):
    source = fields
    if ending == ".geojson":
        source = tmp_path / "in.geojson"
        frame().to_file(source)
    layer = ("--layer", "plots") if ending == ".gpkg" else ()
    for out in ("out.gpkg", "out.geojson"):
        result = run("acres", source, *layer, "--out", tmp_path / out)
        assert result.exit_code == 0, result.output
        made = gpd.read_file(tmp_path / out)
        names = [c for c in made.columns if c != "geometry"]
        assert names[-len(COLUMNS) :] == COLUMNS
        assert list(made["name"]) == [f"F{i}" for i in range(5)]
        assert list(made["code"]) == [0, 10, 20, 30, 40]
        assert made["weight"].isna().tolist() == [True, False, False, False, False]
        assert made["weight"].iloc[4] == 2.0
        assert made["remark"].iloc[1] == 'wet, "low"'
        assert made["acres"].iloc[0] == pytest.approx(
            area_m2([made.geometry[0]])[0] / ACRE_M2
        )
    table = tmp_path / "out.csv"
    assert run("acres", source, *layer, "--out", table).exit_code == 0
    with table.open(newline="") as handle:
        rows = list(csv.reader(handle))
    assert rows[0][-len(COLUMNS) :] == COLUMNS
    assert rows[1][-len(COLUMNS) :] == ["0", "", "", "'=1+1"]  # no cell runs
    assert rows[2][-1] == 'wet, "low"'


def test_columns_that_the_first_features_have_not_are_said(tmp_path):
    ring = [[-87.6, 34.2], [-87.598, 34.2], [-87.598, 34.202], [-87.6, 34.2]]
    for number, more in enumerate(({"a": 1}, {"a": 2, "b": "x"})):
        feature = {"type": "Feature", "properties": {"name": str(number), **more},
                   "geometry": {"type": "Polygon", "coordinates": [ring]}}  # fmt: skip
        (tmp_path / f"{number}.geojson").write_text(json.dumps(feature))
    result = run(
        "acres", tmp_path / "0.geojson", tmp_path / "1.geojson", "--out", tmp_path / "o.csv"
    )
    assert result.exit_code == 0
    assert "columns that the first features have not are left out: “b”" in result.output


def test_acres_of_its_own_output_measures_anew_and_keeps_the_others(tmp_path, fields):
    first, second = tmp_path / "a.gpkg", tmp_path / "b.gpkg"
    assert run("acres", fields, "--layer", "plots", "--out", first).exit_code == 0
    assert run("acres", first, "--out", second).exit_code == 0
    one, two = gpd.read_file(first), gpd.read_file(second)
    assert list(one.columns) == list(two.columns)
    assert one["acres"].tolist() == two["acres"].tolist()


def test_one_layer_alone_is_read(fields, tmp_path):
    both = json.loads(run("acres", fields, "--json").output)
    one = json.loads(run("acres", fields, "--layer", "WATER", "--json").output)
    assert len(both["areas"]) == 7
    assert [row["name"] for row in one["areas"]] == ["W0", "W1"]
    refused = run("acres", fields, "--layer", "roads")
    assert refused.exit_code == 2
    assert (
        "has no layer “roads”; name one of its layers: “Water”, “plots”" in refused.stderr
    )
    walk = tmp_path / "w.gpx"
    walk.write_bytes(sample_files()["walks/creek-shelf.gpx"])
    refused = run("acres", walk, "--layer", "plots")
    assert refused.exit_code == 2
    assert "has no layers to choose" in refused.stderr


@pytest.mark.parametrize("ending", [".gpkg", ".geojson"])
def test_walk_strip_and_advance_write_either(tmp_path, ending):
    old, new = tmp_path / "old.gpx", tmp_path / "new.gpx"
    old.write_bytes(sample_files()["walks/vine-2025.gpx"])
    new.write_bytes(sample_files()["walks/vine-2026.gpx"])
    ring, strip, passes, moved = (tmp_path / f"{name}{ending}" for name in "rspm")
    said = run("walk", new, "--out", ring, "--json")
    assert said.exit_code == 0, said.output
    (row,) = gpd.read_file(ring).itertuples()
    assert row.acres == pytest.approx(json.loads(said.stdout)["total_acres"], abs=1e-6)
    assert area_m2([row.geometry])[0] / ACRE_M2 == pytest.approx(row.acres, rel=1e-6)
    said = run(
        "strip", ring, "--width-ft", "60", "--out", strip, "--passes-out", passes, "--json"
    )
    assert said.exit_code == 0, said.output
    (row,) = gpd.read_file(strip).itertuples()
    assert row.acres == pytest.approx(json.loads(said.stdout)["acres"], abs=1e-6)
    assert len(gpd.read_file(passes)) == len(json.loads(said.stdout)["passes"])
    layers = ("--layer-old", "strip") if ending == ".gpkg" else ()
    said = run("advance", old, new, "--out", moved, "--json")
    assert said.exit_code == 0, said.output
    made = gpd.read_file(moved).set_index("name")["acres"]
    assert made["new edge"] - made["old edge"] == pytest.approx(
        json.loads(said.stdout)["change_ac"], abs=0.002
    )
    assert run("advance", strip, new, *layers).exit_code == 0


@pytest.mark.parametrize(
    "words",
    [
        ("walk", "FILE", "--out", "x.txt"),
        ("strip", "FILE", "--width-ft", "60", "--passes-out", "x.shp"),
        ("advance", "FILE", "FILE", "--out", "x"),
    ],
)
def test_other_endings_are_refused_before_anything_is_read(tmp_path, words):
    result = run(*(tmp_path / "gone.gpx" if w == "FILE" else w for w in words))
    assert result.exit_code == 2
    assert "are not written; name a .gpkg or a .geojson" in result.stderr
