"""A name that no piece of ground has: those that may have been meant, as buttons of the desk."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

from quietacre.desk.answers import no
from quietacre.intake.plain_settings import plain_settings
from quietacre.model import names_like

if TYPE_CHECKING:
    from pathlib import Path

    from starlette.responses import Response

#: So many names are offered at once.
MOST = 3


def no_ground(folder: Path, said: str, typed: str) -> Response:
    """Return why a line was refused; for a name that nothing has with those that are like it.

    Parameters
    ----------
    folder : the open place, whose ground is known.
    said : what the log said.
    typed : what stood in the box for the ground: one name, or several between semicolons.
    """
    from quietacre.record.book import UNKNOWN_GROUND, ground_offered

    found = re.search(re.escape(UNKNOWN_GROUND).replace(r"\{\}", "([^”]*)"), said)
    if found is None:
        return no(said)
    wrong = found[1]
    document: Any = plain_settings(folder) or {}
    known = ground_offered(document.get("area", ()))
    like = names_like(wrong, known, MOST)
    ask = (
        " Pick one of the names that its box offers."
        if not like
        else f" Did you mean “{like[0]}”?"
        if len(like) == 1
        else " Did you mean one of these?"
    )
    why = f"No piece of ground here is called “{wrong}”; nothing was written.{ask}"
    names = [typed.replace(wrong, name) for name in like]
    return no(why, instead={"box": "area", "names": names})
