"""The words on the keys of property.toml, told once for docs, schema and forms."""

from __future__ import annotations

import functools
import tomllib
from dataclasses import dataclass
from importlib.resources import files


@dataclass(frozen=True)
class KeyWords:
    """What to say of one key: a form's label, what it holds, and what it changes.

    ``meaning`` is for who writes the file, ``in_box`` for who types in a box of the desk.
    """

    label: str
    meaning: str
    why: str
    in_box: str

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
                key: KeyWords(
                    row["label"], row["is"], row["why"], row.get("box", row["is"])
                )
                for key, row in keys.items()
            },
        )
        for table, keys in tomllib.loads(text).items()
    }


#: The words for a unit at the end of a key, the longest ending first.
UNITS = {
    "_lb_ac": "pounds an acre", "_ton_ac": "tons an acre", "_bu_ac": "bushels an acre",
    "_gal_ac": "gallons an acre", "_fl_oz_ac": "fl oz an acre", "_pct_volume": "percent of the tank",
    "_lb_day": "pounds a day", "_lb_ton": "pounds a ton", "_gal_hr": "gallons an hour",
    "_fl_oz": "fl oz", "_ft2": "square feet", "_minutes": "minutes", "_months": "months",
    "_days": "days", "_hours": "hours", "_years": "years", "_gal": "gallons", "_mph": "miles an hour",
    "_pct": "percent", "_deg": "degrees", "_ft": "feet", "_in": "inches", "_lb": "pounds",
}  # fmt: skip


#: How the unit of a box may be typed behind its figure, besides its own words.
TYPED = {
    "pounds": ("lb", "lbs", "pound"), "feet": ("ft", "foot"), "inches": ("in", "inch"),
    "gallons": ("gal", "gallon"), "hours": ("hr", "hrs", "hour"), "minutes": ("min", "minute"),
    "days": ("day",), "months": ("month",), "years": ("year",), "miles an hour": ("mph",),
    "percent": ("%",), "dollars": ("dollar",), "tons": ("ton",), "bushels": ("bu", "bushel"),
    "degrees": ("°", "deg", "degree"), "fl oz": ("oz", "fl. oz"), "square feet": ("sq ft",),
}  # fmt: skip


def unit_words(key: str) -> str:
    """Return the unit that a key ends in, in words; blank without one."""
    if "price_" in key:
        return "dollars"
    if key.startswith("seeds_"):  # a count, whatever it is a count on
        return ""
    return next((words for end, words in UNITS.items() if key.endswith(end)), "")


def box_and_line(table: str, key: str, line: str) -> str:
    """Return what a message calls a setting: its box at the desk, and what to write in the file.

    Parameters
    ----------
    table, key : the setting, as ``settings_words`` has it.
    line : what a text editor would write, and where.
    """
    return f"“{settings_words()[table].keys[key].label}” ({line} in property.toml)"
