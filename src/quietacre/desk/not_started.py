"""Why the desk did not start, for a person who has no terminal to read it in."""

from __future__ import annotations

import html
import webbrowser
from typing import TYPE_CHECKING

from quietacre.edit.state import user_state
from quietacre.export.atomic import write_atomic

if TYPE_CHECKING:
    from pathlib import Path


def show_why(said: str) -> Path:
    """Write what was said to a page in the person's own state folder, open it, return where it is.

    Parameters
    ----------
    said : the lines on why, as they would stand in a terminal; blank when nothing was said.

    Raises
    ------
    OSError
        The page cannot be written.
    """
    lines = "".join(
        f"<p>{html.escape(line)}</p>" for line in said.splitlines() if line.strip()
    )
    page = user_state() / "desk" / "not-started.html"
    page.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
    write_atomic(
        page,
        '<!doctype html><html lang="en"><meta charset="utf-8"><title>quietacre</title>'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        "<h1>The desk did not start</h1>"
        f"{lines or '<p>It gave no reason.</p>'}"
        "<p>Your files were not touched. Start it once more, or start the computer anew. Where "
        "it still does not start, show this page to somebody who knows the computer: in a "
        "terminal, quietacre open may tell more.</p></html>\n",
    )
    webbrowser.open(page.as_uri())
    return page
