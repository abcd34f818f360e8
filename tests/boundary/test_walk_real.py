"""Tracks recorded by people: the files that gpxpy 1.6.2 (Apache 2.0) carries for its tests.

``tests/run`` puts its source distribution into ``.cache/tools``; nothing of it is kept here.
"""

import os
from pathlib import Path

import pytest
from click.testing import CliRunner

from quietacre.boundary.read import read_walk
from quietacre.cli import main
from quietacre.errors import WalkRefused
from quietacre.intake.vector import read_layer

TOOLS = Path(
    os.environ.get("QUIETACRE_TOOLS") or Path(__file__).parents[2] / ".cache/tools"
)
FILES = TOOLS / "gpxpy-1.6.2" / "test_files"

pytestmark = pytest.mark.skipif(
    not FILES.is_dir(), reason=f"{FILES} is fetched by tests/run"
)


@pytest.mark.parametrize("name", ["cerknicko-jezero.gpx", "cerknicko-without-times.gpx"])
def test_the_walk_round_a_lake(name):
    """Track 1, closed as it stands, encloses 37.3 acres; its ends were walked to and fro.

    A fix each 9 s, on a winding shore, shows nothing of the sky.
    """
    walk = read_walk(read_layer(FILES / name).tracks)
    assert walk.acres == pytest.approx(37.3, rel=0.025)
    assert walk.polygon.is_valid
    assert walk.laps == 1
    assert walk.half_width_pct < 10
    told = read_walk(read_layer(FILES / name).tracks, sky="open")
    assert told.half_width_pct < 3


@pytest.mark.parametrize(
    ("name", "why"),
    [
        ("Mojstrovka.gpx", "does not close"),  # a day on a mountain, there and back
        ("around-visnjan-with-car.gpx", "lost its signal"),  # driven, few fixes between
        ("track-with-extremes.gpx", "does not close"),
        ("track_with_speed.gpx", "only 3 points"),
        ("unicode.gpx", "holds no track"),
    ],
)
def test_what_is_no_walk_round_anything_is_refused(name, why):
    with pytest.raises(WalkRefused, match=why):
        read_walk(read_layer(FILES / name).tracks)


@pytest.mark.parametrize(
    "path", sorted(FILES.glob("*.gpx")) if FILES.is_dir() else [], ids=lambda p: p.name
)
def test_every_file_gives_acres_or_one_line(path):
    said = CliRunner().invoke(main, ["walk", str(path)])
    if said.exit_code == 0:
        assert "ac, between" in said.stdout
        return
    assert said.exit_code == 2
    assert len(said.stderr.strip().splitlines()) == 1
    assert path.name in said.stderr
