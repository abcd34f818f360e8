"""Figures that must be above zero."""

from __future__ import annotations

import math

from quietacre.errors import NeedProblem


def refuse_unless_positive(**values: float) -> None:
    """Raise NeedProblem for the first figure that is not above zero, or has no end."""
    for name, value in values.items():
        if not 0.0 < value < math.inf:
            raise NeedProblem(
                f"{name.replace('_', ' ')} is {value:g}", fix="give a figure above zero"
            )
