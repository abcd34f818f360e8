"""Field sheets on paper, without a browser: cover, a sheet for each piece, the year.

Everything is drawn with fpdf2 from the report and the layers. The same input gives the
same bytes: the date of the file is the day of the report, and its fonts come out of
installed packages, never from the machine.
"""

from __future__ import annotations

import datetime as dt
import re
from typing import TYPE_CHECKING, Any

import numpy as np
import shapely

from quietacre.acreage.frame import LocalFrame
from quietacre.days import month_day, on_year, say_month_day
from quietacre.export.paper import (
    FULL_W,
    MARGIN,
    MOST_NAME,
    PAGE_W,
    Column,
    Paper,
)
from quietacre.export.platting import (
    FAINT,
    INK,
    RED,
    SOFT,
    Plat,
    fill_pattern,
)
from quietacre.export.said import Say, day, minutes, money, span
from quietacre.figures import number
from quietacre.kinds import KINDS, QUIET
from quietacre.page.notes import parted
from quietacre.page.sides import sides
from quietacre.units import FT_M

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    import geopandas as gpd

    from quietacre.export.platting import RGB

    Record = Mapping[str, Any]

WORKED = ("plot", "patch", "native", "burn", "strip", "firebreak")
#: Left and right column of a field sheet. [mm]
LEFT_W, RIGHT_W = 98.0, 83.0
HAND_ROW_MM = 9.0
#: What a job stands in from its box and day. [mm]
TASK_MM = 32.0
#: What is written on a line each below the boxes, and the room for it. [mm]
BY_HAND, HAND_LINE_MM = ("rain", "ground", "who"), 8.5
#: Boxes in less room than this are of no use.
LEAST_HAND_MM = 46.0
#: Jobs done that a sheet shows; the map has them all.
MOST_DONE = 5
#: Most letters of history and cautions that leave room for the boxes below them.
MOST_BESIDE = 1400
#: The band of a year shows so many months, and more only as far as there is work.
YEAR_MONTHS, MOST_MONTHS = 12, 24
#: Lines of the map: colour, width and dashes [mm], and the column that says whose they are.
EXTRAS: dict[str, tuple[RGB, float, tuple[float, float] | None, str]] = {
    "previous": (KINDS["patch"].line_rgb, 0.4, (0.8, 0.8), "id"),
    "passes": (KINDS["strip"].line_rgb, 0.12, None, "of"),
    "weak": (RED, 1.2, (1.6, 0.8), "id"),
}
#: Passes nearer than this on paper would run together; the strip's pattern stands for them.
LEAST_PASS_MM = 0.7
MARK = {"warning": "Warning", "caution": "Caution", "info": "Note"}


#: Height of the map on a sheet; lower where the jobs would drive the rest off the sheet. [mm]
MAP_MM, LOW_MAP_MM, MANY_JOBS = 70.0, 54.0, 8
#: A job longer than a day is cut in parts; those after the first.
LATER_PART = re.compile(r"\(part (?!1 of)\d+ of \d+\)$")


def field_sheets_pdf(
    report: Record, layers: Mapping[str, gpd.GeoDataFrame], *, units: str = "us"
) -> bytes:
    """Return the sheets as a PDF.

    Parameters
    ----------
    report : what report.json holds.
    layers : EPSG:4326 frames by name; areas and strips with id, kind and geometry.
    units : "us" or "metric".
    """
    return _Sheets(report, layers, Say(units == "metric")).made()


class _Sheets:
    """The whole document."""

    def __init__(
        self, report: Record, layers: Mapping[str, gpd.GeoDataFrame], say: Say
    ) -> None:
        self.report, self.layers, self.say = report, layers, say
        made = dt.datetime.fromisoformat(report["made_on"]).replace(tzinfo=dt.UTC)
        name = report["property"]["name"]
        self.pdf = Paper(name, made)
        self.pdf.foot = self.pdf.fit(name, 60) + f" · made {day(report['made_on'])}"
        self.pieces: list[Record] = [*report["areas"], *report["strips"]]
        self.shape = {
            key: shape
            for layer in ("areas", "strips")
            for key, shape in zip(layers[layer]["id"], layers[layer].geometry, strict=True)
            if not shape.is_empty
        }
        edge = list(layers["boundary"].geometry) if "boundary" in layers else []
        drawn = [*self.shape.values(), *edge]
        self.frame = LocalFrame.around(drawn) if drawn else None
        self.local = dict(zip(self.shape, self._moved(self.shape.values()), strict=True))
        self.edge = list(self._moved(edge))
        self.tree = shapely.STRtree(list(self.local.values()))
        self.keys = list(self.local)
        self.drawn = {name: self._by_owner(name) for name in EXTRAS}
        self.jobs: dict[str, list[Record]] = {}
        year = report.get("year", {})
        for task in (t for t in year.get("tasks", ()) if t["state"] != "missed"):
            self.jobs.setdefault(task["area_id"], []).append(task)
        self.packs = {s["item"]: s["pack"] for s in report["shopping"] if s.get("pack")}

    def _moved(self, shapes: Iterable[shapely.Geometry]) -> list[shapely.Geometry]:
        """Return shapes in metres of the property."""
        array = np.array(list(shapes), dtype=object)
        return list(self.frame.to_local(array)) if self.frame and len(array) else []

    def _by_owner(self, name: str) -> dict[str, list[shapely.Geometry]]:
        """Return the lines of a layer by the piece that they belong to, in metres."""
        of: dict[str, list[shapely.Geometry]] = {}
        frame = self.layers.get(name)
        if frame is not None:
            for owner, shape in zip(
                frame[EXTRAS[name][3]], self._moved(frame.geometry), strict=True
            ):
                # a weak stretch is named after its strip: s01-3
                of.setdefault(str(owner).partition("-")[0], []).append(shape)
        return of

    def made(self) -> bytes:
        self.cover()
        for piece in self.pieces:
            if piece["kind"] in WORKED:
                self.field(piece)
        self.year()
        self.last()
        return bytes(self.pdf.output())

    # ---- the cover -----------------------------------------------------------
    def cover(self) -> None:
        pdf, say, totals = self.pdf, self.say, self.report["totals"]
        pdf.add_page()
        column = Column(pdf, MARGIN, MARGIN, FULL_W)
        column.text(self.report["property"]["name"], size=22, font="head", cut=MOST_NAME)
        half = (totals["total_acres_high"] - totals["total_acres_low"]) / 2
        gist = [
            say.acres(totals["total_acres"]) + (f" ± {say.acres(half)}" if half > 0.005 else ""),  # noqa: PLR2004
            f"{len(self.report['areas'])} pieces of ground",
            f"{money(totals['cost'])} to buy" if totals["cost"] else "",
            f"made {day(self.report['made_on'])}",
        ]  # fmt: skip
        column.text(" · ".join(part for part in gist if part), soft=True)
        if self.frame is not None:
            self._map(column, 112)
        self._key(column)
        if self.report["property"].get("note"):
            column.text(self.report["property"]["note"])
        self._totals(column)

    def _map(self, column: Column, high_mm: float) -> None:
        pdf = self.pdf
        assert self.frame is not None  # noqa: S101 - for the type checker
        plat = Plat(
            pdf, self.frame, [*self.local.values(), *self.edge],
            left_mm=MARGIN, top_mm=column.y, wide_mm=FULL_W, high_mm=high_mm, edge_mm=6,
        )  # fmt: skip
        for piece in self.pieces:
            if piece["id"] in self.local:
                plat.fill(self.local[piece["id"]], piece["kind"])
        for line in self.edge:
            plat.outline(line, INK, width_mm=0.5, dash_mm=(4, 1.5))
        self._extras(plat, None)
        self._names(plat)
        pdf.set_font("body", "", 8)
        plat.north_and_scale(self.say)
        pdf.set_draw_color(*INK)
        pdf.set_line_width(0.2)
        pdf.rect(MARGIN, column.y, FULL_W, high_mm)
        column.y += high_mm + 2

    def _extras(self, plat: Plat, key: str | None) -> None:
        """Draw last year's edge, thin places and mower passes; of one piece, or all."""
        for name, (color, width, dash, _) in EXTRAS.items():
            if name == "passes" and (
                key is None or self._pass_mm(plat, key) < LEAST_PASS_MM
            ):
                continue
            of = self.drawn[name]
            for shape in (
                of.get(key, ()) if key else (s for all_ in of.values() for s in all_)
            ):
                plat.outline(shape, color, width_mm=width, dash_mm=dash)

    def _pass_mm(self, plat: Plat, key: str) -> float:
        """Return how far apart the passes of a strip lie on paper. [mm]"""
        strip = next((s for s in self.report["strips"] if s["id"] == key), None)
        count = ((strip or {}).get("passes") or {}).get("count")
        if not strip or not count:
            return 0.0
        return float(strip["width_ft"] / count * FT_M * plat.mm_per_m)

    def _names(self, plat: Plat) -> None:
        """Write names where they fit, the largest ground first, on a pale ground."""
        pdf = self.pdf
        taken: list[shapely.Geometry] = []
        pdf.set_font("body", "B", 7.5)
        for area in sorted(self.report["areas"], key=lambda a: -a["acres"]):
            shape = self.shape.get(area["id"])
            if shape is None:
                continue
            name = pdf.fit(area["name"], 28)
            width = pdf.wide(name)
            (at,) = self._moved([shapely.Point(area["lon"], area["lat"])])
            point = plat.on_paper(at)
            box = shapely.box(point.x - width / 2, point.y - 1.6, point.x + width / 2, point.y + 1.6)  # fmt: skip
            if any(box.intersects(other) for other in taken) or not plat.box.contains(box):
                continue
            taken.append(box)
            pdf.set_fill_color(255, 255, 255)
            with pdf.local_context(fill_opacity=0.75):
                pdf.rect(box.bounds[0] - 0.5, box.bounds[1], width + 1, 3.2, style="F")
            pdf.text(point.x - width / 2, point.y + 1, name)

    def _key(self, column: Column) -> None:
        pdf = self.pdf
        used = [kind for kind in KINDS if any(p["kind"] == kind for p in self.pieces)]
        pdf.set_font("body", "", 8.5)
        x = MARGIN
        for kind in used:
            width = pdf.get_string_width(KINDS[kind].word) + 13
            if x + width > PAGE_W - MARGIN:
                x, column.y = MARGIN, column.y + 5
            box = shapely.box(x, column.y, x + 8, column.y + 4)
            pdf.set_fill_color(*KINDS[kind].fill_rgb)
            pdf.rect(x, column.y, 8, 4, style="F")
            fill_pattern(pdf, box, KINDS[kind])
            pdf.set_draw_color(*KINDS[kind].line_rgb)
            pdf.rect(x, column.y, 8, 4)
            pdf.text(x + 9, column.y + 3, KINDS[kind].word)
            x += width
        column.y += 6.5

    def _totals(self, column: Column) -> None:
        pdf, say, totals, top = self.pdf, self.say, self.report["totals"], column.y
        page = pdf.page_no()
        left = Column(pdf, MARGIN, top, 66)
        left.head("Ground")
        rows = [
            (KINDS[kind].word, str(sum(a["kind"] == kind for a in self.report["areas"])), say.acres(acres))
            for kind, acres in totals["by_kind"].items()
        ]  # fmt: skip
        for kind in ("strip", "firebreak"):
            made = [s["acres"] for s in self.report["strips"] if s["kind"] == kind]
            if made:
                rows.append((KINDS[kind].word, str(len(made)), say.acres(sum(made))))
        left.table(("kind", "pieces", "area"), rows, (4, 2, 3))
        if self.report["property"].get("acres"):
            left.text(
                f"Inside the property line: {say.acres(self.report['property']['acres'])}"
            )
        pdf.page = page
        right = Column(pdf, MARGIN + 72, top, FULL_W - 72)
        right.head("To buy" + (f": {money(totals['cost'])}" if totals["cost"] else ""))
        rows_buy = [
            (
                s["item"], say.needed(s["need"], s["unit"], s.get("pack")),
                say.amount(s["buy"], s["unit"]) if s.get("packs") is None
                else say.packs(s["packs"], s["pack"], s["unit"]),
                money(s["cost"]),
            )
            for s in self.report["shopping"]
        ]  # fmt: skip
        if rows_buy:
            right.table(("item", "need", "buy", "cost"), rows_buy, (5, 3, 4, 3))
        else:
            right.text("Nothing: no mix, soil test or spray is named yet.")
        pdf.page = max(pdf.pages)

    # ---- a field sheet ---------------------------------------------------------
    def field(self, piece: Record) -> None:
        pdf = self.pdf
        pdf.add_page()
        first = pdf.page_no()
        right = Column(pdf, PAGE_W - MARGIN - RIGHT_W, MARGIN, RIGHT_W)
        shape = self.shape.get(piece["id"])
        if shape is not None:
            self._plat(right, piece, shape)
        care = self._care(piece)
        beside = sum(len(text) for _, text, _ in care) <= MOST_BESIDE
        if beside:
            self._write_care(right, care)
        pdf.page = first
        # what the left column cannot take goes on below the map, then on a second sheet
        second = f"{pdf.fit(piece['name'], MOST_NAME)}, second sheet"
        left = Column(pdf, MARGIN, MARGIN, LEFT_W, (right.x, right.y, RIGHT_W), second)
        self._words(left, piece)
        if not beside:
            self._write_care(left, care)
        below = left if left.x == right.x else right
        if pdf.page != first:
            below = Column(pdf, right.x, MARGIN, RIGHT_W)
        elif below.left_mm() < LEAST_HAND_MM:
            pdf.add_page()
            Column(pdf, MARGIN, MARGIN, LEFT_W).text(second, size=13, font="head")
            below = Column(pdf, right.x, MARGIN, RIGHT_W)
        self._by_hand(below)
        pdf.page = max(pdf.pages)

    def _plat(self, column: Column, piece: Record, shape: shapely.Geometry) -> None:
        pdf = self.pdf
        many = len(self.jobs.get(piece["id"], ())) > MANY_JOBS and "width_ft" not in piece
        high = LOW_MAP_MM if many else MAP_MM
        assert self.frame is not None  # noqa: S101 - for the type checker
        local = self.local[piece["id"]]
        plat = Plat(
            pdf, self.frame, [local],
            left_mm=column.x, top_mm=column.y, wide_mm=RIGHT_W, high_mm=high, edge_mm=13,
        )  # fmt: skip
        west, south, east, north = local.bounds
        near = shapely.box(west, south, east, north).buffer(
            max(east - west, north - south) / 2
        )
        for row in sorted(self.tree.query(near)):
            if self.keys[row] != piece["id"]:
                plat.outline(self.local[self.keys[row]], FAINT, dash_mm=(1.2, 0.9))
        plat.fill(local, piece["kind"])
        self._extras(plat, piece["id"])
        found = sides(shape, self.frame)
        pdf.set_font("body", "B", 8.5)
        if found is not None:
            plat.sides(found, self.say)
        plat.north_and_scale(self.say)
        pdf.set_draw_color(*SOFT)
        pdf.set_line_width(0.2)
        pdf.rect(column.x, column.y, RIGHT_W, high)
        column.y += high + 1
        if found is not None:
            column.text(
                f"{self.say.feet(found.east_ft)} west to east, {self.say.feet(found.north_ft)} "
                "south to north. Lengths run along the edge, dot to dot.",
                size=8.5, soft=True,
            )  # fmt: skip

    def _by_hand(self, column: Column) -> None:
        pdf = self.pdf
        column.head("By hand")
        widths = (16.0, 33.0, 18.0, 16.0)
        pdf.set_draw_color(*SOFT)
        pdf.set_line_width(0.2)
        pdf.set_font("body", "B", 8.5)
        x = column.x
        for title, width in zip(
            ("date", "what was done", "amount", "minutes"), widths, strict=True
        ):
            pdf.set_xy(x, column.y)
            pdf.cell(width, 5, title, border=1)
            x += width
        column.y += 5
        while column.left_mm() > HAND_ROW_MM + len(BY_HAND) * HAND_LINE_MM:
            x = column.x
            for width in widths:
                pdf.rect(x, column.y, width, HAND_ROW_MM)
                x += width
            column.y += HAND_ROW_MM
        for word in BY_HAND:
            column.y += HAND_LINE_MM
            pdf.text(column.x, column.y, word)
            pdf.line(column.x + 14, column.y + 0.6, column.x + RIGHT_W, column.y + 0.6)

    def _words(self, column: Column, piece: Record) -> None:
        say = self.say
        column.text(piece["name"], size=17, font="head", cut=MOST_NAME)
        vine = f" ({piece['vine']})" if piece.get("vine") else ""
        column.text(KINDS[piece["kind"]].word + vine, soft=True)
        half = (piece["acres_high"] - piece["acres_low"]) / 2
        column.text(
            say.acres(piece["acres"])
            + (f" ± {say.acres(half)}" if half > 0.0005 else ""),  # noqa: PLR2004
            size=15, font="head",
        )  # fmt: skip
        if "width_ft" in piece:
            column.text(f"{say.feet(piece['width_ft'])} wide, {say.feet(piece['length_ft'])} along the edge")  # fmt: skip
            if piece.get("case"):
                column.text(f"Worked out for: {say.words(piece['case']['why'])}", soft=True)
            self._strip(column, piece)
        else:
            column.text(
                f"{say.words(piece['method'])}, {say.feet(piece['perimeter_ft'])} round",
                soft=True,
            )
        self._amounts(column, piece)
        jobs = self.jobs.get(piece["id"], [])
        if jobs:
            column.head("When")
            for task in jobs:
                x, page = column.x, self.pdf.page
                column.room(self._task_mm(column, task, name=False))
                if (x, page) != (column.x, self.pdf.page):
                    column.head("When, going on")
                self._task(column, task, name=False)

    def _care(self, piece: Record) -> list[tuple[str, str, RGB | None]]:
        """Return what is told of a piece's past and dangers: heading, text, bar."""
        care: list[tuple[str, str, RGB | None]] = []
        care += [("History", line, None) for line in piece.get("history") or ()]
        record = piece.get("record") or ()
        for job in record[:MOST_DONE]:
            more = f" ({job['more']})" if job["more"] else ""
            care.append(("Done here", f"{day(job['on'])}: {job['task']}{more}", None))
        if len(record) > MOST_DONE:
            care.append(
                ("Done here", f"{len(record) - MOST_DONE} before: see log.csv", None)
            )
        if piece.get("note"):
            care.append(("Note", piece["note"], None))
        notes = (*piece.get("notes", ()), *(piece.get("need") or {}).get("notes", ()))
        for note in notes:
            # the table of thin places says it already
            told_above = note["code"] == "strip-narrow" and piece.get("weak")
            if note["level"] != "info" and not told_above:
                bar = RED if note["level"] == "warning" else SOFT
                parts = parted(self.say.words(note["text"]))
                told = f"{MARK[note['level']]}: {parts.head} {parts.more}".strip()
                care.append(("Take care", told, bar))
                care += [
                    ("Take care", f"{n}. {way}", bar) for n, way in enumerate(parts.help, 1)
                ]
        care += [
            ("Take care", self.say.words(caution), SOFT)
            for caution in piece.get("cautions", ())
        ]
        return care

    @staticmethod
    def _write_care(column: Column, care: list[tuple[str, str, RGB | None]]) -> None:
        head = ""
        for title, text, bar in care:
            size = 8.5 if bar else 9.5
            if title != head:
                column.head(title)
                head = title
            column.text(text, size=size, bar=bar)

    def _strip(self, column: Column, piece: Record) -> None:
        say = self.say
        if piece.get("weak"):
            column.head("Too thin")
            column.table(
                ("why", "there", "along"),
                [(say.words(w["reason"]), say.feet(w["available_ft"]), say.feet(w["length_ft"])) for w in piece["weak"]],
                (5, 2, 2),
            )  # fmt: skip
        frame = self.layers.get("passes")
        if frame is not None:
            mine = frame[frame["of"] == piece["id"]]
            if len(mine):
                column.head(
                    "Disk passes" if piece["kind"] == "firebreak" else "Mower passes"
                )
                parts = [
                    f"{len(mine)} passes, {say.feet(float(mine['length_ft'].sum()))} to drive"
                ]
                if "minutes" in mine:
                    parts.append(f"about {minutes(float(mine['minutes'].sum()))}")
                if "fuel_gal" in mine:
                    parts.append(f"{say.gallons(float(mine['fuel_gal'].sum()))} of fuel")
                column.text(", ".join(parts))
        if piece.get("advance"):
            column.head("Since the last survey")
            moves = (piece["advance"], *piece.get("advance_also", ()))
            for moved in moves:
                whose = f"{moved['area']}: " if len(moves) > 1 else ""
                column.text(whose + say.words(moved["text"]))
        if piece.get("law"):
            law = piece["law"]
            column.text(
                f"Law: {law.get('state') or 'state not given'}: {law['text']}", bar=RED
            )

    def _amounts(self, column: Column, piece: Record) -> None:
        say, need = self.say, piece.get("need") or {}
        seed = need.get("seed") or ()
        if seed:
            column.head(f"Sow: {seed[0]['mix']}, {seed[0]['method']}")
            rows = []
            for s in seed:
                pack = self.packs.get(s["crop"])
                bags = (
                    f"{number(s['lb'] / pack, 1)} of {say.pack(pack, 'lb')}" if pack else ""
                )
                rows.append(
                    (s["crop"], say.rate(s["bulk_lb_ac"]), say.pounds(s["lb"]), bags)
                )
            column.table(("seed", "rate", "pour", "bags"), rows, (5, 3.2, 3, 4))
            known = self.report.get("crops", {})
            own = [
                f" (your own window {s['own_window']})" if s.get("own_window") else ""
                for s in seed
            ]
            said = [
                f"{s['crop']} {known[s['crop']][0]}{window}"
                for s, window in zip(seed, own, strict=True)
                if s["crop"] in known
            ]
            if said:  # the rest of what is known of a crop stands with the cautions
                column.text("; ".join(said), size=8, soft=True)
        spread = need.get("fertilizer") or ()
        if spread:
            column.head("Spread")
            rows = [
                (f["grade"] + (" (later)" if f.get("when") == "top-dressing" else ""), say.rate(f["lb_ac"]), say.pounds(f["lb"]),
                 f"{number(f['bags_exact'], 1)} of {say.pack(f['bag_lb'], 'lb')}" if f.get("bag_lb") else "")
                for f in spread
            ]  # fmt: skip
            column.table(("product", "rate", "pounds", "bags"), rows, (5, 3.2, 3, 4))
        if need.get("lime"):
            lime = need["lime"]
            column.head("Lime")
            column.text(say.tons(lime["ton"]) + (f" of {lime['product']}" if lime.get("product") else ""))  # fmt: skip
            column.text(say.words(lime["text"]), soft=True)
        for spray in need.get("spray") or ():
            column.head(f"Spray: {spray['name']}")
            share = spray["share"]
            whole = say.acres(piece["acres"])
            part = (
                f" ({number(100 * share)} % of its {whole}, the share you wrote)"
                if share < 1
                else ""
            )
            column.text(
                f"{say.gallons(spray['gal'])} on {say.acres(spray['acres'])}{part}: "
                f"{say.amount(spray['product'], spray['unit'])} of product; {_tanks(spray, say)}"
            )
            if spray["loads_full"]:
                last = say.amount(spray["product_last_load"], spray["unit"])
                column.text(
                    f"A full tank takes {say.amount(spray['product_per_load'], spray['unit'])}"
                    + (f", the last {last}" if spray["last_load_gal"] > 0 else "")
                    + " of product.",
                    soft=True,
                )
            column.text(f"Wear: {spray.get('ppe') or 'what the label lists'}", soft=True)
            for caution in spray["cautions"]:
                column.text(say.words(caution), bar=SOFT)
        if need.get("setting"):
            column.head("Set the machine")
            for line in need["setting"]:
                column.text(say.words(line))
        if need.get("cost"):
            column.text(
                f"Cost: {money(need['cost'])} ({say.cost_of_area(need['cost_ac'])})"
            )

    def _told(self, task: Record, *, name: bool) -> tuple[str, str]:
        """Return what a job is, and by what, how long, with what and when it may be done."""
        done = " (done)" if task["status"] == "done" else ""
        who = f"{self.pdf.fit(task['area'], 40)}: " if name else ""
        long = [minutes(task["minutes"])] if task["minutes"] else []
        # the first part of a job cut in parts names what the whole job takes
        amounts = [] if LATER_PART.search(task["label"]) else task["amounts"]
        parts = [task["machine"], *long, *map(self.say.words, amounts), _any_day(task)]
        return f"{who}{task['label']}{done}", "; ".join(parts)

    def _task_mm(self, column: Column, task: Record, *, name: bool) -> float:
        """Return the room a job takes, so that it stands whole. [mm]"""
        inner = Column(self.pdf, column.x, column.y, column.wide - TASK_MM)
        what, how = self._told(task, name=name)
        high = inner.high(what, size=9, bold=True, cut=160) - 0.7
        high += inner.high(how, size=8, cut=240)
        notes = (self.say.words(line) for line in task["notes"])
        return high + sum(inner.high(line, size=8, bar=RED) for line in notes)

    def _task(self, column: Column, task: Record, *, name: bool) -> None:
        none = "window" if task["status"] == "window" else "no day"
        when = day(task["scheduled"], year=False) if task["scheduled"] else none
        column.room(self._task_mm(column, task, name=name))
        what, how = self._told(task, name=name)
        pdf, y = self.pdf, column.y
        pdf.set_draw_color(*INK)
        pdf.set_line_width(0.25)
        pdf.rect(column.x, y + 0.6, 2.8, 2.8)  # a box to tick
        if task["status"] == "done":
            pdf.line(column.x, y + 0.6, column.x + 2.8, y + 3.4)
        pdf.set_font("body", "B", 9)
        pdf.text(column.x + 4, y + 3, when)
        inner = Column(pdf, column.x + TASK_MM, y, column.wide - TASK_MM)
        inner.text(what, size=9, bold=True, cut=160)
        inner.y -= 0.7
        inner.text(how, size=8, soft=True, cut=240)
        for line in task["notes"]:
            inner.text(self.say.words(line), size=8, bar=RED)
        column.y = inner.y

    # ---- the year, and what to know ---------------------------------------------
    def year(self) -> None:
        year = self.report.get("year")
        if not year or not year["tasks"]:
            return
        self.pdf.add_page()
        column = Column(self.pdf, MARGIN, MARGIN, FULL_W)
        column.text("The year, worked backwards", size=17, font="head")
        column.text(year["bound"], soft=True)
        for quiet in year["quiet"]:
            what = quiet["keeps_out"]
            what = "everything" if what == "all" else ", ".join(what)
            column.text(
                f"Quiet: {quiet['name']}, {say_month_day(quiet['start'])} to "
                f"{say_month_day(quiet['end'])}, {what} ({quiet.get('source') or 'no source given'})",
                bar=SOFT,
            )
        self._bands(column)
        month = ""
        for task in (t for t in year["tasks"] if t["scheduled"]):
            if task["scheduled"][:7] != month:
                month = task["scheduled"][:7]
                column.head(f"{dt.date.fromisoformat(task['scheduled']):%B %Y}")
            self._task(column, task, name=True)
        open_ = [
            t for t in year["tasks"] if t["status"] == "window" and t["state"] != "missed"
        ]
        if open_:
            column.head("Windows: the weather and the law choose the day")
            for task in open_:
                self._task(column, task, name=True)
        if year["missed"]:
            column.head("Missed")
            for row in year["missed"]:
                column.text(self.say.words(f"{row['area']}: {row['text']}"), bar=RED)
        short = [t for t in year["tasks"] if t["state"] == "not possible"]
        if short:
            column.head("Does not fit")
            for task in short:
                self._task(column, task, name=True)
        if year["menu"]:
            column.text("Any one of these makes all of it fit, each tried on a whole plan:")
            for row in year["menu"]:
                column.text(
                    f"{self.say.words(row['text'])} ({row['trips']} trips)", bar=SOFT
                )
        if year["weather"]:
            column.head("Rain")
            for plant in year["weather"]["plantings"]:
                column.text(f"{plant['area']}: {self.say.words(plant['text'])}.")

    def _bands(self, column: Column) -> None:
        """Draw twelve months or more for each piece that has work."""
        first = dt.date.fromisoformat(self.report["made_on"]).replace(day=1)
        tasks = [t for t in self.report["year"]["tasks"] if t["scheduled"]]
        last = max([t["scheduled"] for t in tasks] or [self.report["made_on"]])
        months = [first]
        while len(months) < YEAR_MONTHS or (
            months[-1].isoformat()[:7] < last[:7] and len(months) < MOST_MONTHS
        ):
            months.append((months[-1] + dt.timedelta(days=32)).replace(day=1))
        end = (months[-1] + dt.timedelta(days=32)).replace(day=1)
        left, wide, high = column.x + 44, column.wide - 44, 5.0
        days = (end - first).days

        def at(date: dt.date) -> float:
            return left + wide * min(max((date - first).days, 0), days) / days

        pdf = self.pdf
        column.y += 1
        pdf.set_font("body", "", 8)
        for month, after in zip(months, [*months[1:], end], strict=True):
            middle = (at(month) + at(after)) / 2
            pdf.text(middle - 1, column.y + 2, f"{month:%b}"[0])
        column.y += 3
        for piece in self.pieces:
            jobs = self.jobs.get(piece["id"])
            if not jobs:
                continue
            column.room(high + 1.4)
            y = column.y
            pdf.set_font("body", "B", 8.5)
            pdf.text(column.x, y + 3.6, pdf.fit(piece["name"], 26))
            for start, stop in self._quiet_days(piece, months[0].year, end.year):
                if at(stop) > at(start):
                    pdf.set_fill_color(*QUIET.fill_rgb)
                    pdf.rect(at(start), y, at(stop) - at(start), high, style="F")
                    box = shapely.box(at(start), y, at(stop), y + high)
                    fill_pattern(pdf, box, QUIET)
            pdf.set_draw_color(*FAINT)
            pdf.set_line_width(0.15)
            pdf.rect(left, y, wide, high)
            for month in months[1:]:
                pdf.line(at(month), y, at(month), y + high)
            for task in jobs:
                self._marked(task, at, y + high / 2)
            column.y += high + 1.4
        column.text("Shaded: quiet. Bar: the days a job may fall on. Dot: planned. Cross: does not fit.", size=8, soft=True)  # fmt: skip

    def _quiet_days(
        self, piece: Record, first: int, last: int
    ) -> list[tuple[dt.date, dt.date]]:
        found = []
        # a strip is shut by what its patches are called, too
        of = (piece.get("of"), *(piece.get("also_of") or ()))
        words = {piece["kind"], piece["name"]}
        for area in self.report["areas"]:
            if area["id"] in of:
                words |= {area["kind"], area["name"]}
        for quiet in self.report["year"]["quiet"]:
            out = quiet["keeps_out"]
            if out != "all" and not words.intersection(out):
                continue
            for year in range(first - 1, last + 1):
                start = on_year(year, *month_day(quiet["start"]))
                stop = on_year(
                    year + (quiet["end"] < quiet["start"]), *month_day(quiet["end"])
                )
                found.append((start, stop + dt.timedelta(days=1)))
        return found

    def _marked(self, task: Record, at: Any, y: float) -> None:  # noqa: ANN401 - a function
        pdf = self.pdf
        pdf.set_draw_color(*KINDS["native"].line_rgb)
        pdf.set_line_width(0.7)
        start, stop = (dt.date.fromisoformat(task[k]) for k in ("earliest", "latest"))
        if task["scheduled"]:
            pdf.line(at(start), y, at(stop), y)
            x = at(dt.date.fromisoformat(task["scheduled"]))
            pdf.set_fill_color(*INK)
            pdf.circle(x, y, 0.9, style="F")
            return
        if task["status"] == "window":  # days that may serve, none of them chosen
            pdf.line(at(start), y, at(stop), y)
            return
        x = at(stop)
        pdf.set_draw_color(*RED)
        pdf.line(x - 1, y - 1, x + 1, y + 1)
        pdf.line(x - 1, y + 1, x + 1, y - 1)

    def last(self) -> None:
        self.pdf.add_page()
        column = Column(self.pdf, MARGIN, MARGIN, FULL_W)
        sown = self.report.get("crops") or {}
        if sown:
            column.text("What is sown", size=17, font="head")
            for crop, lines in sown.items():
                column.text(f"{crop}: {self.say.words('; '.join(lines))}", size=8.5)
        column.text("Before you act on it", size=17, font="head")
        for caution in self.report["cautions"]:
            column.text(
                f"{caution['topic']}: {self.say.words(caution['text'])} Who decides: {caution['defer_to']}.",
                bar=SOFT,
            )
        worth = [(_whose(n, None), n) for n in self.report["notes"] if n["level"] != "info"]
        for piece in self.pieces:
            need = piece.get("need") or {}
            worth += [(_whose(n, piece), n) for n in (*piece.get("notes", ()), *need.get("notes", ())) if n["level"] != "info"]  # fmt: skip
        column.head("Look into")
        if not worth:
            column.text("Nothing is amiss.")
        worth.sort(key=lambda row: row[1]["level"] != "warning")
        for who in dict.fromkeys(name for name, _ in worth):
            column.head(self.pdf.fit(who, 60))
            for _, note in (row for row in worth if row[0] == who):
                self._trouble(column, note)

    def _trouble(self, column: Column, note: Record) -> None:
        """Write what is wrong in bold, what more there is to it, and what would help."""
        parts, bar = (
            parted(self.say.words(note["text"])),
            RED if note["level"] == "warning" else SOFT,
        )
        column.room(9)
        column.text(f"{MARK[note['level']]}: {parts.head}", bold=True, bar=bar)
        if parts.more:
            column.text(parts.more, bar=bar)
        for step, way in enumerate(parts.help, 1):
            column.text(f"{step}. {way}", indent=3)
        if parts.cited:
            column.text(f"Read in: {parts.cited}", size=8, soft=True)


def _any_day(task: Record) -> str:
    """Return the days a job may be done on, or the one."""
    if task["earliest"] == task["latest"]:
        return f"only {say_month_day(task['latest'][5:])}"
    return f"any day {span(task['earliest'], task['latest'])}"


def _tanks(spray: Record, say: Say) -> str:
    """Return how often a tank is filled, and with how much the last time."""
    full, last = spray["loads_full"], spray["last_load_gal"]
    whole = [f"{full} full tank{'' if full == 1 else 's'}"] if full else []
    part = [("" if full else "one part tank of ") + say.gallons(last)] if last > 0 else []
    return " and ".join(whole + part)


def _whose(note: Record, piece: Record | None) -> str:
    """Return whose trouble a note tells of."""
    if piece is not None:
        return str(piece["name"])
    return str(note.get("feature") or note.get("source") or "The property")
