"""Builds killed at random moments, and two at once: nothing may stand half-written.

Run: ``python tests/hostile/kill_builds.py [--kills 300] [--seed N]``. Two versions of an
invented property take turns; after each kill every file in ``out/`` must be, byte for
byte, that of one version or the other, and the person's own files untouched. Files of two
versions side by side must be said, by the page's banner and by what ``build.json`` tells
the next build, and that build must finish the set. Ends with 1 when one of it fails.
"""

from __future__ import annotations

import argparse
import hashlib
import json
import os
import random
import shutil
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from quietacre.export.build_set import BANNER, BANNER_SHOWN, look_at
from quietacre.export.outputs import BUILD_FILE, PAGE

TOML = """[property]
name = "Invented {version}"
[[area]]
name = "Field {version}"
kind = "plot"
from = "a.geojson"
"""
RING = [[-87.6, 34.2], [-87.598, 34.2], [-87.598, 34.202], [-87.6, 34.202], [-87.6, 34.2]]
STAGE = ".quietacre-"
#: Moments of a build by what is slowest in it; most kills fall in its last tenth, half of
#: those among the renames.
LATE_SHARE = 0.8


def write_property(folder: Path, version: int) -> None:
    """Write one version of the property."""
    folder.mkdir(parents=True, exist_ok=True)
    ring = [[x + version * 1e-4, y] for x, y in RING]
    shape = {"type": "Polygon", "coordinates": [ring]}
    (folder / "property.toml").write_text(TOML.format(version=version))
    (folder / "a.geojson").write_text(json.dumps(shape))


def prints(folder: Path) -> dict[str, str]:
    """Return a fingerprint of each file right inside a folder, but of the build's record.

    The page's banner is taken as hidden: ``unsaid`` looks at it.
    """
    return {
        path.name: hashlib.sha256(
            path.read_bytes().replace(BANNER_SHOWN, BANNER)
        ).hexdigest()
        for path in folder.iterdir()
        if path.is_file() and path.name != BUILD_FILE
    }


def unsaid(out: Path, made: list[dict[str, str]]) -> list[str]:
    """Return what is wrong with how a set says whether it is whole."""
    mixed = prints(out) not in made
    told = look_at(out).state == "unfinished"
    shown = BANNER_SHOWN in (out / PAGE).read_bytes()
    wrong = []
    if mixed and not (told and shown):
        wrong.append(f"a mixed set is unsaid: record {told}, page {shown}")
    if told and not mixed and not shown:
        wrong.append("a whole set is called unfinished")
    return wrong


def start(folder: Path) -> subprocess.Popen[bytes]:
    """Start a build of a fixed day."""
    return subprocess.Popen(
        [sys.executable, "-m", "quietacre", "build", str(folder), "--today", "2027-01-02"],
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        env={**os.environ, "SOURCE_DATE_EPOCH": "1798848000"},
    )


def whole(home: Path) -> tuple[list[dict[str, str]], float]:
    """Return the finished outputs of both versions, and the seconds a build takes."""
    made, took = [], 0.0
    for version in (1, 2):
        folder = home / "property"
        write_property(folder, version)
        began = time.perf_counter()
        assert start(folder).wait() == 0
        took = time.perf_counter() - began
        made.append(prints(folder / "out"))
    return made, took


def check(out: Path, made: list[dict[str, str]]) -> list[str]:
    """Return which outputs are of neither version, or missing."""
    found = prints(out)
    known = set(made[0]) | set(made[1])
    return [
        f"{name} is of neither build"
        for name in sorted(known)
        if found.get(name) not in {one.get(name) for one in made}
    ] + [f"{name} is no output" for name in sorted(set(found) - known)]


def kill_often(home: Path, kills: int, seed: int) -> dict[str, int]:
    """Kill builds at random moments; return the counts of what came of it."""
    rng = random.Random(seed)
    made, took = whole(home)
    folder = home / "property"
    counts = {"kills": 0, "finished": 0, "while writing": 0, "mixed": 0, "defects": 0}
    version = 1
    while counts["kills"] < kills:
        write_property(folder, version)
        own = prints(folder)
        process = start(folder)
        if rng.random() < LATE_SHARE:  # wait for the writing to begin
            deadline = time.perf_counter() + 60 * took
            while process.poll() is None and time.perf_counter() < deadline:
                if any(p.name.startswith(STAGE) for p in (folder / "out").iterdir()):
                    break
                time.sleep(0.0005)
            if rng.random() < LATE_SHARE / 2:  # and some for the renaming
                while process.poll() is None and time.perf_counter() < deadline:
                    if BANNER_SHOWN in (folder / "out" / PAGE).read_bytes():
                        break
                time.sleep(rng.random() * 0.002)
            else:
                time.sleep(rng.random() * 0.02)
        else:
            time.sleep(rng.random() * took)
        process.kill()
        code = process.wait()
        counts["finished" if code == 0 else "kills"] += 1
        left = [p for p in (folder / "out").iterdir() if p.name.startswith(STAGE)]
        counts["while writing"] += bool(left)
        for stage in left:
            shutil.rmtree(stage)
        wrong = check(folder / "out", made) + unsaid(folder / "out", made)
        if prints(folder) != own:
            wrong.append("a file of the person's changed")
        found = prints(folder / "out")
        if found not in made:
            counts["mixed"] += 1
            if start(folder).wait() != 0 or prints(folder / "out") != made[version - 1]:
                wrong.append("the next build did not finish a mixed set")
            wrong += unsaid(folder / "out", made)
        counts["defects"] += len(wrong)
        for words in wrong:
            print(words, flush=True)
        version = 3 - version
    return counts


def two_at_once(home: Path, rounds: int) -> int:
    """Build twice at the same time; return how often the end was not one build's."""
    made, _ = whole(home)
    folder, wrong = home / "property", 0
    for turn in range(rounds):
        write_property(folder, 1 + turn % 2)
        both = [start(folder), start(folder)]
        codes = [process.wait() for process in both]
        wrong += codes != [0, 0] or prints(folder / "out") != made[turn % 2]
        wrong += any(p.name.startswith(STAGE) for p in (folder / "out").iterdir())
    return wrong


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--kills", type=int, default=300)
    parser.add_argument("--seed", type=int, default=20261125)
    parser.add_argument("--rounds", type=int, default=5, help="of two at once")
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory(prefix="kills-") as place:
        result = kill_often(Path(place), asked.kills, asked.seed)
        result["two at once, wrong"] = two_at_once(Path(place), asked.rounds)
    print("; ".join(f"{count} {word}" for word, count in result.items()))
    sys.exit(result["defects"] + result["two at once, wrong"] > 0)
