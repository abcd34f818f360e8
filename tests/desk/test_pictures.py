"""Pictures at the desk: brought, placed by clicks, drawn on, kept, laid under the map or not."""

import io
import json
import math
import tomllib
from pathlib import Path
from urllib.parse import quote

import numpy as np
import pytest
from PIL import Image

WIDE, HIGH = 800, 600
LON, LAT = -86.3, 33.2
M = (111_320 * math.cos(math.radians(LAT)), 110_920)


def at(x, y, east_ft=0.0):
    """Return where a pixel of the made picture lies, 2 ft to the pixel."""
    return [LON + (x * 2 + east_ft) * 0.3048 / M[0], LAT - y * 2 * 0.3048 / M[1]]


def pair(x, y, east_ft=0.0):
    return [x, y, *at(x, y, east_ft)]


CORNERS = [pair(20, 20), pair(780, 30), pair(770, 580), pair(25, 590)]


@pytest.fixture
def place(shared_desk):
    code, said = shared_desk.call("/api/open", {"new": "Pictured ground"})
    assert code == 200, said
    shared_desk.folder = Path(said["folder"])
    return shared_desk


def png(color=(200, 190, 150)):
    packed = io.BytesIO()
    Image.new("RGB", (WIDE, HIGH), color).save(packed, "PNG")
    return packed.getvalue()


def bring(desk, data=None, name="plat.png", expect=200):
    code, said = desk.call("/api/picture", data or png(), headers=[("X-Name", quote(name))])
    assert code == expect, said
    return said


def tell(desk, path, expect=200, **said):
    code, answer = desk.call(f"/api/{path}", said)
    assert code == expect, answer
    return answer


def test_a_picture_is_placed_kept_and_drawn_on(place):
    brought = bring(place)
    assert (brought["width"], brought["height"]) == (WIDE, HIGH)
    before = sorted(p.name for p in place.folder.rglob("*"))
    laid = tell(place, "place", token=brought["token"], pairs=CORNERS)
    assert laid["wrong"] is None
    assert laid["corners"][0] == pytest.approx(at(0, 0), abs=2e-6)
    assert laid["corners"][2] == pytest.approx(at(WIDE, HIGH), abs=2e-6)
    grid = np.array(laid["grid"]["pm_ft"])
    assert grid.shape == (9, 9)
    assert grid[4, 4] == grid.min()
    assert sorted(p.name for p in place.folder.rglob("*")) == before
    kept = tell(place, "place/keep", token=brought["token"], pairs=CORNERS)
    assert kept["picture"] == "pictures/plat.png"
    (row,) = place.call("/api/pictures")[1]["pictures"]
    assert row["picture"] == "plat.png"
    assert not row["on_map"]
    assert np.array(row["pairs"]) == pytest.approx(np.array(CORNERS), abs=1e-8)
    code, data = place.call("/api/picture?picture=plat.png")
    assert code == 200
    assert "picture" not in tomllib.loads((place.folder / "property.toml").read_text()).get(
        "map", {}
    )
    ring = [at(100, 100), at(700, 100), at(700, 500), at(100, 500)]
    edge = tell(place, "place/edge", picture="plat.png", polygons=[[ring]])
    keep = tell(place, "keep", pieces=[
        {"name": "Traced", "polygons": [[ring]], "picture": "plat.png", "ft_per_px": 4.0}])["areas"][0]  # fmt: skip
    assert keep["edge_pm_ft"] == pytest.approx(
        math.hypot(8.0, edge["edge_pm_ft"]), abs=0.11
    )
    assert place.call("/api/undo", {})[0] == 200
    assert place.call("/api/undo", {})[0] == 200
    assert sorted(p.name for p in place.folder.rglob("*")) == before


def test_what_is_drawn_over_a_picture_that_was_placed_anew_is_not_kept(place):
    tell(place, "place/keep", token=bring(place)["token"], pairs=CORNERS)
    (row,) = place.call("/api/pictures")[1]["pictures"]
    piece = {"name": "Traced", "polygons": [[[at(9, 9), at(700, 9), at(9, 500)]]],
             "picture": "plat.png", "picture_was": row["was"], "ft_per_px": 4.0}  # fmt: skip
    again = [
        pair(x, y, east_ft=50) for x, y in ((30, 40), (770, 20), (780, 580), (20, 560))
    ]
    tell(place, "place/keep", picture="plat.png", pairs=again)
    code, told = place.call("/api/keep", {"pieces": [piece]})
    assert code == 422
    assert told["why"].startswith("“plat.png” was placed anew since")
    (now,) = place.call("/api/pictures")[1]["pictures"]
    assert now["was"] != row["was"]
    tell(place, "keep", pieces=[{**piece, "picture_was": now["was"]}])


def test_the_wrong_click_is_named(place):
    token = bring(place)["token"]
    for count in (4, 6):
        pairs = [*CORNERS, pair(400, 300), pair(200, 450)][:count]
        pairs[2] = pair(770, 580, east_ft=300)
        laid = tell(place, "place", token=token, pairs=pairs)
        assert laid["wrong"] == 2
        assert "pair 3 disagrees" in laid["said"][1]
    three = tell(
        place, "place", token=token, pairs=[*CORNERS[:2], pair(770, 580, east_ft=300)]
    )
    assert three["wrong"] == 2  # the made picture has north straight up
    assert "the 3 pairs do not fit each other: if north is straight" in three["said"][1]
    right = tell(place, "place", token=token, pairs=CORNERS[:3])
    assert "with 3 pairs a wrong one cannot be told; 4 or more" in right["said"][1]


def test_four_pairs_of_a_picture_that_may_lean_say_that_none_can_be_told(place):
    token = bring(place)["token"]
    laid = tell(place, "place", token=token, pairs=CORNERS, fit="affine")
    assert "with 4 pairs a wrong one cannot be told; 5 or more" in laid["said"][1]
    wrong = [*CORNERS[:3], pair(200, 450, east_ft=300)]
    told = tell(place, "place", token=token, pairs=wrong, fit="affine")
    assert told["wrong"] is None
    assert "the 4 pairs do not fit each other" in told["said"][1]


def test_a_picture_is_placed_anew_and_laid_under_the_map_when_asked(place):
    token = bring(place)["token"]
    tell(place, "place/keep", token=token, pairs=CORNERS)
    more = [*CORNERS, pair(400, 300)]
    again = tell(place, "place/keep", picture="plat.png", pairs=more, on_map=True)
    assert again["picture"] == "pictures/plat.png"
    chart = tomllib.loads((place.folder / "property.toml").read_text())["map"]
    assert chart["picture"] == "pictures/plat.png"
    (row,) = place.call("/api/pictures")[1]["pictures"]
    assert row["on_map"]
    assert len(row["pairs"]) == 5
    other = bring(place, png((10, 20, 30)))["token"]
    assert (
        tell(place, "place/keep", token=other, pairs=CORNERS)["picture"]
        == "pictures/plat 2.png"
    )


@pytest.mark.parametrize(
    ("said", "word"),
    [
        ({"pairs": CORNERS[:1]}, "do not place"), ({"pairs": "x"}, "no pairs"), ({}, "no pairs"),
        ({"pairs": [[1, 2, 3]]}, "none"), ({"pairs": [[1, 1, 0, 99], [5, 5, 0, 98]]}, "no place"),
        ({"pairs": [pair(-5, 0), pair(9, 9)]}, "off the picture"), ({"pairs": [pair(5, 5), pair(5, 5)]}, "one spot"),
        ({"pairs": CORNERS, "fit": "rubber"}, "no such fit"), ({"pairs": CORNERS, "point_pm_ft": -2}, "no length"),
    ],
)  # fmt: skip
def test_pairs_that_place_nothing_are_one_line(place, said, word):
    token = bring(place)["token"]
    for path in ("place", "place/keep"):
        answer = tell(place, path, 422, token=token, **said)
        assert word in answer["why"]
        assert "\n" not in answer["why"]
        assert "/tmp" not in answer["why"]
    assert not (place.folder / "pictures").exists()


def test_what_is_no_picture_and_paths_that_lead_elsewhere(place):
    for data, name in (
        (b"<svg/>", "x.svg"),
        (b"MZ", "x.png"),
        (png(), "x.exe"),
        (b"", "x.png"),
    ):
        answer = bring(place, data or b" ", name, expect=422)
        assert "/tmp" not in answer["why"]
    token = bring(place)["token"]
    outside = str(place.folder / "property.toml")
    for said in ({"path": outside}, {"token": "../.."}, {"token": "nope"}, {"picture": "../property.toml"},
                 {"picture": outside}, {"picture": "none.png"}):  # fmt: skip
        for path in ("place", "place/edge", "place/keep"):
            asked = {
                **said,
                "pairs": CORNERS,
                "polygons": [[[at(1, 1), at(9, 1), at(9, 9)]]],
            }
            code, answer = place.call(f"/api/{path}", asked)
            assert code == (410 if "token" in said else 422), answer
            words = "bring it again" if "token" in said else "picture"
            assert words in answer["why"], answer
    for name in ("../property.toml", "none.png", "", "plat.png.placed.json"):
        assert place.call(f"/api/picture?picture={quote(name)}")[0] == 404
    asked = {"token": token, "path": outside, "pairs": CORNERS}
    assert place.call("/api/place", asked)[1]["wrong"] is None


def test_a_picture_whose_pairs_are_damaged_says_so_and_the_rest_stand(place):
    tell(place, "place/keep", token=bring(place)["token"], pairs=CORNERS)
    tell(
        place,
        "place/keep",
        token=bring(place, png((1, 2, 3)), "two.png")["token"],
        pairs=CORNERS,
    )
    (place.folder / "pictures" / "plat.png.placed.json").write_text(
        json.dumps({"pairs": [[1]]})
    )
    first, second = place.call("/api/pictures")[1]["pictures"]
    assert "holds no pairs" in first["why"]
    assert len(second["corners"]) == 4


def test_a_picture_that_leans_is_told_so_and_fits_as_affine(place):
    token = bring(place)["token"]
    leaning = [
        [x, y, *at(x * 1.2 + y * 0.1, y)]
        for x, y, _, _ in [*CORNERS, pair(400, 300), pair(300, 450)]
    ]
    told = tell(place, "place", token=token, pairs=leaning)
    assert any("may lean" in line for line in told["said"])
    affine = tell(place, "place", token=token, pairs=leaning, fit="affine")
    assert affine["pm_ft"] < told["pm_ft"] / 5
    assert not any("may lean" in line for line in affine["said"])
    straight = tell(place, "place", token=token, pairs=[*CORNERS, pair(400, 300)])
    assert not any("may lean" in line for line in straight["said"])
