"""What the drawing page asks and keeps: edges, operations, previews, clashes, undo and redo."""

import hashlib
import json
import tomllib
from pathlib import Path
from urllib.parse import quote

import pytest

from quietacre.acreage.frame import LocalFrame
from quietacre.demo.sample import sample_files
from quietacre.units import FT_M

FRAME = LocalFrame(-86.3, 33.2)


def at(x_ft, y_ft):
    lon, lat = FRAME.lonlat(x_ft * FT_M, y_ft * FT_M)
    return [float(lon), float(lat)]


def box(west, south, east, north):
    return [at(*c) for c in ((west, south), (east, south), (east, north), (west, north))]


def drawing(**rings):
    return json.dumps({"type": "FeatureCollection", "features": [
        {"type": "Feature", "properties": {"name": name},
         "geometry": {"type": "Polygon", "coordinates": [[*ring, ring[0]]]}}
        for name, ring in rings.items()]}).encode()  # fmt: skip


@pytest.fixture
def place(shared_desk):
    """Return a desk with a new place: two fields side by side, and one far off."""
    code, said = shared_desk.call("/api/open", {"new": "Drawn ground"})
    assert code == 200, said
    fields = drawing(
        North=box(0, 0, 660, 660), South=box(668, 0, 1328, 660), Far=box(5000, 0, 5660, 660)
    )
    found = shared_desk.call("/api/file", fields, headers=[("X-Name", "fields.geojson")])[1]
    assert (
        shared_desk.call("/api/add", {"tokens": [found["token"]], "kind": "plot"})[0] == 200
    )
    shared_desk.folder = Path(said["folder"])
    return shared_desk


def get(desk, path, **words):
    query = "&".join(f"{key}={quote(str(value))}" for key, value in words.items())
    code, said = desk.call(f"/api/{path}?{query}")
    assert code == 200, said
    return said


def tell(desk, path, expect=200, **said):
    code, answer = desk.call(f"/api/{path}", said)
    assert code == expect, answer
    return answer


def areas(desk):
    return {
        a["name"]: a
        for a in tomllib.loads((desk.folder / "property.toml").read_text())["area"]
    }


def bytes_of(desk):
    return {
        path.relative_to(desk.folder).as_posix(): hashlib.sha256(
            path.read_bytes()
        ).hexdigest()
        for path in desk.folder.rglob("*")
        if path.is_file() and "out" not in path.parts
    }


def test_an_edge_comes_with_all_its_digits_and_goes_back_to_the_byte(place):
    edge = get(place, "edge", area="North")
    assert edge["drawn"]
    assert edge["walk"] is None
    assert edge["polygons"] == [[box(0, 0, 660, 660)]]
    assert edge["acres"] == pytest.approx(10.0, abs=0.01)
    kept = tell(
        place,
        "keep",
        pieces=[{"area": "North", "was": edge["was"], "polygons": edge["polygons"]}],
    )
    once = bytes_of(place)
    again = get(place, "edge", area="North")
    rows = zip(again["polygons"][0][0], edge["polygons"][0][0], strict=True)
    assert all(one == pytest.approx(other, abs=1e-12) for one, other in rows)
    tell(
        place,
        "keep",
        pieces=[{"area": "North", "was": again["was"], "polygons": again["polygons"]}],
    )
    assert bytes_of(place) == once
    assert kept["areas"][0]["acres"] == pytest.approx(edge["acres"], rel=1e-9)


def test_split_kept_taken_back_and_made_again(place):
    before = bytes_of(place)
    edge = get(place, "edge", area="North")
    made = tell(
        place,
        "shape",
        do="split",
        polygons=edge["polygons"],
        line=[at(-9, 200), at(700, 210)],
    )
    assert sum(p["acres"] for p in made["pieces"]) == pytest.approx(edge["acres"], rel=1e-9)
    large, small = made["pieces"]
    kept = tell(place, "keep", label="split North by a line", pieces=[
        {"area": "North", "was": edge["was"], "polygons": large["polygons"]},
        {"name": "North 2", "like": "North", "polygons": small["polygons"], "ft_per_px": 2.5},
    ])  # fmt: skip
    assert [(one["name"], one["new"]) for one in kept["areas"]] == [
        ("North", False),
        ("North 2", True),
    ]
    assert (
        kept["areas"][1]["edge_pm_ft"] is None
    )  # nobody knows how good North's corners are
    assert "corners of North have no known error" in kept["said"][-1]
    ground = {a["name"]: a["acres"] for a in place.call("/api/ground")[1]["areas"]}
    assert ground["North"] + ground["North 2"] == pytest.approx(edge["acres"], rel=1e-9)
    after = bytes_of(place)
    assert place.call("/api/undo", {})[0] == 200
    assert bytes_of(place) == before
    assert place.call("/api/redo", {})[0] == 200
    assert bytes_of(place) == after
    code, said = place.call("/api/redo", {})
    assert code == 422
    assert "no change to make again" in said["why"]


def test_a_join_takes_the_other_area_out_and_holds_all_its_acres(place):
    edges = {name: get(place, "edge", area=name) for name in ("North", "South")}
    refused = tell(
        place, "shape", 422, do="join", polygons=edges["North"]["polygons"], areas=["South"]
    )
    assert "8 ft lie between" in refused["why"]
    led = tell(place, "shape", do="snap", polygons=edges["North"]["polygons"], area="North",
               areas=["South"], within_ft=12)  # fmt: skip
    assert led["moved_ac"] == pytest.approx(660 * 8 / 43560, rel=1e-3)
    made = tell(
        place, "shape", do="join", polygons=led["pieces"][0]["polygons"], areas=["South"]
    )
    tell(place, "keep", out=["South"], label="join North, South", pieces=[
        {"area": "North", "was": edges["North"]["was"], "polygons": made["pieces"][0]["polygons"]}])  # fmt: skip
    assert set(areas(place)) == {"North", "Far"}
    assert get(place, "edge", area="North")["acres"] == pytest.approx(
        edges["North"]["acres"] + edges["South"]["acres"] + led["moved_ac"], rel=1e-6
    )


def test_two_tabs_on_one_ring_clash_and_both_are_shown(place):
    edge = get(place, "edge", area="North")
    moved = [[box(0, 0, 600, 660)]]
    tell(place, "keep", pieces=[{"area": "North", "was": edge["was"], "polygons": moved}])
    stands = bytes_of(place)
    other = [[box(0, 0, 660, 500)]]
    clash = tell(
        place,
        "keep",
        409,
        pieces=[{"area": "North", "was": edge["was"], "polygons": other}],
    )
    assert clash["clash"]
    assert clash["area"] == "North"
    assert clash["theirs"] == get(place, "edge", area="North")["polygons"]
    assert bytes_of(place) == stands


def test_a_mended_walk_stays_behind_and_its_range_widens_where_the_hand_decided(
    shared_desk,
):
    code, said = shared_desk.call("/api/open", {"new": "Walked ground"})
    shared_desk.folder = Path(said["folder"])
    found = shared_desk.call(
        "/api/file",
        sample_files()["walks/creek-shelf.gpx"],
        headers=[("X-Name", "shelf.gpx")],
    )[1]
    shared_desk.call(
        "/api/add", {"tokens": [found["token"]], "as": "Shelf", "kind": "plot"}
    )
    edge = get(shared_desk, "edge", area="Shelf")
    assert len(edge["walk"]["kept"]) > 50
    assert all({"lon", "lat", "cause"} <= set(fix) for fix in edge["walk"]["aside"])
    (ring,) = edge["polygons"][0]
    west = min(range(len(ring)), key=lambda i: ring[i][0])
    corners = [*ring]
    corners[west] = [ring[west][0] - 0.0006, ring[west][1]]
    piece = {"area": "Shelf", "was": edge["was"], "polygons": [[corners]]}
    half = {}
    for scale in (0.5, 40.0):
        kept = tell(shared_desk, "keep", pieces=[{**piece, "ft_per_px": scale}])["areas"][0]
        half[scale] = kept["acres_high"] - kept["acres"]
        assert kept["over"] == ["walks/shelf.gpx"]
        measured = {a["name"]: a for a in shared_desk.call("/api/ground")[1]["areas"]}[
            "Shelf"
        ]
        assert measured["acres_high"] == pytest.approx(kept["acres_high"], rel=1e-9)
        shared_desk.call("/api/undo", {})
    assert half[0.5] == pytest.approx(edge["acres_high"] - edge["acres"], rel=0.01)
    assert half[40.0] > half[0.5] * 1.2


def test_the_strip_of_an_edge_on_its_way(shared_desk):
    code, said = shared_desk.call("/api/open", {"sample": True})
    assert code == 200
    edge = get(shared_desk, "edge", area="Vine hollow")
    first = tell(
        shared_desk, "strip", area="Vine hollow", polygons=edge["polygons"], ft_per_px=1.5
    )
    assert first["edge_pm_ft"] == 3.0
    (strip,) = first["strips"]
    assert strip["of"][0] == "Vine hollow"
    assert strip["width_ft"] > 5
    assert strip["polygons"]
    report = shared_desk.call("/api/place")[1]
    assert "papers" in report
    new = tell(
        shared_desk, "strip", area=None, polygons=[[box(0, 0, 660, 660)]], ft_per_px=5
    )
    assert new["strips"] == []
    assert new["acres_high"] > new["acres"] > new["acres_low"]


@pytest.mark.parametrize(
    ("route", "said", "word"),
    [
        ("shape", {"do": "split"}, "no rings"),
        ("shape", {"do": "fly", "polygons": [[box(0, 0, 9, 9)]]}, "not done here"),
        ("shape", {"do": "split", "polygons": [[box(0, 0, 9, 9)]], "line": "x"}, "no list"),
        ("shape", {"do": "snap", "polygons": [[box(0, 0, 9, 9)]], "within_ft": "far"}, "no number"),
        ("shape", {"do": "clip", "polygons": [[box(0, 0, 9, 9)]]}, "no property line"),
        ("shape", {"do": "line", "line": [at(0, 0), at(1, 1)], "width_ft": 10}, "wide"),
        ("shape", {"do": "join", "polygons": [[box(0, 0, 9, 9)]], "areas": ["Nowhere"]}, "no area"),
        ("keep", {}, "no list of pieces"),
        ("keep", {"pieces": []}, "nothing to keep"),
        ("keep", {"pieces": [7]}, "a piece is none"),
        ("keep", {"pieces": [{"polygons": [[box(0, 0, 9, 9)]]}]}, "no name"),
        ("keep", {"pieces": [{"name": "North", "polygons": [[box(0, 0, 9, 9)]]}]}, "already"),
        ("keep", {"pieces": [{"name": "X", "kind": "moon", "polygons": [[box(0, 0, 9, 9)]]}]}, "kind"),
        ("keep", {"pieces": [{"area": "Nowhere", "polygons": [[box(0, 0, 9, 9)]]}]}, "no area"),
        ("keep", {"pieces": [{"name": "X", "polygons": [[[at(0, 0), at(9, 9), at(9, 0), at(0, 9)]]]}]}, "cross"),
        ("keep", {"pieces": [{"name": "X", "polygons": [[box(0, 0, 9, 9)]], "ft_per_px": -1}]}, "scale"),
        ("keep", {"pieces": [{"name": "X", "polygons": [[box(0, 0, 9, 9)]], "ft_per_px": 1, "picture": "../x"}]}, "picture"),
        ("keep", {"pieces": [{"area": "Far", "polygons": [[box(0, 0, 9, 9)]]}], "out": ["Far"]}, "twice"),
        ("strip", {"polygons": None}, "no rings"),
    ],
)  # fmt: skip
def test_what_cannot_be_done_is_one_line_and_changes_nothing(place, route, said, word):
    before = bytes_of(place)
    answer = tell(place, route, 422, **said)
    assert word in answer["why"]
    assert "\n" not in answer["why"]
    assert "/tmp" not in answer["why"]
    assert bytes_of(place) == before


def test_figures_and_rates(place):
    figures = get(place, "figures", lat=33.2)
    assert figures["hand_px"] == 2
    assert figures["live"]["lat_deg"] == 33.2
    assert figures["px_m_at_equator"] == pytest.approx(156543.034, abs=1e-3)
    assert get(place, "rates")["areas"] == {}
    for lat in ("x", "", "95", "nan"):
        assert place.call(f"/api/figures?lat={lat}")[0] == 422


def test_marks_are_set_named_moved_and_taken_away(place):
    assert get(place, "marks")["marks"] == []
    gate = tell(place, "mark", kind="gate", name="-North", at=at(10, 10))["mark"]
    assert gate["name"] == "-North"
    tape = tell(place, "mark", kind="tape", name="creek", line=[at(0, 0), at(300, 400)])[
        "mark"
    ]
    assert tape["length_ft"] == pytest.approx(500, abs=0.05)
    moved = tell(place, "mark", id=gate["id"], at=at(20, 10), name="East")["mark"]
    assert (moved["name"], moved["kind"]) == ("East", "gate")
    assert moved["at"] == pytest.approx(at(20, 10), abs=1e-7)
    assert len(get(place, "marks")["marks"]) == 2
    tell(place, "mark", id=gate["id"], remove=True)
    assert [m["kind"] for m in get(place, "marks")["marks"]] == ["tape"]
    place.call("/api/undo", {})
    assert len(get(place, "marks")["marks"]) == 2
    before = bytes_of(place)
    for said in ({}, {"kind": "moon", "at": at(0, 0)}, {"kind": "gate"}, {"id": "zz", "name": "x"},
                 {"kind": "gate", "at": "x"}, {"kind": "gate", "at": [1, 99]}, {"remove": True},
                 {"kind": "gate", "line": [at(0, 0), at(1, 1)]}, {"kind": "tape", "at": at(0, 0)},
                 {"kind": "tape", "line": [[1]]}):  # fmt: skip
        answer = tell(place, "mark", 422, **said)
        assert "\n" not in answer["why"], said
        assert "/tmp" not in answer["why"], answer
    assert bytes_of(place) == before


def test_an_edge_is_as_good_as_its_worst_corners(place):
    def keep(scale, *rings):
        was = get(place, "edge", area="North")["was"]
        piece = {"area": "North", "was": was, "polygons": [list(rings)], "ft_per_px": scale}
        shown = tell(place, "strip", **piece)["edge_pm_ft"]
        kept = tell(place, "keep", pieces=[piece])
        assert kept["areas"][0]["edge_pm_ft"] == shown  # what was told while it was drawn
        return kept

    far = keep(20, box(5, 5, 655, 655))  # every corner is new
    assert far["areas"][0]["edge_pm_ft"] == 40.0
    nudged = [*box(5, 5, 655, 655)[:3], at(7, 652)]
    near = keep(0.5, nudged)
    assert near["areas"][0]["edge_pm_ft"] == 40.0
    assert "corners that stayed may be off by 40 ft" in near["said"][-1]
    assert keep(0.5, box(6, 6, 650, 650))["areas"][0]["edge_pm_ft"] == 1.0


def pins(*names, order=(0, 1, 2, 3)):
    corners = box(0, 0, 300, 300)
    points = [
        f'<wpt lat="{corners[n][1]!r}" lon="{corners[n][0]!r}"><name>{name}</name></wpt>'
        for name, n in zip(names, order, strict=True)
    ]
    return f'<gpx version="1.1" creator="t">{"".join(points)}</gpx>'.encode()


def test_pins_of_a_phone_are_shown_with_the_edges_between_them(place):
    before = bytes_of(place)
    named = [("X-Name", "corners.gpx")]
    code, told = place.call("/api/pins", pins("1", "2", "3", "4"), headers=named)
    assert code == 200, told
    assert [pin["name"] for pin in told["pins"]] == ["1", "2", "3", "4"]
    assert told["pins"][0]["at"] == pytest.approx(at(0, 0), abs=1e-12)
    straight, curved = told["ways"]
    assert (straight["way"], curved["way"]) == ("straight", "curved")
    assert straight["acres"] == pytest.approx(300 * 300 / 43_560, rel=1e-3)
    assert curved["acres"] > straight["acres"] > straight["acres_low"]
    assert told["why"] == ""
    kept = tell(place, "keep", pieces=[{"name": "Pinned", "kind": "plot",
        "polygons": straight["polygons"], "ft_per_px": told["ft_per_px"]}])  # fmt: skip
    assert kept["areas"][0]["edge_pm_ft"] == pytest.approx(told["pm_ft"], abs=0.06)
    place.call("/api/undo", {})
    # the ± that is shown of an edge is the one that it is kept with
    for way in (straight, curved):
        tell(place, "keep", pieces=[{"name": "Pinned", "kind": "plot",
            "polygons": way["polygons"], "ft_per_px": way["ft_per_px"]}])  # fmt: skip
        ground = {a["name"]: a for a in place.call("/api/ground")[1]["areas"]}["Pinned"]
        for end in ("acres_low", "acres_high"):
            assert ground[end] == pytest.approx(way[end], abs=0.01)
        place.call("/api/undo", {})
    assert bytes_of(place) == before


@pytest.mark.parametrize(
    ("file", "why"),
    [(pins("a", "b", "c", "d"), "which follows which"), (pins("1", "2", "3", "4", order=(0, 2, 1, 3)), "crosses itself"),
     (pins("1", "2", order=(0, 1)), "has 2 corners")],
)  # fmt: skip
def test_pins_that_make_no_edge_are_shown_all_the_same(place, file, why):
    code, told = place.call("/api/pins", file, headers=[("X-Name", "corners.gpx")])
    assert code == 200, told
    assert told["ways"] == []
    assert why in told["why"]
    assert "--" not in told["why"]
    assert told["pins"]


def test_a_file_without_pins_is_one_line(place):
    code, told = place.call("/api/pins", drawing(A=box(0, 0, 9, 9)), headers=[("X-Name", "a.geojson")])  # fmt: skip
    assert code == 422
    assert told["why"].startswith("a.geojson: holds no pins; mark each corner")


def test_the_other_areas_come_the_nearest_first_as_the_piece_is_drawn(place):
    def beside(area, shape=None, **more):
        polygons = shape or get(place, "edge", area=area)["polygons"]
        told = tell(place, "beside", area=area, polygons=polygons, **more)["beside"]
        return [(one["name"], one["ft"], one["joins"]) for one in told]

    assert beside("North") == [("South", 8, False), ("Far", 4340, False)]
    assert [(name, feet) for name, feet, _ in beside("Far")] == [
        ("South", 3672),
        ("North", 4340),
    ]
    north = get(place, "edge", area="North")["polygons"]
    snapped = tell(place, "shape", do="snap", polygons=north, areas=["South"], within_ft=12)
    assert beside("North", snapped["pieces"][0]["polygons"])[0] == ("South", 0, True)
    assert [name for name, *_ in beside("North", out=["South"])] == ["Far"]
    # a new piece that is drawn over another can join it
    laid = get(place, "edge", area="Far")["polygons"]
    assert beside(None, laid)[0] == ("Far", 0, True)
    assert tell(place, "shape", do="join", polygons=laid, areas=["Far"])["pieces"]
