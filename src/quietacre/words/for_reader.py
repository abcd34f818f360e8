"""What the program says, for who reads it on paper, on the map or at the desk.

A message also tells who writes property.toml by hand, or types commands, what to write there.
Whoever has neither open is told the same without that.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from quietacre.words import settings_words

if TYPE_CHECKING:
    from collections.abc import Callable


def outside_names(pattern: str) -> re.Pattern[str]:
    """Return what finds a pattern, and whole what stands in “…”: somebody's own word."""
    return re.compile(f"“[^”]*”|{pattern}")


KEY = outside_names(r"\b[a-z0-9]+(?:_[a-z0-9]+)+\b")
TABLE = outside_names(r"\[\[(\w+)\]\]")
#: What a text says besides for who writes the file by hand, or types commands.
BY_HAND = outside_names(r" \((?:[^()]* in property\.toml|quietacre [^()]*)\)")
#: Where in the file something stands: the box is named already.
UNDER = outside_names(r" under (?:\[[a-z_]+\]|(?:its|this|the) \[\[[a-z_]+\]\])")
USED = outside_names(r"\bproperty\.toml(?= (?:uses|has|still|names)\b)")
#: A note on the log begins with the name of its file.
LOG_HEAD = re.compile(r"(^|(?<=[a-z]: ))[Ll]og\.csv(?=(?:, line \d+)?: )")


def put(pattern: re.Pattern[str], word: Callable[[re.Match[str]], str], text: str) -> str:
    """Return a text with words in place of a pattern, but for what stands in “…”."""
    return pattern.sub(lambda found: found[0] if found[0][0] == "“" else word(found), text)


def table_word(table: re.Match[str]) -> str:
    """Return a table of the file as a person calls it."""
    return table[1].replace("_", " ")


def quoted(key: str, path: list[str]) -> str:
    """Return a key that a message names as its box's label in quotes, or as it stands."""
    label = label_of(key, path)
    return f"“{label}”" if label else key


def label_of(key: str, path: list[str]) -> str:
    """Return the label of a key's box, the one nearest to a path; "" where it has none."""
    tables = settings_words()
    near = [tables[part] for part in reversed(path) if part in tables]
    found = (
        table.keys[key].label for table in [*near, *tables.values()] if key in table.keys
    )
    return next(found, "")


def for_reader(text: str) -> str:
    """Return what the program says of the ground or the year, as the desk's boxes call it.

    What stands in “…” is a name or somebody's own word, and stays.

    Parameters
    ----------
    text : any note, refusal or line of a build.
    """
    text = put(UNDER, lambda _: "", put(BY_HAND, lambda _: "", text))
    text = put(KEY, lambda key: quoted(key[0], []), put(TABLE, table_word, text))
    return LOG_HEAD.sub("The log", put(USED, lambda _: "this place", text))
