"""Typed edges, tapes and names of files, read whole or told in full."""

import datetime as dt
import json
import math

import pytest

from quietacre.errors import FileProblem
from quietacre.intake.file_faults import GIVEN, Place, file_faults
from quietacre.intake.new_edges import TypedEdge, TypedEdges, read_new_edges
from quietacre.intake.transects import read_transects
from quietacre.model import Transect


def refused(reader, *given):
    with pytest.raises(FileProblem) as problem:
        reader(*given)
    return str(problem.value)


# typed edges and tapes


def edges(tmp_path, whole):
    path = tmp_path / "a.geojson"
    path.write_text(json.dumps({"type": "FeatureCollection", **whole}))
    return read_new_edges(path, shown="f")


def typed(form="Polygon", **properties):
    geometry = {"type": form, "coordinates": [[[0, 0]]]}
    return {"type": "Feature", "properties": properties, "geometry": geometry}


def test_typed_edges_are_read_whole(tmp_path):
    first = typed(area="N", kind="plot", like="S", was="O", edge_pm_ft=2, hand_pm_ft=0.5)
    second = typed("MultiPolygon", name=3, area="") | {"id": 1}
    made = edges(tmp_path, {"features": [first, second], "out": ["x"], "label": "l" * 201})
    ring = [[0, 0]]
    assert made == TypedEdges(
        (
            TypedEdge(([ring],), "N", "", "plot", "S", "O", 2.0, 0.5),
            TypedEdge((ring,), None, "3", None, None, None, None, None),
        ),
        ("x",), "l" * 200,
    )  # fmt: skip
    assert edges(tmp_path, {"features": []}) == TypedEdges((), (), None)


@pytest.mark.parametrize(
    ("whole", "words"),
    [
        ({"features": [typed(), typed("Point")]}, "feature 2: is no polygon; give polygons alone"),
        ({"features": [3]}, "feature 1: is no polygon; give polygons alone"),
        ({"features": [typed(edge_pm_ft=0)]}, "feature 1: edge_pm_ft is no length; give feet, above 0"),
        ({"features": [typed(hand_pm_ft="2")]}, "feature 1: hand_pm_ft is no length; give feet, above 0"),
        ({"features": [], "out": "x"}, "out is no list of names; name areas"),
        ({"features": [], "out": [1]}, "out is no list of names; name areas"),
    ],
)  # fmt: skip
def test_typed_edges_that_cannot_be_are_told(tmp_path, whole, words):
    assert refused(edges, tmp_path, whole) == f"f: {words}"


def tapes(tmp_path, row, head="patch,transect,from,to,advance_ft,cut"):
    path = tmp_path / "t.csv"
    path.write_text(f"{head}\n{row}\n")
    return read_transects(path, shown="f")


def test_tapes_are_read_whole(tmp_path):
    (made,) = tapes(tmp_path, "Bank, T1 ,2027-05-01,2027-05-02,10,YES")
    days = dt.date(2027, 5, 1), dt.date(2027, 5, 2)
    assert made == Transect("Bank", "T1", *days, pytest.approx(3.048), True)
    assert not tapes(tmp_path, "B,T,2027-05-01,2027-05-02,10,No")[0].censored
    bare = tapes(
        tmp_path, "B,T,2027-05-01,2027-05-02,-1", "patch,transect,from,to,advance_ft"
    )
    assert (bare[0].censored, math.isclose(bare[0].advance_m, -0.3048)) == (False, True)


@pytest.mark.parametrize(
    ("row", "words"),
    [
        (",T,2027-05-01,2027-05-02,1,", "has no patch; fill it in"),
        ("B,T,2027-05-01,2027-05-01,1,", "to (2027-05-01) is not after from (2027-05-01); give the days in order"),
        ("B,T,2027-05-01,2027-05-02,x,", "“x” is not a number; give advance_ft as a number"),
        ("B,T,2027-05-01,2027-05-02,1,perhaps or not, who knows", "has more values than there are columns (decimal commas?); save it with decimal points"),
        ("B,T,2027-05-01,2027-05-02,1,perhaps or perhaps not", "cut is “perhaps or perhaps n”; write yes, or leave it blank"),
    ],
)  # fmt: skip
def test_a_tape_that_cannot_be_is_told(tmp_path, row, words):
    assert refused(tapes, tmp_path, row) == f"f: line 2: {words}"


# names of files


def test_names_of_files_are_told_by_what_is_wrong_with_them(tmp_path):
    (tmp_path / "out").mkdir()
    (tmp_path / "out" / "a.kml").write_text("")
    (tmp_path / "b.kml").write_text("")
    place = Place(tmp_path, frozenset({"new/c.kml"}))

    def told(name, where=place):
        return [line.removeprefix("k: ") for line in file_faults(name, "k", where)]

    assert told("b.kml") == told("new\\c.kml") == told(GIVEN, Place(None)) == []
    for name in ("../b.kml", "/b.kml", "c:b.kml", "x\\..\\b.kml", "a\x00"):
        assert told(name) == [
            f"“{name}” leads out of the property folder; copy the file into it"
        ]
    assert told("b.kml", Place(None)) == [
        "“b.kml” lies in no folder; give the folder too, or leave it out"
    ]
    assert told("zzzz") == ["“zzzz” is not there; check its name"]
    assert told("out/a.kml") == [
        "“out/a.kml” lies in out/, which every build writes anew; copy the file out of it, or "
        "what you drew is lost"
    ]
    (tmp_path / "in").mkdir()
    (tmp_path / "in" / "l.kml").symlink_to(tmp_path / "b.kml")
    assert told("l.kml", Place(tmp_path / "in")) == [
        "“l.kml” is a link out of the property folder; copy the file into it"
    ]
