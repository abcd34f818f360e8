"""Properties changed at random and built: the same as the same settings written anew.

Run: ``python tests/edit/edits_built.py [--builds 40] [--seed 1]``. An invented property full of
remarks gets a dozen random settings, pieces of ground added, moved and taken away; its build
must be equal, in the whole report and to the byte of the map, to that of a property.toml which
is written here from the plain settings, without a remark. Ends with 1 when one is not.
"""

from __future__ import annotations

import argparse
import copy
import datetime as dt
import functools
import json
import random
import sys
import tempfile
import time
import tomllib
from pathlib import Path

from quietacre.build import build_property
from quietacre.edit.property_file import change_settings
from quietacre.edit.toml_plain import Change, Insert, Move, Remove, Set

DAY = dt.date(2027, 1, 2)
TOML = """\
# Invented.\r
[property]  # the place\r
name = "Näh Fläche"\r
state = "AL"\r
\r
[[quiet]] # nobody\r
name = "nesting"\r
start = "05-15"\r
end = "07-03"\r
\r
# ---- ground ----\r
\r
[[area]]\r
name = "North"   # by the road\r
kind = "plot"\r
from = "a.geojson"\r
mix = "oats"\r
plant = 2027-09-25\r
history = [ # what was\r
  "2025: oats",  # good\r
  "2026: the same"\r
]\r
\r
[[mix]]\r
name = "oats"\r
seed = [ { crop = "oats", rate_lb_ac = 60.0, basis = "bulk", price_lb = 0.42, bag_lb = 50 } ]\r
\r
[[area]]\r
name = 'Vine'\r
kind = "patch"\r
vine = "kudzu"\r
from = "b.geojson"\r
[area.strip] # round it\r
slip_days = 10\r
\r
[equipment]\r
mower_width_ft = 6.0 # feet\r
"""
KINDS = ["plot", "native", "timber", "water", "road"]


def box(west: float, side: float) -> str:
    """Return a square as GeoJSON."""
    corners = [
        [west, 34.2],
        [west + side, 34.2],
        [west + side, 34.2 + side],
        [west, 34.2 + side],
    ]
    return json.dumps({"type": "Polygon", "coordinates": [[*corners, corners[0]]]})


def start(folder: Path) -> None:
    folder.mkdir()
    (folder / "property.toml").write_bytes(b"\xef\xbb\xbf" + TOML.encode())
    for number, name in enumerate("abcde"):
        (folder / f"{name}.geojson").write_text(box(-87.6 + 0.003 * number, 0.0015))


def random_change(document: dict, dice: random.Random) -> Change:
    """Return a change that leaves settings that can be built."""
    areas = document["area"]
    number = dice.randrange(len(areas))
    area = ("area", number)
    what = dice.randrange(9)
    if what == 0:
        return Set((*area, "note"), dice.choice(["wet", 'say "so" # näh', "zwei\nZeilen"]))
    if what == 1 and areas[number]["kind"] == "plot":
        return Set((*area, "plant"), dt.date(2027, 9, dice.randint(15, 30)))
    if what == 2:
        return Set(("equipment", "mower_width_ft"), dice.choice([5, 7.25, 0.1 + 5.2]))
    if what == 3:
        patches = [n for n, a in enumerate(areas) if a["kind"] == "patch"]
        return Set(("area", patches[0], "strip", "slip_days"), dice.randint(5, 20))
    if what == 4 and len(areas) < 5:
        free = [
            f"{n}.geojson" for n in "cde" if all(a["from"] != f"{n}.geojson" for a in areas)
        ]
        name = f"Stück {dice.randrange(10**6)}"
        return Insert(("area",), {"name": name, "kind": dice.choice(KINDS), "from": free[0]},
                      dice.choice([None, 0]))  # fmt: skip
    if what == 5:
        return Move(area, dice.randrange(len(areas)))
    if what == 6 and areas[number]["kind"] not in ("patch",) and len(areas) > 2:
        return Remove(area)
    if what == 7:
        return Insert((*area, "history"), f"2026: line {dice.randrange(99)}")
    return Set(("work", "hours_day"), dice.choice([6, 7.5, 8]))


def changes(dice: random.Random, document: dict) -> list[Change]:
    """Return one random change to settings."""
    return [random_change(copy.deepcopy(document), dice)]


def spelled(value: object) -> str:
    """Return a value as TOML, on one line."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, str):
        return json.dumps(value)
    if isinstance(value, list):
        return f"[{', '.join(map(spelled, value))}]"
    if isinstance(value, dict):
        return (
            "{"
            + ", ".join(f"{json.dumps(k)} = {spelled(v)}" for k, v in value.items())
            + "}"
        )
    return str(value)


def written_anew(settings: dict) -> str:
    """Return settings as a whole file: a line a table."""
    return "".join(
        f"{json.dumps(key)} = {spelled(value)}\n" for key, value in settings.items()
    )


def run(builds: int, seed: int, home: Path) -> dict[str, int]:
    """Return how many properties were built and how many differ, saying which."""
    counts = {"builds": 0, "changes": 0, "differ": 0}
    for number in range(builds):
        dice = random.Random(seed * 1_009 + number)
        folder = home / f"land-{number}"
        start(folder)
        for _ in range(12):
            outcome = change_settings(
                folder, functools.partial(changes, dice), "random",
                state=home / "state",
            )  # fmt: skip
            counts["changes"] += outcome.step is not None
        settings = tomllib.loads(
            (folder / "property.toml").read_bytes().decode("utf-8-sig")
        )
        ours = build_property(folder, today=DAY)
        (folder / "property.toml").write_text(written_anew(settings), encoding="utf-8")
        anew = build_property(folder, today=DAY)
        counts["builds"] += 1
        same = (
            ours.report == anew.report and ours.files["map.html"] == anew.files["map.html"]
        )
        if not same:
            counts["differ"] += 1
            print(f"seed {seed} property {number}: another build")
    return counts


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--builds", type=int, default=40)
    parser.add_argument("--seed", type=int, default=1)
    given = parser.parse_args()
    began = time.perf_counter()
    with tempfile.TemporaryDirectory() as home:
        counts = run(given.builds, given.seed, Path(home))
    print(f"{counts}, {time.perf_counter() - began:.0f} s")
    return 1 if counts["differ"] else 0


if __name__ == "__main__":
    sys.exit(main())
