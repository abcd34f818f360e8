"""What a person calls each view of how fast a vine's runners grow, told once."""

from __future__ import annotations

import functools
import tomllib
from dataclasses import dataclass
from importlib.resources import files


@dataclass(frozen=True)
class GrowthWords:
    """What one view of growth is called, and what its figure is taken from."""

    word: str
    meaning: str


@functools.cache
def growth_words() -> dict[str, GrowthWords]:
    """Return the words by the name that a view has in report.json, the slowest first."""
    text = files("quietacre").joinpath("words/growth.toml").read_text(encoding="utf-8")
    return {
        name: GrowthWords(row["word"], row["is"])
        for name, row in tomllib.loads(text).items()
    }


def growth_word(name: str) -> str:
    """Return what a person calls a view of growth."""
    return growth_words()[name].word
