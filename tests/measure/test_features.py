"""Which edge of a file an area means: by name, by number, or refused; nothing unsaid."""

import json

import numpy as np
import pytest
import shapely
from click.testing import CliRunner
from random_files import (
    Places,
    acres_of,
    geojson,
    gpx,
    gpx_line,
    kml,
    kml_polygon,
    kml_track,
    walk,
)

from quietacre.boundary.edges import edges_of
from quietacre.cli import main
from quietacre.errors import BadInput
from quietacre.intake.vector import read_layer
from quietacre.measure.property import measure_property

HEAD = '[property]\nname = "Place"\n'


def boxes(*names, side=0.002):
    return [
        (name, shapely.box(-87.6 + 0.003 * n, 34.2, -87.6 + 0.003 * n + side, 34.2 + side))
        for n, name in enumerate(names)
    ]


def area(name, file, **more):
    lines = [f'[[area]]\nname = {json.dumps(name)}\nkind = "plot"\nfrom = "{file}"\n']
    lines += [f"{key} = {json.dumps(value)}\n" for key, value in more.items()]
    return "".join(lines)


def place(folder, files, *areas, head=HEAD):
    for name, text in files.items():
        (folder / name).parent.mkdir(exist_ok=True, parents=True)
        (folder / name).write_text(text, encoding="utf-8")
    (folder / "property.toml").write_text(head + "".join(areas), encoding="utf-8")
    return folder


def said(measured, code):
    notes = [*measured.extras.notes]
    notes += [note for some in measured.extras.area_notes.values() for note in some]
    return [note for note in notes if note.code == code]


def run(*words):
    done = CliRunner().invoke(main, [str(word) for word in words])
    return done.exit_code, done.output


def loops(*names, seed=1):
    rng = np.random.default_rng(seed)
    places = Places(rng)
    made = [(name, walk(rng, places)) for name in names]
    text = gpx([gpx_line(n, f, places.begin(len(f) / 30.0)) for n, f in made])
    return text, [acres_of(shapely.Polygon(fixes)) for _, fixes in made]


@pytest.mark.parametrize(
    "names",
    [
        ["A", "B", "C", "D", "E", ""],
        ["A", "B", "C", "D", "E", "E"],
        ["", "", "", "", "", ""],
        ["A", "a", "A ", "á", "a\u0301", "#2"],
    ],
)
def test_a_drawing_with_blank_or_repeated_names_keeps_its_land(names, tmp_path):
    shapes = boxes(*names)
    (tmp_path / "six.geojson").write_text(geojson(shapes), encoding="utf-8")
    code, text = run("new", tmp_path / "p", tmp_path / "six.geojson")
    assert code == 0, text
    truth = sum(acres_of(shape) for _, shape in shapes)
    assert f"6 areas in property.toml, {truth:.2f} ac" in text
    measured = measure_property(tmp_path / "p")
    assert len(measured.areas) == 6
    assert measured.extras.total_acres == pytest.approx(truth, rel=1e-4)
    assert not said(measured, "ground-unused")
    assert not said(measured, "feature-count")


def test_an_untitled_placemark_is_an_area_of_its_own(tmp_path):
    marks = [(n, kml_polygon(s)) for n, s in boxes("A", None, "B")]
    (tmp_path / "a.kml").write_text(kml(marks))
    assert run("new", tmp_path / "p", tmp_path / "a.kml")[0] == 0
    assert list(measure_property(tmp_path / "p").areas["name"]) == ["A", "unnamed 1", "B"]


def test_labels_and_keys_are_as_they_are_written(tmp_path):
    names = ["South", "", "South", "North", "South#2", ""]
    (tmp_path / "a.geojson").write_text(geojson(boxes(*names)))
    edges = edges_of(read_layer(tmp_path / "a.geojson"))
    assert [edge.label for edge in edges.measured] == [
        "South 1", "unnamed 1", "South 2", "North", "South#2", "unnamed 2",
    ]  # fmt: skip
    # a name comes first, so the second South is told by its place
    keys = ["South#1", "unnamed#1", "#3", "North", "South#2", "unnamed#2"]
    assert [edge.key for edge in edges.measured] == keys
    for edge in edges.measured:
        assert edges.pick(edge.key).edges == (edge,)


def test_every_key_means_its_edge_alone_whatever_the_names(tmp_path):
    from random_files import NAMES

    rng = np.random.default_rng(5)
    for number in range(40):
        names = [NAMES[i] for i in rng.integers(0, len(NAMES), int(rng.integers(2, 30)))]
        path = tmp_path / f"{number}.geojson"
        path.write_text(geojson(boxes(*names)), encoding="utf-8")
        edges = edges_of(read_layer(path))
        assert len({edge.label for edge in edges.measured}) == len(names)
        for edge in edges.measured:
            assert edges.pick(edge.key).edges == (edge,), (names, edge.key)


def test_a_changed_count_of_a_name_is_said(tmp_path):
    two = [area("One", "a.geojson", feature="South#1")]
    two.append(area("Two", "a.geojson", feature="South#2"))
    folder = place(tmp_path, {"a.geojson": geojson(boxes("South", "South"))}, *two)
    assert not said(measure_property(folder), "feature-count")
    place(tmp_path, {"a.geojson": geojson(boxes("South", "South", "South"))}, *two)
    measured = measure_property(folder)
    assert "3 features named “South”" in said(measured, "feature-count")[0].text
    assert "“South 3” " in said(measured, "ground-unused")[0].text
    place(tmp_path, {"a.geojson": geojson(boxes("South", "North"))}, *two)
    with pytest.raises(BadInput, match="no feature “South#2”"):
        measure_property(folder)
    place(tmp_path, {"a.geojson": geojson(boxes("South", "North"))}, two[0])
    assert "1 feature named" in said(measure_property(folder), "feature-count")[0].text


def test_features_no_area_uses_are_named_with_their_acres(tmp_path):
    shapes = boxes("A", "B", "", "B")
    folder = place(tmp_path, {"a.geojson": geojson(shapes)}, area("A", "a.geojson"))
    (note,) = said(measure_property(folder), "ground-unused")
    each = acres_of(shapes[0][1])
    assert note.level == "warning"
    assert f"3 features that no area uses, {3 * each:.2f} ac" in note.text
    for label in ("B 1", "unnamed 1", "B 2"):
        assert f"“{label}” {each:.2f} ac" in note.text
    code, text = run("build", folder, "--today", "2027-01-10")
    assert code == 0
    assert note.text in text


def test_one_name_for_several_features_takes_them_together_and_says_so(tmp_path):
    shapes = boxes("South", "South", "North")
    areas = [area("South", "a.geojson"), area("North", "a.geojson")]
    measured = measure_property(place(tmp_path, {"a.geojson": geojson(shapes)}, *areas))
    each = acres_of(shapes[0][1])
    assert measured.areas["acres"][0] == pytest.approx(2 * each, rel=1e-4)
    assert f"{2 * each:.2f} ac" in said(measured, "features-together")[0].text


def test_two_areas_of_one_feature_are_said(tmp_path):
    areas = [area("A", "a.geojson"), area("Too", "a.geojson", feature="A")]
    folder = place(tmp_path, {"a.geojson": geojson(boxes("A", "B"))}, *areas)
    assert (
        "“A” and “Too” are the same feature"
        in said(measure_property(folder), "feature-twice")[0].text
    )


@pytest.mark.parametrize("named", [True, False])
def test_the_line_and_the_plots_of_one_file(named, tmp_path):
    line = shapely.box(-87.61, 34.19, -87.58, 34.22)
    shapes = [*boxes("A", "B", "C"), ("Property line" if named else "All", line)]
    areas = [area("A", "a.geojson"), area("B", "a.geojson")]
    head = HEAD + 'boundary = "a.geojson"\n'
    files = {"a.geojson": geojson(shapes)}
    measured = measure_property(place(tmp_path, files, *areas, head=head))
    assert acres_of(measured.extras.boundary) == pytest.approx(acres_of(line), rel=1e-6)
    assert "“C” " in said(measured, "ground-unused")[0].text
    if named:
        code, text = run("new", tmp_path / "p", tmp_path / "a.geojson")
        assert code == 0
        assert "3 areas" in text
        assert f"the property line, {acres_of(line):,.2f} ac" in text


def test_a_gpx_of_three_loops_makes_three_areas_and_says_so(tmp_path):
    text, acres = loops("North", "South", "")
    (tmp_path / "day.gpx").write_text(text)
    code, told = run("new", tmp_path / "p", tmp_path / "day.gpx")
    assert code == 0
    assert "3 areas" in told
    for name, size in zip(("North", "South", "unnamed 1"), acres, strict=True):
        assert f"{name} (plot), {size:.2f} ac from walks/day.gpx" in told
    measured = measure_property(tmp_path / "p")
    assert list(measured.areas["acres"]) == pytest.approx(acres, rel=5e-3)


@pytest.mark.parametrize(
    ("word", "number"), [("South", 1), ("south", 1), ("#2", 1), ("#3", 2), ("2", 3)]
)
def test_feature_picks_a_track_by_name_first(word, number, tmp_path):
    text, acres = loops("North", "South", "East", "2")
    folder = place(tmp_path, {"d.gpx": text}, area("Mine", "d.gpx", feature=word))
    measured = measure_property(folder)
    assert measured.areas["acres"][0] == pytest.approx(acres[number], rel=5e-3)
    assert "3 features that no area uses" in said(measured, "ground-unused")[0].text


@pytest.mark.parametrize("word", ["Wset", "3", "#9", "South#2", ""])
def test_a_track_that_is_not_there_is_refused(word, tmp_path):
    text, _ = loops("North", "South")
    folder = place(tmp_path, {"d.gpx": text}, area("Mine", "d.gpx", feature=word))
    with pytest.raises(BadInput, match="no feature") as problem:
        measure_property(folder)
    assert "“North”, “South”" in str(problem.value)


def test_two_loops_of_one_name_are_told_by_number(tmp_path):
    text, acres = loops("Track", "Track")
    folder = place(tmp_path, {"d.gpx": text}, area("M", "d.gpx", feature="Track"))
    with pytest.raises(BadInput, match="2 walks named “Track”"):
        measure_property(folder)
    place(tmp_path, {"d.gpx": text}, area("M", "d.gpx", feature="Track#2"))
    measured = measure_property(folder)
    assert measured.areas["acres"][0] == pytest.approx(acres[1], rel=5e-3)


def test_an_area_without_a_word_takes_the_most_ground_and_names_the_rest(tmp_path):
    text, acres = loops("North", "South", "East")
    folder = place(tmp_path, {"d.gpx": text}, area("Mine", "d.gpx"))
    measured = measure_property(folder)
    assert measured.areas["acres"][0] == pytest.approx(max(acres), rel=5e-3)
    assert said(measured, "track-chosen")[0].level == "warning"
    assert "2 features that no area uses" in said(measured, "ground-unused")[0].text
    # and its own name comes first, as in a drawing
    place(tmp_path, {"d.gpx": text}, area("South", "d.gpx"))
    assert measure_property(folder).areas["acres"][0] == pytest.approx(acres[1], rel=5e-3)


def test_an_unknown_kind_is_said_and_a_line_of_kind_boundary_is_no_area(tmp_path):
    document = json.loads(geojson(boxes("A", "B", "Edge")))
    for feature, kind in zip(
        document["features"], ("meadow", "Patch", "boundary"), strict=True
    ):
        feature["properties"]["kind"] = kind
    (tmp_path / "a.geojson").write_text(json.dumps(document))
    code, text = run("new", tmp_path / "p", tmp_path / "a.geojson")
    assert code == 0
    assert "“meadow”" in text
    assert "B (patch)" in text
    assert "the property line" in text
    assert "2 areas" in text


def test_a_place_that_holds_several_loops_asks_which(tmp_path):
    text, acres = loops("Day", "Day", "Day")
    text = text.replace("</trk><trk><name>Day</name>", "")
    folder = place(tmp_path, {"d.gpx": text}, area("M", "d.gpx", feature="#1"))
    with pytest.raises(BadInput, match="Day#1"):
        measure_property(folder)
    place(tmp_path, {"d.gpx": text}, area("M", "d.gpx", feature="Day#3"))
    measured = measure_property(folder)
    assert measured.areas["acres"][0] == pytest.approx(acres[2], rel=5e-3)
    assert "2 features that no area uses" in said(measured, "ground-unused")[0].text


def test_drawings_put_together_say_what_is_drawn_twice(tmp_path):
    one, two = (
        shapely.box(-87.6, 34.2, -87.598, 34.202),
        shapely.box(-87.599, 34.2, -87.597, 34.202),
    )
    both = acres_of(one.union(two))
    twice = acres_of(one.intersection(two))
    files = {"a.geojson": geojson([("A", one), ("A", two)])}
    measured = measure_property(place(tmp_path, files, area("A", "a.geojson")))
    (note,) = said(measured, "features-together")
    assert f"{both:.2f} ac (" in note.text
    assert f"{twice:.2f} ac drawn twice" in note.text
    files = {"a.geojson": geojson([("A", one)]), "b.geojson": geojson([("A", two)])}
    text = area("A", "a.geojson").replace('"a.geojson"', '["a.geojson", "b.geojson"]')
    measured = measure_property(place(tmp_path, files, text))
    (note,) = said(measured, "features-together")
    assert f"{both:.2f} ac, {twice:.2f} ac drawn twice" in note.text


def test_a_line_of_two_parcels_stays_whole_when_an_area_is_one_of_them(tmp_path):
    parcels = [("West", shapely.box(-87.6, 34.2, -87.59, 34.21)),
               ("East", shapely.box(-87.59, 34.2, -87.58, 34.21))]  # fmt: skip
    head = HEAD + 'boundary = "a.geojson"\n'
    folder = place(
        tmp_path, {"a.geojson": geojson(parcels)}, area("West", "a.geojson"), head=head
    )
    measured = measure_property(folder)
    whole = sum(acres_of(shape) for _, shape in parcels)
    assert acres_of(measured.extras.boundary) == pytest.approx(whole, rel=1e-6)


def test_a_line_of_two_parcels_with_its_plots_is_the_parcels(tmp_path):
    shapes = [("West", shapely.box(-87.6, 34.2, -87.59, 34.21)),
              ("East", shapely.box(-87.59, 34.2, -87.58, 34.21)),
              ("Plot", shapely.box(-87.592, 34.202, -87.588, 34.205))]  # fmt: skip
    head = HEAD + 'boundary = "a.geojson"\n'
    folder = place(
        tmp_path, {"a.geojson": geojson(shapes)}, area("Plot", "a.geojson"), head=head
    )
    measured = measure_property(folder)
    assert acres_of(measured.extras.boundary) == pytest.approx(
        sum(acres_of(shape) for _, shape in shapes[:2]), rel=1e-6
    )
    assert "“West”, “East”" in said(measured, "line-of-many")[0].text


def test_a_drawing_and_a_walk_of_one_name(tmp_path):
    rng = np.random.default_rng(3)
    places = Places(rng)
    fixes = walk(rng, places)
    box = shapely.box(-87.7, 34.2, -87.698, 34.202)
    text = kml([("South", kml_polygon(box)), ("South", kml_track(fixes, places.begin(9)))])
    folder = place(tmp_path, {"a.kml": text}, area("South", "a.kml"))
    measured = measure_property(folder)
    assert measured.areas["acres"][0] == pytest.approx(acres_of(box), rel=1e-6)
    assert "1 feature that no area uses" in said(measured, "ground-unused")[0].text
    place(tmp_path, {"a.kml": text}, area("South", "a.kml", feature="South#2"))
    measured = measure_property(folder)
    assert measured.areas["acres"][0] == pytest.approx(
        acres_of(shapely.Polygon(fixes)), rel=5e-3
    )
    assert run("new", tmp_path / "p", tmp_path / "a.kml")[0] == 0
    assert len(measure_property(tmp_path / "p").areas) == 2


def test_walked_ground_with_another_name_keeps_its_own_walk(tmp_path):
    names = ["Creek", "Pond", "Ridge"]
    text, acres = loops(*names)
    least = int(np.argmin(acres))
    place(tmp_path, {"walks.gpx": text},
          area("Low field", "walks.gpx", was=["Older", names[least]]))  # fmt: skip
    measured = measure_property(tmp_path)
    assert measured.areas["acres"][0] == pytest.approx(acres[least], rel=0.1)
    assert not said(measured, "track-chosen")


def test_drawn_ground_with_another_name_keeps_its_own_drawing_and_survey(tmp_path):
    drawn = geojson(boxes("Creek", "Pond"))
    more = {"surveys": "EARLIER"}
    text = area("New vine", "g.geojson", was=["Creek"], **more)
    text = text.replace('"EARLIER"', '[{ from = "old.geojson", on = 2026-05-01 }]')
    files = {"g.geojson": drawn, "old.geojson": geojson(boxes("Pond", "Creek", side=0.001))}
    measured = measure_property(place(tmp_path, files, text))
    assert measured.areas.geometry[0].bounds[0] == pytest.approx(-87.6)
    (earlier,) = measured.extras.surveys["a01"]
    assert earlier.shape.bounds[0] == pytest.approx(-87.6 + 0.003)


def test_a_name_of_now_comes_before_one_of_the_past(tmp_path):
    text = area("Pond", "g.geojson", was=["Creek"])
    measured = measure_property(
        place(tmp_path, {"g.geojson": geojson(boxes("Creek", "Pond"))}, text)
    )
    assert measured.areas.geometry[0].bounds[0] == pytest.approx(-87.6 + 0.003)
