"""Options and printing that the ``need`` sub-commands share."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from quietacre.commands._edge import emit, say

if TYPE_CHECKING:
    from collections.abc import Mapping

ABOVE_ZERO = click.FloatRange(min=0, min_open=True)
ACRES = click.option("--acres", type=ABOVE_ZERO, required=True, help="Area.")
JSON = click.option("--json", "as_json", is_flag=True, help="Print JSON.")


def show(result: Mapping[str, object], lines: list[str], *, as_json: bool) -> None:
    """Print a result as JSON, or as lines."""
    if as_json:
        emit(result)
    else:
        say("\n".join(lines))
