"""A job as a line to tick: its day, what it takes, and when else it may be done."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from quietacre.days import say_day
from quietacre.export.paper import Column
from quietacre.export.plat import INK, RED
from quietacre.export.quantities import day, minutes, span
from quietacre.short_names import short_name

if TYPE_CHECKING:
    from quietacre.export.sheets.book import Book
    from quietacre.year.records import YearTask


#: What a job stands in from its box and day. [mm]
TASK_MM = 32.0
#: Most letters of whose job it is, and where.
MOST_NAME = 40
#: Most letters of what a job is, and of each other line of it.
MOST_WHAT, MOST_LINE = 160, 240
#: A job longer than a day is cut in parts; those after the first.
LATER_PART = re.compile(r"\(part (?!1 of)\d+ of \d+\)$")


def write_job(book: Book, column: Column, task: YearTask, *, name: bool) -> None:
    """Write a job: a box to tick, its day, what it is and what it takes."""
    none = "window" if task.status == "window" else "no day"
    when = day(task.scheduled, year=False) if task.scheduled else none
    column.room(job_mm(book, column, task, name=name))
    what, how = _told(book, task, name=name)
    pdf, y = book.pdf, column.y
    pdf.set_draw_color(*INK)
    pdf.set_line_width(0.25)
    pdf.rect(column.x, y + 0.6, 2.8, 2.8)  # a box to tick
    if task.status == "done":
        pdf.line(column.x, y + 0.6, column.x + 2.8, y + 3.4)
    pdf.set_font("body", "B", 9)
    pdf.text(column.x + 4, y + 3, when)
    inner = Column(pdf, column.x + TASK_MM, y, column.wide - TASK_MM)
    inner.text(what, size=9, bold=True, cut=MOST_WHAT)
    inner.y -= 0.7
    inner.text(how, size=8, soft=True, cut=MOST_LINE)
    for line in task.notes:
        inner.text(line, size=8, bar=RED)
    column.y = inner.y


def job_mm(book: Book, column: Column, task: YearTask, *, name: bool) -> float:
    """Return the room a job takes, so that it stands whole. [mm]"""
    inner = Column(book.pdf, column.x, column.y, column.wide - TASK_MM)
    what, how = _told(book, task, name=name)
    high = inner.high(what, size=9, bold=True, cut=MOST_WHAT) - 0.7
    high += inner.high(how, size=8, cut=MOST_LINE)
    notes = task.notes
    return high + sum(inner.high(line, size=8, bar=RED) for line in notes)


def _told(book: Book, task: YearTask, *, name: bool) -> tuple[str, str]:
    """Return what a job is, and by what, how long, with what and when it may be done."""
    done = " (done)" if task.status == "done" else ""
    who = f"{book.called(task.area, MOST_NAME)}: " if name else ""
    long = [minutes(task.minutes)] if task.minutes else []
    # the first part of a job cut in parts names what the whole job takes
    amounts = [] if LATER_PART.search(task.label) else task.amounts
    whose = [book.pdf.fit(short_name(task.who, MOST_NAME))] if task.who else []
    parts = [task.machine, *whose, *long, *map(book.say.words, amounts), _any_day(task)]
    return f"{who}{task.label}{done}", "; ".join(parts)


def _any_day(task: YearTask) -> str:
    """Return the days a job may be done on, or the one."""
    if task.earliest == task.latest:
        return f"only {say_day(task.latest)}"
    return f"any day {span(task.earliest, task.latest)}"
