"""Values as a person would write them in a TOML file."""

from __future__ import annotations

import datetime as dt
import json
import math
import re
from typing import TYPE_CHECKING

from quietacre.errors import BadInput

if TYPE_CHECKING:
    from collections.abc import Sequence

BARE_KEY = re.compile(r"[A-Za-z0-9_-]+")
#: Digits of a number that mean something: what a sum in binary adds behind them does not.
DIGITS = 12
#: The longest line of an array or inline table; a longer one gets a line an item.
LINE_SIGNS = 92
INDENT = "  "


def text_spelled(text: str) -> str:
    """Return a TOML basic string for any text."""
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")


def key_spelled(key: str) -> str:
    """Return a key, in quotes only where it needs them."""
    return key if BARE_KEY.fullmatch(key) else text_spelled(key)


def path_spelled(path: Sequence[str | int]) -> str:
    """Return a key path as messages write it: ``area[2].mix``, counted from one."""
    shown = ""
    for part in path:
        if isinstance(part, int):
            shown += f"[{part + 1}]"
        else:
            shown += f".{key_spelled(part)}" if shown else key_spelled(part)
    return shown


def rounded(value: object) -> object:
    """Return a value as it will be read again, without the dust of binary sums.

    Raises
    ------
    BadInput
        It holds something that property.toml cannot: a number that is none, an empty name
        for it (None), or an object of another kind.
    """
    if isinstance(value, str):
        if any("\ud800" <= sign <= "\udfff" for sign in value):
            raise BadInput("holds signs that are no text", fix="type it anew")
        return value
    if isinstance(value, (bool, int, dt.date, dt.time)):
        return value
    if isinstance(value, float):
        if not math.isfinite(value):
            raise BadInput(f"{value} is not a number to write down", fix="type a plain one")
        return float(f"{value:.{DIGITS}g}") + 0.0
    if isinstance(value, dict):
        return {str(key): rounded(item) for key, item in value.items()}
    if isinstance(value, (list, tuple)):
        return [rounded(item) for item in value]
    raise BadInput(
        f"a {type(value).__name__} cannot be written down", fix="give text or a number"
    )


def spelled(
    value: object,
    *,
    like: str = "",
    line_end: str = "\n",
    margin: str = "",
    flat: bool = False,
) -> str:
    """Return a value's text.

    Parameters
    ----------
    value : as `rounded` gives it.
    like : the text that it takes the place of: a whole number stays written with a point
        where there was one, a string in single quotes stays in them.
    line_end : between the lines of what does not fit on one.
    margin : blanks before the line the value begins on.
    flat : on one line, however long: a table inside a line has no other.
    """
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return _string(value, like)
    if isinstance(value, int):
        pointed = re.fullmatch(r"[+-]?[0-9_]+\.[0-9_]+", like) is not None
        return f"{value}.0" if pointed and abs(value) < 10**DIGITS else str(value)
    if isinstance(value, float):
        return _float(value)
    if isinstance(value, (dt.date, dt.time)):
        return value.isoformat()
    if isinstance(value, dict):
        inside = ", ".join(
            f"{key_spelled(key)} = {spelled(v, flat=True)}" for key, v in value.items()
        )
        return f"{{ {inside} }}" if inside else "{}"
    if isinstance(value, list):
        short = f"[{', '.join(spelled(item, flat=True) for item in value)}]"
        if flat or len(short) <= LINE_SIGNS:
            return short
        lines = [f"{margin}{INDENT}{spelled(item, flat=True)}," for item in value]
        return line_end.join(["[", *lines, f"{margin}]"])
    raise TypeError(type(value).__name__)


def _string(value: str, like: str) -> str:
    literal = like.startswith("'") and not like.startswith("'''")
    if literal and "'" not in value and value.isprintable():
        return f"'{value}'"
    return text_spelled(value)


def _float(value: float) -> str:
    """Return a number with a point and no exponent, but for the very large and small."""
    short = repr(value)
    if "e" not in short:
        return short
    whole = f"{value:.{DIGITS + 8}f}".rstrip("0")
    whole += "0" if whole.endswith(".") else ""
    return whole if float(whole) == value else short
