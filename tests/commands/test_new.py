"""``new``: copies under names that every system keeps; nothing of the person's changes."""

import json
import unicodedata

import pytest
from click.testing import CliRunner
from hypothesis import given
from hypothesis import strategies as st

from quietacre.cli import main
from quietacre.demo.sample import sample_files
from quietacre.export.outputs import OUTPUTS
from quietacre.filenames import LONGEST_BYTES, RESERVED, safe_name

DRAWN = sample_files()["drawn/openings.geojson"]


# "Naming Files, Paths, and Namespaces", Microsoft, 2024 (from memory): reserved signs
# and devices, no dot or space at the end
@pytest.mark.parametrize(
    ("name", "kept"),
    [
        ("walk 1.gpx", "walk 1.gpx"),
        ("CON.geojson", "_CON.geojson"),
        ("nul.tar.gpkg", "_nul.tar.gpkg"),
        ("com1.csv", "_com1.csv"),
        ("LPT³.kml", "_LPT³.kml"),
        ("aux .kml", "_aux.kml"),
        ("console.kml", "console.kml"),
        ("a:b?c*.geojson", "a-b-c-.geojson"),
        ('"quoted" <x>|y\\z.kml', "-quoted- -x--y-z.kml"),
        ("dots... .geojson", "dots.geojson"),
        ("..gpx", "file.gpx"),
        ("new\nline\x1b[31m.kml", "new-line-[31m.kml"),
        ("turned\u202exslx.kml", "turned-xslx.kml"),
        ("e\u0301tang.kml", "étang.kml"),
        ("畑🌾.gpx", "畑🌾.gpx"),
        ("half\udcff.kml", "half-.kml"),
        ("n" * 300 + ".gpx", "n" * (LONGEST_BYTES - 4) + ".gpx"),
        ("畑" * 90 + ".gpx", "畑" * 65 + ".gpx"),
    ],
)
def test_names_are_safe_everywhere(name, kept):
    assert safe_name(name) == kept


@given(st.text(st.characters(), min_size=1, max_size=300))
def test_any_name_becomes_safe_and_stays_so(name):
    kept = safe_name(name)
    assert kept
    assert len(kept.encode()) <= LONGEST_BYTES
    assert not set(kept) & set('<>:"/\\|?*\x00')
    assert all(unicodedata.category(ch) not in ("Cc", "Cf", "Cs") for ch in kept)
    assert kept[-1] not in " ."
    assert kept[0] not in " ."
    assert kept.partition(".")[0].rstrip().upper() not in RESERVED
    assert safe_name(kept) == kept


def test_copies_are_built_under_their_new_names(tmp_path):
    odd = tmp_path / "plan: 1?*.geojson"
    odd.write_bytes(DRAWN)
    long = tmp_path / ("w" * 240 + ".gpx")
    long.write_bytes(sample_files()["walks/creek-shelf.gpx"])
    place = tmp_path / "place"
    made = CliRunner().invoke(main, ["new", str(place), str(odd), str(long), "--json"])
    assert made.exit_code == 0, made.output
    files = {area["from"] for area in json.loads(made.output)["areas"]}
    assert files == {"drawn/plan- 1--.geojson", f"walks/{'w' * 196}.gpx"}
    assert (place / "drawn" / "plan- 1--.geojson").read_bytes() == DRAWN
    assert CliRunner().invoke(main, ["build", str(place)]).exit_code == 0
    assert odd.read_bytes() == DRAWN


def test_names_that_differ_in_case_only_are_two_of_one_name(tmp_path):
    for name in ("Field.geojson", "FIELD.geojson"):
        (tmp_path / name).write_bytes(DRAWN)
    words = ["new", str(tmp_path / "place"), *map(str, sorted(tmp_path.glob("*.geojson")))]
    made = CliRunner().invoke(main, words)
    assert made.exit_code == 2
    assert "two files have this name" in made.output
    assert not (tmp_path / "place").exists()


def test_output_names_are_fixed_whatever_areas_are_called(tmp_path):
    """File names never come from a plot's name."""
    names = ["CON", "../up", "a/b", "nul.txt", "=1+1", "x" * 150]
    box = json.loads(DRAWN)["features"][0]["geometry"]
    place = tmp_path / "place"
    (place / "drawn").mkdir(parents=True)
    text = '[property]\nname = "../../CON"\n'
    for number, name in enumerate(names):
        (place / "drawn" / f"{number}.geojson").write_text(json.dumps(box))
        text += (
            f'[[area]]\nname = {json.dumps(name)}\nkind = "plot"\n'
            f'from = "drawn/{number}.geojson"\n'
        )
    (place / "property.toml").write_text(text)
    assert CliRunner().invoke(main, ["build", str(place)]).exit_code == 0
    made = {path.name for path in (place / "out").iterdir()}
    assert made == set(OUTPUTS)
    assert {path.name for path in tmp_path.iterdir()} == {"place"}


def test_the_new_file_says_how_walks_of_one_edge_a_line_and_a_vine_are_written(tmp_path):
    """Each of its hints is taken as it is written there: the property is built by them."""
    import re
    import tomllib

    files = sample_files()
    walks = ["walks/north-bottom-1.gpx", "walks/north-bottom-2.gpx", "walks/vine-2026.gpx"]
    for name in (*walks, "drawn/boundary.geojson"):
        path = tmp_path / name.rpartition("/")[2]
        path.write_bytes(files[name])
    place = tmp_path / "place"
    given_files = sorted(str(p) for p in tmp_path.glob("*.g*"))
    done = CliRunner().invoke(main, ["new", str(place), *given_files])
    assert done.exit_code == 0, done.output
    text = (place / "property.toml").read_text()
    hint = re.search(r'# Two walks of one edge are one area: (from = \["walks/.*\])', text)
    kind = re.search(r'# Ground with the vine in it is (kind = "patch")', text)
    assert "# The property line is no area: name its file as boundary above" in text
    head = text.partition("[[area]]")[0].replace(
        '# boundary = "drawn/', 'boundary = "drawn/'
    )
    both = hint.group(1).replace("hill-", "north-bottom-")
    vine = f'{kind.group(1)}\nvine = "kudzu"\nfrom = "walks/vine-2026.gpx"'
    head += f'[[area]]\nname = "North"\nkind = "plot"\n{both}\n[[area]]\nname = "Vine"\n{vine}\n'
    assert tomllib.loads(head)["property"]["boundary"] == "drawn/boundary.geojson"
    (place / "property.toml").write_text(head)
    done = CliRunner().invoke(main, ["build", str(place)])
    assert done.exit_code == 0, done.output
    assert "\nVine strip: " in done.output
    report = json.loads((place / "out" / "report.json").read_text())
    assert report["property"]["acres"] > 300
    assert report["areas"][0]["method"].endswith("2 walks combined")


def drawn(name, ring, **more):
    feature = {"type": "Feature", "properties": {"name": name, **more},
               "geometry": {"type": "Polygon", "coordinates": [ring]}}  # fmt: skip
    return json.dumps({"type": "FeatureCollection", "features": [feature]})


def square(west, south, side):
    east, north = west + side, south + side
    return [[west, south], [east, south], [east, north], [west, north], [west, south]]


WHOLE = square(-87.63, 34.2, 0.03)


@pytest.mark.parametrize(
    ("file", "name", "ring", "more", "is_line"),
    [
        ("home_boundary.geojson", "", WHOLE, {}, True),
        ("a.geojson", "Property line", WHOLE, {}, True),
        ("whole.geojson", "All of it", WHOLE, {}, True),  # it holds every plot
        ("whole.geojson", "Big woods", WHOLE, {"kind": "timber"}, False),
        ("west.geojson", "West half", square(-87.63, 34.2, 0.011), {}, False),
    ],
)
def test_the_property_line_is_no_plot(file, name, ring, more, is_line, tmp_path):
    (tmp_path / file).write_text(drawn(name, ring, **more))
    for number in range(3):
        plot = drawn(f"Plot {number}", square(-87.628 + 0.008 * number, 34.21, 0.002))
        (tmp_path / f"p{number}.geojson").write_text(plot)
    words = ["new", str(tmp_path / "place"), *map(str, sorted(tmp_path.glob("*.geojson")))]
    made = CliRunner().invoke(main, [*words, "--json"])
    assert made.exit_code == 0, made.output
    told = json.loads(made.output)
    assert told["boundary"] == (f"drawn/{file}" if is_line else None)
    assert len(told["areas"]) == (3 if is_line else 4)
    built = CliRunner().invoke(main, ["build", str(tmp_path / "place"), "--json"])
    assert built.exit_code == 0, built.output
    report = json.loads((tmp_path / "place" / "out" / "report.json").read_text())
    assert (report["property"]["acres"] is not None) == is_line
