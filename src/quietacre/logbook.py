"""The columns of log.csv, told once: their names, what a cell holds, what it means.

A line is one thing that happened. Lines are added, never taken out: a mistake is mended by
a line whose ``task`` is ``UNDO`` and whose ``id`` is that of the line it takes back.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

#: The file of a property folder that holds them.
LOG = "log.csv"
#: What a cell holds. A ``number`` is 0 or more; a ``score`` goes from 0 to ``MOST_SCORE``.
Holds = Literal["words", "day", "number", "score"]
MOST_SCORE = 10.0


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
    LogColumn("unit", "words", "of what the amount counts: lb, bag, ton, fl oz"),
    LogColumn("bag_lb", "number", "weight of one bag [lb]"),
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
#: The task of a line that takes back the line of its id.
UNDO = "undo"
#: The folder of a property that keeps photographs, and the task of the line that names one.
PHOTOS = "photos"
PHOTO = "photo"
