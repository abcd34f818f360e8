"""The columns of log.csv, told once: their names, what a cell holds, what it means.

A line is one thing that happened. Lines are added, never taken out: a mistake is mended by
a line whose ``task`` is ``UNDO`` and whose ``id`` is that of the line it takes back.
"""

from __future__ import annotations

import functools
import hashlib
import math
import re
from dataclasses import dataclass
from typing import Literal

from quietacre.units import (
    GAL_FL_OZ,
    KG_LB,
    L_FL_OZ,
    PT_FL_OZ,
    QT_FL_OZ,
    SHORT_TON_LB,
    TONNE_LB,
)

#: The file of a property folder that holds them.
LOG = "log.csv"
#: What a cell holds. A ``number`` is 0 or more; a ``score`` goes from 0 to ``MOST_SCORE``.
Holds = Literal["words", "day", "number", "score"]
MOST_SCORE = 10.0


@dataclass(frozen=True)
class LogUnit:
    """A unit of ``amount``: ``each`` pounds or fluid ounces, or a bag of its own weight."""

    name: str
    words: tuple[str, ...]
    counts: Literal["lb", "fl oz", "bag"]
    each: float = 1.0


UNITS = (
    LogUnit("lb", ("lbs", "lb.", "pound", "pounds", "#"), "lb"),
    LogUnit("ton", ("tons",), "lb", SHORT_TON_LB),
    LogUnit("bag", ("bags", "sack", "sacks", "jug", "jugs"), "bag"),
    LogUnit("gal", ("gals", "gal.", "gallon", "gallons"), "fl oz", GAL_FL_OZ),
    LogUnit("qt", ("qts", "qt.", "quart", "quarts"), "fl oz", QT_FL_OZ),
    LogUnit("pt", ("pts", "pt.", "pint", "pints"), "fl oz", PT_FL_OZ),
    LogUnit("fl oz", ("fl. oz.", "fl oz.", "floz", "fluid ounce", "fluid ounces"), "fl oz"),
    LogUnit("kg", ("kgs", "kg.", "kilo", "kilos", "kilogram", "kilograms"), "lb", KG_LB),
    LogUnit("tonne", ("tonnes", "metric ton", "metric tons"), "lb", TONNE_LB),
    LogUnit("L", ("liter", "liters", "litre", "litres"), "fl oz", L_FL_OZ),
    LogUnit(
        "mL",
        ("milliliter", "milliliters", "millilitre", "millilitres"),
        "fl oz",
        L_FL_OZ / 1000,
    ),
)
_BY_WORD = {word: unit for unit in UNITS for word in (unit.name.casefold(), *unit.words)}

#: The units, as messages and labels name them.
UNIT_NAMES = ", ".join(unit.name for unit in UNITS)


def log_unit(word: str) -> LogUnit | None:
    """Return the unit that a word stands for, None when none is known by it."""
    return _BY_WORD.get(" ".join(word.casefold().split()))


@dataclass(frozen=True)
class LogColumn:
    """A column of log.csv."""

    name: str
    holds: Holds
    meaning: str


COLUMNS = (
    LogColumn("id", "words", "a few letters that name the line; the program writes them"),
    LogColumn("date", "day", "the day it was done, such as 2027-07-04"),
    LogColumn("area", "words", "the piece of ground, or the strip round one, by its name"),
    LogColumn("task", "words", "what was done: plant, mow, lime, burn"),
    LogColumn("item", "words", "what was spread, sown, sprayed or bought"),
    LogColumn("amount", "number", "how much of it"),
    LogColumn("unit", "words", f"of what the amount counts: {UNIT_NAMES}"),
    LogColumn(
        "bag_lb", "number", "weight of one bag, which it keeps whatever is sold later [lb]"
    ),
    LogColumn("price", "number", "dollars paid for all of it"),
    LogColumn("minutes", "number", "how long it took [min]"),
    LogColumn("rate_lb_ac", "number", "rate it was spread or sown at [lb/ac]"),
    LogColumn("mix", "words", "the mix that was sown, by its name"),
    LogColumn("method", "words", "how: broadcast, drill"),
    LogColumn("stand", "score", "how it came up or grew, from 0 to 10"),
    LogColumn("rain_in", "number", "rain with it [in]"),
    LogColumn("until", "day", "the day a planting waits for, where it has not rained"),
    LogColumn("ground", "words", "how the ground was: dry, wet, frozen"),
    LogColumn("note", "words", "anything else"),
    LogColumn("photo", "words", "a photograph in photos/, by its file's name"),
    LogColumn("who", "words", "who did it"),
)
NAMES = tuple(column.name for column in COLUMNS)
#: Without these there is no log, and no line without a cell in each.
NEEDED = ("date", "area", "task")


@dataclass(frozen=True)
class LineFile:
    """A file of a property folder that lines are added to, and never taken out of.

    ``needed`` are the columns without which there is no such file, and ``what`` the one that says what a line is.
    """

    name: str
    columns: tuple[LogColumn, ...]
    needed: tuple[str, ...]
    what: str

    @property
    def names(self) -> tuple[str, ...]:
        """Return the names of its columns in order."""
        return tuple(column.name for column in self.columns)

    @functools.cached_property
    def most(self) -> dict[str, float]:
        """Return the columns that hold a figure, and the most of it."""
        return {
            column.name: MOST_SCORE if column.holds == "score" else math.inf
            for column in self.columns
            if column.holds in ("number", "score")
        }


LOG_FILE = LineFile(LOG, COLUMNS, NEEDED, "task")
#: What was seen: one line a thing, and nothing seen is a line too.
SEEN_FILE = LineFile(
    "seen.csv",
    (
        LogColumn(
            "id", "words", "a few letters that name the line; the program writes them"
        ),
        LogColumn("date", "day", "the day it was seen, such as 2027-10-16"),
        LogColumn("time", "words", "the time of day, such as 07:10"),
        LogColumn("area", "words", "the piece of ground, by its name"),
        LogColumn("place", "words", "where on it or near it, in your words"),
        LogColumn(
            "what", "words", "what was seen: deer, quail, turkey, browse, or other words"
        ),
        LogColumn("count", "number", "how many; 0 is a record too"),
        LogColumn("who", "words", "who saw it"),
        LogColumn("note", "words", "anything else"),
    ),
    ("date", "what"),
    "what",
)
#: The task of a line that takes back the line of its id.
UNDO = "undo"
#: Consonants: no spreadsheet takes them for a number, a date or a word.
LETTERS = "bcdfghjkmnpqrstvwxz"
#: Of 6,000 lines written apart, two alike once in 18,000 times: such a pair is asked about.
ID_LETTERS = 9
#: A line that is one job of the year has that job's letters before its own, so that a job
#: ticked on two phones is known for one.
OWN_LETTERS = 5
JOB = re.compile(f"[{LETTERS}]{{{ID_LETTERS}}}")
JOB_LINE = re.compile(f"({JOB.pattern})-[{LETTERS}]{{{OWN_LETTERS}}}")
#: The column of a tick file that says which place its lines are of.
PLACE_COLUMN = "place_id"
#: The column of a filled sheet that says which job of the year a line is.
JOB_COLUMN = "job"
#: The folder of a property that keeps photographs, and the task of the line that names one.
PHOTOS = "photos"
PHOTO = "photo"


def id_of(text: str) -> str:
    """Return letters that name a thing by what it holds: the same for the same words."""
    number = int.from_bytes(hashlib.sha256(text.encode("utf-8", "surrogatepass")).digest())
    made = ""
    for _ in range(ID_LETTERS):
        number, place = divmod(number, len(LETTERS))
        made += LETTERS[place]
    return made


def job_of(line_id: str) -> str:
    """Return the letters of the job that a line of the log is, "" when its id has none."""
    match = JOB_LINE.fullmatch(line_id)
    return match[1] if match else ""


#: Words in the area of a line that mean every area.
EVERYWHERE = ("all", "everything", "everywhere", "whole place", "the whole place")
