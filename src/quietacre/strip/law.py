"""What may be kept where, and what is known of each vine, from the shipped tables."""

from __future__ import annotations

import functools
from typing import Any

from quietacre.shipped import cite, rows

#: Words of the table that mean a plan to keep the vine is known to break a rule.
UNLAWFUL = ("unlawful to keep",)
UNKNOWN = "not known here: ask the state department of agriculture"


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


def law_of(vine: str | None, state: str | None) -> dict[str, Any]:
    """Return what is known of keeping a vine in a state; unknown says unknown.

    Returns
    -------
    dict of state, status ("unlawful to keep", "listed", "sale or movement barred",
    "no list of its own", "proposed", "unknown"), text, source, and eradication: the
    steps of a calendar where keeping is known to be unlawful, else empty.
    """
    named = (vine or "").strip().casefold()
    for row in rows("vine_law"):
        if row["state"] == state and row["vine"] in (named, "any"):
            bad = row["status"] in UNLAWFUL
            return {
                "state": state,
                "status": row["status"],
                "text": f"{row['text']}; ask the state department of agriculture",
                "source": row["source"],
                "eradication": eradication(named) if bad else [],
            }
    return {"state": state, "status": "unknown", "text": UNKNOWN, "source": None,
            "eradication": []}  # fmt: skip


def eradication(vine: str) -> list[dict[str, str]]:
    """Return the steps of getting rid of a vine, in the order of a year."""
    return [
        {"when": row["when"], "what": row["what"], "source": row["source"]}
        for row in rows("vine_eradication")
        if row["vine"] == vine
    ]


#: What is told of each vine, in this order.
TOPICS = ("cutting", "rooting", "a strip cannot")


def vine_facts(vine: str | None) -> list[dict[str, str]]:
    """Return what is published of a vine, a line for each of three topics, with its sources.

    A topic that nothing was read of says so.
    """
    named = (vine or "").strip().casefold()
    out = []
    for topic in TOPICS:
        read = [r for r in rows("vine_facts") if r["vine"] == named and r["topic"] == topic]
        text = "; ".join(f"{r['text']} ({cite(r['source'])})" for r in read)
        out.append(
            {
                "text": f"{topic}: {text or 'nothing was read of this vine'}",
                "source": ";".join(dict.fromkeys(r["source"] for r in read)),
            }
        )
    return out
