"""The year made on every day: ``python tests/benchmarks/bench_days.py [NAME] [DAYS] [EVERY]``.

Six invented properties of quite different kinds, each planned on 400 days one after another
as ``quietacre year DIR --today DAY`` plans it, and each plan held against the rules: no
planting leaves its windows or the day asked for while a legal day exists; no job inside a
quiet season, outside its window, on no workday, over the hours or too near another; the
list, ``plan.csv``, ``calendar.ics`` and the report say the same. Prints a line a property.
"""

import csv
import datetime as dt
import io
import json
import math
import sys
import tempfile
import time
from pathlib import Path

import icalendar

sys.path.insert(0, str(Path(__file__).parents[1] / "record"))

from record_of import record_of

from quietacre.as_json import plain
from quietacre.commands.year import year_lines
from quietacre.export.calendar import calendar_ics, plan_csv
from quietacre.measure.property import measure_property
from quietacre.need.plan import plan_needs
from quietacre.plantings import sown_of
from quietacre.quiet import seasons
from quietacre.report_records import Report
from quietacre.strip.plan import plan_strips
from quietacre.windows import inside, windows_of
from quietacre.workweek import is_workday
from quietacre.year.capacity import DayCapacity
from quietacre.year.report import plan_year
from quietacre.year.seasons import seasons_of

DAY = dt.timedelta(days=1)
FIRST = dt.date(2026, 11, 20)

#: What every field of a place is, then the squares: name, kind, acres, east and north in feet.
PLACES = {
    "ridge": {
        "at": (-84.6, 31.2),
        "head": '[property]\nname = "Sand ridge"\nregion = "coastal plain"\nlast_frost = "03-10"\n'
        'first_frost = "11-20"\n[[quiet]]\nname = "nesting"\nstart = "04-15"\nend = "07-31"\n'
        '[[quiet]]\nname = "deer season"\nstart = "11-01"\nend = "02-10"\nkeeps_out = ["plot"]\n'
        '[work]\nhours_day = 7.0\ntrip_minutes = 40\n',
        "mixes": '[[mix]]\nname = "fall"\nseed = [{ crop = "oats", share = 0.5 }, '
        '{ crop = "crimson clover", share = 0.5 }]\n',
        "areas": [
            ("Pines", "plot", 2.4, 'mix = "fall"\nplant = 2027-10-09\n'),
            ("Gate", "plot", 0.9, 'mix = "fall"\nplant = 2027-10-16\n'),
            ("Pond", "plot", 3.6, 'mix = "fall"\nplant = 2027-10-23\n'),
            ("Vine", "patch", 1.1, 'vine = "kudzu"\nstrip = { live_node_ft = 0 }\n'),
        ],
    },
    "north": {
        "at": (-90.1, 44.6),
        "head": '[property]\nname = "North fork"\nregion = "Midwest"\nlast_frost = "05-15"\n'
        'first_frost = "09-28"\n[[quiet]]\nname = "nesting"\nstart = "05-25"\nend = "07-20"\n'
        'keeps_out = ["native", "strip"]\n[work]\nweekdays = ["wed", "fri"]\nhours_day = 5.0\n',
        "mixes": '[[mix]]\nname = "brassica"\nseed = [{ crop = "turnip (forage)", share = 0.5 }, '
        '{ crop = "rape (forage)", share = 0.5 }]\n[[mix]]\nname = "beans"\n'
        'seed = [{ crop = "soybean (forage)", share = 1.0 }]\n',
        "areas": [
            ("Beans", "plot", 3.0, 'mix = "beans"\nplant = 2027-05-22\n'),
            ("Kale", "plot", 1.4, 'mix = "brassica"\nplant = 2027-07-24\n'),
            ("Late", "plot", 0.8, 'mix = "brassica"\nplant = 2027-08-06\n'),
            ("Prairie", "native", 9.0, ""),
            ("Ivy", "patch", 0.4, 'vine = "kudzu"\n'),
        ],
    },
    "no-till": {
        "at": (-88.3, 36.9),
        "head": '[property]\nname = "No-till"\nregion = "upper South"\nlast_frost = "04-12"\n'
        'first_frost = "10-25"\n[[quiet]]\nname = "nesting"\nstart = "05-01"\nend = "07-15"\n'
        '[work]\nweekdays = ["mon", "tue", "wed", "thu", "fri", "sat", "sun"]\nhours_day = 2.5\n'
        '[[task]]\ntask = "turn under"\nskip = true\n[[task]]\ntask = "second disking"\n'
        'skip = true\n[[task]]\ntask = "smooth"\nskip = true\n[[task]]\ntask = "burn down"\n'
        'days_before = 21\nmachine = "sprayer"\n',
        "mixes": '[[mix]]\nname = "drilled"\nmethod = "drill"\nseed = [{ crop = "wheat", '
        'share = 1.0 }]\n[[mix]]\nname = "peas"\nmethod = "drill"\n'
        'seed = [{ crop = "cowpea (iron-and-clay type)", share = 1.0 }]\n',
        "areas": [
            ("Hill", "plot", 4.0, 'mix = "drilled"\nplant = 2027-09-22\n'),
            ("Creek", "plot", 2.0, 'mix = "drilled"\nplant = 2027-09-22\n'),
            ("Peas", "plot", 2.5, 'mix = "peas"\nplant = 2027-05-20\n'),
        ],
    },
    "many": {
        "at": (-86.4, 33.6),
        "head": '[property]\nname = "Many plots"\nregion = "upper South"\n[[quiet]]\n'
        'name = "nesting"\nstart = "05-15"\nend = "07-03"\n[work]\nweekdays = ["sat"]\n'
        'hours_day = 9.0\nhelpers = 1\n',
        "mixes": '[[mix]]\nname = "rye"\nseed = [{ crop = "cereal rye", share = 1.0 }]\n',
        "areas": [
            *((f"P{n:02d}", "plot", 0.3 + 0.1 * (n % 6),
               f'mix = "rye"\nplant = 2027-09-{(18, 25)[n % 2]}\n') for n in range(16)),
            ("Burn", "burn", 12.0, ""),
        ],
    },
    "twice": {
        "at": (-86.9, 32.8),
        "head": '[property]\nname = "Sown twice"\nstate = "AL"\nlast_frost = "03-20"\n'
        'first_frost = "11-08"\n[[quiet]]\nname = "nesting"\nstart = "05-15"\nend = "07-03"\n'
        '[work]\nweekdays = ["wed", "sat", "sun"]\nhours_day = 6.0\n',
        "mixes": '[[mix]]\nname = "peas"\nseed = [{ crop = "cowpea (iron-and-clay type)", share = 1.0 }]\n'
        '[[mix]]\nname = "rye"\nseed = [{ crop = "cereal rye", share = 1.0 }]\n',
        "areas": [
            ("Creek", "plot", 1.8, 'plantings = [{ mix = "peas", plant = "05-06", soil_test = "t" }, '
             '{ mix = "rye", plant = "09-25", soil_test = "t" }]\n'),
            ("Bend", "plot", 1.1, 'plantings = [{ mix = "rye", plant = "10-02" }, '
             '{ mix = "peas", plant = 2027-04-28 }]\n'),
            ("Leap", "plot", 0.7, 'mix = "rye"\nplant = "02-29"\n'),
            ("Vine", "patch", 0.6, 'vine = "kudzu"\n'),
        ],
    },
    "winter": {
        "at": (-95.2, 38.1),
        "head": '[property]\nname = "Winter work"\nlast_frost = "02-29"\nfirst_frost = "10-15"\n'
        '[[quiet]]\nname = "late winter"\nstart = "02-29"\nend = "03-12"\nkeeps_out = ["Bench"]\n'
        '[[quiet]]\nname = "season"\nstart = "09-20"\nend = "10-05"\n[work]\n'
        'weekdays = ["fri", "sat", "sun"]\nhours_day = 6.0\ntractors = 2\nhelpers = 1\n'
        'blocked_days = [2027-04-17, 2027-09-11]\nextra_days = [2027-08-31]\n'
        '[[spray]]\nname = "own label"\nuse = "foliar feed"\nrate_fl_oz_ac = 32.0\n',
        "mixes": '[[mix]]\nname = "clover"\nseed = [{ crop = "red clover", share = 1.0 }]\n'
        '[[mix]]\nname = "grain"\nseed = [{ crop = "oats", share = 1.0, plant_from = "08-20", '
        'plant_to = "09-12" }]\n',
        "areas": [
            ("Bench", "plot", 1.6, 'mix = "clover"\nplant = 2027-03-05\n'),
            ("Oats", "plot", 2.2, 'mix = "grain"\nplant = 2027-09-11\ntopdress_n_lb_ac = 30.0\n'
             'topdress_on = 2027-10-23\n'),
            ("Rented", "plot", 1.0, 'mix = "grain"\nplant = 2027-08-31\n'),
            ("Browse", "native", 3.0, 'feed = [{ spray = "own label", on = 2027-04-17 }]\n'),
            ("Vines", "patch", 0.7, 'vine = "kudzu"\n'),
            ("More vines", "patch", 0.5, 'vine = "kudzu"\n'),
        ],
    },
}  # fmt: skip


def make_place(name, folder):
    """Write an invented property folder: squares in a row, one kind of soil test for all."""
    place = PLACES[name]
    lon, lat = place["at"]
    ft_lat = 1 / 364_000
    ft_lon = ft_lat / math.cos(math.radians(lat))
    features, text, east = [], place["head"], 0.0
    tested = '[[soil_test]]\nname = "t"\non = 2026-12-01\nph = 6.5\n'
    text += tested + place["mixes"]
    for area, kind, acres, more in place["areas"]:
        side = math.sqrt(acres * 43_560)
        ring = [(0, 0), (side, 0), (side, side), (0, side), (0, 0)]
        shape = [[lon + (east + x) * ft_lon, lat + y * ft_lat] for x, y in ring]
        features.append({"type": "Feature", "properties": {"name": area},
                         "geometry": {"type": "Polygon", "coordinates": [shape]}})  # fmt: skip
        east += side + 60
        several = "plantings" in more
        soil = (
            'soil_test = "t"\nfertilizer = "none"\n'
            if kind == "plot" and not several
            else ""
        )
        text += (
            f'[[area]]\nname = "{area}"\nkind = "{kind}"\nfrom = "g.geojson"\n{soil}{more}'
        )
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "property.toml").write_text(text)
    (folder / "g.geojson").write_text(
        json.dumps({"type": "FeatureCollection", "features": features})
    )
    return folder


class Place:
    """A property measured once, planned on any day."""

    def __init__(self, name, folder):
        self.measured = measure_property(make_place(name, folder))
        self.prop, self.areas, self.extras = self.measured
        self.needs = None

    def report(self, today):
        strips = plan_strips(
            self.areas, self.prop, self.extras.boundary, today=today, walk_sigma={}
        )
        if self.needs is None:  # no amount hangs on the day
            dated = seasons_of(self.prop, today).prop
            self.needs = plan_needs(self.areas, dated, strips=strips.strips)
        year = plan_year(
            self.areas, self.prop, today=today, needs=self.needs.needs,
            strips_report=strips.rings,
        )  # fmt: skip
        return told(self.prop, today, strips.rings, year.year)


def told(prop, today, rings, year):
    """Return what `faults` reads: the plan as report.json has it, and its records."""
    head = {"made_on": today, "property": {"name": prop.property.name}, "year": year}
    made = plain(head | {"strips": rings, "lines": year_lines(year)})
    return made | {"records": record_of(Report, head)}


def faults(report, prop, today):
    """Return what is wrong with a plan, worked out from the report and the settings alone."""
    tasks = report["year"]["tasks"]
    found = list(_rules(report, prop, today))
    found += _outputs(report)
    found += [f"{t['area']} {t['label']}: no notes say why" for t in tasks
              if t["status"] == "unplaced" and not t["notes"]]  # fmt: skip
    return found


def _day(text):
    return None if text is None else dt.date.fromisoformat(text)


def _words(report, prop):
    """Return the words a quiet season may name each piece of ground by."""
    kinds = {area.name: area.kind for area in prop.area}
    ids = {f"a{n:02d}": area.name for n, area in enumerate(prop.area, 1)}
    words = {name: {name, kind} for name, kind in kinds.items()}
    for strip in report["strips"]:
        of = [ids[key] for key in (strip["of"], *strip["also_of"])]
        words[strip["name"]] = {strip["name"], "strip", *of, *(kinds[name] for name in of)}
    return words


class _Plan:
    """The plan of a report, to ask of a job whether it might be on a day."""

    def __init__(self, report, prop, today):
        self.prop, self.today = prop, today
        self.tasks = {t["uid"]: t for t in report["year"]["tasks"]}
        self.words = _words(report, prop)
        self.quiet = seasons(prop.quiet, today.year - 1, today.year + 3)
        self.rooms = DayCapacity.of(prop.work)
        self.at = {uid: _day(t["scheduled"]) for uid, t in self.tasks.items()}
        self.drawn = {}
        for uid, task in self.tasks.items():
            if task["status"] == "planned" and self.at[uid]:
                for key, _ in self.rooms.limits(task["machine"]):
                    where = (self.at[uid], key)
                    self.drawn[where] = self.drawn.get(where, 0.0) + task["minutes"]

    def shut(self, task, day):
        words = self.words[task["area"]] | (
            {"firebreak"} if task["task"] == "firebreak" else set()
        )
        return any(
            s.first <= day <= s.last and (s.keeps_out is None or words & set(s.keeps_out))
            for s in self.quiet
        )

    def wrong(self, task, day):
        """Return why a job may not be on a day, "" when it may."""
        if not _day(task["earliest"]) <= day <= _day(task["latest"]):
            return "outside its window"
        if day < self.today:
            return "in the past"
        if not is_workday(day, self.prop.work):
            return "on no workday"
        if self.shut(task, day):
            return "in a quiet season"
        for tie in task["after"]:
            before = self.at.get(tie["uid"])
            if before is not None and (day - before).days < tie["days"]:
                return "too soon after the job before"
        for other in (one for one in self.tasks.values() if one["status"] != "done"):
            for tie in other["after"]:
                after = self.at.get(other["uid"])
                if tie["uid"] == task["uid"] and after and (after - day).days < tie["days"]:
                    return "too late for the job after"
        own = self.at.get(task["uid"]) == day
        for key, cap in self.rooms.limits(task["machine"]):
            more = 0.0 if own else task["minutes"]
            if self.drawn.get((day, key), 0.0) + more > cap + 1e-6:
                return "over the hours"
        return ""


def _rules(report, prop, today):
    plan = _Plan(report, prop, today)
    sown = {one.key: one for one in sown_of(seasons_of(prop, today).prop)}
    for task in plan.tasks.values():
        day = _day(task["scheduled"])
        if task["status"] == "window" and plan.shut(task, _day(task["earliest"])):
            yield f"{task['area']} {task['label']}: its window opens in a quiet season"
        if task["status"] != "planned" or day is None:
            continue
        if wrong := plan.wrong(task, day):
            yield f"{task['area']} {task['label']} on {day}: {wrong}"
        asked = _day(task["asked"])
        if asked is None or day == asked:
            continue
        if not plan.wrong(task, asked):
            yield f"{task['area']} {task['label']} on {day}, though {asked} was asked for and is legal"
        if task["task"] == "plant" and _outside(sown[task["planting"]], day, prop):
            span = (_day(task["latest"]) - _day(task["earliest"])).days + 1
            days = [_day(task["earliest"]) + n * DAY for n in range(span)]
            legal = [d for d in days if not _outside(sown[task["planting"]], d, prop)
                     and not plan.wrong(task, d)]  # fmt: skip
            if legal:
                yield f"{task['area']} sown outside its window on {day}, though {legal[0]} is legal"


def _outside(area, day, prop):
    """Return whether a day lies outside every window of one of an area's crops."""
    for mix in prop.mix:
        for seed in mix.seed if mix.name == area.mix else ():
            own, here = prop.crop.get(seed.crop), prop.property
            windows = windows_of(seed, own, here.state, here.region)
            if windows and not any(inside(day, r) for r in windows.values()):
                return True
    return False


def _outputs(report):
    """Yield where two outputs say different days."""
    tasks = report["year"]["tasks"]
    said = {(t["area"], t["label"], t["scheduled"] or "") for t in tasks}
    listed = {(r["area"], r["label"], r["scheduled"])
              for r in csv.DictReader(io.StringIO(plan_csv(report["records"])))}  # fmt: skip
    if said != listed:
        yield f"plan.csv differs: {sorted(said ^ listed)[:3]}"
    events = icalendar.Calendar.from_ical(calendar_ics(report["records"])).walk("VEVENT")
    marked = {(str(e["uid"]).split("@")[0], e["dtstart"].dt.isoformat()) for e in events}
    meant = {(t["uid"], t["earliest"] if t["status"] == "window" else t["scheduled"])
             for t in tasks if (t["status"] == "window" and t["state"] != "missed") or (t["status"] == "planned" and t["scheduled"])}  # fmt: skip
    if marked != meant:
        yield f"calendar.ics differs: {sorted(marked ^ meant)[:3]}"
    trips = icalendar.Calendar.from_ical(
        calendar_ics(report["records"], event_for="trip")
    ).walk("VEVENT")
    held = {e["dtstart"].dt.isoformat(): f"{e['summary']} {e['description']}" for e in trips
            if e["dtend"].dt - e["dtstart"].dt == DAY}  # fmt: skip
    for task in tasks:
        where = f"{task['area']}: {task['label']}"
        if (
            task["status"] == "planned"
            and task["scheduled"]
            and where not in held.get(task["scheduled"], "")
        ):
            yield f"the trips of calendar.ics leave out {where}"
    text = "\n".join(report["lines"])
    for task in tasks:  # repeated jobs that were missed are told in one line
        folded = task["state"] == "missed" and f"{task['area']}: " in text
        taken = task["state"] == "done" and task["scheduled"] is None
        if f"{task['area']}: {task['label']}" not in text and not folded and not taken:
            yield f"the list leaves out {task['area']}: {task['label']}"
    trips = {t["scheduled"] for t in tasks if t["status"] == "planned"}
    if trips != {row["date"] for row in report["year"]["days"]}:
        yield "the days of the report are not those of its tasks"


def run(name, days, every=1, folder=None):
    """Return the plans made, and the faults found, each with the day of the plan."""
    with tempfile.TemporaryDirectory() as other:
        place = Place(name, Path(folder or other))
        found = []
        made = range(0, days, every)
        for number in made:
            today = FIRST + number * DAY
            report = place.report(today)
            found += [
                f"{name} {today}: {text}" for text in faults(report, place.prop, today)
            ]
    return len(made), found


def main(name="all", days="400", every="1"):
    for one in PLACES if name == "all" else [name]:
        began = time.process_time()
        made, found = run(one, int(days), int(every))
        print(
            f"{one}: {made} days, {len(found)} faults, {time.process_time() - began:.0f} s"
        )
        for text in found[:12]:
            print("  ", text)


if __name__ == "__main__":
    main(*sys.argv[1:])
