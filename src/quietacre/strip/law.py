"""What may be kept where, and what is known of each vine, from the shipped tables."""

from __future__ import annotations

import functools
from dataclasses import dataclass

from quietacre.shipped import cite, rows

#: Words of the table that mean a plan to keep the vine is known to break a rule.
UNLAWFUL = ("unlawful to keep",)
UNKNOWN = "not known here: ask the state department of agriculture"


@dataclass(frozen=True, slots=True)
class Step:
    """One step of getting rid of a vine, and its season."""

    when: str
    what: str
    source: str

    @property
    def told(self) -> str:
        """Return it with its source, "winter: find every patch (title, publisher, year)"."""
        return f"{self.when}: {self.what} ({cite(self.source)})"


@dataclass(frozen=True, slots=True)
class Law:
    """What is known of keeping a vine in a state.

    ``status`` is "unlawful to keep", "listed", "sale or movement barred", "no list of its
    own", "not on its list", "proposed" or "unknown"; ``eradication`` the steps of a calendar
    where keeping is known to be unlawful and steps were read, else empty.
    """

    state: str | None
    status: str
    text: str
    source: str | None
    eradication: tuple[Step, ...]

    @property
    def unlawful(self) -> bool:
        """Return whether a plan to keep the vine is known to break a rule."""
        return self.status in UNLAWFUL


@dataclass(frozen=True, slots=True)
class Fact:
    """What others print of a vine or a break, with the ids of its sources."""

    text: str
    source: str


@functools.cache
def vine_rows() -> dict[str, dict[str, str]]:
    """Return the shipped vines by name."""
    return {row["vine"]: row for row in rows("vines")}


def vine_named(name: str | None) -> dict[str, str] | None:
    """Return the row of a vine, None when the table does not know it."""
    return vine_rows().get((name or "").strip().casefold())


def is_runner_vine(name: str | None) -> bool:
    """Return whether the width model was drawn for this vine."""
    row = vine_named(name)
    return row is not None and row["control"] == "model"


def law_of(vine: str | None, state: str | None) -> Law:
    """Return what is known of keeping a vine in a state; unknown says unknown."""
    named = (vine or "").strip().casefold()
    for row in rows("vine_law"):
        if row["state"] == state and row["vine"] in (named, "any"):
            bad = row["status"] in UNLAWFUL
            return Law(
                state=state,
                status=row["status"],
                text=f"{row['text']} ({cite(row['source'])}); ask the state department of agriculture",
                source=row["source"],
                eradication=eradication(named) if bad else (),
            )
    return Law(state, "unknown", UNKNOWN, None, ())


def eradication(vine: str) -> tuple[Step, ...]:
    """Return the steps of getting rid of a vine, in the order of a year."""
    return tuple(
        Step(row["when"], row["what"], row["source"])
        for row in rows("vine_eradication")
        if row["vine"] == vine
    )


#: What is told of each vine, in this order.
TOPICS = ("cutting", "rooting", "a strip cannot")


def vine_facts(vine: str | None) -> tuple[Fact, ...]:
    """Return what is published of a vine, a line for each of three topics, with its sources.

    A topic that nothing was read of says so.
    """
    named = (vine or "").strip().casefold()
    out = []
    for topic in TOPICS:
        read = [r for r in rows("vine_facts") if r["vine"] == named and r["topic"] == topic]
        text = "; ".join(f"{r['text']} ({cite(r['source'])})" for r in read)
        out.append(
            Fact(
                f"{topic}: {text or 'nothing was read of this vine'}",
                ";".join(dict.fromkeys(r["source"] for r in read)),
            )
        )
    return tuple(out)
