"""The words a person has for a job, and the jobs they stand for.

The shipped table holds words of the trade (common practice, no source). The property's own
words, under [log_words], and the names of its own tasks stand before it. The same word may
mean another job on other ground: "mowed" clips a plot and cuts a strip.
"""

from __future__ import annotations

import functools
import re
from dataclasses import dataclass
from difflib import get_close_matches
from typing import TYPE_CHECKING

from quietacre.in_parts import InParts
from quietacre.logbook import LOG, PHOTO
from quietacre.model import folded
from quietacre.shipped import rows

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from quietacre.settings import Property

#: The job that keeps a strip short.
CUT = "strip cut"
#: The jobs that take something out of the shed.
LIME, FERTILIZE, TOP_DRESS, PLANT, SPRAY = (
    "lime",
    "fertilize",
    "top-dress",
    "plant",
    "spray",
)
FEED = (FERTILIZE, TOP_DRESS)
TAKES = frozenset({LIME, FERTILIZE, TOP_DRESS, PLANT, SPRAY})
#: What is no job: it is told of the place, and nothing is done by it.
BUY, RAIN, WAIT, REMARK = "buy", "rain", "wait", "remark"
#: How like two words are spelled to be offered for each other, of 1.
NEAR = 0.75
#: Words that are told by name.
NAMED = 3
NO_JOBS = frozenset({BUY, RAIN, WAIT, REMARK})
#: "rain 0.6", "rained .6 in"
_RAIN = re.compile(r"(?:rain|rained|rainfall) (\d*\.?\d+)(?: ?(?:in|in\.|inch|inches|\"))?")


@dataclass(frozen=True)
class Meaning:
    """What a word stands for: one job, or several of which the first not done is meant."""

    tasks: tuple[str, ...]
    rain_in: float | None = None


@functools.cache
def _table() -> dict[tuple[str, str], tuple[str, ...]]:
    """Return the jobs of each word of the trade, by the word and the ground it holds for."""
    return {
        (folded(row["word"]), row["ground"]): tuple(row["task"].split(";"))
        for row in rows("task_words")
    }


def needs_ground(word: str) -> bool:
    """Return whether a word may be work on some ground: not what is told of the place alone."""
    key = folded(word)
    tasks = _table().get((key, ""), ())
    return not (_RAIN.fullmatch(key) or (tasks and NO_JOBS.issuperset(tasks)))


def is_spread(word: str) -> bool:
    """Return whether a word of the trade is a job that spreads, sows or sprays something."""
    tasks = _table().get((folded(word), ""), ())
    return bool(tasks) and TAKES.issuperset(tasks)


def known_tasks() -> frozenset[str]:
    """Return every job that the shipped table has a word for."""
    return frozenset(task for tasks in _table().values() for task in tasks)


def own_tasks(prop: Property) -> Iterator[str]:
    """Yield the names of the tasks that the person added or changed."""
    rules = [*prop.task, *(rule for area in prop.area for rule in area.tasks)]
    rules += [rule for crop in prop.crop.values() for rule in crop.tasks]
    for rule in rules:
        yield rule.task
    for turn in prop.round:
        yield turn.task


@dataclass(frozen=True)
class Words:
    """The words of one property: its own by their folded form, and the jobs known."""

    own: Mapping[str, str]
    tasks: Mapping[str, str]

    @classmethod
    def of(cls, prop: Property) -> Words:
        """Return the words of a property."""
        known = [*known_tasks(), *own_tasks(prop)]
        return cls(
            {folded(word): task for word, task in prop.log_words.items()},
            {folded(task): task for task in known},
        )

    def meaning(self, word: str, ground: str) -> Meaning | None:
        """Return what a word means on a kind of ground, None when nobody knows."""
        key = folded(word)
        own = self.own.get(key)
        if own is not None:
            key = folded(own)
        if match := _RAIN.fullmatch(key):
            return Meaning((RAIN,), float(match[1]))
        if key == PHOTO:
            return Meaning((REMARK,))
        tasks = _table().get((key, ground)) or _table().get((key, ""))
        if tasks is None and key in self.tasks:
            tasks = (self.tasks[key],)
        return Meaning(tasks) if tasks else None

    def near(self, word: str) -> str | None:
        """Return the job whose word is spelled most like another, None without one."""
        by_word = {key: tasks[0] for (key, _), tasks in _table().items()} | dict(self.tasks)
        near_words = get_close_matches(folded(word), sorted(by_word), n=1, cutoff=NEAR)
        return by_word[near_words[0]] if near_words else None


def remark_words(counts: Mapping[str, int], words: Words) -> str:
    """Return the one line that tells of words nobody knows.

    ``counts`` is how many lines hold each of them; at least one.
    """
    names = [
        f"“{word}”" + (f" ({count} lines)" if count > 1 else "")
        for word, count in list(counts.items())[:NAMED]
    ]
    more = len(counts) - NAMED
    first, lines = next(iter(counts)), sum(counts.values())
    which = "1 line is" if lines == 1 else f"{lines} lines are"
    return InParts(
        f"{LOG}: {which} kept as a remark, because no job here goes by {', '.join(names)}"
        + (f" and {more} more" if more > 0 else ""),
        f'If it is one, write "{first}" = "{words.near(first) or "clip"}" under '
        f"“Your own words for jobs” ([log_words] in property.toml); if it is none, "
        f'"{first}" = "{REMARK}".',
    )
