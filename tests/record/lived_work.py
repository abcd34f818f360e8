"""A year of work that is lived by the plan, more or less: on time, late, never, undone.

A place has jobs that come round every so many years (``lived_rounds``), its vine is surveyed
again (``lived_surveys``), plantings wait for rain, a piece gets another name in property.toml,
and lines that are wrong stand for some days before they are taken back. After every day,
without the search for the best plan: no job is lost, no strip is narrower than the day before
without a reason, no turn comes twice or not at all, no planting is asked for while it waits;
what was taken back has left nothing behind. On days with a new line, and on some that are
drawn, the whole plan is held against the rules of ``bench_days``: no job inside a quiet season,
every output the same.
"""

import dataclasses
import datetime as dt
import random
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "benchmarks"))
import bench_days
from lived_rounds import draw_rules, rounds_wrong, rule_of
from lived_surveys import Patch, draw_growth, survey, survey_wrong

from quietacre.build import _ring_names, seasons_meant, strips_of
from quietacre.logbook import LETTERS
from quietacre.measure.property import measure_property
from quietacre.model import Job
from quietacre.need.plan import plan_needs
from quietacre.record.book import book_of
from quietacre.year.plan import Ground, plan_days
from quietacre.year.report import plan_year
from quietacre.year.rings import worked_rings
from quietacre.year.states import LATE_DAYS, state_of

DAY = dt.timedelta(days=1)
FIRST = dt.date(2026, 12, 5)
DAYS = 365
#: A day on which the whole plan is made though nothing is new.
DRAWN = 10
#: No two cuts of a strip that has its work lie further apart.
BETWEEN_CUTS = 14
#: A done job must be in the list for so long, or in that of the seasons before.
DONE_DAYS = 60
#: The present edge of a patch was drawn so long before the year.
SURVEYED_BEFORE = 200
#: A rain that is a planting rain by itself, and the days on which one may lie behind a job.
PLANTING_RAIN_IN, RAIN_DAYS = 0.5, 20


def _joined(area, scheduled, tasks):
    """Return whether a strip has grown into one that has its work: a cut of about that day.

    It has days of its own, for it may be cut as often as its own width asks.
    """
    name = area.removesuffix(" strip")
    grown = [t for t in tasks if name in t.area.removesuffix(" strip").split(" + ")]
    return bool(
        area.endswith("strip") and area not in {t.area for t in tasks} and grown
    ) and (
        scheduled is None
        or any(
            t.status == "done" and abs((t.scheduled - scheduled).days) <= BETWEEN_CUTS
            for t in grown
        )
    )  # fmt: skip


class WorkYear:
    """A place of ``bench_days`` with a log that grows."""

    def __init__(self, seed, folder):
        """Measure a place, drawn by a seed."""
        self.dice = random.Random(seed)  # noqa: S311 - drawn again alike, no secret
        name = self.dice.choice(list(bench_days.PLACES))
        self.folder = bench_days.make_place(name, folder / name)
        self.jobs, self.waiting, self.last = [], [], {}
        self.done, self.widths, self.why = {}, {}, "begin"
        self.drawn, self.plans = set(), 0
        #: Of jobs that wait for rain by their letters: the days it was said and is waited for.
        self.waits, self.rains = {}, []
        #: Lines that are wrong by the day each is taken back, and what was taken back today.
        self.wrong_lines, self.taken_back = [], []
        self.rule_by_line = {}
        areas = bench_days.PLACES[name]["areas"]
        self.rules, old = draw_rules(self.dice, areas)
        settings = self.folder / "property.toml"
        text = settings.read_text() + "".join(rule.text() for rule in self.rules)
        settings.write_text(text)
        self.measured = measure_property(self.folder)
        for back, area, task in old:
            self.write(FIRST - back * DAY, area, task)
        before = FIRST - SURVEYED_BEFORE * DAY
        shapes = dict(
            zip(self.measured.areas["name"], self.measured.areas.geometry, strict=True)
        )
        self.patches = [
            Patch.of(area.name, shapes[area.name], before)
            for area in self.measured.prop.area if area.kind == "patch"
        ]  # fmt: skip

    def write(self, on, area, task, *, near=None, **cells):
        """Add a line to the log; ``near`` is the time of the turn it is of, by its letters."""
        number = len(self.jobs) + 2
        typed = {key: str(value) for key, value in cells.items()}
        self.jobs.append(Job(on, area, task, number, f"line{number:05d}", typed))
        self.why = task
        if rule := rule_of(self.rules, task, near or on):
            self.rule_by_line[number] = rule
            rule.done.setdefault(self.first_names()[area], []).append(on)
            if near:
                rule.ticked[on] = near

    def first_names(self):
        """Return the first name of each area by every name that it has had."""
        return {
            name: area.first_name
            for area in self.measured.prop.area for name in (area.name, *area.was)
        }  # fmt: skip

    # ---- the program ------------------------------------------------------------------

    def look(self, today):
        """Return the book, strips, rain and seasons of a day."""
        measured = self.measured
        book = book_of(self.jobs, measured.prop)
        strips = strips_of(measured, book, today)
        book = book.named(_ring_names(measured.prop, strips.rings))
        rain, meant = seasons_meant(measured, book, today)
        return book, strips, rain, meant

    def tasks(self, today, seen):
        """Return the jobs of a day and the seasons before, without a search."""
        book, strips, rain, meant = seen
        areas = self.measured.areas
        ground = Ground(
            tuple(areas["id"]), tuple(float(a) for a in areas["acres"]), {}, worked_rings(strips.rings),
            today, book.days_done(), None, rain, book.ticked(),
        )  # fmt: skip
        return plan_days(ground, meant.prop, effort="plain").tasks, meant.past

    def whole(self, today, seen):
        """Return what is wrong with the whole plan of a day."""
        book, strips, rain, meant = seen
        self.plans += 1
        needs = plan_needs(
            self.measured.areas, meant.prop, strips=strips.strips, book=book, today=today,
            finished=meant.finished,
        )  # fmt: skip
        plan = plan_year(
            self.measured.areas, meant.prop, today=today, needs=needs.needs,
            strips_report=strips.rings, done=book.days_done(), rain=rain, meant=meant,
            ticked=book.ticked(),
        )  # fmt: skip
        report = bench_days.told(self.measured.prop, today, strips.rings, plan.year)
        return bench_days.faults(report, meant.prop, today)

    # ---- what must hold ----------------------------------------------------------------

    def check(self, today, looked=None):
        """Yield what is wrong on a day, and remember it for the next.

        ``looked`` is what was seen on the day, where nothing was written since.
        """
        if looked is None:
            seen = self.look(today)
            tasks, past = self.tasks(today, seen)
        else:
            seen, tasks, past = looked
        now = {task.letters: task for task in tasks}
        if self.taken_back:
            yield from self._left_behind(today, tasks, seen[1])
        else:  # what a wrong line brought into the list may go with it
            yield from self._lost(today, now, past)
        yield from self._narrower(today, seen[1])
        yield from rounds_wrong(self.rules, tasks, self.first_names(), today)
        yield from self._asked_in_vain(today, tasks)
        self.last = {key: (t.latest, state_of(t, today), t.area, t.label, t.scheduled)
                     for key, t in now.items()}  # fmt: skip
        if self.why or today in self.drawn:
            yield from self.whole(today, seen)
        self.why, self.taken_back = "", []

    def _lost(self, today, now, past):
        """Yield jobs that were in the list and are in none any more."""
        before = {(row.area, job.label) for row in past for job in row.jobs}
        for key, (latest, state, area, label, scheduled) in self.last.items():
            joined = self.why == "survey" and area not in {t.area for t in now.values()}
            if (
                key in now
                or joined
                or _joined(area, scheduled if state == "done" else None, now.values())
            ):
                continue  # strips that grew together are one, by another name
            kept = scheduled + DONE_DAYS * DAY if state == "done" and scheduled else (
                latest + LATE_DAYS * DAY
            )  # fmt: skip
            if area.endswith("strip"):  # its list is that of a calendar year
                kept = min(kept, dt.date(latest.year, 12, 31))
            part = label.partition(" (part ")[0]
            told = any(a == area and (one in (label, part)) for a, one in before)
            again = any(t.area == area and t.label.partition(" (part ")[0] == part
                        for t in now.values())  # fmt: skip
            if today <= kept and not told and not (again and self.why):
                yield f"{today}: {area}: {label} ({state}, by {latest}) is lost, {self.why}"

    def _left_behind(self, today, tasks, strips):
        """Yield where a day is another than if what was taken back had never been written."""
        jobs = self.jobs
        self.jobs = [job for job in jobs if job.id not in self.taken_back]
        seen = self.look(today)
        never, _ = self.tasks(today, seen)
        self.jobs = jobs
        found, expected = (
            {(t.letters, t.status, t.earliest, t.latest, t.scheduled) for t in some}
            for some in (tasks, never)
        )
        widths = [
            [(ring.name, ring.wanted.width_ft) for ring in one.rings]
            for one in (strips, seen[1])
        ]
        if found != expected or widths[0] != widths[1]:
            yield f"{today}: taken back, {len(found ^ expected)} jobs are other, {widths}"

    def _narrower(self, today, strips):
        """Yield strips that are narrower than the day before, and nothing was written."""
        for ring in strips.rings:
            before = self.widths.get(ring.round_ids)
            if before is not None and ring.wanted.width_ft < before - 1e-6 and not self.why:
                yield f"{today}: {ring.name} narrower: {before} to {ring.wanted.width_ft} ft"
            self.widths[ring.round_ids] = ring.wanted.width_ft

    def _asked_in_vain(self, today, tasks):
        """Yield plantings that are asked for before the day they wait for, and no rain fell."""
        for task in tasks:
            said, until = self.waits.get(task.letters, (None, None))
            if said is None or task.status != "planned" or not today < until:
                continue
            fell = [inches for on, inches in self.rains if on > said - RAIN_DAYS * DAY]
            if task.scheduled and task.scheduled < until and not fell:
                yield f"{today}: {task.area}: {task.label} on {task.scheduled}, waits until {until}"
            rained = [on for on, inches in self.rains if inches >= PLANTING_RAIN_IN
                      and today >= on > said]  # fmt: skip
            if rained and rained[0] == today and not task.notes:
                yield f"{today}: {task.area}: it rained, and {task.label} says nothing of it"

    # ---- what a person does -------------------------------------------------------------

    def live(self, today):
        """Do what is planned for a day, or not, and write it down; return what was looked at."""
        seen = self.look(today)
        tasks, past = self.tasks(today, seen)
        for task in tasks:
            if task.letters in self.done:
                continue
            if task.status == "planned" and task.scheduled == today:
                self._meet(today, task)
            opened = task.status == "window" and task.earliest <= today <= task.latest
            if opened and self.dice.random() < 0.05:  # noqa: PLR2004 - the weather fits
                self.do(today, task)
        for _, task in [one for one in self.waiting if one[0] == today]:
            self.do(today, task)
        self.waiting = [one for one in self.waiting if one[0] != today]
        if self.dice.random() < 0.05:  # noqa: PLR2004
            self.rain(today, self.dice.choice([0.2, 0.6, 1.1]))
        self._err(today, tasks)
        return None if self.why else (seen, tasks, past)

    def _meet(self, today, task):
        """Do a job that is planned for a day, or put it off, or leave it."""
        luck = self.dice.random()
        if task.task == "plant" and luck < 0.3 and task.letters not in self.waits:  # noqa: PLR2004
            until = today + self.dice.randint(3, 21) * DAY
            self.waits[task.letters] = (today, until)
            self.write(today, task.area, "wait", until=until.isoformat())
        elif luck < 0.6:  # noqa: PLR2004 - on its day
            self.do(today, task)
        elif luck < 0.8:  # noqa: PLR2004 - late
            self.waiting.append((today + self.dice.randint(2, 12) * DAY, task))
            self.done[task.letters] = None
        else:
            self.done[task.letters] = None  # never, in this person's mind

    def rain(self, today, inches):
        """Write what the gauge had."""
        self.rains.append((today, inches))
        self.write(today, "", "rain", rain_in=inches)

    def _err(self, today, tasks):
        """Write a line that is wrong, or take one back."""
        for _, line in [one for one in self.wrong_lines if one[0] == today]:
            number = len(self.jobs) + 2
            self.jobs.append(Job(today, "", "undo", number, line.id, {}))
            self.taken_back.append(line.id)
            self.why = "undo"
            if rule := self.rule_by_line.get(line.line):
                rule.done[self.first_names()[line.area]].remove(line.on)
        self.wrong_lines = [one for one in self.wrong_lines if one[0] != today]
        if self.dice.random() < 0.02 and tasks:  # noqa: PLR2004
            if self.dice.random() < 0.5:  # noqa: PLR2004 - another piece, or another day
                self.write(today, self.dice.choice(self.measured.prop.area).name, "mowed")
            else:
                task = self.dice.choice(tasks)
                on = today - self.dice.randint(0, 30) * DAY
                self.do(on, task, mind=False)
            back = today + self.dice.randint(0, 9) * DAY
            if back == today:
                back += DAY
            self.wrong_lines.append((back, self.jobs[-1]))

    def do(self, today, task, *, mind=True):
        """Write a line: by the job's letters as a tick has them, or in words."""
        if mind:
            self.done[task.letters] = today
        ticked = self.dice.random() < 0.5  # noqa: PLR2004
        self.write(today, task.area, task.log_word, near=task.ideal if ticked else None)
        if ticked:
            line = self.jobs[-1]
            number, base = len(self.jobs), len(LETTERS)
            own = "".join(LETTERS[number // base**place % base] for place in range(5))
            tick = f"{task.letters}-{own}"
            self.jobs[-1] = dataclasses.replace(line, id=tick)

    def rename(self):
        """Give a piece of ground another name in property.toml; the log keeps the old one."""
        old = self.dice.choice(self.measured.prop.area).name
        settings = self.folder / "property.toml"
        named = f'name = "{old}"'
        lines = [
            f'name = "New {old}"\nwas = ["{old}"]' if line == named
            else line.replace(f'"{old}"', f'"New {old}"') if line.startswith("keeps_out")
            else line
            for line in settings.read_text().splitlines()
        ]  # fmt: skip
        settings.write_text("\n".join(lines) + "\n")
        self.measured = measure_property(self.folder)
        for patch in self.patches:
            if patch.name == old:
                patch.name = f"New {old}"
        self.why = "rename"

    def resurvey(self, today):
        """Survey a patch again; yield what is wrong with it right away."""
        patch = self.dice.choice(self.patches)
        before = dict(self.widths)
        feet = draw_growth(self.dice, max(before.values()))
        state = self.folder.parent / "state"
        self.measured = survey(self.folder, patch, feet, today, state)
        self.why = "survey"
        rings = self.look(today)[1].rings
        yield from survey_wrong(self.measured, rings, patch, feet, before)

    def year(self, first, count):
        """Live so many days; return what was wrong."""
        days = [first + number * DAY for number in range(count)]
        self.drawn = {*self.dice.sample(days, -(-DRAWN * count // DAYS))}
        renamed = self.dice.choice(days)
        surveyed = self.dice.sample(days[1:], 2 if self.patches else 0)
        wrong = []
        for today in days:
            looked = self.live(today)
            if today == renamed:
                self.rename()
            if today in surveyed:
                wrong += list(self.resurvey(today))
            wrong += list(self.check(today, None if self.why else looked))
        return wrong


def work_a_year(seed, folder, *, first=FIRST, days=DAYS):
    """Live a year of work; return lines of the log, whole plans made, and what was wrong."""
    year = WorkYear(seed, folder)
    wrong = year.year(first, days)
    return len(year.jobs), year.plans, wrong
