"""Coordinates in another unit than the file declares are refused or doubted, never 0.000 ac."""

import json

import numpy as np
import pytest
from pyproj import Transformer

from quietacre.boundary.repair import repair_all
from quietacre.errors import FileProblem
from quietacre.intake.vector import read_layer

SQUARE = [(-86.30, 33.20), (-86.298, 33.20), (-86.298, 33.2016), (-86.30, 33.2016)]


def drawing(path, rings, system=None):
    features = [
        {
            "type": "Feature",
            "properties": {"name": f"Plot {number}"},
            "geometry": {"type": "Polygon", "coordinates": [[*ring, ring[0]]]},
        }
        for number, ring in enumerate(rings)
    ]
    data = {"type": "FeatureCollection", "features": features}
    if system:
        data["crs"] = {"type": "name", "properties": {"name": system}}
    path.write_text(json.dumps(data))
    return path


@pytest.mark.parametrize(
    "system",
    ["EPSG:3857", "EPSG:5070", "EPSG:6933", "EPSG:26916", "EPSG:9311", "EPSG:2225"],
)
@pytest.mark.parametrize("count", [1, 30])
def test_degrees_declared_as_lengths_are_refused(tmp_path, system, count):
    rings = [[(lon + n * 0.01, lat) for lon, lat in SQUARE] for n in range(count)]
    with pytest.raises(
        FileProblem, match="counts in lengths, but its coordinates look like"
    ):
        read_layer(drawing(tmp_path / "d.geojson", rings, system))


@pytest.mark.parametrize("system", ["EPSG:3857", "EPSG:5070", "EPSG:26916"])
def test_lengths_in_their_own_system_are_read(tmp_path, system):
    to = Transformer.from_crs("EPSG:4326", system, always_xy=True)
    layer = read_layer(
        drawing(tmp_path / "d.geojson", [[to.transform(*p) for p in SQUARE]], system)
    )
    bounds = layer.geometry[0].bounds
    assert bounds == pytest.approx((-86.30, 33.20, -86.298, 33.2016), abs=1e-5)


def test_a_small_plot_in_a_frame_of_its_own_is_read(tmp_path):
    frame = "+proj=laea +lat_0=33.2 +lon_0=-86.3 +datum=WGS84 +units=m"
    layer = read_layer(
        drawing(tmp_path / "d.geojson", [[(5, 5), (80, 5), (80, 70), (5, 70)]], frame)
    )
    assert layer.geometry[0].bounds[0] == pytest.approx(-86.3, abs=1e-3)


def test_lengths_declared_as_degrees_are_refused_or_doubted(tmp_path):
    far = drawing(
        tmp_path / "f.geojson",
        [[(565_000, 3_674_000), (565_200, 3_674_000), (565_200, 3_674_200)]],
    )
    with pytest.raises(FileProblem, match="are not degrees"):
        read_layer(far)
    near = read_layer(
        drawing(tmp_path / "n.geojson", [[(10, 5), (140, 5), (140, 80), (10, 80)]])
    )
    _, notes = repair_all(near.geometry, near.name, ["n.geojson"])
    assert "side-very-long" in {note.code for note in notes}


def test_large_drawings_are_judged_by_their_rings_and_never_refused_by_size(tmp_path):
    # sixty degrees across, sides of a degree: a country, not a mistake
    turn = np.linspace(0, 2 * np.pi, 400, endpoint=False)
    ring = [(float(-95 + 30 * np.cos(a)), float(40 + 20 * np.sin(a))) for a in turn]
    layer = read_layer(drawing(tmp_path / "c.geojson", [ring]))
    shapes, notes = repair_all(layer.geometry, layer.name, ["c.geojson"])
    assert not notes
    assert shapes[0].equals(layer.geometry[0])
