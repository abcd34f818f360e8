"""A year of work that is lived by the plan, more or less: on time, late, never, undone.

After every day, without the search for the best plan: no job is lost, and no strip is narrower
than the day before without a reason. On days with a new line, and on some that are drawn, the
whole plan is held against the rules of ``bench_days``: no job inside a quiet season, every
output the same.
"""

import dataclasses
import datetime as dt
import random
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "benchmarks"))
import bench_days

from quietacre.as_json import plain
from quietacre.build import _ring_names, seasons_meant, strips_of
from quietacre.commands.year import year_lines
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
#: A done job must be in the list for so long, or in that of the seasons before.
DONE_DAYS = 60


class WorkYear:
    """A place of ``bench_days`` with a log that grows."""

    def __init__(self, seed, folder):
        """Measure a place, drawn by a seed."""
        self.dice = random.Random(seed)  # noqa: S311 - drawn again alike, no secret
        name = self.dice.choice(list(bench_days.PLACES))
        self.measured = measure_property(bench_days.make_place(name, folder))
        self.jobs, self.waiting, self.last = [], [], {}
        self.done, self.widths, self.why = {}, {}, "begin"
        self.drawn, self.renamed, self.plans = set(), None, 0

    def write(self, on, area, task, **cells):
        """Add a line to the log."""
        number = len(self.jobs) + 2
        typed = {key: str(value) for key, value in cells.items()}
        self.jobs.append(Job(on, area, task, "", number, f"line{number:05d}", typed))
        self.why = task

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
            self.measured.areas, meant.prop, today=today, needs=needs.by_id,
            strips_report=strips.rings, done=book.days_done(), rain=rain, meant=meant,
            ticked=book.ticked(),
        )  # fmt: skip
        report = plain(
            {"made_on": today.isoformat(), "strips": strips.rings, "year": plan.year,
             "property": {"name": self.measured.prop.property.name},
             "lines": year_lines(plan.year)}
        )  # fmt: skip
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
        if self.why != "rename":  # another name is another heading, not another job
            yield from self._lost(today, now, past)
        yield from self._narrower(today, seen[1])
        self.last |= {key: (t.latest, state_of(t, today), f"{t.area}: {t.label}", t.scheduled)
                      for key, t in now.items()}  # fmt: skip
        if self.why or today in self.drawn:
            yield from self.whole(today, seen)
        self.why = ""

    def _lost(self, today, now, past):
        """Yield jobs that were in the list and are in none any more."""
        before = {(row.area, job.label) for row in past for job in row.jobs}
        for key, (latest, state, words, scheduled) in list(self.last.items()):
            if key in now:
                continue
            kept = scheduled + DONE_DAYS * DAY if state == "done" and scheduled else (
                latest + LATE_DAYS * DAY
            )  # fmt: skip
            area, _, label = words.partition(": ")
            part = label.partition(" (part ")[0]
            told = any(a == area and (one in (label, part)) for a, one in before)
            again = any(f"{t.area}: {t.label}".partition(" (part ")[0] == words.partition(" (part ")[0]
                        for t in now.values())  # fmt: skip
            if today <= kept and not told and not (again and self.why):
                yield f"{today}: {words} ({state}, by {latest}) is lost"
            del self.last[key]

    def _narrower(self, today, strips):
        """Yield strips that are narrower than the day before, and nothing was written."""
        for ring in strips.rings:
            before = self.widths.get(ring.name)
            if before is not None and ring.wanted.width_ft < before - 1e-6 and not self.why:
                yield f"{today}: {ring.name} narrower: {before} to {ring.wanted.width_ft} ft"
            self.widths[ring.name] = ring.wanted.width_ft

    # ---- what a person does -------------------------------------------------------------

    def live(self, today):
        """Do what is planned for a day, or not, and write it down; return what was looked at."""
        seen = self.look(today)
        tasks, past = self.tasks(today, seen)
        for task in tasks:
            if (
                task.status != "planned"
                or task.scheduled != today
                or task.letters in self.done
            ):
                continue
            luck = self.dice.random()
            if luck < 0.6:  # noqa: PLR2004 - on its day
                self.do(today, task)
            elif luck < 0.8:  # noqa: PLR2004 - late
                self.waiting.append((today + self.dice.randint(2, 12) * DAY, task))
            else:
                self.done[task.letters] = None  # never, in this person's mind
        for day, task in [one for one in self.waiting if one[0] == today]:
            self.waiting.remove((day, task))
            self.do(today, task)
        if self.dice.random() < 0.05:  # noqa: PLR2004
            self.write(today, "", "rain", rain_in=self.dice.choice([0.2, 0.6, 1.1]))
        if self.dice.random() < 0.01:  # noqa: PLR2004 - a wrong line, taken back
            area = self.dice.choice(self.measured.prop.area).name
            self.write(today, area, "mowed")
            self.jobs.append(
                Job(today, "", "undo", "", len(self.jobs) + 2, self.jobs[-1].id, {})
            )
        if today == self.renamed:
            self.rename()
        return None if self.why else (seen, tasks, past)

    def do(self, today, task):
        """Write a line: by the job's letters as a tick has them, or in words."""
        self.done[task.letters] = today
        self.write(today, task.area, task.log_word)
        if self.dice.random() < 0.5:  # noqa: PLR2004
            line = self.jobs[-1]
            tick = f"{task.letters}-bcdf{'ghjkmnpqrstvwxz'[len(self.jobs) % 15]}"
            self.jobs[-1] = dataclasses.replace(line, id=tick)

    def rename(self):
        """Give a piece of ground another name; the log keeps the old one."""
        prop, areas, extras = self.measured
        old = self.dice.choice([area for area in prop.area if area.kind == "plot"])
        new = dataclasses.replace(old, name=f"New {old.name}", was=(*old.was, old.name))
        changed = tuple(new if area is old else area for area in prop.area)
        areas = areas.copy()
        areas.loc[areas["name"] == old.name, "name"] = new.name
        self.measured = self.measured._replace(
            prop=dataclasses.replace(prop, area=changed), areas=areas
        )
        self.why = "rename"

    def year(self, first, count):
        """Live so many days; return what was wrong."""
        days = [first + number * DAY for number in range(count)]
        self.drawn = {*self.dice.sample(days, -(-DRAWN * count // DAYS))}
        self.renamed = self.dice.choice(days)
        wrong = []
        for today in days:
            wrong += list(self.check(today, self.live(today)))
        return wrong


def work_a_year(seed, folder, *, first=FIRST, days=DAYS):
    """Live a year of work; return lines of the log, whole plans made, and what was wrong."""
    year = WorkYear(seed, folder)
    wrong = year.year(first, days)
    return len(year.jobs), year.plans, wrong
