"""``quietacre photo``: originals kept as they are, a line for each, and what is asked."""

import json
import shlex

import pytest
from click.testing import CliRunner
from photographs import bare_faults, jpeg

from quietacre.cli import main
from quietacre.edit.journal import undo

TOML = """[property]
name = "Invented"
[[area]]
name = "West field"
kind = "plot"
from = "west.geojson"
plant = 2025-09-25
[[area]]
name = "East field"
kind = "plot"
from = "east.geojson"
"""
WEST, EAST = -87.599, -87.595


def ring(lon):
    corners = [(-1e-3, -1e-3), (1e-3, -1e-3), (1e-3, 1e-3), (-1e-3, 1e-3), (-1e-3, -1e-3)]
    return {"type": "Polygon", "coordinates": [[[lon + x, 34.2 + y] for x, y in corners]]}


@pytest.fixture
def place(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1795737600")  # 2026-11-27
    monkeypatch.chdir(tmp_path)
    folder = tmp_path / "land"
    folder.mkdir()
    (folder / "property.toml").write_text(TOML)
    (folder / "west.geojson").write_text(json.dumps(ring(WEST)))
    (folder / "east.geojson").write_text(json.dumps(ring(EAST)))
    (tmp_path / "IMG_1.JPG").write_bytes(jpeg(WEST, 34.2))
    return folder


def run(*words):
    return CliRunner().invoke(main, [str(word) for word in words])


def commands(result):
    lines = [line.partition("quietacre ")[2] for line in result.stderr.splitlines()]
    return [shlex.split(line) for line in lines if line]


def listed(place):
    return sorted(path.name for path in (place / "photos").glob("*"))


def test_the_original_is_kept_byte_for_byte_with_its_day_and_place(place):
    result = run("photo", place, "IMG_1.JPG", "--note", "the gate", "--who", "Ann")
    assert result.exit_code == 0, result.output
    assert (place / "photos" / "IMG_1.JPG").read_bytes() == jpeg(WEST, 34.2)
    head, line = (place / "log.csv").read_text().splitlines()
    cells = dict(zip(head.split(","), line.split(","), strict=True))
    assert cells["date"] == "2026-05-04"
    assert (cells["area"], cells["task"], cells["photo"]) == (
        "West field",
        "photo",
        "IMG_1.JPG",
    )
    assert (cells["note"], cells["who"]) == ("the gate", "Ann")
    undo(place)
    assert listed(place) == []
    assert not (place / "log.csv").exists()


def test_taken_in_twice_it_is_there_once(place):
    assert run("photo", place, "IMG_1.JPG").exit_code == 0
    data = (place / "log.csv").read_bytes()
    (place.parent / "copy.jpg").write_bytes(jpeg(WEST, 34.2))
    result = run("photo", place, "copy.jpg")
    assert result.exit_code == 0
    assert "is there already, as photos/IMG_1.JPG" in result.stdout
    assert "names it already" in result.stdout
    assert listed(place) == ["IMG_1.JPG"]
    assert (place / "log.csv").read_bytes() == data


def test_another_picture_of_one_name_writes_nothing_over(place):
    assert run("photo", place, "IMG_1.JPG").exit_code == 0
    other = place.parent / "card"
    other.mkdir()
    (other / "img_1.jpg").write_bytes(jpeg(EAST, 34.2))
    assert run("photo", place, other / "img_1.jpg").exit_code == 0
    assert listed(place) == ["IMG_1.JPG", "img_1-2.jpg"]
    assert (place / "photos" / "IMG_1.JPG").read_bytes() == jpeg(WEST, 34.2)
    assert b"East field,photo" in (place / "log.csv").read_bytes()


@pytest.mark.parametrize(
    ("picture", "said"),
    [
        pytest.param(jpeg(WEST, 34.2, taken=None), "does not say which day", id="no day"),
        pytest.param(
            jpeg(WEST, 34.2, taken="2015:01:01 00:00:00"), "clock reset", id="reset"
        ),
        pytest.param(
            jpeg(WEST, 34.2, taken="2031:01:01 00:00:00"), "still to come", id="ahead"
        ),
        pytest.param(
            jpeg(WEST, 34.2, gps={29: "2026:05:09"}), "the satellites'", id="two clocks"
        ),
        pytest.param(jpeg(), "does not say where it was taken", id="no place"),
        pytest.param(
            jpeg(-87.6, 34.9), "from the nearest ground, “West field”", id="far off"
        ),
    ],
)
def test_what_a_picture_leaves_open_is_asked_and_nothing_is_kept(place, picture, said):
    (place.parent / "x.jpg").write_bytes(picture)
    result = run("photo", place, "IMG_1.JPG", "x.jpg")
    assert result.exit_code == 2
    assert said in result.stderr
    assert not (place / "photos").exists()
    assert not (place / "log.csv").exists()
    first, *_, rest = commands(result)
    assert rest[:3] == ["photo", str(place), "IMG_1.JPG"]
    assert run(*rest).exit_code == 0
    answer = [{"DAY": "2026-05-04", "NAME": "West field"}.get(word, word) for word in first]
    assert run(*answer).exit_code == 0, answer
    assert len(listed(place)) == 2


def test_the_years_of_the_log_are_read_as_a_spreadsheet_writes_them(place):
    (place / "log.csv").write_text("date,area,task\n5/4/2014,West field,mow\n")
    (place.parent / "x.jpg").write_bytes(jpeg(WEST, 34.2, taken="2015:01:01 00:00:00"))
    assert run("photo", place, "x.jpg").exit_code == 0
    assert (place / "log.csv").read_text().splitlines()[1] == "5/4/2014,West field,mow"
    assert "2015-01-01,West field,photo" in (place / "log.csv").read_text()


def test_beside_an_edge_the_distance_is_said(place):
    (place.parent / "x.jpg").write_bytes(jpeg(WEST + 1.05e-3, 34.2))  # 5 yards outside
    result = run("photo", place, "x.jpg")
    assert result.exit_code == 0, result.output
    assert "taken on “West field”, 15 ft off it" in result.stderr


def test_where_two_pieces_overlap_it_is_asked(place):
    (place / "east.geojson").write_text(json.dumps(ring(WEST + 1e-3)))
    (place.parent / "x.jpg").write_bytes(jpeg(WEST + 0.5e-3, 34.2))
    result = run("photo", place, "x.jpg")
    assert result.exit_code == 2
    assert "overlap" in result.stderr
    assert run(*commands(result)[1]).exit_code == 0


def test_a_copy_to_share_says_nothing_and_is_written_over_nothing(place):
    result = run("photo", place, "IMG_1.JPG", "--share", "shared", "--json")
    assert result.exit_code == 0, result.output
    said = json.loads(result.stdout)
    assert said["photos"][0]["area"] == "West field"
    copy = place.parent / "shared" / "IMG_1-small.jpg"
    assert bare_faults(copy.read_bytes()) == []
    (place.parent / "IMG_1.JPG").write_bytes(jpeg(EAST, 34.2))
    assert run("photo", place, "IMG_1.JPG", "--share", "shared").exit_code == 2
    assert listed(place) == ["IMG_1.JPG"]


def test_where_no_copy_can_be_written_nothing_is_kept(place):
    (place.parent / "file").write_text("x")
    result = run("photo", place, "IMG_1.JPG", "--share", place.parent / "file" / "shared")
    assert result.exit_code == 2
    assert not (place / "photos").exists()


def test_a_name_no_system_keeps_is_made_safe_and_the_ending_right(place):
    (place.parent / "aux.png").write_bytes(jpeg(WEST, 34.2))
    assert run("photo", place, "aux.png").exit_code == 0
    assert listed(place) == ["_aux.png.jpg"]


def test_photos_that_lead_elsewhere_are_refused(place, tmp_path):
    (tmp_path / "elsewhere").mkdir()
    (place / "photos").symlink_to(tmp_path / "elsewhere")
    assert run("photo", place, "IMG_1.JPG").exit_code == 2
    assert list((tmp_path / "elsewhere").iterdir()) == []
    assert not (place / "log.csv").exists()


def test_another_kind_of_picture_stops_all(place):
    (place.parent / "x.heic").write_bytes(b"\x00\x00\x00\x18ftypheic" + bytes(50))
    result = run("photo", place, "IMG_1.JPG", "x.heic")
    assert result.exit_code == 2
    assert "HEIC" in result.stderr
    assert not (place / "photos").exists()
