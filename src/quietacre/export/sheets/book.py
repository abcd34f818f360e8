"""What all field sheets are drawn from: the report, the shapes in metres, and the paper."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING

import numpy as np
import shapely

from quietacre.acreage.frame import LocalFrame
from quietacre.export.paper import Paper
from quietacre.export.plat import RED
from quietacre.export.quantities import day
from quietacre.kinds import KINDS
from quietacre.short_names import short_name, short_names
from quietacre.units import FT_M

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    import geopandas as gpd

    from quietacre.export.plat import RGB, Plat
    from quietacre.export.quantities import Say
    from quietacre.report_records import Report
    from quietacre.year.records import YearTask

#: Lines of the map: colour, width and dashes [mm], and the column that says whose they are.
EXTRAS: dict[str, tuple[RGB, float, tuple[float, float] | None, str]] = {
    "previous": (KINDS["patch"].line_rgb, 0.4, (0.8, 0.8), "id"),
    "passes": (KINDS["strip"].line_rgb, 0.12, None, "of"),
    "weak": (RED, 1.2, (1.6, 0.8), "id"),
}
#: Passes nearer than this on paper would run together; the strip's pattern stands for them.
LEAST_PASS_MM = 0.7
#: Most letters of the place's name at the foot of a page.
MOST_FOOT = 60


class Book:
    """The report, its shapes in metres, its jobs by piece, and the paper they go on."""

    def __init__(
        self, report: Report, layers: Mapping[str, gpd.GeoDataFrame], say: Say
    ) -> None:
        self.report, self.layers, self.say = report, layers, say
        made = dt.datetime.combine(report.made_on, dt.time(), dt.UTC)
        name = report.property.name
        self.pdf = Paper(name, made, say.words)
        self.pdf.foot = (
            self.pdf.fit(short_name(name, MOST_FOOT)) + f" · made {day(report.made_on)}"
        )
        self.pieces = report.pieces()
        self._called: dict[int, dict[str, str]] = {}
        self.shape = {
            key: shape
            for layer in ("areas", "strips")
            for key, shape in zip(layers[layer]["id"], layers[layer].geometry, strict=True)
            if not shape.is_empty
        }
        edge = list(layers["boundary"].geometry) if "boundary" in layers else []
        drawn = [*self.shape.values(), *edge]
        self.frame = LocalFrame.around(drawn) if drawn else None
        self.local = dict(zip(self.shape, self.moved(self.shape.values()), strict=True))
        self.edge = list(self.moved(edge))
        self.tree = shapely.STRtree(list(self.local.values()))
        self.keys = list(self.local)
        self.drawn = {name: self._by_owner(name) for name in EXTRAS}
        self.jobs: dict[str, list[YearTask]] = {}
        for task in (t for t in report.year.tasks if t.state != "missed"):
            self.jobs.setdefault(task.area_id, []).append(task)
        self.packs = {s.item: s.pack for s in report.shopping if s.pack}

    def called(self, name: str, most: int) -> str:
        """Return what a piece of ground is called where only so many letters have room."""
        if most not in self._called:
            self._called[most] = short_names([piece.name for piece in self.pieces], most)
        return self.pdf.fit(self._called[most].get(name) or short_name(name, most))

    def moved(self, shapes: Iterable[shapely.Geometry]) -> list[shapely.Geometry]:
        """Return shapes in metres of the property."""
        array = np.array(list(shapes), dtype=object)
        return list(self.frame.to_local(array)) if self.frame and len(array) else []

    def _by_owner(self, name: str) -> dict[str, list[shapely.Geometry]]:
        """Return the lines of a layer by the piece that they belong to, in metres."""
        of: dict[str, list[shapely.Geometry]] = {}
        frame = self.layers.get(name)
        if frame is not None:
            for owner, shape in zip(
                frame[EXTRAS[name][3]], self.moved(frame.geometry), strict=True
            ):
                # a weak stretch is named after its strip: s01-3
                of.setdefault(str(owner).partition("-")[0], []).append(shape)
        return of

    def draw_lines(self, plat: Plat, key: str | None) -> None:
        """Draw last year's edge, thin places and mower passes; of one piece, or all."""
        for name, (color, width, dash, _) in EXTRAS.items():
            if name == "passes" and (
                key is None or self.pass_mm(plat, key) < LEAST_PASS_MM
            ):
                continue
            of = self.drawn[name]
            for shape in (
                of.get(key, ()) if key else (s for all_ in of.values() for s in all_)
            ):
                plat.outline(shape, color, width_mm=width, dash_mm=dash)

    def pass_mm(self, plat: Plat, key: str) -> float:
        """Return how far apart the passes of a strip lie on paper. [mm]"""
        strip = next((s for s in self.report.strips if s.id == key), None)
        passes = strip.ring.passes if strip else None
        if not strip or not passes or not passes.count:
            return 0.0
        return float(strip.ring.wanted.width_ft / passes.count * FT_M * plat.mm_per_m)
