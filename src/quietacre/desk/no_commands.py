"""What a command says, without what only a terminal can do: commands, options, ids of lines."""

from __future__ import annotations

import re
from pathlib import Path

import quietacre

#: Every command has a module of its name.
COMMANDS = sorted(
    path.stem for path in (Path(quietacre.__file__).parent / "commands").glob("[a-z]*.py")
)
#: A command or an option of the terminal, wherever it stands.
TERMINAL = re.compile(rf"\bquietacre (?:{'|'.join(COMMANDS)})\b|(?<![\w-])--[a-z][a-z-]+")
#: A command as the source of what is said.
SOURCE = re.compile(rf"^(?:quietacre (?:{'|'.join(COMMANDS)})|--[a-z][a-z-]+): ")
#: An option as the source, and its box's word where that is another.
OPTION = re.compile(r"^--([a-z][a-z-]*): ")
#: What a command says of a value that an option does not take.
INVALID = re.compile(r"^(?:Error: )?Invalid value for '--([a-z][a-z-]*)'(?: / '[^']*')*: ")
WORDS = {
    "area": "The ground",
    "as": "The name",
    "bag-lb": "The pounds in a bag",
    "from": "The first day",
    "on": "The day",
    "rain-in": "The rain",
    "to": "The last day",
    "until": "The day it waits for",
}
#: How a command invites to type another.
INVITES = re.compile(r"(?:; |\. |^)[^;.]*:$")
#: What a person does not see at the desk, and how it is said there.
SAID_OTHERWISE = (
    (re.compile(r"\bthe (?:line of |id “)[a-z0-9-]+”? is taken back already(?:; look in its column id)?"),
     "that line is taken back already"),
    (re.compile(r"\bno line has the id “[^”]*”; look in its column id|\bthe id “[^”]*” is no line's; look in its column id"),
     "that line is not there any more; show this part again"),
    (re.compile(r"\bline (?!is )[a-z0-9-]+ taken back"), "a line taken back"),
    (re.compile(r"^log\.csv: (?:line \d+: (?=that line))?"), "The log: "),
)  # fmt: skip
#: What parts one thing that is said from the next.
CLAUSE = re.compile(r"(;\s+|[.?!]\s+)")
ASIDE = re.compile(r"\s*\([^()]*\)")
QUOTED = re.compile(r"“[^”]*”")


def without_terminal(text: str) -> str:
    """Return what is said without commands, options and ids; what only these say falls away.

    A name in “…” that looks like an option stays, as it is somebody's own word.

    Parameters
    ----------
    text : what a command says, one or several lines.
    """
    if "Usage: " in text:  # words that a command does not take
        text = text.rpartition("Error: ")[2]
    said: list[str] = []
    for line in text.splitlines():
        if re.match(r"\s*quietacre ", line):
            if said:
                said[-1] = INVITES.sub("", said[-1])
            continue
        said.append(_line(line))
    return "\n".join(line for line in said if line.strip() or not text.strip())


def without_options(text: str) -> str:
    """Return a message with the word of an option that it begins with, as a box's word."""
    return OPTION.sub(lambda found: f"{_word(found[1])}: ", text)


def _word(option: str) -> str:
    return WORDS.get(option, option.replace("-", " ").capitalize())


def _line(line: str) -> str:
    """Return one line without what only a terminal can do."""
    for pattern, words in SAID_OTHERWISE:
        line = pattern.sub(words, line)
    line = INVALID.sub(lambda found: f"{_word(found[1])}: ", line)
    line = SOURCE.sub("", without_options(line))
    if not _of_terminal(line):
        return line
    line = ASIDE.sub(lambda aside: "" if _of_terminal(aside[0]) else aside[0], line)
    parts = CLAUSE.split(line)
    made = ""
    for clause, end in zip(parts[::2], [*parts[1::2], ""], strict=True):
        if not _of_terminal(clause):
            made += clause + end
    return re.sub(r"[;,\s]+$", "", made) if made and made[-1] in "; " else made


def _of_terminal(text: str) -> bool:
    """Return whether a text has a command or an option, outside of names in “…”."""
    names = QUOTED.sub(
        lambda quoted: quoted[0] if quoted[0].startswith("“quietacre ") else "“”", text
    )
    return TERMINAL.search(names) is not None
