"""``add``: an area for each edge, an edge drawn anew, and back."""

import json
import shlex
import shutil
from pathlib import Path

import pytest
import shapely
import shapely.affinity
from click.testing import CliRunner

from quietacre.cli import main
from quietacre.demo.sample import sample_files
from quietacre.edit.property_file import read_settings
from quietacre.edit.redraw import mend_edge
from quietacre.edit.ring_file import ring_file
from quietacre.errors import FileProblem
from quietacre.measure.property import measure_property

SAMPLE = Path(__file__).parents[2] / "sample_maps" / "sweetgum-bend"


@pytest.fixture
def place(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    shutil.copytree(SAMPLE, tmp_path / "bend", ignore=shutil.ignore_patterns("out"))
    return tmp_path / "bend"


def typed(*words):
    return CliRunner().invoke(main, [str(word) for word in words])


def held(folder):
    return {p.relative_to(folder): p.read_bytes() for p in folder.rglob("*") if p.is_file()}


def drawing(path, *names, west=-87.6, kind="Polygon"):
    features = [
        {
            "type": "Feature",
            "properties": {"name": name} if name else {},
            "geometry": json.loads(shapely.to_geojson(
                shapely.box(west + 0.003 * n, 34.2, west + 0.003 * n + 0.002, 34.202)
            )),
        }
        for n, name in enumerate(names)
    ]  # fmt: skip
    path.write_text(json.dumps({"type": "FeatureCollection", "features": features}))
    return path


def areas_of(folder):
    measured = measure_property(folder)
    return dict(zip(measured.areas["name"], measured.areas["acres"], strict=True))


def test_an_area_for_each_feature_and_back(place, tmp_path):
    before, acres = held(place), areas_of(place)
    file = drawing(tmp_path / "more ground.geojson", "East", "", "West", "West")
    said = typed("add", place, file)
    assert said.exit_code == 0, said.output
    told = json.loads(typed("undo", place, "--list", "--json").output)["steps"][0]
    assert told["files"] == ["property.toml", "drawn/more ground.geojson"]
    now = areas_of(place)
    new = {name: size for name, size in now.items() if name not in acres}
    assert len(new) == 4
    assert all(size == pytest.approx(new["East"], rel=1e-3) for size in new.values())
    assert {name: size for name, size in now.items() if name in acres} == acres
    assert f"{sum(new.values()):.2f} ac" in said.output
    text, old = (place / "property.toml").read_bytes(), before[Path("property.toml")]
    head = old.index(b"# ---- what is sown")
    assert text.startswith(old[: head - 2])
    assert text.endswith(old[head:])
    again = typed("add", place, file)
    assert "every edge in these files is an area already" in again.output
    typed("undo", place)
    assert held(place) == before


def test_only_what_no_area_has_yet(place, tmp_path):
    file = drawing(tmp_path / "two.geojson", "East", "West")
    typed("add", place, file)
    typed("set", place, 'area["West"]', "--remove")
    said = typed("add", place, file)
    assert said.exit_code == 0, said.output
    assert "1 area added" in said.output
    assert [a["name"] for a in read_settings(place)["area"]].count("East") == 1
    assert areas_of(place)["West"] > 0


def test_a_name_and_a_kind(place, tmp_path):
    file = drawing(tmp_path / "new.geojson", "")
    said = typed("add", place, file, "--as", "Näh “am Bach”", "--kind", "native")
    assert said.exit_code == 0, said.output
    area = read_settings(place)["area"][-1]
    assert area == {"name": "Näh “am Bach”", "kind": "native", "from": "drawn/new.geojson"}
    assert "Näh “am Bach”" in areas_of(place)


def test_a_property_line_is_told_how_to_become_one(place, tmp_path):
    file = drawing(tmp_path / "x.geojson", "Parcel line")
    said = typed("add", place, file)
    (line,) = (one for one in said.output.splitlines() if "quietacre line" in one)
    assert typed(*shlex.split(line)[1:]).exit_code == 0
    settings = read_settings(place)
    assert settings["property"]["boundary"] == "drawn/x.geojson"
    assert "Parcel line" not in [area["name"] for area in settings["area"]]


def test_a_walk_is_added(place, tmp_path):
    file = tmp_path / "again.gpx"
    file.write_bytes(sample_files()["walks/creek-shelf.gpx"])
    said = typed("add", place, file, "--as", "Shelf, second walk")
    assert said.exit_code == 0, said.output
    assert (place / "walks" / "again.gpx").read_bytes() == file.read_bytes()


def test_a_taken_name_is_asked_about_with_commands_that_work(place, tmp_path):
    file = drawing(tmp_path / "bottom.geojson", "north BOTTOM")
    before = held(place)
    said = typed("add", place, file)
    assert said.exit_code == 2
    assert "there is an area “North bottom” already" in said.output
    assert held(place) == before
    ways = [line for line in said.output.splitlines() if line.startswith("  quietacre")]
    assert len(ways) == 2
    assert typed(*shlex.split(ways[0])[1:]).exit_code == 0
    assert "north BOTTOM 2" in areas_of(place)


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["two.geojson", "--as", "One"], "hold 2 pieces of ground"),
        (["none.geojson"], "is not there"),
        (["empty.geojson"], "quietacre" if False else "empty"),
        (["one.geojson", "--kind", "lawn"], "lawn"),
        (["two.geojson", "--mend", "Long field"], "not one drawing"),
        (["one.geojson", "--mend", "Longfield"], "there is no area"),
        (["one.geojson", "--mend", "Long field", "--as", "x"], "--mend takes one file"),
        (["openings.geojson"], "another file of this name"),
        (["Openings.GeoJSON"], "another file of this name"),
    ],
)
def test_what_cannot_be_added_is_said_and_nothing_is_written(place, tmp_path, words, told):
    drawing(tmp_path / "two.geojson", "a", "b")
    for name in ("one.geojson", "openings.geojson", "Openings.GeoJSON"):
        drawing(tmp_path / name, "a")
    (tmp_path / "empty.geojson").write_text('{"type": "FeatureCollection", "features": []}')
    before = held(place)
    said = typed("add", place, tmp_path / words[0], *words[1:])
    assert said.exit_code == 2, said.output
    assert told in said.output
    assert held(place) == before


def moved(shape, feet=40.0):
    """Return a shape with its edge farther out on all sides."""
    return shapely.affinity.scale(shape, 1.0 + feet / 1000, 1.0 + feet / 1000)


def shape_of(folder, name):
    areas = measure_property(folder).areas
    return areas.geometry[areas["name"] == name].iloc[0]


def test_a_walk_whose_edge_is_drawn_anew_keeps_its_walk(place, tmp_path):
    before = held(place)
    wide = measure_property(place).areas.set_index("name")
    file = tmp_path / "edge.geojson"
    file.write_bytes(ring_file(moved(shape_of(place, "Creek shelf")), "x"))
    said = typed("add", place, file, "--mend", "creek shelf")
    assert said.exit_code == 0, said.output
    assert "the walk stays beside it: over = walks/creek-shelf.gpx" in said.output
    area = read_settings(place)["area"][1]
    assert area["from"] == "drawn/Creek shelf.geojson"
    assert area["over"] == "walks/creek-shelf.gpx"
    now = measure_property(place).areas.set_index("name")
    assert now.loc["Creek shelf", "method"].startswith("drawn over the walk of ")
    old, new = wide.loc["Creek shelf"], now.loc["Creek shelf"]
    assert new["acres"] > old["acres"]
    assert new["acres_high"] - new["acres"] == pytest.approx(
        old["acres_high"] - old["acres"]
    )
    assert now.drop(index="Creek shelf")["acres"].equals(
        wide.drop(index="Creek shelf")["acres"]
    )
    # once more: the same file, and the walk is still the first
    mend_edge(place, "Creek shelf", moved(shape_of(place, "Creek shelf"), 10.0))
    area = read_settings(place)["area"][1]
    assert (area["from"], area["over"]) == (
        "drawn/Creek shelf.geojson",
        "walks/creek-shelf.gpx",
    )
    typed("undo", place)
    typed("undo", place)
    assert held(place) == before


def test_two_walks_of_one_edge_stay_beside_it(place):
    mend_edge(place, "North bottom", moved(shape_of(place, "North bottom")))
    area = read_settings(place)["area"][0]
    assert area["over"] == ["walks/north-bottom-1.gpx", "walks/north-bottom-2.gpx"]
    assert measure_property(place).areas["method"][0].startswith("drawn over 2 walks")


def test_a_drawing_among_others_gets_a_file_of_its_own(place):
    acres = areas_of(place)
    before = (place / "drawn" / "openings.geojson").read_bytes()
    mended = mend_edge(place, "Long field", moved(shape_of(place, "Long field")))
    assert mended.areas[0].over == ()
    assert (place / "drawn" / "openings.geojson").read_bytes() == before
    now = areas_of(place)
    assert now.pop("Long field") > acres.pop("Long field")
    assert now == acres


def test_a_ring_that_could_not_be_read_again_is_refused(place):
    before = held(place)
    bow = shapely.Polygon([(-87.6, 34.2), (-87.59, 34.21), (-87.59, 34.2), (-87.6, 34.21)])
    for shape, told in [
        (bow, "crosses itself"),
        (shapely.LineString([(0, 0), (1, 1)]), "no edge|no polygon|holds"),
        (shapely.box(-80, 34.2, -79.998, 34.202), "does not lie on the ground"),
    ]:
        with pytest.raises(FileProblem, match=told):
            mend_edge(place, "Creek shelf", shape)
    assert held(place) == before


def test_a_loop_among_several_of_a_walk(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    gpx = sample_files()["walks/creek-shelf.gpx"].decode()
    one = gpx[gpx.index("<trk>") : gpx.index("</trk>") + 6]
    other = one.replace('lat="34.', 'lat="35.').replace("lat='34.", "lat='35.")
    assert other != one
    (tmp_path / "both.gpx").write_text(gpx.replace(one, one + other))
    folder = tmp_path / "land"
    assert typed("new", folder, tmp_path / "both.gpx").exit_code == 0
    second = read_settings(folder)["area"][1]
    assert second.get("feature")
    mend_edge(folder, second["name"], moved(shape_of(folder, second["name"])))
    methods = list(measure_property(folder).areas["method"])
    assert methods[0].startswith("walked")
    assert methods[1].startswith("drawn over the walk")


def test_ground_between_pins_is_added_with_its_keys(place, tmp_path):
    pins = "".join(
        f'<wpt lat="{lat}" lon="{lon}"><name>{n}</name></wpt>'
        for n, (lon, lat) in enumerate(
            [(-87.6, 34.2), (-87.598, 34.2), (-87.598, 34.202), (-87.6, 34.202)], 1
        )
    )
    file = tmp_path / "four pins.gpx"
    file.write_text(
        f'<gpx version="1.1" creator="x" xmlns="http://www.topografix.com/GPX/1/1">{pins}</gpx>'
    )
    said = typed("add", place, file, "--corners", "straight", "--order", "number")
    assert said.exit_code == 0, said.output
    area = read_settings(place)["area"][-1]
    assert area["corners"] == "straight"
    assert area["order"] == "number"
    assert areas_of(place)["Four pins"] == pytest.approx(10.1, abs=0.2)
    assert "an area already" in typed("add", place, file, "--corners", "straight").output


def test_a_renamed_one_of_several_is_told_by_its_feature(place, tmp_path):
    file = drawing(tmp_path / "two.geojson", "East", "West")
    typed("add", place, file)
    sizes = areas_of(place)
    typed("set", place, 'area["West"]', "--remove")
    said = typed("add", place, file, "--as", "Sundown")
    assert said.exit_code == 0, said.output
    assert read_settings(place)["area"][-1]["feature"] == "West"
    assert areas_of(place)["Sundown"] == sizes["West"]


def test_several_with_taken_names_get_numbers(place, tmp_path):
    one = drawing(tmp_path / "north bottom.geojson", "")
    two = drawing(tmp_path / "more.geojson", "Long field", "Other", west=-87.5)
    before = len(read_settings(place)["area"])
    said = typed("add", place, one, two)
    assert said.exit_code == 0, said.output
    new = read_settings(place)["area"][before:]
    assert [a["name"] for a in new] == ["North bottom 2", "Long field 2", "Other"]
    assert [a.get("feature") for a in new] == [None, "Long field", None]
    assert {"North bottom 2", "Long field 2", "Other"} <= set(areas_of(place))


def test_pieces_of_a_file_are_chosen_named_and_given_a_kind(place, tmp_path):
    path = drawing(tmp_path / "three.geojson", "One", "Two", "Three")
    done = typed("acres", path, "--json", "--edges")
    found = json.loads(done.stdout)["areas"]
    assert [row["number"] for row in found] == [1, 2, 3]
    assert found[0]["edge"]["type"] == "Polygon"
    done = typed("add", place, path, "--only", "3:patch=Far vine", "--only", "1", "--json")
    assert done.exit_code == 0, done.stderr
    rows = json.loads(done.stdout)["areas"]
    assert [(row["name"], row["kind"]) for row in rows] == [
        ("Far vine", "patch"),
        ("One", "plot"),
    ]
    measured = measure_property(place).areas.set_index("name")
    assert measured.acres["Far vine"] == pytest.approx(found[2]["acres"])
    taken = typed("add", place, path, "--only", "2=One")
    assert taken.exit_code == 2
    assert "--only '2=One 2'" in taken.stderr
    for word, why in (
        ("9", "there is no piece 9"),
        ("x", "is no piece"),
        ("1:sea", "is no piece"),
    ):
        done = typed("add", place, path, "--only", word)
        assert done.exit_code == 2
        assert why in done.stderr
