"""The desk's answers: a place begun, ground brought, settings kept, a clash, the log, a build."""

import json
import re
import signal
import subprocess
import sys
import time
import tomllib
from pathlib import Path

import pytest
from running_desk import RunningDesk

from quietacre.demo.write import write_sample
from quietacre.desk.app import FIRST, SECOND

DESK = Path(__file__).parents[2] / "src" / "quietacre" / "desk"
SQUARE = {"type": "FeatureCollection", "features": [
    {"type": "Feature", "properties": {"name": name}, "geometry": {"type": "Polygon", "coordinates": [[
        [-86.3 + d, 33.2], [-86.2985 + d, 33.2], [-86.2985 + d, 33.2013], [-86.3 + d, 33.2013], [-86.3 + d, 33.2]]]}}
    for name, d in (("North", 0.0), ("South", 0.01), ('<img src=x onerror=alert(1)> "q"', 0.02))]}  # fmt: skip


def begin(desk, name="Crow Ridge"):
    code, place = desk.call("/api/open", {"new": name})
    assert code == 200, place
    return place


def bring(desk, name="three.geojson", data=None):
    body = json.dumps(SQUARE).encode() if data is None else data
    code, said = desk.call("/api/file", body, headers=[("X-Name", name)])
    assert code == 200, said
    return said


def with_ground(desk):
    begin(desk)
    said = bring(desk)
    code, added = desk.call("/api/add", {"tokens": [said["token"]], "kind": "plot"})
    assert code == 200, added
    return added


def settings(desk):
    place = desk.call("/api/place")[1]
    with open(place["folder"] + "/property.toml", "rb") as handle:
        return tomllib.load(handle), place


def test_a_place_is_begun_and_ground_brought_without_touching_a_file(desk):
    place = begin(desk)
    assert place["folder"].startswith(str(desk.home / "docs"))
    said = bring(desk)
    assert [row["name"] for row in said["found"]["areas"]] == [
        f["properties"]["name"] for f in SQUARE["features"]
    ]
    assert said["found"]["areas"][0]["acres"] == pytest.approx(4.98, abs=0.01)
    code, ground = desk.call("/api/ground")
    assert (code, ground["areas"]) == (200, [])  # a look keeps nothing
    desk.call("/api/add", {"tokens": [said["token"]], "kind": "plot"})
    areas = desk.call("/api/ground")[1]["areas"]
    assert len(areas) == 3
    assert sum(area["acres"] for area in areas) == pytest.approx(3 * 4.98, abs=0.05)


def test_a_tab_gets_all_that_it_begins_with_for_its_ticket(tmp_path):
    write_sample(tmp_path / "bend")
    desk = RunningDesk(tmp_path, str(tmp_path / "bend"))
    try:
        code, begun = desk.call("/api/key", {"ticket": desk.ticket})
        assert (code, begun["unread"]) == (200, None)
        desk.key = begun.pop("key")
        assert begun["place"] == desk.call("/api/place")[1]
        assert begun["start"] == desk.call("/api/start")[1]
        assert desk.call("/api/enter") == (200, begun)
        (tmp_path / "bend" / "property.toml").write_text("[")
        code, begun = desk.call("/api/enter")
        assert (code, begun["place"]) == (200, None)
        assert begun["start"]["open"]
        assert begun["unread"] == desk.call("/api/place")[1]
        assert begun["unread"]["why"]
    finally:
        desk.end()


def test_a_file_that_cannot_be_read_says_why_by_its_own_name(desk):
    begin(desk)
    said = bring(desk, "walk.gpx", b"<gpx")
    assert said["found"] is None
    assert said["said"].startswith("walk.gpx: ")
    assert "/tmp" not in said["said"]


@pytest.mark.parametrize(
    "name",
    [
        "../../evil.gpx",
        "a/b\\c.gpx",
        "%2e%2e%2fx.geojson",
        "",
        "x" * 300 + ".gpx",
        "nul\x00.gpx",
    ],
)
def test_names_are_labels_only(desk, name):
    from urllib.parse import quote

    begin(desk)
    code, said = desk.call(
        "/api/file", json.dumps(SQUARE).encode(), headers=[("X-Name", quote(name))]
    )
    assert code == 200
    assert "/" not in said["name"]
    assert not list(desk.home.rglob("evil*"))


def test_settings_are_kept_checked_and_taken_back(desk):
    with_ground(desk)
    before = settings(desk)[0]
    code, said = desk.call(
        "/api/set", {"key": "area[1].plant", "value": {"day": "2027-09-25"}}
    )
    assert code == 200, said
    assert str(settings(desk)[0]["area"][0]["plant"]) == "2027-09-25"
    code, said = desk.call("/api/set", {"key": "equipment.mower_width_ft", "value": -2})
    assert code == 422
    assert said["why"] == "“Mower”: “-2.0” should be more than 0"
    assert settings(desk)[0]["equipment"] == before["equipment"]
    mix = {"name": "fall", "seed": [{"crop": "oats", "rate_lb_ac": 60, "basis": "bulk"}]}
    assert desk.call("/api/set", {"key": "mix[+]", "value": mix})[0] == 200
    assert settings(desk)[0]["mix"][0]["seed"][0]["rate_lb_ac"] == 60
    for _ in range(2):
        assert desk.call("/api/undo", {})[0] == 200
    assert settings(desk)[0] == before


def test_a_clash_keeps_what_stands_and_shows_both(desk):
    with_ground(desk)
    _, place = settings(desk)
    path = place["folder"] + "/property.toml"
    with open(path) as handle:
        text = handle.read()
    with open(path, "w") as handle:
        handle.write(text.replace("tank_gal = 25.0", "tank_gal = 40.0"))
    where = {"key": "equipment.tank_gal", "path": ["equipment", "tank_gal"]}
    code, said = desk.call("/api/set", {**where, "was": 25.0, "value": 30})
    assert code == 409
    assert (said["theirs"], said["yours"]) == (40.0, 30)
    assert settings(desk)[0]["equipment"]["tank_gal"] == 40.0
    # another place of the file is merged without asking
    code, _ = desk.call(
        "/api/set",
        {
            "key": "equipment.spray_gal_ac",
            "path": ["equipment", "spray_gal_ac"],
            "was": 15.0,
            "value": 12,
        },
    )
    assert code == 200
    now = settings(desk)[0]["equipment"]
    assert (now["tank_gal"], now["spray_gal_ac"]) == (40.0, 12)


def test_the_log_is_written_shown_and_taken_back(desk):
    with_ground(desk)
    code, said = desk.call(
        "/api/log", {"task": "mowed", "area": "North", "on": "2026-11-20", "minutes": "35"}
    )
    assert code == 200, said
    lines = desk.call("/api/lines")[1]["lines"]
    assert (lines[0]["task"], lines[0]["area"], lines[0]["minutes"]) == (
        "mowed",
        "North",
        "35",
    )
    assert desk.call("/api/log", {"undo": lines[0]["id"]})[0] == 200
    assert desk.call("/api/lines")[1]["lines"][1]["task"] == "undo"
    code, said = desk.call(
        "/api/log", {"task": "mowed", "area": "Nowhere", "on": "2026-11-20"}
    )
    assert code == 422
    assert "Nowhere" in said["why"]


def test_words_that_look_like_options_are_words(desk):
    with_ground(desk)
    for task in ("--undo", "-h", "--wait"):
        code, _ = desk.call("/api/log", {"task": task, "area": "North", "on": "2026-11-20"})
        assert code in (200, 422)
    assert desk.call("/api/set", {"key": "property.note", "value": "--remove"})[0] == 200
    assert settings(desk)[0]["property"]["note"] == "--remove"


def events(desk):
    import urllib.request

    request = urllib.request.Request(desk.base + "/api/steps")
    request.add_header("X-Quietacre-Key", desk.key)
    with urllib.request.urlopen(request, timeout=120) as answer:
        return [
            json.loads(line[6:])
            for line in answer.read().decode().splitlines()
            if line.startswith("data: ")
        ]


def test_a_build_tells_its_steps_and_its_papers_are_for_these_tabs_alone(desk):
    with_ground(desk)
    assert desk.call("/api/build", {})[0] == 200
    said = events(desk)
    assert said[-1] == {"end": 0}, said
    assert {"step": "strips"} in said
    place = desk.call("/api/place")[1]
    path = place["papers"]["map.html"]
    import urllib.request

    with urllib.request.urlopen(desk.base + path, timeout=30) as answer:
        assert answer.headers["Content-Security-Policy"].startswith("sandbox allow-scripts")
        assert b"<img src=x onerror" not in answer.read()
    assert desk.call(path.replace("/paper/", "/paper/x"))[0] == 404
    year = desk.call("/api/year")[1]
    assert year["made_on"]


def test_a_build_that_cannot_be_done_says_why(desk):
    with_ground(desk)
    place = desk.call("/api/place")[1]
    (desk.home / "docs").rglob("three.geojson")
    for path in (desk.home / "docs").rglob("three.geojson"):
        path.write_text("{")
    desk.call("/api/build", {})
    said = events(desk)
    assert said[-1]["end"] == 2
    assert any("three.geojson" in line.get("said", "") for line in said)
    assert place["papers"] == {}


def test_a_copy_is_kept_and_opens_elsewhere(desk, tmp_path):
    with_ground(desk)
    code, said = desk.call("/api/copy", {"to": str(tmp_path / "drive")})
    assert code == 200, said
    (archive,) = (tmp_path / "drive").glob("*.zip")
    run = subprocess.run(
        [sys.executable, "-m", "quietacre", "restore", str(archive), str(tmp_path / "back")],
        env=desk.env, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert run.returncode == 0, run.stderr
    assert (tmp_path / "back" / "property.toml").is_file()


def test_a_killed_desk_loses_nothing_that_was_acknowledged(desk):
    with_ground(desk)
    for n in range(8):
        assert (
            desk.call("/api/set", {"key": "property.note", "value": f"note {n}"})[0] == 200
        )
    desk.process.send_signal(signal.SIGKILL)
    desk.process.wait(10)
    (path,) = (desk.home / "docs").rglob("property.toml")
    assert tomllib.loads(path.read_text())["property"]["note"] == "note 7"
    again = subprocess.Popen(
        [sys.executable, "-m", "quietacre", "open", "--no-browser"], env=desk.env,
        stdout=subprocess.PIPE, text=True,
    )  # fmt: skip
    try:
        address = again.stdout.readline()
        assert address.startswith(desk.base)  # the same port, so that the tab goes on
    finally:
        again.send_signal(signal.SIGINT)
        again.wait(90)
        again.stdout.close()


def test_the_helper_that_dies_is_begun_anew(desk):
    with_ground(desk)
    children = subprocess.run(
        ["pgrep", "-P", str(desk.process.pid)], capture_output=True, text=True, check=False
    ).stdout.split()
    for child in children:
        subprocess.run(["kill", "-9", child], check=False)
    time.sleep(0.2)
    assert desk.call("/api/set", {"key": "property.note", "value": "still here"})[0] == 200


def test_of_two_changes_to_one_box_at_once_one_is_kept_and_one_is_told(desk, sample):
    from concurrent.futures import ThreadPoolExecutor

    path = ["equipment", "tank_gal"]
    for was, both in ((25.0, (31, 44)), (None, (32, 45))):
        old = was or desk.call("/api/place")[1]["settings"]["equipment"]["tank_gal"]
        asked = [
            {"key": "equipment.tank_gal", "path": path, "value": value, "was": old}
            for value in both
        ]
        with ThreadPoolExecutor(2) as pool:
            answers = list(pool.map(lambda body: desk.call("/api/set", body), asked))
        assert sorted(code for code, _ in answers) == [200, 409]
        kept = both[[code for code, _ in answers].index(200)]
        told = next(said for code, said in answers if code == 409)
        assert told["theirs"] == kept


def test_ctrl_c_ends_it_well(desk):
    desk.process.send_signal(signal.SIGINT)
    assert desk.process.wait(90) == 0
    assert desk.process.stderr.read() == ""


def test_every_table_of_the_settings_stands_in_one_group_of_the_forms():
    import re
    from pathlib import Path

    from quietacre.schema import property_schema

    home = Path(__file__).parents[2] / "src/quietacre/desk/static"
    text = (home / "groups.js").read_text()
    middle = text.index("export const PIECE_GROUPS")
    grouped = re.findall(r'"([a-z_]+)"', text[:middle])
    tables = set(property_schema()["properties"]) - {"area", "$schema"}
    assert sorted(grouped) == sorted(tables)
    sheet = text.index("export const SOIL_SHEET")
    keys = re.findall(r'"([a-z_0-9]+)"', text[middle:sheet])
    wanted = set(property_schema()["$defs"]["Area"]["properties"])
    assert wanted <= set(keys)
    lines = re.findall(r'"([a-z_0-9]+)"', text[sheet:])
    assert sorted(lines) == sorted(property_schema()["$defs"]["SoilTest"]["properties"])


def test_the_server_loads_no_library_of_numbers_before_its_first_page():
    told = subprocess.run(
        [sys.executable, "-c", "import quietacre.desk.app, sys; print(*sys.modules)"],
        capture_output=True, text=True, check=True,
    ).stdout.split()  # fmt: skip
    assert not {"numpy", "shapely", "pandas", "pyproj", "pydantic"} & set(told)


def test_no_answer_waits_for_word_that_its_beginning_came():
    """Without this each answer on a kept connection takes 40 ms more."""
    import asyncio
    import socket
    from concurrent.futures import ThreadPoolExecutor

    from quietacre.desk.run import _listener

    async def one_answer():
        told = asyncio.get_running_loop().create_future()

        def come(_reader, writer):
            taken = writer.get_extra_info("socket")
            told.set_result(taken.getsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY))
            writer.close()

        listener = _listener(None, None)
        async with await asyncio.start_server(come, sock=listener):
            _, writer = await asyncio.open_connection(*listener.getsockname())
            at_once = await told
            writer.close()
            await writer.wait_closed()
        return at_once

    with ThreadPoolExecutor(1) as apart:  # a browser of other tests has this thread's loop
        assert apart.submit(lambda: asyncio.run(one_answer())).result() != 0


def imported_at_once(desk, name):
    """A module of the page and all that it loads with it, in the end."""
    waited, found = [name], set()
    while waited:
        name = waited.pop()
        if name not in found:
            found.add(name)
            text = desk.call(f"/{name}")[1]
            waited += re.findall(
                r'^(?:(?:import|export|}).*? from |import )"\./(.+?)"', text, re.MULTILINE
            )
    return found


def test_names_wait_for_three_modules_alone_and_the_map_for_few(desk):
    """What shows the names is named first on the page, then the map's; no others are."""
    assert imported_at_once(desk, "first.js") == set(FIRST)
    assert imported_at_once(desk, "desk.js") == {*FIRST, *SECOND}
    page = desk.call("/")[1]
    named = re.findall(r'<(?:link|script)\b[^>]*(?:href|src)="/([\w.]+)"', page)
    assert named[:3] == list(FIRST)
    # what the first three ask for goes before the other parts
    rest = [one for one in re.findall("<link.*>", page) if "modulepreload" in one][3:]
    assert rest
    assert all('fetchpriority="low"' in one for one in rest)
    assert {name for name in named if name.endswith(".js")} == {
        *FIRST,
        *SECOND,
        "leaflet.js",
    }
    # every other part is loaded behind the map, by itself or with another
    text = desk.call("/later.js")[1]
    behind = set(re.findall(r'import\("\./(.+?)"\)', text))
    found = set().union(*(imported_at_once(desk, name) for name in behind))
    assert found | {*FIRST, *SECOND} == {p.name for p in (DESK / "static").glob("*.js")}


def test_a_place_that_is_first_already_is_not_written_again(tmp_path, monkeypatch):
    from quietacre.desk import places

    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    for name in ("one", "two"):
        (tmp_path / name).mkdir()
        (tmp_path / name / "property.toml").write_text("")
        places.remember(tmp_path / name)
    listed = places._list_file()
    before = listed.stat().st_ino, listed.stat().st_mtime_ns
    places.remember(tmp_path / "two")
    assert (listed.stat().st_ino, listed.stat().st_mtime_ns) == before
    places.remember(tmp_path / "one")
    assert [row["folder"] for row in places.known_places()] == [
        str(tmp_path / "one"), str(tmp_path / "two")]  # fmt: skip
