"""A piece of ground that is the property line, and no area: both settings in one step."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from quietacre.edit.property_file import area_of, change_settings
from quietacre.edit.toml_plain import Remove, Set
from quietacre.errors import FileProblem
from quietacre.model import SETTINGS_FILE

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from quietacre.edit.property_file import Outcome
    from quietacre.edit.toml_plain import Change
    from quietacre.edit.toml_table import TomlTable


@dataclass(frozen=True)
class LineMade:
    """The property line as it is now: its file, the one before it, and the change."""

    area: str
    file: str
    was: str | None
    outcome: Outcome


def make_property_line(folder: Path, name: str, *, state: Path | None = None) -> LineMade:
    """Make the edge of an area the property line, and take the area out of the ground.

    Its file stays as it is, and so does that of a line before it.

    Parameters
    ----------
    folder : the property folder.
    name : the area.
    state : as in `journal.apply`.

    Raises
    ------
    FileProblem
        There is no such area, or its edge comes of several files.
    SettingsProblem, Clash, OSError
        As `change_settings`.
    """
    said: list[tuple[str, str, str | None]] = []

    def make(document: TomlTable) -> Sequence[Change]:
        place, area = area_of(document, name)
        files = area.get("from")
        files = [files] if isinstance(files, str) else files
        if not isinstance(files, list) or len(files) != 1:
            raise FileProblem(
                f"the edge of “{area.get('name')}” comes of several files",
                fix="draw it once more as one, or keep one of its walks, and take that as the line",
                source=SETTINGS_FILE,
            )
        whole = document.get("property")
        was = whole.get("boundary") if isinstance(whole, dict) else None
        said.append(
            (str(area.get("name")), str(files[0]), None if was is None else str(was))
        )
        return [Remove(("area", place)), Set(("property", "boundary"), str(files[0]))]

    outcome = change_settings(folder, make, f"property line: {name}", state=state)
    return LineMade(*said[0], outcome)
