"""The words on the keys of property.toml, told once for docs, schema and forms."""

from __future__ import annotations

import functools
import tomllib
from dataclasses import dataclass
from importlib.resources import files


@dataclass(frozen=True)
class KeyWords:
    """What to say of one key: a form's label, what it holds, and what it changes."""

    label: str
    meaning: str
    why: str

    @property
    def sentence(self) -> str:
        """Return meaning and reason as one sentence."""
        return f"{self.meaning[0].upper()}{self.meaning[1:]}; {self.why}."


@dataclass(frozen=True)
class TableWords:
    """What a table of property.toml is for, and the words on its keys, in order."""

    about: str
    keys: dict[str, KeyWords]


@functools.cache
def settings_words() -> dict[str, TableWords]:
    """Return the words on every table of property.toml, by the table's name."""
    text = files("quietacre").joinpath("words/settings.toml").read_text(encoding="utf-8")
    return {
        table: TableWords(
            keys.pop("about"),
            {
                key: KeyWords(row["label"], row["is"], row["why"])
                for key, row in keys.items()
            },
        )
        for table, keys in tomllib.loads(text).items()
    }


def option_help(table: str, key: str) -> str:
    """Return the help of an option that stands for a key of property.toml."""
    words = settings_words()[table].keys[key]
    return f"{words.label}: {words.meaning}."
