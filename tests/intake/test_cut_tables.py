"""Tables and shapefiles that lost their end, or swallow rows: refused, never half read."""

import shutil

import geopandas as gpd
import numpy as np
import pytest
import shapely

from quietacre.errors import FileProblem, SettingsProblem
from quietacre.intake.property import read_property
from quietacre.intake.vector import read_layer

SHAPE = "POLYGON((-87.6 34.2,-87.59 34.2,-87.59 34.21,-87.6 34.2))"


@pytest.fixture
def sound(tmp_path):
    boxes = [
        shapely.box(-87.6 + n * 0.01, 34.2, -87.595 + n * 0.01, 34.21) for n in range(3)
    ]
    gpd.GeoDataFrame({"name": list("ABC")}, geometry=boxes, crs=4326).to_file(
        tmp_path / "plots.shp"
    )
    assert read_layer(tmp_path / "plots.shp").name == ("A", "B", "C")
    return tmp_path


@pytest.mark.parametrize(
    ("ending", "kept", "says"),
    [
        (".shp", 120, "is cut off"),
        (".shp", 250, "is cut off"),  # one shape of three is whole
        (".shp", 100, "is cut off"),
        (".shx", 100, ".shx file is cut off"),
        (".shx", 108, ".shx file is cut off"),
        (".dbf", 150, ".dbf file is cut off"),  # one row of three is whole
    ],
)
@pytest.mark.parametrize("zipped", [False, True])
def test_a_cut_shapefile_is_refused(ending, kept, says, zipped, sound):
    path = sound / f"plots{ending}"
    path.write_bytes(path.read_bytes()[:kept])
    read = sound / "plots.shp"
    if zipped:
        shutil.make_archive(sound.parent / "plots", "zip", sound)
        read = sound.parent / "plots.zip"
    with pytest.raises(FileProblem, match=says):
        read_layer(read)


def test_a_table_of_names_of_another_shapefile_is_refused(sound):
    boxes = [shapely.box(0, n, 0.5, n + 0.5) for n in range(2)]
    other = gpd.GeoDataFrame({"name": ["X", "Y"]}, geometry=boxes, crs=4326)
    (sound / "other").mkdir()
    other.to_file(sound / "other" / "plots.shp")
    shutil.copy(sound / "other" / "plots.dbf", sound / "plots.dbf")
    with pytest.raises(FileProblem, match="3 shapes and 2 rows of names"):
        read_layer(sound / "plots.shp")


def test_a_shape_of_thousands_of_corners_is_read_from_csv(tmp_path):
    angle = np.linspace(0, 2 * np.pi, 6000)
    ring = np.column_stack([-87.6 + 0.01 * np.cos(angle), 34.2 + 0.01 * np.sin(angle)])
    text = shapely.to_wkt(shapely.Polygon(ring), rounding_precision=12)
    assert len(text) > 150_000
    (tmp_path / "big.csv").write_text(f'name,wkt\nA,"{text}"\n')
    assert len(shapely.get_coordinates(read_layer(tmp_path / "big.csv").geometry)) == 6000


@pytest.mark.parametrize(
    ("text", "line"),
    [
        (f'wkt,name,kind\n"{SHAPE}",A,\n"{SHAPE}","B,\n"{SHAPE}",C,\n', 3),
        (f'name,wkt\n"A,{SHAPE}\nB,"{SHAPE}"\nC,"{SHAPE}"\n', 2),
        ('name,lon,lat\nA,-87.6,34.2\nA,-87.5,34.2\n"A,-87.5,34.3\nA,-87.6,34.3\n', 4),
    ],
)
def test_an_open_quote_is_named_and_swallows_no_rows(text, line, tmp_path):
    (tmp_path / "a.csv").write_text(text)
    with pytest.raises(FileProblem, match=f"line {line}: a quote is opened and not closed"):
        read_layer(tmp_path / "a.csv")


def test_a_line_end_inside_quotes_and_a_quote_in_a_bare_cell_are_read(tmp_path):
    (tmp_path / "a.csv").write_text(f'wkt,name\n"{SHAPE}","A\nx"\n"{SHAPE}",5" pipe\n')
    assert read_layer(tmp_path / "a.csv").name == ("A\nx", '5" pipe')


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ('history = "x"', "area[1].history: “x” should be a list, in [ ]"),
        ("feature = 4", "area[1].feature: “4” should be text, in quotes"),
        ("strip = 5", "area[1].strip: “5” should be a table, in { }"),
        ("max_products = 0", "area[1].max_products: “0” should be 1 or more"),
        ("walked_inside_ft = -1", "area[1].walked_inside_ft: “-1” should be 0 or more"),
    ],
)
def test_wrong_settings_are_told_in_plain_words(text, says, tmp_path):
    head = '[property]\nname = ""\n[[area]]\nname = "A"\nkind = "plot"\nfrom = 3\n'
    (tmp_path / "property.toml").write_text(
        head + text + "\n[[mix]]\nname = 'm'\nseed = []\n"
    )
    with pytest.raises(SettingsProblem) as problem:
        read_property(tmp_path)
    faults = problem.value.faults
    assert says in faults
    assert "property.name: is blank; write something" in faults
    assert "area[1].from: “3” should be a name in quotes, or a list of them" in faults
    assert "mix[1].seed: is an empty list; give at least 1" in faults
    assert not [fault for fault in faults if "tuple" in fault or "input" in fault]


def test_a_list_whose_entries_are_wrong_is_not_called_empty(tmp_path):
    (tmp_path / "property.toml").write_text(
        '[property]\nname = "x"\n[[mix]]\nname = "m"\nseed = [ { crop = "wheat", share = 1, purity = 98 } ]\n'
    )
    with pytest.raises(SettingsProblem) as problem:
        read_property(tmp_path)
    assert list(problem.value.faults) == ["mix[1].seed[1].purity: “98” should be 1 or less"]
